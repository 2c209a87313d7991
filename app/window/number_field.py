"""A field for one length or angle: typed as people write it, wrong input said beside it."""

from __future__ import annotations

from typing import Literal

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from geometry.errors import CopewrightError, check_range
from geometry.units import format_inch, format_mm, parse_angle, parse_length, parse_wall

Kind = Literal["length", "wall", "angle"]


class NumberField(QWidget):
    """One number. What is typed counts at once; while it is wrong, the last good value stays.

    A length takes mm or inches, dot or comma, fractions, and gauge numbers for walls; a number without
    a unit has the field's. The wheel does nothing: the field is a line of text.

    Signals:
        value_changed: the new good value, mm or degrees.
        focused: the field got the focus.
    """

    value_changed = Signal(float)
    focused = Signal()

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
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._label, self._low, self._high, self._above = label, low, high, above
        self._kind: Kind = kind
        self._inches = False
        self.value = value
        self.edit = QLineEdit(self)
        self.edit.setAccessibleName(label)
        self.edit.setMinimumWidth(90)
        self.edit.installEventFilter(self)
        self._name = QLabel(label, self)
        self._name.setBuddy(self.edit)
        self._unit = QLabel(self)
        self.message = QLabel(self)
        self.message.setWordWrap(True)
        self.message.setVisible(False)
        self.message.setAccessibleName(f"{label}: what is wrong")
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
        self._show()

    @property
    def good(self) -> bool:
        """What is typed is a value."""
        return self.message.isHidden()

    def set_inches(self, inches: bool) -> None:
        """Show and read plain numbers as inches; the value stays."""
        self._inches = inches
        self._show()

    def set_value(self, value: float) -> None:
        """Put a value in, as if it had been typed."""
        self.value = value
        self._show()
        self.value_changed.emit(value)

    def _show(self) -> None:
        self._unit.setText("°" if self._kind == "angle" else "in" if self._inches else "mm")
        self.edit.setText(self._value_words())
        self._unit.setMinimumWidth(22)
        self.message.setVisible(False)

    def _value_words(self) -> str:
        """The value in the field's unit."""
        if self._kind == "angle":
            return format_mm(self.value)
        if not self._inches:
            return format_mm(self.value, 3)
        exact = self.value / 25.4 * 64
        whole = abs(exact - round(exact)) < 1e-6
        return format_inch(self.value).rstrip('"') if whole else format_mm(self.value / 25.4, 4)

    def _typed(self, text: str) -> None:
        try:
            if self._kind == "angle":
                value = parse_angle(text, self._label)
            else:
                read = parse_wall if self._kind == "wall" else parse_length
                value = read(text, self._label, default_unit="in" if self._inches else "mm")
            unit = "°" if self._kind == "angle" else "mm"
            check_range(self._label, value, self._low, self._high, unit=unit, above=self._above)
        except CopewrightError as error:
            self.message.setText(f"{error}; {self._value_words()} {self._unit.text()} still counts")
            self.message.setVisible(True)
            return
        self.message.setVisible(False)
        if value != self.value:
            self.value = value
            self.value_changed.emit(value)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Tell when the line of text gets the focus."""
        if watched is self.edit and event.type() == QEvent.Type.FocusIn:
            self.focused.emit()
        return super().eventFilter(watched, event)
