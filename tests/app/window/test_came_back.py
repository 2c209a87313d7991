"""What a tube measures that came back: typed in the window, the same as by the command; judged while it is typed."""

from __future__ import annotations

import math
import shutil
import threading
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit

from app.cli import main
from app.document.frame_file import open_frame
from app.jobs.came_back import judged
from app.window import came_back
from app.window.came_back import CameBackDialog
from app.window.came_back_words import HOLD_WORDS
from geometry.as_bent import AsBent
from geometry.as_bent_checks import as_drawn, seats_on
from geometry.bend import bend_table, path_from_table
from geometry.fitup import solve
from geometry.made_checks import with_made
from tests.app.window.conftest import solved

SAMPLE = Path(__file__).parents[3] / "sample_projects/single-cylinder/single-cylinder.frame"


@pytest.fixture
def dialog(qtbot):
    def opened(frame, hand="left", *, inches=False):
        one = CameBackDialog(frame, frame.tube("main rail"), hand, inches=inches)
        qtbot.addWidget(one)
        one.show()
        return one

    return opened


def row(one, words):
    return [row.words for row in one.rows].index(words)


def typed(one, words, text):
    one.table.item(row(one, words), 1).setText(text)


def answered(qtbot, one, word):
    qtbot.waitUntil(lambda: word in one.answer.text(), timeout=20_000)


@pytest.mark.parametrize("apart", [True, False])
def test_it_is_kept_as_the_command_keeps_it(
    qtbot, open_window, tmp_path, monkeypatch, capsys, apart
):
    by_command = tmp_path / "command.frame"
    shutil.copy(SAMPLE, by_command)
    figures = ["--angles", "69 - 73.1", "--rotations", "- 11.5 -", "--use"]
    figures += ["--apart", "1001"] * apart
    main(["as-bent", str(by_command), "--tube", "main rail left", *figures])
    capsys.readouterr()
    window = open_window("Frame", SAMPLE)
    page = window.frame
    page.choose("Tubes", "main rail")
    before = page.frame

    def fill(one):
        one.show()
        for words, text in (
            ("bend 1, angle", "69"),
            ("bend 3, angle", "73,1°"),
            ("turn, bend 1 to 2", "11.5"),
            ("ends apart", "1001" if apart else ""),
        ):
            typed(one, words, text)
        one.use.click()
        qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
        assert "As bent" in one.answer.text()
        qtbot.mouseClick(one.keep, Qt.MouseButton.LeftButton)
        return one.result()

    monkeypatch.setattr(CameBackDialog, "exec", fill)
    page.forms.tube.measure["main rail left"].click()
    # The command has said the very same numbers: the file tells.
    assert page.frame == open_frame(by_command)
    solved(qtbot, page)
    assert page.forms.tube.as_bent.isVisibleTo(page)
    assert page.forms.tube.as_bent.isChecked()
    assert any(one.code == "as-bent" for one in page.result.findings)
    page.document.undo()
    assert page.frame == before


def test_it_can_be_forgotten(qtbot, open_window, monkeypatch):
    window = open_window("Frame", SAMPLE)
    page = window.frame
    tube = page.frame.tube("main rail")
    came = (AsBent("left", angles=(69.0, None, None)), AsBent("right", angles=(70.0, None, None)))
    page.document.do("Came", lambda f: came_back.with_measured(f, tube, "left", came[0]))
    page.document.do(
        "Came", lambda f: came_back.with_measured(f, f.tube("main rail"), "right", came[1])
    )
    page.choose("Tubes", "main rail")
    monkeypatch.setattr(CameBackDialog, "exec", lambda one: (one.forget.click(), one.result())[1])
    page.forms.tube.measure["main rail left"].click()
    # The other hand's measurements are its own.
    assert page.frame.tube("main rail").as_bent == (came[1],)


def test_changing_ones_mind_changes_nothing(qtbot, open_window, monkeypatch):
    page = open_window("Frame", SAMPLE).frame
    page.choose("Tubes", "main rail")
    before = page.frame
    monkeypatch.setattr(CameBackDialog, "exec", lambda one: (one.reject(), one.result())[1])
    page.forms.tube.measure["main rail right"].click()
    assert page.frame is before


def test_a_straight_tube_is_not_asked_for(open_window):
    page = open_window("Frame", SAMPLE).frame
    page.choose("Tubes", "backbone")
    assert not page.forms.tube.measuring.isVisibleTo(page)


def test_each_row_has_what_is_drawn(dialog):
    frame = open_frame(SAMPLE)
    one = dialog(frame)
    bend = came_back.bend_as_drawn(frame, "main rail left")
    drawn = {row.words: row.drawn for row in one.rows}
    assert drawn["bend 2, angle"] == pytest.approx(bend.rows[1].angle_deg)
    assert drawn["turn, bend 2 to 3"] == pytest.approx(bend.rows[2].rotation_deg)
    straights = [value for words, value in drawn.items() if words.startswith("straight")]
    arcs = sum(row.arc for row in bend.rows)
    assert sum(straights) + arcs == pytest.approx(bend.supplied_length, abs=1e-6)
    assert len(straights) == len(bend.rows) + 1


def test_what_is_typed_wrong_is_said_and_cannot_be_kept(qtbot, dialog):
    one = dialog(open_frame(SAMPLE))
    answered(qtbot, one, "Nothing is measured yet")
    assert not one.keep.isEnabled()
    typed(one, "bend 1, angle", "69")
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    typed(one, "bend 1, angle", "6x")
    # At once: what stands there is not what was judged.
    assert not one.keep.isEnabled()
    answered(qtbot, one, "angle '6x' is not an angle")
    typed(one, "bend 1, angle", "200")
    answered(qtbot, one, "below 180")
    typed(one, "bend 1, angle", "")
    typed(one, "ends apart", "20")
    answered(qtbot, one, "As bent")
    assert not one.keep.isEnabled()


def test_the_other_hand_is_known(qtbot, dialog):
    """Measured like its mirror image: the turns from bend to bend the other way."""
    one = dialog(open_frame(SAMPLE))
    for words in ("turn, bend 1 to 2", "turn, bend 2 to 3"):
        drawn = one.rows[row(one, words)].drawn
        typed(one, words, f"{-drawn:.2f}")
    answered(qtbot, one, "opposite hand")


def test_inches_are_read_and_nothing_kept_is_rounded(qtbot, dialog):
    frame = open_frame(SAMPLE)
    came = AsBent("left", straights=(544.123456, None, None, None))
    frame = came_back.with_measured(frame, frame.tube("main rail"), "left", came)
    one = dialog(frame, inches=True)
    assert one.table.item(0, 1).text() == "21.4222"
    typed(one, "bend 1, radius", "4")
    said = one.said()
    assert said.straights[0] == 544.123456
    assert said.radii[0] == pytest.approx(101.6)


def test_enter_in_a_cell_does_not_close_it(qtbot, dialog):
    one = dialog(open_frame(SAMPLE))
    typed(one, "bend 1, angle", "69")
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    one.table.setFocus()
    one.table.setCurrentCell(1, 1)
    one.table.edit(one.table.currentIndex())
    editor = one.table.viewport().focusWidget() or one.focusWidget()
    qtbot.keyClicks(editor, "68")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    qtbot.wait(50)
    assert one.isVisible()
    assert one.table.item(1, 1).text() == "68"


def edited(one, number, text):
    """A cell whose editor is still open."""
    one.table.setFocus()
    one.table.setCurrentCell(number, 1)
    one.table.edit(one.table.currentIndex())
    editor = one.table.viewport().findChild(QLineEdit)
    QTest.keyClicks(editor, text)
    return editor


@pytest.mark.parametrize("policy", [Qt.FocusPolicy.StrongFocus, Qt.FocusPolicy.TabFocus])
def test_what_is_still_being_typed_is_looked_at_before_it_is_kept(qtbot, dialog, policy):
    """Where a click does not take the keys away from the cell, as on some systems."""
    one = dialog(open_frame(SAMPLE))
    one.keep.setFocusPolicy(policy)
    typed(one, "bend 1, angle", "69")
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    edited(one, row(one, "bend 2, angle"), "81")
    qtbot.mouseClick(one.keep, Qt.MouseButton.LeftButton)
    assert one.isVisible()
    assert not one.keep.isEnabled()
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    qtbot.mouseClick(one.keep, Qt.MouseButton.LeftButton)
    assert one.result() == 1
    assert one.measured.angles == (69.0, 81.0, None)
    assert not one.forgotten


def test_an_answer_that_comes_late_is_not_the_one_kept(qtbot, dialog, monkeypatch):
    one = dialog(open_frame(SAMPLE))
    go, judge = threading.Event(), one._judged
    monkeypatch.setattr(one, "_judged", lambda said: (go.wait(10), judge(said))[1])
    typed(one, "bend 1, angle", "69")
    qtbot.waitUntil(lambda: one.work.busy, timeout=20_000)
    typed(one, "bend 1, angle", "70")
    go.set()
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    assert one.measured.angles[0] == 70.0


def test_enter_beside_the_cells_keeps_nothing(qtbot, dialog):
    one = dialog(open_frame(SAMPLE))
    typed(one, "bend 1, angle", "69")
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    one.table.setFocus()
    qtbot.keyClick(one.table, Qt.Key.Key_Return)
    qtbot.keyClick(one, Qt.Key.Key_Return)
    assert one.isVisible()


def test_measurements_of_other_bends_are_told_from_these(qtbot, dialog):
    """The tube was given another bend after it was measured."""
    frame = open_frame(SAMPLE)
    tube = frame.tube("main rail")
    came = AsBent("left", angles=(69.0, None))
    frame = came_back.with_measured(frame, tube, "left", came)
    one = dialog(frame)
    assert all(one.table.item(number, 1).text() == "" for number in range(len(one.rows)))
    answered(qtbot, one, "Nothing is measured yet")
    assert one.forget.isEnabled()


def test_what_is_cleared_is_not_measured(qtbot, dialog):
    frame = open_frame(SAMPLE)
    came = AsBent("left", apart=1001.0, beyond=(7.8, 20.0), use=True)
    one = dialog(came_back.with_measured(frame, frame.tube("main rail"), "left", came))
    typed(one, "ends apart", "")
    answered(qtbot, one, "Nothing is measured yet")
    assert not one.keep.isEnabled()


def test_where_the_ends_stood_stays_known(qtbot, dialog):
    """The drawing has changed since the tape was held to the bar."""
    frame = open_frame(SAMPLE)
    came = AsBent("left", apart=1001.0, beyond=(3.0, 4.0))
    one = dialog(came_back.with_measured(frame, frame.tube("main rail"), "left", came))
    typed(one, "bend 1, angle", "69")
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    assert one.measured.beyond == (3.0, 4.0)
    typed(one, "ends apart", "1002")
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    start, finish = came_back.bend_as_drawn(frame, "main rail left").job.bar_ends
    assert one.measured.beyond == (round(start, 3), round(finish, 3))


@pytest.mark.parametrize("hold", ["all", "finish"])
def test_how_it_would_be_laid_better_is_said_and_true(qtbot, dialog, hold):
    marked = replace(
        open_frame(SAMPLE), progress={"head cross": "cut", "stand stub": "cut", "tail cross": "cut"}
    )
    frame = with_made(marked)
    one = dialog(frame)
    typed(one, "bend 3, angle", "72.6")
    one.hold.setCurrentIndex(one.hold.findData(hold))
    one.hold.activated.emit(one.hold.currentIndex())
    one.use.click()
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    text, measured = one.answer.text(), one.measured
    came = judged(frame, one._tube, "left", measured)
    counts = {
        way: judged(frame, one._tube, "left", replace(measured, hold=way)).unseated
        for way in ("all", "start", "finish")
    }
    assert came.unseated == counts[hold]
    least = min(counts.values())
    if counts[hold] == least:
        assert came.better is None
        assert "With " not in text
    else:
        way, count = came.better
        assert count == counts[way] == least
        assert HOLD_WORDS[way] in text
    # What is made already is said before it is kept.
    otherwise = [one for one in came.findings if one.code == "made-otherwise"]
    assert otherwise or hold == "all"
    assert {one.where for one in otherwise} <= set(frame.progress)
    assert all(one.what in text for one in otherwise)


def test_it_says_how_far_apart_the_ends_are_and_names_each_that_does_not_seat_on_a_line(
    qtbot, dialog
):
    frame = open_frame(SAMPLE)
    one = dialog(frame)
    typed(one, "bend 1, angle", "60")
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    drawn = next(
        p.part.path for p in solve(as_drawn(frame)).parts if p.part.name == "main rail left"
    )
    # What bend 1 takes less of the bar, the straight behind it has.
    first, second, *rest = bend_table(drawn)
    left = first.clr * math.radians(first.angle_deg - 60.0)
    first, second = replace(first, angle_deg=60.0), replace(second, length=second.length + left)
    # The bar goes on beyond both ends of the path, straight on.
    begin, end = came_back.bend_as_drawn(frame, "main rail left").job.bar_ends
    was, now = (
        float(
            np.linalg.norm(
                (np.array(path.vertices[-1]) + end * path.directions[-1])
                - (np.array(path.vertices[0]) - begin * path.directions[0])
            )
        )
        for path in (drawn, path_from_table([first, second, *rest], drawn.straights[-1]))
    )
    text = one.answer.text()
    assert f"The middles of its ends are {now:.2f}".rstrip("0").rstrip(".") in text
    assert f"apart, drawn {was:.2f}".rstrip("0").rstrip(".") in text
    laid = came_back.with_measured(frame, frame.tube("main rail"), "left", one.measured)
    bad = [seat for seat in seats_on(laid, "main rail", "left") if not seat.seats]
    lines = [line.removeprefix("– ") for line in text.splitlines() if line.startswith("– ")]
    assert len(lines) == len(bad) > 1
    assert all(line.startswith(f"{seat.where} ") for line, seat in zip(lines, bad, strict=True))


def test_looked_at_again_it_says_what_it_said_before_it_was_kept(qtbot, dialog):
    frame = open_frame(SAMPLE)
    one = dialog(frame)
    typed(one, "bend 1, angle", "60")
    one.use.click()
    qtbot.waitUntil(one.keep.isEnabled, timeout=20_000)
    said = one.answer.text()
    assert said.count("Warning") + said.count("Error") > 0
    kept = came_back.with_measured(frame, frame.tube("main rail"), "left", one.measured)
    again = dialog(kept)
    qtbot.waitUntil(lambda: again.answer.text() == said, timeout=20_000)
