"""What a frame's paper says of directions and distances, against plain vectors: nothing of the program's own words."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from app.document.frame_file import open_frame
from geometry.as_bent import AsBent
from geometry.fitup import solve
from geometry.frame import End, Frame, Plane, Stock, Tube
from geometry.frame_landing import end_landings
from geometry.place import At
from geometry.places import point_along
from geometry.section import BoxSection, RoundTube
from geometry.skin import depth_in
from templates_out.bend_words import fact_lines
from templates_out.cover import schedule_contents
from templates_out.drawing import Line, Polyline, Text
from templates_out.frame_result import solve_frame
from templates_out.frame_words import end_words
from templates_out.frame_wraps import landing_strip
from templates_out.landing_strip import HEAVY, strip_for_paper
from templates_out.paper import paper
from templates_out.schedule import landing_table, landing_words

SAMPLES = Path(__file__).parents[2] / "sample_projects"
WAYS = {
    "forward": (1, 0, 0),
    "rearward": (-1, 0, 0),
    "left": (0, 1, 0),
    "right": (0, -1, 0),
    "up": (0, 0, 1),
    "down": (0, 0, -1),
}
EACH = pytest.mark.parametrize("name", ["single-cylinder", "cargo-trike", "paddock-stand"])


def frame_of(name):
    return solve_frame(open_frame(SAMPLES / name / f"{name}.frame"))


def direction(words):
    """The unit vector that words such as "up and rearward" name, and how many of them there are."""
    named = [WAYS[word] for word in words.split(" and ")]
    total = np.sum(named, axis=0).astype(float)
    return total / np.linalg.norm(total), len(named)


@EACH
def test_where_the_datum_and_the_quarters_face(name):
    """From a point of the line on the tube's skin and its middle: out that way the words must point."""
    for one in frame_of(name).fitted.parts:
        for cut in one.cuts:
            if cut is None:
                continue
            words = end_words(one, cut)
            girth = cut.at.part.outline.girth
            said = [words.datum.split("faces ")[1].removesuffix(" when fitted")]
            said += [words.quarters[i].removeprefix(words.marks[i + 1]).strip() for i in range(3)]
            for quarter, word in enumerate(said):
                index = int(np.argmin(np.abs(cut.round_mm - quarter * girth / 4)))
                if abs(cut.round_mm[index] - quarter * girth / 4) > 0.01 * girth:
                    continue
                point = cut.points()[index]
                off = point - cut.origin
                out = off - (off @ cut.at.axis) * cut.at.axis
                out /= np.linalg.norm(out)
                way, count = direction(word)
                # One name holds to 22 degrees and a little, two for what lies between.
                assert out @ way > (0.90 if count == 1 else 0.80), (cut.at.where, quarter, word)


@EACH
def test_a_strip_laid_on_as_it_says_marks_where_the_tube_lands(name):
    """Its drawing alone, laid on the part: heavy line on the datum, the line across at its distance, finish up."""
    result = frame_of(name)
    parts = {one.part.name: one for one in result.fitted.parts}
    paper_mm = 0.1
    looked_at = 0
    for found in result.landings.values():
        for mark in found.marks:
            if not mark.flat:
                continue
            one = parts[mark.target.name]
            strip = landing_strip(one, mark)
            items = strip_for_paper(strip, paper_mm).items
            heavy = next(i for i in items if isinstance(i, Line) and i.pen == HEAVY)
            lines = [
                i
                for i in items
                if isinstance(i, Line) and i.start[1] == i.end[1] and i.pen.layer == "DATUM"
            ]
            (across,) = {line.start[1] for line in lines}
            outline = [i.points for i in items if isinstance(i, Polyline)][1:]
            text = " ".join(i.text for i in items if isinstance(i, Text))
            told = float(text.split("line across, edge to edge: ")[1].split(" from start")[0])
            to_finish = float(text.split("from start,")[1].split("from finish")[0])
            assert told + to_finish == pytest.approx(one.cut_length, abs=0.11)
            # On a bent tube from where the nearest bend begins or ends as well.
            bends = re.search(r"from finish, ([\d.]+) (before|past) bend (\d+)", text)
            assert bool(bends) is (bool(one.part.path.radii) and "on bend" not in text)
            if bends:
                arc = one.part.path.arcs[int(bends[3]) - 1]
                edge = arc.points(np.array([0.0, arc.angle_rad]))[0 if bends[2] == "before" else 1]
                off = (
                    np.array(
                        point_along(
                            one.part.path, told - (one.cuts[0].beyond if one.cuts[0] else 0.0)
                        )
                    )
                    - edge
                )
                assert np.linalg.norm(off) == pytest.approx(float(bends[1]), abs=0.11)
            # From the long point of the start, along the centreline.
            begin = one.cuts[0].beyond if one.cuts[0] else 0.0
            place = told - begin
            foot = np.array(point_along(one.part.path, place))
            around = [np.array(point_along(one.part.path, place + step)) for step in (-1e-3, 1e-3)]
            way = (around[1] - around[0]) / np.linalg.norm(around[1] - around[0])
            girth = one.part.outline.girth
            stretch = (
                1 + np.pi * paper_mm / girth if isinstance(one.part.section, RoundTube) else 1.0
            )
            for points in outline:
                flat = one.part.outline.at((points[:, 0] - heavy.start[0]) / stretch)
                space = foot + (points[:, 1:] - across) * way
                space = space + flat[:, :1] * mark.datum + flat[:, 1:] * np.cross(way, mark.datum)
                depth, _ = depth_in(one, space)
                assert np.max(np.abs(depth)) < 0.06
                end = found.cut.at
                seen = np.column_stack(
                    ((space - end.point) @ end.datum, (space - end.point) @ end.third)
                )
                on = end.part.outline.at(end.part.outline.place(seen))
                # The distance is told to a tenth of a millimetre.
                assert np.max(np.linalg.norm(seen - on, axis=1)) < 0.12, (
                    end.where,
                    mark.target.name,
                )
                looked_at += 1
    assert looked_at > 5


@EACH
def test_the_table_of_landings_says_what_the_marks_are(name):
    result = frame_of(name)
    rows = {(row[0], row[1]): row for row in landing_table(result).rows}
    each = 25.4 if result.units == "in" else 1.0
    for found in result.landings.values():
        for mark in found.marks:
            row = rows[mark.target.name, f"{mark.end.part.name}, {mark.end.name}"]
            if isinstance(mark.target.section, RoundTube):
                assert float(row[4]) == pytest.approx(
                    np.degrees(mark.round_mm / mark.target.section.radius), abs=0.051
                )
            assert float(row[5]) == pytest.approx(mark.round_mm / each, abs=0.051)


@EACH
def test_the_clock_goes_round_the_way_the_words_say(name):
    """Looking from the part's start to its finish, its datum up: clockwise is to the right of it."""
    assert (
        "clockwise as you look along the part from its start towards its finish"
        in landing_words("mm")
    )
    assert "anticlockwise" not in landing_words("mm")
    result = frame_of(name)
    rows = {(row[0], row[1]): row for row in landing_table(result).rows}
    looked_at = 0
    for found in result.landings.values():
        for mark in found.marks:
            path = mark.target.path
            if not isinstance(mark.target.section, RoundTube) or path.radii:
                continue
            way = np.array(path.vertices[-1]) - np.array(path.vertices[0])
            way /= np.linalg.norm(way)
            # Towards the landing tube, square to the part: from where it is cut back along itself.
            out = -found.cut.at.axis + (found.cut.at.axis @ way) * way
            if np.linalg.norm(out) < 0.2 or abs(found.cut.offset) > 0.5:
                continue
            right = np.cross(way, mark.datum)
            clockwise = np.degrees(np.arctan2(out @ right, out @ mark.datum))
            row = rows[mark.target.name, f"{mark.end.part.name}, {mark.end.name}"]
            apart = (float(row[4]) - clockwise + 180) % 360 - 180
            assert abs(apart) < 2.0, (mark.target.name, mark.end.part.name, row[4], clockwise)
            looked_at += abs(clockwise) > 5 and abs(clockwise) < 175
    assert looked_at


STOCK = {
    "main": Stock(RoundTube(38.1, 2.0)),
    "thin": Stock(RoundTube(25.0, 1.5)),
    "box": Stock(BoxSection(40.0, 40.0, 3.0, 5.0)),
}
SQUARE = End("square")


def solved(points, *tubes):
    fitted = solve(Frame("f", STOCK, {name: At(*at) for name, at in points.items()}, tubes))
    return fitted, {one.part.name: one for one in fitted.parts}


@pytest.mark.parametrize("y", [150, -150])
def test_left_is_the_riders_left_whichever_hand_is_entered(y):
    points = {"a": (0, y, 0), "b": (500, y, 0)}
    _, parts = solved(points, Tube("rail", "main", ("a", "b"), (), (SQUARE, SQUARE), handed=True))
    assert parts["rail left"].part.path.vertices[0][1] == 150
    assert parts["rail right"].part.path.vertices[0][1] == -150


def test_a_root_gap_keeps_plane_and_mitred_ends_off():
    points = {"a": (0, 0, 0), "b": (300, 0, 0), "c": (300, 0, 300), "d": (300, 0, -300)}
    for gap in (0.0, 2.0):
        plane = End("plane", plane=Plane((300, 0, 0), (1, 0, 0)), root_gap=gap)
        _, parts = solved(points, Tube("run", "main", ("a", "b"), (), (SQUARE, plane)))
        assert parts["run"].cut_length == pytest.approx(300 - gap)
        one = End("mitre", other="post", root_gap=gap)
        two = End("mitre", other="run")
        _, parts = solved(
            points,
            Tube("run", "main", ("a", "b"), (), (SQUARE, one)),
            Tube("post", "main", ("b", "c"), (), (two, SQUARE)),
        )
        # Square to the mitre's plane, which stands at 45 degrees: along the tube more.
        assert parts["run"].cut_length == pytest.approx(300 + 19.05 - gap * np.sqrt(2))


def test_extra_on_a_cope_is_beyond_the_target_and_changes_nothing_else():
    points = {"a": (0, -300, 0), "b": (0, 300, 0), "p": (300, 0, 0), "q": (0, 0, 0)}
    rail = Tube("rail", "main", ("a", "b"), (), (SQUARE, SQUARE))
    lengths = {}
    for extra in (0.0, 30.0):
        fitted, parts = solved(
            points, rail, Tube("stay", "thin", ("p", "q"), (), (SQUARE, End(extra=extra)))
        )
        assert parts["stay"].cuts[1].onto == ("rail",)
        assert not fitted.findings
        lengths[extra] = parts["stay"].cut_length
        (landing,) = end_landings(fitted).values()
        np.testing.assert_allclose(np.ptp(landing.marks[0].outline[0], axis=0)[1], 25.0, atol=1e-3)
    assert lengths[30.0] - lengths[0.0] == pytest.approx(30.0)


def bent_by_hand(vertices, radii):
    """Straights and arcs of a centreline from its corners alone: R tan(a/2) off each side of a corner, R a round it."""
    points = [np.array(one) for one in vertices]
    ways = [b - a for a, b in pairwise(points)]
    turns = [math.acos(a @ b / (np.linalg.norm(a) * np.linalg.norm(b))) for a, b in pairwise(ways)]
    off = [0.0, *(r * math.tan(t / 2) for r, t in zip(radii, turns, strict=True)), 0.0]
    straights = [
        float(np.linalg.norm(way)) - before - after
        for way, before, after in zip(ways, off, off[1:], strict=False)
    ]
    return straights, [r * t for r, t in zip(radii, turns, strict=True)]


@EACH
def test_how_long_a_bar_is_sawn_and_what_of_it_is_left(name):
    """From the tube's corners, and how far the lines of its cuts stand out beyond its ends."""
    result = frame_of(name)
    words = " ".join(
        item.text
        for content in schedule_contents(result, paper("A4"))
        for item in content.drawing.items
        if isinstance(item, Text)
    )
    found = 0
    for one in result.fitted.parts:
        if one.part.name not in result.bends:
            continue
        straights, arcs = bent_by_hand(one.part.path.vertices, one.part.path.radii)
        beyond = [
            float(np.max((cut.points() - end.point) @ end.axis))
            for cut, end in zip(one.cuts, one.part.ends, strict=True)
        ]
        left = sum(straights) + sum(arcs) + sum(beyond)
        job = result.bends[one.part.name].job
        bar = left + sum(job.left_on)
        said = re.search(
            rf"{re.escape(one.part.name)}: saw its bar ([\d.]+) mm[^;]* long \(bend sheet\); ([\d.]+) mm",
            words,
        )
        assert (said is not None) == (sum(job.left_on) > 0.05), words[words.find("saw its") :]
        if said is not None:
            assert float(said[1]) == pytest.approx(bar, abs=0.006)
            assert float(said[2]) == pytest.approx(left, abs=0.006)
        # And where the straight bar is marked, counted from its start.
        first = straights[0] + beyond[0] + job.left_on[0]
        last = bar - straights[-1] - beyond[1] - job.left_on[1]
        marked = " ".join(fact_lines(result.bends[one.part.name]))
        marks = re.search(
            r"where bend 1 starts, ([\d.]+) mm, and where bend \d+ ends, ([\d.]+) mm", marked
        )
        if marks is not None:
            found += 1
            assert float(marks[1]) == pytest.approx(first, abs=0.06)
            assert float(marks[2]) == pytest.approx(last, abs=0.06)
    assert found or name == "paddock-stand"


@pytest.mark.parametrize("hold", ["all", "start"])
def test_how_long_a_tube_is_that_is_used_as_it_came(hold):
    """Its real corners, from the measured angle alone: the turns at them are those that were measured."""
    frame = open_frame(SAMPLES / "single-cylinder" / "single-cylinder.frame")
    came = AsBent("left", (None, None, 73.1), hold=hold, use=True)
    rail = replace(frame.tube("main rail"), as_bent=(came,))
    tubes = tuple(rail if one.name == rail.name else one for one in frame.tubes)
    result = solve_frame(replace(frame, tubes=tubes))
    words = " ".join(
        item.text
        for content in schedule_contents(result, paper("A4"))
        for item in content.drawing.items
        if isinstance(item, Text)
    )
    real = next(one for one in result.fitted.parts if one.part.name == "main rail left")
    straights, arcs = bent_by_hand(real.part.path.vertices, real.part.path.radii)
    radius = rail.radii[-1]
    assert arcs[-1] == pytest.approx(radius * math.radians(73.1), abs=1e-6)
    beyond = [
        float(np.max((cut.points() - end.point) @ end.axis))
        for cut, end in zip(real.cuts, real.part.ends, strict=True)
    ]
    said = re.search(
        r"main rail left is used as it came from the bender: .* to be ([\d.]+) mm", words
    )
    assert float(said[1]) == pytest.approx(sum(straights) + sum(arcs) + sum(beyond), abs=0.006)
    assert "main rail left: saw its bar" not in words
    assert "main rail right: saw its bar" in words
