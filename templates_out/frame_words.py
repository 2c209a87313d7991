"""What a frame's papers say of its tubes and ends, in a fabricator's words."""

from __future__ import annotations

from geometry.arrays import Floats
from geometry.end_cut import EndCut
from geometry.fitup import FittedPart
from geometry.frame import END_WORDS, Units
from geometry.lengths import MM_PER_INCH, bare, format_fixed, format_mm, in_inches, mm, with_inches
from geometry.parts import PartEnd
from geometry.path import Arc, Path
from geometry.said import listed, put_together, said
from geometry.section import RoundTube, Section
from templates_out.frame_result import FrameResult
from templates_out.joint_words import FIT_WORDS
from templates_out.wrap import WrapWords

_WAYS = (("forward", "rearward"), ("left", "right"), ("up", "down"))
_KINDS = {"mitre": said("mitre"), "square": said("square")}
_ALSO = 0.38
"""A direction that leans by more than 22 degrees towards another is named by both."""


def facing(way: Floats) -> str:
    """Where a unit vector (3,) points in the frame: x forward, y to the left, z up."""
    order = sorted(range(3), key=lambda axis: -abs(float(way[axis])))
    named = [axis for number, axis in enumerate(order) if not number or abs(way[axis]) > _ALSO]
    return " and ".join(_WAYS[axis][0 if way[axis] > 0 else 1] for axis in named[:2])


def section_words(section: Section, units: Units = "mm") -> str:
    """A section in figures."""
    words = _section_said(section)
    return in_inches(words) if units == "in" else words


def _section_said(section: Section) -> str:
    if isinstance(section, RoundTube):
        return bare(section.od, section.wall, places=3)
    return said("{sizes} box", sizes=bare(section.width, section.height, section.wall, places=3))


def came_back_note(result: FrameResult, part: str) -> str:
    """What is said on the drawing's sheets of a part that is built in as it came; "" of any other."""
    bend = result.bends.get(part)
    one = next((one for one in result.fitted.parts if one.part.name == part), None)
    if bend is None or one is None or one.part.path == bend.job.path:
        return ""
    return said(
        "As drawn: this is what the shop was asked for. {part} came back otherwise and is built in as it came: its wraps, "
        "landings and saw cuts, its length in the schedule and the check dimensions are those of the real tube.",
        part=part,
    )


def length_words(value_mm: float, units: Units) -> str:
    """A length in mm, and in inches beside it where they are used."""
    return with_inches(mm(value_mm), wanted=units == "in")


def in_table(value_mm: float, units: Units) -> str:
    """A length in a column that says its unit: tenths of a millimetre, or thousandths of an inch."""
    return format_fixed(value_mm / MM_PER_INCH, 3) if units == "in" else format_fixed(value_mm, 1)


def short_length(value_mm: float, units: Units) -> str:
    """A length for a list: mm to a tenth, or inches to a thousandth with their mark."""
    if units == "mm":
        return format_mm(value_mm, 1)
    return f"{format_mm(value_mm / MM_PER_INCH, 3)} in"


def onto_words(cut: EndCut) -> str:
    """What an end sits on, or how else it is cut."""
    named = listed(cut.onto)
    match cut.kind:
        case "cope":
            return said("onto {tubes}", tubes=named)
        case "mitre" if cut.at.end.way == "both":
            return said("mitred with {tubes}", tubes=named)
        case "mitre" if cut.at.end.way == "past":
            return said("running past {tubes}", tubes=named)
        case "mitre":
            return said("butting {tubes}", tubes=named)
        case "plane":
            return said("cut at a plane")
        case _:
            return said("cut square")


def end_title(cut: EndCut) -> str:
    """The tube with its hand, which end, and what it sits on."""
    end, onto = END_WORDS[cut.at.name], onto_words(cut)
    return said("{tube} ({end} end) {onto}", tube=cut.at.part.name, end=end, onto=onto)


def end_words(one: FittedPart, cut: EndCut, units: Units = "mm") -> WrapWords:
    """What the wrap of an end says."""
    end = cut.at
    sides = [facing(way) for way in (end.datum, end.third, -end.datum, -end.third)]
    if isinstance(one.part.section, RoundTube):
        marks = ("0°", "90°", "180°", "270°", "360°")
    else:
        marks = ("side 1", "side 2", "side 3", "side 4", "side 1")
    return WrapWords(
        end_title(cut),
        with_inches(cut_facts(one, cut), wanted=units == "in"),
        datum_words(end),
        (f"{marks[1]} {sides[1]}", f"{marks[2]} {sides[2]}", f"{marks[3]} {sides[3]}"),
        f"cut length {length_words(one.cut_length, units)}",
        marks,
        brief=True,
        inches=units == "in",
    )


def nearest_bend(path: Path, along: float) -> tuple[float, str, int] | None:
    """Where a place on a bent tube's centreline is, from the nearest bend: what can be measured when it is bent.

    Args:
        path: the centreline.
        along: of the place from its start, mm.

    Returns:
        How far, mm along the centreline; "past" where the bend ends, "before" where it begins, or "into" it; and the bend's
        number. None of a straight tube.
    """
    at, number, near = 0.0, 0, list[tuple[float, str, int]]()
    for segment in path.segments:
        end = at + segment.length
        if isinstance(segment, Arc):
            number += 1
            if at <= along <= end:
                return along - at, "into", number
            near += [(abs(at - along), "before", number), (abs(along - end), "past", number)]
        at = end
    return min(near, default=None)


def from_bend_words(path: Path, along: float, units: Units) -> str:
    """The same in words, as "100 past bend 1", "35 before bend 2" or "30.7 into bend 1"; "" of a straight tube."""
    near = nearest_bend(path, along)
    if near is None:
        return ""
    away, how, number = near
    return f"{short_length(away, units)} {how} bend {number}"


def datum_words(end: PartEnd) -> str:
    """How the datum line is found on the tube, and where it faces when the tube is fitted."""
    where = facing(end.datum)
    if not isinstance(end.part.section, RoundTube):
        return f"middle of side 1, faces {where} when fitted"
    if end.part.path.radii:
        return f"outside of the nearest bend, faces {where} when fitted"
    return f"datum, faces {where} when fitted"


def cut_facts(one: FittedPart, cut: EndCut) -> str:
    """The end in figures, on one line."""
    parts = [_section_said(one.part.section), f"{format_mm(cut.angle_deg)}°"]
    if cut.kind == "cope":
        parts.append(said("offset {by}", by=bare(cut.offset, places=3)))
        parts.append(said("fit: {fit}", fit=FIT_WORDS[cut.fit]))
    else:
        plain = said("fit: cut along a plane, straight through the wall")
        also = said("{fit} ({kind})", fit=plain, kind=_KINDS.get(cut.kind, ""))
        parts.append(also if cut.kind in _KINDS else plain)
    if cut.at.end.root_gap:
        parts.append(said("root gap {by}", by=bare(cut.at.end.root_gap)))
    if cut.at.end.extra:
        parts.append(said("extra {by}", by=bare(cut.at.end.extra)))
    if cut.outside_gap > 0.005:
        parts.append(said("gap outside up to {by}", by=bare(cut.outside_gap)))
    return put_together(", ", parts)


def short_cut(cut: EndCut | None) -> str:
    """How an end is cut, in a table's cell."""
    if cut is None:
        return "NOT SOLVED"
    if cut.square:
        # Sawn square at its length, whatever it was asked for as.
        past = cut.kind == "mitre" and cut.at.end.way == "past"
        return f"square, {format_mm(cut.beyond, 1)} past" if past else "square"
    return f"{cut.kind} {format_mm(cut.angle_deg, 1)}°"
