"""A tube in space, plane by plane: each run of bends in one plane, seen square to it in true size."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.bend import BendRow, bend_table
from geometry.path import Path, Point, Straight
from templates_out.bend_view import View, flat_path, profile, profile_dims
from templates_out.drawing import Drawing

_IN_PLANE_DEG = 1e-6


@dataclass(frozen=True)
class PlaneRun:
    """Bends that lie in one plane, from ``first`` to ``last``, counted from 0."""

    first: int
    last: int

    @property
    def words(self) -> str:
        """As "bend 2" or "bends 2 to 4"."""
        if self.first == self.last:
            return f"bend {self.first + 1}"
        return f"bends {self.first + 1} to {self.last + 1}"


def plane_runs(rows: tuple[BendRow, ...]) -> list[PlaneRun]:
    """The bends of a table in runs of one plane each; half a turn stays in the plane."""
    runs: list[PlaneRun] = []
    for index, row in enumerate(rows):
        flat = min(abs(row.rotation_deg), 180.0 - abs(row.rotation_deg)) < _IN_PLANE_DEG
        if index and flat:
            runs[-1] = PlaneRun(runs[-1].first, index)
        else:
            runs.append(PlaneRun(index, index))
    return runs


def run_path(path: Path, run: PlaneRun) -> Path:
    """A run's bends with the straights on both sides, each up to the tangent point of the next bend."""
    straights = [segment for segment in path.segments if isinstance(segment, Straight)]
    begin, end = straights[run.first].start, straights[run.last + 1].end
    inner = path.vertices[run.first + 1 : run.last + 2]
    return Path((_point(begin), *inner, _point(end)), path.radii[run.first : run.last + 1])


def _point(values: np.ndarray) -> Point:
    x, y, z = values.tolist()
    return (x, y, z)


def plane_view(path: Path, run: PlaneRun) -> View:
    """Square to a run's plane: the straight before it runs to the right and its first bend turns up."""
    before, after = path.directions[run.first], path.directions[run.first + 1]
    up = after - np.dot(after, before) * before
    return View(f"plane of {run.words}", before, up / np.linalg.norm(up))


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


def runs_of(path: Path) -> list[PlaneRun]:
    """The runs of a path."""
    return plane_runs(bend_table(path))
