#!/bin/sh
# Tests of the manual page, the help text and the shell's completion, and that all are installed.
# usage: manual.sh PROGRAM
set -u
program=$(realpath "${1:?usage: manual.sh PROGRAM}")
here=$(dirname "$(realpath "$0")")
top=$(realpath "$here/../..")
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 3
export XDG_CONFIG_HOME="$work/config" XDG_DATA_HOME="$work/data"
unset TACKHOLD_TABLES
. "$here/common.sh"
completion=$top/src/cli/tackhold.bash

: >in
: >err
# ---- help --------------------------------------------------------------------------------------
t 'help on one screen' 0 --help
screen
t 'the verbs' 0 --words
quiet
cp out verbs
[ "$(wc -l <verbs)" -ge 10 ] || bad 'too few verbs'
while read -r verb; do
    # shellcheck disable=SC2086 # a verb may be of two words
    t "words of $verb" 0 $verb --words
    quiet
    has '--help'
    tail -n +2 out >"options of $verb"
done <verbs

# ---- manual page -------------------------------------------------------------------------------
t 'manual page' 0 --mdoc
quiet
cp out page
name='manual page: mandoc'
ran=$((ran + 1))
mandoc -T lint page >out 2>err || bad 'faults'
[ -s out ] && bad 'faults'
name='manual page: groff'
ran=$((ran + 1))
groff -mandoc -T utf8 -w w -z page >out 2>err || bad 'faults'
[ -s err ] && bad 'warnings'
name='manual page: it says'
ran=$((ran + 1))
# Bold is a letter, a backspace and the letter again.
mandoc -T ascii -O width=200 page | sed "s/.$(printf '\b')//g" >out
while read -r verb; do
    has "tackhold $verb"
    sed -n 's/^\(-[^ ]*\).*/\1/p' "options of $verb" | grep -vx -e --help | while read -r option; do
        grep -qF -e "$option" out || echo "$verb $option"
    done
done <verbs >missing
[ -s missing ] && bad "$(cat missing)"
tr -s ' \t' ' ' <out >flat
# Every key, its help and its bounds.
python3 - "$program" flat <<'PY' >err 2>&1 || bad 'a key is missing'
import json, subprocess, sys
page = open(sys.argv[2], encoding="utf-8").read().replace("\n ", " ")
page = " ".join(page.split())
count = 0
for section in "job stock tape glue cutter machine coolant plate".split():
    shown = subprocess.run([sys.argv[1], "show", section, "--json"], capture_output=True, check=True)
    for key in json.loads(shown.stdout)["keys"]:
        text = f"{key['key']} {key['help']} ({key['bounds']}"
        assert " ".join(text.split()) in page, text
        count += 1
assert count > 150, count
PY
has 'Wear eye protection'
for word in TACKHOLD_TABLES XDG_DATA_HOME '~/.config/tackhold/shop.ini' \
    'tackhold check examples/clock-dial.ini --set cut.2.axial=0.3mm' \
    "tackhold log add part.ini let-go --note \"third pass, corner lifted\""; do
    has "$word"
done
! LC_ALL=C grep -q '\\' out || bad 'an escape is left over'
name='output closed'
ran=$((ran + 1))
"$program" --mdoc >/dev/full 2>err
[ $? = 3 ] || bad 'not exit code 3'

# ---- completion --------------------------------------------------------------------------------
name='completion: shellcheck'
ran=$((ran + 1))
shellcheck "$completion" "$here/complete.bash" >out 2>err || bad 'faults'

mkdir bin jobs 'jobs/more' tables
ln -s "$program" bin/tackhold
cp "$top/examples/bracket.ini" jobs/bracket.ini
: >'jobs/two words.ini'
: >jobs/tests.csv
: >jobs/notes.txt
# offers LINE WORDS: what is offered for a line, all of it.
offers() {
    name="completion: $1"
    ran=$((ran + 1))
    printf '%s\n' "$1" | PATH="$work/bin:$PATH" bash "$here/complete.bash" "$completion" >out 2>err
    quiet
    [ "$(cat out)" = "$1-> $2" ] || bad "instead of $2"
}
everything=$(cut -d ' ' -f 1 verbs | LC_ALL=C sort -u | sed 's/^/ /' | tr -d '\n')
offers 'tackhold ' "--help --version$everything"
offers 'tackhold lo' 'log'
offers 'tackhold log ' 'add show'
offers 'tackhold log add jobs/' 'jobs/bracket.ini jobs/more jobs/two words.ini'
offers 'tackhold log add jobs/bracket.ini ' 'held let-go moved'
offers 'tackhold log add --note text jobs/bracket.ini l' 'let-go'
offers 'tackhold log add jobs/bracket.ini held ' ''
offers 'tackhold log add jobs/bracket.ini --n' '--no-shop --note'
offers 'tackhold log show --outcome ' 'held let-go moved'
offers 'tackhold log show --outcome=m' 'moved'
offers 'tackhold check jobs/b' 'jobs/bracket.ini'
offers 'tackhold check --before jobs/b' 'jobs/bracket.ini'
offers 'tackhold check x.ini --tables t' 'tables'
offers 'tackhold pull jobs/t' 'jobs/tests.csv'
offers 'tackhold pull x.csv --like polyi' 'polyimide-silicone'
offers 'tackhold tape x.ini --only ' 'coolant dry'
offers 'tackhold list pl' 'plate'
offers 'tackhold show ho' 'hold'
offers 'tackhold show glue ca-th' 'ca-thin'
offers 'tackhold show tape painters' 'painters-paper'
offers 'tackhold check --set ho' 'hold.'
offers 'tackhold check --set hold.cool' 'hold.cooling='
offers 'tackhold check --set hold.tape=painters' 'painters-paper'
offers 'tackhold check --set cut.3.last_a' 'cut.3.last_axial='
offers 'tackhold check --set=cutter.em.id=flat-6mm-4-h' 'flat-6mm-4-hss'
offers 'tackhold nonsense ' ''
# What was typed must not act as a pattern, still less as a command.
offers 'tackhold check --a//;s,.*,>ran,e;#=x' ''
offers 'tackhold check --a//;s,.*,>ran,e;# ' 'bin jobs tables'
offers 'tackhold l.g ' ''
[ ! -e ran ] || bad 'typed words were run'
while read -r verb; do
    offers "tackhold $verb -" "$(sed 's/ .*//' "options of $verb" | LC_ALL=C sort | tr '\n' ' ' | sed 's/ $//')"
done <verbs

# ---- install -----------------------------------------------------------------------------------
name='install'
ran=$((ran + 1))
build=$(dirname "$program")
make -s -C "$top" BUILD="$build" DESTDIR="$work/root" install >out 2>err || bad 'failed'
cmp -s page root/usr/local/share/man/man1/tackhold.1 || bad 'no manual page, or another one'
cmp -s "$completion" root/usr/local/share/bash-completion/completions/tackhold || bad 'no completion'
root/usr/local/bin/tackhold list tape >out 2>err || bad 'it does not run'
name='uninstall'
ran=$((ran + 1))
make -s -C "$top" BUILD="$build" DESTDIR="$work/root" uninstall >out 2>err || bad 'failed'
find root ! -type d >out
[ -s out ] && bad 'files are left'

echo "$((ran - failed)) passed, $failed failed"
[ "$ran" -gt 50 ] && [ "$failed" = 0 ]
