"""What an end may sit on: the parts above it in the list that its lines run into."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from geometry.arrays import Floats
from geometry.end_lines import Target
from geometry.near import TOUCH_MM, Near
from geometry.outline import Outline
from geometry.parts import Part, PartEnd
from geometry.path import Arc, Straight
from geometry.pieces import Piece, RoundPiece
from geometry.vectors import length

_RAYS = 48
_NEWTON_STEPS = 6
_STEPS = 64
_EVEN = np.linspace(0.0, 1.0, _STEPS + 1)
_MARGIN = 0.25
"""Of the tube's own half width: between the lines looked at, another part may come that much nearer."""
_PARALLEL = 1e-12
_HAIR = 1e-6


def targets_of(end: PartEnd, near: Near) -> list[Target]:
    """What the end sits on, the part that stops most of its lines first."""
    starts = end.spread(_rim(end.part.outline))
    reached: list[tuple[Part, Floats, Floats, Floats]] = []
    front = -end.front
    for part, (nearest, _) in zip(near.parts, near.ways, strict=True):
        entries = np.full((len(part.pieces), len(starts)), np.inf)
        first = np.full(len(starts), np.inf)
        for number in np.argsort(nearest).tolist():
            # What lies ahead of all that has been entered stops nothing.
            if nearest[number] == np.inf or (
                front <= first.min() and first.max() < nearest[number]
            ):
                break
            piece = part.pieces[number].grown(end.end.root_gap)
            entries[number] = piece.entries(starts, end.axis, -end.behind)
            first = np.minimum(first, entries[number])
        if first.min() < np.inf:
            reached.append((part, entries, first, nearest))
    touched = [one for one in reached if np.any((one[2] <= TOUCH_MM) & (one[2] >= front))]
    # What is named is reached for, however far; of several, the nearest.
    if not touched and end.end.onto:
        touched = sorted(reached, key=lambda one: float(np.min(one[2])))[:1]
    if len(touched) > 1:
        front_ones = _in_front([one[2] for one in touched], _MARGIN * end.part.reach)
        touched = [touched[number] for number in front_ones]
    return [
        _target_on(end, part, _entered(end, part, entries, nearest))
        for part, entries, _, nearest in touched
    ]


def _entered(end: PartEnd, part: Part, entries: Floats, nearest: Floats) -> tuple[Piece, ...]:
    """A part's pieces but those entered only at the tube's other end.

    A hoop whose two legs the tube joins is met by each end on one leg alone.

    Args:
        end: the end.
        part: what it sits on.
        entries: where its pieces are entered, (pieces, n); infinite for those that are not.
        nearest: where they may be at the nearest, (pieces,).
    """
    entered = np.isfinite(entries)
    last = np.max(entries, axis=1, where=entered, initial=-np.inf)
    # A piece that no looked-at line enters may stop one between them.
    between = (last == -np.inf) & (nearest < np.inf) & (len(nearest) > 1)
    chosen = np.flatnonzero(between | (last >= -end.front)).tolist()
    return tuple(part.pieces[number] for number in chosen)


@lru_cache(maxsize=256)
def _rim(outline: Outline) -> Floats:
    """The lines that are looked at: round the outside, and some in the middle.

    A branch larger than its target may have only its middle over it.
    """
    rim = outline.at(np.arange(_RAYS) * outline.girth / _RAYS)
    return np.vstack((rim, rim[::4] / 2, np.zeros((1, 2))))


def _in_front(firsts: list[Floats], margin: float) -> list[int]:
    """Which of several stop some of the lines, most first; not what is well behind the others all round."""
    whole = np.array(firsts)
    first = whole.min(axis=0)
    stopped = np.isfinite(first)
    counts = np.sum((whole == first) & stopped, axis=1)
    behind = np.min(np.where(stopped, whole - np.where(stopped, first, 0.0), np.inf), axis=1)
    order = np.argsort(-counts, kind="stable").tolist()
    return [number for number in order if behind[number] < margin]


def lone_target(end: PartEnd, near: Near) -> tuple[Target, list[tuple[float, Piece]]] | None:
    """The straight round piece nearest to an end, and what else is in its way.

    Most ends sit on one tube all round: for those this spares the search.

    Returns:
        The piece as a target; and how far along the axis each other piece begins at the nearest, mm, and the
        piece, grown by the root gap. None where there is no such piece.
    """
    front, gap = -end.front, end.end.root_gap
    ahead = [
        (low, part, piece)
        for part, (lows, highs) in zip(near.parts, near.ways, strict=True)
        for low, high, piece in zip(lows.tolist(), highs.tolist(), part.pieces, strict=True)
        if low < np.inf and high >= front
    ]
    round_ones = [(part, piece) for _, part, piece in ahead if isinstance(piece, RoundPiece)]
    if not round_ones:
        return None
    part, first = min(round_ones, key=lambda one: one[1].away(end.point))
    found = _target_on(end, part, (first,))
    if found.straight is None:
        return None
    return found, [(low, piece.grown(gap)) for low, _, piece in ahead if piece is not first]


def target(end: PartEnd, part: Part, solid: tuple[Piece, ...] | None = None) -> Target:
    """A part as the end sees it.

    Args:
        end: the end.
        part: what it sits on.
        solid: its pieces, where they are not those it has on its own.
    """
    return _target_on(end, part, part.pieces if solid is None else solid)


def _target_on(end: PartEnd, part: Part, solid: tuple[Piece, ...]) -> Target:
    """A part as the end sees it, of these pieces."""
    gap = end.end.root_gap
    pieces = tuple(piece.grown(gap) for piece in solid)
    nearest, tangent, segment = nearest_on(part, end)
    if isinstance(segment, Straight):
        for piece in pieces:
            if isinstance(piece, RoundPiece):
                from_start, from_end = piece.start - nearest, piece.end - nearest
                low, high = float(from_start @ tangent), float(from_end @ tangent)
                on_it = low - 1e-9 <= 0.0 <= high + 1e-9
                if on_it and length(from_start - low * tangent) < 1e-6:
                    return Target(part.name, pieces, tangent, nearest, piece, (low, high))
    return Target(part.name, pieces, tangent, nearest)


def nearest_on(part: Part, end: PartEnd) -> tuple[Floats, Floats, Straight | Arc]:
    """The place on a part's centreline nearest to a tube's end, seen along the tube's axis.

    What lies farther behind the end than its targets may is not looked at: the other leg of a hoop is the other end's.

    Returns:
        The place (3,), the unit tangent (3,) there, and the segment it is on. Of places as near, the one
        nearest to the end.
    """
    point, axis, front = end.point.tolist(), end.axis.tolist(), end.front
    best, found = math.inf, (end.point, end.axis, part.path.spine[0].segment)
    arcs = []
    for segment, start, way, size, rise in part.path.spine:
        apart = [a - b for a, b in zip(start, point, strict=True)]
        foot = _foot(apart, way, size, axis)
        if isinstance(segment, Arc):
            # No nearer to the axis than its chord, but for how far it bows.
            arcs.append((_from_axis_at(apart, way, foot, axis)[0] - rise, segment))
            continue
        nearest = _from_axis_at(apart, way, foot, axis)
        if nearest[0] >= best:
            continue
        for along in (foot, 0.0, size):
            at = nearest if along is foot else _from_axis_at(apart, way, along, axis)
            score = _score(*at, front)
            if score < best:
                tangent = np.array(way)
                best, found = score, (segment.start + along * tangent, tangent, segment)
    for at_least, arc in sorted(arcs, key=lambda one: one[0]):
        if at_least > best:
            break
        turns = _nearest_turns(arc, end.point, end.axis)
        place, tangent = arc.points(turns)[0], arc.directions(turns)[0]
        score = _score(*_from_axis_at((place - end.point).tolist(), axis, 0.0, axis), front)
        if score < best:
            best, found = score, (place, tangent, arc)
    return found


# In plain numbers: for so few of them each of numpy's calls costs more than all of this.
def _foot(apart: list[float], way: list[float], size: float, axis: list[float]) -> float:
    """How far along a line, from a place so far from an end's point, it is nearest to the end's axis, mm."""
    (x, y, z), (wx, wy, wz), (ax, ay, az) = apart, way, axis
    cosine = wx * ax + wy * ay + wz * az
    square = 1.0 - cosine * cosine
    if square <= _PARALLEL:
        return 0.0
    foot = ((x * ax + y * ay + z * az) * cosine - (x * wx + y * wy + z * wz)) / square
    return min(max(foot, 0.0), size)


def _from_axis_at(
    apart: list[float], way: list[float], along: float, axis: list[float]
) -> tuple[float, float]:
    """How far a place on a line is from an end's axis, and how far out along that, mm."""
    (x, y, z), (wx, wy, wz), (ax, ay, az) = apart, way, axis
    x, y, z = x + along * wx, y + along * wy, z + along * wz
    out = x * ax + y * ay + z * az
    return math.hypot(x - out * ax, y - out * ay, z - out * az), out


def _score(away: float, out: float, front: float) -> float:
    """The less, the nearer; a hair in favour of what is near the end."""
    return away + max(-front - out, 0.0) + _HAIR * abs(out)


def _nearest_turns(arc: Arc, point: Floats, axis: Floats) -> Floats:
    """Turn (1,) of an arc nearest to an axis: looked for more closely twice, then by Newton's steps.

    Square to the axis the arc's place at turn t is ``m + R (cos t u + sin t v)``; half its square is looked at, from the
    products of m, u and v.
    """
    across = np.array([arc.outwards, arc.forwards, arc.centre - point])
    across -= (across @ axis)[:, None] * axis
    across[:2] *= arc.radius
    (uu, uv, mu), (_, vv, mv), _ = (across @ across.T).tolist()
    low, high = 0.0, arc.angle_rad
    for _ in range(2):
        turns = low + (high - low) * _EVEN
        cosines, sines = np.cos(turns), np.sin(turns)
        half = cosines * (mu + uu / 2 * cosines + uv * sines) + sines * (mv + vv / 2 * sines)
        index = int(np.argmin(half))
        low, high = float(turns[max(index - 1, 0)]), float(turns[min(index + 1, _STEPS)])
    turn = float(turns[index])
    for _ in range(_NEWTON_STEPS):
        cosine, sine = math.cos(turn), math.sin(turn)
        along_u, along_v = mu + uu * cosine + uv * sine, mv + uv * cosine + vv * sine
        slope = cosine * along_v - sine * along_u
        bow = (
            uu * sine * sine - 2 * uv * sine * cosine + vv * cosine * cosine
            - cosine * along_u - sine * along_v
        )  # fmt: skip
        turn = min(max(turn - (slope / bow if bow > 0 else 0.0), low), high)
    return np.array([turn])
