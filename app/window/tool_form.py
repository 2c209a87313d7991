"""One bending tool of a frame, as a form: what it takes and grips, and its trial bends."""

from __future__ import annotations

from PySide6.QtWidgets import QFormLayout, QPushButton, QVBoxLayout, QWidget

from app.document.tool_library import change_library
from app.window.named_form import NamedForm, put
from app.window.number_field import NumberField
from app.window.number_table import Column, NumberTable
from app.window.page_frame import StillCombo, words_label
from app.window.words import sentence, tr
from geometry.bend_tool import TURNS, BendTool, TrialBend
from geometry.errors import CopewrightError
from geometry.springback import Trial
from geometry.tolerances import MAX_COORDINATE_MM, MAX_SIZE_MM

_TRIALS_PX = 116


class ToolForm(NamedForm):
    """A bending tool. Each bend of the frame gets the one that its radius asks for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("name of the bending tool"), parent)
        size = MAX_SIZE_MM
        self.od = NumberField(tr("for tube OD"), 25.0, 1, size, tip=tr("outside diameter"))
        self.radius = NumberField(
            tr("former's radius"),
            100.0,
            0,
            size,
            above=True,
            tip=tr(
                "as stamped on it, or measured to the tube's centreline; a bend springs back to a larger one"
            ),
        )
        self.grip = NumberField(
            tr("straight gripped"),
            0.0,
            0,
            size,
            tip=tr("the straight that it holds ahead of a bend"),
        )
        self.between = NumberField(
            tr("straight between"),
            0.0,
            0,
            size,
            tip=tr("the least straight from bend to bend"),
        )
        self.tail = NumberField(
            tr("straight after"),
            0.0,
            0,
            size,
            tip=tr("the straight that it needs behind the last bend"),
        )
        self.reference = NumberField(
            tr("tool's mark"),
            0.0,
            -size,
            size,
            tip=tr("how far before the bend's start its mark lies"),
        )
        self.greatest = NumberField(
            tr("greatest angle"), 180.0, 0, 180, kind="angle", above=True, tip=tr("the greatest angle that it can be set to")
        )  # fmt: skip
        self.height_ = NumberField(
            tr("height over floor"), 0.0, 0, MAX_COORDINATE_MM, tip=tr("of the tube in the bender; 0 where it does not matter")
        )  # fmt: skip
        self.fields = (
            self.od, self.radius, self.grip, self.between, self.tail, self.reference, self.greatest, self.height_,
        )  # fmt: skip
        self.turns = StillCombo(self)
        self.turns.setAccessibleName(tr("turns"))
        self.turns.setToolTip(
            tr("Which way the end that goes in first swings, seen from above by who feeds it")
        )
        shown = {"either": tr("either way"), "left": tr("to the left"), "right": tr("to the right")}
        for way in TURNS:
            self.turns.addItem(shown[way], way)
        self.trials = NumberTable(
            tr("trial bends"), (Column(tr("set °"), "angle"), Column(tr("got °"), "angle")), []
        )
        self.trials.setFixedHeight(_TRIALS_PX)
        self.keep = QPushButton(tr("Keep it for my other frames"), self)
        self.keep.setToolTip(tr("With its trial bends; add it there from the list of tools"))
        self._lay_out()
        for field in self.fields:
            field.value_changed.connect(lambda _: self._changed())
        self.turns.activated.connect(lambda _: self._changed())
        self.trials.edited.connect(self._changed)
        self.trials.said.connect(self.say)
        self.keep.clicked.connect(self._keep)

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.addRow(tr("name"), self.name_rows)
        for field in self.fields:
            form.addRow(field)
        form.addRow(tr("turns"), self.turns)
        rows = QVBoxLayout(self)
        rows.addLayout(form)
        rows.addWidget(words_label(self, tr("trial bends on scrap: what you set, what came out")))
        rows.addWidget(self.trials)
        rows.addWidget(self.problem)
        rows.addWidget(self.keep)
        rows.addStretch(1)

    def show_tool(self, name: str, tool: BendTool, *, inches: bool) -> None:
        """Show a tool."""
        values = (
            tool.od, tool.radius, tool.grip, tool.between, tool.tail, tool.reference, tool.greatest_angle, tool.height,
        )  # fmt: skip
        # While it is typed in, the table is not filled anew under the cursor.
        same = self.named == name and self.shown == tool
        with self.filling(name, tool):
            for field, value in zip(self.fields, values, strict=True):
                if field is not self.greatest:
                    field.set_inches(inches)
                put(field, value)
            self.turns.setCurrentIndex(self.turns.findData(tool.turns))
            if not same:
                self.trials.recall(
                    [
                        [f"{one.trial.set_deg:.12g}", f"{one.trial.got_deg:.12g}"]
                        for one in tool.trials
                    ]
                )

    def _changed(self) -> None:
        words = tr("Bending tool {name}").format(name=self.named)
        self.tell(words, self._said)

    def _said(self) -> BendTool:
        """The tool that the form says; a trial that stays keeps what else is known of it."""
        known = (
            {one.trial: one for one in self.shown.trials}
            if isinstance(self.shown, BendTool)
            else {}
        )
        trials = []
        for row in self.trials.numbers():
            trial = Trial(float(row[0] or 0.0), float(row[1] or 0.0))
            trials.append(known.get(trial, TrialBend(trial)))
        od, radius, grip, between, tail, reference, greatest, height = (
            f.value for f in self.fields
        )
        return BendTool(
            od, radius, grip, between, tail, reference, greatest, height, self.turns.currentData(), tuple(trials)
        )  # fmt: skip

    def _keep(self) -> None:
        if not isinstance(self.shown, BendTool):
            return
        try:
            change_library({self.named: self.shown})
        except CopewrightError as error:
            self.say(sentence(error))
            return
        self.say(
            tr("{name} is kept: add it to another frame from its list of tools.").format(
                name=self.named
            )
        )
