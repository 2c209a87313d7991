"""What lies near the ends of a frame's parts, found for all of them at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from shapely import STRtree, box

from geometry.arrays import Floats, Ints
from geometry.parts import Part, PartEnd
from geometry.pieces import Piece

_AHEAD = 2.0
"""In reaches of the tube: how far ahead of its point an end looks for what may stop some of its lines."""
TOUCH_MM = 0.5
"""An end whose centreline stops this short of a tube still sits on it: points are typed to the mm."""


@dataclass(frozen=True)
class Near:
    """Parts that an end's lines may run into; the same parts are the same.

    Attributes:
        parts: in fit-up order.
        ways: how far along the end's axis its lines may first and last be in each part's pieces, (k,) each, mm:
            infinite, and minus infinite, for those that they cannot enter.
    """

    parts: tuple[Part, ...]
    ways: tuple[tuple[Floats, Floats], ...] = field(compare=False)


def near_end(end: PartEnd, parts: Sequence[Part]) -> Near:
    """These parts, as an end sees them."""
    return Near(
        tuple(parts),
        tuple(_Hulls(parts).ways([end], np.zeros(len(parts), dtype=int), np.arange(len(parts)))),
    )


def in_the_way(end: PartEnd, part: Part) -> list[Piece]:
    """The pieces of a part that an end's lines may enter."""
    ((low, _),) = near_end(end, (part,)).ways
    return [part.pieces[number] for number in np.flatnonzero(low < np.inf).tolist()]


class _Hulls:
    """The hulls of some parts, one after the other.

    Args:
        parts: any number.
    """

    def __init__(self, parts: Sequence[Part]) -> None:
        none = (np.zeros((0, 3)), np.zeros((0, 3)), np.zeros(0), np.zeros(0, dtype=int))
        hulls = [none, *(part.hull for part in parts)]
        self.starts, self.finishes, self.reaches, firsts = (
            np.concatenate(rows) for rows in zip(*hulls, strict=True)
        )
        lines = np.array([len(hull[2]) for hull in hulls])
        pieces = np.array([len(hull[3]) for hull in hulls])
        self._lines, self._pieces = np.cumsum(lines), np.cumsum(pieces)
        self._firsts = firsts + np.repeat(self._lines - lines, pieces)
        self.owners = np.repeat(np.arange(len(parts)), lines[1:])

    def ways(self, ends: Sequence[PartEnd], of: Ints, numbers: Ints) -> list[tuple[Floats, Floats]]:
        """How far along an end's axis its lines may first and last be in a part's pieces, for each end and part.

        Args:
            ends: the ends.
            of: numbers (n,) of ends.
            numbers: of the parts (n,) that each of them may run into.

        Returns:
            As in ``Near``.
        """
        if not len(of):
            return []
        lines, counts = _each(self._lines, numbers)
        points, axes, across, outs, behind = (
            np.repeat(np.array(values)[of], counts, axis=0)
            for values in zip(
                *(
                    (
                        end.point,
                        end.axis,
                        end.across,
                        end.part.reach + end.end.root_gap,
                        -end.behind,
                    )
                    for end in ends
                ),
                strict=True,
            )
        )
        outs += self.reaches[lines]
        starts, ways = self.starts[lines] - points, self.finishes[lines] - self.starts[lines]
        one = np.einsum("ij,ij->i", starts, axes)
        two = one + np.einsum("ij,ij->i", ways, axes)
        high = np.maximum(one, two) + outs
        there = (high > behind) & (_from_axis(starts, ways, across) < outs)
        low = np.where(there, np.minimum(one, two) - outs, np.inf)
        high[~there] = -np.inf
        pieces, pieces_of = _each(self._pieces, numbers)
        firsts = self._firsts[pieces] + np.repeat(
            np.cumsum(counts) - counts - self._lines[numbers], pieces_of
        )
        low, high = np.minimum.reduceat(low, firsts), np.maximum.reduceat(high, firsts)
        splits = np.cumsum([0, *pieces_of]).tolist()
        return [(low[a:b], high[a:b]) for a, b in pairwise(splits)]


def _each(ends: Ints, numbers: Ints) -> tuple[Ints, Ints]:
    """The rows of some of several tables that stand one after the other, and how many of each.

    Args:
        ends: 0, and where each table ends.
        numbers: which tables (n,).
    """
    counts = ends[numbers + 1] - ends[numbers]
    before = np.cumsum(counts) - counts
    return np.repeat(ends[numbers] - before, counts) + np.arange(int(counts.sum())), counts


def _from_axis(starts: Floats, ways: Floats, across: Floats) -> Floats:
    """Least distances (k,) of straight lines from ``starts`` along all of ``ways``, (k, 3), from an axis.

    Args:
        starts: seen from a point of the axis.
        ways: from there to their other ends.
        across: two unit vectors square to the axis, (k, 2, 3).
    """
    a, way = (np.einsum("kij,kj->ki", across, rows) for rows in (starts, ways))
    size = np.maximum(np.einsum("ij,ij->i", way, way), 1e-300)
    share = np.clip(-np.einsum("ij,ij->i", a, way) / size, 0.0, 1.0)
    near = a + share[:, None] * way
    return np.asarray(np.hypot(near[:, 0], near[:, 1]))


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
        self._near: dict[PartEnd, Near] = {}

    def parts(self, end: PartEnd) -> tuple[Part, ...]:
        """The parts above in the list that an end names, or else those that its straight may touch."""
        if not end.end.onto:
            return tuple(self._parts[number] for number in self._numbers[end].tolist())
        names = set(end.end.onto)
        own = self._orders[self._parts.index(end.part)]
        return tuple(
            one
            for one, order in zip(self._parts, self._orders, strict=True)
            if order < own and names & {one.name, one.tube.name}
        )

    def among(self, end: PartEnd, parts: tuple[Part, ...]) -> Near:
        """These parts, as an end sees them."""
        near = self._near.get(end)
        return near if near is not None and near.parts == parts else near_end(end, parts)

    def look(self, ends: Sequence[PartEnd]) -> list[Near]:
        """What is near ends that name nothing: asking for each would cost more than all at once."""
        rows = [self._numbers[end] for end in ends]
        numbers = np.concatenate([np.zeros(0, dtype=np.int64), *rows])
        counts = [len(row) for row in rows]
        ways = self._hulls.ways(ends, np.repeat(np.arange(len(ends)), counts), numbers)
        near = [self._parts[number] for number in numbers.tolist()]
        places = np.cumsum([0, *counts]).tolist()
        found = [Near(tuple(near[a:b]), tuple(ways[a:b])) for a, b in pairwise(places)]
        self._near |= zip(ends, found, strict=True)
        return found

    @cached_property
    def _hulls(self) -> _Hulls:
        return _Hulls(self._parts)

    @cached_property
    def _numbers(self) -> dict[PartEnd, Ints]:
        """Which parts each end's straight may touch."""
        hulls = self._hulls
        low, high = _boxes(hulls.starts, hulls.finishes, hulls.reaches)
        ends = [end for part in self._parts for end in part.ends]
        first, last = _spans(ends)
        lines, boxes = STRtree(_side_view(low, high)).query(_side_view(first, last))
        orders, own = np.array(self._orders), np.repeat(np.array(self._orders), 2)
        beside = (low[boxes, 1] > last[lines, 1]) | (high[boxes, 1] < first[lines, 1])
        owners = hulls.owners[boxes]
        there = ~beside & (orders[owners] < own[lines])
        found = np.unique(lines[there] * len(orders) + owners[there])
        lines, parts = np.divmod(found, len(orders))
        places = np.searchsorted(lines, np.arange(len(ends) + 1)).tolist()
        return {end: parts[a:b] for end, (a, b) in zip(ends, pairwise(places), strict=True)}


def _boxes(starts: Floats, finishes: Floats, reaches: Floats) -> tuple[Floats, Floats]:
    """Lowest and highest corners (k, 3) of boxes round all that is so near (k,) to straight lines."""
    out = reaches[:, None]
    return np.minimum(starts, finishes) - out, np.maximum(starts, finishes) + out


def _spans(ends: Sequence[PartEnd]) -> tuple[Floats, Floats]:
    """Lowest and highest corners (k, 3) of boxes round ends' straights, as far as they may land on something."""
    points, axes = np.array([end.point for end in ends]), np.array([end.axis for end in ends])
    reach = np.array([end.part.reach for end in ends])
    back = np.minimum(np.array([end.straight for end in ends]), 4 * reach + 200.0)
    out = reach + np.array([end.end.root_gap for end in ends]) + TOUCH_MM
    # The long points stand ahead of the end's point.
    ahead = points + (_AHEAD * reach)[:, None] * axes
    return _boxes(ahead, points - back[:, None] * axes, out)


def _side_view(low: Floats, high: Floats) -> npt.NDArray[np.object_]:
    """Boxes (n,) in side view between corners (n, 3)."""
    made: npt.NDArray[np.object_] = box(low[:, 0], low[:, 2], high[:, 0], high[:, 2])
    return made
