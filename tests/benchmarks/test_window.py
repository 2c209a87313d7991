"""The window's speed beside its floors.

    .venv/bin/pytest tests/benchmarks/test_window.py -s

- A keystroke until the page is painted again, beside painting the same page and nothing else.
- Start until the first painted window, beside an empty Qt window with numpy; and until the first wrap is
  drawn.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time

import pytest
from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication, QLabel, QTableWidget

from app.window.drawing_view import DrawingView
from app.window.main_window import MainWindow

ROUNDS = 40


@pytest.fixture(autouse=True)
def settings(tmp_path, monkeypatch):
    monkeypatch.setenv("COPEWRIGHT_SETTINGS", str(tmp_path))


def wait_for(signal):
    loop = QEventLoop()
    signal.connect(loop.quit)
    QTimer.singleShot(5000, loop.quit)
    loop.exec()
    signal.disconnect(loop.quit)


@pytest.mark.parametrize("name", ["Joint", "Bend", "Bend in space"])
def test_keystroke_to_painted_page(qtbot, name):
    window = MainWindow()
    qtbot.addWidget(window)
    window.resize(1600, 1000)
    window.show()
    window.go_to(name.split()[0])
    page = window.current()
    qtbot.waitUntil(lambda: page.result is not None)
    if "space" in name:
        page.points.recall(
            [["0", "0", "0"], ["400", "150", "0"], ["700", "0", "300"], ["900", "300", "200"]]
        )
    qtbot.wait(300)
    field = page.fields["angle" if name == "Joint" else "radius"]
    field.edit.setFocus()
    typed, painted = [], []
    for number in range(ROUNDS):
        text = str(40 + number % 7)
        start = time.perf_counter()
        field.edit.setText(text)
        field.edit.textEdited.emit(text)
        wait_for(page.background.finished)
        QApplication.processEvents()
        typed.append(time.perf_counter() - start)
        start = time.perf_counter()
        for view in [
            w for kind in (DrawingView, QLabel, QTableWidget) for w in page.findChildren(kind)
        ]:
            view.update()
        QApplication.processEvents()
        painted.append(time.perf_counter() - start)
    whole, floor = (1000 * statistics.median(times) for times in (typed, painted))
    print(f"\n{name}: keystroke to painted {whole:.1f} ms, painting alone {floor:.1f} ms, "
          f"beyond it {whole - floor:.1f} ms")  # fmt: skip
    window.close()


EMPTY = """
import time; start = time.perf_counter()
import numpy
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication([])
class Window(QMainWindow):
    def paintEvent(self, event):
        print(time.perf_counter() - start, flush=True); __import__("os")._exit(0)
window = Window(); window.resize(1024, 700); window.show(); app.exec()
"""
OURS = """
import time; start = time.perf_counter()
import os
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
app = QApplication([])
from app.window.main_window import MainWindow
class Window(MainWindow):
    first = True
    def paintEvent(self, event):
        super().paintEvent(event)
        if self.first:
            self.first = False
            print(time.perf_counter() - start, flush=True)
            QTimer.singleShot(0, self.listen)
    def listen(self):
        self.joint.background.finished.connect(self.drawn)
    def drawn(self, _):
        self.repaint()
        print(time.perf_counter() - start, flush=True); os._exit(0)
window = Window(); window.show(); app.exec()
"""


def test_start_to_first_painted_window():
    def run(script):
        done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True,
                              env={**os.environ, "PYTHONPATH": os.getcwd()}, timeout=60, check=True)  # fmt: skip
        return [float(line) for line in done.stdout.split()]

    rounds = [(run(EMPTY), run(OURS)) for _ in range(7)]
    empty = statistics.median(one[0] for one, _ in rounds)
    first, wrap = (statistics.median(two[i] for _, two in rounds) for i in range(2))
    print(f"\nempty window with numpy {empty * 1000:.0f} ms; ours painted {first * 1000:.0f} ms, "
          f"{first / empty:.2f} times; wrap drawn {wrap * 1000:.0f} ms, {wrap / empty:.2f} times")  # fmt: skip
