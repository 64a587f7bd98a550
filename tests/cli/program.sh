#!/bin/sh
# Tests of `tackhold program`: exit codes, what goes where, readings, lower feeds. Figures are invented.
# usage: program.sh PROGRAM
set -u
program=$(realpath "${1:?usage: program.sh PROGRAM}")
here=$(dirname "$(realpath "$0")")
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 3
export XDG_CONFIG_HOME="$work/config" XDG_DATA_HOME="$work/data"
unset TACKHOLD_TABLES
. "$here/common.sh"

: >in
cat >job.ini <<'JOB'
[job]
title = invented plate
units = mm
[part]
stock = al-6061-t6
length = 40
width = 30
thickness = 3
[hold]
tape = polyester-silicone
glue = ca-thin
cooling = dry
coverage = 0.95
wait = 12 h
[machine]
id = bench-mill
[cutter.six]
id = flat-6mm-3
[zero]
at = 0,0
top = 3
JOB
cat >light.nc <<'NC'
G21 G90 G17
S9000 M3
G0 X-5 Y15 Z1
G1 Z-0.05 F60
X30 F300
G0 Z5
M30
NC

t 'help' 0 program --help
has 'tackhold program'
has 'Example'
quiet
t 'no program' 2 program job.ini
has 'a job file and a program' err
t 'both from standard input' 2 program - -
t 'a worst of none' 2 program job.ini light.nc --worst 0
t 'no such reading' 2 program job.ini light.nc --m98 x
t 'no such corners' 2 program job.ini light.nc --inward-corners x
has 'write cross or refuse' err
t 'json and tab' 2 program job.ini light.nc --json --tab

# ---- what is read ------------------------------------------------------------------------------
t 'no such program' 2 program job.ini nothing.nc
has 'nothing.nc: there is no such file' err
printf 'G0 X1\0\n' >binary.nc
t 'no text' 2 program job.ini binary.nc
has 'is no text' err
: >empty.nc
t 'empty' 2 program job.ini empty.nc
t 'a directory' 2 program job.ini .
printf 'G21 G90\nG1 X5 QQ\n' >bad.nc
t 'a word that is none' 2 program job.ini bad.nc
has 'bad.nc:2:' err
sed '/^\[zero\]/,$d' job.ini >nowhere.ini
t 'no zero' 2 program nowhere.ini light.nc
has 'nowhere.ini: the job has no [zero]' err
has 'at = X,Y' err
printf 'G21 G90\nM6\nS9000 M3\nG0 X10 Y15 Z1\nG1 Z-1 F60\nM30\n' >doubt.nc
t 'in doubt' 2 program job.ini doubt.nc
has 'doubt.nc:2: M6 before any T' err
has 'no verdict' err
t 'check still needs a cut' 2 check job.ini
has 'needs at least one cut' err
{ cat job.ini; printf '[tool.2]\ncutter = six\n'; } >tools.ini
printf 'G21 G90\nG52 X5\n' >shift.nc
t 'a shift that is not read' 2 program job.ini shift.nc
has 'what G52 shifts, G92 or G10 L2 shifts too' err
t 'a tool that is not told' 2 program tools.ini light.nc
has 'add [tool.' err
t 'a tool without cutter' 2 program job.ini light.nc --set tool.1.cutter=seven
has 'there is no [cutter.seven]' err

# ---- answers -----------------------------------------------------------------------------------
t 'a light cut' 0 program job.ini light.nc
head -n 1 out | grep -q '^HOLDS  hold factor' || bad 'no verdict'
has 'X30 F300'
has 'deepest'
has 'Eyes protected'
has 'by line     1 ....o.. 7'
quiet
awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
cp light.nc in
t 'from standard input' 0 program job.ini -
: >in
t 'stiff is never proof' 1 program job.ini light.nc --stiff
has 'UNPROVEN'
has 'taken as stiff'
t 'JSON' 0 program job.ini light.nc --json
valid program
t 'line by line' 0 program job.ini light.nc --tab
grep -q '^5	' out || bad 'no row for line 5'
[ "$(wc -l <out)" -eq 2 ] || bad 'not one line that cuts'
t 'one line' 0 program job.ini light.nc --worst 1 --json
[ "$(grep -o '"area_hold_factor"' out | wc -l)" -eq 2 ] || bad 'not one worst line'
sed 's/^X30 F300/G0 X30/' light.nc >rapid.nc
t 'a rapid through material' 1 program job.ini rapid.nc
has 'rapid through material'
has 'line 5'
sed 's/ M3/ M3 M8/' light.nc >wet.nc
t 'coolant that the job does not know of' 1 program job.ini wet.nc
has 'with coolant on'
t 'coolant that never comes on' 1 program job.ini light.nc --set hold.cooling=mist
tr -s ' \n' ' ' <out >flat
has 'line 5 cuts with coolant off, and the job says mist: put M7 before it' flat
sed 's/^X30 F300/M7 M8\nX20 F300\nM9\nX30/' light.nc >mixed.nc
t 'coolant that is another twice' 1 program job.ini mixed.nc --set hold.cooling=mist
tr -s ' \n' ' ' <out >flat
has 'cuts with M7 and M8 on, and the job says mist' flat
has 'cuts with coolant off, and the job says mist' flat
sed '2i T1 M6' light.nc | sed '/^M30/i T2 M6\nM3\nG0 X0 Y5\nZ1\nG1 Z-0.05 F60\nX30 F300\nG0 Z5' >two.nc
sed '/^M3$/d' two.nc >stopped.nc
t 'a spindle that a tool change stops' 1 program job.ini stopped.nc --set tool.2.cutter=six --set tool.1.cutter=six
tr -s ' \n' ' ' <out >flat
has 'the cutter cuts with the spindle stopped: line 11' flat
t 'two tools and one cutter' 1 program job.ini two.nc
head -n 1 out | grep -q '^UNPROVEN' || bad 'held by the cutter of another tool'
has 'write [tool.2]'
t 'both tools told' 0 program job.ini two.nc --set tool.1.cutter=six --set tool.2.cutter=six
{ printf 'G54\nG10 L2 P1 X0 Y0 Z0\nG10 L2 P2 X5 Y0 Z0\nG55\n'; cat light.nc; } >systems.nc
t 'two systems' 0 program job.ini systems.nc
has 'is taken as the zero of G54'
printf 'G21 G90\nG0 X1e400\n' >exponent.nc
t 'an exponent' 2 program job.ini exponent.nc
has 'exponent.nc:2: "1e400": numbers have no exponent' err
cat >corner.nc <<'NC'
G21 G90 G17
S9000 M3
G0 X5 Y10 Z1
G1 Z-0.05 F60
G41.1 D6 X15 Y7 F300
X30
Y25
G40 X20
G0 Z5
M30
NC
t 'an inward corner' 0 program job.ini corner.nc --all
tr -s ' \n' ' ' <out >flat
has 'inward corners under G41 and G42: the tool turns where it touches both moves (1, the first' flat
has 'between lines 6 and 7)' flat
t 'an inward corner refused' 2 program job.ini corner.nc --inward-corners refuse
has 'corner.nc:7: an inward corner under cutter compensation' err
sed 's/^Y25/Y12\nX20/' corner.nc >narrow.nc
t 'a corner too narrow' 2 program job.ini narrow.nc
has 'narrow.nc:8: an inward corner, of lines 7 and 8, into which a tool of 3 mm radius' err
has 'the move of line 7 is too short' err
sed 's/ M3/ M4/' light.nc >back.nc
t 'backwards' 1 program job.ini back.nc
has 'UNPROVEN'
has 'runs backwards (M4)'
sed 's/F300/F99000/; s/S9000/S9/' light.nc >wild.nc
t 'beyond the machine' 1 program job.ini wild.nc
has 'no better, as'
has 'line 5 asks'
has 'another speed'
printf 'G21 G90\nS9000 M3\nG0 X10 Y15 Z9\nG1 X30 F300\nM30\n' >air.nc
t 'only air' 1 program job.ini air.nc
has 'nothing'


# ---- how deep ----------------------------------------------------------------------------------
# 12 mm of sacrificial plate and the tapes lie under it: 17 mm below the top is beyond both.
for move in 'G1 Z-20 F60' 'G0 Z-20'; do
    printf 'G21 G90\nS9000 M3\nG0 X5 Y15 Z1\n%s\nG0 Z5\nM30\n' "$move" >table.nc
    t "into the table by $move" 1 program job.ini table.nc
    has 'reaches the table'
    has 'deepest' && tr -s ' \n' ' ' <out >flat
    has 'line 4, -17 mm from the bonded face: through the sacrificial plate and' flat
    lacks 'of it left' flat
    # Again in the hole that is there: nothing is taken any more, and the plate is.
    printf 'G21 G90\nS9000 M3\nG0 X5 Y15 Z1\nG1 Z-3.5 F60\nG0 Z1\n%s\nM30\n' "$move" >hole.nc
    t "into the table through a hole by $move" 1 program job.ini hole.nc
    tr -s ' \n' ' ' <out >flat
    has 'line 6, -17 mm from the bonded face' flat
done

# ---- the card ----------------------------------------------------------------------------------
sed 's/Z-0.05/Z-2.9/; s/F300/F30/' light.nc >skin.nc
t 'a skin of 0.1 mm' 1 program job.ini skin.nc --card skin.html
has 'counts as cut through' skin.html
t 'a card beside the answer' 0 program job.ini light.nc --card light.html
head -n 1 out | grep -q '^HOLDS' || bad 'the answer is gone'
quiet
head -n 1 light.html | grep -q '<!DOCTYPE html>' || bad 'no page'
tail -n 1 light.html | grep -q '</html>' || bad 'half a page'
has 'invented plate: light.nc' light.html
has 'X30 F300' light.html
has 'Map of the tape' light.html
lacks '<script' light.html
has 'X0 Y0 of the program<' light.html
has '>X0 Y0<' light.html
has 'Cutters and holes' light.html
t 'zero far from the sheet' 1 program job.ini light.nc --card - --set zero.at=200,-100 --set zero.top=3
has 'X0 Y0 of the program lies off'
t 'the card alone' 0 program job.ini light.nc --card -
cmp -s out light.html || bad 'another card on standard output'
t 'a card is replaced' 0 program job.ini light.nc --card light.html
cp job.ini kept.ini
t 'no job is lost to a card' 2 program job.ini light.nc --card kept.ini
has 'give --card another name' err
cmp -s job.ini kept.ini || bad 'the file was touched'
t 'no card over the program' 2 program job.ini light.nc --card light.nc
has 'what is read' err
t 'no card over the slowed program' 2 program job.ini light.nc --slow-to both.html --card both.html
t 'card and JSON to one place' 2 program job.ini light.nc --card - --json
t 'card beside JSON' 0 program job.ini light.nc --card light.html --json
valid program
t 'a card that cannot be written' 2 program job.ini light.nc --card no/card.html
t 'no card of what is in doubt' 2 program job.ini doubt.nc --card doubt.html
[ ! -e doubt.html ] || bad 'a card was written'
ls | grep -q '\.html\.' && bad 'a file was left behind'
sed 's/^units = mm/units = inch/; s/^length = 40/length = 1.5/; s/^width = 30/width = 1.2/
s/^thickness = 3/thickness = 0.12/; s/^top = 3/top = 0.12/' job.ini >inch.ini
t 'a card in inches' 0 program inch.ini light.nc --card -
has '<small>in</small>'
has '<small>lbf</small>'
grep -q '[0-9] mm[ <,;.]' out && bad 'millimetres in a job in inches'
grep -v 'G2[01]' light.nc | sed '1i G90 G17 G94' >unsaid.nc
t 'a job in inches, a program that does not say' 2 program inch.ini unsaid.nc
has 'neither G20 nor G21' err
t 'said by an option' 0 program inch.ini unsaid.nc --units=mm
t 'a job in mm takes mm for a guess' 1 program job.ini unsaid.nc
has 'UNPROVEN'
has 'line 3 moves before any G20 or G21, and mm is a guess'
t 'and for none where it is said' 0 program job.ini unsaid.nc --units=mm
grep -q 'is a guess' out && bad 'said, and a guess all the same'
t 'in inches' 0 program inch.ini light.nc --all
grep -q '[0-9] mm[ ,;.]' out && bad 'millimetres in a job in inches'

# ---- lower feeds -------------------------------------------------------------------------------
sed 's/Z-0.05/Z-0.1/; s/^X30 F300/X30 F1500 (fast)\nX10/' light.nc >fast.nc
factor() { "$program" program job.ini "$1" --stiff --json | sed 's/.*"held_back": [^]]*\], "hold_factor": \([0-9.]*\), .*/\1/'; }
sed 's/F1500/F600/' fast.nc >slower.nc
asked=$(factor slower.nc)
t 'feeds are not looked for unasked' 1 program job.ini fast.nc --stiff --json --set "job.asked_factor=$asked"
has '"slowed": null'
t 'lower feeds told' 1 program job.ini fast.nc --stiff --json --lower-feeds --set "job.asked_factor=$asked"
has '"slowed": {'
t 'slowed' 1 program job.ini fast.nc --stiff --slow-to out.nc --set "job.asked_factor=$asked"
has 'written'
diff fast.nc out.nc >changes && bad 'nothing changed'
grep '^[<>]' changes | grep -qv '^[<>] X[13]0' && bad 'more than feeds changed'
grep -q '^X30 F[0-9.]* (fast)$' out.nc || bad 'the comment is gone'
lacks 'not written' err
t 'what holds less than asked is written, and told' 1 program job.ini fast.nc --stiff --slow-to told.nc --set "job.asked_factor=$asked"
has 'told.nc: written, but it is unproven: the part is taken as stiff' err
cat >deep.nc <<'NC'
G21 G90 G17
S9000 M3
G0 X-5 Y15 Z1
G1 Z-2 F60
X30 F1500
G0 Z-0.2
G1 Y22 F1500
X5 F1500
G0 Z5
M30
NC
t 'what still lets go is not written' 1 program job.ini deep.nc --stiff --slow-to gone.nc --set job.asked_factor=1
[ ! -e gone.nc ] || bad 'a file was written'
has 'gone.nc: not written' err
has 'not written  gone.nc, as it would still let go'
has 'not saved'
t 'nor in JSON' 1 program job.ini deep.nc --stiff --slow-to gone.nc --set job.asked_factor=1 --json
has '"file": null'
t 'a hint that promises nothing' 1 program job.ini deep.nc --stiff
[ "$(grep -c 'lower-feeds looks for' out)" -eq 1 ] || bad 'not one hint'
t 'no hint when it was looked for' 1 program job.ini deep.nc --stiff --lower-feeds
lacks '--lower-feeds'
short() {
    awk -v feed="$1" 'BEGIN { print "G21 G90 G17\nS9000 M3\nG0 X5 Y15 Z1\nG1 Z-0.1 F60"
                             for (i = 1; i <= 60; i++) printf "G1 X%.1f F%s\n", 5 + i / 10, feed }'
}
short 600 >calm.nc
short 1500 >many.nc
many=$(factor calm.nc)
t 'lines shorter than a step' 1 program job.ini many.nc --stiff --tab --set "job.asked_factor=$many"
[ "$(grep -c '^[0-9]' out)" -eq 61 ] || bad 'not a row for each line that cuts'
t 'are slowed together' 1 program job.ini many.nc --stiff --slow-to short.nc --set "job.asked_factor=$many"
has 'written' err
[ -s short.nc ] || bad 'nothing was written'
t 'not over a file' 2 program job.ini fast.nc --slow-to out.nc
has '--force' err
cp fast.nc same.nc
t 'not over what is read' 2 program job.ini same.nc --slow-to same.nc --force
cmp -s fast.nc same.nc || bad 'the program was touched'
t 'nothing to slow' 0 program job.ini light.nc --slow-to none.nc
has 'nothing was written'
[ ! -e none.nc ] || bad 'a file was written'
t 'not to be written' 2 program job.ini fast.nc --stiff --slow-to no/where.nc --set "job.asked_factor=$asked"
ls | grep -q '\.nc\.' && bad 'a file was left behind'

printf 'G21 G90 G17\nS9000 M3\nG0 X-5 Y15 Z1\nG4 P500\nG1 Z-0.05 F60\nX30 F300\nM30\n' >waits.nc
t 'a dwell that is long' 0 program job.ini waits.nc --json
has 'G4 P500 is read as 500 seconds: --dwell-ms takes it for milliseconds'
t 'in milliseconds' 0 program job.ini waits.nc --dwell-ms --json
lacks '500 seconds'
# ---- pieces ------------------------------------------------------------------------------------
awk '{ print } /^thickness/ { print "sheet_length = 80\nsheet_width = 80\nsheet_x = 20\nsheet_y = 40" }' \
    job.ini >sheet.ini
printf 'G21 G90 G17\nS9000 M3\nG0 X10 Y-30\nZ1\nG1 Z-3.2 F60\nX30 F300\nY-23.6\nX10\nY-30\nG0 Z5\nM30\n' >crumb.nc
t 'a crumb is not listed' 1 program sheet.ini crumb.nc --stiff
has '1 crumb narrower than 1 mm left out; --all has it'
lacks 'frame, '
t 'but with all' 1 program sheet.ini crumb.nc --stiff --all
has 'x 0.4 mm from x'
lacks 'crumb'
sed 's/^thickness.*/&\ncopies = 2 x 1\npitch = 60 mm x 30 mm/; s/^sheet_length.*/sheet_length = 140/' sheet.ini >two.ini
printf 'G21 G90 G17\nS9000 M3\nG0 X-3 Y-3\nZ1\nG1 Z-3.2 F60\nY33 F300\nX43\nY-3\nX-3\nG0 Z5\nM30\n' >one.nc
t 'a copy that is left' 1 program two.ini one.nc --stiff --json
has "cut through beside 1 of the job's 2 copies, and not beside copy 2"

echo "$((ran - failed)) passed, $failed failed"
[ "$failed" -eq 0 ]
