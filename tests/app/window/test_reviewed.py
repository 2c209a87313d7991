"""What a second pair of eyes found: dragging, putting back, late answers, papers of what is gone, names half typed."""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMessageBox

from app.document.recovery import Recovery, unsaved_frames
from app.document.samples import sample_frame
from app.window.folders import own_suffix
from app.window.long_work import LongWork, Stopped
from app.window.paper_page import BOOK, TEST
from geometry.edits import followers, put_point, put_tube, rename_frame
from geometry.errors import BadFrame
from geometry.fitup import changed_ends, solve
from geometry.frame import End, Frame, Stock, Tube
from geometry.place import At, MirrorOf, OffsetFrom, Swung
from geometry.places import Places, known_places
from geometry.proposals import add_tube
from geometry.section import RoundTube
from geometry.units import parse_od_and_wall
from tests.app.window.conftest import solved

SQUARE = End("square")


@pytest.fixture
def window(stand_window):
    return stand_window


@pytest.fixture
def page(window):
    return window.frame


# Dragging.


def test_a_dragged_point_stays_under_the_pointer(qtbot, page):
    """The view does not fit itself anew meanwhile, or a pixel would mean other millimetres at each step."""
    view = page.views.flat["Side"]
    page.views.tabs.setCurrentWidget(view)
    at = view.pixel(QPointF(*view.scene.points["prop head"])).toPoint()
    before, scale = page._places()["prop head"], view._scale
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=at)
    for step in range(1, 13):
        QTest.mouseMove(view, at - QPoint(0, 5 * step))
        qtbot.waitUntil(lambda: not page.seeing.busy)
    shown = page._places()["prop head"]
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=at - QPoint(0, 60))
    assert page._places()["prop head"] == shown
    assert shown[2] - before[2] == pytest.approx(60 / scale, abs=9 / scale)


def test_what_goes_along_holds_nothing():
    frame = Frame(
        points={
            "a": At(0, 0, 0), "b": OffsetFrom("a", (0, 0, 4)), "m": MirrorOf("b"), "c": At(9, 9, 9), "d": Swung("c", 5, 0),
        },
        stock={"s": Stock(RoundTube(20.0, 2.0))}, tubes=(Tube("t", "s", ("a", "c"), (), (SQUARE, SQUARE), handed=True),),
    )  # fmt: skip
    assert followers(frame, "a") == ({"b", "m"}, {"t left", "t right"})
    assert followers(frame, "c") == ({"d"}, {"t left", "t right"})
    assert followers(frame, "d") == (set(), set())


def test_a_point_that_is_undone_under_the_pointer_is_let_go(qtbot, page):
    view = page.views.flat["Side"]
    page.views.tabs.setCurrentWidget(view)
    page.document.do("Point", lambda f: put_point(f, "new", At(-300.0, 0.0, 300.0)))
    qtbot.waitUntil(lambda: not page.seeing.busy)
    at = view.pixel(QPointF(*view.scene.points["new"])).toPoint()
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=at)
    page.document.undo()
    for _ in range(2):
        QTest.mouseMove(view, at + QPoint(20, 20))
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=at + QPoint(20, 20))
    assert page.frame == sample_frame("paddock-stand")


# Into the frame and back.


def test_a_right_hand_taken_out_and_put_back_changes_nothing(qtbot, window, page):
    window.actions_of_frame.open_sample("single-cylinder")
    solved(qtbot, page)
    before = window.document.frame
    page.choose("Tubes", "main rail")
    page._pick_hand("main rail right")
    page.forms.tube.alone["bend"].click()
    window.bend.into_frame.choose = lambda ways: ways[0]
    window.bend.into_frame.click()
    assert window.document.frame.points == before.points
    assert window.document.frame.tubes == before.tubes
    assert not window.bend.trials.numbers()


def test_a_part_is_not_taken_out_before_it_is_cut(qtbot, window, page):
    page.choose("Tubes", "prop")
    extra = page.forms.tube.ends[0].extra
    extra.set_value(33.0)
    page.forms.tube.alone["start"].click()
    assert window.current() is page
    assert "still being cut" in page.forms.tube.problem.text()
    solved(qtbot, page)
    page.forms.tube.alone["start"].click()
    assert window.joint.joint().extra == 33.0


def test_only_the_free_end_of_a_partner_is_mitred():
    points = {
        "a": At(0, 0, 0),
        "b": At(500, 0, 0),
        "c": At(500, 0, 400),
        "u": At(0, -100, 0),
        "v": At(0, 100, 0),
    }
    cope = End("cope", "square-cut", (), 1.0)
    frame = Frame(
        "f", {"s": Stock(RoundTube(30.0, 2.0))}, points,
        (Tube("x", "s", ("u", "v"), (), (SQUARE, SQUARE)), Tube("p", "s", ("a", "b"), (), (cope, End("square", extra=15.0)))),
    )  # fmt: skip
    whole, ways = add_tube(frame, Tube("t", "s", ("c", "b")))
    assert ways[1].partner == "p"
    assert whole.tube("p").ends == (cope, End("mitre", other="t", extra=15.0))
    assert not [one for one in solve(whole).findings if one.level == "error"]
    closing, _ = add_tube(whole, Tube("back", "s", ("a", "c")))
    assert closing.tube("p").ends == whole.tube("p").ends


def test_nothing_comes_of_a_tube_by_itself_once_one_is_elsewhere(qtbot, page):
    page.column.add.click()
    form = page.forms.new
    for combo, point in zip(form.points, ("arm front", "handle left"), strict=True):
        combo.setEditText(point)
    form.done.click()
    page.choose("Tubes", "handle")
    page.edits.rename("Tubes", "handle", "grip")
    form.proposing.wait()
    qtbot.wait(30)
    assert [tube.name for tube in page.frame.tubes] == ["roller bar", "grip", "arm", "prop"]
    # What was typed is still there.
    page.column.add.click()
    assert [combo.currentText() for combo in form.points] == ["arm front", "handle left"]
    form.done.click()
    form.leave.click()
    form.proposing.wait()
    qtbot.wait(30)
    assert len(page.frame.tubes) == 4


def test_choosing_how_a_point_is_set_out_leaves_it_where_it_is(qtbot, page):
    form = page.forms.point
    for name in ("handle right", "arm rear"):
        page.choose("Points", name)
        was = page._places()[name]
        for kind in ("from", "at"):
            form.kind.setCurrentIndex(form.kind.findData(kind))
            form.kind.activated.emit(0)
            assert page._places()[name] == pytest.approx(was, abs=1e-6), kind
    page.choose("Points", "roller left")
    form.kind.setCurrentIndex(form.kind.findData("at"))
    form.kind.activated.emit(0)
    form.kind.setCurrentIndex(form.kind.findData("mirror"))
    form.kind.activated.emit(0)
    assert page.frame.points["roller left"] == MirrorOf("roller right")


# Papers.


def test_what_the_page_joint_refuses_the_page_paper_does_not_have(qtbot, open_window):
    window = open_window("Joint")
    window.go_to("Paper")
    assert window.paper.subject.findData("Joint") >= 0
    window.joint.fields["offset"].set_value(200.0)
    qtbot.waitUntil(lambda: "misses" in window.joint.state.text())
    assert window.paper.subject.findData("Joint") < 0
    window.joint.fields["offset"].set_value(6.0)
    qtbot.waitUntil(lambda: window.paper.subject.findData("Joint") >= 0)


def test_no_sheets_of_a_frame_that_is_gone(qtbot, window):
    window.go_to("Paper")
    paper = window.paper
    qtbot.waitUntil(lambda: paper.made is not None and paper.made.subject == BOOK, timeout=10_000)
    paper.none.click()
    qtbot.waitUntil(lambda: not paper.made.sheets)
    window.actions_of_frame.open_sample("paddock-stand")
    window.go_to("Paper")
    # All of another frame is wanted, whatever was not of the last one.
    qtbot.waitUntil(lambda: bool(paper.made.sheets), timeout=10_000)
    window.document.new()
    qtbot.waitUntil(lambda: paper.made is not None and paper.made.subject == TEST)
    assert [sheet.title for sheet in paper.view.sheets] == ["Printer test sheet"]


def test_what_was_stopped_stays_stopped_and_one_runs_at_a_time(qtbot):
    work, told = LongWork(), []
    qtbot.addWidget(work)
    work.finished.connect(told.append)
    work.failed.connect(told.append)
    go = threading.Event()

    def first(progress):
        go.wait(5)
        progress(1, 2, "")
        return "first"

    work.ask(first)
    work.stop.click()
    work.ask(lambda _: "second")
    go.set()
    qtbot.waitUntil(lambda: bool(told))
    assert isinstance(told[0], Stopped)
    assert not work.busy
    work.ask(lambda _: "third")
    qtbot.waitUntil(lambda: told[-1] == "third")
    assert len(told) == 2


@pytest.mark.parametrize(
    ("name", "place"), [("mine", "mine.frame"), ("v1.2", "v1.2.frame"), ("x.FRAME", "x.FRAME")]
)
def test_a_name_gets_our_suffix_and_nothing_is_written_over_unasked(
    tmp_path, monkeypatch, name, place
):
    asked = []
    answer = QMessageBox.StandardButton.No
    monkeypatch.setattr(
        "app.window.folders.QMessageBox.question", lambda *w: asked.append(w[2]) or answer
    )
    assert own_suffix(None, tmp_path / name, ".frame") == tmp_path / place
    (tmp_path / place).write_text("there")
    assert own_suffix(None, tmp_path / name, ".frame") == (
        None if name != place else tmp_path / place
    )
    assert len(asked) == (name != place)


# After a crash, and half typed.


def test_a_file_that_somebody_changed_after_the_crash_is_not_written_over_unasked(
    qtbot, window, tmp_path
):
    file = tmp_path / "stand.frame"
    document = window.document
    document.save(file)
    Recovery().keep(rename_frame(document.frame, "left behind"), str(file), file.read_bytes())
    file.write_bytes(file.read_bytes().replace(b"rear paddock stand", b"theirs"))
    (left,) = unsaved_frames()
    document.restore(left)
    assert document.frame.name == "left behind"
    assert document.changed_on_disk()
    asked = []
    window.actions_of_frame.ask_to_overwrite = lambda: asked.append(1)
    window.actions_of_frame.save.trigger()
    assert asked
    assert b"theirs" in file.read_bytes()


def test_the_only_record_is_not_dropped_where_nothing_can_be_kept(qtbot, window, monkeypatch):
    Recovery().keep(rename_frame(window.document.frame, "left behind"), "")
    (left,) = unsaved_frames()

    def refuse(*_):
        text = "the disk is full"
        raise BadFrame(text)

    monkeypatch.setattr(window.document._recovery, "keep", refuse)
    window.document.restore(left)
    assert [one.frame.name for one in unsaved_frames()] == ["left behind"]


def test_a_name_that_is_still_typed_is_in_the_file(qtbot, window, page, tmp_path):
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    page.choose("Tubes", "arm")
    page.forms.tube.name.setFocus()
    page.forms.tube.name.setText("long arm")
    # Another edit does not wipe it.
    page.edits.mark("handle", "cut")
    assert page.forms.tube.name.text() == "long arm"
    window.actions_of_frame.choose_to_save = lambda: tmp_path / "own.frame"
    window.actions_of_frame.save.trigger()
    assert "long arm" in (tmp_path / "own.frame").read_text()


def test_the_comparison_is_with_the_order_before_and_with_nothing_else(qtbot, page):
    page.document.do(
        "Tube", lambda f: put_tube(f, replace(f.tube("prop"), ends=(End(onto=("arm",)), SQUARE)))
    )
    page.column.moved.emit("prop", 0)
    assert "not above it" in page.column.state.text()
    page.document.do("Move", lambda f: put_point(f, "arm rear", At(-640.0, 95.0, 60.0)))
    solved(qtbot, page)
    assert "otherwise" not in page.column.state.text()


def test_ends_that_are_as_high_and_otherwise_cut_are_told():
    frame = sample_frame("paddock-stand")
    moved = put_point(frame, "arm rear", At(-640.0, 95.0, 60.0))
    assert "arm left, finish" in changed_ends(solve(frame), solve(moved))
    assert not changed_ends(solve(frame), solve(frame))


def test_a_long_row_of_points_is_said():
    points = {"p0": At(0, 0, 0)} | {
        f"p{n}": OffsetFrom(f"p{n - 1}", (1, 0, 0)) for n in range(1, 1200)
    }
    frame = Frame(points=points)
    with pytest.raises(BadFrame, match="'p1199' hangs on more than 200 others"):
        Places(frame).point("p1199")
    assert len(known_places(frame)) >= 200
    assert solve(frame).parts == ()


@pytest.mark.parametrize(
    ("text", "unit", "sizes"),
    [
        ("2x0.065", "in", (50.8, 1.651)), ("50x2 mm", "in", (50.0, 2.0)), ("1 1/2x.065", "in", (38.1, 1.651)),
        ("1-1/2in x 16swg", "mm", (38.1, 1.6256)), ("38.1x16swg", "mm", (38.1, 1.6256)), ("38,1 x 0.063in", "mm", (38.1, 1.6002)),
    ],
)  # fmt: skip
def test_sizes_in_the_unit_that_is_meant(text, unit, sizes):
    assert parse_od_and_wall(text, default_unit=unit) == pytest.approx(sizes, abs=1e-9)


def test_a_new_bent_tube_keeps_what_is_left_on(qtbot, open_window):
    window = open_window("Bend")
    window.bend.fields["trim_start"].set_value(20.0)
    window.bend.into_frame.click()
    assert window.document.frame.tubes[0].trim == (20.0, 0.0)


def test_a_place_clicked_on_is_as_deep_as_the_point_before(qtbot, page):
    page.column.add.click()
    form = page.forms.new
    form.points[0].setEditText("arm front")
    form.pick_place((-300.0, 0.0, 222.0), "y")
    # A view from the side does not tell how far aside it is: as far as the arm's front end, 160.
    assert form.points[1].currentText() == "-300, 160, 222"


def test_another_paper_s_thickness_draws_the_wrap_anew(qtbot, window, page):
    page.choose("Tubes", "arm")
    qtbot.waitUntil(lambda: not page.details.drawing.busy)
    before = page.details.shown
    window.session.change(paper=replace(window.session.paper, thickness=0.3))
    qtbot.waitUntil(lambda: page.details.shown is not before)
