"""An end or a bent tube of a frame, taken to the page of one joint or one bend."""

from __future__ import annotations

from app.window.session import Session
from geometry.errors import BadFrame
from geometry.exchange import joint_of
from geometry.frame import END_NAMES
from templates_out.frame_result import FrameResult


def take_alone(session: Session, result: FrameResult | None, part: str, what: str) -> None:
    """Show it there.

    Args:
        session: the window's.
        result: the frame.
        part: the part's name.
        what: "start", "finish" or "bend".

    Raises:
        BadFrame: when it cannot stand alone.
    """
    parts = result.fitted.parts if result else ()
    one = next((one for one in parts if one.part.name == part), None)
    if one is None:
        text = f"{part} cannot be made yet"
        raise BadFrame(text)
    if what == "bend":
        bent = (one.part.section, one.part.path, one.part.stock.material)
        session.alone_asked.emit("Bend", one.part.tube.name, bent)
        return
    cut = one.cuts[END_NAMES.index(what)]
    if cut is None:
        text = f"the {what} of {part} cannot be cut yet"
        raise BadFrame(text)
    session.alone_asked.emit("Joint", f"{part} {what}", joint_of(cut, parts))
