"""Holds what examples/scripts/sweep.py printed and drew against the files it read.

    venv/bin/python tests/outside/sweep.py FOLDER PRINTED
"""

import csv
import json
import pathlib
import re
import sys

import matplotlib.image


def main(folder, printed):
    with open(folder / "study/vary.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    text = printed.read_text(encoding="utf-8")
    assert len(rows) == 3, rows
    for row in rows:
        assert re.search(rf"^\s*{row['bead.stiffness [kN]']}\S*\s+{row['off_centre_release [bar]'][:5]}.*{row['verdict']}$", text, re.M), row
    release = [float(row["off_centre_release [bar]"]) for row in rows]
    slope = float(re.search(r"release: (\S+) bar for each 100 kN", text)[1])
    assert abs(slope - (release[2] - release[0]) / 2) < 0.006 and slope > 0, (slope, release)
    result = json.loads((folder / "case/result.json").read_text(encoding="utf-8"))
    assert f"path: {len(result['path']['pressure_mpa'])} points" in text and "(exit code 0: every limit is kept)" in text, text
    picture = matplotlib.image.imread(folder / "sweep.png")
    assert picture.shape[:2] == (480, 1200) and picture[..., :3].std() > 0.05, picture.shape
    print(f"sweep.py: {len(rows)} variants, {slope:.2f} bar for each 100 kN, a picture of {picture.shape[1]} x {picture.shape[0]} px")


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]))
