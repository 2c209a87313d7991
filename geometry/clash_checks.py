"""Parts of a frame that are not joined and yet run through each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from shapely import STRtree, box

from geometry.arrays import Floats
from geometry.findings import Finding
from geometry.fitup import FittedPart
from geometry.lengths import mm, place
from geometry.parts import Part
from geometry.path import Arc
from geometry.said import listed, said
from geometry.section import RoundTube
from geometry.skin import depth_in, skin_rings

_CLASH_MM = 0.5
_ARC_STEP_RAD = math.radians(4.0)


def clashes(parts: Sequence[FittedPart], joined: set[frozenset[str]]) -> Iterator[Finding]:
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
            yield _clash(first, second, deep, at, again=bool(joints))


def _clash(one: Part, other: Part, deep: float, at: Floats, *, again: bool) -> Finding:
    """Two parts that run into each other, once more where they are joined elsewhere."""
    so = {"deep": mm(deep, places=1), "place": place(at.tolist(), places=0)}
    return Finding(
        "clash", "error", listed((one.called, other.called)),
        said("They meet once more and run {deep} into each other near {place}.", **so)
        if again
        else said("They are not joined and run {deep} into each other near {place}.", **so),
        said("Move one of them, or let an end of one sit on the other."),
    )  # fmt: skip


def _width(part: Part) -> float:
    """The part's least breadth, mm."""
    section = part.section
    return section.od if isinstance(section, RoundTube) else min(section.width, section.height)


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
