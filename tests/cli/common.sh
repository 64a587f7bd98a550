# common.sh: what the tests of the command line share. Sets ran and failed to 0; needs $program and
# $here, and reads and writes in, out and err in the working directory.
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

# An invented plate on its tape, to which cutters and cuts are still to come.
plate_head() {
    cat <<'JOB'
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
JOB
}
