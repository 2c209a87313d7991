"""Whether a tube can still be put in place once the tubes above it in the list are there.

A simple model: all that is above stands rigid, but for 3 mm that it can be sprung. The tube, its ends cut, is
moved out by twice its own width: straight along its own axis, along the tubes that it sits on, or to any of 24
sides; or swung about either end, round the tube that the end sits on. If every way runs into something, it
cannot go in the same way back.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from shapely import STRtree, box

from geometry.arrays import Floats
from geometry.findings import Finding
from geometry.fitup import FittedPart
from geometry.parts import Part
from geometry.said import each_and, said
from geometry.skin import depth_in, skin_rings, turned
from geometry.targets import nearest_on
from geometry.vectors import cross, length

_EASE_MM = 3.0
"""What stands is taken smaller by this: a frame that is tacked gives that much; common practice, no source."""
_SIDES = 24
_SHARES = (0.05, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0)
_AROUND = 24


def stuck_findings(parts: Sequence[FittedPart]) -> Iterator[Finding]:
    """The parts that can no longer be put in place."""
    if not parts:
        return
    order = {
        name: number for number, name in enumerate(dict.fromkeys(o.part.tube.name for o in parts))
    }
    by_name = {one.part.name: one for one in parts}
    low = np.array([one.part.bounds[0].min(axis=0) for one in parts])
    high = np.array([one.part.bounds[1].max(axis=0) for one in parts])
    tree = STRtree(box(low[:, 0], low[:, 2], high[:, 0], high[:, 2]))
    for number, one in enumerate(parts):
        if not all(cut is not None and cut.onto for cut in one.cuts):
            # With an end that is free it is drawn out that way.
            continue
        travel = 4 * one.part.reach
        (left, below, under), (right, above, over) = low[number] - travel, high[number] + travel
        near = [
            parts[other]
            for other in tree.query(box(left, under, right, over)).tolist()
            if order[parts[other].part.tube.name] < order[one.part.tube.name]
            and low[other, 1] <= above
            and high[other, 1] >= below
        ]
        targets = [by_name[name] for cut in one.cuts if cut is not None for name in cut.onto]
        points = skin_rings(one, _AROUND, max(2 * one.part.reach, 1.0)).reshape(-1, 3)
        if not _slides_out(one, points, near, targets, travel) and not _swings_out(
            one, points, near, by_name, travel
        ):
            between = list(dict.fromkeys(target.part.called for target in targets))
            yield Finding(
                "cannot-go-in", "warning", one.part.called,
                said(
                    "With the tubes above it in place it cannot be put in between {targets}: not along its axis, not from a "
                    "side, and not swung about an end.",
                    targets=each_and(between),
                ),
                said("Move it up the list, before what bars its way, or leave one of those loose until it is in."),
            )  # fmt: skip


def _ways(part: Part, targets: Sequence[FittedPart]) -> Iterator[Floats]:
    """Unit vectors (3,) that the part is moved along, the likeliest first."""
    for end in part.ends:
        for target in targets:
            _, tangent, _ = nearest_on(target.part, end)
            yield tangent
            yield -tangent
    chord = np.array(part.path.vertices[-1]) - np.array(part.path.vertices[0])
    axis = chord / length(chord) if length(chord) > 1e-6 else part.path.directions[0]
    side = cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    side /= length(side)
    other = cross(axis, side)
    for step in range(_SIDES):
        turn = step * math.tau / _SIDES
        yield math.cos(turn) * side + math.sin(turn) * other
    yield axis
    yield -axis


def _slides_out(
    one: FittedPart,
    points: Floats,
    near: Sequence[FittedPart],
    targets: Sequence[FittedPart],
    travel: float,
) -> bool:
    """Whether one of the ways is free: no point of the skin (n, 3) enters what stands."""
    low, high = points.min(axis=0) - travel, points.max(axis=0) + travel
    pieces = [
        piece.grown(-_EASE_MM)
        for other in near
        for piece, bottom, top in zip(other.part.pieces, *other.part.bounds, strict=True)
        if np.all(bottom < high) and np.all(top > low)
    ]
    return any(
        all(not np.any(piece.entries(points, way, 0.0) <= travel) for piece in pieces)
        for way in _ways(one.part, targets)
    )


def _swings_out(
    one: FittedPart,
    points: Floats,
    near: Sequence[FittedPart],
    by_name: Mapping[str, FittedPart],
    travel: float,
) -> bool:
    """Whether it can be swung about an end, round what the end sits on, until its other end is clear."""
    span = length(np.array(one.part.path.vertices[-1]) - np.array(one.part.path.vertices[0]))
    for cut in one.cuts:
        assert cut is not None  # noqa: S101 - only parts with both ends cut are looked at
        target = by_name[cut.onto[0]].part
        nearest, axis, _ = nearest_on(target, cut.at)
        for sign in (1.0, -1.0):
            turns = sign * travel / max(span, travel) * np.array(_SHARES)
            swung = nearest + turned(points - nearest, axis, turns)
            if not any(
                float(depth_in(other, there)[0].max()) > _EASE_MM
                for there in swung
                for other in near
            ):
                return True
    return False
