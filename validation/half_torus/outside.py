"""The half torus of this folder in a general-purpose finite-element library, apart from the program.

    python3 -m venv venv && venv/bin/pip install -r validation/outside_requirements.txt
    venv/bin/python validation/half_torus/outside.py            compare with problem.toml, exit 1 where one differs
    venv/bin/python validation/half_torus/outside.py --write    rewrite problem.toml's values and mesh_study.csv

Units N, mm, MPa, rad.
"""

import math
import pathlib
import sys

import felupe as fem
from model import Model, factorise

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent))
import outside_common as common

CENTRE, INNER, OUTER = 325.0, 12.0, 14.0
THROUGH, ROUND = 11, 64
PRESSURE, STEPS = 0.5, 20


def problem():
    """The problem as the program writes it, from its statement."""
    columns, rows = 2 * ROUND + 1, 2 * THROUGH + 1
    nodes = []
    for j in range(rows):
        for i in range(columns):
            rho, phi = INNER + (OUTER - INNER) * j / (rows - 1), math.pi * (1 - i / (columns - 1))
            nodes.append([CENTRE + rho * math.cos(phi), rho * math.sin(phi)])
    local = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)]
    quads = [[(2 * b + j) * columns + 2 * a + i for i, j in local] for b in range(THROUGH) for a in range(ROUND)]
    inner, outer = [j * columns for j in range(rows)], [(j + 1) * columns - 1 for j in range(rows)]
    layer = THROUGH // 2
    return {
        "nodes": nodes,
        "quads": quads,
        "held": [2 * k + c for k in inner for c in (0, 1)] + [2 * k + 1 for k in outer],
        "wetted": [[i, i + 2, i + 1] for i in range(0, columns - 1, 2)],
        "plied": list(range(layer * ROUND, (layer + 1) * ROUND)),
        "centre": CENTRE,
        "shear_modulus": 1.0,
        "bulk_modulus": 2000.0,
        "cord_stiffness": 145.0,
        "cord_rounding": 5e-5,
        "ends": 1.0,
        "angle": 0.95,
        "pressure": PRESSURE,
        "steps": STEPS,
        "tolerance": 1e-9 * PRESSURE * 4 * math.pi * CENTRE * INNER,
    }


def values():
    model = Model(problem())
    model.inflate(factorise)
    u = model.displacements()
    at = {"outer equator": 2 * ROUND, "crown of the tube": ROUND, "45 deg from the inner equator": ROUND // 2}
    found = {f"{way} displacement, {where}": u[k, c] for where, k in at.items() for c, way in enumerate(("radial", "axial"))}
    del found["axial displacement, outer equator"]
    return found


if __name__ == "__main__":
    rows = [(f"{THROUGH} x {ROUND}", values())]
    common.settle(pathlib.Path(__file__).parent, f"felupe {fem.__version__}", rows, tolerance=1e-7)
