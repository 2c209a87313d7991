"""A bent tube in words: the bend table, the marks, the facts."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from geometry.as_bent import finish_height
from geometry.bend_names import bends_words
from geometry.bend_plan import BendResult
from geometry.laying import envelope, flat_box
from geometry.lengths import MM_PER_INCH, bare, format_fixed, format_mm, mm, place, with_inches
from geometry.path import Path
from geometry.said import put_together, said
from geometry.title import ToleranceClass
from templates_out.bend_ends import (
    apart_words,
    bar_words,
    delivery_words,
    mark_words,
    saw_words,
    whole_tolerance,
)
from templates_out.bend_settings import order_words, reference_words, settings_words
from templates_out.table import Table

ROTATION_WORDS = said(
    "Rotation: how far the bend plane turns from the bend before to this one, right-handed about the "
    "direction from start to finish: plus is clockwise as you look along the tube from start to finish. "
    "A machine that turns the tube in a fixed bend plane turns it the other way. What is round the tube: "
    "scribe a line along the straight bar and bend 1 with it on the outside of the bend; the outside of the "
    "next bend lies so far round from that of the bend before."
)
SEAM_WORDS = said(
    "Keep the tube's weld seam beside the bends, neither outside nor inside (common practice)."
)
BEND_CAUTION = said(
    "Bend a trial piece first. Check the radius, flattening and wall of the real bend before use; "
    "keep hands clear of the bender."
)


def bend_tables(result: BendResult, *, inches: bool = False) -> tuple[Table, Table]:
    """The bend table with its settings, and the marks along the bar with the wall in each bend.

    Args:
        result: the bent tube.
        inches: lengths in inches, to a thousandth; else in mm.
    """

    def length(value: float, places: int = 2) -> str:
        return format_fixed(value / MM_PER_INCH, 3) if inches else format_fixed(value, places)

    bends, marks = [], []
    on_bar = bar_straights(result)
    for number, (row, setting, mark, wall) in enumerate(
        zip(result.rows, result.settings, result.marks, result.walls, strict=True), 1
    ):
        turn = "" if number == 1 else turn_words(row.rotation_deg)
        round_tube = abs(row.rotation_deg) / 360 * math.pi * result.job.tube.od
        bends.append(
            (
                str(number), length(on_bar[number - 1]), format_fixed(row.rotation_deg), turn,
                "" if number == 1 else length(round_tube, 1), format_fixed(row.angle_deg),
                length(row.clr) if inches else format_mm(row.clr),
                format_fixed(setting.set_angle_deg) + "*" * setting.extrapolated, length(setting.tool_radius),
            )
        )  # fmt: skip
        marks.append(
            (
                str(number), length(mark.start, 1), length(mark.middle, 1), length(mark.end, 1), length(mark.tool, 1),
                length(wall.outside), length(wall.inside), format_fixed(wall.strain * 100, 1),
            )
        )  # fmt: skip
    bends.append((said("last"), length(on_bar[-1]), "", "", "", "", "", "", ""))
    return (
        Table(
            (
                said("bend"),
                said("straight before"),
                said("rotation"),
                said("looking from"),
                said("in round") if inches else said("mm round"),
                said("angle"),
                said("radius"),
                said("set"),
                said("tool radius"),
            ),
            (
                "",
                said("it, on the bar"),
                "°",
                said("start to finish"),
                said("the tube"),
                "°",
                said("finished"),
                "°",
                said("for it"),
            ),
            tuple(bends),
            (11.0, 26.0, 17.0, 26.0, 19.0, 17.0, 18.0, 18.0, 21.0),
        ),
        Table(
            (
                said("bend"),
                said("bend"),
                said("bend"),
                said("bend"),
                said("tool's"),
                said("wall"),
                said("wall"),
                said("stretch"),
            ),
            (
                "",
                said("starts"),
                said("middle"),
                said("ends"),
                said("mark"),
                said("outside"),
                said("inside"),
                said("outside %"),
            ),
            tuple(marks),
            (11.0, 22.0, 22.0, 22.0, 22.0, 22.0, 22.0, 24.0),
        ),
    )


def bar_straights(result: BendResult) -> list[float]:
    """The straights of the bar as it is sawn, mm: the first and the last up to its ends."""
    first, last = result.job.bar_ends
    straights = list(result.job.path.straights)
    straights[0] += first
    straights[-1] += last
    return straights


def turn_words(rotation_deg: float) -> str:
    """Which way the bend plane turns, for someone who looks from the start to the finish."""
    if rotation_deg == 0:
        return said("same plane")
    if abs(rotation_deg) == 180:
        return said("half a turn")
    return said("clockwise") if rotation_deg > 0 else said("anticlockwise")


def fact_lines(result: BendResult) -> tuple[str, ...]:
    """Every other number of the tube in words."""
    job, path = result.job, result.job.path
    mass = f"{result.mass:.2f}"
    points = (
        said("{point} {at}", point=f"P{index}", at=place(vertex))
        for index, vertex in enumerate(path.vertices)
    )
    if not result.rows:
        return (
            said(
                "A straight tube: cut the bar at {bar}, {tube} of it the tube, square ends. Mass {mass} kg each.",
                bar=mm(result.supplied_length),
                tube=mm(result.cut_length),
                mass=mass,
            ),
        )
    lines = (
        BEND_CAUTION,
        bar_words(result),
        saw_words(job),
        said(
            "Check when bent: {apart}. Mass {mass} kg each.", apart=apart_words(result), mass=mass
        ),
        order_words(result),
        said(
            "Marks are measured along the straight bar from its start end, trim included; from the finish end, take them from "
            "{bar}. {reference}",
            bar=mm(result.supplied_length),
            reference=reference_words(result),
        ),
        mark_words(result),
        settings_words(result),
        SEAM_WORDS,
        ROTATION_WORDS,
        said(
            "Points where the straights' centrelines cross, x y z: {points}.",
            points=put_together("; ", points),
        ),
        said(
            "Set: the angle that the bender is set to, so that the tube springs back to the bend's own. Tool radius for it: of a "
            "former that would leave exactly this radius. Wall outside, inside; stretch: what the bend does to the wall."
        ),
    )
    return tuple(line for line in lines if line)


def headline(result: BendResult) -> str:
    """Section, material and quantity on one line."""
    job = result.job
    size = with_inches(bare(job.tube.od, job.tube.wall, places=3), wanted=job.inches)
    return (
        f"{size}, "
        f"{job.material.name if job.material_given else f'material not given (taken: {job.material.name})'}, "
        f"quantity {job.quantity}, {len(result.rows)} bend{'s' * (len(result.rows) != 1)}"
    )


def section_line(result: BendResult) -> str:
    """Section and material."""
    job = result.job
    material = (
        job.material.name if job.material_given else f"not given (taken: {job.material.name})"
    )
    return f"{format_mm(job.tube.od, 3)} x {format_mm(job.tube.wall, 3)}, {material}"


def delivery_lines(result: BendResult, chosen: ToleranceClass) -> tuple[str, ...]:
    """What a shop has to know beside the tables: lengths, what is left on and who cuts it, checks, signs."""
    job, path = result.job, result.job.path
    last = f"P{len(path.vertices) - 1}"
    if not result.rows:
        return (f"A straight tube, {format_mm(result.supplied_length)} long as supplied.",)
    whole = result.supplied_length
    places = " and ".join(
        f"{format_mm(abs(by), 1)} {'beyond' if by > 0 else 'short of'} {name}"
        if abs(by) >= 0.05
        else f"at {name}"
        for name, by in zip(("P0", last), job.bar_ends, strict=True)
    )
    lines = (
        f"Developed length {format_mm(result.cut_length)} along the centreline, P0 to {last}. Supplied length of the bar "
        f"{format_mm(whole)} {whole_tolerance(result, chosen)}: it ends {places}; bend 1 begins "
        f"{format_mm(result.marks[0].start)} from its start end.",
        delivery_words(result),
        with_inches(saw_words(job), wanted=job.inches),
        _finished_words(result),
        f"Arcs along the centreline: {', '.join(format_mm(row.arc) for row in result.rows)}.",
        f"For a check: {apart_words(result)}; {_box_words(result)}.",
        "The table reads in the direction of feed, from start to finish. Rotation is right-handed about it: plus turns "
        "the next bend's plane clockwise, looking from start to finish. A machine that turns the tube itself turns it "
        "the other way. Where a program's signs differ, the points decide. The tolerance of a bend's angle holds for the rotation before it too.",
        SEAM_WORDS,
        *inch_lines(result),
    )
    return tuple(line for line in lines if line)


def _finished_words(result: BendResult) -> str:
    """What radii and angles are of, and which formers leave them, for a shop with its own."""
    used: dict[str, list[int]] = {}
    for number, found in enumerate(result.tools, 1):
        if found:
            words = (
                f"a former of radius {with_inches(mm(found[1].radius), wanted=result.job.inches)}"
            )
            used.setdefault(words, []).append(number)
    drawn = "".join(
        f"; {bends_words(numbers)} drawn for {words}" for words, numbers in used.items()
    )
    return f"Radii and angles are those of the finished tube, when it has sprung back{drawn}."


def _box_words(result: BendResult) -> str:
    """The box that a tube fits: a flat one laid on a bench, one in space as its points have it."""
    bar, radius = result.job.bar_path, result.job.tube.radius
    flat = flat_box(bar, radius)
    if flat is None:
        sizes = " x ".join(format_mm(size, 1) for size in envelope(bar, radius))
        return f"it fits a box of {sizes} (x, y, z)"
    sizes = " x ".join(format_mm(size, 1) for size in flat)
    return f"laid flat it fits a box of {sizes}, the first size along straight 1"


def inch_lines(result: BendResult) -> tuple[str, ...]:
    """What is measured on the bar, in inches, for who reads them."""
    if not result.job.inches:
        return ()

    def row(values: Iterable[float]) -> str:
        return ", ".join(f"{value / MM_PER_INCH:.3f}" for value in values)

    path = result.job.path
    points = "; ".join(f"P{number} ({row(at)})" for number, at in enumerate(path.vertices))
    return (
        f"In inches, of the path: length {row([result.cut_length])} along its centreline, straights {row(path.straights)}, arcs "
        f"{row(one.arc for one in result.rows)}, points {points}.",
        f"In inches: straights on the bar {row(bar_straights(result))}; radii {row(r.clr for r in result.rows)}; bends begin "
        f"{row(mark.start for mark in result.marks)} from the start end and end at "
        f"{row(mark.end for mark in result.marks)}; the tool's mark is at {row(mark.tool for mark in result.marks)}; the bar is {row([result.supplied_length])} long, its "
        f"ends {row([math.dist(result.job.bar_path.vertices[0], result.job.bar_path.vertices[-1])])} apart.",
    )


def hand_lines(result: BendResult, hand: str) -> tuple[str, ...]:
    """How to tell on the bench which hand a tube is."""
    path = result.job.bar_path
    if not result.rows:
        return ()
    if path.plane is not None:
        same = " Both hands are bent alike, and are the same tube turned over until their ends are cut."
        return (f"The tube is flat.{same * bool(hand)}",)
    what, height = _standing_out(path)
    side = "above" if height > 0 else "below"
    other = "; on the opposite hand it is on the other side" if hand else ""
    if abs(height) < LEAST_HEIGHT_MM:
        return ("The tube is so nearly flat that its hands are not told apart by eye: mark each when it is bent.",) * bool(hand)  # fmt: skip
    return (
        f"Check of the hand: lay the first two straights level, so that bend 1 turns to the left as you walk from start "
        f"to finish. The middle of {what} is then {format_mm(abs(height), 1)} {side} that of the start{other}.",
    )


def _standing_out(path: Path) -> tuple[str, float]:
    """What shows the hand, and how high it stands: the finish end, or where that is level the bend that is not."""
    found = [("the finish end", finish_height(path))]
    if abs(found[0][1]) < LEAST_HEIGHT_MM:
        up = np.cross(path.directions[0], path.directions[1])
        up /= np.linalg.norm(up)
        for number, arc in enumerate(path.arcs, 1):
            middle = arc.points(np.array([arc.angle_rad / 2]))[0]
            found.append((f"bend {number}", float((middle - path.vertices[0]) @ up)))
    return max(found, key=lambda one: abs(one[1]))


LEAST_HEIGHT_MM = 5.0
"""Less is not told apart by eye on a bench."""
