"""A fitted part's outside in space, its ends as they are cut: to see it, and to find what runs into it."""

from __future__ import annotations

import math

import numpy as np

from geometry.arrays import Floats
from geometry.end_cut import EndCut, height_at
from geometry.fitup import FittedPart
from geometry.parts import PartEnd
from geometry.path import Arc, Straight
from geometry.section import RoundTube
from geometry.vectors import cross

_ARC_STEP_RAD = math.radians(6.0)
_MOST_STEPS = 400
_HAIR = 1e-9


def skin_rings(one: FittedPart, around: int = 48, step: float = 20.0) -> Floats:
    """The outside as rings (m, around, 3) from its start to its finish, the first and the last along the cuts.

    The lines that join the rings' points run straight along straights, and are not twisted between bends.

    Args:
        one: the part.
        around: points of each ring; a box section's stand evenly along its outline.
        step: greatest distance of the rings along straights, mm.
    """
    part = one.part
    start, finish = part.ends
    girth = part.outline.girth
    flat = part.outline.at(np.arange(around, dtype=np.float64) * (girth / around))
    # The start's axis points backwards: seen along the path its section runs the other way round.
    way = part.path.directions[0]
    outs = flat[:, :1] * start.datum + flat[:, 1:] * start.third
    begin = -_stops(one.cuts[0], start, flat)
    rings: list[Floats] = []
    straights = part.path.straights
    number = 0
    for segment in part.path.segments:
        if isinstance(segment, Arc):
            turns = arc_steps(segment.angle_rad)
            around_arc = turned(outs, segment.normal, turns)
            rings += list(segment.points(turns)[:, None] + around_arc)
            outs, way = around_arc[-1], turned(way[None], segment.normal, turns[-1:])[0, 0]
        else:
            low = begin if number == 0 else np.zeros(around)
            high = np.full(around, straights[number])
            if number == len(straights) - 1:
                across = np.column_stack((outs @ finish.datum, outs @ finish.third))
                high = high + _stops(one.cuts[1], finish, across)
            if segment.length >= 1e-9 or np.ptp(high) > 0 or np.ptp(low) > 0:
                shares = _steps(0.0, 1.0, min(step / max(straights[number], 1e-9), 1.0))
                for share in shares:
                    along = low + share * (high - low)
                    rings.append(segment.start + outs + along[:, None] * way)
            number += 1
    return np.array(rings)


def _stops(cut: EndCut | None, end: PartEnd, flat: Floats) -> Floats:
    """How far beyond the end's point the lines at ``flat`` (n, 2) go, mm."""
    if cut is None:
        return np.zeros(len(flat))
    return cut.shift + height_at(cut, end.part.outline.place(flat))


def arc_steps(angle_rad: float) -> Floats:
    """Turns (m,) of a bend at which its sections stand, from 0 to its angle, both included."""
    return _steps(0.0, angle_rad, _ARC_STEP_RAD)


def _steps(low: float, high: float, most: float) -> Floats:
    count = min(math.ceil((high - low) / most - 1e-9), _MOST_STEPS)
    return np.linspace(low, high, max(count, 1) + 1)


def turned(vectors: Floats, axis: Floats, turns: Floats) -> Floats:
    """Vectors (n, 3) turned about a unit axis by each of the turns (m,), right-handed (Rodrigues); (m, n, 3)."""
    x, y, z = axis.tolist()
    # As a matrix: numpy's cross product costs more than all the rest for so few vectors.
    aside = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    sines, rises = (values[:, None, None] for values in (np.sin(turns), 1.0 - np.cos(turns)))
    return np.asarray(vectors + sines * (vectors @ aside.T) + rises * (vectors @ (aside @ aside).T))


def depth_in(one: FittedPart, points: Floats) -> tuple[Floats, Floats]:
    """How deep points (n, 3) are inside a part, its ends as they are cut.

    Returns:
        Depth below the outside (n,), mm, negative outside; and depth beyond the bore (n,): where the first is
        positive and the second negative, a point is in the hollow.
    """
    part, section = one.part, one.part.section
    deepest = np.full(len(points), -np.inf)
    hollow = np.full(len(points), -np.inf)
    number = -1
    for segment in part.path.segments:
        if isinstance(segment, Straight):
            number += 1
            outside, inside = _in_straight(one, segment, number, points)
        else:
            assert isinstance(section, RoundTube)  # noqa: S101 - boxes are not bent here
            from_centre = points - segment.centre
            x, y = from_centre @ segment.outwards, from_centre @ segment.forwards
            away = np.hypot(np.hypot(x, y) - segment.radius, from_centre @ segment.normal)
            turn = np.arctan2(y, x)
            there = (turn >= -_HAIR) & (turn <= segment.angle_rad + _HAIR)
            outside = np.where(there, section.radius - away, -np.inf)
            inside = np.where(there, away - section.bore_radius, -np.inf)
        hollow = np.where(outside > deepest, inside, hollow)
        deepest = np.maximum(deepest, outside)
    return deepest, hollow


def _in_straight(
    one: FittedPart, segment: Straight, number: int, points: Floats
) -> tuple[Floats, Floats]:
    """As ``depth_in``, in one straight; one of no length may be an end that something is left on at."""
    part, section = one.part, one.part.section
    way = part.path.directions[number]
    along = (points - segment.start) @ way
    off = points - segment.start - along[:, None] * way
    if isinstance(section, RoundTube):
        away = np.sqrt(np.einsum("ij,ij->i", off, off))
        outside, inside = section.radius - away, away - section.bore_radius
    else:
        corner = section.corner_radius
        up = np.abs(off @ part.up) - section.height / 2 + corner
        across = np.abs(off @ cross(part.up, way)) - section.width / 2 + corner
        beside = np.hypot(np.maximum(up, 0.0), np.maximum(across, 0.0))
        outside = corner - beside - np.minimum(np.maximum(up, across), 0.0)
        inside = section.wall - outside
    first, last = segment is part.path.segments[0], segment is part.path.segments[-1]
    for cut, end, ending, beyond in (
        (one.cuts[0], part.ends[0], first, -along),
        (one.cuts[1], part.ends[1], last, along - segment.length),
    ):
        room = -beyond
        if ending:
            flat = np.column_stack((off @ end.datum, off @ end.third))
            room = room + _stops(cut, end, flat)
        elif len(part.path.segments) > 1:
            room = np.where(room >= -_HAIR, np.inf, -np.inf)
        outside = np.minimum(outside, room)
    return outside, inside
