"""After an edit a frame is what it would be solved from nothing, and what the edit cannot touch is kept."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.document.frame_file import open_frame
from geometry.fitup import forget, solve
from geometry.frame import End
from geometry.place import Along, At, OffsetFrom
from tests.cases import examples

SAMPLES = Path(__file__).parents[2] / "sample_projects"
MOTORCYCLE = open_frame(SAMPLES / "single-cylinder" / "single-cylinder.frame")


def moved(frame, name, by):
    place = frame.points[name]
    if isinstance(place, At):
        place = replace(place, x=place.x + by)
    elif isinstance(place, OffsetFrom):
        x, y, z = place.offset
        place = replace(place, offset=(x + by, y, z))
    elif isinstance(place, Along) and place.distance is not None:
        place = replace(place, distance=place.distance + by)
    return replace(frame, points={**frame.points, name: place})


def numbers(fitted):
    return {
        (one.part.name, cut.at.name): (cut.onto, cut.round_mm, cut.heights, cut.origin)
        for one in fitted.parts
        for cut in one.cuts
        if cut is not None
    }


edits = st.lists(
    st.one_of(
        st.tuples(st.just("move"), st.sampled_from(sorted(MOTORCYCLE.points)), st.floats(-3, 3)),
        st.tuples(st.just("swap"), st.integers(3, 17), st.just(0.0)),
        st.tuples(st.just("square"), st.integers(3, 17), st.just(0.0)),
        st.tuples(st.just("drop"), st.integers(13, 17), st.just(0.0)),
    ),
    min_size=1,
    max_size=4,
)


def edited(frame, edit):
    kind, which, by = edit
    tubes = list(frame.tubes)
    if kind == "move":
        return moved(frame, which, by)
    index = min(which, len(tubes) - 1)
    if kind == "swap":
        tubes[index - 1 : index + 1] = tubes[index - 1 : index + 1][::-1]
    elif kind == "square":
        tubes[index] = replace(tubes[index], ends=(End("square"), tubes[index].ends[1]))
    elif len(tubes) > 14:
        del tubes[-1]
    return replace(frame, tubes=tuple(tubes))


@examples(15)
@given(edits)
def test_edits_give_what_solving_from_nothing_gives(some):
    frame = MOTORCYCLE
    solve(frame)
    for edit in some:
        frame = edited(frame, edit)
        again = solve(frame)
    forget()
    fresh = solve(frame)
    assert again.findings == fresh.findings
    one, two = numbers(again), numbers(fresh)
    assert one.keys() == two.keys()
    for key, values in one.items():
        assert values[0] == two[key][0]
        for mine, its in zip(values[1:], two[key][1:], strict=True):
            np.testing.assert_array_equal(mine, its)


@pytest.mark.parametrize(
    ("point", "touched"),
    [
        ("peg outer", {"peg boss"}),
        ("tail cross left", {"tail cross"}),
        ("stand low", {"stand stub"}),
    ],
)
def test_what_an_edit_cannot_touch_is_the_very_same_value(point, touched):
    before = {one.part.name: one for one in solve(MOTORCYCLE).parts}
    after = solve(moved(MOTORCYCLE, point, 1.0))
    for one in after.parts:
        same = [mine is its for mine, its in zip(one.cuts, before[one.part.name].cuts, strict=True)]
        if one.part.tube.name in touched:
            assert not all(same)
        else:
            assert all(same), one.part.name
