"""The place on a tube's centreline that is nearest to where somebody points."""

from __future__ import annotations

import math

import numpy as np

from geometry.arrays import Floats
from geometry.path import Arc, Path, Point, Straight

_AXES = "xyz"
_STEPS, _ROUNDS = 33, 6
_END_ON = 1e-9
_SAME_MM = 1e-6


def nearest_along(path: Path, at: Point, shown: str = _AXES) -> tuple[float, float]:
    """How far along a centreline a place is nearest.

    Args:
        path: the centreline.
        at: where somebody points, mm.
        shown: the axes that count, such as "xz" in a view from the side.

    Returns:
        The distance from the path's start along it, mm; and how far the place is from there, mm. Of straights that
        are seen from their end, the middle.
    """
    axes = [_AXES.index(axis) for axis in shown]
    place = np.array(at)[axes]
    best, walked = (0.0, float("inf")), 0.0
    for segment in path.segments:
        if isinstance(segment, Straight):
            along, away = _on_straight(segment, place, axes)
        else:
            along, away = _on_arc(segment, place, axes)
        if away < best[1]:
            best = walked + along, away
        walked += segment.length
    return best


def step_along(distance: float, whole: float, step: float) -> float:
    """A distance along a tube in whole steps, none of them beyond its end; all in mm."""
    steps = min(round(distance / step), math.floor(whole / step + _END_ON))
    return round(max(steps, 0) * step, 6)


def at_height(path: Path, height: float) -> list[float]:
    """Distances from a centreline's start at which it passes through a height, in order; all in mm.

    What runs level at that height, or only touches it, passes through nowhere.
    """
    found, walked = list[float](), 0.0
    for segment in path.segments:
        if isinstance(segment, Straight):
            rise = float(segment.end[2] - segment.start[2])
            places = (
                [(height - float(segment.start[2])) / rise * segment.length]
                if abs(rise) > _SAME_MM
                else []
            )
        else:
            # Its height is a cosine of the turn, highest where the arc's outwards and forwards together point up most.
            out, ahead = float(segment.outwards[2]), float(segment.forwards[2])
            steep = segment.radius * math.hypot(out, ahead)
            up = height - float(segment.centre[2])
            aside = math.acos(up / steep) if abs(up) < steep - _SAME_MM else math.nan
            turns = sorted((math.atan2(ahead, out) + way * aside) % math.tau for way in (-1, 1))
            places = [turn * segment.radius for turn in turns]
        for place in places:
            on = -_SAME_MM <= place <= segment.length + _SAME_MM
            if on and not (found and walked + place - found[-1] < 2 * _SAME_MM):
                found.append(walked + min(max(place, 0.0), segment.length))
        walked += segment.length
    return found


def _on_straight(segment: Straight, place: Floats, axes: list[int]) -> tuple[float, float]:
    start, way = segment.start[axes], (segment.end - segment.start)[axes]
    size = float(way @ way)
    share = 0.5 if size < _END_ON else min(max(float((place - start) @ way) / size, 0.0), 1.0)
    return share * segment.length, float(np.linalg.norm(start + share * way - place))


def _on_arc(segment: Arc, place: Floats, axes: list[int]) -> tuple[float, float]:
    """Looked for more closely round the nearest of some turns."""
    low, high = 0.0, segment.angle_rad
    for _ in range(_ROUNDS):
        turns = np.linspace(low, high, _STEPS)
        away = np.linalg.norm(segment.points(turns)[:, axes] - place, axis=1)
        index = int(np.argmin(away))
        low, high = turns[max(index - 1, 0)], turns[min(index + 1, _STEPS - 1)]
    return float(turns[index]) * segment.radius, float(away[index])
