"""How lengths, places, hands and steps are shown in what the window has of a frame."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from app.window.words import decimal_comma, numerals, tr
from geometry.fitup import Fitted
from geometry.joint import Fit
from geometry.lengths import format_mm, shown_inches, whole_inches
from geometry.path import Point

_MOST_WORDS = 60

STEP_WORDS: Mapping[str, str] = {
    "cut": tr("cut"),
    "fitted": tr("fitted"),
    "tacked": tr("tacked"),
    "welded": tr("welded"),
}
"""How far a part is made."""
FIT_WORDS: Mapping[Fit, str] = {
    "filed": tr("filed: dressed to seat all through the wall"),
    "square-cut": tr("square-cut: straight through, not dressed"),
}
HAND_WORDS: Mapping[str, str] = {"left": tr("left"), "right": tr("right")}
USE_TIP = tr("Cut it, and what sits on it, for what it measures; its drawing stays as it was")
"""Of using a tube as it came from the bender."""
MATERIAL_WORDS: Mapping[str, str] = {
    "E235": tr("plain mild steel"),
    "E355": tr("stronger mild steel"),
    "S235": tr("structural steel"),
    "DOM1020": tr("drawn mild steel"),
    "4130": tr("chrome-moly steel"),
    "T45": tr("high-tensile steel"),
    "304": tr("stainless steel"),
    "6082-T6": tr("aluminium"),
}
"""What the names of materials mean."""
_TYPED_DECIMALS = 6
"""Finer than anything that is measured, and coarser than the dust of a calculation: 0.1 + 0.2 is 0.3."""


def length_shown(value: float, *, inches: bool) -> str:
    """A length in mm or inches, without its unit."""
    return numerals(shown_inches(value) if inches else format_mm(value))


def in_a_row(words: Iterable[str]) -> str:
    """Values one after another: a comma that is a decimal sign does not part them as well."""
    return ("; " if decimal_comma() else ", ").join(words)


def place_shown(at: Point, *, inches: bool = False) -> str:
    """Coordinates, each with its axis."""
    return in_a_row(
        f"{axis} {length_shown(value, inches=inches)}"
        for axis, value in zip("xyz", at, strict=True)
    )


def typed(values: Iterable[float], *, inches: bool) -> str:
    """Lengths as a person would type them here, to be read back by ``geometry.point_text``.

    Args:
        values: mm; what is finer than a millionth of the unit is dust and left away.
        inches: a number without a unit is inches: fractions to a sixty-fourth; what is none stays in mm, to be read back exactly.
    """

    def write(value: float) -> str:
        words = numerals(format_mm(value, _TYPED_DECIMALS))
        return (whole_inches(value) or f"{words} mm") if inches else words

    return in_a_row(map(write, values))


def made_words(fitted: Fitted) -> dict[str, str]:
    """What each part is called in a view: its name, and how far it is made."""
    progress = fitted.frame.progress
    words = {}
    for one in fitted.parts:
        name = one.part.name
        shown = name if len(name) <= _MOST_WORDS else f"{name[:_MOST_WORDS]}…"
        words[name] = f"{shown}: {STEP_WORDS[progress[name]]}" if name in progress else shown
    return words
