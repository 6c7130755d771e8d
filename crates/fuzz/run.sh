#!/usr/bin/env bash
# Fuzzes what reads files, guided by coverage: `bash crates/fuzz/run.sh SECONDS [TARGET...]`, each target for so many seconds in turn.
# Needs a C++ compiler besides cargo (for libFuzzer). Corpora, finds and logs lie in target/fuzz.
set -euo pipefail
cd "$(dirname "$0")/../.."

seconds=${1:?SECONDS is missing}
shift
targets=("$@")
[ ${#targets[@]} -gt 0 ] || targets=(case dxf msh stretch growth hold tyres study samples fixture measured)

# The program's own versions of everything; what counts the edges taken is an ordinary pass of the stable compiler.
cp Cargo.lock crates/fuzz/Cargo.lock
export CARGO_TARGET_DIR=$PWD/target/fuzz
sancov='-Cpasses=sancov-module'
for option in level=4 inline-8bit-counters pc-table trace-compares; do
    sancov+=" -Cllvm-args=-sanitizer-coverage-$option"
done
RUSTFLAGS="$sancov --cfg fuzzing -Ccodegen-units=1" cargo build --release --manifest-path crates/fuzz/Cargo.toml --target "$(rustc -vV | sed -n 's/^host: //p')"
program=$(ls target/fuzz/*/release/hoopwright-fuzz)

# The words of case files and logs, which no chance finds.
words=target/fuzz/words.txt
{
    grep -oh '`[a-z_.]*`' crates/case/INPUTS.md | tr -d '`'
    printf '%s\n' vary map sizes service tolerance from to count combine list grid deviation within between mode values column correlation \
        gauge_error choose target interval seed bar mm kN kPa psi MPa deg 'N/mm' time force travel pressure diameter NaN inf 1e308 -1e-308 \
        9223372036854775807 ENDSEC LWPOLYLINE POLYLINE VERTEX SEQEND ARC LINE SPLINE CIRCLE INSERT BLOCK HEADER '$INSUNITS' ENTITIES \
        '$Elements' '$Nodes' '$EndNodes' '$PhysicalNames' '$MeshFormat'
} | sort -u | sed 's/.*/"&"/' > "$words"

failed=0
for target in "${targets[@]}"; do
    folder=target/fuzz/found/$target
    mkdir -p "$folder/corpus" "$folder/seeds"
    echo "== $target"
    # A file that takes longer than a minute, on a machine however busy, is a find; so is one that takes more memory.
    FUZZED=$target SEEDS=$folder/seeds nice -n 19 "$program" "$folder/corpus" "$folder/seeds" -max_total_time="$seconds" -timeout=60 \
        -report_slow_units=2 -rss_limit_mb=900 -malloc_limit_mb=500 -max_len="${MAX_LEN:-70000}" -dict="$words" \
        -artifact_prefix="$folder/" -print_final_stats=1 > "$folder/log.txt" 2>&1 || failed=1
    grep -E 'stat::number_of_executed|SUMMARY|panicked|DONE|Done|slow unit|Slowest' "$folder/log.txt" | tail -8
done
exit $failed
