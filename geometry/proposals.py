"""How the ends of a tube that is added are best cut: what a fabricator would do there first."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from geometry.bend_plan import first_radius
from geometry.edits import put_tube
from geometry.fitup import Fitted, FittedPart, solve
from geometry.frame import END_NAMES, END_WORDS, End, Frame, Plane, Tube
from geometry.near import TOUCH_MM
from geometry.parts import PartEnd
from geometry.places import Places, entered_hand
from geometry.said import each_and, said
from geometry.section import RoundTube
from geometry.skin import depth_in
from geometry.vectors import length

_ALONG = 0.999
"""Cosine from which two tubes run on along one line."""
_FLOOR_MM = 1e-6
_UPRIGHT = 0.2
"""Least part of a tube's way that is up or down, for its end to stand on the floor."""


@dataclass(frozen=True)
class Proposal:
    """How an end is proposed to be cut.

    Attributes:
        end: "start" or "finish".
        cut: the end.
        words: the cut and why, such as "coped onto bar".
        partner: the tube whose end at the same point is mitred with it; "" for none.
        partner_end: which end of it.
    """

    end: str
    cut: End
    words: str
    partner: str = ""
    partner_end: str = ""


def bend_radius(frame: Frame, stock: str) -> float:
    """What bends of a stock begin with, by the tools at hand, mm; 0 for a box section, which has none."""
    bought = frame.stock[stock]
    if not isinstance(bought.section, RoundTube):
        return 0.0
    return first_radius(frame.tools.values(), bought.section, bought.steel)


def add_tube(frame: Frame, tube: Tube) -> tuple[Frame, tuple[Proposal, Proposal]]:
    """The frame with a tube added last, its ends cut as proposed; the end that one is mitred with changes too.

    Raises:
        BadFrame: when the tube does not go into the frame.
    """
    start, finish = proposed(frame, tube)
    whole = put_tube(frame, replace(tube, ends=(start.cut, finish.cut)))
    for one in (start, finish):
        if one.partner:
            whole = _mitred_back(whole, one, tube.name)
    return whole, (start, finish)


def proposed(frame: Frame, tube: Tube) -> tuple[Proposal, Proposal]:
    """What is proposed for the ends of a tube that would come last: its start's, its finish's.

    A cope onto what the end meets; at a corner where another tube's end is free, a mitre; on the floor a cut along
    it; else square.

    Raises:
        BadFrame: when the tube does not go into the frame.
    """
    fitted = solve(put_tube(frame, replace(tube, ends=(End(), End()))))
    hands = [one for one in fitted.parts if one.part.tube.name == tube.name]
    # Of two hands the one that is entered: what is said is said of the points that were typed.
    entered = entered_hand(Places(fitted.frame).path(tube)) if tube.handed and hands else ""
    part = next((one for one in hands if one.part.hand == entered), None)
    if part is None:
        square = End("square")
        start, finish = (
            Proposal(end, square, said("square, as the tube cannot be made yet"))
            for end in END_NAMES
        )
        return start, finish
    return _of_end(fitted, part, 0), _of_end(fitted, part, 1)


def _of_end(fitted: Fitted, part: FittedPart, which: int) -> Proposal:
    end, cut = part.part.ends[which], part.cuts[which]
    corner = _corner(fitted, end)
    near = [name for name in cut.onto if _reaches(fitted, end, name)] if cut is not None else []
    if cut is not None and near and (corner is None or any(n != corner.part.name for n in near)):
        return Proposal(end.name, End(), said("coped onto {tubes}", tubes=each_and(cut.onto)))
    if corner is not None:
        other = corner.part.tube.name
        if abs(float(end.axis @ corner.axis)) > _ALONG:
            words = said("square, as {tube} goes on along the same line", tube=other)
            return Proposal(end.name, End("square"), words)
        words = said(
            "mitred with {tube}, whose {end} is at the same point and is mitred too from now on",
            tube=other,
            end=END_WORDS[corner.name],
        )
        return Proposal(end.name, End("mitre", other=other), words, other, corner.name)
    if abs(float(end.point[2])) < _FLOOR_MM and abs(float(end.axis[2])) > _UPRIGHT:
        plane = Plane()
        words = said("cut along the floor, as its point is at height 0")
        return Proposal(end.name, End("plane", plane=plane), words)
    words = said("square, as it meets nothing above it in the list")
    return Proposal(end.name, End("square"), words)


def _reaches(fitted: Fitted, end: PartEnd, name: str) -> bool:
    """Whether an end's point is in a part, or so near that it is meant; what a short tube crosses is not."""
    part = next(one for one in fitted.parts if one.part.name == name)
    depth, _ = depth_in(part, end.point[None])
    return float(depth[0]) > -end.part.reach


def _corner(fitted: Fitted, end: PartEnd) -> PartEnd | None:
    """The end of another tube at the same point that is free to be mitred; None where there is none."""
    for one in fitted.parts:
        if one.part.tube.name == end.part.tube.name:
            continue
        for other, cut in zip(one.part.ends, one.cuts, strict=True):
            free = other.end.cut == "square" or cut is None
            if free and length(np.asarray(other.drawn - end.drawn)) < TOUCH_MM:
                return other
    return None


def _mitred_back(frame: Frame, proposal: Proposal, name: str) -> Frame:
    """The partner's end that is mitred with a new tube; what is left on there stays."""
    partner = frame.tube(proposal.partner)
    which = END_NAMES.index(proposal.partner_end)
    ends = list(partner.ends)
    ends[which] = End("mitre", other=name, extra=ends[which].extra)
    return put_tube(frame, replace(partner, ends=(ends[0], ends[1])))
