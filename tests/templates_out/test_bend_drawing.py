"""The drawing that a shop bends from: its title block, tables, views and words, read back from what is written."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import combinations
from pathlib import Path as File

import numpy as np
import pytest
from hypothesis import given

from app.document.frame_file import open_frame
from geometry.bend import BendRow, bend_table, path_from_table
from geometry.bend_plan import BendJob, solve_bend
from geometry.bend_tool import BendTool
from geometry.material import MATERIALS
from geometry.path import Path
from geometry.section import RoundTube
from geometry.title import TitleFacts
from templates_out.bend_drawing import bend_files, drawing_contents
from templates_out.bend_sheet import bend_sheets
from templates_out.bend_words import bend_tables, fact_lines
from templates_out.canvas import box_of, extents
from templates_out.clip import texts_of
from templates_out.drawing import CENTRELINE, Arc, Line, Polyline
from templates_out.frame_result import solve_frame
from templates_out.paper import paper
from templates_out.pdf import pdf_bytes
from templates_out.title_block import Issue, drawing_number, projection_symbol
from tests.cases import examples, paths
from tests.readback import pages

SAMPLES = File(__file__).parents[2] / "sample_projects"


SPACE = Path(((0, 0, 0), (400, 0, 0), (550, 250, 0), (600, 300, 400), (900, 350, 420)), (80.0,) * 3)


FLAT = Path(((0, 0, 0), (400, 0, 0), (700, 0, 300)), (115.0,))


FACTS = TitleFacts("A. Builder", "ES-1", "B", "2026-05-01", "Jo Fitter", "Al Wright", "third", "C")


def solved(path, **options):
    return solve_bend(BendJob(RoundTube(25.0, 2.0), path, MATERIALS["E235"], **options))


def read_pages(result, issue=None, size="A4"):
    """The text of the drawing's own pages, as a person reads them."""
    issue = issue or Issue()
    count = len(drawing_contents(result, paper(size), issue))
    return [
        page["text"] for page in pages(pdf_bytes(bend_sheets(result, paper(size), issue=issue), "tube"))
    ][:count]  # fmt: skip


def words_of(result, size="A4", issue=None):
    """What a drawing says, line after line."""
    contents = drawing_contents(result, paper(size), issue or Issue())
    return " ".join(text.text for content in contents for text in texts_of(content.drawing))


@pytest.fixture(scope="module")
def motorcycle():
    return solve_frame(open_frame(SAMPLES / "single-cylinder" / "single-cylinder.frame"))


def test_every_page_has_the_fields_of_iso_7200():
    # ISO 7200: owner, identification number, date of issue, segment (sheet), title, approval, creator and
    # document type are mandatory.
    issue = Issue(FACTS, "ES-1-02L", "cart", "left", "ES-1-02R")
    found = read_pages(solved(SPACE, name="rail left"), issue)
    assert len(found) > 1
    for number, text in enumerate(found, 1):
        for value in (
            "A. Builder", "ES-1-02L", "2026-05-01", f"{number} of {len(found)}", "rail, LEFT HAND", "Al Wright",
            "Jo Fitter", "Bend drawing", "ISO 13920-C", "opposite hand: ES-1-02R", "25 x 2, E235",
        ):  # fmt: skip
            assert value in text, value
        for name in ("legal owner", "number", "revision", "date of issue", "sheet", "drawn by"):
            assert name in text, name


@pytest.mark.parametrize(("projection", "side"), [("first", -1), ("third", 1)])
def test_symbol_of_the_projection(projection, side):
    # ISO 5456-2: the truncated cone lies with its small end to the left; the view from that end (two circles) stands to
    # the right of it in first angle, to the left in third.
    symbol = projection_symbol(projection)
    (cone,) = [item for item in symbol.items if isinstance(item, Polyline)]
    circles = {(item.centre[0], item.radius) for item in symbol.items if isinstance(item, Arc)}
    middle = cone.points[:, 0].mean()
    assert math.copysign(1, middle) == side
    ((at, small), (_, large)) = sorted(circles)
    assert at == pytest.approx(-middle)
    left = np.ptp(cone.points[cone.points[:, 0] < middle, 1])
    right = np.ptp(cone.points[cone.points[:, 0] > middle, 1])
    assert (left, right) == pytest.approx((2 * small, 2 * large))


@pytest.mark.parametrize(
    ("projection", "below", "beside"), [("first", True, -1), ("third", False, 1)]
)
def test_views_stand_as_the_projection_asks(projection, below, beside):
    issue = Issue(replace(FACTS, projection=projection))
    drawing = drawing_contents(solved(SPACE), paper("A3"), issue)[0].drawing
    at = {text.text: text.at for text in texts_of(drawing) if text.text.startswith("seen ")}
    side = at["seen from the right"]
    top = at["seen from above"]
    front = at["seen from the front"]
    assert (top[1] < side[1]) is below
    assert math.copysign(1, front[0] - side[0]) == beside


def test_both_hands_have_numbers_that_name_each_other(motorcycle):
    left, right = (motorcycle.issue(f"main rail {hand}") for hand in ("left", "right"))
    assert (left.hand, right.hand) == ("left", "right")
    assert (left.number, right.number) == (right.opposite, left.opposite)
    assert left.number != right.number
    assert motorcycle.issue("rear loop").hand == ""
    numbers = [motorcycle.issue(name).number for name in motorcycle.bends]
    assert len(set(numbers)) == len(numbers)


def test_a_drawing_number_is_the_jobs_the_tubes_and_the_hands():
    assert drawing_number(FACTS, "cart", 2, "left") == "ES-1-02L"
    assert drawing_number(TitleFacts(), "Café racer, 2nd", 11, "") == "CR2-11"
    assert drawing_number(TitleFacts(), "Жук", 1, "right") == "F-01R"


def test_left_and_right_tables_are_mirror_images(motorcycle):
    left, right = (motorcycle.bends[f"main rail {hand}"] for hand in ("left", "right"))
    for one, other in zip(left.rows, right.rows, strict=True):
        assert one.rotation_deg == pytest.approx(-other.rotation_deg, abs=1e-9)
        assert (one.length, one.angle_deg) == pytest.approx((other.length, other.angle_deg))
    texts = [
        words_of(motorcycle.bends[name], issue=motorcycle.issue(name))
        for name in ("main rail left", "main rail right")
    ]
    assert "RIGHT HAND" not in texts[0]
    assert "LEFT HAND" not in texts[1]
    turns = [re.findall(r"(?<!anti)clockwise|anticlockwise", text) for text in texts]
    heights = [re.search(r"finish end is then ([\d.]+) (above|below)", text) for text in texts]
    assert turns[0] != turns[1]
    assert heights[0].group(1) == heights[1].group(1)
    assert {heights[0].group(2), heights[1].group(2)} == {"above", "below"}


@examples(40)
@given(paths())
def test_the_check_of_the_hand_is_what_lies_on_the_bench(case):
    rows, last = case
    path = path_from_table(rows, last)
    said = re.search(r"finish end is then ([\d.]+) (above|below)", words_of(solved(path)))
    # On the bench: the first leg along x, the second turned to +y, both level.
    corners = np.array(path.vertices) - path.vertices[0]
    ahead = corners[1] / np.linalg.norm(corners[1])
    aside = corners[2] - corners[1]
    aside = aside - aside @ ahead * ahead
    turn = np.array(
        [ahead, aside / np.linalg.norm(aside), np.cross(ahead, aside / np.linalg.norm(aside))]
    )
    assert np.linalg.det(turn) == pytest.approx(1.0)
    height = float((turn @ corners[-1])[2])
    if said is None:
        assert path.plane is not None or abs(height) < 5.1
    else:
        assert float(said.group(1)) == pytest.approx(abs(height), abs=0.051)
        assert said.group(2) == ("above" if height > 0 else "below")


def test_what_is_left_on_is_said_and_drawn():
    text = words_of(solved(FLAT, trim=(20.0, 0.0)))
    assert "Trim left on: 20 at the start; the start is trimmed square" in text
    assert "start (trim 20)" in text
    # A word, unlike a dimension, stays as it is where the page shows its figures in inches.
    job = replace(solved(FLAT, trim=(25.4, 0.0)).job, inches=True)
    assert "start (trim 25.4 mm, 1 in)" in words_of(solve_bend(job))
    assert "both ends are trimmed" in words_of(solved(FLAT, trim=(20.0, 7.5)))
    assert "nothing is trimmed after" in words_of(solved(FLAT))
    # From the drawing alone: the bar, and where along it bend 1 begins.
    straight = FLAT.straights[0]
    assert f"bend 1 begins {straight + 20:.2f} from its start end" in text
    # It is cut from after bending: it may be longer, not shorter; and either way where nothing is.
    assert f"{FLAT.developed_length + 20:.2f} +3/-0" in text
    assert f"{FLAT.developed_length:.2f} ±3" in words_of(solved(FLAT))


def test_table_and_points_on_the_drawing_are_the_geometry():
    result = solved(SPACE)
    text = "\n".join(read_pages(result))
    for number, row in enumerate(bend_table(SPACE), 1):
        line = rf"^{number} {row.length:.2f} ±\d+ {row.rotation_deg:.2f} \D*{row.angle_deg:.2f} "
        assert re.search(line, text, re.M), number
    for number, (x, y, z) in enumerate(SPACE.vertices):
        assert re.search(rf"P{number}(| start| finish) {x:.2f} {y:.2f} {z:.2f}", text), number


@pytest.mark.parametrize("size", ["A4", "A3", "dual"])
def test_no_word_of_a_drawing_stands_on_another(motorcycle, size):
    for name, bend in motorcycle.bends.items():
        for content in drawing_contents(bend, paper(size), motorcycle.issue(name)):
            boxes = [(text.text, box_of(text)) for text in texts_of(content.drawing)]
            for (one, (low, high)), (other, (low_, high_)) in combinations(boxes, 2):
                apart = any(high[i] <= low_[i] + 0.3 or high_[i] <= low[i] + 0.3 for i in (0, 1))
                assert apart, (name, one, other)


@pytest.mark.parametrize("size", ["A4", "A3", "letter", "dual"])
@pytest.mark.parametrize("projection", ["first", "third"])
def test_everything_stays_in_the_window(motorcycle, size, projection):
    for name, bend in motorcycle.bends.items():
        issue = motorcycle.issue(name)
        issue = replace(issue, facts=replace(issue.facts, projection=projection))
        for content in drawing_contents(bend, paper(size), issue):
            (left, low), (right, high) = extents(content.drawing)
            window = paper(size).window
            assert window.left <= left + 1e-6
            assert window.bottom <= low + 1e-6
            assert right <= window.right + 1e-6
            assert high <= window.top + 1e-6


def test_inches_beside_the_mm_where_the_person_reads_them():
    result = solved(SPACE, inches=True)
    text = words_of(result)
    said = re.search(r"straights on the bar ([\d., ]+); radii ([\d., ]+);", text)
    inches = [float(word) for word in said.group(1).split(", ")]
    assert inches == pytest.approx([length / 25.4 for length in SPACE.straights], abs=5e-4)
    assert [float(word) for word in said.group(2).split(", ")] == pytest.approx(
        [80 / 25.4] * 3, abs=5e-4
    )
    assert "In inches" not in words_of(solved(SPACE))


def rows_of(result, issue=None):
    """The bend table's cells as printed, row by row."""
    from templates_out.bend_drawing import bend_rows

    return bend_rows(result, issue or Issue()).rows


def test_tolerances_in_the_table_are_those_of_each_figure():
    # Legs of 300 and 900 mm: the shorter one decides on the angle (ISO 13920, table 2).
    path = path_from_table(
        [BendRow(250.0, 0.0, 60.0, 80.0), BendRow(850.0, 30.0, 90.0, 80.0)], 1250.0
    )
    first, second, last = rows_of(solved(path))
    assert first[2] == "±2"
    assert first[-2] == "±0.75°"
    assert (second[2], second[-2]) == ("±3", "±0.5°")
    assert last[2] == "±4"
    assert second[4] == "clockwise"
    back = path_from_table(
        [BendRow(250.0, 0.0, 60.0, 80.0), BendRow(850.0, -30.0, 90.0, 80.0)], 1.5
    )
    _, second, last = rows_of(solved(back))
    assert second[4] == "anticlockwise"
    assert last[2] == ""
    loose = rows_of(solved(path), Issue(replace(FACTS, tolerance="D")))
    assert (loose[0][2], loose[0][-2]) == ("±7", "±1.5°")


def test_the_bars_own_straights_stand_beside_the_paths():
    """A bar 12 mm short at its start, 20 longer at its finish: its straights and arcs are its length."""
    result = solved(SPACE, trim=(-12.0, 5.0), left_on=(0.0, 15.0), long_points=True)
    on_bar = [float(row[2]) for row in rows_of(result)]
    arcs = sum(row.clr * math.radians(row.angle_deg) for row in result.rows)
    assert sum(on_bar) + arcs == pytest.approx(result.supplied_length, abs=0.03)
    assert on_bar[0] == pytest.approx(SPACE.straights[0] - 12, abs=0.006)
    assert on_bar[-1] == pytest.approx(SPACE.straights[-1] + 20, abs=0.006)
    text = words_of(result)
    assert "start (bar ends 12 before it)" in text
    assert "finish (bar ends 20 past it)" in text
    text = words_of(solve_bend(replace(result.job, inches=True)))
    assert "start (bar ends 12 mm, 0.472 in before it)" in text
    assert f"{result.supplied_length:.2f} +4/-0" in text
    bench = " ".join(fact_lines(result))
    long_points = result.supplied_length - 15
    assert (
        f"Saw the bar at {result.supplied_length:.2f} mm. Of that 15 mm at the finish is left on"
        in bench
    )
    assert f"it is {long_points:.2f} mm" in bench
    # A tape held to the bar's own ends.
    start = np.array(SPACE.vertices[0]) + 12 * SPACE.directions[0]
    finish = np.array(SPACE.vertices[-1]) + 20 * SPACE.directions[-1]
    apart = re.search(r"ends are ([\d.]+) mm apart", text)
    assert float(apart.group(1)) == pytest.approx(math.dist(start, finish), abs=0.051)


def test_the_hand_is_told_by_the_bars_end_and_else_by_a_bend():
    up = np.array((0.0, 0.0, 1.0))
    path = Path(
        ((0, 0, 0), (300, 0, 0), (300, 300, 0), (300, 300, 200), (300, 500, 215)), (60.0,) * 3
    )
    shorter = solved(path, trim=(0.0, -60.0), long_points=True)
    said = re.search(r"middle of the finish end is then ([\d.]+) above", words_of(shorter))
    finish = np.array(path.vertices[-1]) - 60 * path.directions[-1]
    assert float(said.group(1)) == pytest.approx(finish @ up, abs=0.051)
    level = Path(
        ((0, 0, 0), (300, 0, 0), (300, 300, 0), (300, 300, 200), (300, 600, 0)), (60.0,) * 3
    )
    assert "The middle of bend 3 is then" in words_of(solved(level))


def test_however_many_bends_it_gets_its_tables():
    bends = 100
    rows = [BendRow(20.0, 180.0 * (i > 0), 40.0, 80.0) for i in range(bends)]
    result = solved(path_from_table(rows, 100.0))
    assert f"P{bends + 1} f" in words_of(result)
    assert "bend.dxf" in bend_files(result)


def test_quantity_mass_and_scale_are_in_the_block():
    result = solved(FLAT, quantity=7)
    text = words_of(result)
    assert f"mass {result.mass:.2f} kg" in text
    assert "quantity 7 " in text
    (page,) = drawing_contents(result, paper("A3"), Issue())
    scale = next(t.text for t in texts_of(page.drawing) if re.fullmatch(r"1:\d+", t.text))
    # The one view's longest straight, on paper and on steel.
    lines = [
        item for item in page.drawing.items if isinstance(item, Line) and item.pen == CENTRELINE
    ]
    drawn = max(math.dist(line.start, line.end) for line in lines)
    assert drawn * int(scale[2:]) == pytest.approx(max(FLAT.straights), rel=1e-6)


def numbers_after(words, text, count):
    """The first so many figures after some words."""
    return [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", text.split(words, 1)[1])[:count]]


def test_arcs_box_and_inches_in_words_are_measured_another_way():
    tool = BendTool(25.0, 78.0, reference=11.0)
    result = solved(
        SPACE, inches=True, trim=(-12.0, 20.0), long_points=True, tools=(("bench", tool),)
    )
    assert all(found is not None for found in result.tools)
    text = words_of(result)
    # Walked in small steps along the centreline, and the tube's surface sampled round it.
    steps = [arc.points(np.linspace(0.0, arc.angle_rad, 4001)) for arc in SPACE.arcs]
    walked = [float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum()) for points in steps]
    assert numbers_after("Arcs along the centreline:", text, 3) == pytest.approx(walked, abs=0.006)
    skin = []
    for piece in result.job.bar_path.segments:
        at = (
            np.array([piece.start, piece.end])
            if hasattr(piece, "start")
            else piece.points(np.linspace(0.0, piece.angle_rad, 181))
        )
        way = np.gradient(at, axis=0)
        for point, along in zip(at, way, strict=True):
            one = np.linalg.svd(along[None])[2][1:]
            turn = np.linspace(0.0, 2 * np.pi, 181)[:, None]
            skin.append(point + 12.5 * (np.cos(turn) * one[0] + np.sin(turn) * one[1]))
    size = np.ptp(np.vstack(skin), axis=0)
    assert numbers_after("it fits a box of", text, 3) == pytest.approx(size, abs=0.2)
    # The bar: straights and arcs after each other from its own start.
    straights = [SPACE.straights[0] - 12, *SPACE.straights[1:-1], SPACE.straights[-1] + 20]
    begins = [sum(straights[: n + 1]) + sum(walked[:n]) for n in range(3)]
    ends = [begin + arc for begin, arc in zip(begins, walked, strict=True)]
    inch = 25.4
    assert numbers_after("bends begin", text, 3) == pytest.approx(
        [b / inch for b in begins], abs=1e-3
    )
    assert numbers_after("end at", text, 3) == pytest.approx([e / inch for e in ends], abs=1e-3)
    assert numbers_after("the tool's mark is at", text, 3) == pytest.approx(
        [(b - 11) / inch for b in begins], abs=1e-3
    )
    whole = sum(straights) + sum(walked)
    assert numbers_after("the bar is", text, 1) == pytest.approx([whole / inch], abs=1e-3)
    start = np.array(SPACE.vertices[0]) + 12 * SPACE.directions[0]
    finish = np.array(SPACE.vertices[-1]) + 20 * SPACE.directions[-1]
    assert numbers_after("long, its ends", text, 1) == pytest.approx(
        [math.dist(start, finish) / inch], abs=1e-3
    )
    bench, marks = bend_tables(result)
    assert [float(row[1]) for row in bench.rows] == pytest.approx(straights, abs=0.006)
    assert [float(row[1]) for row in marks.rows] == pytest.approx(begins, abs=0.051)
    assert [float(row[3]) for row in marks.rows] == pytest.approx(ends, abs=0.051)
    bench, marks = bend_tables(result, inches=True)
    assert [float(row[1]) for row in bench.rows] == pytest.approx(
        [s / inch for s in straights], abs=6e-4
    )
    assert [float(row[6]) for row in bench.rows[:-1]] == pytest.approx(
        [row.clr / inch for row in result.rows], abs=6e-4
    )
    assert [float(row[1]) for row in marks.rows] == pytest.approx(
        [b / inch for b in begins], abs=6e-4
    )
    assert [float(row[3]) for row in marks.rows] == pytest.approx(
        [e / inch for e in ends], abs=6e-4
    )
    # Degrees stay degrees.
    assert bench.rows[0][5] == bend_tables(result)[0].rows[0][5]
