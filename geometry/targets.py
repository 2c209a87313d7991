"""What an end may sit on: the parts above it in the list that its lines run into."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from shapely import STRtree, box

from geometry.arrays import Floats
from geometry.end_lines import Target
from geometry.outline import Outline
from geometry.parts import Part, PartEnd
from geometry.path import Arc, Straight
from geometry.pieces import Piece, RoundPiece
from geometry.vectors import length

_RAYS = 48
_NEWTON_STEPS = 6
_AHEAD = 2.0
"""In reaches of the tube: how far ahead of its point an end looks for what may stop some of its lines."""
_MARGIN = 0.25
"""Of the tube's own half width: between the lines looked at, another part may come that much nearer."""
_PARALLEL = 1e-12
_HAIR = 1e-6
TOUCH_MM = 0.5
"""An end whose centreline stops this short of a tube still sits on it: points are typed to the mm."""


def targets_of(end: PartEnd, candidates: Sequence[Part]) -> list[Target]:
    """What the end sits on, the part that stops most of its lines first."""
    starts = end.spread(_rim(end.part.outline))
    reached: list[tuple[Part, Floats, Floats]] = []
    front = -end.front
    for part, (nearest, _) in zip(candidates, _in_the_way(end, candidates), strict=True):
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
            reached.append((part, entries, first))
    touched = [one for one in reached if np.any((one[2] <= TOUCH_MM) & (one[2] >= front))]
    # What is named is reached for, however far; of several, the nearest.
    if not touched and end.end.onto:
        touched = sorted(reached, key=lambda one: float(np.min(one[2])))[:1]
    if len(touched) > 1:
        touched = _in_front(touched, _MARGIN * end.part.reach)
    return [target(end, part, one) for part, one, _ in touched]


@lru_cache(maxsize=256)
def _rim(outline: Outline) -> Floats:
    """The lines that are looked at: round the outside, and some in the middle.

    A branch larger than its target may have only its middle over it.
    """
    rim = outline.at(np.arange(_RAYS) * outline.girth / _RAYS)
    return np.vstack((rim, rim[::4] / 2, np.zeros((1, 2))))


def _in_front(
    touched: list[tuple[Part, Floats, Floats]], margin: float
) -> list[tuple[Part, Floats, Floats]]:
    """What stops some of the lines, most first; not what is well behind the others all round."""
    whole = np.array([first for _, _, first in touched])
    first = whole.min(axis=0)
    stopped = np.isfinite(first)
    counts = np.sum((whole == first) & stopped, axis=1)
    behind = np.min(np.where(stopped, whole - np.where(stopped, first, 0.0), np.inf), axis=1)
    order = np.argsort(-counts, kind="stable").tolist()
    return [touched[number] for number in order if behind[number] < margin]


def lone_target(
    end: PartEnd, candidates: Sequence[Part]
) -> tuple[Target, list[tuple[float, Piece]]] | None:
    """The straight round piece nearest to an end, and what else is in its way.

    Most ends sit on one tube all round: for those this spares the search.

    Returns:
        The piece as a target; and how far along the axis each other piece begins at the nearest, mm, and the
        piece, grown by the root gap. None where there is no such piece.
    """
    ways = _in_the_way(end, candidates)
    ahead = [
        (float(low[number]), part, part.pieces[number])
        for part, (low, high) in zip(candidates, ways, strict=True)
        for number in np.flatnonzero((low < np.inf) & (high >= -end.front)).tolist()
    ]
    round_ones = [(part, piece) for _, part, piece in ahead if isinstance(piece, RoundPiece)]
    if not round_ones:
        return None
    part, first = min(round_ones, key=lambda one: one[1].away(end.point))
    found = _target_on(end, part, (first,))
    if found.straight is None:
        return None
    gap = end.end.root_gap
    return found, [(low, piece.grown(gap)) for low, _, piece in ahead if piece is not first]


def in_the_way(end: PartEnd, part: Part) -> list[Piece]:
    """The pieces of a part that an end's lines may enter."""
    ((low, _),) = _in_the_way(end, [part])
    return [part.pieces[number] for number in np.flatnonzero(low < np.inf).tolist()]


def _in_the_way(end: PartEnd, parts: Sequence[Part]) -> list[tuple[Floats, Floats]]:
    """How far along its axis an end's lines may first and last be in each part's pieces, (k,) each, mm.

    Infinite, and minus infinite, for those that they cannot enter: most are not looked at.
    """
    if not parts:
        return []
    hulls = [part.hull for part in parts]
    starts, ends, reaches = (
        np.concatenate(rows) for rows in zip(*(hull[:3] for hull in hulls), strict=True)
    )
    out = reaches + end.part.reach + end.end.root_gap
    one, two = (starts - end.point) @ end.axis, (ends - end.point) @ end.axis
    high = np.maximum(one, two) + out
    there = (high > -end.behind) & (_from_axis(starts, ends, end) < out)
    low = np.where(there, np.minimum(one, two) - out, np.inf)
    high[~there] = -np.inf
    rows, split = 0, []
    for _, _, own, firsts in hulls:
        these = slice(rows, rows + len(own))
        split.append(
            (np.minimum.reduceat(low[these], firsts), np.maximum.reduceat(high[these], firsts))
        )
        rows += len(own)
    return split


def _from_axis(starts: Floats, ends: Floats, end: PartEnd) -> Floats:
    """Least distances (k,) of straight lines from ``starts`` to ``ends``, (k, 3), from an end's axis."""
    across = end.across.T
    a, way = (starts - end.point) @ across, (ends - starts) @ across
    size = np.maximum(np.einsum("ij,ij->i", way, way), 1e-300)
    share = np.clip(-np.einsum("ij,ij->i", a, way) / size, 0.0, 1.0)
    near = a + share[:, None] * way
    return np.asarray(np.hypot(near[:, 0], near[:, 1]))


def target(
    end: PartEnd,
    part: Part,
    entries: Floats | None = None,
    solid: tuple[Piece, ...] | None = None,
) -> Target:
    """A part as the end sees it.

    Args:
        end: the end.
        part: what it sits on.
        entries: where its pieces are entered, (pieces, n); infinite for those that are not. A piece entered
            only at the tube's other end is left out: a hoop whose two legs the tube joins is met by each end
            on one leg alone.
        solid: its pieces, where they are not those it has on its own.
    """
    solid = part.pieces if solid is None else solid
    chosen = list(range(len(solid)))
    if entries is not None:
        entered = np.isfinite(entries)
        last = np.max(entries, axis=1, where=entered, initial=-np.inf)
        # A piece that no looked-at line enters may stop one between them.
        near = (
            (last == -np.inf) & (_in_the_way(end, [part])[0][0] < np.inf)
            if len(solid) > 1
            else False
        )
        chosen = np.flatnonzero(near | (last >= -end.front)).tolist()
    return _target_on(end, part, tuple(solid[number] for number in chosen))


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
    best, found = math.inf, (end.point, end.axis, part.spine[0].segment)
    arcs = []
    for segment, start, way, size, rise in part.spine:
        apart = [a - b for a, b in zip(start, point, strict=True)]
        foot = _foot(apart, way, size, axis)
        if isinstance(segment, Arc):
            # No nearer to the axis than its chord, but for how far it bows.
            arcs.append((_from_axis_at(apart, way, foot, axis)[0] - rise, segment))
            continue
        for along in (foot, 0.0, size):
            score = _score(*_from_axis_at(apart, way, along, axis), front)
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
    """Turn (1,) of an arc nearest to an axis: looked for more closely twice, then by Newton's steps."""
    low, high = 0.0, arc.angle_rad
    for _ in range(2):
        turns = np.linspace(low, high, 65)
        from_end = arc.points(turns) - point
        off = from_end - (from_end @ axis)[:, None] * axis
        index = int(np.argmin(np.einsum("ij,ij->i", off, off)))
        low, high = turns[max(index - 1, 0)], turns[min(index + 1, 64)]
    turn = float(turns[index])
    across = np.array([arc.outwards, arc.forwards, arc.centre - point])
    across -= (across @ axis)[:, None] * axis
    out, ahead, centre = across
    for _ in range(_NEWTON_STEPS):
        cosine, sine = math.cos(turn), math.sin(turn)
        spoke, way = cosine * out + sine * ahead, cosine * ahead - sine * out
        from_axis = centre + arc.radius * spoke
        bow = float(arc.radius * (way @ way) - from_axis @ spoke)
        step = float(from_axis @ way) / bow if bow > 0 else 0.0
        turn = min(max(turn - step, low), high)
    return np.array([turn])


class Index:
    """Finds the parts near every end without looking at each of them: boxes round the pieces, in side view.

    Args:
        parts: all there are.
        orders: place in the fit-up order by the tube's name; both hands of a tube share theirs.
    """

    def __init__(self, parts: Sequence[Part], orders: Mapping[str, int]) -> None:
        # As they are told: in fit-up order, then by name.
        self._parts = sorted(parts, key=lambda part: (orders[part.tube.name], part.name))
        self._orders = [orders[part.tube.name] for part in self._parts]
        self._near: dict[PartEnd, tuple[Part, ...]] | None = None

    def named(self, end: PartEnd) -> tuple[Part, ...]:
        """The parts that an end names, above it in the list."""
        names = set(end.end.onto)
        own = self._orders[self._parts.index(end.part)]
        return tuple(
            one
            for one, order in zip(self._parts, self._orders, strict=True)
            if order < own and names & {one.name, one.tube.name}
        )

    def near(self, end: PartEnd) -> tuple[Part, ...]:
        """The parts above in the list whose boxes touch the end's straight."""
        if self._near is None:
            self._near = self._look()
        return self._near[end]

    def _look(self) -> dict[PartEnd, tuple[Part, ...]]:
        """For every end at once: asking for each would cost more than all of it."""
        numbered = list(enumerate(self._parts))
        owners = np.array([number for number, part in numbered for _ in part.pieces], dtype=int)
        low, high = (np.concatenate([part.bounds[side] for part in self._parts]) for side in (0, 1))
        ends = [(number, end) for number, part in numbered for end in part.ends]
        spans = np.array([_span(end) for _, end in ends])
        lines, boxes = STRtree(_side_view(low, high)).query(_side_view(spans[:, 0], spans[:, 1]))
        orders, own = np.array(self._orders), np.array([number for number, _ in ends])
        beside = (low[boxes, 1] > spans[lines, 1, 1]) | (high[boxes, 1] < spans[lines, 0, 1])
        there = ~beside & (orders[owners[boxes]] < orders[own[lines]])
        found: dict[PartEnd, dict[int, None]] = {end: {} for _, end in ends}
        for line, part in np.unique(
            np.stack((lines[there], owners[boxes[there]])), axis=1
        ).T.tolist():
            found[ends[line][1]][part] = None
        return {end: tuple(self._parts[one] for one in near) for end, near in found.items()}


def _span(end: PartEnd) -> tuple[Floats, Floats]:
    """Lowest and highest corner (3,) of a box round the straight of an end, as far as it may land on something."""
    reach = end.part.reach
    back = end.point - min(end.straight, 4 * reach + 200.0) * end.axis
    # The long points stand ahead of the end's point.
    ahead = end.point + _AHEAD * reach * end.axis
    out = reach + end.end.root_gap + TOUCH_MM
    return np.minimum(ahead, back) - out, np.maximum(ahead, back) + out


def _side_view(low: Floats, high: Floats) -> npt.NDArray[np.object_]:
    """Boxes (n,) in side view between corners (n, 3)."""
    made: npt.NDArray[np.object_] = box(low[:, 0], low[:, 2], high[:, 0], high[:, 2])
    return made
