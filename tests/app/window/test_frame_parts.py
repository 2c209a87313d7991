"""Parts of the page of a frame, each on its own: the views, the details, several points, the frame's own facts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest

from app.document.samples import sample_frame
from app.window.findings_list import place_of
from app.window.tube_details import shown_of
from geometry.edits import put_point, put_stock, put_tube
from geometry.findings import Finding
from geometry.frame import Stock, Tube
from geometry.place import At
from geometry.places import Places
from geometry.section import RoundTube
from templates_out.cover import cover_contents
from templates_out.drawing import Polyline
from templates_out.frame_result import solve_frame
from templates_out.frame_wraps import end_parts, part_wraps
from templates_out.paper import paper
from tests.app.window.conftest import drawn, solved, type_in


@pytest.fixture
def page(stand_window):
    return stand_window.frame


def strokes(drawing):
    """All of a drawing, to be compared."""
    return [
        (one.points.tobytes(), one.closed, one.pen) if isinstance(one, Polyline) else one
        for one in drawing.items
    ]


# The details.


def test_the_wraps_are_those_of_the_book(qtbot, page):
    page.choose("Tubes", "arm")
    drawn(qtbot, page)
    book = {part.title: part.drawing for part in end_parts(page.result, 0.1)}
    for end in ("start", "finish"):
        title = next(t for t in book if "arm left" in t and f"({end} end)" in t)
        assert strokes(page.details.wraps[end].drawing) == strokes(book[title])
        assert page.details.either[end].currentIndex() == 1


def test_a_part_s_wraps_alone_are_those_among_all(page):
    result = solve_frame(sample_frame("single-cylinder"))
    every = [strokes(part.drawing) for part in end_parts(result, 0.1)]
    alone = [
        strokes(d) for one in result.fitted.parts for d in part_wraps(result, one, 0.1).values()
    ]
    assert alone == every


@pytest.mark.parametrize("tried", [False, True])
def test_what_a_bend_sheet_notes_is_told_of_the_tube_and_on_the_cover(tried):
    """The frame has no finding to stop at; who reads "none" must not think that nothing is said."""
    frame = sample_frame("single-cylinder")
    tools = {name: replace(tool, trials=()) for name, tool in frame.tools.items()}
    if not tried:
        frame = replace(frame, tools=tools)
    result = solve_frame(frame)
    one = next(one for one in result.fitted.parts if one.part.name == "main rail left")
    notes = [each for each in result.bends["main rail left"].findings if each.level == "note"]
    assert [*result.bend_notes("main rail left")] == notes
    assert tried or notes
    facts = shown_of(result, one, 0.1).facts
    assert all(f"Note, main rail left: {each.what} {each.do}" in facts for each in notes)
    assert result.bend_notes("backbone") == ()
    (cover, *_) = cover_contents(result, paper("dual"), [])
    noted = any(result.bend_notes(part) for part in result.bends)
    assert ("; bend sheets have notes" in cover.facts[0]) == noted


def test_the_other_hand_and_a_square_end(qtbot, page):
    page.choose("Tubes", "prop")
    drawn(qtbot, page)
    assert page.part == "prop left"
    assert page.details.either["finish"].currentIndex() == 0
    assert "sawn square" in page.details.words["finish"].text()
    left = page.details.wraps["start"].drawing
    assert [page.details.hands.itemText(i) for i in range(2)] == ["left", "right"]
    page.details.hands.setCurrentIndex(1)
    page.details.hands.activated.emit(1)
    drawn(qtbot, page)
    assert page.part == "prop right"
    assert page.details.wraps["start"].drawing != left
    page.choose("Tubes", "handle")
    drawn(qtbot, page)
    assert not page.details.hands.isVisible()


def test_the_wrap_follows_what_is_typed(qtbot, page):
    page.choose("Tubes", "prop")
    drawn(qtbot, page)
    before = page.details.wraps["start"].drawing
    page.document.do("Move", lambda f: put_point(f, "prop head", At(-50.0, 160.0, 290.0)))
    solved(qtbot, page)
    drawn(qtbot, page)
    assert page.details.wraps["start"].drawing != before


def test_a_bent_tube_has_its_table_and_facts(qtbot, page):
    page.window().actions_of_frame.open_sample("single-cylinder")
    solved(qtbot, page)
    page.choose("Tubes", "main rail")
    drawn(qtbot, page)
    tabs = page.details.tabs
    assert tabs.tabText(2) == "Bends"
    assert page.details.bends.horizontalHeaderItem(0).text() == "bend\nlengths: mm"
    assert page.details.bends.rowCount() >= 3
    in_mm = [float(page.details.bends.item(row, 1).text()) for row in range(3)]
    assert "main rail left" in page.details.facts.text()
    # Read in inches, the table is in inches and says so.
    page.window().inches.setChecked(True)
    head = page.details.bends.horizontalHeaderItem
    qtbot.waitUntil(lambda: head(0).text() == "bend\nlengths: inches", timeout=20_000)
    in_inches = [float(page.details.bends.item(row, 1).text()) for row in range(3)]
    assert in_inches == pytest.approx([value / 25.4 for value in in_mm], abs=0.0008)
    heads = [page.details.bends.horizontalHeaderItem(n).text() for n in range(9)]
    assert any(head.startswith("in round") for head in heads)
    page.window().inches.setChecked(False)
    page.choose("Tubes", "backbone")
    drawn(qtbot, page)
    assert tabs.tabText(2) == "Facts"
    assert not page.details.bends.isVisibleTo(page.details)


def test_findings_are_counted_and_lead_to_their_place(qtbot, page):
    page.document.do("Move", lambda f: put_point(f, "arm rear", At(-400.0, 105.0, 60.0)))
    solved(qtbot, page)
    found = page.result.findings
    assert found
    assert sum(int(words.split()[0]) for words in page.column.findings.text().split(", ")) == len(
        found
    )
    page.choose("Stock", "")
    page.column.findings.click()
    assert page.details.tabs.currentWidget() is page.details.findings
    assert page.details.findings.count() == len(found)
    row = next(i for i, one in enumerate(found) if one.where.startswith("arm right"))
    page.details.findings.itemClicked.emit(page.details.findings.item(row))
    assert (page.column.kind, page.column.current, page.part) == ("Tubes", "arm", "arm right")


@pytest.mark.parametrize(
    ("where", "place"),
    [
        ("arm left, start", ("arm", "arm left", "")), ("tube 'arm'", ("arm", "", "")), ("handle", ("handle", "handle", "")),
        ("point 'arm front'", ("", "", "arm front")), ("the frame", ("", "", "")),
    ],
)  # fmt: skip
def test_where_a_finding_leads(where, place):
    assert place_of(Finding("x", "note", where, "", ""), sample_frame("paddock-stand")) == place


def test_every_finding_of_a_broken_frame_leads_somewhere():
    frame = sample_frame("single-cylinder")
    frame = put_stock(frame, "rail", Stock(RoundTube(28.0, 0.4)))
    frame = put_point(frame, "head low", At(2000.0, 0.0, 900.0))
    frame = put_tube(frame, Tube("loose", "rail", ("head low", "rail seat")))
    result = solve_frame(frame)
    assert len(result.findings) > 5
    for finding in result.findings:
        assert any(place_of(finding, frame)), finding.where


# Several points, the frame itself.


def test_several_points_are_moved_turned_mirrored_and_scaled(qtbot, page):
    names = ["arm front", "arm rear"]
    page.choose("Points", "arm front")
    for name in names:
        page.column.points.item(page.column.points.names.index(name)).setSelected(True)
    form = page.forms.points
    assert form.isVisible()
    assert form.names == tuple(names)
    before = {name: np.array(Places(page.frame).point(name)) for name in page.frame.points}

    def after():
        places = Places(page.frame)
        return {name: np.array(places.point(name)) for name in page.frame.points}

    def do(way):
        form.way.setCurrentIndex(form.way.findData(way))
        form.do.click()

    form.steps[0].set_value(10.0)
    form.steps[2].set_value(-5.0)
    do("move")
    assert page.document.history.undo_words == "Move 2 points"
    for name in names:
        assert np.allclose(after()[name], before[name] + (10.0, 0.0, -5.0))
    # What hangs on them goes along; the rest stays.
    assert np.allclose(after()["prop head"], before["prop head"] + (10.0, 0.0, -5.0))
    assert np.allclose(after()["handle right"], before["handle right"])
    page.document.undo()
    form.axis.setCurrentIndex(form.axis.findData("z"))
    do("turn")
    for name in names:
        x, y, z = before[name]
        assert np.allclose(after()[name], (-y, x, z))
    page.document.undo()
    form.axis.setCurrentIndex(form.axis.findData("y"))
    do("mirror")
    for name in names:
        assert np.allclose(after()[name], before[name] * (1, -1, 1))
    page.document.undo()
    form.about.setCurrentIndex(form.about.findText("arm front"))
    form.factor.set_value(50.0)
    do("scale")
    middle = before["arm front"]
    assert np.allclose(after()["arm rear"], (before["arm rear"] + middle) / 2)
    page.document.undo()
    assert page.frame == sample_frame("paddock-stand")
    # Still chosen after all that.
    assert page.column.points.selected == names


def test_points_that_lie_on_a_tube_say_why_they_do_not_move(qtbot, page):
    page.choose("Points", "prop foot")
    page.column.points.item(page.column.points.names.index("prop head")).setSelected(True)
    page.forms.points.steps[0].set_value(10.0)
    page.forms.points.do.click()
    assert "'prop foot' lies on a tube" in page.column.state.text()
    assert page.frame == sample_frame("paddock-stand")


def test_the_frame_s_own_facts(qtbot, page):
    page.column.whole.click()
    form = page.forms.frame
    assert form.isVisible()
    form.facts["owner"].setText("A. Builder")
    form.facts["owner"].editingFinished.emit()
    form.projection.setCurrentIndex(1)
    form.projection.activated.emit(1)
    type_in(qtbot, form.least_wall, "1,6")
    assert (page.frame.drawing.owner, page.frame.drawing.projection) == ("A. Builder", "third")
    assert page.frame.least_wall == 1.6
    form.name.setText("best stand & more")
    form.name.editingFinished.emit()
    assert page.frame.name == "best stand & more"
    assert page.column.whole.text() == "best stand && more"


def test_a_tube_is_copied(qtbot, page):
    page.choose("Tubes", "prop")
    page.column.copy.click()
    assert page.column.tubes.names == ["roller bar", "handle", "arm", "prop", "prop 2"]
    assert page.column.current == "prop 2"
    page.document.undo()
    assert page.frame == sample_frame("paddock-stand")


def test_another_frame_is_begun_afresh(qtbot, page):
    """Nothing of the last frame is chosen, half begun, or looked at closely."""
    window = page.window()
    page.choose("Tubes", "prop")
    page.column.add.click()
    page.forms.new.name.setText("half begun")
    for _ in range(8):
        page.views.space.zoom(1.25, QPointF(10, 10))
    side = page.views.flat["Side"]
    page.views.tabs.setCurrentWidget(side)
    side.zoom(9.0, QPointF(10, 10))
    page.views.tabs.setCurrentIndex(0)
    window.actions_of_frame.open_sample("single-cylinder")
    solved(qtbot, page)
    assert not page.adding
    assert page.column.current == ""
    assert not page.details.hands.isVisible()
    centres = np.concatenate([list(one.part.path.vertices) for one in page.result.fitted.parts])
    x, y = page.views.space.camera.placed(
        centres, page.views.space.width(), page.views.space.height()
    )[:, :2].T
    assert x.min() > 0 < y.min()
    assert (x.max(), y.max()) < (page.views.space.width(), page.views.space.height())
    page.views.tabs.setCurrentWidget(side)
    for at in side.scene.points.values():
        assert side.rect().contains(side.pixel(QPointF(*at)).toPoint())
    page.column.add.click()
    assert page.forms.new.name.text() == "tube"


def test_another_order_says_what_is_cut_otherwise(qtbot, page):
    from geometry.edits import move_tube
    from geometry.fitup import changed_ends, solve

    frame = page.frame
    page.column.moved.emit("arm", 0)
    solved(qtbot, page)
    # The arms lie in the jig first now, and have nothing to be cut to.
    ends = changed_ends(solve(frame), solve(move_tube(frame, "arm", 0)))
    assert {"arm left, start", "arm right, finish"} <= set(ends)
    assert not any(end.startswith("prop") for end in ends)
    assert page.column.state.text() == f"Cut otherwise than before: {'; '.join(ends)}."
    page.document.undo()
    assert page.column.state.text() == ""
    page.column.moved.emit("handle", 0)
    solved(qtbot, page)
    assert page.column.state.text() == ""


def test_the_chosen_tube_s_findings_come_first_and_their_count_is_always_in_view(qtbot, page):
    window = page.window()
    page.document.do("Move", lambda f: put_point(f, "arm rear", At(-400.0, 105.0, 60.0)))
    solved(qtbot, page)
    grave = [one for one in page.result.findings if one.level != "note"]
    assert window.names.item(3).text() == f"Frame ({len(grave)})"
    page.choose("Tubes", "prop")
    firsts = page.result.findings
    for name in ("arm", "prop", "handle"):
        page.choose("Tubes", name)
        rows = page.details.findings._rows
        assert sorted(map(id, rows)) == sorted(map(id, firsts))
        speaks = [bool(one.speaks_of([name, f"{name} left", f"{name} right"])) for one in rows]
        assert speaks == sorted(speaks, reverse=True)
    window.actions_of_frame.undo.trigger()
    solved(qtbot, page)
    assert window.names.item(3).text() == "Frame"


def test_what_was_said_stays_until_the_next_edit(qtbot, page):
    page.copy_rows()
    said = page.column.state.text()
    assert said.startswith("Copied")
    page.paste_rows()
    solved(qtbot, page)
    assert "hing" in page.column.state.text()
    page.document.do("Move", lambda f: put_point(f, "extra", At(1.0, 2.0, 3.0)))
    assert page.column.state.text() == ""


def test_inches_are_dragged_by_sixteenths(qtbot, page):
    page.window().inches.setChecked(True)
    solved(qtbot, page)
    view = page.views.flat["Above"]
    page.views.tabs.setCurrentWidget(view)
    qtbot.waitUntil(lambda: not page.seeing.busy)
    view.zoom(3.0, view.pixel(QPointF(*view.scene.points["handle right"])))
    view.lines = {}
    at = view.pixel(QPointF(*view.scene.points["handle right"])).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=at)
    QTest.mouseMove(view, at + QPoint(-57, 33))
    assert "x -2" in view.caption
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=at + QPoint(-57, 33))
    place = page.frame.points["handle right"]
    for value in (place.x, place.y):
        assert value / (25.4 / 16) == pytest.approx(round(value / (25.4 / 16)), abs=1e-9)


def test_a_wrap_that_fails_inside_is_said_and_logged(qtbot, page, caplog):
    page.details._fail(ValueError("inside"))
    assert "in the log" in page.details.words["start"].text()
    assert "the chosen tube" in caplog.text
