"""What concerns every page: the unit, what is printed on, and the window as it was left."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.document.settings import Kept, PaperChoices, WindowState, keep_window, load_window
from app.window.words import reason, speak_inches, tr
from geometry.errors import CopewrightError

if TYPE_CHECKING:
    from app.window.document import FrameDocument
    from templates_out.correction import Correction
    from templates_out.sheet import Sheet

_KEEP_AFTER_MS = 1000


@dataclass(frozen=True, eq=False)
class Papers:
    """What a page has on paper.

    Attributes:
        title: of the job in its PDF, such as "joint down tube".
        said: the title in the person's language.
        make: makes its sheets, for a printer's correction.
        files: all its files, from its sheets.
    """

    title: str
    said: str
    make: Callable[[Correction], list[Sheet]]
    files: Callable[[list[Sheet]], dict[str, bytes]]


def _not_kept(error: Exception) -> str:
    return tr("{problem}. Until then nothing is kept for next time.").format(problem=reason(error))


class Session(QObject):
    """The one place where the window's state lives; pages change it and listen.

    It is kept for next time a second after each change, so that a crash loses no more.

    Signals:
        inches_changed: lengths are shown in inches, or no longer.
        paper_changed: another sheet, printer or paper thickness.
        document_made: the frame that is worked on is there; it is loaded when it is first asked for.
        papers_changed: the page of this name has other papers than before.
        page_asked: the page of this name is wanted.
        tube_asked: the page Frame is wanted, with the tube of this name.
        alone_asked: the page of this name is wanted, with this (a name, and a joint or a bent tube) on it.
        said: words for the window's foot.
    """

    inches_changed = Signal(bool)
    paper_changed = Signal()
    document_made = Signal()
    papers_changed = Signal(str)
    page_asked = Signal(str)
    tube_asked = Signal(str)
    alone_asked = Signal(str, str, object)
    said = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.problem = ""
        self._changes: dict[str, Any] = {}
        self._pages: dict[str, dict[str, Kept]] = {}
        try:
            self.state = load_window()
        except CopewrightError as error:
            self.state = WindowState()
            self.problem = _not_kept(error)
        speak_inches(self.state.inches)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_KEEP_AFTER_MS)
        self._timer.timeout.connect(self.keep_now)
        self._document: FrameDocument | None = None
        self.papers: dict[str, Papers] = {}
        self.subject = "Frame"

    @property
    def document(self) -> FrameDocument:
        """The frame that is worked on; made when it is first asked for."""
        if self._document is None:
            from app.window.document import FrameDocument

            self._document = FrameDocument(self, self)
            self.document_made.emit()
        return self._document

    @property
    def inches(self) -> bool:
        """Lengths are shown in inches."""
        return self.state.inches

    @property
    def paper(self) -> PaperChoices:
        """What is printed on."""
        return self.state.paper

    @property
    def has_document(self) -> bool:
        """A frame was asked for."""
        return self._document is not None

    @property
    def has_tubes(self) -> bool:
        """A frame is worked on that has something in it."""
        return self._document is not None and bool(self._document.frame.tubes)

    def put_papers(self, page: str, papers: Papers) -> None:
        """A page has these papers now."""
        self.papers[page] = papers
        self.papers_changed.emit(page)

    def drop_papers(self, page: str) -> None:
        """A page has no papers now."""
        if self.papers.pop(page, None) is not None:
            self.papers_changed.emit(page)

    def change(self, **changes: Any) -> None:
        """Change parts of the state, tell who listens, and keep it soon."""
        before, self.state = self.state, replace(self.state, **changes)
        if self.state == before:
            return
        self._changes.update(changes)
        if before.inches != self.state.inches:
            speak_inches(self.state.inches)
            self.inches_changed.emit(self.state.inches)
        if before.paper != self.state.paper:
            self.paper_changed.emit()
        self._timer.start()

    def keep_fields(self, page: str, fields: dict[str, Kept]) -> None:
        """Remember what stands in a page's fields."""
        self.state = replace(self.state, pages={**self.state.pages, page: fields})
        self._pages[page] = fields
        self._timer.start()

    def keep_now(self) -> None:
        """Keep the state for next time; settings that cannot be kept lose nothing on screen."""
        self._timer.stop()
        if not self._changes and not self._pages:
            return
        try:
            keep_window(self._changes, self._pages)
        except CopewrightError as error:
            problem = _not_kept(error)
            if problem != self.problem:
                logging.getLogger(__name__).warning("settings not kept: %s", error)
                self.said.emit(problem)
            self.problem = problem
            return
        self._changes, self._pages = {}, {}
        if self.problem:
            self.problem = ""
            self.said.emit("")
