#!/usr/bin/env bash
# Sends a study to Slurm as a job array of parts, and a job behind it that joins them:
#
#     PARTS=8 bash examples/cluster/submit.sh vary examples/05_seat_sizing.toml --out out/vary
#
# Arguments are those of hoopwright. HOOPWRIGHT names the program if it is not on the path.
set -euo pipefail

: "${PARTS:?say how many parts the study has, as in PARTS=8}"
here=$(dirname "$0")
export PARTS
parts=$(sbatch --parsable --array="1-$PARTS" "$here/parts.slurm" "$@")
# Sent only when every part is done; a part that failed keeps it waiting, and `scancel` takes it away.
joined=$(sbatch --parsable --dependency="afterok:$parts" "$here/join.slurm" "$@")
printf 'parts %s, joined by %s\n' "$parts" "$joined"
