"""A point as a person types it: its name, its coordinates, or both."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import pairwise

from geometry.edits import free_name
from geometry.errors import BadText
from geometry.frame import Frame
from geometry.lengths import bare, mm
from geometry.names import parse_name
from geometry.near_path import at_height
from geometry.place import Along, At, MirrorOf, Place
from geometry.places import Places
from geometry.said import Said, each_and, said
from geometry.units import parse_length

POINT_EXAMPLES = said(
    "a point's name, or x, y, z such as 0, -190, 45, or both: roller: 0, -190, 45; a mirror image is left: mirror of right; "
    "a place on a tube is on rail at 120, on rail at 50 % or on rail at height 550"
)
_THREE_NUMBERS = said(
    "x, y and z are three, as 0, -190, 45; where a comma is decimal write 0; -190,5; 45"
)
_LEVEL_MM = 0.1
_ON = re.compile(r"on\s+(.+)\s+at\s+(.+)", re.IGNORECASE)
_MIDDLE = re.compile(r"(?:the )?middle", re.IGNORECASE)
_PERCENT = re.compile(r"(\d+(?:[.,]\d+)?)\s*%")
_HEIGHT = re.compile(r"height\s+(.+)", re.IGNORECASE)
_FIGURES = re.compile(r"[-+\d.,;\s]*\d[-+\d.,;\s]*")
_MIRROR = re.compile(r"mirror\s+of\s+(.+)", re.IGNORECASE)


def read_point(
    text: str, frame: Frame, hint: str, *, inches: bool = False
) -> tuple[str, Place | None]:
    """The point that a text means.

    Args:
        text: the name of a point of the frame; or ``x, y, z``, with ``;`` between them where a comma is decimal; or
            ``mirror of other``; or ``on tube at distance``, along its centreline from its start, with a minus from its
            finish; or ``on tube at height …``, where it passes through that z now; each alone, or as ``name: …``.
        frame: whose points there are.
        hint: what a new point is called that has no name yet.
        inches: a number without a unit is inches.

    Returns:
        Its name, and where it is if it is new.

    Raises:
        BadText: for anything else, and for a new point whose name is taken.
    """
    words = text.strip()
    known = {name.casefold(): name for name in frame.points}
    if words.casefold() in known:
        return known[words.casefold()], None
    name, rest = _parted(words, frame, known)
    place = _place(rest.strip(), frame, known, inches=inches)
    if place is None and _FIGURES.fullmatch(rest.strip()):
        count = len(re.findall(r"\d+(?:\.\d+)?", rest))
        typed, three = repr(rest.strip()), _THREE_NUMBERS
        message = (
            said("{typed} has 1 number; {three}", typed=typed, three=three)
            if count == 1
            else said("{typed} has {count} numbers; {three}", typed=typed, count=count, three=three)
        )
        raise BadText(message)
    if place is None:
        shown = ", ".join(repr(one) for one in list(frame.points)[:6])
        message = said(
            "{typed} is no point: there are {names}; type {examples}",
            typed=repr(words), names=shown or said("none yet"), examples=POINT_EXAMPLES,
        )  # fmt: skip
        raise BadText(message)
    if not name.strip():
        return free_name(hint, frame.points), place
    made = parse_name(name.strip(), said("the point's name"))
    if made.casefold() in known:
        message = said(
            "there is a point {name} already; give the new one another name",
            name=repr(known[made.casefold()]),
        )
        raise BadText(message)
    return made, place


def _parted(words: str, frame: Frame, known: dict[str, str]) -> tuple[str, str]:
    """The new point's name and its place. Any name may hold a colon, that of a tube or another point too."""
    tubes = {tube.name.casefold() for tube in frame.tubes}
    for at in (-1, *(number for number, sign in enumerate(words) if sign == ":")):
        rest = words[at + 1 :].strip()
        on, mirrored = _ON.fullmatch(rest), _MIRROR.fullmatch(rest)
        if (on and on[1].casefold() in tubes) or (mirrored and mirrored[1].casefold() in known):
            return words[: max(at, 0)], rest
    name, colon, rest = words.rpartition(":")
    return (name, rest) if colon else ("", words)


def on_tube(tube: str, distance: str) -> str:
    """A place on a tube as it is typed."""
    return f"on {tube} at {distance}"


def mirror_of(point: str) -> str:
    """The mirror image of a point as it is typed."""
    return f"mirror of {point}"


def _place(text: str, frame: Frame, known: dict[str, str], *, inches: bool) -> Place | None:
    unit = "in" if inches else "mm"
    on = _ON.fullmatch(text)
    if on:
        tube = next(
            (one.name for one in frame.tubes if one.name.casefold() == on[1].casefold()), ""
        )
        if not tube:
            message = said("there is no tube {name} for the point to lie on", name=repr(on[1]))
            raise BadText(message)
        height = _HEIGHT.fullmatch(on[2])
        if height:
            z = parse_length(height[1], said("the height on the tube"), default_unit=unit)
            return Along(tube, distance=_at_height(frame, tube, z))
        if _MIDDLE.fullmatch(on[2]):
            return Along(tube, share=0.5)
        percent = _PERCENT.fullmatch(on[2])
        if percent:
            return Along(tube, share=float(percent[1].replace(",", ".")) / 100.0)
        distance = parse_length(on[2], said("the place on the tube"), default_unit=unit)
        return Along(tube, distance=distance)
    mirrored = _MIRROR.fullmatch(text)
    if mirrored:
        other = known.get(mirrored[1].strip().casefold())
        if other is None:
            message = said(
                "there is no point {name} to take the mirror image of",
                name=repr(mirrored[1].strip()),
            )
            raise BadText(message)
        return MirrorOf(other)
    cells = _cells(text)
    if len(cells) != 3:
        return None
    values = [
        parse_length(cell, said("{axis} of the point", axis=axis), default_unit=unit)
        for axis, cell in zip("xyz", cells, strict=True)
    ]
    return At(*values)


def _at_height(frame: Frame, tube: str, height: float) -> float:
    """The distance along a tube from its start at which it is so high, mm."""
    path = Places(frame).built(frame.tube(tube))
    found = at_height(path, height)
    if len(found) != 1:
        heights = [z for _, _, z in path.vertices]
        text = said(
            "{why}: height {height}, its points lie from {low} to {high}; type the distance along it, as {example}",
            why=_no_one_place(tube, heights, height, found), height=mm(height, places=1),
            low=bare(min(heights), places=1), high=bare(max(heights), places=1), example=on_tube(tube, "120"),
        )  # fmt: skip
        raise BadText(text)
    # Rounded, it is still on the tube.
    return min(round(found[0], 6), math.floor(path.developed_length * 1e6) / 1e6)


def _no_one_place(
    tube: str, heights: Sequence[float], height: float, found: Sequence[float]
) -> Said:
    """Why a height is no one place on a tube, whose points are so high, mm; what is found is from its start, mm."""
    if found:
        return said(
            "{tube} is at that height {count} times, {places} from its start",
            tube=tube, count=len(found), places=each_and([mm(one, places=1) for one in found]),
        )  # fmt: skip
    if any(abs(low - height) + abs(high - height) < _LEVEL_MM for low, high in pairwise(heights)):
        return said("{tube} lies level there, which is no one place", tube=tube)
    return said("{tube} does not pass through it", tube=tube)


def _cells(text: str) -> list[str]:
    """Three cells, parted by semicolons, by commas, or by spaces; a comma within a cell is decimal."""
    if not any(char.isdigit() for char in text):
        return []
    for separator in (";", ","):
        if text.count(separator) == 2:
            return [cell.strip() for cell in text.split(separator)]
    spaced = [cell.strip() for cell in re.split(r",\s+", text)]
    if len(spaced) == 3 and ";" not in text:
        return spaced
    if ";" not in text and text.count(",") not in (1, 3):
        return text.split() if "," not in text else []
    return text.split()
