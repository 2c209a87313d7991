"""One stock of a frame, as a form: its section, its steel, the bars it is sold in."""

from __future__ import annotations

from PySide6.QtWidgets import QFormLayout, QVBoxLayout, QWidget

from app.window.named_form import NamedForm, put
from app.window.number_field import NumberField
from app.window.page_frame import StillCombo, fill_materials
from app.window.words import tr
from geometry.frame import Stock
from geometry.section import BoxSection, RoundTube
from geometry.tolerances import MAX_COORDINATE_MM, MAX_SIZE_MM


class StockForm(NamedForm):
    """A stock: its section, its steel, the bars it is sold in."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("name of the stock"), parent)
        self.shape, self.material = StillCombo(self), StillCombo(self)
        self.shape.setAccessibleName(tr("shape"))
        self.material.setAccessibleName(tr("material"))
        self.material.setToolTip(
            tr("As bought; if nobody told you, plain mild steel: it is for weights and springback")
        )
        self.shape.addItem(tr("round tube"), "round")
        self.shape.addItem(tr("box section"), "box")
        fill_materials(self.material)
        self.od = NumberField(tr("outside diameter"), 25.0, 1, MAX_SIZE_MM)
        self.width_ = NumberField(tr("width"), 40.0, 1, MAX_SIZE_MM)
        self.height_ = NumberField(
            tr("height"), 40.0, 1, MAX_SIZE_MM, tip=tr("stands upright where nothing is rolled")
        )
        self.wall = NumberField(
            tr("wall"),
            2.0,
            0,
            1000,
            kind="wall",
            above=True,
            tip=tr("a length, or a gauge such as {swg} or {bwg}").format(swg="16swg", bwg="16bwg"),
        )
        self.corner = NumberField(tr("outside corner radius"), 4.0, 0, MAX_SIZE_MM)
        self.bar = NumberField(tr("bar as sold"), 6000.0, 1, MAX_COORDINATE_MM)
        self.fields = (self.od, self.width_, self.height_, self.wall, self.corner, self.bar)
        self.form = QFormLayout()
        for said, widget in (
            (tr("name"), self.name_rows),
            (tr("shape"), self.shape),
            (tr("material"), self.material),
        ):
            self.form.addRow(said, widget)
        for field in self.fields:
            self.form.addRow(field)
            field.value_changed.connect(lambda _: self._changed())
        rows = QVBoxLayout(self)
        rows.addLayout(self.form)
        rows.addWidget(self.problem)
        rows.addStretch(1)
        self.shape.activated.connect(lambda _: self._changed())
        self.material.activated.connect(lambda _: self._changed())

    def show_stock(self, name: str, stock: Stock, *, inches: bool) -> None:
        """Show a stock."""
        with self.filling(name, stock):
            section = stock.section
            round_tube = isinstance(section, RoundTube)
            self.shape.setCurrentIndex(0 if round_tube else 1)
            self.material.setCurrentIndex(self.material.findData(stock.steel.name))
            values = {self.wall: section.wall, self.bar: stock.bar_length}
            if isinstance(section, RoundTube):
                values |= {self.od: section.od}
            else:
                values |= {
                    self.width_: section.width, self.height_: section.height, self.corner: section.corner_radius,
                }  # fmt: skip
            for field in self.fields:
                field.set_inches(inches)
            for field, value in values.items():
                put(field, value)
            self._show_rows()

    def _show_rows(self) -> None:
        round_tube = self.shape.currentData() == "round"
        for field in self.fields:
            only_round, only_box = (
                field is self.od,
                field in (self.width_, self.height_, self.corner),
            )
            self.form.setRowVisible(field, not (only_box if round_tube else only_round))

    def _changed(self) -> None:
        self._show_rows()
        self.tell(tr("Stock {name}").format(name=self.named), self._said)

    def _said(self) -> Stock:
        """The stock that the form says."""
        section: RoundTube | BoxSection
        if self.shape.currentData() == "round":
            section = RoundTube(self.od.value, self.wall.value)
        else:
            section = BoxSection(
                self.width_.value, self.height_.value, self.wall.value, self.corner.value
            )
        return Stock(section, self.material.currentData(), self.bar.value)
