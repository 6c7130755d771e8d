"""Reference values of the validation problems, evaluated from their formulas in plain Python, apart from the program.

    python3 validation/references.py            compare with the problem.toml files, exit 1 where one differs
    python3 validation/references.py --write    rewrite the values in them

Values that are published numbers or legal limits stand in the problem.toml files only and are left alone.
Units N, mm, MPa, rad.
"""

import math
import pathlib
import re
import sys

PI = math.pi
VALUES = {}


def put(problem, name, value):
    VALUES[(problem, name)] = value


def linear_solids():
    def lame(a, b, p, e, nu, r):
        c = p * a * a / (b * b - a * a)
        return (1 + nu) / e * c * ((1 - 2 * nu) * r + b * b / r), c * (1 + b * b / r**2)

    for r in (4, 10):
        u, s = lame(4, 10, 10, 1000, 0, r)
        put("thick_cylinder", f"radial displacement at r = {r} mm, nu 0", u)
        put("thick_cylinder", f"hoop stress at r = {r} mm, nu 0", s)
    for nu in (0.3, 0.4999):
        for r in (1, 2):
            put("thick_cylinder", f"radial displacement at r = {r} mm, nu {nu}", lame(1, 2, 1, 1000, nu, r)[0])
    a, b, e = 1.0, 2.0, 1000.0
    c = a**3 / (b**3 - a**3)
    for nu in (0, 0.3, 0.4999):
        for r in (1, 2):
            u = c / e * ((1 - 2 * nu) * r + (1 + nu) * b**3 / (2 * r**2))
            put("thick_sphere", f"radial displacement at r = {r} mm, nu {nu}", u)
    for r in (1, 2):
        put("thick_sphere", f"hoop stress at r = {r} mm, nu 0.3", c * (1 + b**3 / (2 * r**3)))


def elastic_rings():
    name, pressure, width, outer, radius, spokes = "elastic_rings", 1.0, 2.0, 301.0, 300.0, 1.43
    for title, young in (("metal", 70e3), ("laminate", 60e3)):
        stiffness = young * 4.0
        u = pressure * width * outer / (stiffness / radius + spokes * radius)
        put(name, f"thin ring of {title} on spokes, inward displacement", u)
        put(name, f"thin ring of {title} on spokes, hoop force", -stiffness * u / radius)
    a, b, p, e, nu = 200.0, 300.0, 10.0, 70e3, 0.33
    c = p * b * b / (b * b - a * a)
    for title, r in (("inside", a), ("outside", b)):
        put(name, f"thick ring, radial displacement {title}", -c / e * ((1 - nu) * r + (1 + nu) * a * a / r))
        put(name, f"thick ring, hoop stress {title}", -c * (1 + a * a / r**2))


def shells():
    put("thin_shells", "cylinder, hoop stress t / (p R)", 1.0)
    put("thin_shells", "sphere, hoop stress t / (p R)", 0.5)
    r, t, e, nu, q = 1000.0, 0.1, 210e3, 0.3, 1e-3
    beta = (3 * (1 - nu**2) / (r * t) ** 2) ** 0.25
    d = e * t**3 / (12 * (1 - nu**2))
    w0 = q / (2 * beta**3 * d)
    name = "edge_loaded_cylinder"
    put(name, "edge deflection", w0)
    put(name, "edge slope", -q / (2 * beta**2 * d))
    put(name, "deflection at beta x = pi / 4", w0 * math.exp(-PI / 4) * math.cos(PI / 4))
    put(name, "largest moment, at beta x = pi / 4", math.exp(-PI / 4) * math.sin(PI / 4))
    put(name, "moment at beta x = pi / 2", math.exp(-PI / 2))
    bending = 6 * math.exp(-PI / 4) * math.sin(PI / 4) / (8 * math.sqrt(3 * (1 - nu**2)))
    put("cylinder_hemisphere", "axial stress t / (p R), a tenth as thick", 0.5 + bending)
    r0, a, p = 325.0, 14.0, 0.5
    for side, sign in (("outer", 1), ("inner", -1)):
        put("torus_membrane", f"meridional resultant, {side} equator", p * a * (2 * r0 + sign * a) / (2 * (r0 + sign * a)))
        put("torus_membrane", f"hoop resultant, {side} equator", p * a / 2)


def fits():
    a, b, c, e, nu = 10.0, 20.0, 30.0, 210e3, 0.3
    outer = ((c * c + b * b) / (c * c - b * b) + nu) / e
    inner = ((b * b + a * a) / (b * b - a * a) - nu) / e
    put("shrink_fit", "joint pressure of radii 10, 20, 30 mm", 0.02 / b / (outer + inner))
    r, delta, bead, rim = 311.0, 0.25, 150e3, 7.18e6
    q = delta / (r * r * (1 / bead + 1 / rim))
    put("shrink_fit", "hoop force of a thin bead on a rim", q * r)
    put("shrink_fit", "inward displacement of the rim", q * r * r / rim)


def contact():
    ea, delta, r = 150e3, 0.5, 311.0
    put("rings_on_seats", "hoop force of a bead on a rigid seat", ea * (r / (r - delta) - 1))
    put("rings_on_seats", "axial over radial force of a ring sliding down a taper", math.tan(0.17 - math.atan(0.05)))


def rubber():
    for la in (1.1, 1.2, 1.5, 2.0, 3.0):
        # Rust prints 2.0 and 3.0 without the fraction.
        label = f"{la:g}"
        lb = math.sqrt(1 + (la * la - 1) / 4)
        p = math.log(la / lb) + (lb**-2 - la**-2) / 2
        put("rubber_cylinder", f"neo-Hooke, stretch {label}", p)
        if la == 1.5:
            put("mandrel", "contact pressure over shear modulus", p)
        lb = (1 + (la**3 - 1) / 8) ** (1 / 3)
        s = 2 / lb + lb**-4 / 2 - 2 / la - la**-4 / 2
        put("rubber_sphere", f"neo-Hooke, stretch {label}", s)
        if la in (1.5, 2.0):
            put("rubber_cylinder", f"Mooney, stretch {label}", p)
            put("rubber_sphere", f"Mooney, stretch {label}", 0.4 * 2 * s + 0.1 * second(la, lb))
    neutral = math.atan(math.sqrt(2))
    for name, b in [(f"{d} deg", math.radians(d)) for d in (50, 53, 57, 60)] + [("the neutral angle", neutral)]:
        put("neutral_angle", f"hoop stretch, laid at {name}", math.sin(neutral) / math.sin(b))
        put("neutral_angle", f"axial stretch, laid at {name}", math.cos(neutral) / math.cos(b))
    peak = 7 ** (1 / 6)
    curve = lambda x: 2 * (1 / x - x**-7)
    put("balloon", "stretch at the limit point", peak)
    put("balloon", "pressure at the limit point", curve(peak))
    for x in (1.1, 1.2, 1.5, 2.0):
        put("balloon", f"pressure at stretch {x:g}", curve(x))


def second(la, lb, n=20000):
    """C2 part of the sphere's pressure: int of dW/dl / (l^3 - 1) dl from lb to la, W = C2 (2 l^2 + l^-4)' with I2 = l^4 + 2 l^-2."""
    f = lambda x: (4 * x**3 - 4 * x**-3) / (x**3 - 1)
    h = (la - lb) / n
    return h / 3 * sum((1 if k in (0, n) else 4 if k % 2 else 2) * f(lb + k * h) for k in range(n + 1))


class Net:
    """Membrane of pantographing cords: Simpson's rule in u, rho = rho_c - u^2, and Newton with secant derivatives."""

    def __init__(self, bead, w, length, angle):
        self.bead, self.angle = bead, angle
        lo, hi = w, length
        for _ in range(200):
            mid = (lo + hi) / 2
            lo, hi = (mid, hi) if mid * (PI - math.asin(w / mid)) < length else (lo, mid)
        rise = math.sqrt(lo * lo - w * w) / 2
        c, m = bead + rise + lo / 2, bead + rise
        c, m = self.solved(c, m, w, length)
        self.c, self.m = c, m
        s = self.sin_phi(bead, c, m)
        self.push = (m * m - bead * bead) / 2
        self.lean = math.asin(-s)
        self.tension = self.push / math.tan(self.lean)
        self.width = 2 * self.along(m, lambda r, x: x, c, m)
        self.area = 2 * self.along(bead, lambda r, x: (r - bead) * x, c, m)
        self.hoop = 2 * self.along(bead, lambda r, x: self.hoop_resultant(r), c, m)

    def sin_alpha(self, r, c):
        return math.sqrt(1 - (r * math.cos(self.angle) / c) ** 2)

    def sin_phi(self, r, c, m):
        return (r * r - m * m) / (c * c - m * m) * self.sin_alpha(r, c) / math.sin(self.angle)

    def hoop_resultant(self, r):
        """N_theta / p with N_phi rho sin phi = p (rho^2 - rho_m^2) / 2."""
        sa = self.sin_alpha(r, self.c)
        n_phi = (self.c**2 - self.m**2) * math.sin(self.angle) / (2 * r * sa)
        return n_phi * (1 / sa**2 - 1)

    def along(self, start, g, c, m, n=2000):
        top = math.sqrt(c - start)
        h = top / n
        total = 0.0
        for k in range(n + 1):
            u = max(k * h, 1e-7)
            r = c - u * u
            s = self.sin_phi(r, c, m)
            w = 1 if k in (0, n) else 4 if k % 2 else 2
            # At the crown 2 u / cos phi tends to a limit; u = 1e-7 would cancel, so the first point is moved along.
            if k == 0:
                u = 1e-3
                r = c - u * u
                s = self.sin_phi(r, c, m)
            total += w * g(r, s) * 2 * u / math.sqrt(1 - s * s)
        return total * h / 3

    def solved(self, c, m, w, length):
        """Crown and widest radius at which the meridian has its width and its length, from a first guess."""
        for _ in range(30):
            f = self.misfit(c, m, w, length)
            h = 1e-5
            fc, fm = self.misfit(c + h, m, w, length), self.misfit(c, m + h, w, length)
            j = [[(fc[i] - f[i]) / h, (fm[i] - f[i]) / h] for i in (0, 1)]
            det = j[0][0] * j[1][1] - j[0][1] * j[1][0]
            c += (-f[0] * j[1][1] + f[1] * j[0][1]) / det
            m += (-f[1] * j[0][0] + f[0] * j[1][0]) / det
        return c, m

    def misfit(self, c, m, w, length):
        return (2 * self.along(self.bead, lambda r, s: s, c, m) - w, 2 * self.along(self.bead, lambda r, s: 1.0, c, m) - length)


def tyre():
    p = 0.5
    for angle, w in ((90, 19), (45, 19), (45, 25)):
        n = Net(311.0, float(w), 67.0817, math.radians(angle))
        rows = {
            "crown radius": n.c, "widest radius": n.m, "width": n.width, "area": n.area, "lean at the bead": math.degrees(n.lean),
            "bead tension": p * n.tension, "hoop force of the plies": p * n.hoop,
        }
        for what, x in rows.items():
            put("netting_tyre", f"{what}, {angle} deg, {w} mm", 0.0 if angle == 90 and "hoop" in what else x)
        put("bead_tension", f"tension, {angle} deg, {w} mm", p * n.tension)
        put("bead_tension", f"tension over that at half the pressure, {angle} deg, {w} mm", 2.0)
        put("bead_tension", f"(2 T + hoop force) / (p (A + rho_b w)), {angle} deg, {w} mm", 1.0)
        if (angle, w) == (45, 19):
            for mu in (0.1, 0.3, 0.5, 0.8):
                put("netting_tyre", f"net pull at friction {mu}", p * n.push * (1 / math.tan(n.lean) - mu))
    for share in (0.6, 0.65, 0.7, 0.75, 0.8):
        psi = math.asin(share)
        put("width_rule", f"width gained per rim width at w/W = {share}", 1 / (math.sin(psi) + (PI - psi) * math.cos(psi)))


class UnevenNet(Net):
    """One meridian between beads of different radii, each side from its bead to the crown; the same search for crown and widest radius."""

    def __init__(self, even, raised, w, length):
        self.angle, self.low, self.high = even.angle, even.bead, even.bead + raised
        c, m = even.c + raised / 2, even.m + raised / 2
        c, m = self.solved(c, m, w, length)
        s = self.sin_phi(self.high, c, m)
        self.pull = (m * m - self.high**2) / 2 * math.sqrt(1 - s * s) / -s / self.high

    def misfit(self, c, m, w, length):
        sides = (self.low, self.high)
        return (
            sum(self.along(b, lambda r, s: s, c, m) for b in sides) - w,
            sum(self.along(b, lambda r, s: 1.0, c, m) for b in sides) - length,
        )


def two_beads():
    even = Net(313.9, 17.0, 67.0, PI / 4)
    for raised in (0, 1, 2, 3):
        put("two_beads", f"pull of a bead {raised} mm above the other", UnevenNet(even, raised, 17.0, 67.0).pull)


def wheel():
    r, ea, n, es, length = 304.0, 69e3 * 104, 36, 522e3, 276.0
    k = n * es / (2 * PI * r * length)
    name = "ring_on_spokes"
    put(name, "foundation of the spokes per length", k)
    put(name, "share carried by the spokes", k / (ea / r**2 + k))
    for f in (1000, 3000):
        u = f / r / (ea / r**2 + k)
        put(name, f"inward displacement at {f} N", u)
        put(name, f"spoke force at {f} N", -es * u / length)
    put("rim_compression", "round 45 degree tube, rim and beads together", PI * 12.5**2 * 0.7929)
    for w in (19, 21, 23, 25):
        put("rim_compression", f"floating bead, rim alone, {w} mm", 0.5 * 311 * w)


def main():
    for fill in (linear_solids, elastic_rings, shells, fits, contact, rubber, tyre, two_beads, wheel):
        fill()
    write, wrong, seen = "--write" in sys.argv, [], set()
    for path in sorted(pathlib.Path(__file__).parent.glob("*/problem.toml")):
        text = path.read_text()

        def swap(match):
            key = (path.parent.name, match[2])
            if key not in VALUES:
                return match[0]
            seen.add(key)
            old, new = float(match[4]), VALUES[key]
            if abs(old - new) > 2e-8 * abs(new) + 1e-15:
                wrong.append(f"{key[0]}/{key[1]}: {old!r} should be {new:.9g}")
            return f"{match[1]}{match[2]}{match[3]}{float(f'{new:.9g}')!r}" if write else match[0]

        new = re.sub(r'(name = ")([^"]*)("\nunit = "[^"]*"\nreference = )(\S+)', swap, text)
        if write:
            path.write_text(new)
    wrong += [f"{p}/{n}: in no problem.toml" for p, n in VALUES.keys() - seen]
    print("\n".join(wrong) if wrong else f"{len(seen)} values agree")
    return 1 if wrong and not write else 0


if __name__ == "__main__":
    sys.exit(main())
