"""The line that a wrap is drawn from, whatever the section: heights along the rolled-out outside."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.cope import Cut
from geometry.landing import BEVEL_LEAST_WALL_MM, BevelArc


@dataclass(frozen=True)
class Stretch:
    """A part of the turn that something is said of.

    Attributes:
        start: distance round from the datum, mm, in [0, girth).
        end: where it ends, above ``start``; over the girth where it runs across the datum.
        words: what is said, the longest that may fit first.
    """

    start: float
    end: float
    words: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class WrapLine:
    """A cut end's line on the development of the tube's outside.

    Attributes:
        girth: once round the outside, mm.
        places: distances round from the datum, from 0 to the girth, (n,) mm.
        heights: the line at them, (n,) mm.
        height_at: the line at any distances round (n,).
        bevels: where the weld needs a bevel.
        opens: where nothing is touched.
        corners: of a box section: where its corners' arcs begin and end, mm; empty for a round tube.
    """

    girth: float
    places: Floats
    heights: Floats
    height_at: Callable[[Floats], Floats]
    bevels: tuple[Stretch, ...] = ()
    opens: tuple[Stretch, ...] = ()
    corners: tuple[float, ...] = ()

    @property
    def short_point(self) -> float:
        """Least height, mm."""
        return float(self.heights.min())

    @property
    def quarters(self) -> Floats:
        """Distances round of the datum, the three quarter lines and the datum again, (5,)."""
        return np.linspace(0.0, self.girth, 5)

    def on_paper(self, paper_mm: float) -> Callable[[Floats], Floats]:
        """Where distances round stand on paper so thick, mm: laid out half its thickness outside.

        Paper is longer only where it is bent: all round a round tube, at a box section's corners.
        """
        if not self.corners:
            stretch = 1 + math.pi * paper_mm / self.girth
            return lambda places: places * stretch
        more = paper_mm * math.pi / 4
        marks, shown, grown = [0.0], [0.0], 0.0
        for start, end in zip(self.corners[::2], self.corners[1::2], strict=True):
            marks += [start, end]
            # A sharp corner has no length to stretch.
            grown_after = grown + (more if end > start else 0.0)
            shown += [start + grown, end + grown_after]
            grown = grown_after
        marks.append(self.girth)
        shown.append(self.girth + grown)
        return lambda places: np.interp(places, marks, shown)


def joint_line(cut: Cut, bevels: tuple[BevelArc, ...] = ()) -> WrapLine:
    """The line of a joint on its own."""
    radius = cut.tube.radius
    return WrapLine(
        math.tau * radius,
        radius * cut.phi,
        cut.line,
        lambda places: cut.line_at(places / radius),
        bevel_stretches(bevels, radius, cut.tube.wall),
        tuple(
            Stretch(start * radius, end * radius, OPEN_WORDS)
            for start, end in cut.surface.beside_arcs(cut.tube.radius)
        ),
    )


OPEN_WORDS = ("open: touches nothing", "open")


def bevel_stretches(bevels: Sequence[BevelArc], radius: float, wall: float) -> tuple[Stretch, ...]:
    """Where a tube's end is bevelled; nowhere where its wall is too thin to need it."""
    if wall < BEVEL_LEAST_WALL_MM:
        return ()
    return tuple(bevel_stretch(bevel, radius) for bevel in bevels)


def bevel_stretch(bevel: BevelArc, radius: float) -> Stretch:
    """Where a round tube's end is bevelled."""
    return Stretch(
        math.radians(bevel.start_deg) * radius,
        math.radians(bevel.end_deg) * radius,
        (
            f"bevel: outsides meet at {bevel.extreme_deg:.0f}°",
            f"bevel: {bevel.extreme_deg:.0f}°",
            "bevel",
        ),
    )
