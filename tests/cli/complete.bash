#!/bin/bash
# complete.bash FILE: load the completion and print what it offers for each line of standard input, sorted.
# A line is split as bash does it: at blanks, and = a word of its own.
set -u
# shellcheck source=/dev/null
. "$1" || exit 1
[[ $(complete -p tackhold) == 'complete -F _tackhold tackhold' ]] || exit 1
while IFS= read -r line; do
    COMP_WORDS=()
    read -r -a typed <<<"$line"
    for word in "${typed[@]}"; do
        if [[ $word == *=* ]]; then
            COMP_WORDS+=("${word%%=*}" "=")
            if [[ -n ${word#*=} ]]; then COMP_WORDS+=("${word#*=}"); fi
        else
            COMP_WORDS+=("$word")
        fi
    done
    if [[ $line == *' ' ]]; then COMP_WORDS+=(''); fi
    COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
    COMPREPLY=()
    _tackhold
    mapfile -t offered < <(printf '%s\n' "${COMPREPLY[@]}" | LC_ALL=C sort)
    printf '%s-> %s\n' "$line" "${offered[*]}"
done
