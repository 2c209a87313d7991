"""The window's words in the person's language, and numbers as they are written there.

Texts are found by ``pyside6-lupdate`` and put in another language with Qt's own tools; DEVELOPERS.md says how.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QLocale, QTranslator

FOLDER = Path(__file__).parent / "languages"
_POINT = re.compile(r"(?<=\d)\.(?=\d)")


def tr(text: str) -> str:
    """A text in the person's language; itself where nobody has put it into that.

    Args:
        text: a literal, or ``lupdate`` does not find it; with ``{names}`` to be filled in afterwards by ``format``.
    """
    return QCoreApplication.translate("", text)


def counted(count: int, one: str, many: str) -> str:
    """A count with its word, both already in the person's language, such as "{n} sheet" and "{n} sheets"."""
    return (one if count == 1 else many).format(n=count)


def numerals(text: str) -> str:
    """Decimal points as the person's country writes them."""
    point = QLocale().decimalPoint()
    return text if point == "." else _POINT.sub(point, text)


def load_language(application: QCoreApplication, folder: Path = FOLDER) -> QTranslator | None:
    """Put the program into the system's language, where there is a file for it; to be done before any page is loaded."""
    translator = QTranslator(application)
    if not translator.load(QLocale(), "copewright", "_", str(folder)):
        return None
    application.installTranslator(translator)
    return translator


def joined(words: Sequence[str]) -> str:
    """Words as a list in a sentence."""
    *most, last = words
    return tr("{most} and {last}").format(most=", ".join(most), last=last) if most else last
