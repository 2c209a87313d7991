"""Whether a returned tube is as long as the bar that it was bent from, and long enough for its cuts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.as_bent import Returned, developed_length
from geometry.findings import Finding
from geometry.fitup import FittedPart
from geometry.lengths import mm
from geometry.said import Said, put_together, said

_SAID_MM = 0.05
"""Less than this is not worth a word."""
_DOUBT_MM = 2.0
"""More that a bar seems to have grown or shrunk wants to be measured again: common practice, no source."""


def open_limit(wall: float) -> float:
    """Most that a fillet-welded joint may stand open, mm: ISO 5817 no. 617, level C, its throat taken as the wall.

    Args:
        wall: of the thinner tube, mm.
    """
    return min(0.5 + 0.2 * wall, 3.0)


@dataclass(frozen=True)
class Bar:
    """The bar that a tube was to be bent from.

    Attributes:
        ends: how far it goes on beyond the path's start and finish, mm.
        spare: how much of that is spare, to be sawn off, mm.
    """

    ends: tuple[float, float]
    spare: tuple[float, float]

    def longer(self, came: Returned) -> list[float | None]:
        """By how much its two ends are longer than the bar was there, mm; None where that was not measured."""
        return [
            None if steel is None else steel - end
            for steel, end in zip(came.steel, self.ends, strict=True)
        ]

    def off_already(self, came: Returned) -> list[float]:
        """How much of the spare bar was sawn off at either end before it was measured, mm."""
        return [
            -by if by is not None and -spare - _SAID_MM <= by < 0.0 else 0.0
            for by, spare in zip(self.longer(came), self.spare, strict=True)
        ]


def bar_of(drawn: FittedPart) -> Bar:
    """The bar of a part as it is drawn."""
    return Bar(drawn.bar_ends, drawn.part.tube.trim)


def end_words(came: Returned, bar: Bar) -> Said:
    """By how much its end straights differ from those of the bar, where they were measured; "" for nothing.

    What is too long there is no fault: it is sawn off.
    """
    words = []
    for number, longer, off in zip(
        (1, len(came.rows) + 1), bar.longer(came), bar.off_already(came), strict=True
    ):
        if longer is None or abs(longer) < _SAID_MM:
            continue
        by = mm(abs(longer), places=1, fixed=True)
        if off:
            words.append(
                said(
                    "{by} of the spare bar at straight {number} is off already",
                    by=by,
                    number=number,
                )
            )
        elif longer > 0:
            words.append(
                said("straight {number} is {by} over, to be sawn off", number=number, by=by)
            )
        else:
            words.append(said("straight {number} is {by} under", number=number, by=by))
    return put_together(", ", words)


def bar_findings(came: Returned, drawn: FittedPart, now: FittedPart) -> Iterator[Finding]:
    """What is to be said of its length.

    Args:
        came: the tube as it came.
        drawn: the part as it is drawn.
        now: the part as it is built in.
    """
    yield from _grown(came, drawn)
    yield from _short(came, now)


def _grown(came: Returned, drawn: FittedPart) -> Iterator[Finding]:
    """A tube both of whose end straights were measured, and which is not as long as its bar."""
    known = bar_of(drawn)
    bar = came.nominal.developed_length + sum(known.ends)
    by = developed_length(came) + sum(known.off_already(came)) - bar
    if None in came.steel or abs(by) < _DOUBT_MM:
        return
    straights = came.path.straights
    open_ones = [
        said(
            "straight {number}, which is taken as {length}",
            number=number, length=mm(straights[number - 1], places=1),
        )
        for number in range(2, len(straights))
        if not came.told("straights", number)
    ]  # fmt: skip
    off = {"by": mm(abs(by), places=1, fixed=True), "bar": mm(bar, places=1)}
    yield Finding(
        "as-bent-bar", "warning", drawn.part.called,
        said("As measured it is {by} longer along its centreline than the bar of {bar} that it was to be bent from.", **off)
        if by > 0
        else said("As measured it is {by} shorter along its centreline than the bar of {bar} that it was to be bent from.", **off),
        said(
            "Measure {straights}, and the straights at both ends again.", straights=put_together(", ", open_ones)
        )
        if open_ones
        else said("Measure the straights again, if the bar was sawn as the list says."),
    )  # fmt: skip


def _short(came: Returned, one: FittedPart) -> Iterator[Finding]:
    """Ends at which there is less steel than the cut needs."""
    for end, cut, steel in zip(one.part.ends, one.cuts, came.steel, strict=True):
        # A little less is a gap that the weld fills.
        if cut is None or steel is None or cut.beyond <= steel + open_limit(one.part.section.wall):
            continue
        yield Finding(
            "as-bent-short", "error", end.where,
            said(
                "The tube ends {by} before the long point of its cut.",
                by=mm(cut.beyond - steel, places=1, fixed=True),
            ),
            said("Move what it sits on, lay the tube otherwise, or have another one bent."),
        )  # fmt: skip
