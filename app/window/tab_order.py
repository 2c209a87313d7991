"""Tab goes down a form as the eye does."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QWidget

_ONE_LINE_PX = 8


def tab_down(form: QWidget) -> None:
    """Put what takes the keys into the order in which it is seen, as soon as it is laid out.

    By where it is on the screen: the widgets' own order is that in which they were made, and asking Qt's layouts for
    their items from Python ends in freed memory.
    """
    QTimer.singleShot(0, form, lambda: _in_order(form))


def tab_first(page: QWidget, *widgets: QWidget) -> None:
    """Put what stands at the top of a page, and was made later, before all else of it."""
    before = page.previousInFocusChain()
    # Qt puts nothing behind what takes no keys, as the page itself.
    while before is not None and not _takes_keys(before):
        before = before.previousInFocusChain()
    for one, other in pairwise((before or page, *widgets)):
        QWidget.setTabOrder(one, other)


def _in_order(form: QWidget) -> None:
    seen = [one for one in form.findChildren(QWidget) if _takes_keys(one) and one.isVisibleTo(form)]
    for one, other in pairwise(_as_read(form, seen)):
        QWidget.setTabOrder(one, other)


def _takes_keys(one: QWidget) -> bool:
    return bool(one.focusPolicy() & Qt.FocusPolicy.TabFocus) and one.focusProxy() is None


def _as_read(form: QWidget, widgets: Sequence[QWidget]) -> list[QWidget]:
    """From the top down, on one line from the left."""
    middles = {one: one.mapTo(form, one.rect().center()) for one in widgets}
    lines: list[list[QWidget]] = []
    for one in sorted(widgets, key=lambda one: middles[one].y()):
        if lines and middles[one].y() - middles[lines[-1][0]].y() <= _ONE_LINE_PX:
            lines[-1].append(one)
        else:
            lines.append([one])
    return [one for line in lines for one in sorted(line, key=lambda one: middles[one].x())]
