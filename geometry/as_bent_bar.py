"""Whether a returned tube is as long as the bar that it was bent from, and long enough for its cuts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.as_bent import Returned, developed_length
from geometry.findings import Finding
from geometry.fitup import FittedPart
from geometry.lengths import format_mm

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


def end_words(came: Returned, bar: Bar) -> str:
    """By how much its end straights differ from those of the bar, where they were measured; "" for nothing.

    What is too long there is no fault: it is sawn off.
    """
    words = []
    for number, longer, off in zip(
        (1, len(came.rows) + 1), bar.longer(came), bar.off_already(came), strict=True
    ):
        if longer is None or abs(longer) < _SAID_MM:
            continue
        if off:
            words.append(f"{off:.1f} mm of the spare bar at straight {number} is off already")
            continue
        way = "over, to be sawn off" if longer > 0 else "under"
        words.append(f"straight {number} is {abs(longer):.1f} mm {way}")
    return ", ".join(words)


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
        f"straight {number}, which is taken as {format_mm(straights[number - 1], 1)} mm"
        for number in range(2, len(straights))
        if not came.told("straights", number)
    ]
    yield Finding(
        "as-bent-bar", "warning", drawn.part.name,
        f"As measured it is {abs(by):.1f} mm {'longer' if by > 0 else 'shorter'} along its centreline than the bar of "
        f"{format_mm(bar, 1)} mm that it was to be bent from.",
        f"Measure {', '.join(open_ones)}, and the straights at both ends again."
        if open_ones
        else "Measure the straights again, if the bar was sawn as the list says.",
    )  # fmt: skip


def _short(came: Returned, one: FittedPart) -> Iterator[Finding]:
    """Ends at which there is less steel than the cut needs."""
    for end, cut, steel in zip(("start", "finish"), one.cuts, came.steel, strict=True):
        # A little less is a gap that the weld fills.
        if cut is None or steel is None or cut.beyond <= steel + open_limit(one.part.section.wall):
            continue
        yield Finding(
            "as-bent-short", "error", f"{one.part.name}, {end}",
            f"The tube ends {cut.beyond - steel:.1f} mm before the long point of its cut.",
            "Move what it sits on, lay the tube otherwise, or have another one bent.",
        )  # fmt: skip
