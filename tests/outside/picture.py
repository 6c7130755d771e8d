"""Draws one section file of `hoopwright assess` to a PNG without a screen, for a person to look at; a picture with next to nothing on it
is an error.

Usage: picture.py SECTION.vtu ARRAY PICTURE.png, for instance picture.py out/vtk/section_0030.vtu cauchy_tt_mpa look.png
The rim file of the same number is drawn with it.
"""

import sys
from pathlib import Path

import vtkmodules.vtkRenderingFreeType  # noqa: F401 (text needs it loaded)
import vtkmodules.vtkRenderingOpenGL2  # noqa: F401 (drawing needs it loaded)
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkLookupTable
from vtkmodules.vtkFiltersGeometry import vtkGeometryFilter
from vtkmodules.vtkIOImage import vtkPNGWriter
from vtkmodules.vtkIOXML import vtkXMLUnstructuredGridReader
from vtkmodules.vtkRenderingAnnotation import vtkScalarBarActor
from vtkmodules.vtkRenderingCore import vtkActor, vtkDataSetMapper, vtkRenderer, vtkRenderWindow, vtkWindowToImageFilter


def read(path):
    if not path.is_file():
        sys.exit(f"{path} is no file")
    reader = vtkXMLUnstructuredGridReader()
    reader.SetFileName(str(path))
    reader.Update()
    return reader.GetOutput()


def colours(low, high):
    """From dark blue to light yellow, its lightness rising all the way."""
    table = vtkLookupTable()
    table.SetRange(low, high)
    table.SetHueRange(0.67, 0.14)
    table.SetSaturationRange(0.85, 0.45)
    table.SetValueRange(0.35, 1.0)
    table.Build()
    return table


def section_actor(grid, array, table):
    surface = vtkGeometryFilter()
    surface.SetInputData(grid)
    surface.SetNonlinearSubdivisionLevel(2)
    mapper = vtkDataSetMapper()
    mapper.SetInputConnection(surface.GetOutputPort())
    mapper.SetLookupTable(table)
    mapper.SetScalarModeToUsePointFieldData()
    mapper.SelectColorArray(array)
    mapper.UseLookupTableScalarRangeOn()
    actor = vtkActor()
    actor.SetMapper(mapper)
    return actor


def rim_actor(grid):
    mapper = vtkDataSetMapper()
    mapper.SetInputData(grid)
    mapper.ScalarVisibilityOff()
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(0.1, 0.1, 0.1)
    actor.GetProperty().SetLineWidth(3)
    return actor


def main():
    section, array, picture = Path(sys.argv[1]), sys.argv[2], sys.argv[3]
    grid = read(section)
    values = grid.GetPointData().GetArray(array)
    if values is None:
        names = [grid.GetPointData().GetArrayName(i) for i in range(grid.GetPointData().GetNumberOfArrays())]
        sys.exit(f"{section} has no array {array}: give one of {', '.join(names)}")
    table = colours(*values.GetRange())
    renderer = vtkRenderer()
    renderer.SetBackground(1, 1, 1)
    renderer.AddActor(section_actor(grid, array, table))
    renderer.AddActor(rim_actor(read(section.with_name(section.name.replace("section", "rim")))))
    bar = vtkScalarBarActor()
    bar.SetLookupTable(table)
    bar.SetTitle(array)
    bar.UnconstrainedFontSizeOn()
    for text in [bar.GetTitleTextProperty(), bar.GetLabelTextProperty()]:
        text.SetColor(0, 0, 0)
        text.SetFontSize(22)
        text.ItalicOff()
    renderer.AddViewProp(bar)
    window = vtkRenderWindow()
    window.SetOffScreenRendering(True)
    window.SetSize(1400, 1000)
    window.AddRenderer(renderer)
    renderer.GetActiveCamera().ParallelProjectionOn()
    renderer.ResetCamera()
    window.Render()
    image = vtkWindowToImageFilter()
    image.SetInput(window)
    writer = vtkPNGWriter()
    writer.SetFileName(picture)
    writer.SetInputConnection(image.GetOutputPort())
    writer.Write()
    pixels = vtk_to_numpy(image.GetOutput().GetPointData().GetScalars())
    drawn = (pixels < 250).any(axis=1).mean()
    print(f"{picture}: {100 * drawn:.0f} % of the picture is drawn")
    sys.exit(int(drawn < 0.04))


if __name__ == "__main__":
    main()
