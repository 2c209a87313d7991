"""The window's words in the person's language, and numbers and lengths as they are written there.

Texts are found by ``pyside6-lupdate`` and put into another language with Qt's own tools; DEVELOPERS.md says how.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QLibraryInfo, QLocale, QTranslator

from geometry.errors import words_of
from geometry.said import Length, Said, capital, listed

FOLDER = Path(__file__).parent / "languages"
_POINT = re.compile(r"(?<=\d)\.(?=\d)")
_WRITTEN_IN = ("en", "C")
_A_NUMBER = re.compile(r"[-+±]?\d+\.\d+(?: ?[°%])?")


class _Unit:
    """Which unit the person reads, as ``QLocale`` has their country."""

    inches = False


_unit = _Unit()


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
    return spoken(listed(words))


def spoken(words: str, *, inches: bool | None = None) -> str:
    """Words of the packages without Qt as the person reads them: in their language, unit and numerals.

    Args:
        words: a plain string, such as a name, stays as it is.
        inches: lengths in inches; None for the unit of the window.
    """
    if isinstance(words, Said):
        own = {name: spoken(part, inches=inches) for name, part in words.parts.items()}
        return str(words.of(own, QCoreApplication.translate("", words.pattern)))
    if isinstance(words, Length):
        return numerals(
            words.inches if (_unit.inches if inches is None else inches) else str(words)
        )
    return numerals(words) if _A_NUMBER.fullmatch(words) else words


def reason(error: Exception, *, inches: bool | None = None) -> str:
    """What an error says, as the person reads it; it begins small and ends open."""
    return spoken(words_of(error), inches=inches)


def sentence(words: str | Exception) -> str:
    """An error, or other words that begin small and end open, as a sentence; a name that it begins with stays as it is."""
    text = reason(words) if isinstance(words, Exception) else spoken(words)
    said = words_of(words) if isinstance(words, Exception) else words
    return f"{text if _begins_with_name(said) else capital(text)}."


def _begins_with_name(words: object) -> bool:
    if not isinstance(words, Said):
        return False
    first = words.pattern.removeprefix("{").partition("}")[0]
    part = words.parts.get(first) if words.pattern.startswith("{") else ""
    return _begins_with_name(part) if isinstance(part, Said) else bool(part)


# Asked thousands of times at each edit; and each question to Qt lets other threads in first.
@lru_cache(maxsize=1)
def decimal_comma() -> bool:
    """The person's country writes a comma for decimals."""
    return QLocale().decimalPoint() == ","


def set_country(locale: QLocale) -> None:
    """Another country than the system's, from now on."""
    QLocale.setDefault(locale)
    decimal_comma.cache_clear()


def speak_inches(on: bool) -> None:
    """Lengths in sentences are said in inches from now on, or no longer."""
    _unit.inches = on


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
