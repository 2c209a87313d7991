"""Bending tools in the window: typed, tried, kept for other frames, and what the bends then are set to."""

from __future__ import annotations

import pytest

from app.document.tool_library import change_library, library_tools
from geometry.bend_tool import BendTool, TrialBend
from geometry.springback import Trial, fit_trials
from tests.app.window.conftest import put, solved, type_in


@pytest.fixture
def page(qtbot, open_window):
    window = open_window("Frame")
    window.actions_of_frame.open_sample("single-cylinder")
    solved(qtbot, window.frame)
    return window.frame


def add(page):
    page.column.tabs.setCurrentIndex(3)
    page.column.add.click()
    return page.forms.tool


def test_a_tool_is_made_and_its_trials_set_the_bends(qtbot, page):
    before = page.result.bends["main rail left"]
    assert before.settings[0].source == "theory"
    form = add(page)
    assert form.isVisible()
    form.name.setText("hand bender")
    form.name.editingFinished.emit()
    type_in(qtbot, form.od, "28")
    type_in(qtbot, form.radius, "98")
    type_in(qtbot, form.grip, "60,5")
    for row, (angle, got) in enumerate((("45", "43.4"), ("90", "88"))):
        put(form.trials, row, 0, angle)
        put(form.trials, row, 1, got)
    tool = page.frame.tools["hand bender"]
    assert (tool.od, tool.radius, tool.grip) == (28.0, 98.0, 60.5)
    assert [one.trial for one in tool.trials] == [Trial(45.0, 43.4), Trial(90.0, 88.0)]
    solved(qtbot, page)
    bend = page.result.bends["main rail left"]
    assert bend.settings[0].source == "trials"
    fit = fit_trials(tuple(one.trial for one in tool.trials))
    angle = bend.rows[0].angle_deg
    assert bend.settings[0].set_angle_deg == pytest.approx((angle - fit.base) / fit.slope, abs=1e-9)
    assert page.column.tools.item(0).text() == "hand bender\nfor 28, radius 98, 2 trial bends"
    while page.document.history.past:
        page.document.undo()
    assert not page.frame.tools


def test_a_new_tool_begins_as_the_frame_s_bends_ask_for(qtbot, page):
    add(page)
    tool = page.frame.tools["bender"]
    # As much tighter as theory says (tests/properties/test_bend.py holds that to the textbook's formula).
    assert (tool.od, tool.radius) == (28.0, 98.9)
    solved(qtbot, page)
    assert page.result.bends["main rail left"].tools[0][0] == "bender"


def test_half_a_trial_is_said_and_the_tool_stays(qtbot, page):
    form = add(page)
    before = page.frame.tools["bender"]
    put(form.trials, 0, 0, "45")
    assert "is empty" in form.problem.text()
    assert page.frame.tools["bender"] == before
    put(form.trials, 0, 1, "43")
    assert form.problem.isHidden()
    assert len(page.frame.tools["bender"].trials) == 1


def test_what_the_form_does_not_show_of_a_trial_is_kept(qtbot, page):
    trial = TrialBend(Trial(45.0, 43.5), "E355", 1.5, "2026-05-01", 0.94)
    tool = BendTool(28.0, 98.0, trials=(trial, TrialBend(Trial(90.0, 87.0))))
    page.edits.add_tool("press", tool)
    type_in(qtbot, page.forms.tool.grip, "50")
    put(page.forms.tool.trials, 1, 1, "88")
    assert page.frame.tools["press"].trials == (trial, TrialBend(Trial(90.0, 88.0)))
    assert page.frame.tools["press"].grip == 50.0


def test_a_radius_that_no_tool_has_is_said(qtbot, page):
    form = add(page)
    before = page.frame.tools["bender"]
    type_in(qtbot, form.radius, "5")
    assert "tool radius" in form.problem.text()
    assert page.frame.tools["bender"] == before


def test_a_tool_is_kept_for_other_frames_and_offered_there(qtbot, page, monkeypatch):
    form = add(page)
    type_in(qtbot, form.radius, "98")
    form.keep.click()
    assert library_tools() == {"bender": page.frame.tools["bender"]}
    assert "bender is kept" in form.problem.text()
    change_library({"press": BendTool(40.0, 120.0)})
    page.window().actions_of_frame.ask_to_lose = lambda: "lose"
    page.window().actions_of_frame.open_sample("paddock-stand")
    offered = []

    def choose(_, tools):
        offered.append(list(tools))
        return answers.pop(0)

    monkeypatch.setattr("app.window.kept_tools.choose_tool", choose)
    answers = [None, "press", ""]
    for _ in range(4):
        add(page)
    # Neither; one that is kept; a new one; and then there is nothing left to choose from.
    assert offered == [["bender", "press"], ["bender", "press"], ["bender"]]
    assert page.frame.tools["press"] == BendTool(40.0, 120.0)
    assert list(page.frame.tools) == ["press", "bender", "bender 2"]


def test_a_tool_is_renamed_and_taken_out(qtbot, page):
    form = add(page)
    form.name.setText("press")
    form.name.editingFinished.emit()
    assert page.column.current == "press"
    add(page)
    page.forms.tool.name.setText("PRESS")
    page.forms.tool.name.editingFinished.emit()
    assert "is there as 'press' too" in page.column.state.text()
    assert list(page.frame.tools) == ["press", "bender"]
    page.column.take_out.click()
    assert list(page.frame.tools) == ["press"]
    page.copy_rows()
    assert "in no table" in page.column.state.text()
