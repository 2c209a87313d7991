"""What to stop at where two tubes' ends are mitred with each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np

from geometry.end_cut import EndCut
from geometry.findings import Finding
from geometry.fitup import FittedPart
from geometry.frame import EndCut as Cut
from geometry.frame import part_names
from geometry.lengths import format_mm, mm
from geometry.said import Said, listed, said

LEAST_ANGLE_DEG = 30.0
"""AISC 360 chapter K and AWS D1.1: prequalified branches stand at 30 degrees or more."""
_UNEVEN_MM = 0.1
_SAME_POINT_MM = 0.5
_FITTING = {("both", "both"), ("past", "butt"), ("butt", "past")}
_CUT_WORDS: dict[Cut, Said] = {
    "cope": said("cut cope"), "square": said("cut square"), "mitre": said("cut mitre"), "plane": said("cut plane"),
}  # fmt: skip


def mitre_findings(cut: EndCut, parts: Mapping[str, FittedPart]) -> Iterator[Finding]:
    """The findings of one mitred end: its partner's cut, the angle, and whether the outlines meet."""
    end, where = cut.at, cut.at.where
    other = parts[cut.onto[0]]
    which = min(
        (0, 1), key=lambda one: float(np.linalg.norm(other.part.ends[one].point - end.point))
    )
    partner, its = other.part.ends[which], other.cuts[which]
    turn = math.degrees(math.acos(max(-1.0, min(1.0, float(end.axis @ partner.axis)))))
    if turn < LEAST_ANGLE_DEG - 1e-9:
        yield Finding(
            "acute", "warning", where,
            said(
                "It is mitred with {other} at {angle}° between the tubes, under 30°: the weld's root in the tight side cannot "
                "be reached.",
                other=other.part.called, angle=format_mm(turn, 1),
            ),
            said("Set the tubes at 30° or more, or ask a welding engineer how that side is to be made."),
        )  # fmt: skip
    mutual = partner.end.cut == "mitre" and partner.end.other in part_names(end.part.tube)
    ways = (end.end.way, partner.end.way)
    if not mutual or ways not in _FITTING:
        how = (
            said('mitred with it, "way" {way}', way=repr(partner.end.way))
            if mutual
            else _CUT_WORDS[partner.end.cut]
        )
        yield Finding(
            "mitre-alone", "error", where,
            said(
                'It is mitred with {other}, "way" {way}, but that end is {how}: the two do not fit.',
                other=other.part.called, way=repr(end.end.way), how=how,
            ),
            said('Mitre both ends with each other: both "both", or one "past" and the other "butt".'),
        )  # fmt: skip
        return
    if ways == ("both", "both") and its is not None and end.part.name < other.part.name:
        mine, theirs = cut.points(), its.points()
        off = max(
            float(np.max(np.min(np.linalg.norm(one[:, None] - two[None], axis=2), axis=1)))
            for one, two in ((mine, theirs), (theirs, mine))
        )
        gap = end.end.root_gap + partner.end.root_gap
        step = max(
            float(np.max(np.linalg.norm(np.diff(line, axis=0), axis=1))) for line in (mine, theirs)
        )
        away = partner.point - end.point
        beside = float(np.linalg.norm(away - (away @ end.axis) * end.axis))
        both = listed((end.where, partner.where))
        if off > gap + step + _UNEVEN_MM and beside > _UNEVEN_MM:
            apart = beside > min(end.part.reach, other.part.reach)
            yield Finding(
                "mitre-offset", "error" if apart else "warning", both,
                said(
                    "Their middles pass {beside} beside each other, and their outsides do not meet along the mitre, by up to "
                    "{off}.",
                    beside=mm(beside), off=mm(off),
                ),
                said(
                    "Bring the two ends to one point; a tube that came back otherwise can be laid by this end, or corrected."
                ),
            )  # fmt: skip
        elif off > gap + step + _UNEVEN_MM:
            yield Finding(
                "mitre-uneven", "warning", both,
                said(
                    "Their outsides do not meet along the mitre, by up to {off}: the sections differ, or are rolled otherwise.",
                    off=mm(off),
                ),
                said("Use the same section, rolled alike, or let one run past and the other butt."),
            )  # fmt: skip
