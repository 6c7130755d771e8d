"""The box rim of this folder in a general-purpose finite-element library, apart from the program.

    python3 -m venv venv && venv/bin/pip install -r validation/outside_requirements.txt
    venv/bin/python validation/rim_body/outside.py            compare with problem.toml, exit 1 where one differs
    venv/bin/python validation/rim_body/outside.py --write    rewrite problem.toml's values and mesh_study.csv

Units N, mm, MPa.
"""

import json
import pathlib
import sys

import numpy as np
import skfem
from skfem.helpers import ddot, sym_grad

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent))
import outside_common as common

FOLDER = pathlib.Path(__file__).parent
YOUNG, POISSON = 69e3, 0.33
LAME, SHEAR = YOUNG * POISSON / (1 + POISSON) / (1 - 2 * POISSON), YOUNG / 2 / (1 + POISSON)
# Where the starter case has its wall and its seat at the wall, from its inputs: inner width 21 mm, seat 621.95 mm, 4 mm wide, 2 deg.
WALL, SEAT = 10.5, 621.95 / 2 + np.tan(np.radians(2)) * 2


@skfem.BilinearForm
def stiffness(u, v, w):
    r = w.x[0]
    eu, ev, hu, hv = sym_grad(u), sym_grad(v), u[0] / r, v[0] / r
    trace = (eu[0, 0] + eu[1, 1] + hu) * (ev[0, 0] + ev[1, 1] + hv)
    return 2 * np.pi * r * (LAME * trace + 2 * SHEAR * (ddot(eu, ev) + hu * hv))


@skfem.BilinearForm
def springs(u, v, w):
    return 2 * np.pi * w.x[0] * u[0] * v[0]


@skfem.LinearForm
def gas(v, w):
    return -2 * np.pi * w.x[0] * (w.n[0] * v[0] + w.n[1] * v[1])


@skfem.LinearForm
def ring(v, w):
    return 2 * np.pi * w.x[0] * v[0]


@skfem.Functional
def area(w):
    return 2 * np.pi * w.x[0]


@skfem.Functional
def hoop_force(w):
    strain, hoop = sym_grad(w["u"]), w["u"][0] / w.x[0]
    return LAME * (strain[0, 0] + strain[1, 1] + hoop) + 2 * SHEAR * hoop


def facets(mesh, sides):
    """Numbers of the library's facets with the corner nodes of `sides`."""
    numbers = {tuple(sorted(f)): i for i, f in enumerate(mesh.facets.T)}
    return np.array([numbers[tuple(sorted(side[:2]))] for side in sides])


def run():
    stored = json.loads((FOLDER / "mesh.json").read_text())
    nodes, triangles = np.array(stored["nodes"]), np.array(stored["triangles"])
    # The library wants corners numbered first.
    corners = np.unique(triangles[:, :3])
    order = np.concatenate([corners, np.setdiff1d(np.arange(len(nodes)), corners)])
    renumbered = np.argsort(order)
    mesh = skfem.MeshTri2(nodes[order].T, renumbered[triangles][:, [0, 1, 2, 3, 4, 5]].T)
    element = skfem.ElementVector(skfem.ElementTriP2())
    basis = skfem.Basis(mesh, element, intorder=4)
    matrix = stiffness.assemble(basis)
    side = lambda edges: skfem.FacetBasis(mesh, element, facets=facets(mesh, renumbered[np.array(edges)]), intorder=5)
    bed = side(stored["spoke_bed"])
    matrix += stored["spoke_stiffness"] / area.assemble(bed) * springs.assemble(bed)
    load = np.zeros(basis.N)
    for pressure in sorted({p for _, p in stored["loaded"]}):
        load += pressure * gas.assemble(side([e for e, p in stored["loaded"] if p == pressure]))
    mirror = basis.get_dofs(lambda x: np.isclose(x[1], 0.0, atol=1e-9)).all("u^2")
    u = skfem.solve(*skfem.condense(matrix, load, D=mirror))
    return values(nodes, mesh, basis, bed, u)


def values(nodes, mesh, basis, bed, u):
    scalar = skfem.Basis(mesh, skfem.ElementTriP2(), intorder=4)
    field = basis.interpolate(u)
    strain, hoop = sym_grad(field), field[0] / basis.global_coordinates()[0]
    trace = strain[0, 0] + strain[1, 1] + hoop
    parts = {"rr": strain[0, 0], "zz": strain[1, 1], "tt": hoop, "rz": strain[0, 1]}
    stress = {k: scalar.project(2 * SHEAR * e + (0 if k == "rz" else LAME) * trace) for k, e in parts.items()}

    def near(r, z):
        return nodes[np.argmin(np.hypot(nodes[:, 0] - r, nodes[:, 1] - z))]

    def at(place, component):
        found = np.flatnonzero((np.abs(basis.doflocs.T - place) < 1e-9).all(axis=1))
        return u[found[component]]

    def stress_at(place, k):
        return stress[k][np.flatnonzero((np.abs(scalar.doflocs.T - place) < 1e-9).all(axis=1))[0]]

    middle, tip = near(SEAT - 3.1, 0.0), near(SEAT + 4.4, WALL)
    wall_side, foot = near(SEAT - 9.0, 9.0), near(SEAT + 1.0, WALL + 2.0)
    rr, zz, tt, rz = (stress_at(wall_side, k) for k in ("rr", "zz", "tt", "rz"))
    return {
        "radial displacement of the bed at the mirror": at(middle, 0),
        "axial displacement of the wall's upper end": at(tip, 1),
        "radial displacement of the wall's upper end": at(tip, 0),
        "mean radial displacement of the spoke bed": ring.assemble(bed) @ u / area.assemble(bed),
        "hoop force of the half section": hoop_force.assemble(basis, u=field),
        "hoop stress of the bed at the mirror": stress_at(middle, "tt"),
        "axial stress of the bed at the mirror": stress_at(middle, "zz"),
        "stress after von Mises in the side": np.sqrt(0.5 * ((rr - zz) ** 2 + (zz - tt) ** 2 + (tt - rr) ** 2) + 3 * rz**2),
        "radial stress on the wall's outer side": stress_at(foot, "rr"),
    }


if __name__ == "__main__":
    found = {k: float(v) for k, v in run().items()}
    common.settle(FOLDER, f"scikit-fem {skfem.__version__}", [("the program's", found)])
