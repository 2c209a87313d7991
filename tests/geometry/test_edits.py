"""Changes to a frame: names follow everywhere, nothing that is needed is taken out, the steel stays where it was."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.document.frame_file import open_frame
from geometry.as_bent import AsBent
from geometry.edits import (
    copy_tube,
    free_name,
    move_tube,
    point_users,
    put_point,
    put_stock,
    put_tube,
    remove_point,
    remove_stock,
    remove_tube,
    rename_frame,
    rename_point,
    rename_stock,
    rename_tube,
    tube_users,
)
from geometry.errors import CopewrightError
from geometry.fitup import solve
from geometry.frame import Frame, Stock, Tube
from geometry.place import At
from geometry.places import Places
from geometry.section import RoundTube
from tests.cases import examples
from tests.frames import EVERYTHING

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*/*.frame"))


def steel(frame):
    """Where the steel is and how it is cut, whatever it is called."""
    return [
        (
            one.part.path,
            [(cut.kind, cut.long_point, cut.short_point) if cut else None for cut in one.cuts],
        )
        for one in solve(frame).parts
    ]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_new_names_everywhere_leave_the_steel_as_it_is(path):
    frame = open_frame(path)
    renamed = frame
    for number, name in enumerate(frame.points):
        renamed = rename_point(renamed, name, f"p{number}")
    for number, name in enumerate(frame.stock):
        renamed = rename_stock(renamed, name, f"s{number}")
    for number, tube in enumerate(frame.tubes):
        renamed = rename_tube(renamed, tube.name, f"t{number}")
    assert [tube.name for tube in renamed.tubes] == [f"t{n}" for n in range(len(frame.tubes))]
    assert list(renamed.points) == [f"p{n}" for n in range(len(frame.points))]
    assert steel(renamed) == steel(frame)


@examples(60)
@given(st.data())
def test_a_new_name_and_the_old_one_again_is_the_same_frame(data):
    kind = data.draw(st.sampled_from(["point", "stock", "tube"]))
    names = {
        "point": list(EVERYTHING.points), "stock": list(EVERYTHING.stock), "tube": [t.name for t in EVERYTHING.tubes],
    }[kind]  # fmt: skip
    rename = {"point": rename_point, "stock": rename_stock, "tube": rename_tube}[kind]
    name = data.draw(st.sampled_from(names))
    there = rename(EVERYTHING, name, "another name")
    assert there != EVERYTHING
    assert rename(there, "another name", name) == EVERYTHING


def test_a_handed_tubes_new_name_reaches_those_that_sit_on_one_hand():
    frame = rename_tube(EVERYTHING, "top rail", "upper")
    assert frame.tube("cross").ends[1].onto == ("upper right",)
    assert frame.points["half way"].tube == "upper"
    with pytest.raises(CopewrightError, match="is there as 'LEG' too"):
        rename_tube(EVERYTHING, "cross", "LEG")
    with pytest.raises(CopewrightError, match="there is a point 'knee' already"):
        rename_point(EVERYTHING, "floor", "knee")
    with pytest.raises(CopewrightError, match="there is no stock 'x'"):
        rename_stock(EVERYTHING, "x", "y")


def test_what_is_needed_is_not_taken_out_and_says_by_what():
    assert point_users(EVERYTHING, "floor") == [
        "tube 'leg'",
        "tube 'strut'",
        "the plane of tube 'strut'",
    ]
    assert tube_users(EVERYTHING, "top rail") == [
        "tube 'cross'",
        "point 'half way'",
        "point 'near the seat'",
    ]
    for remove, name, words in (
        (remove_point, "floor", "point 'floor' cannot be taken out: tube 'leg', tube 'strut', the plane of tube 'strut' need it"),
        (remove_tube, "top rail", "tube 'cross', point 'half way', point 'near the seat' need it"),
        (remove_tube, "headstock", "tube 'top rail' needs it"),
        (remove_stock, "jig", "tube 'leg', tube 'strut' need it"),
    ):  # fmt: skip
        with pytest.raises(CopewrightError, match=words):
            remove(EVERYTHING, name)
    with pytest.raises(CopewrightError, match="there is no"):
        remove_tube(EVERYTHING, "nothing")


def test_taken_out_from_the_last_to_the_first_nothing_is_left():
    frame = EVERYTHING
    for name in ("strut", "cross", "leg"):
        frame = remove_tube(frame, name)
    for name in ("other side", "half way", "near the seat"):
        frame = remove_point(frame, name)
    for name in ("top rail", "headstock"):
        frame = remove_tube(frame, name)
    for name in ("head high", "knee", "head low", "seat", "floor"):
        frame = remove_point(frame, name)
    for name in ("main", "thin", "jig"):
        frame = remove_stock(frame, name)
    assert (dict(frame.stock), dict(frame.points), frame.tubes) == ({}, {}, ())


def test_putting_in_and_in_place_of():
    frame = Frame("f")
    frame = put_stock(frame, "t", Stock(RoundTube(25.0, 2.0)))
    for name, x in (("a", 0.0), ("b", 500.0), ("c", 900.0)):
        frame = put_point(frame, name, At(x, 0, 0))
    frame = put_tube(frame, Tube("one", "t", ("a", "b")))
    frame = put_tube(frame, Tube("two", "t", ("b", "c")))
    frame = put_tube(frame, Tube("first", "t", ("a", "c")), 0)
    assert [tube.name for tube in frame.tubes] == ["first", "one", "two"]
    frame = put_tube(frame, Tube("one", "t", ("a", "c"), handed=True))
    assert [tube.name for tube in frame.tubes] == ["first", "one", "two"]
    assert frame.tube("one").handed
    frame = put_stock(frame, "t", Stock(RoundTube(28.0, 2.0)))
    assert frame.stock["t"].section.od == 28.0
    assert rename_frame(frame, "g").name == "g"


def test_the_order_changes_who_is_cut_and_what_cannot_be_is_said():
    order = [tube.name for tube in EVERYTHING.tubes]
    moved = move_tube(EVERYTHING, "leg", 0)
    assert [tube.name for tube in moved.tubes] == ["leg", *(n for n in order if n != "leg")]
    assert move_tube(moved, "leg", order.index("leg")) == EVERYTHING
    assert move_tube(EVERYTHING, "strut", 99) == EVERYTHING
    with pytest.raises(CopewrightError, match="not above it in the list"):
        move_tube(EVERYTHING, "cross", 0)


def test_a_copy_stands_next_to_its_tube():
    copied = copy_tube(EVERYTHING, "top rail", "second rail", (0.0, 10.0, 50.0))
    names = [tube.name for tube in copied.tubes]
    assert names[names.index("top rail") + 1] == "second rail"
    rail = EVERYTHING.tube("top rail")
    copy = copied.tube("second rail")
    assert copy.path == tuple(f"{point} of second rail" for point in rail.path)
    places = Places(copied)
    for one, other in zip(rail.path, copy.path, strict=True):
        step = np.array(places.point(other)) - np.array(places.point(one))
        assert np.allclose(step, (0.0, 10.0, 50.0))
    # What it sat on is elsewhere, and so is what it was mitred with; it came from no bender.
    ends = tuple(replace(end, onto=()) for end in rail.ends)
    assert copy == replace(rail, name="second rail", path=copy.path, ends=ends, as_bent=())
    mitred = copy_tube(EVERYTHING, "strut", "strut 2", (0.0, 0.0, 9.0)).tube("strut 2")
    assert [end.cut for end in mitred.ends] == ["square", "plane"]
    assert rail.as_bent != ()
    assert all(isinstance(one, AsBent) for one in rail.as_bent)
    with pytest.raises(CopewrightError, match="another name"):
        copy_tube(EVERYTHING, "leg", "cross", (0.0, 0.0, 1.0))


def test_a_free_name():
    assert free_name("rail", []) == "rail"
    assert free_name("rail", ["Rail", "rail 2"]) == "rail 3"


def test_a_point_at_its_place():
    frame = put_point(EVERYTHING, "floor", At(1, 2, 3))
    assert frame.points["floor"] == At(1, 2, 3)
    assert list(frame.points) == list(EVERYTHING.points)


def test_a_name_that_is_taken_is_refused_even_where_it_is_the_very_same_text():
    """Names were once told apart as objects: the same one twice went through."""
    frame = EVERYTHING
    for rename, names in (
        (rename_tube, [tube.name for tube in frame.tubes]),
        (rename_point, list(frame.points)),
        (rename_stock, list(frame.stock)),
    ):
        with pytest.raises(CopewrightError, match=r"twice|already"):
            rename(frame, names[0], names[1])
