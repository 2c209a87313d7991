"""The parts of a job on the fewest sheets: small ones share a sheet, large ones are tiled."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from templates_out.clip import extents_box
from templates_out.drawing import Drawing
from templates_out.packing import pack
from templates_out.paper import Paper
from templates_out.sheet import Content
from templates_out.tile_plan import QUARTERS
from templates_out.tiling import Tile, lay_out

_LANDING = "landing of "


@dataclass(frozen=True, eq=False)
class Part:
    """One drawing at true size, and what its sheet says of it.

    Attributes:
        drawing: in mm.
        title: what it is.
        facts: lines of small print, from the tile it lies on.
        turns: how it may be turned where it has to be tiled, degrees.
        group: only parts of the same group share a sheet, so that a wrap for one tube's end is not
            taken for the mark on another.
        upright: words that turning stands on their heads are turned round.
    """

    drawing: Drawing
    title: str
    facts: Callable[[Tile], tuple[str, ...]]
    turns: Sequence[float] = QUARTERS
    group: str = ""
    upright: bool = False


def sheet_parts(parts: Sequence[Part], paper: Paper) -> list[Content]:
    """All parts on sheets, group by group; in each, sheets that several share come first.

    Args:
        parts: what to print.
        paper: the sheet; on a roll every part has its own length.
    """
    groups = dict.fromkeys(part.group for part in parts)
    return [
        content
        for group in groups
        for content in _group_sheets([part for part in parts if part.group == group], paper)
    ]


def _group_sheets(parts: Sequence[Part], paper: Paper) -> list[Content]:
    window = paper.window
    shared = paper.name != "roll"
    places = (
        pack([part.drawing for part in parts], window.width, window.height)
        if shared
        else [None] * len(parts)
    )
    by_sheet: dict[int, list[tuple[Part, Tile]]] = {}
    contents = []
    for part, place in zip(parts, places, strict=True):
        if place is None:
            contents += [
                Content(
                    tile.paper,
                    tile.drawing,
                    part.title,
                    part.facts(tile),
                    tile.reserved,
                    "" if tile.single else tile.name,
                )
                for tile in lay_out(part.drawing, paper, part.turns, upright=part.upright)
            ]
            continue
        turned = part.drawing.placed(0, 0, place.turn_deg)
        box = extents_box(turned)
        drawing = turned.placed(
            window.left + place.left + 0.3 - box.left, window.top - place.top - 0.3 - box.top
        )
        by_sheet.setdefault(place.sheet, []).append(
            (part, Tile(paper, drawing, turn_deg=place.turn_deg))
        )
    first = []
    for there in by_sheet.values():
        drawing = Drawing(tuple(item for _, tile in there for item in tile.drawing.items))
        # What is the same for all is said once.
        facts = tuple(dict.fromkeys(line for part, tile in there for line in part.facts(tile)))
        first.append(
            Content(paper, drawing, shared_title([part.title for part, _ in there]), facts)
        )
    return first + contents


def shared_title(titles: list[str]) -> str:
    """The title of a sheet that several parts share: what all of them are is said once."""
    first = titles[0]
    landing = first[: len(_LANDING)] if first.casefold().startswith(_LANDING) else ""
    head = landing or (first[: first.find(": ") + 2] if ": " in first else "")
    if not all(title.startswith(head) for title in titles):
        head = ""
    return head + "; ".join(title.removeprefix(head) for title in titles)
