"""The page of a frame beside its floors, with the motorcycle.

    .venv/bin/pytest tests/benchmarks/test_frame_window.py -s

- An edit until the view in front is painted anew, beside painting it and nothing else; in space beside VTK's own
  drawing of the same picture, for which what has changed is as new to it.
- A point dragged as fast as a mouse tells it: pictures a second.
- The longest that the window does not listen, while a frame is opened, edited, looked over, and its book written.
"""

from __future__ import annotations

import gc
import statistics
import sys
import time
from itertools import pairwise

import pytest
from PySide6.QtCore import QEventLoop, QPoint, QPointF, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.window.frame_views import FLAT, IN_SPACE
from app.window.garbage import Garbage
from app.window.main_window import MainWindow
from app.window.start import SWITCH_SECONDS

ROUNDS = 15
EACH = 9
VIEWS = [IN_SPACE, *FLAT]
POINTS = {"rail head": "all of it", "head high": "half of it", "peg outer": "two short tubes"}


@pytest.fixture(autouse=True)
def settings(tmp_path, monkeypatch):
    monkeypatch.setenv("COPEWRIGHT_SETTINGS", str(tmp_path))
    before = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH_SECONDS)
    # As the program has it: no garbage is collected while an edit is cut.
    garbage = Garbage()
    yield
    garbage.deleteLater()
    gc.enable()
    gc.unfreeze()
    sys.setswitchinterval(before)


def wait(milliseconds):
    """Not QTest.qWait, which keeps other threads from running."""
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()


def wait_for(signal):
    loop = QEventLoop()
    signal.connect(loop.quit)
    QTimer.singleShot(5000, loop.quit)
    loop.exec()
    signal.disconnect(loop.quit)


@pytest.fixture
def page(qtbot):
    window = MainWindow()
    qtbot.addWidget(window, before_close_func=lambda one: one.document.let_go())
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.resize(1600, 1000)
    window.show()
    wait(300)
    window.actions_of_frame.open_sample("single-cylinder")
    wait(1500)
    yield window.frame
    window.close()


def moved(page, point, step):
    x, y, z = page._places()[point]
    page.edits.drag(point, (x + step, y, z), page._places(), done=True)


def as_new(page):
    """What VTK draws is as new to it as after an edit."""
    drawing = page.views.space._drawing
    mappers = [mapper for lines in drawing._lines for mapper in (lines._edges, lines._contour)]
    for data in (drawing._skins.data, *(mapper.GetInput() for mapper in mappers)):
        arrays = [data.GetPoints().GetData()]
        arrays += map(data.GetPointData().GetArray, range(data.GetPointData().GetNumberOfArrays()))
        for changed in (*arrays, data.GetPoints(), data.GetPolys(), data.GetLines(), data):
            changed.Modified()


def timed(page, point, step):
    """Milliseconds from an edit until the view in front is painted, and of painting the same alone."""
    start = time.perf_counter()
    moved(page, point, step)
    wait_for(page.seeing.finished)
    page.views.view.repaint()
    edit = time.perf_counter() - start
    # What takes longer comes after, and is shown; it is not to be measured here.
    wait_for(page.background.finished)
    QApplication.processEvents()
    start = time.perf_counter()
    if page.views.title == IN_SPACE:
        as_new(page)
        page.views.space._again()
    page.views.view.repaint()
    return 1000 * edit, 1000 * (time.perf_counter() - start)


def rounds(page, point, count, unit=0.5):
    """The medians of several edits about where a point is, each to another place: what is kept would be found again."""
    times = []
    for number in range(count):
        step = unit * (number + 1) * (-1) ** number
        times.append(timed(page, point, step))
    return [statistics.median(kind) for kind in zip(*times, strict=True)]


@pytest.mark.parametrize("point", list(POINTS))
@pytest.mark.parametrize("title", VIEWS)
def test_an_edit_to_the_view_redrawn(page, title, point):
    page.views.tabs.setCurrentIndex(VIEWS.index(title))
    wait(600)
    # Each view by steps of its own: what the last one had cut is kept.
    whole, floor = rounds(page, point, ROUNDS, 0.5 + 0.017 * VIEWS.index(title))
    print(f"\n{title}, {point} ({POINTS[point]}): edit to painted {whole:.1f} ms, painting alone {floor:.1f} ms, "
          f"beyond it {whole - floor:.1f} ms")  # fmt: skip


def test_every_point_of_the_motorcycle_is_moved(page):
    """What most edits take, and what the one takes that moves most."""
    page.views.tabs.setCurrentIndex(VIEWS.index(IN_SPACE))
    wait(600)
    home, beyond = page.frame, {}
    for number, point in enumerate(page._places()):
        # Points of both hands move the same: each by a step of its own.
        unit = 0.5 + 0.013 * number
        moved(page, point, unit)
        if page.frame is home:
            # It hangs on another, and is not moved by hand.
            continue
        wait_for(page.background.finished)
        whole, floor = rounds(page, point, EACH, unit)
        beyond[point] = whole - floor
        page.document.do("Back", lambda _: home)
        wait_for(page.background.finished)
        QApplication.processEvents()
    most = max(beyond, key=beyond.__getitem__)
    fast = sum(value < 30.0 for value in beyond.values())
    print(f"\n{len(beyond)} points, each moved: edit to painted, beyond painting alone, {statistics.median(beyond.values()):.1f} ms, "
          f"{fast} of them under 30 ms, at most {beyond[most]:.1f} ms ({most})")  # fmt: skip
    print(
        ", ".join(
            f"{name} {value:.0f}"
            for name, value in sorted(beyond.items(), key=lambda one: -one[1])[:8]
        )
    )


@pytest.mark.parametrize("point", ["rail head", "head high"])
def test_a_point_is_dragged(page, point):
    page.views.tabs.setCurrentIndex(VIEWS.index("Side"))
    view = page.views.flat["Side"]
    wait(600)
    painted = []
    paint = view._paint
    view._paint = lambda painter: (painted.append(time.perf_counter()), paint(painter))
    at = view.pixel(QPointF(*view.scene.points[point])).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=at)
    cut, seconds = [], 2.0
    page.seeing.finished.connect(lambda _: cut.append(1))
    start = time.perf_counter()
    number = 0
    while time.perf_counter() - start < seconds:
        number += 1
        QTest.mouseMove(view, at + QPoint(number % 60, number % 37))
        # As a mouse does: no faster than 125 times a second.
        wait(8)
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=at)
    gaps = [1000 * (b - a) for a, b in pairwise(painted)]
    print(f"\n{point} dragged: {len(painted) / seconds:.0f} pictures a second, cut {len(cut) / seconds:.0f} times a "
          f"second, longest gap {max(gaps):.0f} ms")  # fmt: skip


class Ticks:
    """The longest time between two looks at what is waiting."""

    def __init__(self):
        self.last, self.longest = time.perf_counter(), 0.0
        self.timer = QTimer()
        self.timer.setInterval(0)
        self.timer.timeout.connect(self.tick)
        self.timer.start()

    def tick(self):
        now = time.perf_counter()
        self.longest, self.last = max(self.longest, now - self.last), now

    def told(self, what):
        print(f"\n{what}: the window does not listen for {1000 * self.longest:.0f} ms at most")
        self.last, self.longest = time.perf_counter(), 0.0


def test_the_window_listens(page, tmp_path):
    window = page.window()
    ticks = Ticks()
    window.actions_of_frame.open_sample("cargo-trike")
    wait(1500)
    ticks.told("another frame opened")
    window.actions_of_frame.open_sample("single-cylinder")
    wait(1500)
    ticks.told("the motorcycle opened again")
    for _ in range(10):
        moved(page, "rail head", 1.0)
        wait(250)
    ticks.told("edited and looked over, in space")
    page.choose("Tubes", "main rail")
    wait(500)
    ticks.told("a tube chosen")
    window.go_to("Paper")
    wait(200)
    ticks.last = time.perf_counter()
    ticks.longest = 0.0
    wait(4000)
    ticks.told("its sheets made")
    window.paper.save_book_to(tmp_path / "book")
    wait_for(window.paper.work.finished)
    ticks.told("its book written")
    QApplication.processEvents()
