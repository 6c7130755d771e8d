#!/usr/bin/env bash
# Runs examples/cluster on a Slurm of one node: bash tests/outside/cluster.sh
#
# One part is killed by signal 9. The node then fails with the others on it, and comes back. The joined table must be that of an undisturbed
# run, byte for byte. Not part of .ci/run. Needs root and Slurm (Debian: apt-get install slurmctld slurmd slurm-client munge); it is skipped,
# and says so, where that is missing. Everything lies in a temporary folder, daemons included.
set -euo pipefail
cd "$(dirname "$0")/../.."

skip() {
    printf 'tests/outside: %s: the cluster is skipped (Debian, as root: apt-get install slurmctld slurmd slurm-client munge)\n' "$1"
    exit 0
}
[ "$(id -u)" -eq 0 ] || skip 'not root'
PATH=$PATH:/usr/sbin
for needed in slurmctld slurmd sbatch scontrol munged mungekey; do
    command -v "$needed" >/dev/null || skip "no $needed here"
done
program=${HOOPWRIGHT:-$PWD/target/release/hoopwright}
[ -x "$program" ] || { printf 'build the program first: cargo build --release\n' >&2; exit 2; }
examples=$PWD/examples

folder=$(mktemp -d)
chmod 755 "$folder"
declare -A daemons=()
end() {
    for pid in "${daemons[@]}"; do
        kill -9 "$pid" 2>/dev/null || true
    done
    if [ -n "${KEEP:-}" ]; then
        printf 'kept: %s\n' "$folder"
    else
        rm -rf "$folder"
    fi
}
trap end EXIT

fail() {
    printf 'tests/outside/cluster.sh: %s\n' "$1" >&2
    tail -n 5 "$folder"/log/* "$folder"/*.log >&2 2>/dev/null || true
    exit 1
}
# Waits until a command succeeds, so many seconds at most.
wait_for() {
    local seconds=$1 what=$2
    shift 2
    for _ in $(seq "$((seconds * 5))"); do
        if "$@" >/dev/null 2>&1; then
            return 0
        fi
        sleep 0.2
    done
    fail "waited $seconds s for $what"
}

# --- A Slurm of one node. A job that was sent again waits until the credential of its first run expires, 120 s unless told.
node=$(hostname -s)
mkdir -p "$folder"/{log,state,spool,run}
export SLURM_CONF=$folder/slurm.conf
cat >"$SLURM_CONF" <<CONF
ClusterName=one
SlurmctldHost=$node
SlurmUser=root
AuthType=auth/munge
AuthInfo=socket=$folder/run/munge,cred_expire=10
SlurmctldPort=$((20000 + RANDOM % 10000))
SlurmdPort=$((30000 + RANDOM % 10000))
StateSaveLocation=$folder/state
SlurmdSpoolDir=$folder/spool
SlurmctldPidFile=$folder/run/slurmctld.pid
SlurmdPidFile=$folder/run/slurmd.pid
SlurmctldLogFile=$folder/log/slurmctld.log
SlurmdLogFile=$folder/log/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
SwitchType=switch/none
MpiDefault=none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
ReturnToService=2
JobRequeue=1
SchedulerParameters=sched_interval=2,batch_sched_delay=1
NodeName=$node CPUs=$(nproc) State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES MaxTime=INFINITE State=UP
CONF
mungekey --create --keyfile "$folder/run/key"
munged --foreground --force --key-file "$folder/run/key" --socket "$folder/run/munge" --pid-file "$folder/run/munged.pid" \
    --seed-file "$folder/run/seed" --log-file "$folder/log/munged.log" >/dev/null 2>&1 &
daemons[munged]=$!
wait_for 20 munged test -S "$folder/run/munge"
slurmctld -D >/dev/null 2>&1 &
daemons[slurmctld]=$!
start_node() {
    slurmd -D >/dev/null 2>&1 &
    daemons[slurmd]=$!
}
start_node
is_up() { sinfo --noheader --format=%t | grep -qE '^(idle|mix|alloc)$'; }
wait_for 60 'the node' is_up

# --- The study: 12 variants of an invented tyre, undisturbed.
cd "$folder"
# One path a variant: without friction, and judged by its off-centre release.
{
    cat "$examples/01_road_holds.toml"
    cat <<'CASE'

[limits]
criterion = "off-centre release"

[contact]
friction = 0

[vary]
"rim.seat_diameter" = { from = "621.5 mm", to = "622.4 mm", count = 6 }
"bead.stiffness" = ["300 kN", "400 kN"]
CASE
} >case.toml
code=0
"$program" vary case.toml --out alone --quiet >alone.txt || code=$?
[ "$code" -le 3 ] && [ "$code" -ne 2 ] || fail "the undisturbed run ended with $code"

# --- The same in three parts.
export HOOPWRIGHT=$program
sent=$(PARTS=3 bash "$examples/cluster/submit.sh" vary case.toml --out out)
parts=$(sed -n 's/^parts \([0-9]*\).*/\1/p' <<<"$sent")
joined=$(sed -n 's/.*joined by \([0-9]*\)$/\1/p' <<<"$sent")
rows() { wc -l <"out/vary_$1_of_3.csv.unfinished"; }
has_rows() { [ "$(rows "$1")" -ge "$2" ]; }
# The program's process of a part; the job's script and its daemon are others.
process_of() {
    local job pid
    job=$(squeue --noheader --array --jobs="$parts" --format='%A %K' | awk -v part="$1" '$2 == part { print $1 }')
    for pid in $(scontrol listpids "$job" | awk 'NR > 1 { print $1 }'); do
        if [ "$(cat "/proc/$pid/comm" 2>/dev/null)" = "$(basename "$program")" ]; then
            echo "$pid"
        fi
    done
}

wait_for 120 'a row of part 1' has_rows 1 2
kill -9 "$(process_of 1)"
wait_for 60 'the second try of part 1' grep -q 'ended by signal 9' hoopwright-part-1.log
printf 'part 1 was killed by signal 9 and goes on\n'

wait_for 120 'a row of part 2' has_rows 2 2
# The node fails: its daemon and all that runs on it are gone at once.
mapfile -t running < <(scontrol listpids | awk 'NR > 1 && $1 > 0 { print $1 }')
kill -9 "${daemons[slurmd]}"
for pid in "${running[@]}"; do
    parent=$(awk '/^PPid/ { print $2 }' "/proc/$pid/status" 2>/dev/null || true)
    [ "$(cat "/proc/${parent:-0}/comm" 2>/dev/null)" = slurmstepd ] && kill -9 "$parent" 2>/dev/null || true
    kill -9 "$pid" 2>/dev/null || true
done
scontrol update nodename="$node" state=down reason='test of a failure'
is_sent_again() { scontrol show job "$parts" | grep -qE 'Restarts=[1-9]'; }
wait_for 60 'the parts to be sent again' is_sent_again
start_node
scontrol update nodename="$node" state=resume
printf 'the node failed and is back; its parts were sent again\n'

is_done() { grep -q '^exit code' hoopwright-join.log; }
wait_for 600 "the joining job $joined" is_done
cmp alone/vary.csv out/vary.csv || fail 'the joined table is another one'
grep -q '12 of them kept from an earlier run' hoopwright-join.log || fail 'the joining job solved something'
printf 'tests/outside/cluster.sh: the joined table of 12 variants is that of the undisturbed run, byte for byte\n'
