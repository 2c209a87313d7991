"""What a cell of a table says, and how a value is written in one."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from app.document import table_text as sheet
from app.document.table_rows import MOST_IN_NUMBER, Holds, Row
from geometry.frame import END_CUTS, MITRE_WAYS
from geometry.joint import FITS
from geometry.names import parse_name
from geometry.said import said
from geometry.tolerances import COINCIDENT_MM
from geometry.units import parse_length, parse_wall

_NOTHING = "-"
"""A cell that says: none. A blank one says nothing at all."""
_YES, _NO = {"yes", "y", "x", "true", "1", "ja", "wahr"}, {"no", "n", "false", "0", "nein", "falsch", "-"}  # fmt: skip
_WORDS = {"start": END_CUTS, "finish": END_CUTS, "fit": FITS, "way": MITRE_WAYS, "shape": ("round", "box")}  # fmt: skip
_MARKS = {"path": ">", "names": "+", "name": ""}
_OWN_UNIT = re.compile(r"(?<![a-z])(mm|cm|in|inch|inches|\"|'')$")


def cell_text(holds: Holds, value: Any, unit: str, *, comma: bool) -> str:
    """A value as a cell has it.

    Args:
        holds: what the cells of the column hold.
        value: as the frame's file has it.
        unit: "in" to write a length in inches.
        comma: with a decimal comma.
    """
    if holds in ("path", "names"):
        mark = _MARKS[holds]
        return f" {mark} ".join(sheet.name_text(name, mark) for name in value) or _NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, str):
        values = value if isinstance(value, tuple) else (value,)
        return " ".join(sheet.number_text(one, unit, comma=comma) for one in values)
    text = sheet.name_text(value) if holds in ("name", "place") else value
    # A point's name that is three numbers is told from coordinates by its backslash.
    return f"\\{text}" if holds == "place" and sheet.are_numbers(text.split()) else text


def value_of(row: Row, column: str, old: Any) -> Any:
    """What a cell says; the old length where the cell has it as a spreadsheet rounds it.

    Raises:
        BadText: for what cannot be read, with its row and column.
    """
    cell = row.cells[column]
    text, words = cell.text, cell.text.split()
    match cell.holds:
        case "word":
            allowed: Sequence[str] = _WORDS.get(column.split()[-1], (text,))
            if text.lower() not in map(str.lower, allowed):
                wrong = said(
                    "{cell} is not known; allowed are {allowed}",
                    cell=row.shown(column), allowed=", ".join(allowed),
                )  # fmt: skip
                raise row.bad(column, wrong)
            return text if column == "material" else text.lower()
        case "yes":
            if text.lower() not in _YES | _NO:
                wrong = said("{cell} is not known; allowed are yes and no", cell=row.shown(column))
                raise row.bad(column, wrong)
            return text.lower() in _YES
        case "angle" | "share":
            return _number(row, column)
        case "normal":
            if not sheet.are_numbers(words):
                wrong = said(
                    "{cell} is no direction; write three numbers, such as 0 0 1", cell=row.shown(column)
                )  # fmt: skip
                raise row.bad(column, wrong)
            return tuple(float(sheet.plain(word) or 0) for word in words)
        case "length" | "wall":
            return _length(row, column, text, old)
        case "place" if sheet.are_numbers(words):
            olds = old if isinstance(old, tuple) else (None,) * 3
            return tuple(_length(row, column, *pair) for pair in zip(words, olds, strict=True))
        case "lengths":
            joined = re.sub(r"\s+(mm|cm|inches|inch|in)\b", r"\1", text, flags=re.IGNORECASE)
            words = [] if text == _NOTHING else joined.split()
            olds = old if old and len(old) == len(words) else (None,) * len(words)
            return tuple(_length(row, column, *pair) for pair in zip(words, olds, strict=True))
    names = [] if text == _NOTHING else sheet.split_names(text, _MARKS.get(cell.holds, ""))
    where = row.before(column)
    names = [parse_name(name, where) for name in names]
    return tuple(names) if cell.holds in ("path", "names") else names[0] if names else ""


def _length(row: Row, column: str, text: str, old: float | None) -> float:
    """A length in mm. A wall of which nothing says the unit has that of the OD, or of the width."""
    unit = row.cells[column].unit
    beside = row.cells.get("od", row.cells.get("width"))
    if column == "wall" and unit is None and beside is not None:
        own = _OWN_UNIT.search(beside.text.lower())
        unit = sheet.UNITS[own[1]] if own else beside.unit
    unit = unit or row.usual
    value = sheet.plain(text)
    if len(text) > MOST_IN_NUMBER:
        wrong = said(
            "{cell} is no length; allowed are {most} characters", cell=row.shown(column), most=MOST_IN_NUMBER
        )  # fmt: skip
        raise row.bad(column, wrong)
    if value is None:
        read = parse_wall if column == "wall" else parse_length
        return read(text, row.before(column), default_unit=unit)
    new = float(value * sheet.EACH[unit])
    return old if old is not None and abs(new - old) < COINCIDENT_MM else new


def _number(row: Row, column: str) -> float:
    """An angle in degrees, or a share that may be in percent."""
    cell = row.cells[column]
    mark = "%" if cell.holds == "share" else "°|deg|degrees"
    text = cell.text.lower() if len(cell.text) <= MOST_IN_NUMBER else ""
    number, found = re.subn(rf"\s*({mark})$", "", text)
    value = sheet.plain(number)
    if value is None:
        shown = row.shown(column)
        wrong = (
            said("{cell} is no share; write it like 0.5 or 50 %", cell=shown)
            if cell.holds == "share"
            else said("{cell} is no angle; write it like 62 or 62.5", cell=shown)
        )
        raise row.bad(column, wrong)
    return float(value / 100 if mark == "%" and (found or cell.unit == "%") else value)
