"""Light or dark: as the system is, or as the person chooses."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QSize, Qt
from PySide6.QtGui import QColor, QGuiApplication, QIcon, QPainter, QPalette
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QCheckBox,
    QCommandLinkButton,
    QRadioButton,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionButton,
    QStyleOptionViewItem,
)

from app.document.settings import Colours
from app.window.words import tr

COLOURS: dict[Colours, str] = {
    "system": tr("As the &system"),
    "light": tr("&Light"),
    "dark": tr("&Dark"),
}
_SCHEMES: dict[Colours, Qt.ColorScheme] = {
    "system": Qt.ColorScheme.Unknown,
    "light": Qt.ColorScheme.Light,
    "dark": Qt.ColorScheme.Dark,
}

_BEHIND_BOXES = QColor(200, 200, 200), QColor(160, 160, 160)
"""Qt's own style outlines what is ticked a little darker than the window: in the dark, dark on dark. What it takes for the window
there, in the dark and in the light."""
_LINK, _LINK_IN_THE_DARK = QColor(0, 90, 180), QColor(110, 170, 230)
_ROW_PX = 4
_MIDDLE = 128
"""Of 0 to 255: a ground that is lighter than this is light."""


def colour(chosen: Colours) -> None:
    """Light or dark from now on; where the system has no such thing, in colours of our own."""
    hints = QGuiApplication.styleHints()
    if hasattr(hints, "setColorScheme"):
        # Before 6.8 Qt cannot be told.
        hints.setColorScheme(_SCHEMES[chosen])
    follows = chosen == "system" or hints.colorScheme() == _SCHEMES[chosen]
    if not follows:
        QApplication.setPalette(own_palette(chosen))
        return
    # One without any colour is the system's, whose blue for links may be dark on dark.
    QApplication.setPalette(QPalette())
    dark = QApplication.palette().window().color().lightness() < _MIDDLE
    palette = QPalette()
    palette.setColor(QPalette.ColorRole.Link, _LINK_IN_THE_DARK if dark else _LINK)
    QApplication.setPalette(palette)


def own_palette(chosen: Colours) -> QPalette:
    """As desktops have it."""
    if chosen != "dark":
        palette = QPalette(QColor(239, 239, 239))
        palette.setColor(QPalette.ColorRole.Highlight, QColor(48, 140, 198))
        palette.setColor(QPalette.ColorRole.Link, _LINK)
        return palette
    palette = QPalette(QColor(50, 50, 54), QColor(40, 40, 43))
    palette.setColor(QPalette.ColorRole.Base, QColor(24, 24, 27))
    palette.setColor(QPalette.ColorRole.Highlight, QColor(61, 139, 205))
    palette.setColor(QPalette.ColorRole.Link, _LINK_IN_THE_DARK)
    return palette


def _outline(palette: QPalette) -> None:
    dark = palette.window().color().lightness() < _MIDDLE
    palette.setColor(QPalette.ColorRole.Window, _BEHIND_BOXES[0 if dark else 1])


class _OutlinedTicks(QStyledItemDelegate):
    def initStyleOption(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """The outline is seen on light and dark."""
        super().initStyleOption(option, index)
        _outline(option.palette)

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Rows are high enough that boxes stand apart."""
        return super().sizeHint(option, index) + QSize(0, _ROW_PX)


def outline_ticks(view: QAbstractItemView) -> None:
    """Boxes in a list are seen in the dark too."""
    view.setItemDelegate(_OutlinedTicks(view))


class TickBox(QCheckBox):
    """A box to tick that is seen in the dark too."""

    def initStyleOption(self, option: QStyleOptionButton) -> None:
        """The outline is seen on light and dark."""
        super().initStyleOption(option)
        _outline(option.palette)


class RoundButton(QRadioButton):
    """A choice of several that is seen in the dark too."""

    def initStyleOption(self, option: QStyleOptionButton) -> None:
        """The outline is seen on light and dark."""
        super().initStyleOption(option)
        _outline(option.palette)


def rgb_of(colour: QColor) -> tuple[float, float, float]:
    """Red, green and blue, 0 to 1."""
    return (colour.redF(), colour.greenF(), colour.blueF())


class ChoiceButton(QCommandLinkButton):
    """Its arrow is in the colour of its words; Qt's own is black, on dark ground too."""

    def __init__(self, title: str, words: str) -> None:
        super().__init__(title, words)
        self._paint_arrow()

    def changeEvent(self, event: QEvent) -> None:
        """Light or dark, it is seen."""
        super().changeEvent(event)
        if event.type() in {QEvent.Type.PaletteChange, QEvent.Type.StyleChange}:
            self._paint_arrow()

    def _paint_arrow(self) -> None:
        arrow = self.style().standardPixmap(QStyle.StandardPixmap.SP_CommandLink)
        painter = QPainter(arrow)
        painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceIn)
        painter.fillRect(arrow.rect(), self.palette().buttonText())
        painter.end()
        self.setIcon(QIcon(arrow))
