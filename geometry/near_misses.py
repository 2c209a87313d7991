"""What looks like a slip of the keys in a frame: ends that almost touch, parts that are almost mirrored."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from shapely import Point as Spot
from shapely import STRtree, box

from geometry.arrays import Floats
from geometry.findings import Finding
from geometry.fitup import Fitted, FittedPart
from geometry.frame import END_WORDS
from geometry.lengths import mm
from geometry.parts import Part, PartEnd
from geometry.said import listed, put_together, said
from geometry.tolerances import SAME_PLACE_MM

SLIP_MM = 3.0
"""A gap up to this is more likely a slip than meant; common practice, no source."""
_SHORT_MM = 30.0
"""An end that should sit on something is said to stop short of it up to this."""
_MIRROR_SLIP_MM = 5.0
_TOUCHES_MM = 0.02


def point_pairs(points: Mapping[str, Floats], apart: float) -> Iterator[tuple[str, str, float]]:
    """Pairs of points no farther from each other than ``apart`` mm, and their distance."""
    names = list(points)
    if len(names) < 2:
        return
    spots = np.array([points[name] for name in names])
    seen = [Spot(x, z) for x, _, z in spots.tolist()]
    for one, two in STRtree(seen).query(seen, predicate="dwithin", distance=apart).T.tolist():
        away = float(np.linalg.norm(spots[one] - spots[two]))
        if one < two and away <= apart:
            yield names[one], names[two], away


def almost_one_place(points: Mapping[str, Floats]) -> Iterator[Finding]:
    """Points that are almost, and not quite, in one place."""
    for one, two, away in point_pairs(points, SLIP_MM):
        if away >= SAME_PLACE_MM:
            yield Finding(
                "almost-touching", "warning", said("points {one} and {other}", one=one, other=two),
                said("They are {away} apart, which looks like a slip.", away=mm(away)),
                said("If they are meant to be one, use one of the two."),
            )  # fmt: skip


def almost_touching(parts: Sequence[FittedPart], joined: set[frozenset[str]]) -> Iterator[Finding]:
    """Ends that sit on nothing and stop just short of a part."""
    if len(parts) < 2:
        return
    low = np.array([one.part.bounds[0].min(axis=0) for one in parts])
    high = np.array([one.part.bounds[1].max(axis=0) for one in parts])
    tree = STRtree(box(low[:, 0], low[:, 2], high[:, 0], high[:, 2]))
    for one in parts:
        for cut, end in zip(one.cuts, one.part.ends, strict=True):
            if cut is not None and cut.onto:
                continue
            reach = one.part.reach + (SLIP_MM if cut is not None else _SHORT_MM)
            x, _, z = end.point
            for number in tree.query(box(x - reach, z - reach, x + reach, z + reach)).tolist():
                other = parts[number]
                if other is one or frozenset((one.part.name, other.part.name)) in joined:
                    continue
                if other.part.hand and other.part.tube is one.part.tube:
                    continue
                gap = _short_of(end, other, cut.beyond if cut is not None else 0.0)
                if _TOUCHES_MM < gap <= (_SHORT_MM if cut is None else SLIP_MM):
                    yield Finding(
                        "almost-touching", "warning", end.where,
                        said(
                            "It stops {gap} short of {target}, which looks like a slip.",
                            gap=mm(gap), target=other.part.called,
                        ),
                        said("If they are meant to meet, bring the end's point to the middle of that tube."),
                    )  # fmt: skip


def _short_of(end: PartEnd, other: FittedPart, beyond: float) -> float:
    """How far an end that stops ``beyond`` its point is short of a part that lies ahead of it, mm."""
    starts = end.spread(end.part.outline.at(np.linspace(0.0, end.part.outline.girth, 25)[:-1]))
    starts = starts + beyond * end.axis
    return min(
        float(np.min(piece.entries(starts, end.axis, 0.0), initial=np.inf))
        for piece in other.part.pieces
    )


def almost_mirrored(fitted: Fitted) -> Iterator[Finding]:
    """Parts that are almost, and not quite, each other's mirror image, or their own."""
    lone = [one.part for one in fitted.parts if not one.part.hand]
    across = np.array([1.0, -1.0, 1.0])
    corners = [np.array(part.path.vertices) for part in lone]
    middles = np.array([corner.mean(axis=0) for corner in corners]).reshape(-1, 3)
    if not len(middles):
        return
    seen = [Spot(x, z) for x, _, z in middles.tolist()]
    pairs = STRtree(seen).query(seen, predicate="dwithin", distance=_MIRROR_SLIP_MM).T.tolist()
    for one, two in pairs:
        same = lone[one].stock.section == lone[two].stock.section
        if one > two or corners[one].shape != corners[two].shape or not same:
            continue
        image = corners[one] * across
        orders = (corners[two][::-1],) if one == two else (corners[two], corners[two][::-1])
        off = min(float(np.max(np.linalg.norm(image - other, axis=1))) for other in orders)
        if SAME_PLACE_MM < off < _MIRROR_SLIP_MM:
            yield (
                _almost_own_image(lone[one], off)
                if one == two
                else _almost_images(lone[one], lone[two], off)
            )


def _almost_own_image(part: Part, off: float) -> Finding:
    return Finding(
        "almost-mirrored", "warning", part.called,
        said("It is almost its own mirror image, but {off} off.", off=mm(off)),
        said("If both sides are to be alike, make one point the mirror image of the other."),
    )  # fmt: skip


def _almost_images(one: Part, other: Part, off: float) -> Finding:
    return Finding(
        "almost-mirrored", "warning", listed((one.called, other.called)),
        said("They are almost mirror images of each other, but {off} off.", off=mm(off)),
        said(
            "If both sides are to be alike, make one point the mirror image of the other, or one handed tube of the two."
        ),
    )  # fmt: skip


def hands_differ(parts: Sequence[FittedPart]) -> Iterator[Finding]:
    """Handed tubes whose two hands are not cut as mirror images: what they meet is not mirrored."""
    left = {one.part.tube.name: one for one in parts if one.part.hand == "left"}
    for one in parts:
        other = left.get(one.part.tube.name)
        if one.part.hand != "right" or other is None:
            continue
        for mine, its in zip(one.cuts, other.cuts, strict=True):
            if mine is None or its is None:
                continue
            # A polyline of each: as far apart as both are from the true line, and not more.
            girth = mine.at.part.outline.girth
            places = np.linspace(0.0, girth, 73)[1:-1]
            own = np.interp(places, mine.round_mm, mine.heights)
            image = np.interp(girth - places, its.round_mm, its.heights)
            off = float(np.quantile(np.abs(own - image), 0.9))
            if off > 0.1:
                yield Finding(
                    "hands-differ", "note", put_together(", ", (one.part.tube.name, END_WORDS[mine.at.name])),
                    said(
                        "Its two hands are not cut as mirror images, by up to {off}: they, or what they sit on, are not mirrored.",
                        off=mm(off),
                    ),
                    said("Use each hand's own wrap, and look whether the difference is meant."),
                )  # fmt: skip
