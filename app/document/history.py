"""A document's history: every frame that was, by the name of the change that made the next one."""

from __future__ import annotations

from dataclasses import dataclass, replace

from geometry.frame import Frame
from geometry.made_checks import with_made

MOST_STEPS = 500
"""So many changes can be undone; a frame is small and shares what did not change."""


@dataclass(frozen=True)
class Step:
    """A change.

    Attributes:
        words: what it is called, such as "Move point knee".
        frame: the frame before it, when it can be undone; after it, when it can be done again.
    """

    words: str
    frame: Frame


@dataclass(frozen=True)
class History:
    """A frame with what was before it and what was undone.

    Attributes:
        frame: as it is now.
        past: changes that can be undone, the last one last.
        future: changes that can be done again, the next one last.
        saved: the frame that is in the file; None for one that is in none.
    """

    frame: Frame
    past: tuple[Step, ...] = ()
    future: tuple[Step, ...] = ()
    saved: Frame | None = None

    @property
    def changed(self) -> bool:
        """There is something that no file has."""
        if self.saved is None:
            return replace(self.frame, units="mm") != Frame()
        return self.frame != self.saved

    @property
    def undo_words(self) -> str:
        """Name of the change that is undone next; "" for none."""
        return self.past[-1].words if self.past else ""

    @property
    def redo_words(self) -> str:
        """Name of the change that is done again next; "" for none."""
        return self.future[-1].words if self.future else ""

    def changed_to(self, frame: Frame, words: str, *, merge: bool = False) -> History:
        """After a change; one that changes nothing leaves no step.

        Args:
            frame: what it leads to.
            words: its name.
            merge: it goes on with the last one of the same name, as a drag does: one step undoes both.
        """
        if frame == self.frame:
            return self
        if merge and self.past and self.past[-1].words == words and not self.future:
            return replace(self, frame=frame)
        past = (*self.past, Step(words, self.frame))[-MOST_STEPS:]
        return replace(self, frame=frame, past=past, future=())

    def undone(self) -> History:
        """Without the last change; itself where there is none."""
        if not self.past:
            return self
        *past, step = self.past
        future = (*self.future, Step(step.words, self.frame))
        return replace(self, frame=step.frame, past=tuple(past), future=future)

    def redone(self) -> History:
        """With the change that was undone last; itself where there is none."""
        if not self.future:
            return self
        *future, step = self.future
        past = (*self.past, Step(step.words, self.frame))
        return replace(self, frame=step.frame, past=past, future=tuple(future))

    def kept(self) -> History:
        """After the frame was saved."""
        return replace(self, saved=self.frame)

    def unkept(self) -> History:
        """After its file was changed or taken away by somebody else: no file has this frame."""
        return replace(self, saved=None)


def opened(frame: Frame) -> History:
    """The history of a frame that was just read from its file.

    A part that is marked as made, in a file that does not say what it was then, is as it would be made now.
    """
    frame = with_made(frame)
    return History(frame, saved=frame)
