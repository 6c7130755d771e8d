"""Writes the invented example logs 09 to 11 of examples/ with simulate.py.

    venv/bin/python validation/rig_logs/examples.py FOLDER
"""

import sys
from pathlib import Path

import numpy as np
import simulate as sim

DISC, HEIGHT, GIVE = 600.0, 2.0, 25e3


def write(path, question, head, rows):
    text = "".join(f"# {line}\n" for line in ["Invented data: no real tyre or rim.", *question])
    path.write_text(text + head + "\n" + "".join(row + "\n" for row in rows))


def openings(parts, unstretched, rows, strain):
    """Way of the parts, from slack to a strain and back; arc and strands of the fixture."""
    length0, arc = np.pi * (unstretched + 2 * HEIGHT), np.pi * (DISC + 2 * HEIGHT)
    strands = 2 * parts * np.sin(np.pi / parts)
    taut = (length0 - arc) / strands
    low, high = 0.8 * taut, taut + strain * length0 / strands
    return low + (high - low) * sim.triangle(1, rows, 1.0), arc, strands


def stretched(rng, parts, unstretched, stiffness, friction, bend, cycles, rows, strain):
    """Force and way of each row, without noise; the first cycle's bead is smaller, later ones scatter."""
    way, arc, strands = openings(parts, unstretched, rows, strain)
    own = unstretched + rng.normal(0.0, 0.01, cycles) - np.where(np.arange(cycles) == 0, 0.4, 0.0)
    tension = sim.strands_tension(
        np.tile(way, (cycles, 1)),
        np.pi * (own + 2 * HEIGHT),
        stiffness * (1.0 + rng.normal(0.0, 0.002, cycles)),
        friction + rng.normal(0.0, 0.004, cycles),
        parts,
        arc,
        strands,
        bend,
    ).ravel()
    return tension * (2.0 if parts == 2 else strands), np.tile(way, cycles)


def read_out(rng, force, travel, deviation, step):
    """Readings with noise that hangs together, a zero that drifts, spikes, steps of the converter, and one row without a force."""
    rows = len(force)
    time = np.arange(rows) * step
    shown = force + sim.correlated(rng, rows, deviation, 0.8) + 9.0 - 4.0 * time / time[-1]
    shown = sim.quantised(sim.spiked(rng, shown, 3, 0.5 * force.max()), 0.5)
    travel = sim.quantised(travel + force / GIVE, 0.001)
    cells = [f"{f:.1f}" for f in shown]
    cells[rows // 3] = ""
    return [f"{t:.1f},{f},{x:.3f}" for t, f, x in zip(time, cells, travel)]


def half_discs(folder, rng):
    force, way = stretched(rng, 2, 620.4, 320e3, 0.14, 0.0, 6, 300, 0.009)
    question = [
        "Question: diameter and stiffness of a bead pulled six times by two half discs?",
        "Run: hoopwright rig stretch examples/09_stretch_half_discs.csv --fixture examples/09_fixture_half_discs.toml --out out",
    ]
    write(folder / "09_stretch_half_discs.csv", question, "time [s],force [N],travel [mm]", read_out(rng, force, 2 * way, 3.0, 0.5))


def expander(folder, rng):
    force, way = stretched(rng, 12, 620.9, 280e3, 0.2, 8.0, 6, 300, 0.009)
    question = [
        "Question: diameter and law of a bead that stiffens, on an expander of twelve segments?",
        "Run: hoopwright rig stretch examples/09_stretch_expander.csv --fixture examples/09_fixture_expander.toml --out out",
    ]
    head = "time [s],radial force [N],radial travel [mm]"
    write(folder / "09_stretch_expander.csv", question, head, read_out(rng, force, way, 10.0, 0.5))


def growth(folder, rng):
    time = np.arange(120.0, 86400.0 + 1.0, 120.0)
    diameter = sim.creep(time, 622.3, 3e-4, 300.0) + sim.correlated(rng, len(time), 0.008, 0.7)
    diameter = sim.quantised(sim.spiked(rng, diameter, 2, 3.0), 0.001)
    question = [
        "Question: creep of a bead held for 24 h at the tension of its largest pressure, and what is still to come?",
        "Run: hoopwright rig growth examples/10_growth.csv --start \"0 h\" --until \"1000 h\" --out out",
    ]
    rows = [f"{t / 3600.0:.4f},{d:.3f}" for t, d in zip(time, diameter)]
    write(folder / "10_growth.csv", question, "time [h],diameter [mm]", rows)


def pressed(rng, time, pressure):
    return [f"{t:.1f},{p:.3f}" for t, p in zip(time, pressure + sim.correlated(rng, len(time), 0.004, 0.3))]


def held(folder, rng):
    """Pumped to 7.6 bar in a minute, a leak of 6 mbar a minute, a signal lost for 3 s, let down after 340 s."""
    time = np.arange(0.0, 450.0, 0.5)
    pressure = np.minimum(7.6 * time / 60.0, 7.6 - 0.1 * np.maximum(time - 60.0, 0.0) / 1000.0)
    pressure = np.where(time > 400.0, np.maximum(pressure - 0.3 * (time - 400.0), 0.0), pressure)
    rows = pressed(rng, time, pressure)
    lost = (time >= 220.0) & (time < 223.0)
    rows = [f"{t:.1f},0.000" if gone else row for t, gone, row in zip(time, lost, rows)]
    question = [
        "Question: did the tyre, rated 5 bar, hold 1.5 times that for five minutes?",
        "Run: hoopwright rig hold examples/11_hold.csv --rated \"5 bar\" --out out",
    ]
    write(folder / "11_hold.csv", question, "time [s],pressure [bar]", rows)


def released(folder, rng):
    """Pumped by 0.12 bar a second; a burp of 0.45 bar at 50 s; all goes at once at 7.1 bar."""
    time = np.arange(0.0, 90.0, 0.2)
    pressure = 0.12 * time - np.where(time >= 50.0, 0.45, 0.0)
    gone = np.argmax(pressure >= 7.1)
    pressure = np.where(np.arange(len(time)) > gone, 7.1 * np.exp(-(time - time[gone]) / 0.3), pressure)
    question = [
        "Question: at which pressure did the tyre, rated 5 bar, come off?",
        "Run: hoopwright rig hold examples/11_release.csv --rated \"5 bar\" --out out",
    ]
    write(folder / "11_release.csv", question, "time [s],pressure [bar]", pressed(rng, time, pressure))


def main():
    folder = Path(sys.argv[1])
    rng = np.random.default_rng(20260509)
    for one in (half_discs, expander, growth, held, released):
        one(folder, rng)


if __name__ == "__main__":
    main()
