"""Printing from the window: the PDF to the system, never scaled; else the same strokes through Qt."""

from __future__ import annotations

import json

import numpy as np
import pytest
from PySide6.QtGui import QPageLayout, QPageSize
from PySide6.QtPrintSupport import QPrinter

from app.document.settings import PaperChoices, keep_correction
from app.window import printing
from app.window.long_work import Stopped
from app.window.printing import (
    CannotPrint,
    Order,
    check_paper,
    correction_for,
    order_of,
    paint,
    send,
    set_paper,
)
from geometry.joint import Joint
from geometry.section import RoundTube
from templates_out.correction import Correction
from templates_out.joint_papers import joint_sheets
from templates_out.joint_result import solve_joint
from templates_out.paper import paper
from templates_out.pdf import pdf_bytes
from tests.readback import pages
from tests.templates_out.test_printer import assert_true_as_painted

A4 = Order("hall", "A4", 210.0, 297.0)
LETTER = Order("hall", "Letter", 215.9, 279.4)


def sheets(name="dual"):
    return joint_sheets(solve_joint(Joint(RoundTube(38.1, 1.6), 54.0, 62.0), "tube"), paper(name))


@pytest.fixture
def lp(tmp_path, monkeypatch):
    """A program in place of the system's, which writes down what it was asked for."""
    folder = tmp_path / "bin"
    folder.mkdir()
    script = folder / "lp"
    script.write_text(
        '#!/bin/sh\nfor last; do :; done\ncp "$last" "$0.pdf"\n'
        'for word; do printf "%s\\n" "$word"; done > "$0.asked"\n[ ! -e "$0.refuse" ]\n'
    )
    script.chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin:/bin")
    return script


def test_the_very_pdf_goes_to_the_system_and_is_not_scaled(lp):
    made = sheets()
    said = send(A4, made, "joint tube")
    asked = (lp.parent / "lp.asked").read_text().splitlines()
    assert "3 sheets to hall, not scaled" in said
    assert asked[:2] == ["-d", "hall"]
    assert {"print-scaling=none", "sides=one-sided"} <= set(asked)
    assert "media=A4" in asked
    assert (lp.parent / "lp.pdf").read_bytes() == pdf_bytes(made, "joint tube", "joint tube")


def test_it_says_how_far_it_is(lp):
    told = []
    send(A4, sheets(), "t", progress=lambda *step: told.append(step))
    assert [(done, whole) for done, whole, _ in told] == [(0, 3), (1, 3), (2, 3)]
    assert all(what for _, _, what in told)


def stop_at(number):
    def progress(done, whole, what):
        if done == number:
            raise Stopped

    return progress


def test_stopped_the_system_is_sent_nothing(lp):
    with pytest.raises(Stopped):
        send(A4, sheets(), "t", progress=stop_at(2))
    assert not (lp.parent / "lp.pdf").exists()


def test_stopped_qts_printer_is_told_to_forget_the_job(qtbot, tmp_path):
    printer, told = qt_printer(tmp_path / "out.pdf", QPageSize.PageSizeId.A4), []
    printer.abort = lambda: told.append("abort")
    with pytest.raises(Stopped):
        paint(printer, sheets(), stop_at(1))
    assert told == ["abort"]


def test_pages_and_copies_as_the_dialog_has_them(lp):
    made = sheets()
    order = Order("hall", "A4", 210.0, 297.0, copies=3, pages=frozenset({2, 9}))
    assert "1 sheet to hall" in send(order, made, "t")
    asked = (lp.parent / "lp.asked").read_text().splitlines()
    assert asked[asked.index("-n") + 1] == "3"
    assert (lp.parent / "lp.pdf").read_bytes() == pdf_bytes(made[1:2], "t", "t")
    with pytest.raises(CannotPrint, match="pages 1 to 3"):
        send(Order("hall", "A4", 210.0, 297.0, pages=frozenset({7})), made, "t")


def test_a_system_that_refuses_is_said(lp):
    (lp.parent / "lp.refuse").touch()
    with pytest.raises(CannotPrint, match="refused"):
        send(A4, sheets(), "t")


@pytest.mark.parametrize(
    ("sheet", "order", "fits"),
    [
        ("dual", A4, True),
        ("dual", LETTER, True),
        ("dual", Order("p", "A5", 148.0, 210.0), False),
        ("dual", Order("p", "A4", 297.0, 210.0), False),
        ("A4", LETTER, False),
        ("Letter", A4, False),
        ("A3", A4, False),
        ("A3", Order("p", "A3", 297.0, 420.0), True),
        ("A4", Order("p", "A4", 209.9, 297.04), True),
    ],
)
def test_the_paper_is_checked_after_the_dialog(lp, sheet, order, fits):
    made = sheets(sheet)
    if fits:
        check_paper(order, made)
        return
    with pytest.raises(CannotPrint, match="nothing was printed"):
        send(order, made, "t")
    assert not (lp.parent / "lp.pdf").exists()


def qt_printer(path, size):
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(path))
    printer.setPageSize(QPageSize(size))
    return printer


@pytest.mark.parametrize(
    ("size", "shift"),
    [
        (QPageSize.PageSizeId.A4, (0.0, (297 - 279.4) / 2)),
        (QPageSize.PageSizeId.Letter, ((215.9 - 210) / 2, 0.0)),
    ],
)
def test_qts_printer_draws_the_same_strokes_at_true_size(qtbot, tmp_path, size, shift):
    made = sheets()[:1]
    printer = qt_printer(tmp_path / "qt.pdf", size)
    paint(printer, made)
    ours, theirs = (
        pages(data) for data in (pdf_bytes(made, "t", "t"), (tmp_path / "qt.pdf").read_bytes())
    )
    assert len(theirs) == 1
    one = longest_strokes(ours[0])
    two = longest_strokes(theirs[0])
    # Qt rounds the page to whole points, and with it the middle: place may differ, size may not.
    for points, same in zip(one, two, strict=True):
        np.testing.assert_allclose(np.ptp(same, axis=0), np.ptp(points, axis=0), atol=0.02)
        np.testing.assert_allclose(same.mean(axis=0) - points.mean(axis=0), shift, atol=0.4)


def test_bars_of_qts_printer_are_as_long_as_they_say(qtbot, tmp_path):
    sheet = sheets("A4")[0]
    paint(qt_printer(tmp_path / "qt.pdf", QPageSize.PageSizeId.A4), [sheet])
    assert_true_as_painted((tmp_path / "qt.pdf").read_bytes(), sheet)


def longest_strokes(page):
    """The six strokes with the widest boxes, in order."""
    strokes = sorted(
        (points for points, _, _ in page["strokes"]), key=lambda p: -np.ptp(p, axis=0).sum()
    )[:6]
    return sorted(strokes, key=lambda p: (round(p[:, 0].mean()), round(p[:, 1].mean())))


def test_printing_to_a_file_writes_the_very_pdf(qtbot, tmp_path):
    printer = qt_printer(tmp_path / "out.pdf", QPageSize.PageSizeId.A4)
    order = order_of(printer)
    assert (order.file, order.printer, order.paper) == (str(tmp_path / "out.pdf"), "", "A4")
    assert order.width == pytest.approx(210.0, abs=0.3)
    made = sheets()
    assert "print it at 100 %" in send(order, made, "t", printer)
    assert (tmp_path / "out.pdf").read_bytes() == pdf_bytes(made, "t", "t")


@pytest.mark.parametrize("name", ["dual", "A4", "Letter", "A3", "Tabloid"])
def test_the_dialog_starts_with_a_paper_that_holds_the_sheet(qtbot, name):
    printer = QPrinter()
    made = sheets(name)
    set_paper(printer, paper(name))
    size = printer.pageLayout().fullRect(QPageLayout.Unit.Millimeter).size()
    check_paper(Order("p", name, size.width(), size.height()), made)


def test_the_window_prints_with_the_correction_of_the_printer_in_the_dialog(
    qtbot, lp, settings, open_window, monkeypatch
):
    settings.mkdir()
    (settings / "settings.json").write_text(
        json.dumps(
            {
                "format": "copewright-settings",
                "version": 1,
                "printers": {"hall": {"dual": {"x": 1.004, "y": 0.997}}},
                "window": {"paper": {"sheet": "dual", "printer": "attic", "thickness": 0.1}},
            }
        )
    )
    monkeypatch.setattr(printing, "printer_names", lambda: ["attic", "hall"])
    monkeypatch.setattr(printing.QPrintDialog, "exec", lambda self: 1)
    monkeypatch.setattr(printing, "order_of", lambda printer: A4)
    window = open_window()
    window.joint.print.click()
    qtbot.waitUntil(lambda: "Sent 3 sheets to hall" in window.joint.state.text())
    text = pages((lp.parent / "lp.pdf").read_bytes())[0]["text"]
    assert "corrected X 1.0040 Y 0.9970 for hall" in text
    # A dialog that is closed prints nothing.
    (lp.parent / "lp.pdf").unlink()
    monkeypatch.setattr(printing.QPrintDialog, "exec", lambda self: 0)
    window.joint.print.click()
    qtbot.wait(100)
    assert not (lp.parent / "lp.pdf").exists()


def test_a_roll_is_as_long_as_its_longest_sheet(lp):
    made = joint_sheets(
        solve_joint(Joint(RoundTube(139.7, 4.0), 168.3, 50.0), "tube"), paper("roll")
    )
    longest = max(sheet.paper.height for sheet in made)
    assert "to hall" in send(Order("hall", "Custom", 610.0, 420.0), made, "t")
    asked = (lp.parent / "lp.asked").read_text().splitlines()
    assert f"media=Custom.610x{longest:.0f}mm" in asked


@pytest.mark.parametrize(
    ("own", "order", "expected"),
    [
        (False, A4, "hall"),
        (True, A4, "desk"),
        (False, Order("", "A4", 210.0, 297.0, file="x.pdf"), "desk"),
        (False, Order("other", "A4", 210.0, 297.0), "other"),
    ],
)
def test_whose_correction_the_sheets_get(own, order, expected):
    for name, x in (("hall", 1.004), ("desk", 1.002)):
        keep_correction(Correction(x, 1.0, name), "dual")
    correction = correction_for(PaperChoices("dual", "desk", 0.1, own), order)
    assert correction.printer == expected
    assert correction.measured == (expected != "other")


def test_the_default_paper_is_the_printers_own(qtbot, monkeypatch):
    class Letter:
        def __init__(self, _printer):
            pass

        def defaultPageSize(self):
            return QPageSize(QPageSize.PageSizeId.Letter)

    monkeypatch.setattr(printing, "QPrinterInfo", Letter)
    printer = QPrinter()
    set_paper(printer, paper("dual"))
    assert printer.pageLayout().pageSize().id() == QPageSize.PageSizeId.Letter
