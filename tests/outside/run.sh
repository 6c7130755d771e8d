#!/usr/bin/env bash
# Assesses two examples and reads every file they write with outside libraries; opens and prints their pages and those of studies; runs
# the Python example. Needs cargo, python3 with venv, and PyPI.
set -euo pipefail
cd "$(dirname "$0")/../.."

fail() {
    printf 'tests/outside: %s\n' "$1" >&2
    exit 1
}

folder=target/outside
mkdir -p "$folder"

command -v python3 >/dev/null || fail 'python3 is missing: install it (Debian: apt-get install python3 python3-venv)'
python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' || fail 'python3 is older than 3.11: install a newer one'
wanted=$(cat tests/outside/requirements.txt examples/scripts/requirements.txt)
if [ "$wanted" != "$(cat "$folder/venv/requirements.txt" 2>/dev/null)" ]; then
    rm -rf "$folder/venv"
    python3 -m venv "$folder/venv" ||
        fail 'python3 makes no virtual environment: install its venv module (Debian: apt-get install python3-venv)'
    "$folder/venv/bin/python" -m pip install --quiet --disable-pip-version-check \
        -r tests/outside/requirements.txt -r examples/scripts/requirements.txt ||
        fail 'pip could not install the requirements: connect this machine to PyPI or to a mirror of it'
    # Marks the environment as complete.
    printf '%s\n' "$wanted" >"$folder/venv/requirements.txt"
fi

cargo build --release --quiet
rm -rf "$folder/out" "$folder/sweep"
chromium=$(command -v chromium || command -v chromium-browser || true)
[ -n "$chromium" ] || printf 'tests/outside: no chromium here: report.html is not opened (Debian: apt-get install chromium)\n'
# One with a rim as a ring, one with a meshed rim section.
for case in 01_road_holds 06_elastic_rim; do
    target/release/hoopwright assess "examples/$case.toml" --quiet --out "$folder/out/$case" >"$folder/table.txt" ||
        fail "examples/$case.toml does not hold"
    "$folder/venv/bin/python" tests/outside/read_outputs.py "$folder/out/$case" "examples/$case.toml"
    if [ -n "$chromium" ]; then
        python3 tests/outside/page.py "$folder/out/$case" "$chromium"
        "$folder/venv/bin/python" tests/outside/paper.py "$folder/out/$case" "$chromium"
    fi
done
# The pages of the studies; a small map is enough for its page.
if [ -n "$chromium" ]; then
    sed 's/count = 20/count = 4/' examples/07_bead_map.toml >"$folder/map.toml"
    cp examples/07_tyres.csv "$folder/"
    # A coarse map may miss the window: exit code 1.
    target/release/hoopwright map "$folder/map.toml" --quiet --out "$folder/out/map" >"$folder/table.txt" || [ $? -eq 1 ] ||
        fail 'the small map failed'
    target/release/hoopwright rig hold examples/11_hold.csv --rated '5 bar' --quiet --out "$folder/out/hold" >"$folder/table.txt" ||
        fail 'examples/11_hold.csv does not hold'
    target/release/hoopwright rig stretch examples/09_stretch_half_discs.csv --fixture examples/09_fixture_half_discs.toml --quiet \
        --out "$folder/out/stretch" >"$folder/table.txt" || fail 'examples/09_stretch_half_discs.csv has no answer'
    for page in map hold stretch; do
        python3 tests/outside/page.py "$folder/out/$page" "$chromium"
        "$folder/venv/bin/python" tests/outside/paper.py "$folder/out/$page" "$chromium"
    done
fi
HOOPWRIGHT=target/release/hoopwright "$folder/venv/bin/python" examples/scripts/sweep.py "$folder/sweep" >"$folder/sweep.txt" ||
    fail 'examples/scripts/sweep.py failed'
"$folder/venv/bin/python" tests/outside/sweep.py "$folder/sweep" "$folder/sweep.txt"
# A fixture of the bench is no case.
cases=$(grep -L "^\[fixture\]" examples/*.toml examples/tutorials/*.toml)
# shellcheck disable=SC2086
"$folder/venv/bin/python" tests/outside/schema.py target/release/hoopwright "$folder" $cases
