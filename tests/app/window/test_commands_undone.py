"""Every command of the page of a frame: undone it leaves the very frame that was, done again the very one that came."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication


@pytest.fixture
def page(qtbot, open_window):
    window = open_window("Frame")
    window.actions_of_frame.open_sample("paddock-stand")
    return window.frame


COMMANDS = {
    "Add a point": lambda page: page.edits.add_point(),
    "Add a stock": lambda page: page.edits.add_stock(inches=False),
    "Rename a tube": lambda page: page.edits.rename("Tubes", "arm", "long arm"),
    "Rename a point": lambda page: page.edits.rename("Points", "arm front", "nose"),
    "Rename a stock": lambda page: page.edits.rename("Stock", "main", "thin"),
    "Rename the frame": lambda page: page.edits.rename_frame("", "other"),
    "Mark": lambda page: page.edits.mark("handle", "cut"),
    "Move in the order": lambda page: page.column.moved.emit("handle", 0),
    "Drag a point": lambda page: page.edits.drag(
        "arm front", (10.0, 160.0, 45.0), page._places(), done=True
    ),
    "Turn points": lambda page: (
        page.choose("Points", "arm front"), page.column.points.item(5).setSelected(True), page.forms.points.way.setCurrentIndex(2),
        page.forms.points.do.click(),
    ),
    "Copy": lambda page: page.edits.copy("prop"),
    "Take out": lambda page: page.edits.take_out("Tubes", ["prop"]),
    "Lengths in inches": lambda page: page.window().inches.setChecked(True),
    "Paste a table": lambda page: (
        QApplication.clipboard().setText("point\tx\ty\tz\nnew\t1\t2\t3\n"), page.paste_rows(),
    ),
    "Put a joint into it": lambda page: (
        page.window().page("Joint"), page.window().joint.into_frame.click(),
    ),
    "Put a bent tube into it": lambda page: (
        page.window().page("Bend"), page.window().bend.into_frame.click(),
    ),
    "Another cut": lambda page: (
        page.choose("Tubes", "prop"), page.forms.tube.ends[0].cut.setCurrentIndex(1),
    ),
    "Both hands no more": lambda page: (
        page.choose("Tubes", "prop"), page.forms.tube.handed.click(),
    ),
    "A bend": lambda page: (page.choose("Tubes", "handle"), page.forms.tube.longer.click()),
    "Another size": lambda page: (
        page.choose("Stock", "main"), page.forms.stock.wall.set_value(2.5),
    ),
    "A point on a tube": lambda page: (
        page.choose("Points", "prop head"), page.forms.point.kind.setCurrentIndex(0), page.forms.point.kind.activated.emit(0),
    ),
    "What the drawings say": lambda page: (
        page.choose("Tubes", ""), page.forms.frame.facts["owner"].setText("me"),
        page.forms.frame.facts["owner"].editingFinished.emit(),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_is_undone_and_done_again(qtbot, page, name):
    window = page.window()
    before = window.document.frame
    COMMANDS[name](page)
    after = window.document.frame
    assert after != before
    history = window.document.history
    assert len(history.past) == 1
    assert window.actions_of_frame.undo.text().removeprefix("&Undo: ") == history.undo_words
    window.actions_of_frame.undo.trigger()
    assert window.document.frame == before
    window.actions_of_frame.redo.trigger()
    assert window.document.frame == after
