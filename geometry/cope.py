"""The cut of a round tube's end: where its lines first meet what it sits on."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.errors import OutOfRange
from geometry.joint import Fit, Joint
from geometry.said import said
from geometry.sampling import Height, at, extremes, hidden_kinks, insert_vertex, sample_turn
from geometry.section import RoundTube
from geometry.surface import Cylinder

ORDINATE_STEPS_DEG = (10.0, 15.0, 22.5)


@dataclass(frozen=True)
class Cut:
    """One cut tube end: a single result for the template, the gap report and a solid picture.

    Heights are along the end's axis from the work point, positive outwards, in mm. The template's
    line is the outside edge of a filed end; of a square-cut end it is both edges at once.

    Attributes:
        tube: the tube that is cut.
        fit: how the end is fitted.
        extra: length left on, mm, in all heights.
        surface: what the end is cut to, any gap included.
        phi: clock angles of the vertices from 0 to 2 pi, radians, (n,).
        line: the template's line at the vertices, (n,).
        long_point: greatest height of the line.
        long_phi: clock angle of the long point, radians.
        short_point: least height of the line.
        short_phi: clock angle of the short point, radians.
    """

    tube: RoundTube
    fit: Fit
    extra: float
    surface: Cylinder
    phi: Floats
    line: Floats
    long_point: float
    long_phi: float
    short_point: float
    short_phi: float

    @property
    def deepest(self) -> float:
        """Depth of the cut from the long point to the short point, mm."""
        return self.long_point - self.short_point

    @property
    def long_phi_deg(self) -> float:
        """Clock angle of the long point, degrees."""
        return math.degrees(self.long_phi)

    @property
    def short_phi_deg(self) -> float:
        """Clock angle of the short point, degrees."""
        return math.degrees(self.short_phi)

    def line_at(self, phi: Floats) -> Floats:
        """The template's line at any clock angles (n,), radians, exactly."""
        return at(_line(self.tube, self.fit, self.surface, self.extra), phi)

    def outside_edge(self, phi: Floats) -> Floats:
        """Where the outside surface would meet the target, (n,) mm."""
        return self._edge(self.tube.radius, phi)

    def inside_edge(self, phi: Floats) -> Floats:
        """Where the bore would meet the target, (n,) mm."""
        return self._edge(self.tube.bore_radius, phi)

    def _edge(self, rho: float, phi: Floats) -> Floats:
        return self.surface.heights(rho, np.cos(phi), np.sin(phi)) + self.extra

    def edges(self) -> tuple[Floats, Floats]:
        """Outside and inside edge of the end as it is when it is fitted, (n,) each, at ``phi``.

        A filed end follows the target all through its wall; a square-cut end has one height through
        the wall at each clock angle.
        """
        if self.fit == "square-cut":
            return self.line, self.line
        return self.line, self.inside_edge(self.phi)

    def space_points(self, rho: float, heights: Floats) -> Floats:
        """Points (n, 3) of ``heights`` (n,) at the vertices: axis +z, datum +x, work point 0."""
        return np.column_stack((rho * np.cos(self.phi), rho * np.sin(self.phi), heights))

    @property
    def outside_gap(self) -> float:
        """Greatest gap, along the tube, that an end cut straight through leaves outside, mm.

        0 for a filed end. The root gap is not counted: it is there all round on purpose.
        """
        return self.gap_if_undressed if self.fit == "square-cut" else 0.0

    @property
    def gap_if_undressed(self) -> float:
        """What ``outside_gap`` is, or would be, for this joint cut straight through the wall, mm."""
        tube, surface = self.tube, self.surface

        def gap(cos_phi: Floats, sin_phi: Floats) -> Floats:
            outside = surface.heights(tube.radius, cos_phi, sin_phi)
            return outside - surface.lowest(tube.bore_radius, tube.radius, cos_phi, sin_phi)

        phi, values = sample_turn(gap, self._breaks_through_wall())
        return extremes(gap, phi, values)[0][1]

    def _breaks_through_wall(self) -> list[float]:
        return _breaks(self.tube, "square-cut", self.surface)

    def ordinates(self, step_deg: float = 15.0) -> Floats:
        """The line at every ``step_deg`` round the tube, for someone with no printer.

        Args:
            step_deg: 10, 15 or 22.5 degrees.

        Returns:
            Rows (n, 4): clock angle in degrees, distance round the outside from the datum in mm,
            height from the work point in mm, and distance back from the long point in mm.

        Raises:
            OutOfRange: for another step.
        """
        if step_deg not in ORDINATE_STEPS_DEG:
            text = said(
                "ordinate step is {step}°; allowed are 10, 15 and 22.5°", step=f"{step_deg:g}"
            )
            raise OutOfRange(text)
        degrees = np.arange(round(360 / step_deg) + 1) * step_deg
        phi = np.radians(degrees)
        heights = self.line_at(phi)
        return np.column_stack(
            (degrees, self.tube.radius * phi, heights, self.long_point - heights)
        )


def _line(tube: RoundTube, fit: Fit, surface: Cylinder, extra: float) -> Height:
    """The template's line as a function of cos and sin of the clock angle."""

    def filed(cos_phi: Floats, sin_phi: Floats) -> Floats:
        return surface.heights(tube.radius, cos_phi, sin_phi) + extra

    def square_cut(cos_phi: Floats, sin_phi: Floats) -> Floats:
        return surface.lowest(tube.bore_radius, tube.radius, cos_phi, sin_phi) + extra

    return square_cut if fit == "square-cut" else filed


def _breaks(tube: RoundTube, fit: Fit, surface: Cylinder) -> list[float]:
    """Clock angles where the line may have a kink."""
    breaks = surface.breaks(tube.radius)
    if fit == "filed":
        return breaks
    rims = (tube.bore_radius, tube.radius)
    breaks = [angle for rho in rims for angle in surface.breaks(rho)]
    breaks = _with_others(breaks, [angle for rho in rims for angle in surface.turns(rho)])
    if surface.beside_share(tube.radius) == 0.0:
        return breaks

    def which(cos_phi: Floats, sin_phi: Floats) -> Ints:
        """0 where the bore is lowest, 1 where the outside is, 2 where it is between."""
        bore = surface.heights(tube.bore_radius, cos_phi, sin_phi)
        outside = surface.heights(tube.radius, cos_phi, sin_phi)
        lowest = surface.lowest(tube.bore_radius, tube.radius, cos_phi, sin_phi)
        between = lowest < np.minimum(bore, outside)
        return np.where(between, 2, np.where(outside < bore, 1, 0)).astype(np.int64)

    grid = np.unique(np.concatenate((np.linspace(0.0, math.tau, 721), breaks)))
    return _with_others(breaks, [angle % math.tau for angle in hidden_kinks(which, grid)])


def _with_others(angles: list[float], others: list[float]) -> list[float]:
    """Angles in order, with those of ``others`` that are not the same to rounding."""
    whole = list(angles)
    for other in others:
        if all(abs(other - angle) > 1e-6 for angle in whole):
            whole.append(other)
    return sorted(whole)


def cope(joint: Joint) -> Cut:
    """Cut the joint's tube to its target.

    Args:
        joint: the joint; the target's root gap grows it, its extra length raises the line.

    Returns:
        The cut, its line sampled by chord error (0.01 mm), kinks and both extremes as vertices.
    """
    tube, surface = joint.tube, joint.grown
    height = _line(tube, joint.fit, surface, joint.extra)
    phi, line = sample_turn(height, _breaks(tube, joint.fit, surface))
    (long_phi, long_point), (short_phi, short_point) = extremes(height, phi, line)
    phi, line = insert_vertex(phi, line, long_phi, long_point)
    phi, line = insert_vertex(phi, line, short_phi, short_point)
    return Cut(
        tube, joint.fit, joint.extra, surface, phi, line,
        float(line.max()), long_phi, float(line.min()), short_phi,
    )  # fmt: skip
