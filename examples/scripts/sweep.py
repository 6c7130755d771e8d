"""A study from Python: runs hoopwright on an invented tyre over three bead stiffnesses, reads its files and draws them.

    python3 -m venv venv && venv/bin/pip install -r examples/scripts/requirements.txt
    venv/bin/python examples/scripts/sweep.py out/sweep

The cells marked `# %%` run one by one in an editor that knows them. HOOPWRIGHT names the program if it is not on the path. A calculation
approves nothing: a bead that lets go under pressure injures people.
"""

# %% The program, the case and the folder
import json
import os
import pathlib
import subprocess
import sys

import matplotlib

matplotlib.use("Agg")  # No screen is needed.
import matplotlib.pyplot as plt
import pandas as pd

PROGRAM = os.environ.get("HOOPWRIGHT", "hoopwright")
CASE = pathlib.Path(__file__).parents[1] / "01_road_holds.toml"
FOLDER = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else "out/sweep")
MEANING = {0: "every limit is kept", 1: "a limit is not kept", 2: "wrong input", 3: "no equilibrium found"}
FOLDER.mkdir(parents=True, exist_ok=True)


def hoopwright(*arguments):
    """Runs a command and returns its exit code; wrong input (2) is an error here, the others are answers."""
    run = subprocess.run([PROGRAM, *map(str, arguments), "--quiet"], stdout=subprocess.DEVNULL, check=False)
    if run.returncode not in (0, 1, 3):
        sys.exit(f"hoopwright {arguments[0]}: {MEANING.get(run.returncode, 'did not run')}")
    return run.returncode


# %% One case: result.json holds the path from fit to release
code = hoopwright("assess", CASE, "--out", FOLDER / "case")
result = json.loads((FOLDER / "case/result.json").read_text())
path = pd.DataFrame({name: result["path"][name] for name in ["pressure_mpa", "lift_mm", "bead_tension_n"]})
path["pressure_bar"] = 10 * path["pressure_mpa"]
print(f"{result['title']}: {', '.join(result['verdict'])} (exit code {code}: {MEANING[code]})")
print(f"path: {len(path)} points up to {path['pressure_bar'].max():.2f} bar")

# %% A study: the same case with a table [vary] of its own
study = FOLDER / "study.toml"
study.write_text(CASE.read_text() + '\n[vary]\n"bead.stiffness" = { from = "300 kN", to = "500 kN", count = 3 }\n')
code = hoopwright("vary", study, "--out", FOLDER / "study")
rows = pd.read_csv(FOLDER / "study/vary.csv")
print(f"study: exit code {code}: {MEANING[code]}")

# %% The numbers that decide; a pressure that was not reached is a lower bound, so it takes no part in a trend
columns = ["bead.stiffness [kN]", "off_centre_release [bar]", "off_centre_release_frictionless [bar]", "verdict"]
print(rows[columns].to_string(index=False))
reached = rows[rows["off_centre_release_reached"] == "yes"]
span = reached["bead.stiffness [kN]"].agg(["min", "max"])
gain = reached["off_centre_release [bar]"].iloc[-1] - reached["off_centre_release [bar]"].iloc[0]
print(f"off-centre release: {100 * gain / (span['max'] - span['min']):.2f} bar for each 100 kN")

# %% Drawn
required = 10 * result["required_pressure_mpa"]
figure, (left, right) = plt.subplots(1, 2, figsize=(10, 4), layout="constrained")
left.plot(path["lift_mm"], path["pressure_bar"], color="#23426b")
left.set(xlabel="bead lift, mm", ylabel="pressure, bar", title="path of one case")
for column, label, style in [(columns[1], "friction as given", "o-"), (columns[2], "no friction", "s--")]:
    right.plot(rows[columns[0]], rows[column], style, label=label)
right.set(xlabel="bead stiffness, kN", ylabel="off-centre release, bar", title="invented data")
for axes in (left, right):
    axes.axhline(required, color="#a1461a", linewidth=1, label=f"required {required:.2f} bar")
right.legend()
figure.savefig(FOLDER / "sweep.png", dpi=120)
print(f"picture: {FOLDER / 'sweep.png'}")
