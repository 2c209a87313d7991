"""The button that puts what a page has into the frame that is worked on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtWidgets import QMenu, QPushButton, QWidget

from app.window.session import Session
from app.window.words import joined, sentence, tr
from geometry.errors import CopewrightError
from geometry.frame import Frame


@dataclass(frozen=True)
class Way:
    """A way into the frame.

    Attributes:
        words: what it is called, such as "onto headstock".
        put: the frame with it in, and the name of its tube there.
        told: what is said afterwards of the frames before and after, and of the tube's name there: more than that it is in.
    """

    words: str
    put: Callable[[Frame], tuple[Frame, str]]
    told: Callable[[Frame, Frame, str], str] = lambda *_: ""


class IntoFrame(QPushButton):
    """Puts it in at a press; where there are several ways, asks which."""

    def __init__(
        self,
        session: Session,
        ways: Callable[[Frame], Sequence[Way]],
        say: Callable[[str], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(tr("Put it into the frame"), parent)
        tip = tr("It becomes a tube of the frame on the page {page}; there it can be undone")
        self.setToolTip(tip.format(page=tr("Frame")))
        self._session, self._ways, self._say = session, ways, say
        self.choose: Callable[[Sequence[Way]], Way | None] = self._choose
        self.clicked.connect(self._put)

    def _choose(self, ways: Sequence[Way]) -> Way | None:
        menu = QMenu(self)
        actions = {menu.addAction(way.words): way for way in ways}
        chosen = menu.exec(self.mapToGlobal(self.rect().bottomLeft()))
        return actions.get(chosen)

    def _put(self) -> None:
        document = self._session.document
        try:
            ways = self._ways(document.frame)
            way = ways[0] if len(ways) == 1 else self.choose(ways)
            if way is None:
                return
            frame, name = way.put(document.frame)
        except CopewrightError as error:
            self._say(sentence(error))
            return
        words = tr("Put {name} into the frame").format(name=name)
        before = document.frame
        if document.do(words, lambda _: frame):
            self._session.tube_asked.emit(name)
            told = [_ends_told(before, frame), way.told(before, frame, name)]
            document.said.emit(" ".join(one for one in told if one))


def _ends_told(before: Frame, after: Frame) -> str:
    """Which tubes that were there are cut otherwise now."""
    ends = {tube.name: tube.ends for tube in before.tubes}
    other = [tube.name for tube in after.tubes if ends.get(tube.name, tube.ends) != tube.ends]
    words = tr(
        "Where it meets a free end both are cut to each other; that is otherwise now: {tubes}."
    )
    return words.format(tubes=joined(other)) if other else ""
