"""Walks through the window in a made-up language, and writes down which of its words are still in English.

Run as a module, in a process of its own: a page's words are put into the language when it is loaded.
"""

from __future__ import annotations

import gc
import json
import re
import sys
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEventLoop, QLocale, QPointF, QTimer
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QFileDialog,
    QMessageBox,
    QTabBar,
    QTableWidgetItem,
)

from app.document.log import log_file
from app.document.recovery import Unsaved
from app.document.samples import sample_frame, samples
from app.window.words import load_language, set_country
from geometry.errors import CopewrightError
from geometry.frame import Frame, made_names
from tests.app.window.spoken import Spoken


def wait(milliseconds: int) -> None:
    # Not QTest.qWait, which keeps other threads from running.
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()


def until(ready) -> None:
    for _ in range(1500):
        wait(20)
        if ready():
            return
    raise TimeoutError


def type_in(field, text: str) -> None:
    field.edit.setText(text)
    field.edit.textEdited.emit(text)


class Walk:
    """Every page of a window, in the states that say something else."""

    def __init__(self, spoken: Spoken, folder: Path) -> None:
        from app.window.main_window import MainWindow

        self.spoken, self.folder = spoken, folder
        self.window = MainWindow(None)
        self.window.show()
        spoken.names |= {str(folder), str(log_file()), str(log_file().parent), "RuntimeError"}
        self._know_frame(sample_frame("paddock-stand"))

    def look(self, where: str) -> None:
        """Take all that is on the screen, and what of it is not the window's to translate."""
        window, pages = self.window, self.window._made
        self._know_frame(window.document.frame)
        if "Paper" in pages and window.paper.made:
            for sheet in window.paper.made.sheets:
                self.spoken.names.add(sheet.label)
                self.spoken.sentences.add(sheet.title)
        self.spoken.look(where)

    def _know_frame(self, frame: Frame) -> None:
        names = {frame.name, *frame.points, *frame.stock}
        self.spoken.names |= names.union(*({tube.name, *made_names(tube)} for tube in frame.tubes))
        # Of a tube of one hand the choice of hands, which is hidden, has the end of its name.
        self.spoken.names |= {t.name.rpartition(" ")[2] for t in frame.tubes if not t.handed}

    def parts(self) -> None:
        """The pages of one part."""
        window = self.window
        for key in ("Joint", "Bend"):
            window.go_to(key)
            page = window.page(key)
            until(lambda page=page: re.match(r"⟦⟦\d", page.paper_line.text()))
            self.look(key)
            for name in page.fields:
                page.point(name)
                self.look(f"{key}, {name}")
            page.point(None)
            self._wrong(key, page)
            page.save_to(self.folder)
            until(lambda page=page: not page.writing.busy)
            self.spoken.names |= {path.name for path in self.folder.iterdir()}
            self.look(f"{key}, saved")
            page.save.click()
            page.print.click()
            page.into_frame.choose = self._way
            page.into_frame.click()
            window.explain()
            self.look(f"{key}, explained")
            page.counting.failed.emit(CopewrightError("x"))
            page.show_error(RuntimeError("x"))
            self.look(f"{key}, broken")
        self._measure()
        self._bend_table()

    def _wrong(self, key: str, page) -> None:
        first = next(iter(page.fields.values()))
        for inches, text in ((False, "six apples"), (False, "9999999"), (True, "999999")):
            self.window.inches.setChecked(inches)
            self.look(f"{key}, another unit")
            type_in(first, text)
            self.spoken.names.add(text)
            self.look(f"{key}, wrong")
        self.window.inches.setChecked(False)
        first.set_value(38.1)
        until(page.save.isEnabled)

    def _way(self, ways):
        for way in ways:
            self.spoken.take(way.words, "into the frame")
        return ways[0]

    def _measure(self) -> None:
        view = self.window.joint.wrap_view
        view._points = [QPointF(0, 0), QPointF(3.25, 4.5)]
        self.spoken.take(view.measured_words(), "measured")

    def _bend_table(self) -> None:
        bend = self.window.bend
        bend.point(1)
        for row, column, text in ((1, 1, ""), (0, 3, "7"), (1, 0, "apples")):
            before = bend.points.item(row, column).text() if bend.points.item(row, column) else ""
            bend.points.setItem(row, column, QTableWidgetItem(text))
            self.spoken.names.add(text or "7")
            self.look(f"Bend, cell {row} {column}")
            bend.points.setItem(row, column, QTableWidgetItem(before))
        type_in(bend.fields["quantity"], "2.5")
        self.look("Bend, quantity")
        bend.fields["quantity"].set_value(1)
        for tabs in bend.findChildren(QTabBar):
            tabs.setCurrentIndex(1)
        self.look("Bend, tabs")

    def frame(self) -> None:
        """The frame's page."""
        # Not before the language is there.
        from app.window.frame_column import KINDS

        window = self.window
        window.actions_of_frame.ask_to_lose = lambda: "lose"
        window.actions_of_frame.open_sample("single-cylinder")
        page = window.frame
        until(lambda: page.result is not None and page.result.fitted.frame == page.frame)
        self.look("Frame")
        for kind, one in zip(KINDS, page.column.lists, strict=True):
            for name in ["", *one.names]:
                page.choose(kind, name)
                until(lambda: not page.details.drawing.busy)
                self.look(f"Frame, {kind}, {name}")
        page.choose("Points", "")
        for row in range(4):
            page.column.points.item(row).setSelected(True)
        for index in range(page.forms.points.way.count()):
            page.forms.points.way.setCurrentIndex(index)
            self.look("Frame, several points")
        for index in range(page.views.tabs.count()):
            page.views.tabs.setCurrentIndex(index)
            self.look(f"Frame, view {index}")
        page.views.keep.trigger()
        self._edits(page)
        for part in ("main rail left", "main rail right"):
            page._measure(part)
        page._show_error(RuntimeError("x"))
        self.look("Frame, broken")

    def _edits(self, page) -> None:
        """Changes to the frame, each with its name in the menu."""
        page.choose("Tubes", page.frame.tubes[-1].name)
        page.column.copy.click()
        self.look("Frame, copied")
        page.column.take_out.click()
        self.look("Frame, taken out")
        page.copy_rows()
        self.look("Frame, rows copied")
        self.window.actions_of_frame.undo.trigger()
        self.look("Frame, undone")
        for kind in ("Points", "Stock", "Tools", "Tubes"):
            page.choose(kind, "")
            page.column.add.click()
            self.look(f"Frame, {kind}, one more")
        new = page.forms.new
        for combo, point in zip(new.points, list(page.frame.points)[:2], strict=True):
            combo.setEditText(point)
        until(lambda: not new.proposing.busy)
        self.look("Frame, a tube proposed")
        new.leave.click()
        self.window.import_tables()
        self.window.export_tables()

    def paper(self) -> None:
        """The page Paper, with all that it prints."""
        self.window.go_to("Paper")
        page = self.window.paper
        for key in [page.subject.itemData(index) for index in range(page.subject.count())]:
            self._print(key)
            self.look(f"Paper, {key}")
            page.save.click()
            page.print.click()
        self._printer(page.form)
        self._print("book")
        page.save_to(self.folder / "b.pdf")
        self.spoken.names.add(str(self.folder / "b.pdf"))
        until(lambda: not page.work.busy)
        self.look("Paper, saved")
        page.which.these.click()
        self.look("Paper, one chosen")
        for row in range(2):
            page.view.small.item(row).setSelected(True)
        self.look("Paper, some chosen")
        page.dxf.click()
        until(lambda: not page.work.background.busy)
        self.look("Paper, DXF saved")
        page.none.click()
        until(lambda: not page.making.busy)
        self.look("Paper, nothing ticked")
        page._say_failure(RuntimeError("x"))
        self.look("Paper, broken")

    def _print(self, key: str) -> None:
        page = self.window.paper
        page.choose(key)
        until(lambda: page.made is not None and page.made.subject == key)
        until(lambda: not page.making.busy)

    def _printer(self, form) -> None:
        """Measuring a printer."""
        self.spoken.names.add("Laser 3")
        form.name_printer("Laser 3")
        form.keep.click()
        self.look("Paper, kept")
        form.forget.click()
        self.look("Paper, forgotten")
        type_in(form.across, "7 o")
        self.spoken.names.add("7 o")
        form.keep.click()
        self.look("Paper, wrong bar")
        form.name_printer("")
        form.keep.click()
        self.look("Paper, no printer")
        form.sheet.setCurrentIndex(form.sheet.findData("roll"))
        self.look("Paper, a roll")
        form.sheet.setCurrentIndex(0)

    def rest(self) -> None:
        """What is asked, the first frame step by step, and what goes wrong."""
        from app.window.trouble import Trouble

        window, actions = self.window, self.window.actions_of_frame
        window.about()
        for ask in (actions._ask_to_lose, actions._ask_to_overwrite, actions._ask_to_reread):
            ask()
        for path in ("", "stand.frame"):
            actions._ask_to_restore(Unsaved("key", path, 0.0, window.document.frame))
        actions._choose_to_open()
        actions._choose_to_save()
        window.frame.begin_walk()
        for _ in range(20):
            self.look("the walk")
            if not window.frame.walk.do.isVisibleTo(window.frame.walk):
                break
            window.frame.walk.do.click()
        trouble = Trouble(window)
        trouble.tell(RuntimeError, RuntimeError("x"), None)
        self.look("trouble")
        trouble.close()


def answer_dialogs(walk: Walk) -> None:
    """No dialog waits for anybody; what it says is taken down."""
    from app.window.came_back import CameBackDialog

    spoken = walk.spoken
    # The file of a frame without one, and of what an earlier window did not save.
    spoken.names |= {
        "None",
        "stand.frame",
        "single-cylinder-motorcycle-papers",
        "tube-papers",
        "joint-papers",
    }

    def box(self) -> int:
        walk.look("a question")
        return 0

    def said(_parent, title: str, words: str, *_more) -> QMessageBox.StandardButton:
        spoken.take(title, "a dialog's title")
        spoken.take(words, "a dialog")
        return QMessageBox.StandardButton.No

    def file(_parent, title: str, _start: str = "", kinds: str = "") -> tuple[str, str]:
        spoken.take(title, "a file dialog's title")
        for kind in kinds.split(";;"):
            spoken.take(re.sub(r"\(.*\)", "", kind), "a file dialog's kinds")
        return "", ""

    def place(_parent, title: str, _start: str = "") -> str:
        spoken.take(title, "a folder dialog's title")
        return str(walk.folder)

    def dialog(self) -> QDialog.DialogCode:
        spoken.take(self.windowTitle(), "the print dialog")
        return QDialog.DialogCode.Rejected

    def measured(one) -> int:
        walk.look("what came back")
        one.table.item(1, 1).setText("71")
        until(one.keep.isEnabled)
        walk.look("what came back, judged")
        (one.forget if one._before else one.keep).click()
        return one.result()

    CameBackDialog.exec = measured
    QMessageBox.exec = box
    QMessageBox.question = QMessageBox.about = staticmethod(said)
    QFileDialog.getOpenFileName = QFileDialog.getSaveFileName = staticmethod(file)
    QFileDialog.getExistingDirectory = staticmethod(place)
    QPrintDialog.exec = dialog


def main(languages: Path, folder: Path, told: Path) -> None:
    set_country(QLocale("de_DE"))
    application = QApplication([])
    loaded = load_language(application, languages)
    gc.disable()
    spoken = Spoken()
    # What is typed in any language, see geometry.point_text and geometry.units; the classes of a tolerance.
    spoken.names |= {
        "mirror of",
        "on rail at 120",
        "on rail at 50 %",
        "on rail at height 550",
        "roller: 0, -190, 45",
        "left: mirror of right",
        "30x2",
        "1-1/4 x 14swg",
        "1,5in",
        # Points in what is printed too, and a unit that there is not.
        *(f"P{number}" for number in range(9)),
        "o",
        *"ABCD",
        # A button that Qt itself has words for.
        QCoreApplication.translate("QPlatformTheme", "Close"),
    }
    # From the samples' own README files.
    for one in samples():
        spoken.sentences |= {one.title, one.words}
    walk = Walk(spoken, folder)
    answer_dialogs(walk)
    walk.look("Start")
    for part in (walk.parts, walk.frame, walk.paper, walk.rest):
        part()
    answer = {"loaded": loaded, "left": spoken.left(), "seen": len(spoken.seen)}
    told.write_text(json.dumps(answer))
    walk.window.actions_of_frame.ask_to_lose = lambda: "lose"
    walk.window.close()


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:]))
