"""Bars as they are sold: how many of them pieces take, and which piece is too long for one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from geometry.findings import Finding
from geometry.lengths import mm
from geometry.said import said

SAW_MM = 3.0
"""What each saw cut takes of a bar: an abrasive or a cold saw's blade and a little (common practice, no source)."""
DRESSED_MM = 5.0
"""How much longer than its long point a piece is sawn whose end is cut to fit (common practice, no source)."""
_SAME_MM = 1e-9


def bars_for(pieces: Iterable[float], bar: float, saw: float = SAW_MM) -> int:
    """How many bars pieces take, each from the first bar that has room for it, the longest first.

    No way of sawing takes fewer than the least there can be; this one takes at most 11/9 of that and 6/9 of a bar more
    (Dósa 2007, "The tight bound of first fit decreasing bin-packing algorithm"), in a frame's few pieces nearly always as few.

    Args:
        pieces: as they are sawn, mm; one that is longer than a bar takes as many bars as it is long.
        bar: as sold, mm.
        saw: what each cut takes, mm.
    """
    left, whole = list[float](), 0
    for piece in sorted(pieces, reverse=True):
        bars, rest = divmod(piece, bar) if piece > bar + _SAME_MM else (0.0, piece)
        whole += int(bars)
        if rest <= _SAME_MM:
            continue
        # What is left needs no cut where the piece just takes it.
        found = next((at for at, room in enumerate(left) if rest <= room + _SAME_MM), None)
        if found is None:
            found = len(left)
            left.append(bar)
        left[found] -= rest + saw
    return whole + len(left)


def too_long(where: str, piece: float, bar: float) -> Iterator[Finding]:
    """The finding of a piece that is longer than a bar, both mm."""
    if piece > bar + _SAME_MM:
        yield Finding(
            "longer-than-bar", "error", where,
            said("it takes {whole}, {more} more than a bar has.", whole=mm(piece), more=mm(piece - bar)),
            said("Buy a longer bar, or make the tube of two with a joint where it carries least."),
        )  # fmt: skip
