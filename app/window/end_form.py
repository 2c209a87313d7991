"""How one end of a tube is cut, as a form."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFormLayout, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.window.colours import outline_ticks
from app.window.number_field import NumberField
from app.window.page_frame import StillCombo, words_label
from app.window.shown_words import FIT_WORDS, place_shown
from app.window.words import reason, tr
from geometry.errors import CopewrightError
from geometry.frame import END_CUTS, MITRE_WAYS, End, EndCut, Frame, Plane, Tube, part_names
from geometry.joint import FITS
from geometry.path import Point
from geometry.tolerances import MAX_SIZE_MM

_CUTS = {
    "cope": tr("coped onto what it meets"),
    "square": tr("sawn square"),
    "mitre": tr("mitred with another tube's end"),
    "plane": tr("cut along a plate or the floor"),
}
_WAY_WORDS = {
    "both": tr("both on the bisecting plane"),
    "past": tr("this one runs past"),
    "butt": tr("this one butts"),
}
_FLOOR = tr("the floor (z 0)")
_LIES = {
    "z": tr("level, as the floor"),
    "x": tr("upright, across the frame"),
    "y": tr("upright, along the frame"),
    "": tr("some other way"),
}
"""How a plane may lie, by the axis that is square to it."""
_ONTO_PX = 84
_NAME = Qt.ItemDataRole.UserRole


class EndForm(QWidget):
    """One end: its cut, and what that cut asks for.

    Signals:
        edited: the end as it is now.

    Args:
        name: what the person sees the end called.
    """

    edited = Signal(object)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.end = End()
        self._filling = False
        self._shown = ("", "")
        self._places: list[Point | str] = [Plane().through]
        self.cut, self.fit, self.way, self.other, self.through = (
            StillCombo(self) for _ in range(5)
        )
        for combo, said in (
            (self.cut, tr("{end}: how it is cut")), (self.fit, tr("{end}: how it is fitted")),
            (self.way, tr("{end}: which of the two runs past")),
            (self.other, tr("{end}: the tube it is mitred with")),
            (self.through, tr("{end}: the point that the plane goes through")),
        ):  # fmt: skip
            combo.setAccessibleName(said.format(end=name))
        for cut in END_CUTS:
            self.cut.addItem(_CUTS[cut], cut)
        for fit in FITS:
            self.fit.addItem(FIT_WORDS[fit], fit)
        for way in MITRE_WAYS:
            self.way.addItem(_WAY_WORDS[way], way)
        self.gap = NumberField(
            tr("root gap"), 0.0, 0, 20, tip=tr("left all round for the weld's root")
        )
        self.extra = NumberField(
            tr("extra length"),
            0.0,
            0,
            MAX_SIZE_MM,
            tip=tr(
                "this end is so much longer than it needs to be: of a square one beyond its point, else to be filed off"
            ),
        )
        self.lies = StillCombo(self)
        self.lies.setAccessibleName(tr("{end}: how the plane lies").format(end=name))
        for axis, words in _LIES.items():
            self.lies.addItem(words, axis)
        self.normal = tuple(
            NumberField(
                tr("square to it, {axis}").format(axis=axis),
                value,
                -1e6,
                1e6,
                kind="number",
                tip=tr(
                    "an arrow square to the plane goes so far forward (x), to the left (y) and up (z)"
                ),
            )
            for axis, value in zip("xyz", (0.0, 0.0, 1.0), strict=True)
        )
        self.onto = QListWidget(self)
        self.onto.setAccessibleName(tr("{end}: what it sits on").format(end=name))
        self.onto.setToolTip(
            tr("Tick none, and it sits on whatever it meets of the tubes above it")
        )
        self.onto.setFixedHeight(_ONTO_PX)
        outline_ticks(self.onto)
        self.hint = words_label(self, tr("none ticked: on whatever it meets"))
        self.problem = words_label(self)
        self.problem.hide()
        self._rows: dict[str, tuple[QWidget, ...]] = {
            "cope": (self.fit, self.onto, self.hint, self.gap, self.extra),
            "square": (self.extra,),
            "mitre": (self.other, self.way, self.gap, self.extra),
            "plane": (self.through, self.lies, *self.normal, self.extra),
        }
        self._lay_out(name)
        for combo in (self.cut, self.fit, self.way, self.other, self.through):
            combo.currentIndexChanged.connect(self._changed)
        for field in (self.gap, self.extra, *self.normal):
            field.value_changed.connect(self._changed)
        self.lies.activated.connect(lambda _: self._laid())
        self.onto.itemChanged.connect(self._changed)

    def _lay_out(self, name: str) -> None:
        self.form = QFormLayout()
        self.form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        for said, widget in (
            (name, self.cut), (tr("fit"), self.fit), (tr("sits on"), self.onto), ("", self.hint), (tr("with"), self.other),
            (tr("way"), self.way), (tr("through"), self.through), (tr("it lies"), self.lies),
        ):  # fmt: skip
            self.form.addRow(said, widget)
        for field in (*self.normal, self.gap, self.extra):
            self.form.addRow(field)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addLayout(self.form)
        rows.addWidget(self.problem)

    def show_end(self, frame: Frame, tube: Tube, end: End, *, inches: bool, at: str = "") -> None:
        """Show an end of a tube.

        Args:
            frame: of which the tube is, or is to be, one.
            tube: whose end it is.
            end: as it is cut.
            inches: lengths in inches.
            at: the end's own point, which a new plane goes through; "" for the floor.
        """
        self._filling = True
        self.end = end
        above, handed = [], {one.name for one in frame.tubes if one.handed}
        for one in frame.tubes:
            if one.name == tube.name:
                break
            above += sorted(part_names(one) - ({one.name} if one.handed else set()) | {one.name})
        self.onto.clear()
        for name in above:
            words = tr("{tube}, the hand on its side") if name in handed else "{tube}"
            item = QListWidgetItem(words.format(tube=name))
            item.setData(_NAME, name)
            item.setFlags(Qt.ItemFlag.ItemIsUserCheckable | Qt.ItemFlag.ItemIsEnabled)
            item.setCheckState(
                Qt.CheckState.Checked if name in end.onto else Qt.CheckState.Unchecked
            )
            self.onto.addItem(item)
        _fill(self.other, [one.name for one in frame.tubes if one.name != tube.name], end.other)
        plane = end.plane or (Plane(at) if at in frame.points else Plane())
        self._fill_through(frame, plane)
        for combo, word in ((self.cut, end.cut), (self.fit, end.fit), (self.way, end.way)):
            combo.setCurrentIndex(combo.findData(word))
        # What is being typed does not choose for itself how the plane lies.
        other, self._shown = self._shown != (tube.name, end.cut), (tube.name, end.cut)
        anew = other or tuple(field.value for field in self.normal) != plane.normal
        for field, value in (
            (self.gap, end.root_gap),
            (self.extra, end.extra),
            *zip(self.normal, plane.normal, strict=True),
        ):
            if field not in self.normal:
                field.set_inches(inches)
            if field.value != value:
                field.set_value(value)
        if anew:
            self.lies.setCurrentIndex(self.lies.findData(_square_to(plane.normal)))
        self._show_rows(end.cut)
        self.problem.hide()
        self._filling = False

    def _fill_through(self, frame: Frame, plane: Plane) -> None:
        """The floor, the frame's points, and the plane's own place where it is neither."""
        self._places = [Plane().through, *frame.points]
        if plane.through not in self._places:
            self._places.append(plane.through)
        self.through.clear()
        for place in self._places:
            words = place if isinstance(place, str) else place_shown(place)
            self.through.addItem(_FLOOR if place == Plane().through else words)
        self.through.setCurrentIndex(self._places.index(plane.through))

    def _show_rows(self, cut: str) -> None:
        shown = self._rows[cut]
        for widget in (
            self.fit,
            self.onto,
            self.hint,
            self.other,
            self.way,
            self.through,
            self.lies,
            *self.normal,
            self.gap,
            self.extra,
        ):
            leans = widget not in self.normal or not self.lies.currentData()
            self.form.setRowVisible(widget, widget in shown and leans)

    def _laid(self) -> None:
        """The plane lies as is chosen; some other way it is said in numbers, from where it was."""
        square_to = self.lies.currentData()
        if square_to:
            self._filling = True
            for field, axis in zip(self.normal, "xyz", strict=True):
                field.set_value(float(axis == square_to))
            self._filling = False
        self._changed()

    def _changed(self) -> None:
        if self._filling:
            return
        cut: EndCut = self.cut.currentData()
        self._show_rows(cut)
        try:
            end = self._said(cut)
        except CopewrightError as error:
            self.problem.setText(reason(error))
            self.problem.show()
            return
        self.problem.hide()
        if end != self.end:
            self.end = end
            self.edited.emit(end)

    def _said(self, cut: EndCut) -> End:
        """The end that the form says; what its cut does not ask for is left out."""
        bare = End("square", extra=self.extra.value)
        if cut == "square":
            return bare
        if cut == "plane":
            x, y, z = (field.value for field in self.normal)
            through = self._places[max(self.through.currentIndex(), 0)]
            return replace(bare, cut="plane", plane=Plane(through, (x, y, z)))
        if cut == "mitre":
            other = self.other.currentText()
            return replace(
                bare, cut="mitre", other=other, way=self.way.currentData(), root_gap=self.gap.value
            )
        ticked = tuple(
            self.onto.item(row).data(_NAME)
            for row in range(self.onto.count())
            if self.onto.item(row).checkState() == Qt.CheckState.Checked
        )
        return replace(
            bare, cut="cope", fit=self.fit.currentData(), onto=ticked, root_gap=self.gap.value
        )


def _square_to(normal: Point) -> str:
    """The axis that a plane is square to; "" for none."""
    along = [axis for axis, value in zip("xyz", normal, strict=True) if value]
    return along[0] if len(along) == 1 else ""


def _fill(combo: StillCombo, names: list[str], chosen: str) -> None:
    combo.clear()
    combo.addItems(names)
    combo.setCurrentIndex(max(combo.findText(chosen), 0) if names else -1)
