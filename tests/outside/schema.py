"""Holds case files against the schema that the program prints, by an outside validator.

    venv/bin/python tests/outside/schema.py PROGRAM SCRATCH EXAMPLE...
"""

import copy
import json
import pathlib
import subprocess
import sys
import tomllib

from jsonschema import Draft202012Validator

WRONG = [
    ("rim", "seat_diameter", 621.95),
    ("rim", "seat_diameter", "621.95 bar"),
    ("rim", "seat_diametre", "621.95 mm"),
    ("spokes", "count", "28"),
    ("spokes", "count", 28.5),
    ("limits", "criterion", "never"),
    ("contact", "friction", "0.3 mm"),
    ("vary", "rim.seat_diameter", "621.95 mm"),
    ("vary", "rim.seat_diameter", ["621.95 bar"]),
    ("vary", "rim.seat_diametre", ["621.95 mm"]),
    ("vary", "rim.flange_height", {"from": "5 mm", "to": "6 mm"}),
]


def main(program, scratch, examples):
    schema = json.loads(subprocess.run([program, "schema"], capture_output=True, check=True).stdout)
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    starter = pathlib.Path(scratch) / "starter.toml"
    starter.unlink(missing_ok=True)
    subprocess.run([program, "draft", "--quiet", str(starter)], check=True)
    commented = "\n".join(line.removeprefix("#") if " = " in line and line.startswith("#") and not line.startswith("# ") else line
                          for line in starter.read_text().splitlines())
    cases = [tomllib.loads(pathlib.Path(e).read_text()) for e in [*examples, starter]] + [tomllib.loads(commented)]
    for case in cases:
        faults = [f"{'.'.join(map(str, e.path))}: {e.message}" for e in validator.iter_errors(case)]
        assert not faults, faults
    for table, key, value in WRONG:
        case = copy.deepcopy(cases[0])
        case.setdefault(table, {})[key] = value
        assert not validator.is_valid(case), f"{table}.{key} = {value!r} passes"
    for table in ["rim", "spokes", "bead", "casing", "pressure"]:
        case = copy.deepcopy(cases[0])
        del case[table]
        assert not validator.is_valid(case), f"a case without {table} passes"
    # A ring must have its stiffness; that of a section follows from it.
    ring = copy.deepcopy(next(case for case in cases if "section" not in case))
    del ring["rim"]["hoop_stiffness"]
    assert not validator.is_valid(ring), "a rim without stiffness and section passes"
    print(f"schema: {len(cases)} cases pass, {len(WRONG) + 6} wrong ones do not")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], sys.argv[3:])
