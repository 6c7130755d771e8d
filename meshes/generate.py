"""Writes the example drawings and the example mesh: invented data, no real rim.

Run in this folder: python generate.py. Needs ezdxf and gmsh (general-purpose drawing and meshing libraries).
Coordinates: x axial from the mid-plane, y the radius from the wheel's axis, mm.
"""

import math
from pathlib import Path

import ezdxf
import gmsh

NOTE = "Invented data: no real rim. Written by generate.py."
HERE = Path(__file__).parent
INCH = 25.4

# The box rim's numbers (mm, rad), as the section's features are defined.
WALL = 10.5  # half the inner width
SEAT = 621.95 / 2  # radius of the seat at its middle
SEAT_WIDTH, SEAT_ANGLE = 4.0, math.radians(2.0)
FLANGE, THICKNESS, CREST, CORNER = 5.5, 2.0, 0.8, 0.6
HUMP, HUMP_WIDTH = 0.3, 1.2
WELL, HALF_WELL = SEAT - 3.0, 4.0
BED, SIDE, SPOKE_BED, DEPTH = 1.6, 1.2, 2.0, 18.0
OUTER_SIDE = 8.0


def seat(x):
    """Radius of the seat line."""
    return SEAT + math.tan(SEAT_ANGLE) * (x - WALL + SEAT_WIDTH / 2)


def turn(a, b, c):
    """Angle by which the path a, b, c turns at b, and the directions."""
    u, v = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    return math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]), u, v


def filleted(corners):
    """Closed path of corners (x, y, radius) as vertices (x, y, bulge)."""
    path = []
    for i, (x, y, radius) in enumerate(corners):
        angle, u, v = turn(corners[i - 1], (x, y), corners[(i + 1) % len(corners)])
        if radius == 0.0:
            path.append((x, y, 0.0))
            continue
        leg = radius * math.tan(abs(angle) / 2)
        assert leg < math.hypot(*u) and leg < math.hypot(*v), (x, y)
        path.append((x - leg * u[0] / math.hypot(*u), y - leg * u[1] / math.hypot(*u), math.tan(angle / 4)))
        path.append((x + leg * v[0] / math.hypot(*v), y + leg * v[1] / math.hypot(*v), 0.0))
    return path


def tyre_side():
    """Corners from the mid-plane over hump, seat and wall to the crest, so that lines end where the numbers say."""
    foot = WALL - SEAT_WIDTH
    # Flank between hump and seat: its fillet ends at the seat line's inner end.
    flank = math.radians(35.0)
    leg = 0.8 * math.tan((flank + SEAT_ANGLE) / 2)
    low = (foot - leg * math.cos(SEAT_ANGLE), seat(foot) - leg * math.sin(SEAT_ANGLE))
    top = seat(foot) + HUMP
    high = (low[0] - (top - low[1]) / math.tan(flank), top)
    # Flank between well and hump: at the height of the seat's inner end it is the hump's width away from it.
    inner, well = (foot - HUMP_WIDTH, seat(foot)), (HALF_WELL, WELL)
    for _ in range(60):
        slope = math.atan2(inner[1] - WELL, inner[0] - well[0])
        well = (HALF_WELL + 1.0 * math.tan(slope / 2), WELL)
    crown = (inner[0] + HUMP / math.tan(slope), top)
    crest = seat(WALL) + FLANGE
    return [(0.0, WELL, 0.0), (*well, 1.0), (*crown, 0.3), (*high, 0.3), (*low, 0.8), (WALL, seat(WALL), CORNER),
            (WALL, crest, CREST), (WALL + THICKNESS, crest, CREST)]


def box():
    """Half the box rim: tyre side and outer side, then the cavity as seen from inside; clockwise from the mid-plane's top."""
    bottom, outer = SEAT - DEPTH, WALL + THICKNESS
    outside = [(outer, 301.0, 3.0), (8.0, bottom, 2.0), (0.0, bottom, 0.0)]
    # The inclined side's inner face, parallel at the side's thickness.
    run, rise = outer - 8.0, 301.0 - bottom
    off = SIDE * math.hypot(run, rise) / rise

    def slope(y):
        return 8.0 + (y - bottom) * run / rise - off

    upper = 301.0 + (outer - SIDE - slope(301.0)) * rise / run
    cavity = [(0.0, bottom + SPOKE_BED, 0.0), (slope(bottom + SPOKE_BED), bottom + SPOKE_BED, 1.0),
              (outer - SIDE, upper, 2.0), (outer - SIDE, seat(WALL) - BED, 1.0), (6.9, seat(6.9) - BED, 1.0),
              (HALF_WELL + 1.9, WELL - BED, 1.0), (0.0, WELL - BED, 0.0)]
    return filleted(tyre_side() + outside + cavity)


def solid():
    """Half a single-walled rim with solid flanges: no hump, a shallow well, sharp corners beside the seat's foot and the wall's."""
    wall, middle = 12.0, 311.0
    crest = middle + 6.0
    return filleted([(0.0, middle - 1.5, 0.0), (5.0, middle - 1.5, 0.0), (6.5, middle, 0.0), (wall, middle, 0.0), (wall, crest, 1.5),
                     (wall + 3.0, crest, 1.5), (wall + 3.0, crest - 8.0, 1.0), (9.0, crest - 10.5, 1.0), (0.0, crest - 10.5, 0.0)])


def bulge_arc(a, b, bulge):
    """Centre, radius and the angles (degrees, counter-clockwise from first to second) of an arc."""
    aside = (1 - bulge * bulge) / (4 * bulge)
    centre = ((a[0] + b[0]) / 2 - aside * (b[1] - a[1]), (a[1] + b[1]) / 2 + aside * (b[0] - a[0]))
    angles = [math.degrees(math.atan2(p[1] - centre[1], p[0] - centre[0])) for p in (a, b)]
    return centre, math.dist(centre, a), angles if bulge > 0 else angles[::-1]


def pieces(path):
    """Pieces of a closed path: start, end, bulge."""
    return [(path[i][:2], path[(i + 1) % len(path)][:2], path[i][2]) for i in range(len(path))]


def new(version, unit):
    """An empty drawing with a layer for the section, a hidden one and one for construction lines."""
    doc = ezdxf.new(version)
    doc.header["$INSUNITS"] = unit
    doc.layers.add("section")
    doc.layers.add("construction")
    doc.layers.add("stickers").freeze()
    return doc, doc.modelspace()


def save(doc, name):
    """Writes the drawing with the note as first line, without dates."""
    doc.saveas(HERE / name)
    text = (HERE / name).read_text(encoding="utf-8")
    (HERE / name).write_text(f"999\n{NOTE}\n{text}", encoding="utf-8", newline="\n")


def write_box_half():
    """Half section in mm, one polyline."""
    doc, space = new("R2000", 4)
    space.add_lwpolyline(box(), format="xyb", close=True, dxfattribs={"layer": "section"})
    space.add_text(NOTE, height=1.0, dxfattribs={"layer": "section"}).set_placement((0.0, 320.0))
    space.add_line((0.0, 280.0), (0.0, 330.0), dxfattribs={"layer": "construction"})
    space.add_line((0.0, 300.0), (20.0, 300.0), dxfattribs={"layer": "stickers"})
    save(doc, "box_half.dxf")


def write_box_full():
    """Both halves in inches, loose lines and arcs. The cut along the mid-plane is left out."""
    doc, space = new("R2000", 1)
    for a, b, bulge in pieces(box()):
        if a[0] == 0.0 and b[0] == 0.0:
            continue
        for side in (1.0, -1.0):
            p, q = (side * a[0] / INCH, a[1] / INCH), (side * b[0] / INCH, b[1] / INCH)
            if bulge == 0.0:
                space.add_line(p, q, dxfattribs={"layer": "section"})
            else:
                centre, radius, angles = bulge_arc(p, q, side * bulge)
                space.add_arc(centre, radius, *angles, dxfattribs={"layer": "section"})
    save(doc, "box_full.dxf")


def write_solid():
    """The half with x <= 0 in cm, an old-style polyline."""
    doc, space = new("R2000", 5)
    path = [(-x / 10, y / 10, 0.0, 0.0, -bulge) for x, y, bulge in solid()]
    space.add_polyline2d(path, format="xyseb", close=True, dxfattribs={"layer": "section"})
    save(doc, "shallow_solid.dxf")


def write_sharp():
    """A box rim as it leaves a first sketch: both halves, every corner sharp, loose lines, no unit (R12 has none)."""
    outside = [(0.0, 307.975), (4.0, 307.975), (6.5, 310.975), (10.5, 310.975), (10.5, 316.475), (12.5, 316.475), (12.5, 309.0),
               (5.0, 293.0), (0.0, 293.0)]
    cavity = [(0.0, 306.4), (3.4, 306.4), (5.9, 309.4), (10.9, 309.4), (4.3, 294.8), (0.0, 294.8)]
    doc = ezdxf.new("R12")
    doc.layers.add("section")
    for half in (outside, cavity):
        for a, b in zip(half, half[1:]):
            for side in (1.0, -1.0):
                doc.modelspace().add_line((side * a[0], a[1]), (side * b[0], b[1]), dxfattribs={"layer": "section"})
    save(doc, "sharp_corners.dxf")


def write_mesh():
    """Half the box rim in six-node triangles, with the tyre side and the spoke bed named."""
    path = pieces(box())
    crest = max(p[0][1] for p in path)
    split = (WALL + THICKNESS, crest - OUTER_SIDE)
    gmsh.initialize()
    gmsh.option.setNumber("General.Terminal", 0)
    geo, points = gmsh.model.geo, {}

    def point(p):
        key = (round(p[0], 9), round(p[1], 9))
        if key not in points:
            points[key] = geo.addPoint(p[0], p[1], 0.0, 0.9)
        return points[key]

    groups, curves = {"tyre": [], "spokes": []}, []
    side = "tyre"
    for a, b, bulge in path:
        if bulge == 0.0 and side == "tyre" and abs(a[0] - split[0]) < 1e-9 and a[1] > split[1] > b[1]:
            curves.append(geo.addLine(point(a), point(split)))
            groups["tyre"].append(curves[-1])
            a, side = split, None
        if bulge == 0.0:
            curves.append(geo.addLine(point(a), point(b)))
            geo.mesh.setTransfiniteCurve(curves[-1], 2 + int(math.dist(a, b)))
        else:
            centre, _, _ = bulge_arc(a, b, bulge)
            curves.append(geo.addCircleArc(point(a), geo.addPoint(*centre, 0.0), point(b)))
            geo.mesh.setTransfiniteCurve(curves[-1], 4)
        if side:
            groups[side].append(curves[-1])
        elif b == (0.0, SEAT - DEPTH):
            groups["spokes"].append(curves[-1])
    surface = geo.addPlaneSurface([geo.addCurveLoop(curves)])
    geo.synchronize()
    for name, members in groups.items():
        gmsh.model.addPhysicalGroup(1, members, name=name)
    gmsh.model.addPhysicalGroup(2, [surface], name="rim")
    gmsh.model.mesh.generate(2)
    gmsh.model.mesh.setOrder(2)
    gmsh.write(str(HERE / "box.msh"))
    gmsh.finalize()
    text = (HERE / "box.msh").read_text()
    (HERE / "box.msh").write_text(f"$Comments\n{NOTE}\n$EndComments\n{text}")


if __name__ == "__main__":
    ezdxf.options.write_fixed_meta_data_for_testing = True
    write_box_half()
    write_box_full()
    write_solid()
    write_sharp()
    write_mesh()
