"""For which frame a part was made that is marked as made: it is looked for in what the document was before."""

from __future__ import annotations

from app.document.history import History
from geometry.frame import Frame, made_names


def made_for(history: History, part: str) -> tuple[str, Frame]:
    """The frame as it was when a part was marked, or as it was opened; and what the part was called then.

    Args:
        history: of the document; in its frame the part is marked.
        part: the part's name now.
    """
    name, then = part, history.frame
    for step in reversed(history.past):
        earlier = _earlier_name(name, then, step.frame)
        if earlier not in step.frame.progress:
            break
        name, then = earlier, step.frame
    return name, then


def _earlier_name(part: str, now: Frame, before: Frame) -> str:
    """What a part was called before a change that may have been that of its tube's name."""
    if part in before.progress:
        return part
    names = [tube.name for tube in now.tubes]
    was = [tube.name for tube in before.tubes]
    if len(names) != len(was):
        return part
    for tube, other in zip(now.tubes, before.tubes, strict=True):
        renamed = tube.name not in was and other.name not in names
        if renamed and part in made_names(tube) and tube.handed == other.handed:
            return made_names(other)[made_names(tube).index(part)]
    return part
