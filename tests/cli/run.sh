#!/bin/sh
# Tests of the command line: exit codes, what goes to which stream, shape of the output.
# usage: run.sh PROGRAM        All figures in the jobs below are invented.
set -u
program=$(realpath "${1:?usage: run.sh PROGRAM}")
here=$(dirname "$(realpath "$0")")
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 3
export XDG_CONFIG_HOME="$work/config" XDG_DATA_HOME="$work/data"
unset TACKHOLD_TABLES
. "$here/common.sh"

: >in
{
    plate_head
    cat <<'JOB'
[cutter.six]
id = flat-6mm-3
[cut.1]
operation = slot
cutter = six
axial = 0.5
JOB
} >job.ini
sed 's/^\[cut.1\]/[cut.1]\noperation = push\nforce_x = 1 N\nforce_y = 0 N\nforce_z = 0 N\nat_x = 30\nat_y = 20\npatch = 5\n[cut.2]/; ' \
    job.ini | sed '/^\[cut.2\]/,$d' >push.ini

# ---- usage -------------------------------------------------------------------------------------
t 'help' 0 --help
has 'check JOB'
has 'Exit codes'
quiet
t 'trust is explained' 0 list --help
has 'Trust: measured (your own pull test)'
t 'trust is explained where a row is shown' 0 show --help
has 'Trust: measured (your own pull test)'
t 'stages are counted' 0 check --help
has 'which counts from 0'
t 'version' 0 --version
has 'tackhold 0.'
for verb in check tape limits odds card picture pull new list show; do
    t "help of $verb" 0 "$verb" --help
    has 'Example'
    has "tackhold $verb"
done
t 'no verb' 2
t 'unknown verb' 2 chek job.ini
has 'check' err
t 'unknown option' 2 check --nonsense job.ini
t 'no job' 2 check
t 'two jobs' 2 check job.ini job.ini
t 'option without value' 2 check job.ini --set
t 'setting without dot' 2 check job.ini --set axial=1
t 'json and tab' 2 list tape --json --tab

# ---- check -------------------------------------------------------------------------------------
t 'a push that holds' 0 check push.ini
has 'HOLDS'
quiet
screen
t 'asking too much of it' 1 check push.ini --set 'cut.1.force_x=20000 N'
has 'LETS GO'
t 'between' 1 check job.ini --set job.asked_factor=20
screen
cp out before
t 'options before the job' 1 check --set job.asked_factor=20 job.ini
cmp -s out before || bad 'the order of options changes the answer'
cp job.ini in
t 'job from standard input' 1 check - --set job.asked_factor=20
cmp -s out before || bad 'standard input gives another answer'
: >in
t 'everything' 1 check job.ini --set job.asked_factor=20 --all
has 'sources'
has 'preparation'
awk 'length($0) > 80 && !/\// { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
t 'inches' 1 check job.ini --set job.asked_factor=20 --set job.units=inch \
    --set part.length=2.4in --set part.width=1.6in --set part.thickness=0.12in \
    --set cut.1.axial=0.02in
has 'in/tooth'
has 'psi'
lacks 'mm2'
lacks 'kPa'
lacks 'mm/tooth'
t 'JSON' 1 check job.ini --json --set job.asked_factor=20
valid check
quiet
t 'JSON of a push' 0 check push.ini --json
valid check

# ---- before and after ----------------------------------------------------------------------------
sed 's/crepe-masking/polyester-acrylic/' job.ini >earlier.ini
sed -e 's/^axial = 0.5/axial = 0.3/' -e 's/^coverage = 0.95/coverage = 0.8/' \
    -e 's/invented plate/later plate/' earlier.ini >later.ini
t 'against the job before' 1 check later.ini --set job.asked_factor=20 --before earlier.ini
quiet
head -n 1 out | grep -qx 'before and after' || bad 'the comparison does not come first'
has 'invented plate: '
grep -Eq '^cut\.1\.axial +0\.5 mm +0\.3 mm +[0-9.]+$' out || bad 'no row for cut.1.axial'
grep -Eq '^hold\.coverage +0\.95 +0\.8 +[0-9.]+$' out || bad 'no row for hold.coverage'
grep -Eq '^job\.asked_factor +2 +20 +[0-9.]+$' out || bad 'the setting is not told'
grep -Eq '^together +x [0-9.]+' out || bad 'no sum'
lacks 'title'
awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
sed '1,/^together/d' out | awk 'on; /^$/ { on = 1 }' >rest
"$program" check later.ini --set job.asked_factor=20 >plain
cmp -s rest plain || bad 'the answer is not the usual one'
t 'what settings do' 1 check earlier.ini --set cut.1.axial=0.3mm --set job.asked_factor=20 \
    --before earlier.ini --all
has 'cut.1.depth'
has 'follows'
lacks 'hold.coverage'
cp earlier.ini in
t 'the job before from standard input' 1 check later.ini --set job.asked_factor=20 --before -
has 'hold.coverage'
t 'standard input twice' 2 check - --before -
: >in
t 'nothing changed' 0 check push.ini --before push.ini
has 'no value differs'
t 'the exit code is the job'"'"'s' 0 check push.ini --before later.ini
has 'cut.1'
t 'before and after as JSON' 1 check later.ini --set job.asked_factor=20 --before earlier.ini --json
valid check
has '"set": ["cut.1.axial=0.3 mm"]'
t 'no such job before' 2 check job.ini --before missing.ini
has 'missing.ini' err
sed 's/^axial = 0.5/axail = 0.5/' job.ini >slip.ini
t 'a bad job before' 2 check job.ini --before slip.ini
has 'axial' err
# The usual answer, told why there is nothing to compare it with: found on completing that job, and
# on judging it.
"$program" check push.ini >plain
sed 's/^axial = 0.5/axial = 25/' job.ini >deep.ini
sed 's/^axial = 0.5/axial = 0.0000001\ndepth = 1/' job.ini >thin.ini
for other in deep thin; do
    t "a job before that cannot be: $other" 0 check push.ini --before $other.ini
    quiet
    has "before  cannot be judged, so nothing is compared: $other.ini:"
    sed '1,/^$/d' out | sed '1,/^$/d' >rest
    cmp -s rest plain || bad 'the answer is not the usual one'
    t "a job before that cannot be, as JSON: $other" 0 check push.ini --before $other.ini --json
    valid check
    has '"before": null, "before_refused": "'"$other.ini:"
done
has 'million passes'
t 'one that follows is told in the singular' 1 check earlier.ini --set cut.1.axial=0.3mm \
    --set job.asked_factor=20 --before earlier.ini
has 'with --all: 1 more, which follows from these'
t 'what only takes time' 1 check "$here/../../examples/knife-scale-push.ini"
has 'waiting     cut 24h after gluing instead of 45 min and it holds as it is'
t 'before twice' 2 check job.ini --before job.ini --before later.ini
t 'before explained' 0 check --help
has '--before=JOB2'

# ---- odds --------------------------------------------------------------------------------------
sed 's/^axial = .*/axial = 0.02/' job.ini >cool.ini
t 'odds' 0 odds cool.ini --samples 4096
quiet
head -n 1 out | grep -q 'hold factor .* asked .* this decides' || bad 'the hold factor does not come first'
has 'not in it'
has 'chatter'
has '5 % fall below'
awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
cp out before
t 'the same odds again' 0 odds --samples=4096 --seed 1 cool.ini
cmp -s out before || bad 'the same seed gives other odds'
t 'odds as JSON' 0 odds cool.ini --json --samples 4096
valid odds
t 'odds of a push that lets go' 0 odds push.ini --json --set 'cut.1.force_x=900 N'
valid odds
t 'odds of a push that holds' 0 odds push.ini
has 'under 1 in a million, by this model'
t 'no odds for a tape that must not be used' 0 odds cool.ini --set hold.cooling=flood
has 'no odds'
has 'not to be used with this cooling'
lacks 'million'
t 'the reason as JSON' 0 odds cool.ini --json --set hold.cooling=flood
valid odds
t 'no odds where nothing helps' 0 odds push.ini --set hold.coverage=1e-9
quiet
has 'no odds: certain to let go'
t 'the same as JSON' 0 odds push.ini --json --set hold.coverage=1e-9
valid odds
t 'odds of a push that nearly always lets go' 0 odds push.ini --set 'cut.1.force_x=900 N' --set hold.coverage=0.1
lacks 'nan'
lacks 'over 0 %'
t 'no odds for a tape that the cut makes too warm' 0 odds job.ini
has 'part to tape is too warm'
for wrong in 0 -1 nan 2e9 many; do
    t "samples $wrong" 2 odds job.ini --samples="$wrong"
    has '1e6' err
done
for wrong in 0 -1 1.5 x 99999999999999999999; do
    t "seed $wrong" 2 odds job.ini --seed="$wrong"
done
t 'odds of a bad job' 2 odds job.ini --set cut.1.axial=900

# ---- pieces, heights, order --------------------------------------------------------------------
# Two copies out of a sheet, then a hole that should have come first.
sed -e '/^thickness/a sheet_length = 170\nsheet_width = 60\nsheet_x = 10\nsheet_y = 10' \
    -e '/^thickness/a copies = 2 x 1\npitch = 80 x 50' \
    -e 's/^operation = slot/operation = outline\nradial = 6/' job.ini >sheet.ini
cat >>sheet.ini <<'JOB'
[cut.2]
operation = hole
cutter = six
axial = 0.5
size = 10
at = 30,20
JOB
t 'copies, in full' 1 check sheet.ini --set job.asked_factor=20 --all
has 'cut.1 outline, freeing pass: the freed part (copy 2 of 2)'
has 'the frame (at copy 2 of 2); lets go; does'
has "not enter the job's hold factor"
has 'rigid plate'
has 'bottom of through cuts'
has 'machine table'
has 'cut.1 frees the part early'
[ "$(sed -n '/^cuts/,/^cutting time/p' out | grep -c '^cut\.[12] ')" = 2 ] ||
    bad 'not one row for each operation'
t 'a setting without --set' 2 check sheet.ini cut.1.axial=0.07mm
has 'needs --set before it: --set cut.1.axial=0.07mm' err
t 'a setting without quotes' 2 check sheet.ini --set cut.1.tabs=4 x 3 mm
has 'in quotes, e.g. --set "cut.1.tabs=4 x ..."' err
t 'copies, in short' 1 check sheet.ini --set job.asked_factor=20
screen
has 'Z from top'
has 'through to'
t 'copies, as JSON' 1 check sheet.ini --set job.asked_factor=20 --json
valid check
has '"order": {"cut": "cut.1"'
t 'offcuts that must stay' 1 check sheet.ini --set job.asked_factor=20 --json \
    --set job.offcuts=must-stay
valid check
lacks '"counts": false'
t 'bowed stock' 1 check job.ini --set job.asked_factor=20 --set part.bow=0.1mm --all
has 'standing lift'
has 'no cut goes through'

# ---- bad jobs ----------------------------------------------------------------------------------
t 'no such file' 2 check missing.ini
has 'missing.ini' err
sed 's/^axial = 0.5/axail = 0.5/' job.ini >slip.ini
t 'unknown key' 2 check slip.ini
has "tackhold: slip.ini:$(grep -n axail slip.ini | cut -d: -f1): " err
has 'axial' err
sed 's/crepe-masking/crepe-maskin/' job.ini >slip.ini
t 'unknown row' 2 check slip.ini
has 'crepe-masking' err
sed 's/^axial = 0.5/axial = half/' job.ini >slip.ini
t 'not a number' 2 check slip.ini --json
t 'bad setting' 2 check job.ini --set cut.1.axial=1furlong
has 'tackhold: ' err
t 'no such directory' 2 check job.ini --tables nowhere

# ---- tables ------------------------------------------------------------------------------------
mkdir -p own other
cat >own/coolant.ini <<'ROW'
[breath]
name = a puff now and then
kind = dry
film_coefficient = 15 W/m2K
source = invented
trust = estimate
ROW
sed 's/a puff now and then/another puff/' own/coolant.ini >other/coolant.ini
t 'without own tables' 2 show coolant breath
t 'own tables' 0 show coolant breath --tables own
has 'a puff now and then'
TACKHOLD_TABLES="$work/own"
export TACKHOLD_TABLES
t 'tables from the environment' 0 show coolant breath
has 'a puff now and then'
t '--tables comes later' 0 show coolant breath --tables other
has 'another puff'
TACKHOLD_TABLES="$work/own:$work/other"
t 'two directories' 0 show coolant breath
has 'another puff'
unset TACKHOLD_TABLES
for kind in stock tape glue cutter machine coolant plate; do
    t "list $kind" 0 list "$kind"
    quiet
    awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
    t "list $kind --json" 0 list "$kind" --json
    valid rows
    t "list $kind --tab" 0 list "$kind" --tab
    awk -F'\t' 'NR == 1 { n = NF } NF != n { odd = 1 } END { exit odd || NR < 2 }' out ||
        bad 'columns differ from line to line'
    t "show $kind" 0 show "$kind"
    ! grep -qv '^#' out || bad 'a line that is no comment'
    awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
    has '# trust'
done
t 'list of nothing known' 2 list spoons
t 'what a job says of a cutter' 0 show cutter
has '# id '
has '# wear '
t 'what a job says of a machine' 0 show machine
has '# id '
t 'show job' 0 show job
has '# [hold]'
has 'coverage'
t 'show job --json' 0 show job --json
valid keys
t 'show row' 0 show tape crepe-masking
has 'shear_strength'
has 'source'
t 'show row --json' 0 show tape crepe-masking --json
valid rows
t 'row that is not there' 2 show tape crepe-maskin
has 'crepe-masking' err

# ---- shop's defaults ---------------------------------------------------------------------------
mkdir -p config/tackhold
printf '[job]\nasked_factor = 20\n' >config/tackhold/shop.ini
t 'shop' 1 check push.ini --set 'cut.1.force_x=10 N' --json
has '"asked_factor": 20'
t 'no shop' 0 check push.ini --no-shop --json
has '"asked_factor": 2,'
rm -r config

# ---- pull tests --------------------------------------------------------------------------------
own=config/tackhold/tables/tape.ini
cp "$here/../../examples/pull-tests.csv" pulls.csv
t 'pull' 0 pull pulls.csv
quiet
has 'shear         10  288.2   254.4     7.82  2.911  229.6      229.5'
has 'lift           6    144   126.4     9.03  3.708  103.1      103.1'
has 'shear  part-tape 7, backing 2, tape-plate 1'
has 'weakest mixture'
has 'None is made: --like ID'
awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
[ -e config ] && bad 'something was written'
t 'pull, other limits' 0 pull pulls.csv --share 90% --confidence 0.99
has '90 % of such joints reach, with 99 % confidence'
has '3.048'
t 'pull, inches' 0 pull pulls.csv --inch
has 'psi'
lacks 'kPa'
t 'pull, inches, against a row' 0 pull pulls.csv --inch --like crepe-masking
has ' psi)'
lacks 'kPa'
lacks ' C '
t 'keys in inches' 0 show cutter --inch
has 'above 0 in to 3.937 in'
lacks '100 mm'
t 'pull, columns' 0 pull pulls.csv --tab
awk -F'\t' 'NR == 1 { n = NF } NF != n { odd = 1 } END { exit odd || NR != 3 || n != 8 }' out ||
    bad 'columns differ from line to line'
t 'pull, JSON' 0 pull pulls.csv --json
valid pull
has '"row": null'
has '"written": null'
t 'pull, JSON of a row' 0 pull pulls.csv --json --like crepe-masking
valid pull
has '"trust": "measured"'
cp pulls.csv in
t 'pull from standard input' 0 pull - --like crepe-masking
has 'the row that -o ID would write'
has 'shear_strength  229.5 kPa (crepe-masking: 130 kPa)'
: >in
t 'pull, how to' 0 pull --how-to
has 'luggage scale'
has 'glasses'
t 'pull nothing' 2 pull
has 'it needs a table of pull tests' err
t 'pull, a row like none' 2 pull pulls.csv -o mine
has '-o needs --like' err
t 'pull, --replace alone' 2 pull pulls.csv --replace
t 'pull, an id that is none' 2 pull pulls.csv --like crepe-masking -o 'My tape'
t 'pull, like nothing' 2 pull pulls.csv --like crepe-maskin
has 'did you mean crepe-masking?' err
t 'pull, half a share' 2 pull pulls.csv --share 40%
has '50 % to 99.9 %' err
t 'pull, a shipped id' 2 pull pulls.csv --like crepe-masking -o painters-paper
has 'there is a tape painters-paper already' err
[ -e config ] && bad 'something was written'
t 'pull, a row' 0 pull pulls.csv --like crepe-masking -o mine
quiet
has "wrote row mine to $work/$own"
cat >expected <<'ROW'
[mine]
name = crepe paper masking tape, rubber adhesive, own pull tests
sides = 1
thickness = 0.13 mm
adhesive_thickness = 0.035 mm
shear_strength = 0.2295 MPa
lift_strength = 0.1031 MPa
peel = 0.15 N/mm
shear_travel = 1.307 mm
lift_travel = 2.909 mm
shear_modulus = 0.05 MPa
temperature_max = 60 C
strength_hot = 0.355
dry = 1
mist = 0.6
water = 0
oil = 0.2
backing_shear = 0.2295 MPa
backing_lift = 0.16 MPa
conductivity = 0.12 W/mK
load_time_exponent = 0.2
spread = 0.091
source = own pull tests, n = 10 in shear and 6 in lift, 2026-01-31 to 2026-02-01, other figures as crepe-masking
trust = measured
ROW
sed -n '/^\[mine\]/,$p' "$own" | cmp -s - expected || bad 'the row is another one'
t 'the row is there' 0 show tape mine
has 'your own tables'
t 'the row is listed' 0 list tape
has 'measured, own'
t 'the row is left out' 2 show tape mine --no-shop
t 'a job on it' 0 check push.ini --set hold.tape=mine --set 'cut.1.force_x=1 N' --all
has 'measured: own pull tests'
has '(your own tables)'
t 'a job without it' 2 check push.ini --set hold.tape=mine --no-shop
mkdir -p later
sed -n '/^\[mine\]/,$p' "$own" | sed 's/^name = .*/name = a later one/' >later/tape.ini
t '--tables after the own ones' 0 show tape mine --tables later
has 'a later one'
lacks 'your own tables'
cp "$own" before
t 'pull never overwrites' 2 pull pulls.csv --like crepe-masking -o mine
has '--replace' err
t 'pull never overwrites what it does not read' 2 pull pulls.csv --like crepe-masking -o mine --no-shop
has '--replace' err
cmp -s "$own" before || bad 'the file was touched'
t 'pull, a second row' 0 pull pulls.csv --like mine -o other
head -c "$(wc -c <before)" "$own" | cmp -s - before || bad 'the first row was touched'
t 'pull --replace' 0 pull pulls.csv --like crepe-masking -o mine --replace --share 99%
has 'wrote row mine'
sed -n '/^\[mine\]/,$p' before >expected
[ "$(grep -c '^\[mine\]' "$own")" = 1 ] || bad 'not one row of that id'
[ "$(grep -c '^\[other\]' "$own")" = 1 ] || bad 'the other row is lost'
grep -q 'what 99 % of such joints' "$own" || bad 'the reasoning is the old one'
cp "$own" before
sed 's/^trust = .*/trust = sure/' before >"$own"
cp "$own" before
t 'own tables that are broken' 2 list tape
has "$own:" err
t 'pull into broken tables' 2 pull pulls.csv --like crepe-masking -o third --no-shop
has "$own:" err
cmp -s "$own" before || bad 'the file was touched'
rm -r config
mkdir -p config/tackhold
: >config/tackhold/tables
t 'pull where nothing can be written' 3 pull pulls.csv --like crepe-masking -o mine
rm -r config

# ---- output that cannot be written -------------------------------------------------------------
full() {
    name=$1
    shift
    ran=$((ran + 1))
    : >out
    "$program" "$@" >/dev/full 2>err
    got=$?
    [ "$got" = 3 ] || bad "exit code $got instead of 3 on a full device"
    "$program" "$@" >&- 2>err
    got=$?
    [ "$got" = 3 ] || bad "exit code $got instead of 3 on a closed output"
}
full 'check without output' check push.ini
full 'list without output' list tape
full 'show without output' show tape
full 'pull without output' pull pulls.csv
full 'card without output' card push.ini -o -
full 'help without output' --help
full 'version without output' --version
name='wrong usage, closed output'
"$program" check >&- 2>err
[ $? = 2 ] || bad 'not exit code 2'

# ---- limits ------------------------------------------------------------------------------------
sed 's/^thickness = 3/thickness = 5/; s/^axial = 0.5/axial = 0.2\ndepth = 1/' job.ini >limit.ini
t 'limits' 0 limits limit.ini --set cutter.six.flute_length=0.01mm --set cut.1.axial=0.01
quiet
for text in 'cut.1 slot, cutter flat-6mm-3' 'as stated  radial 6 mm, axial 0.01 mm: holds' \
    'fastest    radial 6 mm, axial 0.01 mm: 100 passes' \
    'type       --set cut.1.radial=6mm --set cut.1.axial=0.01mm' 'axial, mm' \
    'radial      2   4   6   8  10  15  20  30  40  50  60  70  85 100  % of 6 mm' \
    '.  holds    @  as stated    *  fastest    F  flute length' \
    '  0.12      0.01  0.01  flute length' 'gives no spindle_torque'; do
    has "$text"
done
awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
t 'limits as JSON' 0 limits limit.ini --json
valid limits
set_radial=$(sed -n 's/.*"set": \["\(cut.1.radial=[^"]*\)".*/\1/p' out)
set_axial=$(sed -n 's/.*"set": \["cut.1.radial=[^"]*", "\(cut.1.axial=[^"]*\)".*/\1/p' out)
t 'the fastest pair typed back' 0 check limit.ini --set "$set_radial" --set "$set_axial"
t 'limits of a job that does not hold' 0 limits limit.ini --set cut.1.axial=0.9 --json
has '"holds": false, "limited_by": "heat"'
valid limits
t 'limits of an outline with openings' 0 limits "$here/../../examples/bracket.ini" --json
valid limits
t 'limits with nothing that holds' 0 limits limit.ini --set hold.tape=painters-paper \
    --set hold.cooling=flood
has 'none holds'
t 'limits of a part with openings' 0 limits "$here/../../examples/bracket.ini" --json
valid limits
t 'limits in inches' 0 limits limit.ini --set job.units=inch --set part.length=60mm \
    --set part.width=40mm --set part.thickness=5mm --set cut.1.axial=0.1mm --set cut.1.depth=1mm
has 'axial, in'
has 'type       --set cut.1.axial=0.0'
for job in front-panel washers; do
    t "limits of several cuts, $job" 0 limits "$here/../../examples/$job.ini" --json
    valid limits
    typed=$(grep -o '"cut[.][0-9]*[.][a-z]*=[0-9.]*mm"' out | tr -d '"' | sed 's/^/--set /')
    [ -n "$typed" ] || bad 'no pair to type back'
    # shellcheck disable=SC2086
    t "all pairs of $job typed back" 0 check "$here/../../examples/$job.ini" $typed
done
t 'limits as tab-separated lines' 0 limits limit.ini --tab
has "$(printf 'radial\taxial to\tfrom\tlimited by')"
t 'limits of one cutter' 0 limits limit.ini --cutter six
t 'limits with another cutter' 0 limits limit.ini --cutter flat-6mm-2 --json
has '"cutter": "flat-6mm-2"'
valid limits
t 'limits of a cutter that no cut uses' 2 limits limit.ini --cutter seven
has 'seven' err
t 'limits of pushes' 0 limits push.ini --json
has '"cuts": []'
t 'limits without a job' 2 limits
t 'limits of a bad job' 2 limits limit.ini --set cut.1.axial=99

# ---- card and pictures ---------------------------------------------------------------------------
t 'card' 0 card push.ini -o push.html
quiet
has 'wrote push.html'
has '<strong>HOLDS</strong>' push.html
has 'x 1 N, y 0 N, z 0 N' push.html
cp push.html before
t 'the same card again' 0 card --no-shop -o push.html push.ini
cmp -s push.html before || bad 'the same job gives another card'
t 'a card of another job takes its place' 0 card push.ini --set 'cut.1.force_x=9000 N' -o push.html
has '<strong>LETS GO</strong>' push.html
has 'Do not cut this as it stands' push.html
t 'card on standard output' 0 card push.ini -o -
quiet
head -n 1 out | grep -qx '<!DOCTYPE html>' || bad 'not a page'
cmp -s out before || bad 'another card than in the file'
cp push.ini in
t 'card of a job from standard input' 0 card - -o -
cmp -s out before || bad 'another card than of the file'
: >in
t 'card without -o' 2 card push.ini
has 'it needs -o FILE' err
t 'card without a job' 2 card -o push.html
t 'card to two files' 2 card push.ini -o one.html -o two.html
cp push.ini kept.ini
t 'card over a job' 2 card push.ini -o push.ini
has 'not replaced' err
cmp -s push.ini kept.ini || bad 'the job was touched'
t 'card of a bad job' 2 card push.ini --set cut.1.force_x=furlong -o none.html
[ -e none.html ] && bad 'a card of a bad job'
t 'card where nothing can be written' 2 card push.ini -o nowhere/push.html
has 'nowhere/push.html' err
name='card into a pipe that nobody reads'
ran=$((ran + 1))
mkfifo pipe.html
timeout 100 "$program" card push.ini -o pipe.html >out 2>err
[ $? -eq 3 ] || bad 'it waits, or another exit code'
has 'pipe.html' err
has 'no plain file' err
for what in part stack limits heat; do
    t "picture: $what" 0 picture limit.ini --set cut.1.axial=0.01 --what $what -o $what.svg
    quiet
    has "wrote $what.svg"
    python3 -c 'import sys, xml.etree.ElementTree as x; r = x.parse(sys.argv[1]).getroot()
sys.exit(r.tag != "{http://www.w3.org/2000/svg}svg" or r.get("role") != "img")' $what.svg ||
        bad 'not a picture'
done
t 'picture on standard output' 0 picture push.ini --what stack -o -
has '<svg xmlns'
t 'picture of nothing' 2 picture push.ini -o x.svg
has '--what takes part, stack, limits or heat' err
t 'picture of something else' 2 picture push.ini --what cat -o x.svg
has 'not "cat"' err
[ -e x.svg ] && bad 'a picture of nothing'
t 'picture over a card' 2 picture push.ini --what stack -o push.html
has 'not replaced' err

# ---- new ---------------------------------------------------------------------------------------
blank() { yes '' | head -n "$1" >in; }
blank 20
t 'new with every default' 0 new
[ -s part.ini ] || bad 'no part.ini'
has 'wrote part.ini'
has 'hold factor'
cp part.ini first.ini
awk 'length($0) > 80 { wide = 1 } END { exit wide }' out err part.ini || bad 'a line over 80 columns'
sed 's/^#sheet_/sheet_/' part.ini >sheeted.ini
grep -q '^sheet_y' sheeted.ini || bad 'no keys of a sheet stand ready'
t 'the sheet that stands ready' 0 check sheeted.ini
has 'the stock'
t 'new does not replace' 2 new
has 'part.ini' err
cmp -s part.ini first.ini || bad 'the file was touched'
t 'new --force' 0 new --force
: >in
t 'the job it wrote' 0 check part.ini
blank 4
t 'answers end early' 2 new early.ini
[ -e early.ini ] && bad 'half a file'
: >in
t 'no answers at all' 2 new early.ini
[ -e early.ini ] && bad 'half a file'
printf '\n\n60 x 40\n' >in
t 'a bad answer' 2 new early.ini
[ -e early.ini ] && bad 'a file after a bad answer'
printf 'furlong\n' >in
t 'a choice that is not offered' 2 new early.ini
printf '2\nal-7075-t6\n3 x 2 x 1/8\n\n\n\n\n\npocket\n0.1 x 0.02\n' >in
"$program" new inch.ini <in >out 2>err
got=$?
name='new in inches'
ran=$((ran + 1))
[ "$got" -le 1 ] || bad "exit code $got"
has 'units = inch' inch.ini
has 'stock = al-7075-t6' inch.ini
has 'thickness = 1/8' inch.ini
has 'operation = pocket' inch.ini
has 'in/tooth'
for operation in slot face pocket outline hole engrave; do
    printf '\n\n\n\n\n\n\n\n%s\n\n\n' "$operation" >in
    name="new: $operation"
    ran=$((ran + 1))
    "$program" new "$operation.ini" <in >out 2>err
    [ $? -le 1 ] || bad 'not a verdict'
done
printf '\n\n\n\n\n\n\ndrill-3mm\n\n' >in
name='new: drill'
ran=$((ran + 1))
"$program" new drill.ini <in >out 2>err
[ $? -le 1 ] || bad 'not a verdict'
printf '\n\n' >in
printf 'mm\n\n90 60 3\n' >in
t 'new: no x' 2 new half.ini
has '90 x 60 x 3' err
printf 'mm\n\n90 x 60 x 300\n' >in
t 'new: too thick' 2 new half.ini
has 'thickness 300: it must be at most' err
lacks 'Which tape' err
t 'a tape that is none' 2 check push.ini --set hold.tape=blue-tape
has '"painters-paper"? All are listed by' err
t 'show: no such section' 2 show xyz
has 'zero and tool' err
printf '\n\n\ncrepe\n' >in
t 'new: half a name' 2 new half.ini
has 'perhaps crepe-masking' err
printf 'inch\n\n\n\n\n\n\n1/8 end mill\n' >in
t 'new: words of a name' 2 new half.ini
has 'perhaps flat-1-8in-' err
printf '\n\n\n\n\n\n\n\noutline\n\n\n' >in
t 'new: an outline is as wide as its cutter' 1 new wide.ini
grep -qx 'radial = 6 mm' wide.ini || bad 'radial is not the diameter'
has 'Length x width of the sheet' err
grep -qx 'sheet_length = 140 mm' wide.ini || bad 'no sheet, or not 20 mm all round'
grep -qx 'sheet_y = 20 mm' wide.ini || bad 'the part is not in its middle'
grep -q 'The stock is the part itself' out && bad 'a sheet, and none'
printf '2\n\n3 x 2 x 1/8\n\n\n\n\n\noutline\n\n4 x 2-1/2\n' >in
t 'new: a sheet of its own' 1 new own-sheet.ini
grep -qx 'sheet_width = 2-1/2' own-sheet.ini || bad 'not the sheet that was typed'
grep -qx 'sheet_y = 0.25 in' own-sheet.ini || bad 'the part is not in its middle'
printf '\n\n\n\n\n\n\n\noutline\n\n' >in
t 'new: no word of the sheet' 2 new early.ini
has 'the input ended before the last answer; nothing written' err
[ -e early.ini ] && bad 'half a file'
printf 'Inches\n' >in
t 'new: a usual word for the unit' 2 new early.ini
has 'perhaps inch' err
printf '\n\n\n\nSuper glue\n' >in
t 'new: a usual word for glue' 2 new early.ini
has 'perhaps ca-thin, ca-medium or ca-toughened' err
: >in
t 'new where nothing can be written' 2 new nowhere/part.ini

# ---- words that are no id ------------------------------------------------------------------------
meant() { # SETTING MESSAGE
    t "meant: $1" 2 check job.ini --set "$1"
    has "$2" err
}
meant 'hold.glue=superglue' 'did you mean "ca-thin", "ca-medium" or "ca-toughened"?'
meant 'hold.glue=Super glue' 'did you mean "ca-thin", '
meant job.units=inches 'did you mean inch?'
meant job.units=Metric 'did you mean mm?'
meant hold.cooling=coolant 'did you mean "flood"?'
meant cut.1.operation=profile 'did you mean outline?'
meant hold.preparation=clean 'did you mean wiped?'
meant hold.tape=masking 'did you mean "crepe-masking", '
meant hold.tape=painters 'did you mean "painters-paper"?'
meant hold.tape='Masking Tape' 'did you mean "crepe-masking", '
meant part.stock=aluminum 'did you mean "al-1050-h14", "al-5052-h32" or "al-6061-t6"?'
meant part.stock=6061 'did you mean "al-6061-t6"?'
meant hold.cooling=wet 'write dry, air, mist, flood or neat-oil;'
meant machine.id=router 'did you mean "bench-router" or "gantry-router"?'
meant job.units=in 'is none of: mm inch; did you mean inch?'
meant cut.1.operation=zzz 'chamfer push'
lacks 'did you mean' err
name='a message at a terminal'
ran=$((ran + 1))
python3 "$here/terminal.py" "$program" check job.ini --set hold.tape=masking >out 2>err ||
    bad 'not broken between words'
t 'list of a table that is none' 2 list tapes
has 'did you mean: tackhold list tape' err
t 'show of a table that is none' 2 show tapes crepe-masking
has 'did you mean: tackhold show tape' err
t 'keys of a section that is none' 2 show cuts
has 'did you mean cut?' err
t 'show of half a name' 2 show tape crepe
has 'did you mean crepe-masking, coated-crepe or painters-paper?' err
for wait in 1hr '60 mins' '3600 secs' '1 Hrs'; do
    "$program" check push.ini --set "hold.wait=$wait" >"$work/waited" 2>err
    "$program" check push.ini --set hold.wait=1h | cmp -s - "$work/waited" || {
        name="units: $wait"
        bad 'not an hour'
    }
    ran=$((ran + 1))
done

# ---- pieces that go ------------------------------------------------------------------------------
sed -e 's/^operation = slot/operation = hole\nat = 30,20\nsize = 16/' -e 's/^tape = .*/tape = polyester-acrylic/' \
    job.ini >slug.ini
t 'a slug that lets go' 0 check slug.ini --set cut.1.axial=0.1
has 'the slug lets go (hold factor'
t 'its stage says so' 0 check slug.ini --set cut.1.axial=0.1 --all
tr '\n' ' ' <out >flat
has ': the slug; lets go; does not enter' flat
has 'cut.1: the slug lets go (' flat
t 'its row on the card says so' 0 card slug.ini --set cut.1.axial=0.1 -o -
has 'climb, the slug lets go ('

# ---- files as editors leave them, and places that are none ------------------------------------------
mark() { printf '\357\273\277' | cat - "$1" >"$2"; }
mark job.ini marked.ini
"$program" check job.ini --json >plain 2>err
t 'a byte order mark before a job' $? check marked.ini --json
cmp -s plain out || bad 'the mark changes the answer'
mkdir -p marked
printf '[tape-of-mine]\n' >row.ini
"$program" show tape crepe-masking >/dev/null || bad 'no row'
sed -n '/^\[crepe-masking\]/,/^trust/p' "$here/../../materials/tape.ini" |
    sed 's/^\[.*/[tape-of-mine]/' >row.ini
mark row.ini marked/tape.ini
t 'a byte order mark before a table' 0 show tape tape-of-mine --tables marked
has 'tape-of-mine'
for verb in card 'picture --what part'; do
    # shellcheck disable=SC2086
    t "$verb: no such folder" 2 $verb job.ini -o missing/a.out
    has 'there is no folder of that name' err
    [ -e missing ] && bad 'a folder was made'
done
t 'a cut as deep as the part' 2 check job.ini --set cut.1.axial=3mm --set cut.1.depth=3mm
has 'reaches through the part: 3 mm deep in 3 mm of stock leaves nothing' err
t 'a cut deeper than the part' 2 check job.ini --set cut.1.axial=0.5mm --set cut.1.depth=3.25mm
has '3.25 mm deep in 3 mm of stock is too much by 0.25 mm' err
name='new asks again'
ran=$((ran + 1))
python3 "$here/again.py" "$program" again.ini >out 2>err || bad 'answers are lost'

# ---- tapes, other cutters, forms, warmth -----------------------------------------------------------
t 'none to take that lets go' 0 tape job.ini
has 'none holds  nearest --set hold.tape='
lacks 'to take'
t 'how to take a tape' 0 tape job.ini --set cut.1.axial=0.04
awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
sed -n 's/^to take  *//p' out >taken
first=$(awk '$1 != "tape" && seen { print $1; exit } /^ *tape / { seen = 1 }' out)
[ -n "$first" ] || bad 'no table'
grep -q -- '--set hold.tape=.* --set hold.glue=' taken || bad 'no setting for the best tape'
# shellcheck disable=SC2046
"$program" check job.ini --set cut.1.axial=0.04 $(cat taken) --json >best 2>err
"$program" tape job.ini --set cut.1.axial=0.04 --json >listed 2>>err
python3 - best listed <<'PY' || bad 'the setting is not the best that does not sway'
import json, sys
best, listed = (json.load(open(name)) for name in sys.argv[1:])
first = next(c for c in listed["choices"] if c["hold_factor"] >= 2 and c["sway_mm"] <= 0.1)
assert abs(best["hold_factor"] - first["hold_factor"]) < 1e-9
PY
t 'limits of another cutter' 0 limits job.ini --cutter flat-3mm-2
tr -s ' \n' ' ' <out >flat
has "not the job's own cutter: flat-3mm-2 stands in the place of six (flat-6mm-3)" flat
has '--set cutter.six.id=flat-3mm-2' flat
t 'an engraving has no stepover' 0 limits "$here/../../examples/front-panel.ini" --cutter letters
lacks 'radial 3'
awk '/limited by/ { on = 1; next } on && $1 == "-" && NF > 5 { dash = 1 } END { exit !dash }' out ||
    bad 'the width of the shank as a stepover'
t 'warmth names its cut' 0 check "$here/../../examples/front-panel.ini"
tr -s ' \n' ' ' <out >flat
grep -Eq 'heat the tape gets [0-9.]+ C warm in cut.1, after [0-9.]+ (s|min)' flat || bad 'no cut, no time'
t 'odds are tabulated finely' 0 odds "$here/../../examples/instrument-window.ini" --json --samples 1000
python3 -c 'import json, sys; assert json.load(open(sys.argv[1]))["odds"]["table_error"] < 0.001' out ||
    bad 'the table is off'

echo "$((ran - failed)) passed, $failed failed"
[ "$ran" -gt 60 ] && [ "$failed" = 0 ]
