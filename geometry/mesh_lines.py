"""The lines along a part's mesh: where round it they run, and what those of its bore end at."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from geometry.arrays import Floats
from geometry.end_cut import EndCut
from geometry.outline import BoxOutline, Outline, RoundOutline
from geometry.parts import Part, PartEnd
from geometry.pieces import BoxPiece, Piece, RoundPiece

AROUND = 60
"""Lines along a round tube: at 60 mm diameter its flats lie 0.04 mm inside it."""
_IN_CORNER = 6
"""Pieces of a box section's corner; even, so that a line runs along its middle."""
CUT_MM = 0.1
"""The mesh's end stays this close to the line of the cut: a quarter of a pixel at a metre a screen."""
_APART = 1e-4
"""Of the girth: lines along the tube no nearer than this, or single precision could not tell their normals."""
_LONGER = 4.0
"""In reaches: a tube that another butts runs on this far past its end, which is farther than it has to."""
_AWAY = 2.0
"""In reaches: the bore's lines end no farther than this behind the outside's, or ahead of them."""
_ROUNDS = 12
_HAIR = 1e-9


def line_places(
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
        places = np.arange(AROUND, dtype=np.float64) * (girth / AROUND)
    for cut, turn in zip(cuts, turns, strict=True):
        if cut is None or cut.long_point - cut.short_point < CUT_MM:
            continue
        at = _round_start(outline, cut.round_mm, turn)
        order = np.argsort(at, kind="stable")
        places = _followed(places, at[order], cut.heights[order], girth)
    return np.asarray(places)


def _followed(places: Floats, at: Floats, heights: Floats, girth: float) -> Floats:
    """The places and as many vertices of a line as keep the polyline through them near it."""
    turns_at = np.concatenate((at - girth, at, at + girth))
    turns_high = np.tile(heights, 3)
    for _ in range(_ROUNDS):
        # Once round and a bit, so that the piece over the datum is one like the others.
        around = np.concatenate((places[-1:] - girth, places, places[:1] + girth))
        off = np.abs(heights - np.interp(at, around, np.interp(around, turns_at, turns_high)))
        if off.max() <= CUT_MM:
            break
        cell = np.clip(np.searchsorted(around, at), 1, len(around) - 1)
        near = np.minimum(at - around[cell - 1], around[cell] - at)
        off[near < _APART * girth] = 0.0
        worst = np.zeros(len(around))
        np.maximum.at(worst, cell, off)
        added = at[(off == worst[cell]) & (off > CUT_MM)] % girth
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


def round_end(outline: Outline, places: Floats, turn: Floats) -> Floats:
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


def follows_outside(cut: EndCut | None) -> bool:
    """Whether the bore's lines end where the outside's do: the wall is cut straight through."""
    return cut is None or cut.fit == "square-cut" or cut.long_point == cut.short_point


def is_plane(end: PartEnd, cut: EndCut) -> bool:
    """Whether an end is cut along a plane."""
    return not cut.onto or (cut.kind == "mitre" and end.end.way != "butt")


def bore_ends_at(
    end: PartEnd,
    cut: EndCut,
    starts: Floats,
    outside: tuple[float, float],
    onto: tuple[Part, ...],
) -> tuple[list[Piece], float, float]:
    """What the bore's lines of a cope may end at.

    Args:
        end: the end.
        cut: its cut.
        starts: points of the bore's lines in the plane of the end's point (n, 3).
        outside: how far beyond that those outside them go at least and at most, mm.
        onto: what the end may sit on.

    Returns:
        The pieces, and between which heights beyond the end's point one of them must be entered, mm; a line that
        enters none there ends where the outside does.
    """
    extra, away = end.end.extra, _AWAY * end.part.reach
    least, most = outside[0] - extra - away, outside[1] - extra + away
    pieces = []
    for other in onto:
        if other.name in cut.onto:
            pieces += (
                _longer(other) if cut.kind == "mitre" else _near(other, starts, end, least, most)
            )
    return [piece.grown(end.end.root_gap) for piece in pieces], least, most


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
