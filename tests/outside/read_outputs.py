"""Reads an output folder of `hoopwright assess` with outside libraries and checks what they find.

Usage: read_outputs.py FOLDER CASE. Ends with 1 and a list of breaches if anything is amiss.
"""

import hashlib
import html
import json
import math
import sys
from pathlib import Path

import meshio
import numpy as np
from defusedxml import ElementTree
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkIOXML import vtkXMLUnstructuredGridReader

BIQUADRATIC_QUAD, LINE, QUADRATIC_TRIANGLE = 28, 3, 22
ARRAYS = {
    "displacement_mm": 3,
    "rubber_pressure_mpa": 1,
    "cauchy_rr_mpa": 1,
    "cauchy_zz_mpa": 1,
    "cauchy_tt_mpa": 1,
    "cauchy_rz_mpa": 1,
    "hoop_stretch": 1,
    "cord_force_n": 1,
    "on_outer_face": 1,
    "contact_pressure_mpa": 1,
    "gap_mm": 1,
    "wetted_by_gas": 1,
}
RIM_ARRAYS = {"displacement_mm": 3, "von_mises_mpa": 1} | {f"cauchy_{part}_mpa": 1 for part in ["rr", "zz", "tt", "rz"]}
RIM_FILES = {"rim_section_fit.vtu", "rim_section_rated.vtu", "rim_section_highest_pressure.vtu"}
RING_FILE, QUAD, STATIONS = "ring.vtu", 9, 96
RING_ARRAYS = {"displacement_mm": 3} | dict.fromkeys(
    [
        "bead_lift_mm",
        "bead_lift_level_with_crest_mm",
        "bead_tension_n",
        "friction_used_share",
        "pressure_of_section_mpa",
    ],
    1,
)
# Corners and mid-sides of the nine-node cell: mid-side k lies between corners SIDES[k].
SIDES = [(0, 1), (1, 2), (2, 3), (3, 0)]

breaches = []
checks = 0


def check(truth, breach):
    """Counts a check and keeps its breach."""
    global checks
    checks += 1
    if not truth:
        breaches.append(breach)


def read_grid(path):
    """Points, cells (n x nodes), cell types, point arrays and cell arrays of a .vtu, read by vtk."""
    reader = vtkXMLUnstructuredGridReader()
    reader.SetFileName(str(path))
    errors = []
    reader.AddObserver("ErrorEvent", lambda *_: errors.append("error"))
    reader.Update()
    grid = reader.GetOutput()
    check(not errors and grid.GetNumberOfCells() > 0, f"{path.name}: vtk cannot read it")
    if not grid.GetNumberOfCells():
        return None
    points = vtk_to_numpy(grid.GetPoints().GetData())
    types = vtk_to_numpy(grid.GetCellTypes())
    cells = vtk_to_numpy(grid.GetCells().GetConnectivityArray())
    offsets = vtk_to_numpy(grid.GetCells().GetOffsetsArray())
    sizes = set(np.diff(offsets))
    check(len(sizes) == 1, f"{path.name}: cells of different sizes {sizes}")

    def arrays(data):
        return {data.GetArrayName(i): vtk_to_numpy(data.GetArray(i)) for i in range(data.GetNumberOfArrays())}

    return points, cells.reshape(len(types), -1), types, arrays(grid.GetPointData()), arrays(grid.GetCellData())


def shoelace(polygon):
    """Signed area of polygons (n x corners x 2), positive counter-clockwise."""
    x, y = polygon[..., 0], polygon[..., 1]
    return 0.5 * np.sum(x * np.roll(y, -1, axis=1) - np.roll(x, -1, axis=1) * y, axis=1)


def check_section(path, width, reference):
    """One section file; returns its reference points. `width`: the tyre's width by result.json, mm."""
    grid = read_grid(path)
    if grid is None:
        return reference
    points, cells, types, at_points, at_cells = grid
    name = path.name
    check(set(types) == {BIQUADRATIC_QUAD}, f"{name}: cell types {set(types)}")
    check(cells.shape[1] == 9, f"{name}: {cells.shape[1]} nodes a cell")
    check(sorted(set(cells.ravel())) == list(range(len(points))), f"{name}: points that no cell uses, or the other way round")
    check(set(at_points) == set(ARRAYS), f"{name}: arrays {sorted(at_points)}")
    for array, components in ARRAYS.items():
        values = at_points.get(array)
        if values is None:
            continue
        check(values.shape == ((len(points), components) if components > 1 else (len(points),)), f"{name}: shape of {array}")
        check(np.isfinite(values).all(), f"{name}: {array} is not finite")
    check(np.isfinite(points).all() and (points[:, 2] == 0).all(), f"{name}: points")
    check(set(at_cells["region"]) == {1.0, 2.0, 3.0, 4.0}, f"{name}: regions {set(at_cells['region'])}")
    for shape, kind in [(points, "deformed"), (points - at_points["displacement_mm"], "reference")]:
        check((shoelace(shape[cells[:, :4], :2]) > 0).all(), f"{name}: {kind} cells are turned over")
    start = points - at_points["displacement_mm"]
    if reference is not None:
        # The file holds deformed positions: taking the displacements off gives one and the same mesh in every file.
        check(np.abs(start - reference).max() < 1e-9, f"{name}: positions less displacements are not the reference mesh")
    check_midsides(name, start[cells])
    check_contact(name, at_points)
    found = 2 * widest(points[:, 0], cells, at_points["on_outer_face"] > 0.5)
    check(abs(found - width) < 1e-9, f"{name}: width {found} mm, result.json says {width} mm")
    check_meshio(path, points, cells, at_points)
    return start


def widest(z, cells, on_face):
    """Largest z of the face, on whose quadratic edges it may lie between nodes: the top of the parabola through the three."""
    edges = np.concatenate([cells[:, [k, (k + 1) % 4, k + 4]] for k in range(4)])
    a, b, m = z[edges[on_face[edges].all(axis=1)]].T
    slope, bend = (b - a) / 2, (a + b) / 2 - m
    with np.errstate(divide="ignore", invalid="ignore"):
        top = np.where((bend < 0) & (np.abs(slope) < -2 * bend), m - slope**2 / (4 * bend), m)
    return max(top.max(), a.max(), b.max())


def check_midsides(name, nodes):
    """Mid-side nodes lie between their corners, the centre node among all: the order of nodes is VTK's."""
    for k, (a, b) in enumerate(SIDES):
        side = np.linalg.norm(nodes[:, a] - nodes[:, b], axis=1)
        off = np.linalg.norm(nodes[:, 4 + k] - 0.5 * (nodes[:, a] + nodes[:, b]), axis=1)
        check((off < 0.2 * side).all(), f"{name}: mid-side {k} does not lie between its corners")
    size = np.linalg.norm(nodes[:, 0] - nodes[:, 2], axis=1)
    off = np.linalg.norm(nodes[:, 8] - nodes[:, :4].mean(axis=1), axis=1)
    check((off < 0.2 * size).all(), f"{name}: the centre node is not in the middle")


def check_contact(name, arrays):
    """Contact quantities live on the outer face; the stresses' mean is the rubber's pressure."""
    face = arrays["on_outer_face"] > 0.5
    for array in ["contact_pressure_mpa", "gap_mm", "wetted_by_gas"]:
        check((arrays[array][~face] == 0).all(), f"{name}: {array} off the outer face")
    check((arrays["contact_pressure_mpa"] >= 0).all(), f"{name}: contact that pulls")
    check((arrays["hoop_stretch"] > 0.5).all() and (arrays["hoop_stretch"] < 2).all(), f"{name}: hoop stretch")
    check((arrays["cord_force_n"] >= 0).all(), f"{name}: a cord pushes")


def check_meshio(path, points, cells, at_points):
    """The same file by another reader."""
    mesh = meshio.read(path)
    check([block.type for block in mesh.cells] == ["quad9"], f"{path.name}: meshio sees {[b.type for b in mesh.cells]}")
    check((mesh.points == points).all() and (mesh.cells[0].data == cells).all(), f"{path.name}: meshio and vtk differ")
    for name, values in at_points.items():
        check((mesh.point_data[name].reshape(values.shape) == values).all(), f"{path.name}: meshio and vtk differ in {name}")


def check_rim(path):
    """The rim's profile: a chain of lines, the same on both sides."""
    grid = read_grid(path)
    if grid is None:
        return
    points, cells, types, _, _ = grid
    check(set(types) == {LINE}, f"{path.name}: cell types {set(types)}")
    check((cells[:-1, 1] == cells[1:, 0]).all(), f"{path.name}: the lines do not form a chain")
    mirrored = points[::-1] * [-1, 1, 1]
    check(np.isfinite(points).all() and np.abs(points - mirrored).max() < 1e-12, f"{path.name}: not symmetric")


def curved_area(triangles):
    """Area of six-node triangles (n x 6 x 2: corners, then mid-sides), whose sides are parabolas: corners, and two thirds of each bulge."""
    area = shoelace(triangles[:, :3])
    for k in range(3):
        a, b, m = triangles[:, k], triangles[:, (k + 1) % 3], triangles[:, 3 + k]
        chord, bulge = b - a, m - (a + b) / 2
        area += 2 / 3 * (bulge[:, 0] * chord[:, 1] - bulge[:, 1] * chord[:, 0])
    return area


def check_rim_section(path, area):
    """The rim's meshed half section: six-node triangles, displacement and stresses. `area`: of the half, mm2, by result.json."""
    grid = read_grid(path)
    if grid is None:
        return
    points, cells, types, at_points, _ = grid
    name = path.name
    check(set(types) == {QUADRATIC_TRIANGLE}, f"{name}: cell types {set(types)}")
    check(cells.shape[1] == 6, f"{name}: {cells.shape[1]} nodes a cell")
    check(set(at_points) == set(RIM_ARRAYS), f"{name}: arrays {sorted(at_points)}")
    for array, components in RIM_ARRAYS.items():
        values = at_points.get(array)
        if values is not None:
            check(values.shape == ((len(points), components) if components > 1 else (len(points),)), f"{name}: shape of {array}")
            check(np.isfinite(values).all(), f"{name}: {array} is not finite")
    start = (points - at_points["displacement_mm"])[:, :2]
    areas = curved_area(start[cells])
    check((areas > 0).all(), f"{name}: cells are turned over")
    check(abs(areas.sum() / area - 1) < 0.005, f"{name}: area {areas.sum()} mm2, result.json says {area} mm2")
    rr, zz, tt, rz = (at_points[f"cauchy_{part}_mpa"] for part in ["rr", "zz", "tt", "rz"])
    von_mises = np.sqrt(((rr - zz) ** 2 + (zz - tt) ** 2 + (tt - rr) ** 2) / 2 + 3 * rz**2)
    off = np.abs(von_mises - at_points["von_mises_mpa"]).max()
    check(off < 1e-9 * max(von_mises.max(), 1), f"{name}: von_mises_mpa is not that of the stresses, by {off} MPa")
    mesh = meshio.read(path)
    check([block.type for block in mesh.cells] == ["triangle6"], f"{name}: meshio sees {[b.type for b in mesh.cells]}")


def check_rim_sections(folder, result):
    """The three states of a rim whose section is meshed; none where it is a ring."""
    section = result.get("rim_section")
    there = {p.name for p in folder.glob("rim_section_*.vtu")}
    check(there == (RIM_FILES if section else set()), f"rim sections {sorted(there)}")
    for name in sorted(there):
        check_rim_section(folder / name, section["area_mm2"] / 2)


def listed_in(folder, name):
    """What a series lists: (time, part, file), in the order of time, with a named block a part."""
    collection = ElementTree.parse(folder / name).getroot().find("Collection")
    listed = [(float(item.get("timestep")), int(item.get("part")), item.get("file")) for item in collection]
    times = [time for time, part, _ in listed if part == 0]
    check(times == sorted(set(times)), f"{name} is not in order, or has a time twice")
    check({(item.get("part"), item.get("name")) for item in collection} == {("0", "section"), ("1", "rim")}, f"{name}: blocks")
    for _, _, file in listed:
        check((folder / file).is_file(), f"{name} lists {file}, which does not exist")
    return listed


def check_series(folder, result):
    """Both series, every file that they list, and the field data, which are those of the path."""
    over_pressure, over_lift = (listed_in(folder, f"over_{word}.pvd") for word in ["pressure", "lift"])
    files = {file: part for _, part, file in over_pressure + over_lift}
    check(len(files) > 20, f"the series list {len(files)} files")
    there = {p.name for p in folder.glob("*.vtu")} - RIM_FILES - {RING_FILE}
    check(set(files) == there, "the series do not list the files there are")
    path, reference = result["path"], None
    for time, _, file in over_pressure:
        check(abs(time / 10 - field(folder / file, "pressure_mpa")) < 1e-12, f"{file}: time and pressure")
    for time, _, file in over_lift:
        check(time == field(folder / file, "lift_mm"), f"{file}: time and lift")
    for file, part in sorted(files.items()):
        point = int(file.rsplit("_", 1)[1].removesuffix(".vtu"))
        check(abs(field(folder / file, "pressure_mpa") - path["pressure_mpa"][point]) < 1e-9, f"{file}: pressure")
        check(field(folder / file, "friction") == path["friction"], f"{file}: friction")
        if part == 0:
            reference = check_section(folder / file, path["width_mm"][point], reference)
        else:
            check_rim(folder / file)


def field(path, name):
    """A number of a file's field data."""
    reader = vtkXMLUnstructuredGridReader()
    reader.SetFileName(str(path))
    reader.Update()
    array = reader.GetOutput().GetFieldData().GetArray(name)
    return array.GetValue(0) if array else math.nan


def check_ring(path, result):
    """The ring of the local release: the section swept round the wheel, a closed surface, its highest place on the y axis."""
    text = path.read_bytes()[:2000].decode("utf-8", "replace")
    check("<!-- Interpolated, not solved in three dimensions" in text, f"{path.name}: the head does not say what it is")
    grid = read_grid(path)
    if grid is None:
        return
    points, cells, types, at_points, _ = grid
    name = path.name
    check(set(types) == {QUAD} and cells.shape[1] == 4, f"{name}: cell types {set(types)}")
    check(len(points) % STATIONS == 0, f"{name}: {len(points)} points are not {STATIONS} sections")
    check(set(at_points) == set(RING_ARRAYS), f"{name}: arrays {sorted(at_points)}")
    for array, values in at_points.items():
        check(values.shape == ((len(points), 3) if RING_ARRAYS.get(array) == 3 else (len(points),)), f"{name}: shape of {array}")
        check(np.isfinite(values).all(), f"{name}: {array} is not finite")
    edges = np.sort(np.concatenate([cells[:, [k, (k + 1) % 4]] for k in range(4)]), axis=1)
    _, times = np.unique(edges, axis=0, return_counts=True)
    check((times == 2).all() and len(edges) // 2 == 2 * len(cells), f"{name}: not a closed surface")
    per = len(points) // STATIONS
    lift, level = at_points["bead_lift_mm"][::per], at_points["bead_lift_level_with_crest_mm"][::per]
    check(lift.argmax() == 0 and (lift < level).all(), f"{name}: the arc does not stand highest on the y axis, or not below the crest")
    stays = field(path, "pressure_mpa")
    check(abs(field(path, "lift_mm") - lift.mean()) < 1e-9, f"{name}: the field data's lift is not the mean")
    release = result["retention"]["local_release_mpa"]
    check(release is None or 0.98 * release < stays <= release, f"{name}: stays at {stays} MPa, leaves at {release}")
    start = points - at_points["displacement_mm"]
    radius = np.hypot(start[:, 1], start[:, 2]).reshape(STATIONS, per)
    check(np.abs(radius - radius[0]).max() < 1e-9, f"{name}: positions less displacements are no body of revolution")
    sections = points.reshape(STATIONS, per, 3)
    lowest = np.hypot(sections[..., 1], sections[..., 2]).min(axis=1)
    # The foot of the bead goes up with its bundle, less what the section turns and deforms.
    check(lowest[0] - lowest[STATIONS // 2] > 0.5 * (lift[0] - lift[STATIONS // 2]), f"{name}: the surface does not lift")
    mesh = meshio.read(path)
    check([block.type for block in mesh.cells] == ["quad"] and (mesh.points == points).all(), f"{name}: meshio and vtk differ")


def refuse(word):
    """For numbers that JSON has no words for."""
    raise ValueError(f"{word} is no JSON")


def check_result(path):
    """result.json by Python's reader, which takes NaN unless told not to."""
    result = json.loads(path.read_text(encoding="utf-8"), parse_constant=refuse)
    check(result["schema"] == "hoopwright/assessment/1.0", "result.json: schema")
    for name in ["path", "path_frictionless"]:
        arrays = [value for value in result[name].values() if isinstance(value, list)]
        check(len({len(values) for values in arrays}) == 1, f"result.json: {name} has arrays of different lengths")
    check(math.isfinite(result["bead"]["tension_n"]), "result.json: bead tension")
    return result


def check_picture(path):
    """An SVG picture: well-formed, of a size, with title and description, and without a number that is none."""
    root = ElementTree.parse(path).getroot()
    space = "{http://www.w3.org/2000/svg}"
    check(root.tag == f"{space}svg", f"{path.name}: root {root.tag}")
    check(len(root.get("viewBox", "").split()) == 4, f"{path.name}: viewBox")
    for tag in ["title", "desc"]:
        text = root.findtext(f"{space}{tag}")
        check(bool(text), f"{path.name}: no {tag}")
    text = path.read_text(encoding="utf-8")
    check("NaN" not in text and "inf" not in text.replace("information", ""), f"{path.name}: a number that is none")


def check_report(path, case):
    """The report names the case file's hash and holds its text."""
    text = path.read_text(encoding="utf-8")
    check(hashlib.sha256(case.read_bytes()).hexdigest() in text, f"{path.name}: the hash of {case.name}")
    check(html.escape(case.read_text(encoding="utf-8"), quote=False).replace('"', "&quot;") in text, f"{path.name}: the text of {case.name}")


def main():
    folder, case = Path(sys.argv[1]), Path(sys.argv[2])
    result = check_result(folder / "result.json")
    pictures = sorted(folder.glob("*.svg"))
    expected = 9 if result.get("rim_section") else 6
    check(len(pictures) == expected, f"{len(pictures)} pictures, not {expected}")
    for picture in pictures:
        check_picture(picture)
    check_report(folder / "report.html", case)
    check_series(folder / "vtk", result)
    check_ring(folder / "vtk" / RING_FILE, result)
    check_rim_sections(folder / "vtk", result)
    for breach in breaches:
        print(f"breach: {breach}", file=sys.stderr)
    print(f"outside readers: {checks - len(breaches)} passed, {len(breaches)} failed")
    sys.exit(bool(breaches))


if __name__ == "__main__":
    main()
