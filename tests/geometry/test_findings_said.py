"""What is said of frames: but for names and numbers nothing of a finding stays English in another language."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from geometry.as_bent import AsBent
from geometry.frame import MITRE_WAYS, End, Frame, Tube, names_of
from geometry.place import At
from geometry.said import Length, Said
from templates_out.frame_result import solve_frame
from tests.frames import EVERYTHING
from tests.geometry.test_as_bent import bench
from tests.geometry.test_hoop_as_bent import hoop
from tests.templates_out.test_findings_in_inches import HOOP, POINTS, POST, RUN, STOCK, TOOLS


def leaves(words: str) -> list[str]:
    """What in words stays as it is, but for lengths."""
    if isinstance(words, Said):
        return [leaf for one in words.parts.values() for leaf in leaves(one)]
    return [] if isinstance(words, Length) else [words]


@pytest.mark.parametrize(
    "frame",
    [
        replace(EVERYTHING, units="mm"),
        replace(EVERYTHING, units="mm", tubes=EVERYTHING.tubes[:-1], points={**EVERYTHING.points, "seat": At(0, 0.4, 700)}),
        hoop(),
        hoop(use=True),
        bench(as_bent=(AsBent("left", (None, 50.0)),)),
        bench(as_bent=(AsBent("right", (30.0, None), (90.0, 40.0, 70.0)),)),
        *(Frame("f", STOCK, POINTS, (HOOP, RUN, POST), tools=some) for some in TOOLS.values()),
    ],
)  # fmt: skip
def test_of_a_finding_only_names_and_numbers_stay_in_another_language(frame):
    names = names_of(frame)
    # The ways of a mitre are said as they stand in the file.
    kept = {*names, *map(repr, (*names, *MITRE_WAYS))}
    found = solve_frame(frame).findings
    assert found
    for one in found:
        for words in (one.where, one.what, one.do):
            stay = [
                leaf
                for leaf in leaves(words)
                if leaf not in kept and re.search("[A-Za-z]{2}", leaf)
            ]
            assert stay == [], (one.code, words)


def parts_of(words: str) -> dict[str, str]:
    """What is filled in anywhere in words, by its English."""
    if not isinstance(words, Said):
        return {}
    return {
        str(one): one for part in words.parts.values() for one in (part, *parts_of(part).values())
    }


def test_where_a_finding_speaks_of_can_be_said():
    """An end and a hand are words; a name that ends in one is the person's own."""
    tubes = (
        Tube("arm", "main", ("a", "k"), handed=True),
        Tube("bar left", "main", ("p", "r")),
    )
    found = solve_frame(Frame("f", STOCK, POINTS, tubes)).findings
    ends = {one.where: one for one in found if one.code == "end-not-cut"}
    hand = parts_of(ends["arm left, start"].where)
    assert {name for name, one in hand.items() if isinstance(one, Said)} == {
        "arm left",
        "left",
        "start",
    }
    own = parts_of(ends["bar left, start"].where)
    assert {name for name, one in own.items() if isinstance(one, Said)} == {"start"}


def test_an_end_s_finding_says_the_hand_of_what_it_names():
    tubes = (
        Tube("arm", "main", ("a", "k"), (), (End("square"), End("square")), handed=True),
        Tube("bar", "main", ("p", "t"), (), (End(onto=("arm left", "arm right")), End("square"))),
    )
    found = solve_frame(Frame("f", STOCK, POINTS, tubes)).findings
    what = next(one.what for one in found if one.code == "end-not-cut")
    assert what.startswith("The end does not reach arm left or arm right; lengthen it")
    assert {"the end", "left", "right"} <= {
        name for name, one in parts_of(what).items() if isinstance(one, Said)
    }
