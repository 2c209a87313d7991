"""The one typeface of every sheet, and how wide its text is."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

FONT_NAME = "DejaVuSansCondensed"
FONT_FILE = Path(__file__).parent / "fonts" / "DejaVuSansCondensed.ttf"
CAP_HEIGHT = 1493 / 2048
"""Height of the capital H over the font size, from its outline in the font."""


@lru_cache(maxsize=1)
def register_font() -> str:
    """Make the typeface known to the PDF writer; returns its name."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    pdfmetrics.registerFont(TTFont(FONT_NAME, str(FONT_FILE)))
    return FONT_NAME


def text_width(text: str, height: float) -> float:
    """Width of a line of text in mm whose capitals are ``height`` mm high."""
    from reportlab.pdfbase import pdfmetrics

    return float(pdfmetrics.stringWidth(text, register_font(), height / CAP_HEIGHT))


def wrapped(text: str, width: float, height: float) -> list[str]:
    """Text broken at spaces into lines no wider than ``width`` mm; a longer word is split."""
    lines: list[str] = []
    line = ""
    for word in text.split():
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
