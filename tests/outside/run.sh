#!/usr/bin/env bash
# Assesses the first example and reads every file it writes with outside libraries. Needs cargo, python3 with venv, and PyPI.
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
if ! cmp -s tests/outside/requirements.txt "$folder/venv/requirements.txt"; then
    rm -rf "$folder/venv"
    python3 -m venv "$folder/venv" ||
        fail 'python3 makes no virtual environment: install its venv module (Debian: apt-get install python3-venv)'
    "$folder/venv/bin/python" -m pip install --quiet --disable-pip-version-check -r tests/outside/requirements.txt ||
        fail 'pip could not install tests/outside/requirements.txt: connect this machine to PyPI or to a mirror of it'
    # Marks the environment as complete.
    cp tests/outside/requirements.txt "$folder/venv/requirements.txt"
fi

cargo build --release --quiet
rm -rf "$folder/out"
target/release/hoopwright assess examples/01_road_holds.toml --quiet --out "$folder/out" >"$folder/table.txt" ||
    fail 'examples/01_road_holds.toml does not hold'
"$folder/venv/bin/python" tests/outside/read_outputs.py "$folder/out" examples/01_road_holds.toml
if chromium=$(command -v chromium || command -v chromium-browser); then
    python3 tests/outside/page.py "$folder/out" "$chromium"
else
    printf 'tests/outside: no chromium here: report.html is not opened (Debian: apt-get install chromium)\n'
fi
"$folder/venv/bin/python" tests/outside/schema.py target/release/hoopwright "$folder" examples/*.toml
