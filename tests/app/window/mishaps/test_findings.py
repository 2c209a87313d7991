"""What went wrong with findings for somebody who used the window for the first time."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.document.samples import sample_frame
from app.window.findings_list import FindingsList
from geometry.edits import move_tube, put_point, put_tube
from geometry.findings import Finding
from geometry.fitup import solve
from geometry.frame import End
from geometry.place import At
from tests.app.window.conftest import solved


def test_a_long_finding_is_read_to_its_end(qtbot, page):
    words = "Let one run past and the other be cut to it, or put a plate over both. " * 6
    findings = FindingsList()
    qtbot.addWidget(findings)
    findings.resize(311, 60)
    findings.show_findings([Finding("x", "warning", "arm left, start", words, "Mind it.")])
    findings.show()
    item = findings.item(0)
    option = findings.fontMetrics()
    width = findings.visualItemRect(item).width() - 8
    needed = option.boundingRect(0, 0, width, 9999, Qt.TextFlag.TextWordWrap, item.text()).height()
    assert findings.visualItemRect(item).height() >= needed
    # All of it can be scrolled to.
    bar = findings.verticalScrollBar()
    bar.setValue(bar.maximum())
    assert findings.visualItemRect(item).bottom() <= findings.viewport().height()


def test_a_part_that_is_made_warns_when_its_cut_changes(qtbot, page):
    page.edits.mark("arm left", "cut")
    solved(qtbot, page)
    page.document.do("Move", lambda f: put_point(f, "arm rear", At(-640.0, 95.0, 190.0)))
    solved(qtbot, page)
    (said,) = (one for one in page.findings if one.code == "made-otherwise")
    assert said.where == "arm left"
    assert "its finish is cut otherwise and it is " in said.what
    # It stays said, whatever is done next, until it is so no more.
    page.document.do("Add", lambda f: put_point(f, "spare", At(0.0, 0.0, 0.0)))
    solved(qtbot, page)
    assert said in page.findings
    page.document.undo()
    page.document.undo()
    solved(qtbot, page)
    assert not any(one.code == "made-otherwise" for one in page.findings)
    page.document.redo()
    page.edits.mark("arm left", None)
    page.edits.mark("arm left", "cut")
    solved(qtbot, page)
    assert not any(one.code == "made-otherwise" for one in page.findings)


def test_a_part_that_is_made_warns_when_a_point_is_dragged(qtbot, page):
    page.edits.mark("arm right", "tacked")
    solved(qtbot, page)
    x, y, z = page._places()["arm rear"]
    for step in (10.0, 20.0, 30.0):
        page.edits.drag("arm rear", (x + step, y, z), page._places(), done=step == 30.0)
        solved(qtbot, page)
    (said,) = (one for one in page.findings if one.code == "made-otherwise")
    assert "marked as tacked" in said.what
    assert said.where == "arm right"


def test_an_end_that_would_sit_on_a_tube_further_down_says_so():
    frame = move_tube(sample_frame("paddock-stand"), "arm", 0)
    told = [one.what for one in solve(frame).findings]
    assert any("would sit on roller bar, which goes into the jig after it" in what for what in told)


def test_a_finding_leads_to_the_very_field(qtbot, page):
    """Chosen in the list of findings: the end's cut, or the bend's radius, has the keys and is in view."""
    page.edits.do(
        "Left on",
        lambda f: put_tube(f, replace(f.tube("prop"), ends=(End(onto=("handle",)), End("square")))),
    )
    solved(qtbot, page)
    finding = next(one for one in page.findings if one.where.endswith("prop left, start"))
    page.details.show_findings_tab()
    page.jump(finding)
    assert QApplication.focusWidget() is page.forms.tube.ends[0].cut
    # The findings stay in front: there may be more of them to go through.
    assert page.details.tabs.currentWidget() is page.details.findings
    page.details.tabs.setCurrentIndex(2)
    page.jump(finding)
    assert page.details.tabs.currentWidget() is page.details.either["start"]


def test_a_finding_of_a_bend_leads_to_its_radius(qtbot, window, page):
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.actions_of_frame.open_sample("single-cylinder")
    solved(qtbot, page)
    page.jump(Finding("x", "warning", "main rail left, bend 2", "It is tight.", "Widen it."))
    assert QApplication.focusWidget() is page.forms.tube.radii[1].edit
    page.jump(Finding("x", "warning", "main rail left, bend 9", "It is tight.", "Widen it."))
    assert page.forms.tube.named == "main rail"


def test_a_finding_that_was_clicked_on_stays_under_the_pointer(qtbot):
    some = [Finding("x", "warning", name, "It is so.", "Mend it.") for name in ("a", "b", "c", "d")]
    findings = FindingsList()
    qtbot.addWidget(findings)
    findings.resize(300, 400)
    findings.show()
    findings.show_findings(some, ["a"])

    def order():
        return [findings.item(row).data(Qt.ItemDataRole.UserRole).where for row in range(4)]

    # What is chosen by a click in the list is not put first in it.
    findings.jumped.connect(lambda one: findings.show_findings(some, [one.where]))
    rect = findings.visualItemRect(findings.item(2))
    QTest.mouseClick(findings.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())
    assert order() == ["a", "b", "c", "d"]
    findings.show_findings(some, ["c"])
    assert order() == ["a", "b", "c", "d"]
    # Chosen elsewhere, it is.
    findings.show_findings(some, ["d"])
    assert order() == ["d", "a", "b", "c"]
    # Others are sorted as ever.
    findings.show_findings(some[:3], ["c"])
    assert findings.item(0).data(Qt.ItemDataRole.UserRole).where == "c"


def test_findings_without_a_place_lead_to_their_field_too(qtbot, window, page):
    page.edits.mark("arm left", "cut")
    page.jump(Finding("made-otherwise", "warning", "arm left", "It is so.", "Mend it."))
    assert QApplication.focusWidget() is page.forms.tube.made["arm left"]
    window.actions_of_frame.ask_to_lose = lambda: "lose"
    window.actions_of_frame.open_sample("single-cylinder")
    solved(qtbot, page)
    page.jump(Finding("nothing-left-on", "warning", "main rail left", "It is so.", "Mend it."))
    field = QApplication.focusWidget()
    assert field in [one.edit for one in page.forms.tube.trims]
    # What is typed takes the place of what stood there.
    assert field.selectedText() == field.text()


def test_the_page_stays_where_it_is_when_findings_come(qtbot, window, page):
    before = page.mapTo(window, page.rect().topLeft())
    page.edits.do(
        "Onto",
        lambda f: put_tube(f, replace(f.tube("prop"), ends=(End(onto=("handle",)), End("square")))),
    )
    solved(qtbot, page)
    assert any(one.level == "error" for one in page.findings)
    assert page.mapTo(window, page.rect().topLeft()) == before
