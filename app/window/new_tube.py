"""A tube that is being added: its stock and its points, picked or typed, and what is proposed for its ends."""

from __future__ import annotations

from functools import partial
from itertools import pairwise

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.window.background import Background
from app.window.clicked_place import place_on
from app.window.colours import TickBox
from app.window.page_frame import StillCombo, words_label
from app.window.point_row import PointRow
from app.window.proposed_words import first_stock, proposed, proposed_words
from app.window.shown_words import length_shown, typed
from app.window.typed_stock import stock_example, with_stock
from app.window.words import sentence, tr
from geometry.edits import free_name, put_point
from geometry.errors import BadText, CopewrightError
from geometry.frame import Frame, Tube
from geometry.names import parse_name
from geometry.path import Point
from geometry.places import Places
from geometry.point_text import mirror_of, read_point
from geometry.proposals import Proposal, bend_radius
from geometry.said import said
from geometry.section import BoxSection
from geometry.units import parse_length

_INTRO = tr(
    "Name the tube, choose its stock or type a new one such as {stock}, and give its points from one end to the other: "
    "click them in a view, choose them, or type x, y, z. A click on a tube is a place on that tube."
)
_STEM = 60
"""So much of the tube's name is in those of its points, which may not be longer than 80."""


class NewTube(QWidget):
    """A form for a tube to come. Nothing is in the frame until it is done.

    Signals:
        made: its name, and the frame with it.
        thought: the frame with the points that are typed, and the names of those that the tube goes through.
        left: the person does not want it.
    """

    made = Signal(str, object)
    thought = Signal(object, object)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._frame = Frame()
        self.name = QLineEdit(self)
        self.name.setAccessibleName(tr("name of the new tube"))
        self.stock = StillCombo(self)
        self.stock.setEditable(True)
        self.stock.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.stock.setAccessibleName(tr("stock of the new tube"))
        self.stock.setToolTip(tr("Choose one, or type a new one: outside diameter x wall"))
        self.handed = TickBox(tr("make its opposite hand too"), self)
        self.points: list[PointRow] = []
        self._points_box = QVBoxLayout()
        self._points_box.setContentsMargins(0, 0, 0, 0)
        self.radius = QLineEdit(self)
        self.radius.setAccessibleName(tr("radius of the new tube's bends"))
        self.radius.setToolTip(
            tr(
                "At the tube's centreline, of all its bends; leave it empty for what is proposed: what your tool leaves once the "
                "tube has sprung back, or else three diameters"
            )
        )
        self.longer = QPushButton(tr("One more point"), self)
        self.longer.setToolTip(tr("Where the last point was, the tube bends"))
        self.done, self.leave = QPushButton(tr("Done"), self), QPushButton(tr("Cancel"), self)
        self.done.setDefault(True)
        self.leave.setToolTip(tr("What is typed is not wanted; Escape keeps it for later"))
        self.intro, self.told = words_label(self), words_label(self)
        self._ready: tuple[str, Frame] | None = None
        self._then = self._begun = False
        self._blank: list[object] = []
        self.proposing = Background(self)
        self.proposing.finished.connect(self._proposed)
        self.proposing.failed.connect(self._say_error)
        self._lay_out()
        self.name.textEdited.connect(lambda _: self._look())
        self.stock.editTextChanged.connect(lambda _: self._look())
        self.radius.textEdited.connect(lambda _: self._look())
        self.handed.toggled.connect(lambda _: self._look())
        self.longer.clicked.connect(self._add_row)
        self.done.clicked.connect(self.finish)
        self.leave.clicked.connect(self.give_up)

    def _lay_out(self) -> None:
        rows = QVBoxLayout(self)
        rows.addWidget(self.intro)
        form = QFormLayout()
        form.addRow(tr("name"), self.name)
        form.addRow(tr("stock"), self.stock)
        rows.addLayout(form)
        rows.addWidget(words_label(self, tr("points, from its start to its finish")))
        rows.addLayout(self._points_box)
        rows.addWidget(self.longer)
        self._bends = QFormLayout()
        self._bends.addRow(tr("radius of its bends"), self.radius)
        rows.addLayout(self._bends)
        rows.addWidget(self.handed)
        buttons = QHBoxLayout()
        buttons.addWidget(self.done, 2)
        buttons.addWidget(self.leave, 1)
        rows.addLayout(buttons)
        # Below: what is told grows as it is typed, and the buttons stay where they are.
        rows.addWidget(self.told)
        rows.addStretch(1)

    def begin(self, frame: Frame) -> None:
        """A new tube for a frame; one that was begun and neither done nor left is gone on with."""
        if self._begun:
            self.follow(frame)
            self.name.setFocus()
            return
        self._begun = True
        self._follow_frame(frame)
        self.name.setText(free_name(tr("tube"), [tube.name for tube in frame.tubes]))
        self.name.selectAll()
        self.stock.blockSignals(True)
        self.stock.clear()
        self.stock.addItems(list(frame.stock))
        self.stock.setCurrentText(first_stock(frame))
        self.stock.blockSignals(False)
        self.handed.setChecked(False)
        self.radius.clear()
        for combo in self.points:
            self._points_box.removeWidget(combo)
            combo.deleteLater()
        self.points = []
        for _ in range(2):
            self._add_row()
        self._blank = self._filled()
        self.name.setFocus()
        self._look()

    def _filled(self) -> list[object]:
        """All that the person can fill in."""
        lines = [self.name.text(), self.stock.currentText(), self.radius.text()]
        points = [text for combo in self.points if (text := combo.currentText().strip())]
        return [*lines, self.handed.isChecked(), *points]

    def _follow_frame(self, frame: Frame) -> None:
        self._frame = frame
        self.intro.setText(_INTRO.format(stock=stock_example(frame.units)))

    def follow(self, frame: Frame) -> None:
        """The frame has changed meanwhile; what is typed stays."""
        self._follow_frame(frame)
        for combo in (self.stock, *self.points):
            text = combo.currentText()
            combo.blockSignals(True)
            combo.clear()
            combo.addItems(list(frame.stock if combo is self.stock else frame.points))
            combo.setCurrentIndex(-1)
            combo.setEditText(text)
            combo.blockSignals(False)
        self._look()

    def _add_row(self) -> None:
        combo = PointRow(len(self.points) + 1, self._frame.points, self)
        combo.editTextChanged.connect(lambda _: self._look())
        combo.renamed.connect(partial(self._follow_name, combo))
        self.points.append(combo)
        self._points_box.addWidget(combo)
        self._bends.setRowVisible(self.radius, len(self.points) > 2)
        self._chain()
        combo.setFocus()

    def _follow_name(self, row: PointRow, old: str, new: str) -> None:
        # While a name is typed it may be another point's, whose image may be meant.
        other = old.casefold() in {name.casefold() for name in self._frame.points}
        for combo in self.points:
            meant = combo.image_of or (None if other or not combo.is_image_of(old) else row)
            if meant is row:
                combo.follow_name(old, new)
                combo.image_of = row

    def _chain(self) -> None:
        """Tab goes down the form, new lines too."""
        order = [
            self.name, self.stock, *self.points, self.longer, self.radius, self.handed, self.done, self.leave,
        ]  # fmt: skip
        for one, other in pairwise(order):
            QWidget.setTabOrder(one, other)

    def pick(self, text: str) -> None:
        """A point was clicked on: it goes where one is still missing, or comes after the last; nothing is written over."""
        filled = [combo.currentText() for combo in self.points if combo.currentText().strip()]
        empty = next((combo for combo in self.points if not combo.currentText().strip()), None)
        if filled[-1:] == [text]:
            # Clicked twice.
            return
        if empty is None:
            self._add_row()
            empty = self.points[-1]
        empty.setEditText(text)
        after = next((combo for combo in self.points if not combo.currentText().strip()), None)
        (after or self.done).setFocus()

    def pick_place(self, at: Point, along: str, part: str = "") -> None:
        """A place was clicked on: on a part the nearest of its centreline, else one of its own.

        The value that the view does not tell is then the last point's.

        Args:
            at: mm.
            along: the axis that the view looks along.
            part: that lies there; "" for none.
        """
        frame, start = self._with_start()
        on_it = place_on(frame, part, at, along) if part else ""
        first = self.points[0].currentText().strip()
        named = start in self._frame.points or first.casefold().startswith(f"{start.casefold()}:")
        if on_it == mirror_of(start) and not named:
            # It is spoken of now, so it keeps its name.
            self.points[0].setEditText(f"{start}: {first}")
        if on_it:
            self.pick(on_it)
            return
        before = self._last_place()
        values = dict(zip("xyz", at, strict=True))
        if before is not None:
            values[along] = dict(zip("xyz", before, strict=True))[along]
        self.pick(typed((values[axis] for axis in "xyz"), inches=self._frame.units == "in"))

    def _with_start(self) -> tuple[Frame, str]:
        """The frame with the tube's first point, and what that is called; "" where it has none yet."""
        try:
            frame, path = self._with_points([self.points[0].currentText()], alone=True)
        except CopewrightError:
            return self._frame, ""
        return frame, path[0]

    def _last_place(self) -> Point | None:
        typed = [combo.currentText() for combo in self.points if combo.currentText().strip()]
        if not typed:
            return None
        try:
            frame, path = self._with_points(typed)
            return Places(frame).point(path[-1])
        except CopewrightError:
            return None

    def _with_points(self, texts: list[str], *, alone: bool = False) -> tuple[Frame, list[str]]:
        """The frame with the points that are typed, and the tube's path; of the first one alone, what it will be called."""
        frame, path = self._frame, []
        name = self.name.text().strip() or tr("tube")
        for number, text in enumerate(texts):
            hint = _hint(name[:_STEM], number, last=number == len(texts) - 1 and not alone)
            point, place = read_point(text, frame, hint, inches=frame.units == "in")
            if place is not None:
                frame = put_point(frame, point, place)
            path.append(point)
        return frame, path

    def _typed(self) -> list[str]:
        texts = [combo.currentText() for combo in self.points]
        typed = [text for text in texts if text.strip()]
        if len(typed) < 2:
            # What is wrong with the one that there is comes first.
            frame, path = self._with_points(typed, alone=True)
            for one in path:
                Places(frame).point(one)
            text = tr("a tube needs a point at its start and one at its finish")
            raise BadText(text)
        return typed

    def typed(self) -> tuple[Frame, Tube]:
        """The frame with what is new for the tube, and the tube.

        Raises:
            CopewrightError: when what is typed makes no tube.
        """
        if not self.name.text().strip():
            raise BadText(tr("the tube needs a name"))
        name = parse_name(self.name.text(), said("the tube's name"))
        if any(one.name.casefold() == name.casefold() for one in self._frame.tubes):
            text = tr("there is a tube {name} already; give the new one another name")
            raise BadText(text.format(name=repr(name)))
        frame, path = self._with_points(self._typed())
        for one, other in pairwise(path):
            if one == other:
                text = tr(
                    "{point} stands twice, one after the other; a tube goes on to another point"
                )
                raise BadText(text.format(point=one))
        places = Places(frame)
        for one in path:
            places.point(one)
        frame, stock = with_stock(frame, self.stock.currentText())
        section = frame.stock[stock].section
        if len(path) > 2 and isinstance(section, BoxSection):
            text = tr("a box section is not bent; end one tube at the corner and begin another")
            raise BadText(text)
        radius = bend_radius(frame, stock)
        if len(path) > 2 and self.radius.text().strip():
            what = tr("radius of its bends")
            radius = parse_length(self.radius.text(), what, default_unit=frame.units)
        radii = (radius,) * (len(path) - 2)
        return frame, Tube(name, stock, tuple(path), radii, handed=self.handed.isChecked())

    def _look(self) -> None:
        """What would come of it, or what is missing."""
        self._ready, self._then = None, False
        self.proposing.drop()
        try:
            frame, tube = self.typed()
        except CopewrightError as error:
            self._say_error(error)
            return
        proposal = bend_radius(frame, tube.stock)
        self.radius.setPlaceholderText(length_shown(proposal, inches=frame.units == "in"))
        self.done.setEnabled(True)
        self.thought.emit(frame, tube.path)
        self.proposing.ask(lambda: proposed(frame, tube))

    def _proposed(self, found: tuple[str, Frame, tuple[Proposal, Proposal]]) -> None:
        name, frame, ways = found
        self.told.setText(proposed_words(self._frame, frame, name, ways))
        self._ready = name, frame
        if self._then:
            self.finish()

    def _say_error(self, error: Exception) -> None:
        self.told.setText(sentence(error))
        self.done.setEnabled(False)

    def finish(self) -> None:
        """It goes into the frame, as soon as its ends are proposed."""
        if self._ready is None:
            self._then = self.done.isEnabled()
            return
        ready, self._ready, self._then = self._ready, None, False
        self._begun = False
        self.made.emit(*ready)

    def forget(self) -> None:
        """What was begun was for another frame."""
        self._begun = False
        self.pause()

    def pause(self) -> None:
        """The person has gone elsewhere: what is typed stays, and nothing comes of it by itself."""
        self._ready, self._then = None, False
        self.proposing.drop()

    def give_up(self) -> None:
        """What was begun is not wanted."""
        self.forget()
        self.left.emit()

    def go_away(self) -> None:
        """For now: what is typed comes back with the next tube that is added."""
        self._begun = self._filled() != self._blank
        self.pause()
        self.left.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes to the next line that is empty, or is done; Escape leaves, and nothing is lost by it."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            empty = next((one for one in self.points if not one.currentText().strip()), None)
            if empty is not None:
                empty.setFocus()
            elif self.done.isEnabled():
                self.finish()
        elif event.key() == Qt.Key.Key_Escape:
            self.go_away()
        else:
            super().keyPressEvent(event)


def _hint(tube: str, number: int, *, last: bool) -> str:
    """What a tube's point is called that has no name yet."""
    if number == 0:
        return tr("{tube} start").format(tube=tube)
    if last:
        return tr("{tube} finish").format(tube=tube)
    return tr("{tube} bend {number}").format(tube=tube, number=number)
