"""Somebody presses and types at random on the page of a frame: nothing breaks, and what is shown is what is."""

from __future__ import annotations

import random

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest

from geometry.frame import STEPS, made_names

STEPS_OF_USE = 60


class Somebody:
    """Does one thing after the other."""

    def __init__(self, window, seed):
        self.window, self.page, self.dice = window, window.frame, random.Random(seed)
        self.things = [
            self.choose, self.choose, self.type_number, self.type_number, self.add, self.copy, self.take_out, self.order,
            self.rename, self.drag, self.click, self.undo, self.undo, self.redo, self.mark, self.new_tube, self.another_view,
            self.tables, self.several, self.unit, self.choice, self.jump, self.mistake,
        ]  # fmt: skip

    @property
    def frame(self):
        return self.page.frame

    def one(self, things):
        things = list(things)
        return self.dice.choice(things) if things else None

    def choose(self):
        kind = self.one(("Tubes", "Points", "Stock"))
        name = self.one({"Tubes": [t.name for t in self.frame.tubes], "Points": self.frame.points,
                         "Stock": self.frame.stock}[kind])  # fmt: skip
        self.page.choose(kind, name or "")

    def type_number(self):
        from app.window.number_field import NumberField

        form = self.page.forms.currentWidget()
        field = self.one([f for f in form.findChildren(NumberField) if f.isVisible()])
        if field is not None:
            field.edit.setFocus()
            field.edit.selectAll()
            QTest.keyClicks(
                field.edit, self.one(("0", "12,5", "-40", "300", "1e9", "six apples", '1-1/2"'))
            )

    def mistake(self):
        """Wrong in a field, and on to something else of its kind."""
        self.page.choose("Tubes", self.one([t.name for t in self.frame.tubes if t.radii]) or "")
        radii = self.page.forms.tube.radii
        if self.page.forms.tube.isVisible() and radii:
            self.one(radii).edit.setFocus()
            self.one(radii).edit.selectAll()
            QTest.keyClicks(self.one(radii).edit, self.one(("1o0", "900", "1e9")))
        self.page.choose("Tubes", self.one([t.name for t in self.frame.tubes]) or "")

    def choice(self):
        from PySide6.QtWidgets import QComboBox

        combo = self.one(
            [c for c in self.page.forms.currentWidget().findChildren(QComboBox) if c.isVisible()]
        )
        if combo is not None and combo.count():
            combo.setFocus()
            QTest.keyClick(combo, self.one((Qt.Key.Key_Down, Qt.Key.Key_Up)))

    def add(self):
        self.page.column.add.click()

    def copy(self):
        self.page.column.copy.click()

    def take_out(self):
        QTest.keyClick(self.page.column.list_in_view, Qt.Key.Key_Delete)

    def order(self):
        key = self.one((Qt.Key.Key_Up, Qt.Key.Key_Down))
        QTest.keyClick(self.page.column.tubes, key, Qt.KeyboardModifier.AltModifier)

    def rename(self):
        form = self.one(
            (
                self.page.forms.tube,
                self.page.forms.point,
                self.page.forms.stock,
                self.page.forms.frame,
            )
        )
        if form.isVisible():
            form.name.setText(self.one(("seat", "arm", "A long name: with é", "", "x" * 90)))
            form.name.editingFinished.emit()

    def drag(self):
        view = self.page.views.view
        scene = getattr(view, "scene", None)
        if scene is None or not scene.points:
            return
        at = view.pixel(QPointF(*scene.points[self.one(scene.points)])).toPoint()
        QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=at)
        for _ in range(3):
            at += QPoint(self.dice.randint(-9, 9), self.dice.randint(-9, 9))
            QTest.mouseMove(view, at)
        QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=at)

    def click(self):
        view = self.page.views.view
        at = QPoint(self.dice.randrange(view.width()), self.dice.randrange(view.height()))
        QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=at)

    def undo(self):
        self.window.actions_of_frame.undo.trigger()

    def redo(self):
        self.window.actions_of_frame.redo.trigger()

    def mark(self):
        combo = self.one(self.page.forms.tube.made.values())
        if combo is not None and self.page.forms.tube.isVisible():
            combo.setCurrentIndex(self.dice.randrange(len(STEPS) + 1))
            combo.activated.emit(combo.currentIndex())

    def new_tube(self):
        form = self.page.forms.new
        if not form.isVisible():
            return
        combo = self.one(form.points)
        combo.setEditText(
            self.one((*list(self.frame.points)[:3], "1, 2, 3", "high: 0 0 900", "nonsense", ""))
        )
        form.stock.setEditText(self.one((*self.frame.stock, "30x2", "thick")))
        self.one((form.done, form.leave, form.longer, form.handed)).click()

    def another_view(self):
        self.page.views.tabs.setCurrentIndex(self.dice.randrange(4))
        self.page.views.names.click()

    def tables(self):
        self.page.copy_rows()
        self.page.paste_rows()

    def several(self):
        self.page.choose("Points", "")
        self.page.column.points.selectAll()
        if self.page.forms.points.isVisible():
            self.page.forms.points.do.click()

    def unit(self):
        self.window.inches.toggle()

    def jump(self):
        found = self.page.details.findings
        if found.count():
            found.itemClicked.emit(found.item(0))

    def look(self):
        """What is shown is what is."""
        page, frame = self.page, self.frame
        assert page.column.tubes.names == [tube.name for tube in frame.tubes]
        assert page.column.points.names == list(frame.points)
        assert page.column.stock.names == list(frame.stock)
        if page.forms.tube.isVisible():
            assert page.forms.tube.tube == frame.tube(page.forms.tube.named)
            assert tuple(page.forms.tube.made) == made_names(page.forms.tube.tube)
        if page.forms.point.isVisible():
            assert page.forms.point.shown == frame.points[page.forms.point.named]
        if page.forms.stock.isVisible():
            assert page.forms.stock.shown == frame.stock[page.forms.stock.named]
        assert self.window.inches.isChecked() == (frame.units == "in")


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("sample", ["", "paddock-stand", "single-cylinder"])
def test_nothing_breaks(qtbot, open_window, sample, seed, caplog):
    window = open_window("Frame")
    if sample:
        window.actions_of_frame.open_sample(sample)
    start = window.document.frame
    somebody = Somebody(window, f"{sample} {seed}")
    for _ in range(STEPS_OF_USE):
        somebody.one(somebody.things)()
        somebody.look()
        if somebody.dice.random() < 0.2:
            qtbot.wait(15)
            somebody.look()
    qtbot.waitUntil(lambda: not window.frame.seeing.busy, timeout=10_000)
    # Some of it was done, and not refused.
    assert window.document.history.past or window.document.history.future
    while window.document.history.past:
        window.document.undo()
        somebody.look()
    assert window.document.frame == start
    assert "Traceback" not in caplog.text
