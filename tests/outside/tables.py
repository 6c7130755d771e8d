"""Loads the tables of every study by data-frame libraries, from Parquet, CSV and JSON: equal frames, types as expected, units in the names.

    venv/bin/python tests/outside/tables.py PROGRAM FOLDER
"""

import csv
import hashlib
import json
import math
import pathlib
import subprocess
import sys

import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.parquet as pq
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkIOXML import vtkXMLImageDataReader

TEXTS = {
    "verdict", "end", "end_frictionless", "case_hash", "study_hash", "solved_by [rows/2]", "purpose", "id", "condition", "origin", "fails_first", "state",
    "no_size",
}
WHOLES = {"variant", "point", "sample", "cycle", "cycles", "rows", "rows_left_out", "spokes.count [-]"}
# Numbers that stand without a unit in tables that were in use before.
BARE = {"friction"}
# For each folder its tables, and the files that they rest on.
TABLES = {
    "vary": (["vary"], {"case file": "vary.toml"}),
    "map": (["map", "points"], {"case file": "map.toml", "tyres 07_tyres.csv": "07_tyres.csv"}),
    "tolerance": (["samples"], {"case file": "tolerance.toml", "values tape.csv": "tape.csv"}),
    "sizes": (["sizes"], {"case file": "sizes.toml"}),
    "service": (["service"], {"case file": "service.toml"}),
    "calibrate": (["calibrate", "points"], {"case file": "calibrate.toml", "tyres tyres.csv": "tyres.csv"}),
    "batch": (["tyres", "a_cycles"], {"log a.csv": "logs/a.csv", "fixture fixture.toml": "fixture.toml"}),
}


def kind(name):
    """The type that a column must have."""
    if name in TEXTS:
        return pa.string()
    if name in WHOLES:
        return pa.int64()
    if name.endswith("_reached"):
        return pa.bool_()
    assert name in BARE or name.endswith("]") and "[" in name, f"{name}: a number without a unit"
    return pa.float64()


def cell(text, stored):
    """A cell of the CSV as the value that Parquet must hold."""
    if text == "":
        return None
    if stored == pa.bool_():
        return {"yes": True, "no": False}[text]
    return {pa.string(): str, pa.int64(): int, pa.float64(): float}[stored](text)


def check_table(path, version, sources):
    """One table: its Parquet by two readers against its CSV by two. Returns it as a frame of pandas."""
    table = pq.read_table(path)
    kinds = {name: kind(name) for name in table.column_names}
    assert {field.name: field.type for field in table.schema} == kinds, f"{path}: {table.schema}"
    with open(path.with_suffix(".csv"), newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    expected = [{name: cell(text, kinds[name]) for name, text in row.items()} for row in rows]
    assert rows and list(rows[0]) == table.column_names, f"{path}: {table.column_names}"
    assert table.to_pylist() == expected, f"{path}: not the CSV"
    assert pl.read_parquet(path).to_dicts() == expected, f"{path}: polars reads something else"

    frame = pd.read_parquet(path, dtype_backend="pyarrow")
    flags = [name for name, stored in kinds.items() if stored == pa.bool_()]
    types = {name: stored for name, stored in frame.dtypes.items() if name not in flags}
    read = pd.read_csv(path.with_suffix(".csv"), dtype=types, keep_default_na=False, na_values=[""])
    for name in flags:
        read[name] = read[name].map({"yes": True, "no": False}).astype(frame[name].dtype)
    pd.testing.assert_frame_equal(read, frame, check_exact=True)

    footer = {key.decode(): value.decode() for key, value in pq.read_metadata(path).metadata.items()}
    about = {"program": "hoopwright", "version": version, "schema": "hoopwright/table/1.0"}
    assert about.items() <= footer.items(), footer
    units = {name: name[name.rindex("[") + 1 : -1] for name in table.column_names if name.endswith("]")}
    assert json.loads(footer["units"]) == units, footer["units"]
    for what, file in sources.items():
        assert footer[f"SHA-256 of the {what}"] == hashlib.sha256(file.read_bytes()).hexdigest(), f"{path}: hash of {file}"
    return frame


def alike(name, frame_values, json_values, relative=0.0, absolute=0.0):
    """A column against the numbers of a JSON document, none where there is none."""
    mine = [None if pd.isna(value) else value for value in frame_values]
    assert len(mine) == len(json_values), name
    for a, b in zip(mine, json_values):
        both = (a is None) == (b is None)
        assert both and (a is None or math.isclose(a, b, rel_tol=relative, abs_tol=absolute)), f"{name}: {a}, JSON has {b}"


def check_vary(frames, document):
    frame, rows = frames["vary"], pd.json_normalize(document["rows"], sep="/")
    for name, unit in document["units"].items():
        group = "inputs" if f"inputs/{name}" in rows else "numbers"
        alike(name, frame[f"{name} [{unit}]"], [None if pd.isna(v) else v for v in rows[f"{group}/{name}"]])
    below = [{n.removesuffix("_reached") for n in frame if n.endswith("_reached") and row[n] is False} for _, row in frame.iterrows()]
    assert below == [set(row["only_exceeded"]) for row in document["rows"]]
    assert [v.split("; ") for v in frame["verdict"]] == [row["verdict"] for row in document["rows"]]


def check_map(frames, document):
    frame, points = frames["map"], frames["points"]
    assert (len(frame), (frame["origin"] == "solved").sum()) == (document["points"], document["solved"])
    assert (frame["verdict"] == "holds").sum() == document["holds"]
    assert len(points) == document["solved"] and set(points["variant"]) == set(frame["point"][frame["origin"] == "solved"])
    for name, field in document["fields"].items():
        values = frame[f"{name} [{field['unit']}]"]
        if f"{name}_reached" in frame:
            values = values[frame[f"{name}_reached"].fillna(False)]
        if field["least"] is not None:
            alike(name, [values.min(), values.max()], [field["least"], field["greatest"]], relative=1e-5, absolute=1e-9)


def check_image(path, frame, document):
    """The map as VTK image data, read by VTK: a value for every point, the first axis fastest, that of the table."""
    reader = vtkXMLImageDataReader()
    reader.SetFileName(str(path))
    reader.Update()
    image = reader.GetOutput()
    first, second = (axis["count"] for axis in document["axes"])
    assert image.GetDimensions() == (first, second, 1), image.GetDimensions()
    for axis, origin, step in zip(document["axes"], image.GetOrigin(), image.GetSpacing()):
        assert math.isclose(origin, axis["from"], rel_tol=1e-6), axis
        assert math.isclose(origin + step * (axis["count"] - 1), axis["to"], rel_tol=1e-6), axis
    for name, field in document["fields"].items():
        unit = field["unit"].lower().replace("/", "_per_").replace("%", "percent")
        values = vtk_to_numpy(image.GetPointData().GetArray(f"{name}_{unit}"))
        table = frame[f"{name} [{field['unit']}]"].to_numpy(dtype=float, na_value=math.nan).reshape(first, second).T.ravel()
        alike(name, table, [None if math.isnan(v) else v for v in values], relative=1e-5)


def check_tolerance(frames, document):
    frame = frames["samples"]
    assert len(frame) == document["samples"]
    for spread in document["inputs"]:
        values = frame[f"{spread['input']} [{spread['unit']}]"]
        assert abs(values.mean() - spread["mean"]) < 5 * spread["deviation"], spread


def check_sizes(frames, document):
    frame, rows = frames["sizes"], pd.DataFrame(document["rows"])
    for name, unit in document["units"].items():
        alike(name, frame[f"{name} [{unit}]"], [None if pd.isna(v) else v for v in rows[name]], absolute=5.1e-5)


def check_service(frames, document):
    frame = frames["service"]
    assert list(frame["condition"]) == [row["condition"] for row in document["conditions"]]
    for name, unit in document["units"].items():
        alike(name, frame[f"{name} [{unit}]"], [row["numbers"][name] for row in document["conditions"]], relative=1e-5)


def check_calibrate(frames, document):
    frame, tyres = frames["calibrate"], document["tyres"]
    assert list(frame["id"]) == [tyre["id"] for tyre in tyres]
    alike("tested", frame["tested [bar]"], [tyre["tested_bar"] for tyre in tyres], relative=1e-5)
    for k, friction in enumerate(document["frictions"]):
        name = f"predicted_at_friction_{friction:g} [bar]"
        alike(name, frame[name], [tyre["predicted_bar"][k] for tyre in tyres], relative=1e-5)
    assert len(frames["points"]) == len(tyres) * len(document["frictions"])


def check_batch(frames, document):
    frame, found = frames["tyres"], {log.get("id"): log for log in document["logs"]}
    answers = [found[name]["answer"] for name in frame["id"]]
    assert document["failed"] == 1 and len(found) == len(frame) + 1
    for name, key in [("diameter [mm]", "diameter_unstretched"), ("stiffness [kN]", "stiffness")]:
        alike(name, frame[name], [answer[key]["value"] for answer in answers], absolute=5.1e-5)
    cycles = frames["a_cycles"]
    for name, key in [("stiffness [kN]", "stiffness_kn"), ("rows", "rows"), ("deviation [N]", "deviation_n")]:
        alike(name, cycles[name], [cycle.get(key) for cycle in found["a"]["answer"]["cycles"]], absolute=5.1e-5)


CHECKS = {
    "vary": check_vary, "map": check_map, "tolerance": check_tolerance, "sizes": check_sizes, "service": check_service,
    "calibrate": check_calibrate, "batch": check_batch,
}


def main(program, folder):
    version = subprocess.run([program, "--version"], capture_output=True, text=True, check=True).stdout.split()[1]
    for study, (names, sources) in TABLES.items():
        sources = {what: folder / file for what, file in sources.items()}
        tables = {name: folder / "out" / study / f"{name}.parquet" for name in names}
        frames = {name: check_table(path, version, sources) for name, path in tables.items()}
        # No other table, and none in one format alone.
        there = {path.stem for ending in ["csv", "parquet"] for path in (folder / "out" / study).glob(f"*.{ending}")}
        assert there == set(names), f"{study}: {there}"
        document = json.loads((folder / "out" / f"{study}.json").read_text(encoding="utf-8"))
        CHECKS[study](frames, document)
        if study == "map":
            check_image(folder / "out/map/map.vti", frames["map"], document)
        shapes = ", ".join(f"{name} {frame.shape[0]} x {frame.shape[1]}" for name, frame in frames.items())
        print(f"{study}: {shapes}: Parquet by pyarrow, pandas and polars, CSV and JSON agree")


if __name__ == "__main__":
    main(sys.argv[1], pathlib.Path(sys.argv[2]))
