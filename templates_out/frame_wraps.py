"""A frame's ends and landings as wraps: what to tape on, for paper and for DXF."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Floats
from geometry.end_cut import EndCut
from geometry.fitup import FittedPart
from geometry.frame import END_NAMES, Units
from geometry.frame_landing import EndLanding, LandingMark
from geometry.outline import RoundOutline
from geometry.parts import Part
from geometry.said import capital
from templates_out.drawing import Drawing
from templates_out.frame_result import FrameResult
from templates_out.frame_words import (
    end_words,
    facing,
    from_bend_words,
    length_words,
    section_words,
    short_length,
)
from templates_out.joint_words import joining
from templates_out.landing_strip import Strip, strip_for_paper
from templates_out.parts import Part as SheetPart
from templates_out.tiling import Tile
from templates_out.wrap import WrapBody, WrapWords, wrap_body, wrap_for_file, wrap_for_paper
from templates_out.wrap_line import OPEN_WORDS, Stretch, WrapLine, bevel_stretches

_NEAR_MM = 30.0


def end_line(cut: EndCut, landing: EndLanding | None) -> WrapLine:
    """The line of a frame's end."""
    outline = cut.at.part.outline
    girth = outline.girth

    def height_at(places: Floats) -> Floats:
        return np.asarray(np.interp(places % girth, cut.round_mm, cut.heights))

    bevels = landing.bevels if landing else ()
    return WrapLine(
        girth,
        cut.round_mm,
        cut.heights,
        height_at,
        bevel_stretches(bevels, girth / (2 * np.pi), cut.at.part.section.wall),
        tuple(Stretch(start, end, OPEN_WORDS) for start, end in (landing.opens if landing else ())),
        () if isinstance(outline, RoundOutline) else outline.corners,
    )


@dataclass(frozen=True, eq=False)
class _Prepared:
    """An end's wrap before it is drawn."""

    one: FittedPart
    cut: EndCut
    line: WrapLine
    words: WrapWords
    body: WrapBody


def end_parts(
    result: FrameResult, paper_mm: float, wanted: Callable[[str, str], bool] = lambda *_: True
) -> list[SheetPart]:
    """The wraps of a frame as parts of the sheets, in fit-up order.

    Args:
        result: the frame.
        paper_mm: thickness of the paper.
        wanted: whether a part's end, by both names, is.
    """
    parts = []
    for one in result.fitted.parts:
        if not any(wanted(one.part.name, end) for end in END_NAMES):
            continue
        for end, (words, drawing) in _wraps(result, one, paper_mm).items():
            if wanted(one.part.name, end):
                parts.append(SheetPart(drawing, f"Wrap: {words.name}", _wrap_facts))
    return parts


def part_wraps(result: FrameResult, one: FittedPart, paper_mm: float) -> dict[str, Drawing]:
    """The wraps of one part, by the end; none for a square end or one that is not cut."""
    return {end: drawing for end, (_, drawing) in _wraps(result, one, paper_mm).items()}


def _wraps(
    result: FrameResult, one: FittedPart, paper_mm: float
) -> dict[str, tuple[WrapWords, Drawing]]:
    tubes = [tube.name for tube in result.fitted.frame.tubes]
    number = f"{tubes.index(one.part.tube.name) + 1}{one.part.hand[:1].upper()}"
    made = {
        cut.at.name: _prepared(one, cut, result, number, paper_mm)
        for one, cut in wrapped_ends((one,))
    }
    drawn = {}
    for name, end in made.items():
        placing = _placing(one, end.cut, _away(end, made.get(_far(end.cut))), result.units)
        words = replace(end.words, placing=placing)
        drawn[name] = words, wrap_for_paper(end.line, words, paper_mm, end.body)
    return drawn


def _far(cut: EndCut) -> str:
    return "finish" if cut.at.name == "start" else "start"


def _prepared(
    one: FittedPart, cut: EndCut, result: FrameResult, number: str, paper_mm: float
) -> _Prepared:
    line = end_line(cut, result.landings.get((one.part.name, cut.at.name)))
    words = end_words(one, cut, result.units)
    # The longest that may be said, so that there is room for what is.
    placing = _placing(one, cut, 9999.99, result.units)
    words = replace(words, name=f"{number} {words.name}", placing=placing)
    if one.part.path.radii:
        lowest = -cut.shift - cut.at.straight
    else:
        # Both ends' wraps lie on the tube at once.
        far = one.cuts[1 if cut.at.name == "start" else 0]
        lowest = cut.long_point - one.cut_length * (1 if far is None or far.square else 0.5)
    return _Prepared(one, cut, line, words, wrap_body(line, words, paper_mm, lowest))


def _away(end: _Prepared, far: _Prepared | None) -> float:
    """From a wrap's foot to the other end's, or to the bend, along the tube, mm; negative where nothing tells."""
    one, cut = end.one, end.cut
    if one.part.path.radii:
        return end.body.foot + cut.shift + cut.at.straight
    if None in one.cuts:
        return -1.0
    left = one.cut_length - (cut.long_point - end.body.foot)
    return left - (far.cut.long_point - far.body.foot) if far else left


def _placing(one: FittedPart, cut: EndCut, away: float, units: Units) -> str:
    """Where along the tube the wrap is put, in words; "" where nothing tells."""
    other = one.cuts[1 if cut.at.name == "start" else 0]
    far = _far(cut)
    if away < 0:
        return ""
    if one.part.path.radii:
        bend = (
            "bend 1's start" if cut.at.name == "start" else f"bend {len(one.part.path.radii)}'s end"
        )
        return f"this foot to {bend}: {length_words(away, units)}"
    if other is not None and other.square:
        return f"this foot to the square {far}: {length_words(away, units)}"
    return f"this foot to the {far} wrap's foot: {length_words(away, units)}"


def _wrap_facts(tile: Tile) -> tuple[str, ...]:
    if tile.single:
        # Several wraps share a sheet, some of them turned.
        way = "as its words are read, waste is above the curve"
    elif tile.turn_deg:
        way = "turned a quarter, read it from the right: waste is to the left of the curve"
    else:
        way = "waste is above the curve"
    return (
        "Each wrap says its tube and end, what it sits on, its fit, and which way in the frame its datum and quarters face. Left edge on the datum, one scribed "
        "line for both ends, print outwards. Where a thin line runs under the curve, bevel after cutting, for the weld. Ticks and lines of dashes: "
        "quarters of a round tube, corners of a box.",
        f"{tile.place}; {way}{joining(tile)}",
    )


def end_file(one: FittedPart, cut: EndCut, units: Units = "mm") -> Drawing:
    """An end's wrap for DXF."""
    return wrap_for_file(end_line(cut, None), end_words(one, cut, units))


def reference(target: FittedPart, mark: LandingMark) -> float:
    """Where along the line across is drawn, mm from the foot: through it, or the mark's middle if that is off."""
    from_start, from_finish = target.from_long_points(mark.along)
    near = mark.low - _NEAR_MM <= 0.0 <= mark.high + _NEAR_MM
    return 0.0 if near and min(from_start, from_finish) >= 0 else (mark.low + mark.high) / 2


def landing_strip(target: FittedPart, mark: LandingMark, units: Units = "mm") -> Strip:
    """A landing on a frame's part, with that part's own datum line on it."""
    part, outline = mark.target, mark.target.outline
    girth = outline.girth
    across = reference(target, mark)
    from_start, from_finish = target.from_long_points(mark.along + across)
    corners = () if isinstance(outline, RoundOutline) else outline.corners

    places = (
        f"{short_length(from_start, units)} from start",
        f"{short_length(from_finish, units)} from finish",
        from_bend_words(part.path, mark.along + across, units),
    )

    def from_facing(place: float) -> float:
        return (place - mark.round_mm + girth / 2) % girth - girth / 2

    return Strip(
        girth,
        mark.outline,
        mark.closed,
        from_facing(0.0),
        tuple(from_facing(corner) for corner in corners),
        (
            f"{mark.end.part.name} ({mark.end.name} end) on {part.name}, {section_words(part.section, units)}",
            f"line across, edge to edge: {', '.join(filter(None, places))}",
            f"{datum_name(part)} faces {facing(mark.datum)}; up: to its finish",
        ),
        across,
    )


def datum_name(part: Part) -> str:
    """What a part's datum is called where something lands on it."""
    if part.path.radii:
        return "datum (outside of the nearest bend)"
    return "datum" if isinstance(part.outline, RoundOutline) else "datum (middle of side 1)"


def landing_title(mark: LandingMark) -> str:
    """Whose mark, on what."""
    return f"landing of {mark.end.part.name} ({mark.end.name} end) on {mark.target.name}"


def landing_part(
    target: FittedPart, mark: LandingMark, paper_mm: float, units: Units = "mm"
) -> SheetPart:
    """A landing's strip as a part of the sheets."""
    title = landing_title(mark)
    drawing = strip_for_paper(landing_strip(target, mark, units), paper_mm)
    return SheetPart(drawing, capital(title), _mark_facts, group="mark")


def _mark_facts(tile: Tile) -> tuple[str, ...]:
    turned = "; turned a quarter, read it from the right" * (
        bool(tile.turn_deg) and not tile.single
    )
    return (
        "To mark where tubes land: no fit, and no waste to cut. Lay the heavy line on the part's scribed datum, its finish end up, the line "
        "across at its distance from the long points, print outwards.",
        f"{tile.place}{turned}{joining(tile)}",
    )


def wrapped_ends(parts: tuple[FittedPart, ...]) -> list[tuple[FittedPart, EndCut]]:
    """The ends that need a wrap, in fit-up order: all that are not square."""
    return [(one, cut) for one in parts for cut in one.cuts if cut is not None and not cut.square]
