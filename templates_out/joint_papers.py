"""Everything on paper and in DXF for one joint on its own."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.checks import joint_findings
from geometry.cope import Cut, cope
from geometry.errors import check_range
from geometry.findings import Finding
from geometry.hole_saw import HoleSaw, hole_saw
from geometry.joint import Joint
from geometry.landing import Landing, landing
from geometry.units import format_inch, format_mm
from templates_out.drawing import NOTE_MM, SMALL_MM, Drawing, Item, Text
from templates_out.dxf import dxf_bytes
from templates_out.fonts import wrapped
from templates_out.joint_picture import end_view, offset_words, side_view
from templates_out.landing_wrap import landing_facts, landing_for_file, landing_for_paper
from templates_out.paper import Paper
from templates_out.sheet import Content, Sheet, number_sheets
from templates_out.table import Table, table
from templates_out.tiling import lay_out
from templates_out.wrap import DEFAULT_PAPER_MM, WrapWords, wrap_for_file, wrap_for_paper

TUBE_NAME, END_NAME, TARGET_NAME = "tube", "finish", "target"
STEPS = (
    "1. Print at 100 %. Measure both bars: 100 mm each, or do not use the sheet.",
    "2. Cut the wrap out along its outline; leave the tab on.",
    "3. Scribe a straight line along the tube: its datum. Put the wrap's left edge on it, print "
    "outwards, and tape it. The ends of the line 'once round' must just meet.",
    "4. Mark along the curve. The side that says 'waste' comes off.",
    "5. Cut on the waste side of the mark and finish to its middle as the fit says. Try it on the "
    "target before you tack.",
    "Without a printer: cut the tube square at its long point. At each place round from the datum, "
    "measure the last column back from that end, and join the marks.",
)


@dataclass(frozen=True, eq=False)
class JointResult:
    """A joint and all that follows from it."""

    joint: Joint
    cut: Cut
    landed: Landing
    saw: HoleSaw
    findings: tuple[Finding, ...]


def solve_joint(joint: Joint) -> JointResult:
    """Cut the joint's tube, land it, and look at it as a careful fabricator would."""
    cut, landed = cope(joint), landing(joint)
    where = f"{TUBE_NAME}, {END_NAME}"
    return JointResult(joint, cut, landed, hole_saw(cut), joint_findings(joint, cut, landed, where))


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
        f"offset {format_mm(joint.offset)}",
        f"fit: {joint.fit}",
    ]
    if joint.root_gap:
        parts.append(f"root gap {format_mm(joint.root_gap)}")
    if joint.extra:
        parts.append(f"extra {format_mm(joint.extra)}")
    return ", ".join(parts)


def wrap_words(joint: Joint) -> WrapWords:
    """What the wrap of a joint on its own says."""
    sides = ["90°", "180° tight side", "270°"]
    if joint.angle_deg == 90:
        sides[1] = "180°"
    if joint.offset:
        index = 0 if joint.offset > 0 else 2
        sides[index] += " target's centre"
    datum = "datum line, on the side away from the tight angle"
    if joint.angle_deg == 90:
        datum = "datum line, on either side along the target"
    return WrapWords(
        f"{TUBE_NAME}, {END_NAME} onto {TARGET_NAME}",
        joint_facts(joint),
        datum,
        (sides[0], sides[1], sides[2]),
    )


def joint_sheets(
    result: JointResult,
    paper: Paper,
    ordinate_step_deg: float = 15.0,
    paper_mm: float = DEFAULT_PAPER_MM,
) -> list[Sheet]:
    """The joint's papers: the wrap, the landing's wrap, and the facts with the ordinate table."""
    check_range("paper thickness", paper_mm, 0.0, 1.0)
    joint, cut = result.joint, result.cut
    words = wrap_words(joint)
    thickness = f"paper {format_mm(paper_mm)} mm thick allowed for"
    contents = []
    wrap = wrap_for_paper(cut, words, result.landed.bevels, paper_mm)
    for tile in lay_out(wrap, paper):
        facts = (
            f"{words.facts}; {thickness}",
            fit_words(joint),
            f"{tile.place}; waste is above the curve; left edge on the {words.datum}",
        )
        contents.append(Content(tile.paper, tile.drawing, f"Wrap: {words.name}", facts))
    name = f"landing of {TUBE_NAME}, {END_NAME}, on {TARGET_NAME}"
    mark = landing_for_paper(result.landed, name, paper_mm)
    for tile in lay_out(mark, paper):
        marking = (
            f"target {format_mm(joint.target_od, 3)}; {landing_facts(result.landed)}; {thickness}",
            f"wrap round the target, 'up' towards the side the tube's datum faces; {tile.place}",
        )
        contents.append(Content(tile.paper, tile.drawing, f"Landing on {TARGET_NAME}", marking))
    contents += _facts_contents(result, paper, ordinate_step_deg)
    return number_sheets(contents)


def joint_files(result: JointResult) -> dict[str, bytes]:
    """The joint's DXF files: the wrap and the landing."""
    words = wrap_words(result.joint)
    name = f"landing of {TUBE_NAME}, {END_NAME}, on {TARGET_NAME} {format_mm(result.joint.target_od, 3)}"
    return {
        "joint.dxf": dxf_bytes(wrap_for_file(result.cut, words)),
        "joint-landing.dxf": dxf_bytes(landing_for_file(result.landed, name)),
    }


def fact_lines(result: JointResult) -> tuple[str, ...]:
    """Every number of the joint in words, for the sheet of facts."""
    joint, cut, landed, saw = result.joint, result.cut, result.landed, result.saw
    if saw.fits:
        sawing = (
            f"One hole saw cuts it: {format_mm(saw.diameter)} mm ({format_inch(saw.diameter)}), "
            f"{format_mm(saw.from_square_deg)}° from square, its centre "
            f"{format_mm(abs(saw.offset))} mm beside the tube's and "
            f"{format_mm(saw.beyond_long_point)} mm beyond the long point; barrel at least "
            f"{format_mm(saw.reach)} mm deep."
        )
    else:
        sawing = (
            "No one hole saw of the target's size cuts it: part of the end passes beside the saw."
        )
    dressing = (
        f"Gap left outside: up to {format_mm(cut.outside_gap)} mm along the tube."
        if joint.fit == "square-cut"
        else f"Cut straight through and not dressed, it would stand off by up to "
        f"{format_mm(cut.gap_if_undressed)} mm: file the inside to seat."
    )
    return (
        f"Long point {format_mm(cut.long_point)} mm at {cut.long_phi_deg:.1f}°, short point "
        f"{format_mm(cut.short_point)} mm at {cut.short_phi_deg:.1f}° (heights from the work point, "
        f"towards the target).",
        f"Deepest cut, long point to short point: {format_mm(cut.deepest)} mm.",
        f"Offset: {offset_words(joint)}.",
        dressing,
        sawing,
        f"Weld seam: {format_mm(landed.seam_length, 1)} mm long; the surfaces meet at "
        f"{landed.tightest_deg:.0f}° to {landed.widest_deg:.0f}°.",
    )


def _facts_contents(result: JointResult, paper: Paper, step_deg: float) -> list[Content]:
    """The sheet of facts: pictures and words on the left, the ordinate table on the right."""
    window = paper.window
    rows = result.cut.ordinates(step_deg)
    marks = Table(
        ("clock", "round", "height", "back from"),
        ("degrees", "from datum", "", "long point"),
        tuple(
            (format_mm(row[0], 1), f"{row[1]:.2f}", f"{row[2]:.2f}", f"{row[3]:.2f}")
            for row in rows
        ),
        (14.0, 20.0, 17.0, 20.0),
    )
    grid = table(marks)
    column = window.width - marks.width - 8.0
    items = list(grid.placed(window.right - marks.width, window.top - 10.0).items)
    items.append(
        Text((window.right - marks.width, window.top - 4.0), "Without a printer, mm", NOTE_MM)
    )
    half, tall = column / 2, 58.0
    for index, (view, title) in enumerate(
        (
            (side_view(result.joint, result.cut, half - 2, tall), "from the side"),
            (end_view(result.joint, half - 2, tall), "along the tube, onto its end"),
        )
    ):
        x = window.left + half * (index + 0.5)
        items += view.placed(x, window.top - tall / 2 - 4.0).items
        items.append(Text((x, window.top - 3.0), title, SMALL_MM, "centre"))
    words = [*fact_lines(result), "", *STEPS]
    for finding in result.findings:
        words += ["", f"{finding.level.capitalize()}: {finding.what} {finding.do}"]
    lines = [line for text in words for line in (wrapped(text, column - 2, SMALL_MM) or [""])]
    contents = []
    y = window.top - tall - 12.0
    facts = (joint_facts(result.joint), fit_words(result.joint))
    title = "Facts and marks without a printer"
    for line in lines:
        if y < window.bottom + 2.0:
            contents.append(Content(paper, Drawing(tuple(items)), title, facts))
            items, y = _fresh_page(window.top)
        if line:
            items.append(Text((window.left, y), line, SMALL_MM))
        y -= 4.0
    contents.append(Content(paper, Drawing(tuple(items)), title, facts))
    return contents


def _fresh_page(top: float) -> tuple[list[Item], float]:
    return [], top - 4.0
