"""Pictures of every page as a person sees it, to be looked at.

    .venv/bin/python -m tests.screenshots DIR

Light and dark, mm and inch, 1024 x 700, 1600 x 1000, and 4K at 200 %; each page in its states: a field that has the
focus and points, wrong input, in space; a frame with a tube, a point, several points or nothing chosen, in each view,
while a tube is added, and led step by step. Nothing of the person's own settings is touched.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

SIZES = {"small": (1024, 700, 1), "large": (1600, 1000, 1), "4k": (1920, 1080, 2)}


def main(folder: Path) -> None:
    """Each size in a process of its own: Qt reads the scale once."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, (_, _, scale) in SIZES.items():
        with tempfile.TemporaryDirectory() as settings:
            subprocess.run(
                [sys.executable, "-m", "tests.screenshots", str(folder), name],
                env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "QT_SCALE_FACTOR": str(scale),
                     "COPEWRIGHT_SETTINGS": settings},
                check=True,
            )  # fmt: skip


def shoot(folder: Path, size: str) -> None:
    """All pictures of one size."""
    from PySide6.QtCore import QEventLoop, QTimer
    from PySide6.QtWidgets import QApplication, QTabWidget

    from app.window.colours import colour
    from app.window.main_window import MainWindow

    app = QApplication.instance() or QApplication([])
    width, height, _ = SIZES[size]

    def wait(milliseconds):
        # Not QTest.qWait, which keeps other threads from running.
        loop = QEventLoop()
        QTimer.singleShot(milliseconds, loop.quit)
        loop.exec()

    def settle(ready=lambda: True):
        for _ in range(400):
            wait(20)
            if ready():
                break
        wait(600)

    for theme in ("light", "dark"):
        for inches in (False, True):
            window = MainWindow()
            # The window itself begins in the colours of the settings.
            colour(theme)
            dark = app.palette().window().color().lightness() < 128
            assert dark == (theme == "dark")
            window.resize(width, height)
            window.inches.setChecked(inches)
            window.show()
            look = f"{size}-{theme}-{'inch' if inches else 'mm'}"

            def save(name, shown=window, look=look):
                shown.grab().save(str(folder / f"{look}-{name}.png"))

            for name in ("Joint", "Bend"):
                window.go_to(name)
                page = window.page(name)
                settle(lambda page=page: page.result is not None)
                save(name)
                first = page.fields["angle" if name == "Joint" else "radius"]
                first.edit.setFocus()
                settle()
                save(f"{name}-pointing")
                tabs = next(
                    t for t in page.findChildren(QTabWidget) if t.accessibleName() == "views"
                )
                tabs.setCurrentIndex(1)
                settle()
                save(f"{name}-space")
                tabs.setCurrentIndex(0)
                first.edit.setText("12 apples")
                first.edit.textEdited.emit("12 apples")
                settle()
                save(f"{name}-wrong")
                first.set_value(first.value)
            window.go_to("Start")
            settle()
            save("Start")
            shoot_frame(window, settle, save)
            window.document.let_go()
            window.actions_of_frame.ask_to_lose = lambda: "lose"
            window.close()


def shoot_frame(window, settle, save):
    """The page of a frame, and its sheets."""
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    inches = window.session.inches
    window.actions_of_frame.begin()
    window.inches.setChecked(inches)
    window.walk()
    settle()
    save("Frame-walk")
    page = window.frame
    for _ in range(5):
        page.walk.do.click()
    page.column.add.click()
    page.forms.new.name.setText("strut")
    page.forms.new.points[0].setEditText("arm front")
    page.forms.new.points[1].setEditText("high: 0, 160, 400")
    settle()
    save("Frame-adding")
    page.end_walk()
    window.actions_of_frame.open_sample("single-cylinder")
    window.inches.setChecked(inches)
    settle(lambda: page.result is not None and page.result.fitted.frame == page.frame)
    save("Frame")
    page.choose("Tubes", "main rail")
    settle()
    save("Frame-tube")
    page.details.tabs.setCurrentIndex(2)
    page.views.lines.setChecked(True)
    settle()
    save("Frame-lines")
    page.views.lines.setChecked(False)
    page.views.tabs.setCurrentIndex(1)
    page.views.names.setChecked(True)
    page.choose("Points", "rail head")
    settle()
    save("Frame-point")
    page.column.points.selectAll()
    page.views.tabs.setCurrentIndex(3)
    settle()
    save("Frame-points")
    page.choose("Stock", "rail")
    page.edits.drag("rail head", (700.0, 60.0, 700.0), page._places(), done=True)
    page.column.findings.click()
    page.views.tabs.setCurrentIndex(2)
    settle(lambda: page.result.fitted.frame == page.frame)
    save("Frame-findings")
    from app.window.came_back import CameBackDialog

    frame = page.frame
    asked = CameBackDialog(frame, frame.tube("main rail"), "left", window, inches=inches)
    asked.table.item(1, 1).setText("71")
    asked.show()
    settle(asked.keep.isEnabled)
    save("Frame-came-back", asked)
    asked.close()
    window.go_to("Paper")
    settle(lambda: window.paper.made is not None and not window.paper.view._blank)
    save("Paper")
    window.paper.choose("full-size")
    settle(lambda: window.paper.made.subject == "full-size" and not window.paper.view._blank)
    save("Paper-full-size")
    window.paper.choose("test")
    settle()
    save("Paper-test")


if __name__ == "__main__":
    if len(sys.argv) == 3:
        shoot(Path(sys.argv[1]), sys.argv[2])
    else:
        main(Path(sys.argv[1]))
