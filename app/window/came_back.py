"""What a tube measures that came back from the bender: typed beside what was drawn, and judged as it is typed."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QPushButton,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.jobs.came_back import (
    CameBack,
    bend_as_drawn,
    between_bar_ends,
    judged,
    measured_of,
    with_measured,
)
from app.window.background import Background
from app.window.came_back_words import HOLD_WORDS, meaning
from app.window.colours import TickBox
from app.window.frame_edits import Edit
from app.window.number_table import EmptiedTable
from app.window.page_frame import StillCombo, scrolled, words_label
from app.window.shown_words import USE_TIP, length_shown
from app.window.words import numerals, sentence, tr
from geometry.as_bent import HOLDS, AsBent, Measured, finish_height
from geometry.bend_plan import BendResult
from geometry.errors import BadFrame, BadPath, CopewrightError
from geometry.frame import Frame, Tube, hand_of, made_names
from geometry.lengths import format_mm
from geometry.names import part_name
from geometry.units import parse_angle, parse_length
from templates_out.bend_words import bar_straights

_INTRO = tr(
    "Type what you measured and leave the rest empty. What is missing is taken as drawn; only a straight between two bends is "
    "then as much longer as the bend before it is shorter along the bar. Nothing is cut otherwise until you tick that the "
    "tube is used as it came."
)
_HOLD_TIP = tr(
    "A tube that is not quite as drawn can be held in the jig so that all of it is a little off, or so that one end is where "
    "it is drawn and the other takes all of the error. Choose as you will hold it when you tack it."
)
_TURN = tr(
    "from the plane of one bend to that of the next, looking from start to finish: plus is clockwise"
)
_APART = tr("from the middle of one end of the bar to the middle of the other, in a straight line")
_HEIGHT = tr(
    "of the middle of the finish above that of the start, the first two straights laid level so that bend 1, seen from "
    "above, turns to the left; below is minus"
)
_THINK_MS = 200
_ROW_PX, _MOST_ROWS, _HOW_LINES = 25, 10, 3


@dataclass(frozen=True)
class Row:
    """One thing that can be measured.

    Attributes:
        words: what it is.
        field: where an ``AsBent`` has it.
        number: which of the field's, from 0; None for a field that has one alone.
        drawn: as it is drawn, mm or degrees.
        kind: whether it is a length.
        tip: how it is measured.
    """

    words: str
    field: str
    number: int | None
    drawn: float
    kind: Literal["length", "angle"] = "length"
    tip: str = ""

    def of(self, measured: AsBent) -> float | None:
        """What was measured of it."""
        value = getattr(measured, self.field)
        if self.number is None:
            return value  # type: ignore[no-any-return]
        return value[self.number] if value else None


def rows_of(bend: BendResult) -> list[Row]:
    """All that can be measured of a bent tube, along it from its start."""
    rows, count = [], len(bend.rows)
    for number, straight in enumerate(bar_straights(bend)):
        words = (
            tr("straight, start to bend 1")
            if number == 0
            else tr("straight, bend {a} to finish")
            if number == count
            else tr("straight, bend {a} to {b}")
        )
        words = words.format(a=number, b=number + 1)
        rows.append(Row(words, "straights", number, straight))
        if number == count:
            break
        bent = bend.rows[number]
        if number:
            words = tr("turn, bend {a} to {b}").format(a=number, b=number + 1)
            rows.append(Row(words, "rotations", number, bent.rotation_deg, "angle", _TURN))
        words = tr("bend {n}, angle").format(n=number + 1)
        rows.append(Row(words, "angles", number, bent.angle_deg, "angle"))
        words = tr("bend {n}, radius").format(n=number + 1)
        rows.append(Row(words, "radii", number, bent.clr, tip=tr("to the tube's centreline")))
    bar = bend.job.bar_path
    apart = math.dist(bar.vertices[0], bar.vertices[-1])
    rows.append(Row(tr("ends apart"), "apart", None, apart, tip=_APART))
    rows.append(Row(tr("finish above start"), "height", None, finish_height(bar), tip=_HEIGHT))
    return rows


def _of_these_bends(measured: AsBent | None, bends: int) -> AsBent | None:
    """What was measured, if it was of a tube of so many bends."""
    if measured is None:
        return None
    try:
        measured.check_bends(bends)
    except BadPath:
        return None
    return measured


class CameBackDialog(QDialog):
    """What one part measures.

    Attributes:
        measured: what is to be kept, once it is judged; None before.
        forgotten: all that was measured is to be forgotten.

    Args:
        frame: as it is.
        tube: that the part is made of.
        hand: of a handed tube, "left" or "right"; else "".
        inches: lengths in inches.
        parent: asks.

    Raises:
        BadFrame: where the tube cannot be bent as it is drawn.
    """

    def __init__(
        self, frame: Frame, tube: Tube, hand: str, parent: QWidget | None = None, *, inches: bool
    ) -> None:
        super().__init__(parent)
        self._frame, self._tube, self._hand, self._inches = frame, tube, hand, inches
        self.part = part_name(tube.name, hand)
        bend = bend_as_drawn(frame, self.part)
        if bend is None:
            text = tr("{part} cannot be made as it is drawn; the findings say why")
            raise BadFrame(text.format(part=self.part))
        self._before = _of_these_bends(measured_of(tube, hand), len(bend.rows))
        self._known = measured_of(tube, hand) is not None
        self.measured: AsBent | None = None
        self.forgotten = False
        self.rows = rows_of(bend)
        self._shown: list[str] = []
        self.setWindowTitle(tr("What came back: {part}").format(part=self.part))
        self.table = EmptiedTable(len(self.rows), 2, self)
        self.hold, self.use = StillCombo(self), TickBox(tr("use it as it came"), self)
        self.answer, self.how = words_label(self), words_label(self)
        self.buttons = QDialogButtonBox(self)
        self.keep, self.forget = QPushButton(tr("Keep it")), QPushButton(tr("Forget all of it"))
        self.leave = QPushButton(tr("Leave it"))
        self.work = Background(self)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(_THINK_MS)
        self._fill()
        self._lay_out()
        self._later.timeout.connect(self._judge)
        self.table.cellChanged.connect(lambda *_: self._changed())
        self.table.currentCellChanged.connect(lambda row, *_: self._say_how(row))
        self._say_how(self.table.currentRow())
        self.hold.activated.connect(lambda _: self._changed())
        self.use.clicked.connect(lambda _: self._changed())
        self.work.finished.connect(self._tell)
        self.work.failed.connect(self._fail)
        self.keep.clicked.connect(self._keep)
        self.forget.clicked.connect(self._forget)
        self.buttons.rejected.connect(self.reject)
        self.finished.connect(self._close_down)
        self._changed()

    def _fill(self) -> None:
        unit = "in" if self._inches else "mm"
        heads = [tr("drawn, {unit} or °"), tr("came, {unit} or °")]
        self.table.setHorizontalHeaderLabels([head.format(unit=unit) for head in heads])
        self.table.setVerticalHeaderLabels([row.words for row in self.rows])
        for number, row in enumerate(self.rows):
            drawn = QTableWidgetItem(self._words(row, row.drawn))
            drawn.setFlags(Qt.ItemFlag.ItemIsEnabled)
            came = row.of(self._before) if self._before else None
            self._shown.append("" if came is None else self._words(row, came))
            typed = QTableWidgetItem(self._shown[-1])
            for column, item in enumerate((drawn, typed)):
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                item.setToolTip(row.tip)
                self.table.setItem(number, column, item)
            head = self.table.verticalHeaderItem(number)
            if head is not None:
                head.setToolTip(row.tip)
        for hold in HOLDS:
            self.hold.addItem(HOLD_WORDS[hold], hold)
        if self._before is not None:
            self.hold.setCurrentIndex(self.hold.findData(self._before.hold))
            self.use.setChecked(self._before.use)

    def _lay_out(self) -> None:
        self.table.verticalHeader().setDefaultSectionSize(_ROW_PX)
        seen = min(len(self.rows), _MOST_ROWS) * _ROW_PX + 2 * self.table.frameWidth()
        self.table.setMinimumHeight(seen + self.table.horizontalHeader().sizeHint().height())
        # As high for every row, or what is below would move as another is chosen.
        self.how.setMinimumHeight(_HOW_LINES * self.fontMetrics().lineSpacing())
        self.how.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.answer.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.table.setAccessibleName(tr("what it measures"))
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.table.setCurrentCell(0, 1)
        self.hold.setAccessibleName(tr("how it is laid in the frame"))
        self.hold.setToolTip(_HOLD_TIP)
        self.use.setToolTip(USE_TIP)
        roles = QDialogButtonBox.ButtonRole
        self.buttons.addButton(self.keep, roles.AcceptRole)
        self.buttons.addButton(self.forget, roles.DestructiveRole)
        self.buttons.addButton(self.leave, roles.RejectRole)
        self.forget.setEnabled(self._known)
        for button in self.findChildren(QPushButton):
            # Enter in a cell is for the cell.
            button.setAutoDefault(False)
        self.answer.setMargin(6)
        rows = QVBoxLayout(self)
        rows.addWidget(words_label(self, _INTRO))
        rows.addWidget(self.table, 3)
        rows.addWidget(self.how)
        rows.addWidget(words_label(self, tr("in the jig:")))
        rows.addWidget(self.hold)
        rows.addWidget(self.use)
        rows.addWidget(scrolled(self.answer, tr("what it means")), 2)
        rows.addWidget(self.buttons)
        self.resize(580, 680)

    def _words(self, row: Row, value: float) -> str:
        if row.kind == "angle":
            return numerals(format_mm(value, 2))
        return length_shown(value, inches=self._inches)

    def _value(self, number: int) -> float | None:
        """What is typed in a row; None for nothing.

        Raises:
            BadText: for what is no number; the text names the row.
        """
        row, item = self.rows[number], self.table.item(number, 1)
        word = item.text().strip() if item else ""
        if not word:
            return None
        if self._before is not None and word == self._shown[number]:
            # What is shown may be rounded; until it is typed over, the value is not.
            return row.of(self._before)
        if row.kind == "angle":
            return parse_angle(word, row.words)
        return parse_length(word, row.words, default_unit="in" if self._inches else "mm")

    def said(self) -> AsBent:
        """What the dialog says.

        Raises:
            CopewrightError: for what no tube measures.
        """
        lists: dict[str, list[float | None]] = {}
        values: dict[str, object] = {}
        for number, row in enumerate(self.rows):
            value = self._value(number)
            if row.number is None:
                values[row.field] = value
            else:
                lists.setdefault(row.field, []).append(value)
        # Before bend 1 there is nothing to turn from.
        turns: list[float | None] = [None, *lists.get("rotations", [])]
        for field, found in {**lists, "rotations": turns}.items():
            measured: Measured = tuple(found)
            values[field] = measured if any(one is not None for one in found) else ()
        values |= {"hold": self.hold.currentData(), "use": self.use.isChecked()}
        said = replace(self._before or AsBent(self._hand), **values)  # type: ignore[arg-type]
        # Without these two nothing was measured between the bar's ends.
        between = said.apart is not None or said.height is not None
        return said if between else replace(said, beyond=(0.0, 0.0))

    def _changed(self) -> None:
        """What is typed is looked at when the fingers rest; until then it cannot be kept."""
        self.measured = None
        self.keep.setEnabled(False)
        self.work.drop()
        self._later.start()

    def _say_how(self, number: int) -> None:
        """How what is typed in a row is measured."""
        row = self.rows[number] if 0 <= number < len(self.rows) else None
        words = tr("{what}: {how}").format(what=row.words, how=row.tip) if row and row.tip else ""
        self.how.setText(
            words or tr("a straight: from where one bend ends to where the next begins")
        )

    def _judge(self) -> None:
        try:
            said = self.said()
        except CopewrightError as error:
            self.answer.setText(sentence(error))
            return
        if said == AsBent(self._hand, hold=said.hold, use=said.use):
            self.answer.setText(tr("Nothing is measured yet."))
            return
        self.work.ask(lambda: self._judged(said))

    def _judged(self, said: AsBent) -> tuple[AsBent, CameBack]:
        """Off the window's thread."""
        known = (self._before.apart, self._before.height) if self._before else (None, None)
        if known != (said.apart, said.height) and (said.apart, said.height) != (None, None):
            said = between_bar_ends(self._frame, self.part, said)
        return said, judged(self._frame, self._tube, self._hand, said)

    def _tell(self, answer: tuple[AsBent, CameBack]) -> None:
        self.measured, came = answer
        words = meaning(came, inches=self._inches)
        self.answer.setText("\n\n".join(words) or tr("Nothing to stop at."))
        self.keep.setEnabled(self.measured != self._before)

    def _fail(self, error: Exception) -> None:
        if not isinstance(error, CopewrightError):
            raise error
        self.answer.setText(sentence(error))

    def _keep(self) -> None:
        """Only what was judged: what is still being typed in a cell is looked at first."""
        self.table.setFocus()
        if self.measured is not None:
            self.accept()

    def _forget(self) -> None:
        self.forgotten = True
        self.accept()

    def _close_down(self) -> None:
        self._later.stop()
        self.work.wait()

    def showEvent(self, event: QShowEvent) -> None:
        """The box makes its first button the one that Enter presses."""
        super().showEvent(event)
        self.keep.setDefault(False)


def ask_what_came_back(
    parent: QWidget, frame: Frame, part: str, *, inches: bool
) -> tuple[str, Edit] | None:
    """Ask what a part measures.

    Args:
        parent: asks.
        frame: as it is.
        part: the part's name.
        inches: lengths in inches.

    Returns:
        The edit's name, and the edit; None where the person changed their mind.

    Raises:
        BadFrame: where the tube cannot be bent as it is drawn.
    """
    tube = next(one for one in frame.tubes if part in made_names(one))
    hand = hand_of(tube, part)
    dialog = CameBackDialog(frame, tube, hand, parent, inches=inches)
    accepted = dialog.exec() == QDialog.DialogCode.Accepted
    measured, forgotten = dialog.measured, dialog.forgotten
    dialog.deleteLater()
    if not accepted or (measured is None and not forgotten):
        return None
    if forgotten:
        measured = None
    words = tr("As drawn of {name}") if forgotten else tr("What came back: {part}")
    return (
        words.format(part=part, name=part),
        lambda f: with_measured(f, f.tube(tube.name), hand, measured),
    )
