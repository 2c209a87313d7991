"""The system libraries that the README names are enough for Qt, with a screen and without."""

from __future__ import annotations

import ctypes
import sys
from pathlib import Path

import pytest

from app.cli import main
from app.window import start, system_libraries
from app.window.system_libraries import PACKAGES, missing_library, screen_part

ROOT = Path(__file__).parents[1]


def test_qt_starts_off_screen(qtbot):
    from PySide6.QtWidgets import QLabel

    label = QLabel("once round")
    qtbot.addWidget(label)
    label.show()
    assert label.isVisible()
    assert not label.grab().isNull()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="other systems bring their own")
def test_what_is_installed_is_enough_for_a_screen():
    ctypes.CDLL(str(screen_part()))


def test_the_same_packages_are_named_everywhere():
    for name in ("README.md", "tests/everything.sh"):
        words = (ROOT / name).read_text("utf-8").split()
        assert {*PACKAGES} <= {word.strip('"') for word in words}, name


@pytest.fixture
def on_x11(monkeypatch):
    monkeypatch.setattr(sys, "platform", "linux")
    for name, value in (("DISPLAY", ":0"), ("WAYLAND_DISPLAY", ""), ("QT_QPA_PLATFORM", "")):
        monkeypatch.setenv(name, value)


@pytest.mark.usefixtures("on_x11")
def test_one_that_is_missing_is_said_in_a_sentence(monkeypatch, tmp_path, capsys):
    broken = tmp_path / "libqxcb.so"
    broken.write_bytes(b"")
    monkeypatch.setattr(system_libraries, "screen_part", lambda: broken)
    monkeypatch.setattr(start, "run_window", lambda _: pytest.fail("it would end without a word"))
    assert main([]) == 2
    (told,) = capsys.readouterr().err.splitlines()
    assert str(broken) in told
    assert "sudo apt-get install libgl1" in told


@pytest.mark.usefixtures("on_x11")
def test_a_screen_that_is_no_x11_needs_none_of_it(monkeypatch, tmp_path):
    monkeypatch.setattr(system_libraries, "screen_part", lambda: tmp_path)
    assert missing_library() == ""
    monkeypatch.setattr(system_libraries, "screen_part", lambda: pytest.fail("it is not looked at"))
    monkeypatch.setenv("WAYLAND_DISPLAY", "wayland-0")
    assert missing_library() == ""
    monkeypatch.setenv("WAYLAND_DISPLAY", "")
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert missing_library() == ""
