"""Arrays as VTK has them."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
from vtkmodules.vtkCommonCore import vtkIdTypeArray, vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray

from geometry.arrays import Floats, Ints

if TYPE_CHECKING:
    import numpy.typing as npt

    Singles: TypeAlias = npt.NDArray[np.float32]


def points_of(places: Floats | Singles) -> vtkPoints:
    """Places (n, 3)."""
    points = vtkPoints()
    points.SetData(numpy_to_vtk(np.ascontiguousarray(places, dtype=np.float32), deep=1))
    return points


def cells_of(firsts: Ints, corners: Ints) -> vtkCellArray:
    """Lines or polygons through numbered points, each from one of the firsts (k + 1,) up to the next."""
    cells = vtkCellArray()
    cells.SetData(_ids(firsts), _ids(corners))
    return cells


def _ids(numbers: Ints) -> vtkIdTypeArray:
    made: vtkIdTypeArray = numpy_to_vtkIdTypeArray(
        np.ascontiguousarray(numbers, dtype=np.int64), deep=1
    )
    return made
