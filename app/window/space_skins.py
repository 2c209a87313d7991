"""The skins of a frame's parts in space: one surface for all of them, each in a colour of its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

import numpy as np
from vtkmodules.util.numpy_support import numpy_to_vtk
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPlaneCollection, vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer

from app.window.space_data import cells_of, points_of
from geometry.arrays import Floats, Ints
from geometry.mesh import Joined, SolidMesh

if TYPE_CHECKING:
    from app.window.space_data import Singles

Colour: TypeAlias = tuple[float, float, float]
"""Red, green and blue, 0 to 1."""

_KEPT = 1024


class Skins:
    """What is drawn of the parts but for lines.

    One surface costs VTK a fraction of what one for each part does.

    Args:
        renderer: draws it.
        planes: what lies beyond one of them is left out.
    """

    def __init__(self, renderer: vtkRenderer, planes: vtkPlaneCollection) -> None:
        self.data = vtkPolyData()
        self._meshes: dict[str, SolidMesh] = {}
        self._colours: list[Colour] = []
        self._firsts: Ints = np.zeros(1, dtype=np.int64)
        self._taken = self._facing = np.zeros(0, dtype=np.int64)
        self._counts: list[int] = []
        self.actor, self._mapper = vtkActor(), vtkPolyDataMapper()
        self._inside, self._inner = vtkActor(), vtkPolyDataMapper()
        for actor, mapper in ((self.actor, self._mapper), (self._inside, self._inner)):
            actor.SetMapper(mapper)
            mapper.SetClippingPlanes(planes)
            renderer.AddActor(actor)
        self._mapper.SetColorModeToDirectScalars()
        self._mapper.SetScalarModeToUsePointData()
        self._inner.ScalarVisibilityOff()
        drawn = self.actor.GetProperty()
        drawn.SetInterpolationToPhong()
        drawn.SetSpecular(0.08)
        drawn.SetSpecularPower(20.0)
        # The skin is closed: its inside is seen only where it is cut open, and then stands for the cut.
        drawn.BackfaceCullingOn()
        self._inside.GetProperty().FrontfaceCullingOn()
        self._inside.GetProperty().LightingOff()
        self._inside.PickableOff()

    def show(self, meshes: Mapping[str, SolidMesh]) -> None:
        """Show these parts, by their names."""
        if meshes == self._meshes:
            return
        same = [mesh.joined for mesh in meshes.values()] == [
            mesh.joined for mesh in self._meshes.values()
        ]
        cells = self.data.GetPolys()
        self._meshes, self._colours = dict(meshes), []
        self.data = data = vtkPolyData()
        if not same:
            cells = self._join()
        data.SetPolys(cells)
        data.SetPoints(points_of(_gathered([mesh.points for mesh in meshes.values()], self._taken)))
        ways = [way for mesh in meshes.values() for way in (mesh.normals, mesh.faces)]
        data.GetPointData().SetNormals(numpy_to_vtk(_gathered(ways, self._facing), deep=1))
        self._mapper.SetInputData(data)
        self._inner.SetInputData(data)

    def _join(self) -> vtkCellArray:
        """The triangles of all parts, and which of the parts' points and normals are at their corners."""
        every = [_drawn(mesh.joined) for mesh in self._meshes.values()]
        self._counts = [len(one.points) for one in every]
        self._taken = _numbered([one.points for one in every], [one.of_points for one in every])
        self._facing = _numbered([one.normals for one in every], [one.of_normals for one in every])
        flat = _numbered([one.corners for one in every], self._counts)
        self._firsts = np.cumsum([0, *(len(one.corners) // 3 for one in every)])
        return cells_of(np.arange(0, len(flat) + 1, 3), flat)

    def paint(
        self, colours: Mapping[str, Colour], cut: Colour, *, flat: bool, cut_open: bool
    ) -> None:
        """Colours of the parts by their names, and of steel that is cut through.

        Args:
            colours: of each part.
            cut: where it is cut open.
            flat: the colours as they are, without light and shade.
            cut_open: something is left out, and the insides are seen.
        """
        drawn = self.actor.GetProperty()
        drawn.SetLighting(not flat)
        drawn.SetAmbient(1.0 if flat else 0.25)
        drawn.SetDiffuse(0.0 if flat else 0.8)
        self._inside.SetVisibility(cut_open)
        self._inside.GetProperty().SetColor(*cut)
        wanted = [colours[name] for name in self._meshes]
        if wanted == self._colours:
            return
        self._colours = wanted
        shades = np.round(255 * np.array(wanted).reshape(-1, 3)).astype(np.uint8)
        each = np.repeat(shades, np.array(self._counts, dtype=np.int64), axis=0)
        self.data.GetPointData().SetScalars(numpy_to_vtk(each, deep=1))

    def part_of(self, cell: int) -> str:
        """The part that one of the surface's triangles is of; "" for none."""
        if not 0 <= cell < self._firsts[-1]:
            return ""
        return list(self._meshes)[int(np.searchsorted(self._firsts, cell, side="right")) - 1]


class _Drawn(NamedTuple):
    """How a mesh is drawn. The end faces have corners of their own: there the normals are not the skin's.

    Attributes:
        points: which of its points (n,).
        normals: which normals they have (n,): of its points', and after these of its end faces'.
        corners: of the triangles (3 m,) among them.
        of_points: how many points it has.
        of_normals: how many normals.
    """

    points: Ints
    normals: Ints
    corners: Ints
    of_points: int
    of_normals: int


@lru_cache(maxsize=_KEPT)
def _drawn(joined: Joined) -> _Drawn:
    skin, count = 2 * joined.outside, 2 * joined.rings * joined.around
    faces = joined.triangles[skin:].ravel()
    number, own = np.arange(count), np.arange(len(faces))
    return _Drawn(
        np.concatenate((number, faces)),
        np.concatenate((number, count + own // 3)),
        np.concatenate((joined.triangles[:skin].ravel(), count + own)),
        count,
        count + len(faces) // 3,
    )


def _numbered(several: Sequence[Ints], counts: Sequence[int]) -> Ints:
    """Numbers among the things of each part as numbers among those of all parts, which stand one after the other."""
    firsts = np.cumsum([0, *counts]).tolist()
    each = (own + first for own, first in zip(several, firsts, strict=False))
    return np.concatenate([np.zeros(0, dtype=np.int64), *each])


def _gathered(several: Sequence[Floats], which: Ints) -> Singles:
    """Of all rows of several (k, 3), those that are asked for (n,)."""
    every = np.concatenate([np.zeros((0, 3)), *several]).astype(np.float32)
    return every.take(which, axis=0)
