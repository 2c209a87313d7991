"""The free view in the hand: turned, moved and picked in, dark and light, and where it cannot be drawn."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QMouseEvent, QPainter, QPalette, QWheelEvent

pytest.importorskip("vtkmodules", reason="VTK is installed with the program")

from app.window.space_names import Named, named_places, write_names
from app.window.space_view import SpaceView
from geometry.fitup import solve
from geometry.frame import At
from tests.app.window.space_seen import (
    FITTED,
    FRAME,
    FREE,
    HIGH,
    PARTS,
    PERSPECTIVE,
    SAMPLE,
    SIDE,
    WELDED,
    WIDE,
    bare,
    covered,
    paint,
    pixels,
    stand,
)


def test_a_click_picks_and_a_drag_does_not(qtbot, view):
    at = view.placed(np.mean(PARTS["backbone"].part.path.vertices, axis=0)[None])[0]
    with qtbot.waitSignal(view.part_picked) as picked:
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(int(at[0]), int(at[1])))
    assert picked.args == ["backbone", "backbone"]
    with qtbot.waitSignal(view.part_picked) as picked:
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(3, 3))
    assert picked.args == ["", ""]
    stand(view, SIDE)
    at = view.placed(np.mean(PARTS["main rail right"].part.path.vertices[:2], axis=0)[None])[0]
    with qtbot.waitSignal(view.part_picked) as picked:
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(int(at[0]), int(at[1])))
    assert picked.args == ["main rail", "main rail right"]
    with qtbot.assertNotEmitted(view.part_picked):
        drag(qtbot, view, QPoint(200, 200), QPoint(250, 220))
        qtbot.mouseClick(view, Qt.MouseButton.RightButton, pos=QPoint(int(at[0]), int(at[1])))


def drag(
    qtbot, view, start, end, button=Qt.MouseButton.LeftButton, keys=Qt.KeyboardModifier.NoModifier
):
    qtbot.mousePress(view, button, keys, pos=start)
    # What qtbot sends has no buttons held.
    for point in (start + (end - start) / 2, end):
        event = QMouseEvent(
            QEvent.Type.MouseMove,
            QPointF(point),
            QPointF(view.mapToGlobal(point)),
            Qt.MouseButton.NoButton,
            button,
            keys,
        )
        view.mouseMoveEvent(event)
    qtbot.mouseRelease(view, button, keys, pos=end)


def test_dragging_turns_about_the_middle_and_it_never_tips_over(qtbot, view):
    before, focus = view.camera, view.camera.focus
    drag(qtbot, view, QPoint(200, 200), QPoint(250, 220))
    assert view.camera.turn_deg == pytest.approx((before.turn_deg - 20.0) % 360)
    assert view.camera.tilt_deg == pytest.approx(before.tilt_deg + 8.0)
    np.testing.assert_allclose(view.camera.focus, focus, atol=1e-9)
    qtbot.keyClick(view, Qt.Key.Key_Left)
    assert view.camera.turn_deg == pytest.approx((before.turn_deg - 15.0) % 360)
    for _ in range(60):
        qtbot.keyClick(view, Qt.Key.Key_Down)
    assert view.camera.tilt_deg == 90.0
    axes = view.axes()
    np.testing.assert_allclose(axes @ axes.T, np.eye(3), atol=1e-12)
    np.testing.assert_allclose(np.cross(axes[0], axes[1]), axes[2], atol=1e-12)


@pytest.mark.parametrize(
    ("button", "keys"),
    [
        (Qt.MouseButton.RightButton, Qt.KeyboardModifier.NoModifier),
        (Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ShiftModifier),
    ],
)
def test_the_right_button_or_shift_moves(qtbot, view, button, keys):
    turn, point = view.camera.turn_deg, np.array([[500.0, 100.0, 400.0]])
    before = view.placed(point)[0]
    drag(qtbot, view, QPoint(200, 200), QPoint(260, 170), button, keys)
    np.testing.assert_allclose(view.placed(point)[0, :2] - before[:2], [60.0, -30.0], atol=1e-9)
    assert view.camera.turn_deg == turn


@PERSPECTIVE
def test_the_wheel_zooms_about_the_pointer(view, perspective):
    stand(view, FREE, perspective)
    # A place in the plane of the focus keeps its pixel.
    right, up, _ = view.axes()
    held = (view.camera.focus + 150.0 * right - 80.0 * up)[None]
    at = view.placed(held)[0]
    mm = view.camera.mm
    event = QWheelEvent(
        QPointF(at[0], at[1]), QPointF(at[0], at[1]), QPoint(), QPoint(0, 240),
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    view.wheelEvent(event)
    np.testing.assert_allclose(view.placed(held)[0, :2], at[:2], atol=1e-6)
    assert view.camera.mm == pytest.approx(mm / 1.0015**240)


def test_zoomed_in_it_turns_about_what_is_in_the_middle(qtbot, view):
    stand(view, SIDE)
    # Off the middle plane, which the picture's own middle lies in.
    boss = np.array(PARTS["peg boss right"].part.path.vertices[:1])
    at = view.placed(boss)[0]
    view.zoom(8.0, QPointF(at[0], at[1]))
    view.camera = view.camera.moved(WIDE / 2 - at[0], HIGH / 2 - at[1])
    for _ in range(21):
        qtbot.keyClick(view, Qt.Key.Key_Right)
    # Turned by 105 degrees it is still there, but for its own length; about the frame's middle it would be far
    # beside the picture.
    np.testing.assert_allclose(view.placed(boss)[0, :2], (WIDE / 2, HIGH / 2), atol=60.0)
    qtbot.keyClick(view, Qt.Key.Key_F)
    paint(view)
    assert not np.any(covered(view)[:30])


def test_how_far_a_part_is_made_is_said_by_lightness(view):
    stand(view, SIDE)
    at = view.placed(np.mean(PARTS["backbone"].part.path.vertices, axis=0)[None])[0].astype(int)

    def shades():
        found = []
        for tone in range(5):
            view.set_frame(FITTED.parts, {}, {"backbone": tone})
            found.append(QColor(*bare(view)[at[1], at[0]].tolist()).lightness())
        return found

    light = shades()
    assert min(np.diff(light[::-1])) > 12
    view.setPalette(dark())
    paint(view)
    assert min(np.diff(shades())) > 12


def dark():
    palette = QPalette()
    palette.setColor(QPalette.ColorRole.Base, QColor(30, 30, 30))
    palette.setColor(QPalette.ColorRole.Text, QColor(230, 230, 230))
    palette.setColor(QPalette.ColorRole.Highlight, QColor(60, 170, 230))
    return palette


def test_a_dark_palette_is_followed(view):
    assert paint(view)[2, 2].tolist() == [255, 255, 255]
    view.setPalette(dark())
    shown = paint(view)
    assert shown[2, 2].tolist() == [30, 30, 30]
    # Lines are light there.
    assert shown.max() > 180


def test_lines_alone_are_black_on_white_whatever_the_palette(qtbot, view):
    view.setPalette(dark())
    view.lines_only(True)
    plain = paint(view)
    assert set(np.unique(plain)) == {0, 255}
    assert np.mean(plain < 128) < 0.1
    qtbot.waitUntil(lambda: view._smoothing.done, timeout=2000)
    smooth = pixels(view._image)
    assert np.all(smooth == smooth[:, :, :1])
    assert len(np.unique(smooth)) == 5
    # Surfaces hide what is behind them: far fewer lines than without.
    view._drawing._skins.actor.VisibilityOff()
    view._again()
    assert np.sum(paint(view) == 0) > 1.3 * np.sum(plain == 0)


def named(view):
    paths = {name: one.part.path for name, one in view._parts.items()}
    return named_places(paths, view._labels, view.camera, WIDE, HIGH, view._section)


def test_names_stand_beside_their_parts_and_not_on_one_another(view):
    before = pixels(view.grab().toImage())
    view.names(True)
    assert np.any(pixels(view.grab().toImage()) != before)
    drawn = view._drawing.drawn
    view.names(False)
    np.testing.assert_array_equal(pixels(view.grab().toImage()), before)
    assert view._drawing.drawn == drawn, "names alone ask for no new picture"
    view.set_frame(FITTED.parts, {"backbone": "7"}, WELDED)
    names = {one.words: one for one in named(view)}
    assert len(names) == len(PARTS)
    assert "backbone" not in names
    x, y, _ = view.placed(np.mean(PARTS["backbone"].part.path.vertices, axis=0)[None])[0]
    assert (names["7"].x, names["7"].y) == pytest.approx((x, y))
    view.section(0.0)
    assert not any(words.endswith("left") for words in (one.words for one in named(view)))
    view.zoom(30.0, QPointF(x, y))
    assert len(list(named(view))) < 6


def test_names_dodge_each_other_and_keep_inside(qapp):
    image = QImage(200, 120, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    boxes = []

    class Recorder:
        def __getattr__(self, name):
            return getattr(painter, name)

        def fillRect(self, box, _colour):
            boxes.append(box)

    names = [Named("a long name", 100.0 + step, 60.0, float(step)) for step in range(3)]
    names += [Named("at the edge", 199.0, 1.0, 0.0), Named("farther", 100.0, 60.0, -9.0)]
    write_names(Recorder(), names, 200, 120, QColor("black"), QColor("white"))
    painter.end()
    assert len(boxes) == 5
    for number, box in enumerate(boxes):
        assert box.left() >= 0
        assert box.top() >= 0
        assert box.right() <= 200
        assert box.bottom() <= 120
        assert not any(box.intersects(other) for other in boxes[:number])
    # The nearest has the place that it asked for.
    assert boxes[0].center().y() == pytest.approx(60.0)


def test_many_changes_are_one_picture_and_smooth_when_it_rests(qtbot, view):
    drawn = view._drawing.drawn
    for _ in range(5):
        view.turn(3.0, 1.0)
    view.choose("backbone")
    view.section(10.0)
    paint(view)
    assert view._drawing.drawn == drawn + 1
    paint(view)
    assert view._drawing.drawn == drawn + 1
    qtbot.waitUntil(lambda: view._drawing.drawn == drawn + 5, timeout=2000)
    assert view._smoothing.done
    view.turn(3.0, 1.0)
    paint(view)
    assert not view._smoothing.done


def test_an_edit_keeps_the_view_and_makes_anew_only_what_it_touched(view):
    view.turn(33.0, 5.0)
    view.zoom(1.7, QPointF(100, 100))
    paint(view)
    camera = view.camera
    meshes = dict(view._drawing._skins._meshes)
    tail = FRAME.points["backbone tail"]
    moved = replace(
        FRAME, points={**FRAME.points, "backbone tail": At(tail.x - 8.0, tail.y, tail.z)}
    )
    again = solve(moved).parts
    touched = {
        one.part.name
        for one in again
        if one.part is not PARTS[one.part.name].part or one.cuts != PARTS[one.part.name].cuts
    }
    view.set_frame(again, {}, WELDED)
    paint(view)
    assert view.camera is camera
    for name, mesh in view._drawing._skins._meshes.items():
        assert (mesh is meshes[name]) == (name not in touched), name
    assert not {"headstock", "main rail left", "main rail right", "tail cross"} & touched
    assert "backbone" in touched
    view.set_frame([one for one in FITTED.parts if one.part.name != "headstock"], {}, WELDED)
    paint(view)
    assert "headstock" not in view._drawing._skins._meshes
    # Skins and their insides; two kinds of lines for the chosen and for the others; and those of a section.
    assert view._drawing._renderer.GetActors().GetNumberOfItems() == 2 + 2 * 2 + 1
    view.set_frame([])
    assert not covered(view).any()
    view.set_frame(FITTED.parts, {}, WELDED)
    # The first frame after none is fitted.
    rows, _ = np.nonzero(covered(view))
    assert rows.min() >= 35


def failing(qtbot, made):
    qtbot.addWidget(made)
    made.resize(WIDE, HIGH)
    made.set_frame(FITTED.parts)
    with qtbot.waitSignal(made.failed, timeout=5000) as failed:
        made.show()
    assert failed.args == [made.problem]
    assert made.problem.startswith("The free view cannot be drawn here (")
    assert made.problem.endswith("; the side, plan and front views remain.")
    shown = pixels(made.grab().toImage())
    assert shown[2, 2].tolist() == [255, 255, 255]
    assert np.any(shown < 128), "it says so on the picture"
    made.turn(10.0, 5.0)
    made.choose("backbone")
    made.repaint()
    assert made.picture(300, 200).isNull()
    assert made.part_at(QPointF(100, 100)) == ""
    with qtbot.assertNotEmitted(made.part_picked):
        qtbot.mouseClick(made, Qt.MouseButton.LeftButton, pos=QPoint(100, 100))


def test_where_vtk_is_missing_the_view_says_so(qtbot, monkeypatch, caplog):
    monkeypatch.setitem(sys.modules, "app.window.space_drawing", None)
    with caplog.at_level(logging.CRITICAL):
        failing(qtbot, SpaceView("free view"))


def test_where_drawing_fails_the_view_says_so(qtbot, monkeypatch, caplog):
    from app.window import space_drawing

    def draw(*_args, **_options):
        text = "no memory"
        raise space_drawing.CannotDraw(text)

    monkeypatch.setattr(space_drawing.SpaceDrawing, "draw", draw)
    made = SpaceView("free view")
    with caplog.at_level(logging.CRITICAL):
        failing(qtbot, made)
    assert "(no memory)" in made.problem


ALONE = """
import sys
from pathlib import Path
import app.window.space_view as module
assert not [name for name in sys.modules if name.startswith("vtk")], "loaded too soon"
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from app.document.frame_file import open_frame
from geometry.fitup import solve
app = QApplication([])
view = module.SpaceView("free view")
view.set_frame(solve(open_frame(Path(sys.argv[1]))).parts)
view.turn(10.0, 10.0)
assert not [name for name in sys.modules if name.startswith("vtk")], "loaded too soon"
view.show()
view.grab()
print(view.problem)
QTimer.singleShot(250, app.quit)
app.exec()
"""


def alone(**environment):
    """The view in a process of its own."""
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", ALONE, str(SAMPLE)],
        capture_output=True, text=True, timeout=60, check=False,
        cwd=Path(__file__).parents[3], env={**os.environ, **environment},
    )  # fmt: skip


def test_vtk_is_loaded_late_says_nothing_and_goes_quietly():
    done = alone()
    assert (done.returncode, done.stdout.strip(), done.stderr) == (0, "", "")


@pytest.mark.skipif(
    sys.platform != "linux", reason="how to take OpenGL away is known here only on Linux"
)
def test_without_opengl_the_view_says_so_and_lives():
    """VTK itself ends the process there, when asked to draw."""
    done = alone(
        __EGL_VENDOR_LIBRARY_DIRS="/nonexistent",
        DISPLAY="",
        VTK_DEFAULT_OPENGL_WINDOW="vtkEGLRenderWindow",
    )
    assert done.returncode == 0, done.stderr
    if not done.stdout.strip():
        pytest.skip("there is another OpenGL here")
    assert "no OpenGL" in done.stdout
