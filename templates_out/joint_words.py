"""What a joint's papers say, in a fabricator's words."""

from __future__ import annotations

from geometry.joint import Joint
from geometry.lengths import format_mm
from templates_out.joint_result import JointResult
from templates_out.tiling import JOIN_WORDS, Tile
from templates_out.wrap import WrapWords

COMMON_SAW_DEPTH_MM = 50.0
"""Hole saws are seldom deeper: common practice, no source."""

STEPS = (
    "1. Print at 100 %. Measure both bars: 100 mm each, or do not use the sheet.",
    "2. Cut the wrap out along its outline; leave the tab on.",
    "3. Scribe a straight line along the tube: its datum. Put the wrap's left edge on it, print "
    "outwards, and tape it. The ends of the line 'once round' must just meet; if they miss by more "
    "than 0.5 mm, the print or the tube's size is not true.",
    "4. Mark along the curve. What is beyond it, towards the tube's end, is waste.",
)
LAST_STEP = {
    "filed": "5. Cut on the waste side of the mark and file to its middle, until the end seats all "
    "through its wall. Try it on the target before you tack.",
    "square-cut": "5. Cut to the middle of the mark, straight through the wall, and leave it as cut. "
    "Try it on the target before you tack.",
}
BY_HAND = (
    "Without a printer: cut the tube square at its long point. With that end up and the datum facing "
    "you, measure round the tube to the right (anticlockwise as you look at the cut end), then down "
    "from the end by 'down from long point'. Join the marks. Heights are from the work point, plus "
    "towards the target; 'faces meet' is the angle between both tubes' outsides in the weld."
)
WORK_POINT = "Work point: where the two centrelines cross, or the place on the tube's nearest to the target's."


def fit_words(joint: Joint) -> str:
    """The fit and what the hand does for it."""
    if joint.fit == "filed":
        return (
            "filed: dress the end until it seats all through the wall; the line is its outside edge"
        )
    return "square-cut: cut straight through the wall, towards the tube's middle; do not dress"


def joint_facts(joint: Joint) -> str:
    """The joint in figures, on one line."""
    tube = joint.tube
    parts = [
        f"{format_mm(tube.od, 3)} x {format_mm(tube.wall, 3)} onto {format_mm(joint.target_od, 3)}",
        f"{format_mm(joint.angle_deg)}°",
        f"offset {format_mm(joint.offset, 3)}",
        f"fit: {joint.fit}",
    ]
    if joint.root_gap:
        parts.append(f"root gap {format_mm(joint.root_gap)}")
    if joint.extra:
        parts.append(f"extra {format_mm(joint.extra)}")
    return ", ".join(parts)


def offset_words(joint: Joint) -> str:
    """Which way the target's centre lies."""
    if joint.offset == 0:
        return "the two centrelines cross"
    side = 90 if joint.offset > 0 else 270
    return f"the target's centre passes {format_mm(abs(joint.offset), 3)} mm to the {side}° side"


def sides_words(joint: Joint) -> str:
    """Which way the joint lies round the tube, as seen by someone who looks at the cut end."""
    parts = []
    if joint.angle_deg < 90:
        parts.append("the tight angle is on the 180° side")
    if joint.offset:
        parts.append(offset_words(joint))
    if not parts:
        return ""
    return "degrees run anticlockwise as you look at the cut end; " + ", ".join(parts)


def wrap_words(result: JointResult) -> WrapWords:
    """What the wrap of a joint on its own says."""
    joint = result.joint
    sides = ["90°", "180° tight side", "270°"]
    datum = "datum line, on the side away from the tight angle"
    if joint.angle_deg == 90:
        sides[1] = "180°"
        datum = "datum line, on a side that the target runs along"
    if joint.offset:
        sides[0 if joint.offset > 0 else 2] += " target's centre"
    return WrapWords(
        result.title, joint_facts(joint), datum, (sides[0], sides[1], sides[2]), sides_words(joint)
    )


def way_up(tile: Tile) -> str:
    """Where the waste is on the sheet as it is printed, and how tiles are joined."""
    if tile.turn_deg:
        way = "print outwards; turned a quarter, read it from the right: waste is to the left of the curve"
    else:
        way = "print outwards; waste is above the curve"
    return way + joining(tile)


def joining(tile: Tile) -> str:
    """How this sheet is joined to its neighbours; "" for a single sheet."""
    if tile.single:
        return ""
    return f"; {JOIN_WORDS}"


def fact_lines(result: JointResult) -> tuple[str, ...]:
    """Every number of the joint in words, for the sheet of facts."""
    joint, cut, landed, saw = result.joint, result.cut, result.landed, result.saw
    if saw.fits:
        sawing = (
            f"One hole saw of {format_mm(saw.diameter)} mm ({saw.diameter / 25.4:.3f} in) cuts it, as if "
            f"filed: its axis {format_mm(saw.from_square_deg)}° from square to the tube, "
            f"{format_mm(abs(saw.offset))} mm beside the tube's and "
            f"{format_mm(saw.beyond_long_point)} mm beyond the long point; it must reach "
            f"{format_mm(saw.reach)} mm deep."
        )
        if saw.reach > COMMON_SAW_DEPTH_MM:
            sawing += " Few saws are that deep."
    else:
        sawing = (
            "No one hole saw of the target's size cuts it: part of the end passes beside the saw."
        )
    if joint.fit == "square-cut":
        dressing = f"Gap left outside by the straight cut: up to {format_mm(cut.outside_gap)} mm along the tube"
        dressing += f", and {format_mm(joint.root_gap)} mm root gap." if joint.root_gap else "."
    else:
        dressing = (
            f"Cut straight through and not dressed, it would stand off by up to "
            f"{format_mm(cut.gap_if_undressed)} mm: file the inside to seat."
        )
    return (
        WORK_POINT,
        f"Long point: {_from_work_point(cut.long_point)}, at {cut.long_phi_deg:.1f}°. Short point: "
        f"{_from_work_point(cut.short_point)}, at {cut.short_phi_deg:.1f}°.",
        f"Deepest cut, long point to short point: {format_mm(cut.deepest)} mm.",
        f"Offset: {offset_words(joint)}.",
        dressing,
        sawing,
        f"Weld seam: {format_mm(landed.seam_length, 1)} mm long; the surfaces meet at "
        f"{landed.tightest_deg:.0f}° to {landed.widest_deg:.0f}°.",
    )


def _from_work_point(height: float) -> str:
    side = "short of" if height <= 0 else "beyond"
    return f"{format_mm(abs(height))} mm {side} the work point"


def sentence(words: str) -> str:
    """Words with their first letter large, whatever follows it."""
    return words[:1].upper() + words[1:]
