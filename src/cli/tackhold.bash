# shellcheck shell=bash
# Completion of tackhold for bash. Verbs, their options and what each of them takes come from the
# program itself (--words), ids from its tables, so that this file says none of it twice.

# Offer those of the words (one a line) that begin with $cur.
_tackhold_offer() {
    local word
    COMPREPLY=()
    while IFS= read -r word; do
        case $word in '') ;; "$cur"*) COMPREPLY+=("$word") ;; esac
    done <<<"$1"
}

# What stands behind word $1 and a blank, of the lines of $2 that begin with it. The word is one that
# was typed: nothing in it may act as a pattern.
_tackhold_behind() {
    local line
    while IFS= read -r line; do
        case $line in "$1 "*) printf '%s\n' "${line#"$1 "}" ;; esac
    done <<<"$2"
}

# Files that end in $1, and directories on the way to them. Blanks in names are escaped by bash.
_tackhold_files() {
    local file
    COMPREPLY=()
    compopt -o filenames 2>/dev/null
    while IFS= read -r file; do
        if [[ -d $file || $file == *"$1" ]]; then COMPREPLY+=("$file"); fi
    done < <(compgen -f -- "$cur")
}

_tackhold_ids() {
    "$program" list "$1" --tab 2>/dev/null | tail -n +2 | cut -f 1
}

# A setting SECTION.KEY=VALUE: sections, then keys, then ids where the value is a row.
_tackhold_setting() {
    local section key
    if [[ $cur == *=* ]]; then
        key=${cur%%=*} cur=${cur#*=}
        case $key in
        hold.tape | hold.tape_below) _tackhold_offer "$(_tackhold_ids tape)" ;;
        hold.glue | hold.plate) _tackhold_offer "$(_tackhold_ids "${key#hold.}")" ;;
        hold.cooling) _tackhold_offer "$(_tackhold_ids coolant)" ;;
        part.stock) _tackhold_offer "$(_tackhold_ids stock)" ;;
        machine.id) _tackhold_offer "$(_tackhold_ids machine)" ;;
        cutter.*.id) _tackhold_offer "$(_tackhold_ids cutter)" ;;
        esac
        # bash takes what stands behind the = as a word of its own
        if [[ $COMP_WORDBREAKS != *=* ]]; then COMPREPLY=("${COMPREPLY[@]/#/$key=}"); fi
        return
    fi
    compopt -o nospace 2>/dev/null
    section=${cur%.*}
    if [[ $cur != *.* || $section == cutter || $section == cut || $section == opening ]]; then
        _tackhold_offer $'job.\npart.\nopening.1.\nhold.\nmachine.\ncutter.\ncut.1.\nzero.'
        return
    fi
    _tackhold_offer "$("$program" show "${section%%.*}" 2>/dev/null |
        sed -n 's/^# \([a-z][a-z_0-9]*\)  *[^ ].*/\1=/p' |
        while IFS= read -r key; do printf '%s.%s\n' "$section" "$key"; done)"
}

# What stands for an argument in a help text tells what may be offered for it.
_tackhold_argument() {
    local kind=${1#[} id
    kind=${kind%]}
    case $kind in
    *'|'*) _tackhold_offer "${kind//|/$'\n'}" ;;
    FILE.*) _tackhold_files ".${kind#FILE.}" ;;
    JOB* | FILE) _tackhold_files .ini ;;
    DIR) compopt -o filenames 2>/dev/null; mapfile -t COMPREPLY < <(compgen -d -- "$cur") ;;
    KIND) _tackhold_offer $'stock\ntape\nglue\ncutter\nmachine\ncoolant\nplate'"$more_kinds" ;;
    ID) id=$table; _tackhold_offer "$(_tackhold_ids "${id:-tape}")" ;;
    SECTION.KEY=VALUE) _tackhold_setting ;;
    esac
}

# Split the line into words again, = and : inside a word left there; `words` and `cur` get them.
_tackhold_words() {
    local i glued=
    words=()
    for ((i = 0; i <= COMP_CWORD; i++)); do
        local word=${COMP_WORDS[i]} last=$((${#words[@]} - 1))
        if [[ $word == [=:]* && $last -ge 0 && i -gt 1 ]]; then
            words[last]+=$word glued=yes
        elif [[ -n $glued ]]; then
            words[last]+=$word glued=
        else
            words+=("$word")
        fi
    done
    cur=${words[${#words[@]} - 1]}
}

# Walk over the words before the cursor: `wanted` gets the argument of an option that waits for
# one, `place` the number of plain words, `table` the first of them.
_tackhold_walk() {
    local i word
    wanted='' place=0 table=''
    for ((i = $1; i < ${#words[@]} - 1; i++)); do
        word=${words[i]}
        if [[ -n $wanted ]]; then
            wanted=
        elif [[ $word == -?* ]]; then
            wanted=$(_tackhold_behind "$word" "$options")
        else
            if [[ $place == 0 ]]; then table=$word; fi
            place=$((place + 1))
        fi
    done
}

_tackhold() {
    local cur program words=() verbs verb second options arguments=() wanted place table more_kinds='' first=2
    COMPREPLY=()
    program=${COMP_WORDS[0]}
    program=${program/#~\//$HOME/}
    _tackhold_words
    verbs=$("$program" --words 2>/dev/null) || return
    if [[ ${#words[@]} -le 2 ]]; then
        _tackhold_offer "$(cut -d ' ' -f 1 <<<"$verbs" | sort -u)"$'\n--help\n--version'
        return
    fi
    verb=${words[1]}
    second=$(_tackhold_behind "$verb" "$verbs")
    if [[ -n $second ]]; then # a verb of two words
        if [[ ${#words[@]} -le 3 ]]; then
            _tackhold_offer "$second"
            return
        fi
        first=3
    fi
    options=$("$program" "${words[@]:1:first-1}" --words 2>/dev/null) || return
    read -r -a arguments <<<"$(head -n 1 <<<"$options")"
    options=$(tail -n +2 <<<"$options")
    _tackhold_walk "$first"
    if [[ $verb == show ]]; then more_kinds=$'\njob\npart\nopening\nhold\ncut\nzero'; fi
    if [[ -n $wanted ]]; then
        if [[ $verb != show ]]; then table=; fi
        _tackhold_argument "$wanted"
    elif [[ $cur == --*=* ]]; then
        wanted=$(_tackhold_behind "${cur%%=*}" "$options") cur=${cur#*=} table=
        _tackhold_argument "$wanted"
    elif [[ $cur == -* ]]; then
        _tackhold_offer "$(cut -d ' ' -f 1 <<<"$options")"
    elif [[ $place -lt ${#arguments[@]} ]]; then
        _tackhold_argument "${arguments[place]}"
    fi
}

complete -F _tackhold tackhold
