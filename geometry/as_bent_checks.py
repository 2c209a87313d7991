"""A returned tube against its drawing: where it is off, and whether what is cut to the drawing still fits it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from geometry.as_bent import AsBent, Returned, looks_mirrored, returned
from geometry.as_bent_bar import bar_findings, bar_of, open_limit
from geometry.as_bent_words import SAID_MM, by_mm, off_words, seat_line
from geometry.bend_names import bend_words
from geometry.end_cut import EndCut
from geometry.errors import CopewrightError
from geometry.findings import Finding
from geometry.fitup import Fitted, FittedPart, solve
from geometry.frame import END_WORDS, Frame
from geometry.names import part_name
from geometry.said import Said, put_together, said, sentence
from geometry.title import ToleranceClass

_DOUBT_MM = 2.0
"""Measurements that leave more than this unexplained want to be made again: common practice, no source."""
_LENGTH_MM = 1.0
_MOST_STEP_MM = 3.0
"""Offset of two tubes welded end to end: half the wall, at most this; ISO 5817 no. 507, level C, from memory."""
_ROUND = 721
_GRAZING = 0.03
"""Share of the turn beside what meets nothing that only just meets something."""
_PAST = 0.1
"""More of the turn than this that passes by what it was to meet is no joint: common practice, no source."""


def as_drawn(frame: Frame) -> Frame:
    """The frame with every tube as it was drawn."""
    return replace(frame, tubes=tuple(replace(tube, as_bent=()) for tube in frame.tubes))


def built_in(frame: Frame, tube: str, hand: str, use: bool) -> Frame:
    """The frame with one tube that was measured built in as it is, or as drawn; the others as they are to be built."""
    return replace(
        frame,
        tubes=tuple(
            replace(
                one,
                as_bent=tuple(
                    replace(came, use=use) if came.hand == hand else came for came in one.as_bent
                ),
            )
            if one.name == tube
            else one
            for one in frame.tubes
        ),
    )


@dataclass(frozen=True)
class Seat:
    """How an end that is cut to the drawing sits on the real steel.

    Attributes:
        where: the end.
        gap: most that it stands open, mm.
        excess: most that it is in the way and has to be filed off, mm.
        limit: most that it may stand open, mm.
        step: of a mitre, how far the two tubes' middles pass beside each other, mm.
        step_limit: most that they may, mm.
    """

    where: str
    gap: float
    excess: float
    limit: float
    step: float = 0.0
    step_limit: float = 0.0

    @property
    def seats(self) -> bool:
        """Whether it can be welded as it is."""
        return self.gap + self.excess <= self.limit and self.step <= self.step_limit


def seats(drawn: Fitted, real: Fitted, name: str) -> list[Seat]:
    """How ends that are cut to the drawing sit where one part is not as drawn: its own, those onto it, those it moved.

    Args:
        drawn: the frame with the part as drawn.
        real: the same with the part as it came.
        name: the part's.
    """
    now = {one.part.name: one for one in real.parts}
    was = {one.part.name: one for one in drawn.parts}

    def misfit(one: FittedPart, index: int) -> tuple[float, float]:
        other, cut = now.get(one.part.name), one.cuts[index]
        real_cut = other.cuts[index] if other is not None else None
        if cut is None or other is None or real_cut is None:
            return np.inf, np.inf
        return _apart(cut, real_cut, 0.0 if one.part.name == name else _moved(one, other)[index])

    found = []
    for one in drawn.parts:
        itself, other = one.part.name == name, now.get(one.part.name)
        moved = (0.0, 0.0) if itself or other is None else _moved(one, other)
        for index, cut in enumerate(one.cuts):
            touches = itself or (cut is not None and name in cut.onto)
            if cut is None or not (touches or abs(moved[index]) > SAID_MM):
                continue
            met = [was[target] for target in cut.onto if target in was]
            limit = open_limit(min(each.part.section.wall for each in (one, *met)))
            gap, excess = misfit(one, index)
            if cut.kind != "mitre" or not met:
                found.append(Seat(cut.at.where, gap, excess, limit))
                continue
            # A mitred joint is off by what both of its ends are.
            its = _partner(cut, met[0])
            more, in_way = misfit(met[0], its)
            step = _beside(other, index, now.get(met[0].part.name), its)
            most = min(0.5 * one.part.section.wall, _MOST_STEP_MM)
            found.append(Seat(cut.at.where, gap + more, excess + in_way, limit, step, most))
    return found


def seats_on(frame: Frame, tube: str, hand: str) -> list[Seat]:
    """How ends that are cut to the drawing sit on a tube that was measured, whether it is built in so or not.

    Args:
        frame: with what was measured; the other tubes as they are to be built.
        tube: the tube's name.
        hand: of a handed tube, "left" or "right"; else "".
    """
    drawn, real = (solve(built_in(frame, tube, hand, use)) for use in (False, True))
    return seats(drawn, real, part_name(tube, hand))


def _partner(cut: EndCut, other: FittedPart) -> int:
    """Which end of another part a mitred end is mitred with: 0 its start, 1 its finish."""
    away = [float(np.linalg.norm(end.point - cut.at.point)) for end in other.part.ends]
    return int(np.argmin(away))


def _beside(one: FittedPart | None, index: int, other: FittedPart | None, its: int) -> float:
    """How far a mitred end's middle passes beside its partner's, mm."""
    if one is None or other is None:
        return float("inf")
    end, partner = one.part.ends[index], other.part.ends[its]
    away = partner.point - end.point
    return float(np.linalg.norm(away - (away @ end.axis) * end.axis))


def _moved(drawn: FittedPart, real: FittedPart) -> tuple[float, float]:
    """How much farther out along its axis each end of a part is wanted, mm, than it is drawn.

    A part that is fitted at both ends slides until both are off alike.
    """
    start, finish = (
        float((now.point - was.point) @ was.axis)
        for was, now in zip(drawn.part.ends, real.part.ends, strict=True)
    )
    fitted = [cut is not None and cut.kind != "square" for cut in drawn.cuts]
    if all(fitted):
        return (start + finish) / 2, (start + finish) / 2
    return start, finish


def _apart(drawn: EndCut, real: EndCut, moved: float) -> tuple[float, float]:
    """How far the steel ends before the line that is wanted, and beyond it, at most, mm.

    Where a tube meets nothing its line goes on into the open, so that share of the turn does not count.
    """
    places = np.linspace(0.0, drawn.round_mm[-1], _ROUND)
    have, want = (np.interp(places, cut.round_mm, cut.heights + cut.shift) for cut in (drawn, real))
    away = want - have + moved
    beside = max(drawn.missing, real.missing)
    counts = 1.0 - (beside + _GRAZING if beside else 0.0)
    if counts <= 0.0 or real.missing > drawn.missing + _PAST:
        # It passes by, or more of it than was meant to.
        return np.inf, np.inf
    gap, excess = np.quantile(away, counts), -np.quantile(away, 1.0 - counts)
    return max(float(gap), 0.0), max(float(excess), 0.0)


def as_bent_findings(frame: Frame, fitted: Fitted, drawn: Fitted) -> Iterator[Finding]:
    """What is to be said of the tubes that came back.

    Args:
        frame: with what was measured.
        fitted: the frame as it is to be built.
        drawn: the frame as drawn.
    """
    now = {one.part.name: one for one in fitted.parts}
    for one in drawn.parts:
        part = one.part
        for measured in frame.tube(part.tube.name).as_bent:
            if measured.hand != part.hand:
                continue
            try:
                came = returned(part.path, measured)
            except CopewrightError as error:
                if measured.use:
                    continue
                yield Finding(
                    "as-bent-wrong", "error", part.called, sentence(error.words),
                    said("Change what was measured; until then it counts as drawn."),
                )  # fmt: skip
                continue
            fits = seats_on(frame, part.tube.name, part.hand)
            length = list(bar_findings(came, one, now.get(part.name, one)))
            short = any(each.code == "as-bent-short" for each in length)
            yield _verdict(came, one, fits, measured, frame.drawing.tolerance, short=short)
            if looks_mirrored(part.path, measured):
                yield Finding(
                    "as-bent-hand", "warning", part.called, said("It measures like the opposite hand."),
                    said("Look whether left and right were swapped before you use it or send it back."),
                )  # fmt: skip
            yield from _doubts(came, part.called)
            yield from length


def _verdict(
    came: Returned,
    one: FittedPart,
    fits: list[Seat],
    measured: AsBent,
    chosen: ToleranceClass,
    *,
    short: bool,
) -> Finding:
    """Where the tube is off, and what that does to its joints."""
    where, what = one.part.called, _how_it_is(came, one, chosen)
    if measured.use:
        return Finding(
            "as-bent", "warning" if came.spread else "note", where, what,
            said(
                "It is used as it is: every cut on it and onto it is made for it. Measure the angles one by one first: where "
                "the error is, is not known."
            )
            if came.spread
            else said("It is used as it is: every cut on it and onto it is made for it."),
        )  # fmt: skip
    off = sorted(
        (one for one in fits if not one.seats), key=lambda one: one.limit - one.gap - one.excess
    )
    if not off:
        return Finding("as-bent", "note", where, what, _still_fits(came, short=short))
    would = said(
        "Of {count} ends on it, onto it or moved by it, {off} that are cut to the drawing would not seat (ISO 5817 level C): "
        "{ends}.",
        count=len(fits), off=len(off), ends=put_together("; ", map(seat_line, off)),
    )  # fmt: skip
    return Finding(
        "as-bent", "warning", where, put_together(" ", (what, would)),
        said("Measure the angles one by one: where the error is, is not known.")
        if came.spread
        else said("Use it as bent, and every cut is made for it, or have it corrected and measure it again."),
    )  # fmt: skip


def _how_it_is(came: Returned, one: FittedPart, chosen: ToleranceClass) -> Said:
    """What of the tube is not as drawn, and how far from there its points lie."""
    off = off_words(came, bar_of(one), chosen)
    if not off:
        return said("As bent, it is as drawn.")
    bends = map(bend_words, range(1, len(came.rows) + 1))
    points = [END_WORDS["start"], *bends, END_WORDS["finish"]]
    places = [
        put_together(" ", (point, by_mm(by))) for point, by in zip(points, came.off, strict=True)
    ]
    return said(
        "As bent, {off}; its points lie so far from where they are drawn: {places}.",
        off=off, places=put_together(", ", places),
    )  # fmt: skip


def _still_fits(came: Returned, *, short: bool) -> Said:
    """What to do where no joint stands too far open."""
    if short:
        return said(
            "It is too short for its cuts: what stands beside this as an error comes first."
        )
    if any(abs(by) > _DOUBT_MM for by in came.left_over):
        return said("Measure it again before you trust this: the figures do not go together.")
    return said(
        "What is cut to the drawing still fits it: no joint stands open by more than ISO 5817 level C allows."
    )


def _doubts(came: Returned, where: str) -> Iterator[Finding]:
    """Measurements that do not go together."""
    figures = (said("its ends' distance"), said("its height"))
    for figure, by in zip(figures, came.left_over, strict=True):
        if abs(by) > _DOUBT_MM:
            off = {"figure": figure, "by": by_mm(by)}
            yield Finding(
                "as-bent-doubt", "warning", where,
                said("The angles, straights and radii give {figure} {by} more than was measured.", **off)
                if by > 0
                else said("The angles, straights and radii give {figure} {by} less than was measured.", **off),
                said("Measure it again, the bends' angles first."),
            )  # fmt: skip
    by = came.longer
    if abs(by) > _LENGTH_MM:
        yield Finding(
            "as-bent-length", "note", where,
            said(
                "As measured its last bend begins {by} farther from its first one, along its centreline, than it was to be "
                "marked on the bar.",
                by=by_mm(by),
            )
            if by > 0
            else said(
                "As measured its last bend begins {by} nearer to its first one, along its centreline, than it was to be "
                "marked on the bar.",
                by=by_mm(by),
            ),
            said("Measure the straights between the bends, the angles and the radii again."),
        )  # fmt: skip
