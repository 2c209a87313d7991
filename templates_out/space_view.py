"""Views of a tube in space: centreline, silhouettes, true-length dimensions."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TypeAlias

import numpy as np

from geometry.arrays import Floats
from geometry.path import Arc as BendArc
from geometry.path import Path, Straight
from geometry.tolerances import CHORD_AIM_MM
from templates_out.bend_view import END_ON, View, offset_arc, xy
from templates_out.drawing import (
    CENTRELINE,
    OUTLINE,
    XY,
    Arc,
    Drawing,
    Item,
    Line,
    Pen,
    Polyline,
)

Strokes: TypeAlias = Sequence[tuple[float, Pen]]
"""How far to the left of a centreline each line runs, mm, and its pen."""
_LEAST, _MOST = 16, 4096
"""Intervals that a bend is sampled in at first."""
_MARGIN = 1.3
"""Between the thirds a curve may be farther off."""
_CHECKED = 1.2 * _MARGIN * 8 / 9
"""An arc's thirds are 8/9 as far off as its middle; as many intervals that none of an arc is cut once more."""


def space_view(path: Path, view: View, radius: float, scale: float = 1.0) -> Drawing:
    """Centreline and silhouettes of a tube in space as one view shows them.

    The silhouette of a pipe lies beside its centreline, at its radius, square to it in the view:
    there the pipe's normal is square to the line of sight. Lines that lie on one another in the view
    are drawn once.
    """
    items: list[Item] = []
    for segment in path.segments:
        if isinstance(segment, Straight):
            items += _straight_in_view(segment, view, radius, scale)
        else:
            strokes = ((0.0, CENTRELINE), (radius, OUTLINE), (-radius, OUTLINE))
            items += bend_in_view(segment, view, strokes, scale)
    items += _end_lines(path, view, radius, scale)
    return Drawing(tuple(merged_lines(items)))


def _straight_in_view(segment: Straight, view: View, radius: float, scale: float) -> list[Item]:
    if segment.length < 1e-6:
        return []
    flat = view.flat(np.array([segment.start, segment.end])) * scale
    way = view.flat((segment.end - segment.start)[None])[0] / segment.length
    size = math.hypot(way[0], way[1])
    if size < END_ON:
        return [Arc(xy(flat[0]), radius * scale, 0, 360, OUTLINE)]
    left = np.array([-way[1], way[0]]) / size * radius * scale
    return [
        Line(xy(flat[0] + away * left), xy(flat[1] + away * left), pen)
        for away, pen in ((0.0, CENTRELINE), (1.0, OUTLINE), (-1.0, OUTLINE))
    ]


def bend_in_view(
    segment: BendArc,
    view: View,
    strokes: Strokes,
    scale: float = 1.0,
    chord: float = CHORD_AIM_MM,
) -> list[Item]:
    """A bend as one view shows it: lines along its centreline, or beside that in the view, such as its silhouettes.

    Args:
        segment: the bend.
        view: which way it is looked at.
        strokes: how far to the left of the centreline each line runs, mm, and its pen.
        scale: drawn size over true size.
        chord: how near to the line the chords stay that are drawn for it, mm of the drawing.
    """
    in_view = abs(float(np.dot(segment.normal, view.sight)))
    if in_view < END_ON:
        return _edge_on(segment, view, strokes, scale)
    if in_view > 1 - 1e-12:
        return _arcs_in_view(segment, view, strokes, scale)

    frame = np.array([segment.centre, segment.outwards, segment.forwards])
    centre, outwards, forwards = view.flat(frame)
    aways = np.array([away for away, _ in strokes])

    def lines(turn: Floats) -> Floats:
        cosine, sine = np.cos(turn)[:, None], np.sin(turn)[:, None]
        way_x, way_y = (cosine * forwards - sine * outwards).T
        left = np.column_stack((-way_y, way_x)) / np.hypot(way_x, way_y)[:, None]
        at = centre + segment.radius * (cosine * outwards + sine * forwards)
        return np.asarray((at + aways[:, None, None] * left) * scale)

    sampled = sample_curves(lines, _places(segment, view, strokes, scale, chord), chord)
    return [
        Polyline(_thinned(points, chord / 10), False, pen)
        for points, (_, pen) in zip(sampled, strokes, strict=True)
    ]


def _places(segment: BendArc, view: View, strokes: Strokes, scale: float, chord: float) -> Floats:
    """Turns (n,) from a bend's start to its end between which its lines in a view are nearly arcs.

    Evenly, as many as an arc of the outermost line's radius needs that is seen square on. And about where the bend
    runs most nearly along the line of sight: there the way to its side swings round, the faster the more nearly the
    bend is seen edge on, and what lies between two even places may swing back before the next one.
    """
    reach = max(abs(away) for away, _ in strokes)
    count = math.ceil(
        segment.angle_rad * math.sqrt(_CHECKED * (segment.radius + reach) * scale / (8 * chord))
    )
    places = [np.linspace(0.0, segment.angle_rad, min(max(count, _LEAST), _MOST) + 1)]
    if reach * scale > chord:
        along = float(segment.forwards @ view.sight), float(segment.outwards @ view.sight)
        middle = -math.atan2(along[1], along[0]) % math.pi
        # Where the way to the side has swung by even steps: seen so flat, the turn for each is as much shorter.
        swings = math.ceil(math.pi / (2 * math.acos(1 - chord / (reach * scale))))
        swung = np.arange(1, swings) * (math.pi / swings)
        flat = abs(float(segment.normal @ view.sight))
        about = np.arctan2(flat * np.cos(swung), np.sin(swung))
        places += [middle + half + about for half in (-math.pi, 0.0, math.pi)]
    every = np.unique(np.concatenate(places))
    return np.asarray(every[(every >= 0.0) & (every <= segment.angle_rad)])


def _thinned(points: Floats, least: float) -> Floats:
    """A line (n, 2) without those of its points that are less than so far along it from the one before."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    if steps.min() >= least:
        return points
    walked = np.append(0.0, steps.cumsum())
    kept, last = [0], len(points) - 1
    # The last one is its end, and no other is close to that.
    while walked[kept[-1]] + 2 * least < walked[last]:
        kept.append(min(int(np.searchsorted(walked, walked[kept[-1]] + least)), last))
    kept = [one for one in kept if walked[one] <= walked[last] - least or one == 0]
    return np.asarray(points[[*kept, last]])


def sample_curves(
    curves: Callable[[Floats], Floats], places: Floats, chord: float = CHORD_AIM_MM
) -> Floats:
    """Points (k, n, 2) of k curves, all at the same n places.

    Intervals are cut in three until the curves at the thirds lie close enough to their chords.

    Args:
        curves: their points (k, n, 2) at parameters (n,).
        places: parameters (m,) from the curves' start to their end, that are not to be far apart where a curve swings.
        chord: how near to the curves the chords stay.
    """
    place, points = places, curves(places)
    for _ in range(40):
        third = np.diff(place) / 3
        thirds = np.column_stack((place[:-1] + third, place[1:] - third))
        at = curves(thirds.ravel())
        at = at.reshape(len(at), -1, 2, 2)
        off = _from_chord(points[:, :-1, None], points[:, 1:, None], at).max(axis=(0, 2))
        rough = np.flatnonzero(off * _MARGIN > chord)
        if rough.size == 0:
            break
        new = np.repeat(rough + 1, 2)
        place = np.insert(place, new, thirds[rough].ravel())
        points = np.insert(points, new, at[:, rough].reshape(len(at), -1, 2), axis=1)
    return points


def _from_chord(start: Floats, end: Floats, points: Floats) -> Floats:
    """Distances (...,) of points (..., 2) from the chords that should pass near them."""
    way, to = end - start, points - start
    square = np.maximum(np.einsum("...i,...i->...", way, way), 1e-24)
    along = np.clip(np.einsum("...i,...i->...", to, way) / square, 0.0, 1.0)
    beside = to - along[..., None] * way
    return np.asarray(np.hypot(beside[..., 0], beside[..., 1]))


def _edge_on(segment: BendArc, view: View, strokes: Strokes, scale: float) -> list[Item]:
    """A bend whose plane is seen edge on: straight, and round where it turns back."""
    ends = view.flat(segment.points(np.array([0.0, segment.angle_rad]))) * scale
    middle = view.flat(segment.centre[None])[0] * scale
    out, ahead = view.flat(np.array([segment.outwards, segment.forwards]))
    # Along the edge the bend runs as R (out cos + ahead sin), farthest at the turn below.
    way = out if np.hypot(*out) > np.hypot(*ahead) else ahead
    way = way / math.hypot(way[0], way[1])
    turn = math.atan2(float(np.dot(ahead, way)), float(np.dot(out, way)))
    turns = [
        t for t in (turn, turn + math.pi, turn - math.pi) if 1e-9 < t < segment.angle_rad - 1e-9
    ]
    tips = [
        middle + segment.radius * scale * (math.cos(t) * out + math.sin(t) * ahead) for t in turns
    ]
    left = np.array([-way[1], way[0]]) * scale
    items: list[Item] = []
    stops = [ends[0], *tips, ends[1]]
    for start, end in zip(stops[:-1], stops[1:], strict=True):
        if math.dist(start, end) < 1e-9:
            continue
        items += [
            Line(xy(start + away * left), xy(end + away * left), pen) for away, pen in strokes
        ]
    radius, pen = max(strokes, key=lambda stroke: stroke[0])
    for tip in tips:
        outwards = tip - middle
        facing = math.degrees(math.atan2(outwards[1], outwards[0]))
        items.append(Arc(xy(tip), radius * scale, facing - 90, facing + 90, pen))
    return items


def merged_lines(items: Sequence[Item]) -> list[Item]:
    """The items with lines of one pen that lie on one another joined, and no arc twice."""
    kept: list[Item] = []
    lines: dict[Pen, list[Line]] = {}
    arcs: set[tuple[Pen, tuple[float, ...]]] = set()
    for item in items:
        if isinstance(item, Line):
            lines.setdefault(item.pen, []).append(item)
        elif isinstance(item, Arc):
            numbers = (
                *item.centre,
                item.radius,
                item.start_deg % 360,
                item.end_deg - item.start_deg,
            )
            key = (item.pen, tuple(round(value, 6) for value in numbers))
            if key not in arcs:
                arcs.add(key)
                kept.append(item)
        else:
            kept.append(item)
    for pen, same in lines.items():
        kept += [Line(start, end, pen) for start, end in _joined(same)]
    return kept


def _joined(lines: list[Line]) -> list[tuple[XY, XY]]:
    """Segments with those on the same line that touch or overlap joined into one."""
    groups: dict[tuple[float, float, float], list[tuple[float, float, Line]]] = {}
    for line in lines:
        (x0, y0), (x1, y1) = line.start, line.end
        length = math.hypot(x1 - x0, y1 - y0)
        if length < 1e-6:
            continue
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        if ux < -1e-9 or (abs(ux) <= 1e-9 and uy < 0):
            ux, uy = -ux, -uy
        # Rounded to 1e-5: lines nearer than that are one line in every reader.
        key = (round(ux, 7) + 0.0, round(uy, 7) + 0.0, round(x0 * uy - y0 * ux, 5) + 0.0)
        a, b = x0 * ux + y0 * uy, x1 * ux + y1 * uy
        groups.setdefault(key, []).append((min(a, b), max(a, b), line))
    found: list[tuple[XY, XY]] = []
    for spans in groups.values():
        spans.sort(key=lambda span: (span[0], span[1]))
        runs: list[list[tuple[float, float, Line]]] = []
        reach = -math.inf
        for span in spans:
            if runs and span[0] < reach - 1e-6:
                runs[-1].append(span)
            else:
                runs.append([span])
                reach = -math.inf
            reach = max(reach, span[1])
        found += [_span_ends(run) for run in runs]
    return found


def _span_ends(run: list[tuple[float, float, Line]]) -> tuple[XY, XY]:
    """Both ends of a run of overlapping segments; a lone one stays as it is."""
    if len(run) == 1:
        return run[0][2].start, run[0][2].end
    first = min(run, key=lambda span: span[0])[2]
    last = max(run, key=lambda span: span[1])[2]
    x0, y0 = first.start
    ends = [*(line.start for _, _, line in run), *(line.end for _, _, line in run)]
    ux, uy = last.end[0] - last.start[0], last.end[1] - last.start[1]
    place = [(x - x0) * ux + (y - y0) * uy for x, y in ends]
    return ends[place.index(min(place))], ends[place.index(max(place))]


def _arcs_in_view(segment: BendArc, view: View, strokes: Strokes, scale: float) -> list[Item]:
    """A bend whose plane is the view's: true arcs."""
    centre, outwards, forwards = view.flat(
        np.array([segment.centre, segment.outwards, segment.forwards])
    )
    flat = BendArc(
        np.array([*centre, 0.0]),
        segment.radius,
        segment.angle_rad,
        np.array([*outwards, 0.0]),
        np.array([*forwards, 0.0]),
    )
    return [offset_arc(flat, away, pen, scale) for away, pen in strokes]


def _end_lines(path: Path, view: View, radius: float, scale: float) -> list[Item]:
    items: list[Item] = []
    for point, way in (
        (path.vertices[0], path.directions[0]),
        (path.vertices[-1], path.directions[-1]),
    ):
        flat_way = view.flat(way[None])[0]
        size = math.hypot(flat_way[0], flat_way[1])
        if size < END_ON:
            continue
        left = np.array([-flat_way[1], flat_way[0]]) / size * radius
        middle = view.flat(np.array([point]))[0]
        items.append(Line(xy((middle + left) * scale), xy((middle - left) * scale), OUTLINE))
    return items
