"""The findings of an inch frame: no length is left in mm, and none stands without its unit."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from geometry.bend_tool import BendTool, TrialBend
from geometry.frame import End, Frame, Stock, Tube
from geometry.place import At
from geometry.section import RoundTube
from geometry.springback import Trial
from templates_out.cover import cover_contents, schedule_contents
from templates_out.drawing import Text
from templates_out.frame_result import solve_frame
from templates_out.paper import paper

SQUARE = End("square")
STOCK = {"main": Stock(RoundTube(25.4, 1.65)), "thin": Stock(RoundTube(25.4, 0.5))}
POINTS = {
    "a": At(0, 300, 0), "k": At(400, 300, 0), "l": At(400, -300, 0), "b": At(0, -300, 0),
    "p": At(-100, 0, 0), "q": At(600, 0, 0), "r": At(200, 300, 10), "s": At(200, 800, 10), "t": At(0, 300, 0.4),
}  # fmt: skip
HOOP = Tube("hoop", "main", ("a", "k", "l", "b"), (70.0, 70.0), (SQUARE, SQUARE))
RUN = Tube("run", "main", ("p", "q"), (), (SQUARE, SQUARE))
POST = Tube("post", "thin", ("r", "s"), (), (SQUARE, SQUARE))
TOOLS = {
    "other": {"small": BendTool(25.4, 97.1), "large": BendTool(25.4, 152.8)},
    "loose": {
        "die": BendTool(
            25.4, 70.0, trials=(TrialBend(Trial(90.0, 82.0)), TrialBend(Trial(45.0, 41.0)))
        )
    },
}
_FREE = re.compile(
    r"(?:bends?|straights?|points?|path point) [\d, and]*\d|\d+(?:\.\d+)?(?: ?[%°]| diameters)|ISO [\d-]+|under 3\b"
)


def said(**changes):
    frame = Frame("f", STOCK, POINTS, (HOOP, RUN, POST), units="in")
    found = solve_frame(replace(frame, **changes)).findings
    return {one.code: f"{one.what} {one.do}" for one in found}


@pytest.mark.parametrize(
    ("changes", "code", "words"),
    [
        ({}, "nothing-left-on", "0.197 in at its start, 0.197 in at its finish"),
        ({"tools": TOOLS["other"]}, "no-tool", "in tube there are"),
        ({"tools": TOOLS["loose"]}, "radius-off", "in, not 2.756 in. Give these bends a radius of"),
        ({}, "clash", "in into each other near ("),
        ({"tubes": (replace(HOOP, radii=(700.0, 700.0)),)}, "cannot-be-made", "in or less"),
    ],
)
def test_every_length_is_in_inches(changes, code, words):
    found = said(**changes)
    assert words in found[code]
    for code, text in found.items():
        assert " mm" not in text.replace("millimetres", ""), code
        bare = re.sub(r"\([-\d., ]+\)", "", _FREE.sub("", text))
        for number in re.finditer(r"(?<![\w.])\d+(?:\.\d+)?", bare):
            after = bare[number.end() :]
            assert re.match(r"(?: (?:x|to|up to) [\d.]+)* in\b", after), (code, number[0], text)


def test_what_the_cover_and_the_words_say_too():
    def told(units):
        result = solve_frame(Frame("f", STOCK, POINTS, (HOOP, RUN, POST), units=units))
        of = [*cover_contents(result, paper("A4"), []), *schedule_contents(result, paper("A4"))]
        items = [item for one in of for item in one.drawing.items if isinstance(item, Text)]
        return " ".join(item.text for item in items)

    for more, thin in ((" (3/16 in)", " (1/8 in)"), ("", "")):
        words = told("in" if more else "mm")
        for part in (f"some 5 mm{more} longer", f"3 mm{thin} across", f"under 3 mm{thin} needs"):
            assert part in words
