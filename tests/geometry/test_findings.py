"""Which parts a finding speaks of, however they are called."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.findings import Finding

NAMES = [
    "tube",
    "tube 2",
    "tube left",
    "arm",
    "arm left",
    "arm right",
    "arm left, start",
    "rail and seat",
    "seat",
    "a",
    "point",
]


def speaks(where, names=NAMES):
    return Finding("x", "note", where, "", "").speaks_of(names)


@pytest.mark.parametrize(
    ("where", "parts"),
    [
        ("arm left", ["arm left"]),
        ("arm left, finish", ["arm left"]),
        ("arm left, start", ["arm left, start"]),
        ("arm left, start, finish", ["arm left, start"]),
        ("tube 'arm'", ["arm"]),
        ("tube 'arm', start", ["arm"]),
        ("arm left and arm right", ["arm left", "arm right"]),
        ("rail and seat", ["rail and seat"]),
        ("rail and seat and arm", ["rail and seat", "arm"]),
        ("seat, bends 1 and 2", ["seat"]),
        ("armchair, start", []),
        ("the frame", []),
        ("point 'a'", ["a"]),
        ("tube 2, start", ["tube 2"]),
        ("tube 'tube 2'", ["tube 2"]),
        ("tube left and tube 2", ["tube left", "tube 2"]),
    ],
)
def test_it_speaks_of(where, parts):
    assert speaks(where) == parts


@given(
    st.lists(
        st.text("ab ,&'é", min_size=1, max_size=6).map(str.strip).filter(bool),
        min_size=1,
        unique=True,
    ),
    st.data(),
)
def test_a_part_is_found_by_its_own_name(names, data):
    name = data.draw(st.sampled_from(names))
    for where in (name, f"{name}, start", f"tube {name!r}"):
        assert speaks(where, names), where
    assert speaks(name, names)[0] == name
