"""The views of the page of a frame: progress, names, sections, pictures, picking, and what is dragged."""

from __future__ import annotations

import time

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest

from app.window import frame_views
from app.window.name_room import free_place
from geometry.edits import put_point
from geometry.place import At
from tests.app.window.conftest import solved, type_in
from tests.app.window.space_seen import pixels


@pytest.fixture
def page(stand_window):
    return stand_window.frame


def test_progress_is_seen_in_every_view(qtbot, page):
    space = page.views.space
    qtbot.waitUntil(lambda: space._image is not None, timeout=10_000)
    plain = QImage(space.grab().toImage())
    page.choose("Tubes", "handle")
    combo = page.forms.tube.made["handle"]
    combo.setCurrentIndex(combo.findData("welded"))
    combo.activated.emit(combo.currentIndex())
    assert page.frame.progress == {"handle": "welded"}
    assert page.document.history.undo_words == "Mark handle as welded"
    assert page.column.tubes.item(1).text().startswith("2  handle; welded")
    page.choose("Tubes", "")
    qtbot.waitUntil(lambda: not page.seeing.busy)
    assert space.grab().toImage() != plain
    for title, view in page.views.flat.items():
        page.views.tabs.setCurrentWidget(view)
        with_it = view.grab().toImage()
        view._made = {}
        assert view.grab().toImage() != with_it, title
    page.views.names.setChecked(True)
    assert view._words["handle"] == "handle: welded"


def test_names_lie_over_no_other(qtbot, page):
    from PySide6.QtCore import QRectF

    room = QRectF(0, 0, 200, 60)
    taken = []
    for _ in range(9):
        box = free_place(QRectF(0, 0, 60, 18), [QPointF(100, 30), QPointF(40, 30)], taken, room)
        if box is None:
            break
        assert room.contains(box)
        assert not any(box.intersects(other) for other in taken)
        taken.append(box)
    assert 2 <= len(taken) <= 6
    assert free_place(QRectF(0, 0, 60, 18), [QPointF(100, 30)], taken, room) is None


@pytest.mark.parametrize("title", ["Side", "Above", "Front"])
def test_names_lie_beside_the_points(qtbot, page, title):
    page.views.tabs.setCurrentWidget(page.views.flat[title])
    view, boxes = page.views.flat[title], []

    class Recorder:
        def fillRect(self, box, _colour):
            boxes.append(box)

        def __getattr__(self, _name):
            return lambda *_: None

    view._write_names(Recorder())
    assert len(boxes) >= 3
    squares = view._squares()
    assert set(squares) == set(page.frame.points)
    assert not any(box.intersects(square) for box in boxes for square in squares.values())


def test_the_view_is_cut_open_and_saved_as_a_picture(qtbot, page, tmp_path):
    views = page.views
    qtbot.waitUntil(lambda: views.space._image is not None, timeout=10_000)
    turn, tilt = views.space.camera.turn_deg, views.space.camera.tilt_deg
    views.half.setChecked(True)
    # What is left is looked into from the side that is left out, from as far in front and above.
    assert views.space.axes()[2][1] > 0
    assert (views.space.camera.turn_deg + turn) % 360 == pytest.approx(0.0)
    assert views.space.camera.tilt_deg == tilt
    views.half.setChecked(False)
    views.space.turn(10.0, 0.0)
    there = views.space.camera.turn_deg
    views.half.setChecked(True)
    assert views.space.camera.turn_deg == there, "it is looked into already"
    assert views.section.isVisible()
    whole = views.space.grab().toImage()
    type_in(qtbot, views.section, "-150")
    qtbot.waitUntil(lambda: views.space.grab().toImage() != whole)
    said = []
    views.said.connect(said.append)
    views.keep_picture(tmp_path / "stand.png")
    picture = QImage(str(tmp_path / "stand.png"))
    assert (picture.width(), picture.height()) == (
        3 * views.space.width(),
        3 * views.space.height(),
    )
    views.keep_picture(tmp_path / "nowhere" / "stand.png")
    assert said[0].startswith("Saved")
    assert "cannot be saved" in said[1]
    views.tabs.setCurrentIndex(1)
    assert not views.section.isVisible()
    assert not views.half.isEnabled()
    views.keep_picture(tmp_path / "side.png")
    fine, shown = QImage(str(tmp_path / "side.png")), views.view.grab().toImage()
    assert (fine.width(), fine.height()) == (3 * shown.width(), 3 * shown.height())
    # The same, and finer: less of it is ink.
    smaller = fine.scaled(shown.size(), mode=Qt.TransformationMode.SmoothTransformation)
    inked = [np.mean(pixels(image)[..., 0] < 128) for image in (shown, smaller)]
    assert 0.5 * inked[0] < inked[1] < 1.2 * inked[0]


def test_a_view_that_cannot_be_drawn_says_so_and_the_others_remain(qtbot, open_window, monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "app.window.space_drawing", None)
    window = open_window("Frame")
    window.actions_of_frame.open_sample("paddock-stand")
    page = window.frame
    solved(qtbot, page)
    qtbot.waitUntil(lambda: bool(page.views.space.problem))
    assert "remain" in page.views.space.problem
    page.views.tabs.setCurrentIndex(1)
    assert len(page.views.flat["Side"].scene.parts) == 6


def test_picking_in_space_chooses_in_the_list_and_back(qtbot, page):
    space = page.views.space
    qtbot.waitUntil(lambda: space._image is not None, timeout=10_000)
    spots = {}
    for x in range(4, space.width(), 6):
        for y in range(4, space.height(), 6):
            spots.setdefault(space.part_at(QPointF(x, y)), QPoint(x, y))
    for part in ("handle", "arm left", "prop right"):
        QTest.mouseClick(space, Qt.MouseButton.LeftButton, pos=spots[part])
        assert page.part == part
        assert page.column.current == part.replace(" left", "").replace(" right", "")
    QTest.mouseClick(space, Qt.MouseButton.LeftButton, pos=QPoint(3, 3))
    assert page.column.current == ""


def test_a_dragged_point_is_sketched_before_it_is_cut(qtbot, page):
    view = page.views.flat["Above"]
    page.views.tabs.setCurrentWidget(view)
    page.document.do("Move", lambda f: put_point(f, "handle right", At(-700.0, -130.0, 60.0)))
    # The handle, and nothing else, is a line from its new point to its old one.
    assert len(view._sketched) == 1
    assert np.allclose(
        view._sketched[0][0], view.scene.view.flat(np.array([[-700.0, -130.0, 60.0]]))[0]
    )
    qtbot.waitUntil(lambda: not page.seeing.busy)
    assert view._sketched == []


@pytest.mark.parametrize("slow", [False, True])
def test_what_is_cut_at_once_is_painted_once(qtbot, page, monkeypatch, slow):
    view = page.views.flat["Above"]
    page.views.tabs.setCurrentWidget(view)
    x, y, z = page._places()["handle right"]

    def move(by):
        with qtbot.waitSignal(page.seeing.finished):
            page.document.do("Move", lambda f: put_point(f, "handle right", At(x + by, y, z)))
        qtbot.waitUntil(lambda: not page.background.busy)

    # The first edit changes more in the window than the view: there is something to be undone now.
    move(2.0)
    qtbot.wait(50)
    painted, solve, paint = [], frame_views.solve, view._paint
    view._soon.setInterval(40 if slow else 10_000)
    monkeypatch.setattr(frame_views, "solve", lambda f: (time.sleep(0.3 * slow), solve(f))[1])
    monkeypatch.setattr(view, "_paint", lambda p: (painted.append(bool(view._sketched)), paint(p)))
    move(4.0)
    qtbot.waitUntil(lambda: False in painted)
    assert (True in painted) is slow


def test_edits_that_come_fast_are_sketched_all_the_same(qtbot, page, monkeypatch):
    view = page.views.flat["Above"]
    page.views.tabs.setCurrentWidget(view)
    x, y, z = page._places()["handle right"]
    solve, paint, painted = frame_views.solve, view._paint, []
    monkeypatch.setattr(frame_views, "solve", lambda f: (time.sleep(1.0), solve(f))[1])
    monkeypatch.setattr(view, "_paint", lambda p: (painted.append(bool(view._sketched)), paint(p)))
    view._soon.setInterval(60)
    for step in range(8):
        page.document.do("Move", lambda f, n=step: put_point(f, "handle right", At(x + n, y, z)))
        qtbot.wait(40)
    assert painted.count(True) >= 2
    qtbot.waitUntil(lambda: not page.seeing.busy, timeout=10_000)


def test_no_place_is_told_when_a_new_tube_is_left(qtbot, page):
    view = page.views.flat["Above"]
    page.views.tabs.setCurrentWidget(view)
    page.choose("Tubes", "")
    page.column.add.click()
    QTest.mouseMove(view, QPoint(40, 40))
    qtbot.waitUntil(lambda: view.caption != "")
    QTest.keyClick(page.forms.new, Qt.Key.Key_Escape)
    assert not page.adding
    assert view.caption == ""


def test_an_empty_frame_is_begun_about_the_origin_and_above_it(qtbot, open_window):
    page = open_window("Frame").frame
    page.views.tabs.setCurrentIndex(1)
    view = page.views.flat["Side"]
    qtbot.waitUntil(lambda: view.scene is not None)
    middle = view.at(QPointF(view.rect().center()))
    assert abs(middle.x()) < 5.0
    assert 50.0 < middle.y() < 1000.0
    assert view.rect().contains(view.pixel(QPointF(0.0, 0.0)).toPoint())


def test_a_long_name_of_the_frame_leaves_its_middle_out(page):
    page.edits.rename_frame("", "a very long name of a frame, of which only the ends are shown")
    button = page.column.whole
    assert button.text().startswith("a very long ")
    assert button.text().endswith(" are shown")
    assert page.frame.name in button.toolTip()
    assert button.fontMetrics().horizontalAdvance(button.text()) < button.width()
