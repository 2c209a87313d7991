"""A bent tube at the largest standard scale that its space allows, view by view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from geometry.arrays import Floats
from geometry.bend_plan import BendResult
from geometry.laying import PlaneRun, plane_runs, run_path
from geometry.path import Arc as BendArc
from geometry.path import Path
from geometry.title import Projection
from templates_out.bend_view import (
    FROM_ABOVE,
    FROM_FRONT,
    FROM_RIGHT,
    PICTORIAL,
    View,
    bar_ends,
    flat_path,
    place_names,
    profile,
    profile_dims,
    true_view,
)
from templates_out.canvas import box_of, extents
from templates_out.drawing import SMALL_MM, XY, Drawing, Text
from templates_out.fonts import text_width
from templates_out.labels import labelled
from templates_out.paper import Box
from templates_out.plane_view import plane_picture, plane_view
from templates_out.space_view import space_view

# ISO 5455 has 1, 2, 5, 10, ...; the steps between show a tube larger, and the sheet states its scale.
SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)

_NAME_BELOW, _GAP_DOWN, _GAP_ACROSS = 2.2, 3.0, 4.0
"""In letter heights: a view's name below it, and the gaps between views."""
WORTH_A_PAGE = 1.5
"""How much larger it must come out for a page of its own."""
_VIEWS_SHARE = 0.5
"""Of the height: the views of the whole tube, where the planes are shown too."""
_VIEWS = (FROM_RIGHT, FROM_ABOVE, FROM_FRONT, PICTORIAL)


@dataclass(frozen=True, eq=False)
class Shown:
    """One view of the tube.

    Attributes:
        view: which way it is looked at.
        bare: what is seen, the space's origin at the drawing's.
        box: round what is seen, before it is moved.
        origin: where the space's origin stands on the picture.
        whole: the whole tube is in it, not a run of its bends alone.
    """

    view: View
    bare: Drawing
    box: Box
    origin: XY = (0.0, 0.0)
    whole: bool = True

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
        return _round(self.views)

    def moved(self, dx: float, dy: float) -> TubePicture:
        """The picture moved on its sheet."""
        return TubePicture(self.scale, tuple(shown.moved(dx, dy) for shown in self.views))


def _round(views: Sequence[Shown]) -> Box:
    boxes = [shown.placed_box for shown in views]
    return Box(
        min(box.left for box in boxes),
        min(box.bottom for box in boxes),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )


def tube_picture(
    result: BendResult, scale: float, height: float, projection: Projection = "first"
) -> TubePicture:
    """The tube in its true view with dimensions; in space, in three views, a pictorial one, and plane by plane.

    Args:
        result: the bent tube.
        scale: drawn size over true size.
        height: of the letters, mm on the drawing.
        projection: how the three views stand to each other.
    """
    view = true_view(result.job.path)
    if view is not None:
        return TubePicture(scale, (_true_shown(result, view, scale, height),))
    whole = _projected(_space_shown(result, scale, height), height, projection)
    box, planes = _round(whole), _plane_shown(result, scale, height)
    width = max(box.width, *(shown.box.width for shown in planes))
    below = _rows(planes, box.left, box.bottom - _GAP_DOWN * height, width, height)
    return TubePicture(scale, (*whole, *below))


def _true_shown(result: BendResult, view: View, scale: float, height: float) -> Shown:
    job, radius = result.job, result.job.tube.radius
    flat = flat_path(job.path, view)
    picture = profile(flat, radius, scale) + profile_dims(flat, radius, scale, height)
    return _named(_with_ends(picture, result, view, scale, height), view, height)


def _with_ends(
    picture: Drawing, result: BendResult, view: View, scale: float, height: float
) -> Drawing:
    """A view of the whole tube with its bar's ends, and the names of its ends and bends."""
    job, path = result.job, result.job.path
    corners = view.flat(np.array(path.vertices)) * scale
    ends, radius = job.bar_ends, job.tube.radius
    picture += bar_ends(corners, view.flat(path.directions), ends, radius, scale)
    # In space the planes' views say where the bar ends; here the words would only take room.
    said = ends if path.plane is not None or not path.radii else (0.0, 0.0)
    names = place_names(path, view, scale, said, job.long_points, job.inches)
    return labelled(picture, names, radius * scale + height, height)


@lru_cache(maxsize=32)
def _space_shown(result: BendResult, scale: float, height: float) -> tuple[Shown, ...]:
    """The views of a tube in space, not yet arranged; each space that is tried shares them."""
    bare = _bare_views(result.job.path, result.job.tube.radius)
    return tuple(
        _named(_with_ends(seen.scaled(scale), result, view, scale, height), view, height)
        for view, seen in zip(_VIEWS, bare, strict=True)
    )


@lru_cache(maxsize=32)
def _plane_shown(
    result: BendResult, scale: float, height: float, words: str = ""
) -> tuple[Shown, ...]:
    """The runs of bends in one plane, not yet arranged; each space that is tried shares them."""
    path, radius, seen = result.job.path, result.job.tube.radius, []
    done: set[int] = set()
    for run in plane_runs(result.rows):
        view = plane_view(path, run)
        picture = plane_picture(path, run, radius, scale, height, done)
        own, ends = run_path(path, run), list(result.job.bar_ends)
        ends[0] *= run.first == 0
        ends[1] *= run.last == len(path.radii) - 1
        corners, ways = view.flat(np.array(own.vertices)) * scale, view.flat(own.directions)
        picture += bar_ends(corners, ways, (ends[0], ends[1]), radius, scale)
        names = _run_names(result, run, view, scale)
        picture = labelled(picture, names, radius * scale + height, height)
        seen.append(replace(_named(picture, view, height, f"{view.name}{words}"), whole=False))
    return tuple(seen)


def _run_names(
    result: BendResult, run: PlaneRun, view: View, scale: float
) -> list[tuple[str, XY, XY]]:
    """The bends of a run, and the tube's ends where they are in it."""
    job, path = result.job, result.job.path
    named = place_names(path, view, scale, job.bar_ends, job.long_points, job.inches)
    ends = [named[0]] * (run.first == 0) + [named[1]] * (run.last == len(path.radii) - 1)
    return [*ends, *named[2 + run.first : 3 + run.last]]


@lru_cache(maxsize=4)
def _bare_views(path: Path, radius: float) -> tuple[Drawing, ...]:
    """Centreline and silhouettes at true size, view by view; every scale that is tried shares them."""
    return tuple(space_view(path, view, radius) for view in _VIEWS)


def _projected(seen: Sequence[Shown], height: float, projection: Projection) -> tuple[Shown, ...]:
    """First angle: what is seen from above stands below, from the front to the left; third angle: each on its side."""
    right, above, front, pictorial = seen
    if projection == "first":
        across = right.box.left - _GAP_ACROSS * height
        down = right.box.bottom - _GAP_DOWN * height
        return (
            right,
            above.moved(0, down - above.box.top),
            front.moved(across - front.box.right, 0),
            pictorial.moved(across - pictorial.box.right, down - pictorial.box.top),
        )
    across = right.box.right + _GAP_ACROSS * height
    up = right.box.top + _GAP_DOWN * height
    return (
        right,
        above.moved(0, up - above.box.bottom),
        front.moved(across - front.box.left, 0),
        pictorial.moved(across - pictorial.box.left, up - pictorial.box.bottom),
    )


def _rows(
    views: Sequence[Shown], left: float, top: float, width: float, height: float
) -> list[Shown]:
    """Views in rows from the upper left corner."""
    placed: list[Shown] = []
    x, foot = left, top
    for shown in views:
        if x > left and x + shown.box.width > left + width + 1e-6:
            x, top = left, foot - _GAP_DOWN * height
        placed.append(shown.moved(x - shown.box.left, top - shown.box.top))
        foot = min(foot, placed[-1].placed_box.bottom)
        x += shown.box.width + _GAP_ACROSS * height
    return placed


def _named(picture: Drawing, view: View, height: float, caption: str = "") -> Shown:
    """The view with its name below it."""
    (left, low), (right, high) = extents(picture)
    words = _caption(view) if not caption else [caption]
    middle = (left + right) / 2
    names = [
        Text((middle, low - (_NAME_BELOW + 1.5 * number) * height), line, height, "centre")
        for number, line in enumerate(words)
    ]
    boxes = [box_of(name) for name in names]
    box = Box(
        min(left, *(one[0][0] for one in boxes)),
        boxes[-1][0][1],
        max(right, *(one[1][0] for one in boxes)),
        high,
    )
    return Shown(view, picture + Drawing(tuple(names)), box)


def _caption(view: View) -> list[str]:
    """What a view is, and on a line of its own which way its axes run."""
    name, _, axes = f"seen {view.name}".partition(" (")
    return [name, f"({axes}"] if axes else [name]


def fitted_pages(
    result: BendResult, space: Box, projection: Projection
) -> tuple[int, list[TubePicture]]:
    """The whole tube and, of one in space, its runs of bends in one plane, on one page or two.

    Args:
        result: the bent tube.
        space: free on each page.
        projection: how the three views of a tube in space stand to each other.

    Returns:
        The first page's scale, 1 to it, and the pictures; runs have a scale of their own, which they say.
    """
    if true_view(result.job.path) is not None:
        scale, picture = fitted(result, space, projection)
        return scale, [picture]
    own, alone = _fitted_planes(result, space)
    upper = replace(space, bottom=space.bottom + (1 - _VIEWS_SHARE) * space.height)
    scale, picture = fitted(result, upper, projection)
    # The views move up to leave what they do not need.
    picture = picture.moved(0, space.top - picture.box.top)
    lower = replace(space, top=picture.box.bottom - _GAP_DOWN * SMALL_MM)
    shared, below = _fitted_planes(result, lower)
    if shared <= WORTH_A_PAGE * own:
        return scale, [TubePicture(picture.scale, (*picture.views, *below))]
    scale, picture = fitted(result, space, projection)
    return scale, [picture, TubePicture(1 / own, tuple(alone))]


def fitted(
    result: BendResult, space: Box, projection: Projection = "first"
) -> tuple[int, TubePicture]:
    """The largest standard scale (1 to it) at which the whole tube fits, and the picture in the space's middle."""
    view = true_view(result.job.path)
    for scale in SCALES:
        found = _tried(result, view, scale, space, projection)
        if found is not None:
            box = found.box
            dx = (space.left + space.right - box.left - box.right) / 2
            dy = (space.bottom + space.top - box.bottom - box.top) / 2
            return scale, found.moved(dx, dy)
    return scale, tube_picture(result, 1 / scale, SMALL_MM, projection)


def _tried(
    result: BendResult, view: View | None, scale: int, space: Box, projection: Projection
) -> TubePicture | None:
    """The whole tube at one scale, where it fits."""
    if view is not None:
        bare = np.ptp(view.flat(np.array(result.job.path.vertices)), axis=0) / scale
        if np.any(bare > (space.width, space.height)):
            return None
        shown: tuple[Shown, ...] = (_true_shown(result, view, 1 / scale, SMALL_MM),)
    elif _cannot_fit(result, scale, space):
        return None
    else:
        shown = _projected(_space_shown(result, 1 / scale, SMALL_MM), SMALL_MM, projection)
    return None if _too_large(_round(shown), space) else TubePicture(1 / scale, shown)


def _fitted_planes(result: BendResult, space: Box) -> tuple[int, list[Shown]]:
    """The runs of bends in one plane at the largest standard scale (1 to it) at which all fit, in rows."""
    rows: list[Shown] = []
    sizes = _plane_sizes(result)
    for scale in SCALES:
        # Without words and dimensions they are already too large.
        bare = sizes / scale
        if np.any(bare > (space.width, space.height)) or _area(bare) > space.width * space.height:
            continue
        seen = _plane_shown(result, 1 / scale, SMALL_MM, f", 1:{scale}")
        if max(shown.box.width for shown in seen) > space.width:
            continue
        rows = _rows(seen, space.left, space.top, space.width, SMALL_MM)
        box = _round(rows)
        if box.bottom >= space.bottom:
            across = (space.width - box.width) / 2
            down = (space.bottom - box.bottom) / 2
            return scale, [shown.moved(across, down) for shown in rows]
    return scale, rows


def _plane_sizes(result: BendResult) -> Floats:
    """Width and height (n, 2) of each run's centreline, true size."""
    path = result.job.path
    return np.array(
        [
            np.ptp(plane_view(path, run).flat(np.array(run_path(path, run).vertices)), axis=0)
            for run in plane_runs(result.rows)
        ]
    )


def _area(sizes: Floats) -> float:
    return float(np.sum(np.prod(sizes, axis=1)))


def _too_large(box: Box, space: Box) -> bool:
    return box.width > space.width or box.height > space.height


def _cannot_fit(result: BendResult, scale: float, space: Box) -> bool:
    """The ends and bends with the views' names, without tube or dimensions, are already too large."""
    path = result.job.path
    points = [path.vertices[0], path.vertices[-1]]
    points += [
        tuple(arc.points(np.array([arc.angle_rad / 2]))[0])
        for arc in path.segments
        if isinstance(arc, BendArc)
    ]
    sizes = np.array([np.ptp(view.flat(np.array(points)), axis=0) for view in _VIEWS]) / scale
    widths = np.maximum(sizes[:, 0], [_name_width(view) for view in _VIEWS])
    heights = sizes[:, 1] + _NAME_BELOW * SMALL_MM
    across = widths[0] + max(widths[2], widths[3])
    down = heights[0] + max(heights[1], heights[3])
    return bool(
        across + _GAP_ACROSS * SMALL_MM > space.width or down + _GAP_DOWN * SMALL_MM > space.height
    )


def _name_width(view: View) -> float:
    return max(text_width(line, SMALL_MM) for line in _caption(view))
