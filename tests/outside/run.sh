#!/usr/bin/env bash
# Assesses two examples and runs a small study of every kind; reads every file they write with outside libraries; opens and prints their
# pages; runs the Python example. Needs cargo, python3 with venv, and PyPI.
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
[ -n "$chromium" ] || printf 'tests/outside: no chromium here: the pages are skipped, neither opened nor printed (Debian: apt-get install chromium)\n'
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
# One section drawn without a screen.
section=$(find "$folder/out/01_road_holds/vtk" -name 'section_*.vtu' | sort | tail -n 1)
"$folder/venv/bin/python" tests/outside/picture.py "$section" cauchy_tt_mpa "$folder/section.png" 2>"$folder/render.txt" ||
    fail "$section cannot be drawn: $(cat "$folder/render.txt")"
# A small study of every kind: its tables by data-frame libraries, its page.
# study NAME ARGUMENTS...: runs it into out/NAME, its JSON into out/NAME.json. A limit that is not kept (1) is an answer.
study() {
    local name=$1
    shift
    target/release/hoopwright "$@" --quiet --json --out "$folder/out/$name" >"$folder/out/$name.json" || [ $? -eq "${may_end:-1}" ] ||
        fail "the study $name failed"
}
# case_with FILE TABLE: the first example without friction and by its off-centre release, which takes an eighth of the time, with a table
# of a study.
by_shift='[limits]\ncriterion = "off-centre release"\n'
case_with() {
    sed "s/^\[rim\]/$2\n$by_shift\n[contact]\nfriction = 0\n\n[rim]/" examples/01_road_holds.toml >"$folder/$1"
}
case_with vary.toml '[vary]\n"rim.seat_diameter" = ["621.5 mm", "621.95 mm"]\n"spokes.count" = [24, 28]\n'
study vary vary "$folder/vary.toml"
sed 's/count = 20/count = 4/' examples/07_bead_map.toml >"$folder/map.toml"
cp examples/07_tyres.csv "$folder/"
study map map "$folder/map.toml"
printf 'circumference [mm]\n1953.13\n1953.60\n1953.82\n1953.92\n1954.05\n1954.39\n' >"$folder/tape.csv"
spreads='"bead.stiffness" = { mean = "440 kN", deviation = "10 kN" }\n"rim.seat_circumference" = { values = "tape.csv", column = "circumference" }\n'
case_with tolerance.toml "[tolerance]\\nmost_solves = 50\\n$spreads"
study tolerance tolerance "$folder/tolerance.toml"
sed 's/"19 mm", "21 mm", "23 mm", "25 mm"/"19 mm", "23 mm"/' examples/13_sizes.toml >"$folder/sizes.toml"
study sizes sizes "$folder/sizes.toml"
cp examples/14_service.toml "$folder/service.toml"
study service service "$folder/service.toml"
sed "s/^\[rim\]/$by_shift\n[rim]/" examples/01_road_holds.toml >"$folder/calibrate.toml"
head -n 8 examples/07_tyres.csv >"$folder/tyres.csv"
study calibrate calibrate "$folder/calibrate.toml" "$folder/tyres.csv"
mkdir -p "$folder/logs"
cp examples/09_fixture_half_discs.toml "$folder/fixture.toml"
cp examples/09_stretch_half_discs.csv "$folder/logs/a.csv"
# A log of a few rows has no answer, which exit code 3 says.
head -n 20 examples/09_stretch_half_discs.csv >"$folder/logs/b.csv"
may_end=3 study batch rig stretch "$folder/logs" --fixture "$folder/fixture.toml"
"$folder/venv/bin/python" tests/outside/tables.py target/release/hoopwright "$folder"
study pairs pairs examples/16_tyres.csv examples/16_rims.csv
study hold rig hold examples/11_hold.csv --rated '5 bar'
study stretch rig stretch examples/09_stretch_half_discs.csv --fixture examples/09_fixture_half_discs.toml
if [ -n "$chromium" ]; then
    for page in vary map tolerance sizes service calibrate batch hold stretch pairs; do
        python3 tests/outside/page.py "$folder/out/$page" "$chromium"
        "$folder/venv/bin/python" tests/outside/paper.py "$folder/out/$page" "$chromium"
    done
    python3 tests/outside/list.py "$folder/out/pairs" "$chromium"
fi
# The Python module, on the study that was solved above.
PYTHONDONTWRITEBYTECODE=1 SOLVED=$PWD/$folder HOOPWRIGHT=$PWD/target/release/hoopwright PYTHONPATH=crates/python/src \
    "$folder/venv/bin/python" -m pytest -q -p no:cacheprovider crates/python/tests
HOOPWRIGHT=target/release/hoopwright "$folder/venv/bin/python" examples/scripts/sweep.py "$folder/sweep" >"$folder/sweep.txt" ||
    fail 'examples/scripts/sweep.py failed'
"$folder/venv/bin/python" tests/outside/sweep.py "$folder/sweep" "$folder/sweep.txt"
# A fixture of the bench is no case.
cases=$(grep -L "^\[fixture\]" examples/*.toml examples/tutorials/*.toml)
# shellcheck disable=SC2086
"$folder/venv/bin/python" tests/outside/schema.py target/release/hoopwright "$folder" $cases
