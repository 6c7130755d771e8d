"""Synthetic logs of a test bench, written apart from the program that reads them: no formula is shared.

Stretching: the strip's tension is carried as a profile over nodes of one arc from its edge to its middle. Friction bounds it by the
tension at the edge (capstan, integrated node by node); where the bounds leave it alone it sticks and keeps its tension. The tension of
the strands is what makes the unstretched length of all pieces add up to that of the bead. Nothing is averaged and no slip is assumed.
Readings then get the machine's own give, correlated noise (autoregressive of first order), drift of the force's zero, spikes,
quantisation and scatter from cycle to cycle.
"""

import numpy as np

NODES = 48


def strain_of(tension, stiffness, bend):
    """Strain under a tension: T = EA (e + bend e^2)."""
    e = tension / stiffness
    if np.all(bend == 0.0):
        return e
    return 2.0 * e / (1.0 + np.sqrt(1.0 + 4.0 * bend * e))


def strands_tension(opening, length0, stiffness, friction, parts, arc, strands, bend=0.0, nodes=NODES):
    """Tension of the strands for a history of openings.

    opening: (logs, rows), way of each part outward, mm; length0, stiffness, friction, bend: (logs,). `arc` is the bundle's length on the
    parts, `strands` that between them over the opening. Returns (logs, rows), N.
    """
    logs, rows = opening.shape
    # Midpoints of equal pieces of the half arc, from the edge inwards; the factor by which friction may change the tension up to each.
    half = np.pi / parts
    middle = (np.arange(nodes) + 0.5) * half / nodes
    factor = np.ones((logs, nodes))
    step = half / nodes
    for k in range(nodes):
        # Euler steps of dT = mu T dtheta would err; each node's own exponential from the edge is exact.
        factor[:, k] = np.exp(friction * middle[k])
    assert abs(middle[-1] + 0.5 * step - half) < 1e-12
    profile = np.zeros((logs, nodes))
    found = np.zeros((logs, rows))
    guess = np.zeros(logs)
    ea, mu_bend, l0 = stiffness[:, None], np.broadcast_to(bend, (logs,))[:, None], length0

    def unstretched(edge, old, row):
        """Unstretched length of bead between openings' geometry, at a tension of the strands."""
        new = np.clip(old, edge[:, None] / factor, edge[:, None] * factor)
        on_arc = arc * np.mean(1.0 / (1.0 + strain_of(new, ea, mu_bend)), axis=1)
        free = strands * opening[:, row] / (1.0 + strain_of(edge, stiffness, mu_bend[:, 0]))
        return on_arc + free, new

    for row in range(rows):
        low = np.zeros(logs)
        total, new = unstretched(low, profile, row)
        slack = total <= l0
        high = np.maximum(2.0 * guess, 50.0)
        for _ in range(60):
            short = unstretched(high, profile, row)[0] > l0
            if not np.any(short & ~slack):
                break
            high = np.where(short, 2.0 * high, high)
        # Regula falsi (Illinois) between a tension that leaves the bead too long and one that leaves it too short.
        f_low = total - l0
        f_high = unstretched(high, profile, row)[0] - l0
        side = np.zeros(logs)
        edge = low
        for _ in range(80):
            gap = f_low - f_high
            edge = np.where(gap > 0, (high * f_low - low * f_high) / np.where(gap > 0, gap, 1.0), 0.5 * (low + high))
            f = unstretched(edge, profile, row)[0] - l0
            longer = f > 0
            f_high = np.where(longer, np.where(side > 0, 0.5 * f_high, f_high), f)
            f_low = np.where(longer, f, np.where(side < 0, 0.5 * f_low, f_low))
            low, high = np.where(longer, edge, low), np.where(longer, high, edge)
            side = np.where(longer, 1.0, -1.0)
            if np.all(slack | (np.abs(f) < 1e-10 * l0)):
                break
        edge = np.where(slack, 0.0, edge)
        profile = unstretched(edge, profile, row)[1]
        found[:, row] = edge
        guess = edge
    return found


def correlated(rng, rows, deviation, correlation):
    """Autoregressive noise of first order with this standard deviation."""
    white = rng.standard_normal(rows) * deviation * np.sqrt(1.0 - correlation**2)
    white[0] = rng.standard_normal() * deviation
    from scipy.signal import lfilter

    return lfilter([1.0], [1.0, -correlation], white)


def quantised(values, step):
    return np.round(values / step) * step if step > 0 else values


def triangle(cycles, rows, top):
    """Openings of some cycles between closed and `top`, even steps."""
    phase = np.arange(rows) / rows * cycles
    return top * (1.0 - np.abs(2.0 * (phase % 1.0) - 1.0))


def spiked(rng, values, count, size):
    values = values.copy()
    for row in rng.integers(0, len(values), count):
        values[row] += rng.choice([-1.0, 1.0]) * size
    return values


def creep(time, diameter, per_decade, reference):
    """Diameter of a bead whose strain grows by `per_decade` in each decade of time beyond a reference, before it as far as it got."""
    decades = np.log10(np.maximum(time, 1e-9) / reference)
    return diameter * (1.0 + per_decade * decades)
