"""What a careful fabricator would stop at in a whole frame."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from geometry.arrays import Floats
from geometry.as_bent_checks import as_drawn
from geometry.bars import too_long
from geometry.clash_checks import clashes
from geometry.end_cut import EndCut
from geometry.findings import Finding
from geometry.fitup import Fitted, FittedPart, solve
from geometry.floor_checks import below_floor
from geometry.frame import END_WORDS
from geometry.lengths import format_mm, mm
from geometry.mitre_checks import mitre_findings
from geometry.near_misses import (
    almost_mirrored,
    almost_one_place,
    almost_touching,
    hands_differ,
    point_pairs,
)
from geometry.parts import Part
from geometry.places import Places
from geometry.putting_in import stuck_findings
from geometry.said import Said, each_and, said
from geometry.section import RoundTube
from geometry.targets import nearest_on
from geometry.tolerances import SAME_PLACE_MM
from geometry.vectors import cross, length

LEAST_ANGLE_DEG = 30.0
"""AISC 360 chapter K and AWS D1.1: prequalified branches stand at 30 degrees or more."""

_MISSING = 0.005
_FAR_REACHES, _FAR_MM = 1.5, 10.0
_STEP_MM = 2.0
_NEAR_END_MM = 5.0
"""Less than this from a tube's end there is no room for a fillet weld's leg: common practice, no source."""
_HAIR_MM = 1.0
_PLACE_TYPED = "on {tube} at 100"
"""A point as ``geometry.point_text`` reads it, which knows English alone."""


def frame_findings(fitted: Fitted) -> tuple[Finding, ...]:
    """All findings of a fitted frame: what could not be made first, then tube by tube."""
    found = list(fitted.findings)
    parts = {one.part.name: one for one in fitted.parts}
    for one in fitted.parts:
        for cut in one.cuts:
            if cut is not None:
                found += _end_findings(cut, parts)
                found += mitre_findings(cut, parts) if cut.kind == "mitre" else ()
        found += _length_findings(one)
    found += _point_findings(fitted)
    joined = _joined(fitted.parts)
    found += _alone(fitted.parts, joined)
    found += clashes(fitted.parts, joined)
    found += almost_touching(fitted.parts, joined)
    measured = any(tube.as_bent for tube in fitted.frame.tubes)
    found += almost_mirrored(solve(as_drawn(fitted.frame)) if measured else fitted)
    found += hands_differ(fitted.parts)
    found += stuck_findings(fitted.parts)
    found += below_floor(fitted.parts)
    return tuple(found)


def _end_findings(cut: EndCut, parts: dict[str, FittedPart]) -> Iterator[Finding]:
    where, end = cut.at.where, cut.at
    back = -(cut.shift + cut.short_point) - end.straight
    if back > 1e-6 and len(end.part.path.radii):
        at = float(cut.round_mm[int(np.argmin(cut.heights))])
        yield Finding(
            "cut-into-bend", "error", where,
            said(
                "The cut runs {back} into the tube's own bend, {round} round from the datum.",
                back=mm(back), round=mm(at),
            ),
            said("Make the straight at this end {back} longer, or the angle less sharp.", back=mm(back)),
        )  # fmt: skip
    if cut.kind != "cope":
        return
    main = parts[cut.onto[0]].part
    onto = each_and([parts[name].part.called for name in cut.onto])
    if cut.angle_deg < LEAST_ANGLE_DEG - 1e-9:
        yield Finding(
            "acute", "warning", where,
            said(
                "It meets {target} at {angle}°, under 30°: the weld's root in the tight side cannot be reached.",
                target=main.called, angle=_under(cut.angle_deg),
            ),
            _steeper(cut, main),
        )  # fmt: skip
    own, under = _breadths(cut, main)
    if own > under + 1e-6:
        yield Finding(
            "branch-larger", "warning", where,
            said(
                "At {own} it is wider than {target} that it sits on, {under}, and hangs over its sides.",
                own=mm(own, places=3), target=main.called, under=mm(under, places=3),
            ),
            said("Turn the two round in the list, so that the larger runs on, or add a gusset."),
        )  # fmt: skip
    yield from _place_findings(cut, parts[cut.onto[0]], onto)
    if cut.missing > _MISSING:
        yield Finding(
            "end-misses", "warning", where,
            said(
                "{share} of the end meets nothing: it passes beside or beyond {targets}.",
                share=f"{cut.missing:.0%}", targets=onto,
            ),
            _onto_tube(main) if main.came is not None
            else said(
                "Move its point onto that tube's centreline, or lengthen that tube; what is meant to hang over needs a plate "
                "or another tube."
            ),
        )  # fmt: skip


def _onto_tube(main: Part) -> Said:
    """What helps an end that misses a tube because that came back otherwise."""
    return said(
        'Make its point a place on {tube}, such as "{example}", or lay {tube} otherwise: it is not where it is drawn.',
        tube=main.tube.name, example=_PLACE_TYPED.format(tube=main.tube.name),
    )  # fmt: skip


def _place_findings(cut: EndCut, main: FittedPart, onto: str) -> Iterator[Finding]:
    """An end that is cut far from where its point is, in steps, or close to its target's end."""
    where, end = cut.at.where, cut.at
    away = -cut.shift
    if away > _FAR_REACHES * main.part.reach + _FAR_MM:
        yield Finding(
            "far-from-point", "warning", where,
            said(
                "It is cut onto {target}, {away} short of its point: that tube stands in its way.",
                target=main.part.called, away=mm(away),
            ),
            said('Tick what it is to sit on ("onto" in the file), or move that tube, or its point, so that they agree.'),
        )  # fmt: skip
    step = _greatest_step(cut)
    if step > _STEP_MM and cut.missing <= _MISSING:
        yield Finding(
            "cut-steps", "warning", where,
            said(
                "Its cut jumps by {step} where it goes from one thing to the next: {targets}.",
                step=mm(step), targets=onto,
            ),
            said('Look whether it is to sit on all of them; tick those that it is to ("onto" in the file).'),
        )  # fmt: skip
    points = cut.points() - end.end.extra * end.axis
    for far in main.cuts:
        if far is None or far.kind == "cope":
            continue
        off = points - far.at.point
        along = off @ far.at.axis
        beside = off - along[:, None] * far.at.axis
        near = np.einsum("ij,ij->i", beside, beside) < (1.5 * main.part.reach) ** 2
        left = far.shift + far.short_point - float(np.max(along[near], initial=-np.inf))
        if 1e-6 < left < _NEAR_END_MM and cut.missing <= _MISSING:
            yield Finding(
                "near-end", "warning", where,
                said(
                    "It lands {left} from the {end} of {target}: there is hardly room for the weld.",
                    left=mm(left), end=END_WORDS[far.at.name], target=main.part.called,
                ),
                said("Leave {least} or more: move its point, or leave more on there.", least=mm(_NEAR_END_MM)),
            )  # fmt: skip


def _greatest_step(cut: EndCut) -> float:
    """How far the line jumps at one place of the turn, mm."""
    apart = np.diff(cut.round_mm) < 1e-4 * cut.at.part.outline.girth
    return float(np.max(np.abs(np.diff(cut.heights)), where=apart, initial=0.0))


def _steeper(cut: EndCut, main: Part) -> Said:
    """What opens too sharp an angle: of a straight tube, how far its end is to be moved along what it sits on."""
    part = cut.at.part
    if part.path.radii:
        return said(
            "Set the tube at 30° or more, or ask a welding engineer how that side is to be made."
        )
    turn, least = math.radians(cut.angle_deg), math.radians(LEAST_ANGLE_DEG)
    # The other end stays as far beside the target; along it there is less between the two.
    by = part.path.developed_length * (math.cos(turn) - math.sin(turn) / math.tan(least))
    return said(
        "Set the tube at 30° or more: move this end {by} along {target}, the way that stands the tube steeper, and leave its "
        "other end where it is, but look at its angle too, or ask a welding engineer how that side is to be made.",
        by=mm(math.ceil(by)), target=main.called,
    )  # fmt: skip


def _under(angle_deg: float) -> str:
    """An angle that is too small, never rounded up to what is allowed."""
    return format_mm(math.floor(angle_deg * 10) / 10, 1)


def _breadths(cut: EndCut, main: Part) -> tuple[float, float]:
    """How broad an end is across what it sits on, and how broad that is there, mm."""
    _, tangent, _ = nearest_on(main, cut.at)
    across = cross(tangent, cut.at.axis)
    size = length(across)
    if size < 1e-6:
        return 0.0, 0.0
    across /= size

    def breadth(part: Part, axis: Floats) -> float:
        section = part.section
        if isinstance(section, RoundTube):
            return section.od
        sides = abs(float(across @ part.up)), abs(float(across @ cross(part.up, axis)))
        return sides[0] * section.height + sides[1] * section.width

    return breadth(cut.at.part, cut.at.axis), breadth(main, tangent)


def _length_findings(one: FittedPart) -> Iterator[Finding]:
    start, finish = one.cuts
    if one.part.path.radii or start is None or finish is None:
        return
    yield from too_long(one.part.name, one.cut_length, one.part.stock.bar_length)
    left = one.part.path.developed_length + sum(
        cut.shift + cut.short_point for cut in (start, finish)
    )
    if left <= 0:
        planes = any(end.plane is not None for end in one.part.tube.ends)
        yield Finding(
            "too-short", "error", one.part.called,
            said("Its two cuts run into each other by {deep}.", deep=mm(-left)),
            said("Let the plane that it is cut along go through the end's own point, or move its points apart.")
            if planes
            else said("Move its points apart, or leave it out: there is no tube left between what it joins."),
        )  # fmt: skip


def _point_findings(fitted: Fitted) -> Iterator[Finding]:
    # As drawn: where a returned tube has moved a point is no slip of the keys.
    frame = as_drawn(fitted.frame)
    places = Places(frame)
    made = {tube.name for tube in frame.tubes} - {f.where for f in fitted.findings}
    used = {name for tube in frame.tubes if tube.name in made for name in tube.path}
    points = {name: np.array(places.point(name)) for name in frame.points if name in used}
    for name, point in points.items():
        if 0 < abs(point[1]) < _HAIR_MM:
            yield Finding(
                "off-centre-hair", "warning", said("point {name}", name=name),
                said("It lies {off} beside the centre-plane.", off=mm(abs(float(point[1])), places=3)),
                said("If it is meant to be on it, make its y 0."),
            )  # fmt: skip
    for one, two, _ in point_pairs(points, SAME_PLACE_MM):
        yield Finding(
            "same-place", "note", said("points {one} and {other}", one=one, other=two),
            said("They are in one place."),
            said("Use one of the two, so that they move together."),
        )  # fmt: skip
    yield from almost_one_place(points)


def _alone(parts: Sequence[FittedPart], joined: set[frozenset[str]]) -> Iterator[Finding]:
    met = set().union(*joined) if joined else set()
    for one in parts:
        if one.part.name not in met and len(parts) > 1 and None not in one.cuts:
            yield Finding(
                "never-joined", "warning", one.part.called,
                said("Nothing sits on it and it sits on nothing."),
                said("Move its points to what it is to be welded to, or take it out."),
            )  # fmt: skip


def _joined(parts: Sequence[FittedPart]) -> set[frozenset[str]]:
    """Pairs of parts of which one end sits on the other, or is mitred with it."""
    return {
        frozenset((one.part.name, other))
        for one in parts
        for cut in one.cuts
        if cut is not None
        for other in cut.onto
    }
