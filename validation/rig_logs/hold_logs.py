"""Logs of inflation tests whose truth is known, written apart from the program that judges them: no formula and no code is shared.

    python3 validation/rig_logs/hold_logs.py FOLDER            write the logs of hold_logs.csv
    python3 validation/rig_logs/hold_logs.py FOLDER PROGRAM    and count the verdicts of `PROGRAM rig hold` against the table

Only the standard library. `hold_logs.csv` has a line a log: what a careful reader of it says, the question, the logger, and a story:

    pump=RATE:TO[@T]   air comes in by so many bar a second up to so many bar
    leak=RATE@T        bar a minute at the first floor, in proportion to the pressure over the atmosphere's
    burp=DROP@T        the bead lets so many bar past, within some tenths of a second
    release@T          all goes, within some tenths of a second
    valve=RATE@T       somebody opens the valve: such a share of the absolute pressure less the atmosphere's goes in a second
    cools=DROP:TAU     air warmed by pumping cools by so many bar
    zero=, drift=      the gauge's zero, bar, and its drift, bar a minute
    gap=LONG@T, lost=READING:LONG@T, frozen=LONG@T, end=READING, spikes=READING:EVERY    what logger and sensor do
    until=T            the end

The pressure is stepped in twentieths of a second. Before anything is written the truth of each log is told from its states: what took the
pressure below the floor first, and how much of the five minutes the logger missed. A table that says otherwise is an error.
The test of the program repeats this in Rust (crates/study/tests/hold_logs.rs), byte for byte.
"""

import csv
import json
import math
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
UNIT = {"bar": 1.0, "kPa": 100.0, "psi": 14.503773773020923}
FINE = 0.05
ATMOSPHERE = 1.013
HOLD = 300.0
WORDS = {"let down": "let down too early", "not shown": "not shown to be held", "not reached": "required pressure not reached"}


class Random:
    """Knuth's 64-bit linear congruential generator, high bits."""

    def __init__(self, seed):
        self.state = seed

    def uniform(self):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 33) / 2**31

    def normal(self):
        """Near enough: twelve uniform numbers less six."""
        return sum(self.uniform() for _ in range(12)) - 6.0


def read_story(text):
    """(word, numbers, time) of each piece; the time of the start where none is given."""
    pieces = []
    for piece in text.split():
        body, _, time = piece.partition("@")
        word, _, numbers = body.partition("=")
        pieces.append((word, [float(n) for n in numbers.split(":") if n], float(time or 0.0)))
    return pieces


def simulate(pieces):
    """Pressures in bar every FINE seconds, and what moved them most in each step."""
    until = next(n[0] for word, n, _ in pieces if word == "until")
    pressure, cooled, target, rate = 0.0, 0.0, 0.0, 0.0
    pressures, causes = [], []
    full = None
    for k in range(int(until / FINE) + 1):
        time = k * FINE
        flows = {"leaked": 0.0, "burped": 0.0, "released": 0.0, "let down": 0.0}
        for word, n, start in pieces:
            since = time - start
            if word == "pump" and abs(since) < 0.5 * FINE:
                rate, target = n[0], n[1]
            if since < 0.0:
                continue
            if word == "leak":
                flows["leaked"] += n[0] / 60.0 * (pressure / 6.6 if pressure > 0.0 else 0.0)
            elif word == "burp" and since < 2.0:
                flows["burped"] += n[0] * math.exp(-since / 0.15) * (1.0 - math.exp(-FINE / 0.15)) / FINE
            elif word == "release":
                flows["released"] += max(pressure, 0.0) * (1.0 - math.exp(-FINE / 0.2)) / FINE
            elif word == "valve":
                flows["let down"] += n[0] * (pressure + ATMOSPHERE) if pressure > 0.0 else 0.0
            elif word == "cools" and full is not None:
                cooled = n[0] * (1.0 - math.exp(-(time - full) / n[1]))
        gone = any(word == "release" and time >= start for word, _, start in pieces)
        if rate > 0.0 and not gone:
            if pressure + rate * FINE >= target:
                pressure, rate, full = target, 0.0, time
            else:
                pressure += rate * FINE
        pressure = max(pressure - sum(flows.values()) * FINE, 0.0)
        pressures.append(max(pressure - cooled, 0.0))
        causes.append(max(flows, key=flows.get))
    return pressures, causes


def wrong_at(pieces, time):
    """What is wrong with logger or sensor at a time: the piece's word and numbers, or none."""
    for word, n, start in pieces:
        if word in ("gap", "lost", "frozen") and start <= time < start + n[-1]:
            return word, n
    return None


def truth(pieces, rated, pressures, causes):
    """What a careful reader says."""
    required = 1.5 * rated
    floor = 0.98 * required
    end = next((n[0] for word, n, _ in pieces if word == "end"), math.inf)
    reached = next((k for k, p in enumerate(pressures) if p >= required), None)
    if reached is None:
        return "released" if any(word == "release" for word, _, _ in pieces) else "not reached"
    last = reached + round(HOLD / FINE)
    crossed = next((k for k in range(reached, len(pressures)) if pressures[k] < floor), len(pressures))
    missed, first_missed = 0.0, None
    for k in range(reached, min(last, len(pressures))):
        wrong = wrong_at(pieces, k * FINE)
        if wrong or pressures[k] >= end:
            missed += FINE
            first_missed = first_missed or (wrong[0] if wrong else "end")
    unseen = "not shown" if first_missed == "gap" else "signal lost"
    if crossed < last and crossed < len(pressures):
        return unseen if wrong_at(pieces, crossed * FINE) else causes[crossed]
    if missed > 0.05 * HOLD:
        return unseen
    burps = [start for word, _, start in pieces if word == "burp" and start < last * FINE]
    return "held, but burped" if burps else "held"


def readings(row, pieces, pressures, seed):
    """The lines of the log."""
    random = Random(seed)
    unit, step, noise, decimals = UNIT[row["unit"]], float(row["step [s]"]), float(row["noise [bar]"]), int(row["decimals"])
    one = {word: n for word, n, _ in pieces if word in ("zero", "drift", "end", "spikes", "until")}
    lines, held = [f"time [s],pressure [{row['unit']}]"], None
    for k in range(int(one["until"][0] / step + 1e-9) + 1):
        time = k * step
        scatter = noise * random.normal()
        true = pressures[min(round(time / FINE), len(pressures) - 1)]
        value = true + one.get("zero", [0.0])[0] + one.get("drift", [0.0])[0] * time / 60.0 + scatter
        value = min(value, one.get("end", [math.inf])[0])
        if "spikes" in one and k % int(one["spikes"][1]) == 7:
            value = one["spikes"][0]
        wrong = wrong_at(pieces, time)
        if wrong and wrong[0] == "gap":
            continue
        if wrong and wrong[0] == "lost":
            value = wrong[1][0] + scatter
        if wrong and wrong[0] == "frozen":
            held = value if held is None else held
            value = held
        lines.append(f"{time:.2f},{value * unit:.{decimals}f}")
    return lines


def main():
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    right, rows = 0, list(csv.DictReader((HERE / "hold_logs.csv").open()))
    for seed, row in enumerate(rows):
        pieces = read_story(row["story"])
        pressures, causes = simulate(pieces)
        told = truth(pieces, float(row["rated [bar]"]), pressures, causes)
        assert told == row["verdict"], f"{row['name']}: {told} by its states, {row['verdict']} in the table"
        path = folder / f"{row['name']}.csv"
        path.write_text("\n".join(readings(row, pieces, pressures, seed + 1)) + "\n")
        if len(sys.argv) > 2:
            command = [sys.argv[2], "rig", "hold", str(path), "--rated", f"{row['rated [bar]']} bar", "--json", "-q"]
            out = subprocess.run(command, capture_output=True, text=True, check=False)
            found = json.loads(out.stdout)["verdict"] if out.stdout else out.stderr.strip()
            wanted = WORDS.get(row["verdict"], row["verdict"])
            right += found == wanted
            if found != wanted:
                print(f"{row['name']}: {found}, not {wanted}")
    if len(sys.argv) > 2:
        print(f"{right} of {len(rows)}")
        sys.exit(int(right != len(rows)))


if __name__ == "__main__":
    main()
