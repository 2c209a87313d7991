"""What lies under a place of a view: against the solved frame's own solids and plain distances."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.document.frame_file import open_frame
from geometry.edits import put_point
from geometry.fitup import solve
from geometry.path import Straight
from geometry.place import At
from geometry.places import Places
from geometry.snapping import snapped
from templates_out.bend_view import FROM_ABOVE, FROM_FRONT, FROM_RIGHT
from templates_out.frame_scene import scene
from tests.cases import examples

SAMPLE = Path(__file__).parents[2] / "sample_projects" / "single-cylinder" / "single-cylinder.frame"
FRAME = open_frame(SAMPLE)
FITTED = solve(FRAME)
PLACES = Places(FRAME)
POINTS = {name: PLACES.point(name) for name in FRAME.points}
VIEWS = (FROM_RIGHT, FROM_ABOVE, FROM_FRONT)


def seen_from(view, fitted=FITTED, points=POINTS):
    return scene(fitted, points, view)


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name[:10])
def test_a_place_on_a_part_finds_it_or_what_is_in_front_of_it(view):
    """A ray through the place, straight away from the viewer: the first solid that it enters is the part found."""
    whole = seen_from(view)
    sight = np.cross(view.right, view.up)
    straight = 0
    for one in FITTED.parts:
        segment = next(
            s for s in one.part.path.segments if isinstance(s, Straight) and s.length > 1
        )
        at = segment.start + 0.4 * (segment.end - segment.start)
        place = view.flat(at[None])[0]
        start = at + 5000 * sight
        first = {}
        for other in FITTED.parts:
            entered = [
                float(piece.entries(start[None], -sight, 0.0)[0]) for piece in other.part.pieces
            ]
            if np.isfinite(min(entered, default=np.inf)):
                first[other.part.name] = min(entered)
        found = whole.part_at(tuple(place))
        assert found is not None
        nearest = min(first.values())
        if found.name not in first:
            # A little beyond its end still counts.
            ends = found.middle[[0, -1]] - place
            assert np.hypot(ends[:, 0], ends[:, 1]).min() <= found.reach
            continue
        # Where two are as near to within a tube's width, either will do.
        assert first[found.name] < nearest + 45, (one.part.name, found.name)
        straight += found.name == one.part.name
    assert straight > 5


def test_beside_everything_there_is_nothing_and_points_are_found_by_distance():
    whole = seen_from(FROM_RIGHT)
    assert whole.part_at((5000.0, 5000.0)) is None
    name, at = next(iter(whole.points.items()))
    assert at == pytest.approx((POINTS[name][0], POINTS[name][2]))
    found = whole.point_at((at[0] + 2.0, at[1]), 5.0)
    assert (
        np.hypot(whole.points[found][0] - at[0] - 2.0, whole.points[found][1] - at[1]) <= 2.0 + 1e-9
    )
    assert whole.point_at((at[0], at[1] + 9000.0), 5.0) is None


def test_only_what_an_edit_touches_is_drawn_again():
    # Solved here: another test may have dropped what was kept.
    before = {part.name: part for part in seen_from(FROM_RIGHT, solve(FRAME)).parts}
    name = FRAME.tubes[-1].path[0]
    x, y, z = POINTS[name]
    frame = put_point(FRAME, name, At(x + 1.0, y, z))
    after = seen_from(FROM_RIGHT, solve(frame)).parts
    same = [part for part in after if before[part.name].drawing is part.drawing]
    assert 0 < len(same) < len(after)


coordinate = st.floats(-900, 900)


@examples(100)
@given(st.tuples(coordinate, coordinate, coordinate), st.sampled_from(["xz", "xy", "yz"]), st.dictionaries(st.sampled_from("abc"), st.tuples(coordinate, coordinate, coordinate)), st.sampled_from([0.0, 1.0, 5.0]))  # fmt: skip
def test_a_snap_moves_a_point_little_and_never_along_what_is_not_seen(at, shown, others, grid):
    rest = snapped(at, shown, others, 6.0, grid)
    for number, axis in enumerate("xyz"):
        by = abs(rest.at[number] - at[number])
        if axis not in shown:
            assert by == 0.0
        else:
            assert by <= max(6.0, grid / 2) + 1e-9
    assert snapped(rest.at, shown, others, 6.0, grid).at == rest.at


def test_what_holds_a_point_is_said():
    others = {"seat": (10.0, 100.0, 700.0)}
    assert (
        snapped((12.0, 3.0, 400.4), "xy", others, 5.0).words
        == "as far forward as seat, on the centre-plane"
    )
    assert snapped((50.4, 0.0, 698.0), "xz", others, 5.0) == snapped(
        (50.0, 0.0, 700.0), "xz", others, 5.0
    )
    assert snapped((50.4, 0.0, 698.0), "xz", others, 5.0).words == "as high as seat"
    assert snapped((50.4, 77.0, 300.2), "xz", others, 5.0, 0.0).at == (50.4, 77.0, 300.2)
