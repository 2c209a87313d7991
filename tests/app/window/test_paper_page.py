"""The page Paper: the sheets are the book, all of them or one alone; printed, saved, stopped."""

from __future__ import annotations

import threading
import time
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from app.cli import main
from app.window import printing
from app.window.long_work import LongWork
from app.window.paper_page import BOOK, FULL_SIZE, TEST
from app.window.printing import Order
from tests.readback import pages

SAMPLES = Path(__file__).parents[3] / "sample_projects"


@pytest.fixture
def paper(qtbot, open_window):
    """The page with the motorcycle's book on it."""
    window = open_window("Frame")
    window.actions_of_frame.open_sample("single-cylinder")
    window.go_to("Paper")
    made(qtbot, window.paper, BOOK)
    return window.paper


def made(qtbot, page, subject):
    page.choose(subject)
    qtbot.waitUntil(
        lambda: page.made is not None and page.made.subject == subject and not busy(page),
        timeout=20_000,
    )


def busy(page):
    return page.making.busy


def told(qtbot, page, word):
    qtbot.waitUntil(lambda: word in page.state.text(), timeout=20_000)


def test_the_sheets_are_the_book(qtbot, paper, tmp_path):
    """What is on the page, what it saves, and what the command writes are the same bytes."""
    paper.save_to(tmp_path / "own.pdf")
    told(qtbot, paper, "Saved")
    assert (
        main(
            [
                "book",
                str(SAMPLES / "single-cylinder/single-cylinder.frame"),
                "--out",
                str(tmp_path / "book"),
            ]
        )
        == 0
    )
    assert (tmp_path / "own.pdf").read_bytes() == (tmp_path / "book" / "book.pdf").read_bytes()
    paper.save_book_to(tmp_path / "window")
    told(qtbot, paper, "Saved the book")
    files = {path.relative_to(tmp_path / "book") for path in (tmp_path / "book").rglob("*.*")}
    assert files == {
        path.relative_to(tmp_path / "window") for path in (tmp_path / "window").rglob("*.*")
    }
    for name in files:
        assert (tmp_path / "book" / name).read_bytes() == (
            tmp_path / "window" / name
        ).read_bytes(), name


def test_tubes_and_ends_are_chosen(qtbot, paper, tmp_path):
    whole = len(paper.made.sheets)
    paper.none.click()
    qtbot.waitUntil(lambda: not paper.made.sheets)
    assert not any(one.isEnabled() for one in (paper.print, paper.save, paper.dxf))
    assert paper.which.count.text().startswith("Nothing is ticked: tick ")
    front = paper.tree.findItems("cover, findings", Qt.MatchFlag.MatchStartsWith)[0]
    front.setCheckState(0, Qt.CheckState.Checked)
    qtbot.waitUntil(lambda: bool(paper.made.sheets))
    # Cover and tables are on paper alone.
    assert paper.print.isEnabled()
    assert not paper.dxf.isEnabled()
    assert paper.made.stem == "single-cylinder-motorcycle-book-some-sheets"
    front.setCheckState(0, Qt.CheckState.Unchecked)
    qtbot.waitUntil(lambda: not paper.made.sheets)
    part = paper.tree.findItems("head stay", Qt.MatchFlag.MatchExactly)[0]
    part.setCheckState(0, Qt.CheckState.Checked)
    qtbot.waitUntil(lambda: bool(paper.made.sheets))
    assert paper.tree.chosen == [("head stay", "start"), ("head stay", "finish")]
    assert paper.made.stem == "single-cylinder-motorcycle-head-stay"
    titles = [sheet.title for sheet in paper.made.sheets]
    assert len(titles) < whole
    assert any("head stay" in title for title in titles)
    assert not any("main rail" in title for title in titles)
    paper.save_dxf_to(tmp_path)
    told(qtbot, paper, "Saved 2 DXF files")
    assert sorted(p.name for p in (tmp_path / "dxf").iterdir()) == [
        "head-stay-finish.dxf",
        "head-stay-start.dxf",
    ]
    paper.all.click()
    qtbot.waitUntil(lambda: len(paper.made.sheets) == whole)
    assert paper.tree.chosen is None
    assert paper.made.stem == "single-cylinder-motorcycle-book"


def test_single_sheets_are_saved_alone(qtbot, paper, tmp_path):
    for row in (1, 3):
        paper.view.small.item(row).setSelected(True)
    assert [sheet.label for sheet in paper.view.wanted] == ["2", "4"]
    assert paper.which.count.text().startswith("2 of ")
    paper.save_to(tmp_path / "some.pdf")
    told(qtbot, paper, "Saved")
    read = pages((tmp_path / "some.pdf").read_bytes())
    assert [
        f"page {number} of" in " ".join(one["text"].split())
        for one, number in zip(read, (2, 4), strict=True)
    ]


def test_a_long_name_in_the_tree_ends_in_its_hand(qtbot, paper):
    tree = paper.tree
    assert tree.textElideMode() == Qt.TextElideMode.ElideMiddle
    (part,) = tree.findItems("main rail left", Qt.MatchFlag.MatchExactly)
    assert part.toolTip(0) == "main rail left"


def test_one_sheet_is_saved_alone(qtbot, paper, tmp_path):
    """A click only looks at a sheet; the one in front alone is asked for, and follows what is looked at."""
    whole = len(paper.made.sheets)
    click(qtbot, paper.view.small, 1)
    assert paper.which.all.isChecked()
    assert paper.which.count.text() == f"{whole} sheets, to print at 100 %"
    paper.which.these.click()
    assert paper.which.count.text() == f"sheet 2 of {whole}, to print at 100 %"
    click(qtbot, paper.view.small, 2)
    assert paper.which.count.text() == f"sheet 3 of {whole}, to print at 100 %"
    paper.save_to(tmp_path / "one.pdf")
    told(qtbot, paper, "Saved")
    (read,) = pages((tmp_path / "one.pdf").read_bytes())
    assert f"page 3 of {whole}" in " ".join(read["text"].split())
    # Several that are chosen go before it, and "all" means all, the sheet staying in front.
    paper.view.small.item(3).setSelected(True)
    assert [sheet.label for sheet in paper.view.wanted] == ["3", "4"]
    assert paper.which.these.text() == "those chosen alone"
    paper.which.all.click()
    assert paper.view.wanted == paper.made.sheets
    assert paper.view.large.drawing is paper.made.sheets[2].drawing
    # Another job is wanted whole again.
    paper.which.these.click()
    made(qtbot, paper, FULL_SIZE)
    assert paper.view.wanted == paper.made.sheets
    assert paper.which.all.isChecked()


def test_one_sheet_is_printed_alone(qtbot, paper, monkeypatch):
    sent = []
    monkeypatch.setattr(printing, "send", lambda order, sheets, *_: sent.extend(sheets) or "Sent")
    monkeypatch.setattr(printing, "ask_printer", lambda *_: (None, Order("", "A4", 210.0, 297.0)))
    click(qtbot, paper.view.small, 1)
    paper.which.these.click()
    paper.print.click()
    told(qtbot, paper, "Sent")
    assert [sheet.label for sheet in sent] == ["2"]


def click(qtbot, small, row):
    place = small.visualItemRect(small.item(row)).center()
    qtbot.mouseClick(small.viewport(), Qt.MouseButton.LeftButton, pos=place)


def test_the_sheet_chosen_is_the_sheet_that_is_shown(qtbot, paper):
    paper.form.sheet.setCurrentIndex(paper.form.sheet.findData("A3"))
    qtbot.waitUntil(
        lambda: paper.made.sheets and paper.made.sheets[0].paper.name == "A3", timeout=20_000
    )
    made(qtbot, paper, FULL_SIZE)
    assert all(sheet.paper.name == "A3" for sheet in paper.made.sheets)
    paper.form.sheet.setCurrentIndex(paper.form.sheet.findData("roll"))
    qtbot.waitUntil(lambda: paper.made.sheets[0].paper.name == "roll", timeout=20_000)


def test_every_small_sheet_is_painted(qtbot, paper):
    qtbot.waitUntil(lambda: not paper.view._blank, timeout=20_000)
    for row in range(paper.view.small.count()):
        picture = paper.view.small.item(row).icon().pixmap(96, 128).toImage()
        tones = {
            picture.pixelColor(x, y).lightness() for x in range(0, 96, 2) for y in range(0, 128, 2)
        }
        assert min(tones) < 170
        assert max(tones) == 255


def test_a_book_can_be_stopped_and_nothing_is_written(qtbot, paper, tmp_path):
    paper.save_book_to(tmp_path / "book")
    qtbot.waitUntil(lambda: paper.work.isVisible())
    paper.work.stop.click()
    told(qtbot, paper, "Stopped; nothing was written")
    assert not (tmp_path / "book").exists()
    assert not paper.work.isVisible()


def test_a_print_can_be_stopped(qtbot, paper, monkeypatch):
    sent = []

    def send(order, sheets, title, printer, progress):
        # As slow as a printer's driver may be.
        for number, _ in enumerate(sheets):
            progress(number, len(sheets), title)
            sent.append(number)
            time.sleep(0.05)
        return "Sent"

    monkeypatch.setattr(printing, "send", send)
    monkeypatch.setattr(printing, "ask_printer", lambda *_: (None, Order("", "A4", 210.0, 297.0)))
    paper.print.click()
    qtbot.waitUntil(lambda: paper.work.bar.value() > 0)
    # Meanwhile nothing else is begun.
    assert not any(one.isEnabled() for one in (paper.print, paper.save, paper.dxf, paper.book))
    paper.work.stop.click()
    told(qtbot, paper, "Stopped")
    assert 0 < len(sent) < len(paper.made.sheets)
    assert all(one.isEnabled() for one in (paper.print, paper.save, paper.dxf, paper.book))


def test_a_pdf_being_saved_is_there_when_the_window_is_closed(paper, tmp_path):
    paper.save_to(tmp_path / "own.pdf")
    paper.close_down()
    assert (tmp_path / "own.pdf").read_bytes().startswith(b"%PDF")


def closed_while_saving(qtbot, paper, folder):
    """The window, closed while the book is being saved: it is still there and says so."""
    window = paper.window()
    paper.save_book_to(folder)
    window.go_to("Frame")
    assert not window.close()
    assert window.isVisible()
    assert window.current() is paper
    assert "closes when" in window.notice.text()
    return window


def test_a_window_closes_when_the_book_is_saved(qtbot, paper, tmp_path):
    window = closed_while_saving(qtbot, paper, tmp_path / "book")
    qtbot.waitUntil(lambda: not window.isVisible(), timeout=20_000)
    assert (tmp_path / "book" / "numbers.json").exists()


def test_a_window_closes_when_the_book_is_stopped(qtbot, paper, tmp_path):
    window = closed_while_saving(qtbot, paper, tmp_path / "book")
    paper.work.stop.click()
    qtbot.waitUntil(lambda: not window.isVisible(), timeout=20_000)
    assert not (tmp_path / "book").exists()


def test_a_window_stays_open_when_the_book_cannot_be_saved(qtbot, paper, tmp_path):
    (tmp_path / "book").write_text("a file", "utf-8")
    window = closed_while_saving(qtbot, paper, tmp_path / "book")
    told(qtbot, paper, "cannot be written")
    assert window.isVisible()
    assert window.notice.text() == ""
    assert window.close()


def test_long_work_says_what_it_does(qtbot):
    """In words that are in view, and a share only where there is one."""
    work, go = LongWork(), threading.Event()
    qtbot.addWidget(work)

    def book(progress):
        progress(0, 0, "the frame is cut …")
        go.wait(5)
        go.clear()
        progress(3, 12, "book.pdf")
        go.wait(5)

    work.ask(book)
    qtbot.waitUntil(lambda: work.now.text() == "the frame is cut …")
    assert work.now.isVisible()
    # A bar without an end moves to and fro.
    assert work.bar.maximum() == 0
    go.set()
    qtbot.waitUntil(lambda: work.now.text() == "3 of 12 done, now book.pdf")
    assert (work.bar.value(), work.bar.maximum()) == (3, 12)
    go.set()
    qtbot.waitUntil(lambda: not work.busy)
    assert not work.isVisible()


def test_full_size_sheets_are_wanted_next_time_too(open_window):
    window = open_window("Paper")
    assert not window.paper.with_full_size.isChecked()
    window.paper.with_full_size.setChecked(True)
    window.session.keep_now()
    assert open_window("Paper").paper.with_full_size.isChecked()


def test_what_was_worked_on_last_is_what_is_printed(qtbot, open_window):
    window = open_window("Joint")
    window.go_to("Paper")
    made(qtbot, window.paper, "Joint")
    assert window.paper.subject.currentData() == "Joint"
    assert not window.paper.book.isEnabled()
    window.go_to("Bend")
    qtbot.waitUntil(lambda: window.bend.result is not None)
    window.go_to("Paper")
    made(qtbot, window.paper, "Bend")
    there = [window.paper.subject.itemData(i) for i in range(window.paper.subject.count())]
    assert there == ["Joint", "Bend", TEST]


def test_a_frame_with_nothing_in_it_has_no_book(qtbot, open_window):
    window = open_window("Frame")
    window.go_to("Paper")
    made(qtbot, window.paper, TEST)
    window.actions_of_frame.open_sample("paddock-stand")
    window.go_to("Paper")
    there = [window.paper.subject.itemData(i) for i in range(window.paper.subject.count())]
    assert there[0] == BOOK
    assert FULL_SIZE not in there
