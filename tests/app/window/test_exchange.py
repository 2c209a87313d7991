"""From the page of one joint or one bend into the frame, and back; nothing changes on the way."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.document.samples import sample_frame
from geometry.bend_plan import solve_bend
from geometry.bend_tool import BendTool
from geometry.edits import put_point, put_stock, put_tool, put_tube, rename_frame, rename_tube
from geometry.frame import End, Stock, Tube
from geometry.joint import Joint
from geometry.place import At
from geometry.section import RoundTube
from templates_out.frame_result import solve_frame
from tests.app.window.conftest import put, solved, type_in


def test_a_joint_goes_into_the_frame_and_comes_back(qtbot, open_window):
    window = open_window("Joint")
    window.joint.name.setText("down tube")
    joint = window.joint.joint()
    window.joint.into_frame.click()
    assert window.current() is window.frame
    assert [tube.name for tube in window.document.frame.tubes] == ["under down tube", "down tube"]
    assert window.document.history.undo_words == "Put down tube into the frame"
    page = window.frame
    assert page.column.tubes.current == "down tube"
    solved(qtbot, page)
    page.forms.tube.alone["finish"].click()
    assert window.current() is window.joint
    assert window.joint.name.text() == "down tube finish"
    back = window.joint.joint()
    assert (back.tube, back.target_od, back.fit) == (joint.tube, joint.target_od, joint.fit)
    assert (back.angle_deg, back.offset) == pytest.approx((joint.angle_deg, joint.offset), abs=1e-6)


def test_with_a_tube_as_thick_there_is_a_choice(qtbot, open_window):
    window = open_window("Joint")
    window.actions_of_frame.open_sample("paddock-stand")
    window.joint.take("strut", Joint(RoundTube(25.0, 2.0), 33.7, 50.0, 4.0))
    offered = []

    def choose(ways):
        offered.extend(way.words for way in ways)
        return ways[0]

    window.joint.into_frame.choose = choose
    window.joint.into_frame.click()
    assert offered == ["onto roller bar", "as two new tubes"]
    assert window.document.frame.tubes[-1].name == "strut"
    window.actions_of_frame.undo.trigger()
    assert window.document.frame == sample_frame("paddock-stand")
    window.joint.into_frame.choose = lambda _: None
    window.joint.into_frame.click()
    assert window.document.frame == sample_frame("paddock-stand")


def test_what_cannot_be_put_in_is_said_there(qtbot, open_window):
    window = open_window("Joint")
    window.joint.fields["offset"].set_value(60.0)
    assert not window.joint.into_frame.isEnabled()
    assert "misses its target" in window.joint.state.text()


@pytest.mark.parametrize(("page", "field"), [("Joint", "offset"), ("Bend", "trim_start")])
def test_with_a_wrong_field_nothing_is_put_in(qtbot, open_window, page, field):
    window = open_window(page)
    page = window.page(page)
    qtbot.waitUntil(page.into_frame.isEnabled)
    type_in(qtbot, page.fields[field], "apples")
    assert not page.into_frame.isEnabled()
    assert "put it into the frame" in page.state.text()
    type_in(qtbot, page.fields[field], "5")
    qtbot.waitUntil(page.into_frame.isEnabled)
    page.into_frame.click()
    assert window.document.frame.tubes


def test_a_bent_tube_goes_in_is_taken_out_and_put_back_changed(qtbot, open_window):
    window = open_window("Bend")
    window.bend.name.setText("rail")
    window.bend.into_frame.click()
    page = window.frame
    assert page.column.tubes.current == "rail"
    solved(qtbot, page)
    path = page.result.fitted.parts[0].part.path
    page.forms.tube.alone["bend"].click()
    assert window.current() is window.bend
    assert window.bend.job().path == path
    window.bend.fields["radius"].set_value(150.0)
    window.bend.into_frame.choose = lambda ways: offered.append([w.words for w in ways]) or ways[0]
    offered = []
    window.bend.into_frame.click()
    assert offered == [["in place of rail", "as a new tube, rail 2"]]
    assert [tube.radii for tube in window.document.frame.tubes] == [(150.0,)]
    assert len(window.document.frame.points) == 3


@pytest.mark.parametrize("key", ["single-cylinder", "cargo-trike"])
def test_every_bent_tube_of_a_sample_is_the_same_on_its_page(qtbot, open_window, key):
    window = open_window("Frame")
    window.actions_of_frame.open_sample(key)
    page = window.frame
    solved(qtbot, page)
    bent = [tube.name for tube in page.frame.tubes if tube.radii]
    assert bent
    for name in bent:
        page.choose("Tubes", name)
        page.forms.tube.alone["bend"].click()
        part = next(o.part for o in page.result.fitted.parts if o.part.name == page.part)
        job = window.bend.job()
        assert (job.tube, job.material.name) == (part.section, part.stock.material)
        # The bar that the shop gets is the same: with what its fitted ends and the bender need.
        bar = page.result.bends[part.name]
        if min(bar.job.trim) + min(bar.job.left_on) >= 0:
            assert solve_bend(job).supplied_length == pytest.approx(bar.supplied_length, abs=1e-6)
        assert job.path.radii == pytest.approx(part.path.radii, abs=1e-8)
        for one, other in zip(job.path.vertices, part.path.vertices, strict=True):
            assert one == pytest.approx(other, abs=1e-8)
        window.go_to("Frame")


def test_an_end_that_is_no_joint_is_not_offered_and_says_why(qtbot, open_window):
    window = open_window("Frame")
    window.actions_of_frame.open_sample("paddock-stand")
    page = window.frame
    alone = page.forms.tube.alone
    # Sawn square: that is seen at once.
    page.choose("Tubes", "roller bar")
    assert not alone["start"].isEnabled()
    assert "no cope of a round tube" in alone["start"].toolTip()
    solved(qtbot, page)
    assert not alone["start"].isEnabled()
    page.choose("Tubes", "arm")
    assert alone["start"].isEnabled()
    assert "page Joint" in alone["start"].toolTip()
    # On two tubes, or on a bent one: that is known when it is cut.
    window.actions_of_frame.open_sample("cargo-trike")
    solved(qtbot, page)
    for tube, why in (
        ("boom", "which is not straight and round"),
        ("seat tube", "is with one tube"),
    ):
        page.choose("Tubes", tube)
        assert not alone["start"].isEnabled()
        assert why in alone["start"].toolTip()


def test_in_place_of_a_tube_with_other_points_is_not_offered(qtbot, open_window):
    window = open_window("Bend")
    window.bend.into_frame.click()
    window.go_to("Bend")
    put(window.bend.points, 3, 0, "900")
    put(window.bend.points, 3, 1, "0")
    put(window.bend.points, 3, 2, "700")
    ways = window.bend.ways_into(window.document.frame)
    assert [way.words for way in ways] == ["as a new tube, tube 2"]
    qtbot.waitUntil(window.bend.into_frame.isEnabled)
    window.bend.into_frame.click()
    assert [tube.name for tube in window.document.frame.tubes] == ["tube", "tube 2"]


def test_the_bender_goes_along_into_the_frame(qtbot, open_window):
    """Its mark and trial bends: else the frame would reckon the settings by theory, and less."""
    window = open_window("Bend")
    page = window.bend
    for column, text in enumerate(("90", "86")):
        put(page.trials, 0, column, text)
    type_in(qtbot, page.fields["reference"], "12")
    qtbot.waitUntil(lambda: page._solved and bool(page.result.fit))
    alone = page.result
    page.into_frame.click()
    frame = window.session.document.frame
    (tool,) = frame.tools.values()
    assert tool.reference == 12.0
    assert [one.trial.got_deg for one in tool.trials] == [86.0]
    (bend,) = solve_frame(frame).bends.values()
    assert [one.set_angle_deg for one in bend.settings] == pytest.approx(
        [one.set_angle_deg for one in alone.settings], abs=1e-6
    )
    assert [one.tool for one in bend.marks] == pytest.approx([one.tool for one in alone.marks])
    # Once more it is the same one.
    page.into_frame.choose = lambda ways: ways[-1]
    window.go_to("Bend")
    page.into_frame.click()
    assert len(window.session.document.frame.tools) == 1


def test_undo_does_nothing_where_the_frame_is_not_seen(qtbot, stand_window):
    window = stand_window
    undo = window.actions_of_frame.undo
    window.session.document.do("Rename", lambda f: rename_frame(f, "another"))
    assert undo.isEnabled()
    window.go_to("Bend")
    assert not undo.isEnabled()
    QTest.keyClick(window.bend.points, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.session.document.frame.name == "another"
    window.go_to("Frame")
    assert undo.isEnabled()


def test_a_former_that_is_named_goes_along_as_it_is(qtbot, open_window):
    """Bent on it the tube has another radius, which is said on the page, before and in the frame alike."""
    window = open_window("Bend")
    page = window.bend
    put(page.trials, 0, 0, "90")
    put(page.trials, 0, 1, "86.5")
    type_in(qtbot, page.fields["former"], "115")
    qtbot.waitUntil(lambda: page._solved and bool(page.result.job.tools))
    (off,) = [one for one in page.result.findings if one.code == "radius-off"]
    # The neutral fibre keeps its length: 115 mm over 86.5/90.
    assert off.what == "the former leaves a radius of 119.7 mm, not 115 mm."
    assert "Bend 1 on the former, of radius 115 mm" in page.facts.text()
    page.into_frame.click()
    (tool,) = window.session.document.frame.tools.values()
    assert (tool.radius, tool.reference) == (115.0, 0.0)
    assert not window.frame.column.state.text()
    # And back: the same former.
    solved(qtbot, window.frame)
    assert {one.code for one in window.frame.findings} >= {"radius-off"}
    type_in(qtbot, page.fields["former"], "0")
    window.frame.forms.tube.alone["bend"].click()
    assert page.fields["former"].value == 115.0
    qtbot.waitUntil(lambda: page._solved)
    # Another trial is added to the tool that is there.
    put(page.trials, 1, 0, "45")
    put(page.trials, 1, 1, "43")
    type_in(qtbot, page.fields["reference"], "5")
    qtbot.waitUntil(lambda: page._solved and len(page.result.job.tools[0][1].trials) == 2)
    page.into_frame.choose = lambda ways: ways[0]
    page.into_frame.click()
    (again,) = window.session.document.frame.tools.values()
    assert [(one.trial.set_deg, one.trial.got_deg) for one in again.trials] == [
        (90, 86.5),
        (45, 43),
    ]
    assert again.reference == 5.0


def test_a_former_that_is_reckoned_is_said_to_be(qtbot, open_window):
    window = open_window("Bend")
    put(window.bend.trials, 0, 0, "90")
    put(window.bend.trials, 0, 1, "86.5")
    qtbot.waitUntil(lambda: window.bend._solved and bool(window.bend.result.fit))
    window.bend.into_frame.click()
    (name,) = window.session.document.frame.tools
    said = window.frame.column.state.text()
    assert said.startswith(f"{name} came along, a bending tool. Its former's radius is reckoned")
    solved(qtbot, window.frame)
    assert window.frame.column.state.text() == said


def test_what_is_wrong_with_the_former_is_said_beside_it(qtbot, open_window):
    page = open_window("Bend").bend
    type_in(qtbot, page.fields["former"], "10")
    qtbot.waitUntil(lambda: page.fields["former"].message.isVisible())
    assert "tool radius is 10 mm; allowed is above 19.05" in page.fields["former"].message.text()
    assert not page.save.isEnabled()


def test_what_putting_a_tube_in_changes_beside_it_is_said(qtbot, open_window):
    """A free end that it meets is cut to it, and a tool of the frame keeps its own mark and trial bends."""
    window = open_window("Frame")
    document = window.session.document
    for name, at in (("a", At(0.0, 0.0, 0.0)), ("b", At(0.0, -500.0, 0.0))):
        document.do("Add", lambda f, name=name, at=at: put_point(f, name, at))
    cross = Tube("cross", "bar", ("b", "a"), (), (End("square"), End("square")))
    document.do("Add", lambda f: put_stock(f, "bar", Stock(RoundTube(38.1, 1.6))))
    document.do("Add", lambda f: put_tube(f, cross))
    mine = BendTool(38.1, 111.0, reference=30.0)
    document.do("Add", lambda f: put_tool(f, "my bender", mine))
    window.go_to("Bend")
    page = window.bend
    put(page.trials, 0, 0, "90")
    put(page.trials, 0, 1, "86")
    qtbot.waitUntil(lambda: page._solved and bool(page.result.fit))
    page.into_frame.click()
    assert document.frame.tube("cross").ends[1].cut == "mitre"
    assert document.frame.tube("tube").ends[0].cut == "mitre"
    said = window.frame.column.state.text()
    assert "that is otherwise now: cross." in said
    assert "It is bent on my bender, whose mark and trial bends in the frame count" in said
    assert document.frame.tools == {"my bender": mine}
    # With a former that is named there is another one, which the tube before is bent on too.
    window.go_to("Bend")
    type_in(qtbot, page.fields["former"], "114")
    page.name.setText("second")
    page.changed()
    page.into_frame.choose = lambda ways: ways[-1]
    qtbot.waitUntil(lambda: page._solved and bool(page.result.job.tools))
    page.into_frame.click()
    assert "these are bent otherwise than before: tube." in window.frame.column.state.text()


def test_a_tube_that_was_renamed_in_the_frame_is_not_laid_on_itself(qtbot, open_window):
    window = open_window("Bend")
    page, document = window.bend, window.session.document
    qtbot.waitUntil(lambda: page._solved)
    page.into_frame.click()
    document.do("Rename", lambda f: rename_tube(f, "tube", "tow bar"))
    type_in(qtbot, page.fields["radius"], "120")
    qtbot.waitUntil(lambda: page._solved and page.result.job.path.radii == (120.0,))
    offered = []
    page.into_frame.choose = lambda ways: offered.extend(way.words for way in ways) or ways[0]
    page.into_frame.click()
    assert offered == ["in place of tow bar", "as a new tube, tube"]
    assert [tube.name for tube in document.frame.tubes] == ["tow bar"]
    assert document.frame.tube("tow bar").radii == (120.0,)
    assert "Its bends had radii of 115 and have 120 now." in window.frame.column.state.text()
