"""The flat view of a frame: clicks pick, a dragged point goes where the pointer is and rests on what is near."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest

from app.document.frame_file import open_frame
from app.window.frame_view import FrameView
from geometry.fitup import solve
from geometry.places import Places
from templates_out.bend_view import FROM_ABOVE, FROM_FRONT, FROM_RIGHT
from templates_out.frame_scene import scene

SAMPLE = Path(__file__).parents[3] / "sample_projects" / "paddock-stand" / "paddock-stand.frame"
FRAME = open_frame(SAMPLE)
FITTED = solve(FRAME)
PLACES = {name: Places(FRAME).point(name) for name in FRAME.points}


@pytest.fixture(params=[FROM_RIGHT, FROM_ABOVE, FROM_FRONT], ids=["side", "above", "front"])
def view(request, qtbot):
    one = FrameView("side view")
    qtbot.addWidget(one)
    one.resize(700, 500)
    one.set_scene(scene(FITTED, PLACES, request.param), PLACES)
    one.show()
    one.dragged = []
    one.point_dragged.connect(lambda *words: one.dragged.append(words))
    return one


def pixel_of(view, at):
    return view.pixel(QPointF(*at)).toPoint()


def lone_point(view):
    """A point with no other near it in this view."""
    points = view.scene.points
    return max(
        points,
        key=lambda n: min(np.hypot(*np.subtract(points[n], points[o])) for o in points if o != n),
    )


def test_a_click_on_a_point_picks_it_and_beside_everything_nothing(view, qtbot):
    name = lone_point(view)
    with qtbot.waitSignal(view.point_picked) as picked:
        QTest.mouseClick(
            view, Qt.MouseButton.LeftButton, pos=pixel_of(view, view.scene.points[name])
        )
    assert picked.args == [name]
    assert view.dragged == []
    with qtbot.waitSignal(view.part_picked) as picked:
        QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(3, 3))
    assert picked.args == ["", ""]


def test_a_click_on_a_tube_picks_it(view, qtbot):
    # The place on a tube in front that is farthest from every point.
    part, place = max(
        (
            (part, place)
            for part in view.scene.parts
            for place in part.middle
            if view.scene.part_at(tuple(place)) is part
        ),
        key=lambda one: min(np.hypot(*(one[1] - at)) for at in view.scene.points.values()),
    )
    with qtbot.waitSignal(view.part_picked) as picked:
        QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=pixel_of(view, place))
    assert picked.args == [part.tube, part.name]


def drag(view, start, end, modifiers=Qt.KeyboardModifier.NoModifier):
    QTest.mousePress(view, Qt.MouseButton.LeftButton, modifiers, start)
    for share in (0.3, 0.7, 1.0):
        QTest.mouseMove(view, start + (end - start) * share)
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, modifiers, end)


def test_a_dragged_point_goes_where_the_pointer_is_and_keeps_its_depth(view):
    name = lone_point(view)
    start = pixel_of(view, view.scene.points[name])
    drag(view, start, start + QPoint(61, -47))
    *_, (told, at, done) = view.dragged
    assert (told, done) == (name, True)
    sight = np.cross(view.scene.view.right, view.scene.view.up)
    assert np.array(at) @ sight == pytest.approx(np.array(PLACES[name]) @ sight)
    seen = view.scene.view.flat(np.array([at]))[0]
    wanted = view.at(QPointF(start + QPoint(61, -47)))
    # It may rest on something within 8 pixels, or on the grid.
    assert np.hypot(seen[0] - wanted.x(), seen[1] - wanted.y()) * view._scale < 13
    assert all(value == pytest.approx(round(value, 6)) for value in at)


def test_with_alt_it_rests_on_nothing(view):
    name = lone_point(view)
    start = pixel_of(view, view.scene.points[name])
    drag(view, start, start + QPoint(40, 33), Qt.KeyboardModifier.AltModifier)
    _, at, _ = view.dragged[-1]
    seen = view.scene.view.flat(np.array([at]))[0]
    wanted = view.at(QPointF(start + QPoint(40, 33)))
    assert np.hypot(seen[0] - wanted.x(), seen[1] - wanted.y()) < 1e-6


def test_what_is_chosen_is_drawn_in_the_accent(view):
    tube = view.scene.parts[0].tube
    view.choose(tube)
    shown = sum(len(part.drawing.items) for part in view.scene.parts if part.tube == tube)
    assert len(view.pointed.items) == shown
    view.choose("", lone_point(view))
    assert view.pointed is None
    image = view.grab().toImage()
    at = pixel_of(view, view.scene.points[lone_point(view)])
    assert image.pixelColor(at).rgb() == view.palette().highlight().color().rgb()


def test_a_drag_beside_everything_moves_the_view(view):
    before = view.at(QPointF(100, 100))
    drag(view, QPoint(4, 4), QPoint(54, 34))
    after = view.at(QPointF(100, 100))
    assert (before.x() - after.x()) * view._scale == pytest.approx(50, abs=1e-6)
    assert view.dragged == []
