"""How ends stand to what they sit on: the joint that each makes, worked out for many at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from geometry.arrays import Bools, Floats, Ints
from geometry.end_lines import Target
from geometry.facets import crossed
from geometry.parts import PartEnd
from geometry.vectors import dots

_ALONG = math.sin(math.radians(0.5))
_NO_OFFSET_MM = 1e-9
"""What rounding leaves of an offset where centrelines cross."""


@dataclass(frozen=True, eq=False)
class Settings:
    """How ends (k,) stand to their targets.

    Attributes:
        joint_datums: unit vectors (k, 3) square to the axes, away from the acute sides.
        ways: the targets' tangents (k, 3), turned to lean along the axes.
        angles_deg: acute (k,).
        offsets: as in a joint on its own (k,), mm.
        origins: the work points (k, 3).
        shifts: of the work points beyond the ends' points (k,), mm.
        run_along: which targets (k,) run along their tubes; there all that is above means nothing.
    """

    joint_datums: Floats
    ways: Floats
    angles_deg: Floats
    offsets: Floats
    origins: Floats
    shifts: Floats
    run_along: Bools

    def rows(self, some: Ints) -> Settings:
        """Those of these numbers alone."""
        return Settings(*(getattr(self, one.name)[some] for one in fields(self)))


def settings(ends: Sequence[PartEnd], targets: Sequence[Target]) -> Settings:
    """How each end stands to the target of its own.

    Args:
        ends: one or more.
        targets: as many.
    """
    points, axes, datums = (
        np.array([getattr(end, name) for end in ends]) for name in ("point", "axis", "datum")
    )
    tangents, nearest = (
        np.array([getattr(one, name) for one in targets]) for name in ("tangent", "nearest")
    )
    cosines = dots(tangents, axes)
    ways = np.where(cosines >= 0, 1.0, -1.0)[:, None] * tangents
    cosines = np.abs(cosines)
    aside = ways - cosines[:, None] * axes
    sines = np.sqrt(dots(aside, aside))
    run_along = sines < _ALONG
    divisors = np.where(run_along, 1.0, sines)
    joint_datums = aside / divisors[:, None]
    # At a right angle the tight side is either; the nearer to the tube's own datum is taken.
    other = (sines > 1 - 1e-12) & (dots(joint_datums, datums) < -1e-9)
    joint_datums[other] *= -1.0
    ways[other] *= -1.0
    apart = nearest - points
    offsets = dots(apart, crossed(axes, joint_datums))
    offsets[np.abs(offsets) <= _NO_OFFSET_MM] = 0.0
    # The foot of the common perpendicular on the tube's axis.
    shifts = dots(apart, axes) - dots(apart, joint_datums) * cosines / divisors
    origins = points + shifts[:, None] * axes
    angles = np.degrees(np.arctan2(sines, cosines))
    return Settings(joint_datums, ways, angles, offsets, origins, shifts, run_along)
