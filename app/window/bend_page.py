"""The page Bend: one bent tube, from points and a radius to a sheet that a shop can bend from."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QLabel,
    QVBoxLayout,
)

from app.jobs.bend import OUTDATED, outputs
from app.window.drawing_view import DrawingView
from app.window.number_field import NumberField
from app.window.number_table import NumberTable
from app.window.page_frame import (
    LivePage,
    put_together,
    typed_column,
    with_tools,
    words_label,
)
from geometry.errors import CopewrightError
from geometry.findings import Finding
from geometry.material import MATERIALS
from geometry.names import parse_name
from geometry.path import Path as Centreline
from geometry.section import RoundTube
from geometry.springback import Trial
from geometry.units import parse_angle, parse_length
from templates_out.bend_papers import BendJob, BendResult, solve_bend
from templates_out.bend_picture import fitted
from templates_out.bend_sheet import bend_sheets
from templates_out.bend_words import bend_tables
from templates_out.drawing import NOTE_MM, Drawing, Text
from templates_out.paper import Box, paper
from templates_out.table import table

_PICTURE = Box(0.0, 0.0, 200.0, 130.0)
NOT_GIVEN = "not given (reckoned as E235)"


class BendPage(LivePage):
    """One bent tube: its points and radius on the left, the picture and the tables on the right."""

    what = "tube"
    done_to_it = "bent"

    def __init__(self) -> None:
        super().__init__()
        self.result: BendResult | None = None
        self._inches = False
        self.od = NumberField("tube OD", 38.1, 1, 2000, tip="outside diameter")
        self.wall = NumberField(
            "its wall", 1.6, 0, 1000, kind="wall", above=True, tip="a length, or 16swg, 16bwg"
        )
        self.radius = NumberField(
            "bend radius", 115.0, 0, 2000, above=True, tip="at the centreline, as finished"
        )
        self.trim_start = NumberField(
            "trim at start", 0.0, 0, 2000, tip="length left on for the bender"
        )
        self.trim_finish = NumberField(
            "trim at finish", 0.0, 0, 2000, tip="length left on for the bender"
        )
        self.reference = NumberField(
            "tool's mark",
            0.0,
            -2000,
            2000,
            tip="how far before the bend's start, towards the tube's start, the bender's mark lies",
        )
        self.fields = (
            self.od, self.wall, self.radius, self.trim_start, self.trim_finish, self.reference,
        )  # fmt: skip
        self.material = QComboBox(self)
        self.material.addItems([NOT_GIVEN, *MATERIALS])
        self.material.setAccessibleName("material")
        self.points = NumberTable(
            "points",
            ("x", "y", "z"),
            self._length,
            [["0", "0", "0"], ["400", "0", "0"], ["700", "0", "300"]],
        )
        self.points.setMinimumHeight(150)
        self.trials = NumberTable("trial bends", ("set °", "got °"), parse_angle, [])
        self.trials.setMinimumHeight(110)
        self.picture = DrawingView("the tube")
        self.tables = DrawingView("the bend table and the marks")
        self._lay_out()
        for field in self.fields:
            field.value_changed.connect(self.changed)
        self.material.currentIndexChanged.connect(self.changed)
        self.points.edited.connect(self.changed)
        self.trials.edited.connect(self.changed)
        self.measure.hide()
        self.changed()

    def _lay_out(self) -> None:
        intro = words_label(
            self,
            "Give the points where the middles of the straights cross, both ends included: x forward, y to "
            "the left, z up. The picture and the bend table follow. Give trial bends on scrap, and the "
            "settings are yours and not an estimate.",
        )
        rows = QVBoxLayout()
        rows.addWidget(intro)
        named = QFormLayout()
        named.addRow("name", self.name)
        rows.addLayout(named)
        for field in self.fields[:3]:
            rows.addWidget(field)
        rows.addWidget(QLabel("points (an empty row adds one)", self))
        rows.addWidget(self.points)
        rows.addWidget(QLabel("trial bends: angle set, angle got", self))
        rows.addWidget(self.trials)
        for field in self.fields[3:]:
            rows.addWidget(field)
        more = QFormLayout()
        more.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        more.addRow("material", self.material)
        more.addRow("paper", self.sheet)
        rows.addLayout(more)
        rows.addWidget(self.save)
        rows.addWidget(self.state)
        upper = with_tools(self.picture, self.measure, self.fit_view)
        put_together(self, typed_column(rows), upper, self.tables, self.findings)

    def _length(self, text: str, what: str) -> float:
        return parse_length(text, what, default_unit="in" if self._inches else "mm")

    def set_inches(self, inches: bool) -> None:
        """Show lengths in inches or mm; nothing changes its value.

        A cell that cannot be read is left as it was typed.
        """
        size = 25.4 if inches else 1.0
        rows = [self.points.words(row) for row in range(self.points.rowCount())]
        shown = [[self._cell_in(word, size) for word in row] for row in rows]
        self._inches = inches
        for field in self.fields:
            field.set_inches(inches)
        self.points.fill([row for row in shown if any(row)])

    def _cell_in(self, word: str, size: float) -> str:
        """A cell's length in the unit of ``size`` mm, or its words where they are no length."""
        try:
            return f"{self._length(word, 'a cell') / size:.10g}"
        except CopewrightError:
            return word

    def job(self) -> BendJob:
        """What the page says.

        Raises:
            CopewrightError: when it cannot be bent; the text names the bend, point or cell.
        """
        corners = tuple((x, y, z) for x, y, z in self.points.numbers())
        given = self.material.currentIndex() > 0
        return BendJob(
            RoundTube(self.od.value, self.wall.value),
            Centreline(corners, (self.radius.value,) * max(len(corners) - 2, 0)),
            MATERIALS[self.material.currentText() if given else "E235"],
            tuple(Trial(set_deg, got_deg) for set_deg, got_deg in self.trials.numbers()),
            (self.trim_start.value, self.trim_finish.value),
            self.reference.value,
            1,
            parse_name(self.name.text(), "the name"),
            given,
        )

    def ask(self) -> None:
        """Ask for the tube that the page says."""
        job = self.job()
        self.background.ask(lambda: _solved(job))

    def show_solved(self, solved: tuple[BendResult, Drawing, Drawing]) -> tuple[Finding, ...]:
        """Show the tube and its tables."""
        self.result, picture, tables = solved
        self.picture.set_drawing(picture)
        self.tables.set_drawing(tables)
        return self.result.findings

    def files(self) -> tuple[dict[str, bytes], Iterable[str]]:
        """The tube's PDF, DXF and numbers."""
        assert self.result is not None  # noqa: S101 - there is a tube from the start
        files = outputs(self.result, bend_sheets(self.result, paper(self.sheet.currentText())))
        return files, OUTDATED - set(files)


def _solved(job: BendJob) -> tuple[BendResult, Drawing, Drawing]:
    """All that the page shows of a bent tube."""
    result = solve_bend(job)
    _, shown = fitted(result, _PICTURE)
    picture = shown.drawing
    tables, y = Drawing(), 0.0
    headings = ("Bend table, mm", "Marks along the bar, mm")
    for heading, words in zip(headings, bend_tables(result), strict=True):
        tables += Drawing((Text((0.0, y), heading, NOTE_MM),)) + table(words).placed(0.0, y - 2.0)
        y -= words.height + 9.0
    return result, picture, tables
