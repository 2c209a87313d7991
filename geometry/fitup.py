"""Fits a whole frame: in fit-up order, every end of every part is cut to what it meets."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeAlias, TypeVar

import numpy as np

from geometry.arrays import Floats
from geometry.as_bent import returned
from geometry.end_cut import (
    EndCut,
    coped_cut,
    flat_cut,
    forget_joints,
    line_apart,
)
from geometry.errors import CopewrightError
from geometry.findings import Finding
from geometry.frame import Frame, part_names
from geometry.kept import Kept
from geometry.mirror_image import Mirror, mirrored_cut
from geometry.near import TOUCH_MM, Index, Near, in_the_way, near_end
from geometry.parts import KEPT, Part, PartEnd, forget_parts, parts_of
from geometry.pieces import BoxPiece, Piece, RoundPiece
from geometry.plain_cuts import lone_cuts
from geometry.said import each_or, said
from geometry.section import RoundTube
from geometry.targets import target, targets_of
from geometry.tolerances import CHORD_MM
from geometry.vectors import length

Lone: TypeAlias = Mapping[tuple[PartEnd, Near], EndCut | None]
"""Ends that were asked for all at once, and their cuts; None for one that may sit on more than one tube."""

Seen = TypeVar("Seen")

_ROUNDS = 4
_INTO_MM = 1e-3


@dataclass(frozen=True, eq=False)
class FittedPart:
    """A part with its cuts; an end that could not be cut is None."""

    part: Part
    cuts: tuple[EndCut | None, EndCut | None]

    @property
    def beyond(self) -> tuple[float, float]:
        """How far its long points stand beyond its path's start and finish, mm; 0 for a missing cut."""
        start, finish = (cut.beyond if cut is not None else 0.0 for cut in self.cuts)
        return start, finish

    @property
    def cut_length(self) -> float:
        """Along the centreline, long point to long point, mm; a missing cut counts to the end's point."""
        return self.part.path.developed_length + sum(self.beyond)

    @property
    def supplied_length(self) -> float:
        """The cut length with what is left on for the bender, mm."""
        return self.cut_length + sum(self.part.tube.trim)

    @property
    def bar_ends(self) -> tuple[float, float]:
        """How far the bar that it is made from goes on beyond its path's start and finish, mm."""
        (start, finish), (before, after) = self.beyond, self.part.tube.trim
        return start + before, finish + after

    def from_long_points(self, along: float) -> tuple[float, float]:
        """How far a place on the centreline is from the start's and the finish's long point, mm.

        Args:
            along: of the place, from the path's start along the centreline, mm.
        """
        from_start = along + self.beyond[0]
        return from_start, self.cut_length - from_start

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
    index = Index(parts, {tube.name: number for number, tube in enumerate(frame.tubes)})
    mirror = Mirror(parts)
    firsts = [
        end
        for part in parts
        for end in part.ends
        if end.end.cut == "cope" and not end.end.onto and mirror.first(end) is None
    ]
    # All at once; those that are seen in a mirror, or name what they sit on, are few and asked for one by one.
    asked = list(zip(firsts, index.look(firsts), strict=True))
    lone: Lone = {}
    with contextlib.suppress(CopewrightError):
        # What is wrong with one of them is found where it is asked for alone.
        lone = dict(zip(asked, _LONE.many(asked, lone_cuts), strict=True))
    found = list(findings)
    fitted = []
    for part in parts:
        cuts: list[EndCut | None] = []
        for end in part.ends:
            try:
                cuts.append(_cut(end, parts, index, mirror, lone))
            except CopewrightError as error:
                cuts.append(None)
                found.append(
                    _unsolved(
                        end, error, _below(end, parts) if isinstance(error, MeetsNothing) else ""
                    )
                )
        fitted.append(FittedPart(part, (cuts[0], cuts[1])))
    return Fitted(frame, tuple(fitted), tuple(found))


def _below(end: PartEnd, parts: Sequence[Part]) -> str:
    """The tube that an end would sit on if that were above it in the list; "" for none."""
    if end.end.onto:
        return ""
    place = next(number for number, part in enumerate(parts) if part.name == end.part.name)
    for part in parts[place + 1 :]:
        if part.tube.name != end.part.tube.name and targets_of(end, near_end(end, (part,))):
            return part.tube.name
    return ""


def _unsolved(end: PartEnd, error: CopewrightError, below: str = "") -> Finding:
    words = str(error).removeprefix(f"{end.where} ")
    what = f"The end {words}." if words != str(error) else f"{words[:1].upper()}{words[1:]}."
    if below:
        own = end.part.tube.name
        what = f"The end would sit on {below}, which goes into the jig after it; move {own} below {below} in the list."
    return Finding(
        "end-not-cut",
        "error",
        end.where,
        what,
        "Until it is changed this end is left out of the book.",
    )


def changed_ends(before: Fitted, after: Fitted) -> list[str]:
    """The ends that are in both and are cut otherwise, as "arm left, start"."""
    cuts = {one.part.name: one.cuts for one in before.parts}
    return [
        end.where
        for one in after.parts
        if one.part.name in cuts
        for end, cut, was in zip(one.part.ends, one.cuts, cuts[one.part.name], strict=True)
        if not _same_cut(was, cut)
    ]


def _same_cut(one: EndCut | None, other: EndCut | None) -> bool:
    if one is other:
        return True
    if one is None or other is None or one.onto != other.onto:
        return False
    if np.array_equal(one.round_mm, other.round_mm):
        return np.allclose(one.heights, other.heights, atol=_INTO_MM)
    # The same line may be cut in another way, or be the image of another end's, and have other vertices.
    ends = np.abs((one.long_point - other.long_point, one.short_point - other.short_point))
    return bool(ends.max() < _INTO_MM) and line_apart(one, other) < 2 * CHORD_MM


class MeetsNothing(CopewrightError, ValueError):
    """A coped end with nothing in its way."""


def _cut(end: PartEnd, parts: Sequence[Part], index: Index, mirror: Mirror, lone: Lone) -> EndCut:
    first = mirror.first(end)
    match end.end.cut:
        case "cope":
            near = index.parts(end)
            images = mirror.seen(near) if first is not None else None

            def work(end: PartEnd, parts: tuple[Part, ...]) -> EndCut:
                return _coped(end, index.among(end, parts), lone)

            cut = _mirrored(end, first, mirror, work, images)
            return work(end, near) if cut is None else cut
        case "mitre":
            partner = _partner(end, parts)
            cut = _mirrored(end, first, mirror, _mitre, mirror.image(partner))
            return _mitre(end, partner) if cut is None else cut
        case _:
            cut = _mirrored(end, first, mirror, lambda one, _: _flat(one), ())
            return _flat(end) if cut is None else cut


def _mirrored(
    end: PartEnd,
    first: PartEnd | None,
    mirror: Mirror,
    work: Callable[[PartEnd, Seen], EndCut],
    seen: Seen | None,
) -> EndCut | None:
    """The image of the cut of the end that is seen in the mirror; None where there is none.

    Args:
        end: the end.
        first: the one that is seen where it is.
        mirror: who is whose image.
        work: cuts an end.
        seen: what that is cut to; None where something of it has no image.
    """
    if first is not None and seen is not None:
        # What is wrong is to be said of the end itself.
        with contextlib.suppress(CopewrightError):
            cut = work(first, seen)
            return mirrored_cut(end, cut, mirror.named(cut.onto))
    return None


# The same end among the same parts is the same cut: an edit solves again only what it touches.
_LONE: Kept[tuple[PartEnd, Near], EndCut | None] = Kept(KEPT)


def _coped(end: PartEnd, near: Near, lone: Lone) -> EndCut:
    key = end, near
    cut = lone[key] if key in lone else _LONE.many([key], lone_cuts)[0]
    return cut or _coped_further(end, near)


@lru_cache(maxsize=KEPT)
def _coped_further(end: PartEnd, near: Near) -> EndCut:
    found = targets_of(end, near)
    if not found:
        text = said(
            "{end} does not reach {targets}; lengthen it to the middle of what it sits on, or cut it square",
            end=end.where, targets=each_or(end.end.onto) or said("any tube above it in the list"),
        )  # fmt: skip
        raise MeetsNothing(text)
    cut = coped_cut(end, found)
    if end.end.onto:
        return cut
    # What the lines run into on their way to what they sit on stops them too.
    for _ in range(_ROUNDS):
        names = {one.name for one in found}
        more = [part for part in near.parts if part.name not in names and _runs_into(cut, part)]
        if not more:
            break
        found = [*found, *(target(end, part) for part in more)]
        cut = coped_cut(end, found)
    return cut


def _runs_into(cut: EndCut, part: Part) -> bool:
    """Whether some of a cut's lines run into a part before they stop; a square-cut end's all through its wall."""
    end, wall = cut.at, cut.at.part.section.wall
    pieces = [piece.grown(end.end.root_gap) for piece in in_the_way(end, part)]
    if not pieces:
        return False
    stops = cut.heights + (cut.shift - end.end.extra - _INTO_MM)
    for depth in (0.0, wall / 2, wall) if cut.fit == "square-cut" else (0.0,):
        starts = end.spread(end.part.outline.at(cut.round_mm, depth))
        for piece in pieces:
            entries = piece.entries(starts, end.axis, -end.behind)
            if np.any((entries < stops) & (entries >= -end.front)):
                return True
    return False


@lru_cache(maxsize=KEPT)
def _flat(end: PartEnd) -> EndCut:
    if end.plane is None:
        return flat_cut(end, end.point, end.axis, "square")
    through, normal = np.array(end.plane[0]), np.array(end.plane[1])
    outwards = normal if normal @ end.axis > 0 else -normal
    return flat_cut(end, through - outwards * end.end.root_gap, normal, "plane")


def forget() -> None:
    """Drop all that is kept for the next edit: the next frame is solved from nothing."""
    for kept in (_coped_further, _flat, _mitre, mirrored_cut):
        kept.cache_clear()
    _LONE.forget()
    forget_joints()
    forget_parts()
    returned.cache_clear()


@lru_cache(maxsize=KEPT)
def _mitre(end: PartEnd, other: PartEnd) -> EndCut:
    """With another tube's end at the same point: on the bisecting plane, past it, or butting it."""
    names = (other.part.name,)
    match end.end.way:
        case "butt":
            solid = _run_past(other, _past(other, end))
            return replace(coped_cut(end, [target(end, other.part, solid=solid)]), kind="mitre")
        case "past":
            past = _past(end, other)
            return flat_cut(end, end.point + past * end.axis, end.axis, "mitre", names)
        case _:
            pass
    normal = end.axis - other.axis
    size = length(normal)
    if size < 1e-6:
        text = said(
            "{end} runs the same way as {other}, which it is mitred with; turn one of the two",
            end=end.where, other=other.part.name,
        )  # fmt: skip
        raise CopewrightError(text)
    normal /= size
    # A tube as it was bent ends a little beside the other: they share the plane halfway.
    middle = (end.point + other.point) / 2
    return flat_cut(end, middle - normal * end.end.root_gap, normal, "mitre", names)


def _past(end: PartEnd, other: PartEnd) -> float:
    """How far an end runs past the point it shares, for the whole of the other's end to land on it, mm.

    It comes flush with the other's far side, in the plane of both.
    """
    cosine = float(end.axis @ other.axis)
    sine = math.sqrt(max(1.0 - cosine * cosine, 1e-6))
    own, far = other.axis - cosine * end.axis, end.axis - cosine * other.axis
    return (_half(other.part, far / sine) + abs(cosine) * _half(end.part, own / sine)) / sine


def _half(part: Part, way: Floats) -> float:
    """Half the breadth of a part's section along a unit vector (3,) square to its axis, mm."""
    section = part.section
    if isinstance(section, RoundTube):
        return section.radius
    up = abs(float(way @ part.up))
    return (up * section.height + math.sqrt(max(1.0 - up * up, 0.0)) * section.width) / 2


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
        if length(other.drawn - end.drawn) < TOUCH_MM
    ]
    if not found:
        text = said(
            "{end} is mitred with {other}, whose ends are elsewhere; bring both to one point",
            end=end.where, other=end.end.other,
        )  # fmt: skip
        raise CopewrightError(text)
    return found[0]
