"""Bending as files have it: tools with their trials, what a returned tube measures, the title block."""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec

from geometry import as_bent as measured
from geometry.bend_tool import BendTool, TrialBend
from geometry.springback import Trial as SetAndGot
from geometry.title import TITLE_FIELDS, TitleFacts

Number: TypeAlias = float
Numbers: TypeAlias = tuple[float | None, ...]


class Wire(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Unknown keys are errors."""


class Trial(Wire, frozen=True):
    """A trial bend: the angle set and the angle got, degrees; of what it was made, where that is known."""

    set: Number
    got: Number
    material: str = ""
    wall: Number = 0.0
    date: str = ""
    ratio: Number = 0.0


class Tool(Wire, frozen=True):
    """A bending tool; lengths in mm, angles in degrees."""

    od: Number
    radius: Number
    grip: Number = 0.0
    between: Number = 0.0
    tail: Number = 0.0
    reference: Number = 0.0
    greatest_angle: Number = 180.0
    height: Number = 0.0
    turns: Literal["either", "left", "right"] = "either"
    trials: tuple[Trial, ...] = ()


class AsBent(Wire, frozen=True):
    """What a returned tube measures: mm and degrees, null where it was not measured."""

    hand: str = ""
    angles: Numbers = ()
    straights: Numbers = ()
    rotations: Numbers = ()
    radii: Numbers = ()
    apart: Number | None = None
    height: Number | None = None
    hold: Literal["all", "start", "finish"] = "all"
    use: bool = False
    beyond: tuple[Number, Number] = (0.0, 0.0)


class Title(Wire, frozen=True):
    """What stands in the title block of every bend drawing."""

    owner: str = ""
    number: str = ""
    revision: str = ""
    date: str = ""
    drawn_by: str = ""
    approved_by: str = ""
    projection: Literal["first", "third"] = "first"
    tolerance: Literal["A", "B", "C", "D"] = "B"


def tool_from(one: Tool) -> BendTool:
    """A tool of the model."""
    trials = tuple(
        TrialBend(SetAndGot(t.set, t.got), t.material, t.wall, t.date, t.ratio) for t in one.trials
    )
    return BendTool(
        one.od, one.radius, one.grip, one.between, one.tail, one.reference, one.greatest_angle, one.height,
        one.turns, trials,
    )  # fmt: skip


def tool_out(one: BendTool) -> Tool:
    """A tool as files have it."""
    trials = tuple(
        Trial(t.trial.set_deg, t.trial.got_deg, t.material, t.wall, t.date, t.ratio)
        for t in one.trials
    )
    return Tool(
        one.od, one.radius, one.grip, one.between, one.tail, one.reference, one.greatest_angle, one.height,
        one.turns, trials,
    )  # fmt: skip


_MEASURED = AsBent.__struct_fields__


def as_bent_from(one: AsBent) -> measured.AsBent:
    """What a tube measures, for the model."""
    return measured.AsBent(**{name: getattr(one, name) for name in _MEASURED})


def as_bent_out(one: measured.AsBent) -> AsBent:
    """What a tube measures, as files have it."""
    return AsBent(**{name: getattr(one, name) for name in _MEASURED})


def title_from(one: Title) -> TitleFacts:
    """The title block's facts."""
    return TitleFacts(**{name: getattr(one, name) for name in TITLE_FIELDS})


def title_out(one: TitleFacts) -> Title:
    """The title block's facts as files have them."""
    return Title(**{name: getattr(one, name) for name in TITLE_FIELDS})
