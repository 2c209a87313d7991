"""What a joint's papers say, in a fabricator's words."""

from __future__ import annotations

from geometry.cope import Cut
from geometry.hole_saw import HoleSaw
from geometry.joint import Fit, Joint
from geometry.lengths import bare, format_mm, mm, with_inches
from geometry.said import Said, put_together, said
from templates_out.joint_result import JointResult
from templates_out.tiling import JOIN_WORDS, Tile
from templates_out.wrap import WrapWords

COMMON_SAW_DEPTH_MM = 50.0
"""Hole saws are seldom deeper: common practice, no source."""

STEPS = (
    "1. Print at 100 %. Measure both bars: 100 mm each, or do not use the sheet.",
    "2. Cut the wrap out along its outline; leave the tab on.",
    said(
        "3. Scribe a straight line along the tube: its datum. Put the wrap's left edge on it, print "
        "outwards, and tape it. The ends of the line 'once round' must just meet; if they miss by more "
        "than {by}, the print or the tube's size is not true.",
        by=mm(0.5),
    ),
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
WORK_POINT = said(
    "Work point: where the two centrelines cross, or the place on the tube's nearest to the target's."
)

FIT_WORDS: dict[Fit, Said] = {"filed": said("filed"), "square-cut": said("square-cut")}


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
        said(
            "{tube} onto {target}",
            tube=bare(tube.od, tube.wall, places=3),
            target=bare(joint.target_od, places=3),
        ),
        f"{format_mm(joint.angle_deg)}°",
        said("offset {by}", by=bare(joint.offset, places=3)),
        said("fit: {fit}", fit=FIT_WORDS[joint.fit]),
    ]
    if joint.root_gap:
        parts.append(said("root gap {by}", by=bare(joint.root_gap)))
    if joint.extra:
        parts.append(said("extra {by}", by=bare(joint.extra)))
    return put_together(", ", parts)


def offset_words(joint: Joint) -> str:
    """Which way the target's centre lies."""
    if joint.offset == 0:
        return said("the two centrelines cross")
    return said(
        "the target's centre passes {by} to the {side}° side",
        by=mm(abs(joint.offset), places=3),
        side=90 if joint.offset > 0 else 270,
    )


def sides_words(joint: Joint) -> str:
    """Which way the joint lies round the tube, as seen by someone who looks at the cut end."""
    parts: list[str] = []
    if joint.angle_deg < 90:
        parts.append(said("the tight angle is on the 180° side"))
    if joint.offset:
        parts.append(offset_words(joint))
    if not parts:
        return ""
    return said(
        "degrees run anticlockwise as you look at the cut end; {sides}",
        sides=put_together(", ", parts),
    )


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
    facts, ways = (
        with_inches(words, wanted=result.inches)
        for words in (joint_facts(joint), sides_words(joint))
    )
    quarters = (sides[0], sides[1], sides[2])
    return WrapWords(result.title, facts, datum, quarters, ways, inches=result.inches)


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
    joint, cut, landed = result.joint, result.cut, result.landed
    lines = (
        WORK_POINT,
        said(
            "Long point: {long}, at {long_at}°. Short point: {short}, at {short_at}°.",
            long=_from_work_point(cut.long_point),
            long_at=f"{cut.long_phi_deg:.1f}",
            short=_from_work_point(cut.short_point),
            short_at=f"{cut.short_phi_deg:.1f}",
        ),
        said("Deepest cut, long point to short point: {by}.", by=mm(cut.deepest)),
        said("Offset: {offset}.", offset=offset_words(joint)),
        _dressing_words(joint, cut),
        _saw_words(result.saw),
        said(
            "Weld seam: {long} long; the surfaces meet at {least}° to {most}°.",
            long=mm(landed.seam_length, places=1),
            least=f"{landed.tightest_deg:.0f}",
            most=f"{landed.widest_deg:.0f}",
        ),
    )
    return tuple(with_inches(line, wanted=result.inches) for line in lines)


def _dressing_words(joint: Joint, cut: Cut) -> Said:
    if joint.fit != "square-cut":
        return said(
            "Cut straight through and not dressed, it would stand off by up to {by}: file the inside to seat.",
            by=mm(cut.gap_if_undressed),
        )
    if joint.root_gap:
        return said(
            "Gap left outside by the straight cut: up to {by} along the tube, and {root} root gap.",
            by=mm(cut.outside_gap),
            root=mm(joint.root_gap),
        )
    return said(
        "Gap left outside by the straight cut: up to {by} along the tube.", by=mm(cut.outside_gap)
    )


def _saw_words(saw: HoleSaw) -> Said:
    if not saw.fits:
        return said(
            "No one hole saw of the target's size cuts it: part of the end passes beside the saw."
        )
    words = said(
        "One hole saw of {size} cuts it, as if filed: its axis {turn}° from square to the tube, {aside} beside the tube's and "
        "{beyond} beyond the long point; it must reach {reach} deep.",
        # Hole saws are sold by either.
        size=with_inches(mm(saw.diameter)),
        turn=format_mm(saw.from_square_deg),
        aside=mm(abs(saw.offset)),
        beyond=mm(saw.beyond_long_point),
        reach=mm(saw.reach),
    )
    if saw.reach > COMMON_SAW_DEPTH_MM:
        return said("{saw} Few saws are that deep.", saw=words)
    return words


def _from_work_point(height: float) -> Said:
    if height <= 0:
        return said("{by} short of the work point", by=mm(-height))
    return said("{by} beyond the work point", by=mm(height))
