"""A curve round a tube as a polyline, as many vertices as the allowed chord error takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from geometry.arrays import Bools, Floats, Ints
from geometry.tolerances import CHORD_AIM_MM, MAX_STEP_DEG

Height = Callable[[Floats, Floats], Floats]
"""Heights (n,) from cos(phi) (n,) and sin(phi) (n,); periodic and continuous in phi."""

_STEPS = round(360 / MAX_STEP_DEG)
_DENSE = 4 * _STEPS
# The largest deviation of a chord from a curve, over the larger of the two at its thirds: 1.125 for
# a parabola, 1.03 for a square root, 1.30 for a cubic with its inflection in the middle.
_FROM_THIRDS = 1.3
_MAX_ROUNDS = 40
# Vertices nearer than this on the turn are one; on a 100 mm tube that is 5 nanometres.
_SAME_RAD = 1e-7
# An extreme this near a vertex takes its place: no cutter can follow two vertices a hair apart.
MERGE_RAD = 1e-6
_CLOSE_RAD = 2e-3


class _Bracket(NamedTuple):
    """A vertex that may stand beside an extreme, between its neighbours."""

    left: float
    place: float
    right: float
    before: float
    top: float
    after: float


def _turn() -> tuple[Floats, Floats, Floats]:
    phi = np.linspace(0.0, math.tau, _DENSE + 1).copy()
    turn = (phi, np.cos(phi), np.sin(phi))
    # A right angle is exact: what is symmetrical on the tube is symmetrical in the numbers.
    for quarter, (cosine, sine) in enumerate(((1, 0), (0, 1), (-1, 0), (0, -1), (1, 0))):
        turn[1][quarter * _DENSE // 4] = cosine
        turn[2][quarter * _DENSE // 4] = sine
    for values in turn:
        values.setflags(write=False)
    return turn


PHI, COS, SIN = _turn()
"""The dense even turn: clock angles, radians, their cosines and sines."""


def at(height: Height, phi: Floats) -> Floats:
    """Heights (n,) at the clock angles ``phi`` (n,), radians."""
    return height(np.cos(phi), np.sin(phi))


def sample_turn(
    height: Height, breaks: Sequence[float] = (), aim: float = CHORD_AIM_MM
) -> tuple[Floats, Floats]:
    """Sample a height round one turn so that chords stay within the chord tolerance.

    The deviation is taken along the height, which is never less than the distance to the curve. One
    dense even turn shows how far the chords of every fourth, every second and every vertex lie from
    it, and the coarsest that is close enough is taken. Where none is, or where there are kinks, the
    coarse one is refined: intervals are cut in three until the curve itself, asked at the thirds,
    lies close enough to the chord.

    Args:
        height: the curve.
        breaks: clock angles in [0, 2 pi) of kinks, radians; each becomes a vertex.
        aim: largest deviation of a chord, mm.

    Returns:
        Clock angles from 0 to 2 pi (n,) and heights (n,), mm; the last height is the first.
    """
    dense = height(COS, SIN)
    dense[-1] = dense[0]
    off_half, off_coarse = _offs(dense)
    if not breaks:
        step = int(_steps(dense, off_half, off_coarse, aim))
        if step:
            return PHI[::step], dense[::step]
    rough = (off_coarse > 0.8 * aim) | (off_half.reshape(-1, 2) > 0.4 * aim).any(axis=1)
    phi, values = PHI[::4], dense[::4]
    if breaks:
        phi, values, rough = _with_breaks(height, phi, values, rough, breaks)
    return _refine(height, phi, values, rough, aim)


def even_steps(dense: Floats) -> Ints:
    """Of curves that are known at the dense even turn, (k, n): every how manieth vertex each needs; 0 where more."""
    return np.asarray(_steps(dense, *_offs(dense), CHORD_AIM_MM))


def _offs(dense: Floats) -> tuple[Floats, Floats]:
    """How far the chords of every second and of every fourth vertex are from the curve in their middle, (…, n)."""
    half = dense[..., ::2]
    coarse = half[..., ::2]
    return (
        np.abs(dense[..., 1::2] - 0.5 * (half[..., :-1] + half[..., 1:])),
        np.abs(half[..., 1::2] - 0.5 * (coarse[..., :-1] + coarse[..., 1:])),
    )


def _steps(dense: Floats, off_half: Floats, off_coarse: Floats, aim: float) -> Ints:
    most_half = off_half.max(axis=-1)
    coarse_ones = (off_coarse.max(axis=-1) < 0.8 * aim) & (most_half < 0.4 * aim)
    half_ones = most_half < 0.8 * aim
    steps = np.where(coarse_ones, 4, np.where(half_ones, 2, 0))
    if steps.all():
        return steps
    # An eighth of the second difference is the chord's deviation; half the aim leaves room.
    second = np.abs(dense[..., 2:-1:2] - 0.5 * (dense[..., 1:-2:2] + dense[..., 3::2])).max(axis=-1)
    dense_ones = (most_half < 2 * aim) & (second < 2 * aim)
    return np.where((steps == 0) & dense_ones, 1, steps)


def _with_breaks(
    height: Height, phi: Floats, values: Floats, rough: Bools, breaks: Sequence[float]
) -> tuple[Floats, Floats, Bools]:
    """Make each break a vertex; the intervals on both sides of it are to be looked at again."""
    phi, values = phi.copy(), values.copy()
    added = []
    for angle in sorted(set(breaks)):
        nearest = int(np.argmin(np.abs(phi - angle)))
        if abs(phi[nearest] - angle) > _SAME_RAD:
            added.append(angle)
        elif 0 < nearest < _STEPS:
            phi[nearest] = angle
            values[nearest] = at(height, phi[nearest : nearest + 1])[0]
        cell = nearest - 1 if angle < phi[nearest] else nearest
        rough[max(cell - 2, 0) : cell + 3] = True
    if not added:
        return phi, values, rough
    where = np.searchsorted(phi, added)
    rough = np.insert(rough, where - 1, True)
    extra = np.array(added)
    return np.insert(phi, where, extra), np.insert(values, where, at(height, extra)), rough


def _refine(
    height: Height, phi: Floats, values: Floats, rough: Bools, aim: float
) -> tuple[Floats, Floats]:
    """Cut the ``rough`` intervals in three until each chord is close enough."""
    all_phi, all_values = [phi], [values]
    left, right = phi[:-1][rough], phi[1:][rough]
    low, high = values[:-1][rough], values[1:][rough]
    for _ in range(_MAX_ROUNDS):
        if left.size == 0:
            break
        third = (right - left) / 3
        one, two = left + third, right - third
        both = at(height, np.concatenate((one, two)))
        at_one, at_two = both[: one.size], both[one.size :]
        off = np.maximum(
            np.abs(at_one - (2 * low + high) / 3), np.abs(at_two - (low + 2 * high) / 3)
        )
        more = off * _FROM_THIRDS > aim
        left, one, two, right = left[more], one[more], two[more], right[more]
        low, at_one, at_two, high = low[more], at_one[more], at_two[more], high[more]
        all_phi += [one, two]
        all_values += [at_one, at_two]
        left, right = np.concatenate((left, one, two)), np.concatenate((one, two, right))
        low, high = np.concatenate((low, at_one, at_two)), np.concatenate((at_one, at_two, high))
    joined = np.concatenate(all_phi)
    order = np.argsort(joined, kind="stable")
    return joined[order], np.concatenate(all_values)[order]


def extremes(
    height: Height, phi: Floats, values: Floats
) -> tuple[tuple[float, float], tuple[float, float]]:
    """The true highest and lowest place of a sampled height.

    Every vertex that may stand beside the extreme is followed up: on an even turn by the parabola
    through it and its neighbours, then by one through three places close together, whose vertex the
    curve, asked there, must confirm; else by narrowing the bracket between the neighbours.

    Returns:
        Clock angle in [0, 2 pi) and height, mm, of the highest and of the lowest place.
    """
    smooth = phi is PHI or phi.base is PHI
    brackets = [
        (sign, _bracket(phi, values, best)) for sign in (1, -1) for best in _peaks(values, sign)
    ]
    found = _confirmed(height, brackets) if smooth else [None] * len(brackets)
    high: list[tuple[float, float]] = []
    low: list[tuple[float, float]] = []
    for (sign, bracket), place in zip(brackets, found, strict=True):
        settled = place or _narrow(height, bracket, sign)
        (high if sign > 0 else low).append((settled[0] % math.tau, settled[1]))
    return max(high, key=_height), min(low, key=_height)


def _height(place: tuple[float, float]) -> float:
    return place[1]


def _peaks(values: Floats, sign: int) -> list[int]:
    """The best vertex, and the best of every other run of vertices that comes as near as a chord may."""
    best = int(values.argmax() if sign > 0 else values.argmin())
    near = np.flatnonzero(np.abs(values - values[best]) < 2 * CHORD_AIM_MM)
    if near[-1] - near[0] + 1 == near.size:
        return [best]
    runs = np.split(near, np.flatnonzero(np.diff(near) > 1) + 1)
    return [int(run[(sign * values[run]).argmax()]) for run in runs]


def _bracket(phi: Floats, values: Floats, best: int) -> _Bracket:
    last = phi.size - 1
    before, after = best - 1 if best else last - 1, best + 1 if best < last else 1
    return _Bracket(
        float(phi[before]) - (0.0 if best else math.tau),
        float(phi[best]),
        float(phi[after]) + (0.0 if best < last else math.tau),
        float(values[before]),
        float(values[best]),
        float(values[after]),
    )


def _confirmed(
    height: Height, brackets: list[tuple[int, _Bracket]]
) -> list[tuple[float, float] | None]:
    """The vertex of a close parabola in each bracket, where the curve has just that height there."""
    shifts = [
        _vertex(b.left - b.place, b.right - b.place, b.before - b.top, b.after - b.top)
        for _, b in brackets
    ]
    if all(shift == (0.0, 0.0) for shift in shifts):
        return [(b.place, b.top) for _, b in brackets]
    guesses = [
        b.place + (shift or (0.0,))[0] for shift, (_, b) in zip(shifts, brackets, strict=True)
    ]
    near = np.array([guess + step for guess in guesses for step in (-_CLOSE_RAD, 0.0, _CLOSE_RAD)])
    around = at(height, near).tolist()
    vertices = []
    for index, guess in enumerate(guesses):
        before, middle, after = around[3 * index : 3 * index + 3]
        shift = _vertex(-_CLOSE_RAD, _CLOSE_RAD, before - middle, after - middle)
        vertices.append((guess + shift[0], middle + shift[1]) if shift else (guess, math.inf))
    true = at(height, np.array([place for place, _ in vertices])).tolist()
    return [
        (place, real) if abs(real - told) < 1e-8 and (real - b.top) * sign >= 0 else None
        for (sign, b), (place, told), real in zip(brackets, vertices, true, strict=True)
    ]


def _vertex(left: float, right: float, before: float, after: float) -> tuple[float, float] | None:
    """Place and height of the vertex of the parabola through (left, before), (0, 0), (right, after).

    None where the vertex is not between left and right.
    """
    slope = (before * right / left - after * left / right) / (right - left)
    bend = (after / right - before / left) / (right - left)
    if abs(before - after) < 1e-13 * (1 + abs(before)):
        return 0.0, 0.0
    shift = -slope / (2 * bend) if bend else math.inf
    return (shift, slope * shift / 2) if left < shift < right else None


def _narrow(height: Height, bracket: _Bracket, sign: int) -> tuple[float, float]:
    """Narrow a bracket eightfold at a time until all of it is one height."""
    left, angle, right, top = bracket.left, bracket.place, bracket.right, bracket.top
    if abs(bracket.before - bracket.after) < 1e-13 * (1 + abs(top)):
        return angle, top  # symmetrical: the vertex is the extreme
    for _ in range(_MAX_ROUNDS):
        grid = left + (right - left) * _SEVENTEEN
        near = at(height, grid)
        place = int(near.argmax() if sign > 0 else near.argmin())
        if (float(near[place]) - top) * sign > 0:
            angle, top = float(grid[place]), float(near[place])
        if float(near.max() - near.min()) < 1e-9:
            break
        step = (right - left) / 16
        left, right = max(left, angle - step), min(right, angle + step)
    return angle, top


_SEVENTEEN = np.linspace(0.0, 1.0, 17)


def insert_vertex(phi: Floats, values: Floats, angle: float, value: float) -> tuple[Floats, Floats]:
    """Add one vertex to a sampled turn; a vertex so near that it would be the same gives way to it."""
    index = int(np.searchsorted(phi, angle))
    near = max(index - 1, 0) if index == phi.size else index
    if index and angle - phi[index - 1] < phi[near] - angle:
        near = index - 1
    if abs(phi[near] - angle) < MERGE_RAD:
        if 0 < near < phi.size - 1 and abs(values[near] - value) > 1e-9:
            phi, values = phi.copy(), values.copy()
            phi[near], values[near] = angle, value
        return phi, values
    whole = (phi[:index], [angle], phi[index:]), (values[:index], [value], values[index:])
    return np.concatenate(whole[0]), np.concatenate(whole[1])


def hidden_kinks(label: Callable[[Floats, Floats], Ints], phi: Floats) -> list[float]:
    """Clock angles where a label of the curve changes between two vertices, by bisection.

    Args:
        label: whole number (n,) that says which piece of the curve holds, from cos and sin of phi.
        phi: vertices (n,), radians, ascending.

    Returns:
        The angles, to rounding.
    """
    labels = label(np.cos(phi), np.sin(phi))
    change = np.flatnonzero(labels[1:] != labels[:-1])
    left, right, first = phi[change].copy(), phi[change + 1].copy(), labels[change]
    for _ in range(48):
        middle = (left + right) / 2
        same = label(np.cos(middle), np.sin(middle)) == first
        left, right = np.where(same, middle, left), np.where(same, right, middle)
    return [float(angle) for angle in right]
