"""A page that solves what is typed off the window's thread, shows it, saves it and prints it."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.document.settings import Kept, PaperChoices, load_correction
from app.jobs.writing import write_files
from app.window.background import Background
from app.window.drawing_view import DrawingView
from app.window.folders import WHERE_WORDS, ask_folder, own_documents
from app.window.into_frame import IntoFrame, Way
from app.window.kept_fields import kept_of, put_back
from app.window.number_field import NumberField
from app.window.number_table import NumberTable
from app.window.page_frame import findings_words, tabs_with_tools, words_label
from app.window.paper_line import PaperLine
from app.window.session import Papers, Session
from app.window.solid_view import SolidView
from app.window.words import counted, joined, reason, sentence, tr
from geometry.errors import CopewrightError
from geometry.findings import Finding
from geometry.frame import Frame
from templates_out.correction import Correction
from templates_out.drawing import Drawing
from templates_out.file_names import FileNames
from templates_out.sheet import Sheet

_COUNT_AFTER_MS = 400
Part = str | int
"""What a field or a table's row stands for on the picture."""


@dataclass(frozen=True)
class PageWords:
    """What a page says of its part, in the person's language.

    Attributes:
        picture: the flat picture.
        space: the picture in space.
        last_good: of what the drawing is, where none can be made of what is typed.
        title: of its papers, with its ``{name}``.
    """

    picture: str
    space: str
    last_good: str
    title: str


class LivePage(QWidget):
    """What the pages with one part share.

    A page of its own says what it is about (``what`` on paper, ``said`` on the screen), asks for work from its fields
    (``ask``), shows it (``show_solved``), and makes its ``sheets`` and ``files``. An error is said, the last good drawing
    stays, and saving waits.
    """

    key = what = "part"
    said: PageWords

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.result: Any = None
        self.fields: dict[str, NumberField] = {}
        self.choices: dict[str, QComboBox] = {}
        self.tables: dict[str, NumberTable] = {}
        self._pointing: Part | None = None
        self._solved, self._refused = False, False
        self._then: Callable[[], None] | None = None
        self.background, self.counting = Background(self), Background(self)
        self.writing = Background(self, every=True)
        self.background.finished.connect(self._show_result)
        self.background.failed.connect(self.show_error)
        self.writing.finished.connect(self._say)
        self.writing.failed.connect(self._say_failure)
        self.counting.finished.connect(self._show_count)
        self.counting.failed.connect(self._show_count)
        self._count_later = QTimer(self)
        self._count_later.setSingleShot(True)
        self._count_later.setInterval(_COUNT_AFTER_MS)
        self._count_later.timeout.connect(self._count)
        self.name = QLineEdit(tr("tube"), self)
        self.name.setAccessibleName(tr("name"))
        self.name.setToolTip(tr("What the tube is called on its papers"))
        self.state = words_label(self)
        self.findings = words_label(self, rich=True)
        self.picture = DrawingView(self.said.picture, captioned=True)
        self.solid = SolidView(self.said.space)
        self.save = QPushButton(tr("Save PDF and DXF …"), self)
        self.print = QPushButton(tr("Print …"), self)
        self.paper_line = PaperLine(self)
        self.into_frame = IntoFrame(session, self.ways_into, self._say, self)
        self.measure = QPushButton(tr("Measure"), self)
        self.fit_view = QPushButton(tr("Fit"), self)

    # What a page of its own says.

    def ask(self) -> None:
        """Read the fields and ask the background for the work.

        Raises:
            CopewrightError: when they do not go together.
        """
        raise TypeError(self._missing("what to ask for"))

    def show_solved(self, solved: Any) -> tuple[Finding, ...]:
        """Show what was solved; returns its findings."""
        raise TypeError(self._missing("how to show it"))

    def pointer(self, part: Part) -> tuple[Drawing, str]:
        """Strokes over the picture that point at a part, and what it is in words."""
        raise TypeError(self._missing("where its parts are"))

    def sheets(
        self,
        result: Any,
        choices: PaperChoices,
        correction: Correction,
    ) -> list[Sheet]:
        """What is printed of a result; called off the window's thread too."""
        raise TypeError(self._missing("what to print"))

    def files(
        self,
        result: Any,
        sheets: list[Sheet],
    ) -> tuple[dict[str, bytes], Iterable[str]]:
        """The files to save of a result, and names of earlier ones that they outdate."""
        raise TypeError(self._missing("what to save"))

    def _missing(self, what: str) -> str:
        return f"{type(self).__name__} does not say {what}"

    def ways_into(self, frame: Frame) -> list[Way]:
        """How what is typed can be put into a frame.

        Raises:
            CopewrightError: when it cannot be made.
        """
        raise TypeError(self._missing("how it goes into a frame"))

    def show_count_of(self, findings: tuple[Finding, ...]) -> None:
        """Where the findings are not in view, say how many there are."""

    # What all pages do.

    def begin(self) -> None:
        """Connect the page's fields, put in what stood there last, and solve it."""
        put_back(self, self.session.state.pages.get(self.key, {}))
        for part, field in self.fields.items():
            field.value_changed.connect(self.changed)
            field.good_changed.connect(self._review)
            field.focused.connect(lambda on, part=part: self.point(part if on else None))
        for choice in self.choices.values():
            choice.currentIndexChanged.connect(self.changed)
        for table in self.tables.values():
            table.edited.connect(self.changed)
            table.said.connect(self.state.setText)
        self.name.textEdited.connect(self.changed)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.save.clicked.connect(lambda: self._when_solved(self._save_asked))
        self.print.clicked.connect(lambda: self._when_solved(self._print_asked))
        self.paper_line.linkActivated.connect(lambda _: self.session.page_asked.emit("Paper"))
        self.session.inches_changed.connect(self.set_inches)
        self.session.paper_changed.connect(self._paper_changed)
        self._paper_changed()
        # Once the window is painted: the first solving loads what the window itself does not need.
        QTimer.singleShot(0, self._solve)

    def foot(self) -> QVBoxLayout:
        """What is done with the drawing, always in view."""
        buttons = QHBoxLayout()
        buttons.addWidget(self.save, 3)
        buttons.addWidget(self.print, 2)
        foot = QVBoxLayout()
        foot.addWidget(self.state)
        foot.addWidget(self.paper_line)
        foot.addWidget(self.into_frame)
        foot.addLayout(buttons)
        return foot

    def views(self, name: str, flat: DrawingView) -> QTabWidget:
        """The flat drawing, which can be measured, and the picture in space behind each other."""
        self.measure.setCheckable(True)
        self.measure.toggled.connect(flat.set_measuring)
        flat.measured.connect(self.state.setText)
        for view in (flat, self.solid):
            self.fit_view.clicked.connect(view.fit)
        both = ((name, flat), (tr("In space"), self.solid))
        tabs = tabs_with_tools(tr("views"), both, self.measure, self.fit_view)
        tabs.currentChanged.connect(lambda index: self.measure.setEnabled(index == 0))
        return tabs

    def changed(self) -> None:
        """Something was typed or chosen: solve it, and remember it for next time."""
        if self.isVisible():
            self.session.subject = self.key
        self._solve()
        self.session.keep_fields(self.key, self.remembered())

    def _solve(self) -> None:
        self._count_later.stop()
        self.counting.drop()
        self._solved = False
        try:
            self.ask()
        except CopewrightError as error:
            self.background.drop()
            self.show_error(error)

    def _show_result(self, solved: object) -> None:
        self._mark("", "")
        findings = self.show_solved(solved)
        self.findings.setText(findings_words(findings))
        self.show_count_of(findings)
        self.point(self._pointing)
        self._count_later.start()
        self._solved, self._refused = True, False
        self._review()
        then, self._then = self._then, None
        if then is not None and self.save.isEnabled():
            then()

    def _review(self) -> None:
        """With a field that is wrong nothing is saved or put anywhere: the drawing is not what stands there."""
        if self._refused:
            return
        self._allow(all(field.good for field in self.fields.values()))
        # What is only half typed is not to be mended yet.
        wrong = joined([field.label for field in self.fields.values() if field.told])
        mend = tr("Mend {fields} to save, print or put it into the frame.").format(fields=wrong)
        self.state.setText(mend if wrong else "")

    def _when_solved(self, action: Callable[[], None]) -> None:
        """Do it with what is typed by now: an open cell is closed, a tube still being solved waited for."""
        self.setFocus()
        if self._solved and self.save.isEnabled():
            action()
        elif not self._solved:
            self._then = action

    def _allow(self, on: bool) -> None:
        for button in (self.save, self.print, self.into_frame):
            button.setEnabled(on)
        # What must not be saved here is not to be printed from the page Paper either.
        if on and self.result is not None:
            self._put_papers()
        else:
            self.session.drop_papers(self.key)

    def show_error(self, error: Exception) -> None:
        """Say it; the last good drawing stays, but it cannot be saved as this one's."""
        self._solved, self._refused, self._then = True, True, None
        self._allow(False)
        if isinstance(error, CopewrightError):
            self._mark(error.words, error.about)
            self.state.setText(f"{reason(error)}. {self.said.last_good}")
        else:
            self._say_failure(error)

    def field_of(self, about: str) -> NumberField | None:
        """The field of the value that an error is about; None where it is none's alone."""
        return self.fields.get("wall" if about == "tube wall" else about)

    def _mark(self, why: str, about: str) -> None:
        """What is wrong is said beside its field too."""
        its = self.field_of(about)
        for field in self.fields.values():
            field.clash(why if field is its else "")

    def _say(self, words: str) -> None:
        self.state.setText(words)

    def _say_failure(self, error: Exception) -> None:
        if isinstance(error, CopewrightError):
            self.state.setText(sentence(error))
            return
        logging.getLogger(__name__).error("page %s", self.key, exc_info=error)
        self.state.setText(
            tr("Something went wrong inside the program; it is in the log. Your numbers stay.")
        )

    def point(self, part: Part | None) -> None:
        """Point at a part on the picture, or no longer."""
        self._pointing = part
        if part is None or self.result is None:
            self.picture.point_at(None)
        else:
            self.picture.point_at(*self.pointer(part))

    def set_inches(self, inches: bool) -> None:
        """Show lengths in inches or mm; nothing changes its value."""
        for field in self.fields.values():
            field.set_inches(inches)
        for table in self.tables.values():
            table.set_inches(inches)
        for view in self.findChildren(DrawingView):
            view.set_inches(inches)
        # A length measured in the other unit is no longer meant, and papers say the unit too.
        self.state.setText("")
        if self._solved or self.result is not None:
            self._solve()

    def remembered(self) -> dict[str, Kept]:
        """What stands in the fields, for next time."""
        return kept_of(self)

    # Paper.

    def _paper_changed(self) -> None:
        self._show_count(0)
        if self.result is not None:
            self._count_later.start()
            self._solve()

    def _count(self) -> None:
        if self.result is not None and self.save.isEnabled():
            choices, make = self.session.paper, self._making()
            self.counting.ask(lambda: len(make(load_correction(choices.printer, choices.sheet))))

    def _show_count(self, count: object) -> None:
        """Of the sheets, or an error: then it is not said."""
        self.paper_line.show_count(count if isinstance(count, int) else 0, self.session.paper)

    def _making(self) -> Callable[[Correction], list[Sheet]]:
        """Makes the sheets of what is shown now, whatever is typed in the meantime."""
        result, choices = self.result, self.session.paper
        return lambda correction: self.sheets(result, choices, correction)

    def _put_papers(self) -> None:
        """What the page Paper shows of this one."""
        result = self.result
        papers = Papers(
            f"{self.what} {self.name.text()}",
            self._title(),
            self._making(),
            lambda sheets: self.files(result, sheets)[0],
        )
        self.session.put_papers(self.key, papers)

    def _title(self) -> str:
        return self.said.title.format(name=self.name.text())

    def _save_asked(self) -> None:
        held, whose = (f"{self.key.lower()}.pdf", "numbers.json"), self.name.text()
        own = f"{FileNames().of(whose)}-papers"
        start, title = self.session.state.folder or own_documents(), WHERE_WORDS.format(name=own)
        folder = ask_folder(self, title, start, held, whose, own)
        if folder:
            self.session.change(folder=str(Path(folder).parent))
            self.save_to(Path(folder))

    def save_to(self, folder: Path) -> None:
        """Write the files, the same as the command's, into a folder."""
        self.state.setText(tr("Saving …"))
        result, choices, make = self.result, self.session.paper, self._making()

        def save() -> str:
            sheets = make(load_correction(choices.printer, choices.sheet))
            made, outdated = self.files(result, sheets)
            write_files(folder, made, outdated)
            count = counted(len(sheets), tr("{n} sheet"), tr("{n} sheets"))
            words = tr("Saved {files} in {folder}: {sheets} to print at 100 %.")
            return words.format(files=", ".join(made), folder=folder, sheets=count)

        self.writing.ask(save)

    def _print_asked(self) -> None:
        from app.window.printing import ask_printer, correction_for, send

        title, choices, make = f"{self.what} {self.name.text()}", self.session.paper, self._making()
        asked = ask_printer(self, choices, self._title())
        if asked is None:
            return
        printer, order = asked
        self.state.setText(tr("Printing …"))
        self.writing.ask(lambda: send(order, make(correction_for(choices, order)), title, printer))

    def close_down(self) -> None:
        """Let running work end, and begin no more."""
        self._count_later.stop()
        for work in (self.background, self.writing, self.counting):
            work.wait()
