"""A whole frame, solved: all that its papers and numbers are made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from geometry.as_bent_checks import as_bent_findings, as_drawn
from geometry.bend_plan import BendJob, BendResult, solve_bend
from geometry.findings import Finding
from geometry.fitup import Fitted, FittedPart, solve
from geometry.frame import Frame, Units, names_of
from geometry.frame_checks import frame_findings
from geometry.frame_landing import EndLanding, LandingMark, end_landings
from geometry.made_checks import made_findings
from geometry.names import part_name
from geometry.section import RoundTube
from templates_out.title_block import Issue, drawing_number


@dataclass(frozen=True, eq=False)
class FrameResult:
    """A frame and all that follows from it.

    Attributes:
        fitted: its parts with their cuts.
        landings: where the coped ends land, by part and end.
        bends: the bent parts, by name.
        findings: all of them.
    """

    fitted: Fitted
    landings: Mapping[tuple[str, str], EndLanding]
    bends: Mapping[str, BendResult]
    findings: tuple[Finding, ...]

    @property
    def name(self) -> str:
        """The frame's."""
        return self.fitted.frame.name

    @property
    def units(self) -> Units:
        """What the person reads."""
        return self.fitted.frame.units

    def bend_notes(self, part: str) -> tuple[Finding, ...]:
        """What a bent part's sheet notes and its frame does not stop at, by the part's name."""
        bend = self.bends.get(part)
        return tuple(one for one in bend.findings if one.level == "note") if bend else ()

    @property
    def unsolved(self) -> tuple[str, ...]:
        """The ends that could not be cut and the tubes that could not be made, by name."""
        ends = [
            end.where
            for one in self.fitted.parts
            for cut, end in zip(one.cuts, one.part.ends, strict=True)
            if cut is None
        ]
        made = {one.part.tube.name for one in self.fitted.parts}
        return (*ends, *(t.name for t in self.fitted.frame.tubes if t.name not in made))

    def issue(self, part: str) -> Issue:
        """Which drawing a bent part's is, by the part's name."""
        frame = self.fitted.frame
        place, hand = next(
            (place, hand)
            for place, tube in enumerate(frame.tubes, 1)
            for hand in ("", "left", "right")
            if part == part_name(tube.name, hand) and bool(hand) == tube.handed
        )

        def number(hand: str) -> str:
            return drawing_number(frame.drawing, frame.name, place, hand)

        other = {"left": "right", "right": "left"}.get(hand)
        return Issue(frame.drawing, number(hand), frame.name, hand, number(other) if other else "")

    def marks_on(self, part: str) -> list[LandingMark]:
        """What lands on a part, in order along it."""
        marks = [
            mark
            for landing in self.landings.values()
            for mark in landing.marks
            if mark.target.name == part
        ]
        return sorted(marks, key=lambda mark: mark.along)


def solve_frame(frame: Frame) -> FrameResult:
    """Cut, land and bend every part of a frame, and look at it as a careful fabricator would.

    Raises:
        BadFrame: for points that hang on each other in a ring.
    """
    fitted = solve(frame)
    measured = any(tube.as_bent for tube in frame.tubes)
    drawn = solve(as_drawn(frame)) if measured else fitted
    # What the bender is told does not change with what came back.
    bends = {
        one.part.name: solve_bend(bend_job(one, frame))
        for one in drawn.parts
        if one.part.path.radii and isinstance(one.part.section, RoundTube)
    }
    found = [*made_findings(fitted), *frame_findings(fitted)]
    if measured:
        found += as_bent_findings(frame, fitted, drawn)
    built = {one.part.name for one in fitted.parts if one.part.came is not None}
    # A note on what trials would tell stands on each bend sheet.
    found += [
        finding
        for name, bend in bends.items()
        for finding in bend.findings
        # What is bent already, and used so, is no longer to be bent.
        if finding.level != "note" and name not in built
    ]
    if frame.units == "in":
        names = names_of(frame)
        found = [one.in_inches(names) for one in found]
    return FrameResult(fitted, end_landings(fitted), bends, tuple(found))


def bend_job(one: FittedPart, frame: Frame) -> BendJob:
    """A round part as the bender gets it, as long as its long points ask for."""
    part = one.part
    assert isinstance(part.section, RoundTube)  # noqa: S101 - boxes are not bent here
    shaped, also = (cut is None or not cut.square for cut in one.cuts)
    return BendJob(
        part.section,
        part.path,
        part.stock.steel,
        trim=one.beyond,
        name=part.called,
        long_points=True,
        fitted=(shaped, also),
        left_on=part.tube.trim,
        tools=tuple(frame.tools.items()),
        bar_length=part.stock.bar_length,
        least_wall=frame.least_wall,
        inches=frame.units == "in",
    )
