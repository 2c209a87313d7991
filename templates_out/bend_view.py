"""Views of a bent tube: one true view of a flat one, three of one in space."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np

from geometry.arrays import Floats
from geometry.bend import bend_table
from geometry.lengths import in_inches, mm
from geometry.path import Arc as BendArc
from geometry.path import Path, Straight
from geometry.tolerances import STRAIGHT_RAD
from geometry.vectors import cross
from templates_out.dimension import dimension_strokes
from templates_out.drawing import (
    CENTRELINE,
    FOLD,
    OUTLINE,
    XY,
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
from templates_out.room import Room

_Dim = TypeVar("_Dim", AngleDim, RadiusDim)
_INSIDE_DEG = 100.0
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

    @cached_property
    def sight(self) -> Floats:
        """Unit vector (3,) towards the viewer."""
        return cross(self.right, self.up)

    @cached_property
    def _across(self) -> Floats:
        return np.column_stack((self.right, self.up))

    def flat(self, points: Floats) -> Floats:
        """Points (n, 3) as seen, (n, 2)."""
        return np.asarray(points @ self._across)


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
        if abs(np.dot(view.sight, normal)) > 1 - 1e-9:
            return view
    inwards = path.directions[1] if path.radii else np.cross(normal, first)
    up = inwards - np.dot(inwards, first) * first
    return View(
        "square to its plane (first leg to the right, first bend up)",
        first,
        up / np.linalg.norm(up),
    )


def flat_path(path: Path, view: View) -> Path:
    """A flat path in the view's own coordinates, z = 0, tangent to tangent.

    A bend that turns only out of the plane, by the hair that counts as flat, is none in it.
    """
    corners = view.flat(np.array(path.vertices))
    ways = np.diff(corners, axis=0)
    one, two = ways[:-1], ways[1:]
    across = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    turns = np.abs(np.arctan2(across, np.sum(one * two, axis=1)))
    bent = turns > 2 * STRAIGHT_RAD
    corners = corners[np.concatenate(([True], bent, [True]))]
    radii = tuple(radius for radius, kept in zip(path.radii, bent, strict=True) if kept)
    return Path(tuple((float(x), float(y), 0.0) for x, y in corners), radii)


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


def profile_dims(
    flat: Path,
    radius: float,
    scale: float,
    height: float,
    *,
    skip: Collection[int] = (),
) -> Drawing:
    """Dimensions of a flat tube: straights, bend angles, radii; values are those of the table.

    Args:
        flat: the path in the drawing's plane, z = 0.
        radius: outside radius of the tube, mm.
        scale: drawn size over true size.
        height: of the letters.
        skip: straights, counted from 0, that have their dimension elsewhere.
    """
    items: list[Item] = []
    rows = bend_table(flat)
    turns = [arc.normal[2] > 0 for arc in flat.arcs]
    inside = len(rows) == 1 and rows[0].angle_deg <= _INSIDE_DEG
    for index, segment in enumerate(flat.straight_pieces):
        length = flat.straights[index]
        if length < 1e-6 or index in skip:
            continue
        # On the outside of the bend that follows, or of the last one.
        left = turns[min(index, len(turns) - 1)] if turns else True
        if index == 1 and inside:
            # After a lone bend, inside it: outside, its ends' lines would cross the angle.
            left = not left
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
    # A straight's dimension on the same side begins with a line that may run through the angle.
    room = Room(profile(flat, radius, scale) + Drawing(tuple(items)))
    for index, row in enumerate(rows):
        corner = np.array(flat.vertices[index + 1][:2]) * scale
        way = flat.directions[index]
        direction = math.degrees(math.atan2(way[1], way[0]))
        sweep = row.angle_deg
        start = direction if turns[index] else direction - sweep
        # Where the legs part slowly the figure stands farther out, clear of the tube.
        parting = (radius * scale + 1.5 * height) / math.sin(math.radians(sweep) / 2)
        reach = radius * scale + min(
            max(5 * height, parting - radius * scale - 1.5 * height), 12 * height
        )
        tries = [
            AngleDim(
                xy(corner), start, start + sweep, reach + farther * height, sweep, height, share
            )
            for farther in (0.0, 2.5, 5.0)
            for share in _ANGLE_SHARES
        ]
        items.append(_clearest(tries, room))
    room = Room(profile(flat, radius, scale) + Drawing(tuple(items)))
    for arc in flat.arcs:
        items.append(_clear_radius(arc, room, radius, scale, height))
    return Drawing(tuple(items))


_ANGLE_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)
_RADIUS_SHARES = (0.5, 0.1, 0.3, 0.7, 0.9)


def _clear_radius(
    arc: BendArc, room: Room, radius: float, scale: float, height: float
) -> RadiusDim:
    """A flat bend's radius, its figure, which is written there, clear of the rest: near the tube or beyond the centre."""
    near, across = radius * scale + height, arc.radius * scale
    tries = [
        RadiusDim(xy(arc.centre * scale), across, _direction(arc, share), arc.radius, height, clear)
        for clear in (near, *(across + by * height for by in (1.0, 2.5, 4.0)))
        for share in _RADIUS_SHARES
        if clear >= near
    ]
    return _clearest(tries, room)


def _clearest(tries: Sequence[_Dim], room: Room) -> _Dim:
    """The first of some dimensions whose figure stands clear of the rest, or the one with least in its way."""
    figures = [
        item for dim in tries for item in dimension_strokes(dim).items if isinstance(item, Text)
    ]
    return tries[figures.index(room.best(figures))]


def _direction(arc: BendArc, share: float) -> float:
    """Direction from a flat arc's centre to a share of its turn, degrees."""
    turn = arc.angle_rad * share
    out = arc.outwards * math.cos(turn) + arc.forwards * math.sin(turn)
    return math.degrees(math.atan2(out[1], out[0]))


def bar_ends(
    corners: Floats, ways: Floats, ends: tuple[float, float], radius: float, scale: float
) -> Drawing:
    """Where the bar ends, dashed: what is left on beyond the path's ends, or a line across short of them.

    Args:
        corners: the path's points on the drawing, (n, 2).
        ways: direction of each leg on the drawing, (n - 1, 2), shorter than 1 where it leans.
        ends: how far the bar stands beyond the path's start and finish, mm; negative where it is short of them.
        radius: outside radius of the tube, mm.
        scale: drawn size over true size.
    """
    items: list[Item] = []
    for point, way, beyond in zip(corners[[0, -1]], (-ways[0], ways[-1]), ends, strict=True):
        size = math.hypot(way[0], way[1])
        if size < 0.05 or abs(beyond) < 0.05:
            continue
        left = np.array([-way[1], way[0]]) / size * radius * scale
        end = point + way * beyond * scale
        if beyond > 0:
            edge = np.array([point + left, end + left, end - left, point - left])
            items.append(Polyline(edge, False, FOLD))
        else:
            items.append(Line(xy(end + left), xy(end - left), FOLD))
    return Drawing(tuple(items))


def place_names(
    path: Path,
    view: View,
    scale: float,
    ends: tuple[float, float],
    fitted: bool,
    inches: bool = False,
) -> list[tuple[str, XY, XY]]:
    """What to write beside the ends and the bends in a view: the word, the place, and the way off it.

    Args:
        path: the centreline.
        view: of it.
        scale: drawn size over true size.
        ends: how far the bar stands beyond the path's start and finish, mm.
        fitted: the bar is cut to fitted ends; else what is beyond the path is trim.
        inches: say how far in both; a word, unlike a dimension, is the same on the screen as on a drawing in mm.
    """
    points = view.flat(np.array([path.vertices[0], path.vertices[-1]])) * scale
    ways = view.flat(np.array([-path.directions[0], path.directions[-1]]))
    inner = view.flat(np.array([-path.directions[1], path.directions[-2]])) if path.radii else ways
    named = []
    for word, at, way, aside, beyond in zip(
        ("start", "finish"), points, ways, inner, ends, strict=True
    ):
        if abs(beyond) >= 0.05:
            by = mm(abs(beyond) if fitted else beyond, places=1)
            figure = f"{by}, {in_inches(by)}" if inches else by.removesuffix(" mm")
            far = f"{figure} {'past' if beyond > 0 else 'before'} it"
            word += f" (bar ends {far})" if fitted else f" (trim {figure})"
        # Seen end on: on the side away from the leg that comes into view.
        out = way if math.hypot(way[0], way[1]) > 0.05 else aside
        named.append((word, xy(at + way * max(beyond, 0.0) * scale), xy(out)))
    for number, arc in enumerate(path.arcs, 1):
        middle = arc.points(np.array([arc.angle_rad / 2]))
        out = view.flat((middle[0] - arc.centre)[None])[0]
        if math.hypot(out[0], out[1]) < 0.05 * arc.radius:
            out = np.array([0.0, 1.0])
        named.append((f"bend {number}", xy(view.flat(middle)[0] * scale), xy(out)))
    return named
