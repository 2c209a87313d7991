"""Parts that are marked as made, and would be made otherwise now: found by what the steel is, not by what it is called."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.document.frame_file import frame_bytes, read_frame
from app.document.history import opened
from app.document.samples import sample_frame
from geometry.edits import put_point, put_tube, remove_tube, rename_tube
from geometry.errors import BadText, CopewrightError
from geometry.fitup import solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.made_checks import made_findings, put_progress
from geometry.place import At, MirrorOf
from geometry.point_moves import change_points, moved_by, turned_by
from geometry.section import RoundTube
from templates_out.frame_result import solve_frame

SQUARE = (End("square"), End("square"))
BENT = Frame(
    "f",
    {"s": Stock(RoundTube(25.0, 2.0)), "wide": Stock(RoundTube(25.0, 3.0))},
    {"a": At(0, 500, 0), "b": At(300, 500, 0), "c": At(300, 800, 0), "d": At(300, 800, 300)},
    (Tube("bent", "s", ("a", "b", "c", "d"), (60.0, 60.0), SQUARE),),
)
RAIL = ("rail head", "rail front", "rail rear", "rail seat", "rail tail")


def said(then, now, part="bent", name=""):
    """What is said of a part that was marked, perhaps under another name, before the frame was changed."""
    made = put_progress(then, name or part, "cut").made[name or part]
    marked = replace(now, progress={part: "cut"}, made={part: made})
    again = read_frame(frame_bytes(marked))
    found = {frame: list(made_findings(solve(frame))) for frame in (marked, again)}
    assert found[marked] == found[again]
    return " ".join(one.what for one in found[marked])


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


@pytest.mark.parametrize("axis", ["x", "y", "z"])
@pytest.mark.parametrize("degrees", [20.0, 47.3, 171.0])
def test_a_straight_tube_that_is_only_turned_about_itself_is_the_same(axis, degrees):
    """Its datum is where up is in the frame; the steel has none."""
    stock = {"m": Stock(RoundTube(38.1, 2.0)), "t": Stock(RoundTube(25.4, 2.0))}
    points = {
        "a": At(0, -300, 0), "b": At(0, 300, 0), "c": At(0, 0, 0), "d": At(300, 200, 0), "e": At(300, -100, 100),
        "f": At(300, 500, -100),
    }  # fmt: skip
    tubes = (
        Tube("m", "m", ("a", "b"), (), SQUARE),
        Tube("n", "m", ("e", "f"), (), SQUARE),
        Tube("t", "t", ("c", "d")),
    )
    frame = Frame("f", stock, points, tubes)
    turned = change_points(frame, list(points), turned_by(degrees, axis, (10.0, 20.0, 30.0)))
    assert said(frame, turned, "t") == ""
    # One end against the other is another tube.
    twisted = change_points(frame, ["e", "f"], turned_by(25.0, "x", (300.0, 200.0, 0.0)))
    assert "its finish is cut otherwise" in said(frame, twisted, "t")


def test_it_is_known_from_when_it_was_first_marked_until_it_is_marked_as_nothing():
    marked = put_progress(BENT, "bent", "cut")
    thicker = put_tube(marked, replace(BENT.tubes[0], stock="wide"))
    fitted = put_progress(thicker, "bent", "fitted")
    assert fitted.made == thicker.made == marked.made
    assert marked.made["bent"].section.wall == 2.0
    nothing = put_progress(fitted, "bent", None)
    assert not nothing.made
    assert put_progress(nothing, "bent", "cut").made["bent"].section.wall == 3.0


def test_it_goes_with_its_part():
    both = replace(BENT, tubes=(replace(BENT.tubes[0], handed=True),))
    marked = put_progress(both, "bent right", "tacked")
    renamed = rename_tube(marked, "bent", "hoop")
    assert renamed.made == {"hoop right": marked.made["bent right"]}
    assert not list(made_findings(solve(renamed)))
    assert not remove_tube(marked, "bent").made


def test_what_an_older_file_does_not_say_is_as_it_was_opened():
    bare = replace(put_progress(BENT, "bent", "welded"), made={})
    assert not list(made_findings(solve(put_point(bare, "d", At(300, 800, -300)))))
    known = opened(bare)
    assert not known.changed
    moved = put_point(known.frame, "d", At(300, 800, -300))
    (said,) = made_findings(solve(moved))
    assert (said.where, "marked as welded" in said.what) == ("bent", True)
    ring = replace(bare, points={**bare.points, "a": MirrorOf("b"), "b": MirrorOf("a")})
    assert opened(ring).frame == ring


def test_it_is_among_the_findings_of_the_book_and_in_inches_too():
    marked = put_point(put_progress(BENT, "bent", "cut"), "d", At(300, 800, 290))
    found = {one.code: one.what for one in solve_frame(marked).findings}
    assert found["made-otherwise"].endswith(
        "made otherwise now: it is 10 mm shorter and it is bent otherwise."
    )
    inch = solve_frame(replace(marked, units="in")).findings
    assert "0.394 in shorter" in next(one.what for one in inch if one.code == "made-otherwise")


def test_a_file_without_what_they_were_or_with_a_mark_taken_out_opens():
    marked = put_progress(BENT, "bent", "cut")
    assert read_frame(frame_bytes(BENT).replace(b'"stock"', b'"made": null, "stock"', 1)) == BENT
    lone = frame_bytes(marked).replace(b'"bent": "cut"', b"", 1)
    assert read_frame(lone) == BENT


def test_what_a_part_was_is_refused_where_it_cannot_be():
    marked = put_progress(BENT, "bent", "cut")
    with pytest.raises(CopewrightError, match="made names the part that is marked 'bent'"):
        replace(marked, progress={})
    data = frame_bytes(marked).replace(b'"length": ', b'"length": 9999')
    with pytest.raises(BadText, match=r"made 'bent': length of a made part is 9999848 mm"):
        read_frame(data)
    data = frame_bytes(marked).replace(b'"line": [0', b'"line": [0, 0')
    with pytest.raises(
        BadText, match="made 'bent': the line of a made end has 37 places; it needs 36"
    ):
        read_frame(data)
