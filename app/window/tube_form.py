"""One tube of a frame, as a form: its name, stock, points, bends and ends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.window.colours import TickBox
from app.window.end_form import EndForm
from app.window.named_form import NamedForm, leave_undo, put
from app.window.number_field import NumberField
from app.window.page_frame import StillCombo
from app.window.shown_words import HAND_WORDS, STEP_WORDS, USE_TIP
from app.window.words import tr
from geometry.errors import CopewrightError
from geometry.frame import END_NAMES, STEPS, End, Frame, Tube, hand_of, made_names
from geometry.parts import check_made
from geometry.proposals import bend_radius
from geometry.section import BoxSection
from geometry.tolerances import MAX_SIZE_MM


class TubeForm(NamedForm):
    """A tube: its stock, points, bends and ends, how it came from the bender, and how far it is made.

    Signals:
        alone_wanted: "start", "finish" or "bend": that joint, or the bent tube, on a page of its own.
        marked: a part's name, and how far it is made ("" for nothing yet).
        came_back: the part, bent, that has come back from the bender and is to be measured.
    """

    alone_wanted = Signal(str)
    marked = Signal(str, str)
    came_back = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("name of the tube"), parent)
        self._frame: Frame | None = None
        self._inches = False
        self.stock = StillCombo(self)
        self.stock.setAccessibleName(tr("stock"))
        self.handed = TickBox(tr("make its opposite hand too"), self)
        self.handed.setToolTip(
            tr("Its mirror image on the other side of the centre-plane is made and cut as well")
        )
        self.roll = NumberField(
            tr("roll"), 0.0, -360, 360, kind="angle", tip=tr("turn of a box section about its axis")
        )
        self.trims = tuple(
            NumberField(
                label,
                0.0,
                0,
                MAX_SIZE_MM,
                tip=tr(
                    "longer bar, for the bender to grip or to trim; it is sawn off after bending"
                ),
            )
            for label in (tr("spare bar, start"), tr("spare bar, finish"))
        )
        self.ends = (EndForm(tr("start")), EndForm(tr("finish")))
        self.points: list[StillCombo] = []
        self.radii: list[NumberField] = []
        self._typed: NumberField | None = None
        self.alike = TickBox(tr("the same radius at all bends"), self)
        self.alike.setToolTip(
            tr("One former bends all of them: what is typed at one bend counts for all")
        )
        self._points_box = QVBoxLayout()
        self._points_box.setContentsMargins(0, 0, 0, 0)
        self.longer = QPushButton(tr("Add a point"), self)
        self.longer.setToolTip(tr("At the finish; where the last point was, the tube bends"))
        self.shorter = QPushButton(tr("Take the last out"), self)
        self.as_bent = TickBox(tr("use it as it came from the bender"), self)
        self.as_bent.setToolTip(USE_TIP)
        self.alone = {
            "start": QPushButton(tr("Start"), self),
            "finish": QPushButton(tr("Finish"), self),
            "bend": QPushButton(tr("Bends"), self),
        }
        for what, button in self.alone.items():
            button.clicked.connect(lambda _=False, what=what: self.alone_wanted.emit(what))
        self.show_alone({"start": "", "finish": "", "bend": ""})
        self.made: dict[str, StillCombo] = {}
        self._made_box = QFormLayout()
        self.measure: dict[str, QPushButton] = {}
        self.measuring = QWidget(self)
        self._measure_box = QHBoxLayout()
        self._lay_out()
        self.as_bent.clicked.connect(self._as_bent_clicked)
        self.stock.activated.connect(
            lambda _: self._tell(tr("Stock of {name}"), stock=self.stock.currentText())
        )
        self.handed.clicked.connect(
            lambda on: self._tell(tr("Both hands of {name}"), handed=on, as_bent=())
        )
        self.roll.value_changed.connect(
            lambda value: self._tell(tr("Roll of {name}"), roll_deg=value)
        )
        for field in self.trims:
            field.value_changed.connect(self._trim_typed)
        for index, form in enumerate(self.ends):
            form.edited.connect(lambda end, index=index: self._end_changed(index, end))
        self.alike.clicked.connect(self._made_alike)
        self.longer.clicked.connect(self._add_point)
        self.shorter.clicked.connect(self._take_point)

    def _lay_out(self) -> None:
        rows = QVBoxLayout(self)
        form = QFormLayout()
        form.addRow(tr("name"), self.name_rows)
        form.addRow(tr("stock"), self.stock)
        rows.addLayout(form)
        rows.addWidget(self.handed)
        rows.addWidget(QLabel(tr("points, from its start to its finish"), self))
        rows.addLayout(self._points_box)
        buttons = QHBoxLayout()
        buttons.addWidget(self.longer)
        buttons.addWidget(self.shorter)
        rows.addLayout(buttons)
        rows.addWidget(self.alike)
        measuring = QVBoxLayout(self.measuring)
        measuring.setContentsMargins(0, 0, 0, 0)
        measuring.addWidget(QLabel(tr("what came back from the bender"), self))
        measuring.addLayout(self._measure_box)
        measuring.addWidget(self.as_bent)
        for widget in (*self.trims, self.roll, *self.ends, self.measuring, self.problem):
            rows.addWidget(widget)
        rows.addWidget(QLabel(tr("on a page of its own"), self))
        alone = QHBoxLayout()
        for button in self.alone.values():
            alone.addWidget(button)
        rows.addLayout(alone)
        rows.addWidget(QLabel(tr("how far it is made"), self))
        rows.addLayout(self._made_box)
        rows.addStretch(1)

    @property
    def tube(self) -> Tube | None:
        """As it is now; None before one is shown."""
        return self.shown if isinstance(self.shown, Tube) else None

    def show_tube(self, frame: Frame, tube: Tube, *, inches: bool) -> None:
        """Show a tube of a frame."""
        self._frame, self._inches = frame, inches
        anew = self.tube is None or self.tube.name != tube.name or not self.tube.radii
        with self.filling(tube.name, tube):
            self.alike.setVisible(len(tube.radii) > 1)
            if anew or len(set(tube.radii)) > 1:
                self.alike.setChecked(len(set(tube.radii)) == 1)
            self.stock.clear()
            self.stock.addItems(list(frame.stock))
            self.stock.setCurrentText(tube.stock)
            self.handed.setChecked(tube.handed)
            self._show_points(frame, tube)
            for field, trim in zip(self.trims, tube.trim, strict=True):
                field.set_inches(inches)
                put(field, trim)
                field.setVisible(bool(tube.radii))
            put(self.roll, tube.roll_deg)
            self.roll.setVisible(isinstance(frame.stock[tube.stock].section, BoxSection))
            for form, end, at in zip(
                self.ends, tube.ends, (tube.path[0], tube.path[-1]), strict=True
            ):
                form.show_end(frame, tube, end, inches=inches, at=at)
            self.shorter.setEnabled(len(tube.path) > 2)
            self.measuring.setVisible(bool(tube.radii))
            self._show_measure(tube)
            self.as_bent.setVisible(bool(tube.as_bent))
            self.as_bent.setChecked(any(came.use for came in tube.as_bent))
            self.alone["bend"].setVisible(bool(tube.radii))
            self._show_made(frame, tube)

    def show_alone(self, whys: Mapping[str, str]) -> None:
        """What can be taken to a page of its own, and why not what cannot.

        Args:
            whys: by "start", "finish" or "bend"; "" for what can be.
        """
        tip = tr("Take it to the page {page}, to try something out or to print it alone")
        for what, why in whys.items():
            self.alone[what].setEnabled(not why)
            page = tr("Bend") if what == "bend" else tr("Joint")
            self.alone[what].setToolTip(why or tip.format(page=page))

    def field_of(self, place: str, code: str = "", part: str = "") -> QWidget | None:
        """Where what a finding speaks of is changed; None where that is no single field.

        Args:
            place: of the tube: "start", "finish", or "bend 2".
            code: of the finding.
            part: that it is about.
        """
        if code == "nothing-left-on":
            return min(self.trims, key=lambda field: field.value).edit
        if code == "made-otherwise":
            return self.made.get(part)
        if place in END_NAMES:
            return self.ends[END_NAMES.index(place)].cut
        kind, _, numbers = place.partition(" ")
        number = numbers.partition(",")[0]
        if kind in ("bend", "bends") and number.isdecimal() and 0 < int(number) <= len(self.radii):
            return self.radii[int(number) - 1].edit
        return None

    def _show_made(self, frame: Frame, tube: Tube) -> None:
        """A choice for each part that is made of the tube."""
        parts = made_names(tube)
        if tuple(self.made) != parts:
            while self._made_box.rowCount():
                self._made_box.removeRow(0)
            self.made = {}
            for part in parts:
                combo = StillCombo(self)
                combo.setAccessibleName(tr("how far {part} is made").format(part=part))
                combo.addItem(tr("nothing yet"), "")
                for step in STEPS:
                    combo.addItem(STEP_WORDS[step], step)
                combo.activated.connect(
                    lambda _, part=part, combo=combo: self.marked.emit(part, combo.currentData())
                )
                self.made[part] = combo
                hand = hand_of(tube, part)
                self._made_box.addRow(HAND_WORDS.get(hand, tr("tube")), combo)
        for part, combo in self.made.items():
            combo.setCurrentIndex(combo.findData(frame.progress.get(part, "")))

    def _show_measure(self, tube: Tube) -> None:
        """A button for each part that can be measured."""
        parts = made_names(tube)
        if tuple(self.measure) == parts:
            return
        for button in self.measure.values():
            self._measure_box.removeWidget(button)
            button.deleteLater()
        self.measure = {}
        for part in parts:
            hand = hand_of(tube, part)
            words = HAND_WORDS.get(hand, "")
            button = QPushButton(f"{words} …" if words else tr("Measure it …"), self)
            button.setAccessibleName(tr("measure {part}").format(part=part))
            button.setToolTip(tr("Type what it measures; it is judged, and can be used as it came"))
            button.clicked.connect(lambda _=False, part=part: self.came_back.emit(part))
            self.measure[part] = button
            self._measure_box.addWidget(button)

    def _as_bent_clicked(self, on: bool) -> None:
        if self.tube is not None:
            came = tuple(replace(one, use=on) for one in self.tube.as_bent)
            self._tell(tr("As it came of {name}") if on else tr("As drawn of {name}"), as_bent=came)

    def _show_points(self, frame: Frame, tube: Tube) -> None:
        """A choice for each point, and between them the radius of each bend."""
        if len(self.points) != len(tube.path):
            for widget in (*self.points, *self.radii):
                self._points_box.removeWidget(widget)
                widget.deleteLater()
            self.points, self.radii = [], []
            for number in range(len(tube.path)):
                self._add_row(number, len(tube.path))
        for combo, point in zip(self.points, tube.path, strict=True):
            combo.clear()
            combo.addItems(list(frame.points))
            combo.setCurrentText(point)
        for field, radius in zip(self.radii, tube.radii, strict=True):
            field.set_inches(self._inches)
            put(field, radius)

    def _add_row(self, number: int, count: int) -> None:
        combo = StillCombo(self)
        combo.setAccessibleName(tr("point {number}").format(number=number + 1))
        combo.activated.connect(lambda _: self._points_chosen())
        self.points.append(combo)
        self._points_box.addWidget(combo)
        if 0 < number < count - 1:
            label = tr("radius of bend {number}").format(number=number)
            tip = tr("at the tube's centreline, as finished")
            field = NumberField(label, 100.0, 0, MAX_SIZE_MM, above=True, tip=tip)
            field.value_changed.connect(lambda value, field=field: self._radius_typed(value, field))
            leave_undo(field)
            self.radii.append(field)
            self._points_box.addWidget(field)

    def _points_chosen(self) -> None:
        self._tell(tr("Points of {name}"), path=tuple(combo.currentText() for combo in self.points))

    def _radius_typed(self, value: float, typed: NumberField | None = None) -> None:
        """Of one bend, or of all where they are alike."""
        self._typed = typed
        alike = self.alike.isChecked()
        radii = tuple(value if alike else field.value for field in self.radii)
        tube, frame = self.tube, self._frame
        if tube is None or frame is None:
            return
        self.tell(
            tr("Bend radius of {name}").format(name=tube.name),
            lambda: _still_made(frame, tube, replace(tube, radii=radii)),
        )

    def put_back(self) -> None:
        """The radii that follow the one that is typed in."""
        if self.tube is not None:
            with self.quiet():
                for field, radius in zip(self.radii, self.tube.radii, strict=True):
                    if field is not self._typed:
                        put(field, radius)

    def _made_alike(self, on: bool) -> None:
        if on and self.radii:
            self._radius_typed(self.radii[0].value)

    def _trim_typed(self) -> None:
        start, finish = (field.value for field in self.trims)
        self._tell(tr("Spare bar of {name}"), trim=(start, finish))

    def _end_changed(self, index: int, end: End) -> None:
        if self.tube is None:
            return
        if index == 0:
            self._tell(tr("Cut at the start of {name}"), ends=(end, self.tube.ends[1]))
        else:
            self._tell(tr("Cut at the finish of {name}"), ends=(self.tube.ends[0], end))

    def _add_point(self) -> None:
        if self._frame is None or self.tube is None:
            return
        free = next((name for name in self._frame.points if name not in self.tube.path), None)
        if free is None:
            self.say(tr("there is no other point yet; make one first"))
            return
        stock = self._frame.stock[self.tube.stock]
        if isinstance(stock.section, BoxSection):
            self.say(tr("a box section is not bent; end one tube at the corner and begin another"))
            return
        radius = bend_radius(self._frame, self.tube.stock)
        if self.tube.radii and self.alike.isChecked():
            radius = self.tube.radii[0]
        path, radii = (*self.tube.path, free), (*self.tube.radii, radius)
        self._tell(tr("Add a bend of {name}"), path=path, radii=radii)

    def _take_point(self) -> None:
        if self.tube is None or len(self.tube.path) <= 2:
            return
        path, radii = self.tube.path[:-1], self.tube.radii[:-1]
        trim = self.tube.trim if radii else (0.0, 0.0)
        words = tr("Take a bend out of {name}")
        self._tell(words, path=path, radii=radii, trim=trim, as_bent=())

    def _tell(self, words: str, **changes: object) -> None:
        """The tube with something changed; the words have a place for its name."""
        tube = self.tube
        if tube is not None:
            self.tell(words.format(name=tube.name), lambda: replace(tube, **changes))  # type: ignore[arg-type]


def _still_made(frame: Frame, before: Tube, new: Tube) -> Tube:
    """A tube as it is to be.

    Raises:
        CopewrightError: where that cannot be made, though what was there before can.
    """
    try:
        check_made(frame, before)
    except CopewrightError:
        return new
    check_made(frame, new)
    return new
