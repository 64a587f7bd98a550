#!/bin/sh
# demo.sh PROGRAM: the main job on a real example, and what to try next.
set -u
program=$1
example=examples/clock-dial.ini
echo "\$ $program check $example"
echo
"$program" check "$example"
case $? in
0 | 1) ;;
*) exit 1 ;;
esac
echo
echo "Next, try a lighter cut without editing the file:"
echo "  $program check $example --set cut.2.axial=0.01in"
echo "or describe a part of your own: $program new part.ini"
