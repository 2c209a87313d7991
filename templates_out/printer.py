"""A printer, measured: what its sheets must be stretched by to come out true, or what is set wrong."""

from __future__ import annotations

from dataclasses import replace

from geometry.errors import OutOfRange, check_range
from geometry.lengths import bare, format_mm, mm
from geometry.said import Said, said
from templates_out.canvas import RecordingCanvas, draw
from templates_out.correction import LEAST, MOST, NO_CORRECTION, Correction
from templates_out.drawing import CHECK, NOTE_MM, NOTES, SMALL_MM, Anchor, Drawing, Item, Line, Text
from templates_out.paper import Paper
from templates_out.sheet import Content, Sheet

_APART = 0.01
"""More than this between across and along is more likely a bar measured wrong than the printer."""

_READ_MM = 0.25
"""How well the bars are measured: the test sheet asks for it."""


def bar_lengths(paper: Paper) -> tuple[float, float]:
    """Nominal lengths of the test sheet's bars, across and along, mm.

    The whole tens that stay in the sheet's live box under any correction, so that they are the same
    before and after.
    """
    live = paper.live
    return live.width / MOST // 10 * 10.0, live.height / MOST // 10 * 10.0


def correction_from(
    across: float, along: float, paper: Paper, printer: str, now: Correction = NO_CORRECTION
) -> Correction:
    """The correction from what the bars of a test sheet measure.

    Args:
        across: measured length of the level bar, mm.
        along: measured length of the upright bar, mm.
        paper: the sheet it was printed on.
        printer: its name.
        now: the correction that the test sheet was printed with.

    Raises:
        OutOfRange: when the sheet is off by more than a printer is; the text names the likely setting.
    """
    nominal = bar_lengths(paper)
    check_range(said("measured level bar"), across, 1.0, 1000.0)
    check_range(said("measured upright bar"), along, 1.0, 1000.0)
    x, y = now.x * nominal[0] / across, now.y * nominal[1] / along
    if not (LEAST <= x <= MOST and LEAST <= y <= MOST):
        text = said(
            "the bars measure {across} and {along} instead of {wide} and {high}; {diagnosis}",
            across=bare(across), along=mm(along), wide=bare(nominal[0]), high=bare(nominal[1]),
            diagnosis=diagnosis(across / nominal[0], along / nominal[1]),
        )  # fmt: skip
        raise OutOfRange(text)
    return Correction(x, y, printer)


def proved(across: float, along: float, paper: Paper) -> bool:
    """Both bars of a test sheet measure what they should, as near as a rule is read."""
    nominal = bar_lengths(paper)
    return abs(across - nominal[0]) <= _READ_MM and abs(along - nominal[1]) <= _READ_MM


def doubt(correction: Correction) -> str:
    """What to look at again in a correction that can be true, but seldom is; "" for others."""
    if abs(correction.x - correction.y) <= _APART:
        return ""
    return said(
        "across and along differ by more than 1 %, which is rare: measure both bars again, from end tick to end tick, before "
        "you trust it"
    )


def diagnosis(x: float, y: float) -> Said:
    """What is likely set wrong when a sheet comes out ``x`` and ``y`` times its size.

    The ranges were measured with the CUPS filters' and common viewers' defaults.
    """
    if abs(x - y) > _APART:
        return said(
            "the two differ by more than 1 %, which no scaling does: measure again, edge to edge of the bars' ends, and look "
            "for a slipping feed"
        )
    if x > MOST:
        return said("the page was enlarged: choose actual size or 100 %, and no 'fill page'")
    if 0.855 <= x <= 0.9125:
        return said(
            "an A4 page was shrunk onto Letter: choose actual size or 100 %, or the sheet 'dual'"
        )
    if 0.9125 < x <= 0.9335:
        return said(
            "a Letter page was shrunk onto A4: choose actual size or 100 %, or the sheet 'dual'"
        )
    if 0.9335 < x < LEAST:
        return said(
            "the page was shrunk to the printable area: choose actual size or 100 %, not 'fit'"
        )
    return said("the print was scaled a lot: choose actual size or 100 %, and one page per sheet")


def room_for(paper: Paper, correction: Correction) -> Paper:
    """The sheet with so much wider an edge that, stretched, its drawings keep to the live box."""
    side = paper.side + max(correction.x - 1, 0) * paper.width / 2
    end = paper.end + max(correction.y - 1, 0) * paper.height / 2
    return replace(paper, side=side, end=end)


def corrected(sheets: list[Sheet], correction: Correction) -> list[Sheet]:
    """The sheets with all that is drawn on them stretched about the middle of the page.

    The page keeps its size: drawings are corrected, sheets are not.
    """
    if correction.x == correction.y == 1.0:
        return sheets
    stretched = []
    for sheet in sheets:
        centre = (sheet.paper.width / 2, sheet.paper.height / 2)
        canvas = RecordingCanvas()
        draw(sheet.drawing, canvas)
        drawing = Drawing(tuple(canvas.items)).stretched(correction.x, correction.y, centre)
        stretched.append(replace(sheet, drawing=drawing))
    return stretched


def printer_sheet(paper: Paper, correction: Correction = NO_CORRECTION) -> Content:
    """Bars as long as the live box both ways, a diagonal for squareness, and how to measure."""
    across, along = bar_lengths(paper)
    live = room_for(paper, correction).live
    left = live.left + 0.5
    # The long upright bar goes on where the short one ends, clear of the level one.
    bar_x, bottom = live.right - 0.5, live.bottom + 0.3
    items: list[Item] = []
    for upright, length in ((False, across), (True, along)):
        x0, y0 = (bar_x, bottom) if upright else (left, live.top - 0.5)

        def at(
            step: float, aside: float, x0: float = x0, y0: float = y0, upright: bool = upright
        ) -> tuple[float, float]:
            return (x0 - aside, y0 + step) if upright else (x0 + step, y0 - aside)

        items.append(Line(at(0, 0), at(length, 0), CHECK))
        for place in range(0, round(length) + 1, 10):
            tick = 6.0 if place in (0, round(length)) else 4.0 if place % 50 == 0 else 2.0
            # Measured from the outer edge of one end tick to that of the other.
            edge = min(max(place, CHECK.width / 2), length - CHECK.width / 2)
            items.append(Line(at(edge, 0), at(edge, tick), CHECK))
            whole = place == round(length)
            if place and (place % 50 == 0 or whole) and not (upright and place <= 100):
                x, y = at(place, tick + (1.5 if upright else 4.0))
                words = f"{place} mm" if whole else str(place)
                if whole:
                    # Before the end tick, which is measured, and the upright one's below the level one's.
                    x, y = (x, y - 8.0) if upright else (x - 1.5, y + 4.0)
                anchor: Anchor = "right" if upright or whole else "centre"
                items.append(Text((x, y - 1.2), words, SMALL_MM, anchor))
    # 3-4-5: 90 across, 120 along, 150 on the slope, if the printer is square.
    x, y = left + 25.0, live.top - 25.0
    corner, right, foot = (x, y), (x + 90.0, y), (x, y - 120.0)
    for start, end in ((corner, right), (corner, foot), (right, foot)):
        items.append(Line(start, end, NOTES))
    items += [
        Text((x + 45, y + 1.5), "90", SMALL_MM, "centre"),
        Text((x - 1.5, y - 60), "120", SMALL_MM, "right"),
        Text((x + 50, y - 62), "150 if square", SMALL_MM),
    ]
    steps = (
        "1. Print this sheet at actual size (100 %), on the paper that you will use, and let it cool.",
        f"2. Measure the level bar at the top, outside of end tick to outside of end tick: {format_mm(across)} mm.",
        f"3. Measure the long upright bar at the right the same way: {format_mm(along)} mm.",
        "4. Use a steel rule to 0.25 mm or better; both ends of the rule on the ticks, no stretching.",
        "5. Give both lengths to the program; print this sheet again: both bars must now be right.",
    )
    y = live.bottom + 90.0
    for line in steps:
        items.append(Text((left + 14.0, y), line, SMALL_MM))
        y -= 5.5
    items.append(Text((left + 14.0, live.bottom + 97.0), "How to measure", NOTE_MM))
    facts = (
        f"sheet {paper.name}, {format_mm(paper.width)} x {format_mm(paper.height)} mm",
        "squareness: the slope of the triangle must measure 150 mm; more than 0.5 mm off is a skewed feed",
    )
    return Content(
        room_for(paper, correction),
        Drawing(tuple(items)),
        "Printer test sheet",
        facts,
        reserved=16.0,
    )
