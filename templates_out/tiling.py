"""A drawing on sheets at true size: whole where it fits, else cut into tiles that are joined by marks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.units import format_mm
from templates_out.canvas import box_of
from templates_out.clip import clipped, inside, strokes_of, texts_of
from templates_out.drawing import (
    FOLD,
    NOTES,
    OUTLINE,
    SMALL_MM,
    XY,
    Drawing,
    Item,
    Line,
    Polyline,
    Text,
)
from templates_out.paper import BAND_MM, MAX_PAGE_MM, Box, Paper, cut_to_length
from templates_out.tile_plan import QUARTERS, TilePlan, plan_tiles, stroke_points

OVERLAP_MM = 10.0
JOIN_WORDS = (
    "trim this sheet along its right and lower dashed lines, lay it on its neighbours' strips, each "
    "cross on the one with the same figures"
)
MAP_WIDTH_MM = 34.0
_NAME_SHARES = (0.5, 0.4, 0.6, 0.33, 0.67, 0.12, 0.88)


@dataclass(frozen=True, eq=False)
class Tile:
    """A drawing, or a part of one, placed on a sheet.

    Attributes:
        paper: the sheet.
        drawing: in page coordinates.
        row: 1 at the top.
        column: 1 at the left.
        rows: of the whole drawing.
        columns: of the whole drawing.
        turn_deg: how far the drawing is turned on its sheets, anticlockwise.
    """

    paper: Paper
    drawing: Drawing
    row: int = 1
    column: int = 1
    rows: int = 1
    columns: int = 1
    turn_deg: float = 0.0

    @property
    def name(self) -> str:
        """Column letter and row number, such as B3."""
        return tile_name(self.column - 1, self.row - 1)

    @property
    def single(self) -> bool:
        """The drawing is whole on this sheet."""
        return self.rows == self.columns == 1

    @property
    def reserved(self) -> float:
        """Width of the sheet's band that the map takes, mm."""
        return 0.0 if self.single else MAP_WIDTH_MM + 6.0

    @property
    def place(self) -> str:
        """Its row and column in words, and its name where there are several."""
        words = f"tile row {self.row} of {self.rows}, column {self.column} of {self.columns}"
        return words if self.single else f"{words} ({self.name})"


def tile_name(column: int, row: int) -> str:
    """Column letter and row number of a tile counted from 0: A1, B1, … Z1, AA1."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"{letters}{row + 1}"


def lay_out(drawing: Drawing, paper: Paper, turns: Sequence[float] = QUARTERS) -> list[Tile]:
    """Place a drawing at true size on the fewest sheets.

    Args:
        drawing: in mm.
        paper: the sheet; a roll is cut to length.
        turns: how the drawing may be turned, degrees anticlockwise.

    Returns:
        The tiles, row by row from the top; none is blank.
    """
    strokes = strokes_of(drawing)
    boxes = [np.array(box_of(text)) for text in texts_of(drawing)]
    lines = [np.vstack((s.points, s.points[:1])) if s.closed else s.points for s in strokes]
    points = stroke_points([*lines, *(_corners(box) for box in boxes)])
    high, low = points.max(axis=0), points.min(axis=0)
    sheet = _sheet(paper, float(high[1] - low[1]) + 1.0)
    window = sheet.window
    plan = plan_tiles(points, window.width, window.height, OVERLAP_MM, turns)
    chosen = drawing.placed(0, 0, plan.turn_deg)
    if plan.used == ((0, 0),):
        region = plan.region(0, 0)
        return [Tile(sheet, chosen.placed(window.left - region.left, window.bottom - region.bottom), turn_deg=plan.turn_deg)]  # fmt: skip
    plan = _with_missed(chosen, plan)
    words = _words(chosen, plan)
    tiles = []
    for column, row in plan.used:
        region = plan.region(column, row)
        part = clipped(chosen, region) + words[column, row]
        part += match_marks(plan, column, row, words[column, row])
        placed = part.placed(window.left - region.left, window.bottom - region.bottom)
        placed += tile_map(chosen, plan, column, row, sheet)
        tiles.append(
            Tile(sheet, placed, row + 1, column + 1, plan.rows, plan.columns, plan.turn_deg)
        )
    return tiles


def _corners(box: np.ndarray) -> np.ndarray:
    (left, bottom), (right, top) = box
    return np.array([(left, bottom), (right, bottom), (right, top), (left, top)])


def _sheet(paper: Paper, height: float) -> Paper:
    return cut_to_length(paper, height) if height < MAX_PAGE_MM - BAND_MM - 30 else paper


def _core(plan: TilePlan, column: int, row: int) -> Box:
    """The part of a tile up to its joint lines; without a neighbour, up to its edge."""
    region, half = plan.region(column, row), plan.overlap / 2
    used = set(plan.used)
    return Box(
        region.left + half * ((column - 1, row) in used),
        region.bottom + half * ((column, row + 1) in used),
        region.right - half * ((column + 1, row) in used),
        region.top - half * ((column, row - 1) in used),
    )


def _with_missed(drawing: Drawing, plan: TilePlan) -> TilePlan:
    """The plan with every tile that a stroke crosses, even between the points that were looked at."""
    used = set(plan.used)
    for column in range(plan.columns + 1):
        for row in range(plan.rows + 1):
            if (column, row) in used:
                continue
            region, half = plan.region(column, row), plan.overlap / 2
            core = Box(
                region.left + half + 0.01,
                region.bottom + half + 0.01,
                region.right - half - 0.01,
                region.top - half - 0.01,
            )
            if clipped(drawing, core).items:
                used.add((column, row))
    order = sorted(used, key=lambda tile: (tile[1], tile[0]))
    return TilePlan(
        plan.turn_deg, plan.left, plan.top, plan.width, plan.height, plan.overlap, tuple(order)
    )


def _words(drawing: Drawing, plan: TilePlan) -> dict[tuple[int, int], Drawing]:
    """Every text on the tile nearest its middle, moved inside it where it would cross a joint."""
    kept: dict[tuple[int, int], list[Item]] = {tile: [] for tile in plan.used}
    for text in texts_of(drawing):
        (left, bottom), (right, top) = box_of(text)
        middle = ((left + right) / 2, (bottom + top) / 2)

        def away(tile: tuple[int, int], middle: tuple[float, float] = middle) -> float:
            box = plan.region(*tile)
            return math.hypot(
                middle[0] - (box.left + box.right) / 2, middle[1] - (box.bottom + box.top) / 2
            )

        nearest = min(plan.used, key=away)
        kept[nearest].append(inside(text, plan.region(*nearest)))
    return {tile: Drawing(tuple(items)) for tile, items in kept.items()}


def match_marks(plan: TilePlan, column: int, row: int, words: Drawing) -> Drawing:
    """Joint lines in the middle of each overlap, two crosses on each, and the neighbours' names.

    The crosses stand at the same places of the drawing on both sheets, with its coordinates; their
    words keep clear of the drawing's, where there is room.
    """
    region, half = plan.region(column, row), plan.overlap / 2
    used = set(plan.used)
    items: list[Item] = []
    taken = [box_of(text) for text in texts_of(words)]

    def write(choices: list[Text]) -> None:
        """The first choice that is clear of all words so far, else the first."""
        placed = [inside(choice, region) for choice in choices]
        clear = [text for text in placed if not any(_overlap(box_of(text), box) for box in taken)]
        text = (clear or placed)[0]
        taken.append(box_of(text))
        items.append(text)

    def cross(x: float, y: float) -> None:
        items.append(Line((x - 4, y), (x + 4, y), NOTES))
        items.append(Line((x, y - 4), (x, y + 4), NOTES))
        label = f"x {format_mm(x)} y {format_mm(y)}"
        heights = (y + 0.8, y - 0.8 - SMALL_MM)
        right_of = [Text((x + 0.8, height), label, SMALL_MM) for height in heights]
        left_of = [Text((x - 0.8, height), label, SMALL_MM, "right") for height in heights]
        inner = x > (region.left + region.right) / 2
        write(left_of + right_of if inner else right_of + left_of)

    for x, beside, word in (
        (region.left + half, column - 1, "under"),
        (region.right - half, column + 1, "trim here, on"),
    ):
        if (beside, row) in used:
            items.append(Line((x, region.bottom), (x, region.top), FOLD))
            for share in (0.25, 0.75):
                cross(x, region.bottom + share * region.height)
            name = f"{word} {tile_name(beside, row)}"
            along = [region.bottom + share * region.height for share in _NAME_SHARES]
            write([Text((x - 1.0, y), name, SMALL_MM, "centre", 90.0) for y in along])
    for y, beside, word in (
        (region.top - half, row - 1, "under"),
        (region.bottom + half, row + 1, "trim here, on"),
    ):
        if (column, beside) in used:
            items.append(Line((region.left, y), (region.right, y), FOLD))
            for share in (0.25, 0.75):
                cross(region.left + share * region.width, y)
            name = f"{word} {tile_name(column, beside)}"
            along = [region.left + share * region.width for share in _NAME_SHARES]
            write([Text((x, y + 1.0), name, SMALL_MM, "centre") for x in along])
    strokes = clipped(Drawing(tuple(items)), region)
    return strokes + Drawing(tuple(item for item in items if isinstance(item, Text)))


def _overlap(one: tuple[XY, XY], other: tuple[XY, XY]) -> bool:
    (left, bottom), (right, top) = one
    (other_left, other_bottom), (other_right, other_top) = other
    return left < other_right and other_left < right and bottom < other_top and other_bottom < top


def tile_map(drawing: Drawing, plan: TilePlan, column: int, row: int, sheet: Paper) -> Drawing:
    """A small map at the foot of the sheet: all tiles, the drawing over them, this one named large."""
    live = sheet.live
    width = plan.columns * (plan.width - plan.overlap) + plan.overlap
    height = plan.rows * (plan.height - plan.overlap) + plan.overlap
    scale = min(MAP_WIDTH_MM / width, (BAND_MM - 14.0) / height)
    right = live.right - 12.0
    left, bottom = right - scale * width, live.bottom + 9.0
    items: list[Item] = []
    for other in plan.used:
        box = plan.region(*other)
        inset = plan.overlap / 2
        corners = np.array(
            [
                (box.left + inset, box.bottom + inset),
                (box.right - inset, box.bottom + inset),
                (box.right - inset, box.top - inset),
                (box.left + inset, box.top - inset),
            ]
        )
        corners = (corners - (plan.left, plan.top - height)) * scale + (left, bottom)
        here = other == (column, row)
        items.append(Polyline(corners, True, OUTLINE if here else NOTES))
        if here:
            middle = corners.mean(axis=0)
            place = (float(middle[0]), float(middle[1]) - SMALL_MM / 2)
            items.append(Text(place, tile_name(*other), SMALL_MM, "centre"))
    for stroke in strokes_of(drawing):
        if stroke.pen.layer == OUTLINE.layer:
            small = (stroke.points - (plan.left, plan.top - height)) * scale + (left, bottom)
            items.append(Polyline(small, stroke.closed, NOTES))
    return Drawing(tuple(items))
