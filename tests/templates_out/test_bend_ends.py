"""What becomes of a bent tube's two ends: where a square one is sawn is found on paper and from the tube's corners."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from geometry.as_bent import AsBent
from geometry.bend_plan import BendJob, solve_bend
from geometry.frame import End, Frame, Stock, Tube
from geometry.material import MATERIALS
from geometry.path import Path
from geometry.place import At
from geometry.section import RoundTube
from templates_out.bend_words import delivery_lines, fact_lines
from templates_out.clip import texts_of
from templates_out.cover import schedule_contents
from templates_out.drawing import FOLD, NOTES, Line
from templates_out.frame_result import solve_frame
from templates_out.full_size import check_sheets
from templates_out.paper import paper
from tests.templates_out.test_frame_paper_words import bent_by_hand

TUBE = RoundTube(28.0, 2.0)
CORNERS = ((0.0, 0.0, 0.0), (600.0, 0.0, 0.0), (900.0, 0.0, 400.0), (1400.0, 0.0, 400.0))
RADII = (90.0, 110.0)
PATH = Path(CORNERS, RADII)
SPACE = Path(((400, -200, 250), (-200, -200, 250), (-600, -200, 600), (-600, 200, 600), (-200, 200, 250), (400, 200, 250)), (93.1,) * 4)  # fmt: skip
KINDS = [(False, False), (False, True), (True, False), (True, True)]


def solved(path=PATH, **options):
    return solve_bend(BendJob(TUBE, path, MATERIALS["E235"], **options))


def of_a_frame(fitted, left_on=(20.0, 15.0), path=PATH):
    """As a frame's tube is solved; its start stands 12 mm beyond the path's, its finish 8 mm short of it."""
    return solved(path, long_points=True, trim=(12.0, -8.0), left_on=left_on, fitted=fitted)


def hoop():
    """Both its ends square, one above the other where its first bend lies level."""
    return solved(SPACE, long_points=True, fitted=(False, False), left_on=(20.0, 20.0))


def sawn(words):
    """Where the words say that the start and the finish are sawn, mm; None where they do not."""
    places = [
        re.search(rf"the {end} ([\d.]+) mm {where} \d", words)
        for end, where in (("start", "before bend"), ("finish", "after bend"))
    ]
    return [float(found[1]) if found else None for found in places]


@pytest.mark.parametrize("fitted", KINDS)
def test_square_ends_are_sawn_at_their_distance_from_the_bend(fitted):
    result = of_a_frame(fitted)
    straights, _ = bent_by_hand(CORNERS, RADII)
    wanted = [
        None if fitted[0] else pytest.approx(straights[0] + 12, abs=0.006),
        None if fitted[1] else pytest.approx(straights[-1] - 8, abs=0.006),
    ]
    assert sawn(" ".join(fact_lines(result))) == wanted
    assert sawn(" ".join(delivery_lines(result, "B"))) == wanted


def test_on_the_full_size_sheet_the_cut_is_as_far_from_where_the_bend_begins():
    """Drawn lines alone: dashed across at the cut, thin across at the tangent points."""
    result = of_a_frame((False, False))
    (sheet,) = check_sheets(result)
    lines = [item for item in sheet.drawing.items if isinstance(item, Line)]
    across = {
        pen: [np.array((line.start, line.end)) for line in lines if line.pen is pen]
        for pen in (FOLD, NOTES)
    }
    assert len(across[FOLD]) == 2
    axes = np.column_stack((sheet.lying.right, sheet.lying.up))
    ends = np.array((CORNERS[0], CORNERS[-1])) @ axes
    for said, end in zip(sawn(" ".join(fact_lines(result))), ends, strict=True):
        cut = min(across[FOLD], key=lambda line: math.dist(line.mean(axis=0), end)).mean(axis=0)
        tangent = min(across[NOTES], key=lambda line: math.dist(line.mean(axis=0), cut))
        assert said == pytest.approx(math.dist(tangent.mean(axis=0), cut), abs=0.006)


def test_a_tube_on_its_own_is_sawn_at_its_paths_ends():
    straights, _ = bent_by_hand(CORNERS, RADII)
    both = sawn(" ".join(fact_lines(solved(trim=(20.0, 30.0)))))
    assert both == pytest.approx([straights[0], straights[-1]], abs=0.006)
    # Nothing is left on at the start: it is not sawn again.
    assert sawn(" ".join(fact_lines(solved(trim=(0.0, 30.0)))))[0] is None
    assert sawn(" ".join(fact_lines(solved()))) == [None, None]


@pytest.mark.parametrize("fitted", KINDS)
@pytest.mark.parametrize("left_on", [(20.0, 15.0), (0.0, 0.0)])
def test_words_say_what_the_ends_are(fitted, left_on):
    result = of_a_frame(fitted, left_on)
    words = " ".join((*fact_lines(result), *delivery_lines(result, "B"))).casefold()
    words = words.replace("square-cut", "").replace("end, sawn square", "")
    found = " ".join(one.what for one in result.findings if one.code == "nothing-left-on")
    for text, told in ((words, True), (found, not any(left_on))):
        assert bool(re.search(r"\bfit\b|fitted|cut ends|long point", text)) == (
            any(fitted) and told
        )
        assert ("square" in text) == (not all(fitted) and told), text
    for kind, at, end in zip(fitted, left_on, ("start", "finish"), strict=True):
        assert (f"its {'fitted' if kind else 'square'} {end}" in found) == (not at)
    labels = [text.text for sheet in check_sheets(result) for text in texts_of(sheet.drawing)]
    told = any(left_on)
    assert ("long point" in labels) == (any(fitted) and told)
    assert ("end, sawn square" in labels) == (not all(fitted) and told)
    assert "trim line" not in labels


def test_a_bar_that_nothing_is_cut_from_may_be_shorter_too():
    allowed = {
        (fitted, left_on): "/-0" in " ".join(delivery_lines(of_a_frame(fitted, left_on), "B"))
        for fitted in KINDS
        for left_on in ((0.0, 0.0), (0.0, 15.0))
    }
    assert [case for case, spare in allowed.items() if not spare] == [((False, False), (0.0, 0.0))]


def test_ends_that_lie_one_above_the_other_are_named_together_and_once():
    result = hoop()
    first = [text.text for text in texts_of(check_sheets(result)[0].drawing)]
    assert first.count("end, sawn square") == 1
    assert any(re.fullmatch(r"start; finish, centre [\d.]+ up", word) for word in first), first


def test_a_frames_ends_are_told_apart_and_of_what_came_back_the_real_tube_is_sawn():
    post = Tube("post", "s", ("low", "high"))
    came = AsBent(angles=(50.0, None), straights=(700.0, None, None), use=True, hold="finish")
    rail = Tube(
        "rail", "s", ("a", "b", "c", "d"), RADII, (End("square", extra=12.0), End("cope")), trim=(20.0, 20.0),
    )  # fmt: skip
    points = {name: At(*at) for name, at in zip("abcd", CORNERS, strict=True)}
    points |= {"low": At(1400, 0, 0), "high": At(1400, 0, 600)}
    for as_bent in ((), (came,)):
        tubes = (post, Tube(**{**vars_of(rail), "as_bent": as_bent}))
        result = solve_frame(Frame("f", {"s": Stock(TUBE)}, points, tubes))
        assert result.bends["rail"].job.fitted == (False, True)
        real = next(one for one in result.fitted.parts if one.part.name == "rail")
        assert (real.part.path == PATH) is (not as_bent)
        straights, _ = bent_by_hand(real.part.path.vertices, RADII)
        words = " ".join(
            text.text
            for content in schedule_contents(result, paper("A4"))
            for text in texts_of(content.drawing)
        )
        assert sawn(words) == [pytest.approx(straights[0] + 12, abs=0.006), None]


def vars_of(tube):
    return {name: getattr(tube, name) for name in tube.__dataclass_fields__}


def test_marks_are_scribed_to_be_found_again():
    result = of_a_frame((False, True))
    words = " ".join(fact_lines(result))
    straights, arcs = bent_by_hand(CORNERS, RADII)
    # Counted from the bar's own start, 20 and 12 mm before the path's.
    first = 20 + 12 + straights[0]
    last = first + arcs[0] + straights[1] + arcs[1]
    told = re.search(
        r"where bend 1 starts, ([\d.]+) mm, and where bend 2 ends, ([\d.]+) mm,", words
    )
    assert [float(told[1]), float(told[2])] == pytest.approx([first, last], abs=0.051)
    assert (
        "square ends are sawn and the wraps of the cut ends are set; places between bends are measured from the nearest"
        in words
    )


def test_a_flat_tubes_box_is_the_one_it_fits_on_a_bench():
    """By hand: legs of 300 and a middle of 440 between corners, 25 mm tube, leaning in the frame."""
    lean = math.radians(30)
    x, z = 300 * math.sin(lean), 300 * math.cos(lean)
    path = Path(((0, -220, 0), (-x, -220, z), (-x, 220, z), (0, 220, 0)), (80.0, 80.0))
    job = BendJob(RoundTube(25.0, 2.0), path, MATERIALS["E235"])
    told = " ".join(delivery_lines(solve_bend(job), "B"))
    (sizes,) = re.findall(r"laid flat it fits a box of ([\d.]+) x ([\d.]+) x ([\d.]+)", told)
    assert [float(size) for size in sizes] == pytest.approx([300 + 12.5, 440 + 25, 25], abs=0.06)


def test_where_the_ends_are_from_the_points_that_were_drawn():
    """The start stands 12 mm beyond its point, the finish 8 mm short of its own."""
    straights, arcs = bent_by_hand(CORNERS, RADII)
    along = sum(straights) + sum(arcs)
    words = " ".join(fact_lines(of_a_frame((False, True))))
    assert (
        "The tube's start is 12 mm beyond the first point, its finish is 8 mm short of the last point. "
        f"From the first point to the last it is {along:.2f} mm along the centreline."
    ) in words
