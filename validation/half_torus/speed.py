"""The half torus of this folder in the program and in a general-purpose finite-element library, one thread each: time and differences.

    python3 -m venv venv && venv/bin/pip install -r validation/outside_requirements.txt
    venv/bin/python validation/half_torus/speed.py [REPEATS]

The program builds the problem and writes it to a file that the library's model reads. Both take turns, REPEATS (3) times; of each the
fastest run counts. Times are those of the processor, so that a busy machine disturbs the ratios less than it does the times. Ends with 1
where the displacements differ by more than 1e-6 of the largest, or the library is less than 8 times slower an iteration or 15 times over
the path, with either of its linear solvers.
"""

import json
import os
import pathlib
import subprocess
import sys
import tempfile
import time

for name in ("OMP", "OPENBLAS", "MKL"):
    os.environ[f"{name}_NUM_THREADS"] = "1"

import felupe as fem
import numpy as np
from model import Model, factorise
from scipy.sparse.linalg import spsolve

ROOT = pathlib.Path(__file__).resolve().parents[2]
EXAMPLE = ["cargo", "run", "--quiet", "--release", "-p", "hoopwright-validation", "--example", "half_torus"]
SOLVERS = {"its default solver": spsolve, "the fastest solver tried": factorise}


def run_program(file):
    with file.open("w") as out:
        subprocess.run(EXAMPLE, cwd=ROOT, check=True, stdout=out)
    return json.loads(file.read_text())


def run_library(problem, solver):
    start = time.process_time()
    model = Model(problem)
    built = time.process_time()
    iterations = model.inflate(solver)
    done = time.process_time()
    return {"set_up": built - start, "path": done - built, "iterations": iterations}, model.displacements()


def show(title, run):
    each = 1e3 * run["path"] / run["iterations"]
    print(f"{title:50} {run['iterations']:5} {each:10.2f} {run['path']:10.3f} {run['set_up']:10.3f}")


def main():
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    program, library, difference = {"predicted": [], "plain": []}, {name: [] for name in SOLVERS}, 0.0
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(repeats):
            problem = run_program(pathlib.Path(folder) / "problem.json")
            for name, runs in program.items():
                runs.append(problem[name])
            ours = np.array(problem["displacements"]).reshape(-1, 2)
            for name, solver in SOLVERS.items():
                run, theirs = run_library(problem, solver)
                library[name].append(run)
                difference = max(difference, np.abs(theirs - ours).max() / np.abs(ours).max())
    fastest = lambda runs: min(runs, key=lambda run: run["path"])
    predicted, plain = fastest(program["predicted"]), fastest(program["plain"])
    pressures = 3 * len(problem["quads"])
    print(f"{len(problem['quads'])} elements, {ours.size + pressures} unknowns of displacement and pressure, {problem['steps']} steps\n")
    print(f"{'processor time on one thread':50} {'iter.':>5} {'ms each':>10} {'path s':>10} {'set-up s':>10}")
    show("program", predicted)
    show("program, each step from the last state", plain)
    for name, runs in library.items():
        show(f"felupe {fem.__version__}, {name}", fastest(runs))
    print(f"\n{'times slower than the program':50} {'an iteration':>16} {'over the path':>14}")
    ratios = []
    for name, runs in library.items():
        run = fastest(runs)
        ratios.append((run["path"] / run["iterations"] / (predicted["path"] / predicted["iterations"]), run["path"] / predicted["path"]))
        print(f"felupe {fem.__version__}, {name:38} {ratios[-1][0]:16.1f} {ratios[-1][1]:14.1f}")
    print(f"\nlargest difference of a displacement over the largest displacement: {difference:.1e}")
    kept = all(iteration >= 8 and path >= 15 for iteration, path in ratios)
    sys.exit(not (difference <= 1e-6 and kept))


if __name__ == "__main__":
    main()
