"""Light or dark: chosen in the menu, seen at once, and as it was left the next time."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import (
    QApplication,
    QListWidget,
    QListWidgetItem,
    QMainWindow,
)

from app.document.settings import load_window
from app.window.colours import ChoiceButton, RoundButton, TickBox, colour, outline_ticks
from app.window.sheets_view import SheetsView
from geometry.joint import Joint
from geometry.section import RoundTube
from templates_out.joint_papers import joint_sheets
from templates_out.joint_result import solve_joint
from templates_out.paper import paper
from tests.app.window.space_seen import pixels


@pytest.fixture(autouse=True)
def as_before():
    yield
    colour("system")


def chosen(window, words):
    (action,) = (
        one for one in window.findChildren(type(window.menus.inches)) if one.text() == words
    )
    action.trigger()
    return action


def shade(window):
    """How light the window's paper is, 0 to 255, as it is painted."""
    field = window.page("Joint").fields["angle"].edit
    return field.grab().toImage().pixelColor(field.width() - 8, field.height() // 2).lightness()


def test_it_is_chosen_seen_and_kept(qtbot, open_window):
    window = open_window("Joint")
    before = QApplication.palette()
    assert shade(window) > 200
    dark = chosen(window, "&Dark")
    assert dark.isChecked()
    qtbot.waitUntil(lambda: shade(window) < 60)
    assert QApplication.palette().text().color().lightness() > 200
    window.session.keep_now()
    assert load_window().colours == "dark"
    chosen(window, "&Light")
    qtbot.waitUntil(lambda: shade(window) > 200)
    assert QApplication.palette().text().color().lightness() < 60
    chosen(window, "As the &system")
    assert QApplication.palette().window() == before.window()
    window.session.keep_now()
    assert load_window().colours == "system"
    assert not dark.isChecked()


def test_the_next_window_is_as_the_last_was(qtbot, open_window):
    window = open_window("Joint")
    chosen(window, "&Dark")
    window.session.keep_now()
    colour("system")
    again = open_window("Joint")
    qtbot.waitUntil(lambda: shade(again) < 60)


def contrast(one, other):
    """Of two colours, 1 to 21, as WCAG 2.2 has it (relative luminance)."""

    def luminance(rgb):
        parts = np.array(rgb) / 255
        linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
        return float(linear @ [0.2126, 0.7152, 0.0722])

    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_a_box_without_a_tick_is_seen(qtbot):
    """WCAG 2.2, 1.4.11: what marks a control stands out from what is beside it by 3 to 1."""
    window = QMainWindow()
    qtbot.addWidget(window)
    view = QListWidget()
    window.setCentralWidget(view)
    outline_ticks(view)
    item = QListWidgetItem("", view)
    window.show()

    def ground():
        return view.grab().toImage().pixelColor(view.rect().center()).lightness()

    for chosen_colours in ("dark", "light", "dark"):
        colour(chosen_colours)
        dark = chosen_colours == "dark"
        # It follows at once, whatever was shown before.
        qtbot.waitUntil(lambda dark=dark: (ground() < 128) is dark)
        item.setCheckState(Qt.CheckState.Checked)
        ticked = pixels(view.grab().toImage())
        item.setCheckState(Qt.CheckState.Unchecked)
        shown = pixels(view.grab().toImage())
        base = shown[view.height() // 2, view.width() // 2]
        box = shown[:24, :28].reshape(-1, 3)
        assert max(contrast(one, base) for one in np.unique(box, axis=0)) >= 3.0, chosen_colours
        assert np.any(ticked != shown)


def in_each_colour(qtbot, widget, column):
    """A widget as it is painted in the dark, in the light, and in the dark again; its ground is seen at a column of row 2."""
    for chosen_colours in ("dark", "light", "dark"):
        colour(chosen_colours)
        dark = chosen_colours == "dark"

        def ground():
            return widget.grab().toImage().pixelColor(column, 2)

        qtbot.waitUntil(lambda dark=dark, ground=ground: (ground().lightness() < 128) is dark)
        yield pixels(widget.grab().toImage())


@pytest.mark.parametrize("kind", [TickBox, RoundButton])
def test_a_box_beside_words_is_seen(qtbot, kind):
    """The same of a box or a round button outside lists; one that only Qt's style outlines is hardly seen in the dark."""
    window = QMainWindow()
    qtbot.addWidget(window)
    box = kind("")
    window.setCentralWidget(box)
    window.show()
    for shown in in_each_colour(qtbot, box, box.width() - 2):
        base = shown[2, box.width() - 2]
        drawn = shown[:, :20].reshape(-1, 3)
        assert max(contrast(one, base) for one in np.unique(drawn, axis=0)) >= 3.0


def test_boxes_of_neighbouring_rows_stand_apart(qtbot):
    view = QListWidget()
    qtbot.addWidget(view)
    outline_ticks(view)
    for name in ("one", "two", "three"):
        QListWidgetItem(name, view).setCheckState(Qt.CheckState.Unchecked)
    view.show()
    shown = pixels(view.viewport().grab().toImage())
    base = shown[-1, -1]
    # The left edge of a box: where something other than the ground is drawn, from above to below.
    rows = np.any(shown[:, :20] != base, axis=(1, 2)).astype(int)
    tops, bottoms = np.flatnonzero(np.diff(rows) == 1), np.flatnonzero(np.diff(rows) == -1)
    assert len(tops) == len(bottoms) == 3
    assert tops[0] >= 1
    assert np.all(tops[1:] - bottoms[:-1] >= 3)


@pytest.mark.parametrize("chosen_colours", ["dark", "light"])
def test_a_sheet_is_white_paper_with_an_edge(qtbot, chosen_colours):
    """Light or dark, large or small: black on white, and where the paper ends is seen."""
    colour(chosen_colours)
    view = SheetsView()
    qtbot.addWidget(view)
    view.resize(700, 500)
    view.show_sheets(
        joint_sheets(solve_joint(Joint(RoundTube(38.1, 1.6), 54.0, 62.0), "tube"), paper("A4"))
    )
    view.show()
    qtbot.waitUntil(lambda: not view._blank)
    small = view.small.item(0).icon().pixmap(96, 128).toImage()
    large, corner = view.large.grab().toImage(), view.large.pixel(QPointF(0.0, 0.0)).toPoint()
    for picture, x, y in ((large, corner.x(), corner.y() - 9), (small, 0, 64)):
        shown = pixels(picture)
        row = shown[y, max(x - 1, 0) : x + 5]
        assert max(contrast(one, (255, 255, 255)) for one in row[:3]) >= 3.0
        assert np.all(row[-1] == 255)
        assert shown[y - 50 : y, x + 5 : x + 80].min() < 100


def test_the_arrow_of_a_choice_is_seen(qtbot):
    """WCAG 2.2, 1.4.11 again."""
    window = QMainWindow()
    qtbot.addWidget(window)
    button = ChoiceButton("A frame", "Tubes and points.")
    window.setCentralWidget(button)
    window.show()
    for shown in in_each_colour(qtbot, button, 2):
        arrow = shown[:, : button.iconSize().width()].reshape(-1, 3)
        assert max(contrast(one, shown[2, 2]) for one in np.unique(arrow, axis=0)) >= 3.0


def test_links_are_read_on_their_ground():
    """WCAG 2.2, 1.4.3: 4.5 to 1."""
    for chosen_colours in ("dark", "light", "system"):
        colour(chosen_colours)
        palette = QApplication.palette()
        link, *grounds = (
            one.color().getRgb()[:3] for one in (palette.link(), palette.window(), palette.base())
        )
        assert all(contrast(link, ground) >= 4.5 for ground in grounds), chosen_colours


def test_a_window_begins_in_the_colours_that_are_kept(qtbot, open_window):
    """And with the system's too links are read."""
    QApplication.setPalette(QPalette(QColor(239, 239, 239)))
    open_window("Joint")
    palette = QApplication.palette()
    assert (
        contrast(palette.link().color().getRgb()[:3], palette.window().color().getRgb()[:3]) >= 4.5
    )
    assert palette.link().color() != QPalette(QColor(239, 239, 239)).link().color()
