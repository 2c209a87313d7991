"""The meshes of straight round tubes, many at once: one by one, numpy's calls would cost more than the numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.end_cut import EndCut
from geometry.facets import Facets, crossed, flats_beside, sizes
from geometry.mesh import SolidMesh, joined_rings
from geometry.mesh_lines import (
    AROUND,
    CUT_MM,
    bore_ends_at,
    follows_outside,
    is_plane,
    line_places,
)
from geometry.parts import Part, PartEnd
from geometry.pieces import Piece, RoundPiece, round_entries

Cuts: TypeAlias = tuple[EndCut | None, EndCut | None]
Work: TypeAlias = tuple[Part, Cuts, tuple[Part, ...]]
"""A part, its cuts, and what they sit on."""

_EVEN = np.arange(AROUND) / AROUND
_CLOSED = np.arange(AROUND + 1) / AROUND
_APART = 2.0
"""Turns from one end's line to the next one's, so that one question asks all of them."""
_OTHER_WAY = np.diag((1.0, -1.0))


def straight_meshes(work: Sequence[Work]) -> list[SolidMesh]:
    """The meshes of straight round tubes, as ``solid_mesh`` has them.

    A straight tube's two ends share their datum, and the finish is seen from the other side: what is so far round
    the start is as far round the finish the other way.
    """
    if not work:
        return []
    lines = _CutLines([cut for _, cuts, _ in work for cut in cuts])
    rough = np.any(lines.cut_off().reshape(-1, 2) > CUT_MM, axis=1).tolist()
    turns = [
        line_places(part.outline, cuts, (np.eye(2), _OTHER_WAY)) / part.outline.girth if more else _EVEN
        for (part, cuts, _), more in zip(work, rough, strict=True)
    ]  # fmt: skip
    counts = np.array([len(some) for some in turns])
    of, turn = np.repeat(np.arange(len(work)), counts), np.concatenate(turns)
    stops = lines.at(np.stack((turn, -turn % 1.0)), np.stack((2 * of, 2 * of + 1)))
    ends = [end for part, _, _ in work for end in part.ends]
    points, axes = (
        np.array([getattr(end, name) for end in ends]).reshape(-1, 2, 3).swapaxes(0, 1)
        for name in ("point", "axis")
    )
    across = np.array([end.across for end in ends[::2]])[of]
    phi = math.tau * turn
    out = np.cos(phi)[:, None] * across[:, 0] + np.sin(phi)[:, None] * across[:, 1]
    sections = [part.section for part, _, _ in work]
    radii, bores = (
        np.array([getattr(section, name) for section in sections])[of]
        for name in ("radius", "bore_radius")
    )
    middles, ways = points[:, of], axes[:, of]
    hollow = middles + bores[:, None] * out
    rows = np.append(0, np.cumsum(counts))
    inner = _bore_stops(work, hollow, stops, rows, bores / radii)
    skin = middles + radii[:, None] * out + stops[:, :, None] * ways
    return _meshes(skin, hollow + inner[:, :, None] * ways, out, rows)


class _CutLines:
    """The lines of ends' cuts: how far beyond each end's point the outside goes, by the share of the turn.

    Args:
        cuts: of a start and a finish in turn.
    """

    def __init__(self, cuts: Sequence[EndCut | None]) -> None:
        turns, stops = zip(*map(_line, cuts), strict=True)
        counts = np.array([len(some) for some in turns])
        self._firsts: Ints = np.cumsum(counts) - counts
        self._offsets = _APART * np.arange(len(cuts))
        self._turns = np.concatenate(turns) + np.repeat(self._offsets, counts)
        self._stops = np.concatenate(stops)

    def at(self, turns: Floats, ends: Ints) -> Floats:
        """How far the lines at shares of the turn of the ends of these numbers go, mm; all of one shape."""
        return np.asarray(np.interp(turns + self._offsets[ends], self._turns, self._stops))

    def cut_off(self) -> Floats:
        """How far each end's line is from the polyline through its places on even lines, mm."""
        grid = (self._offsets[:, None] + _CLOSED).ravel()
        through = np.interp(grid, self._turns, self._stops)
        off = np.abs(self._stops - np.interp(self._turns, grid, through))
        return np.asarray(np.maximum.reduceat(off, self._firsts))


def _line(cut: EndCut | None) -> tuple[Floats, Floats]:
    if cut is None or cut.long_point == cut.short_point:
        level = 0.0 if cut is None else cut.beyond
        return np.array([0.0, 1.0]), np.array([level, level])
    return cut.round_mm / cut.at.part.outline.girth, cut.heights + cut.shift


class _Sought(NamedTuple):
    """Lines of a bore that end where they enter a piece.

    Attributes:
        side: 0 at a start, 1 at a finish.
        rows: which lines.
        piece: what may be entered.
        end: whose bore it is.
        least: height beyond the end's point at which it is entered at the nearest, mm.
    """

    side: int
    rows: slice
    piece: Piece
    end: PartEnd
    least: float


def _bore_stops(
    work: Sequence[Work], hollow: Floats, outside: Floats, rows: Ints, inwards: Floats
) -> Floats:
    """How far beyond the ends' points the bores' lines go (2, n), mm.

    Args:
        work: the parts.
        hollow: where the lines pass the planes of the ends' points (2, n, 3).
        outside: where those outside them stop (2, n).
        rows: the first line of each part, and how many there are.
        inwards: the bore's radius to the outside's (n,).
    """
    stops, sought = outside.copy(), list[_Sought]()
    lows, highs = (
        of.reduceat(outside, rows[:-1], axis=1).tolist() for of in (np.minimum, np.maximum)
    )
    most, extra = np.full((2, len(work)), -np.inf), np.zeros((2, len(work)))
    for number, ((part, cuts, onto), first, last) in enumerate(
        zip(work, rows.tolist(), rows[1:].tolist(), strict=False)
    ):
        these = slice(first, last)
        for side, (end, cut) in enumerate(zip(part.ends, cuts, strict=True)):
            if cut is None or follows_outside(cut):
                continue
            if is_plane(end, cut):
                middle = cut.shift + (cut.long_point + cut.short_point) / 2
                stops[side, these] = middle + (outside[side, these] - middle) * inwards[these]
                continue
            between = lows[side][number], highs[side][number]
            pieces, least, most[side, number] = bore_ends_at(
                end, cut, hollow[side, these], between, onto
            )
            extra[side, number] = end.end.extra
            sought += [_Sought(side, these, piece, end, least) for piece in pieces]
    entered = np.full(outside.shape, np.inf)
    for one, entries in zip(sought, _entries(sought, hollow), strict=True):
        there = entered[one.side, one.rows]
        np.minimum(there, entries, out=there)
    most, extra = (np.repeat(one, np.diff(rows), axis=1) for one in (most, extra))
    return np.where(entered <= most, entered + extra, stops)


def _entries(sought: Sequence[_Sought], hollow: Floats) -> list[Floats]:
    """Where the lines enter what they may, in the order that they are sought."""
    round_ones = [one for one in sought if isinstance(one.piece, RoundPiece)]
    found = iter(
        round_entries(
            [one.piece for one in round_ones if isinstance(one.piece, RoundPiece)],
            [hollow[one.side, one.rows] for one in round_ones],
            np.array([one.end.axis for one in round_ones]),
            np.array([one.least for one in round_ones]),
        )
    )
    return [
        next(found)
        if isinstance(one.piece, RoundPiece)
        else one.piece.entries(hollow[one.side, one.rows], one.end.axis, one.least)
        for one in sought
    ]


def _meshes(skin: Floats, bore: Floats, out: Floats, rows: Ints) -> list[SolidMesh]:
    """A mesh of each part, from both rings of its outside and of its bore.

    Args:
        skin: of the outsides (2, n, 3).
        bore: of the bores (2, n, 3).
        out: unit normals (n, 3) out of the outsides.
        rows: the first line of each part, and how many there are.
    """
    counts = np.diff(rows)
    after = np.arange(1, len(out) + 1)
    after[rows[1:] - 1] = rows[:-1]
    beside = skin[:, after]
    ways = crossed(skin[1] - beside[0], beside[1] - skin[0])
    ways /= sizes(ways)
    levels = np.einsum("ij,ij->i", ways, skin[0])
    ridges = skin.swapaxes(0, 1).copy()
    rings = np.concatenate((skin, bore))
    faces = _faces(rings, after)
    meshes = []
    for first, last, count in zip(rows.tolist(), rows[1:].tolist(), counts.tolist(), strict=False):
        these = slice(first, last)
        # Copies: a mesh that is kept is not to keep all those that were made with it.
        kept = (ways[these].copy(), levels[these].copy(), ridges[these].copy())
        facets = Facets(*kept, flats_beside(1, count))
        own = rings[:, these]
        closed = np.concatenate((own, own[:, :1]), axis=1)
        normals = out[these]
        meshes.append(
            SolidMesh(
                own.reshape(-1, 3),
                joined_rings(2, count),
                np.concatenate((normals, normals, -normals, -normals)),
                faces[:, these].reshape(-1, 3),
                (closed[0], closed[2], closed[1], closed[3]),
                facets,
            )
        )
    return meshes


def _faces(rings: Floats, after: Ints) -> Floats:
    """Unit normals of the end faces' triangles, in the order of ``joined_rings`` (4, n, 3).

    Args:
        rings: the outside's two and the bore's two (4, n, 3).
        after: the line beside each (n,).
    """
    start, finish, start_bore, finish_bore = rings
    found = np.empty_like(rings)
    for number, (here, there, sense) in enumerate(
        ((start, start_bore, -1.0), (finish, finish_bore, 1.0))
    ):
        across, beside = there[after] - here, here[after] - here
        found[2 * number] = sense * crossed(there - here, across)
        found[2 * number + 1] = sense * crossed(across, beside)
    flat = found.reshape(-1, 3)
    flat /= sizes(flat)
    return found
