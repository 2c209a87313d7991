"""A frame drawn in space by VTK, off screen, into an array of pixels.

Loaded only when a view in space is first painted: VTK takes its time, and may not be there.
"""

from __future__ import annotations

import logging
from collections.abc import Mapping
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import vtkmodules.vtkRenderingOpenGL2  # noqa: F401 - what the classes below are made of
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import (
    vtkLogger,
    vtkOutputWindow,
    vtkStringOutputWindow,
    vtkUnsignedCharArray,
)
from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPlaneCollection, vtkPolyData
from vtkmodules.vtkRenderingCore import (
    vtkActor,
    vtkCellPicker,
    vtkLight,
    vtkMapper,
    vtkPolyDataMapper,
    vtkRenderer,
    vtkRenderWindow,
)

from app.window.space_data import cells_of, points_of
from app.window.space_section import SectionLines
from app.window.space_skins import Colour, Skins
from app.window.words import tr
from geometry.arrays import Floats, Ints
from geometry.facets import joined, sizes
from geometry.mesh import SolidMesh

if TYPE_CHECKING:
    import numpy.typing as npt

    from app.window.space_camera import Camera

    Bytes: TypeAlias = npt.NDArray[np.uint8]

_TONES, _TONES_ON_DARK = (0.1, 0.22, 0.35, 0.49, 0.64), (0.2, 0.33, 0.46, 0.6, 0.75)
"""From the paper's colour towards the ink's, by how far a part is made: the more, the stronger."""
_CUT, _LINE = 0.6, 0.85
"""The same of steel that the section is taken through, and of lines."""
_HEAVY = 2.8
"""Of the chosen tube's lines to the others'."""
_LONGER_PX = 0.5
"""Pieces of a line round a bend overlap by as much, or there would be gaps between them."""
_NEARER_PX = 1.5
"""Lines are drawn so much nearer than they are, in pixels of depth, or slanting surfaces would eat into them."""
_DEPTH_STEPS = 65000.0
"""Depths, 0 to 1, are shifted in steps of one part in so many (VTK's shader of its surfaces and lines)."""
_SIDE, _FILL = (-0.45, 0.6, 1.0), (0.7, -0.3, 0.6)
"""Where the light and the weaker one beside it stand to the viewer: right, up, towards."""


class CannotDraw(RuntimeError):
    """There is nothing here that VTK can draw with."""


def _between(one: Colour, other: Colour, share: float) -> Colour:
    red, green, blue = ((1 - share) * a + share * b for a, b in zip(one, other, strict=True))
    return (red, green, blue)


class SpaceDrawing:
    """What is drawn: the parts' skins, and two sets of lines, the chosen tube's and the others'.

    Raises:
        CannotDraw: where there is nothing to draw with.
    """

    def __init__(self) -> None:
        _log()
        self._window = vtkRenderWindow()
        self._window.SetOffScreenRendering(1)
        self._window.SetShowWindow(False)
        self._window.SetMultiSamples(0)
        self._window.SetSize(64, 64)
        self._ask()
        self._renderer = vtkRenderer()
        self._renderer.AutomaticLightCreationOff()
        for place, strength in ((_SIDE, 0.85), (_FILL, 0.3)):
            light = vtkLight()
            light.SetLightTypeToCameraLight()
            light.SetPosition(*place)
            light.SetIntensity(strength)
            self._renderer.AddLight(light)
        self._window.AddRenderer(self._renderer)
        # The surfaces stay where they are: moving them would cost a depth of its own for each pixel.
        vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()
        vtkMapper.SetResolveCoincidentTopologyPolygonOffsetParameters(0.0, 0.0)
        self._picker = vtkCellPicker()
        self._picker.SetTolerance(0.0)
        self._picker.PickFromListOn()
        self._pixels = vtkUnsignedCharArray()
        self._plane, self._planes = vtkPlane(), vtkPlaneCollection()
        self._plane.SetNormal(0.0, -1.0, 0.0)
        self._section: float | None = None
        self._cut_lines = SectionLines(self._renderer, self._plane)
        self._cut_data: vtkPolyData | None = None
        self._chosen: frozenset[str] = frozenset()
        self._scale = 1.0
        self._names: list[str] = []
        self._skins = Skins(self._renderer, self._planes)
        self._picker.AddPickList(self._skins.actor)
        self._lines = (_Lines(self._renderer, self._planes), _Lines(self._renderer, self._planes))
        self.drawn = 0

    def _ask(self) -> None:
        """Whether there is something to draw with; VTK itself would not survive drawing without."""
        self._window.Initialize()
        self._window.MakeCurrent()
        able = self._window.IsCurrent()
        _log()
        if not able:
            text = tr("the system has no OpenGL, not even one without a graphics card")
            raise CannotDraw(text)

    def show(self, meshes: Mapping[str, SolidMesh], chosen: frozenset[str]) -> None:
        """Show these parts; what is shown already stays as it is.

        Args:
            meshes: by the part's name.
            chosen: which of them are the chosen tube's.
        """
        self._chosen = chosen
        self._names = list(meshes)
        self._skins.show(meshes)
        for lines, which in zip(self._lines, (False, True), strict=True):
            lines.show([mesh for name, mesh in meshes.items() if (name in chosen) is which])

    def section(self, y: float | None) -> None:
        """Show only what lies at y or to the right of it, mm; everything for None."""
        # Not compared by ==, which for VTK's data is what they hold.
        if self._skins.data is self._cut_data and y == self._section:
            return
        if y != self._section:
            self._section = y
            self._planes.RemoveAllItems()
            if y is not None:
                self._plane.SetOrigin(0.0, y, 0.0)
                self._planes.AddItem(self._plane)
        self._cut_data = self._skins.data
        if y is None:
            self._cut_lines.hide()
        else:
            self._cut_lines.show(self._skins.data)

    def paint(
        self,
        paper: Colour,
        ink: Colour,
        accent: Colour,
        tones: Mapping[str, int],
        scale: float,
        *,
        flat: bool,
    ) -> None:
        """Colours and widths of everything.

        Args:
            paper: behind everything.
            ink: what stands out from it best.
            accent: of the chosen tube.
            tones: how far each part is made, by its name, 0 to 4; 0 for one that is not there.
            scale: device pixels of one of the widget's.
            flat: lines alone, in ink on paper.
        """
        self._renderer.SetBackground(*paper)
        shares = _TONES if sum(paper) > sum(ink) else _TONES_ON_DARK
        cut = ink if flat else _between(paper, ink, _CUT)
        colours = {}
        for name in self._names:
            tone = min(max(tones.get(name, 0), 0), len(shares) - 1)
            shade = _between(paper, ink, shares[tone])
            colours[name] = paper if flat else accent if name in self._chosen else shade
        self._skins.paint(colours, cut, flat=flat, cut_open=self._section is not None)
        line = ink if flat else _between(paper, ink, _LINE)
        for lines in self._lines:
            lines.paint(line)
        self._cut_lines.paint(line, scale)
        self._scale = scale

    def draw(
        self, camera: Camera, width: int, height: int, aside: tuple[float, float] = (0.0, 0.0)
    ) -> Bytes:
        """Draw it.

        Args:
            camera: where it is seen from; its pixels are this picture's.
            width: device pixels.
            height: device pixels.
            aside: how far the picture is moved across and up, pixels.

        Returns:
            Pixels (height, width, 4), the first row at the top, red, green, blue and one to be ignored, 0 to 255.

        Raises:
            CannotDraw: when nothing came of it.
        """
        for lines, wide in zip(self._lines, (1.0, _HEAVY), strict=True):
            lines.turn(camera.viewer(height), wide * self._scale, _LONGER_PX * camera.mm)
        self._aim(camera, width, height, aside)
        self._window.Render()
        self._window.GetRGBACharPixelData(0, 0, width - 1, height - 1, 1, self._pixels, 0)
        _log()
        if self._pixels.GetNumberOfTuples() != width * height:
            text = tr("nothing came of drawing it")
            raise CannotDraw(text)
        self.drawn += 1
        # VTK's first row is the lowest.
        rows: Bytes = vtk_to_numpy(self._pixels).reshape(height, width, 4)[::-1]
        return np.ascontiguousarray(rows)

    def _aim(
        self, camera: Camera, width: int, height: int, aside: tuple[float, float] = (0.0, 0.0)
    ) -> None:
        if tuple(self._window.GetSize()) != (width, height):
            self._window.SetSize(width, height)
        axes, aimed = camera.axes(), self._renderer.GetActiveCamera()
        eye = camera.focus + camera.distance(height) * axes[2]
        aimed.SetFocalPoint(*camera.focus)
        aimed.SetPosition(*eye)
        aimed.SetViewUp(*axes[1])
        aimed.SetParallelProjection(not camera.perspective)
        aimed.SetParallelScale(camera.mm * height / 2)
        aimed.SetViewAngle(camera.angle_deg)
        # The picture is two wide and two high for VTK.
        aimed.SetWindowCenter(-2 * aside[0] / width, -2 * aside[1] / height)
        self._renderer.ResetCameraClippingRange()
        near, far = aimed.GetClippingRange()
        # How fast the depth that is compared grows with the distance, at the focus.
        steep = 1.0 / (far - near)
        if camera.perspective:
            steep *= far * near / camera.distance(height) ** 2
        vtkMapper.SetResolveCoincidentTopologyLineOffsetParameters(
            0.0, -_DEPTH_STEPS * steep * _NEARER_PX * camera.mm
        )

    def part_at(self, camera: Camera, width: int, height: int, x: float, y: float) -> str:
        """The part under a place of the picture, in its pixels across and down; "" for none."""
        self._aim(camera, width, height)
        self._picker.Pick(x, height - y, 0.0, self._renderer)
        return self._skins.part_of(self._picker.GetCellId())

    def finish(self) -> None:
        """Give back what the system lent."""
        self._window.Finalize()


class _Lines:
    """Sharp edges of some parts, and the lines where their outsides turn away from the viewer."""

    def __init__(self, renderer: vtkRenderer, planes: vtkPlaneCollection) -> None:
        self.edges, self.contour = vtkActor(), vtkActor()
        self._edges, self._contour = vtkPolyDataMapper(), vtkPolyDataMapper()
        for actor, mapper in ((self.edges, self._edges), (self.contour, self._contour)):
            actor.SetMapper(mapper)
            mapper.SetClippingPlanes(planes)
            actor.GetProperty().LightingOff()
            renderer.AddActor(actor)
        self._meshes: list[SolidMesh] | None = None
        self._facets = joined([])
        self._turned: tuple[float, ...] = ()

    def show(self, meshes: list[SolidMesh]) -> None:
        if meshes == self._meshes:
            return
        self._meshes, self._turned = meshes, ()
        self._facets = joined([mesh.facets for mesh in meshes])
        lines = [edge for mesh in meshes for edge in mesh.edges]
        firsts = np.cumsum([0, *(len(line) for line in lines)])
        self._edges.SetInputData(_polylines(np.concatenate([np.zeros((0, 3)), *lines]), firsts))

    def turn(self, viewer: Floats, width: float, longer: float) -> None:
        """As seen by a viewer, (4,) as for ``Facets.contour``; so many pixels wide, and at each end so much longer, mm."""
        self.edges.GetProperty().SetLineWidth(width)
        # Half of a contour lies behind its own skin.
        self.contour.GetProperty().SetLineWidth(1.6 * width)
        turned = (*viewer.tolist(), longer)
        if turned == self._turned:
            return
        self._turned = turned
        pieces = self._facets.contour(viewer)
        ways = pieces[:, 1] - pieces[:, 0]
        ways *= longer / sizes(ways)
        pieces = np.stack((pieces[:, 0] - ways, pieces[:, 1] + ways), axis=1)
        count = 2 * len(pieces)
        self._contour.SetInputData(
            _polylines(pieces.reshape(-1, 3), np.arange(0, count + 1, 2, dtype=np.int64))
        )

    def paint(self, ink: Colour) -> None:
        for actor in (self.edges, self.contour):
            actor.GetProperty().SetColor(*ink)


def _log() -> None:
    """What VTK has to say goes into the log, not to where the program was started from."""
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    window = vtkOutputWindow.GetInstance()
    said = window.GetOutput() if isinstance(window, vtkStringOutputWindow) else None
    if said != "":
        vtkOutputWindow.SetInstance(vtkStringOutputWindow())
    if said:
        level = logging.WARNING if "error" in said.lower() else logging.INFO
        logging.getLogger(__name__).log(level, "VTK: %s", " ".join(said.split()))


def _polylines(places: Floats, firsts: Ints) -> vtkPolyData:
    """Lines through places (n, 3), each from one of the firsts (k + 1,) up to the next."""
    data = vtkPolyData()
    data.SetPoints(points_of(places))
    data.SetLines(cells_of(firsts, np.arange(len(places))))
    return data
