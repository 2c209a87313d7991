"""Fits a whole frame: in fit-up order, every end of every part is cut to what it meets."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely import STRtree, box

from geometry.end_cut import EndCut, Target, coped_cut, flat_cut
from geometry.errors import CopewrightError
from geometry.findings import Finding
from geometry.frame import Frame, part_names
from geometry.parts import Part, PartEnd, parts_of
from geometry.path import Arc, Straight
from geometry.pieces import BoxPiece, Piece, RoundPiece
from geometry.surface import Floats
from geometry.vectors import length

_RAYS = 48
_MARGIN = 0.25
"""Of the tube's own half width: between the lines looked at, another part may come that much nearer."""
TOUCH_MM = 0.5
"""An end whose centreline stops this short of a tube still sits on it: points are typed to the mm."""


@dataclass(frozen=True, eq=False)
class FittedPart:
    """A part with its cuts; an end that could not be cut is None."""

    part: Part
    cuts: tuple[EndCut | None, EndCut | None]

    @property
    def cut_length(self) -> float:
        """Along the centreline, long point to long point, mm; a missing cut counts to the end's point."""
        beyond = sum(cut.beyond for cut in self.cuts if cut is not None)
        return self.part.path.developed_length + beyond

    @property
    def mass(self) -> float:
        """As cut to length, kg."""
        stock = self.part.stock
        return stock.section.mass(self.cut_length, stock.steel.density)


@dataclass(frozen=True, eq=False)
class Fitted:
    """A frame, fitted."""

    frame: Frame
    parts: tuple[FittedPart, ...]
    findings: tuple[Finding, ...]


def solve(frame: Frame) -> Fitted:
    """Cut every end of a frame.

    A tube that cannot be solved is a finding and does not stop the rest.

    Raises:
        BadFrame: for points that hang on each other in a ring.
    """
    parts, findings = parts_of(frame)
    index = _Index(parts)
    found = list(findings)
    fitted = []
    for part in parts:
        cuts: list[EndCut | None] = []
        for end in part.ends:
            try:
                cuts.append(_cut(end, parts, index))
            except CopewrightError as error:
                cuts.append(None)
                found.append(_unsolved(end, error))
        fitted.append(FittedPart(part, (cuts[0], cuts[1])))
    return Fitted(frame, tuple(fitted), tuple(found))


def _unsolved(end: PartEnd, error: CopewrightError) -> Finding:
    words = str(error).removeprefix(f"{end.where} ")
    what = f"The end {words}." if words != str(error) else f"{words[:1].upper()}{words[1:]}."
    return Finding(
        "end-not-cut",
        "error",
        end.where,
        what,
        "Until it is changed this end is left out of the book.",
    )


class MeetsNothing(CopewrightError, ValueError):
    """A coped end with nothing in its way."""


def _cut(end: PartEnd, parts: Sequence[Part], index: _Index) -> EndCut:
    asked = end.end
    match asked.cut:
        case "square":
            return flat_cut(end, end.point, end.axis, "square")
        case "plane":
            assert end.plane is not None  # noqa: S101 - a plane cut has one
            through, normal = end.plane
            outwards = normal if normal @ end.axis > 0 else -normal
            return flat_cut(end, through - outwards * asked.root_gap, normal, "plane")
        case "mitre":
            return _mitre(end, parts)
        case _:
            pass
    targets = _targets(end, index.named(end) if asked.onto else index.near(end))
    if not targets:
        named = f" {' or '.join(asked.onto)}" if asked.onto else " any tube above it in the list"
        text = f"{end.where} does not reach{named}; lengthen it to the middle of what it sits on, or cut it square"
        raise MeetsNothing(text)
    return coped_cut(end, targets)


def _targets(end: PartEnd, candidates: Iterable[Part]) -> list[Target]:
    """What the end sits on, the part that stops most of its lines first."""
    girth = end.part.outline.girth
    rim = end.part.outline.at(np.arange(_RAYS) * girth / _RAYS)
    # The middle too: a branch larger than its target may have only that over it.
    starts = end.spread(np.vstack((rim, rim[::4] / 2, np.zeros((1, 2)))))
    reached: list[tuple[Part, Floats, Floats]] = []
    for part in candidates:
        pieces = [piece.grown(end.end.root_gap) for piece in part.pieces]
        entries = np.array([one.entries(starts, end.axis, -end.behind) for one in pieces])
        if np.isfinite(entries).any():
            reached.append((part, entries, entries.min(axis=0)))
    front = -end.front
    touched = [one for one in reached if np.any((one[2] <= TOUCH_MM) & (one[2] >= front))]
    # What is named is reached for, however far; of several, the nearest.
    if not touched and end.end.onto:
        touched = sorted(reached, key=lambda one: float(np.min(one[2])))[:1]
    if not touched:
        return []
    whole = np.array([first for _, _, first in touched])
    first = whole.min(axis=0)
    stopped = np.isfinite(first)
    counts = np.sum((whole == first) & stopped, axis=1)
    # What is well behind the others all round is not what the end sits on.
    behind = np.min(np.where(stopped, whole - np.where(stopped, first, 0.0), np.inf), axis=1)
    order = np.argsort(-counts, kind="stable").tolist()
    kept = [number for number in order if behind[number] < _MARGIN * end.part.reach]
    return [_target(end, touched[number][0], touched[number][1]) for number in kept]


def _target(
    end: PartEnd,
    part: Part,
    entries: Floats | None = None,
    solid: tuple[Piece, ...] | None = None,
) -> Target:
    """A part as the end sees it.

    Args:
        end: the end.
        part: what it sits on.
        entries: where its pieces are entered, (pieces, n). A piece entered only at the tube's other end is
            left out: a hoop whose two legs the tube joins is met by each end on one leg alone.
        solid: its pieces, where they are not those it has on its own.
    """
    gap, front = end.end.root_gap, -end.front
    solid = part.pieces if solid is None else solid
    pieces = tuple(
        piece.grown(gap)
        for number, piece in enumerate(solid)
        if entries is None
        or not np.isfinite(entries[number]).any()
        or np.max(entries[number], where=np.isfinite(entries[number]), initial=-np.inf) >= front
    )
    nearest, tangent, segment = nearest_on(part, end.point, end.axis, end.straight)
    if isinstance(segment, Straight):
        for piece in solid:
            if isinstance(piece, RoundPiece):
                limits = [float((point - nearest) @ tangent) for point in (piece.start, piece.end)]
                off = piece.start - nearest - limits[0] * tangent
                if off @ off < 1e-12 and limits[0] - 1e-9 <= 0.0 <= limits[1] + 1e-9:
                    radius = piece.radius + gap
                    return Target(
                        part.name, pieces, tangent, nearest, radius, (limits[0], limits[1])
                    )
    return Target(part.name, pieces, tangent, nearest)


def nearest_on(
    part: Part, point: Floats, axis: Floats, straight: float
) -> tuple[Floats, Floats, Straight | Arc]:
    """The place on a part's centreline nearest to a tube's end, seen along the tube's axis.

    Args:
        part: the part.
        point: end of the tube's centreline (3,).
        axis: its axis there (3,).
        straight: length of its last straight: what lies behind is not looked at.

    Returns:
        The place (3,), the unit tangent (3,) there, and the segment it is on. Of places as near, the one
        nearest to the end.
    """
    best: tuple[float, Floats, Floats, Straight | Arc] | None = None
    for segment in part.path.segments:
        if isinstance(segment, Straight):
            if segment.length < 1e-9:
                continue
            tangent = (segment.end - segment.start) / segment.length
            places = segment.start + _crossing(segment, tangent, point, axis)[:, None] * tangent
            tangents = np.broadcast_to(tangent, places.shape)
        else:
            turns = _nearest_turns(segment, point, axis)
            places = segment.points(turns)
            cosine, sine = np.cos(turns)[:, None], np.sin(turns)[:, None]
            tangents = cosine * segment.forwards - sine * segment.outwards
        from_end = places - point
        along = from_end @ axis
        behind = np.maximum(-straight - along, 0.0)
        away = np.linalg.norm(from_end - along[:, None] * axis, axis=1) + behind
        # A hair in favour of what is near the end.
        score = away + 1e-6 * np.abs(along)
        index = int(np.argmin(score))
        if best is None or score[index] < best[0]:
            best = (float(score[index]), places[index], np.asarray(tangents[index]), segment)
    assert best is not None  # noqa: S101 - a path has a length
    return best[1], best[2], best[3]


def _crossing(segment: Straight, tangent: Floats, point: Floats, axis: Floats) -> Floats:
    """Distances (n,) along a straight that may be nearest to the axis: the foot, kept on it, and its ends."""
    cosine = float(tangent @ axis)
    apart = point - segment.start
    square = 1.0 - cosine * cosine
    foot = 0.0
    if square > 1e-12:
        foot = float(apart @ tangent - (apart @ axis) * cosine) / square
    places: Floats = np.clip(np.array([foot, 0.0, segment.length]), 0.0, segment.length)
    return places


def _nearest_turns(arc: Arc, point: Floats, axis: Floats) -> Floats:
    """Turns of an arc that may be nearest to an axis: looked for ever more closely."""
    low, high = 0.0, arc.angle_rad
    while True:
        turns = np.linspace(low, high, 33)
        from_end = arc.points(turns) - point
        away = np.linalg.norm(from_end - (from_end @ axis)[:, None] * axis, axis=1)
        index = int(np.argmin(away))
        if high - low < 1e-12:
            return np.asarray(turns[index : index + 1])
        low, high = turns[max(index - 1, 0)], turns[min(index + 1, 32)]


def _mitre(end: PartEnd, parts: Sequence[Part]) -> EndCut:
    """With another tube's end at the same point: on the bisecting plane, past it, or butting it."""
    other = _partner(end, parts)
    names = (other.part.name,)
    match end.end.way:
        case "butt":
            solid = _run_past(other, _past(other, end))
            return replace(coped_cut(end, [_target(end, other.part, solid=solid)]), kind="mitre")
        case "past":
            past = _past(end, other)
            return flat_cut(end, end.point + past * end.axis, end.axis, "mitre", names)
        case _:
            pass
    normal = end.axis - other.axis
    size = length(normal)
    if size < 1e-6:
        text = f"{end.where} runs the same way as {other.part.name}, which it is mitred with; turn one of the two"
        raise CopewrightError(text)
    normal /= size
    return flat_cut(end, end.point - normal * end.end.root_gap, normal, "mitre", names)


def _past(end: PartEnd, other: PartEnd) -> float:
    """How far an end runs past the point it shares, for the whole of the other's end to land on it, mm."""
    cosine = float(end.axis @ other.axis)
    sine = math.sqrt(max(1.0 - cosine * cosine, 1e-6))
    return (other.part.reach + abs(cosine) * end.part.reach) / sine


def _run_past(end: PartEnd, past: float) -> tuple[Piece, ...]:
    """The solid of an end's part, longer by so much there."""
    pieces = list(end.part.pieces)
    index = 0 if end.name == "start" else -1
    last = pieces[index]
    if isinstance(last, RoundPiece | BoxPiece):
        way = past * end.axis
        pieces[index] = (
            replace(last, start=last.start + way)
            if index == 0
            else replace(last, end=last.end + way)
        )
    return tuple(pieces)


def _partner(end: PartEnd, parts: Sequence[Part]) -> PartEnd:
    """The end that a mitre is with; of a handed tube's two, the one at the same point."""
    found = [
        other
        for part in parts
        if end.end.other in part_names(part.tube) & {part.name, part.tube.name}
        for other in part.ends
        if length(other.point - end.point) < TOUCH_MM
    ]
    if not found:
        text = f"{end.where} is mitred with {end.end.other}, whose ends are elsewhere; bring both to one point"
        raise CopewrightError(text)
    return found[0]


class _Index:
    """Finds the parts near an end without looking at them all: boxes round the pieces, in side view."""

    def __init__(self, parts: Sequence[Part]) -> None:
        self._parts = parts
        self._owners: list[Part] = []
        boxes = []
        self._bounds: list[tuple[Floats, Floats]] = []
        for part in parts:
            for piece in part.pieces:
                low, high = piece.bounds()
                boxes.append(box(low[0], low[2], high[0], high[2]))
                self._owners.append(part)
                self._bounds.append((low, high))
        self._tree = STRtree(boxes)

    def named(self, end: PartEnd) -> list[Part]:
        """The parts that an end names, above it in the list."""
        names = set(end.end.onto)
        return [
            one
            for one in self._parts
            if one.order < end.part.order and names & {one.name, one.tube.name}
        ]

    def near(self, end: PartEnd) -> list[Part]:
        """The parts above in the list whose boxes touch the end's straight."""
        gap = end.end.root_gap + TOUCH_MM
        back = end.point - min(end.straight, 4 * end.part.reach + 200.0) * end.axis
        low = np.minimum(end.point, back) - end.part.reach - gap
        high = np.maximum(end.point, back) + end.part.reach + gap
        found: dict[int, Part] = {}
        for number in self._tree.query(box(low[0], low[2], high[0], high[2])).tolist():
            part = self._owners[number]
            piece_low, piece_high = self._bounds[number]
            if part.order < end.part.order and piece_low[1] <= high[1] and piece_high[1] >= low[1]:
                found[id(part)] = part
        return sorted(found.values(), key=lambda part: (part.order, part.name))
