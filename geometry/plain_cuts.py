"""Ends that sit on one straight round tube all round, as most do: their cuts in closed form, many at once.

One by one, numpy's calls would cost more than the numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from geometry.arrays import Bools, Floats
from geometry.end_cut import SAME_MM, EndCut, plain_cut, stopped_before
from geometry.end_lines import Target
from geometry.errors import CopewrightError
from geometry.joint import EASY_ANGLE_DEG
from geometry.near import TOUCH_MM, Near
from geometry.parts import PartEnd
from geometry.sampling import COS, MERGE_RAD, PHI, SIN, even_steps
from geometry.section import RoundTube
from geometry.setting import Settings, settings
from geometry.surface import first_met, slopes
from geometry.targets import lone_target
from geometry.vectors import dots

_COARSE = 4
_NEWTON_STEPS = 5
_SETTLED_RAD = 1e-9
_BESIDE_MM = 0.2
"""A vertex so far below the highest may stand beside a place that is higher."""
_CLEAR = 1 - 1e-9
"""Of the target's radius: a tube whose outside reaches farther has lines that only touch it, and a kink there."""


def lone_cuts(asked: Sequence[tuple[PartEnd, Near]]) -> list[EndCut | None]:
    """The cuts of ends that sit on one straight round tube all round; None for one where it may be otherwise.

    Args:
        asked: ends, and what is near each.
    """
    lone = [lone_target(end, near) for end, near in asked]
    some = [number for number, found in enumerate(lone) if found is not None]
    ends = [asked[number][0] for number in some]
    targets = [found[0] for found in lone if found is not None]
    cuts: list[EndCut | None] = [None] * len(asked)
    for number, cut, end, target in zip(
        some, plain_cuts(ends, targets), ends, targets, strict=True
    ):
        made = cut or _one(end, target)
        found = lone[number]
        if made is None or made.missing > 0.0 or found is None:
            continue
        above = made.shift - end.end.extra
        first, last = above + made.short_point, above + made.long_point
        if first > TOUCH_MM or last < -end.front:
            continue
        if not stopped_before(made, [piece for low, piece in found[1] if low <= last]):
            cuts[number] = made
    return cuts


def _one(end: PartEnd, target: Target) -> EndCut | None:
    try:
        return plain_cut(end, target)
    except CopewrightError:
        # The nearest tube is not what the end meets, or not only.
        return None


def plain_cuts(ends: Sequence[PartEnd], targets: Sequence[Target]) -> list[EndCut | None]:
    """The cuts of ends as ``plain_cut`` has them, but for where their vertices are.

    Args:
        ends: the ends.
        targets: what each sits on.

    Returns:
        A cut for each; None where it is not as simple as most: not filed, not a round tube on a straight round one, at less
        than ``EASY_ANGLE_DEG``, with a line that only touches the target or passes beside it, not on its length, or
        with more vertices than even steps have.
    """
    if not ends:
        return []
    cuts: list[EndCut | None] = [None] * len(ends)
    seen, rho, radii = settings(ends, targets), _radii(ends), _straights(targets)
    filed, gaps = np.array([(end.end.fit == "filed", end.end.root_gap) for end in ends]).T
    simple = (filed > 0) & ~seen.run_along & (seen.angles_deg >= EASY_ANGLE_DEG)
    # All of its lines meet the target itself, not only the gap round it.
    simple &= np.abs(seen.offsets) + rho < (radii - gaps) * _CLEAR
    some = np.flatnonzero(simple)
    if some.size:
        chosen = some.tolist()
        made = _smooth(
            [ends[number] for number in chosen],
            [targets[number] for number in chosen],
            seen.rows(some),
            rho[some],
            radii[some],
        )
        for number, cut in zip(chosen, made, strict=True):
            cuts[number] = cut
    return cuts


def _radii(ends: Sequence[PartEnd]) -> Floats:
    """Of the ends' tubes (k,), mm; infinite for what is not round."""
    sections = [end.part.section for end in ends]
    return np.array([one.radius if isinstance(one, RoundTube) else math.inf for one in sections])


def _straights(targets: Sequence[Target]) -> Floats:
    """Of the straight pieces that are sat on (k,), mm; 0 where there is none."""
    return np.array([one.straight.radius if one.straight is not None else 0.0 for one in targets])


def _smooth(
    ends: Sequence[PartEnd], targets: Sequence[Target], seen: Settings, rho: Floats, radii: Floats
) -> list[EndCut | None]:
    """Of filed ends of round tubes (k,) whose lines all meet straight round pieces."""
    turn = np.radians(seen.angles_deg)
    columns = np.array((radii, np.cos(turn), np.sin(turn), seen.offsets, rho))
    thirds, datums = (
        dots(seen.joint_datums, np.array([getattr(end, name) for end in ends]))
        for name in ("third", "datum")
    )
    clocks = np.arctan2(thirds, datums)
    # From the tube's own datum, so that a vertex stands on it.
    ahead, aside = np.cos(clocks)[:, None], np.sin(clocks)[:, None]
    cos_phi, sin_phi = COS * ahead + SIN * aside, SIN * ahead - COS * aside
    dense = first_met(columns[:, :, None], cos_phi, sin_phi)
    dense[:, -1] = dense[:, 0]
    steps = even_steps(dense)
    angles, tops, sure = _summits(columns, clocks, dense[:, :-1:_COARSE])
    good = sure & (steps > 0) & _on_length(columns, seen, targets, dense, cos_phi)
    extras = np.array([end.end.extra for end in ends])
    lines = np.empty((len(ends), 2, len(PHI)))
    lines[:, 0], lines[:, 1] = rho[:, None] * PHI, dense + extras[:, None]
    cuts: list[EndCut | None] = []
    for number, (end, target, step) in enumerate(zip(ends, targets, steps.tolist(), strict=True)):
        if not good[number]:
            cuts.append(None)
            continue
        summits = angles[:, number], tops[:, number] + end.end.extra
        places, heights = _with_vertices(lines[number, :, ::step], step, *summits, rho[number])
        cuts.append(EndCut(
            end, "cope", "filed", (target.name,), float(seen.angles_deg[number]), float(seen.offsets[number]),
            seen.origins[number], places, heights, float(heights.max()), float(heights.min()),
        ))  # fmt: skip
    return cuts


def _summits(columns: Floats, clocks: Floats, coarse: Floats) -> tuple[Floats, Floats, Bools]:
    """Where the lines of ends are highest and lowest, by Newton's steps from the vertices beside.

    Args:
        columns: what ``slopes`` asks of each end (5, k).
        clocks: where each joint's datum is from the tube's own (k,), radians.
        coarse: the lines at every fourth place of the dense even turn, without its last, (k, n).

    Returns:
        Clock angles of the highest and of the lowest place from the tube's own datum, (2, k), of several the first; how
        high they are (2, k); and whether they are sure (k,).
    """
    whole = np.stack((coarse, -coarse))
    around = np.concatenate((whole[..., -1:], whole, whole[..., :1]), axis=2)
    near = whole > whole.max(axis=2, keepdims=True) - _BESIDE_MM
    near &= (whole >= around[..., :-2]) & (whole >= around[..., 2:])
    side, row, vertex = np.nonzero(near)
    start = PHI[::_COARSE][vertex] - clocks[row]
    phi, of = start.copy(), columns[:, row]
    for _ in range(_NEWTON_STEPS):
        first, second = slopes(of, np.cos(phi), np.sin(phi))
        step = first / np.where(second == 0.0, np.inf, second)
        phi -= step
    sign = 1.0 - 2.0 * side
    settled = (np.abs(step) < _SETTLED_RAD) & (sign * second < 0)
    settled &= np.abs(phi - start) < PHI[_COARSE]
    height = sign * first_met(of, np.cos(phi), np.sin(phi))
    phi = (phi + clocks[row]) % math.tau
    order = np.lexsort((phi, -height, row, side))
    group = (side * len(coarse) + row)[order]
    best = order[np.flatnonzero(np.diff(group, prepend=-1))].reshape(2, -1)
    sure = np.ones(len(coarse), dtype=bool)
    sure[row[~settled]] = False
    return phi[best], np.asarray((sign * height)[best]), sure


def _on_length(
    columns: Floats, seen: Settings, targets: Sequence[Target], dense: Floats, cos_phi: Floats
) -> Bools:
    """Whether all of each line lies on its target's straight (k,)."""
    _, cosine, sine, _, rho = columns
    limits, tangents, nearest = (
        np.array([getattr(one, name) for one in targets])
        for name in ("limits", "tangent", "nearest")
    )
    turned = dots(seen.ways, tangents) < 0
    limits[turned] = -limits[turned, ::-1]
    feet = dots(seen.origins - nearest, seen.ways)
    along = (rho * sine)[:, None] * cos_phi + dense * cosine[:, None] + feet[:, None]
    low, high = limits[:, 0] - SAME_MM, limits[:, 1] + SAME_MM
    return np.asarray((along.min(axis=1) >= low) & (along.max(axis=1) <= high))


def _with_vertices(
    line: Floats, step: int, angles: Floats, heights: Floats, radius: float
) -> Floats:
    """An even line (2, n), distances round and heights, with its highest and its lowest place among the vertices."""
    width, pieces, last = PHI[step], list[Floats](), 0
    for angle, height in sorted(zip(angles.tolist(), heights.tolist(), strict=True)):
        cell = int(angle / width)
        if MERGE_RAD < angle - cell * width < width - MERGE_RAD:
            pieces += [line[:, last : cell + 1], np.array([[angle * radius], [height]])]
            last = cell + 1
    return np.concatenate((*pieces, line[:, last:]), axis=1)
