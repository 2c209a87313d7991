"""The system libraries that the README installs are enough for Qt without a screen."""

from __future__ import annotations


def test_qt_starts_off_screen(qtbot):
    from PySide6.QtWidgets import QLabel

    label = QLabel("once round")
    qtbot.addWidget(label)
    label.show()
    assert label.isVisible()
    assert not label.grab().isNull()
