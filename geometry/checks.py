"""What a careful fabricator would stop at, for one joint and for one bent tube."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from geometry.findings import Finding
from geometry.landing import FILLET_LEAST_DEG, FILLET_MOST_DEG, Landing
from geometry.units import format_mm

if TYPE_CHECKING:
    from geometry.bend import BendMarks, BendRow
    from geometry.cope import Cut
    from geometry.joint import Joint
    from geometry.path import Path
    from geometry.section import RoundTube
    from geometry.springback import BendSetting, Trial, TrialFit

LEAST_BRANCH_DEG = 30.0
"""Least angle of a branch: AISC Design Guide 24 and 360; AWS D1.1, prequalified heel."""

WIDEST_GAP_MM = 3.0
"""Widest gap under a fillet weld: ISO/TR 17671-2:2002, 8.2."""

GROW_LEG_GAP_MM = 1.6
"""Above this gap a fillet's leg grows by the gap: AWS D1.1."""

SMALL_OD_MM = 6.0
"""A frame's tube is hardly ever smaller; a number meant in inches is: common practice, no source."""

LEAST_RADIUS_DIAMETERS = 3.0
"""Least centreline radius in diameters: FIA Appendix J, article 253-8; Formula SAE 2021 F.5.2.1."""

LEAST_BETWEEN_DIAMETERS = 2.0
"""Least straight between bends in diameters: common practice, no source."""

WIDE_SPREAD_DEG = 0.5
"""Trial bends that lie farther than this from their line want a second look: common practice, no source."""

LEAST_KEPT, MOST_APART = 0.85, 0.08
"""Share of a set angle that a trial keeps, and how far two may differ: common practice, no source."""


def joint_findings(joint: Joint, cut: Cut, landed: Landing, where: str) -> tuple[Finding, ...]:
    """The findings of one joint, the weightiest first."""
    found = []
    share = joint.grown.beside_share(joint.tube.radius)
    if min(joint.tube.od, joint.target_od) < SMALL_OD_MM:
        found.append(
            Finding(
                "small-size", "warning", where,
                f"a tube of {format_mm(min(joint.tube.od, joint.target_od))} mm is very small.",
                "Check the unit: a number without one is mm; write inches like 1.5in.",
            )
        )  # fmt: skip
    if share > 0:
        parts = " and ".join(
            f"{math.degrees(start):.0f}° to {math.degrees(end) % 360:.0f}°"
            for start, end in joint.grown.beside_arcs(joint.tube.radius)
        )
        found.append(
            Finding(
                "passes-beside", "warning", where,
                f"{share * 100:.0f} % of the turn, from {parts}, passes beside the target and has "
                "nothing to weld to.",
                "Check the offset and both diameters; close the open part with a cap or a gusset, or "
                "use a larger target.",
            )
        )  # fmt: skip
    if joint.angle_deg < LEAST_BRANCH_DEG:
        found.append(
            Finding(
                "acute-angle", "warning", where,
                f"{format_mm(joint.angle_deg)}° between the tubes is under 30°: the weld cannot "
                "reach the root of the tight side.",
                "Open the angle to 30° or more, or have the joint designed by a qualified engineer.",
            )
        )  # fmt: skip
    gap = cut.outside_gap + joint.root_gap
    if gap > GROW_LEG_GAP_MM:
        wide = gap > WIDEST_GAP_MM
        found.append(
            Finding(
                "wide-gap", "warning" if wide else "note", where,
                f"the end leaves a gap of up to {format_mm(gap)} mm outside"
                + (f", the root gap of {format_mm(joint.root_gap)} mm included." if joint.root_gap else "."),
                "Use the filed fit instead, which seats all through the wall."
                if wide and joint.fit == "square-cut" else "Use a smaller root gap." if wide else "Make the weld's leg larger by the gap, or file the end to seat.",
            )
        )  # fmt: skip
    if joint.tube.od > joint.target_od:
        found.append(
            Finding(
                "branch-larger", "note", where,
                f"the tube ({format_mm(joint.tube.od)}) is larger than its target "
                f"({format_mm(joint.target_od)}), so it wraps round it.",
                "Check that it is the right one that is cut.",
            )
        )  # fmt: skip
    if landed.bevels:
        parts = ", ".join(
            f"{arc.start_deg:.0f} to {arc.end_deg % 360:.0f} (they meet at {arc.extreme_deg:.0f}°)"
            for arc in landed.bevels
        )
        found.append(
            Finding(
                "bevel", "note", where,
                f"a plain fillet weld wants faces that meet at {FILLET_LEAST_DEG:.0f} to "
                f"{FILLET_MOST_DEG:.0f}°; they do not on these degrees of the turn: {parts}.",
                "Bevel the end there, as marked on the wrap, and weld it as a butt weld.",
            )
        )  # fmt: skip
    return tuple(found)


def _bends(numbers: list[int]) -> str:
    """As "bend 2", or "bends 1, 2, 4" for several."""
    word = "bend" if len(numbers) == 1 else "bends"
    return f"{word} {', '.join(map(str, numbers))}"


def bend_findings(
    path: Path,
    tube: RoundTube,
    rows: Sequence[BendRow],
    marks: Sequence[BendMarks],
    trims: tuple[float, float],
    settings: Sequence[BendSetting],
    trials: Sequence[Trial],
    fit: TrialFit | None,
    where: str,
) -> tuple[Finding, ...]:
    """The findings of one bent tube."""
    found = []
    tight: dict[float, list[int]] = {}
    for number, radius in enumerate(path.radii, 1):
        if radius < LEAST_RADIUS_DIAMETERS * tube.od - 1e-9:
            tight.setdefault(radius, []).append(number)
    for radius, numbers in tight.items():
        found.append(
                Finding(
                    "tight-radius", "warning", f"{where}, {_bends(numbers)}",
                    f"radius {format_mm(radius)} mm is {radius / tube.od:.2f} diameters, under 3.",
                    f"Use {format_mm(LEAST_RADIUS_DIAMETERS * tube.od)} mm or more, or ask the shop "
                    "for a mandrel bend and check it for ripples and flattening.",
                )
            )  # fmt: skip
    least = LEAST_BETWEEN_DIAMETERS * tube.od
    for number, between in enumerate(path.straights[1:-1], 1):
        if between < least - 1e-9:
            found.append(
                Finding(
                    "short-straight", "warning", f"{where}, between bends {number} and {number + 1}",
                    f"the straight is {format_mm(between)} mm, under two diameters "
                    f"({format_mm(least)} mm), the least that most benders can grip.",
                    f"Move the bends {format_mm(least - between)} mm further apart, or ask the shop what "
                    "its tool needs.",
                )
            )  # fmt: skip
    for end, straight, trim in zip(
        ("start", "finish"), (path.straights[0], path.straights[-1]), trims, strict=True
    ):
        if path.radii and straight + trim < least - 1e-9:
            found.append(
                Finding(
                    "short-end", "warning", f"{where}, {end}",
                    f"the straight at the {end} is {format_mm(straight + trim)} mm with its trim, under "
                    f"two diameters ({format_mm(least)} mm), the least that most benders can grip.",
                    f"Leave {format_mm(least - straight)} mm of trim on there, and cut it off after.",
                )
            )  # fmt: skip
    whole = path.developed_length + sum(trims)
    for number, mark in enumerate(marks, 1):
        if not 0 <= mark.tool <= whole:
            found.append(
                Finding(
                    "mark-off-bar", "warning", f"{where}, bend {number}",
                    f"the tool's mark would be at {format_mm(mark.tool)} mm, off the bar of "
                    f"{format_mm(whole)} mm.",
                    "Check the tool reference, or leave more trim at the start.",
                )
            )  # fmt: skip
    beyond = [number for number, setting in enumerate(settings, 1) if setting.extrapolated]
    if beyond:
        angles = ", ".join(f"{settings[number - 1].set_angle_deg:.1f}°" for number in beyond)
        found.append(
            Finding(
                "extrapolated", "warning", f"{where}, {_bends(beyond)}",
                f"the setting of {angles} lies outside the trial bends.",
                "Make a trial bend nearer it before you bend the real tube.",
            )
        )  # fmt: skip
    for trial in trials:
        if trial.got_deg > trial.set_deg:
            found.append(
                Finding(
                    "trial-grew", "warning", where,
                    f"a trial set to {format_mm(trial.set_deg)}° gave {format_mm(trial.got_deg)}°, more "
                    "than was set; a tube springs back to less.",
                    "Check that the angle set comes first, and where the bender's scale has its zero.",
                )
            )  # fmt: skip
    for trial in trials:
        if trial.got_deg < LEAST_KEPT * trial.set_deg:
            found.append(
                Finding(
                    "trial-odd", "warning", where,
                    f"a trial set to {format_mm(trial.set_deg)}° gave {format_mm(trial.got_deg)}°, "
                    f"{trial.got_deg / trial.set_deg:.0%} of it; steel tube keeps 90 % and more as a rule.",
                    "Measure that trial again, and check that the angle is how far it turned.",
                )
            )  # fmt: skip
    kept = sorted(trial.got_deg / trial.set_deg for trial in trials)
    if kept and kept[-1] - kept[0] > MOST_APART:
        found.append(
            Finding(
                "trials-disagree", "warning", where,
                f"one trial kept {kept[0]:.0%} of what was set, another {kept[-1]:.0%}.",
                "Measure both again: of one tube and tool they keep nearly the same share.",
            )
        )  # fmt: skip
    if fit is not None and fit.spread_deg > WIDE_SPREAD_DEG:
        found.append(
            Finding(
                "trials-spread", "warning", where,
                f"the trial bends lie up to {fit.spread_deg:.1f}° from their line.",
                "Measure them again, or bend one more.",
            )
        )  # fmt: skip
    if settings and fit is None:
        found.append(
            Finding(
                "springback-estimate", "note", where,
                "there are no trial bends, so the settings are estimated from theory, which runs low: "
                "real tube springs back more.",
                "Bend a trial piece to each angle and give what was set and what came out.",
            )
        )  # fmt: skip
    if any(abs(row.rotation_deg) == 180.0 for row in rows):
        found.append(
            Finding(
                "half-turn", "note", where,
                "an S-bend: the tube is turned half round, 180°, between bends.",
                "Mark the half turn on the tube before you start.",
            )
        )  # fmt: skip
    return tuple(found)
