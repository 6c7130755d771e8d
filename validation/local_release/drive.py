"""Newton's method, pressure and lift as controls, and the signs of the tangent's pivots."""

import numpy as np
from model import Inverted
from scipy import sparse
from scipy.sparse.linalg import splu

try:
    import pypardiso
except ImportError:
    pypardiso = None

TOLERANCE = 1e-3
LARGEST = 0.3
SEAL = 0.05


class Failed(Exception):
    pass


class Factors:
    """Factors of a symmetric matrix given by its upper triangle, with the number of its negative pivots.

    By SciPy's SuperLU without exchange of rows, or several times faster by pypardiso where it is installed.
    """

    def __init__(self):
        self.pardiso = pypardiso and pypardiso.PyPardisoSolver(mtype=-2)
        self.analysed = False

    def factorise(self, matrix):
        if self.pardiso:
            self.pardiso.set_phase(22 if self.analysed else 12)
            self.pardiso._check_A(matrix)
            self.pardiso._call_pardiso(matrix, np.zeros((matrix.shape[0], 1)))
            self.analysed, self.matrix = True, matrix
            return int(self.pardiso.iparm[22])
        full = matrix + sparse.triu(matrix, 1).T
        self.lu = splu(full.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        return int((self.lu.U.diagonal() < 0).sum())

    def solve(self, b):
        if self.pardiso:
            self.pardiso.set_phase(33)
            return self.pardiso._call_pardiso(self.matrix, np.ascontiguousarray(b.reshape(-1, 1))).ravel()
        return self.lu.solve(b)


class Driver:
    def __init__(self, tyre, verbose=False):
        self.tyre, self.factors, self.verbose = tyre, Factors(), verbose
        self.iterations = 0

    def control(self, weights):
        """Control by `weights` [plane] of the bundle's lift at the planes of nodes."""
        c = np.zeros(len(self.tyre.free))
        for plane, w in enumerate(weights):
            c[self.tyre.number[3 * self.tyre.bundle_nodes[plane]]] += 0.25 * w
        return c

    def newton(self, control=None, goal=0.0, most=25, damping=0.0):
        """Equilibrium at the tyre's pressure, or with the pressure free at a controlled lift; the gas follows its seal."""
        for _ in range(8):
            self.solve(control, goal, most, damping)
            if self.tyre.seal() < SEAL:
                break
        # What still goes to and fro lies at nearly the pressure of the gas.
        self.tyre.hold()

    def solve(self, control, goal, most, damping):
        t = self.tyre
        start, kept, last = t.u.ravel()[t.free].copy(), 0, np.inf
        for iteration in range(most):
            # Old factors serve while they make the residual much smaller.
            again = iteration > 0 and last < 0.1 and kept < 3
            try:
                r, by_p, k = t.assemble(tangent=not again)
            except Inverted:
                raise Failed("an element turned over")
            self.iterations += 1
            here = t.u.ravel()[t.free]
            if damping:
                r = r + damping * self.mass() * (here - start)
            size = np.abs(r).max()
            miss = abs(control @ here - goal) if control is not None else 0.0
            if self.verbose:
                print(f"      {iteration} {size:.2e} {miss:.2e} p {t.pressure:.5f} {'old' if again else ''}", flush=True)
            if size < TOLERANCE and miss < 1e-7 and iteration > 0:
                return
            if not size < 1e7:
                raise Failed("residual ran away")
            if again and size > 0.2 * last:
                r, by_p, k = t.assemble()
                if damping:
                    r = r + damping * self.mass() * (here - start)
                again = False
            kept = kept + 1 if again else 0
            last = size
            if not again:
                if damping:
                    k.data[t.diagonal] += damping * self.mass()
                self.pivots = self.factors.factorise(k)
            du, dp = -self.factors.solve(r), 0.0
            if control is not None:
                up = -self.factors.solve(by_p)
                dp = (goal - control @ here - control @ du) / (control @ up)
                du = du + dp * up
            largest = np.abs(du).max()
            scale = min(1.0, LARGEST / largest)
            if control is not None:
                scale = min(scale, 0.15 / max(abs(dp), 1e-12))
            t.pressure += scale * dp
            t.advance(du, scale)
            if t.pressure < -1e-9:
                raise Failed("pressure below none")
        raise Failed("no convergence")

    def mass(self):
        t = self.tyre
        if not hasattr(self, "_mass"):
            w = np.zeros(t.np * t.n2)
            np.add.at(w, t.conn, (t.dv.sum(axis=1) / 27)[:, None] * np.ones((1, 27)))
            self._mass = np.repeat(w, 3)[t.free]
        return self._mass

    def lowest(self, most=8):
        """Eigenvalue of the tangent (against the lumped volume) nearest to none and its vector, and the number of negative ones."""
        negative = self.factors.factorise(self.tyre.assemble()[2])
        v, m = np.random.default_rng(0).normal(size=len(self.tyre.free)), self.mass()
        for _ in range(most):
            v = v / np.sqrt(v @ (m * v))
            w = self.factors.solve(m * v)
            value = 1 / (v @ (m * w))
            v = w
        return value, v / np.abs(v).max(), negative

    def attempt(self, change, relax=True, **how):
        """Applies a change and finds the equilibrium: at once, or by way of a damped motion; restores the state before where there is none."""
        before = self.tyre.state()
        for by in (self.newton, self.relaxed) if relax else (self.newton,):
            try:
                change()
                by(**how)
                return True
            except Failed as reason:
                if self.verbose:
                    print("     ", reason)
                self.tyre.restore(before)
        return False

    def relaxed(self, damping=0.05, least=1e-4, most=40, **how):
        """Follows the motion through a viscous medium until it comes to rest, then solves without."""
        for _ in range(most):
            before = self.tyre.state()
            try:
                self.solve(how.get("control"), how.get("goal", 0.0), 10, damping)
                damping *= 0.35
            except Failed:
                self.tyre.restore(before)
                damping *= 4.0
                if damping > 50:
                    break
            self.tyre.seal()
            if damping < least:
                return self.newton(**how)
        raise Failed("no rest")

    def follow(self, goal, path):
        """To the pressure `goal` from a straight line through the last two states of `path` [(pressure, displacements, q, n)]."""
        t = self.tyre
        t.pressure = goal
        if len(path) > 1:
            (a, *before), (b, *now) = path[-2:]
            x = (goal - b) / (b - a)
            if 0 < x < 2.5:
                t.u, t.q = (v + x * (v - w) for v, w in zip(now[:2], before[:2]))
                t.n = [v + x * (v - w) for v, w in zip(now[2], before[2])]

    def fit(self, steps=4, guide=1.0):
        """Bead on its seat without gas, bundle guided axially; eigenstrain in steps."""
        t = self.tyre
        t.guide, t.eigen = guide, 0.0
        self.newton()
        for k in range(1, steps + 1):
            t.eigen = k / steps
            self.newton()
        self.origin = t.lift()

    def rise(self, to, step, least=1e-3, each=None):
        """Pressure in steps, cut where one fails; `each` is called after every step."""
        t, path = self.tyre, []
        while t.pressure < to - 1e-12:
            if not path or t.pressure > path[-1][0]:
                path = path[-1:] + [(t.pressure, t.u, t.q, list(t.n))]
            goal = min(t.pressure + step, to)
            if self.attempt(lambda: self.follow(goal, path), relax=step < 4 * least or len(path) < 2):
                step *= 1.4
                if each:
                    each()
                continue
            step *= 0.4
            if step < least:
                raise Failed(f"no equilibrium past {t.pressure:.4f} MPa")
