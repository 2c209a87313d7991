"""On every sheet words keep apart from each other, and are whole: seen by their own rectangles, however they are turned."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, Polygon, STRtree

from app.document.frame_file import open_frame
from geometry.bend import BendRow, path_from_table
from geometry.bend_plan import BendJob, solve_bend
from geometry.cope import cope
from geometry.joint import Joint
from geometry.landing import landing
from geometry.material import MATERIALS
from geometry.section import RoundTube
from templates_out.bend_drawing import drawing_contents
from templates_out.book import book_sheets, laid_tubes
from templates_out.clip import strokes_of, texts_of
from templates_out.drawing import NOTES, Drawing, Line, Text
from templates_out.fonts import text_width, wrapped
from templates_out.frame_result import solve_frame
from templates_out.frame_wraps import landing_part
from templates_out.full_size import full_size_sheets
from templates_out.labels import labelled
from templates_out.paper import paper
from templates_out.sheet import Content, number_sheets
from templates_out.title_block import Issue
from templates_out.wrap import WrapWords, wrap_for_paper
from templates_out.wrap_line import joint_line
from templates_out.wrap_marks import arc_marks
from tests.templates_out.test_bend_ends import SPACE, hoop

SAMPLES = Path(__file__).parents[2] / "sample_projects"


def letters(text):
    """The rectangle of a line of text, from its baseline to its capitals' height."""
    width = text_width(text.text, text.height)
    left = {"left": 0.0, "centre": -width / 2, "right": -width}[text.anchor]
    turn = math.radians(text.turn_deg)
    along, up = np.array((math.cos(turn), math.sin(turn))), np.array((-math.sin(turn), math.cos(turn)))  # fmt: skip
    corners = ((left, 0), (left + width, 0), (left + width, text.height), (left, text.height))
    return Polygon([np.array(text.at) + x * along + y * up for x, y in corners])


def on_each_other(drawing):
    """Pairs of words of which one stands on the other."""
    boxes = [(text.text, letters(text)) for text in texts_of(drawing)]
    return [
        (one, two)
        for (one, box), (two, other) in combinations(boxes, 2)
        if box.intersection(other).area > 0.05
    ]


def crossed(drawing):
    """Words that a line runs through."""
    lines = [
        LineString(np.vstack((s.points, s.points[:1])) if s.closed else s.points)
        for s in strokes_of(drawing)
    ]
    tree = STRtree(lines)
    return [
        text.text
        for text in texts_of(drawing)
        if len(tree.query(letters(text).buffer(-0.05), predicate="intersects"))
    ]


@pytest.mark.parametrize(
    ("od", "onto", "angle", "offset"),
    [
        (22, 28, 90, 0),
        (24, 32, 90, 0),
        (28, 43, 90, 0),
        (25, 28, 60, 0),
        (20, 25, 75, 3),
        (38, 42, 50, 0),
        (60, 76, 45, 5),
    ],
)
def test_words_along_a_wraps_curve(od, onto, angle, offset):
    joint = Joint(RoundTube(od, 3.0), onto, angle, offset)
    cut = cope(joint)
    line = joint_line(cut, landing(joint).bevels)
    assert line.bevels
    marks = Drawing(tuple(arc_marks(line, lambda round_mm: round_mm)))
    assert [one.text for one in texts_of(marks)]
    assert on_each_other(marks) == []
    # A thin wall needs no bevel, and none is asked for.
    thin = cope(replace(joint, tube=RoundTube(od, 2.9)))
    assert joint_line(thin, landing(joint).bevels).bevels == ()


@pytest.mark.parametrize("name", ["paddock-stand", "single-cylinder", "cargo-trike"])
def test_words_of_a_book_and_its_full_size_sheets(name):
    result = solve_frame(open_frame(SAMPLES / name / f"{name}.frame"))
    for sheet in (
        *book_sheets(result, paper("dual")),
        *full_size_sheets(laid_tubes(result), paper("dual")),
    ):
        assert on_each_other(sheet.drawing) == [], (sheet.title, sheet.label)
        words = " ".join(text.text for text in texts_of(sheet.drawing))
        assert "…" not in words.replace("P1, …", ""), (sheet.title, sheet.label)
        assert sheet.title in words.replace("; ", ";").replace(";", "; ")


@pytest.mark.parametrize("name", ["single-cylinder", "cargo-trike"])
def test_no_line_runs_through_the_names_on_a_landing_strip(name):
    result = solve_frame(open_frame(SAMPLES / name / f"{name}.frame"))
    parts = {one.part.name: one for one in result.fitted.parts}
    marks = [mark for one in result.landings.values() for mark in one.marks]
    assert marks
    for mark in marks:
        strip = landing_part(parts[mark.target.name], mark, 0.1).drawing
        assert not {"datum", "up: finish"} & {*crossed(strip)}, (mark.end.where, mark.target.name)


def test_words_of_a_hoop_stand_clear_of_its_lines():
    """Its ends lie one above the other, and its legs along the check lines."""
    sheets = full_size_sheets([hoop()], paper("dual"))
    seen = [word for sheet in sheets for word in crossed(sheet.drawing)]
    # Names of tiles stand over the tube on their map.
    named = [word for word in seen if len(word) > 3 and not word.startswith("x ")]
    assert named == []
    # Crosses stand on the joints, and most of their figures beside the tube.
    figures = [t.text for s in sheets for t in texts_of(s.drawing) if t.text.startswith("x ")]
    assert sum(word.startswith("x ") for word in seen) < 0.1 * len(figures)
    assert len(figures) > 50


def test_the_two_crosses_of_a_joint_stand_far_apart():
    """They turn sheets to each other: from one to the other is a quarter of a sheet or more."""
    for sheet in full_size_sheets([hoop()], paper("dual")):
        found = [
            text.text.split()[1::2]
            for text in texts_of(sheet.drawing)
            if text.text.startswith("x ")
        ]
        places = np.array(found, dtype=float)
        for axis, least in ((0, 0.25 * 253), (1, 0.25 * 180)):
            for place in np.unique(places[:, axis]):
                (one, *others) = places[places[:, axis] == place]
                assert all(math.dist(one, other) > 0.7 * least for other in others), sheet.label


@pytest.mark.parametrize("sweep", [40.0, 60.0, 75.0, 86.94, 90.0, 110.0])
@pytest.mark.parametrize("clr", [50.0, 76.2, 110.0])
@pytest.mark.parametrize("middle", [40.0, 84.0, 200.0])
def test_no_line_runs_through_the_figures_of_a_us_angles(sweep, clr, middle):
    """Two bends one way: the straights' dimensions stand on the angles' side, and their lines run past the figures."""
    path = path_from_table(
        [BendRow(285.0, 0.0, sweep, clr), BendRow(middle, 0.0, sweep, clr)], 285.0
    )
    result = solve_bend(BendJob(RoundTube(19.05, 1.65), path, MATERIALS["E235"]))
    for content in drawing_contents(result, paper("dual"), Issue()):
        angles = [word for word in crossed(content.drawing) if word.endswith("°")]
        assert angles == [], content.title


def test_a_tight_bends_radius_stands_clear_of_the_next_dimension():
    result = solve_bend(BendJob(RoundTube(28.0, 2.0), SPACE, MATERIALS["E235"]))
    found = [
        word
        for content in drawing_contents(result, paper("dual"), Issue())
        for word in crossed(content.drawing)
        if word.startswith("R")
    ]
    assert found == []


def test_a_word_finds_a_place_clear_of_lines_and_words():
    wall = Drawing(tuple(Line((x, -30.0), (x, 30.0), NOTES) for x in (4.0, 6.0, 8.0)))
    drawn = labelled(
        wall, [("first", (0.0, 0.0), (1.0, 0.0)), ("second", (0.0, 3.0), (1.0, 0.0))], 5.0, 3.5
    )
    assert [text.text for text in texts_of(drawn)] == ["first", "second"]
    assert crossed(drawn) == []
    assert on_each_other(drawn) == []


@pytest.mark.parametrize("parts", [1, 3, 6, 40])
def test_titles_are_whole_where_they_can_be(parts):
    title = "Wrap: " + "; ".join(f"{n} front cross (start end) onto hoop" for n in range(parts))
    facts = ("Each wrap says its tube and end, what it sits on, its fit.",) * 4
    (sheet,) = number_sheets([Content(paper("dual"), Drawing(()), title, facts)])
    words = " ".join(text.text for text in texts_of(sheet.drawing))
    assert (title in words) == (parts < 40)
    assert ("…" in words) == (parts == 40)
    assert on_each_other(sheet.drawing) == []
    live = sheet.paper.live
    band = [t for t in sheet.drawing.items if isinstance(t, Text) and t.turn_deg == 0]
    assert max(text.at[1] + text.height for text in band) < live.bottom + 44.0 + 0.1


def test_a_unit_stays_with_its_number():
    words = "this foot to the finish wrap's foot: 294.89 mm (11.610 in)."
    for width in range(24, 120, 3):
        lines = wrapped(words, float(width), 2.5)
        assert " ".join(lines) == words
        assert not any(line.split()[0].rstrip(".,)") in {"mm", "in"} for line in lines)


@pytest.mark.parametrize("brief", [False, True])
@pytest.mark.parametrize("od", [6.0, 12.0, 16.0, 19.05, 22.0, 25.0, 30.0, 38.1, 54.0, 120.0])
def test_a_wrap_names_its_quarters_alike_each_at_its_own_line(od, brief):
    quarters = ("90° forward", "180° down", "270° rearward")
    words = WrapWords("one", "two", "three", quarters, brief=brief)
    joint = Joint(RoundTube(od, od / 12), 1.5 * od, 62.0)
    wrap = wrap_for_paper(joint_line(cope(joint), ()), words, 0.1)
    around = math.pi * (od + 0.1)
    kinds = {
        "both": quarters,
        "way": ("forward", "down", "rearward"),
        "turn": ("90°", "180°", "270°"),
    }
    found = {
        kind: [one for one in texts_of(wrap) if one.text in some and one.anchor == "centre"]
        for kind, some in kinds.items()
    }
    (named,) = [some for some in found.values() if some] or [[]]
    assert [one.text for one in named] in [[], ["180°"], *map(list, kinds.values())]
    assert bool(named) or od < 12.0
    for text in named:
        quarter = next(
            n for some in kinds.values() for n, one in enumerate(some, 1) if one == text.text
        )
        assert (text.at[0], text.anchor) == (pytest.approx(quarter * around / 4), "centre")
    # In a book, where a small tube's lines have no room for the ways, they stand among the words.
    ways = " ".join(one.text for one in texts_of(wrap) if one not in named)
    told = "lines, left to right: 90° forward; 180° down; 270° rearward"
    assert (told in ways) == (brief and found["both"] == [] and found["way"] == [])
    assert od < 25 or told not in ways
