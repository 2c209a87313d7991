"""Views of a bent tube: one true view of a flat one, three of one in space."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.bend import bend_table
from geometry.path import Arc as BendArc
from geometry.path import Path, Straight
from geometry.units import format_mm
from templates_out.drawing import (
    CENTRELINE,
    FOLD,
    OUTLINE,
    XY,
    Anchor,
    AngleDim,
    Arc,
    Drawing,
    Item,
    Line,
    LinearDim,
    Pen,
    Polyline,
    RadiusDim,
    Text,
)
from templates_out.fonts import text_width

END_ON = 1e-6
"""A direction whose length in the view is under this is seen end on."""


@dataclass(frozen=True, eq=False)
class View:
    """A direction of looking: what is to the right and what is up on the drawing.

    Attributes:
        name: in words.
        right: unit vector (3,).
        up: unit vector (3,), square to ``right``; the viewer is at ``right x up``.
    """

    name: str
    right: Floats
    up: Floats

    def flat(self, points: Floats) -> Floats:
        """Points (n, 3) as seen, (n, 2)."""
        return np.column_stack((points @ self.right, points @ self.up))


_X, _Y, _Z = np.eye(3)
# Vehicle axes of ISO 8855: x forward, y to the left, z up.
FROM_RIGHT = View("from the right (x to the right, z up)", _X, _Z)
FROM_ABOVE = View("from above (x to the right, y up)", _X, _Y)
FROM_FRONT = View("from the front (y to the right, z up)", _Y, _Z)
PICTORIAL = View(
    "from the right, the front and above",
    (_X + _Y) / math.sqrt(2),
    (_Y + 2 * _Z - _X) / math.sqrt(6),
)


def true_view(path: Path) -> View | None:
    """The view that shows a flat path in true size; None for a path in space."""
    first = path.directions[0]
    if not path.radii:
        normal = np.cross(first, _Z if abs(first[2]) < 0.9 else _Y)
        normal /= np.linalg.norm(normal)
    elif path.plane is None:
        return None
    else:
        normal = path.plane[1]
    for view in (FROM_RIGHT, FROM_ABOVE, FROM_FRONT):
        if abs(np.dot(np.cross(view.right, view.up), normal)) > 1 - 1e-9:
            return view
    inwards = path.directions[1] if path.radii else np.cross(normal, first)
    up = inwards - np.dot(inwards, first) * first
    return View(
        "square to its plane (first leg to the right, first bend up)",
        first,
        up / np.linalg.norm(up),
    )


def flat_path(path: Path, view: View) -> Path:
    """A flat path in the view's own coordinates, z = 0, tangent to tangent."""
    corners = view.flat(np.array(path.vertices))
    return Path(tuple((float(x), float(y), 0.0) for x, y in corners), path.radii)


def profile(flat: Path, radius: float, scale: float = 1.0) -> Drawing:
    """Centreline, both silhouettes and the ends of a flat tube, as lines and true arcs.

    Args:
        flat: the path in the drawing's plane, z = 0.
        radius: outside radius of the tube, mm.
        scale: drawn size over true size.
    """
    items: list[Item] = []
    for away, pen in ((0.0, CENTRELINE), (radius, OUTLINE), (-radius, OUTLINE)):
        for segment in flat.segments:
            if isinstance(segment, Straight):
                items += _offset_line(segment, away, pen, scale)
            else:
                items.append(offset_arc(segment, away, pen, scale))
    ends = ((flat.vertices[0], flat.directions[0]), (flat.vertices[-1], flat.directions[-1]))
    for point, way in ends:
        left = np.array([-way[1], way[0]]) * radius
        middle = np.array(point[:2])
        items.append(Line(xy((middle + left) * scale), xy((middle - left) * scale), OUTLINE))
    return Drawing(tuple(items))


def xy(point: Floats) -> XY:
    """The first two coordinates of a point (n,), as plain numbers."""
    return (float(point[0]), float(point[1]))


def _offset_line(segment: Straight, away: float, pen: Pen, scale: float) -> list[Item]:
    if segment.length < 1e-6:
        return []
    way = (segment.end - segment.start) / segment.length
    left = np.array([-way[1], way[0]]) * away
    return [Line(xy((segment.start[:2] + left) * scale), xy((segment.end[:2] + left) * scale), pen)]


def offset_arc(segment: BendArc, away: float, pen: Pen, scale: float) -> Arc:
    """A flat bend's arc ``away`` mm to the left of its centreline."""
    turns_left = segment.normal[2] > 0
    radius = segment.radius - away if turns_left else segment.radius + away
    start = math.degrees(math.atan2(segment.outwards[1], segment.outwards[0]))
    sweep = math.degrees(segment.angle_rad)
    if not turns_left:
        start -= sweep
    return Arc(xy(segment.centre * scale), radius * scale, start, start + sweep, pen)


def profile_dims(flat: Path, radius: float, scale: float, height: float) -> Drawing:
    """Dimensions of a flat tube: straights, bend angles, radii; values are those of the table."""
    items: list[Item] = []
    rows = bend_table(flat)
    turns = [segment.normal[2] > 0 for segment in flat.segments if isinstance(segment, BendArc)]
    straights = [segment for segment in flat.segments if isinstance(segment, Straight)]
    for index, segment in enumerate(straights):
        length = flat.straights[index]
        if length < 1e-6:
            continue
        # On the outside of the bend that follows, or of the last one.
        left = turns[min(index, len(turns) - 1)] if turns else True
        # Beyond the angles, which stand nearer the corners.
        away = radius * scale + 9 * height
        items.append(
            LinearDim(
                xy(segment.start * scale),
                xy(segment.end * scale),
                -away if left else away,
                length,
                height,
            )
        )
    arcs = [segment for segment in flat.segments if isinstance(segment, BendArc)]
    for index, (arc, row) in enumerate(zip(arcs, rows, strict=True)):
        corner = np.array(flat.vertices[index + 1][:2]) * scale
        way = flat.directions[index]
        direction = math.degrees(math.atan2(way[1], way[0]))
        sweep = row.angle_deg
        start = direction if turns[index] else direction - sweep
        reach = radius * scale + 5 * height
        items.append(AngleDim(xy(corner), start, start + sweep, reach, sweep, height))
        out = math.radians(_direction(arc, 0.5))
        items.append(
            RadiusDim(
                xy(arc.centre * scale), arc.radius * scale, math.degrees(out), arc.radius, height
            )
        )
        beyond = (arc.radius + radius) * scale + 2 * height
        beyond += text_width(f"bend {index + 1}", height) / 2 * abs(math.cos(out))
        at = arc.centre[:2] * scale + beyond * np.array([math.cos(out), math.sin(out)])
        items.append(
            Text((float(at[0]), float(at[1]) - height / 2), f"bend {index + 1}", height, "centre")
        )
    return Drawing(tuple(items))


def _direction(arc: BendArc, share: float) -> float:
    """Direction from a flat arc's centre to a share of its turn, degrees."""
    turn = arc.angle_rad * share
    out = arc.outwards * math.cos(turn) + arc.forwards * math.sin(turn)
    return math.degrees(math.atan2(out[1], out[0]))


def end_marks(
    corners: Floats,
    ways: Floats,
    trim: tuple[float, float],
    radius: float,
    scale: float,
    height: float,
) -> Drawing:
    """The words "start" and "finish" beyond the tube's ends, and the trim left on there, dashed.

    Args:
        corners: the path's points on the drawing, (n, 2).
        ways: direction of each leg on the drawing, (n - 1, 2), shorter than 1 where it leans.
        trim: left on at the start and at the finish, mm.
        radius: outside radius of the tube, mm.
        scale: drawn size over true size.
        height: of the letters.
    """
    items: list[Item] = []
    inner = (-ways[min(1, len(ways) - 1)], ways[max(len(ways) - 2, 0)])
    for word, point, way, aside, left_on in zip(
        ("start", "finish"), corners[[0, -1]], (-ways[0], ways[-1]), inner, trim, strict=True
    ):
        size = math.hypot(way[0], way[1])
        if size < 0.05:
            # Seen end on: on the side away from the leg that comes into view.
            out = aside / max(math.hypot(aside[0], aside[1]), 1e-9)
            away = radius * scale + height + text_width(word, height) / 2 * abs(out[0])
            x, y = point + away * out
            items.append(Text((float(x), float(y) - height / 2), word, height, "centre"))
            continue
        out = way / size
        end = point + way * left_on * scale
        if left_on:
            left = np.array([-out[1], out[0]]) * radius * scale
            edge = np.array([point + left, end + left, end - left, point - left])
            items.append(Polyline(edge, False, FOLD))
            word += f" (trim {format_mm(left_on)})"
        x, y = end + out * 2 * height
        anchor: Anchor = "left" if out[0] > 0.3 else "right" if out[0] < -0.3 else "centre"
        items.append(Text((float(x), float(y) - height / 2), word, height, anchor))
    return Drawing(tuple(items))
