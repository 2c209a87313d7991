"""A frame's points, tubes and stock to a spreadsheet and back: as text to be pasted, or of a CSV file."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import msgspec

from app.document import table_text as sheet
from app.document.frame_wire import FORMAT, VERSION, from_model, to_model
from app.document.table_rows import Holds, Row, Table
from app.document.table_text import Separator
from app.document.table_values import cell_text, value_of
from geometry.edits import made_of_tubes
from geometry.errors import BadFrame, BadText, CopewrightError
from geometry.frame import END_NAMES, Frame
from geometry.names import point_words, stock_words, tube_words
from geometry.places import Places
from geometry.said import Said, listed, put_together, said

_Thing: TypeAlias = dict[str, Any]
"""A point, tube or stock as values by column; what is not said is not there."""

_XYZ = ("x", "y", "z")
_END: dict[str, Holds] = {
    "": "word", "onto": "names", "fit": "word", "gap": "length", "extra": "length", "with": "name", "way": "word",
    "through": "place", "normal": "normal", "trim": "length",
}  # fmt: skip
POINTS = Table(said("points"), "point", ("point", "points", "punkt"), {
    "x": "length", "y": "length", "z": "length", "from": "name", "distance": "length", "angle": "angle",
    "on": "name", "share": "share", "mirror": "name", "note": "note",
}, ("x", "y", "z"))  # fmt: skip
TUBES = Table(said("tubes"), "tube", ("tube", "tubes", "rohr"), {
    "stock": "name", "points": "path", "radii": "lengths", "handed": "yes", "roll": "angle",
    **{f"{end} {fact}".strip(): holds for end in END_NAMES for fact, holds in _END.items()}, "note": "note",
}, ("points", "radii"))  # fmt: skip
STOCK = Table(said("stock"), "stock", ("stock",), {
    "shape": "word", "od": "length", "width": "length", "height": "length", "wall": "wall",
    "corner radius": "length", "material": "word", "bar length": "length", "note": "note",
}, ("od", "wall", "width"))  # fmt: skip
_RARE = re.compile(r"width|height|corner radius|roll|.* (fit|with|way|through|normal|trim)")
_USUAL = {"", "0", "filed", "both"}
"""Columns that are left out where each of their cells is one of these."""
_WAYS = [
    {*_XYZ}, {"from", *_XYZ}, {"from", "distance", "angle"}, {"on", "share"}, {"on", "distance"}, {"mirror"},
]  # fmt: skip
_WAYS_WORDS = said(
    "a point has x, y and z, or from with x, y and z or with distance and angle, or on with share or distance, or mirror"
)
_NAMED = {"points": point_words, "tubes": tube_words, "stock": stock_words}


def points_text(
    frame: Frame, names: Iterable[str] | None = None, *, decimal_comma: bool = False, separator: Separator = "\t"
) -> str:  # fmt: skip
    """Points as a table, in the frame's unit; each number reads back as just itself.

    Args:
        frame: whose points they are.
        names: of those that are wanted, in this order; all if None.
        decimal_comma: for a spreadsheet that has it.
        separator: of the cells; a tab to paste them.

    Raises:
        BadText: for a name that is not there.
    """
    return _text(POINTS, _things(frame)[0], names, frame.units, separator, comma=decimal_comma)


def tubes_text(
    frame: Frame, names: Iterable[str] | None = None, *, decimal_comma: bool = False, separator: Separator = "\t"
) -> str:  # fmt: skip
    """Tubes as a table, all but what they measure as bent; otherwise as ``points_text``."""
    return _text(TUBES, _things(frame)[1], names, frame.units, separator, comma=decimal_comma)


def stock_text(
    frame: Frame, names: Iterable[str] | None = None, *, decimal_comma: bool = False, separator: Separator = "\t"
) -> str:  # fmt: skip
    """Stock as a table; otherwise as ``points_text``."""
    return _text(STOCK, _things(frame)[2], names, frame.units, separator, comma=decimal_comma)


@dataclass(frozen=True)
class Taken:
    """What came of a text: the frame with it, and in words what is new or changed."""

    frame: Frame
    words: str


def read_tables(text: str, frame: Frame, *, inches: bool | None = None) -> Taken:
    """Put the points, tubes and stock of pasted or CSV text into a frame.

    A thing that is there is changed, as far as its row says something; new ones come last, in the text's order;
    nothing is taken out. A table begins with its headings: ``point``, ``tube`` or ``stock`` and any of the columns
    that are written, with the unit of lengths as in ``x mm``; rows of a name and three numbers without headings are
    points. A blank cell says nothing, "-" says none; behind a backslash any character is a part of a name. An end
    that is cut another way keeps what its new cut has too. What a tube measures as bent is in no table, and stays.

    Args:
        text: cells with tabs, ";" or "," between them, several tables one after the other.
        frame: to put them into.
        inches: lengths of which neither cell nor heading says the unit are inches; as the frame's if None.

    Raises:
        BadText: for what is wrong, with its row and column; then nothing at all is taken.
    """
    inches = frame.units == "in" if inches is None else inches
    rows = sheet.read_rows(text, (POINTS, TUBES, STOCK), inches=inches)
    things = dict(zip(_MERGED, _things(frame), strict=True))
    seen: dict[tuple[str, str], Row] = {}
    counts: Counter[tuple[str, str]] = Counter()
    for row in rows:
        other = seen.setdefault((row.table.name, row.name), row)
        if other is not row:
            words = said(
                "{name} is in row {number} too; leave one of them", name=repr(row.name), number=other.number
            )  # fmt: skip
            raise BadText(put_together(": ", (row.where(), words)))
        there = things[row.table.name]
        old = there.get(row.name, {})
        given = {column: value_of(row, column, old.get(column)) for column in row.cells}
        there[row.name] = new = _MERGED[row.table.name](row, old, given)
        counts[row.table.name, "changed" if old else "new"] += new != old
    try:
        made = _with_things(frame, *things.values())
    except CopewrightError as error:
        raise _in_row(rows, error.words) from error
    _refuse_lost(frame, made, {row.name: row for row in rows if row.table is POINTS})
    return Taken(made, _words(counts))


def _things(frame: Frame) -> tuple[dict[str, _Thing], dict[str, _Thing], dict[str, _Thing]]:
    """Points, tubes and stock by name, as their columns have them."""
    wire = msgspec.to_builtins(from_model(frame))
    points = {}
    for name, one in wire["points"].items():
        there = one if isinstance(one, dict) else {"offset": one}
        points[name] = {key: value for key, value in there.items() if value is not None}
        points[name] |= zip(_XYZ, points[name].pop("offset", ()), strict=False)
    tubes = {}
    for one in wire["tubes"]:
        tube = {**one, "points": one["path"]}
        for name, end, trim in zip(END_NAMES, one["ends"], one["trim"], strict=True):
            facts = {**end, "": end["cut"], "gap": end["root_gap"], "trim": trim, **(end["plane"] or {})}  # fmt: skip
            tube |= {f"{name} {fact}".strip(): facts[fact] for fact in _END if fact in facts}
        tubes[one["name"]] = tube
    stock = {
        name: {column.replace("_", " "): value for column, value in one.items()}
        for name, one in wire["stock"].items()
    }
    return points, tubes, stock


def _with_things(
    frame: Frame, points: Mapping[str, _Thing], tubes: Mapping[str, _Thing], stock: Mapping[str, _Thing]
) -> Frame:  # fmt: skip
    """The frame with these for its own."""
    wire: dict[str, Any] = {"points": {}, "tubes": []}
    for name, point in points.items():
        at = [point[axis] for axis in _XYZ if axis in point]
        rest = {column: value for column, value in point.items() if column not in _XYZ}
        wire["points"][name] = {**rest, **({"offset": at} if at else {})} if rest else at
    for name, tube in tubes.items():
        ends = []
        for end in END_NAMES:
            columns = {fact: f"{end} {fact}".strip() for fact in _END}
            facts = {fact: tube[column] for fact, column in columns.items() if column in tube}
            plane = {key: facts.pop(key) for key in ("through", "normal") if key in facts}
            facts |= {"cut": facts.pop("", "cope"), "root_gap": facts.pop("gap", 0.0), "plane": plane or None}  # fmt: skip
            facts.pop("trim", None)
            ends.append(facts)
        keys = ("stock", "radii", "handed", "roll", "as_bent")
        rest = {key: tube[key] for key in keys if key in tube} | {"path": tube["points"]}
        trim = [tube.get(f"{end} trim", 0.0) for end in END_NAMES]
        wire["tubes"].append({"name": name, **rest, "ends": ends, "trim": trim})
    wire["stock"] = {
        name: {column.replace(" ", "_"): value for column, value in one.items()}
        for name, one in stock.items()
    }
    made = to_model({"format": FORMAT, "version": VERSION, "name": frame.name, **wire})
    progress, steel = made_of_tubes(frame, made.tubes)
    return replace(
        frame, points=made.points, tubes=made.tubes, stock=made.stock, progress=progress, made=steel
    )


def _text(
    table: Table, things: Mapping[str, _Thing], names: Iterable[str] | None, unit: str, separator: Separator,
    *, comma: bool,
) -> str:  # fmt: skip
    """A table with its headings; columns that no row needs are left out."""
    wanted = list(things if names is None else names)
    for name in wanted:
        if name not in things:
            message = said("there is no {what}", what=_NAMED[table.name](name))
            raise BadText(message)
    columns = {table.first[0]: [sheet.name_text(name) for name in wanted]}
    for column, holds in table.columns.items():
        each = unit if holds in sheet.LENGTHS else ""
        cells = [
            cell_text(holds, things[name].get(column, ""), each, comma=comma) for name in wanted
        ]
        usual = {""} if holds in ("name", "place") else _USUAL
        if holds != "note" and not (_RARE.fullmatch(column) and usual.issuperset(cells)):
            columns[f"{column} {'°' if holds == 'angle' else each}".strip()] = cells
    return sheet.write_rows(
        [list(columns), *map(list, zip(*columns.values(), strict=True))], separator
    )


def _point(row: Row, old: _Thing, given: _Thing) -> _Thing:
    """A point with what is given: on what it is said to hang on, else on what it hung on."""
    hangs, xyz = {"from", "on", "mirror"}, set(_XYZ)
    if hangs & set(given):
        old = old if hangs & set(given) & set(old) else {}
    elif given and xyz.issuperset(given) and hangs & set(old):
        if len(given) < len(xyz):
            why = said("a point that hung on something needs x, y and z")
            raise row.blank(min(xyz - set(given)), why)
        old = {}
    # One way of saying where it is takes the place of the other.
    for ways in ({"share"}, {"distance"}), ({"distance", "angle"}, xyz):
        for one, other in (ways, ways[::-1]):
            old = _without(old, other if one & set(given) else ())
    new = {**old, **given}
    if set(new) not in _WAYS:
        missing = [way - set(new) for way in _WAYS if way > set(new)]
        if missing:
            raise row.blank(min(missing[0]), _WAYS_WORDS)
        last = list(given)[-1]
        words = said(
            "{cell} does not go with the others; {ways}", cell=row.shown(last), ways=_WAYS_WORDS
        )
        raise row.bad(last, words)
    return new


def _tube(row: Row, old: _Thing, given: _Thing) -> _Thing:
    """A tube with what is given; of an end that is cut another way stays what the new cut has too."""
    kept = {"radii": (), **old}
    for end in END_NAMES:
        cut = given.get(end, old.get(end))
        if old and cut != old[end]:
            facts = ("extra", "trim", "gap") if cut in ("cope", "mitre") else ("extra", "trim")
            kept = _without(kept, [f"{end} {one}".strip() for one in _END if one not in facts])
        if cut == "plane":
            kept = {f"{end} through": (0.0, 0.0, 0.0), **kept}
    new = {**kept, **given}
    _need(row, new, "stock", "points")
    if old.get("as_bent") and len(new["points"]) != len(old["points"]):
        words = said(
            "{cell} has not the bends of what came from the bender; take its measures out first",
            cell=row.shown("points"),
        )
        raise row.bad(column="points", words=words)
    if len(new["points"]) == 2:
        straight = {"radii": (), **{f"{end} trim": 0.0 for end in END_NAMES}}
        new = {**kept, **straight, **given}
    return new


def _stock(row: Row, old: _Thing, given: _Thing) -> _Thing:
    """A stock with what is given; its shape is told by its sizes where nothing says it."""
    shape = str(given.get("shape") or old.get("shape") or ("box" if "width" in given else "round"))
    others = ("width", "height", "corner radius") if shape == "round" else ("od",)
    new = {**_without(old, others), "shape": shape, **given}
    _need(row, new, "wall", *(("od",) if shape == "round" else ("width", "height")))
    return new


_MERGED: dict[str, Callable[[Row, _Thing, _Thing], _Thing]] = {
    "points": _point, "tubes": _tube, "stock": _stock,
}  # fmt: skip


def _need(row: Row, thing: _Thing, *columns: str) -> None:
    for column in columns:
        if thing.get(column) in (None, "", ()):
            raise row.blank(column, said("what is new needs it"))


def _without(thing: _Thing, columns: Iterable[str]) -> _Thing:
    return {column: value for column, value in thing.items() if column not in columns}


def _words(counts: Mapping[tuple[str, str], int]) -> Said:
    """What was taken, such as "3 points and 2 tubes new, 1 tube changed"."""

    def things(what: str) -> str:
        points, tubes, stock = (counts.get((one.name, what), 0) for one in (POINTS, TUBES, STOCK))
        some = [
            said("1 point") if points == 1 else said("{count} points", count=points),
            said("1 tube") if tubes == 1 else said("{count} tubes", count=tubes),
            said("{count} stock", count=stock),
        ]
        return listed(
            [one for one, count in zip(some, (points, tubes, stock), strict=True) if count]
        )

    new, changed = things("new"), things("changed")
    words = [
        said("{things} new", things=new) if new else "",
        said("{things} changed", things=changed) if changed else "",
    ]
    return put_together(", ", words) if any(words) else said("nothing new, nothing changed")


def _in_row(rows: Sequence[Row], words: str) -> BadText:
    """What the frame says is wrong, with the row of the thing that it begins with."""
    for row in rows:
        if words.startswith(tuple(f"{row.table.item} {row.name!r}{after}" for after in " ,:")):
            return BadText(put_together(": ", (row.where(), words)))
    return BadText(words)


def _refuse_lost(before: Frame, after: Frame, rows: Mapping[str, Row]) -> None:
    """Refuse points that now are nowhere: in a ring that hangs on itself, or beyond the end of their tube."""
    old, new = Places(before), Places(after)
    # The last first, as deep as they hang.
    for name in reversed((*after.points, *rows)):
        words = _lost(new, name)
        if words and not (name in before.points and _lost(old, name)):
            where = rows[name].where() if name in rows else ""
            raise BadText(put_together(": ", (where, words)))


def _lost(places: Places, name: str) -> str:
    try:
        places.point(name)
    except CopewrightError as error:
        # A tube that cannot be bent is a finding; what is on it stays where it was set out.
        return error.words if isinstance(error, BadFrame) else ""
    return ""
