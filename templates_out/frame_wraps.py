"""A frame's ends and landings as wraps: what to tape on, for paper and for DXF."""

from __future__ import annotations

import numpy as np

from geometry.arrays import Floats
from geometry.end_cut import EndCut
from geometry.fitup import FittedPart
from geometry.frame import Units
from geometry.frame_landing import EndLanding, LandingMark
from geometry.outline import RoundOutline
from geometry.parts import Part
from geometry.units import format_mm
from templates_out.drawing import Drawing
from templates_out.frame_words import end_words, facing, section_words
from templates_out.joint_words import joining
from templates_out.landing_strip import Strip, strip_for_paper
from templates_out.parts import Part as SheetPart
from templates_out.tiling import Tile
from templates_out.wrap import wrap_for_file, wrap_for_paper
from templates_out.wrap_line import OPEN_WORDS, Stretch, WrapLine, bevel_stretch


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
        tuple(bevel_stretch(bevel, girth / (2 * np.pi)) for bevel in bevels),
        tuple(Stretch(start, end, OPEN_WORDS) for start, end in (landing.opens if landing else ())),
        () if isinstance(outline, RoundOutline) else outline.corners,
    )


def end_part(
    one: FittedPart, cut: EndCut, landing: EndLanding | None, paper_mm: float, units: Units
) -> SheetPart:
    """An end's wrap as a part of the sheets."""
    words = end_words(one, cut, units)
    return SheetPart(
        wrap_for_paper(end_line(cut, landing), words, paper_mm), f"Wrap: {words.name}", _wrap_facts
    )


def _wrap_facts(tile: Tile) -> tuple[str, ...]:
    turned = (
        "turned a quarter, read it from the right: waste is to the left of the curve"
        if tile.turn_deg
        else "waste is above the curve"
    )
    return (
        "Each wrap says its tube and end, what it sits on, its fit, where its datum faces. Left edge on the scribed datum "
        "line, print outwards. Thin line under the curve: bevel there after cutting. Dashed ticks: a box section's "
        "corners.",
        f"{tile.place}; {turned}{joining(tile)}",
    )


def end_file(one: FittedPart, cut: EndCut, units: Units = "mm") -> Drawing:
    """An end's wrap for DXF."""
    return wrap_for_file(end_line(cut, None), end_words(one, cut, units))


def landing_strip(target: FittedPart, mark: LandingMark) -> Strip:
    """A landing on a frame's part, with that part's own datum line on it."""
    part, outline = mark.target, mark.target.outline
    girth = outline.girth
    from_start, from_finish = target.from_long_points(mark.along)
    corners = () if isinstance(outline, RoundOutline) else outline.corners

    def from_facing(place: float) -> float:
        return (place - mark.round_mm + girth / 2) % girth - girth / 2

    return Strip(
        girth,
        mark.outline,
        mark.closed,
        from_facing(0.0),
        tuple(from_facing(corner) for corner in corners),
        (
            f"{mark.end.part.name} ({mark.end.name} end) on {part.name}, {section_words(part.section)}",
            f"line across: {format_mm(from_start, 1)} from start, {format_mm(from_finish, 1)} from finish",
            f"{datum_name(part)} faces {facing(mark.datum)}; up: to its finish",
        ),
    )


def datum_name(part: Part) -> str:
    """What a part's datum is called where something lands on it."""
    if part.path.radii:
        return "datum (outside of the nearest bend)"
    return "datum" if isinstance(part.outline, RoundOutline) else "datum (middle of side 1)"


def landing_title(mark: LandingMark) -> str:
    """Whose mark, on what."""
    return f"landing of {mark.end.part.name} ({mark.end.name} end) on {mark.target.name}"


def landing_part(target: FittedPart, mark: LandingMark, paper_mm: float) -> SheetPart:
    """A landing's strip as a part of the sheets."""
    title = landing_title(mark)
    drawing = strip_for_paper(landing_strip(target, mark), paper_mm)
    return SheetPart(drawing, f"{title[:1].upper()}{title[1:]}", _mark_facts, group="mark")


def _mark_facts(tile: Tile) -> tuple[str, ...]:
    turned = "; turned a quarter, read it from the right" if tile.turn_deg else ""
    return (
        "To mark where tubes land, not to cut. Lay the heavy line on the part's scribed datum, its finish end up, the line "
        "across at its distance from the long points, print outwards. Fit: none; waste: none.",
        f"{tile.place}{turned}{joining(tile)}",
    )


def wrapped_ends(parts: tuple[FittedPart, ...]) -> list[tuple[FittedPart, EndCut]]:
    """The ends that need a wrap, in fit-up order: all that are not square."""
    return [
        (one, cut)
        for one in parts
        for cut in one.cuts
        if cut is not None and cut.long_point - cut.short_point > 1e-9
    ]
