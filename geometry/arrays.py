"""Names of the arrays that are passed about.

``numpy.typing`` takes as long to load as a frame takes to solve, and only a type checker asks for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    Floats: TypeAlias = npt.NDArray[np.float64]
    Bools: TypeAlias = npt.NDArray[np.bool_]
    Ints: TypeAlias = npt.NDArray[np.int64]
    Complexes: TypeAlias = npt.NDArray[np.complex128]
else:
    Floats = Bools = Ints = Complexes = np.ndarray
