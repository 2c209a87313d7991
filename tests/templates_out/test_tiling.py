"""Tiles: joined by their marks they are the drawing, on no more sheets than a plain grid takes."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import cKDTree
from shapely import LineString

from geometry.bend import BendRow, path_from_table
from geometry.joint import Joint
from geometry.section import RoundTube
from templates_out.bend_view import flat_path, profile, true_view
from templates_out.canvas import box_of
from templates_out.clip import strokes_of, texts_of
from templates_out.drawing import DIMENSIONS, NOTES, OUTLINE, Arc, Drawing, Line, Polyline, Text
from templates_out.fonts import text_width
from templates_out.joint_result import solve_joint
from templates_out.joint_words import wrap_words
from templates_out.paper import PAPERS, paper
from templates_out.pdf import pdf_bytes
from templates_out.room import up_to
from templates_out.sheet import Content, number_sheets
from templates_out.tile_marks import tile_name
from templates_out.tile_plan import ANY_TURN, QUARTERS, plan_tiles, stroke_points
from templates_out.tiling import OVERLAP_MM, Tile, lay_out
from templates_out.wrap import wrap_for_paper
from templates_out.wrap_line import joint_line
from tests.cases import examples
from tests.readback import pages
from tests.templates_out.test_words_apart import letters


def rail(*rows: tuple[float, float], last: float = 300.0) -> Drawing:
    """A bent tube's silhouettes at true size."""
    path = path_from_table([BendRow(a, 0.0, b, 115.0) for a, b in rows], last)
    view = true_view(path)
    assert view is not None
    return profile(flat_path(path, view), 19.05)


DRAWINGS = {
    "rail 1.6 m": rail((500.0, 60.0), (400.0, 30.0)),
    "u": rail((500.0, 90.0), (400.0, 90.0), last=500.0),
    "long straight": rail((1200.0, 3.0)),
    "ring": Drawing((Arc((0.0, 0.0), 250.0, 0.0, 360.0, OUTLINE),)),
}


def printed(tiles: list[Tile]) -> bytes:
    contents = [Content(t.paper, t.drawing, "t", (t.place,), t.reserved) for t in tiles]
    return pdf_bytes(number_sheets(contents), "tiles")


def crosses(page: dict) -> dict[tuple[float, float], np.ndarray]:
    """Match marks of a page: the coordinates printed beside each, and where it is, mm."""
    level = [p for p, _, _ in page["strokes"] if _bar(p, 0)]
    upright = [p for p, _, _ in page["strokes"] if _bar(p, 1)]
    centres = [
        a.mean(axis=0)
        for a in level
        for b in upright
        if np.allclose(a.mean(axis=0), b.mean(axis=0), atol=1e-3)
    ]
    said = [(float(x), float(y)) for x, y in re.findall(r"x (-?[\d.]+) y (-?[\d.]+)", page["text"])]
    assert len(said) == len(centres)
    shifts = [np.array(s) - c for s in said for c in centres]
    common = max(shifts, key=lambda shift: sum(np.abs(shift - o).max() < 0.02 for o in shifts))
    return {min(said, key=lambda s: np.abs(s - c - common).sum()): c for c in centres}


def _bar(points: np.ndarray, axis: int) -> bool:
    step = np.abs(points[-1] - points[0])
    return len(points) == 2 and abs(step[axis] - 8.0) < 1e-3 and step[1 - axis] < 1e-6


@pytest.mark.parametrize("turns", [QUARTERS, ANY_TURN], ids=["quarters", "any turn"])
@pytest.mark.parametrize("name", DRAWINGS)
def test_parsed_back_and_joined_they_are_the_drawing(name, turns):
    drawing = DRAWINGS[name]
    tiles = lay_out(drawing, paper("dual"), turns)
    found = pages(printed(tiles))
    assert len(found) == len(tiles) > 1
    joined, checks, marks = [], [], {}
    turned = drawing.placed(0, 0, tiles[0].turn_deg)
    near = cKDTree(stroke_points([s.points for s in strokes_of(turned)], 0.05))

    def on_drawing(points: np.ndarray) -> bool:
        return bool(near.query(points)[0].max() < 0.04)

    for page, tile in zip(found, tiles, strict=True):
        places = crosses(page)
        assert len(places) >= 2, "every tile has a neighbour"
        shift = np.mean([np.array(said) - at for said, at in places.items()], axis=0)
        for said, at in places.items():
            assert at + shift == pytest.approx(said, abs=0.011)
            marks.setdefault(said, set()).add(tile.name)
        window = tile.paper.window
        for points, dashed, width in page["strokes"]:
            within = points[:, 1].min() >= window.bottom - 0.01
            if dashed or not within or points[:, 0].max() > window.right + 0.01:
                continue
            at = points + shift
            # The map of all tiles is small and elsewhere; the check lines are narrow, straight and long.
            if width < 0.3 and _is_check(at) and not on_drawing(at):
                checks.append(at)
            elif width > 0.3 and not _is_map(points, page):
                joined.append(at)
    # The lengths to check are as long as they say.
    words = " ".join(text.text for tile in tiles for text in texts_of(tile.drawing))
    lengths = re.findall(r"check line, no cut: (\d+) mm between", words)
    assert lengths
    for said in lengths:
        spans = [np.ptp(np.vstack(group), axis=0).max() for group in _lines(checks)]
        assert any(abs(span - float(said)) < 0.02 for span in spans), (said, spans)
    # Every mark is on both neighbours with the same figures.
    assert all(len(names) >= 2 for names in marks.values())
    wanted = stroke_points([s.points for s in strokes_of(turned) if s.pen is OUTLINE], 1.0)
    got = stroke_points(joined, 0.2)
    # All of the drawing is there, and nothing that is not in it.
    assert _farthest(wanted, got) < 0.15
    lines = np.vstack(joined)
    assert _farthest(lines, stroke_points([s.points for s in strokes_of(turned)], 0.05)) < 0.04


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_check_line_is_named_on_every_sheet_that_it_crosses(name):
    """Whoever has one sheet in hand must not take it for the tube's own line."""
    found = 0
    for tile in lay_out(DRAWINGS[name], paper("dual")):
        words = [
            letters(text)
            for text in texts_of(tile.drawing)
            if text.text.startswith("check line, no cut")
        ]
        for stroke in strokes_of(tile.drawing):
            line = LineString(stroke.points)
            if stroke.pen is NOTES and _is_check(stroke.points) and line.length > 80:
                found += 1
                beside = line.buffer(7.0, cap_style="flat")
                assert any(beside.contains(word) for word in words), tile.name
    assert found > 2


@pytest.mark.parametrize("turn", [0.0, 90.0])
def test_a_line_to_a_word_goes_along_when_the_word_is_moved(turn):
    """A word across the joint of two sheets stands on one of them; its line still joins it to what it names."""
    # A second line runs through the word, which moves off it.
    rails = [Polyline(np.array([[0.0, y], [700.0, y]]), False, OUTLINE) for y in (0.0, 31.0)]
    found = 0
    for x in range(100, 600, 7):
        start, word = (float(x), 2.0), Text((x + 20.0, 30.0), "bend 1: 90°, R 75", 2.5, "centre")
        led = Line(start, up_to(start, word), DIMENSIONS)
        tiles = lay_out(Drawing((*rails, word, led)).placed(0, 0, turn), paper("dual"))
        (tile, there), *others = [
            (tile, text)
            for tile in tiles
            for text in texts_of(tile.drawing)
            if text.text == word.text
        ]
        assert not others
        lines = [LineString(s.points) for s in strokes_of(tile.drawing) if s.pen == DIMENSIONS]
        found += 1
        # On its sheet the line ends at the word, unless what it names is beyond the sheet's edge and it comes in from there.
        assert min(line.distance(letters(there)) for line in lines) < 1.0, x
    assert found


def _is_check(points):
    """A piece of a check line, or a tick of one: level or upright exactly, a tick 5 mm long."""
    if len(points) != 2:
        return False
    dx, dy = np.abs(points[1] - points[0])
    return min(dx, dy) < 1e-6 and (max(dx, dy) > 20.0 or abs(max(dx, dy) - 5.0) < 1e-3)


def _lines(strokes):
    """Long level and upright strokes, by the line they lie on."""
    groups: dict[tuple[int, float], list[np.ndarray]] = {}
    for points in strokes:
        step = np.abs(points[1] - points[0])
        if step.max() < 10.0:
            continue
        axis = int(np.argmin(step))
        groups.setdefault((axis, round(float(points[0, axis]), 1)), []).append(points)
    return list(groups.values())


def _is_map(points, page):
    """Part of the large map, which hangs below its words "n sheets"."""
    mm = 25.4 / 72
    for word in page["words"]:
        if word["text"] == "sheets":
            x, y = word["x0"] * mm, page["height"] - word["top"] * mm
            low, high = points.min(axis=0), points.max(axis=0)
            return low[0] > x - 12 and high[0] < x + 62 and low[1] > y - 66 and high[1] < y
    return False


def _farthest(points: np.ndarray, cloud: np.ndarray) -> float:
    return float(cKDTree(cloud).query(points)[0].max())


@pytest.mark.parametrize("name", DRAWINGS)
@pytest.mark.parametrize("sheet", ["dual", "A4", "Letter", "A3", "Tabloid"])
def test_no_blank_sheet_and_no_more_than_the_plain_grid(name, sheet):
    drawing = DRAWINGS[name]
    window = paper(sheet).window
    points = np.vstack([s.points for s in strokes_of(drawing)])
    size = np.ptp(points, axis=0) + 0.4
    step = np.array([window.width, window.height]) - OVERLAP_MM
    grid = math.prod(np.ceil((size - OVERLAP_MM) / step).astype(int).clip(1))
    tiles = lay_out(drawing, paper(sheet), ANY_TURN)
    assert len(tiles) <= grid
    assert len({tile.name for tile in tiles}) == len(tiles)
    for page in pages(printed(tiles)):
        strokes = [
            p
            for p, dashed, width in page["strokes"]
            if width > 0.3 and not dashed and p[:, 1].max() > window.bottom + 1
            and p[:, 0].max() <= window.right + 0.01 and not _bar(p, 0)
        ]  # fmt: skip
        assert strokes, "a blank sheet"


@pytest.mark.parametrize("name", DRAWINGS)
def test_nothing_leaves_the_live_box(name):
    for sheet in PAPERS:
        for tile, page in zip(
            lay_out(DRAWINGS[name], paper(sheet)),
            pages(printed(lay_out(DRAWINGS[name], paper(sheet)))),
            strict=True,
        ):
            live = tile.paper.live
            for points, _, width in page["strokes"]:
                assert points[:, 0].min() >= live.left - width
                assert points[:, 0].max() <= live.right + width
                assert points[:, 1].min() >= live.bottom - width
                assert points[:, 1].max() <= live.top + width
            for word in page["words"]:
                mm = 25.4 / 72
                assert word["x0"] * mm >= live.left - 0.6
                assert word["x1"] * mm <= live.right + 0.6


@examples(40)
@given(
    st.lists(
        st.tuples(st.floats(-900, 900), st.floats(-900, 900)), min_size=2, max_size=6, unique=True
    ),
    st.sampled_from([QUARTERS, ANY_TURN[::6]]),
)
def test_every_point_lies_in_a_tile(corners, turns):
    points = stroke_points([np.array(corners)])
    plan = plan_tiles(points, 181.0, 209.0, OVERLAP_MM, turns)
    angle = math.radians(plan.turn_deg)
    turned = points @ np.array(
        [[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]]
    )
    covered = np.zeros(len(points), dtype=bool)
    for column, row in plan.used:
        box = plan.region(column, row)
        covered |= (
            (turned[:, 0] >= box.left) & (turned[:, 0] <= box.right)
            & (turned[:, 1] >= box.bottom) & (turned[:, 1] <= box.top)
        )  # fmt: skip
    assert covered.all()
    assert min(column for column, _ in plan.used) == 0
    assert min(row for _, row in plan.used) == 0


def test_words_stay_whole_on_one_tile():
    frame = np.array([[0.0, 0.0], [400.0, 0.0], [400.0, 100.0], [0.0, 100.0]])
    words = [Text((x, 50.0), f"word number {index}") for index, x in enumerate(range(20, 360, 25))]
    tiles = lay_out(Drawing((Polyline(frame, True, OUTLINE), *words)), paper("dual"))
    placed = [text for tile in tiles for text in texts_of(tile.drawing)]
    for word in words:
        (there,) = [text for text in placed if text.text == word.text]
        window = tiles[0].paper.window
        (left, bottom), (right, top) = box_of(there)
        assert left >= window.left - 1e-6
        assert right <= window.right + 1e-6
        assert bottom >= window.bottom - 1e-6
        assert top <= window.top + 1e-6


def test_no_sheet_has_nothing_but_words():
    """A word that reaches over a sheet's edge stands on the sheet of what it names."""
    bar = Drawing((Polyline(np.array([(0.0, 0.0), (0.0, 400.0), (30.0, 400.0)]), False, OUTLINE),))
    bare = lay_out(bar, paper("dual"), (0.0,))
    word = Text((150.0, 390.0), "end, sawn square", 3.5)
    tiles = lay_out(bar + Drawing((word,)), paper("dual"), (0.0,))
    assert [tile.name for tile in tiles] == [tile.name for tile in bare]
    written = [text for tile in tiles for text in texts_of(tile.drawing) if text.text == word.text]
    assert len(written) == 1


@pytest.mark.parametrize("sheet", ["A4", "A3", "dual", "Letter"])
def test_a_word_over_the_edge_of_one_sheet_is_moved_in(sheet):
    window = paper(sheet).window
    wide, high = window.width - 2.0, window.height - 2.0
    frame = Polyline(np.array([(0, 0), (wide, 0), (wide, high), (0, high)]), True, OUTLINE)
    word = Text((wide - 10.0, high / 2), "a word of some length", 2.5)
    (tile,) = lay_out(Drawing((frame, word)), paper(sheet))
    (there,) = texts_of(tile.drawing)
    (left, bottom), (right, top) = box_of(there)
    assert left >= window.left
    assert right <= window.right
    assert window.bottom <= bottom < top <= window.top


@pytest.mark.parametrize("od", [114.0, 122.0, 126.0])
@pytest.mark.parametrize("sheet", ["dual", "A4", "Letter"])
def test_a_quarters_name_stays_by_its_line_where_a_wrap_is_tiled(od, sheet):
    """A joint through it moves it by half its width at most."""
    joint = Joint(RoundTube(od, 3.0), od + 5.0, 55.0)
    result = solve_joint(joint)
    wrap = wrap_for_paper(joint_line(result.cut), wrap_words(result))
    tiles = lay_out(wrap, paper(sheet))
    assert len(tiles) > 1
    for tile in tiles:
        named = [
            one for one in texts_of(tile.drawing) if one.text in {"90°", "180° tight side", "270°"}
        ]
        low = 0 if tile.turn_deg % 180 == 0 else 1
        lines = [
            stroke.points for stroke in strokes_of(tile.drawing)
            if stroke.pen.layer == "DATUM" and abs(np.ptp(stroke.points[:, low])) < 1e-6
        ]  # fmt: skip
        for text in named:
            away = min((abs(line[0, low] - text.at[low]) for line in lines), default=0.0)
            assert away <= text_width(text.text, text.height) / 2 + 2.0, text.text


@pytest.mark.parametrize("name", sorted(DRAWINGS))
def test_no_other_word_stands_on_a_crosss_figures(name):
    """Sheets are joined by them; and hardly any line runs through one."""
    words = Drawing(
        tuple(
            Text((float(x), float(y)), "block 21.2 (centre 35.4)", 2.5)
            for stroke in strokes_of(DRAWINGS[name])
            for x, y in stroke.points[::6] + 12.0
        )
    )
    tiles = lay_out(DRAWINGS[name] + words, paper("dual"))
    figures = [
        (text, other)
        for tile in tiles
        for text in texts_of(tile.drawing)
        if text.text.startswith("x ")
        for other in texts_of(tile.drawing)
        if other is not text
    ]
    assert figures or len(tiles) == 1
    for text, other in figures:
        assert not letters(text).intersects(letters(other)), (text.text, other.text)


def test_names():
    assert [tile_name(c, r) for c, r in ((0, 0), (1, 2), (25, 0), (26, 0), (51, 9))] == [
        "A1", "B3", "Z1", "AA1", "AZ10",
    ]  # fmt: skip
