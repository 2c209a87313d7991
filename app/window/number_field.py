"""A field for one length or angle: typed as people write it, wrong input said beside it."""

from __future__ import annotations

import contextlib
import re
from typing import Literal

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.window.words import numerals, reason, spoken, tr
from geometry.errors import BadText, CopewrightError, OutOfRange, check_range
from geometry.lengths import MM_PER_INCH, format_mm, shown_inches
from geometry.said import said
from geometry.units import parse_angle, parse_length, parse_wall

_RESTS = (
    "0", "m", "n", "in", "h", "ch", "nch", "s", "es", "2in", "/2in", "1/2in", "g", "wg", "eg", "s", "es", "ees", "rees",
)  # fmt: skip
"""What may follow on what is half typed, such as "-", "179.6 m", "1-1/", "16s" or "45de"."""

Kind = Literal["length", "wall", "angle", "count", "percent", "number"]


class NumberField(QWidget):
    """One number. What is typed counts at once; while it is wrong, the last good value stays.

    What can still become a number is not called wrong before the field is left.

    The value before the editing began is what stays: "118" where 90 is the most does not leave 11 behind.
    A length takes mm or inches, dot or comma, fractions, and gauge numbers for walls; a number without
    a unit has the field's. Either sign parts off decimals, never thousands; what is shown has the country's.
    The wheel does nothing: the field is a line of text.

    Signals:
        value_changed: the new good value, mm or degrees.
        good_changed: what is typed has become wrong, or right again; or what is wrong is said now.
        settled: the value is meant: the field was left, or Enter pressed.
        focused: the field got the focus (True) or lost it.
    """

    value_changed = Signal(float)
    good_changed = Signal()
    settled = Signal()
    focused = Signal(bool)

    def __init__(
        self,
        label: str,
        value: float,
        low: float,
        high: float,
        *,
        kind: Kind = "length",
        above: bool = False,
        tip: str = "",
        advice: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.label, self.tip, self._advice = label, tip, advice
        self._low, self._high, self._above = low, high, above
        self._kind: Kind = kind
        self._inches = False
        self._clash, self._clashing = "", value
        self.value = self._settled = value
        self._wrong = False
        self.edit = QLineEdit(self)
        self.edit.setAccessibleName(label)
        self.edit.setAccessibleDescription(tip)
        self.edit.setMinimumWidth(96)
        large = self.edit.font()
        large.setPointSizeF(large.pointSizeF() * 1.2)
        self.edit.setFont(large)
        self.edit.installEventFilter(self)
        self._name = QLabel(label, self)
        self._name.setBuddy(self.edit)
        self._unit = QLabel(self)
        self._unit.setMinimumWidth(24)
        self.message = QLabel(self)
        self.message.setWordWrap(True)
        bold = self.message.font()
        bold.setBold(True)
        self.message.setFont(bold)
        self.message.setVisible(False)
        self.message.setAccessibleName(tr("{field}: what is wrong").format(field=label))
        if tip:
            self.setToolTip(tip)
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._name, 1)
        row.addWidget(self.edit)
        row.addWidget(self._unit)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(2)
        whole.addLayout(row)
        whole.addWidget(self.message)
        self.edit.textEdited.connect(self._typed)
        self.edit.editingFinished.connect(self._settle)
        self._show()

    @property
    def good(self) -> bool:
        """What is typed is a value."""
        return not self._wrong

    @property
    def half_way(self) -> bool:
        """The value is of what is being typed, and may be only the beginning of it."""
        return self.value != self._settled

    @property
    def typed(self) -> bool:
        """The person has typed in it since it was filled."""
        return self.edit.isModified()

    @property
    def told(self) -> bool:
        """What is wrong is said: it was not only half typed."""
        return self._wrong and not self.message.isHidden()

    @property
    def words(self) -> str:
        """The value as the field shows it, with its unit."""
        space = "" if self._kind == "angle" else " "
        return f"{self._value_words()}{space}{self._unit.text()}".rstrip()

    @property
    def caption(self) -> str:
        """What the field is, for where it is pointed at."""
        return tr("{field}: {what}").format(field=self.label, what=self.tip)

    @property
    def _size(self) -> float:
        """The field's unit in mm; 1 where it has no lengths."""
        return MM_PER_INCH if self._inches else 1.0

    def set_inches(self, inches: bool) -> None:
        """Show and read plain numbers as inches; the value stays, and so do words that are wrong."""
        if self._kind in ("angle", "count", "percent", "number") or inches == self._inches:
            return
        self._inches = inches
        if self.good:
            self._show()
        else:
            self._show_unit()
            words = tr("{field}: type it again; {value} still counts")
            self.message.setText(words.format(field=self.label, value=self.words))

    def set_value(self, value: float) -> None:
        """Put a value in, as if it had been typed; one out of the field's range is left out."""
        try:
            self._in_range(value)
        except CopewrightError:
            return
        self.value = self._settled = value
        self._show()
        self.value_changed.emit(value)

    def put_back(self) -> None:
        """The value that counts is shown again; what was typed wrong is dropped."""
        self._show()

    def take_back(self, why: str) -> None:
        """What is typed cannot be, for a reason that the field does not know: what was there before still counts."""
        self.value = self._settled
        self._clash = ""
        words = tr("{problem}; {value} still counts")
        self.message.setText(
            words.format(problem=spoken(why, inches=self._inches), value=self.words)
        )
        self._wrong = True
        self._tell()

    def _tell(self) -> None:
        """Say what is wrong."""
        self.message.setVisible(True)
        self.edit.setAccessibleDescription(self.message.text())

    def _all_right(self) -> None:
        """What is typed is a value."""
        self._wrong = False
        self._say_clash()

    def clash(self, why: str) -> None:
        """The value is good and counts, but does not go together with those of other fields; "" when it does again."""
        if (why, self.value) != (self._clash, self._clashing):
            self._clash, self._clashing = why, self.value
            if self.good:
                self._say_clash()

    def _say_clash(self) -> None:
        # While what is typed was wrong, the clash was not shown; of another value nothing is known yet.
        why = spoken(self._clash, inches=self._inches) if self.value == self._clashing else ""
        self.message.setText(why)
        self.message.setVisible(bool(why))
        self.edit.setAccessibleDescription(why or self.tip)

    def _show(self) -> None:
        self._show_unit()
        self.edit.setText(self._value_words())
        self._all_right()

    def _show_unit(self) -> None:
        units = {"angle": "°", "count": "", "percent": "%", "number": ""}
        self._unit.setText(units.get(self._kind, "in" if self._inches else "mm"))

    def _value_words(self) -> str:
        """The value in the field's unit."""
        if self._inches:
            return numerals(shown_inches(self.value))
        return numerals(format_mm(self.value, 2 if self._kind == "angle" else 3))

    def _read(self, text: str) -> float:
        if self._kind == "angle":
            return parse_angle(text, self.label)
        if self._kind == "percent":
            match = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*%?\s*", text)
            if match is None:
                message = tr("{field} '{typed}' is no percentage; write it like 50")
                raise BadText(message.format(field=self.label, typed=text))
            return float(match[1].replace(",", "."))
        if self._kind == "number":
            if not re.fullmatch(r"\s*[-+]?\d{1,7}(?:[.,]\d{1,9})?\s*", text):
                message = tr("{field} '{typed}' is not a number; write it like 0.5")
                raise BadText(message.format(field=self.label, typed=text))
            return float(text.replace(",", "."))
        if self._kind == "count":
            if not re.fullmatch(r"\s*\d{1,5}\s*", text):
                message = tr("{field} '{typed}' is not a whole number; write it like 2")
                raise BadText(message.format(field=self.label, typed=text))
            return float(text)
        read = parse_wall if self._kind == "wall" else parse_length
        return read(text, self.label, default_unit="in" if self._inches else "mm")

    def _in_range(self, value: float) -> None:
        """Checked in mm, said in the field's own unit."""
        units = {"angle": "°", "count": said("pieces"), "percent": "%", "number": ""}
        unit = units.get(self._kind, "mm")
        try:
            check_range(self.label, value, self._low, self._high, unit=unit, above=self._above)
        except OutOfRange:
            if self._inches:
                size = self._size
                low, high = (float(f"{bound / size:.4g}") for bound in (self._low, self._high))
                check_range(self.label, value / size, low, high, unit="in", above=self._above)
            raise

    def _typed(self, text: str) -> None:
        before, was = self.value, (self.good, self.told)
        try:
            value = self._read(text)
            self._in_range(value)
        except CopewrightError as error:
            self.value = self._settled
            advised = self._advice and isinstance(error, OutOfRange)
            words = (
                tr("{problem}; {advice}; {value} still counts")
                if advised
                else tr("{problem}; {value} still counts")
            )
            self.message.setText(
                words.format(
                    problem=reason(error, inches=self._inches),
                    advice=self._advice,
                    value=self.words,
                )
            )
            self._wrong = True
            if isinstance(error, OutOfRange) or not self._half_typed(text):
                self._tell()
            else:
                self.message.setVisible(False)
        else:
            self.value = value
            self._all_right()
        if self.value != before:
            self.value_changed.emit(self.value)
        if (self.good, self.told) != was:
            self.good_changed.emit()

    def _half_typed(self, text: str) -> bool:
        """More letters can make a value of it."""
        for rest in _RESTS:
            with contextlib.suppress(CopewrightError):
                self._read(text + rest)
                return True
        return False

    def _settle(self) -> None:
        """What is typed is meant: leaving the field or pressing Enter."""
        if self.good:
            self._settled = self.value
            self.settled.emit()
        elif not self.told:
            self._tell()
            self.good_changed.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Tell when the line of text gets the focus and loses it."""
        if watched is self.edit and event.type() in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
            self.focused.emit(event.type() == QEvent.Type.FocusIn)
        return super().eventFilter(watched, event)
