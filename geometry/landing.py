"""Where a tube end lands on a round target, and the weld seam that runs round it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.joint import Joint
from geometry.sampling import hidden_kinks, sample_turn
from geometry.surface import Cylinder
from geometry.tolerances import CHORD_AIM_MM

FILLET_LEAST_DEG = 60.0
FILLET_MOST_DEG = 120.0
"""A fillet weld's fusion faces meet at 60 to 120 degrees (EN 1993-1-8, 4.3.2.1)."""
BEVEL_LEAST_WALL_MM = 3.0
"""A thinner wall is welded through with its edge as it is cut: common practice, no source."""


@dataclass(frozen=True)
class BevelArc:
    """A part of the turn where the surfaces meet outside a fillet weld's range.

    Attributes:
        start_deg: clock angle where it begins, in [0, 360).
        end_deg: clock angle where it ends, above ``start_deg``; over 360 where it runs across the datum.
        side: "tight" under 60 degrees between the surfaces, "open" over 120.
        extreme_deg: the angle between the surfaces farthest outside the range.
    """

    start_deg: float
    end_deg: float
    side: Literal["tight", "open"]
    extreme_deg: float


@dataclass(frozen=True)
class Landing:
    """The mark a tube's outside leaves on its target, and the seam round it.

    The target's own clock angle is right-handed about its axis direction (which leans the way the
    tube's axis points), 0 on the line that faces the tube; distances along it are from the foot of
    the common perpendicular.

    Attributes:
        target_radius: mm.
        outline: closed outline on the developed target (n, 2): distance round from the facing line
            and distance along the axis, mm; the last point is not the first.
        seam_length: length of the joint line in space, mm, where the surfaces really meet.
        bevels: the parts of the tube's turn outside a fillet weld's range of angles.
        tightest_deg: least angle between the two outside surfaces along the seam.
        widest_deg: greatest angle between them.
        whole: the end meets its target all round the turn.
    """

    target_radius: float
    outline: Floats
    seam_length: float
    bevels: tuple[BevelArc, ...]
    tightest_deg: float
    widest_deg: float
    whole: bool


def surface_angle(surface: Cylinder, rho: float, phi: Floats) -> Floats:
    """Angle between the two outside surfaces, measured in the weld, degrees (n,).

    The angle between two surfaces is 180 degrees less that between their normals. NaN where the
    line passes beside the target.
    """
    across = rho * np.sin(phi) - surface.offset
    with np.errstate(invalid="ignore"):
        root = np.sqrt(surface.radius**2 - across**2)
    normals = root * np.cos(phi) * math.cos(surface.angle_rad) + across * np.sin(phi)
    angle: Floats = np.degrees(np.arccos(np.clip(-normals / surface.radius, -1.0, 1.0)))
    return angle


def landing(joint: Joint) -> Landing:
    """Where the joint's tube lands on its target, without any root gap or extra length."""
    surface, rho = joint.surface, joint.tube.radius
    radius, angle = surface.radius, surface.angle_rad
    breaks = surface.breaks(rho)

    def round_target(_cos_phi: Floats, sin_phi: Floats) -> Floats:
        sine = np.clip((rho * sin_phi - surface.offset) / radius, -1.0, 1.0)
        return np.asarray(radius * np.arcsin(sine))

    def along_target(cos_phi: Floats, sin_phi: Floats) -> Floats:
        heights = surface.heights(rho, cos_phi, sin_phi)
        return np.asarray(rho * math.sin(angle) * cos_phi + math.cos(angle) * heights)

    aim = CHORD_AIM_MM / math.sqrt(2)
    phi = np.unique(
        np.concatenate([sample_turn(f, breaks, aim)[0] for f in (round_target, along_target)])
    )[:-1]
    phi = phi[np.diff(phi, append=phi[0] + math.tau) > 1e-9]
    meets = np.abs(rho * np.sin(phi) - surface.offset) <= radius + 1e-9
    is_break = np.min(np.abs(phi[:, None] - np.array([*breaks, np.inf])), axis=1) < 1e-7
    phi = phi[meets | is_break]
    cos_phi, sin_phi = np.cos(phi), np.sin(phi)
    outline = np.column_stack((round_target(cos_phi, sin_phi), along_target(cos_phi, sin_phi)))
    tightest, widest = _angle_range(surface, rho)
    return Landing(
        radius,
        outline,
        seam_length(surface, rho),
        _bevels(surface, rho, phi),
        tightest,
        widest,
        surface.beside_share(rho) == 0.0,
    )


def _rule(count: int) -> tuple[Floats, Floats]:
    """Nodes and weights (n,) on -1 to 1: Fejér's first rule over a sine.

    The sine takes away inverse square roots at the ends of a piece.
    """
    turn = (np.arange(count) + 0.5) * math.pi / count
    order = np.arange(1, count // 2 + 1)
    fejer = 2 / count * (1 - 2 * np.cos(2 * np.outer(turn, order)) @ (1 / (4.0 * order**2 - 1)))
    angle = np.cos(turn) * math.pi / 2
    return np.sin(angle), fejer * np.cos(angle) * math.pi / 2


_NODES, _WEIGHTS = _rule(200)
_ROUNDS = 8


def seam_length(surface: Cylinder, rho: float) -> float:
    """Length in space of the line where a tube of radius ``rho`` meets the cylinder, mm.

    By Fejér's rule over the pieces between kinks; a development keeps lengths, so it is the length
    of the landing's outline where the surfaces meet.
    """
    cuts = sorted({*surface.breaks(rho), math.pi / 2, 3 * math.pi / 2})
    total = 0.0
    for start, end in zip(cuts, [*cuts[1:], cuts[0] + math.tau], strict=True):
        middle, half = (start + end) / 2, (end - start) / 2
        if abs(rho * math.sin(middle) - surface.offset) >= surface.radius:
            continue
        phi = middle + half * _NODES
        cos_phi, sin_phi = np.cos(phi), np.sin(phi)
        across = rho * sin_phi - surface.offset
        slope = rho * cos_phi / _root(surface, rho, cos_phi, sin_phi)
        turn = surface.radius * slope
        rise = across * slope - rho * math.cos(surface.angle_rad) * sin_phi
        rise /= math.sin(surface.angle_rad)
        along = rise * math.cos(surface.angle_rad) - rho * math.sin(surface.angle_rad) * sin_phi
        total += half * float(np.sum(_WEIGHTS * np.hypot(turn, along)))
    return total


def _root(surface: Cylinder, rho: float, cos_phi: Floats, sin_phi: Floats) -> Floats:
    """``sqrt(radius^2 - (rho sin - offset)^2)`` without cancelling where tubes just touch at a side."""
    cosine2 = cos_phi**2
    below_one = np.where(sin_phi > 0, cosine2 / (1 + np.abs(sin_phi)), 1 - sin_phi)
    above_minus = np.where(sin_phi < 0, cosine2 / (1 + np.abs(sin_phi)), 1 + sin_phi)
    upper = (surface.radius + surface.offset - rho) + rho * below_one
    lower = (surface.radius - surface.offset - rho) + rho * above_minus
    product = upper * lower
    return np.sqrt(np.where(product > 0, product, np.inf))


def _extreme_angles(
    surface: Cylinder, rho: float, starts: Sequence[float], ends: Sequence[float], sign: int
) -> Floats:
    """The greatest (``sign`` 1) or least angle between the surfaces on each part of the turn, degrees.

    Each round looks 64 times as closely about the best place of the one before, down to the last
    digits of a turn. NaN for a part that passes beside the target.
    """
    low, high = np.array(starts), np.array(ends)
    first, last = low.copy(), high.copy()
    best = np.full(len(low), -np.inf)
    rows, steps = np.arange(len(low)), np.linspace(0.0, 1.0, 129)
    for _ in range(_ROUNDS):
        turns = low[:, None] + (high - low)[:, None] * steps
        angles = sign * surface_angle(surface, rho, turns)
        angles[np.isnan(angles)] = -np.inf
        places = np.argmax(angles, axis=1)
        best = np.maximum(best, angles[rows, places])
        middle, step = turns[rows, places], (high - low) / 128
        low, high = np.maximum(first, middle - step), np.minimum(last, middle + step)
    return np.where(np.isfinite(best), sign * best, np.nan)


def _angle_range(surface: Cylinder, rho: float) -> tuple[float, float]:
    """Least and greatest angle between the surfaces round the whole seam, degrees."""
    cuts = sorted({*np.linspace(0.0, math.tau, 9).tolist(), *surface.breaks(rho)})
    least, most = (_extreme_angles(surface, rho, cuts[:-1], cuts[1:], sign) for sign in (-1, 1))
    return float(np.nanmin(least)), float(np.nanmax(most))


def _bevels(surface: Cylinder, rho: float, phi: Floats) -> tuple[BevelArc, ...]:
    """The arcs of the turn outside a fillet weld's range, in order of the clock."""

    def zone(cos_phi: Floats, sin_phi: Floats) -> Ints:
        angles = surface_angle(surface, rho, np.arctan2(sin_phi, cos_phi))
        # Rounding must not make an arc of a place that just reaches the limit.
        tight, wide = angles < FILLET_LEAST_DEG - 1e-6, angles > FILLET_MOST_DEG + 1e-6
        return np.select([np.isnan(angles), tight, wide], [3, 1, 2], 0).astype(np.int64)

    grid = np.unique(np.concatenate((phi, np.linspace(0.0, math.tau, 721))))
    edges = sorted(set(hidden_kinks(zone, grid)))
    if not edges:
        edges = [0.0]
    arcs: list[BevelArc] = []
    for start, end in zip(edges, [*edges[1:], edges[0] + math.tau], strict=True):
        middle = np.array([(start + end) / 2])
        kind = int(zone(np.cos(middle), np.sin(middle))[0])
        if kind not in (1, 2) or end - start < 1e-6:
            continue
        worst = float(_extreme_angles(surface, rho, [start], [end], -1 if kind == 1 else 1)[0])
        begin = math.degrees(start) % 360
        side: Literal["tight", "open"] = "tight" if kind == 1 else "open"
        arcs.append(BevelArc(begin, begin + math.degrees(end - start), side, worst))
    return tuple(arcs)
