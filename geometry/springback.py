"""How far to over-bend: from trial bends, or estimated from theory."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from geometry.errors import BadText, OutOfRange, check_range
from geometry.material import Material
from geometry.said import said
from geometry.section import RoundTube
from geometry.units import parse_angle

ONE_TRIAL_REACH_DEG = 10.0
"""From a single trial, settings farther than this from it are extrapolated."""


@dataclass(frozen=True)
class Trial:
    """One trial bend: the angle set on the bender and the angle got, degrees."""

    set_deg: float
    got_deg: float

    def __post_init__(self) -> None:
        """Refuse what no trial can be."""
        check_range(said("trial bend, angle set"), self.set_deg, 0.0, 190.0, unit="°", above=True)
        check_range(said("trial bend, angle got"), self.got_deg, 0.0, 190.0, unit="°", above=True)


@dataclass(frozen=True)
class BendSetting:
    """What to set for one bend.

    Attributes:
        set_angle_deg: angle to set.
        tool_radius: radius of the tool that leaves the finished radius, mm.
        extrapolated: the setting lies outside what was tried.
        source: "trials" or "theory".
    """

    set_angle_deg: float
    tool_radius: float
    extrapolated: bool
    source: Literal["trials", "theory"]


@dataclass(frozen=True)
class TrialFit:
    """The line ``got = base + slope * set`` through trial bends.

    Attributes:
        base: degrees; 0 for one setting tried.
        slope: got over set.
        least: smallest setting that is not extrapolated, degrees.
        most: greatest setting that is not extrapolated, degrees.
        spread_deg: greatest distance of a trial from the line, degrees.
    """

    base: float
    slope: float
    least: float
    most: float
    spread_deg: float

    def setting(self, angle_deg: float, clr: float) -> BendSetting:
        """The setting for a finished angle and radius; the neutral fibre keeps its length."""
        set_angle = (angle_deg - self.base) / self.slope
        if not set_angle > 0:
            text = said(
                "the trial bends lead to a setting of {setting}° for a bend of {angle}°; allowed is above 0: try a bend nearer "
                "that angle",
                setting=f"{set_angle:.1f}", angle=f"{angle_deg:.1f}",
            )  # fmt: skip
            raise OutOfRange(text)
        outside = not self.least - 1e-9 <= set_angle <= self.most + 1e-9
        return BendSetting(set_angle, clr * angle_deg / set_angle, outside, "trials")


def fit_trials(trials: Sequence[Trial]) -> TrialFit:
    """Fit trial bends: one setting tried gives ``got = k set``, more a least-squares line.

    Raises:
        OutOfRange: without trials, or when the line falls (more set, less got).
    """
    if not trials:
        text = said("there are no trial bends; give at least one, like 90:87.5")
        raise OutOfRange(text)
    settings = [trial.set_deg for trial in trials]
    results = [trial.got_deg for trial in trials]
    if max(settings) - min(settings) < 1e-9:
        base, slope = 0.0, sum(results) / sum(settings)
        reach = ONE_TRIAL_REACH_DEG if len(trials) == 1 else 0.0
        least, most = settings[0] - reach, settings[0] + reach
    else:
        mean_set, mean_got = sum(settings) / len(trials), sum(results) / len(trials)
        over = sum((s - mean_set) * (g - mean_got) for s, g in zip(settings, results, strict=True))
        slope = over / sum((s - mean_set) ** 2 for s in settings)
        base = mean_got - slope * mean_set
        least, most = min(settings), max(settings)
    if not slope > 0:
        text = said(
            "the trial bends contradict each other: a larger setting gave no larger bend; check them"
        )
        raise OutOfRange(text)
    spread = max(abs(base + slope * s - g) for s, g in zip(settings, results, strict=True))
    return TrialFit(base, slope, least, most, spread)


def parse_trials(text: str) -> tuple[Trial, ...]:
    """Read trial bends written as ``set:got``, with spaces between: ``45:43.2 90:87.1``.

    Raises:
        BadText: for anything else.
    """
    trials = []
    for part in text.replace(";", " ").split():
        pair = part.split(":")
        if len(pair) != 2:
            message = said(
                "trial bend {typed} is not set:got; write it like 90:87.5, with spaces between", typed=repr(part)
            )  # fmt: skip
            raise BadText(message)
        set_deg = parse_angle(pair[0], said("the angle set"))
        trials.append(Trial(set_deg, parse_angle(pair[1], said("the angle got"))))
    if not trials:
        message = said("the trial bends are empty; write them like 45:43.2 90:87.1")
        raise BadText(message)
    return tuple(trials)


def thin_ratio(tube: RoundTube, material: Material, tool_radius: float) -> float:
    """Radius under load over radius after release, by the thin-tube form; 0 where nothing yields.

    Elastic, perfectly plastic metal, plane sections, no flattening: with
    ``k = Y R / (E r)`` and ``a = asin k``, the ratio is ``1 - (2 a + sin 2a) / pi``; ``r`` is the
    mean radius of the wall.
    """
    mean = tube.radius - tube.wall / 2
    k = material.yield_stress * tool_radius / (material.young * mean)
    if k >= 1:
        return 0.0
    a = math.asin(k)
    return 1 - (2 * a + math.sin(2 * a)) / math.pi


def thick_ratio(tube: RoundTube, material: Material, tool_radius: float) -> float:
    """The same ratio for a wall of any thickness: the moments of two solid bars, subtracted.

    A solid bar of radius ``a`` carries ``4 Y a^3 ((b/8 - sin 4b / 32) / sin b + cos^3 b / 3)`` with
    ``sin b = (Y R / E) / a``, and ``Y pi a^4 / (4 c)``, ``c = Y R / E``, while it is all elastic.
    """
    c = material.yield_stress * tool_radius / material.young

    def solid(a: float) -> float:
        if c >= a:
            return material.yield_stress * math.pi * a**4 / (4 * c)
        b = math.asin(c / a)
        shape = (b / 8 - math.sin(4 * b) / 32) / math.sin(b) + math.cos(b) ** 3 / 3
        return 4 * material.yield_stress * a**3 * shape

    moment = solid(tube.radius) - solid(tube.bore_radius)
    return 1 - moment * tool_radius / (material.young * tube.second_moment)


def theory_setting(
    tube: RoundTube, material: Material, angle_deg: float, clr: float
) -> BendSetting:
    """Estimate the setting for a finished angle and radius from theory.

    The tool's radius is the one that relaxes to ``clr``; ``clr * angle = tool radius * set angle``.
    The metal is taken not to harden, so the estimate runs low: real springback is larger.
    """
    low, high = 0.0, clr
    for _ in range(200):
        middle = (low + high) / 2
        ratio = thick_ratio(tube, material, middle)
        if ratio <= 0 or middle / ratio > clr:
            high = middle
        else:
            low = middle
        if high - low < 1e-13 * clr:
            break
    tool_radius = (low + high) / 2
    return BendSetting(angle_deg * clr / tool_radius, tool_radius, False, "theory")
