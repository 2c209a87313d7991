"""Points moved, turned, mirrored and scaled: they go where plain vectors say, and stay set out as they were."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from geometry.as_bent import AsBent
from geometry.edits import put_point
from geometry.errors import CopewrightError
from geometry.frame import Frame, Stock, Tube
from geometry.place import Along, At, MirrorOf, OffsetFrom, Swung
from geometry.places import Places
from geometry.point_moves import (
    change_points,
    drag_point,
    dragged_with,
    mirrored_at,
    moved_by,
    scaled_by,
    turned_by,
)
from geometry.section import RoundTube
from tests.cases import examples

POINTS = {
    "a": At(100, 200, 300),
    "b": OffsetFrom("a", (50, -20, 10)),
    "c": Swung("a", 120, 30),
    "d": MirrorOf("b"),
    "e": At(-400, 0, 50),
    "f": OffsetFrom("d", (0, 0, 100)),
    "g": Along("tube", share=0.25),
}
FRAME = Frame("f", {"t": Stock(RoundTube(25.0, 2.0))}, POINTS, (Tube("tube", "t", ("a", "e")),))
FREE = [name for name in POINTS if name != "g"]


def where(frame):
    places = Places(frame)
    return {name: np.array(places.point(name)) for name in frame.points}


number = st.floats(-500, 500)
changes = st.one_of(
    st.tuples(number, number, number).map(lambda step: (moved_by(step), lambda p: p + step)),
    st.tuples(st.floats(-180, 180) | st.sampled_from([90.0, -90.0, 180.0]), st.sampled_from("xyz"), st.tuples(number, number, number)).map(
        lambda v: (turned_by(*v), lambda p: Rotation.from_euler(v[1], v[0], degrees=True).apply(p - v[2]) + v[2])
    ),
    st.tuples(st.sampled_from("xyz"), number).map(
        lambda v: (mirrored_at(*v), lambda p: np.where(np.arange(3) == "xyz".index(v[0]), 2 * v[1] - p, p))
    ),
    st.tuples(st.floats(0.1, 5), st.tuples(number, number, number)).map(
        lambda v: (scaled_by(*v), lambda p: np.array(v[1]) + v[0] * (p - v[1]))
    ),
)  # fmt: skip


@examples(150)
@given(changes, st.sets(st.sampled_from(FREE)))
def test_what_is_chosen_goes_where_it_should_and_the_rest_hangs_on_as_before(change, names):
    how, expected = change
    before, moved = where(FRAME), change_points(FRAME, names, how)
    after = where(moved)
    for name in names:
        assert after[name] == pytest.approx(expected(before[name]), abs=1e-6), name
    for name in set(FREE) - names:
        # Set out as it was, on what may have gone elsewhere.
        assert moved.points[name] == FRAME.points[name]
    assert list(moved.points) == list(FRAME.points)


def test_each_keeps_the_way_it_is_set_out():
    everything = change_points(FRAME, FREE, moved_by((10, 0, -5)))
    assert everything.points == {**POINTS, "a": At(110, 200, 295), "e": At(-390, 0, 45)}
    alone = change_points(FRAME, ["b"], moved_by((1, 2, 3)))
    assert alone.points["b"] == OffsetFrom("a", (51, -18, 13))
    aside = change_points(FRAME, ["c"], moved_by((0, 7, 0)))
    assert isinstance(aside.points["c"], OffsetFrom)
    turned = change_points(FRAME, ["c"], turned_by(15, "y", (100, 200, 300)))
    assert turned.points["c"].distance == pytest.approx(120)
    assert turned.points["c"].angle_deg == pytest.approx(15)
    other = change_points(FRAME, ["d"], moved_by((1, 0, 0)))
    assert other.points["d"] == At(151, -180, 310)
    both = change_points(FRAME, ["b", "d"], mirrored_at("y"))
    assert both.points["d"] == MirrorOf("b")


def test_a_quarter_turn_leaves_no_crumbs():
    turned = change_points(FRAME, ["e"], turned_by(90, "z", (0, 0, 0)))
    assert turned.points["e"] == At(0, -400, 50)


@pytest.mark.parametrize(
    ("do", "words"),
    [
        (lambda: change_points(FRAME, ["g"], moved_by((1, 0, 0))), "lies on a tube and goes where that goes"),
        (lambda: change_points(FRAME, ["x"], moved_by((1, 0, 0))), "there is no point 'x'"),
        (lambda: change_points(FRAME, ["a"], moved_by((30000, 0, 0))), "step along x"),
        (lambda: change_points(FRAME, ["e"], scaled_by(500, (0, 0, 0))), "x is -200000"),
        (lambda: turned_by(10, "w", (0, 0, 0)), "allowed are x, y and z"),
        (lambda: scaled_by(0, (0, 0, 0)), "factor"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said(do, words):
    with pytest.raises(CopewrightError, match=words):
        do()


def test_a_mirror_image_that_is_dragged_takes_the_other_side_along():
    frame = drag_point(FRAME, "d", (120.0, -150.0, 310.0))
    assert frame.points["d"] == MirrorOf("b")
    at = where(frame)
    np.testing.assert_allclose(at["d"], (120, -150, 310))
    np.testing.assert_allclose(at["b"], (120, 150, 310))
    # What "b" hangs on stays; what hangs on the image goes along.
    np.testing.assert_allclose(at["a"], where(FRAME)["a"])
    np.testing.assert_allclose(at["f"] - at["d"], where(FRAME)["f"] - where(FRAME)["d"])


@pytest.mark.parametrize(
    ("place", "kept"),
    [
        (Along("tube", share=0.25), "share"),
        (Along("tube", distance=100.0), "start"),
        (Along("tube", distance=-100.0), "finish"),
    ],
)
def test_a_point_on_a_tube_that_is_dragged_slides_along_it(place, kept):
    start, end = np.array(where(FRAME)["a"]), np.array(where(FRAME)["e"])
    whole = float(np.linalg.norm(end - start))
    way = (end - start) / whole
    aside = np.cross(way, (0.0, 0.0, 1.0))
    frame = drag_point(
        put_point(FRAME, "g", place), "g", tuple(start + 0.5 * whole * way + 40 * aside)
    )
    made = frame.points["g"]
    if kept == "share":
        assert made == Along("tube", share=0.5)
    else:
        far = whole / 2 if kept == "start" else -whole / 2
        assert (made.share, made.distance) == (None, pytest.approx(far, abs=0.06))
    # Past its finish it stays on it, however it is counted.
    frame = drag_point(put_point(FRAME, "g", place), "g", tuple(end + 50 * way))
    np.testing.assert_allclose(where(frame)["g"], end, atol=0.3)


@pytest.mark.parametrize("whole", [100.04, 100.06, 100.0, 99.95])
@pytest.mark.parametrize("distance", [40.0, -40.0])
def test_a_point_that_slides_never_leaves_its_tube(whole, distance):
    points = {"a": At(0, 0, 0), "b": At(whole, 0, 0), "p": Along("bar", distance=distance)}
    frame = Frame("f", FRAME.stock, points, (Tube("bar", "t", ("a", "b")),))
    for x in (-50.0, 0.0, whole, whole + 50.0):
        moved = drag_point(frame, "p", (x, 0.0, 0.0))
        at = where(moved)["p"]
        assert at[0] == pytest.approx(min(max(x, 0.0), whole), abs=0.11)


def test_a_point_on_a_tube_that_came_back_otherwise_slides_along_the_real_one():
    points = {
        "a": At(0, 200, 0),
        "k": At(300, 200, 0),
        "b": At(300, 200, 300),
        "p": Along("arm", distance=480.0),
    }
    came = AsBent("", angles=(80.0,), use=True, hold="start")
    tube = Tube("arm", "t", ("a", "k", "b"), (60.0,), as_bent=(came,))
    frame = Frame("f", FRAME.stock, points, (tube,))
    still = drag_point(frame, "p", tuple(where(frame)["p"]))
    assert still.points["p"].distance == pytest.approx(480.0, abs=0.11)


def test_what_is_seen_alone_counts_for_a_point_that_slides():
    """Dragged in a view from above: how high it is is not told by the pointer."""
    frame = put_point(FRAME, "g", Along("tube", share=0.1))
    z = where(frame)["g"][2]
    start, end = (np.array(where(FRAME)[name]) for name in "ae")
    to = start + 0.7 * (end - start)
    moved = drag_point(frame, "g", (to[0], to[1], z), "xy")
    assert moved.points["g"].share == pytest.approx(0.7)


def test_any_other_point_that_is_dragged_is_moved():
    frame = drag_point(FRAME, "b", (1.0, 2.0, 3.0))
    np.testing.assert_allclose(where(frame)["b"], (1, 2, 3))
    assert frame == change_points(
        FRAME, ["b"], moved_by(tuple(np.array((1, 2, 3)) - where(FRAME)["b"]))
    )
    with pytest.raises(CopewrightError, match="no point 'nobody'"):
        drag_point(FRAME, "nobody", (0.0, 0.0, 0.0))


def test_what_goes_along_with_a_mirror_image():
    points, parts = dragged_with(FRAME, "d")
    assert points == {"b", "f"}
    assert parts == set()
    assert dragged_with(FRAME, "a") == ({"b", "c", "d", "f", "g"}, {"tube"})


@pytest.mark.parametrize("name", ["a", "b", "c", "d", "e"])
def test_points_dragged_together_go_by_one_step_and_images_stay_images(name):
    together = ("a", "b", "d", "e", "g")
    before = where(FRAME)
    step = np.array((7.0, 3.0, -2.0))
    frame = drag_point(FRAME, name, tuple(before[name] + step), also=together)
    after = where(frame)
    np.testing.assert_allclose(after[name], before[name] + step, atol=1e-6)
    assert frame.points["d"] == MirrorOf("b")
    for other in ("a", "b", "e"):
        # Only an image takes its point to the other side.
        way = step * ((1, -1, 1) if (name, other) == ("d", "b") else (1, 1, 1))
        np.testing.assert_allclose(after[other], before[other] + way, atol=1e-6)
    points, _ = dragged_with(FRAME, name, together)
    assert points >= {*together} - {name}
