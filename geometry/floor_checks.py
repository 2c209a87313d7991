"""Whether something stands lower than the floor that other tubes are cut to stand on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from geometry.findings import Finding
from geometry.fitup import FittedPart
from geometry.lengths import mm
from geometry.parts import PartEnd
from geometry.said import each_and, said
from geometry.skin import skin_rings

_LEVEL = 1 - 1e-6
_LOWER_MM = 1.0
"""Less does not keep a frame from standing."""


def below_floor(parts: Sequence[FittedPart]) -> Iterator[Finding]:
    """Parts that reach below a level plane on which the ends of others stand."""
    floors: dict[float, list[PartEnd]] = {}
    for one in parts:
        for end in one.part.ends:
            if end.plane is not None and abs(end.plane[1][2]) > _LEVEL and end.axis[2] < 0:
                floors.setdefault(round(end.plane[0][2], 2), []).append(end)
    if not floors:
        return
    # Of several, the lowest is the floor; a plate may be higher.
    floor = min(floors)
    standing = {end.part.name for end in floors[floor]}
    stand = {
        "ends": each_and([end.where for end in floors[floor]]),
        "height": mm(floor, places=1),
    }
    for one in parts:
        below = floor - float(skin_rings(one)[..., 2].min())
        if one.part.name not in standing and below > _LOWER_MM:
            reach = mm(below, places=1)
            what = (
                said(
                    "It reaches {reach} below the level plane that {ends} are cut to stand on, at height {height}.",
                    reach=reach, **stand,
                )
                if len(floors[floor]) > 1
                else said(
                    "It reaches {reach} below the level plane that {ends} is cut to stand on, at height {height}.",
                    reach=reach, **stand,
                )
            )  # fmt: skip
            do = said("If that plane is the floor, raise the tube, or lower the plane.")
            yield Finding("below-floor", "note", one.part.called, what, do)
