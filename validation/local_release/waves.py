"""Stiffness of an even ring against waves, from one element of the ring: what is uneven goes on from element to element as exp(i n t).

Exact for a ring of equal elements all round. Units N, mm, MPa, rad.
"""

import numpy as np
from model import Tyre


class Waves:
    """For the wedge `even` of one element round the axis: its tangent with free end planes, the last plane following the first."""

    def __init__(self, even):
        wedge = even.tyre
        self.even, self.tyre = even, Tyre(wedge.s, wedge.t, wedge.planes, mirrors=False)
        assert self.tyre.ne == 1
        # Place of every unknown of the last plane in the first.
        t, n = self.tyre, 3 * self.tyre.n2
        last = t.free >= 2 * n
        self.kept = np.flatnonzero(~last)
        self.first = np.searchsorted(t.free, t.free[last] - 2 * n)
        self.last = np.flatnonzero(last)

    def take(self):
        """The wedge's present state."""
        self.tyre.restore(self.even.tyre.state())
        upper = self.tyre.assemble()[2]
        full = upper.toarray()
        self.tangent = full + np.triu(full, 1).T

    def stiffness(self, n):
        """The bundle's stiffness [radial, circumferential] against n waves, N/mm per radian: forces on its mean displacement (cos n t,
        sin n t) by that displacement, the bundle as a string included."""
        t, k = self.tyre, self.tangent
        x = t.planes
        turn = np.exp(1j * n * (x[2] - x[0]))
        m, a, b = self.kept, self.first, self.last
        wave = k[np.ix_(m, m)].astype(complex)
        wave[:, a] += turn * k[np.ix_(m, b)]
        wave[a, :] += np.conj(turn) * k[np.ix_(b, m)]
        wave[np.ix_(a, a)] += k[np.ix_(b, b)]
        mean = np.zeros((len(m), 2), complex)
        for plane, share in ((0, 1 / 3), (1, 2 / 3)):
            for component in (0, 1):
                number = t.number[3 * t.bundle_nodes[plane] + component]
                # The shift goes with sin n t: a quarter of a wave behind.
                mean[number, component] = 0.25 * share * np.exp(1j * n * x[plane]) * (1 if component == 0 else -1j)
        compliance = np.real(mean.conj().T @ np.linalg.solve(wave, mean))
        return np.linalg.inv(compliance) / (x[2] - x[0])
