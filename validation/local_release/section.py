"""The half section of the tyre of a case, drawn from the case's numbers and cut into few nine-node quadrilaterals.

Lengths in mm. r is the radius from the axle, z the axial distance from the mid-plane. The shape drawn is the program's: the meridian
goes straight up from the bundle, bends outward over the crest and follows a circle to the crown; the bead's base lies on the seat.
The elements are not the program's: one across the bundle, one layer round it, three across the filler, one across the sidewall.
"""

import math

import numpy as np

PLY_SHARE_AT_BEAD, PLY_SHARE_IN_CASING, CORE_SHARE = 0.4, 0.7, 0.16


def smooth(x):
    x = min(max(x, 0.0), 1.0)
    return x * x * (3 - 2 * x)


class Drawing:
    """Where the points of the section lie. `tyre`: numbers of the case by name."""

    def __init__(self, tyre):
        self.t = tyre
        self.wall, self.seat = 0.5 * tyre["inner_width"], 0.5 * tyre["seat_diameter"]
        self.z = self.wall - 0.5 * tyre["bead_width"]
        self.r = self.seat + tyre["bundle_height"]
        self.half = 0.5 * tyre["bundle_size"]
        self.length = 0.5 * tyre["bead_to_bead"]
        self.straight, self.bend = tyre["straight"], tyre["bead_width"]
        low, high = 0.0, math.radians(80.0)
        for _ in range(100):
            self.lean = 0.5 * (low + high)
            low, high = (self.lean, high) if self.reach(self.lean) < self.length else (low, self.lean)
        self.radius = self.circle(self.lean)
        self.centre = self.r + self.straight + (self.bend + self.radius) * math.sin(self.lean)
        self.crown = self.centre + self.radius

    def circle(self, lean):
        return (self.z + self.bend * (1 - math.cos(lean))) / math.cos(lean)

    def reach(self, lean):
        return self.straight + self.bend * lean + self.circle(lean) * (math.pi / 2 + lean)

    def meridian(self, s):
        """Position and outward normal at the length s from the bundle's centre."""
        if s <= self.straight:
            return np.array([self.r + s, self.z]), np.array([0.0, 1.0])
        s -= self.straight
        if s <= self.bend * self.lean:
            psi = s / self.bend
            x = [self.r + self.straight + self.bend * math.sin(psi), self.z + self.bend * (1 - math.cos(psi))]
        else:
            psi = self.lean - (s - self.bend * self.lean) / self.radius
            x = [self.centre - self.radius * math.sin(psi), self.radius * math.cos(psi)]
        return np.array(x), np.array([-math.sin(psi), math.cos(psi)])

    def offset(self, s, distance):
        x, n = self.meridian(s)
        return x + distance * n

    def widths(self, s):
        """Distances from the meridian: of the core's face, of the ply, of the face of the whole."""
        t, blend = self.t, smooth((s - self.half) / self.t["filler_height"])
        side = 0.5 * (t["bead_width"] + (t["sidewall_thickness"] - t["bead_width"]) * blend)
        core = self.half + (0.5 * CORE_SHARE * t["sidewall_thickness"] - self.half) * blend
        share = PLY_SHARE_AT_BEAD + (PLY_SHARE_IN_CASING - PLY_SHARE_AT_BEAD) * blend
        return core, core + 0.5 * share * (side - core), side

    def outline(self, part, share):
        """Point on the bead's outline: `inner` from the bundle's top round the toe, `base` the flat on the seat, `outer` round the heel up to
        the bundle's top; share 0 to 1 by arc length."""
        toe, heel = self.t["toe_radius"], self.t["heel_radius"]
        inner, outer, top = self.wall - self.t["bead_width"], self.wall, self.r + self.half
        if part == "outer":
            return self.leg(1 - share, outer, top, heel, -1.0)
        if part == "inner":
            return self.leg(share, inner, top, toe, 1.0)
        return np.array([self.seat, inner + toe + share * (self.t["bead_width"] - toe - heel)])

    def leg(self, share, z, top, radius, inward):
        down = top - self.seat - radius
        s = share * (down + math.pi / 2 * radius)
        if s < down:
            return np.array([top - s, z])
        a = (s - down) / radius
        return np.array([self.seat + radius * (1 - math.sin(a)), z + inward * radius * (1 - math.cos(a))])


class Section:
    """Nodes, quadrilaterals [first axis][second axis] of node numbers, what they are made of, plies, edges of the faces.

    A ply is a list of (quad, places): three places (first, second) on its path through the quad, in local coordinates.
    `tied`: quads whose last row of nodes follows three others (node numbers) at local coordinates.
    """

    def __init__(self, drawing, rows=(5, 1, 1, 6), bundle_rows=2):
        self.d, self.nodes, self.numbers = drawing, [], {}
        self.quads, self.regions, self.inner_ply, self.outer_ply, self.tied = [], [], [], [], []
        self.inner_edges, self.outer_edges = [], []
        self.bundle_rows = bundle_rows
        self.stations = self.lengths(rows)
        self.across = rows[0] + rows[1] + rows[2]
        self.bead_rows = rows[0]
        self.strip()
        base_ply = self.bead()
        self.ply = self.inner_ply[::-1] + base_ply + self.outer_ply
        self.nodes = np.array(self.nodes)
        self.turn()

    def lengths(self, rows):
        d = self.d
        filler, top = d.t["filler_height"], d.half
        marks = [top, top + 0.8 * filler, top + filler, top + filler + 1.0]
        s = [np.linspace(a, b, 2 * n + 1)[:-1] for a, b, n in zip(marks, marks[1:], rows)]
        x = np.linspace(0, 1, 2 * rows[3] + 1)
        first = 0.35
        return np.concatenate([*s, marks[3] + (d.length - marks[3]) * x * (first + (1 - first) * x)])

    def node(self, key, position):
        if key not in self.numbers:
            self.numbers[key] = len(self.nodes)
            self.nodes.append(position)
        return self.numbers[key]

    def strip(self):
        """Rows above the bundle; offsets in sixths: 0 inner face, 2 and 4 the core, 6 outer face."""
        d, n = self.d, len(self.stations) // 2

        def number(i, k):
            core, _, side = d.widths(self.stations[i])
            marks = [-side, -core, core, side]
            distance = marks[k // 2] if k % 2 == 0 else 0.5 * (marks[k // 2] + marks[k // 2 + 1])
            last = i == 2 * self.across
            return self.node(("tie" if last and k % 3 else "strip", i, k), d.offset(self.stations[i], distance))

        for row in range(n):
            wide = row < self.across
            quads = [(0, 1, 2), (2, 3, 4), (4, 5, 6)] if wide else [(0, 3, 6)]
            for ks in quads:
                quad = [[number(2 * row + j, k) for j in range(3)] for k in ks]
                if row == self.across - 1:
                    quad = self.tie(quad, number, ks)
                self.quads.append(quad)
                self.regions.append("bead" if row < self.bead_rows else "casing")
                self.follow(ks, row)
        self.crown_nodes = [number(2 * n, k) for k in (0, 3, 6)]

    def tie(self, quad, number, ks):
        masters = [number(2 * self.across, k) for k in (0, 3, 6)]
        core, _, side = self.d.widths(self.stations[2 * self.across])
        marks = [-side, -core, core, side]
        x = [(marks[k // 2] if k % 2 == 0 else 0.5 * (marks[k // 2] + marks[k // 2 + 1])) / side for k in ks]
        self.tied.append((len(self.quads), [quad[a][2] for a in range(3)], masters, x))
        return quad

    def follow(self, ks, row):
        """Plies and faces through a quad of the strip."""
        q = len(self.quads) - 1

        def place(j, inner):
            core, ply, side = self.d.widths(self.stations[2 * row + j])
            if len(ks) == 3 and ks == (0, 3, 6):
                x = ply / side
            else:
                x = 2 * (ply - core) / (side - core) - 1
            return (-x if inner else x, j - 1.0)

        if ks[0] == 0:
            self.inner_ply.append((q, [place(j, True) for j in (2, 1, 0)]))
            self.inner_edges.append([self.quads[q][0][j] for j in (2, 1, 0)])
        if ks[-1] == 6:
            self.outer_ply.append((q, [place(j, False) for j in (0, 1, 2)]))
            self.outer_edges.append([self.quads[q][2][j] for j in (0, 1, 2)])

    def bead(self):
        """The bundle and the layer round it; the ply round it."""
        d, m, n = self.d, 2, 2 * self.bundle_rows

        def core(i, j):
            # Row i from the bottom, column j from inside. The top row is the strip's first.
            if i == n:
                return self.node(("strip", 0, 2 + j), None)
            return self.node(("core", i, j), np.array([d.r + d.half * (2 * i / n - 1), d.z + d.half * (2 * j / m - 1)]))

        for i in range(self.bundle_rows):
            self.quads.append([[core(2 * i + b, a) for b in range(3)] for a in range(3)])
            self.regions.append("bundle")
        ring = [("inner", n - i, core(n - i, 0)) for i in range(n)] + [("base", j, core(0, j)) for j in range(m)]
        ring += [("outer", i, core(i, m)) for i in range(n + 1)]
        share = {"inner": lambda k: (n - k) / n, "base": lambda k: k / m, "outer": lambda k: k / n}
        layers = []
        for index, (part, k, inside) in enumerate(ring):
            if index == 0 or index == len(ring) - 1:
                # The strip's first row.
                ks = (2, 1, 0) if index == 0 else (4, 5, 6)
                layers.append([self.numbers["strip", 0, k] for k in ks])
                continue
            a, b = self.nodes[inside], d.outline(part, share[part](k))
            layers.append([inside, self.node(("ring", index, 1), 0.5 * (a + b)), self.node(("ring", index, 2), b)])
        ply, x = [], 2 * 0.5 * PLY_SHARE_AT_BEAD - 1
        for e in range(len(ring) // 2):
            self.quads.append([[layers[2 * e + b][a] for b in range(3)] for a in range(3)])
            self.regions.append("bead")
            ply.append((len(self.quads) - 1, [(x, -1.0), (x, 0.0), (x, 1.0)]))
        edges = [[layers[2 * e + b][2] for b in range(3)] for e in range(len(ring) // 2)]
        self.outer_edges = edges + self.outer_edges
        self.inner_edges = self.inner_edges[::-1]
        self.corners = [core(0, 0), core(0, m), core(n, 0), core(n, m)]
        return ply

    def turn(self):
        """Orders each quad so that (first axis, second axis, hoop direction) is right-handed."""
        for q, quad in enumerate(self.quads):
            x = self.nodes[np.array(quad)]
            a, b = x[2, 1] - x[0, 1], x[1, 2] - x[1, 0]
            # (r, z, theta) is left-handed.
            if a[0] * b[1] - a[1] * b[0] > 0:
                self.quads[q] = quad[::-1]
                self.ply = [(p, [(-u, v) for u, v in places] if p == q else places) for p, places in self.ply]
