"""The wraps that mark a bar for its bends, against the bent tube itself."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from geometry.bend_plan import BendJob, solve_bend
from geometry.bend_tool import BendTool
from geometry.errors import CopewrightError
from geometry.fitup import solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.material import material
from geometry.path import Arc, Path
from geometry.place import At
from geometry.section import RoundTube
from geometry.skin import skin_rings
from templates_out.bend_sheet import bend_sheets
from templates_out.canvas import box_of
from templates_out.drawing import Line, Polyline, Text
from templates_out.marking_wrap import HEAVY, marking_wrap
from templates_out.paper import paper
from tests.cases import examples

TUBE = RoundTube(28.0, 2.0)
CORNERS = ((542, 14.5, 742), (330, 95, 180), (-30, 95, 180), (-90, 115, 600), (-430, 115, 650))


def result_of(corners, radius=100.0, **more):
    path = Path(
        tuple(tuple(float(v) for v in corner) for corner in corners), (radius,) * (len(corners) - 2)
    )
    return solve_bend(BendJob(TUBE, path, material("E235"), **more))


def heavy_at(result, number):
    drawing = marking_wrap(result, number, 0.0)
    (line,) = [item for item in drawing.items if isinstance(item, Line) and item.pen == HEAVY]
    return line.start[0]


def check(corners):
    """A line scribed along the bar runs along the bent tube untwisted: from it each bend's outside is as far round."""
    result = result_of(corners)
    frame = Frame("f", {"t": Stock(TUBE)}, {f"p{i}": At(*map(float, c)) for i, c in enumerate(corners)}, (
        Tube("t", "t", tuple(f"p{i}" for i in range(len(corners))), result.job.path.radii, (End("square"), End("square"))),
    ))  # fmt: skip
    (one,) = solve(frame).parts
    rings = skin_rings(one, 8, 20.0)
    middles = rings.mean(axis=1)
    arcs = [segment for segment in result.job.path.segments if isinstance(segment, Arc)]
    for number, arc in enumerate(arcs):
        begin = arc.points(np.array([0.0]))[0]
        ring = int(np.argmin(np.linalg.norm(middles - begin, axis=1)))
        # The first line of the skin starts on the outside of the first bend.
        scribed = rings[ring, 0] - middles[ring]
        angle = math.atan2(
            float(np.cross(scribed, arc.outwards) @ arc.forwards), float(scribed @ arc.outwards)
        )
        place = heavy_at(result, number)
        girth = math.pi * TUBE.od
        apart = (place - angle * TUBE.radius + girth / 2) % girth - girth / 2
        assert abs(apart) < 0.02, number


def test_the_outside_of_each_bend_of_a_rail_in_space():
    check(CORNERS)
    # Its mirror image is marked the other way round.
    check([(x, -y, z) for x, y, z in CORNERS])


@examples(20)
@given(st.lists(st.tuples(*[st.floats(-300, 300)] * 3), min_size=4, max_size=6))
def test_the_outside_of_each_bend_of_any_tube(corners):
    try:
        result = result_of(corners, 40.0)
    except CopewrightError:
        assume(False)
    assume(min(result.job.path.straights) > 1.0)
    assume(all(math.radians(15) < angle for angle in result.job.path.bend_angles_rad))
    check_radius(corners)


def check_radius(corners):
    result = result_of(corners, 40.0)
    places = [heavy_at(result, number) for number in range(len(result.rows))]
    assert places[0] == pytest.approx(0.0, abs=1e-9)
    # Bend planes turn by the angle between neighbours' outsides, seen along the leg they share.
    ways = result.job.path.directions
    girth = math.pi * TUBE.od
    for number in range(1, len(places)):
        before = np.cross(ways[number - 1], ways[number])
        after = np.cross(ways[number], ways[number + 1])
        angle = math.atan2(float(np.cross(before, after) @ ways[number]), float(before @ after))
        apart = (
            places[number] - places[number - 1] - angle * TUBE.radius + girth / 2
        ) % girth - girth / 2
        assert abs(apart) < 1e-6


def test_the_distances_are_those_of_the_marks_and_the_tools_mark_is_drawn():
    tool = BendTool(28.0, 98.0, reference=12.0)
    result = result_of(CORNERS, tools=(("hand", tool),))
    for number, mark in enumerate(result.marks):
        items = marking_wrap(result, number, 0.1).items
        words = " ".join(item.text for item in items if isinstance(item, Text))
        assert f"{round(mark.start, 1):g} from the start end" in words
        levels = {
            item.start[1]
            for item in items
            if isinstance(item, Line) and item.start[1] == item.end[1]
        }
        assert 0.0 in levels
        assert any(level == pytest.approx(-12.0) for level in levels)


def test_they_follow_the_bend_sheet():
    titles = [sheet.title for sheet in bend_sheets(result_of(CORNERS), paper("dual"))]
    drawing, bench = titles.index("Bend drawing: tube"), titles.index("Bend sheet: tube")
    marks = [i for i, title in enumerate(titles) if "Marks for bending: tube, bend" in title]
    assert drawing == 0 < bench < min(marks)


@pytest.mark.parametrize("od", [8.0, 12.0, 19.0, 25.0, 60.0])
def test_its_words_stay_on_it_however_thin_the_bar(od):
    path = Path(((0, 0, 0), (200, 0, 0), (200, 300, 0)), (3 * od,))
    job = BendJob(RoundTube(od, 1.0), path, material("E235"), name="the rail that goes all round")
    for items in (marking_wrap(solve_bend(job), 0, 0.1).items,):
        frame = next(item for item in items if isinstance(item, Polyline) and item.closed)
        (left, low), (right, high) = frame.points.min(axis=0), frame.points.max(axis=0)
        texts = [item for item in items if isinstance(item, Text)]
        for text in texts:
            (x0, y0), (x1, y1) = box_of(text)
            assert left <= x0, text.text
            assert x1 <= right, text.text
            assert low <= y0, text.text
            assert y1 <= high, text.text
        for one, other in combinations(map(box_of, texts), 2):
            apart = any(
                one[1][i] <= other[0][i] + 0.4 or other[1][i] <= one[0][i] + 0.4 for i in (0, 1)
            )
            assert apart
