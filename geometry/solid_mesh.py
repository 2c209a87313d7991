"""A fitted part as a closed mesh: outside, bore and both end faces as they are cut, and its sharp edges."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.end_cut import EndCut, height_at
from geometry.facets import Facets, crossed, facets_of, sizes
from geometry.fitup import FittedPart
from geometry.outline import BoxOutline, Outline, RoundOutline
from geometry.parts import MIRROR, Part, PartEnd
from geometry.pieces import BoxPiece, Piece, RoundPiece
from geometry.skin import skin_rings

_AROUND = 60
"""Lines along a round tube: at 60 mm diameter its flats lie 0.04 mm inside it."""
_IN_CORNER = 6
"""Pieces of a box section's corner; even, so that a line runs along its middle."""
_CUT_MM = 0.1
"""The mesh's end stays this close to the line of the cut: a quarter of a pixel at a metre a screen."""
_APART = 1e-4
"""Of the girth: lines along the tube no nearer than this, or single precision could not tell their normals."""
_LONGER = 4.0
"""In reaches: a tube that another butts runs on this far past its end, which is farther than it has to."""
_AWAY = 2.0
"""In reaches: the bore's lines end no farther than this behind the outside's, or ahead of them."""
_ROUNDS = 12
_HAIR = 1e-9
_KEPT = 1024


@dataclass(frozen=True, eq=False)
class Joined:
    """How rings of an outside and of its bore are joined to one closed surface; the same for the same rings.

    Attributes:
        rings: how many of the outside, and as many of the bore.
        around: points of each.
        triangles: indices (m, 3) of the points, anticlockwise seen from the air.
        outside: how many triangles, from the first, are the outside; as many of the bore follow, and then the
            end faces.
    """

    rings: int
    around: int
    triangles: Ints
    outside: int


@dataclass(frozen=True, eq=False)
class SolidMesh:
    """A closed surface of one piece of steel.

    Attributes:
        points: (n, 3), mm.
        joined: which of them its triangles are of.
        normals: unit normals (n, 3) at its points, those of the true round, not of its flats: at the first half
            of them out of the outside, at the other half into the bore.
        faces: unit normals (k, 3) of the end faces' triangles.
        edges: its sharp edges as polylines (k, 3): around both ends the outside's and the bore's, each closed,
            and the middles of a box section's corners.
        facets: of its outside.
    """

    points: Floats
    joined: Joined
    normals: Floats
    faces: Floats
    edges: tuple[Floats, ...]
    facets: Facets

    @property
    def triangles(self) -> Ints:
        """Indices (m, 3) of its points, anticlockwise seen from the air."""
        return self.joined.triangles

    @property
    def outside(self) -> int:
        """How many triangles, from the first, are its outside; as many of the bore follow."""
        return self.joined.outside


def solid_mesh(one: FittedPart, others: Mapping[str, Part] | None = None) -> SolidMesh:
    """The mesh of a part; that of the same part and cuts is kept.

    A filed end follows what it sits on all through its wall, so its bore's edge is where the bore's lines
    enter that. A square-cut end, and one at a plane, need nothing else.

    Args:
        one: the part. An end that is not cut is flat, at the end of its centreline.
        others: parts by name, what it sits on among them. A coped end onto a part that is not there is
            meshed as if its wall were cut straight through.

    Returns:
        The mesh; where a cut takes more than there is of the part, it runs through itself.
    """
    first = _first(one)
    if first is not None:
        return _mirrored(solid_mesh(first, others))
    names = [name for cut in one.cuts if cut is not None for name in cut.onto]
    known = others or {}
    return _meshed(one.part, one.cuts, tuple(known[name] for name in names if name in known))


def _first(one: FittedPart) -> FittedPart | None:
    """The other hand's part, where this one's cuts are the images of its own."""
    start, finish = (cut.image_of if cut is not None else None for cut in one.cuts)
    if start is None or finish is None or start.at.part is not finish.at.part:
        return None
    return FittedPart(start.at.part, (start, finish)) if start.at.part is not one.part else None


@lru_cache(maxsize=_KEPT)
def _mirrored(mesh: SolidMesh) -> SolidMesh:
    """The mesh as it is seen in the centre-plane's mirror."""
    facets = mesh.facets
    return replace(
        mesh,
        points=mesh.points * MIRROR,
        joined=_joined(mesh.joined.rings, mesh.joined.around, mirrored=True),
        normals=mesh.normals * MIRROR,
        faces=mesh.faces * MIRROR,
        edges=tuple(edge * MIRROR for edge in mesh.edges),
        facets=replace(facets, ways=facets.ways * MIRROR, ridges=facets.ridges * MIRROR),
    )


@lru_cache(maxsize=_KEPT)
def _meshed(
    part: Part, cuts: tuple[EndCut | None, EndCut | None], onto: tuple[Part, ...]
) -> SolidMesh:
    outline, wall = part.outline, part.section.wall
    centres, datums, thirds = _stations(part)
    turns = (np.eye(2), _turn(part.ends[1], datums[-1], thirds[-1]))
    ends = list(zip(part.ends, cuts, turns, strict=True))
    places = _places(outline, cuts, turns)
    out = outline.normals(places)
    flat, inside = outline.at(places), outline.at(places, wall)
    stops = [_outside_stops(cut, outline, places, turn) for _, cut, turn in ends]
    bores = [
        _bore_stops(end, cut, inside @ turn, stop, onto)
        for (end, cut, turn), stop in zip(ends, stops, strict=True)
    ]
    straights = part.path.straights
    # The outermost stations give way to the cuts, but where a bend begins at the very end and that is cut.
    first = 1 if straights[0] >= _HAIR or not np.any(stops[0]) else 0
    last = len(centres) - (1 if straights[-1] >= _HAIR or not np.any(stops[1]) else 0)

    def rings(flat: Floats, beyond: list[Floats]) -> Floats:
        made = np.empty((last - first + 2, len(flat), 3))
        for row, (end, _, turn), stop in zip((0, -1), ends, beyond, strict=True):
            made[row] = end.spread(flat @ turn) + stop[:, None] * end.axis
        if last > first:
            inner = _in_space(flat, datums[first:last], thirds[first:last])
            made[1:-1] = inner + centres[first:last, None]
        return made

    skin = rings(flat, stops)
    rows = [0, *range(first, last), len(centres) - 1]
    away = _in_space(out, datums[rows], thirds[rows])
    return _closed(skin, rings(inside, bores), away, _corner_lines(outline, places, skin))


def _turn(end: PartEnd, datum: Floats, third: Floats) -> Floats:
    """What turns places (n, 2) of the start's section into places of the finish's.

    That is seen from the other side, and the bends have turned its datum away.
    """
    return np.array([
        [datum @ end.datum, datum @ end.third], [third @ end.datum, third @ end.third]
    ])  # fmt: skip


def _stations(part: Part) -> tuple[Floats, Floats, Floats]:
    """Where sections stand along the centreline: middles, datums and thirds, (m, 3) each.

    They are carried along from the start, whose datum and third the first ones are.
    """
    if len(part.path.segments) == 1:
        start, finish = part.ends
        return (
            np.array((start.point, finish.point)),
            np.array((start.datum, start.datum)),
            np.array((start.third, start.third)),
        )
    quarters = skin_rings(FittedPart(part, (None, None)), 4, 1e9)
    centres = quarters.mean(axis=1)
    new = np.append(True, np.linalg.norm(np.diff(centres, axis=0), axis=1) > _HAIR)
    datums, thirds = (quarters[:, one] - quarters[:, one + 2] for one in (0, 1))
    return (
        centres[new],
        (datums / np.linalg.norm(datums, axis=1)[:, None])[new],
        (thirds / np.linalg.norm(thirds, axis=1)[:, None])[new],
    )


def _in_space(flat: Floats, datums: Floats, thirds: Floats) -> Floats:
    """Places or ways (n, 2) of the section at m stations, (m, n, 3)."""
    return np.asarray(
        flat[None, :, :1] * datums[:, None] + flat[None, :, 1:] * thirds[:, None], dtype=np.float64
    )


def _places(
    outline: Outline, cuts: tuple[EndCut | None, EndCut | None], turns: tuple[Floats, Floats]
) -> Floats:
    """Distances round (n,) at the start of the lines along the part.

    Evenly round a tube, at the corners of a box; and where either cut's line would else be cut off.
    """
    girth = outline.girth
    if isinstance(outline, BoxOutline):
        arcs = np.array(outline.corners).reshape(-1, 2)
        # A sharp corner has one line on each of its sides.
        wide = np.maximum(arcs[:, 1] - arcs[:, 0], 4 * _APART * girth)[:, None]
        count = _IN_CORNER if outline.corner else 2
        places = arcs.mean(axis=1)[:, None] + wide * (np.arange(count + 1) / count - 0.5)
        places = places.ravel()
    else:
        places = np.arange(_AROUND, dtype=np.float64) * (girth / _AROUND)
    for cut, turn in zip(cuts, turns, strict=True):
        if cut is None or cut.long_point - cut.short_point < _CUT_MM:
            continue
        at = _round_start(outline, cut.round_mm, turn)
        order = np.argsort(at, kind="stable")
        places = _followed(places, at[order], cut.heights[order], girth)
    return np.asarray(places)


def _followed(places: Floats, at: Floats, heights: Floats, girth: float) -> Floats:
    """The places and as many vertices of a line as keep the polyline through them near it."""
    # Once round and a bit, so that the piece over the datum is one like the others.
    at = np.concatenate((at[-1:] - girth, at, at[:1] + girth))
    heights = np.concatenate((heights[-1:], heights, heights[:1]))
    for _ in range(_ROUNDS):
        around = np.concatenate((places[-1:] - girth, places, places[:1] + girth))
        off = np.abs(heights - np.interp(at, around, np.interp(around, at, heights)))
        if off.max() <= _CUT_MM:
            break
        cell = np.clip(np.searchsorted(around, at), 1, len(around) - 1)
        near = np.minimum(at - around[cell - 1], around[cell] - at)
        off[near < _APART * girth] = 0.0
        worst = np.zeros(len(around))
        np.maximum.at(worst, cell, off)
        added = at[(off == worst[cell]) & (off > _CUT_MM)] % girth
        if not added.size:
            break
        places = np.sort(np.concatenate((places, added)))
        places = places[np.diff(places, append=np.inf) > _APART * girth / 2]
    return places


def _round_start(outline: Outline, round_mm: Floats, turn: Floats) -> Floats:
    """Distances round (n,) at the start of what is so far round (n,) at an end whose section is turned so."""
    if isinstance(outline, RoundOutline):
        facing, sense = _facing(outline, turn)
        return np.asarray((round_mm - facing) * sense % outline.girth)
    return _place(outline, outline.at(round_mm) @ turn.T)


def _round_end(outline: Outline, places: Floats, turn: Floats) -> Floats:
    """The other way: how far round (n,) such an end lines (n,) are that are so far round at the start."""
    if isinstance(outline, RoundOutline):
        facing, sense = _facing(outline, turn)
        return np.asarray((facing + sense * places) % outline.girth)
    return _place(outline, outline.at(places) @ turn)


def _facing(outline: RoundOutline, turn: Floats) -> tuple[float, float]:
    """Where round an end the start's datum is, mm, and whether it runs the same way round, 1 or -1."""
    (ax, ay), (bx, by) = turn.tolist()
    return math.atan2(ay, ax) * outline.radius, math.copysign(1.0, ax * by - ay * bx)


def _place(outline: Outline, flat: Floats) -> Floats:
    """Distances round (n,) of places (n, 2) of the outside, which rounding may have put a hair inside it."""
    return outline.place(flat * (1.0 + _HAIR))


def _outside_stops(cut: EndCut | None, outline: Outline, places: Floats, turn: Floats) -> Floats:
    """How far beyond the end's point the outside's lines, so far round (n,) at the start, go, mm."""
    if cut is None:
        return np.zeros(len(places))
    return cut.shift + height_at(cut, _round_end(outline, places, turn))


def _bore_stops(
    end: PartEnd, cut: EndCut | None, flat: Floats, outside: Floats, onto: tuple[Part, ...]
) -> Floats:
    """How far beyond the end's point the bore's lines at places (n, 2) go, mm.

    Args:
        end: the end.
        cut: its cut.
        flat: where the lines are.
        outside: where those outside them stop (n,).
        onto: what the end may sit on.
    """
    if cut is None or cut.fit == "square-cut" or cut.long_point == cut.short_point:
        return outside
    if not cut.onto or (cut.kind == "mitre" and end.end.way != "butt"):
        # A plane: its slopes are those of the outside's line.
        rows = end.part.outline.at(cut.round_mm)
        known = np.column_stack((rows, np.ones(len(rows))))
        slopes = np.linalg.lstsq(known, cut.heights, rcond=None)[0]
        return np.asarray(cut.shift + flat @ slopes[:2] + slopes[2])
    starts, extra = end.spread(flat), end.end.extra
    away = _AWAY * end.part.reach
    least, most = float(outside.min()) - extra - away, float(outside.max()) - extra + away
    first = np.full(len(starts), np.inf)
    for other in onto:
        if other.name not in cut.onto:
            continue
        near = _longer(other) if cut.kind == "mitre" else _near(other, starts, end, least, most)
        for piece in near:
            entries = piece.grown(end.end.root_gap).entries(starts, end.axis, least)
            first = np.minimum(first, entries)
    return np.where(first <= most, first + extra, outside)


def _near(other: Part, starts: Floats, end: PartEnd, least: float, most: float) -> list[Piece]:
    """A part's pieces whose boxes touch that of the lines from starts (n, 3), from least to most along an end."""
    if len(other.pieces) == 1:
        return list(other.pieces)
    sides = (starts.min(axis=0), starts.max(axis=0))
    steps = (least * end.axis, most * end.axis)
    gap = end.end.root_gap
    low = sides[0] + np.minimum(*steps) - gap
    high = sides[1] + np.maximum(*steps) + gap
    touch = np.all((other.bounds[0] <= high) & (other.bounds[1] >= low), axis=1)
    return [piece for piece, near in zip(other.pieces, touch.tolist(), strict=True) if near]


def _longer(part: Part) -> list[Piece]:
    """A part's pieces, run past its ends as far as a tube that butts it asks for, and farther."""
    pieces = list(part.pieces)
    for index, end in ((0, part.ends[0]), (-1, part.ends[1])):
        piece = pieces[index]
        if isinstance(piece, RoundPiece | BoxPiece):
            by = _LONGER * part.reach * end.axis
            pieces[index] = (
                replace(piece, start=piece.start + by) if index == 0 else replace(piece, end=piece.end + by)
            )  # fmt: skip
    return pieces


def _corner_lines(outline: Outline, places: Floats, skin: Floats) -> list[Floats]:
    """The middles of a box section's corners along the part."""
    if not isinstance(outline, BoxOutline):
        return []
    middles = np.array(outline.corners).reshape(-1, 2).mean(axis=1)
    return [skin[:, int(np.argmin(np.abs(places - middle)))] for middle in middles]


def _closed(skin: Floats, bore: Floats, away: Floats, lines: list[Floats]) -> SolidMesh:
    """Rings (m, n, 3) of the outside and the bore, joined to one surface."""
    how = _joined(*skin.shape[:2])
    points = np.concatenate((skin.reshape(-1, 3), bore.reshape(-1, 3)))
    flat = away.reshape(-1, 3)
    corners = points[how.triangles[2 * how.outside :]]
    square = crossed(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    square /= sizes(square)
    normals = np.concatenate((flat, -flat))
    round_again = np.arange(skin.shape[1] + 1) % skin.shape[1]
    rims = [ring[round_again] for ring in (skin[0], bore[0], skin[-1], bore[-1])]
    return SolidMesh(points, how, normals, square, (*rims, *lines), facets_of(skin))


@lru_cache(maxsize=_KEPT)
def _joined(count: int, around: int, *, mirrored: bool = False) -> Joined:
    """So many rings of so many points, or what is seen of them in a mirror."""
    if mirrored:
        same = _joined(count, around)
        return replace(same, triangles=same.triangles[:, ::-1])
    index = np.arange(count * around).reshape(count, around)
    inside = index + index.size
    outer = _strips(index)
    start = _strips(np.array([index[0], inside[0]]))[:, ::-1]
    finish = _strips(np.array([index[-1], inside[-1]]))
    every = (outer, _strips(inside)[:, ::-1], start, finish)
    return Joined(count, around, np.concatenate(every).astype(np.int64), len(outer))


def _strips(rings: Ints) -> Ints:
    """Triangles (k, 3) between neighbouring rows of indices (m, n), each row closed to a ring.

    Facing away from the middle, where the rows run along the path and each runs right-handed against it.
    """
    here, there = rings[:-1].ravel(), rings[1:].ravel()
    beside, across = (np.roll(rows, -1, axis=1).ravel() for rows in (rings[:-1], rings[1:]))
    return np.concatenate(
        (np.column_stack((here, there, across)), np.column_stack((here, across, beside)))
    )
