"""An end or a bent tube of a frame, taken to the page of one joint or one bend."""

from __future__ import annotations

from dataclasses import dataclass

from app.window.session import Session
from app.window.words import joined, tr
from geometry.bend_plan import BendResult
from geometry.errors import BadFrame
from geometry.exchange import joint_of
from geometry.frame import END_NAMES, Frame, Tube
from geometry.path import Path
from geometry.places import Places
from geometry.section import RoundTube
from geometry.springback import Trial
from templates_out.frame_result import FrameResult


@dataclass(frozen=True)
class BentTube:
    """A bent tube of a frame, as the page of one bend takes it.

    Attributes:
        tube: its section.
        path: its centreline.
        material: of what it is made.
        trims: what its bar has beyond the path, at the start and at the finish, mm.
        trials: those of the tool that bends it all.
        reference: from that tool's mark to where the bend starts, mm.
        former: that tool's radius, mm; 0 where there is none.
    """

    tube: RoundTube
    path: Path
    material: str
    trims: tuple[float, float]
    trials: tuple[Trial, ...] = ()
    reference: float = 0.0
    former: float = 0.0


_NAMES = {"start": tr("{part} start"), "finish": tr("{part} finish")}
_NOT_CUT = {
    "start": tr("the start of {part} cannot be cut yet"),
    "finish": tr("the finish of {part} cannot be cut yet"),
}

_NO_COPE = tr("It is no cope of a round tube, so it is no joint on its own")
_NOT_ROUND = tr(
    "It sits on {tubes}, which is not straight and round; a joint on its own needs that"
)
_ON_SEVERAL = tr("It sits on {tubes}; a joint on its own is with one tube")


def _tool_of(
    bend: BendResult | None, section: RoundTube, material: str
) -> tuple[tuple[Trial, ...], float, float]:
    """The trial bends, the reference and the radius of the tool that makes all of a tube's bends; none where there are several."""
    tools = {found[0]: found[1] for found in bend.tools if found} if bend else {}
    if bend is None or len(tools) != 1 or None in bend.tools:
        return (), 0.0, 0.0
    (tool,) = tools.values()
    return tool.trials_for(section, material), tool.reference, tool.radius


def why_not_alone(
    frame: Frame, tube: Tube, result: FrameResult | None, part: str
) -> dict[str, str]:
    """Why the ends of a part are no joints on their own, by the end's name; "" for one that is, as far as is known yet.

    Args:
        frame: as it is now.
        tube: a tube of it.
        result: of the frame, or of an earlier one.
        part: one that is made of the tube.
    """
    parts = result.fitted.parts if result is not None and result.fitted.frame == frame else ()
    cuts = next((one.cuts for one in parts if one.part.name == part), (None, None))
    whys = {}
    for name, end, cut in zip(END_NAMES, tube.ends, cuts, strict=True):
        why = ""
        if end.cut != "cope" or not isinstance(frame.stock[tube.stock].section, RoundTube):
            why = _NO_COPE
        elif cut is not None:
            try:
                joint_of(cut, parts)
            except BadFrame:
                words = (_NO_COPE, _NOT_ROUND, _ON_SEVERAL)[min(len(cut.onto), 2)]
                why = words.format(tubes=joined(cut.onto))
        whys[name] = why
    return whys


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
    frame = session.document.frame
    if result is None or result.fitted.frame != frame:
        raise BadFrame(tr("the frame is still being cut; press it once more"))
    parts = result.fitted.parts
    one = next((one for one in parts if one.part.name == part), None)
    if one is None:
        raise BadFrame(tr("{part} cannot be made yet").format(part=part))
    if what == "bend":
        bend = result.bends.get(part)
        trims = (0.0, 0.0)
        if bend is not None:
            start, finish = (
                by + left for by, left in zip(bend.job.trim, bend.job.left_on, strict=True)
            )
            trims = start, finish
        # As it is entered and drawn: neither its other hand's, nor what came from the bender.
        tube, places = one.part.tube, Places(frame)
        path = Path(tuple(places.point(point) for point in tube.path), tube.radii)
        material, section = one.part.stock.material, one.part.section
        assert isinstance(section, RoundTube)  # noqa: S101 - a box is not bent
        bent = BentTube(section, path, material, trims, *_tool_of(bend, section, material))
        session.alone_asked.emit("Bend", one.part.tube.name, bent)
        return
    cut = one.cuts[END_NAMES.index(what)]
    if cut is None:
        raise BadFrame(_NOT_CUT[what].format(part=part))
    session.alone_asked.emit("Joint", _NAMES[what].format(part=part), joint_of(cut, parts))
