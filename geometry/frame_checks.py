"""What a careful fabricator would stop at in a whole frame."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from shapely import STRtree, box

from geometry.arrays import Floats
from geometry.as_bent_checks import as_drawn
from geometry.end_cut import EndCut
from geometry.findings import Finding
from geometry.fitup import Fitted, FittedPart, solve
from geometry.floor_checks import below_floor
from geometry.lengths import format_mm
from geometry.mitre_checks import mitre_findings
from geometry.near_misses import (
    almost_mirrored,
    almost_one_place,
    almost_touching,
    hands_differ,
    point_pairs,
)
from geometry.parts import Part
from geometry.path import Arc
from geometry.places import Places
from geometry.putting_in import stuck_findings
from geometry.section import RoundTube
from geometry.skin import depth_in, skin_rings
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
_CLASH_MM = 0.5
_ARC_STEP_RAD = math.radians(4.0)


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
    found += _clashes(fitted.parts, joined)
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
            f"The cut runs {format_mm(back)} mm into the tube's own bend, {format_mm(at)} mm round from the "
            "datum.",
            f"Make the straight at this end {format_mm(back)} mm longer, or the angle less sharp.",
        )  # fmt: skip
    if cut.kind != "cope":
        return
    if cut.angle_deg < LEAST_ANGLE_DEG - 1e-9:
        yield Finding(
            "acute", "warning", where,
            f"It meets {cut.onto[0]} at {_under(cut.angle_deg)}°, under 30°: the weld's root in the tight "
            "side cannot be reached.",
            f"Set the tube at 30° or more{_steeper(cut)}, or ask a welding engineer how that side is to be made.",
        )  # fmt: skip
    main = parts[cut.onto[0]].part
    own, under = _breadths(cut, main)
    if own > under + 1e-6:
        yield Finding(
            "branch-larger", "warning", where,
            f"At {format_mm(own, 3)} mm it is wider than {main.name} that it sits on, "
            f"{format_mm(under, 3)} mm, and hangs over its sides.",
            "Turn the two round in the list, so that the larger runs on, or add a gusset.",
        )  # fmt: skip
    yield from _place_findings(cut, parts[cut.onto[0]])
    if cut.missing > _MISSING:
        yield Finding(
            "end-misses", "warning", where,
            f"{cut.missing:.0%} of the end meets nothing: it passes beside or beyond {' and '.join(cut.onto)}.",
            _onto_tube(main) if main.came is not None else
            "Move its point onto that tube's centreline, or lengthen that tube; what is meant to hang over needs a plate "
            "or another tube.",
        )  # fmt: skip


def _onto_tube(main: Part) -> str:
    """What helps an end that misses a tube because that came back otherwise."""
    tube = main.tube.name
    words = f'Make its point a place on {tube}, such as "on {tube} at 100", or lay {tube} otherwise'
    return f"{words}: it is not where it is drawn."


def _place_findings(cut: EndCut, main: FittedPart) -> Iterator[Finding]:
    """An end that is cut far from where its point is, in steps, or close to its target's end."""
    where, end = cut.at.where, cut.at
    away = -cut.shift
    if away > _FAR_REACHES * main.part.reach + _FAR_MM:
        yield Finding(
            "far-from-point", "warning", where,
            f"It is cut onto {main.part.name}, {format_mm(away)} mm short of its point: that tube stands in its way.",
            'Tick what it is to sit on ("onto" in the file), or move that tube, or its point, so that they agree.',
        )  # fmt: skip
    step = _greatest_step(cut)
    if step > _STEP_MM and cut.missing <= _MISSING:
        yield Finding(
            "cut-steps", "warning", where,
            f"Its cut jumps by {format_mm(step)} mm where it goes from one thing to the next: "
            f"{' and '.join(cut.onto)}.",
            'Look whether it is to sit on all of them; tick those that it is to ("onto" in the file).',
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
                f"It lands {format_mm(left)} mm from the {far.at.name} of {main.part.name}: there is hardly room for "
                "the weld.",
                f"Leave {format_mm(_NEAR_END_MM)} mm or more: move its point, or leave more on there.",
            )  # fmt: skip


def _greatest_step(cut: EndCut) -> float:
    """How far the line jumps at one place of the turn, mm."""
    apart = np.diff(cut.round_mm) < 1e-4 * cut.at.part.outline.girth
    return float(np.max(np.abs(np.diff(cut.heights)), where=apart, initial=0.0))


def _steeper(cut: EndCut) -> str:
    """How far a straight tube's end is to be moved along what it sits on, for that; "" of a bent one."""
    part = cut.at.part
    if part.path.radii:
        return ""
    turn, least = math.radians(cut.angle_deg), math.radians(LEAST_ANGLE_DEG)
    # The other end stays as far beside the target; along it there is less between the two.
    by = part.path.developed_length * (math.cos(turn) - math.sin(turn) / math.tan(least))
    return (
        f": move this end {math.ceil(by)} mm along {cut.onto[0]}, the way that stands the tube steeper, and leave its other "
        "end where it is, but look at its angle too"
    )


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


def _width(part: Part) -> float:
    """The part's least breadth, mm."""
    section = part.section
    return section.od if isinstance(section, RoundTube) else min(section.width, section.height)


def _length_findings(one: FittedPart) -> Iterator[Finding]:
    start, finish = one.cuts
    if one.part.path.radii or start is None or finish is None:
        return
    left = one.part.path.developed_length + sum(
        cut.shift + cut.short_point for cut in (start, finish)
    )
    if left <= 0:
        yield Finding(
            "too-short", "error", one.part.name,
            f"Its two cuts run into each other by {format_mm(-left)} mm.",
            "Move its points apart, or leave it out: there is no tube left between what it joins.",
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
                "off-centre-hair", "warning", f"point {name}",
                f"It lies {format_mm(abs(float(point[1])), 3)} mm beside the centre-plane.",
                "If it is meant to be on it, make its y 0.",
            )  # fmt: skip
    for one, two, _ in point_pairs(points, SAME_PLACE_MM):
        yield Finding(
            "same-place", "note", f"points {one} and {two}",
            "They are in one place.",
            "Use one of the two, so that they move together.",
        )  # fmt: skip
    yield from almost_one_place(points)


def _joined(parts: Sequence[FittedPart]) -> set[frozenset[str]]:
    """Pairs of parts of which one end sits on the other, or is mitred with it."""
    return {
        frozenset((one.part.name, other))
        for one in parts
        for cut in one.cuts
        if cut is not None
        for other in cut.onto
    }


def _alone(parts: Sequence[FittedPart], joined: set[frozenset[str]]) -> Iterator[Finding]:
    met = set().union(*joined) if joined else set()
    for one in parts:
        if one.part.name not in met and len(parts) > 1 and None not in one.cuts:
            yield Finding(
                "never-joined", "warning", one.part.name,
                "Nothing sits on it and it sits on nothing.",
                "Move its points to what it is to be welded to, or take it out.",
            )  # fmt: skip


def _clashes(parts: Sequence[FittedPart], joined: set[frozenset[str]]) -> Iterator[Finding]:
    """Parts that are not joined and yet run through each other."""
    if len(parts) < 2:
        return
    lines = [_centreline(one) for one in parts]
    boxes = []
    for one, line in zip(parts, lines, strict=True):
        low, high = line.min(axis=0) - one.part.reach, line.max(axis=0) + one.part.reach
        boxes.append(box(low[0], low[2], high[0], high[2]))
    tree = STRtree(boxes)
    for one, two in tree.query(boxes).T.tolist():
        first, second = parts[one].part, parts[two].part
        if one >= two:
            continue
        joints: list[Floats] = []
        if frozenset((first.name, second.name)) in joined:
            if not (first.path.radii or second.path.radii):
                continue
            # Bent, the two may meet again elsewhere.
            joints = _joints(parts[one], parts[two])
        gap, at = _closest(lines[one], lines[two])
        deep = (_width(first) + _width(second)) / 2 - gap
        if joints:
            gap, at = _closest_elsewhere(lines[one], lines[two], joints, first.reach + second.reach)
            deep = (_width(first) + _width(second)) / 2 - gap
        if deep > _CLASH_MM and _overlap(parts[one], parts[two], at) > _CLASH_MM:
            place = ", ".join(format_mm(float(value), 0) for value in at)
            yield Finding(
                "clash", "error", f"{first.name} and {second.name}",
                f"They {'meet once more' if joints else 'are not joined'} and run {format_mm(deep, 1)} mm into each other "
                f"near ({place}).",
                "Move one of them, or let an end of one sit on the other.",
            )  # fmt: skip


def _joints(one: FittedPart, two: FittedPart) -> list[Floats]:
    """Work points (3,) of the ends by which two parts are joined."""
    return [
        cut.origin
        for mine, other in ((one, two), (two, one))
        for cut in mine.cuts
        if cut is not None and other.part.name in cut.onto
    ]


def _closest_elsewhere(
    one: Floats, two: Floats, joints: Sequence[Floats], reach: float
) -> tuple[float, Floats]:
    """As ``_closest``, of two chains without what is near their joints."""
    counts = np.maximum(
        np.ceil(np.linalg.norm(np.diff(one, axis=0), axis=1) / reach).astype(int), 1
    )
    ways = np.repeat(np.diff(one, axis=0) / counts[:, None], counts, axis=0)
    number = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    starts = np.repeat(one[:-1], counts, axis=0) + number[:, None] * ways
    middles = starts + ways / 2
    far = np.ones(len(starts), dtype=bool)
    for joint in joints:
        far &= np.linalg.norm(middles - joint, axis=1) > 4 * reach
    if not far.any():
        return math.inf, np.zeros(3)
    return _closest_pieces(starts[far], ways[far], two[:-1], np.diff(two, axis=0))


def _overlap(one: FittedPart, two: FittedPart, at: Floats) -> float:
    """How deep two parts are in each other near a place (3,), their ends as they are cut, mm.

    Points of each one's outside and middle are looked for in the other. One that fits into the other's bore,
    such as a sleeve, runs into it only where it meets its wall.
    """
    deepest = 0.0
    for skin, other in ((one, two), (two, one)):
        reach = one.part.reach + two.part.reach
        step = max(min(skin.part.reach, other.part.reach) / 8, 0.5)
        rings = skin_rings(skin, 96, step)
        points = np.concatenate((rings.reshape(-1, 3), rings.mean(axis=1)))
        points = points[np.linalg.norm(points - at, axis=1) < 3 * reach]
        if len(points):
            depth, from_bore = depth_in(other, points)
            bore = getattr(other.part.section, "bore_radius", 0.0)
            if skin.part.reach <= bore:
                depth = np.where(from_bore > 0, depth, -np.inf)
            inside = getattr(skin.part.section, "bore_radius", 0.0) >= other.part.reach
            if not inside:
                deepest = max(deepest, float(depth.max()))
    return deepest


def _centreline(one: FittedPart) -> Floats:
    """The centreline (n, 3) as straight pieces, each end drawn back as far as its cut is."""
    path = one.part.path
    points = [np.array(path.vertices[0])]
    for segment in path.segments:
        if isinstance(segment, Arc):
            count = max(math.ceil(segment.angle_rad / _ARC_STEP_RAD), 1)
            points += list(segment.points(np.linspace(0, segment.angle_rad, count + 1)))
    points.append(np.array(path.vertices[-1]))
    for index, cut, way in (
        (0, one.cuts[0], path.directions[0]),
        (-1, one.cuts[1], -path.directions[-1]),
    ):
        if cut is not None:
            points[index] = points[index] + way * max(-cut.beyond, 0.0)
    return np.array(points)


def _closest(one: Floats, two: Floats) -> tuple[float, Floats]:
    """Least distance of two chains of straight pieces, (n, 3) each, and the middle of it (3,)."""
    return _closest_pieces(one[:-1], np.diff(one, axis=0), two[:-1], np.diff(two, axis=0))


def _closest_pieces(a: Floats, u: Floats, b: Floats, v: Floats) -> tuple[float, Floats]:
    """Least distance of straight pieces from ``a`` along ``u``, (n, 3) each, and from ``b`` along ``v``, (m, 3)."""
    starts = b
    a, b, u, v = a[:, None], b[None], u[:, None], v[None]
    w = a - b
    uu, vv, uv = (np.sum(x * y, axis=2) for x, y in ((u, u), (v, v), (u, v)))
    uw, vw = np.sum(u * w, axis=2), np.sum(v * w, axis=2)
    spread = uu * vv - uv * uv
    flat = spread < 1e-9 * np.maximum(uu * vv, 1e-9)
    s = np.clip(np.where(flat, 0.0, (uv * vw - vv * uw) / np.where(flat, 1.0, spread)), 0.0, 1.0)
    uu, vv = np.maximum(uu, 1e-12), np.maximum(vv, 1e-12)
    best, place = math.inf, np.zeros(3)
    # From each start value the nearest on the other piece, and back: exact for the inner and the end cases.
    for start in (s, np.zeros_like(s), np.ones_like(s)):
        t = np.clip((start * uv + vw) / vv, 0.0, 1.0)
        again = np.clip((t * uv - uw) / uu, 0.0, 1.0)
        apart = w + again[..., None] * u - t[..., None] * v
        away = np.linalg.norm(apart, axis=2)
        index = np.unravel_index(int(np.argmin(away)), away.shape)
        if away[index] < best:
            best = float(away[index])
            place = np.asarray(starts[index[1]] + t[index] * v[0, index[1]] + apart[index] / 2)
    return best, place
