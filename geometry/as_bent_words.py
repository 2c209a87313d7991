"""How a returned tube is not as drawn, and how what is cut to its drawing sits on it, in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from geometry.as_bent import Returned
from geometry.as_bent_bar import Bar, end_words
from geometry.bend import bend_table
from geometry.lengths import format_mm, mm
from geometry.said import Length, Said, listed, put_together, said
from geometry.title import ToleranceClass, bend_tolerances, length_tolerance

if TYPE_CHECKING:
    from geometry.as_bent_checks import Seat

SAID_DEG, SAID_MM = 0.05, 0.05
"""Less than this is not worth a word."""


def off_words(came: Returned, bar: Bar, chosen: ToleranceClass) -> Said:
    """All that is not as drawn; "" for nothing.

    Args:
        came: the tube as it came.
        bar: that it was to be bent from.
        chosen: how true it was to be.
    """
    every = (deviation_words(came, chosen), end_words(came, bar), spread_words(came))
    return put_together("; ", every)


def spread_words(came: Returned) -> str:
    """What its ends alone say of what was not measured; "" for nothing."""
    if not came.spread:
        return ""
    words = []
    if abs(came.share - 1.0) > 1e-9:
        share = f"{abs(came.share - 1) * 100:.1f}"
        words.append(
            said("its bends {share} % over", share=share)
            if came.share > 1
            else said("its bends {share} % short", share=share)
        )
    if abs(came.twist_deg) > 1e-9:
        angle = f"{abs(came.twist_deg):.1f}"
        words.append(
            said("each rotation {angle}° clockwise", angle=angle)
            if came.twist_deg > 0
            else said("each rotation {angle}° anticlockwise", angle=angle)
        )
    return said(
        "its ends lie as if the error were spread alike over what was not measured, {how}",
        how=listed(words),
    )


def seat_words(seat: Seat) -> Said:
    """How far an end stands open, how much of it is too long, how far it is set off."""
    if np.isinf(seat.gap):
        return said("does not meet it")
    words = []
    if seat.gap > SAID_MM:
        words.append(said("stands {gap} open", gap=by_mm(seat.gap)))
    if seat.excess > SAID_MM:
        words.append(said("is {excess} too long", excess=by_mm(seat.excess)))
    if seat.step > SAID_MM:
        words.append(said("is set off by {step}", step=by_mm(seat.step)))
    return put_together(", ", words)


def seat_line(seat: Seat) -> Said:
    """The same with the end's name before it."""
    return put_together(" ", (seat.where, seat_words(seat)))


def by_mm(by: float) -> Length:
    """How far off, either way, to a tenth."""
    return mm(abs(by), places=1, fixed=True)


def deviation_words(came: Returned, chosen: ToleranceClass) -> Said:
    """Each figure that is off, by how much, and whether the drawing's tolerance allows it; "" for none."""
    words = []
    drawn = bend_table(came.nominal)
    straights = came.path.straights
    tolerances = bend_tolerances(chosen, came.nominal.vertices)
    for number, (was, now) in enumerate(zip(drawn, came.rows, strict=True), 1):
        allowed = tolerances[number - 1]
        by = now.angle_deg - was.angle_deg if came.told("angles", number) else 0.0
        words += _off(_bend_off, number, by, allowed, chosen, degrees=True)
        by = (now.rotation_deg - was.rotation_deg + 180.0) % 360.0 - 180.0
        by = by if came.told("rotations", number) else 0.0
        words += _off(_rotation_off, number, by, allowed, chosen, degrees=True)
        allowed = length_tolerance(chosen, was.clr)
        words += _off(_radius_off, number, now.clr - was.clr, allowed, chosen)
    for number in range(2, len(straights)):
        if not came.told("straights", number) and not came.told("angles", number - 1):
            continue
        by = straights[number - 1] - came.nominal.straights[number - 1]
        allowed = length_tolerance(chosen, came.nominal.straights[number - 1])
        words += _off(_straight_off, number, by, allowed, chosen)
    return put_together(", ", words)


def _off(
    say: Callable[[int, float], Said],
    number: int,
    by: float,
    allowed: float,
    chosen: ToleranceClass,
    *,
    degrees: bool = False,
) -> list[Said]:
    if abs(by) < (SAID_DEG if degrees else SAID_MM):
        return []
    off = say(number, by)
    if abs(by) <= allowed + 1e-9:
        return [off]
    most = f"{format_mm(allowed)}°" if degrees else mm(allowed)
    return [said("{off}, class {name} allows {most}", off=off, name=chosen, most=most)]


def _bend_off(number: int, by: float) -> Said:
    off = {"number": number, "by": f"{abs(by):.1f}°"}
    if by > 0:
        return said("bend {number} is {by} over", **off)
    return said("bend {number} is {by} short", **off)


def _rotation_off(number: int, by: float) -> Said:
    off = {"number": number, "by": f"{abs(by):.1f}°"}
    if by > 0:
        return said("the rotation before bend {number} is {by} clockwise", **off)
    return said("the rotation before bend {number} is {by} anticlockwise", **off)


def _radius_off(number: int, by: float) -> Said:
    off = {"number": number, "by": by_mm(by)}
    if by > 0:
        return said("radius {number} is {by} over", **off)
    return said("radius {number} is {by} under", **off)


def _straight_off(number: int, by: float) -> Said:
    off = {"number": number, "by": by_mm(by)}
    if by > 0:
        return said("straight {number} is {by} over", **off)
    return said("straight {number} is {by} under", **off)
