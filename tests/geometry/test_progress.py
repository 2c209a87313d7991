"""How far each part is made: marked, kept through edits, gone with the part, refused where there is none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from geometry.edits import move_tube, put_tube, remove_tube, rename_tube
from geometry.errors import BadFrame, CopewrightError
from geometry.fitup import solve
from geometry.frame import STEPS, Frame, made_names
from geometry.made_checks import put_progress
from templates_out.frame_result import solve_frame
from templates_out.schedule import progress_table
from tests.frames import EVERYTHING


def test_the_steps_are_in_the_order_of_the_work():
    assert STEPS == ("cut", "fitted", "tacked", "welded")


@pytest.mark.parametrize("step", STEPS)
def test_a_part_is_marked_and_unmarked(step):
    marked = put_progress(EVERYTHING, "cross", step)
    assert marked.progress == {**EVERYTHING.progress, "cross": step}
    assert put_progress(marked, "cross", None) == EVERYTHING
    assert marked != EVERYTHING
    assert hash(marked) != hash(EVERYTHING)


def test_each_hand_has_its_own():
    assert made_names(EVERYTHING.tube("top rail")) == ("top rail left", "top rail right")
    with pytest.raises(CopewrightError, match="progress names the part 'top rail', which is not"):
        put_progress(EVERYTHING, "top rail", "cut")


def test_what_is_no_step_is_refused():
    with pytest.raises(BadFrame, match="'painted'; allowed are cut, fitted, tacked, welded"):
        replace(EVERYTHING, progress={"cross": "painted"})


def test_it_goes_with_its_part_and_keeps_through_other_edits():
    renamed = rename_tube(EVERYTHING, "top rail", "upper rail")
    assert renamed.progress == {"headstock": "welded", "upper rail right": "cut"}
    assert move_tube(EVERYTHING, "leg", 0).progress == EVERYTHING.progress
    single = put_tube(EVERYTHING, replace(EVERYTHING.tube("cross"), handed=True))
    assert single.progress == EVERYTHING.progress
    marked = put_progress(EVERYTHING, "strut", "tacked")
    assert remove_tube(marked, "strut").progress == EVERYTHING.progress
    other = put_tube(marked, replace(marked.tube("strut"), handed=True))
    assert other.progress == EVERYTHING.progress


def test_marking_cuts_nothing_anew():
    before = solve(EVERYTHING)
    after = solve(put_progress(EVERYTHING, "cross", "cut"))
    for one, two in zip(before.parts, after.parts, strict=True):
        assert all(a is b for a, b in zip(one.cuts, two.cuts, strict=True))


def test_the_book_has_what_is_done_and_room_to_tick_the_rest():
    rows = {row[1]: row[2:] for row in progress_table(solve_frame(EVERYTHING)).rows}
    assert rows["headstock"] == ("done",) * 4
    assert rows["top rail right"] == ("done", "____", "____", "____")
    assert rows["top rail left"] == ("____",) * 4
    assert progress_table(solve_frame(Frame())).rows == ()
