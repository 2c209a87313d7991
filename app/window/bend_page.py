"""The page Bend: one bent tube, from points and a radius to a sheet that a shop can bend from."""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace
from typing import cast

from PySide6.QtWidgets import QFormLayout, QVBoxLayout

from app.document.settings import PaperChoices
from app.window.alone import BentTube
from app.window.bend_told import bend_told
from app.window.into_frame import Way
from app.window.live_page import LivePage, Part
from app.window.number_field import NumberField
from app.window.number_table import Column, NumberTable, plain_number
from app.window.page_frame import (
    StillCombo,
    fill_materials,
    findings_count,
    findings_view,
    put_together,
    scrolled,
    tabs_with_tools,
    typed_column,
    words_label,
)
from app.window.papered_page import PageWords
from app.window.result_table import ResultTable
from app.window.session import Session
from app.window.words import spoken, tr
from geometry.bend_plan import BendJob, BendResult, on_former, solve_bend
from geometry.edits import free_name
from geometry.errors import BadText, CopewrightError
from geometry.exchange import bend_into, lying_there
from geometry.findings import Finding
from geometry.frame import Frame
from geometry.material import MATERIALS
from geometry.names import parse_name
from geometry.path import Path as Centreline
from geometry.path import Point
from geometry.said import said
from geometry.section import RoundTube
from geometry.solid import bend_scene
from geometry.springback import Trial
from geometry.tool_exchange import tools_into
from templates_out.bend_picture import TubePicture, fitted
from templates_out.bend_pointers import BendPart, bend_pointer
from templates_out.bend_words import bend_tables, fact_lines
from templates_out.correction import Correction
from templates_out.drawing import Drawing
from templates_out.paper import Box, paper
from templates_out.sheet import Sheet

_PICTURE = Box(0.0, 0.0, 200.0, 130.0)
NOT_GIVEN = "not given (reckoned as E235)"
"""As it is kept for next time."""
_OF_THE_TOOL = {"tool radius": "former", "tool's reference": "reference"}
_A_RADIUS = re.compile(r"bend (\d+) radius")
INTRO = tr(
    "Give the points where the middles of the straights cross, both ends included: x forward, y to the "
    "left, z up. The picture and the bend table follow as you type. Bend two trial pieces of scrap, and the "
    "settings are yours and not an estimate."
)


class BendPage(LivePage):
    """One bent tube: its points and radius on the left, the picture and the tables on the right."""

    help_words = INTRO
    key, what = "Bend", "tube"
    said = PageWords(
        picture=tr("the tube"),
        space=tr("the tube in space"),
        last_good=tr("The drawing is of the last tube that can be bent."),
        title=tr("tube {name}"),
    )

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.result: BendResult | None = None
        self._shown: TubePicture | None = None
        self.fields = {
            "od": NumberField(tr("tube OD"), 38.1, 1, 2000, tip=tr("outside diameter")),
            "wall": NumberField(
                tr("its wall"), 1.6, 0, 1000, kind="wall", above=True,
                tip=tr("how thick the tube is: a length, or a gauge such as 16swg or 16bwg"),
            ),
            "radius": NumberField(
                tr("bend radius"), 115.0, 0, 2000, above=True,
                tip=tr("at the tube's centreline, as finished; a bend with another one has it in the table"),
            ),
            "former": NumberField(
                tr("former's radius"), 0.0, 0, 2000,
                tip=tr(
                    "of the tool that it is bent on, at the tube's centreline; 0 if you do not know it: then one that leaves the "
                    "bend radius is reckoned"
                ),
            ),
            "trim_start": NumberField(
                tr("spare bar, start"), 0.0, 0, 2000, tip=tr("length left on for the bender to grip, cut off after")
            ),
            "trim_finish": NumberField(
                tr("spare bar, finish"), 0.0, 0, 2000, tip=tr("length left on for the bender to grip, cut off after")
            ),
            "reference": NumberField(
                tr("tool's mark"), 0.0, -2000, 2000,
                tip=tr("how far before the bend's start, towards the tube's start, the bender's mark lies"),
            ),
            "quantity": NumberField(tr("quantity"), 1, 1, 10000, kind="count", tip=tr("how many are needed")),
        }  # fmt: skip
        material = StillCombo(self)
        material.addItem(tr("not given (reckoned as E235)"), NOT_GIVEN)
        fill_materials(material)
        material.setAccessibleName(tr("material"))
        material.setToolTip(tr("For the estimate of springback and for the mass"))
        self.choices = {"material": material}
        self.points = NumberTable(
            tr("points"),
            (Column("x"), Column("y"), Column("z"), Column(tr("radius"), needed=False)),
            [["0", "0", "0"], ["400", "0", "0"], ["700", "0", "300"]],
            keeps_steps=True,
        )
        self.points.setToolTip(
            tr(
                "A radius only where a bend has another one than the field above; rows can be pasted from a spreadsheet"
            )
        )
        self.points.setFixedHeight(168)
        self.trials = NumberTable(
            tr("trial bends"),
            (Column(tr("set °"), "angle"), Column(tr("got °"), "angle")),
            [],
            keeps_steps=True,
        )
        self.trials.setFixedHeight(112)
        self.tables = {"points": self.points, "trials": self.trials}
        self.points.row_chosen.connect(lambda row: self.point(row if row >= 0 else None))
        self.bends, self.marks = (
            ResultTable(tr("bend table")),
            ResultTable(tr("marks along the bar")),
        )
        self.facts = words_label(self)
        self.facts.setMargin(8)
        self._lay_out()
        self.begin()

    def _lay_out(self) -> None:
        rows = QVBoxLayout()
        rows.addWidget(words_label(self, INTRO))
        named = QFormLayout()
        named.addRow(tr("name"), self.name)
        rows.addLayout(named)
        for key in ("od", "wall", "radius"):
            rows.addWidget(self.fields[key])
        rows.addWidget(
            words_label(
                self, tr("points, start to finish; the last row adds one, Insert puts one between")
            )
        )
        rows.addWidget(self.points)
        rows.addWidget(words_label(self, tr("trial bends: what you set, what came out")))
        rows.addWidget(self.trials)
        for key in ("former", "reference", "trim_start", "trim_finish", "quantity"):
            rows.addWidget(self.fields[key])
        material = QFormLayout()
        material.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        material.addRow(tr("material"), self.choices["material"])
        rows.addLayout(material)
        upper = self.views(tr("Tube"), self.picture)
        self._lower = tabs_with_tools(
            tr("tables"),
            (
                ("", self.bends),
                ("", self.marks),
                (tr("Facts"), scrolled(self.facts, tr("facts"))),
                (tr("Findings"), findings_view(self.findings)),
            ),
        )
        self._show_tables()
        put_together(self, typed_column(rows, self.foot()), upper, self._lower)

    def job(self) -> BendJob:
        """What the page says.

        Raises:
            CopewrightError: when it cannot be bent; the text names the bend, point or cell.
        """
        value = {key: field.value for key, field in self.fields.items()}
        given = self.choices["material"].currentIndex() > 0
        job = BendJob(
            RoundTube(value["od"], value["wall"]),
            self._path(),
            MATERIALS[self.choices["material"].currentData() if given else "E235"],
            tuple(Trial(*cast(tuple[float, float], row)) for row in self.trials.numbers()),
            (value["trim_start"], value["trim_finish"]),
            value["reference"],
            round(value["quantity"]),
            parse_name(self.name.text(), said("the name")),
            given,
            inches=self.session.inches,
        )
        return on_former(job, value["former"])

    def field_of(self, about: str) -> NumberField | None:
        """Of a bend's radius the page's field, unless its row has one of its own."""
        bend = _A_RADIUS.fullmatch(about)
        if bend is not None and self.points.numbers()[int(bend[1])][-1] is None:
            return self.fields["radius"]
        return super().field_of(_OF_THE_TOOL.get(about, about))

    def _path(self) -> Centreline:
        corners: list[Point] = []
        radii: list[float] = []
        rows = self.points.numbers()
        for number, (x, y, z, radius) in enumerate(rows, 1):
            corners.append(cast(Point, (x, y, z)))
            if 1 < number < len(rows):
                radii.append(self.fields["radius"].value if radius is None else radius)
            elif radius is not None:
                text = tr("{cell}: an end has no bend; clear the cell")
                raise BadText(text.format(cell=self.points.place(number - 1, 3)))
        return Centreline(tuple(corners), tuple(radii))

    def ways_into(self, frame: Frame) -> list[Way]:
        """As a new tube; or in place of the one of its name, which is given this shape, where it can be."""
        job = self.job()
        material = job.material.name if job.material_given else ""

        def put(f: Frame, name: str) -> tuple[Frame, str]:
            whole = bend_into(f, name, job.tube, job.path, material, job.trim)
            # The bender goes along: else the frame's settings would be estimates again.
            return tools_into(whole, solve_bend(replace(job, name=name)), f), name

        def told(before: Frame, after: Frame, name: str) -> str:
            return bend_told(before, after, name, job)

        names = [tube.name for tube in frame.tubes]
        same = (name for name in names if name.casefold() == job.name.casefold())
        # One that was put in from here and renamed there lies just where this one is.
        known = next(same, lying_there(frame, job.path))
        new = free_name(job.name, names)
        ways = [Way(tr("as a new tube, {name}").format(name=new), lambda f: put(f, new), told)]
        if known is not None:
            with suppress(CopewrightError):
                put(frame, known)
                # What would be refused is not offered.
                place = tr("in place of {name}").format(name=known)
                ways.insert(0, Way(place, lambda f: put(f, known), told))
        return ways

    def take(self, name: str, one: BentTube) -> None:
        """Show a bent tube of a frame."""
        tube, path = one.tube, one.path
        self.name.setText(name)
        self.fields["od"].set_value(tube.od)
        self.fields["wall"].set_value(tube.wall)
        self.fields["radius"].set_value(path.radii[0])
        for key, trim in zip(("trim_start", "trim_finish"), one.trims, strict=True):
            self.fields[key].set_value(max(trim, 0.0))
        self.fields["reference"].set_value(one.reference)
        self.fields["former"].set_value(one.former)
        self.choices["material"].setCurrentIndex(self.choices["material"].findData(one.material))
        rows = []
        for number, vertex in enumerate(path.vertices):
            inner = 0 < number < len(path.vertices) - 1
            own = inner and path.radii[number - 1] != path.radii[0]
            radius = plain_number(path.radii[number - 1]) if own else ""
            rows.append([*map(plain_number, vertex), radius])
        self.points.recall(rows)
        # Those of the tube that was here before are not this one's.
        self.trials.recall([[plain_number(t.set_deg), plain_number(t.got_deg)] for t in one.trials])
        self.changed()

    def ask(self) -> None:
        """Ask for the tube that the page says."""
        job = self.job()
        self.background.ask(lambda: _solved(job))

    def show_solved(self, solved: tuple[BendResult, TubePicture]) -> tuple[Finding, ...]:
        """Show the tube and its tables."""
        self.result, self._shown = solved
        path, tube = self.result.job.path, self.result.job.tube
        self.picture.set_drawing(self._shown.drawing, self._shown.scale)
        self.solid.set_scene(lambda: bend_scene(path, tube))
        self._show_tables()
        self.facts.setText("\n\n".join(map(spoken, fact_lines(self.result))))
        return self.result.findings

    def in_unit(self, solved: tuple[BendResult, TubePicture]) -> tuple[BendResult, TubePicture]:
        """The tube and its picture in the window's unit."""
        job, inches = solved[0].job, self.session.inches
        return solved if job.inches == inches else _solved(replace(job, inches=inches))

    def _show_tables(self) -> None:
        """The tables, in the unit that is read; the titles say which."""
        inches = self.session.inches
        titles = (
            (tr("Bend table, in"), tr("Marks along the bar, in"))
            if inches
            else (tr("Bend table, mm"), tr("Marks along the bar, mm"))
        )
        for number, title in enumerate(titles):
            self._lower.setTabText(number, title)
        if self.result is not None:
            tables = bend_tables(self.result, inches=inches)
            for view, table in zip((self.bends, self.marks), tables, strict=True):
                view.show_table(table)

    def set_inches(self, inches: bool) -> None:
        """The tables too."""
        super().set_inches(inches)
        self._show_tables()

    def show_count_of(self, findings: tuple[Finding, ...]) -> None:
        """On the tab that holds them."""
        count = findings_count(findings) if findings else tr("No findings")
        self._lower.setTabText(3, count)

    def pointer(self, part: Part) -> tuple[Drawing, str]:
        """Where the field's length or the row's point is on the picture, and what it is."""
        assert self.result is not None  # noqa: S101 - asked for only with a tube
        assert self._shown is not None  # noqa: S101 - they come together
        if isinstance(part, int):
            strokes = bend_pointer(self.result.job, self._shown, part)
            return strokes, tr("point {n}").format(n=part + 1) if strokes.items else ""
        field = self.fields[part]
        if part in {"quantity", "former"}:
            return Drawing(), field.caption
        return bend_pointer(self.result.job, self._shown, cast(BendPart, part)), field.caption

    def sheets(
        self, result: BendResult, choices: PaperChoices, correction: Correction
    ) -> list[Sheet]:
        """The tube's papers."""
        from templates_out.bend_sheet import bend_sheets

        return bend_sheets(result, paper(choices.sheet), correction)

    def files(
        self, result: BendResult, sheets: list[Sheet]
    ) -> tuple[dict[str, bytes], Iterable[str]]:
        """The tube's PDF, DXF and numbers."""
        from app.jobs.bend import OUTDATED, outputs

        files = outputs(result, sheets)
        return files, OUTDATED - set(files)


def _solved(job: BendJob) -> tuple[BendResult, TubePicture]:
    """All that the page shows of a bent tube."""
    result = solve_bend(job)
    return result, fitted(result, _PICTURE)[1]
