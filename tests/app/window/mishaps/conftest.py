"""The window in which something went wrong: the paddock stand is open, and has the keys."""

from __future__ import annotations

import pytest


@pytest.fixture
def window(qtbot, stand_window):
    stand_window.activateWindow()
    qtbot.waitUntil(stand_window.isActiveWindow)
    return stand_window


@pytest.fixture
def page(window):
    return window.frame
