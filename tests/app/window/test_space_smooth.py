"""The smooth picture of the free view: four pictures, each a part of a pixel aside, between which the window listens."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QTimer

pytest.importorskip("vtkmodules", reason="VTK is installed with the program")

from app.window.space_smooth import ASIDES, at_once
from tests.app.window.space_seen import (
    FREE,
    HIGH,
    PERSPECTIVE,
    WIDE,
    bare,
    paint,
    pixels,
    stand,
)


def rest(qtbot, view):
    qtbot.waitUntil(lambda: view._smoothing.done, timeout=3000)
    return pixels(view._image)


@PERSPECTIVE
def test_aside_moves_the_picture_by_pixels(view, perspective):
    stand(view, FREE, perspective)
    bare(view)
    draw = view._drawing.draw
    still, moved = (draw(view.camera, WIDE, HIGH, aside)[..., :3] for aside in ((0, 0), (3, 2)))
    # To the right and up; light comes from where the viewer is, who stays.
    apart = np.abs(still[2:, :-3].astype(int) - moved[:-2, 3:]).max(axis=2)
    assert np.mean(apart > 2) < 0.001
    assert np.mean(np.any(still != moved, axis=2)) > 0.02
    np.testing.assert_array_equal(draw(view.camera, WIDE, HIGH)[..., :3], still)


def test_the_four_are_the_middles_of_a_pixel_s_quarters():
    assert sorted(ASIDES) == [(-0.25, -0.25), (-0.25, 0.25), (0.25, -0.25), (0.25, 0.25)]


def test_an_average_is_rounded_and_does_not_run_over():
    four = iter(np.array([[255, 0], [255, 1], [255, 0], [254, 1]], dtype=np.uint8))
    assert at_once(lambda _: next(four)).tolist() == [255, 1]
    assert at_once(lambda _: None) is None


@PERSPECTIVE
def test_it_is_the_picture_drawn_twice_as_fine_and_averaged(qtbot, view, perspective):
    stand(view, FREE, perspective)
    bare(view)
    smooth = rest(qtbot, view)
    fine = view._drawing.draw(replace(view.camera, mm=view.camera.mm / 2), 2 * WIDE, 2 * HIGH)
    averaged = fine[..., :3].reshape(HIGH, 2, WIDE, 2, 3).astype(int).mean(axis=(1, 3))
    assert np.mean(np.abs(smooth - averaged).max(axis=2) > 4) < 0.002
    # Which the plain one is not.
    view._again()
    assert np.mean(np.abs(paint(view) - averaged).max(axis=2) > 4) > 0.008


def test_the_window_listens_between_two_of_them(qtbot, view):
    paint(view)
    drawn, seen = view._drawing.drawn, set()
    timer = QTimer(view)
    timer.setInterval(0)
    timer.timeout.connect(lambda: seen.add(view._drawing.drawn - drawn))
    timer.start()
    rest(qtbot, view)
    timer.stop()
    assert seen >= {0, 1, 2, 3}


def test_a_change_between_two_of_them_begins_anew(qtbot, view):
    paint(view)
    drawn = view._drawing.drawn
    qtbot.waitUntil(lambda: view._drawing.drawn >= drawn + 2, timeout=3000)
    view.turn(40.0, 10.0)
    assert not view._smoothing.done
    turned = paint(view)
    drawn = view._drawing.drawn
    smooth = rest(qtbot, view)
    assert view._drawing.drawn == drawn + 4
    assert np.mean(np.abs(smooth - turned).max(axis=2) > 60) < 0.06, "nothing of the one before"


def test_a_picture_to_be_kept_leaves_what_is_on_the_screen(qtbot, view):
    before = rest(qtbot, view)
    assert view.picture(3 * WIDE, 3 * HIGH).width() == 3 * WIDE
    view.repaint()
    np.testing.assert_array_equal(pixels(view._image), before)
    view._again()
    qtbot.waitUntil(lambda: view._image is not None, timeout=3000)
    np.testing.assert_array_equal(rest(qtbot, view), before)


def test_what_cannot_be_drawn_smoothly_is_said(qtbot, view, monkeypatch):
    paint(view)
    count, draw = [], view._drawing.draw

    def failing(*how):
        count.append(1)
        if len(count) > 1:
            text = "no more"
            raise RuntimeError(text)
        return draw(*how)

    monkeypatch.setattr(view._drawing, "draw", failing)
    qtbot.waitUntil(lambda: bool(view.problem), timeout=3000)
    assert "no more" in view.problem
    shown = pixels(view.grab().toImage())
    # The words, and nothing of the frame: no picture that a click would not pick in.
    assert view._image is None
    assert np.any(shown < 200)
    qtbot.wait(300)
    assert len(count) == 2
