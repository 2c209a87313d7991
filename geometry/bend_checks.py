"""Whether a tube can be bent as asked, and the nearest change that cures what cannot."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from geometry.arrays import Floats
from geometry.bars import too_long
from geometry.bend import BendRow
from geometry.bend_names import bend_words, bends_words
from geometry.bend_tool import LEAST_RATIO
from geometry.bender_checks import (
    LEAST_RADIUS_DIAMETERS,
    left_on_findings,
    straight_findings,
    swing_findings,
)
from geometry.findings import Finding
from geometry.frame import END_WORDS
from geometry.lengths import format_mm, mm
from geometry.path import Path
from geometry.said import Length, Said, put_together, said
from geometry.trial_checks import trial_findings

if TYPE_CHECKING:
    from geometry.bend_plan import BendJob, BendResult

MANDREL = 8.0
"""A wall factor (diameter over wall) above this times radius over diameter calls for a mandrel: common practice, no
source. It is 24 at three diameters."""

ELSEWHERE_MM = 1.0
"""A tool that leaves a radius with which a bend begins and ends this far from where it is drawn is said to."""


def bend_findings(result: BendResult) -> tuple[Finding, ...]:
    """The findings of one bent tube."""
    return tuple(
        finding
        for checks in (
            _radii,
            _tools,
            straight_findings,
            left_on_findings,
            swing_findings,
            _bar,
            _walls,
            trial_findings,
            _others,
        )
        for finding in checks(result)
    )


def _radii(result: BendResult) -> Iterator[Finding]:
    job = result.job
    tight: dict[float, list[int]] = {}
    for number, row in enumerate(result.rows, 1):
        if row.clr < LEAST_RADIUS_DIAMETERS * job.tube.od - 1e-9:
            tight.setdefault(row.clr, []).append(number)
    for radius, numbers in tight.items():
        least = LEAST_RADIUS_DIAMETERS * job.tube.od
        yield Finding(
            "tight-radius", "warning", put_together(", ", (job.name, bends_words(numbers))),
            said(
                "radius {radius} is {diameters} diameters, under 3.",
                radius=mm(radius), diameters=f"{radius / job.tube.od:.2f}",
            ),
            said(
                "Use {least} or more, {by} larger, or ask the shop for a mandrel bend and check it for ripples and flattening.",
                least=mm(least), by=mm(least - radius),
            ),
        )  # fmt: skip
    thin: dict[float, list[int]] = {}
    for number, row in enumerate(result.rows, 1):
        if job.tube.od / job.tube.wall > MANDREL * row.clr / job.tube.od:
            thin.setdefault(row.clr, []).append(number)
    for radius, numbers in thin.items():
        yield Finding(
            "mandrel", "note", put_together(", ", (job.name, bends_words(numbers))),
            said(
                "{walls} diameters over wall at {diameters} diameters of radius usually wants a mandrel (common practice).",
                walls=format_mm(job.tube.od / job.tube.wall, 1), diameters=f"{radius / job.tube.od:.1f}",
            ),
            said(
                "Ask the shop for one, or use a wall of {wall} or more.", wall=mm(job.tube.od**2 / (MANDREL * radius))
            ),
        )  # fmt: skip


def elsewhere(radius: float, row: BendRow) -> float:
    """How far from where they are drawn a bend of another radius begins and ends, mm."""
    return abs(radius - row.clr) * math.tan(math.radians(row.angle_deg) / 2)


def _tools(result: BendResult) -> Iterator[Finding]:
    job = result.job
    off: dict[tuple[str, float, Length], list[int]] = {}
    for number, (found, setting, row) in enumerate(
        zip(result.tools, result.settings, result.rows, strict=True), 1
    ):
        if found is None:
            if job.tools:
                yield _no_tool(result, number)
            continue
        name, tool = found
        if setting.set_angle_deg > tool.greatest_angle + 1e-9:
            yield Finding(
                "beyond-tool", "error", put_together(", ", (job.name, bend_words(number))),
                said(
                    "it has to be set to {angle}°, {more}° more than {tool} goes.",
                    angle=f"{setting.set_angle_deg:.1f}", more=f"{setting.set_angle_deg - tool.greatest_angle:.1f}", tool=name,
                ),
                said(
                    "Bend it by {angle}° or less, or in two bends.",
                    angle=f"{tool.greatest_angle * row.angle_deg / setting.set_angle_deg:.1f}",
                ),
            )  # fmt: skip
        got = result.radius_got(number - 1)
        if got is not None and elsewhere(got, row) > ELSEWHERE_MM:
            off.setdefault((name, row.clr, mm(got, places=1)), []).append(number)
    for (name, clr, left), numbers in off.items():
        yield Finding(
            "radius-off", "warning", put_together(", ", (job.name, bends_words(numbers))),
            said("{tool} leaves a radius of {left}, not {drawn}.", tool=name, left=left, drawn=mm(clr)),
            said(
                "Give the bend a radius of {left}, so that the tube is drawn as it will be; or mend the tool's radius or its "
                "trial bends.",
                left=left,
            )
            if len(numbers) == 1
            else said(
                "Give these bends a radius of {left}, so that the tube is drawn as it will be; or mend the tool's radius or its "
                "trial bends.",
                left=left,
            ),
        )  # fmt: skip


def _no_tool(result: BendResult, number: int) -> Finding:
    """No tool at hand leaves a bend's radius."""
    job, clr = result.job, result.rows[number - 1].clr
    where = put_together(", ", (job.name, bend_words(number)))
    near = result.radii_left(number - 1)
    sizes = {"radius": mm(clr), "od": mm(job.tube.od)}
    if not near:
        return Finding(
            "no-tool", "warning", where,
            said("no tool leaves a radius of {radius}; there is none for {od} tube.", **sizes),
            said("Enter the tool, or send the tube to a shop."),
        )  # fmt: skip
    nearest = min(near, key=lambda radius: abs(radius - clr))
    radii = put_together(", ", [mm(radius, places=1) for radius in near])
    return Finding(
        "no-tool", "warning", where,
        said("no tool leaves a radius of {radius}; for {od} tube there are {radii}.", radii=radii, **sizes),
        said("Use a radius of {radius}, or enter the tool.", radius=mm(nearest, places=1)),
    )  # fmt: skip


def _bar(result: BendResult) -> Iterator[Finding]:
    job = result.job
    whole = result.supplied_length
    if job.bar_length:
        yield from too_long(job.name, whole, job.bar_length)
    for number, mark in enumerate(result.marks, 1):
        if not 0 <= mark.tool <= whole:
            end = END_WORDS["start" if mark.tool < 0 else "finish"]
            yield Finding(
                "mark-off-bar", "warning", put_together(", ", (job.name, bend_words(number))),
                said("the tool's mark would be at {at}, off the bar of {whole}.", at=mm(mark.tool), whole=mm(whole)),
                said(
                    "Leave {more} more on at the {end}, or check the tool's reference.",
                    more=mm(max(-mark.tool, mark.tool - whole)), end=end,
                ),
            )  # fmt: skip
    near = _nearest_to_itself(job.path)
    if near < job.tube.od - 1e-6:
        yield Finding(
            "meets-itself", "error", job.name,
            said("its own legs run {deep} into each other.", deep=mm(job.tube.od - near)),
            said("Move its points, so that the legs' middles stay {od} apart.", od=mm(job.tube.od)),
        )  # fmt: skip


def _nearest_to_itself(path: Path) -> float:
    """Least distance of two straights of a path that are not neighbours, mm."""
    share = np.linspace(0.0, 1.0, 65)[:, None]
    lines = [one.start + share * (one.end - one.start) for one in path.straight_pieces]
    least = math.inf
    for index, line in enumerate(lines):
        for other in lines[index + 2 :]:
            least = min(least, _apart(line, other))
    return least


def _apart(one: Floats, two: Floats) -> float:
    """Least distance from points (n, 3) on a straight to another straight's ends and inside, mm."""
    way = two[-1] - two[0]
    size = float(way @ way)
    along = np.clip((one - two[0]) @ way / size, 0.0, 1.0) if size else np.zeros(len(one))
    return float(np.min(np.linalg.norm(one - two[0] - along[:, None] * way, axis=1)))


def _walls(result: BendResult) -> Iterator[Finding]:
    job = result.job
    least = job.least_wall
    for number, (wall, row) in enumerate(zip(result.walls, result.rows, strict=True), 1):
        if least and wall.outside < least - 1e-9:
            yield Finding(
                "thin-wall", "warning", put_together(", ", (job.name, bend_words(number))),
                said(
                    "the wall outside comes to {wall}, {less} under the {least} that is wanted.",
                    wall=mm(wall.outside), less=mm(least - wall.outside), least=mm(least),
                ),
                _thicker(least, job, row),
            )  # fmt: skip
    seen = dict(found for found in result.tools if found)
    for name, tool in seen.items():
        for one in tool.trials:
            if one.ratio and one.ratio < LEAST_RATIO:
                yield Finding(
                    "oval", "warning", put_together(", ", (job.name, name)),
                    said(
                        "a trial bend came out {ratio} least over greatest diameter, under 0.9.", ratio=f"{one.ratio:.2f}"
                    ),
                    said("Use a larger radius, a thicker wall or a mandrel, and measure again."),
                )  # fmt: skip


def _thicker(least: float, job: BendJob, row: BendRow) -> Said:
    """What leaves a bend the wall outside that is wanted, mm."""
    wall = mm(least * (row.clr + job.tube.radius) / row.clr)
    if least >= job.tube.wall:
        return said("Use a wall of {wall} or more.", wall=wall)
    radius = mm(least * job.tube.radius / (job.tube.wall - least), places=1)
    return said(
        "Use radius {radius} or more, or a wall of {wall} or more.", radius=radius, wall=wall
    )


def _others(result: BendResult) -> Iterator[Finding]:
    name = result.job.name
    if any(setting.source == "theory" for setting in result.settings):
        yield Finding(
            "springback-estimate", "note", name,
            said(
                "there are no trial bends, so the settings are estimated from theory, which runs low: real tube springs back "
                "more."
            )
            if not any(tool.trials for _, tool in result.job.tools)
            else said(
                "no tool with trial bends leaves all its bends, so settings are estimated from theory, which runs low: real tube "
                "springs back more."
            ),
            said("Bend a trial piece to each angle and give what was set and what came out."),
        )  # fmt: skip
    if any(abs(row.rotation_deg) == 180.0 for row in result.rows):
        yield Finding(
            "half-turn", "note", name,
            said("an S-bend: the tube is turned half round, 180°, between bends."),
            said("Mark the half turn on the tube before you start."),
        )  # fmt: skip
