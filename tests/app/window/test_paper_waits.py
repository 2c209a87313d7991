"""What is saved or printed on the page Paper is what stands there, though its sheets are still being made."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QDialog, QFileDialog

from app.window import printing
from app.window.paper_page import TEST
from app.window.printing import Order
from tests.app.window.test_paper_page import click, paper, told  # noqa: F401 - a fixture
from tests.readback import pages


@pytest.fixture
def asked_at(monkeypatch, tmp_path, qtbot, paper):  # noqa: F811
    """Where the file dialog proposed to save; it stays open until nothing is being made any more."""
    proposed = []

    def ask(_parent, _title, start, _kinds):
        proposed.append(Path(start).name)
        qtbot.waitUntil(lambda: not paper.making.busy, timeout=20_000)
        return str(tmp_path / Path(start).name), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", ask)
    return proposed


def text_of(path):
    return [" ".join(one["text"].split()) for one in pages(path.read_bytes())]


def lift(frame):
    front = frame.points["rail front"]
    return replace(frame, points={**frame.points, "rail front": replace(front, z=front.z + 20)})


def test_an_edit_that_was_just_made_is_on_the_sheets(qtbot, paper, tmp_path):  # noqa: F811
    window = paper.window()
    window.go_to("Frame")
    window.session.document.do("Move", lift)
    window.go_to("Paper")
    assert paper.making.busy
    paper.save_to(tmp_path / "at-once.pdf")
    assert paper.state.text() == "The sheets are being made …"
    told(qtbot, paper, "Saved")
    assert paper.made.result.fitted.frame == window.session.document.frame
    paper.state.setText("")
    paper.save_to(tmp_path / "later.pdf")
    told(qtbot, paper, "Saved")
    assert text_of(tmp_path / "at-once.pdf") == text_of(tmp_path / "later.pdf")


def test_another_paper_is_allowed_for(qtbot, paper, tmp_path):  # noqa: F811
    paper.form.thickness.set_value(0.3)
    assert paper.making.busy
    for name in ("at-once.pdf", "later.pdf"):
        paper.state.setText("")
        paper.save_to(tmp_path / name)
        told(qtbot, paper, "Saved")
    assert (tmp_path / "at-once.pdf").read_bytes() == (tmp_path / "later.pdf").read_bytes()


def untick(paper, row):  # noqa: F811
    paper.tree.topLevelItem(row).setCheckState(0, Qt.CheckState.Unchecked)
    assert paper.making.busy


def test_a_sheet_alone_is_the_one_that_was_meant_or_all(qtbot, paper, asked_at, tmp_path):  # noqa: F811
    click(qtbot, paper.view.small, 2)
    paper.which.these.click()
    untick(paper, 1)
    paper.save.click()
    told(qtbot, paper, "Saved")
    (name,) = asked_at
    whole = len(paper.made.sheets)
    assert len(pages((tmp_path / name).read_bytes())) == (1 if "-sheet-" in name else whole)


def test_what_is_printed_is_what_is_shown_then(qtbot, paper, monkeypatch):  # noqa: F811
    sent = []
    monkeypatch.setattr(printing, "send", lambda _o, sheets, *_: sent.extend(sheets) or "Sent")
    monkeypatch.setattr(printing, "ask_printer", lambda *_: (None, Order("", "A4", 210.0, 297.0)))
    click(qtbot, paper.view.small, 25)
    paper.which.these.click()
    untick(paper, 1)
    paper.print.click()
    told(qtbot, paper, "Sent")
    assert [one.title for one in sent] == [one.title for one in paper.view.wanted]


def test_another_sheet_in_the_place_of_the_one_alone_is_not_asked_for(paper):  # noqa: F811
    paper.view.small.setCurrentRow(20)
    paper.which.these.click()
    sheets = list(paper.view.sheets)
    sheets[20], sheets[30] = sheets[30], sheets[20]
    paper.view.show_sheets(sheets)
    assert len(paper.view.wanted) == len(sheets)
    paper.which.these.click()
    paper.view.show_sheets(list(sheets))
    assert paper.view.wanted == [sheets[20]]


def test_the_window_closes_not_underneath_a_dialog(qtbot, paper, tmp_path):  # noqa: F811
    window = paper.window()
    paper.save_book_to(tmp_path / "book")
    assert not window.close()
    dialog, seen = QDialog(window), []

    def look():
        if paper.work.busy or len(seen) < 3:
            seen.append(window.isVisible())
            QTimer.singleShot(400, look)
        else:
            dialog.reject()

    QTimer.singleShot(0, look)
    dialog.exec()
    assert all(seen)
    qtbot.waitUntil(lambda: not window.isVisible(), timeout=5000)


def test_the_window_stays_where_work_goes_on(qtbot, paper, tmp_path):  # noqa: F811
    window = paper.window()
    paper.save_book_to(tmp_path / "book")
    assert not window.close()
    window.session.document.do("Move", lift)
    assert window.notice.text() == ""
    told(qtbot, paper, "Saved the book")
    qtbot.wait(500)
    assert window.isVisible()


def test_what_was_asked_of_another_job_is_not_done(qtbot, paper, monkeypatch):  # noqa: F811
    monkeypatch.setattr(printing, "ask_printer", lambda *_: pytest.fail("of another job"))
    untick(paper, 1)
    paper.print.click()
    paper.choose(TEST)
    qtbot.waitUntil(lambda: paper.made.subject == TEST and not paper.making.busy, timeout=20_000)
    assert paper.state.text() == ""


def test_in_inches_a_sheet_is_still_drawn_as_it_prints(qtbot, open_window):
    """Also the bend drawing's dimensions, which are mm on paper."""
    window = open_window("Bend")
    window.inches.setChecked(True)
    qtbot.waitUntil(lambda: window.bend._solved and window.bend.result.job.inches)
    window.go_to("Paper")
    large = window.paper.view.large
    qtbot.waitUntil(lambda: large.drawing is not None and bool(large.drawing.items), timeout=20_000)
    assert window.bend.picture.dims_in_inches
    assert not large.dims_in_inches
