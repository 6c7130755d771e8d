"""The tyre on its rim in three dimensions: 27-node hexahedra of a general-purpose finite-element library, and what a tyre needs besides.

From the library (felupe): shape functions, quadrature, kinematics of the regions, the rubber's law. Written here: the pressure of the
nearly incompressible rubber (linear in each element, condensed), cords and bundle as fibres, follower gas, contact with a
rigid body of revolution with or without Coulomb friction, assembly and path control. Nothing is shared with the program. Units N, mm, MPa, rad.

A sector from the first to the last plane; on both end planes points stay in the plane (mirror planes), or move freely. Unknowns are radial,
circumferential and axial displacements of the nodes; positions are interpolated in Cartesian coordinates (x, y, z), z axial.
"""

import math

import felupe as fem
import numpy as np
from felupe.math import cdya_il, det, dya, inv, transpose
from parts import PAIRS, Cord, Fibres, Profile, line, outer_sum, spread
from scipy import sparse

GAUSS = np.array([-math.sqrt(0.6), 0.0, math.sqrt(0.6)])
WEIGHTS = np.array([5.0, 8.0, 5.0]) / 9.0
# Contact stiffness, MPa/mm; points along each edge of the outer face.
PENALTY, POINTS = 400.0, 9
# Tangential stiffness of contact that sticks, MPa/mm: at 1 MPa and friction 0.3 it slips after some thousandths of a millimetre.
STICK = 100.0


class Tyre:
    """`section`: drawn and cut section; `tyre`: numbers of the case by name; `planes`: angles of the planes of nodes, two an element."""

    def __init__(self, section, tyre, planes, mirrors=True):
        self.s, self.t, self.planes, self.mirrors = section, tyre, np.array(planes), mirrors
        self.np, self.n2, self.ne = len(planes), len(section.nodes), (len(planes) - 1) // 2
        self.profile = Profile(tyre)
        self.mesh()
        self.rubber()
        self.bundle()
        self.plies()
        self.faces()
        self.numbering()
        self.pressure, self.eigen, self.guide = 0.0, 0.0, 0.0
        # Radial pull on the bundle at each plane, N/mm.
        self.load = np.zeros(self.np)
        self.u = np.zeros((self.np * self.n2, 3))
        self.q = np.zeros((self.n_elements, 4))
        self.n = [np.zeros(g.w.shape) for g in self.ply_groups]
        self.wet = np.zeros((len(self.outer), POINTS, 3))
        # Friction: coefficient, traction on the body at each contact point as it was where the point was held, MPa.
        self.friction, self.held = 0.0, np.matmul(self.outer_shapes[0], self.x0[self.outer])
        self.grip = np.zeros_like(self.held)

    # Geometry

    def mesh(self):
        s, element = self.s, fem.TriQuadraticHexahedron()
        r, z = self.s.nodes.T
        c, sn = np.cos(self.planes)[:, None], np.sin(self.planes)[:, None]
        self.x0 = np.stack([r * c, r * sn, np.broadcast_to(z, (self.np, self.n2))], axis=-1).reshape(-1, 3)
        basis = np.zeros((self.np, 3, 3))
        basis[:, 0, 0], basis[:, 1, 0], basis[:, 0, 1], basis[:, 1, 1], basis[:, 2, 2] = c[:, 0], sn[:, 0], -sn[:, 0], c[:, 0], 1
        self.basis = np.repeat(basis, self.n2, axis=0)
        local = np.round(element.points).astype(int) + 1
        quads = np.array(s.quads)
        self.n_elements = len(quads) * self.ne
        flat = quads[:, local[:, 0], local[:, 1]]
        self.conn = np.concatenate([flat + (2 * k + local[:, 2]) * self.n2 for k in range(self.ne)])
        self.element, self.local = element, local
        self.region = fem.Region(fem.Mesh(self.x0, self.conn, "hexahedron27"), element, fem.GaussLegendre(2, 3))
        assert self.region.dV.min() > 0, "an element is turned over"
        # Nodes that follow others.
        self.ties = np.broadcast_to(np.eye(27), (self.n_elements, 27, 27)).copy()
        for q, slaves, masters, x in s.tied:
            n = line(x)[0].T
            ids = q + len(quads) * np.arange(self.ne)
            for a in range(27):
                if flat[q, a] in slaves:
                    i = slaves.index(flat[q, a])
                    self.ties[ids, a, a] = 0
                    for j in range(3):
                        b = [b for b in range(27) if flat[q, b] == slaves[j] and local[b, 2] == local[a, 2]][0]
                        self.ties[ids, a, b] += n[i, j]
        for q, slaves, masters, x in s.tied:
            for k in range(self.ne):
                row = self.conn[q + len(quads) * k]
                for a in range(27):
                    if flat[q, a] in slaves:
                        row[a] = masters[slaves.index(flat[q, a])] + (2 * k + local[a, 2]) * self.n2

    def tie(self, dh, elements):
        """Shape functions [e, node, ...] of nodes -> of the nodes that lead."""
        t = self.ties[elements]
        return np.matmul(t.transpose(0, 2, 1), dh.reshape(len(elements), 27, -1)).reshape(dh.shape)

    def rubber(self):
        region, n = self.region, self.n_elements
        every = np.arange(n)
        # [e, (q, J), node]
        dh = self.tie(np.ascontiguousarray(region.dhdX.transpose(3, 0, 2, 1)), every)
        self.dh = np.ascontiguousarray(dh.transpose(0, 2, 3, 1))
        self.dhf = self.dh.reshape(n, 81, 27)
        self.dv = np.ascontiguousarray(region.dV.T)
        h = region.h[:, :, 0] if region.h.ndim == 3 else region.h
        x = np.einsum("aq,eai->eqi", h, self.region.mesh.points[self.region.mesh.cells])
        self.position = x
        polar = np.stack([np.hypot(x[..., 0], x[..., 1]), np.arctan2(x[..., 1], x[..., 0]), x[..., 2]], axis=-1)
        self.polar = polar
        low, high = polar.min(axis=1, keepdims=True), polar.max(axis=1, keepdims=True)
        self.b = np.concatenate([np.ones((n, 27, 1)), (2 * polar - low - high) / (high - low)], axis=-1)
        m = np.einsum("eqk,eql,eq->ekl", self.b, self.b, self.dv)
        self.m_inverse = np.linalg.inv(m)
        moduli = {k: self.t["rubber_" + k] / 3 for k in ("bundle", "bead", "casing")}
        mu = np.array([moduli[r] for r in self.s.regions])
        self.mu = np.tile(mu, self.ne)
        self.kappa = self.t["rubber_bulk"]
        self.law = fem.NeoHooke(mu=1.0)

    def bundle(self):
        quads = [q for q, r in enumerate(self.s.regions) if r == "bundle"]
        e = np.concatenate([np.array(quads) + len(self.s.quads) * k for k in range(self.ne)])
        phi = self.polar[e, :, 1]
        hoop = np.stack([-np.sin(phi), np.cos(phi), 0 * phi], axis=-1)
        c = np.einsum("eqJa,eqJ->eqa", self.dh[e], hoop)
        area = self.t["bundle_size"] ** 2
        self.bundle_fibres = Fibres(e, c, self.dv[e] / area)
        height = 2 * self.t["bundle_height"]
        self.growth = (self.t["bead_diameter"] + height) / (self.t["seat_diameter"] + height)

    def plies(self):
        t, crown = self.t, self.s.d.crown
        self.cord = Cord(t["ply_stiffness"] / t["ends"])
        angle0 = math.radians(t["angle"])
        segments = {}
        for q, places in self.s.ply:
            segments.setdefault(q, []).append(places)
        self.ply_groups = []
        for layer in range(max(len(v) for v in segments.values())):
            elements, cs, ws = [], [], []
            for q, lines in segments.items():
                if layer >= len(lines):
                    continue
                e = q + len(self.s.quads) * np.arange(self.ne)
                c, w = self.ply_points(e, np.array(lines[layer]), crown, angle0)
                elements.append(e), cs.append(c), ws.append(w)
            self.ply_groups.append(Fibres(np.concatenate(elements), np.concatenate(cs), np.concatenate(ws)))

    def ply_points(self, e, places, crown, angle0):
        x = self.region.mesh.points[self.region.mesh.cells[e]]
        c, w = [], []
        for i, xi in enumerate(GAUSS):
            n, dn = line(xi)
            place, slope = n @ places, dn @ places
            for j, th in enumerate(GAUSS):
                local = np.array([*place, th])
                g = np.asarray(self.element.gradient(local))
                jac = np.einsum("aI,eai->eiI", g, x)
                along = jac[:, :, 0] * slope[0] + jac[:, :, 1] * slope[1]
                round_ = jac[:, :, 2]
                area = np.linalg.norm(np.cross(along, round_), axis=1) * WEIGHTS[i] * WEIGHTS[j]
                p = np.einsum("a,eai->ei", np.asarray(self.element.function(local)), x)
                r, phi = np.hypot(p[:, 0], p[:, 1]), np.arctan2(p[:, 1], p[:, 0])
                hoop = np.stack([-np.sin(phi), np.cos(phi), 0 * phi], axis=-1)
                meridian = along - hoop * np.sum(along * hoop, axis=1)[:, None]
                meridian /= np.linalg.norm(meridian, axis=1)[:, None]
                angle = np.arccos(np.minimum(math.cos(angle0) * r / crown, 1))
                ends = self.t["ends"] * crown * math.sin(angle0) / (r * np.sin(angle))
                dh = self.tie(np.einsum("aI,eIJ->eaJ", g, np.linalg.inv(jac)), e)
                for sign in (1, -1):
                    a = np.sin(angle)[:, None] * meridian + sign * np.cos(angle)[:, None] * hoop
                    c.append(np.einsum("eaJ,eJ->ea", dh, a))
                    w.append(0.5 * ends * area)
        return np.stack(c, axis=1), np.stack(w, axis=1)

    def faces(self):
        def conn(edges):
            edges = np.array(edges)
            return np.concatenate([
                (edges[:, :, None] + (2 * k + np.arange(3))[None, None, :] * self.n2).reshape(len(edges), 9) for k in range(self.ne)])

        places = self.s.outer_edges[: self.contact_edges()]
        self.n_outer = len(places)
        self.inner, self.outer = conn(self.s.inner_edges), conn(places)
        self.inner_shapes = self.face_shapes(GAUSS, WEIGHTS)
        x, w = np.polynomial.legendre.leggauss(POINTS)
        self.outer_shapes = self.face_shapes(x, w)
        # Reference area of the contact's points.
        n, n1, n2, w = self.outer_shapes
        x0 = self.x0[self.outer]
        g1, g2 = np.einsum("paq,fai->fpi", n1[..., None], x0), np.einsum("paq,fai->fpi", n2[..., None], x0)
        self.area = np.linalg.norm(np.cross(g1, g2), axis=2) * w

    def contact_edges(self):
        """Edges of the outer face up to the middle of the sidewall."""
        rows = [2 * i for i in range(len(self.s.stations) // 2) if self.s.stations[2 * i] < 0.55 * self.s.d.length]
        return len(self.s.outer_edges) - len(self.s.stations) // 2 + len(rows)

    @staticmethod
    def face_shapes(x, wx):
        a, da = line(x)
        b, db = line(GAUSS)
        n = np.einsum("ai,bj->ijab", a, b).reshape(-1, 9)
        n1 = np.einsum("ai,bj->ijab", da, b).reshape(-1, 9)
        n2 = np.einsum("ai,bj->ijab", a, db).reshape(-1, 9)
        return n, n1, n2, np.outer(wx, WEIGHTS).ravel()

    # Unknowns and their matrix

    def numbering(self):
        n = 3 * self.np * self.n2
        free = np.ones(n, bool)
        for plane in (0, self.np - 1) if self.mirrors else ():
            free[3 * (plane * self.n2 + np.arange(self.n2)) + 1] = False
        for node in self.s.crown_nodes:
            free[3 * (np.arange(self.np) * self.n2 + node) + 2] = False
        used = np.zeros(n, bool)
        used[(3 * self.conn[:, :, None] + np.arange(3)).ravel()] = True
        free &= used
        self.free = np.flatnonzero(free)
        self.number = np.full(n, -1)
        self.number[self.free] = np.arange(len(self.free))
        self.dofs = self.number[3 * self.conn[:, :, None] + np.arange(3)].reshape(self.n_elements, 81)
        i, j = np.broadcast_arrays(self.dofs[:, :, None], self.dofs[:, None, :])
        n = len(self.free)
        keep = (i >= 0) & (j >= i)
        keys = i[keep].astype(np.int64) * n + j[keep]
        pattern, where = np.unique(keys, return_inverse=True)
        self.keep, self.where, self.nnz = np.flatnonzero(keep.ravel()), where.astype(np.int32), len(pattern)
        rows, cols = pattern // n, pattern % n
        self.matrix = sparse.csr_matrix((np.zeros(self.nnz), cols.astype(np.int32), np.searchsorted(rows, np.arange(n + 1)).astype(np.int32)), shape=(n, n))
        self.pattern = pattern
        self.face_maps = {}
        for name, conn in (("inner", self.inner), ("outer", self.outer)):
            d = self.number[3 * conn[:, :, None] + np.arange(3)].reshape(len(conn), 27)
            i, j = np.broadcast_arrays(d[:, :, None], d[:, None, :])
            keep = (i >= 0) & (j >= i)
            self.face_maps[name] = np.flatnonzero(keep.ravel()), np.searchsorted(pattern, i[keep].astype(np.int64) * n + j[keep])
        corners = np.array(self.s.corners)
        self.bundle_nodes = corners[None, :] + self.n2 * np.arange(self.np)[:, None]
        self.diagonal = np.searchsorted(pattern, np.arange(n, dtype=np.int64) * (n + 1))

    def positions(self):
        return self.x0 + np.einsum("nij,nj->ni", self.basis, self.u)

    # Residual and tangent

    def solid(self, x, tangent):
        e, xe = self.n_elements, x[self.conn]
        f = np.matmul(self.dhf, xe).reshape(e, 27, 3, 3).transpose(3, 2, 1, 0)  # [i, J, q, e]
        f = np.ascontiguousarray(f)
        j = det(f)
        if j.min() <= 0.02:
            raise Inverted
        it = transpose(inv(f, determinant=j))
        cof = j * it
        p = np.einsum("eqk,ek->qe", self.b, self.q)
        stress = self.mu * self.law.gradient([f, None])[0] + p * cof
        dv = self.dv.T
        cofe = np.ascontiguousarray((cof * dv).transpose(3, 2, 1, 0))  # [e, q, J, i]
        up = self.coupling(cofe)
        misfit = np.einsum("eqk,qe->ek", self.b, (j - 1 - p / self.kappa) * dv)
        ru = np.matmul(self.dhf.transpose(0, 2, 1), np.ascontiguousarray((stress * dv).transpose(3, 2, 1, 0)).reshape(e, 81, 3))
        dp = self.kappa * np.einsum("ekl,el->ek", self.m_inverse, misfit)
        ru = ru.reshape(e, 81) + np.einsum("enk,ek->en", up, dp)
        self.up, self.dp = up, dp
        if not tangent:
            return ru, None
        c = self.mu * self.law.hessian([f, None])[0]
        c = c + p * j * (dya(it, it) - cdya_il(it, it))
        c = c * dv
        blocks = []
        for i, k in PAIRS:
            d = np.ascontiguousarray(c[i, :, k].transpose(3, 2, 0, 1))  # [e, q, J, L]
            blocks.append(np.matmul(self.dhf.transpose(0, 2, 1), np.matmul(d, self.dh).reshape(e, 81, 27)))
        k = spread(np.stack(blocks, axis=1)).reshape(e, 81, 81)
        k += self.kappa * np.matmul(np.matmul(up, self.m_inverse), up.transpose(0, 2, 1))
        return ru, k

    def coupling(self, cofe):
        """[e, (a, i), k]: derivative of the weighted volume by the nodes."""
        e = self.n_elements
        parts = []
        for k in range(4):
            w = cofe * self.b[:, :, k][:, :, None, None]
            parts.append(np.matmul(self.dhf.transpose(0, 2, 1), w.reshape(e, 81, 3)).reshape(e, 81))
        return np.stack(parts, axis=2)

    def add_fibres(self, x, group, ru, k, forces=None):
        """Bundle (`forces` none) or cords (forces at the points, mixed)."""
        xe = x[self.conn[group.elements]]
        f = np.matmul(group.c, xe)
        l = np.linalg.norm(f, axis=2)
        d = f / l[..., None]
        if forces is None:
            growth = 1 + self.eigen * (self.growth - 1)
            n, slope = self.t["bead_stiffness"] * (l / growth - 1), self.t["bead_stiffness"] / growth * np.ones_like(l)
            geometric = n
        else:
            strain, compliance = self.cord.strain(forces)
            slope, geometric = 1 / compliance, forces
            n = forces + (l - 1 - strain) * slope
        r = np.matmul(group.c.transpose(0, 2, 1), (group.w * n)[..., None] * d)
        np.add.at(ru, group.elements, r.reshape(len(r), 81))
        if k is not None:
            a, g = group.w * slope, group.w * geometric / l
            comps = [(a - g) * d[..., i] * d[..., j] + (g if i == j else 0) for i, j in PAIRS]
            k[group.elements] += spread(outer_sum(group.c, comps)).reshape(len(r), 81, 81)

    def face_geometry(self, x, conn, shapes):
        n, n1, n2, w = shapes
        xf = x[conn]
        return n, n1, n2, w, np.matmul(n, xf), np.matmul(n1, xf), np.matmul(n2, xf)

    def gas(self, x, conn, shapes, share, tangent):
        """Forces and tangent of a pressure of 1 MPa on the share of each point; the tangent's symmetric part."""
        n, n1, n2, w, _, g1, g2 = self.face_geometry(x, conn, shapes)
        # Seen from the gas the faces run clockwise.
        weight = -share * w
        force = np.matmul(n.T, weight[..., None] * np.cross(g1, g2))
        if not tangent:
            return force, None

        def skew(v):
            z = np.zeros(v.shape[:-1])
            return np.stack([np.stack([z, -v[..., 2], v[..., 1]], -1), np.stack([v[..., 2], z, -v[..., 0]], -1),
                             np.stack([-v[..., 1], v[..., 0], z], -1)], -2)

        k = -np.einsum("fp,pa,pb,fpij->faibj", weight, n, n1, skew(g2), optimize=True)
        k += np.einsum("fp,pa,pb,fpij->faibj", weight, n, n2, skew(g1), optimize=True)
        k = k.reshape(len(conn), 27, 27)
        return force, 0.5 * (k + k.transpose(0, 2, 1))

    def contact(self, x, tangent):
        n, _, _, _ = self.outer_shapes
        p = np.matmul(n, x[self.outer])
        r = np.hypot(p[..., 0], p[..., 1])
        er = np.stack([p[..., 0] / r, p[..., 1] / r], -1)
        gap, (nr, nz), bent = self.profile.gap(r, p[..., 2])
        wet = self.wet.reshape(len(self.outer), 3 * POINTS)
        total = -PENALTY * gap
        force = np.maximum(total - wet * self.pressure, 0)
        self.contact_pressure = np.maximum(total, 0)
        normal = np.stack([nr * er[..., 0], nr * er[..., 1], nz], -1)
        w = self.area
        self.contact_force = (force * w, nr, nz, p)
        hold, stick, slip, along = self.drag(p, normal, force)
        out = np.matmul(n.T, w[..., None] * (force[..., None] * normal + hold))
        wet_force = -np.where(force > 0, wet, 0.0) * w
        by_pressure = np.matmul(n.T, wet_force[..., None] * normal)
        if not tangent:
            return out, by_pressure, None
        on = force > 0
        t = np.stack([-nz * er[..., 0], -nz * er[..., 1], nr], -1)
        hoop = np.stack([-er[..., 1], er[..., 0], np.zeros_like(r)], -1)
        a, b, c = PENALTY * on * w, -force * bent * w, -force * nr / r * w
        comps = [a * normal[..., i] * normal[..., j] + b * t[..., i] * t[..., j] + c * hoop[..., i] * hoop[..., j] for i, j in PAIRS]
        if self.friction:
            # Of what slips only the symmetric part: Newton's steps are shorter, the equilibrium is the same.
            even = [stick * w * ((i == j) - normal[..., i] * normal[..., j]) - slip * w * along[..., i] * along[..., j] for i, j in PAIRS]
            comps = [x + y for x, y in zip(comps, even)]
        k = spread(outer_sum(np.broadcast_to(n, (len(self.outer), *n.shape)), comps)).reshape(len(self.outer), 27, 27)
        return out, by_pressure, k

    def drag(self, p, normal, force):
        """Friction's traction on the body at the points `p`; its stiffness in the tangent plane, and how much less along the slip."""
        moved = p - self.held
        trial = self.grip - STICK * moved
        trial = trial - np.sum(trial * normal, axis=-1)[..., None] * normal
        size = np.maximum(np.linalg.norm(trial, axis=-1), 1e-12)
        share = np.minimum(1.0, self.friction * force / size)
        along = trial / size[..., None]
        self.dragged = share[..., None] * trial, p
        return self.dragged[0], STICK * share, np.where(share < 1, STICK * share, 0.0), along

    def hold(self):
        """Takes over the friction that acts now."""
        self.grip, self.held = self.dragged

    def to_polar(self, conn, k):
        """Rows and columns from (x, y, z) to (r, theta, z) of each node."""
        e, n = conn.shape
        q = self.basis[conn].transpose(0, 1, 3, 2)
        k = np.matmul(q, k.reshape(e, n, 3, 3 * n)).reshape(e, 3 * n, 3 * n)
        k = np.ascontiguousarray(k.transpose(0, 2, 1)).reshape(e, n, 3, 3 * n)
        return np.matmul(q, k).reshape(e, 3 * n, 3 * n)

    def assemble(self, tangent=True):
        """Residual, its derivative by the pressure, and the tangent (upper triangle) of the free unknowns."""
        x = self.positions()
        ru, k = self.solid(x, tangent)
        self.add_fibres(x, self.bundle_fibres, ru, k)
        for group, forces in zip(self.ply_groups, self.n):
            self.add_fibres(x, group, ru, k, forces)
        total, by_p = np.zeros_like(x), np.zeros_like(x)
        np.add.at(total, self.conn, ru.reshape(-1, 27, 3))
        inner, k_inner = self.gas(x, self.inner, self.inner_shapes, np.ones((len(self.inner), 9)), tangent)
        wet, k_wet = self.gas(x, self.outer, self.outer_shapes, self.wet.reshape(len(self.outer), 3 * POINTS), tangent)
        touch, touch_p, k_touch = self.contact(x, tangent)
        np.add.at(by_p, self.inner, -inner)
        np.add.at(by_p, self.outer, -wet - touch_p)
        np.add.at(total, self.inner, -self.pressure * inner)
        np.add.at(total, self.outer, -self.pressure * wet - touch)
        total, by_p = (np.einsum("nij,ni->nj", self.basis, v) for v in (total, by_p))
        total[self.bundle_nodes, 2] += self.guide * self.u[self.bundle_nodes, 2] * self.tributary()[:, None]
        total[self.bundle_nodes, 0] -= (0.25 * self.load * self.tributary())[:, None]
        residual, by_pressure = total.ravel()[self.free], by_p.ravel()[self.free]
        if not tangent:
            return residual, by_pressure, None
        data = np.bincount(self.where, self.to_polar(self.conn, k).ravel()[self.keep], self.nnz)
        faces = (("inner", self.inner, -self.pressure * k_inner), ("outer", self.outer, k_touch - self.pressure * k_wet))
        for name, conn, kf in faces:
            keep, where = self.face_maps[name]
            data += np.bincount(where, self.to_polar(conn, kf).ravel()[keep], self.nnz)
        guided = self.number[3 * self.bundle_nodes + 2]
        data[self.diagonal[guided]] += self.guide * self.tributary()[:, None]
        self.matrix.data = data
        return residual, by_pressure, self.matrix

    def tributary(self):
        """Length of circumference that belongs to each plane of nodes, mm."""
        x = self.planes
        w = np.zeros(self.np)
        for k in range(self.ne):
            w[2 * k : 2 * k + 3] += (x[2 * k + 2] - x[2 * k]) * np.array([1, 4, 1]) / 6
        return w * self.s.d.r

    def advance(self, du, scale=1.0):
        """Takes a share of an increment of the free unknowns, and of the pressures and cord forces that go with it."""
        step = np.zeros(self.u.size)
        step[self.free] = du
        step = step.reshape(self.u.shape)
        dx = np.einsum("nij,nj->ni", self.basis, step)
        dxe = dx[self.conn].reshape(self.n_elements, 81)
        self.q = self.q + scale * self.dp + scale * self.kappa * np.einsum("ekl,el->ek", self.m_inverse, np.einsum("enk,en->ek", self.up, dxe))
        x = self.positions()
        for m, group in enumerate(self.ply_groups):
            xe = x[self.conn[group.elements]]
            f = np.matmul(group.c, xe)
            l = np.linalg.norm(f, axis=2)
            change = np.sum(f / l[..., None] * np.matmul(group.c, dx[self.conn[group.elements]]), axis=2)
            strain, compliance = self.cord.strain(self.n[m])
            self.n[m] = self.n[m] + scale * (l - 1 - strain + change) / compliance
        self.u = self.u + scale * step

    # What is read off

    def lift(self):
        """Mean radial displacement of the bundle's corners at each plane of nodes, mm."""
        return self.u[self.bundle_nodes, 0].mean(axis=1)

    def tension(self):
        """Tension of the bundle in each sector between planes of corner nodes, N."""
        x, g = self.positions(), self.bundle_fibres
        l = np.linalg.norm(np.matmul(g.c, x[self.conn[g.elements]]), axis=2)
        n = self.t["bead_stiffness"] * (l / (1 + self.eigen * (self.growth - 1)) - 1)
        t, w = (n * g.w).sum(axis=1).reshape(self.ne, -1), g.w.sum(axis=1).reshape(self.ne, -1)
        return t.sum(axis=1) / w.sum(axis=1)

    def loads(self):
        """Seat load and wall load (axial), N per mm of seat circumference, means over the sector."""
        force, nr, nz, p = self.contact_force
        length = (self.planes[-1] - self.planes[0]) * self.profile.seat
        on_seat = (nz == 0) & (p[..., 2] < self.profile.wall)
        return (force * nr * on_seat).sum() / length, -(force * nz).sum() / length

    def seal(self):
        """Moves the gas on each meridian to where the contact first presses as hard as the gas; the largest change of a point's share."""
        press = self.contact_pressure.reshape(self.ne, self.n_outer, POINTS, 3).transpose(0, 3, 1, 2).reshape(3 * self.ne, -1)
        size = self.area.reshape(self.ne, self.n_outer, POINTS, 3).transpose(0, 3, 1, 2).reshape(3 * self.ne, -1)
        ends = np.cumsum(size, axis=1)
        middle = ends - 0.5 * size
        line, over = np.arange(len(press)), press > self.pressure
        first = np.where(over.any(axis=1), over.argmax(axis=1), press.shape[1] - 1)
        last = np.maximum(first - 1, 0)
        low, high = press[line, last], press[line, first]
        share = np.clip((self.pressure - low) / np.maximum(high - low, 1e-9), 0, 1)
        place = middle[line, last] + share * (middle[line, first] - middle[line, last])
        wet = np.clip((place[:, None] - ends + size) / size, 0, 1)
        if self.pressure == 0:
            wet[:] = 0
        wet = wet.reshape(self.ne, 3, self.n_outer, POINTS).transpose(0, 2, 3, 1).reshape(-1, POINTS, 3)
        changed = np.abs(wet - self.wet).max()
        self.wet = wet
        return changed

    def state(self):
        return dict(u=self.u.copy(), q=self.q.copy(), n=[v.copy() for v in self.n], wet=self.wet.copy(), pressure=self.pressure,
                    eigen=self.eigen, guide=self.guide, grip=self.grip, held=self.held)

    def restore(self, s):
        self.u, self.q, self.n, self.wet = s["u"].copy(), s["q"].copy(), [v.copy() for v in s["n"]], s["wet"].copy()
        self.pressure, self.eigen, self.guide = s["pressure"], s["eigen"], s["guide"]
        self.grip, self.held = s["grip"], s["held"]


class Inverted(Exception):
    pass
