"""The page Joint: four numbers, and the wrap they make, live."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QVBoxLayout,
)

from app.jobs.joint import outputs
from app.window.drawing_view import DrawingView
from app.window.number_field import NumberField
from app.window.page_frame import (
    LivePage,
    put_together,
    typed_column,
    with_tools,
    words_label,
)
from geometry.findings import Finding
from geometry.joint import FITS, Joint
from geometry.names import parse_name
from geometry.section import RoundTube
from templates_out.drawing import Drawing
from templates_out.joint_papers import joint_sheets
from templates_out.joint_picture import end_view, side_view
from templates_out.joint_result import JointResult, solve_joint
from templates_out.joint_words import wrap_words
from templates_out.paper import paper
from templates_out.wrap import wrap_for_paper

_PICTURE_MM = 60.0
FIT_WORDS = {
    "filed": "filed: dressed to seat all through the wall",
    "square-cut": "square-cut: straight through, not dressed",
}


class JointPage(LivePage):
    """One joint on its own: what is typed on the left, the wrap and the picture on the right."""

    what = "joint"
    done_to_it = "cut"

    def __init__(self) -> None:
        super().__init__()
        self.result: JointResult | None = None
        self._inches = False
        self.od = NumberField("tube OD", 38.1, 1, 2000, tip="outside diameter of the tube you cut")
        self.wall = NumberField(
            "its wall", 1.6, 0, 1000, kind="wall", above=True, tip="a length, or 16swg, 16bwg"
        )
        self.target = NumberField(
            "sits on OD", 54.0, 1, 2000, tip="outside diameter of the other tube"
        )
        self.angle = NumberField("angle", 62.0, 0, 90, kind="angle", above=True, tip="the smaller angle between both centrelines")  # fmt: skip
        self.offset = NumberField("offset", 6.0, -2000, 2000, tip="how far the other tube's centre passes beside; look at the cut end with the tight angle on your left: + is above")  # fmt: skip
        self.root_gap = NumberField("root gap", 0.0, 0, 20, tip="gap to leave for the weld")
        self.extra = NumberField("extra length", 0.0, 0, 2000, tip="length left on")
        self.fields = (
            self.od, self.wall, self.target, self.angle, self.offset, self.root_gap, self.extra,
        )  # fmt: skip
        self.fit = QComboBox(self)
        for fit in FITS:
            self.fit.addItem(FIT_WORDS[fit], fit)
        self.fit.setAccessibleName("fit")
        self.wrap_view = DrawingView("the wrap")
        self.picture = DrawingView("the joint from the side, and its cut end")
        self._lay_out()
        for field in self.fields:
            field.value_changed.connect(self.changed)
        self.fit.currentIndexChanged.connect(self.changed)
        self.wrap_view.measured.connect(self._measured)
        self.changed()

    def _lay_out(self) -> None:
        intro = words_label(
            self,
            "Measure both tubes, the angle between them and how far their centres pass beside each "
            "other. The wrap is drawn as you type. Save it, print it at 100 % and tape it on.",
        )
        rows = QVBoxLayout()
        rows.addWidget(intro)
        named = QFormLayout()
        named.addRow("name", self.name)
        rows.addLayout(named)
        for field in self.fields[:5]:
            rows.addWidget(field)
        more = QFormLayout()
        more.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        more.addRow("fit", self.fit)
        rows.addLayout(more)
        for field in self.fields[5:]:
            rows.addWidget(field)
        papers = QFormLayout()
        papers.addRow("paper", self.sheet)
        rows.addLayout(papers)
        rows.addWidget(self.save)
        rows.addWidget(self.state)
        upper = with_tools(self.wrap_view, self.measure, self.fit_view)
        put_together(self, typed_column(rows), upper, self.picture, self.findings)

    def set_inches(self, inches: bool) -> None:
        """Show lengths in inches or mm; nothing changes its value."""
        self._inches = inches
        for field in self.fields:
            if field is not self.angle:
                field.set_inches(inches)
        self.wrap_view.set_inches(inches)

    def joint(self) -> Joint:
        """What the fields say.

        Raises:
            CopewrightError: when they do not go together.
        """
        return Joint(
            RoundTube(self.od.value, self.wall.value),
            self.target.value,
            self.angle.value,
            self.offset.value,
            self.fit.currentData(),
            self.root_gap.value,
            self.extra.value,
        )

    def _measured(self, words: str) -> None:
        self.state.setText(words)

    def ask(self) -> None:
        """Ask for the joint that the fields say."""
        joint, name = self.joint(), parse_name(self.name.text(), "the name")
        self.background.ask(lambda: _solved(joint, name))

    def show_solved(self, solved: tuple[JointResult, Drawing, Drawing]) -> tuple[Finding, ...]:
        """Show the wrap and the picture."""
        self.result, wrap, picture = solved
        self.wrap_view.set_drawing(wrap)
        self.picture.set_drawing(picture)
        return self.result.findings

    def files(self) -> tuple[dict[str, bytes], Iterable[str]]:
        """The joint's PDF, DXF and numbers."""
        assert self.result is not None  # noqa: S101 - there is a joint from the start
        sheets = joint_sheets(self.result, paper(self.sheet.currentText()))
        return outputs(self.result, sheets), ()


def _solved(joint: Joint, name: str) -> tuple[JointResult, Drawing, Drawing]:
    """All that the page shows of a joint."""
    result = solve_joint(joint, name)
    wrap = wrap_for_paper(result.cut, wrap_words(result), result.landed.bevels)
    picture = side_view(joint, result.cut, _PICTURE_MM, _PICTURE_MM)
    picture += end_view(joint, _PICTURE_MM, _PICTURE_MM).placed(_PICTURE_MM + 12.0, 0)
    return result, wrap, picture
