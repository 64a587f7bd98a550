#!/bin/sh
# Tests of the shop's own log: what is noted, that nothing is lost, and what `check' says of it.
# usage: log.sh PROGRAM        All figures in the jobs below are invented.
set -u
program=$(realpath "${1:?usage: log.sh PROGRAM}")
here=$(dirname "$(realpath "$0")")
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 3
export XDG_CONFIG_HOME="$work/config" XDG_DATA_HOME="$work/data"
unset TACKHOLD_TABLES
. "$here/common.sh"
log=data/tackhold/log

: >in
{
    plate_head
    cat <<'JOB'
[cut.1]
operation = push
force_x = 1 N
force_y = 0 N
force_z = 0 N
at_x = 30
at_y = 20
patch = 5
JOB
} >job.ini

# lines N: the log has N lines, the names of the cells among them, and all but comments have 31 cells.
lines() {
    [ "$(wc -l <"$log")" = "$1" ] || bad "$(wc -l <"$log") lines in the log instead of $1"
    awk -F'\t' '!/^#/ && !/\t#torn$/ && (NF != 31 || $1 != "1" || $31 != "end") { odd = 1 } END { exit odd }' \
        "$log" || bad 'a line of the log is no record'
}
# counts RECORDS SKIPPED TORN
counts() {
    "$program" log show --json >out 2>err || bad 'the log cannot be shown'
    has "\"all\": $1, \"skipped\": $2, \"torn\": $3}"
    valid log
}

# ---- usage -------------------------------------------------------------------------------------
for verb in add show; do
    t "help of log $verb" 0 log $verb --help
    has 'Example'
    has "tackhold log $verb"
done
t 'help of log' 0 log --help
has 'Usage: tackhold log add JOB HOW'
has 'or:  tackhold log show'
has 'tackhold log add --help'
t 'log alone' 2 log
has 'tackhold log show' err
t 'log of nothing known' 2 log ad job.ini held
t 'no outcome' 2 log add job.ini
has 'held, moved or let-go' err
t 'an outcome that is none' 2 log add job.ini stayed
has 'held, moved or let-go' err
t 'no such job' 2 log add missing.ini held
has 'missing.ini' err
t 'a bad job' 2 log add job.ini held --set cut.1.force_x=1
t 'a note that is too long' 2 log add job.ini held --note "$(printf '%01001d' 0)"
has 'at most 1000' err
t 'the last none' 2 log show --last 0
has '--last takes' err
t 'the last of many' 2 log show --last -1
t 'shown by another outcome' 2 log show --outcome stayed
[ -e data ] && bad 'something was written'
t 'an empty log' 0 log show
has 'nothing is noted yet'
quiet
t 'an empty log as columns' 0 log show --tab
[ "$(wc -l <out)" = 1 ] || bad 'more than the head'
[ -e data ] && bad 'something was written'

# ---- add ---------------------------------------------------------------------------------------
before=$(date -u +%Y-%m-%dT%H:%M:%SZ)
TZ=America/New_York t 'noted' 0 log add job.ini held
after=$(date -u +%Y-%m-%dT%H:%M:%SZ)
quiet
has 'noted: held, invented plate, crepe-masking and ca-thin, dry; hold factor '
has "in $work/$log"
lines 2
when=$(sed -n '2s/^1\t\([^\t]*\)\t.*/\1/p' "$log")
printf '%s\n' "$before" "$when" "$after" | sort -c 2>/dev/null || bad "$when is not now in UTC"
"$program" check job.ini --json >out
factor=$(sed -n 's/.*"hold_factor": \([0-9.]*\), "asked_factor".*/\1/p' out)
[ "$(cut -f 6 "$log" | tail -n 1)" = "$factor" ] || bad 'not the hold factor of check'
t 'noted as it was run' 0 log add --note='third pass' job.ini let-go --set 'cut.1.force_x=300 N'
has 'noted: let go'
grep -q "$(printf '\tlets go\t0\\.').*$(printf '\tthird pass\tend')\$" "$log" || bad 'not as it was run'
cp job.ini in
t 'from standard input' 0 log add - moved --set part.stock=brass
: >in
lines 4
counts 3 0 0

# ---- notes -------------------------------------------------------------------------------------
note=$(printf 'L\303\266sung \346\274\242 \360\237\224\251\ttab\nline \\t "quoted" \033[1m\302\233')
t 'letters of all kinds' 0 log add job.ini held --note "$note"
lines 5
t 'what was noted' 0 log show --last 1 --json
valid log
printf '%s' "$note" >note
python3 -c 'import json, sys
note = json.load(open("out"))["records"][0]["note"]
assert note == open("note", encoding="utf-8", newline="").read(), repr(note)' 2>>err ||
    bad 'the note is another one'
t 'what was noted, as text' 0 log show --last 1
has 'Lösung 漢 🔩 tab'
! LC_ALL=C grep -q "$(printf '\033')" out || bad 'an escape code'
! LC_ALL=C grep -q "$(printf '\302\233')" out || bad 'an escape code of another kind'
t 'bytes that are no letters' 0 log add job.ini held --note "$(printf 'a\344b')"
lines 6
grep -qF 'a\xE4b' "$log" || bad 'the byte is lost'
t 'shown all the same' 0 log show --json
valid log
rm "$log"

# ---- where it lies -----------------------------------------------------------------------------
mkdir home
name='without XDG_DATA_HOME'
ran=$((ran + 1))
env -u XDG_DATA_HOME HOME="$work/home" "$program" log add job.ini held >out 2>err || bad 'failed'
[ -s home/.local/share/tackhold/log ] || bad 'not in ~/.local/share'
name='a relative XDG_DATA_HOME does not count'
ran=$((ran + 1))
XDG_DATA_HOME=home HOME="$work/home" "$program" log add job.ini held >out 2>err || bad 'failed'
[ "$(wc -l <home/.local/share/tackhold/log)" = 3 ] || bad 'not in ~/.local/share'
name='no place at all'
ran=$((ran + 1))
env -u XDG_DATA_HOME -u HOME "$program" log add job.ini held >out 2>err
[ $? = 2 ] || bad 'not exit code 2'
has 'XDG_DATA_HOME' err
env -u XDG_DATA_HOME -u HOME "$program" check job.ini >out 2>err || bad 'check wants a log'
quiet

# ---- four at once ------------------------------------------------------------------------------
name='four at once'
ran=$((ran + 1))
for i in 1 2 3 4; do
    (for k in 1 2 3 4 5 6; do
        "$program" log add job.ini held --note "$i $k" >/dev/null || echo "$i $k failed" >>lost
    done) &
done
wait
[ ! -e lost ] || bad "$(cat lost)"
lines 25
counts 24 0 0
[ "$(cut -f 30 "$log" | sort -u | wc -l)" = 25 ] || bad 'a record is lost'

# ---- torn --------------------------------------------------------------------------------------
head -n 3 "$log" >whole
cp whole "$log"
truncate -s -20 "$log"
cp "$log" torn
t 'a torn line is shown' 0 log show
has 'log:3: cut short while it was written; left out' err
has '1 of 1 record in'
has 'cut short 1'
cmp -s torn "$log" || bad 'showing changed the log'
t 'a torn line is passed over by check' 0 check job.ini
quiet
t 'a torn line is repaired' 0 log add job.ini moved --note after
quiet
lines 4
cmp -s -n "$(wc -c <torn)" torn "$log" || bad 'torn text was taken out'
sed -n 3p "$log" | grep -q "$(printf '\t#torn$')" || bad 'the torn line is not marked'
counts 2 0 1
head -c -1 whole >"$log"
t 'only its newline was missing' 0 log add job.ini moved
lines 4
counts 3 0 0

# ---- lines that are no records -----------------------------------------------------------------
{
    sed -n 1,2p whole
    echo 'half a thought'
    sed -n 's/^1/2/; 2p' whole
    sed -n 's/held/stayed/; 3p' whole
    echo '# a remark'
    sed -n 3p whole
} >"$log"
cp "$log" damaged
t 'lines not understood' 0 log show
has "$work/$log:3: no record of format 1" err
has "$work/$log:4: no record of format 1; of a later program" err
has "$work/$log:5: cell 3, outcome, cannot be understood; left out" err
has '2 of 2 records in'
has 'not understood 3'
t 'check tells of them once' 0 check job.ini
has "$work/$log:3: no record" err
has '(and 2 more: tackhold log show)' err
[ "$(wc -l <err)" = 1 ] || bad 'more than one line'
has 'own record  2 held'
t 'adding keeps them' 0 log add job.ini held
cmp -s -n "$(wc -c <damaged)" damaged "$log" || bad 'the log was changed'
counts 3 3 0

# ---- what cannot be written --------------------------------------------------------------------
cp whole "$log"
name='a full disk'
ran=$((ran + 1))
# So large that the limit stands above whatever else the program writes; 100 bytes are left.
awk 'BEGIN { for (i = 0; i < 10000; i++) print "# padded with invented remarks" }' >>"$log"
blocks=$(($(wc -c <"$log") / 512 + 2))
printf '# %0*d\n' $((blocks * 512 - $(wc -c <"$log") - 103)) 0 >>"$log"
cp "$log" before
sh -c 'ulimit -f "$1" && shift && exec "$@"' sh "$blocks" "$program" log add job.ini held >out 2>err
[ $? = 3 ] || bad 'not exit code 3'
has 'the log was not written' err
[ -s out ] && bad 'something on standard output'
cmp -s before "$log" || bad 'half a line'
t 'and room again' 0 log add job.ini held
cp whole "$log"
for stream in 1 2; do
    name="stream $stream closed"
    ran=$((ran + 1))
    : >out
    : >err
    eval "\"\$program\" log add job.ini held 2>err >out $stream>&-"
    got=$?
    [ $got = "$((stream == 1 ? 3 : 0))" ] || bad "exit code $got"
    [ $stream = 2 ] || has 'the record is in the log all the same' err
done
name='a full device'
ran=$((ran + 1))
"$program" log add job.ini held >/dev/full 2>err
[ $? = 3 ] || bad 'not exit code 3'
"$program" log show >/dev/full 2>err
[ $? = 3 ] || bad 'not exit code 3'
lines 6
counts 5 0 0
mv "$log" kept
mkdir "$log"
t 'a directory in its place' 3 log add job.ini held
has "$work/$log: the log was not written" err
t 'which cannot be shown' 2 log show
t 'and is told by check' 0 check job.ini
has 'the log cannot be read' err
lacks 'own record'
rmdir "$log"
mkfifo "$log"
t 'a pipe in its place' 3 log add job.ini held
t 'a pipe is not read' 0 check job.ini
has 'no plain file' err
rm -r data
echo >data
t 'a file in the place of a directory' 3 log add job.ini held
has 'not written' err
rm data
mkdir data
chmod 555 data
if [ "$(id -u)" != 0 ]; then
    t 'a directory that takes no file' 3 log add job.ini held
elif setpriv --reuid=65534 --regid=65534 --clear-groups true 2>/dev/null; then
    # As nobody, from a copy: what lies in this work directory is for nobody else.
    chmod 755 "$work"
    mkdir -p away/bin away/share/tackhold
    cp "$program" away/bin/tackhold
    cp -r "$here/../../materials" away/share/tackhold/
    name='a directory that takes no file'
    ran=$((ran + 1))
    setpriv --reuid=65534 --regid=65534 --clear-groups away/bin/tackhold log add - held \
        <job.ini >out 2>err
    got=$?
    [ $got = 3 ] || bad "exit code $got instead of 3"
    has 'not written' err
    has 'ermission' err
else
    echo 'a directory that takes no file: NOT TESTED as root'
fi
[ -z "$(ls data)" ] || bad 'something was written'
chmod 755 data

# ---- show --------------------------------------------------------------------------------------
rm -r data
for outcome in held held let-go moved; do
    "$program" log add job.ini $outcome >/dev/null
done
"$program" log add job.ini held --set hold.tape=pvc-film --set hold.tape_below=crepe-masking >/dev/null
"$program" log add job.ini held --set hold.tape=polyester-silicone >/dev/null
t 'show' 0 log show
quiet
has '6 of 6 records in'
awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
t 'show, one tape' 0 log show --tape crepe-masking
has '5 of 6 records in'
lacks 'polyester-silicone'
t 'show, a tape below' 0 log show --tape pvc-film --outcome held
has '1 of 6 records in'
t 'show, no such tape' 0 log show --tape spoons
has 'no record is of that kind'
t 'show, one outcome' 0 log show --outcome let-go
has '1 let go; what let go had hold factor'
t 'show, the last' 0 log show --last 2 --tape crepe-masking
has '2 of 6 records in'
has '1 held, 1 moved'
t 'show, columns' 0 log show --tab
awk -F'\t' 'NR == 1 { n = NF } NF != n { odd = 1 } END { exit odd || NR != 7 || n != 16 }' out ||
    bad 'columns differ from line to line'
t 'show, JSON' 0 log show --json --outcome moved
valid log
has '"outcome": "moved"'
lacks '"outcome": "held"'
t 'show, both' 2 log show --json --tab

# ---- check -------------------------------------------------------------------------------------
t 'the shop'"'"'s own record' 0 check job.ini
screen
tr -s ' \n' ' ' <out >flat
has 'own record 2 held, 1 moved, 1 let go; what moved or let go had hold factor' flat
head -n 4 out >with
t 'in full' 0 check job.ini --all
has 'glue, same kind of cooling)'
t 'without it' 0 check job.ini --no-shop
lacks 'own record'
head -n 4 out | cmp -s - with || bad 'the record changes the answer'
t 'the record as JSON' 0 check job.ini --json
valid check
has '"record": {"held": 2, "moved": 1, "let_go": 1, '
sed 's/"record": {[^}]*}/"record": null/' out >with
t 'no record as JSON' 0 check job.ini --json --no-shop
valid check
cmp -s out with || bad 'the record changes the answer'
for other in hold.tape=painters-paper hold.tape_below=pvc-film hold.glue=ca-medium hold.cooling=mist; do
    t "none with $other" 0 check job.ini \
        --set $other --set job.asked_factor=1
    lacks 'own record'
done
t 'another stock is alike' 0 check job.ini --set part.stock=brass
has 'own record  2 held'
t 'a record does not save it' 1 check job.ini --set 'cut.1.force_x=20000 N'
has 'LETS GO'
has 'own record  2 held'

# ---- long ids ----------------------------------------------------------------------------------
name='ids longer than a column'
ran=$((ran + 1))
mkdir -p long/tackhold
long=$(printf 'crepe-%0200d' 1)
sed "s/	crepe-masking	/	$long	/; s/	dry	/	dry-$long	/" "$log" >long/tackhold/log
XDG_DATA_HOME=$work/long "$program" log show --last 3 >out 2>err || bad 'failed'
has 'crepe-00000000000...'
awk 'length($0) > 80 { wide = 1 } END { exit wide }' out || bad 'a line over 80 columns'
XDG_DATA_HOME=$work/long "$program" log show --last 1 --tab >out 2>err || bad 'failed'
has "$long"

# ---- locale ------------------------------------------------------------------------------------
if mkdir locale && localedef -i de_DE -f UTF-8 locale/de_DE.UTF-8 >/dev/null 2>&1; then
    name='where the decimal point is a comma'
    ran=$((ran + 1))
    LOCPATH=$work/locale LC_ALL=de_DE.UTF-8 "$program" log add job.ini held >out 2>err || bad 'failed'
    lines 8
    [ "$(tail -n 1 "$log" | cut -f 6)" = "$factor" ] || bad 'another number'
    LOCPATH=$work/locale LC_ALL=de_DE.UTF-8 "$program" log show --json >out 2>err || bad 'failed'
    valid log
else
    echo 'a comma for a decimal point: NOT TESTED, no locale can be made'
fi

echo "$((ran - failed)) passed, $failed failed"
[ "$ran" -gt 60 ] && [ "$failed" = 0 ]
