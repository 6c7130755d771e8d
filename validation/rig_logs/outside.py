"""Regression errors of a line by an outside statistics library: what crates/bench/src/regression.rs is held against.

    venv/bin/python validation/rig_logs/outside.py            compare with regression.csv, exit 1 where one differs
    venv/bin/python validation/rig_logs/outside.py --write    rewrite readings.csv and regression.csv

Needs requirements.txt. regression.csv names the library's version beside each number.
"""

import csv
import sys
from importlib.metadata import version
from pathlib import Path

import numpy as np
import scipy.optimize
import scipy.stats
import statsmodels.api as sm

HERE = Path(__file__).parent
LAGS = 4
TAU = 700.0


def make():
    """Eighty uneven times and readings whose errors hang together; rounded, so that the file holds them exactly."""
    rng = np.random.default_rng(7)
    time = np.round(300.0 * 10.0 ** np.linspace(0.0, 2.4, 80) * np.exp(rng.normal(0.0, 0.004, 80)), 1)
    time.sort()
    distance = np.abs(time[:, None] - time[None, :])
    noise = np.linalg.cholesky(np.exp(-distance / 900.0)) @ rng.normal(0.0, 0.01, 80)
    return time, np.round(618.0 + 0.11 * np.log10(time / 300.0) + noise, 5)


def unlikelihood(tau, time, rows, readings):
    """Twice the negative logarithm of the restricted likelihood, with dense matrices (Harville 1977, from memory)."""
    v = np.exp(-np.abs(time[:, None] - time[None, :]) / tau)
    inner = rows.T @ np.linalg.solve(v, rows)
    off = readings - rows @ np.linalg.solve(inner, rows.T @ np.linalg.solve(v, readings))
    squares = off @ np.linalg.solve(v, off)
    n, p = rows.shape
    return (n - p) * np.log(squares) + np.linalg.slogdet(v)[1] + np.linalg.slogdet(inner)[1]


def averaged(time, rows, readings):
    """Standard error of the slope and degrees of freedom over all memories by their restricted likelihood, on a fine grid of logarithms.

    Degrees of freedom after Satterthwaite (1946): twice the squared mean of a variance over its scatter, which has two parts.
    """
    step = np.diff(time)
    taus = np.exp(np.linspace(np.log(0.15 * np.median(step)), np.log(0.2 * (time[-1] - time[0])), 1500))
    weight = np.array([unlikelihood(tau, time, rows, readings) for tau in taus])
    weight = np.exp(-0.5 * (weight - weight.min()))
    fits = [sm.GLS(readings, rows, sigma=np.exp(-np.abs(time[:, None] - time[None, :]) / tau)).fit() for tau in taus]
    mean = lambda values: np.average(values, axis=0, weights=weight)
    variances, params = np.array([fit.bse**2 for fit in fits]), np.array([fit.params for fit in fits])
    free = mean([np.tanh(0.5 * step / tau).sum() + 1.0 - rows.shape[1] for tau in taus])
    scatter = np.max(mean(variances**2) / mean(variances) ** 2 - 1.0)
    slope = mean(variances)[1] + mean(params**2)[1] - mean(params)[1] ** 2
    return np.sqrt(slope), 2.0 / (2.0 / max(free, 1.0) + scatter)


def references(time, readings):
    rows = np.column_stack([np.ones_like(time), np.log10(time / 300.0)])
    off = readings - 618.0
    plain = sm.OLS(off, rows).fit()
    hac = sm.OLS(off, rows).fit(cov_type="HAC", cov_kwds={"maxlags": LAGS, "use_correction": True})
    gls = sm.GLS(off, rows, sigma=np.exp(-np.abs(time[:, None] - time[None, :]) / TAU)).fit()
    best = scipy.optimize.minimize_scalar(
        lambda x: unlikelihood(np.exp(x), time, rows, off), bounds=(np.log(50.0), np.log(10000.0)), method="bounded", options={"xatol": 1e-9}
    )
    for name, fit in [("plain", plain), ("newey_west", hac), ("correlated", gls)]:
        for k, part in enumerate(["constant", "slope"]):
            yield f"{name} {part}", fit.params[k], "statsmodels"
            yield f"{name} {part} standard error", fit.bse[k], "statsmodels"
    yield "restricted maximum likelihood memory", np.exp(best.x), "scipy"
    error, freedom = averaged(time, rows, off)
    yield "averaged slope standard error", error, "numpy"
    yield "averaged freedom", freedom, "numpy"
    for freedom in (1, 2.5, 7, 60):
        yield f"student 0.975 of {freedom}", scipy.stats.t.ppf(0.975, freedom), "scipy"


def main():
    readings_file, stored_file = HERE / "readings.csv", HERE / "regression.csv"
    if "--write" in sys.argv:
        lines = ["time [s],diameter [mm]"] + [f"{t:.1f},{d:.5f}" for t, d in zip(*make())]
        readings_file.write_text("\n".join(lines) + "\n")
    time, readings = np.loadtxt(readings_file, delimiter=",", skiprows=1, unpack=True)
    found = [(name, float(value), f"{library} {version(library)}") for name, value, library in references(time, readings)]
    if "--write" in sys.argv:
        lines = ["number,value,source"] + [f"{name},{value:.14e},{source}" for name, value, source in found]
        stored_file.write_text("\n".join(lines) + "\n")
        return
    stored = {row["number"]: float(row["value"]) for row in csv.DictReader(stored_file.open())}
    wrong = [name for name, value, _ in found if abs(value - stored[name]) > 1e-9 * abs(value) and "likelihood" not in name]
    if wrong or len(stored) != len(found):
        sys.exit(f"differs from regression.csv: {wrong}")


if __name__ == "__main__":
    main()
