"""The inflated half torus of this folder in a general-purpose finite-element library, apart from the program.

    python3 -m venv venv && venv/bin/pip install -r validation/outside_requirements.txt
    venv/bin/python validation/rubber_torus/outside.py            compare with problem.toml, exit 1 where one differs
    venv/bin/python validation/rubber_torus/outside.py --write    rewrite problem.toml's values and mesh_study.csv

Displacement elements with nine nodes (the program has a mixed form), cords spread over the middle layer (the program has a line).
The library's axial coordinate is its first: points are (z, r). Units N, mm, MPa, rad.
"""

import math
import pathlib
import sys

import felupe as fem
import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent))
import outside_common as common

CENTRE, INNER, OUTER, CORD_LAYER = 40.0, 10.0, 14.0, (11.9, 12.1)
MU, KAPPA = 1.0, 50.0
CORD_STIFFNESS, ENDS = 10.0, 2.0
CASES = [("rubber alone", 0.1, False), ("with cords", 0.3, True)]
STEPS = 12


def angle(r):
    """Cord angle from the hoop direction at radius r."""
    return 0.8 + 0.01 * (r - CENTRE)


def mesh(layers, n):
    """Nine-node elements: `layers` through rubber, cord layer, rubber; n round the half torus."""
    bounds = [INNER, *CORD_LAYER, OUTER]
    thick = np.concatenate([np.linspace(a, b, k, endpoint=False) for a, b, k in zip(bounds, bounds[1:], layers)] + [[OUTER]])
    plain = fem.Rectangle(n=(n + 1, len(thick)))
    plain = fem.mesh.convert(plain, order=2, calc_points=True, calc_midfaces=True)
    round_, through = math.pi * plain.points[:, 0], np.interp(plain.points[:, 1], np.linspace(0, 1, len(thick)), thick)
    points = np.column_stack([through * np.sin(round_), CENTRE + through * np.cos(round_)])
    return fem.Mesh(points, plain.cells, plain.cell_type), round_, through


class Corded:
    """Neo-Hooke and, where `k` (MPa) is not 0, cords of energy k (l - 1)^2 / 2 with l^2 = F A : F."""

    def __init__(self, k, structure):
        self.rubber = fem.NeoHooke(mu=MU, bulk=KAPPA)
        self.k, self.a = k, structure
        self.x = [np.zeros((3, 3)), np.zeros(0)]

    def stretch(self, f):
        fa = np.einsum("ij...,jk...->ik...", f, self.a)
        return np.sqrt(np.einsum("ij...,ij...->...", f, fa)), fa

    def gradient(self, x):
        f, state = x
        l, fa = self.stretch(f)
        return [self.rubber.gradient([f, None])[0] + self.k * (1 - 1 / l) * fa, state]

    def hessian(self, x):
        f = x[0]
        l, fa = self.stretch(f)
        identity = np.einsum("ik,jl...->ijkl...", np.eye(3), self.a)
        cords = self.k * ((1 - 1 / l) * identity + np.einsum("ij...,kl...->ijkl...", fa, fa) / l**3)
        return [self.rubber.hessian([f, None])[0] + cords]


def structure(region):
    """A = cos^2 hoop x hoop + sin^2 meridian x meridian at the quadrature points, and where the cord layer is."""
    points = np.einsum("cpi,pqc->iqc", region.mesh.points[region.mesh.cells], np.broadcast_to(
        region.h, (region.h.shape[0], region.h.shape[1], region.mesh.ncells)))
    z, r = points
    rho = np.hypot(z, r - CENTRE)
    meridian = np.array([(r - CENTRE) / rho, -z / rho])
    a = np.zeros((3, 3, *z.shape))
    a[:2, :2] = np.sin(angle(r)) ** 2 * np.einsum("i...,j...->ij...", meridian, meridian)
    a[2, 2] = np.cos(angle(r)) ** 2
    return a, (rho > CORD_LAYER[0]) & (rho < CORD_LAYER[1])


def run(layers, n, pressure, corded):
    grid, round_, through = mesh(layers, n)
    region = fem.RegionBiQuadraticQuad(grid)
    field = fem.FieldContainer([fem.FieldAxisymmetric(region, dim=2)])
    a, inside = structure(region)
    k = CORD_STIFFNESS * ENDS / (CORD_LAYER[1] - CORD_LAYER[0]) * inside * corded
    solid = fem.SolidBody(Corded(k, a), field)
    face = fem.RegionBiQuadraticQuadBoundary(grid, mask=np.isclose(through, INNER), ensure_3d=True)
    gas = fem.SolidBodyPressure(fem.FieldContainer([fem.FieldAxisymmetric(face, dim=2)]))
    mirror = np.isclose(round_, 0) | np.isclose(round_, math.pi)
    boundaries = fem.BoundaryDict(mirror=fem.Boundary(field[0], mask=mirror, skip=(0, 1)))
    ramp = {gas: np.linspace(0, pressure, STEPS + 1)[1:]}
    step = fem.Step([solid, gas], ramp=ramp, boundaries=boundaries)
    fem.Job([step]).evaluate(verbose=0, tol=1e-10)
    u = field[0].values

    def at(where, component):
        node = np.flatnonzero(np.isclose(round_, where) & np.isclose(through, INNER))
        assert len(node) == 1
        return u[node[0], component]

    return {
        "radial displacement, outer equator": at(0.0, 1),
        "axial displacement, crown of the tube": at(0.5 * math.pi, 0),
        "radial displacement, inner equator": at(math.pi, 1),
    }


def study():
    rows = []
    for layers, n in [((2, 1, 2), 12), ((3, 2, 3), 24), ((4, 2, 4), 48)]:
        values = {}
        for title, pressure, corded in CASES:
            for name, value in run(layers, n, pressure, corded).items():
                values[f"{title}: {name}"] = float(value)
        rows.append((f"{sum(layers)} x {n}", values))
    return rows


if __name__ == "__main__":
    common.settle(pathlib.Path(__file__).parent, f"felupe {fem.__version__}", study())
