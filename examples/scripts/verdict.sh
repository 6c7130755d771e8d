#!/bin/sh
# Assesses case files and says by the exit codes of hoopwright what became of each: for a makefile or a job that runs by night.
#
#   sh examples/scripts/verdict.sh CASE...
#
# Ends with the worst code of all: 0 every stated limit is kept, 1 one is not, 2 wrong input, 3 no equilibrium found (no answer).
# HOOPWRIGHT names the program if it is not on the path. Of invented cases only: a calculation approves nothing.
set -u

if [ $# -eq 0 ]; then
    printf 'usage: sh verdict.sh CASE...\n' >&2
    exit 2
fi

worst=0
for case in "$@"; do
    # The table is thrown away; what went wrong stays on standard error.
    "${HOOPWRIGHT:-hoopwright}" assess --quiet "$case" >/dev/null
    code=$?
    case $code in
        0) word='kept: every stated limit' ;;
        1) word='NOT kept: a stated limit' ;;
        2) word='wrong input: see the message' ;;
        3) word='no answer: no equilibrium was found; neither a hold nor a release' ;;
        *) word='the program did not run' ;;
    esac
    printf '%s\t%s\t%s\n' "$code" "$case" "$word"
    [ "$code" -gt "$worst" ] && worst=$code
done
exit "$worst"
