"""Where a frame's ends land on the parts they sit on: to mark those parts, and to bevel for the weld.

All of it is of the real parts: without root gaps and extra length, the end dressed to its outside edge.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from geometry.arrays import Bools, Floats, Ints
from geometry.end_cut import EndCut, coped_cut
from geometry.end_lines import Target, what_is_met
from geometry.fitup import Fitted, FittedPart
from geometry.landing import FILLET_LEAST_DEG, FILLET_MOST_DEG, BevelArc
from geometry.near import in_the_way
from geometry.outline import Outline, RoundOutline
from geometry.parts import Part, PartEnd
from geometry.path import Arc, Straight
from geometry.targets import nearest_on, target
from geometry.vectors import cross, length

_ROUND = 360
_TIGHT, _WIDE, _OPEN = 1, 2, 3


@dataclass(frozen=True, eq=False)
class LandingMark:
    """The mark that one end leaves on one part.

    Clock angles and distances round are counted from the part's datum, right-handed about the way from its
    start to its finish; distances along from the foot of the common perpendicular.

    Attributes:
        end: the end that lands.
        target: the part it lands on.
        along: of the foot, from the start of the target's path along its centreline, mm.
        datum: unit vector (3,) that the target's datum faces there: of a straight one its own, of a bent one
            the outside of the nearest bend.
        round_mm: distance round from the datum of the line that faces the end, mm, from 0 to the girth.
        low: least distance along of the mark from the foot, mm.
        high: greatest.
        outline: the mark's lines on the developed target, (k, 2) each: distance round from the facing line,
            and along the centreline from the foot.
        flat: it lies on a straight, which can be rolled out; a bend cannot.
        closed: the outline is one closed line.
    """

    end: PartEnd
    target: Part
    along: float
    datum: Floats
    round_mm: float
    low: float
    high: float
    outline: tuple[Floats, ...]
    flat: bool
    closed: bool

    @property
    def clock_deg(self) -> float:
        """Clock angle of the facing line, degrees; of a box section the share of its girth."""
        return self.round_mm / self.target.outline.girth * 360.0


@dataclass(frozen=True, eq=False)
class EndLanding:
    """Where one end lands, and its weld.

    Attributes:
        cut: the end as it is cut.
        marks: one for each part it sits on.
        bevels: parts of its turn where the surfaces meet outside a fillet weld's range; degrees of the girth.
        opens: parts of its turn that touch nothing: distances round from the datum, mm, the end above the start.
        seam: length of the weld seam, mm.
    """

    cut: EndCut
    marks: tuple[LandingMark, ...]
    bevels: tuple[BevelArc, ...]
    opens: tuple[tuple[float, float], ...]
    seam: float


def end_landings(fitted: Fitted) -> dict[tuple[str, str], EndLanding]:
    """Where every coped end lands, by part and end."""
    parts = {one.part.name: one for one in fitted.parts}
    return {
        (one.part.name, cut.at.name): end_landing(cut, parts)
        for one in fitted.parts
        for cut in one.cuts
        if cut is not None and cut.kind == "cope"
    }


def end_landing(cut: EndCut, parts: Mapping[str, FittedPart]) -> EndLanding:
    """Where a coped end lands."""
    bare = replace(cut.at, end=replace(cut.at.end, root_gap=0.0, extra=0.0, fit="filed"))
    targets = [
        target(bare, part, solid=tuple(in_the_way(bare, part)) or part.pieces)
        for part in (parts[name].part for name in cut.onto)
    ]
    plain = cut.fit == "filed" and not cut.at.end.root_gap
    seat = (
        replace(cut, heights=cut.heights - cut.at.end.extra) if plain else coped_cut(bare, targets)
    )
    outline = bare.part.outline
    places = seat.round_mm[:-1]
    met = what_is_met(bare, targets, places)
    on, meets = met.owner, met.on_side
    if seat.missing == 0.0:
        # A line that just grazes its target's side is on it like its neighbours.
        on, meets = _filled(on, meets), np.ones(len(on), dtype=bool)
    points = bare.spread(outline.at(places)) + (seat.heights[:-1] + seat.shift)[:, None] * bare.axis
    found = (
        _mark(bare, parts[one.name].part, points, (on == number) & meets)
        for number, one in enumerate(targets)
        if np.any((on == number) & meets)
    )
    marks = tuple(mark for mark in found if mark is not None)
    ring = np.vstack((points, points[:1]))
    both = meets & np.roll(meets, -1)
    seam = float(np.sum(np.linalg.norm(np.diff(ring, axis=0), axis=1)[both]))
    bevels, opens = _faces(bare, targets)
    return EndLanding(cut, marks, bevels, opens, seam)


def _filled(on: Ints, meets: Bools) -> Ints:
    """What each line is on (n,); one that is on nothing, or on an open end, is on what the one before it is."""
    good = np.flatnonzero(meets & (on >= 0))
    if not good.size:
        return on
    before = np.searchsorted(good, np.arange(len(on)), side="right") - 1
    return np.asarray(on[good[before]])


_BEYOND_MM = 1e-4
"""More than rounding takes a place off an edge, and far less than turns a round tube's normal."""


def _faces(
    end: PartEnd, targets: Sequence[Target]
) -> tuple[tuple[BevelArc, ...], tuple[tuple[float, float], ...]]:
    """The arcs of the turn where the two outsides meet at less than 60 or more than 120 degrees, or not at all.

    The angle between two surfaces is 180 degrees less that between their normals.
    """
    outline = end.part.outline
    places = np.arange(_ROUND) * outline.girth / _ROUND
    met = what_is_met(end, targets, places)
    flat = outline.normals(places)
    outs = flat[:, :1] * end.datum + flat[:, 1:] * end.third
    # On a sharp edge the face beyond it is the one that the weld lies against: there is no ledge for a fillet.
    normals, meets = replace(met, points=met.points + _BEYOND_MM * outs).normals(), met.on_side
    angle = np.degrees(np.arccos(np.clip(-np.einsum("ij,ij->i", outs, normals), -1.0, 1.0)))
    tight, wide = angle < FILLET_LEAST_DEG - 1e-6, angle > FILLET_MOST_DEG + 1e-6
    kind = np.select([~meets, tight, wide], [_OPEN, _TIGHT, _WIDE], 0)
    arcs, opens = [], []
    for start, stop in _runs(kind):
        which = int(kind[start])
        step = 360.0 / _ROUND
        begin, width = (start - 0.5) * step % 360, (stop - start) * step
        numbers = np.arange(start, stop) % _ROUND
        if which == _OPEN:
            opens.append((begin / 360 * outline.girth, (begin + width) / 360 * outline.girth))
        elif which:
            worst = float(angle[numbers].min() if which == _TIGHT else angle[numbers].max())
            side: Literal["tight", "open"] = "tight" if which == _TIGHT else "open"
            arcs.append(BevelArc(begin, begin + width, side, worst))
    return tuple(arcs), tuple(opens)


def _runs(kind: Ints) -> list[tuple[int, int]]:
    """Runs of one kind round a ring: the first number in [0, n) and the one after the last."""
    edges = np.flatnonzero(kind != np.roll(kind, 1)).tolist()
    if not edges:
        return [(0, len(kind))]
    return list(zip(edges, [*edges[1:], edges[0] + len(kind)], strict=True))


def _mark(end: PartEnd, target: Part, points: Floats, mine: Bools) -> LandingMark | None:
    """The mark of an end's line (n, 3) on one target, where it is this target's (n,); None for single points."""
    nearest, tangent, segment = nearest_on(target, end)
    along = _distance_along(target, nearest, segment)
    datum = _datum_at(target, nearest, segment, along)
    third = cross(tangent, datum)
    outline = target.outline
    off = points - nearest
    facing = -(end.axis - (end.axis @ tangent) * tangent)
    if length(facing) < 1e-6:
        # Head on: where the mark itself lies.
        middle = off[mine].mean(axis=0)
        facing = middle - (middle @ tangent) * tangent
    facing = facing / length(facing) if length(facing) > 1e-9 else datum
    on = off[mine] @ tangent
    if isinstance(outline, RoundOutline):
        faces = math.atan2(float(facing @ third), float(facing @ datum)) % math.tau * outline.radius
    else:
        faces = _box_facing(outline, end, nearest, datum, third, facing)
    rolls_out = isinstance(segment, Straight) and _on_straight(
        target, segment, nearest, tangent, on
    )
    if rolls_out:
        round_mm = outline.place(np.column_stack((off @ datum, off @ third)))
        distance = off @ tangent
    else:
        round_mm, distance = _along_bends(target, points, along)
    girth = outline.girth
    apart = (round_mm - faces + girth / 2) % girth - girth / 2
    line = np.column_stack((apart, distance))
    turns = [(0, len(mine))] if mine.all() else _runs(mine.astype(np.int64))
    pieces = tuple(
        line[np.arange(start, stop) % len(mine)]
        for start, stop in turns
        if mine[start] and stop - start > 1
    )
    if not pieces:
        return None
    low = min(float(piece[:, 1].min()) for piece in pieces)
    high = max(float(piece[:, 1].max()) for piece in pieces)
    return LandingMark(
        end, target, along, datum, faces, low, high, pieces, rolls_out, bool(mine.all())
    )


def _box_facing(
    outline: Outline, end: PartEnd, nearest: Floats, datum: Floats, third: Floats, facing: Floats
) -> float:
    """Where round a box section the end's own centreline comes out of it, towards the end, mm."""
    hit = end.point - nearest + float((nearest - end.point) @ end.axis) * end.axis
    at = np.array([hit @ datum, hit @ third])
    way = np.array([facing @ datum, facing @ third])
    # As far along as the outline is: from inside, the first side that is crossed.
    halves = np.abs(outline.at(np.array([0.0, outline.girth / 4]))[[0, 1], [0, 1]])
    with np.errstate(divide="ignore", invalid="ignore"):
        along = np.where(np.abs(way) > 1e-9, (np.sign(way) * halves - at) / way, np.inf)
    out = at + max(float(np.min(along)), 0.0) * way
    return float(outline.place(out[None])[0])


def _on_straight(
    target: Part, segment: Straight, nearest: Floats, tangent: Floats, on: Floats
) -> bool:
    """Whether distances (n,) from a place along a straight all are on it, or beyond the part's own ends."""
    ends = float((segment.start - nearest) @ tangent), float((segment.end - nearest) @ tangent)
    first, last = segment is target.path.segments[0], segment is target.path.segments[-1]
    return bool((on.min() >= ends[0] - 1e-6 or first) and (on.max() <= ends[1] + 1e-6 or last))


def _along_bends(target: Part, points: Floats, along: float) -> tuple[Floats, Floats]:
    """Distances round (n,) and along (n,) of points (n, 3) on a part's outside, by their nearest centreline."""
    best = np.full(len(points), np.inf)
    round_mm, distance = np.zeros(len(points)), np.zeros(len(points))
    at = 0.0
    for segment in target.path.segments:
        if segment.length < 1e-9:
            continue
        if isinstance(segment, Straight):
            way = (segment.end - segment.start) / segment.length
            there = np.clip((points - segment.start) @ way, 0.0, segment.length)
            places = segment.start + there[:, None] * way
            ways = np.broadcast_to(way, places.shape)
        else:
            spoke = points - segment.centre
            turn = np.arctan2(spoke @ segment.forwards, spoke @ segment.outwards)
            turn = np.clip(turn, 0.0, segment.angle_rad)
            places, there = segment.points(turn), turn * segment.radius
            ways = segment.directions(turn)
        off = points - places
        away = np.linalg.norm(off, axis=1)
        nearer = np.flatnonzero(away < best)
        datums = np.array(
            [
                _datum_at(target, places[one], segment, at + float(there[one]))
                for one in nearer.tolist()
            ]
        ).reshape(-1, 3)
        off, ways = off[nearer], ways[nearer]
        x = np.einsum("ij,ij->i", off, datums)
        y = np.einsum("ij,ij->i", off, np.cross(ways, datums))
        best[nearer] = away[nearer]
        round_mm[nearer] = target.outline.place(np.column_stack((x, y)))
        distance[nearer] = at + there[nearer] - along
        at += segment.length
    return round_mm, distance


def _distance_along(target: Part, place: Floats, segment: Straight | Arc) -> float:
    """How far along the target's path a place on its centreline is, mm from its start."""
    before = 0.0
    for one in target.path.segments:
        if one is segment:
            break
        before += one.length
    if isinstance(segment, Straight):
        return before + length(place - segment.start)
    spoke = place - segment.centre
    turn = math.atan2(float(spoke @ segment.forwards), float(spoke @ segment.outwards))
    return before + turn * segment.radius


def _datum_at(target: Part, place: Floats, segment: Straight | Arc, along: float) -> Floats:
    """What the target's datum faces there, unit vector (3,)."""
    if isinstance(segment, Arc):
        spoke = place - segment.centre
        return np.asarray(spoke / length(spoke))
    arcs, at = [], 0.0
    for one in target.path.segments:
        if isinstance(one, Arc):
            end_out = one.points(np.array([one.angle_rad]))[0] - one.centre
            arcs.append((at, one.outwards))
            arcs.append((at + one.length, end_out / one.radius))
        at += one.length
    if not arcs:
        return target.ends[1].datum
    return min(arcs, key=lambda arc: abs(arc[0] - along))[1]
