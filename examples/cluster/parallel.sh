#!/usr/bin/env bash
# A study in parts by GNU parallel, on this machine or on many by ssh, then joined:
#
#     PARTS=8 bash examples/cluster/parallel.sh vary examples/05_seat_sizing.toml --out out/vary
#     PARTS=64 MACHINES=machines.txt bash examples/cluster/parallel.sh vary /shared/case.toml --out /shared/vary
#
# MACHINES is a file with a machine a line, as `parallel --sshloginfile` reads it; all of them must see the folders under the same names.
# HOOPWRIGHT names the program if it is not on the path. JOBS is how many parts run at a time on a machine, one a processor by default.
# A calculation approves nothing: a bead that lets go under pressure injures people.
set -euo pipefail

: "${PARTS:?say how many parts the study has, as in PARTS=8}"
program=${HOOPWRIGHT:-hoopwright}
where=()
if [ -n "${MACHINES:-}" ]; then
    where=(--sshloginfile "$MACHINES" --workdir "$PWD")
fi
# A part goes on where it stopped, so that one that was killed may be tried again. Each part is one thread: parts are what runs at a time.
seq 1 "$PARTS" | parallel --quote --jobs "${JOBS:-100%}" --retries 3 "${where[@]}" "$program" "$@" --threads 1 --part "{}/$PARTS"
exec "$program" "$@"
