"""Bending tools: what a former bends, what it must grip, and what its trial bends came out as."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from geometry.errors import OutOfRange, check_range
from geometry.said import said
from geometry.section import RoundTube
from geometry.springback import Trial
from geometry.tolerances import MAX_COORDINATE_MM, MAX_SIZE_MM

Turns = Literal["left", "right", "either"]
TURNS: tuple[Turns, ...] = ("either", "left", "right")

OD_SLACK_MM = 0.3
"""A former takes a tube whose diameter is so near its own; common practice, no source."""
RADIUS_SLACK = 0.05
"""A finished radius is at most so much, as a share, larger than the tool that leaves it."""
_SAME_WALL_MM = 0.05
LEAST_RATIO = 0.9
"""Least over greatest diameter in a bend: FIA Appendix J, article 253-8; Motorsport UK, competition rules 2026, 20."""


@dataclass(frozen=True)
class TrialBend:
    """A trial bend, and of what it was made.

    Attributes:
        trial: the angle set and the angle got.
        material: of the trial; "" where it is not known.
        wall: of the trial, mm; 0 where it is not known.
        date: as written, such as 2026-05-01; "" where it is not known.
        ratio: least over greatest diameter measured in the bend; 0 where it was not measured.
    """

    trial: Trial
    material: str = ""
    wall: float = 0.0
    date: str = ""
    ratio: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be measured."""
        check_range(said("trial bend, wall"), self.wall, 0.0, MAX_SIZE_MM)
        what = said("trial bend, least over greatest diameter")
        check_range(what, self.ratio, 0.0, 1.0, unit="")

    def may_be(self, tube: RoundTube, material: str) -> bool:
        """Whether it was made of this material and wall, as far as that is known."""
        return (not self.material or self.material.lower() == material.lower()) and (
            not self.wall or abs(self.wall - tube.wall) < _SAME_WALL_MM
        )


@dataclass(frozen=True)
class BendTool:
    """A former with its bender.

    Attributes:
        od: diameter of the tube it takes, mm.
        radius: centreline radius of the tool, mm.
        grip: straight that it must grip ahead of a bend, mm.
        between: least straight between two bends, mm.
        tail: straight that must be left behind the last bend, mm.
        reference: how far before the tangent point, towards the start, its mark lies, mm.
        greatest_angle: that it can be set to, degrees.
        height: of the tube above the floor or bed in the bender, mm; 0 where it is not to be reckoned.
        turns: which way the end that goes in first swings, seen from above by who feeds it: "left", "right", or
            "either".
        trials: its trial bends.
    """

    od: float
    radius: float
    grip: float = 0.0
    between: float = 0.0
    tail: float = 0.0
    reference: float = 0.0
    greatest_angle: float = 180.0
    height: float = 0.0
    turns: Turns = "either"
    trials: tuple[TrialBend, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what no tool can be."""
        check_range(said("tool's tube diameter"), self.od, 1.0, MAX_SIZE_MM)
        check_range(said("tool radius"), self.radius, self.od / 2, MAX_SIZE_MM, above=True)
        check_range(said("tool's grip"), self.grip, 0.0, MAX_SIZE_MM)
        check_range(said("tool's straight between bends"), self.between, 0.0, MAX_SIZE_MM)
        check_range(said("tool's tail"), self.tail, 0.0, MAX_SIZE_MM)
        check_range(said("tool's reference"), self.reference, -MAX_SIZE_MM, MAX_SIZE_MM)
        angle = said("tool's greatest angle")
        check_range(angle, self.greatest_angle, 0.0, 180.0, unit="°", above=True)
        check_range(said("tool's height"), self.height, 0.0, MAX_COORDINATE_MM)
        if self.turns not in TURNS:
            text = said(
                "the tool turns {turns}; allowed are {allowed}",
                turns=repr(self.turns), allowed=", ".join(TURNS),
            )  # fmt: skip
            raise OutOfRange(text)

    def takes(self, tube: RoundTube) -> bool:
        """Whether it is for tube of this diameter."""
        return abs(self.od - tube.od) <= OD_SLACK_MM

    def bends(self, tube: RoundTube, clr: float) -> bool:
        """Whether it leaves this finished radius, or nearly: a tube springs back to a larger one."""
        return (
            self.takes(tube)
            and self.radius <= clr + 0.5
            and clr <= self.radius * (1 + RADIUS_SLACK)
        )

    def trials_for(self, tube: RoundTube, material: str) -> tuple[Trial, ...]:
        """Its trials that may be of the same material and wall; all, where there are none."""
        same = tuple(one.trial for one in self.trials if one.may_be(tube, material))
        return same or tuple(one.trial for one in self.trials)

    def tried_on(self, tube: RoundTube, material: str) -> bool:
        """Whether there are trials that may be of this material and wall."""
        return any(one.may_be(tube, material) for one in self.trials)


def tool_for(
    tools: Mapping[str, BendTool], tube: RoundTube, clr: float
) -> tuple[str, BendTool] | None:
    """The tool whose radius is nearest to a finished one, and its name; None where none fits."""
    fitting = [
        (abs(tool.radius - clr), name) for name, tool in tools.items() if tool.bends(tube, clr)
    ]
    if not fitting:
        return None
    _, name = min(fitting)
    return name, tools[name]
