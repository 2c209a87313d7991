"""A drawing on sheets at true size: whole where it fits, else cut into tiles that are joined by marks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from templates_out.canvas import box_of
from templates_out.clip import clipped, inside, strokes_of, texts_of
from templates_out.drawing import DIMENSIONS, Drawing, Line, Text, readable
from templates_out.packing import free_box
from templates_out.paper import BAND_MM, MAX_PAGE_MM, Box, Paper, cut_to_length
from templates_out.room import Room, up_to
from templates_out.tile_marks import (
    LARGE_MAP_MM,
    MAP_WIDTH_MM,
    Joint,
    check_lines,
    cross_lines,
    cross_places,
    crosses_of,
    figures_beside,
    match_marks,
    tile_map,
    tile_name,
)
from templates_out.tile_plan import QUARTERS, TilePlan, plan_tiles, stroke_points

OVERLAP_MM = 10.0
_CLEAR_LEADER_MM = 0.2
"""Nearer to a word than that, a line ends at it."""
_CLEAR_MM = 4
"""Round the large map, so that no word beside it is taken for one of it."""
JOIN_WORDS = (
    "trim the right and lower dashed lines, lay this sheet on its neighbours' strips, cross on cross with "
    "the same figures"
)


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


def lay_out(
    drawing: Drawing, paper: Paper, turns: Sequence[float] = QUARTERS, *, upright: bool = False
) -> list[Tile]:
    """Place a drawing at true size on the fewest sheets.

    Args:
        drawing: in mm.
        paper: the sheet; a roll is cut to length.
        turns: how the drawing may be turned, degrees anticlockwise.
        upright: words that would stand on their heads are turned round.

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
    size = window.width, window.height, OVERLAP_MM
    plan = plan_tiles(points, *size, turns)
    if len(plan.used) > 1:
        # Words are moved to where there is a sheet: none has one for itself.
        bare = plan_tiles(stroke_points(lines), *size, turns)
        plan = bare if len(bare.used) < len(plan.used) else plan
    chosen = drawing.placed(0, 0, plan.turn_deg)
    if upright:
        chosen = Drawing(
            tuple(readable(item) if isinstance(item, Text) else item for item in chosen.items)
        )
    if plan.used == ((0, 0),):
        region = plan.region(0, 0)
        whole = chosen
        if any(inside(text, region) != text for text in texts_of(chosen)):
            moved = _words(chosen, plan, {})[0, 0]
            whole = Drawing((*strokes_of(_led(chosen, moved)), *moved.values()))
        return [Tile(sheet, whole.placed(window.left - region.left, window.bottom - region.bottom), turn_deg=plan.turn_deg)]  # fmt: skip
    plan = _with_missed(chosen, plan)
    checks = check_lines(plan, chosen)
    places = cross_places(plan, Drawing(tuple(strokes_of(chosen + checks))))
    by_tile = _words(chosen + checks, plan, places)
    words = {tile: Drawing(tuple(texts.values())) for tile, texts in by_tile.items()}
    chosen = _led(chosen, {old: new for texts in by_tile.values() for old, new in texts.items()})
    tiles: list[Tile] = []
    for column, row in plan.used:
        region = plan.region(column, row)
        part = clipped(chosen + checks, region) + words[column, row]
        part += match_marks(plan, column, row, part, places)
        placed = part.placed(window.left - region.left, window.bottom - region.bottom)
        live = sheet.live
        foot = Box(
            live.right - 12.0 - MAP_WIDTH_MM,
            live.bottom + 9.0,
            live.right - 12.0,
            live.bottom + BAND_MM - 5.0,
        )
        if not tiles:
            room = free_box(
                placed, window, LARGE_MAP_MM + 2 * _CLEAR_MM, LARGE_MAP_MM + 2 * _CLEAR_MM
            )
            if room:
                middle = Box(
                    room.left + _CLEAR_MM, room.bottom + _CLEAR_MM, room.right - _CLEAR_MM, room.top - _CLEAR_MM
                )  # fmt: skip
                placed += tile_map(chosen, plan, (column, row), middle, every_name=True)
        placed += tile_map(chosen, plan, (column, row), foot)
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


def _clear_places(text: Text, region: Box) -> Iterator[Text]:
    """The text inside a region, and a little farther and farther from there."""
    moved = inside(text, region)
    step, turn = 1.5 * text.height, math.radians(text.turn_deg)
    cosine, sine = step * math.cos(turn), step * math.sin(turn)
    for along, up in _STEPS:
        x, y = along * cosine - up * sine, along * sine + up * cosine
        yield inside(replace(moved, at=(moved.at[0] + x, moved.at[1] + y)), region)


# Rather above or below than beside: a word across a line stays on it.
_STEPS = sorted(product(range(-8, 9), repeat=2), key=lambda way: math.hypot(3 * way[0], way[1]))


def _words(
    drawing: Drawing, plan: TilePlan, places: Mapping[Joint, tuple[float, float]]
) -> dict[tuple[int, int], dict[Text, Text]]:
    """Every text on the tile nearest its middle, and where it is moved to: across no joint, and then no stroke or other word.

    Where the figures of the joints' crosses (``places``) are to stand, no other word is.
    """
    by_tile: dict[tuple[int, int], list[Text]] = {tile: [] for tile in plan.used}
    for text in texts_of(drawing):
        (left, bottom), (right, top) = box_of(text)
        middle = ((left + right) / 2, (bottom + top) / 2)

        def away(tile: tuple[int, int], middle: tuple[float, float] = middle) -> float:
            box = plan.region(*tile)
            return math.hypot(
                middle[0] - (box.left + box.right) / 2, middle[1] - (box.bottom + box.top) / 2
            )

        by_tile[min(plan.used, key=away)].append(text)
    strokes = Drawing(tuple(strokes_of(drawing)))
    kept = {}
    for tile, texts in by_tile.items():
        core, region = _core(plan, *tile), plan.region(*tile)
        crosses = crosses_of(plan, tile, places)
        room = Room(clipped(strokes, core) + cross_lines(crosses))
        for at in crosses:
            room.best(inside(choice, region) for choice in figures_beside(at, region))
        # What stands well where it is stays, before others look for room.
        texts.sort(key=lambda text: inside(text, core) != text)
        kept[tile] = {text: room.best(_clear_places(text, core)) for text in texts}
    return kept


def _led(drawing: Drawing, moved: Mapping[Text, Text]) -> Drawing:
    """The drawing whose lines from a word to what it names go to where the word is now."""
    items = []
    for item in drawing.items:
        if isinstance(item, Line) and item.pen == DIMENSIONS:
            led = (new for old, new in moved.items() if new != old and _leads_to(item, old))
            word = next(led, None)
            end = up_to(item.start, word) if word else item.end
            if end is None:
                continue
            item = replace(item, end=end)
        items.append(item)
    return Drawing(tuple(items))


def _leads_to(line: Line, word: Text) -> bool:
    end = up_to(line.start, word)
    return end is not None and math.dist(end, line.end) < _CLEAR_LEADER_MM
