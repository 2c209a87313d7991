"""The first sheets of a frame's book: what it is, what is in the book, what to stop at."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.fitup import FittedPart
from geometry.lengths import UNIT_WORDS, format_mm, with_inches
from geometry.said import Length, said
from templates_out.flow import LINE_MM, Flow
from templates_out.frame_result import FrameResult
from templates_out.frame_views import FramePicture, frame_picture
from templates_out.paper import Paper
from templates_out.schedule import (
    bar_lines,
    landing_table,
    landing_words,
    left_on_words,
    progress_table,
    schedule_table,
    stock_table,
    tube_numbers_of,
)
from templates_out.sheet import Content
from templates_out.welds import weld_table, weld_words

NOTHING = "There is nothing to make: the frame has no tubes yet."
_EIGHTH = Length("3 mm", "1/8 in")
SAW, DRESSED = _EIGHTH, Length("5 mm", "3/16 in")
"""As geometry.bars reckons with them; in inches as they are read from a rule."""
_BEND = (
    "Bend what is bent before its ends are cut: saw the bar, scribe its marks and bend it by its bend sheet, which also says how "
    "far from its bend a square end is then sawn. Lay it on its full-size sheets if you had them made (full-size.pdf; the page "
    "Paper makes it). Its datum is the outside of the nearest bend.",
)
_HOW = (
    "Print all sheets at 100 % and measure both bars on each: 100 mm, or do not use it.",
    said(
        "Saw each straight tube: to its length in the schedule if both its ends are square, else some {more} longer (common practice), "
        "a square end first. Scribe a straight line along it: its datum, for both its ends.",
        more=DRESSED,
    ),
    "Tape each wrap round its tube, left edge on the datum, print outwards. It says how far its foot, the lower edge, is to be from "
    "the bend, the square end or the other wrap's foot; tape the first one where all of its curve is on the tube, the other by that. Wraps "
    "of a left and a right part are mirror images: do not swap them. Mark, cut. Filed: dress until it seats all through its "
    "wall; the line is its outside edge. Square-cut: straight through the wall to the line, not dressed.",
    "Mark where tubes land on each, with the strips of the landing marks, and fit the tubes in the order of their numbers, "
    "each to those before it (on a bent tube measure from the nearest bend). Check heights and squareness by the sheet of check dimensions, tack, check again, then weld in "
    "short runs, from side to side.",
)
_WORDS = (
    "Start, finish: a tube begins at the first of its points on the sheet of check dimensions and ends at the other; bends are "
    "counted from the start. Long point, short point: where a cut end stands out farthest, and least. Foot: a wrap's lower "
    "edge. Datum: the line that both wraps of a tube are laid to.",
    "Cope 60°: cut to sit on the side of another tube, at that angle between the two centrelines; offset: how far the two pass "
    "each other. Mitre: a corner of two ends. Plane 40°: sawn flat, as one straight cut, at that angle between the tube's "
    "centreline and the plane, such as the floor; square would be 90°.",
    said(
        "Bevel: the slope ground on an edge so that the weld goes through the wall. Usual are 30° to 35° on each edge, for a groove of "
        "60° to 70°; a wall under {thin} needs none (common practice, no source). The angle named with it is that between the two tubes' "
        "outsides there: a fillet weld wants 60° to 120° (EN 1993-1-8). Where they meet flatter, as on both sides of a cope on a tube "
        "hardly thicker, or sharper, the weld is a butt weld, bevelled or not: a table after the landing marks says where. Local codes and "
        "whoever welds it decide.",
        thin=_EIGHTH,
    ),
    "Developed length: of a bent tube along its centreline, straights and arcs. P0, P1, …: its points, where its straights' "
    "centrelines cross. Class A, B, C or D: how far a size or an angle may be off by ISO 13920; A is the finest.",
)
_STEEL = said(
    "Bars: so many of the length that they are sold in, the longest pieces sawn first, {saw} for each saw cut and {dressed} more for each "
    "straight piece with an end that is cut to fit (common practice, no source); buy one more for trial bends and slips. In all: the pieces "
    "alone. Masses are of tubes as long as their long points are apart.",
    saw=SAW,
    dressed=DRESSED,
)
_DIRECTIONS = (
    "left, right, forward, rearward, up and down are the frame's everywhere, on wraps too: as someone sees them who sits on it "
    "and looks forward"
)
_CARE = said(
    "Wear eye and hearing protection to cut, gloves and a mask to weld, and let air in. A tube that is closed at both ends wants a "
    "hole, {across} across, before its last weld, drilled into what it sits on or where it is not seen: shut-in air blows the weld, and "
    "bursts in a zinc bath (common practice, no source). What carries a person can kill: have design, steel and welds looked at by "
    "a qualified engineer or welder, and keep to local rules.",
    across=_EIGHTH,
)

_CLEAR_MM = 4.0
_WORTH_A_SHEET = 2.0
"""How much larger the picture must come out for a sheet more."""
_LEAST = 0.26
"""Of the sheet: a picture that is smaller is worse than a sheet more."""


def cover_contents(
    result: FrameResult, paper: Paper, chapters: Sequence[tuple[str, int]]
) -> list[Content]:
    """The cover: three views to a stated scale, the key of names, what could not be solved, what is in the book.

    Args:
        result: the frame.
        paper: the sheet.
        chapters: name and number of sheets of what follows the cover, in order.
    """
    window = paper.window
    flow = Flow(window)
    parts = result.fitted.parts
    if not parts:
        flow.heading(NOTHING)
        flow.words(_unsolved(result))
        return [Content(paper, page, f"Frame: {result.name}", ()) for page in flow.pages]
    numbers = tube_numbers_of(result)
    tubes = {tube.name: tube for tube in result.fitted.frame.tubes}
    made = {one.part.tube.name for one in parts}
    names = [
        f"{number}  {name}{', left and right' * tubes[name].handed}{' (not solved)' * (name not in made)}"
        for name, number in numbers.items()
    ]

    def keyed(flow: Flow) -> Flow:
        unsolved = _unsolved(result)
        if unsolved:
            flow.heading("Not solved: left out of this book")
            flow.words(unsolved)
        flow.heading("Key, in the order of fit-up")
        flow.columns(names, 3)
        return flow

    def told(flow: Flow) -> Flow:
        flow.heading("How to use this book")
        every = [*_HOW[:2], *(_BEND if result.bends else ()), *_HOW[2:], _CARE]
        *steps, care = (with_inches(one, wanted=result.units == "in") for one in every)
        flow.words([*(f"{number}. {step}" for number, step in enumerate(steps, 1)), care])
        return flow

    # On one sheet the picture has what the words leave of it; else what the key leaves, and the rest follows.
    key, words = keyed(Flow(window)), told(keyed(Flow(window)))
    left = words.left - _CLEAR_MM if len(words.pages) == 1 else 0.0
    most = key.left - _CLEAR_MM if len(key.pages) == 1 else 0.0
    least, room = _LEAST * window.height, max(most, 0.6 * window.height)
    small = _fitted(parts, numbers, window.width, left, least)
    large = _fitted(parts, numbers, window.width, room, least)
    picture = large or frame_picture(parts, numbers, window.width, room)
    if small is not None and not small.crowded and small.scale < _WORTH_A_SHEET * picture.scale:
        picture = small
    flow.picture(picture.drawing, picture.height + 2.0)
    told(keyed(flow))
    levels = ("error", "warning", "note")
    counts = [(level, sum(f.level == level for f in result.findings)) for level in levels]
    found = ", ".join(f"{count} {level}{'s' * (count != 1)}" for level, count in counts if count)
    noted = "; bend sheets have notes" * any(map(result.bend_notes, result.bends))
    mass = sum(one.mass for one in parts)
    facts = (
        f"{len(parts)} part{'s' * (len(parts) != 1)}, {format_mm(mass, 2)} kg of steel; "
        f"findings: {found or 'none'}{noted}",
        f"drawn 1:{picture.scale}: do not measure this drawing",
        _DIRECTIONS,
    )
    pages = flow.pages
    first = len(pages) + 1
    listed = []
    for name, count in chapters:
        if count:
            last = first + count - 1
            listed.append(f"{name}: page{f's {first} to {last}' if count > 1 else f' {first}'}")
            first = last + 1
    return [
        Content(paper, page, f"Frame: {result.name}", (*facts, "; ".join(listed))) for page in pages
    ]


def _fitted(
    parts: Sequence[FittedPart], numbers: dict[str, int], width: float, height: float, least: float
) -> FramePicture | None:
    """The largest picture that is no higher than that, its numbers counted, mm; None below the least height."""
    room = height
    while room > least:
        picture = frame_picture(parts, numbers, width, room)
        if picture.height <= height:
            return picture
        # Its numbers stand out.
        room -= max(picture.height - height, 0.05 * height)
    return None


def _unsolved(result: FrameResult) -> list[str]:
    why = {finding.where: finding.what for finding in result.findings if finding.level == "error"}
    return [f"{name}: {why.get(name, '')}".rstrip(": ") for name in result.unsolved]


def finding_contents(result: FrameResult, paper: Paper) -> list[Content]:
    """What to stop at, worst first; none without findings."""
    if not result.findings:
        return []
    flow = Flow(paper.window)
    for level, heading in (
        ("error", "Errors: these cannot be made as they are"),
        ("warning", "Warnings: look before you cut"),
        ("note", "Notes"),
    ):
        lines = [f"{f.where}: {f.what} {f.do}" for f in result.findings if f.level == level]
        if lines:
            flow.heading(heading)
            flow.words(lines)
    return [Content(paper, page, "Findings", (result.name,)) for page in flow.pages]


def schedule_contents(result: FrameResult, paper: Paper) -> list[Content]:
    """The tube schedule, and how much of each stock it takes."""
    flow = Flow(paper.window)
    flow.heading("Tubes, in the order of fit-up; lengths from long point to long point")
    flow.table(schedule_table(result))
    flow.words(bar_lines(result))
    flow.heading("Steel", 10 * LINE_MM)
    flow.table(stock_table(result))
    flow.words([with_inches(_STEEL, wanted=result.units == "in")])
    flow.heading("Words", 6 * LINE_MM)
    flow.words([with_inches(one, wanted=result.units == "in") for one in _WORDS])
    flow.heading("How far each part is made: tick as you go", 10 * LINE_MM)
    flow.table(progress_table(result))
    return [Content(paper, page, "Tube schedule", (result.name,)) for page in flow.pages]


def landing_contents(result: FrameResult, paper: Paper) -> list[Content]:
    """Where each tube lands on each other; none where nothing does."""
    words = landing_table(result)
    if not words.rows:
        return []
    flow = Flow(paper.window)
    flow.heading(f"Where tubes land, part by part; lengths in {UNIT_WORDS[result.units]}")
    flow.words((landing_words(result.units), *left_on_words(result)))
    flow.table(words)
    flow.heading(
        f"How each end that lands is welded; lengths in {UNIT_WORDS[result.units]}", 10 * LINE_MM
    )
    flow.words([weld_words(result.units)])
    flow.table(weld_table(result))
    return [Content(paper, page, "Landing marks", (result.name,)) for page in flow.pages]
