"""A bent tube at the largest standard scale that its space allows, view by view."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from templates_out.bend_papers import BendResult
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
from templates_out.canvas import extents
from templates_out.drawing import SMALL_MM, XY, Drawing, Text
from templates_out.paper import Box
from templates_out.space_view import bend_names, space_view, true_length_dims

# ISO 5455 has 1, 2, 5, 10, ...; the steps between show a tube larger, and the sheet states its scale.
SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)


@dataclass(frozen=True, eq=False)
class Shown:
    """One view of the tube, and where the space's origin stands on the picture."""

    view: View
    drawing: Drawing
    origin: XY = (0.0, 0.0)

    def moved(self, dx: float, dy: float) -> Shown:
        """The view moved on the picture."""
        x, y = self.origin
        return replace(self, drawing=self.drawing.placed(dx, dy), origin=(x + dx, y + dy))


@dataclass(frozen=True, eq=False)
class TubePicture:
    """The tube in one view or several.

    Attributes:
        scale: drawn size over true size.
        views: in the order they are drawn.
    """

    scale: float
    views: tuple[Shown, ...]

    @property
    def drawing(self) -> Drawing:
        """All views."""
        return Drawing(tuple(item for shown in self.views for item in shown.drawing.items))

    def moved(self, dx: float, dy: float) -> TubePicture:
        """The picture moved on its sheet."""
        return replace(self, views=tuple(shown.moved(dx, dy) for shown in self.views))


def tube_picture(
    result: BendResult, scale: float, height: float, *, stacked: bool = False
) -> TubePicture:
    """The tube in its true view with dimensions, or in three views and a pictorial one.

    Args:
        result: the bent tube.
        scale: drawn size over true size.
        height: of the letters, mm on the drawing.
        stacked: the views of a tube in space stand one below the other, not two by two.
    """
    job, radius = result.job, result.job.tube.radius
    path = job.path
    view = true_view(path)
    if view is not None:
        flat = flat_path(path, view)
        picture = profile(flat, radius, scale) + profile_dims(flat, radius, scale, height)
        corners, ways = np.array(flat.vertices)[:, :2] * scale, flat.directions[:, :2]
        picture += end_marks(corners, ways, job.trim, radius, scale, height)
        return TubePicture(scale, (_named(picture, view, height),))
    done: set[int] = set()
    seen = []
    for view in (FROM_RIGHT, FROM_ABOVE, FROM_FRONT, PICTORIAL):
        picture = space_view(path, view, radius, scale)
        if view is not PICTORIAL:
            picture += true_length_dims(path, view, radius, scale, height, done)
        picture += bend_names(path, view, radius, scale, height)
        corners = view.flat(np.array(path.vertices)) * scale
        picture += end_marks(corners, view.flat(path.directions), job.trim, radius, scale, height)
        seen.append(_named(picture, view, height))
    arranged = _one_below_the_other if stacked else _first_angle
    return TubePicture(scale, arranged(seen, height))


def _first_angle(seen: list[Shown], height: float) -> tuple[Shown, ...]:
    """What is seen from above stands below, what is seen from the front to the left."""
    right, above, front, pictorial = seen
    (right_left, right_low), _ = extents(right.drawing)
    _, (front_right, _) = extents(front.drawing)
    _, (_, above_high) = extents(above.drawing)
    _, (pictorial_right, pictorial_high) = extents(pictorial.drawing)
    across, down = right_left - 4 * height, right_low - 3 * height
    return (
        right,
        above.moved(0, down - above_high),
        front.moved(across - front_right, 0),
        pictorial.moved(across - pictorial_right, down - pictorial_high),
    )


def _one_below_the_other(seen: list[Shown], height: float) -> tuple[Shown, ...]:
    """The views' middles in line."""
    column, foot = [], 0.0
    for shown in seen:
        (left, low), (right, high) = extents(shown.drawing)
        column.append(shown.moved(-(left + right) / 2, foot - high))
        foot -= high - low + 3 * height
    return tuple(column)


def _named(picture: Drawing, view: View, height: float) -> Shown:
    """The view with its name below it."""
    (left, low), (right, _) = extents(picture)
    at = ((left + right) / 2, low - 2.2 * height)
    name = Text(at, f"seen {view.name}", height, "centre")
    return Shown(view, picture + Drawing((name,)))


def fitted(result: BendResult, space: Box) -> tuple[int, TubePicture]:
    """The largest standard scale (1 to it) at which the tube fits, and the picture in its middle."""
    flat = true_view(result.job.path) is not None
    for scale in SCALES:
        for stacked in (False,) if flat else (False, True):
            picture = tube_picture(result, 1 / scale, SMALL_MM, stacked=stacked)
            (left, low), (right, high) = extents(picture.drawing)
            if right - left <= space.width and high - low <= space.height:
                break
        else:
            continue
        break
    dx = (space.left + space.right - left - right) / 2
    dy = (space.bottom + space.top - low - high) / 2
    return scale, picture.moved(dx, dy)
