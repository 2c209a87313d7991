"""The page Joint: four numbers, and the wrap they make, live."""

from __future__ import annotations

from collections.abc import Iterable
from typing import cast

from PySide6.QtWidgets import QFormLayout, QVBoxLayout

from app.document.settings import PaperChoices
from app.window.drawing_view import DrawingView
from app.window.into_frame import Way
from app.window.live_page import LivePage, Part
from app.window.number_field import NumberField
from app.window.page_frame import (
    StillCombo,
    beside,
    put_together,
    typed_column,
    words_label,
)
from app.window.papered_page import PageWords
from app.window.session import Session
from app.window.shown_words import FIT_WORDS
from app.window.words import tr
from geometry.exchange import joint_into, seats
from geometry.findings import Finding
from geometry.frame import Frame
from geometry.joint import FITS, Joint
from geometry.names import parse_name
from geometry.said import said
from geometry.section import RoundTube
from geometry.solid import joint_scene
from templates_out.correction import Correction
from templates_out.drawing import Drawing
from templates_out.joint_pointers import JointPart, joint_picture, joint_pointer
from templates_out.joint_result import JointResult, solve_joint
from templates_out.joint_words import wrap_words
from templates_out.paper import paper
from templates_out.sheet import Sheet
from templates_out.wrap import wrap_for_paper
from templates_out.wrap_line import joint_line

INTRO = tr(
    "Measure both tubes, the angle between them and how far their centres pass beside each other. The "
    "wrap is drawn as you type. Save or print it, check its two bars, cut it out and tape it on."
)


class JointPage(LivePage):
    """One joint on its own: what is typed on the left, the wrap and the picture on the right."""

    help_words = INTRO
    key, what = "Joint", "joint"
    said = PageWords(
        picture=tr("the joint"),
        space=tr("the joint in space"),
        last_good=tr("The drawing is of the last joint that can be cut."),
        title=tr("joint {name}"),
    )

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.result: JointResult | None = None
        self.fields = {
            "od": NumberField(
                tr("tube OD"), 38.1, 1, 2000, tip=tr("outside diameter of the tube that you cut")
            ),
            "wall": NumberField(
                tr("its wall"), 1.6, 0, 1000, kind="wall", above=True,
                tip=tr("how thick the tube is: a length, or a gauge such as 16swg or 16bwg"),
            ),
            "target": NumberField(
                tr("sits on OD"), 54.0, 1, 2000, tip=tr("outside diameter of the tube that it sits on")
            ),
            "angle": NumberField(
                tr("angle"), 62.0, 0, 90, kind="angle", above=True,
                tip=tr("the smaller angle between the two centrelines; 90 is square"),
                advice=tr("give the smaller angle between the two centrelines"),
            ),
            "offset": NumberField(
                tr("offset"), 6.0, -2000, 2000,
                tip=tr("how far the other tube's centre passes beside; look at the cut end with the tight "
                "angle on your left: + is above, - is below; 0 where the centres cross"),
            ),
            "root_gap": NumberField(
                tr("root gap"), 0.0, 0, 20, tip=tr("gap to leave all round for the weld")
            ),
            "extra": NumberField(
                tr("extra length"), 0.0, 0, 2000, tip=tr("length left on, to file away as you fit")
            ),
        }  # fmt: skip
        fit = StillCombo(self)
        for name in FITS:
            fit.addItem(FIT_WORDS[name], name)
        fit.setAccessibleName(tr("fit"))
        fit.setToolTip(tr("How you finish the end decides which edge the line is for"))
        self.choices = {"fit": fit}
        self.wrap_view = DrawingView(tr("the wrap"))
        self._lay_out()
        self.begin()

    def _lay_out(self) -> None:
        rows = QVBoxLayout()
        rows.addWidget(words_label(self, INTRO))
        named = QFormLayout()
        named.addRow(tr("name"), self.name)
        rows.addLayout(named)
        for key in ("od", "wall", "target", "angle", "offset"):
            rows.addWidget(self.fields[key])
        fit = QFormLayout()
        fit.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        fit.addRow(tr("fit"), self.choices["fit"])
        rows.addLayout(fit)
        for key in ("root_gap", "extra"):
            rows.addWidget(self.fields[key])
        upper = self.views(tr("Wrap"), self.wrap_view)
        put_together(
            self, typed_column(rows, self.foot()), upper, beside(self.picture, self.findings)
        )

    def joint(self) -> Joint:
        """What the fields say.

        Raises:
            CopewrightError: when they do not go together.
        """
        value = {key: field.value for key, field in self.fields.items()}
        return Joint(
            RoundTube(value["od"], value["wall"]),
            value["target"],
            value["angle"],
            value["offset"],
            self.choices["fit"].currentData(),
            value["root_gap"],
            value["extra"],
        )

    def ways_into(self, frame: Frame) -> list[Way]:
        """As two new tubes, or onto a tube of the frame that is as thick as this one's target."""
        joint, name = self.joint(), parse_name(self.name.text(), said("the name"))
        words = tr("onto {tube}")

        def onto(seat: str) -> Way:
            return Way(words.format(tube=seat), lambda f: joint_into(f, name, joint, seat))

        new = Way(tr("as two new tubes"), lambda f: joint_into(f, name, joint))
        return [*map(onto, seats(frame, joint)), new]

    def take(self, name: str, joint: Joint) -> None:
        """Show a joint of a frame."""
        self.name.setText(name)
        values = {
            "od": joint.tube.od, "wall": joint.tube.wall, "target": joint.target_od, "angle": joint.angle_deg,
            "offset": joint.offset, "root_gap": joint.root_gap, "extra": joint.extra,
        }  # fmt: skip
        self.choices["fit"].setCurrentIndex(self.choices["fit"].findData(joint.fit))
        for key, value in values.items():
            self.fields[key].set_value(value)
        self.changed()

    def ask(self) -> None:
        """Ask for the joint that the fields say."""
        joint, name = self.joint(), parse_name(self.name.text(), said("the name"))
        thickness, inches = self.session.paper.thickness, self.session.inches
        self.background.ask(lambda: _solved(joint, name, thickness, inches=inches))

    def show_solved(self, solved: tuple[JointResult, Drawing, Drawing]) -> tuple[Finding, ...]:
        """Show the wrap and the pictures."""
        result, wrap, picture = solved
        self.result = result
        self.wrap_view.set_drawing(wrap)
        self.picture.set_drawing(picture)
        self.solid.set_scene(lambda: joint_scene(result.joint, result.cut))
        return result.findings

    def in_unit(
        self, solved: tuple[JointResult, Drawing, Drawing]
    ) -> tuple[JointResult, Drawing, Drawing]:
        """The wrap and the pictures in the window's unit."""
        result, inches = solved[0], self.session.inches
        if result.inches == inches:
            return solved
        return _solved(result.joint, result.name, self.session.paper.thickness, inches=inches)

    def pointer(self, part: Part) -> tuple[Drawing, str]:
        """Where the field's length or angle is on the picture, and what it is."""
        assert self.result is not None  # noqa: S101 - asked for only with a joint
        field = self.fields[str(part)]
        strokes = joint_pointer(self.result.joint, self.result.cut, cast(JointPart, part))
        return strokes, field.caption

    def sheets(
        self, result: JointResult, choices: PaperChoices, correction: Correction
    ) -> list[Sheet]:
        """The joint's papers."""
        from templates_out.joint_papers import joint_sheets

        return joint_sheets(result, paper(choices.sheet), 15.0, choices.thickness, correction)

    def files(
        self, result: JointResult, sheets: list[Sheet]
    ) -> tuple[dict[str, bytes], Iterable[str]]:
        """The joint's PDF, DXF and numbers."""
        from app.jobs.joint import outputs

        return outputs(result, sheets), ()


def _solved(
    joint: Joint, name: str, paper_mm: float, *, inches: bool
) -> tuple[JointResult, Drawing, Drawing]:
    """All that the page shows of a joint."""
    result = solve_joint(joint, name, inches=inches)
    wrap = wrap_for_paper(
        joint_line(result.cut, result.landed.bevels), wrap_words(result), paper_mm
    )
    return result, wrap, joint_picture(joint, result.cut, inches=inches)
