"""What a tube end can sit on: surfaces that say where the lines of a tube first meet them.

A tube end is a bundle of parallel lines, one for each place round the tube and each depth in its
wall. In the end's own coordinates such a line is known by its radius ``rho`` from the tube's axis
and its clock angle ``phi`` from the datum; heights run along the axis, outwards, from the work
point. A surface answers the same few questions whatever its shape, and the cope needs no others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol, TypeAlias

import numpy as np

from geometry.arrays import Bools, Floats


class Surface(Protocol):
    """What the cope asks of a surface; every angle in radians, every length in mm."""

    def heights(self, rho: float, cos_phi: Floats, sin_phi: Floats) -> Floats:
        """Height (n,) at which the lines at radius ``rho`` first meet the surface, or stop beside it."""
        ...

    def lowest(self, bore: float, outside: float, cos_phi: Floats, sin_phi: Floats) -> Floats:
        """Lowest of ``heights`` (n,) over every radius from ``bore`` to ``outside``."""
        ...

    def meets(self, rho: float, sin_phi: Floats) -> Bools:
        """Which lines (n,) at radius ``rho`` meet the surface; the others pass beside it."""
        ...

    def breaks(self, rho: float) -> list[float]:
        """Clock angles in [0, 2 pi) where the heights at radius ``rho`` have a kink."""
        ...

    def turns(self, rho: float) -> list[float]:
        """Clock angles in [0, 2 pi) where the lowest over the wall comes to lie at radius ``rho``."""
        ...


Columns: TypeAlias = tuple[float, ...] | Floats
"""Radius of a cylinder, cosine and sine of its angle to the end, its offset, and the lines' radius; of many, (5, …)."""


def first_met(of: Columns, cos_phi: Floats, sin_phi: Floats) -> Floats:
    """Where lines first meet cylinders, mm: as ``Cylinder.heights``, of many at once.

    Args:
        of: the cylinders and the lines.
        cos_phi: of the lines' clock angles, of the shape that is returned.
        sin_phi: the same.
    """
    radius, cosine, sine, offset, rho = of
    across = rho * sin_phi
    across -= offset
    np.multiply(across, across, out=across)
    np.subtract(radius * radius, across, out=across)
    np.maximum(across, 0.0, out=across)
    np.sqrt(across, out=across)
    along = (rho * cosine) * cos_phi
    along -= across
    along *= 1.0 / sine
    return along


def slopes(of: Columns, cos_phi: Floats, sin_phi: Floats) -> tuple[Floats, Floats]:
    """First and second derivative by the clock angle of ``first_met``, mm; for lines that do meet the cylinder."""
    radius, cosine, sine, offset, rho = of
    across, along = rho * sin_phi - offset, rho * cos_phi
    root = np.sqrt(radius * radius - across * across)
    lean = across * along / root
    first = lean - rho * sin_phi * cosine
    second = (along * along - across * rho * sin_phi + lean * lean) / root - along * cosine
    return first / sine, second / sine


@dataclass(frozen=True)
class Cylinder:
    """The outside of a straight round tube, as one tube end sees it.

    The axis of the end is +z, its datum +x. The target's axis runs along (sin angle, 0, cos angle)
    through (0, offset, 0).

    Attributes:
        radius: of the target, mm, any gap to leave included.
        angle_rad: between the two centrelines, in (0, pi/2].
        offset: of the target's axis towards phi = +90 degrees, mm.
    """

    radius: float
    angle_rad: float
    offset: float

    def heights(self, rho: float, cos_phi: Floats, sin_phi: Floats) -> Floats:
        """Where the lines at radius ``rho`` first meet the target, (n,) mm.

        A line that passes beside the target stops at the plane through the target's centreline and
        the common perpendicular, which keeps the cut continuous. Two cylinders, solved along the
        line: Rose, "Layout Procedures for Metals", develops the same curve by parallel lines.
        """
        cosine, sine = math.cos(self.angle_rad), math.sin(self.angle_rad)
        return first_met((self.radius, cosine, sine, self.offset, rho), cos_phi, sin_phi)

    def lowest(self, bore: float, outside: float, cos_phi: Floats, sin_phi: Floats) -> Floats:
        """Lowest height over the wall, (n,) mm, in closed form.

        Along a radius the height is a straight line where it passes beside the target and convex
        where it meets it, so the lowest is at the bore, at the outside, or where the slope is 0:
        ``w = rho sin(phi) - offset = -sign(sin) radius cos(phi) cos(angle) / sqrt(sin^2 + (cos cos)^2)``.
        """
        lowest = np.minimum(
            self.heights(bore, cos_phi, sin_phi), self.heights(outside, cos_phi, sin_phi)
        )
        slope = cos_phi * math.cos(self.angle_rad)
        size = np.hypot(sin_phi, slope)
        ok = np.abs(sin_phi) > 1e-12
        size[~ok] = 1.0
        across = -np.sign(sin_phi) * self.radius * slope / size
        rho = (across + self.offset) / np.where(ok, sin_phi, 1.0)
        inside = ok & (rho > bore) & (rho < outside)
        root = np.sqrt(np.maximum(self.radius**2 - across**2, 0.0))
        turning = (rho * slope - root) / math.sin(self.angle_rad)
        return np.where(inside, np.minimum(lowest, turning), lowest)

    def meets(self, rho: float, sin_phi: Floats) -> Bools:
        """Which lines at radius ``rho`` meet the target, (n,); a line that only touches does not."""
        return np.abs(rho * sin_phi - self.offset) < self.radius

    def breaks(self, rho: float) -> list[float]:
        """Where lines begin to pass beside the target, or just touch its side, in [0, 2 pi)."""
        found: list[float] = []
        for side in (self.radius, -self.radius):
            sine = (self.offset + side) / rho if rho else math.inf
            # Equal diameters, to rounding, touch at 90 degrees: the one kink of such a joint.
            if abs(abs(sine) - 1.0) < 1e-12:
                sine = math.copysign(1.0, sine)
            if abs(sine) <= 1.0:
                angle = math.asin(sine)
                found += [angle % math.tau, (math.pi - angle) % math.tau]
        return sorted(set(found))

    def turns(self, rho: float) -> list[float]:
        """Where the lowest height over the wall begins or ceases to lie at radius ``rho``, in [0, 2 pi).

        There the slope along the radius is 0 (see ``lowest``): with ``s = sin(phi)`` and
        ``k = cos^2(angle)``, ``(rho s - offset)^2 (s^2 + (1 - s^2) k) = radius^2 (1 - s^2) k``. The
        line has no kink there but its curvature jumps.
        """
        k = math.cos(self.angle_rad) ** 2
        square = np.array([rho * rho, -2 * rho * self.offset, self.offset**2])
        polynomial = np.convolve(square, [1 - k, 0.0, k])
        polynomial[2:] += self.radius**2 * k * np.array([1.0, 0.0, -1.0])
        found: list[float] = []
        for root in np.roots(polynomial):
            if abs(root.imag) < 1e-5 and abs(root.real) <= 1.0:
                sine = float(root.real)
                cosine = math.sqrt(1 - sine * sine)
                if (rho * sine - self.offset) * sine > 0:
                    cosine = -cosine
                found.append(math.atan2(sine, cosine) % math.tau)
        return found

    def beside_arcs(self, rho: float) -> list[tuple[float, float]]:
        """Parts of the turn whose lines at radius ``rho`` pass beside the target.

        Returns:
            Start and end of each, radians, the start in [0, 2 pi) and the end above it.
        """
        arcs = []
        for reach, middle in (
            (self.radius + self.offset, math.pi / 2),
            (self.radius - self.offset, 3 * math.pi / 2),
        ):
            if reach < rho:
                half = math.pi / 2 - math.asin(max(reach / rho, -1.0))
                start = (middle - half) % math.tau
                arcs.append((start, start + 2 * half))
        return arcs

    def beside_share(self, rho: float) -> float:
        """Share of the turn, 0 to 1, whose lines at radius ``rho`` pass beside the target."""
        return min(sum(end - start for start, end in self.beside_arcs(rho)) / math.tau, 1.0)
