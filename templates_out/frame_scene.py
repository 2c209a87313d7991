"""A frame in one flat view, part by part: what is drawn, what lies under a place, which point is nearest."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.arrays import Floats
from geometry.end_cut import EndCut
from geometry.fitup import Fitted, FittedPart
from geometry.parts import Part
from geometry.path import Arc, Path, Point
from geometry.vectors import dots
from templates_out.bend_view import View
from templates_out.drawing import XY, Drawing
from templates_out.frame_views import part_outline

_STEP_MM = 4.0


@dataclass(frozen=True, eq=False)
class SeenPart:
    """A part as a view shows it, at true size.

    Attributes:
        name: the part's.
        tube: the tube's.
        drawing: its outline.
        middle: places along its centreline (n, 2).
        depth: how near to the viewer each is (n,), mm.
        reach: half its width, mm.
    """

    name: str
    tube: str
    drawing: Drawing
    middle: Floats
    depth: Floats
    reach: float


@dataclass(frozen=True, eq=False)
class Scene:
    """A frame in one view.

    Attributes:
        view: which way it is looked at.
        parts: in fit-up order.
        points: where its points are seen, by name.
    """

    view: View
    parts: tuple[SeenPart, ...]
    points: Mapping[str, XY]

    def part_at(self, place: XY, slack: float = 0.0) -> SeenPart | None:
        """The part under a place, the one nearest to the viewer; None for none.

        Args:
            place: mm, in the view.
            slack: how far beside its outline it still counts, mm.
        """
        best: tuple[float, SeenPart] | None = None
        for part in self.parts:
            away = np.hypot(part.middle[:, 0] - place[0], part.middle[:, 1] - place[1])
            there = away <= part.reach + slack
            depth = float(np.max(part.depth, where=there, initial=-np.inf))
            if np.any(there) and (best is None or depth > best[0]):
                best = depth, part
        return best[1] if best else None

    def point_at(self, place: XY, within: float) -> str | None:
        """The point nearest to a place, no farther than ``within`` mm; None for none."""
        away = {name: math.dist(at, place) for name, at in self.points.items()}
        near = min(away, key=lambda name: away[name], default=None)
        return near if near is not None and away[near] <= within else None


def scene(fitted: Fitted, points: Mapping[str, Point], view: View) -> Scene:
    """A frame as a view shows it.

    Args:
        fitted: its parts, cut.
        points: where its points are, mm.
        view: which way it is looked at.
    """
    seen = view.flat(np.array(list(points.values())).reshape(-1, 3))
    return Scene(
        view,
        tuple(_seen(one.part, one.cuts, view) for one in fitted.parts),
        {name: (float(x), float(y)) for name, (x, y) in zip(points, seen, strict=True)},
    )


# By the part and its cuts themselves: what an edit leaves alone is the same, and is not drawn again.
@lru_cache(maxsize=8192)
def _seen(part: Part, cuts: tuple[EndCut | None, EndCut | None], view: View) -> SeenPart:
    one = FittedPart(part, cuts)
    along = _between_cuts(one)
    return SeenPart(
        one.part.name, one.part.tube.name, part_outline(one, view), view.flat(along), along @ view.sight, one.part.reach
    )  # fmt: skip


def _between_cuts(one: FittedPart) -> Floats:
    """Places along a part's centreline (n, 3), from where its cut ends begin all round."""
    along = places_along(one.part.path)
    steps = along[1:] - along[:-1]
    walked = np.append(0.0, np.sqrt(dots(steps, steps)).cumsum())
    stops = [0.0 if cut is None else cut.shift + cut.short_point for cut in one.cuts]
    inside = (walked > -stops[0]) & (walked < walked[-1] + stops[1])
    tips = [end.point + stop * end.axis for end, stop in zip(one.part.ends, stops, strict=True)]
    return np.vstack((tips[0], along[inside], tips[1]))


@lru_cache(maxsize=4096)
def places_along(path: Path) -> Floats:
    """Places along a centreline (n, 3), a few mm apart."""
    found = []
    for segment in path.segments:
        count = max(math.ceil(segment.length / _STEP_MM), 1) + 1
        if isinstance(segment, Arc):
            found.append(segment.points(np.linspace(0.0, segment.angle_rad, count)))
        else:
            shares = np.arange(count) / (count - 1)
            found.append(segment.start + shares[:, None] * (segment.end - segment.start))
    return np.vstack(found)
