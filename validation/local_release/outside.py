"""The tyres of this folder in three dimensions in a general-purpose finite-element library, apart from the program.

    python3 -m venv venv && venv/bin/pip install -r validation/outside_requirements.txt
    OMP_NUM_THREADS=1 venv/bin/python validation/local_release/outside.py                 even paths of all cases (some minutes)
    OMP_NUM_THREADS=1 venv/bin/python validation/local_release/outside.py stability CASE  signs of the tangent along the even path
    OMP_NUM_THREADS=1 venv/bin/python validation/local_release/outside.py evenness CASE [MESH]   stiffness against waves on the even path
    OMP_NUM_THREADS=1 venv/bin/python validation/local_release/outside.py friction CASE   even path with friction, up and down again
    OMP_NUM_THREADS=1 venv/bin/python validation/local_release/outside.py arc CASE PULL [MESH]  path of the lifted arc (some minutes of a core)

Each compares with what is stored, exit 1 where it differs, or stores with --write. With pypardiso installed besides (optional), the
linear systems are solved some times faster; the results are the same. Units N, mm, MPa; angles in degrees in the tables.
"""

import csv
import math
import pathlib
import sys
import tomllib

import drive
import model
import numpy as np
from drive import Driver, Failed
from model import Tyre
from section import Drawing, Section
from waves import Waves

HERE = pathlib.Path(__file__).parent
# Of each case: length of the straight part of the meridian as the program draws it, mm; its pulls, N/mm, each with the lift of the even ring
# at which it is put on, mm; largest step of the lift, mm. A pull is radial, at its middle, cosine squared over HALF_ARC on either side.
CASES = {
    "road": dict(straight=1.1, pulls={0.02: 0.3, 0.05: 0.3}, step=0.12),
    "tall": dict(straight=3.2, pulls={0.05: 2.0}, step=0.2),
    "thick": dict(straight=1.1, pulls={0.05: 0.3, 0.2: 0.1}, step=0.12),
}
HALF_ARC = 45.0
# Coefficient of the path with friction, and the lifts at which it turns and ends, mm.
FRICTION, TURN = 0.3, (1.2, 0.25)
# Lift from which on the seat holds the ring no more, and the one up to which its stiffness against waves is looked at, mm.
FLOATING, EVEN_TO = 0.2, 1.2
# Lifts, mm, over which a path is compared with the stored one, and by how much their pressures may differ: past them the coarse contact
# makes a path saw, and where the teeth lie depends on the steps.
COMPARED, TOLERANCE = (0.3, 2.0), 0.01
# Circumferential elements (number, degrees) from the middle of the arc to the opposite side.
GRADED = {"medium": ((7, 6), (4, 12), (5, 18)), "coarse": ((5, 9), (3, 15), (5, 18)), "fine": ((12, 4), (6, 7), (6, 15))}
# Rows of elements up the filler, its last fifth, the millimetre above, the sidewall; rows over the bundle.
ROWS = {"medium": ((6, 1, 1, 6), 3), "coarse": ((5, 1, 1, 6), 2), "fine": ((8, 1, 1, 8), 4)}
UNITS = {"mm": 1.0, "bar": 0.1, "MPa": 1.0, "kN": 1e3, "MN": 1e6, "N": 1.0, "N/mm": 1.0, "deg": 1.0, "/in": 1 / 25.4}


def numbers(name):
    """Numbers of a case by the names that the model uses."""
    text = tomllib.loads((HERE / f"{name}.toml").read_text())

    def value(table, key):
        number, unit = text[table][key].split()
        return float(number) * UNITS[unit]

    rim = ("seat_diameter", "inner_width", "flange_height", "wall_thickness", "crest_radius")
    bead = ("bundle_size", "bundle_height", "filler_height", "heel_radius", "toe_radius")
    casing = ("ply_stiffness", "ends", "angle", "bead_to_bead", "sidewall_thickness")
    tyre = {key: value(table, key) for table, keys in (("rim", rim), ("bead", bead), ("casing", casing)) for key in keys}
    tyre |= {f"bead_{key}": value("bead", key) for key in ("diameter", "stiffness", "width")}
    tyre |= {f"rubber_{key}": value("rubber", key) for key in ("bead", "casing", "bundle", "bulk")}
    return tyre | {"straight": CASES[name]["straight"]}


class Even:
    """A wedge of four degrees: the tyre with an even ring."""

    def __init__(self, name, mesh="medium", friction=0.0):
        rows, bundle_rows = ROWS[mesh]
        tyre = numbers(name)
        self.section = Section(Drawing(tyre), rows, bundle_rows)
        self.tyre = Tyre(self.section, tyre, np.radians([-2, 0, 2]))
        self.driver = Driver(self.tyre)
        self.driver.fit()
        self.driver.rise(0.05, 0.004)
        self.tyre.guide = 0.0
        self.driver.newton()
        # Friction begins here, at rest: what mounting leaves of it is gone once the bead has slipped.
        self.tyre.grip, self.tyre.friction = 0.0 * self.tyre.grip, friction
        self.driver.newton()
        self.origin = self.driver.origin[1]
        self.control = self.driver.control([1 / 6, 4 / 6, 1 / 6])

    def lift(self):
        return self.tyre.lift()[1] - self.origin

    def row(self):
        return [self.tyre.pressure, self.lift(), self.tyre.tension()[0], self.tyre.loads()[0]]

    def walk(self, to, step=0.1, largest=0.1):
        """States at growing lifts, straight on from the last two; a failure halves the step."""
        tyre, before = self.tyre, None
        while self.lift() < to - 1e-6:
            start, here = tyre.state(), self.lift()
            length = min(step, to - here)

            def go():
                if before:
                    extrapolate(tyre, before[0], start, length / (here - before[1]))

            if self.driver.attempt(go, relax=step < 0.02, control=self.control, goal=here + self.origin + length):
                before, step = (start, here), min(largest, 1.5 * step)
                yield self.row()
            else:
                step *= 0.4
                if step < 2e-3:
                    raise Failed(f"the even path ends at a lift of {here:.3f} mm")


def extrapolate(tyre, a, b, x):
    """The state that lies x times as far beyond state b as b beyond state a."""
    tyre.u, tyre.q = b["u"] + x * (b["u"] - a["u"]), b["q"] + x * (b["q"] - a["q"])
    tyre.n = [v + x * (v - w) for v, w in zip(b["n"], a["n"])]
    tyre.pressure = b["pressure"] + x * (b["pressure"] - a["pressure"])


def even_path(name):
    even = Even(name)
    rows = [even.row()]
    even.driver.rise(0.06, 0.02, each=lambda: rows.append(even.row()))
    clear = even.tyre.t["flange_height"] - even.tyre.t["bundle_height"]
    return ["pressure_mpa", "lift_mm", "bead_tension_n", "seat_load_n_per_mm"], rows + list(even.walk(clear))


def friction_path(name):
    """The even ring with friction, up to a lift; from there drawn down by a pull at a constant pressure, and, again from there, down by itself
    as the pressure falls."""
    even = Even(name, friction=FRICTION)
    tyre, driver, rows = even.tyre, even.driver, []

    def down(to, change, **how):
        while even.lift() > to:
            if not driver.attempt(change, **{key: value() for key, value in how.items()}):
                raise Failed(f"the way down ends at a lift of {even.lift():.3f} mm")
            rows.append([*even.row(), tyre.load[1]])

    def draw():
        tyre.load = tyre.load - 0.25

    rows += [[*row, 0.0] for row in even.walk(TURN[0], 0.05, 0.05)]
    top = tyre.state()
    down(TURN[0] - 0.16, draw)
    tyre.restore(top)
    tyre.load = 0.0 * tyre.load
    down(TURN[1], lambda: None, control=lambda: even.control, goal=lambda: even.lift() + even.origin - 0.04)
    return ["pressure_mpa", "lift_mm", "bead_tension_n", "seat_load_n_per_mm", "pull_n_per_mm"], rows


class Sector:
    """Half of the ring with the mirror planes at 0 and 180 degrees, begun from a state of the wedge."""

    def __init__(self, even, graded="medium"):
        edges = np.cumsum([0.0] + [d for n, d in GRADED[graded] for _ in range(n)])
        planes = np.sort(np.concatenate([edges, 0.5 * (edges[1:] + edges[:-1])]))
        self.tyre = Tyre(even.section, even.tyre.t, np.radians(planes))
        self.driver, self.even = Driver(self.tyre), even
        self.control = self.driver.control([1.0] + [0.0] * (len(planes) - 1))
        self.take()

    def take(self):
        """The wedge's present state all round."""
        wedge, tyre, state = self.even.tyre, self.tyre, self.even.tyre.state()
        u = state["u"].reshape(3, wedge.n2, 3)[1] * np.array([1, 0, 1])
        tyre.u = np.tile(u, (tyre.np, 1))
        tyre.q = np.tile(state["q"] * np.array([1, 1, 0, 1]), (tyre.ne, 1))
        tyre.n = [np.repeat(n, tyre.ne, axis=0) for n in state["n"]]
        tyre.wet = np.tile(state["wet"], (tyre.ne, 1, 1))
        tyre.pressure, tyre.eigen, tyre.guide = state["pressure"], state["eigen"], 0.0

    def pull(self, force, half):
        x = np.degrees(self.tyre.planes)
        self.tyre.load = np.where(x < half, force * np.cos(0.5 * np.pi * x / half) ** 2, 0.0)

    def row(self):
        lift, tension, length = self.tyre.lift() - self.even.origin, self.tyre.tension(), self.tyre.tributary()
        mean = (lift * length).sum() / length.sum()
        return [self.tyre.pressure, lift[0], mean, lift[-1], tension[0], tension.mean(), self.arc(lift), self.driver.pivots]

    def arc(self, lift):
        """Degrees over which the lift exceeds the middle between its peak and that of the opposite side."""
        x, half = np.degrees(self.tyre.planes), 0.5 * (lift[0] + lift[-1])
        under = np.flatnonzero(lift < half)
        if lift[0] - lift[-1] < 0.02 or not len(under) or under[0] == 0:
            return math.nan
        i = under[0]
        return 2 * (x[i - 1] + (lift[i - 1] - half) / (lift[i - 1] - lift[i]) * (x[i] - x[i - 1]))


def stability(name):
    """Number of negative pivots of the sector's tangent with an even ring, and the waves (0 to 8) of the mode nearest to none."""
    even, rows, sector = Even(name), [], None
    clear = even.tyre.t["flange_height"] - even.tyre.t["bundle_height"]
    for row in even.walk(clear):
        if row[3] > 0.05:
            continue
        sector = sector or Sector(even)
        sector.take()
        value, mode, negative = sector.driver.lowest()
        full = np.zeros(sector.tyre.u.size)
        full[sector.tyre.free] = mode
        shape = full.reshape(sector.tyre.u.shape)[sector.tyre.bundle_nodes, 0].mean(axis=1)
        waves = [abs((shape * np.cos(n * sector.tyre.planes) * sector.tyre.tributary()).sum()) * (1 if n else 0.5) for n in range(9)]
        rows.append(row[:3] + [negative, value, int(np.argmax(waves))])
        print(rows[-1], flush=True)
    return ["pressure_mpa", "lift_mm", "bead_tension_n", "negative_pivots", "nearest_eigenvalue_n_per_mm4", "its_waves"], rows


def evenness(name, mesh="fine"):
    """Stiffness of the even ring against one and two waves, N/mm per radian, the shift following the lift: equal elements of four degrees
    all round; with the fine section three times as many contact points along each edge."""
    if mesh == "fine":
        model.POINTS = 27
    even, rows = Even(name, mesh), []
    waves = Waves(even)
    for row in even.walk(EVEN_TO, 0.05, 0.05):
        # Below, the seat still holds a ring that shifts.
        if row[1] < FLOATING:
            continue
        waves.take()
        found = [waves.stiffness(n) for n in (1, 2)]
        rows.append(row[:3] + [k[0, 0] - k[0, 1] ** 2 / k[1, 1] for k in found])
        print(" ".join(f"{v:.5g}" for v in rows[-1]), flush=True)
    return ["pressure_mpa", "lift_mm", "bead_tension_n", "stiffness_1_wave_n_per_mm", "stiffness_2_waves_n_per_mm"], rows


def arc_path(name, pull, mesh="medium"):
    """The ring under a pull, put on at a constant pressure, followed by the lift of the arc's middle, the pressure being what keeps it."""
    how, drive.SEAL = CASES[name], 0.2
    drive.TOLERANCE = 5e-3
    even = Even(name, mesh)
    for _ in even.walk(how["pulls"][pull], 0.04):
        pass
    sector = Sector(even, mesh)
    tyre, driver, rows, before, step = sector.tyre, sector.driver, [], None, 0.02
    # The wide elements of the far side have their own even state; a viscous medium leads to it.
    for damping in (0.1, 0.01, 0.002):
        driver.solve(None, 0.0, 25, damping)
        tyre.seal()
    for share in (0.2, 0.5, 1.0):
        if not driver.attempt(lambda share=share: sector.pull(share * pull, HALF_ARC)):
            raise Failed(f"no equilibrium under a pull of {share * pull:g} N/mm")
    rows.append(sector.row())
    print(" ".join(f"{v:.4f}" for v in rows[-1]), flush=True)
    clear = tyre.t["flange_height"] - tyre.t["bundle_height"]
    while rows[-1][1] < clear:
        start, here = tyre.state(), tyre.lift()[0]

        def go():
            if before:
                extrapolate(tyre, before[0], start, step / (here - before[1]))

        if driver.attempt(go, relax=step < 0.03, control=sector.control, goal=here + step, most=14):
            before, step = (start, here), min(how["step"], 1.3 * step)
            rows.append(sector.row())
            print(" ".join(f"{v:.4f}" for v in rows[-1]), flush=True)
        else:
            step *= 0.4
            if step < 5e-3:
                print(f"{name}: no equilibrium found past a lift of {here - even.origin:.3f} mm")
                break
    head = ["pressure_mpa", "arc_lift_mm", "mean_lift_mm", "opposite_lift_mm", "arc_tension_n", "mean_tension_n", "arc_deg", "negative_pivots"]
    return head, rows


def settle(file, head, rows):
    """With --write stores a table, else compares it over the lifts in COMPARED; the number of differences."""
    path = HERE / file
    if "--write" in sys.argv:
        with path.open("w", newline="") as out:
            table = csv.writer(out, lineterminator="\n")
            table.writerow(head)
            table.writerows([f"{v + 0.0:.6g}" for v in row] for row in rows)
        return 0
    stored = np.array([[float(v) for v in row] for row in list(csv.reader(path.open()))[1:]])
    found = np.array(rows)
    lifts = np.arange(*COMPARED, 0.05)
    lifts = lifts[(lifts > max(stored[0, 1], found[0, 1])) & (lifts < min(stored[:, 1].max(), found[:, 1].max()))]
    here, there = (np.interp(lifts, *forward(t)) for t in (found, stored))
    worst = np.abs(here / there - 1).max()
    print(f"{file}: largest difference in pressure at the same lift {100 * worst:.2f} %")
    return int(worst > TOLERANCE)


def forward(table):
    """Lifts and pressures of the rows at which the lift is larger than ever."""
    first = np.concatenate([[True], table[1:, 1] > np.maximum.accumulate(table[:-1, 1])])
    return table[first, 1], table[first, 0]


def main():
    words = [w for w in sys.argv[1:] if not w.startswith("--")]
    task, names = (words[0], words[1:]) if words else ("even", list(CASES))
    if task == "evenness":
        case, *mesh = names
        sys.exit(settle(f"{'_'.join([case, task, *mesh])}.csv", *evenness(case, *mesh)))
    if task == "arc":
        case, pull, *mesh = names
        sys.exit(settle(f"{'_'.join([case, 'arc', pull, *mesh])}.csv", *arc_path(case, float(pull), *mesh)))
    run = {"even": even_path, "stability": stability, "friction": friction_path}[task]
    sys.exit(sum(settle(f"{name}_{task}.csv", *run(name)) for name in names))


if __name__ == "__main__":
    main()
