"""How many bars pieces take: against every way of sawing them, and a published bound."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bars import DRESSED_MM, SAW_MM, bars_for
from geometry.fitup import solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.frame_checks import frame_findings
from geometry.place import At
from geometry.section import BoxSection, RoundTube
from geometry.units import parse_length
from templates_out.cover import DRESSED, SAW
from tests.cases import examples


def fewest(pieces, bar, saw):
    """The least number of bars, by trying all ways: which sets of pieces one bar holds, and the cheapest way to use them up."""
    every = (1 << len(pieces)) - 1

    def one_bar(chosen):
        own = [piece for number, piece in enumerate(pieces) if chosen >> number & 1]
        return sum(own) + saw * (len(own) - 1) <= bar + 1e-9

    @cache
    def least(left):
        if not left:
            return 0
        first, best = left & -left, len(pieces)
        chosen = left
        while chosen:
            if chosen & first and one_bar(chosen):
                best = min(best, 1 + least(left & ~chosen))
            chosen = (chosen - 1) & left
        return best

    return least(every)


@examples(60)
@given(
    st.lists(st.floats(50.0, 6000.0), min_size=1, max_size=7),
    st.sampled_from([0.0, SAW_MM]),
)
def test_never_too_few_and_seldom_more_than_the_fewest(pieces, saw):
    """Dósa 2007: first fit, the longest first, takes at most 11/9 of the fewest and 6/9 of a bar more."""
    least, found = fewest(tuple(pieces), 6000.0, saw), bars_for(pieces, 6000.0, saw)
    assert least <= found <= 11 / 9 * least + 6 / 9


@pytest.mark.parametrize(
    ("pieces", "saw", "bars"),
    [
        ([], 3.0, 0),
        ([6000.0], 3.0, 1),
        # Two halves and the cut between them are more than a bar.
        ([3000.0, 3000.0], 0.0, 1),
        ([3000.0, 3000.0], 3.0, 2),
        # By hand: 4000 + 1900, 3000 + 2900, 2000.
        ([2000.0, 4000.0, 2900.0, 1900.0, 3000.0], 3.0, 3),
        # Longer than a bar: two whole ones, and 500 that another piece shares its bar with.
        ([12500.0, 5000.0], 3.0, 3),
    ],
)
def test_by_hand(pieces, saw, bars):
    assert bars_for(pieces, 6000.0, saw) == bars


@pytest.mark.parametrize("section", [RoundTube(30.0, 2.0), BoxSection(30.0, 30.0, 2.0)])
def test_a_straight_piece_longer_than_its_bar_is_told(section):
    points = {"a": At(0, 0, 0), "b": At(2000, 0, 0)}
    square = (End("square"), End("square"))
    for bar, told in ((2000.0, False), (1999.0, True)):
        frame = Frame(
            "f",
            {"s": Stock(section, bar_length=bar)},
            points,
            (Tube("rail", "s", ("a", "b"), (), square),),
        )
        found = [one for one in frame_findings(solve(frame)) if one.code == "longer-than-bar"]
        assert bool(found) is told
        for one in found:
            assert (one.level, one.where) == ("error", "rail")
            assert one.what == "it takes 2000 mm, 1 mm more than a bar has."


def test_what_the_book_says_is_what_is_reckoned_with():
    """In inches as a rule has it, no farther off than a thirty-second."""
    for words, size in ((SAW, SAW_MM), (DRESSED, DRESSED_MM)):
        assert words == f"{size:g} mm"
        assert parse_length(words.inches, "it") == pytest.approx(size, abs=25.4 / 32)
