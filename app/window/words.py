"""The window's words in the person's language, and numbers as they are written there.

Texts are found by ``pyside6-lupdate`` and put into another language with Qt's own tools; DEVELOPERS.md says how.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QLibraryInfo, QLocale, QTranslator

FOLDER = Path(__file__).parent / "languages"
_POINT = re.compile(r"(?<=\d)\.(?=\d)")
_WRITTEN_IN = ("en", "C")


def tr(text: str, meaning: str = "") -> str:
    """A text in the person's language; itself where nobody has put it into that.

    Args:
        text: a literal, or ``lupdate`` does not find it; with ``{names}`` to be filled in afterwards by ``format``.
        meaning: a literal too, for the translator; only where the same text stands for two things.
    """
    return QCoreApplication.translate("", text, meaning or None)


def counted(count: int, one: str, many: str) -> str:
    """A count with its word, both already in the person's language, such as "{n} sheet" and "{n} sheets"."""
    return (one if count == 1 else many).format(n=count)


def joined(words: Sequence[str]) -> str:
    """Words as a list in a sentence; "" for none."""
    if len(words) < 2:
        return "".join(words)
    *most, last = words
    return tr("{most} and {last}").format(most=", ".join(most), last=last)


def sentence(words: object) -> str:
    """An error, or other words that begin small and end open, as a sentence."""
    text = str(words)
    return f"{text[:1].upper()}{text[1:]}."


# Asked thousands of times at each edit; and each question to Qt lets other threads in first.
@lru_cache(maxsize=1)
def decimal_comma() -> bool:
    """The person's country writes a comma for decimals."""
    return QLocale().decimalPoint() == ","


def set_country(locale: QLocale) -> None:
    """Another country than the system's, from now on."""
    QLocale.setDefault(locale)
    decimal_comma.cache_clear()


def numerals(text: str) -> str:
    """Numbers as the person's country writes them: with a comma for the point, where that is its sign.

    Other signs and digits than these two are not shown, as fields could not read them again.
    """
    return _POINT.sub(",", text) if decimal_comma() else text


def load_language(application: QCoreApplication, folder: Path = FOLDER) -> bool:
    """Put the program into the system's language, where there is a file for it; to be done before any page is loaded.

    Args:
        application: that shows it; Qt's own words, such as those of its dialogs, go along.
        folder: has the files, ``copewright_de.qm`` or ``copewright_pt_BR.qm``.

    Returns:
        Whether there was one. A person whose next language is English gets that, not a third one.
    """
    for name in QLocale().uiLanguages():
        language = name.replace("-", "_")
        if language.split("_")[0] in _WRITTEN_IN:
            return False
        # A file's whole name: left to itself the translator would take "pt" for "pt_Latn_BR" before "pt_BR".
        if (folder / f"copewright_{language}.qm").is_file():
            places = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
            _install(application, f"qtbase_{language}", places)
            return _install(application, f"copewright_{language}", str(folder))
    return False


def _install(application: QCoreApplication, file: str, folder: str) -> bool:
    translator = QTranslator(application)
    return translator.load(file, folder) and application.installTranslator(translator)
