"""Sentences of the packages without Qt can be said in another language, and in inches."""

from __future__ import annotations

import ast
import copy
import math
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import BadText, OutOfRange, check_range
from geometry.lengths import bare, in_inches, mm, place
from geometry.said import Said, each_and, each_or, listed, put_together, said, sentence

ROOT = Path(__file__).parents[2]
SOURCES = sorted(
    path for folder in ("geometry", "templates_out", "app/document") for path in (ROOT / folder).glob("*.py")
)  # fmt: skip
ERRORS = {
    "BadText", "OutOfRange", "NoContact", "BadPath", "BadFrame", "CopewrightError", "MeetsNothing", "NoStep", "CannotWrite",
    "CannotPrint", "Stopped",
}  # fmt: skip


def name_of(call: ast.Call) -> str:
    return getattr(call.func, "id", "") or getattr(call.func, "attr", "")


def test_words_are_the_english_ones_and_know_their_parts():
    words = said("{tube} stands off by {gap}", tube="{x} 3 mm", gap=mm(2.54))
    assert words == "{x} 3 mm stands off by 2.54 mm"
    assert words.pattern == "{tube} stands off by {gap}"
    assert in_inches(words) == "{x} 3 mm stands off by 0.1 in"
    assert in_inches(words).pattern == words.pattern


def test_lengths_are_said_in_inches_however_deep_they_stand():
    sizes = said("{sizes} at {at}", sizes=mm(25.4, 1.27), at=place((0.0, -25.4, 12.7)))
    words = listed([sizes, said("from {low} up to {high}", low=bare(0.0), high=mm(50.8)), "c"])
    assert words == "25.4 x 1.27 mm at (0, -25.4, 12.7), from 0 up to 50.8 mm and c"
    assert in_inches(words) == "1 x 0.05 in at (0, -1, 0.5), from 0 up to 2 in and c"
    # A plain string is read, as before.
    assert in_inches(str(words)) == in_inches(words)


def test_words_can_be_copied():
    words = said("{gap} off", gap=mm(2.54))
    again = copy.deepcopy(words)
    assert isinstance(again, Said)
    assert in_inches(again) == "0.1 in off"


def test_nothing_stands_between_two_separators():
    assert put_together(", ", ["a", "", "b"]) == "a, b"
    assert put_together(", ", []) == ""
    assert [listed(some) for some in ([], ["a"], ["a", "b"])] == ["", "a", "a and b"]


def test_an_error_keeps_what_it_said():
    with pytest.raises(OutOfRange) as caught:
        check_range("tube OD", 0.5, 1.0, 254.0)
    words = caught.value.words
    assert words == str(caught.value) == "tube OD is 0.5 mm; allowed is from 1 up to 254 mm"
    assert in_inches(words) == "tube OD is 0.01969 in; allowed is from 0.03938 up to 10 in"
    assert BadText().words == ""


def test_a_limit_in_inches_is_told_from_what_is_typed_just_beside_it():
    with pytest.raises(OutOfRange) as caught:
        check_range("offset", 1.8130 * 25.4, 0.0, 1.81296 * 25.4)
    assert in_inches(caught.value.words) == "offset is 1.813 in; allowed is from 0 up to 1.81296 in"


@given(
    st.floats(0.01, 2000.0),
    st.floats(1.0001, 10.0),
    st.sampled_from([math.floor, math.ceil, round]),
)
def test_limits_in_inches_are_allowed_themselves(low, wide, rounded):
    """What is told as a limit can be typed, and what lies on the other side of it by less than is told is not told alike."""
    high = low * wide
    typed = rounded(low / 25.4 * 1e5) / 1e5 * 25.4
    with pytest.raises(OutOfRange) as caught:
        check_range("size", -1.0, low, high)
    words = in_inches(caught.value.words)
    least, most = map(float, re.search(r"from ([\d.]+) up to ([\d.]+) in$", words).groups())
    if least <= most:
        assert low - 1e-9 <= least * 25.4 <= low + 2.6e-4
        assert high + 1e-9 >= most * 25.4 >= high - 2.6e-4
    if typed < low - 1e-9:
        assert f"{typed / 25.4:.5f}" != f"{least:.5f}"


def test_an_error_becomes_a_sentence_in_any_language():
    error = said("{end} ends {by} before it", end="arm, start", by=mm(25.4))
    words = sentence(error.of({**error.parts, "end": said("the end")}))
    assert words == "The end ends 25.4 mm before it."
    assert copy.deepcopy(in_inches(words)) == "The end ends 1 in before it."
    inner = error.of({"end": said("das Ende"), "by": mm(25.4)}, "vor ihm endet {end} um {by}")
    assert words.of({"words": inner}) == "Vor ihm endet das Ende um 25.4 mm."
    assert sentence("a plain one") == "A plain one."
    assert not isinstance(sentence("a plain one"), Said)


def test_words_are_changed_however_deep_they_stand():
    words = listed([said("{name} is {by} off", name="a", by=mm(1.0)), "b"])
    assert words.changed(lambda one: {"a": "c", "b": "d"}.get(one, one)) == "c is 1 mm off and d"


@pytest.mark.parametrize("count", [0, 1, 2, 3, 1000])
def test_any_number_of_words_are_said_one_by_one(count):
    words = [str(number) for number in range(count)]
    assert each_and(words) == " and ".join(words)
    assert in_inches(each_or(words)) == " or ".join(words)


# What is said in the packages without Qt.


def calls(tree: ast.AST, *names: str) -> list[ast.Call]:
    return [one for one in ast.walk(tree) if isinstance(one, ast.Call) and name_of(one) in names]


def plain(node: ast.expr | None) -> list[str]:
    """English alone: what of an expression is a sentence that no other language can be put in place of."""
    if isinstance(node, ast.IfExp):
        return plain(node.body) + plain(node.orelse)
    if node is not None and ast.unparse(node).lstrip("f").startswith(("'--", '"--')):
        # What only a command says.
        return []
    if isinstance(node, ast.JoinedStr | ast.BinOp):
        return [ast.unparse(node)]
    if isinstance(node, ast.Constant) and re.search("[A-Za-z]{2}", str(node.value)):
        return [ast.unparse(node)]
    return []


def forgotten(tree: ast.Module) -> list[str]:
    """Findings and errors of a file that say a sentence in English alone."""
    found = []
    for function in ast.walk(tree):
        if not isinstance(function, ast.FunctionDef):
            continue
        whole = [node for call in calls(function, *ERRORS) for node in call.args]
        whole += [node for call in calls(function, "Finding") for node in call.args[2:]]
        for node in whole:
            named = [node]
            if isinstance(node, ast.Name):
                named = [
                    one.value
                    for one in ast.walk(function)
                    if isinstance(one, ast.Assign) and ast.unparse(one.targets[0]) == node.id
                ]
            for one in named:
                found += plain(one)
    return found


def test_every_finding_and_error_can_be_said_in_another_language():
    found = {path.name: forgotten(ast.parse(path.read_text())) for path in SOURCES}
    assert {name: some for name, some in found.items() if some} == {}


def test_one_that_cannot_is_found():
    tree = ast.parse(
        "def f(a):\n    text = f'{a} is wrong'\n    raise BadText(text)\n"
        "def g(a):\n    return Finding('c', 'note', said('x'), 'This is so.' if a else said('x'), said('y') + said('x'))\n"
        "def h(a):\n    where = f'{a}, bend {a}'\n    yield Finding('c', 'note', where, said('x'), said('x'))"
    )
    assert forgotten(tree) == [
        "f'{a} is wrong'", "'This is so.'", "said('y') + said('x')", "f'{a}, bend {a}'",
    ]  # fmt: skip


def test_patterns_are_literals_and_their_lengths_are_parts():
    patterns = [
        call.args[0] for path in SOURCES for call in calls(ast.parse(path.read_text()), "said")
    ]
    assert [ast.unparse(one) for one in patterns if not isinstance(one, ast.Constant)] == []
    lengths = re.compile(r"[\d}] ?mm\b|\{[^}]*[^\w}]")
    # What may be typed stays in its own unit.
    example = re.compile(r"\bwrite it like [^;]*")
    assert [one.value for one in patterns if lengths.search(example.sub("", one.value))] == []
