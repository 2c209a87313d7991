"""Where a place on a bent tube is from its bends, against the bent centreline; and what a saw must not take away."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path as File

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.document.frame_file import open_frame
from geometry.bend_plan import BendJob, solve_bend
from geometry.material import material
from geometry.path import Arc, Path
from geometry.section import RoundTube
from templates_out.bend_sheet import bend_sheets
from templates_out.bend_words import inch_lines
from templates_out.canvas import box_of
from templates_out.drawing import Drawing, Line, Text
from templates_out.frame_result import solve_frame
from templates_out.frame_words import from_bend_words, nearest_bend
from templates_out.full_size import check_sheets, full_size_parts
from templates_out.marking_wrap import HEAVY, marking_wrap
from templates_out.paper import paper
from templates_out.schedule import bar_lines, schedule_table
from templates_out.tiling import Tile
from tests.cases import examples

SAMPLES = File(__file__).parents[2] / "sample_projects"
PATH = Path(
    ((0.0, 0.0, 0.0), (300.0, 0.0, 0.0), (300.0, 0.0, 400.0), (700.0, 0.0, 400.0)), (80.0, 60.0)
)


@examples(200)
@given(st.floats(0.0, PATH.developed_length))
def test_a_place_is_as_far_from_its_bend_as_is_said(along):
    away, how, number = nearest_bend(PATH, along)
    arcs = [one for one in PATH.segments if isinstance(one, Arc)]
    starts = np.cumsum([0.0, *(one.length for one in PATH.segments)])
    at = [start for start, one in zip(starts, PATH.segments, strict=False) if isinstance(one, Arc)]
    begin = at[number - 1]
    end = begin + arcs[number - 1].length
    place = {"before": begin - away, "past": end + away, "into": begin + away}[how]
    assert place == pytest.approx(along, abs=1e-6)
    assert (how == "into") == any(
        start <= along <= start + arc.length for start, arc in zip(at, arcs, strict=True)
    )


def test_a_place_on_a_bend_is_said_by_how_far_round_it_is():
    begin = PATH.straights[0]
    assert from_bend_words(PATH, begin + 31.4, "mm") == "31.4 into bend 1"
    assert from_bend_words(PATH, begin + 25.4, "in") == "1 in into bend 1"


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_bar_that_is_sawn_longer_is_marked_in_the_table(units):
    frame = open_frame(SAMPLES / "single-cylinder/single-cylinder.frame")
    result = solve_frame(replace(frame, units=units))
    rows = {row[1]: row for row in schedule_table(result).rows}
    told = {re.match(r"\* (.*?): saw its bar", line)[1] for line in bar_lines(result)}
    assert told
    assert {name for name, row in rows.items() if row[3].endswith(" *")} == told
    for name in told:
        bend = result.bends[name]
        assert bend.supplied_length > float(rows[name][3].split()[0]) + 0.5


def test_the_bench_sheet_in_inches_has_its_tables_in_inches():
    job = BendJob(RoundTube(38.1, 1.651), PATH, material("E235"), trim=(25.4, 0.0), inches=True)
    sheets = bend_sheets(solve_bend(job), paper("dual"))
    bench = [one for one in sheets if one.title.startswith("Bend sheet")]
    words = [one.text for sheet in bench for one in sheet.drawing.items if isinstance(one, Text)]
    assert "Bend table, in" in words
    assert "Bend table, mm" not in words
    first = (25.4 + PATH.straights[0]) / 25.4
    assert f"{first:.3f}" in words
    assert any("(1.5 x 0.065 in)" in one for one in words)
    assert any("lengths in inches" in one for one in words)


@pytest.mark.parametrize("od", [12.0, 19.05, 22.0, 28.0, 38.1, 60.3])
@pytest.mark.parametrize("turn", [0.0, 20.0, 45.0, 90.0, 180.0, 270.0])
def test_no_word_of_a_marking_wrap_is_struck_through_by_the_heavy_line(od, turn):
    radians = np.radians(turn)
    last = (300.0 + 300 * np.sin(radians), 300 * np.sin(radians), 700.0 + 300 * np.cos(radians))
    corners = ((0.0, 0.0, 0.0), (300.0, 0.0, 0.0), (300.0, 0.0, 500.0), tuple(last))
    if turn in (0.0, 180.0):
        corners = (*corners[:3], (700.0, 0.0, 500.0))
    path = Path(corners, (3 * od, 3 * od))
    result = solve_bend(BendJob(RoundTube(od, 1.5), path, material("E235"), tool_reference=15.0))
    for number in range(2):
        items = marking_wrap(result, number).items
        (heavy,) = [one for one in items if isinstance(one, Line) and one.pen == HEAVY]
        for text in (one for one in items if isinstance(one, Text)):
            (left, low), (right, high) = box_of(text)
            beside = right < heavy.start[0] or left > heavy.start[0]
            clear = high < min(heavy.start[1], heavy.end[1]) or low > max(
                heavy.start[1], heavy.end[1]
            )
            assert beside or clear, (number, text.text)


def test_inches_of_a_drawing_and_of_blocks_are_the_same_lengths():
    frame = open_frame(SAMPLES / "single-cylinder/single-cylinder.frame")
    result = solve_frame(replace(frame, units="in")).bends["main rail left"]
    of_path, _ = inch_lines(result)
    straights = re.search(r"straights ([\d., ]+), arcs", of_path)[1].split(", ")
    assert [float(one) * 25.4 for one in straights] == pytest.approx(
        result.job.path.straights, abs=0.013
    )
    arcs = re.search(r"arcs ([\d., ]+), points", of_path)[1].split(", ")
    assert [float(one) * 25.4 for one in arcs] == pytest.approx(
        [one.length for one in result.job.path.segments if isinstance(one, Arc)], abs=0.013
    )
    length = float(re.search(r"length ([\d.]+) along", of_path)[1])
    assert length * 25.4 == pytest.approx(result.cut_length, abs=0.013)
    for number, vertex in enumerate(result.job.path.vertices):
        at = re.search(rf"P{number} \(([^)]+)\)", of_path)[1].split(", ")
        assert [float(one) * 25.4 for one in at] == pytest.approx(vertex, abs=0.013)
    words = " ".join(
        item.text
        for sheet in check_sheets(result)
        for item in sheet.drawing.items
        if isinstance(item, Text)
    )
    pairs = re.findall(r"(?:block|centre|R)\s?([\d.]+) \(([\d.]+) in\)", words)
    assert len(pairs) > 5
    for mm, inches in pairs:
        assert float(inches) * 25.4 == pytest.approx(float(mm), abs=0.065)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_how_high_the_ends_lie_is_their_distance_from_the_level_bends_plane(units):
    frame = open_frame(SAMPLES / "single-cylinder/single-cylinder.frame")
    result = solve_frame(replace(frame, units=units)).bends["main rail left"]
    bar = np.array(result.job.bar_path.vertices)
    seen = 0
    for sheet, part in zip(check_sheets(result), full_size_parts(result), strict=True):
        first = sheet.lying.run.first
        corners = bar[first : first + 3]
        normal = np.cross(corners[1] - corners[0], corners[2] - corners[1])
        off = (bar[[0, -1]] - corners[0]) @ (normal / np.linalg.norm(normal))
        (facts, *_) = part.facts(Tile(paper("A4"), Drawing()))
        over = re.search(r"with its centre ([\d.]+)", facts)
        lift = float(over[1]) if over else result.job.tube.radius
        words = {item.text for item in sheet.drawing.items if isinstance(item, Text)}
        for name, away in zip(("start", "finish"), off, strict=True):
            (said,) = [one for one in words if one.startswith(name)]
            found = re.search(r"centre ([\d.]+)(?: \(([\d.]+) in\))? up", said)
            assert (found is None) == (abs(away) < 0.05)
            if found:
                seen += 1
                assert abs(float(found[1]) - lift) == pytest.approx(abs(away), abs=0.11)
                assert bool(found[2]) is (units == "in")
                if found[2]:
                    assert float(found[2]) * 25.4 == pytest.approx(float(found[1]), abs=0.065)
    assert seen > 3
