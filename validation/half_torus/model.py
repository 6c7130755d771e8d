"""The half torus of this folder in a general-purpose finite-element library: the same elements as the program's.

Nine-node displacements, a pressure linear in the position in each element, without continuity, on 3 x 3 points; cords on a line
through the middle of their layer, gas by the library's own follower load. Rubber and cords are written as the library asks of a
user's material, with their derivatives by hand. Points are (z, r): the library's axial coordinate is its first. Units N, mm, MPa, rad.
"""

import math

import felupe as fem
import numpy as np
from felupe.math import cdya_il, det, dya, inv, transpose
from scipy.sparse.linalg import splu

GAUSS = np.array([-math.sqrt(0.6), 0.0, math.sqrt(0.6)])
WEIGHTS = np.array([5.0, 8.0, 5.0]) / 9.0


def factorise(matrix, rhs):
    """The fastest of the linear solvers tried: SuperLU on a symmetric minimum-degree order, pivots from the diagonal."""
    options = {"SymmetricMode": True}
    return splu(matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options).solve(rhs)


class Rubber(fem.ConstitutiveMaterial):
    """Neo-Hooke, mu / 2 (J^(-2/3) tr C - 3) + p (J - 1) - p^2 / (2 kappa), of displacement and pressure."""

    def __init__(self, mu, kappa):
        self.law, self.kappa = fem.NeoHooke(mu=mu), kappa
        self.x = [np.eye(3), np.ones(1), np.zeros(0)]

    def _gradient(self, x):
        f, p, state = x
        j = det(f)
        cofactor = j * transpose(inv(f, determinant=j))
        return [self.law.gradient([f, None])[0] + p * cofactor, j - 1 - p / self.kappa, state]

    def _hessian(self, x):
        f, p, _ = x
        j = det(f)
        t = transpose(inv(f, determinant=j))
        tangent = self.law.hessian([f, None])[0] + p * j * (dya(t, t) - cdya_il(t, t))
        return [tangent, j * t, np.full_like(p, -1 / self.kappa)]


class Cord:
    """The program's cord: tension as a hyperbola that rounds the corner at no strain, and straight where next to slack."""

    def __init__(self, stiffness, width):
        self.stiffness, self.width = stiffness, width
        self.least = 3e-2 * stiffness * width
        self.corner, self.slope = self.hyperbola(self.least)

    def hyperbola(self, force):
        slack = self.stiffness * self.width**2 / force
        return force / self.stiffness - slack, 1 / self.stiffness + slack / force

    def force(self, strain):
        """Force and its derivative by the strain."""
        root = np.sqrt(strain**2 + 4 * self.width**2)
        taut = strain >= self.corner
        straight = self.least + (strain - self.corner) / self.slope
        force = np.where(taut, 0.5 * self.stiffness * (strain + root), straight)
        return force, np.where(taut, 0.5 * self.stiffness * (1 + strain / root), 1 / self.slope)


class Cords(fem.ConstitutiveMaterial):
    """Cords of `ends` per length across them, stretched by l^2 = F A : F."""

    def __init__(self, cord, ends, structure):
        self.cord, self.ends, self.a = cord, ends, structure
        self.x = [np.eye(3), np.zeros(0)]

    def stretch(self, f):
        fa = np.einsum("ij...,jk...->ik...", f, self.a)
        return np.sqrt(np.einsum("ij...,ij...->...", f, fa)), fa

    def gradient(self, x):
        l, fa = self.stretch(x[0])
        return [self.ends * self.cord.force(l - 1)[0] / l * fa, x[-1]]

    def hessian(self, x):
        l, fa = self.stretch(x[0])
        force, slope = self.cord.force(l - 1)
        identity = np.einsum("ik,jl...->ijkl...", np.eye(3), self.a)
        outer = np.einsum("ij...,kl...->ijkl...", fa, fa)
        return [self.ends * (force / l * identity + (slope / l**2 - force / l**3) * outer)]


class Pressures(fem.Element):
    """Three unknowns in an element; their shape functions are set by the position afterwards."""

    def __init__(self):
        self.points = np.zeros((3, 2))

    def function(self, rs):
        return np.array([1.0, rs[0], rs[1]])

    def gradient(self, rs):
        return np.zeros((3, 2))


class Model:
    """`problem` as the program writes it: lists of nodes (r, z), elements, held unknowns, wetted edges, elements with cords."""

    def __init__(self, problem):
        self.problem = problem
        # The library's first direction of an element is the program's second, as its coordinates change places.
        quads = np.array(problem["quads"])[:, [0, 3, 2, 1, 7, 6, 5, 4, 8]]
        mesh = fem.Mesh(np.array(problem["nodes"])[:, ::-1].copy(), quads, "quad9")
        region = fem.RegionBiQuadraticQuad(mesh)
        pressures = fem.Field(self.pressures(mesh, region), dim=1)
        self.x = fem.FieldContainer([fem.FieldAxisymmetric(region, dim=2), pressures])
        line = self.line(mesh, problem["plied"])
        face = fem.RegionBiQuadraticQuadBoundary(mesh, mask=self.inside(mesh), ensure_3d=True)
        cords, wetted = (fem.FieldContainer([fem.FieldAxisymmetric(r, dim=2)]) for r in (line, face))
        cord = Cord(problem["cord_stiffness"], problem["cord_rounding"])
        rubber = Rubber(problem["shear_modulus"], problem["bulk_modulus"])
        self.gas = fem.SolidBodyPressure(wetted)
        self.items = [
            fem.SolidBody(rubber, self.x),
            fem.SolidBody(Cords(cord, problem["ends"], self.structure(line)), cords),
            self.gas,
        ]
        self.dof0 = np.array(sorted(k + 1 - 2 * (k % 2) for k in problem["held"]))
        self.dof1 = np.setdiff1d(np.arange(sum(self.x.fieldsizes)), self.dof0)
        self.n_displacements = self.x.fieldsizes[0]

    @staticmethod
    def positions(mesh, region):
        return np.einsum("cai,aqc->iqc", mesh.points[mesh.cells], np.broadcast_to(region.h, (*region.h.shape[:2], mesh.ncells)))

    def pressures(self, mesh, region):
        """Shape functions 1, (z - zc) / h, (r - rc) / h about the middle node."""
        n = 3 * mesh.ncells
        dual = fem.Region(fem.Mesh(np.zeros((n, 2)), np.arange(n).reshape(-1, 3), "triangle"), Pressures(), region.quadrature, grad=False)
        size = np.sqrt(region.dV.sum(axis=0))
        away = (self.positions(mesh, region) - mesh.points[mesh.cells[:, 8]].T[:, None, :]) / size
        dual.h = np.ascontiguousarray(np.stack([np.ones_like(away[0]), *away]))
        return dual

    @staticmethod
    def line(mesh, plied):
        """Points on the middle line of the elements with cords, whose volume is a length of the line."""
        rule = fem.quadrature.Scheme(np.column_stack([np.zeros(3), GAUSS]), WEIGHTS)
        line = fem.Region(fem.Mesh(mesh.points, mesh.cells[plied], "quad9"), fem.BiQuadraticQuad(), rule)
        line.dV = np.linalg.norm(line.dXdr[:, 1], axis=0) * WEIGHTS[:, None]
        return line

    def structure(self, line):
        """A = cos^2 hoop x hoop + sin^2 meridian x meridian at the points of the line; the angle follows the pantograph law."""
        r = self.positions(line.mesh, line)[1]
        cos2 = (math.cos(self.problem["angle"]) * r / self.problem["centre"]) ** 2
        meridian = line.dXdr[:, 1] / np.linalg.norm(line.dXdr[:, 1], axis=0)
        a = np.zeros((3, 3, *r.shape))
        a[:2, :2] = (1 - cos2) * np.einsum("i...,j...->ij...", meridian, meridian)
        a[2, 2] = cos2
        return a

    def inside(self, mesh):
        mask = np.zeros(mesh.npoints, dtype=bool)
        mask[np.unique(self.problem["wetted"])] = True
        return mask

    def check(self, dx, x, f, xtol, ftol, dof1=None, dof0=None, items=None):
        """The program's measure: free forces, N, with a last change of at most 1e-3 mm or a residual a thousand times smaller."""
        forces = f[: self.n_displacements].copy()
        forces[self.dof0] = 0
        change, residual = np.abs(dx[: self.n_displacements]).max(), np.linalg.norm(forces)
        return change, residual, residual <= ftol and change <= 1e-3 or residual <= 1e-3 * ftol

    def inflate(self, solver):
        """Follows the pressure to its full value; the number of iterations."""
        problem, x, iterations = self.problem, self.x, 0
        for step in range(1, problem["steps"] + 1):
            self.gas.update(problem["pressure"] * step / problem["steps"])
            found = fem.newtonraphson(
                x0=x, items=self.items, dof0=self.dof0, dof1=self.dof1, ext0=np.zeros(len(self.dof0)), solver=solver,
                check=self.check, tol=problem["tolerance"], verbose=0)
            iterations += found.iterations
            x = found.x
        self.x = x
        return iterations

    def displacements(self):
        """(r, z) of each node."""
        return self.x[0].values[:, ::-1]
