"""One point of a frame, as a form: where it is, or what it hangs on."""

from __future__ import annotations

import math

from PySide6.QtWidgets import QFormLayout, QVBoxLayout, QWidget

from app.window.named_form import NamedForm, put
from app.window.number_field import NumberField
from app.window.page_frame import StillCombo
from app.window.words import tr
from geometry.edits import followers
from geometry.errors import BadText, CopewrightError
from geometry.frame import Frame, made_names
from geometry.near_path import nearest_along, step_along
from geometry.path import Point
from geometry.place import Along, At, MirrorOf, OffsetFrom, Place, Swung
from geometry.places import Places, known_places
from geometry.tolerances import MAX_COORDINATE_MM as _MOST

WAYS = {
    "at": tr("at coordinates"),
    "from": tr("so far from another point"),
    "swung": tr("at a distance and an angle"),
    "along": tr("on a tube, so far from its end"),
    "share": tr("on a tube, at a share of it"),
    "mirror": tr("the mirror image of another point"),
}
"""Of setting a point out."""
_AXIS_TIPS = (tr("forward"), tr("to the left"), tr("up"))


class PointForm(NamedForm):
    """A point: where it is, or what it hangs on."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("name of the point"), parent)
        self._at: Point = (0.0, 0.0, 0.0)
        self._frame = Frame()
        self.kind, self.base, self.tube = (StillCombo(self) for _ in range(3))
        for combo, said in (
            (self.kind, tr("how it is set out")),
            (self.base, tr("the other point")),
            (self.tube, tr("the tube")),
        ):
            combo.setAccessibleName(said)
        for key, words in WAYS.items():
            self.kind.addItem(words, key)
        self.axes = tuple(
            NumberField(axis, 0.0, -_MOST, _MOST, tip=tip)
            for axis, tip in zip("xyz", _AXIS_TIPS, strict=True)
        )
        self.distance = NumberField(tr("distance"), 0.0, 0, _MOST)
        self.angle = NumberField(
            tr("angle"), 0.0, -360, 360, kind="angle",
            tip=tr("in side view, from straight ahead, upwards"),
        )  # fmt: skip
        self.along = NumberField(
            tr("from its start"),
            0.0,
            -_MOST,
            _MOST,
            tip=tr("along its centreline; with a minus from its finish"),
        )
        self.share = NumberField(
            tr("percent of it"), 50.0, 0, 100, kind="percent",
            tip=tr("0 is its start, 100 its finish"),
        )  # fmt: skip
        self._shown: dict[str, tuple[QWidget, ...]] = {
            "at": self.axes, "from": (self.base, *self.axes), "swung": (self.base, self.distance, self.angle),
            "along": (self.tube, self.along), "share": (self.tube, self.share), "mirror": (self.base,),
        }  # fmt: skip
        self._fields = (*self.axes, self.distance, self.angle, self.along, self.share)
        self.form = QFormLayout()
        self.form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        for said, widget in (
            (tr("name"), self.name_rows),
            (tr("it is"), self.kind),
            (tr("from"), self.base),
            (tr("on"), self.tube),
        ):
            self.form.addRow(said, widget)
        for field in self._fields:
            self.form.addRow(field)
            field.value_changed.connect(lambda _: self._changed())
        rows = QVBoxLayout(self)
        rows.addLayout(self.form)
        rows.addWidget(self.problem)
        rows.addStretch(1)
        self.kind.activated.connect(lambda _: self._kind_chosen())
        self.base.activated.connect(lambda _: self._changed())
        self.tube.activated.connect(lambda _: self._changed())

    def show_point(self, frame: Frame, name: str, at: Point, *, inches: bool) -> None:
        """Show a point.

        Args:
            frame: it is of.
            name: its own.
            at: where it is, mm.
            inches: lengths in inches.
        """
        self._at, self._frame = at, frame
        with self.filling(name, frame.points[name]):
            self.base.clear()
            self.base.addItems([other for other in frame.points if other != name])
            self.tube.clear()
            self.tube.addItems([tube.name for tube in frame.tubes])
            for field in self._fields:
                if field not in (self.angle, self.share):
                    field.set_inches(inches)
            self._put(frame.points[name])

    def _put(self, place: Place) -> None:
        """The fields as a way of setting out has them; what it does not have begins where the point is."""
        values: dict[NumberField, float] = dict(zip(self.axes, self._at, strict=True))
        match place:
            case At(x, y, z):
                kind = "at"
                values |= dict(zip(self.axes, (x, y, z), strict=True))
            case OffsetFrom(base, offset):
                kind = "from"
                values |= dict(zip(self.axes, offset, strict=True))
                self.base.setCurrentText(base)
            case Swung(base, distance, angle):
                kind = "swung"
                values |= {self.distance: distance, self.angle: angle}
                self.base.setCurrentText(base)
            case Along(tube, share, distance):
                kind = "along" if share is None else "share"
                values |= (
                    {self.along: distance or 0.0} if share is None else {self.share: share * 100}
                )
                self.tube.setCurrentText(tube)
            case MirrorOf(base):
                kind = "mirror"
                self.base.setCurrentText(base)
        self.kind.setCurrentIndex(self.kind.findData(kind))
        for field, value in values.items():
            put(field, value)
        self._show_rows(kind)

    def _show_rows(self, kind: str) -> None:
        for widget in (self.base, self.tube, *self._fields):
            self.form.setRowVisible(widget, widget in self._shown[kind])

    def _kind_chosen(self) -> None:
        """Another way: its fields begin at what leaves the point where it is, as far as can be told here."""
        kind = self.kind.currentData()
        self._show_rows(kind)
        self._filling = True
        try:
            self._stay(kind)
        except CopewrightError:
            # What it would hang on is nowhere yet.
            pass
        finally:
            self._filling = False
        self._changed()

    def _stay(self, kind: str) -> None:
        """Fill the fields of a way of setting out with what leaves the point where it is."""
        places = Places(self._frame)
        x, y, z = self._at
        values: dict[NumberField, float] = {}
        hanging, through = followers(self._frame, self.named)
        if kind == "mirror":
            image = (x, -y, z)
            away = {
                name: math.dist(at, image)
                for name, at in known_places(self._frame).items()
                if name != self.named and name not in hanging
            }
            if away:
                self.base.setCurrentText(min(away, key=lambda name: away[name]))
        elif kind in ("along", "share"):
            near = self._nearest_tube(places, through)
            if near is not None:
                tube, distance, whole = near
                self.tube.setCurrentText(tube)
                values = {
                    self.along: step_along(distance, whole, 0.1),
                    self.share: 100 * distance / whole,
                }
        if kind == "at":
            values = dict(zip(self.axes, self._at, strict=True))
        elif kind in ("from", "swung") and self.base.currentText():
            from_x, from_y, from_z = places.point(self.base.currentText())
            step = (x - from_x, y - from_y, z - from_z)
            values = dict(zip(self.axes, step, strict=True))
            values[self.distance] = math.hypot(step[0], step[2])
            values[self.angle] = math.degrees(math.atan2(step[2], step[0]))
        for field, value in values.items():
            field.set_value(round(value, 9))

    def _nearest_tube(
        self, places: Places, through: frozenset[str]
    ) -> tuple[str, float, float] | None:
        """The tube nearest to the point that does not go through it: its name, how far along it, and its length, mm."""
        found = []
        for tube in self._frame.tubes:
            if through & set(made_names(tube)):
                continue
            try:
                path = places.built(tube)
            except CopewrightError:
                continue
            distance, away = nearest_along(path, self._at)
            found.append((away, tube.name, distance, path.developed_length))
        return min(found)[1:] if found else None

    def _changed(self) -> None:
        words = tr("Set out point {name}").format(name=self.named)
        self.tell(words, lambda: self._said(self.kind.currentData()))

    def _said(self, kind: str) -> Place:
        """The way of setting out that the form says."""
        x, y, z = (field.value for field in self.axes)
        base, tube = self.base.currentText(), self.tube.currentText()
        if kind == "at":
            return At(x, y, z)
        if kind in ("along", "share"):
            if not tube:
                text = tr("there is no tube yet for it to lie on")
                raise BadText(text)
            if kind == "share":
                return Along(tube, share=self.share.value / 100)
            return Along(tube, distance=self.along.value)
        if not base:
            text = tr("there is no other point yet for it to hang on")
            raise BadText(text)
        if kind == "from":
            return OffsetFrom(base, (x, y, z))
        if kind == "swung":
            return Swung(base, self.distance.value, self.angle.value)
        return MirrorOf(base)
