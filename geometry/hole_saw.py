"""Whether one hole saw of the target's size would cut the end, and how to set it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.cope import Cut


@dataclass(frozen=True)
class HoleSaw:
    """One pass with a hole saw whose outside is the target's.

    Attributes:
        fits: one pass cuts the whole end.
        diameter: of the saw, mm: the target's, the root gap included.
        angle_deg: between the saw's axis and the tube's.
        from_square_deg: the same, counted from a square cut.
        offset: how far the saw's axis passes beside the tube's, mm.
        reach: how deep the saw's barrel must be, mm, along its axis.
        beyond_long_point: how far beyond the long point the saw's axis crosses the tube's, mm.
    """

    fits: bool
    diameter: float
    angle_deg: float
    from_square_deg: float
    offset: float
    reach: float
    beyond_long_point: float


def hole_saw(cut: Cut) -> HoleSaw:
    """The setting of the saw for this cut.

    A saw narrower than the tube, or so far to one side that part of the tube passes beside it,
    leaves part of the end uncut.
    """
    surface, rho = cut.surface, cut.tube.radius
    along = rho * math.sin(surface.angle_rad) * np.cos(cut.phi)
    along += math.cos(surface.angle_rad) * cut.outside_edge(cut.phi)
    return HoleSaw(
        fits=surface.beside_share(rho) == 0.0,
        diameter=2 * surface.radius,
        angle_deg=math.degrees(surface.angle_rad),
        from_square_deg=90 - math.degrees(surface.angle_rad),
        offset=surface.offset,
        reach=float(np.ptp(along)),
        beyond_long_point=cut.extra - cut.long_point,
    )
