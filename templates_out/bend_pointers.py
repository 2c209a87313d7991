"""Where on the bent tube's picture each of its numbers is."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from geometry.bend_plan import BendJob
from geometry.path import Arc as BendArc
from geometry.path import Path
from templates_out.bend_picture import Shown, TubePicture
from templates_out.bend_view import END_ON, xy
from templates_out.drawing import OUTLINE, SMALL_MM, Arc, Drawing, Line
from templates_out.pointers import arrow_to, between

BendPart = Literal["od", "wall", "radius", "trim_start", "trim_finish", "reference"]
_RING_MM = 2.5


def bend_pointer(job: BendJob, picture: TubePicture, part: BendPart | int) -> Drawing:
    """Strokes over the picture that point at one of the tube's numbers.

    Args:
        job: the tube shown.
        picture: it, placed.
        part: which number; an index is that of a path point.
    """
    strokes = Drawing()
    for shown in picture.views:
        if not shown.whole:
            continue
        strokes += _in_view(job, shown, picture.scale, part)
    return strokes


def _in_view(job: BendJob, shown: Shown, scale: float, part: BendPart | int) -> Drawing:
    path, radius = job.path, job.tube.radius
    first, last = path.directions[0], path.directions[-1]
    start, finish = np.array(path.vertices[0]), np.array(path.vertices[-1])

    def seen(place: Floats) -> Floats:
        return np.asarray(shown.view.flat(place[None])[0] * scale + shown.origin)

    def along(place: Floats, way: Floats, length: float) -> Drawing:
        # At least long enough to be seen.
        return between(xy(seen(place)), xy(seen(place + way * max(length, 3 * SMALL_MM / scale))))

    match part:
        case int():
            if part >= len(path.vertices):
                return Drawing()
            corner = np.array(path.vertices[part])
            return Drawing((Arc(xy(seen(corner)), _RING_MM, 0, 360, OUTLINE),))
        case "radius":
            return _radii(path, seen)
        case "trim_start":
            return along(start, -first, job.trim[0])
        case "trim_finish":
            return along(finish, last, job.trim[1])
        case _:
            pass
    way = shown.view.flat(first[None])[0]
    size = math.hypot(way[0], way[1])
    if size < END_ON:
        return Drawing()
    left = np.array([-way[1], way[0]]) / size * radius * scale
    if part == "reference":
        mark = seen(start + first * (path.straights[0] - job.tool_reference))
        return Drawing((Line(xy(mark - 1.5 * left), xy(mark + 1.5 * left), OUTLINE),))
    middle = seen(start + first * path.straights[0] / 2)
    inner = -1.0 if part == "od" else job.tube.bore_radius / radius
    return between(xy(middle + inner * left), xy(middle + left))


def _radii(path: Path, seen: Callable[[Floats], Floats]) -> Drawing:
    """From every bend's centre to the middle of its centreline."""
    strokes = Drawing()
    for arc in path.segments:
        if isinstance(arc, BendArc):
            centre = seen(arc.centre)
            middle = seen(arc.points(np.array([arc.angle_rad / 2]))[0])
            if math.dist(centre, middle) > SMALL_MM:
                strokes += arrow_to(xy(middle), xy(centre))
    return strokes
