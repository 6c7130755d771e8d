"""How often the 95 % intervals of `hoopwright rig` hold the truth, over synthetic logs (simulate.py).

    venv/bin/python validation/rig_logs/coverage.py PROGRAM [LOGS] [--write]

writes coverage.csv with --write, else compares with it. Needs numpy and scipy (requirements.txt beside it).
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import simulate as sim

HERE = Path(__file__).parent
DISC, HEIGHT, GIVE = 600.0, 2.0, 25e3
ROWS = 360
REFERENCE_FORCE = 200.0


def truth(rng, logs, frictions):
    return {
        "unstretched": rng.uniform(614.0, 619.0, logs),
        "stiffness": rng.uniform(150e3, 450e3, logs),
        "friction": rng.uniform(*frictions, logs),
    }


def stretching(folder, rng, logs, parts, frictions, cycles, scatter):
    """Logs of `parts` parts; every cycle has its own diameter, stiffness and friction about the truth, apart by `scatter`."""
    true = truth(rng, logs, frictions)
    many = logs * cycles
    own = {key: np.repeat(values, cycles) for key, values in true.items()}
    length0 = np.pi * (own["unstretched"] + scatter * rng.normal(0.0, 0.01, many) + 2 * HEIGHT)
    first = np.arange(many) % cycles == 0
    length0 -= np.where(first, 0.5, 0.0)
    stiffness = own["stiffness"] * (1.0 + scatter * rng.normal(0.0, 0.002, many))
    friction = np.maximum(own["friction"] + scatter * rng.normal(0.0, 0.004, many), 0.001)
    arc = np.pi * (DISC + 2 * HEIGHT)
    strands = 2 * parts * np.sin(np.pi / parts)
    # From 30 % of the way to tautness, so that the bead is slack at first, to a strain of 1.2 %.
    taut = (length0 - arc) / strands
    top = taut + 0.012 * length0 / strands
    shape = sim.triangle(1, ROWS, 1.0)
    opening = 0.3 * taut[:, None] + (top - 0.3 * taut)[:, None] * shape[None, :]
    tension = sim.strands_tension(opening, length0, stiffness, friction, parts, arc, strands)
    per_tension = 2.0 if parts == 2 else 2 * parts * np.sin(np.pi / parts)
    for log in range(logs):
        force = per_tension * tension[log * cycles : (log + 1) * cycles].ravel()
        way = opening[log * cycles : (log + 1) * cycles].ravel()
        write_stretching(folder / f"{log:04}.csv", rng, force, way, parts)
    stretched = true["unstretched"] + 2 * HEIGHT
    true["at_reference"] = stretched * (1.0 + REFERENCE_FORCE / true["stiffness"]) - 2 * HEIGHT
    return true


def write_stretching(path, rng, force, way, parts):
    rows = len(force)
    time = np.arange(rows) * 0.1
    travel = (2.0 if parts == 2 else 1.0) * way + force / GIVE
    noise = sim.correlated(rng, rows, rng.uniform(0.5, 4.0) * (1.0 if parts == 2 else 3.0), rng.uniform(0.3, 0.95))
    zero = rng.uniform(-20.0, 20.0) + rng.uniform(-30.0, 30.0) * time / 3600.0
    force = sim.spiked(rng, force + noise + zero, 3, 0.4 * force.max())
    table = np.column_stack([time, sim.quantised(force, 0.5), sim.quantised(travel, 0.001)])
    np.savetxt(path, table, fmt=["%.1f", "%.1f", "%.3f"], delimiter=",", header="time [s],force [N],travel [mm]", comments="")


def inside(answer, true):
    low, high = answer["interval_95"]
    return low <= true <= high


def stretched(program, rng, logs, kind, parts, frictions, cycles=6, scatter=1.0):
    rows = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "logs").mkdir()
        true = stretching(folder / "logs", rng, logs, parts, frictions, cycles, scatter)
        fixture = f'[fixture]\nkind = "{kind}"\ndiameter = "{DISC} mm"\nsegments = 12\nstiffness = "25 kN/mm"\n'
        (folder / "fixture.toml").write_text(fixture)
        run = [program, "rig", "stretch", "-q", "--json", folder / "logs", "--fixture", folder / "fixture.toml"]
        answers = json.loads(subprocess.run(run, capture_output=True, check=False).stdout)["logs"]
    for key, name, scale in [
        ("diameter_unstretched", "unstretched", 1.0),
        ("diameter_at_reference", "at_reference", 1.0),
        ("stiffness", "stiffness", 1e-3),
        ("friction", "friction", 1.0),
    ]:
        found = [(a["answer"][key], scale * t) for a, t in zip(answers, true[name]) if "answer" in a]
        hits = sum(inside(a, t) for a, t in found)
        bias = np.mean([(a["value"] - t) / a["standard_error"] for a, t in found])
        rows.append((f"{kind}; {cycles - 1} cycle{'s' if cycles > 2 else ''} fitted", key, len(answers), len(found), hits / len(found), bias))
    return rows


def grown(program, rng, logs):
    """24 h of readings a minute apart; noise that hangs together, spikes, steps of a micrometre."""
    reference, until = 300.0, 864000.0
    keys = ["creep_per_decade", "diameter_predicted", "further_growth", "single reading"]
    hits, off = {key: 0 for key in keys}, {key: [] for key in keys}
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "growth.csv"
        for _ in range(logs):
            time = np.arange(60.0, 86400.0 + 1.0, 60.0)
            rate, start = rng.uniform(1e-4, 6e-4), rng.uniform(615.0, 620.0)
            deviation = rng.uniform(0.003, 0.02)
            noise = sim.correlated(rng, len(time), deviation, rng.uniform(0.0, 0.97))
            diameter = sim.spiked(rng, sim.creep(time, start, rate, reference) + noise, 3, 5.0)
            table = np.column_stack([time, sim.quantised(diameter, 0.001)])
            np.savetxt(path, table, fmt=["%.0f", "%.3f"], delimiter=",", header="time [s],diameter [mm]", comments="")
            run = [program, "rig", "growth", "-q", "--json", path, "--reference", f"{reference} s", "--start", "0 s"]
            answer = json.loads(subprocess.run(run, capture_output=True, check=False).stdout)
            later = sim.creep(until, start, rate, reference)
            true = {
                "creep_per_decade": 100.0 * rate,
                "diameter_predicted": later,
                "further_growth": later - sim.creep(86400.0, start, rate, reference),
            }
            for key, value in true.items():
                hits[key] += inside(answer[key], value)
                off[key].append((answer[key]["value"] - value) / answer[key]["standard_error"])
            reading = answer["diameter_predicted"]["value"] - later - rng.normal(0.0, deviation)
            hits["single reading"] += abs(reading) <= answer["reading_within_mm"]
            off["single reading"].append(reading / deviation)
    return [("growth", key, logs, logs, hits[key] / logs, np.mean(off[key])) for key in keys]


def main():
    program = str(Path(sys.argv[1]).resolve())
    logs = int(next((a for a in sys.argv[2:] if a.isdigit()), 1000))
    rows = []
    rng = np.random.default_rng(20260401)
    for kind, parts, frictions in [("half discs", 2, (0.03, 0.3)), ("segments", 12, (0.05, 0.4))]:
        rows += stretched(program, rng, logs, kind, parts, frictions)
        # One cycle behind the one that settles the bead: errors come from the residuals.
        rows += stretched(program, rng, logs, kind, parts, frictions, cycles=2, scatter=0.0)
    rows += grown(program, rng, logs)
    rows = [(a, b, c, d, round(e, 4), round(f, 4)) for a, b, c, d, e, f in rows]
    lines = ["log,number,logs,answers,inside 95 % interval,mean of (found - true) / standard error"]
    lines += [f"{a},{b},{c},{d},{e:.4f},{f:+.4f}" for a, b, c, d, e, f in rows]
    text = "\n".join(lines) + "\n"
    print(text, end="")
    # Of 1000 intervals of 95 % some 950 +- 14 hold the truth.
    wrong = [row for row in rows if not 0.93 <= row[4] <= 0.97 or row[3] < row[2]]
    if wrong:
        sys.exit(f"too few or too many, or without an answer: {wrong}")
    stored = HERE / "coverage.csv"
    if "--write" in sys.argv:
        stored.write_text(text)
    elif logs == 1000 and stored.read_text() != text:
        sys.exit("differs from coverage.csv")


if __name__ == "__main__":
    main()
