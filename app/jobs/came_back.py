"""A tube that came back from the bender: what it measures, in the frame, and what that means."""

from __future__ import annotations

from dataclasses import dataclass, replace

from geometry.as_bent import HOLDS, AsBent, Hold, Returned, ends_apart, looks_mirrored, returned
from geometry.as_bent_bar import Bar
from geometry.as_bent_checks import as_drawn, seats_on
from geometry.as_bent_words import deviation_words, off_words, seat_line
from geometry.bend_plan import BendResult
from geometry.errors import BadPath, BadText
from geometry.findings import Finding
from geometry.fitup import solve
from geometry.frame import Frame, Tube
from geometry.names import part_name
from geometry.said import said
from templates_out.frame_result import solve_frame


@dataclass(frozen=True, eq=False)
class CameBack:
    """What measurements of one part mean.

    Attributes:
        part: the part's name.
        frame: with them in it.
        findings: those of the part, and those that there are not with the part as it is drawn.
        better: how it would be laid best, and how many would not seat then; None where that is no better.
        off: what of the part is not as drawn; "" for nothing.
        classed: some of that is judged by the drawing's class.
        apart: how far the middles of its bar's ends are apart as drawn, and as it is, mm.
        ends: how many ends that are cut to the drawing sit on it or were moved by it; and of those that would not seat
            each with how far it is off, in words.
    """

    part: str
    frame: Frame
    findings: tuple[Finding, ...]
    better: tuple[Hold, int] | None = None
    off: str = ""
    classed: bool = False
    apart: tuple[float, float] = (0.0, 0.0)
    ends: tuple[int, tuple[str, ...]] = (0, ())

    @property
    def unseated(self) -> int:
        """How many ends that are cut to the drawing would not seat, as the part is laid."""
        return len(self.ends[1])


def measured_of(tube: Tube, hand: str) -> AsBent | None:
    """What a tube's hand measures; None where it was not measured."""
    return next((one for one in tube.as_bent if one.hand == hand), None)


def with_measured(frame: Frame, tube: Tube, hand: str, measured: AsBent | None) -> Frame:
    """The frame with one tube's measurements in place of those of the same hand; None takes them out."""
    others = tuple(one for one in tube.as_bent if one.hand != hand)
    changed = (*others, measured) if measured is not None else others
    return replace(
        frame,
        tubes=tuple(
            replace(one, as_bent=changed) if one.name == tube.name else one for one in frame.tubes
        ),
    )


def bend_as_drawn(frame: Frame, part: str) -> BendResult | None:
    """A bent part as it is drawn, whatever came back; None where it cannot be bent."""
    return solve_frame(as_drawn(frame)).bends.get(part)


def between_bar_ends(frame: Frame, part: str, measured: AsBent) -> AsBent:
    """With where the ends stand that a tape is held to now: those of the bar as drawn."""
    bend = bend_as_drawn(frame, part)
    start, finish = bend.job.bar_ends if bend else (0.0, 0.0)
    return replace(measured, beyond=(round(start, 3), round(finish, 3)))


def judged(frame: Frame, tube: Tube, hand: str, measured: AsBent | None) -> CameBack:
    """What the measurements mean; None for the part as it is drawn.

    Raises:
        BadPath: for measurements of another tube, or of the other hand.
        BadText: where the frame cannot be built with the tube as it is.
    """
    part = part_name(tube.name, hand)
    came = _came(frame, tube, part, measured) if measured is not None else None
    now = with_measured(frame, tube, hand, measured)
    plain = with_measured(frame, tube, hand, None)
    before = {(f.code, f.where) for f in solve_frame(plain).findings}
    own = tuple(
        f
        for f in solve_frame(now).findings
        if (f.code.startswith("as-bent") and f.speaks_of([part]))
        or (f.level != "note" and (f.code, f.where) not in before)
    )
    if measured is None:
        return CameBack(part, now, own)

    def unseated(hold: Hold) -> tuple[int, tuple[str, ...]]:
        laid = with_measured(frame, tube, hand, replace(measured, hold=hold))
        fits = seats_on(laid, tube.name, hand)
        return len(fits), tuple(seat_line(one) for one in fits if not one.seats)

    found = {hold: unseated(hold) for hold in HOLDS}
    ends = found[measured.hold]
    least, hold = min((len(bad), hold) for hold, (_, bad) in found.items())
    better = (hold, least) if least < len(ends[1]) else None
    if came is None:
        return CameBack(part, now, own, better, ends=ends)
    bend = bend_as_drawn(frame, part)
    bar_ends = bend.job.bar_ends if bend is not None else (0.0, 0.0)
    off = off_words(came, Bar(bar_ends, tube.trim), frame.drawing.tolerance)
    drawn = ends_apart(returned(came.nominal, AsBent(hand)), bar_ends)
    apart = drawn, ends_apart(came, bar_ends)
    classed = bool(deviation_words(came, frame.drawing.tolerance))
    return CameBack(part, now, own, better, off, classed, apart, ends)


def _came(frame: Frame, tube: Tube, part: str, measured: AsBent) -> Returned | None:
    """The part as it came; None where it cannot be made as it is drawn.

    Raises:
        BadPath: for measurements of another tube, before they are kept.
    """
    drawn = {one.part.name: one.part.path for one in solve(as_drawn(frame)).parts}
    if part not in drawn:
        return None
    try:
        came = returned(drawn[part], measured)
    except BadPath as error:
        if looks_mirrored(drawn[part], measured):
            text = said(
                "{part} measures like the opposite hand: look whether left and right were swapped", part=part
            )  # fmt: skip
            raise BadPath(text) from error
        raise
    used = solve(with_measured(frame, tube, measured.hand, replace(measured, use=True)))
    if part not in {one.part.name for one in used.parts}:
        wrong = next(f for f in used.findings if f.code == "cannot-be-made")
        text = said("{part} cannot be built in as it is: {why}", part=part, why=wrong.what)
        raise BadText(text)
    return came
