#!/bin/sh
# run.sh PROGRAM: the card and the pictures of every example, looked at by look.py; and whether
# look.py sees what it should.
set -u
program=$(realpath "${1:?usage: run.sh PROGRAM}")
here=$(dirname "$(realpath "$0")")
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
# expect LABEL CODE COMMAND... : an exit code.
expect() {
    label=$1
    code=$2
    shift 2
    "$@" >"$work/out" 2>&1
    got=$?
    if [ "$got" = "$code" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED: $label: exit code $got instead of $code"
        head -n 20 "$work/out"
    fi
}
look() { /usr/bin/python3 "$here/look.py" "$@"; }

for job in "$here"/../../examples/*.ini; do
    name=$(basename "$job" .ini)
    expect "card of $name" 0 "$program" card --no-shop "$job" -o "$work/$name.html"
    expect "look at the card of $name" 0 look "$work/$name.html"
    for what in part stack heat; do
        expect "$what of $name" 0 "$program" picture --no-shop "$job" --what $what \
            -o "$work/$name-$what.svg"
        expect "look at $what of $name" 0 look "$work/$name-$what.svg"
    done
done
for name in front-panel gearbox-spacer knife-scale-push; do
    expect "limits of $name" 0 "$program" picture --no-shop "$here/../../examples/$name.ini" \
        --what limits -o "$work/$name-limits.svg"
    expect "look at limits of $name" 0 look "$work/$name-limits.svg"
done

# Cards of programs: in mm and in inches, with pieces set free, and where the tape is too warm.
program_card() {
    expect "card of the program $1" 1 "$program" program --no-shop "$2.ini" "$3" --card "$work/$1.html"
    expect "look at the card of the program $1" 0 look "$work/$1.html"
}
program_card pockets "$here/pockets" "$here/pockets.nc"
program_card drilled "$here/drilled" "$here/drilled.nc"
program_card cover-plate "$here/../../examples/cover-plate" "$here/../../examples/cover-plate.ngc"

# Faults put into a good card, one at a time.
good=$work/bracket.html
spoil() {
    sed "$2" "$good" >"$work/bad.html"
    cmp -s "$good" "$work/bad.html" && echo "nothing was spoilt" >>"$work/bad.html"
    expect "look.py sees $1" 1 look "$work/bad.html"
}
spoil 'pale text' 's/;color:#1b1b1b/;color:#999/'
spoil 'pale words in a picture' 's/<text \(.*\)fill="#4a4a4a"/<text \1fill="#aaaaaa"/'
spoil 'an element that is not closed' 's,</dl>,,'
spoil 'a second <h1>' 's,<h2>,<h1>,; s,</h2>,</h1>,'
spoil 'a head without scope' 's/ scope="col"//'
spoil 'a picture without description' 's,<desc id="heat-about">.*</desc>,,'
spoil 'a script' 's,</main>,<script></script></main>,'
spoil 'something loaded' 's,</main>,<img src="x.png" alt=""></main>,'
spoil 'a picture shrunk on paper' 's/#the-stack{grid-column:6/#the-stack{grid-column:8/'
spoil 'a picture kept low on paper' 's/section svg,figure,li/#the-stack svg{max-height:40mm}section svg,figure,li/'
spoil 'small type in a picture' 's/font-size="11.5"/font-size="10"/'
spoil 'small type on paper' 's/small{font-size:8pt}/small{font-size:7pt}/'
spoil 'type without size on paper' 's/small{font-size:8pt}//'
spoil 'no inks for a dark screen' 's/prefers-color-scheme:dark/prefers-color-scheme:light/'
spoil 'dark text on a dark screen' 's/;color:#e8e8e8}/;color:#3a3a3a}/'
spoil 'two equal ids' 's/id="the-stack"/id="the-hold"/'

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
