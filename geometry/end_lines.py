"""The lines of a tube end's wall, and what they first enter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Bools, Floats, Ints
from geometry.outline import RoundOutline
from geometry.parts import PartEnd
from geometry.pieces import Piece, RoundPiece

_DEPTHS = 9
_CLOSE_MM = 1e-7


@dataclass(frozen=True, eq=False)
class Target:
    """A part that an end may sit on.

    Attributes:
        name: of the part.
        pieces: its solid, grown by the root gap.
        tangent: unit vector (3,) along its centreline at the place nearest to the end's axis.
        nearest: that place (3,).
        straight: the straight round piece that the nearest place is on, grown; else None.
        limits: of that piece, along ``tangent`` from ``nearest``, mm.
    """

    name: str
    pieces: tuple[Piece, ...]
    tangent: Floats
    nearest: Floats
    straight: RoundPiece | None = None
    limits: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Met:
    """What lines enter first.

    Attributes:
        owner: number (n,) of the target, -1 for none.
        on_side: whether it is met on its side (n,): one that is entered through an open end is not.
        points: where (n, 3), mm; of a line that enters nothing, where it begins.
    """

    owner: Ints
    on_side: Bools
    points: Floats
    _pieces: Sequence[Piece]
    _first: Ints

    def normals(self) -> Floats:
        """Unit normals (n, 3) of what is met, 0 where nothing is."""
        found = np.zeros_like(self.points)
        for number, piece in enumerate(self._pieces):
            rows = np.flatnonzero(self._first == number)
            if rows.size:
                found[rows] = piece.normals(self.points[rows])
        return found


def what_is_met(at: PartEnd, targets: Sequence[Target], round_mm: Floats) -> Met:
    """What each of the outside's lines enters first, at distances round (n,)."""
    starts = at.spread(at.part.outline.at(round_mm))
    pieces = [piece for target in targets for piece in target.pieces]
    owners = [number for number, target in enumerate(targets) for _ in target.pieces]
    if not pieces:
        # It names what lies behind all that it looks for.
        none = np.full(len(starts), -1)
        return Met(none, np.zeros(len(starts), dtype=bool), starts, pieces, none)
    entries = np.array([piece.entries(starts, at.axis, -at.behind) for piece in pieces])
    first = np.argmin(entries, axis=0)
    along = entries[first, np.arange(len(starts))]
    enters = np.isfinite(along)
    first[~enters] = -1
    points = starts + np.where(enters, along, 0.0)[:, None] * at.axis
    on_side = enters.copy()
    for number, piece in enumerate(pieces):
        rows = np.flatnonzero(first == number)
        if rows.size:
            on_side[rows] = ~piece.on_end(points[rows])
    owner = np.where(enters, np.array(owners)[first], -1)
    return Met(owner, on_side, points, pieces, first)


class EndLines:
    """The lines of an end's wall and what they first enter."""

    def __init__(self, at: PartEnd, targets: Sequence[Target], shift: float, slope: Floats) -> None:
        self._at, self._targets, self._shift = at, targets, shift
        self._pieces = [piece for target in targets for piece in target.pieces]
        # The plane through the first target's centreline and the common perpendicular.
        self._slopes = np.array([at.datum @ slope, at.third @ slope])

    def _entered(self, flat: Floats) -> Floats:
        starts, at = self._at.spread(flat), self._at
        first = np.full(len(flat), np.inf)
        for piece in self._pieces:
            np.minimum(first, piece.entries(starts, at.axis, -at.behind), out=first)
        return first - self._shift

    def at_depth(self, round_mm: Floats, depth: float) -> Floats:
        """Heights of the lines so deep in the wall; those that enter nothing stop at the plane."""
        flat = self._at.part.outline.at(round_mm, depth)
        first = self._entered(flat)
        return np.where(np.isfinite(first), first, flat @ self._slopes)

    def outside(self, round_mm: Floats) -> Floats:
        """Heights of the outside's lines."""
        return self.at_depth(round_mm, 0.0)

    def lowest(self, round_mm: Floats) -> Floats:
        """Lowest heights through the wall, narrowed in until the depth is known to rounding."""
        wall = self._at.part.section.wall
        low, high = np.zeros(len(round_mm)), np.full(len(round_mm), wall)
        best = np.full(len(round_mm), np.inf)
        shares = np.linspace(0.0, 1.0, _DEPTHS)
        while True:
            depths = low[:, None] + (high - low)[:, None] * shares
            heights = self._many(round_mm, depths)
            index = np.argmin(heights, axis=1)
            rows = np.arange(len(round_mm))
            best = np.minimum(best, heights[rows, index])
            if np.max(high - low) < _CLOSE_MM:
                return np.asarray(best)
            low = depths[rows, np.maximum(index - 1, 0)]
            high = depths[rows, np.minimum(index + 1, _DEPTHS - 1)]

    def _many(self, round_mm: Floats, depths: Floats) -> Floats:
        """Heights (n, m) at (n,) places and (n, m) depths."""
        outline = self._at.part.outline
        outer, wall = outline.at(round_mm), self._at.part.section.wall
        if isinstance(outline, RoundOutline):
            # Along a radius every depth is on one line.
            flat = outer[:, None, :] * (1 - depths / outline.radius)[:, :, None]
        else:
            inner = outline.at(round_mm, wall)
            flat = outer[:, None, :] + (inner - outer)[:, None, :] * (depths / wall)[:, :, None]
        flat = flat.reshape(-1, 2)
        first = self._entered(flat)
        heights = np.where(np.isfinite(first), first, flat @ self._slopes)
        return np.asarray(heights.reshape(depths.shape))
