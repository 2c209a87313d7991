"""A bent tube at true size, to lay it on: silhouettes, tangent lines, trim lines, block heights."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from geometry.arrays import Floats
from geometry.bend_plan import BendJob, BendResult
from geometry.laying import Lying, Support, ways_to_lie
from geometry.lengths import bare, format_mm, with_inches
from templates_out.bend_view import View, place_names, xy
from templates_out.canvas import extents
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.drawing import FOLD, NOTE_MM, NOTES, SMALL_MM, XY, Drawing, Item, Line, Text
from templates_out.dxf import dxf_bytes
from templates_out.fonts import text_width
from templates_out.labels import labelled
from templates_out.paper import BAND_MM, MAX_PAGE_MM, Paper
from templates_out.parts import Part, sheet_parts
from templates_out.printer import corrected, room_for
from templates_out.sheet import Sheet, number_sheets
from templates_out.space_view import merged_lines, space_view
from templates_out.tiling import JOIN_WORDS, Tile

FULL_SIZE, ROLL = "full-size.pdf", "full-size-roll.pdf"
SUBJECT = "True size: print at 100 %"
_BESIDE_MM = 7.0
"""How far a tangent line stands out beside the tube, for a pencil."""
_CROSS_MM = 4.0
_END_ON = 0.05
# Widths that plotter rolls have (common practice, no source), widest last.
_ROLLS_MM = (610.0, 914.0, 1067.0)
_LEAST_PIECE_MM = 420.0


@dataclass(frozen=True, eq=False)
class CheckSheet:
    """One way to lay a tube on paper.

    Attributes:
        name: as "flat" or "bend 2 level".
        lying: how it lies.
        drawing: at true size, seen from above.
        turns: how the drawing may be turned on its sheets, degrees: a leg along an edge.
    """

    name: str
    lying: Lying
    drawing: Drawing
    turns: tuple[float, ...]


def check_sheets(result: BendResult) -> list[CheckSheet]:
    """A tube's full-size drawings, one for each way that it can lie."""
    if not result.rows:
        return []
    path, radius = result.job.bar_path, result.job.tube.radius
    return [_check_sheet(result, lying) for lying in ways_to_lie(path, radius)]


def _check_sheet(result: BendResult, lying: Lying) -> CheckSheet:
    path = result.job.bar_path
    view = View("", np.array(lying.right), np.array(lying.up))
    name = "flat" if path.plane is not None else f"{lying.run.words} level"
    corners = view.flat(np.array(path.vertices))
    ways = [*np.diff(corners, axis=0), corners[-1] - corners[0]]
    # Half a turn more would only stand the words on their heads.
    turns = {
        (round(quarter - math.degrees(math.atan2(way[1], way[0])), 6) + 90.0) % 180.0 - 90.0
        for way in ways
        if math.hypot(way[0], way[1]) > 1.0
        for quarter in (0.0, 90.0)
    }
    return CheckSheet(name, lying, _drawing(result, lying, view), tuple(sorted(turns, key=abs)))


def _drawing(result: BendResult, lying: Lying, view: View) -> Drawing:
    job, path = result.job, result.job.bar_path
    radius = job.tube.radius
    seen = space_view(path, view, radius)
    lines = [*_tangent_lines(result, view), *_trim_lines(result, view)]
    lines += _crosses([view.flat(np.array([one.at]))[0] for one in lying.supports])
    picture = seen + Drawing(tuple(merged_lines(lines)))
    picture += Drawing(tuple(_names_along(result, view)))
    named = _end_and_bend_names(result, lying, view)
    picture = labelled(picture, named, radius + NOTE_MM, NOTE_MM)
    supports = [_support_name(one, view, job) for one in lying.supports]
    return labelled(picture, supports, radius + SMALL_MM, SMALL_MM)


def _trim_lines(result: BendResult, view: View) -> list[Item]:
    """Across the tube where what is left on is to be cut off."""
    items: list[Item] = []
    reach = result.job.tube.radius + _BESIDE_MM
    for _, at, left in _trims(result, view):
        items.append(Line(xy(at + reach * left), xy(at - reach * left), FOLD))
    return items


def _trims(result: BendResult, view: View) -> list[tuple[int, Floats, Floats]]:
    """At which end, 0 or 1, what is left on is cut off, where on the drawing, and the unit vector to the left there."""
    job, path = result.job, result.job.bar_path
    found = []
    for index, (off, into) in enumerate(zip(job.cut_off, (1.0, -1.0), strict=True)):
        way = view.flat(path.directions[[-index]])[0]
        size = math.hypot(way[0], way[1])
        if off > 0 and size >= _END_ON:
            at = view.flat(np.array([path.vertices[-index]]))[0] + into * off * way
            found.append((index, at, np.array([-way[1], way[0]]) / size))
    return found


def _tangent_lines(result: BendResult, view: View) -> list[Item]:
    """Across the tube where each bend begins and ends; where the straight is seen end on, none."""
    path, reach = result.job.bar_path, result.job.tube.radius + _BESIDE_MM
    straights = path.straight_pieces
    items: list[Item] = []
    for index, straight in enumerate(straights):
        way = view.flat(path.directions[index : index + 1])[0]
        size = math.hypot(way[0], way[1])
        if size < _END_ON:
            continue
        left = np.array([-way[1], way[0]]) / size * reach
        ends = [straight.end] * (index < len(straights) - 1) + [straight.start] * (index > 0)
        for at in view.flat(np.array(ends)) if ends else ():
            items.append(Line(xy(at + left), xy(at - left), NOTES))
    return items


def _crosses(places: Sequence[Floats]) -> list[Item]:
    return [
        Line(xy(at - step), xy(at + step), NOTES)
        for at in places
        for step in np.diag((_CROSS_MM, _CROSS_MM))
    ]


def _names_along(result: BendResult, view: View) -> list[Item]:
    """The tube's name along each straight, so that every sheet of it says whose it is."""
    name, radius = result.job.name, result.job.tube.radius
    height = min(NOTE_MM, 0.5 * radius)
    wide = text_width(name, height)
    if height < SMALL_MM:
        return []
    items: list[Item] = []
    for straight in result.job.bar_path.straight_pieces:
        start, end = view.flat(np.array([straight.start, straight.end]))
        way = end - start
        size = math.hypot(way[0], way[1])
        if size < wide + 20.0:
            continue
        turn = math.degrees(math.atan2(way[1], way[0]))
        turn = turn - 180 if 90 < turn <= 180 else turn + 180 if turn <= -90 else turn
        up = np.array([-math.sin(math.radians(turn)), math.cos(math.radians(turn))])
        at = (start + end) / 2 + up * 0.25 * (radius - height)
        items.append(Text(xy(at), name, height, "centre", turn))
    return items


def _end_and_bend_names(result: BendResult, lying: Lying, view: View) -> list[tuple[str, XY, XY]]:
    """The ends, with their heights where they are not level, and the bends with what they should measure."""
    job, path = result.job, result.job.bar_path
    named = place_names(path, view, 1.0, (0.0, 0.0), fitted=False)
    words = []
    for number, (word, at, out) in enumerate(named):
        if number < 2:
            high = lying.ends[number]
            if path.plane is None and abs(high - lying.lift) >= 0.05:
                word += f", centre {_length(high, job)} up"
            words.append((word, at, out))
        else:
            row = result.rows[number - 2]
            words.append(
                (
                    f"{word}: {format_mm(row.angle_deg)}°, R{with_inches(bare(row.clr), wanted=job.inches)}",
                    at,
                    out,
                )
            )
    return [
        *words,
        *((_cut_name(job, end), xy(at), xy(left)) for end, at, left in _trims(result, view)),
    ]


def _cut_name(job: BendJob, end: int) -> str:
    """What the line across stands for at which what is left on at an end, 0 or 1, is cut off."""
    if not job.long_points:
        return "trim line"
    return "end, sawn square" if job.square[end] else "long point"


def _length(value: float, job: BendJob) -> str:
    """To a tenth of a millimetre, with its inches where they are used."""
    return with_inches(bare(value, places=1), wanted=job.inches)


def _support_name(one: Support, view: View, job: BendJob) -> tuple[str, XY, XY]:
    centre = f"centre {_length(one.centre, job)}"
    if one.block is None:
        word = f"too steep for a block, {centre} up"
    elif job.inches:
        word = f"block {_length(one.block, job)}, {centre}"
    else:
        word = f"block {_length(one.block, job)} ({centre})"
    return word, xy(view.flat(np.array([one.at]))[0]), (1.0, -1.0)


def full_size_parts(result: BendResult) -> list[Part]:
    """A tube's check sheets, to be tiled."""
    return [
        Part(
            sheet.drawing,
            f"Full size: {result.job.name}, {sheet.name}",
            partial(_facts, result, sheet),
            sheet.turns,
            group=f"full size {result.job.name} {sheet.name}",
            upright=True,
        )
        for sheet in check_sheets(result)
    ]


def _facts(result: BendResult, sheet: CheckSheet, tile: Tile) -> tuple[str, ...]:
    lift, radius = sheet.lying.lift, result.job.tube.radius
    lay = "Lay the tube on its outline and sight straight down past its sides."
    if result.job.bar_path.plane is None:
        on = (
            "on the paper"
            if lift < radius + 0.05
            else f"with its centre {_length(lift, result.job)} over the paper"
        )
        lay = (
            f"Lay the tube with {sheet.lying.run.words} {on}; set blocks of the heights given at the crosses, their top under "
            "the middle of the tube. Drop a square from its sides to the outline."
        )
    return (lay, tile.place) if tile.single else (lay, tile.place, JOIN_WORDS)


def full_size_papers(
    results: Sequence[BendResult], paper: Paper, correction: Correction = NO_CORRECTION
) -> dict[str, list[Sheet]]:
    """The check sheets of bent tubes by the name of their file: tiled, and each in one piece from a roll."""
    tiled = full_size_sheets(results, paper, correction)
    return {FULL_SIZE: tiled, ROLL: roll_pages(results, correction)} if tiled else {}


def full_size_sheets(
    results: Sequence[BendResult], paper: Paper, correction: Correction = NO_CORRECTION
) -> list[Sheet]:
    """The check sheets of bent tubes, tiled on sheets of one size."""
    room = room_for(paper, correction)
    parts = [part for result in results for part in full_size_parts(result)]
    return corrected(number_sheets(sheet_parts(parts, room), correction), correction)


def full_size_files(result: BendResult, stem: str) -> dict[str, bytes]:
    """A DXF for each way that a tube can lie, for a plotter."""
    return {
        f"{stem}-full-size-{number}.dxf": dxf_bytes(sheet.drawing)
        for number, sheet in enumerate(check_sheets(result), 1)
    }


def roll_pages(
    results: Sequence[BendResult], correction: Correction = NO_CORRECTION
) -> list[Sheet]:
    """The check sheets of bent tubes, each on one page of the narrowest roll that takes it whole."""
    contents = []
    for result in results:
        for part in full_size_parts(result):
            turned, roll = _on_roll(part, correction)
            contents += sheet_parts([turned], roll)
    return corrected(number_sheets(contents, correction), correction)


def _on_roll(part: Part, correction: Correction) -> tuple[Part, Paper]:
    """A part turned so that the narrowest roll takes it whole, on the shortest piece; else on the widest roll, tiled."""
    for width in _ROLLS_MM:
        roll = room_for(Paper("roll", width, _LEAST_PIECE_MM), correction)
        turned = [part.drawing.placed(0, 0, turn) for turn in part.turns]
        fitting = [
            (high, number)
            for number, (wide, high) in enumerate(map(_size, turned))
            if wide < roll.window.width - 1.0 and high < MAX_PAGE_MM - BAND_MM - 40.0
        ]
        if fitting:
            best = turned[min(fitting)[1]]
            return replace(part, drawing=best, turns=(0.0,)), roll
    return part, roll


def _size(drawing: Drawing) -> tuple[float, float]:
    (left, low), (right, high) = extents(drawing)
    return right - left, high - low
