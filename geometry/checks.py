"""What a careful fabricator would stop at in one joint."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from geometry.findings import Finding
from geometry.landing import BEVEL_LEAST_WALL_MM, FILLET_LEAST_DEG, FILLET_MOST_DEG, Landing
from geometry.lengths import bare, format_mm, mm
from geometry.said import listed, put_together, said

if TYPE_CHECKING:
    from geometry.cope import Cut
    from geometry.joint import Joint

LEAST_BRANCH_DEG = 30.0
"""Least angle of a branch: AISC Design Guide 24 and 360; AWS D1.1, prequalified heel."""

WIDEST_GAP_MM = 3.0
"""Widest gap under a fillet weld: ISO/TR 17671-2:2002, 8.2."""

GROW_LEG_GAP_MM = 1.6
"""Above this gap a fillet's leg grows by the gap: AWS D1.1."""

SMALL_OD_MM = 6.0
"""A frame's tube is hardly ever smaller; a number meant in inches is: common practice, no source."""


def joint_findings(joint: Joint, cut: Cut, landed: Landing, where: str) -> tuple[Finding, ...]:
    """The findings of one joint, the weightiest first."""
    found = []
    share = joint.grown.beside_share(joint.tube.radius)
    if min(joint.tube.od, joint.target_od) < SMALL_OD_MM:
        found.append(
            Finding(
                "small-size", "warning", where,
                said("a tube of {od} is very small.", od=mm(min(joint.tube.od, joint.target_od))),
                said("Check the unit: a number without one is mm; write inches like 1.5in."),
            )
        )  # fmt: skip
    if share > 0:
        parts = [
            said("{start}° to {end}°", start=f"{math.degrees(start):.0f}", end=f"{math.degrees(end) % 360:.0f}")
            for start, end in joint.grown.beside_arcs(joint.tube.radius)
        ]  # fmt: skip
        found.append(
            Finding(
                "passes-beside", "warning", where,
                said(
                    "{share} % of the turn, from {parts}, passes beside the target and has nothing to weld to.",
                    share=f"{share * 100:.0f}", parts=listed(parts),
                ),
                said(
                    "Check the offset and both diameters; close the open part with a cap or a gusset, or use a larger target."
                ),
            )
        )  # fmt: skip
    if joint.angle_deg < LEAST_BRANCH_DEG:
        found.append(
            Finding(
                "acute-angle", "warning", where,
                said(
                    "{angle}° between the tubes is under 30°: the weld cannot reach the root of the tight side.",
                    angle=format_mm(joint.angle_deg),
                ),
                said("Open the angle to 30° or more, or have the joint designed by a qualified engineer."),
            )
        )  # fmt: skip
    gap = cut.outside_gap + joint.root_gap
    if gap > GROW_LEG_GAP_MM:
        found.append(_wide_gap(joint, gap, where))
    if joint.tube.od > joint.target_od:
        found.append(
            Finding(
                "branch-larger", "note", where,
                said(
                    "the tube ({od}) is larger than its target ({target}), so it wraps round it.",
                    od=bare(joint.tube.od), target=bare(joint.target_od),
                ),
                said("Check that it is the right one that is cut."),
            )
        )  # fmt: skip
    if landed.bevels:
        arcs = [
            said(
                "{start}° to {end}° (they meet at {extreme}°)",
                start=f"{arc.start_deg:.0f}",
                end=f"{arc.end_deg % 360:.0f}",
                extreme=f"{arc.extreme_deg:.0f}",
            )
            for arc in landed.bevels
        ]
        found.append(
            Finding(
                "bevel", "note", where,
                said(
                    "a plain fillet weld wants faces that meet at {least} to {most}°; they do not on these parts of the turn: "
                    "{parts}.",
                    least=f"{FILLET_LEAST_DEG:.0f}", most=f"{FILLET_MOST_DEG:.0f}", parts=put_together(", ", arcs),
                ),
                said("Bevel the end there, as marked on the wrap, and weld it as a butt weld.")
                if joint.tube.wall >= BEVEL_LEAST_WALL_MM
                else said("Weld it there as a butt weld; a wall this thin needs no bevel (common practice, no source)."),
            )
        )  # fmt: skip
    return tuple(found)


def _wide_gap(joint: Joint, gap: float, where: str) -> Finding:
    wide = gap > WIDEST_GAP_MM
    what = (
        said(
            "the end leaves a gap of up to {gap} outside, the root gap of {root} included.",
            gap=mm(gap),
            root=mm(joint.root_gap),
        )
        if joint.root_gap
        else said("the end leaves a gap of up to {gap} outside.", gap=mm(gap))
    )
    if not wide:
        do = said("Make the weld's leg larger by the gap, or file the end to seat.")
    elif joint.fit == "square-cut":
        do = said("Use the filed fit instead, which seats all through the wall.")
    else:
        do = said("Use a smaller root gap.")
    return Finding("wide-gap", "warning" if wide else "note", where, what, do)
