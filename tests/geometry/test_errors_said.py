"""What is said of errors can be said in another language: what they are made of, what they quote, what they are about."""

from __future__ import annotations

import ast
import copy
import json
import re

import pytest

from app.document.frame_file import frame_bytes, read_frame
from app.document.tables import read_tables
from geometry.errors import BadFrame, BadPath, BadText, CopewrightError, NoContact
from geometry.frame import End, Frame, Stock, Tube
from geometry.joint import Joint
from geometry.lengths import in_inches
from geometry.place import At, MirrorOf
from geometry.places import Places
from geometry.point_text import read_point
from geometry.said import Said
from geometry.section import RoundTube
from geometry.units import parse_length
from tests.geometry.test_said import ERRORS, ROOT, SOURCES, calls, name_of

# What else the window uses; what only a command says is in the others.
JOBS = [ROOT / "app" / "jobs" / name for name in ("came_back.py", "writing.py")]
WORDS = {
    "check_range": (0,), "parse_name": (1,), "parse_length": (1,), "parse_wall": (1,), "parse_angle": (1,),
    "parse_od_and_wall": (1,), "bad": (1,), "blank": (1,), "bad_row": (1,), "not_there": (0, 1, 3), "check_unique": (1,),
    "_refuse_used": (0,), "_in_row": (1,), "_made": (0,), "_at": (0,),
}  # fmt: skip
"""Which arguments of those that make errors are words."""
PUT_TOGETHER = ("put_together", "listed", "each_and", "each_or")
NAMED = {"what", "where", "words", "why", "whose", "none"}


def error_classes(root: str = "CopewrightError") -> set[str]:
    bases = {
        one.name: {ast.unparse(base) for base in one.bases}
        for folder in ("geometry", "templates_out", "app")
        for path in (ROOT / folder).rglob("*.py")
        for one in ast.walk(ast.parse(path.read_text()))
        if isinstance(one, ast.ClassDef)
    }
    found = {root}
    while more := {name for name, of in bases.items() if of & found} - found:
        found |= more
    return found


def has_words(node: ast.AST) -> bool:
    return any(
        isinstance(one, ast.Constant) and isinstance(one.value, str) and re.search("[A-Za-z]{2}", one.value)
        for one in ast.walk(node)
    )  # fmt: skip


def plain(node: ast.expr | None, *, part: bool = False) -> list[str]:
    """English alone: what of an expression is a sentence that no other language can be put in place of.

    Args:
        node: the expression.
        part: it is filled into a pattern; numbers may be put together there.
    """
    if isinstance(node, ast.IfExp):
        return plain(node.body, part=part) + plain(node.orelse, part=part)
    if isinstance(node, ast.BoolOp):
        return [word for value in node.values for word in plain(value, part=part)]
    if node is None or ast.unparse(node).lstrip("f").startswith(("'--", '"--')):
        # What only a command says.
        return []
    if isinstance(node, ast.JoinedStr):
        literals = [one for one in node.values if isinstance(one, ast.Constant)]
        return [ast.unparse(node)] if not part or any(map(has_words, literals)) else []
    if isinstance(node, ast.BinOp):
        return [ast.unparse(node)] if not part or has_words(node) else []
    if isinstance(node, ast.Constant):
        return [ast.unparse(node)] if has_words(node) else []
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        # " and ".join(words)
        joined = node.func.attr == "join" and has_words(node.func.value)
        return [ast.unparse(node)] if joined else []
    return []


def assigned(tree: ast.AST) -> dict[str, list[ast.expr]]:
    """All that names stand for."""
    found: dict[str, list[ast.expr]] = {}
    for one in ast.walk(tree):
        if isinstance(one, ast.Assign | ast.AnnAssign) and one.value is not None:
            target = one.targets[0] if isinstance(one, ast.Assign) else one.target
            found.setdefault(ast.unparse(target), []).append(one.value)
    return found


def said_of_errors(function: ast.AST) -> set[str]:
    """What a function may call an error of ours that it caught: in English alone. Others have it in ``words``."""
    caught = [
        one.name
        for one in ast.walk(function)
        if isinstance(one, ast.ExceptHandler) and one.name and one.type is not None
        and {name.id for name in ast.walk(one.type) if isinstance(name, ast.Name)} & (ERRORS | {"ValueError"})
    ]  # fmt: skip
    return {words for name in caught for words in (name, f"str({name})", f"f'{{{name}}}'")}


def defaults(function: ast.FunctionDef) -> dict[str, ast.expr | None]:
    """What a function takes for what it is not given, by name."""
    given = function.args
    last = given.args[len(given.args) - len(given.defaults) :]
    pairs = [
        *zip(last, given.defaults, strict=True),
        *zip(given.kwonlyargs, given.kw_defaults, strict=True),
    ]
    return {one.arg: value for one, value in pairs}


def words_in(call: ast.Call) -> list[tuple[ast.expr, bool]]:
    """What of a call is words, and whether it is filled into a pattern."""
    name = name_of(call)
    if name in ERRORS:
        return [(node, False) for node in call.args]
    if name == "said":
        return [(one.value, True) for one in call.keywords if one.arg]
    if name in PUT_TOGETHER:
        inner = [
            node
            for one in call.args
            for node in (one.elts if isinstance(one, ast.List | ast.Tuple) else [one])
        ]
        return [(node, True) for node in inner]  # fmt: skip
    places = WORDS.get(name, ())
    given = [node for number, node in enumerate(call.args) if number in places]
    named = [one.value for one in call.keywords if places and one.arg in NAMED]
    return [(node, False) for node in given + named]


def forgotten(tree: ast.Module) -> list[str]:
    """What is said of the errors of a file in English alone."""
    found = []
    constants = assigned(ast.Module([one for one in tree.body if isinstance(one, ast.Assign)], []))
    for function in ast.walk(tree):
        if not isinstance(function, ast.FunctionDef):
            continue
        for name, default in defaults(function).items():
            found += plain(default) if name in NAMED else []
        names, errors = {**constants, **assigned(function)}, said_of_errors(function)
        for call in calls(function, "said", *PUT_TOGETHER, *ERRORS, *WORDS):
            for node, part in words_in(call):
                meant = names.get(node.id, [node]) if isinstance(node, ast.Name) else [node]
                for one in meant:
                    found += (
                        [ast.unparse(one)] if ast.unparse(one) in errors else plain(one, part=part)
                    )
    return found


def test_all_errors_are_looked_for():
    assert error_classes() == ERRORS


def test_every_error_can_be_said_in_another_language():
    found = {path.name: forgotten(ast.parse(path.read_text())) for path in [*SOURCES, *JOBS]}
    assert {name: some for name, some in found.items() if some} == {}


@pytest.mark.parametrize(
    "line",
    [
        "raise NoStep('it is wrong')",
        "raise BadText(A_CONSTANT)",
        "raise row.bad(column, f'{a} is blank')",
        "return bad_row(3, words=a or 'none yet')",
        "check_range(f'bend {a} radius', 1.0, 0.0, 2.0)",
        "return parse_length(a, 'the place')",
        "raise BadText(said('{what} is wrong', what='the tube'))",
        "raise BadText(said('{what} is wrong', what=f'tube {a!r}'))",
        "raise BadText(said('{what} are wrong', what=' and '.join(a)))",
        "raise BadText(put_together(': ', ('the tube', a)))",
    ],
)
def test_words_of_errors_in_english_alone_are_found(line):
    tree = ast.parse(f"A_CONSTANT = 'it is wrong'\ndef f(a, column, row):\n    {line}")
    assert len(forgotten(tree)) == 1


@pytest.mark.parametrize(
    "line",
    [
        "raise BadText(said('{what} is wrong', what=repr(a)))",
        "raise BadText(said('{angle}° is wrong; allowed are {known}', angle=f'{a:.1f}', known=', '.join(a)))",
        "raise BadText(f'--only {a!r} is no page')",
        "raise row.bad('points', said('it is wrong'))",
        "check_range('x', 1.0, 0.0, 2.0)",
    ],
)
def test_what_stays_as_it_is_is_not(line):
    assert forgotten(ast.parse(f"def f(a, what='--name'):\n    {line}")) == []


def test_an_error_that_is_quoted_in_english_alone_is_found():
    for quoted in ("str(error)", "f'{error}'", "error"):
        tree = ast.parse(
            "def f(what='the tube'):\n    try:\n        g()\n    except (KeyError, BadPath) as error:\n"
            f"        words = {quoted}\n        raise BadPath(said('as bent, {{why}}', why=words)) from error\n"
        )
        assert sorted(forgotten(tree)) == sorted(
            ["'the tube'", ast.unparse(ast.parse(quoted).body[0].value)]
        )


# What is said.

POINTS = {"a": At(0, 0, 0), "b": At(25.4, 0, 0), "c": At(25.4, 0, 508)}
FRAME = Frame(
    "f", {"s": Stock(RoundTube(25.4, 2))}, POINTS, (Tube("rail", "s", ("a", "b", "c"), (50.8,)),)
)


def patterns(words: str) -> list[str]:
    """What a translator gets of words, the outermost first."""
    if not isinstance(words, Said):
        return []
    return [words.pattern, *(pattern for one in words.parts.values() for pattern in patterns(one))]


def test_what_an_error_quotes_can_still_be_said():
    with pytest.raises(BadPath) as caught:
        Places(FRAME).path(FRAME.tube("rail"))
    words = caught.value.words
    assert words == str(caught.value)
    assert in_inches(words) == (
        "tube 'rail': the leg before bend 1 is 1 in, and bend 1 takes up 2 in; make it 1 in longer or the "
        "radius 1 in or less"
    )
    assert patterns(words)[1:] == [
        "{what}; make it {longer} longer or the radius {radius} or less",
        "the leg before bend 1 is {leg}, and bend 1 takes up {need}",
    ]


def test_what_was_typed_stays_as_it_is():
    """And examples are of what a number without a unit is there."""
    for unit, examples in (
        ("in", "1.5, 1-1/2, 1.5in or 38.1 mm"),
        ("mm", '38.1, 38,1 mm, 1.5in or 1-1/2"'),
    ):
        with pytest.raises(BadText) as caught:
            parse_length("12 mm or so", default_unit=unit)
        words = f"the length '12 mm or so' is not a length; write it like {examples}"
        assert in_inches(caught.value.words) == caught.value.words == words


def test_what_an_error_is_about_is_english():
    with pytest.raises(NoContact) as caught:
        Joint(RoundTube(25.4, 2), 50.8, 60.0, 76.2)
    assert {"offset": 1}[caught.value.about] == 1
    assert in_inches(caught.value.words).startswith(
        "the tube misses its target: offset is 3 in; allowed is less than 1.5 in"
    )


def wrong_file(**end: object) -> bytes:
    data = json.loads(frame_bytes(FRAME))
    data["tubes"][0]["ends"][0].update(end)
    return json.dumps(data).encode()


@pytest.mark.parametrize(
    ("end", "words", "own"),
    [
        ({"root_gap": "x"}, "expected `float`, got `str`, at its start.root_gap", "its start"),
        ({"gap": 1}, "object contains unknown field `gap`, at its start; allowed are cut, fit, onto,", "object contains unknown field {key}"),
        ({"root_gap": 50.8}, "start: root gap is 50.8 mm; allowed is from 0 up to 20 mm", "root gap"),
        ({"onto": ["no"]}, "start names the tube 'no', which is not there; there is no tube yet", "there is no tube yet"),
    ],
)  # fmt: skip
def test_a_file_s_error_can_be_said_with_its_place(end, words, own):
    with pytest.raises(CopewrightError) as caught:
        read_frame(wrong_file(**end))
    assert f"tube 'rail'{', ' if words.startswith('start') else ': '}{words}" in caught.value.words
    assert own in patterns(caught.value.words)


def test_bends_of_a_made_part_are_counted_from_one():
    data = json.loads(frame_bytes(FRAME))
    bend = {"straight": 1, "rotation": 0, "angle": 90, "radius": "x"}
    stock = {"shape": "round", "od": 25, "wall": 2}
    made = {"stock": stock, "length": 500, "ends": [None, None], "bends": [bend]}
    data |= {"progress": {"rail": "cut"}, "made": {"rail": made}}
    with pytest.raises(CopewrightError, match=r"made 'rail': .*, at bends\[1\]\.radius"):
        read_frame(json.dumps(data).encode())


def test_a_cell_s_error_can_be_said_with_its_place():
    with pytest.raises(BadText) as caught:
        read_tables("point\tx mm\ty mm\tz mm\nnew\t1\t2\tfar", FRAME)
    words = caught.value.words
    assert words.startswith("row 2, points, column 'z mm': 'far' is not a length")
    assert {"row {number}", "points", "column {column}"} < set(patterns(words))


def test_a_ring_of_points_is_said_one_by_one():
    ring = {f"p{number}": MirrorOf(f"p{(number + 1) % 150}") for number in range(150)}
    with pytest.raises(BadFrame) as caught:
        Places(Frame("f", {}, ring)).point("p0")
    names = " on ".join(f"'p{number}'" for number in [*range(150), 0])
    assert (
        caught.value.words
        == f"points hang on each other in a ring: {names}; give one of them coordinates"
    )
    assert copy.deepcopy(caught.value.words) == caught.value.words


def test_several_places_of_a_height_are_said_in_inches():
    points = {f"p{number}": At(200 * number, 0, 508 * (number % 2)) for number in range(4)}
    frame = Frame(
        "f", FRAME.stock, points, (Tube("zig", "s", tuple(points), (50.8,) * 2, (End(), End())),)
    )
    with pytest.raises(BadText) as caught:
        read_point("on zig at height 10in", frame, "new")
    words = in_inches(caught.value.words)
    assert re.match(
        r"zig is at that height 3 times, [\d.]+ in and [\d.]+ in and [\d.]+ in from its start: height 10 in",
        words,
    )
