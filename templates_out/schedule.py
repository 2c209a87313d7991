"""The tube schedule: every piece of steel with its length and how its ends are cut; and what to buy."""

from __future__ import annotations

import csv
import io

from geometry.bars import DRESSED_MM, bars_for
from geometry.end_cut import EndCut
from geometry.fitup import FittedPart
from geometry.frame import END_NAMES, STEPS, Units
from geometry.frame_landing import LandingMark
from geometry.lengths import MM_PER_INCH, format_fixed, format_inch, with_inches
from geometry.parts import Part
from geometry.section import RoundTube
from templates_out.bend_ends import saw_words, span_words
from templates_out.frame_result import FrameResult, bend_job
from templates_out.frame_words import (
    in_table,
    length_words,
    nearest_bend,
    section_words,
    short_cut,
)
from templates_out.table import Table

_SPARE_MM = 0.05
"""A bar that is no longer than this beyond its tube is not sawn off after bending."""


def tube_numbers_of(result: FrameResult) -> dict[str, int]:
    """Number of each tube in fit-up order, by its name; both hands share theirs."""
    return {tube.name: number for number, tube in enumerate(result.fitted.frame.tubes, 1)}


def part_number(result: FrameResult, part: Part) -> str:
    """A part's number, with L or R for its hand."""
    return f"{tube_numbers_of(result)[part.tube.name]}{part.hand[:1].upper()}"


def schedule_table(result: FrameResult) -> Table:
    """The schedule for paper; in inches too where they are used."""
    inches = result.units == "in"
    rows = []
    for one in result.fitted.parts:
        length, bends = one.cut_length, len(one.part.path.radii)
        solved = None not in one.cuts
        # Who saws by the table alone would take the bender's spare away.
        longer = " *" if sawn_longer(result, one) else ""
        sizes = [f"{format_fixed(length)}{longer}" if solved else "not known"]
        if inches:
            sizes.append(format_fixed(length / MM_PER_INCH, 3) if solved else "")
            sizes.append(format_inch(length, 32) if solved else "")
        else:
            sizes.append(str(bends) if bends else "")
        rows.append(
            (
                part_number(result, one.part), one.part.name,
                section_words(one.part.section, result.units), *sizes,
                short_cut(one.cuts[0]), short_cut(one.cuts[1]), *(() if inches else (format_fixed(one.mass, 3),)),
            )
        )  # fmt: skip
    if inches:
        return Table(
            ("no.", "part", "section", "cut length", "cut length", "to 1/32", "start", "finish"),
            ("", "", "in", "mm", "in", "in", "", ""),
            tuple(rows),
            (10.0, 40.0, 33.0, 19.0, 17.5, 18.0, 21.0, 21.5),
            (0, 1, 2, 6, 7),
        )
    return Table(
        ("no.", "part", "section", "cut length", "bends", "start", "finish", "mass"),
        ("", "", "mm", "mm", "", "", "", "kg"),
        tuple(rows),
        (10.0, 44.0, 31.0, 20.0, 12.0, 24.0, 24.0, 15.0),
        (0, 1, 2, 5, 6),
    )


def sawn_longer(result: FrameResult, one: FittedPart) -> bool:
    """The bar of a bent tube that is still to be bent is sawn longer than the tube is in the end."""
    bend = result.bends.get(one.part.name)
    spare = 0.0 if bend is None else bend.supplied_length - one.cut_length
    return one.part.came is None and spare > _SPARE_MM


def bar_lines(result: FrameResult) -> list[str]:
    """Of each bent tube how long its bar is, what of it is left, and where its square ends are sawn."""
    lines = []
    for one in result.fitted.parts:
        name, came = one.part.name, one.part.came is not None
        if name not in result.bends:
            continue
        # Of the tube as it is built in, not as it was drawn.
        job, bar = bend_job(one, result.fitted.frame), result.bends[name].supplied_length
        length = length_words(one.cut_length, result.units)
        if came:
            words = (
                f"{name} is used as it came from the bender: its ends are cut for it to be {length} along its centreline, "
                f"{span_words(job)}."
            )
        elif sawn_longer(result, one):
            words = (
                f"* {name}: saw its bar {length_words(bar, result.units)} long (bend sheet); {length} of it are left when its "
                "ends are cut."
            )
        else:
            continue
        sawn = with_inches(saw_words(job, came=came), wanted=result.units == "in")
        lines.append(f"{words} {sawn}".rstrip())
    return lines


def progress_table(result: FrameResult) -> Table:
    """How far each part is made, and room to tick what comes next."""
    progress = result.fitted.frame.progress
    rows = []
    for one in result.fitted.parts:
        step = progress.get(one.part.name)
        done = STEPS.index(step) + 1 if step else 0
        ticks = ("done" if number < done else "____" for number in range(len(STEPS)))
        rows.append((part_number(result, one.part), one.part.name, *ticks))
    widths = (10.0, 70.0, *([22.0] * len(STEPS)))
    return Table(("no.", "part", *STEPS), ("",) * len(widths), tuple(rows), widths, (0, 1))


def stock_table(result: FrameResult) -> Table:
    """How much of each stock the frame takes."""
    inches = result.units == "in"
    small, large = ((MM_PER_INCH, 2), (12 * MM_PER_INCH, 2)) if inches else ((1.0, 1), (1000.0, 3))
    rows = []
    for name, stock in result.fitted.frame.stock.items():
        lengths = [
            (result.bends.get(o.part.name) or o).supplied_length
            for o in result.fitted.parts
            if o.part.tube.stock == name
        ]
        if lengths:
            bars = bars_for(_sawn(result, name), stock.bar_length)
            mass = sum(o.mass for o in result.fitted.parts if o.part.tube.stock == name)
            rows.append(
                (
                    name, section_words(stock.section, result.units), stock.material, str(len(lengths)),
                    *(format_fixed(value / each, digits)
                      for value, each, digits in ((max(lengths), *small), (sum(lengths), *large), (stock.bar_length, *large))),
                    str(bars), format_fixed(mass),
                )
            )  # fmt: skip
    return Table(
        ("stock", "section", "material", "pieces", "longest", "in all", "sold in", "bars", "mass"),
        (
            "",
            result.units,
            "",
            "",
            *(("in", "ft", "ft") if inches else ("mm", "m", "m")),
            "",
            "kg",
        ),
        tuple(rows),
        (38.0, 32.0, 22.0, 14.0, 20.0, 17.0, 15.0, 10.0, 12.0),
        (0, 1, 2),
    )


def _sawn(result: FrameResult, stock: str) -> list[float]:
    """How long each piece of a stock is sawn, mm: a bent tube's bar as its sheet says, else a little more for ends that are cut to fit."""
    pieces = []
    for one in result.fitted.parts:
        if one.part.tube.stock != stock:
            continue
        bend = result.bends.get(one.part.name)
        long, bar = one.supplied_length, one.part.stock.bar_length
        if any(cut is None or not cut.square for cut in one.cuts):
            # As much as there is where a bar just takes it.
            long = max(long, min(long + DRESSED_MM, bar))
        pieces.append(bend.supplied_length if bend else long)
    return pieces


def landing_table(result: FrameResult) -> Table:
    """Where tubes land on each part, in order along it."""
    by_name = {one.part.name: one for one in result.fitted.parts}
    unit = result.units

    rows = []
    for one in result.fitted.parts:
        for mark in result.marks_on(one.part.name):
            from_start, from_finish = by_name[mark.target.name].from_long_points(mark.along)
            round_tube = isinstance(mark.target.section, RoundTube)
            rows.append(
                (
                    one.part.name, f"{mark.end.part.name}, {mark.end.name}",
                    in_table(from_start, unit), in_table(from_finish, unit),
                    format_fixed(mark.clock_deg, 1) if round_tube else "",
                    in_table(mark.round_mm, unit), f"{in_table(mark.low, unit)} to {in_table(mark.high, unit)}",
                    _from_bend(mark, unit),
                )
            )  # fmt: skip
    return Table(
        ("on part", "lands", "from", "from", "clock", "round", "mark, along", "nearest bend"),
        ("", "", "start", "finish", "°", unit, unit, unit),
        tuple(rows),
        (31.5, 41.0, 14.0, 14.0, 11.0, 12.0, 26.5, 30.0),
        (0, 1, 7),
    )


def _from_bend(mark: LandingMark, unit: Units) -> str:
    """Where a mark is from the nearest bend of what it is on; of one that only reaches on to the bend, that."""
    near = nearest_bend(mark.target.path, mark.along)
    if near is None:
        return ""
    away, how, number = near
    return (
        f"{in_table(away, unit)} {how} {number}" if mark.flat or how == "into" else f"on {number}"
    )


_LANDING_WORDS = (
    "From: along the centreline from the long point of that end to where the landing tube's centreline points; "
    "on a tube that is to be bent, along the straight bar; once it is bent measure from the nearest bend, from the mark that was "
    "scribed round the bar there: {past} past 2 is so far from where bend 2 ends, {before} before 3 so far from where bend 3 begins, "
    "{into} into 2 so far round bend 2 from where it begins, along its centreline: scribe that right round the straight bar before it is bent. Clock, and round: how far "
    "round the part it is, at that place, from its datum line to the line that faces the landing tube, clockwise as you look along "
    "the part from its start towards its finish; more than half-way round is nearer the other way, as the strips show. The datum of a straight part is "
    "its scribed line, of a bent one the outside of the bend nearest to the mark, of a box section the middle of its "
    "side 1. Mark, along: from where to where the outline reaches, from the place measured to, plus towards the finish. "
    "On a bend there is no flat outline: hold the cut end there and mark round it."
)


def landing_words(units: Units) -> str:
    """What the table of landings means, its examples as the table's own figures are."""
    past, before, into = ("2.165", "2.362", "1.181") if units == "in" else ("55.0", "60.0", "30.0")
    return _LANDING_WORDS.format(past=past, before=before, into=into)


_LEFT_MM = 0.05


def _left_on(one: FittedPart | None, asked: tuple[float, float]) -> list[float]:
    """How much bar there is beyond the finished ends of a part: as asked for, or as it was measured."""
    came = one.part.came if one is not None else None
    if one is None or came is None:
        return list(asked)
    return [
        by if steel is None or cut is None else steel - cut.beyond
        for by, steel, cut in zip(asked, came.steel, one.cuts, strict=True)
    ]


def left_on_words(result: FrameResult) -> list[str]:
    """What the places on a bar are, until what is left on for the bender is cut off."""
    words = []
    landed_on = {mark.target.name for one in result.landings.values() for mark in one.marks}
    parts = {one.part.name: one for one in result.fitted.parts}
    for name, bend in result.bends.items():
        ends = [
            f"{length_words(by, result.units)} at the {end}"
            for end, by in zip(END_NAMES, _left_on(parts.get(name), bend.job.left_on), strict=True)
            if by > _LEFT_MM and name in landed_on
        ]
        if ends:
            words.append(
                f"{name}: its bar is sawn longer, by {' and '.join(ends)}, for the bender: on the bar, before that is cut off, "
                "add it to what is measured from that end."
            )
    return words


_HEAD = (
    "no", "part", "hand", "quantity", "stock", "section", "material", "cut_length_mm", "cut_length_in",
    "path_length_mm", "bends", "start_cut", "start_fit", "start_onto", "start_angle_deg", "finish_cut",
    "finish_fit", "finish_onto", "finish_angle_deg", "mass_kg", "made",
)  # fmt: skip


def schedule_csv(result: FrameResult) -> bytes:
    """The schedule for a spreadsheet: UTF-8, a comma between cells, a dot for decimals."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(_HEAD)
    for one in result.fitted.parts:
        part = one.part
        writer.writerow(
            (
                part_number(result, part), part.name, part.hand, 1, part.tube.stock,
                section_words(part.section), part.stock.material, *_lengths(one), f"{part.path.developed_length:.3f}",
                len(part.path.radii), *_cells(one, 0), *_cells(one, 1), f"{one.mass:.4f}",
                result.fitted.frame.progress.get(part.name, ""),
            )
        )  # fmt: skip
    return text.getvalue().encode()


def _lengths(one: FittedPart) -> tuple[str, str]:
    """The cut length, mm and inches; nothing where an end is not solved."""
    if None in one.cuts:
        return "", ""
    return f"{one.cut_length:.3f}", f"{one.cut_length / MM_PER_INCH:.4f}"


def _cells(one: FittedPart, which: int) -> tuple[str, ...]:
    cut: EndCut | None = one.cuts[which]
    if cut is None:
        return "not solved", "", "", ""
    onto = " + ".join(cut.onto)
    return cut.kind, cut.at.end.fit if cut.kind == "cope" else "", onto, f"{cut.angle_deg:.3f}"
