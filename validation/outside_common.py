"""What the scripts that run outside libraries share: writing and comparing stored values."""

import csv
import re
import sys


def place(name):
    """Pattern of a check's reference value in a problem.toml: what stands before it, and the value."""
    return rf'(name = "{re.escape(name)}"\n(?:(?!\[\[check)[^\n]*\n)*?reference = )(\S+)'


def settle(folder, library, rows, tolerance=1e-5):
    """`rows`: (mesh, {quantity: value}) from coarse to fine. With --write stores the study and the finest values, else compares."""
    path, study = folder / "problem.toml", folder / "mesh_study.csv"
    finest = rows[-1][1]
    text = path.read_text()
    if "--write" in sys.argv:
        with study.open("w", newline="") as file:
            table = csv.writer(file, lineterminator="\n")
            table.writerow(["library", "mesh", "quantity", "value"])
            table.writerows([library, mesh, name, f"{value:.10g}"] for mesh, values in rows for name, value in values.items())
        for name, value in finest.items():
            text, count = re.subn(place(name), rf"\g<1>{value:.10g}", text)
            assert count == 1, f"{name}: no place for it in {path.name}"
        path.write_text(text)
        return
    wrong = 0
    for name, value in finest.items():
        stored = re.search(place(name), text)
        assert stored, f"{name}: not in {path.name}"
        difference = abs(float(stored[2]) - value)
        if difference > tolerance * abs(value):
            wrong += 1
            print(f"{folder.name}/{name}: stored {stored[2]}, found {value:.8g}")
    print(f"{folder.name}: {len(finest)} values of {library}, {wrong} differ from those stored")
    sys.exit(wrong > 0)
