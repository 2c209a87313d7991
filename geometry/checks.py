"""What a careful fabricator would stop at, for one joint and for one bent tube."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from geometry.findings import Finding
from geometry.landing import FILLET_LEAST_DEG, FILLET_MOST_DEG, Landing
from geometry.units import format_mm

if TYPE_CHECKING:
    from geometry.bend import BendRow
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

LEAST_RADIUS_DIAMETERS = 3.0
"""Least centreline radius in diameters: FIA Appendix J, article 253-8; Formula SAE 2021 F.5.2.1."""

LEAST_BETWEEN_DIAMETERS = 2.0
"""Least straight between bends in diameters: common practice, no source."""

WIDE_SPREAD_DEG = 0.5
"""Trial bends that lie farther than this from their line want a second look: common practice, no source."""


def joint_findings(joint: Joint, cut: Cut, landed: Landing, where: str) -> tuple[Finding, ...]:
    """The findings of one joint, the weightiest first."""
    found = []
    share = joint.grown.beside_share(joint.tube.radius)
    if share > 0:
        found.append(
            Finding(
                "passes-beside", "warning", where,
                f"{share * 100:.0f} % of the turn passes beside the target and has nothing to weld to.",
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
                f"the end leaves a gap of up to {format_mm(gap)} mm outside.",
                "File the end until it seats all through the wall (fit: filed)."
                if wide else "Make the weld's leg larger by the gap, or file the end to seat.",
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
            f"{arc.start_deg:.0f}° to {arc.end_deg % 360:.0f}° "
            f"({'under 60°' if arc.side == 'tight' else 'over 120°'}, to {arc.extreme_deg:.0f}°)"
            for arc in landed.bevels
        )
        found.append(
            Finding(
                "bevel", "note", where,
                f"the surfaces meet outside {FILLET_LEAST_DEG:.0f} to {FILLET_MOST_DEG:.0f}° at {parts} "
                "of the turn, where a plain fillet weld does not count.",
                "Bevel the end there, as marked on the wrap, and weld it as a butt weld.",
            )
        )  # fmt: skip
    return tuple(found)


def bend_findings(
    path: Path,
    tube: RoundTube,
    rows: Sequence[BendRow],
    settings: Sequence[BendSetting],
    trials: Sequence[Trial],
    fit: TrialFit | None,
    where: str,
) -> tuple[Finding, ...]:
    """The findings of one bent tube."""
    found = []
    for number, radius in enumerate(path.radii, 1):
        if radius < LEAST_RADIUS_DIAMETERS * tube.od - 1e-9:
            found.append(
                Finding(
                    "tight-radius", "warning", f"{where}, bend {number}",
                    f"radius {format_mm(radius)} mm is {radius / tube.od:.2f} diameters, under 3.",
                    f"Use {format_mm(LEAST_RADIUS_DIAMETERS * tube.od)} mm or more, or ask the shop "
                    "for a mandrel bend and check it for ripples and flattening.",
                )
            )  # fmt: skip
    for number, between in enumerate(path.straights[1:-1], 1):
        least = LEAST_BETWEEN_DIAMETERS * tube.od
        if between < least - 1e-9:
            found.append(
                Finding(
                    "short-straight", "warning", f"{where}, between bends {number} and {number + 1}",
                    f"the straight is {format_mm(between)} mm, under two diameters "
                    f"({format_mm(least)} mm), the least that most benders can grip.",
                    f"Move the bends {format_mm(least - between)} mm apart, or ask the shop what "
                    "its tool needs.",
                )
            )  # fmt: skip
    for number, setting in enumerate(settings, 1):
        if setting.extrapolated:
            found.append(
                Finding(
                    "extrapolated", "warning", f"{where}, bend {number}",
                    f"the setting of {setting.set_angle_deg:.1f}° lies outside the trial bends.",
                    "Make a trial bend nearer this angle before you bend the real tube.",
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
                "an S-bend: the tube is turned half round between bends.",
                "Mark the half turn on the tube before you start.",
            )
        )  # fmt: skip
    return tuple(found)
