"""The lines along which a frame in space is cut open."""

from __future__ import annotations

from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkCutter
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer


class SectionLines:
    """Where a plane goes through a surface: drawn, as the rest of what lies beyond it is not.

    Args:
        renderer: draws it.
        plane: it is cut with.
    """

    def __init__(self, renderer: vtkRenderer, plane: vtkPlane) -> None:
        self._plane, self._cutter = plane, vtkCutter()
        self._cutter.SetCutFunction(plane)
        self.actor, self._mapper = vtkActor(), vtkPolyDataMapper()
        self.actor.SetMapper(self._mapper)
        self.actor.GetProperty().LightingOff()
        self.actor.VisibilityOff()
        self._mapper.ScalarVisibilityOff()
        renderer.AddActor(self.actor)

    def hide(self) -> None:
        """Nothing is cut open."""
        self.actor.VisibilityOff()

    def show(self, surface: vtkPolyData) -> None:
        """Cut this."""
        self._cutter.SetInputData(surface)
        self._cutter.Update()
        lines = vtkPolyData()
        lines.ShallowCopy(self._cutter.GetOutput())
        self._mapper.SetInputData(lines)
        self.actor.SetVisibility(lines.GetNumberOfCells() > 0)

    def paint(self, ink: tuple[float, float, float], width: float) -> None:
        """In which colour, and how many pixels wide."""
        self.actor.GetProperty().SetColor(*ink)
        self.actor.GetProperty().SetLineWidth(width)
