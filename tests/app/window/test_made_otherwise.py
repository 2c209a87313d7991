"""Parts that are marked as made, and would be made otherwise now: found by what the steel is, not by what it is called."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.document.history import History
from app.document.marks import made_for
from app.document.samples import sample_frame
from app.window.look_over import looked_over
from geometry.edits import put_point, put_progress, put_stock, put_tube, remove_tube, rename_tube
from geometry.frame import End, Frame, Stock, Tube
from geometry.place import At
from geometry.point_moves import change_points, moved_by, turned_by
from geometry.section import RoundTube

SQUARE = (End("square"), End("square"))
BENT = Frame(
    "f",
    {"s": Stock(RoundTube(25.0, 2.0)), "wide": Stock(RoundTube(25.0, 3.0))},
    {"a": At(0, 500, 0), "b": At(300, 500, 0), "c": At(300, 800, 0), "d": At(300, 800, 300)},
    (Tube("bent", "s", ("a", "b", "c", "d"), (60.0, 60.0), SQUARE),),
)
RAIL = ("rail head", "rail front", "rail rear", "rail seat", "rail tail")


def said(then, now, part="bent", name=""):
    now = put_progress(now, part, "cut")
    found = looked_over(now, None, {part: (name or part, then)}).findings
    return " ".join(one.what for one in found if one.code == "made-otherwise")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda f: put_point(f, "d", At(300, 800, -300)), "it is bent otherwise"),
        (lambda f: change_points(f, ["d"], turned_by(30.0, "y", (300, 800, 0))), "it is bent otherwise"),
        (lambda f: put_point(f, "c", At(300, 790, 0)), "bent otherwise"),
        (lambda f: put_tube(f, replace(f.tubes[0], radii=(60.0, 70.0))), "it is bent otherwise"),
        (lambda f: put_tube(f, replace(f.tubes[0], stock="wide")), "it is of other tube"),
        (lambda f: put_tube(f, replace(f.tubes[0], trim=(50.0, 0.0))), "it is 50 mm longer"),
        (lambda f: put_point(f, "d", At(300, 800, 290)), "it is 10 mm shorter"),
        (lambda f: put_point(f, "a", At(10, 500, 0)), "it is 10 mm shorter and it is bent otherwise"),
    ],
)  # fmt: skip
def test_other_steel_is_found(change, words):
    assert words in said(BENT, change(BENT))


@pytest.mark.parametrize(
    "change",
    [
        lambda f: f,
        lambda f: change_points(f, list(f.points), moved_by((100.0, -30.0, 7.0))),
        lambda f: change_points(f, list(f.points), turned_by(33.0, "z", (1.0, 2.0, 3.0))),
        lambda f: replace(f, name="other"),
    ],
)
def test_the_same_steel_elsewhere_is_not(change):
    assert said(BENT, change(BENT)) == ""


def test_an_end_cut_along_another_line_is_found_and_another_name_is_not():
    frame = sample_frame("single-cylinder")
    renamed = rename_tube(frame, "headstock", "steering head")
    assert said(frame, renamed, "main rail left") == ""
    moved = change_points(frame, ["head low"], moved_by((0.0, 0.0, 25.0)))
    assert "its start is cut otherwise" in said(frame, moved, "main rail left")
    fit = renamed.tube("main rail")
    fitted = put_tube(
        renamed, replace(fit, ends=(replace(fit.ends[0], fit="square-cut"), fit.ends[1]))
    )
    assert "its start is cut otherwise" in said(frame, fitted, "main rail left")


def history(*frames):
    one = History(frames[0])
    for number, frame in enumerate(frames[1:]):
        one = one.changed_to(frame, f"step {number}")
    return one


def test_a_part_was_made_for_the_frame_in_which_it_was_marked():
    marked = put_progress(BENT, "bent", "cut")
    thicker = put_tube(marked, replace(BENT.tubes[0], stock="wide"))
    fitted = put_progress(thicker, "bent", "fitted")
    one = history(BENT, marked, thicker, fitted)
    assert made_for(one, "bent") == ("bent", marked)
    # Taken back and made again, it is as it was.
    assert made_for(one.undone().undone(), "bent") == ("bent", marked)
    assert made_for(one.undone().undone().redone(), "bent") == ("bent", marked)
    # Marked as nothing and as made again, it was made for what it was then.
    nothing = put_progress(fitted, "bent", None)
    again = history(BENT, marked, thicker, fitted, nothing, put_progress(nothing, "bent", "cut"))
    assert made_for(again, "bent")[1] == again.frame
    # That undone, it was not.
    assert made_for(again.undone().undone(), "bent") == ("bent", marked)


def test_a_part_that_was_called_otherwise_is_the_same():
    marked = put_progress(BENT, "bent", "cut")
    renamed = rename_tube(marked, "bent", "hoop")
    more = put_stock(renamed, "more", Stock(RoundTube(30.0, 2.0)))
    assert made_for(history(BENT, marked, renamed, more), "hoop") == ("bent", marked)
    both = replace(BENT, tubes=(replace(BENT.tubes[0], handed=True),))
    marked = put_progress(both, "bent right", "tacked")
    renamed = rename_tube(marked, "bent", "hoop")
    assert made_for(history(both, marked, renamed), "hoop right") == ("bent right", marked)


def test_a_frame_that_was_opened_with_marks_was_made_as_it_was_opened():
    marked = put_progress(BENT, "bent", "welded")
    moved = put_point(marked, "d", At(300, 800, -300))
    assert made_for(history(marked, moved), "bent") == ("bent", marked)
    gone = remove_tube(marked, "bent")
    assert made_for(history(marked, gone, put_progress(BENT, "bent", "cut")), "bent")[0] == "bent"
