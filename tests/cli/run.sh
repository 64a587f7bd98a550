#!/bin/sh
# Tests of the command line: exit codes, what goes to which stream, shape of the output.
# usage: run.sh PROGRAM        All figures in the jobs below are invented.
set -u
program=$(realpath "${1:?usage: run.sh PROGRAM}")
here=$(dirname "$(realpath "$0")")
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 3
export XDG_CONFIG_HOME="$work/config"
unset TACKHOLD_TABLES
ran=0
failed=0

bad() {
    echo "FAILED: $name: $1"
    sed 's/^/    out: /' out
    sed 's/^/    err: /' err
    failed=$((failed + 1))
}

# t NAME CODE ARGUMENT... : run the program on the file `in`, expect an exit code.
t() {
    name=$1
    code=$2
    shift 2
    ran=$((ran + 1))
    "$program" "$@" <in >out 2>err
    got=$?
    [ "$got" = "$code" ] || bad "exit code $got instead of $code"
    if [ "$code" -ge 2 ]; then
        [ -s out ] && bad "something on standard output"
        [ -s err ] || bad "no message on standard error"
    fi
}
has() { grep -qF -- "$1" "${2:-out}" || bad "\"$1\" is not in ${2:-out}"; }
lacks() { ! grep -qF -- "$1" "${2:-out}" || bad "\"$1\" is in ${2:-out}"; }
quiet() { [ -s err ] && bad "something on standard error"; }
screen() {
    [ "$(wc -l <out)" -le 24 ] || bad "more than 24 lines"
    awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad "a line over 80 columns"
}
valid() { python3 "$here/schema.py" "$1" <out 2>>err || bad "JSON is not as agreed"; }

: >in
cat >job.ini <<'JOB'
[job]
title = invented plate
units = mm
[part]
stock = al-6061-t6
length = 60
width = 40
thickness = 3
[hold]
tape = crepe-masking
glue = ca-thin
cooling = dry
coverage = 0.95
[machine]
id = bench-mill
[cutter.six]
id = flat-6mm-3
[cut.1]
operation = slot
cutter = six
axial = 0.5
JOB
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
for verb in check new list show; do
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
has 'the frame (at copy 2 of 2); does not enter'
has 'rigid plate'
has 'bottom of through cuts'
has 'machine table'
has 'cut.1 frees the part early'
[ "$(sed -n '/^cuts/,/^cutting time/p' out | grep -c '^cut\.[12] ')" = 2 ] ||
    bad 'not one row for each operation'
t 'copies, in short' 1 check sheet.ini --set job.asked_factor=20
screen
has 'Z from top'
has 'through cuts to'
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
    has '# trust'
done
t 'list of nothing known' 2 list spoons
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
full 'help without output' --help
full 'version without output' --version
name='wrong usage, closed output'
"$program" check >&- 2>err
[ $? = 2 ] || bad 'not exit code 2'

# ---- new ---------------------------------------------------------------------------------------
blank() { yes '' | head -n "$1" >in; }
blank 20
t 'new with every default' 0 new
[ -s part.ini ] || bad 'no part.ini'
has 'wrote part.ini'
has 'hold factor'
cp part.ini first.ini
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
    printf '\n\n\n\n\n\n\n\n%s\n\n' "$operation" >in
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
t 'new where nothing can be written' 2 new nowhere/part.ini

echo "$((ran - failed)) passed, $failed failed"
[ "$ran" -gt 60 ] && [ "$failed" = 0 ]
