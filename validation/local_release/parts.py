"""What the model of the tyre is made of besides the library's elements: the rigid rim, the cords' law, fibres, small matrices.

Units N, mm, MPa.
"""

import numpy as np

CORD_WIDTH, CORD_STRAIGHT = 5e-5, 3e-2


def line(x):
    """Shape functions of a line of three nodes at -1, 0, 1, and their derivatives."""
    x = np.asarray(x)
    return np.stack([0.5 * x * (x - 1), 1 - x * x, 0.5 * x * (x + 1)]), np.stack([x - 0.5, -2 * x, x + 0.5])


class Profile:
    """Rigid body of revolution: a cylindrical seat and a straight wall with a round crest and a flat or round top."""

    def __init__(self, tyre):
        self.seat, self.wall = 0.5 * tyre["seat_diameter"], 0.5 * tyre["inner_width"]
        self.crest, self.radius = self.seat + tyre["flange_height"], tyre["crest_radius"]
        self.thickness = tyre["wall_thickness"]

    def gap(self, r, z):
        """Distance (negative inside), normal (r, z) and curvature of the nearer of seat and wall."""
        gap, curved = r - self.seat, np.zeros_like(r)
        normal = np.stack([np.ones_like(r), np.zeros_like(r)])
        rho, inner, outer = self.radius, self.wall + self.radius, self.wall + self.thickness - self.radius
        low = self.crest - rho
        dz = np.where(z < inner, z - inner, np.where(z > outer, z - outer, 0.0))
        dr = np.maximum(r - low, 0.0)
        away = np.hypot(dr, dz)
        safe = np.where(away > 0, away, 1.0)
        distance = away - rho
        n = np.stack([dr / safe, dz / safe])
        bent = np.where((dr > 0) & (dz != 0), 1 / safe, 0.0)
        nearer = (distance < gap) & (away > 0)
        return np.where(nearer, distance, gap), np.where(nearer, n, normal), np.where(nearer, bent, curved)


class Cord:
    """Force of a cord: straight in tension, rounded at no strain, a thousandth of the stiffness where slack."""

    def __init__(self, stiffness):
        self.stiffness, self.least = stiffness, CORD_STRAIGHT * stiffness * CORD_WIDTH

    def strain(self, force):
        """Strain at a force, and its derivative."""
        f = np.maximum(force, self.least)
        slack = self.stiffness * CORD_WIDTH**2 / f
        slope = 1 / self.stiffness + slack / f
        return f / self.stiffness - slack + slope * (force - f), slope


class Fibres:
    """Fibres at points of elements: `c[e, point, node]` gives the stretched fibre as sum of c x, `w` the volume or area."""

    def __init__(self, elements, c, w):
        self.elements, self.c, self.w = np.array(elements), np.array(c), np.array(w)


def outer_sum(c, d):
    """sum over points of c_a d c_b for six components d[..., point] -> [e, component, a, b]."""
    return np.stack([np.matmul((c * x[:, :, None]).transpose(0, 2, 1), c) for x in d], axis=1)


PAIRS = [(0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)]


def spread(blocks):
    """[e, component, a, b] of a symmetric 3 x 3 -> [e, a, i, b, j]."""
    e, _, n, _ = blocks.shape
    k = np.empty((e, n, 3, n, 3))
    for m, (i, j) in enumerate(PAIRS):
        k[:, :, i, :, j] = blocks[:, m]
        if i != j:
            k[:, :, j, :, i] = blocks[:, m].transpose(0, 2, 1)
    return k
