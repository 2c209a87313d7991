"""Text of a spreadsheet or a CSV file as rows of named cells; numbers and names as such cells have them."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Context, Decimal
from typing import Literal

from app.document.table_rows import Cell, Holds, Row, Table, bad_row, clipped
from geometry.errors import BadText
from geometry.names import parse_name
from geometry.said import said
from geometry.tolerances import MAX_COORDINATE_MM

MOST_CHARACTERS, MOST_ROWS = 1_000_000, 5_000
_MOST_IN_CELL, _MOST_COLUMNS = 4_000, 100

Separator = Literal["\t", ";", ","]
SEPARATORS: tuple[Separator, ...] = ("\t", ";", ",")
LENGTHS = ("length", "lengths", "wall", "place")
_NUMBERS = (*LENGTHS, "angle", "share", "normal")

EACH = {"mm": Decimal(1), "cm": Decimal(10), "in": Decimal("25.4")}
"""Millimetres of a unit of length."""
UNITS = {
    "mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in", '"': "in", "''": "in",
    "°": "°", "deg": "°", "degrees": "°", "%": "%",
}  # fmt: skip
_HEADING = re.compile(
    r"(.+?)(?:\s+in)?\s*(?:[\[(/,]\s*|\s)(mm|cm|in|inch|inches|\"|°|deg|degrees|%)\s*[\])]?"
)
_PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:e[+-]?[0-9]{1,3})?")
_MARKED = re.compile(r"([+-]?[0-9]*([.,])[0-9]+)(e[+-]?[0-9]+)?[a-z\"'°%]*", re.IGNORECASE)
_THOUSANDS = re.compile(r"[+-]?([1-9][0-9]{0,2})[.,][0-9]{3}")
_NO_COMMENT = re.compile(r"#(?:[A-ZÄÖÜ/]{2,}0?[!?]|N/A|NV|[0-9]+)")
_LEADING = "#=+-@'\""
"""What a spreadsheet or a reader of CSV would take for more than the first letter of a name."""
_BEGINS = said(
    "it begins with headings, such as point, x mm, y mm, z mm, or with a name and three numbers"
)


def plain(text: str) -> Decimal | None:
    """A number without a unit, as people and spreadsheets write it; None for anything else."""
    simple = text.strip().lower().replace("\u2212", "-").replace("\u2013", "-")
    return Decimal(simple.replace(",", ".")) if _PLAIN.fullmatch(simple) else None


def are_numbers(words: Sequence[str]) -> bool:
    """Three numbers, as a place has them, and no name."""
    return len(words) == 3 and all(plain(word) is not None for word in words)


def number_text(value: float, unit: str = "mm", *, comma: bool = False) -> str:
    """A number that reads back as just this value, with no more digits than that takes.

    Args:
        value: a length in mm, or anything else.
        unit: "in" to write a length in inches.
        comma: with a decimal comma.
    """
    exact = written = Decimal(repr(value))
    for digits in range(15, 30) if unit == "in" else ():
        written = Context(prec=digits).divide(exact, EACH["in"])
        if float(written * EACH["in"]) == value:
            break
    written = written.normalize() if written else Decimal(0)
    text = f"{written:f}" if written.adjusted() > -7 else f"{written:E}"
    if comma:
        # 1,234 is more than a thousand in other countries; 1,2340 is not.
        text = text.replace(".", ",")
        text += "0" * _may_be_thousands(text)
    return text


def name_text(name: str, mark: str = "") -> str:
    """A name as a cell has it: a backslash stands before what would be taken for something else.

    Args:
        name: the name.
        mark: what stands between the names of the cell.
    """
    text = name.replace("\\", "\\\\")
    text = text.replace(mark, f"\\{mark}") if mark else text
    return f"\\{text}" if text.startswith(tuple(_LEADING)) else text


def split_names(text: str, mark: str = "") -> list[str]:
    """The names of a cell without the spaces round them; what stands behind a backslash is of a name."""
    names, chars = [""], iter(text)
    for char in chars:
        if char == mark:
            names.append("")
        else:
            names[-1] += next(chars, char) if char == "\\" else char
    return [name.strip() for name in names]


def write_rows(rows: Sequence[Sequence[str]], separator: Separator) -> str:
    """Rows as text, a line each."""
    text = io.StringIO()
    csv.writer(text, delimiter=separator, lineterminator="\n").writerows(rows)
    return text.getvalue()


def decode(data: bytes) -> str:
    """The text of a CSV file: UTF-8, UTF-16 that begins with its mark, or else Windows' western code page.

    Raises:
        BadText: for a spreadsheet's own file, and what is no text.
    """
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        message = said(
            "the file is a spreadsheet's own; save it as CSV there, or copy its cells and paste them"
        )
        raise BadText(message)
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    for encoding in ("utf-16",) if wide else ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    message = said("the file is no text that can be read; save it as CSV in UTF-8")
    raise BadText(message)


def read_rows(text: str, tables: Sequence[Table], *, inches: bool) -> list[Row]:
    """The rows of one table, or of several, each with its headings.

    Args:
        text: cells with tabs, ";" or "," between them; where it is ",", a decimal comma needs quotes.
        tables: the kinds; a text that begins with a name and three numbers has the first columns of the first.
        inches: lengths of which neither cell nor heading says the unit are inches.

    Raises:
        BadText: for what is no table; one sentence with the row and the column.
    """
    if len(text) > MOST_CHARACTERS:
        message = said(
            "the text has {count} characters; allowed are {most}; give it in parts", count=len(text), most=MOST_CHARACTERS
        )  # fmt: skip
        raise BadText(message)
    text = text.removeprefix("\ufeff")
    separator = _separator(text, tables)
    table, headings = tables[0], tuple[Cell | None, ...]()
    rows: list[Row] = []
    before = -1
    for number, cells in _lines(text, separator):
        kind = _kind(cells, tables, apart=number > before + 1)
        before = number
        if kind is not None:
            table, headings = kind, _headings(cells, kind, number)
            continue
        if not headings and not _is_point(cells):
            words = said("{cell} begins no table; {begins}", cell=clipped(cells[0]), begins=_BEGINS)
            raise bad_row(number, words)
        if not headings:
            headings = _headings([table.first[0], *list(table.columns)[:3]], table, number)
        if len(rows) == MOST_ROWS:
            words = said("allowed are {most} rows; give them in parts", most=MOST_ROWS)
            raise bad_row(number, words)
        rows.append(_row(cells, table, headings, number, separator, "in" if inches else "mm"))
    if not headings:
        message = said("there is no table in the text; {begins}", begins=_BEGINS)
        raise BadText(message)
    _check_marks(rows, separator)
    return rows


def _separator(text: str, tables: Sequence[Table]) -> Separator:
    """What stands between cells: what makes headings or a point of the first row."""
    for separator in SEPARATORS:
        try:
            first = next((cells for _, cells in _lines(text, separator)), [])
        except BadText:
            continue
        if _is_point(first) or _kind(first, tables, apart=True):
            return separator
    return max(SEPARATORS, key=text.count)


def _lines(text: str, separator: Separator) -> Iterator[tuple[int, list[str]]]:
    """The rows that say something: the line each begins in, and its cells."""
    lines = io.StringIO(text, newline="")
    reader = csv.reader(lines, delimiter=separator, skipinitialspace=True, strict=True)
    while True:
        number = reader.line_num + 1
        try:
            cells = [cell.strip() for cell in next(reader)]
        except StopIteration:
            return
        except csv.Error as error:
            words = said(
                "a cell in quotes does not end, or goes on behind them; a quote inside is written twice"
            )
            raise bad_row(number, words) from error
        if max(map(len, cells), default=0) > _MOST_IN_CELL:
            words = said("a cell is too long; allowed are {most} characters", most=_MOST_IN_CELL)
            raise bad_row(number, words)
        if len(cells) > _MOST_COLUMNS and any(cells[_MOST_COLUMNS:]):
            words = said("allowed are {most} columns; give fewer", most=_MOST_COLUMNS)
            raise bad_row(number, words)
        first = cells[0] if cells else ""
        if _NO_COMMENT.fullmatch(first):
            words = said(
                "{cell} is an error, or a name that needs a \\ before its #", cell=repr(first)
            )
            raise bad_row(number, words)
        if any(cells) and not first.startswith("#") and (number > 1 or first.lower() != "sep="):
            yield number, cells


def _is_point(cells: Sequence[str]) -> bool:
    """A name and three numbers, as a table without headings has them."""
    name, *others = (*cells, "")
    while others and not others[-1]:
        others.pop()
    return bool(name) and are_numbers(others)


def _heading(cell: str) -> tuple[str, str | None]:
    """A heading without its unit, and the unit."""
    words = " ".join(cell.casefold().replace("_", " ").split())
    found = _HEADING.fullmatch(words)
    return (found[1], UNITS[found[2]]) if found else (words, None)


def _kind(cells: Sequence[str], tables: Sequence[Table], *, apart: bool) -> Table | None:
    """The kind of table that a row begins; None where it has no headings.

    Args:
        cells: of the row.
        tables: the kinds.
        apart: it is the first, or stands behind a blank row. There a heading that is not known is a mistake;
            elsewhere the row tells about a thing that is called as headings are.
    """
    first, *others = (_heading(cell)[0] for cell in (*cells, ""))
    while others and not others[-1]:
        others.pop()
    numbers = any(plain(one) is not None for one in others)
    for table in tables:
        known = [name in table.columns for name in others]
        begins = first in table.first or (
            first == "name" and not set(others).isdisjoint(table.told_by)
        )
        if begins and any(known) and (all(known) or (apart and not numbers)):
            return table
    return None


def _headings(cells: Sequence[str], table: Table, number: int) -> tuple[Cell | None, ...]:
    """A row of headings, read; None for a blank one."""
    headings: list[Cell | None] = []
    for place, cell in enumerate(cells):
        name, unit = _heading(cell)
        holds: Holds = table.columns.get(name, "name") if place else "name"
        units = EACH if holds in LENGTHS else {"angle": "°", "share": "%"}.get(holds, ())
        wrong, heading = None, clipped(cell)
        if place and name and name not in table.columns:
            allowed = ", ".join((table.first[0], *table.columns))
            wrong = said(
                "column {heading} is not known; allowed are {allowed}", heading=heading, allowed=allowed
            )  # fmt: skip
        elif name and any(one and one.column == name != "note" for one in headings):
            wrong = said("column {heading} is there twice; leave one", heading=heading)
        elif unit and unit not in units:
            wrong = said(
                "column {heading} has cells without the unit {unit}; take it out", heading=heading, unit=unit
            )  # fmt: skip
        if wrong:
            raise bad_row(number, wrong, table)
        column = name if place else table.first[0]
        headings.append(Cell(column, cell, holds, unit) if name else None)
    return tuple(headings)


def _row(
    cells: Sequence[str], table: Table, headings: Sequence[Cell | None], number: int, separator: Separator, usual: str
) -> Row:  # fmt: skip
    """The cells of a row that say something, by column."""
    given: dict[str, Cell] = {}
    for place, text in enumerate(cells):
        heading = headings[place] if place < len(headings) else None
        if text and heading is None:
            words = (
                said(
                    "{cell} stands under no heading; where commas part the cells a decimal comma needs quotes",
                    cell=clipped(text),
                )
                if separator == ","
                else said("{cell} stands under no heading", cell=clipped(text))
            )
            raise bad_row(number, words, table, str(place + 1))
        if text and heading is not None and heading.holds != "note":
            given[heading.column] = replace(heading, text=text)
    row = Row(table, number, "", given, usual)
    first = given.pop(table.first[0], None)
    if first is None:
        raise row.blank(table.first[0], said("each row begins with a name"))
    return replace(row, name=parse_name(split_names(first.text)[0], row.before(first.heading)))


def _may_be_thousands(text: str) -> bool:
    """A number whose mark may part the thousands, and which is then no longer than a frame."""
    found = _THOUSANDS.fullmatch(text)
    return found is not None and int(found[1]) * 1000 <= MAX_COORDINATE_MM


def doubtful_numbers(
    words: Sequence[str], separator: Separator
) -> list[tuple[int, tuple[str, str]]]:
    """Numbers such as 1,234 where nothing tells whether it is a thousand and more, or one and a little.

    Args:
        words: numbers of one text; what is none of one mark is left out.
        separator: what stands between the text's cells.

    Returns:
        Which they are, counted from 0, each with both that it may be.
    """
    sure: set[str] = set()
    found: list[tuple[int, str, str]] = []
    for place, word in enumerate(words):
        one = _MARKED.fullmatch(word)
        if one and _may_be_thousands(one[1]) and not one[3]:
            found.append((place, one[1], one[2]))
        elif one:
            sure.add(one[2])
    marks = sure or {mark for *_, mark in found}
    return [
        (place, (number.replace(mark, ""), f"{number}0"))
        for place, number, mark in found
        if marks != {mark} or not (sure or mark == "." or separator == ";")
    ]


def _check_marks(rows: Sequence[Row], separator: Separator) -> None:
    """Refuse numbers that may be one or another."""
    cells = [
        (row, column, word)
        for row in rows
        for column, cell in row.cells.items()
        if cell.holds in _NUMBERS
        for word in (
            cell.text.split() if cell.holds != "place" or are_numbers(cell.text.split()) else ()
        )
    ]
    for place, (one, other) in doubtful_numbers([word for *_, word in cells], separator):
        row, column, _ = cells[place]
        wrong = said(
            "{cell} may be {one} or {other}; write the one or the other",
            cell=row.shown(column), one=one, other=other,
        )  # fmt: skip
        raise row.bad(column, wrong)
