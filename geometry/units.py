"""Lengths and angles as people write them, and back."""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from geometry.errors import BadText
from geometry.lengths import MM_PER_INCH
from geometry.said import Length, said

_UNITS = {
    "mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH,
    '"': MM_PER_INCH, "''": MM_PER_INCH,
}  # fmt: skip

# British standard wire gauge, BS 3737:1964 (withdrawn), and Birmingham wire gauge, both in inches:
# engineeringtoolbox.com "SWG - Standard Wire Gauge" and "BWG - Birmingham Wire Gauge".
SWG_INCH = {
    8: 0.160, 9: 0.144, 10: 0.128, 11: 0.116, 12: 0.104, 13: 0.092, 14: 0.080,
    15: 0.072, 16: 0.064, 17: 0.056, 18: 0.048, 19: 0.040, 20: 0.036, 22: 0.028,
}  # fmt: skip
BWG_INCH = {
    8: 0.165, 9: 0.148, 10: 0.134, 11: 0.120, 12: 0.109, 13: 0.095, 14: 0.083,
    15: 0.072, 16: 0.065, 17: 0.058, 18: 0.049, 19: 0.042, 20: 0.035, 22: 0.028,
}  # fmt: skip

_NUMBER = r"\d{1,12}(?:[.,]\d{1,18})?|[.,]\d{1,18}"
_VALUE = (
    rf"(?P<sign>[+-]?)\s*(?:(?:(?P<whole>\d{{1,9}})(?:\s*-\s*|\s+))?(?P<top>\d{{1,9}})\s*/\s*(?P<bottom>\d{{1,9}})"
    rf"|(?P<number>{_NUMBER}))\s*"
)
_LENGTH = re.compile(rf"{_VALUE}(?P<unit>[a-z]+|\"|'')?")
_GAUGE = re.compile(r"(?P<number>\d{1,3})\s*(?P<gauge>swg|bwg)")
_ANGLE = re.compile(rf"{_VALUE}(?:°|deg|degrees?)?")
_INCHES = re.compile(r"""\d\s*(in|"|'')""")


def _same(text: str) -> Length:
    """Lengths that are said alike whatever the person reads, with their own decimal sign."""
    return Length(text, text)


_EXAMPLES = said(
    "write it like {examples} or {last}", examples=_same("38.1, 38,1 mm, 1.5in"), last='1-1/2"'
)
_INCH_EXAMPLES = said(
    "write it like {examples} or {last}", examples=_same("1.5, 1-1/2, 1.5in"), last=_same("38.1 mm")
)
"""A number without a unit is inches."""
_A_LENGTH, _A_WALL, _A_TUBE, _AN_ANGLE = (
    said("the length"), said("the wall"), said("the tube"), said("the angle"),
)  # fmt: skip


def _plain(text: str) -> str:
    """Lower case, one kind of minus, quote, dash, space and fraction."""
    spelled = []
    for char in text:
        if unicodedata.decomposition(char).startswith("<fraction>"):
            top, bottom = unicodedata.normalize("NFKC", char).split("\u2044")
            spelled.append(f" {top}/{bottom}")
        else:
            spelled.append(char)
    plain = "".join(spelled).strip().lower()
    for fancy, simple in (
        ("\u2212", "-"), ("\u2013", "-"), ("\u2044", "/"),
        ("\u2033", '"'), ("\u201d", '"'), ("\u201c", '"'), ("\u2019\u2019", '"'), ("\u00a0", " "),
    ):  # fmt: skip
        plain = plain.replace(fancy, simple)
    return plain


def _read(text: str, what: str, default_unit: str | None) -> tuple[float, str]:
    match, typed = _LENGTH.fullmatch(_plain(text)), repr(text.strip())
    examples = _INCH_EXAMPLES if _UNITS.get(default_unit or "mm") == MM_PER_INCH else _EXAMPLES
    if match is None:
        message = said(
            "{what} {typed} is not a length; {examples}", what=what, typed=typed, examples=examples
        )
        raise BadText(message)
    unit = match["unit"] or default_unit or "mm"
    if unit not in _UNITS:
        message = said(
            '{what} {typed} has the unit {unit}; allowed are mm, cm, in and "',
            what=what, typed=typed, unit=repr(unit),
        )  # fmt: skip
        raise BadText(message)
    if match["top"] is not None and match["unit"] is None and _UNITS[unit] != MM_PER_INCH:
        message = said(
            "{what} {typed} is a fraction without a unit; write {fraction}in",
            what=what, typed=typed, fraction=text.strip(),
        )  # fmt: skip
        raise BadText(message)
    value = _value(match)
    if value is None:
        message = said(
            "{what} {typed} divides by zero; {examples}",
            what=what,
            typed=typed,
            examples=examples,
        )
        raise BadText(message)
    return value * _UNITS[unit], unit


def _value(match: re.Match[str]) -> float | None:
    """What was typed; None for a fraction that divides by zero."""
    if match["top"] is None:
        value = float(match["number"].replace(",", "."))
    elif int(match["bottom"]):
        value = float(int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"])))
    else:
        return None
    return -value if match["sign"] == "-" else value


def parse_length(text: str, what: str = _A_LENGTH, *, default_unit: str = "mm") -> float:
    """Read a length.

    Args:
        text: millimetres with dot or comma, or inches as decimals or fractions with ``in`` or ``"``.
        what: what the length is, for the error.
        default_unit: the unit of a number that has none.

    Returns:
        The length in mm; an inch is 25.4 mm exactly.

    Raises:
        BadText: for anything else; the text shows a good one.
    """
    return _read(text, what, default_unit)[0]


def parse_wall(text: str, what: str = _A_WALL, *, default_unit: str = "mm") -> float:
    """Read a wall thickness in mm: a length, or a gauge number such as ``16swg`` or ``16 bwg``.

    Raises:
        BadText: for a gauge number outside the tables, or what is not a length.
    """
    match, typed = _GAUGE.fullmatch(_plain(text)), repr(text.strip())
    if match is None and re.fullmatch(r"\d+\s*(g|ga|gauge|gage)", _plain(text)):
        message = said(
            "{what} {typed} does not say which gauge; write 16swg, 16bwg or a length", what=what, typed=typed
        )  # fmt: skip
        raise BadText(message)
    if match is None:
        return parse_length(text, what, default_unit=default_unit)
    table = SWG_INCH if match["gauge"] == "swg" else BWG_INCH
    number = int(match["number"])
    if number not in table:
        message = said(
            "{what} {typed} is a gauge number outside the table; allowed are {least} to 20 and 22, or a length such as {length}",
            what=what, typed=typed, length=_same("0.063" if _UNITS[default_unit] == MM_PER_INCH else "1.6"), least=min(table),
        )  # fmt: skip
        raise BadText(message)
    return table[number] * MM_PER_INCH


def parse_od_and_wall(
    text: str, what: str = _A_TUBE, *, default_unit: str = "mm"
) -> tuple[float, float]:
    """Read ``OD x wall``, spaces free: ``38.1x1.6``, ``1-1/2" x 16swg``, ``38,1 x 0.063in``.

    Args:
        text: the two sizes; a wall without a unit has the OD's.
        what: what the tube is, for the error.
        default_unit: the unit of an OD without one; where that is inches, one that stands behind both, as in
            ``50x2 mm``, is meant for both.

    Returns:
        Outside diameter and wall in mm.

    Raises:
        BadText: if there are not two sizes, or one cannot be read.
    """
    parts, typed = re.split(r"[x*\u00d7]", _plain(text)), repr(text.strip())
    if len(parts) != 2 or not all(part.strip() for part in parts):
        message = said(
            "{what} {typed} is not OD x wall; write it like 38.1x1.6 or 1-1/2in x 16swg", what=what, typed=typed
        )  # fmt: skip
        raise BadText(message)
    behind = _LENGTH.fullmatch(_plain(parts[1]))
    for_both = behind["unit"] if behind is not None and default_unit != "mm" else None
    own = for_both if for_both in _UNITS else default_unit
    od, unit = _read(parts[0], said("{what} OD", what=what), own)
    wall = parse_wall(parts[1], said("{what} wall", what=what), default_unit=unit)
    if wall > od > 0:
        message = said(
            "{what} {typed} has a wall larger than its OD; the OD comes first, like 38.1x1.6", what=what, typed=typed
        )  # fmt: skip
        raise BadText(message)
    return od, wall


def parse_angle(text: str, what: str = _AN_ANGLE) -> float:
    """Read an angle in degrees, with dot or comma or as a fraction: ``62``, ``62,5``, ``62 1/2``, ``62°``, ``62 deg``.

    Raises:
        BadText: for anything else.
    """
    match = _ANGLE.fullmatch(_plain(text))
    value = _value(match) if match else None
    if value is None:
        message = said(
            "{what} {typed} is not an angle; write it in degrees like 62 or 62.5",
            what=what, typed=repr(text.strip()),
        )  # fmt: skip
        raise BadText(message)
    return value


def typed_in_inches(*texts: str) -> bool:
    """Whether somebody reads inches: some length was typed in them."""
    return any(_INCHES.search(_plain(text)) for text in texts)
