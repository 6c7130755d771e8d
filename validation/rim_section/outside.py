"""The L-shaped ring of this folder in a general-purpose finite-element library, apart from the program.

    python3 -m venv venv && venv/bin/pip install -r validation/outside_requirements.txt
    venv/bin/python validation/rim_section/outside.py            compare with problem.toml, exit 1 where one differs
    venv/bin/python validation/rim_section/outside.py --write    rewrite problem.toml's values and mesh_study.csv

Units N, mm, MPa.
"""

import pathlib
import sys

import numpy as np
import skfem
from skfem.helpers import ddot, sym_grad

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent))
import outside_common as common

# Seat from r = 300 to 303 and z = 0 (mirror) to 12; wall from r = 303 to 309 and z = 9.5 to 12.
INNER, SEAT, TIP, WALL, WIDTH = 300.0, 303.0, 309.0, 9.5, 12.0
YOUNG, POISSON, PRESSURE = 70e3, 0.33, 1.0
LAME, SHEAR = YOUNG * POISSON / (1 + POISSON) / (1 - 2 * POISSON), YOUNG / 2 / (1 + POISSON)


def mesh(n):
    """Squares of about 1 / n mm, drawn towards the corner between seat and wall."""
    r = np.concatenate([SEAT - 3 * np.linspace(1, 0, 3 * n, endpoint=False) ** 1.5, SEAT + 6 * np.linspace(0, 1, 6 * n + 1) ** 1.5])
    z = np.concatenate([WALL - 9.5 * np.linspace(1, 0, 9 * n, endpoint=False) ** 1.5, WALL + 2.5 * np.linspace(0, 1, 3 * n + 1) ** 1.5])
    whole = skfem.MeshQuad.init_tensor(r, z)
    centre = whole.p[:, whole.t].mean(axis=1)
    return whole.remove_elements(np.flatnonzero((centre[0] > SEAT) & (centre[1] < WALL)))


@skfem.BilinearForm
def stiffness(u, v, w):
    r = w.x[0]
    eu, ev, hu, hv = sym_grad(u), sym_grad(v), u[0] / r, v[0] / r
    trace = (eu[0, 0] + eu[1, 1] + hu) * (ev[0, 0] + ev[1, 1] + hv)
    return r * (LAME * trace + 2 * SHEAR * (ddot(eu, ev) + hu * hv))


@skfem.LinearForm
def gas(v, w):
    return -w.x[0] * PRESSURE * (w.n[0] * v[0] + w.n[1] * v[1])


def run(n):
    m = mesh(n)
    element = skfem.ElementVector(skfem.ElementQuad2())
    basis = skfem.Basis(m, element, intorder=6)
    wetted = m.facets_satisfying(lambda x: (np.isclose(x[0], SEAT) & (x[1] < WALL)) | (np.isclose(x[1], WALL) & (x[0] > SEAT)), boundaries_only=True)
    load = gas.assemble(skfem.FacetBasis(m, element, facets=wetted, intorder=6))
    mirror = basis.get_dofs(lambda x: np.isclose(x[1], 0.0)).all("u^2")
    u = skfem.solve(*skfem.condense(stiffness.assemble(basis), load, D=mirror))

    def at(r, z, component):
        node = np.flatnonzero(np.isclose(m.p[0], r) & np.isclose(m.p[1], z))
        assert len(node) == 1
        return u[basis.nodal_dofs[component, node[0]]]

    return {
        "radial displacement of the seat at the mirror": at(SEAT, 0.0, 0),
        "radial displacement under the wall": at(INNER, WIDTH, 0),
        "axial displacement of the wall's tip": at(TIP, WALL, 1),
        "radial displacement of the wall's tip": at(TIP, WALL, 0),
    }


if __name__ == "__main__":
    rows = [(f"{n} a mm", {k: float(v) for k, v in run(n).items()}) for n in (1, 2, 4)]
    common.settle(pathlib.Path(__file__).parent, f"scikit-fem {skfem.__version__}", rows)
