"""The typeface of every sheet, a second one for letters that it lacks, and how wide text is."""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import Any

_FOLDER = Path(__file__).parent / "fonts"
FONT_NAME = "DejaVuSansCondensed"
SPARE_NAME = "DroidSansFallback"
"""Chinese, Japanese and Korean; loaded when a text first needs it."""

FONT_FILE = _FOLDER / f"{FONT_NAME}.ttf"

CAP_HEIGHT = 1493 / 2048
"""Height of the capital H over the font size, from its outline in the font."""


@lru_cache(maxsize=2)
def _font(name: str) -> Any:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    font = TTFont(name, str(_FOLDER / f"{name}.ttf"))
    pdfmetrics.registerFont(font)
    return font


def register_font() -> str:
    """Make the typeface known to the PDF writer; returns its name."""
    _font(FONT_NAME)
    return FONT_NAME


def runs(text: str) -> list[tuple[str, str]]:
    """Text in pieces, each with the name of the font that has its letters.

    A letter that neither font has becomes "?", so that it is missed on paper and not passed over.
    """
    known = _font(FONT_NAME).face.charToGlyph
    if all(ord(char) in known for char in text):
        return [(FONT_NAME, text)]
    spare = _font(SPARE_NAME).face.charToGlyph

    def font_of(char: str) -> str:
        return FONT_NAME if ord(char) in known or ord(char) not in spare else SPARE_NAME

    shown = (char if ord(char) in known or ord(char) in spare else "?" for char in text)
    return [(name, "".join(piece)) for name, piece in groupby(shown, font_of)]


_WIDTHS: dict[str, float] = {}
"""Of each letter met so far, over the height of a capital; the typefaces are set without kerning."""


def text_width(text: str, height: float) -> float:
    """Width of a line of text in mm whose capitals are ``height`` mm high."""
    widths = _WIDTHS
    try:
        return sum([widths[char] for char in text]) * height
    except KeyError:
        for char in text:
            if char not in widths:
                ((name, shown),) = runs(char)
                widths[char] = float(_font(name).stringWidth(shown, 1 / CAP_HEIGHT))
        return sum([widths[char] for char in text]) * height


_UNITS = {"mm", "in", "m", "kg", "°"}
_BEFORE_SIZES = (" x", "offset", "extra")


def shortened(text: str, width: float, height: float) -> str:
    """The text, its end cut off where it is wider than ``width`` mm."""
    if text_width(text, height) <= width:
        return text
    while text and text_width(f"{text}…", height) > width:
        text = text[:-1].rstrip()
    return f"{text}…"


def wrapped(text: str, width: float, height: float) -> list[str]:
    """Text broken at spaces into lines no wider than ``width`` mm; a unit stays with its number, a longer word is split."""
    lines: list[str] = []
    line = ""
    for word in _words(text):
        trial = f"{line} {word}" if line else word
        if text_width(trial, height) <= width:
            line = trial
            continue
        if line:
            lines.append(line)
        line = word
        while text_width(line, height) > width and len(line) > 1:
            cut = len(line) - 1
            while cut > 1 and text_width(line[:cut], height) > width:
                cut -= 1
            lines.append(line[:cut])
            line = line[cut:]
    return [*lines, line] if line else lines


def _words(text: str) -> list[str]:
    """What is not broken: words, numbers with their units, and sizes such as "22 x 2" or "offset 0"."""
    words: list[str] = []
    for word in text.split():
        unit = word.rstrip(".,;:)") in _UNITS and bool(words) and words[-1][-1].isdigit()
        size = bool(words) and words[-1].endswith(_BEFORE_SIZES) and word[0].isdigit()
        if unit or size or (word == "x" and bool(words) and words[-1][-1].isdigit()):
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words
