"""The picture in space: the tubes are where they should be, and it turns as it is dragged."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QTabWidget


@pytest.fixture
def view(qtbot, open_window):
    window = open_window()
    tabs = next(t for t in window.joint.findChildren(QTabWidget) if t.accessibleName() == "views")
    tabs.setCurrentIndex(1)
    qtbot.wait(50)
    assert not window.joint.measure.isEnabled()
    return window.joint.solid


def drawn(view):
    """Where something is drawn, (height, width)."""
    image = view.grab().toImage()
    base = view.palette().base().color().rgb()
    return np.array(
        [
            [image.pixel(x, y) != base for x in range(0, image.width(), 3)]
            for y in range(0, image.height(), 3)
        ]
    )


@pytest.mark.parametrize("turn", [(0, 0), (40, 30), (170, -60), (-75, 80)])
def test_what_is_drawn_is_the_projection_of_the_skins(view, turn):
    view.turn(*turn)
    seen = drawn(view)
    corners = view.placed(view._corners.reshape(-1, 3))[:, :2] / 3
    # Words may reach beyond the tubes, tubes not beyond their corners.
    rows, columns = np.nonzero(seen)
    assert rows.min() <= corners[:, 1].min() + 2
    assert rows.max() >= corners[:, 1].max() - 2
    assert columns.min() <= corners[:, 0].min() + 2
    assert columns.max() >= corners[:, 0].max() - 2
    hit = seen[corners[:, 1].astype(int), corners[:, 0].astype(int)]
    # All but the pixels at the edges, which are the more the smaller the picture is.
    assert hit.mean() > 0.96


def test_dragging_turns_keys_turn_and_it_never_tips_over(qtbot, view):
    before = (view.turn_deg, view.tilt_deg)
    middle = view.rect().center()
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=middle)
    qtbot.mouseMove(view, middle + QPoint(50, 20))
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=middle + QPoint(50, 20))
    assert view.turn_deg == pytest.approx((before[0] - 20.0) % 360)
    assert view.tilt_deg == pytest.approx(before[1] + 8.0)
    qtbot.keyClick(view, Qt.Key.Key_Left)
    assert view.turn_deg == pytest.approx((before[0] - 15.0) % 360)
    for _ in range(60):
        qtbot.keyClick(view, Qt.Key.Key_Down)
    assert view.tilt_deg == 90.0
    axes = view.axes()
    np.testing.assert_allclose(axes @ axes.T, np.eye(3), atol=1e-12)
    np.testing.assert_allclose(np.cross(axes[0], axes[1]), axes[2], atol=1e-12)


def test_the_datum_line_is_seen_at_any_size_and_the_nearest_piece_hides_the_others(view):
    view.turn_deg, view.tilt_deg = -10.0, 10.0
    (datum, *_) = view._scene.marks
    ink = view.palette().text().color()
    for zoom in (1.0, 3.0):
        view._zoom = zoom
        image = view.grab().toImage()
        inside = [
            (x, y)
            for x, y, _ in view.placed(datum.points)
            if 5 < x < view.width() - 5 and 5 < y < view.height() - 25
        ]
        dark = 0
        for x, y in inside:
            around = [
                image.pixelColor(int(x) + dx, int(y) + dy)
                for dx in range(-2, 3)
                for dy in range(-2, 3)
            ]
            dark += any(abs(c.lightness() - ink.lightness()) < 60 for c in around)
        assert inside
        assert dark >= 0.8 * len(inside)


def test_it_is_not_mirrored(view):
    """Seen from the datum's side (+x), the target's upper end leans towards the viewer, +y is right."""
    view.turn_deg, view.tilt_deg = 0.0, 0.0
    placed = view.placed(
        np.array([[0.0, 0.0, 0.0], [0.0, 10.0, 0.0], [10.0, 0.0, 0.0], [0.0, 0.0, 10.0]])
    )
    assert placed[1, 0] > placed[0, 0]
    assert placed[2, 2] > placed[0, 2]
    assert placed[3, 1] < placed[0, 1]
