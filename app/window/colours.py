"""Light or dark: as the system is, or as the person chooses."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from app.document.settings import Colours
from app.window.words import tr

COLOURS: dict[Colours, str] = {
    "system": tr("As the &system"),
    "light": tr("&Light"),
    "dark": tr("&Dark"),
}


def can_be_chosen() -> bool:
    """Whether this Qt can be told; before 6.8 it follows the system alone."""
    return hasattr(QGuiApplication.styleHints(), "setColorScheme")


def colour(chosen: Colours) -> None:
    """Light or dark from now on; where Qt cannot be told, nothing."""
    schemes = {
        "system": Qt.ColorScheme.Unknown,
        "light": Qt.ColorScheme.Light,
        "dark": Qt.ColorScheme.Dark,
    }
    if can_be_chosen():
        QGuiApplication.styleHints().setColorScheme(schemes[chosen])
