"""Where lines enter tubes' pieces, against OpenCascade's own solids and its line intersector."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from geometry.bend_piece import BendPiece
from geometry.path import Arc
from geometry.pieces import BoxPiece, RoundPiece
from tests.cases import examples

pytest.importorskip("OCP", reason="the test extra installs OpenCascade")
from tests.occ import bend, crossings, cylinder, rounded_box

unit = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: math.hypot(*v) > 0.2)
place = st.tuples(*[st.floats(-60, 60)] * 3)


def normalised(v):
    return np.array(v) / np.linalg.norm(v)


def square_to(axis, hint):
    across = np.array(hint) - np.dot(hint, axis) * axis
    assume(np.linalg.norm(across) > 0.1)
    return across / np.linalg.norm(across)


def compare(piece, shape, starts, way):
    starts = np.array(starts)
    entries = piece.entries(starts, way, -1e6)
    low, high = piece.bounds()
    for start, entry in zip(starts, entries, strict=True):
        met = crossings(shape, start, way)
        if len(met) < 2 or met[1] - met[0] < 1e-3:
            continue  # missed, or a line that only just touches an edge
        assert entry == pytest.approx(met[0], abs=1e-6)
        hit = start + entry * way
        assert np.all(hit >= low - 1e-6)
        assert np.all(hit <= high + 1e-6)
    for start, entry in zip(starts, entries, strict=True):
        if math.isinf(entry):
            met = crossings(shape, start, way)
            assert len(met) < 2 or met[-1] - met[0] < 1e-3


lines = st.lists(place, min_size=4, max_size=8)


@examples(60)
@given(unit, unit, unit, st.floats(2, 40), st.floats(1, 120), lines)
def test_round_piece(axis, hint, way, radius, length, starts):
    axis, way = normalised(axis), normalised(way)
    start = np.array([3.0, -4.0, 5.0])
    piece = RoundPiece(start, start + length * axis, radius)
    compare(piece, cylinder(start, axis, radius, length), starts, way)


@examples(40)
@given(
    unit,
    unit,
    unit,
    st.floats(5, 60),
    st.floats(5, 60),
    st.floats(0.02, 0.48),
    st.floats(5, 120),
    lines,
)
def test_box_piece(axis, hint, way, width, height, share, length, starts):
    axis, way = normalised(axis), normalised(way)
    up = square_to(axis, hint)
    corner = share * min(width, height)
    start = np.array([3.0, -4.0, 5.0])
    piece = BoxPiece(start, start + length * axis, up, width, height, corner)
    shape = rounded_box(start, axis, up, width, height, corner, length)
    compare(piece, shape, starts, way)


@examples(80)
@given(unit, unit, unit, st.floats(20, 90), st.floats(0.1, 0.95), st.floats(0.05, 3.1), lines)
def test_bend_piece(normal, hint, way, big, share, angle, starts):
    normal, way = normalised(normal), normalised(way)
    out = square_to(normal, hint)
    arc = Arc(np.array([2.0, 3.0, -4.0]), big, angle, out, np.cross(normal, out))
    piece = BendPiece(arc, share * big)
    compare(piece, bend(arc, share * big), starts, way)


def test_growing_is_all_round_and_leaves_the_ends():
    straight = RoundPiece(np.zeros(3), np.array([0, 0, 100.0]), 10.0).grown(2.0)
    starts = np.array([[-50.0, 0.0, 50.0], [0.0, 0.0, -50.0]])
    assert straight.entries(starts[:1], np.array([1.0, 0, 0]), 0.0) == pytest.approx([38.0])
    assert straight.entries(starts[1:], np.array([0, 0, 1.0]), 0.0) == pytest.approx([50.0])
    box = BoxPiece(np.zeros(3), np.array([0, 0, 100.0]), np.array([0, 1.0, 0]), 40, 20, 3).grown(
        2.0
    )
    assert (box.width, box.height, box.corner) == (44, 24, 5)


def test_the_least_distance_passes_over_what_is_behind():
    """A line that starts inside a straight piece does not enter it; of a ring it enters the far side."""
    straight = RoundPiece(np.zeros(3), np.array([0, 0, 100.0]), 10.0)
    inside = np.array([[0.0, 0.0, 50.0]])
    assert np.isinf(straight.entries(inside, np.array([1.0, 0, 0]), 0.0)).all()
    half_ring = BendPiece(
        Arc(np.zeros(3), 50.0, 3.1, np.array([1.0, 0, 0]), np.array([0, 1.0, 0])), 5.0
    )
    across = np.array([[-80.0, 5.0, 0.0]])
    near, far = (
        half_ring.entries(across, np.array([1.0, 0, 0]), least)[0] for least in (0.0, 40.0)
    )
    assert near == pytest.approx(80 - math.sqrt(55**2 - 25), abs=1e-9)
    assert far == pytest.approx(80 + math.sqrt(45**2 - 25), abs=1e-9)
