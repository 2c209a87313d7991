"""A tube in space, plane by plane: each run of bends in one plane, seen square to it in true size."""

from __future__ import annotations

from geometry.laying import PlaneRun, run_axes, run_path
from geometry.path import Path
from templates_out.bend_view import View, flat_path, profile, profile_dims
from templates_out.drawing import Drawing


def plane_view(path: Path, run: PlaneRun) -> View:
    """Square to a run's plane: the straight before it runs to the right and its first bend turns up."""
    return View(f"plane of {run.words}", *run_axes(path, run))


def plane_picture(
    path: Path, run: PlaneRun, radius: float, scale: float, height: float, done: set[int]
) -> Drawing:
    """A run's tube with its dimensions, in the view's own coordinates times the scale.

    Args:
        path: of the whole tube.
        run: the bends to show.
        radius: outside radius of the tube, mm.
        scale: drawn size over true size.
        height: of the letters.
        done: the straights that have their dimension already; this view's are added.
    """
    view = plane_view(path, run)
    flat = flat_path(run_path(path, run), view)
    straights = range(run.first, run.last + 2)
    skip = {number - run.first for number in straights if number in done}
    done.update(straights)
    return profile(flat, radius, scale) + profile_dims(flat, radius, scale, height, skip=skip)
