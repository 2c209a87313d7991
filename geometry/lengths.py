"""Lengths as they are said to people: in mm, and in inches for who reads those."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

from geometry.said import Length, Said

MM_PER_INCH = 25.4
UNIT_WORDS = {"mm": "mm", "in": "inches"}


def format_mm(value: float, decimals: int = 2) -> str:
    """A length in mm for people: at most ``decimals`` places, no needless zeros, never ``-0``."""
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def six_digits(value: float) -> str:
    """A number for people, of about six digits; never as a power of ten."""
    text = f"{value:g}"
    return text if "e" not in text else format_mm(value, 6 if abs(value) < 1 else 0)


def format_fixed(value: float, decimals: int = 2) -> str:
    """A number with just ``decimals`` places, for columns; never ``-0.00``."""
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text


def format_inch(value_mm: float, denominator: int = 64) -> str:
    """A length in inches for people: the nearest fraction, such as ``1-1/2"``.

    Args:
        value_mm: the length in mm.
        denominator: the finest fraction of an inch to round to, a power of two.
    """
    parts = round(abs(value_mm) / MM_PER_INCH * denominator)
    whole, rest = divmod(parts, denominator)
    sign = "-" if value_mm < 0 and parts else ""
    if rest == 0:
        return f'{sign}{whole}"'
    divisor = math.gcd(rest, denominator)
    fraction = f"{rest // divisor}/{denominator // divisor}"
    return f'{sign}{whole}-{fraction}"' if whole else f'{sign}{fraction}"'


def shown_inches(value_mm: float) -> str:
    """Inches without their mark, for a field: a fraction where it is exact to 1/64, else four places."""
    return whole_inches(value_mm) or format_mm(value_mm / MM_PER_INCH, 4)


def whole_inches(value_mm: float) -> str:
    """Inches without their mark, such as ``1-1/2``; "" for a length that is no whole number of sixty-fourths."""
    parts = value_mm / MM_PER_INCH * 64
    return format_inch(value_mm).rstrip('"') if abs(parts - round(parts)) < 1e-6 else ""


_NUMBER = r"-?\d+(?:\.\d+)?"
_PLACE = rf"\({_NUMBER}, {_NUMBER}, {_NUMBER}\)"
_LENGTHS = rf"(?<![\w.]){_NUMBER}(?: (?:x|to|up to) {_NUMBER})* mm\b"


def _read_in_inches(words: str, names: Iterable[str] = ()) -> str:
    """A sentence whose lengths in mm are said in inches, to a thousandth.

    Such as "1.5 mm", "30 x 2 mm", "from 3 up to 20 mm"; and places such as "(0, -20, 1.5)".

    Args:
        words: the sentence.
        names: that may stand in it, and stay as they are though one looks like a length.
    """
    lengths = rf"{_PLACE}|{_LENGTHS}"
    kept = sorted(
        (re.escape(name) for name in names if re.search(lengths, name)), key=len, reverse=True
    )
    pattern = "|".join([*kept, f"(?P<lengths>{lengths})"])

    def inches(found: re.Match[str]) -> str:
        if found["lengths"] is None:
            return found[0]
        said = re.sub(_NUMBER, lambda one: format_mm(float(one[0]) / MM_PER_INCH, 3), found[0])
        return re.sub(" mm$", " in", said)

    return re.sub(pattern, inches, words)


def mm(*values: float, places: int | None = 2, fixed: bool = False) -> Length:
    """A length such as "1.5 mm", or sizes such as "30 x 2 mm"; in inches to a thousandth.

    Args:
        values: the sizes, mm.
        places: at most so many in mm; None for six digits altogether, as a limit is said: its inches are finer than any
            that are typed.
        fixed: just so many places, needless zeros too.
    """
    return Length(
        f"{_sizes(values, places, fixed)} mm", f"{_sizes(_inches(values), _inch_places(places))} in"
    )


def bare(*values: float, places: int | None = 2, fixed: bool = False) -> Length:
    """The same without a unit, where that stands behind another length of the sentence."""
    return Length(_sizes(values, places, fixed), _sizes(_inches(values), _inch_places(places)))


def place(point: Sequence[float], places: int | None = 2) -> Length:
    """A point in space, such as "(0, -20, 1.5)"; ``places`` as in ``mm``."""
    at, inches = (
        ", ".join(_number(value, most) for value in values)
        for values, most in ((point, places), (_inches(point), 3))
    )
    return Length(f"({at})", f"({inches})")


def in_inches(words: str, names: Iterable[str] = ()) -> str:
    """Words whose lengths in mm are said in inches.

    Args:
        words: of ``Said`` the parts that are lengths; of a plain string all that reads as a length.
        names: that may stand in a plain string, and stay as they are though one looks like a length.
    """
    if isinstance(words, Said):
        return words.changed(
            lambda one: Length(one.inches, one.inches) if isinstance(one, Length) else one
        )
    return words.inches if isinstance(words, Length) else _read_in_inches(words, names)


def with_inches(words: str, *, wanted: bool = True) -> str:
    """Words whose lengths in mm have the inches behind them, as "1.5 mm (0.059 in)", for the paper of who reads inches.

    Args:
        words: of a plain string nothing is known, and it stays.
        wanted: or they stay as they are.
    """
    if wanted and isinstance(words, Said):
        return words.changed(with_inches)
    if wanted and isinstance(words, Length):
        inches = words.inches.removesuffix(" in")
        return (
            f"{words} ({inches} in)" if not inches.startswith("(") else f"{words} {inches[:-1]} in)"
        )
    return words


def _sizes(values: Iterable[float], places: int | None, fixed: bool = False) -> str:
    return " x ".join(_number(value, places, fixed) for value in values)


def _number(value: float, places: int | None, fixed: bool = False) -> str:
    if places is None:
        return six_digits(value)
    return format_fixed(value, places) if fixed else format_mm(value, places)


def _inch_places(places: int | None) -> int:
    return 5 if places is None else 3


def _inches(values: Iterable[float]) -> list[float]:
    return [value / MM_PER_INCH for value in values]
