"""A bent tube at the largest standard scale that its space allows, view by view."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from geometry.bend_plan import BendResult
from geometry.path import Arc as BendArc
from geometry.path import Path
from templates_out.bend_view import (
    FROM_ABOVE,
    FROM_FRONT,
    FROM_RIGHT,
    PICTORIAL,
    View,
    end_marks,
    flat_path,
    profile,
    profile_dims,
    true_view,
)
from templates_out.canvas import box_of, extents
from templates_out.drawing import SMALL_MM, XY, Drawing, Text
from templates_out.fonts import text_width
from templates_out.paper import Box
from templates_out.space_view import bend_names, space_view, true_length_dims

# ISO 5455 has 1, 2, 5, 10, ...; the steps between show a tube larger, and the sheet states its scale.
SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)

_NAME_BELOW, _GAP_DOWN, _GAP_ACROSS = 2.2, 3.0, 4.0
"""In letter heights: a view's name below it, and the gaps between views."""
_VIEWS = (FROM_RIGHT, FROM_ABOVE, FROM_FRONT, PICTORIAL)


@dataclass(frozen=True, eq=False)
class Shown:
    """One view of the tube.

    Attributes:
        view: which way it is looked at.
        bare: what is seen, the space's origin at the drawing's.
        box: round what is seen, before it is moved.
        origin: where the space's origin stands on the picture.
    """

    view: View
    bare: Drawing
    box: Box
    origin: XY = (0.0, 0.0)

    @property
    def drawing(self) -> Drawing:
        """What is seen, where it stands."""
        return self.bare.placed(*self.origin)

    @property
    def placed_box(self) -> Box:
        """The box where it stands."""
        (x, y), box = self.origin, self.box
        return Box(box.left + x, box.bottom + y, box.right + x, box.top + y)

    def moved(self, dx: float, dy: float) -> Shown:
        """The view moved on the picture."""
        x, y = self.origin
        return replace(self, origin=(x + dx, y + dy))


@dataclass(frozen=True, eq=False)
class TubePicture:
    """The tube in one view or several.

    Attributes:
        scale: drawn size over true size.
        views: in the order they are drawn.
    """

    scale: float
    views: tuple[Shown, ...]

    @cached_property
    def drawing(self) -> Drawing:
        """All views."""
        return Drawing(tuple(item for shown in self.views for item in shown.drawing.items))

    @property
    def box(self) -> Box:
        """Round all views."""
        boxes = [shown.placed_box for shown in self.views]
        return Box(
            min(box.left for box in boxes),
            min(box.bottom for box in boxes),
            max(box.right for box in boxes),
            max(box.top for box in boxes),
        )

    def moved(self, dx: float, dy: float) -> TubePicture:
        """The picture moved on its sheet."""
        return TubePicture(self.scale, tuple(shown.moved(dx, dy) for shown in self.views))


def tube_picture(result: BendResult, scale: float, height: float) -> TubePicture:
    """The tube in its true view with dimensions, or in three views and a pictorial one.

    Args:
        result: the bent tube.
        scale: drawn size over true size.
        height: of the letters, mm on the drawing.
    """
    view = true_view(result.job.path)
    if view is not None:
        return TubePicture(scale, (_true_shown(result, view, scale, height),))
    return TubePicture(scale, _first_angle(_space_shown(result, scale, height), height))


def _true_shown(result: BendResult, view: View, scale: float, height: float) -> Shown:
    job, radius = result.job, result.job.tube.radius
    flat = flat_path(job.path, view)
    picture = profile(flat, radius, scale) + profile_dims(flat, radius, scale, height)
    corners, ways = np.array(flat.vertices)[:, :2] * scale, flat.directions[:, :2]
    picture += end_marks(corners, ways, job.shown_trim, radius, scale, height)
    return _named(picture, view, height)


def _space_shown(result: BendResult, scale: float, height: float) -> list[Shown]:
    """The views of a tube in space, not yet arranged."""
    job, radius, path = result.job, result.job.tube.radius, result.job.path
    done: set[int] = set()
    seen = []
    for view, bare in zip(_VIEWS, _bare_views(path, radius), strict=True):
        picture = bare.scaled(scale)
        if view is not PICTORIAL:
            picture += true_length_dims(path, view, radius, scale, height, done)
        picture += bend_names(path, view, radius, scale, height)
        corners = view.flat(np.array(path.vertices)) * scale
        picture += end_marks(
            corners, view.flat(path.directions), job.shown_trim, radius, scale, height
        )
        seen.append(_named(picture, view, height))
    return seen


@lru_cache(maxsize=4)
def _bare_views(path: Path, radius: float) -> tuple[Drawing, ...]:
    """Centreline and silhouettes at true size, view by view; every scale that is tried shares them."""
    return tuple(space_view(path, view, radius) for view in _VIEWS)


def _first_angle(seen: list[Shown], height: float) -> tuple[Shown, ...]:
    """What is seen from above stands below, what is seen from the front to the left."""
    right, above, front, pictorial = seen
    across = right.box.left - _GAP_ACROSS * height
    down = right.box.bottom - _GAP_DOWN * height
    return (
        right,
        above.moved(0, down - above.box.top),
        front.moved(across - front.box.right, 0),
        pictorial.moved(across - pictorial.box.right, down - pictorial.box.top),
    )


def _one_below_the_other(seen: list[Shown], height: float) -> tuple[Shown, ...]:
    """The views' middles in line."""
    column, foot = [], 0.0
    for shown in seen:
        box = shown.box
        column.append(shown.moved(-(box.left + box.right) / 2, foot - box.top))
        foot -= box.height + _GAP_DOWN * height
    return tuple(column)


def _named(picture: Drawing, view: View, height: float) -> Shown:
    """The view with its name below it."""
    (left, low), (right, high) = extents(picture)
    at = ((left + right) / 2, low - _NAME_BELOW * height)
    name = Text(at, f"seen {view.name}", height, "centre")
    (name_left, name_low), (name_right, _) = box_of(name)
    box = Box(min(left, name_left), name_low, max(right, name_right), high)
    return Shown(view, picture + Drawing((name,)), box)


def fitted(result: BendResult, space: Box) -> tuple[int, TubePicture]:
    """The largest standard scale (1 to it) at which the tube fits, and the picture in its middle."""
    view = true_view(result.job.path)
    for scale in SCALES:
        for picture in _tries(result, view, scale, space):
            box = picture.box
            if box.width <= space.width and box.height <= space.height:
                dx = (space.left + space.right - box.left - box.right) / 2
                dy = (space.bottom + space.top - box.bottom - box.top) / 2
                return scale, picture.moved(dx, dy)
    return scale, tube_picture(result, 1 / scale, SMALL_MM)


def _tries(result: BendResult, view: View | None, scale: int, space: Box) -> Iterator[TubePicture]:
    """The arrangements of the views at one scale that are worth a look."""
    if view is not None:
        yield TubePicture(1 / scale, (_true_shown(result, view, 1 / scale, SMALL_MM),))
        return
    arrangements = [
        arrange
        for arrange, stacked in ((_first_angle, False), (_one_below_the_other, True))
        if not _cannot_fit(result, scale, space, stacked=stacked)
    ]
    if arrangements:
        seen = _space_shown(result, 1 / scale, SMALL_MM)
        for arrange in arrangements:
            yield TubePicture(1 / scale, arrange(seen, SMALL_MM))


def _cannot_fit(result: BendResult, scale: float, space: Box, *, stacked: bool) -> bool:
    """The ends and bends with the views' names, without tube or dimensions, are already too large."""
    path = result.job.path
    points = [path.vertices[0], path.vertices[-1]]
    points += [
        tuple(arc.points(np.array([arc.angle_rad / 2]))[0])
        for arc in path.segments
        if isinstance(arc, BendArc)
    ]
    sizes = np.array([np.ptp(view.flat(np.array(points)), axis=0) for view in _VIEWS]) / scale
    widths = np.maximum(sizes[:, 0], [_name_width(view.name) for view in _VIEWS])
    heights = sizes[:, 1] + _NAME_BELOW * SMALL_MM
    if stacked:
        gaps = 3 * _GAP_DOWN * SMALL_MM
        return bool(widths.max() > space.width or heights.sum() + gaps > space.height)
    across = widths[0] + max(widths[2], widths[3])
    down = heights[0] + max(heights[1], heights[3])
    return bool(
        across + _GAP_ACROSS * SMALL_MM > space.width or down + _GAP_DOWN * SMALL_MM > space.height
    )


@lru_cache(maxsize=8)
def _name_width(name: str) -> float:
    return text_width(f"seen {name}", SMALL_MM)
