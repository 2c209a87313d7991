"""Whether a tube can be bent as asked, and the nearest change that cures what cannot."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np

from geometry.arrays import Floats
from geometry.bend import BendRow
from geometry.bend_tool import LEAST_RATIO, BendTool
from geometry.findings import Finding
from geometry.lengths import format_mm
from geometry.path import Path
from geometry.trial_checks import trial_findings

if TYPE_CHECKING:
    from geometry.bend_plan import BendJob, BendResult

LEAST_RADIUS_DIAMETERS = 3.0
"""Least centreline radius in diameters: FIA Appendix J, article 253-8; Formula SAE 2021 F.5.2.1."""

LEAST_STRAIGHT_DIAMETERS = 2.0
"""Least straight at an end and between bends in diameters, without a tool's own: common practice, no source."""

LEAST_LEFT_ON_MM = 5.0
"""What a shop's tolerance may take at an end: common practice, no source."""

MANDREL = 8.0
"""A wall factor (diameter over wall) above this times radius over diameter calls for a mandrel: common practice, no
source. It is 24 at three diameters."""

ELSEWHERE_MM = 1.0
"""A tool that leaves a radius with which a bend begins and ends this far from where it is drawn is said to."""

Found = tuple[str, BendTool] | None
EndName = Literal["start", "finish"]


def bend_findings(result: BendResult) -> tuple[Finding, ...]:
    """The findings of one bent tube."""
    return tuple(
        finding
        for checks in (
            _radii,
            _tools,
            _straights,
            _left_on,
            _swings,
            _bar,
            _walls,
            trial_findings,
            _others,
        )
        for finding in checks(result)
    )


def _left_on(result: BendResult) -> Iterator[Finding]:
    """Ends that take every millimetre of the bar."""
    job = result.job
    bare = [
        f"{'square' if square else 'fitted'} {end}"
        for end, by, square in zip(("start", "finish"), job.left_on, job.square, strict=True)
        if by < LEAST_LEFT_ON_MM
    ]
    if job.long_points and result.rows and bare:
        both = [max(by, LEAST_LEFT_ON_MM) for by in job.left_on]
        yield Finding(
            "nothing-left-on", "warning", job.name,
            f"its {' and its '.join(bare)} take{'s' * (len(bare) == 1)} the bar to its last millimetre, and bends come out some "
            "millimetres along.",
            f"Give it at least {format_mm(LEAST_LEFT_ON_MM)} mm of spare bar, which is sawn off after bending: "
            f"{format_mm(both[0])} mm at its start, {format_mm(both[1])} mm at its finish.",
        )  # fmt: skip


def bends_words(numbers: Sequence[int]) -> str:
    """As "bend 2", or "bends 1, 2, 4" for several."""
    return f"bend{'s' * (len(numbers) != 1)} {', '.join(map(str, numbers))}"


def _needs(job: BendJob, tools: Sequence[Found], which: int) -> tuple[float, float]:
    """What the bender grips before a bend, and what it needs behind the last one, mm."""
    plain = LEAST_STRAIGHT_DIAMETERS * job.tube.od
    found = tools[which]
    if found is None:
        return plain, plain
    return found[1].grip, found[1].tail


def _end_shortage(job: BendJob, tools: Sequence[Found], first: EndName) -> dict[EndName, float]:
    """How much each end's straight is too short when bending begins at one end, mm; with its trim."""
    if not job.path.radii:
        return {}
    last: EndName = "finish" if first == "start" else "start"
    at = {"start": 0, "finish": len(job.path.radii) - 1}
    have = {
        "start": job.path.straights[0] + job.bar_ends[0],
        "finish": job.path.straights[-1] + job.bar_ends[1],
    }
    grip, _ = _needs(job, tools, at[first])
    _, tail = _needs(job, tools, at[last])
    short: dict[EndName, float] = {first: grip - have[first], last: tail - have[last]}
    return {end: by for end, by in short.items() if by > 1e-9}


def first_end(job: BendJob, tools: Sequence[Found]) -> EndName:
    """The end to begin bending from: where the grips and the swing ask for less; the start, if it is the same."""

    def trouble(first: EndName) -> float:
        short = sum(_end_shortage(job, tools, first).values())
        return short + sum(by for _, by in _drops(job, tools, first))

    return "finish" if trouble("finish") < trouble("start") - 1e-6 else "start"


def _radii(result: BendResult) -> Iterator[Finding]:
    job = result.job
    tight: dict[float, list[int]] = {}
    for number, row in enumerate(result.rows, 1):
        if row.clr < LEAST_RADIUS_DIAMETERS * job.tube.od - 1e-9:
            tight.setdefault(row.clr, []).append(number)
    for radius, numbers in tight.items():
        least = LEAST_RADIUS_DIAMETERS * job.tube.od
        yield Finding(
            "tight-radius", "warning", f"{job.name}, {bends_words(numbers)}",
            f"radius {format_mm(radius)} mm is {radius / job.tube.od:.2f} diameters, under 3.",
            f"Use {format_mm(least)} mm or more, {format_mm(least - radius)} mm larger, or ask the shop "
            "for a mandrel bend and check it for ripples and flattening.",
        )  # fmt: skip
    thin: dict[float, list[int]] = {}
    for number, row in enumerate(result.rows, 1):
        if job.tube.od / job.tube.wall > MANDREL * row.clr / job.tube.od:
            thin.setdefault(row.clr, []).append(number)
    for radius, numbers in thin.items():
        yield Finding(
            "mandrel", "note", f"{job.name}, {bends_words(numbers)}",
            f"{format_mm(job.tube.od / job.tube.wall, 1)} diameters over wall at {radius / job.tube.od:.1f} diameters of "
            "radius usually wants a mandrel (common practice).",
            f"Ask the shop for one, or use a wall of {format_mm(job.tube.od**2 / (MANDREL * radius))} mm or more.",
        )  # fmt: skip


def elsewhere(radius: float, row: BendRow) -> float:
    """How far from where they are drawn a bend of another radius begins and ends, mm."""
    return abs(radius - row.clr) * math.tan(math.radians(row.angle_deg) / 2)


def _tools(result: BendResult) -> Iterator[Finding]:
    job = result.job
    off: dict[tuple[str, float, str], list[int]] = {}
    for number, (found, setting, row) in enumerate(
        zip(result.tools, result.settings, result.rows, strict=True), 1
    ):
        where = f"{job.name}, bend {number}"
        if found is None:
            if job.tools:
                near = result.radii_left(number - 1)
                there = (
                    f"for {format_mm(job.tube.od)} mm tube there are {', '.join(f'{format_mm(r, 1)} mm' for r in near)}"
                    if near
                    else f"there is none for {format_mm(job.tube.od)} mm tube"
                )
                nearest = min(near, key=lambda radius: abs(radius - row.clr)) if near else None
                cure = (
                    f"Use a radius of {format_mm(nearest, 1)} mm, or enter the tool."
                    if nearest
                    else "Enter the tool, or send the tube to a shop."
                )
                yield Finding(
                    "no-tool", "warning", where,
                    f"no tool leaves a radius of {format_mm(row.clr)} mm; {there}.", cure,
                )  # fmt: skip
            continue
        name, tool = found
        if setting.set_angle_deg > tool.greatest_angle + 1e-9:
            yield Finding(
                "beyond-tool", "error", where,
                f"it has to be set to {setting.set_angle_deg:.1f}°, {setting.set_angle_deg - tool.greatest_angle:.1f}° more "
                f"than {name} goes.",
                f"Bend it by {tool.greatest_angle * row.angle_deg / setting.set_angle_deg:.1f}° or less, or in two bends.",
            )  # fmt: skip
        got = result.radius_got(number - 1)
        if got is not None and elsewhere(got, row) > ELSEWHERE_MM:
            off.setdefault((name, row.clr, format_mm(got, 1)), []).append(number)
    for (name, clr, left), numbers in off.items():
        yield Finding(
            "radius-off", "warning", f"{job.name}, {bends_words(numbers)}",
            f"{name} leaves a radius of {left} mm, not {format_mm(clr)} mm.",
            f"Give {'the bend' if len(numbers) == 1 else 'these bends'} a radius of {left} mm, so that the tube is drawn as it "
            "will be; or mend the tool's radius or its trial bends.",
        )  # fmt: skip


def _straights(result: BendResult) -> Iterator[Finding]:
    job, path = result.job, result.job.path
    for number, between in enumerate(path.straights[1:-1], 1):
        least = max(
            LEAST_STRAIGHT_DIAMETERS * job.tube.od if found is None else max(found[1].between, 0.0)
            for found in result.tools[number - 1 : number + 1]
        )
        short = least - between
        if short <= 1e-9:
            continue
        yield Finding(
            "short-straight", "warning", f"{job.name}, between bends {number} and {number + 1}",
            f"the straight is {format_mm(between)} mm, {format_mm(short)} mm less than the {format_mm(least)} mm that "
            f"{_asker(result, number - 1, number)}.",
            f"{_smaller_radius(job, number, least)}{format_mm(short)} mm more between bends {number} and {number + 1}.",
        )  # fmt: skip
    for end, short in _end_shortage(job, result.tools, result.first_end).items():
        at = 0 if end == "start" else len(path.radii) - 1
        straight = path.straights[0 if end == "start" else -1]
        beyond, left_on = (ends[0 if end == "start" else 1] for ends in (job.bar_ends, job.cut_off))
        what = "grips" if end == result.first_end else "needs behind the last bend"
        asker = result.tools[at][0] if result.tools[at] else "a bender"  # type: ignore[index]
        yield Finding(
            "short-end", "warning", f"{job.name}, {end}",
            f"the straight at the {end} is {format_mm(straight + beyond)} mm with what is left on there, "
            f"{format_mm(short)} mm less than {asker} {what}.",
            f"Leave {format_mm(left_on + short)} mm on there, and cut it off after.",
        )  # fmt: skip


def _asker(result: BendResult, *which: int) -> str:
    names = [found[0] for found in (result.tools[one] for one in which) if found is not None]
    return f"{names[0]} asks for" if names else "most benders can grip, two diameters"


def _smaller_radius(job: BendJob, number: int, least: float) -> str:
    """The radius that would leave room between two bends of the same radius, as "Radius 108 or less, or ".

    Not one that is too tight for the tube.
    """
    path = job.path
    one, two = path.radii[number - 1], path.radii[number]
    tangents = sum(math.tan(path.bend_angles_rad[which] / 2) for which in (number - 1, number))
    leg = path.straights[number] + path.setbacks[number - 1] + path.setbacks[number]
    radius = (leg - least) / tangents
    if one != two or radius < LEAST_RADIUS_DIAMETERS * job.tube.od:
        return "Make it "
    return f"Radius {math.floor(radius * 10) / 10:g} mm or less, or "


def _drops(job: BendJob, tools: Sequence[Found], first: EndName) -> list[tuple[int, float]]:
    """Bends at which what is bent already hits the floor or the bed, and by how much, mm.

    A simple model: the bender bends in a level plane, the tube so high above the floor as the tool says; what is
    bent already stands out ahead of the bend and is rigid. A bender that turns either way is turned the better one.
    """
    path = job.path
    if first == "finish":
        path = Path(path.vertices[::-1], path.radii[::-1])
        tools = tools[::-1]
    hits = []
    for index, found in enumerate(tools):
        if found is None or not found[1].height or not index:
            continue
        bent = np.vstack(
            [
                np.array(path.vertices[0]),
                *(arc.points(np.linspace(0.0, arc.angle_rad, 13)) for arc in path.arcs[:index]),
            ]
        )
        heights = (bent - path.arcs[index].centre) @ path.arcs[index].normal
        # Fed with this end first and swung to the right, the bend's normal points up.
        sides = {"right": (1,), "left": (-1,)}.get(found[1].turns, (1, -1))
        lowest = max(float((side * heights).min()) for side in sides) - job.tube.radius
        below = -lowest - found[1].height
        if below > 1e-9:
            number = index + 1 if first == "start" else len(tools) - index
            hits.append((number, below))
    return hits


def _swings(result: BendResult) -> Iterator[Finding]:
    job = result.job
    other: EndName = "finish" if result.first_end == "start" else "start"
    for number, below in _drops(job, result.tools, result.first_end):
        found = result.tools[number - 1]
        height = found[1].height if found else 0.0
        better = not _drops(job, result.tools, other)
        yield Finding(
            "swings-low", "warning", f"{job.name}, bend {number}",
            f"when it is bent, what is bent already hangs {format_mm(below)} mm lower than the floor under the bender.",
            f"{f'Begin at the {other}, or raise' if better else 'Raise'} the bender to {format_mm(height + below)} mm.",
        )  # fmt: skip


def _bar(result: BendResult) -> Iterator[Finding]:
    job = result.job
    whole = result.supplied_length
    if job.bar_length and whole > job.bar_length + 1e-9:
        yield Finding(
            "longer-than-bar", "error", job.name,
            f"it takes {format_mm(whole)} mm, {format_mm(whole - job.bar_length)} mm more than a bar has.",
            "Buy a longer bar, or make the tube of two with a joint where it carries least.",
        )  # fmt: skip
    for number, mark in enumerate(result.marks, 1):
        if not 0 <= mark.tool <= whole:
            yield Finding(
                "mark-off-bar", "warning", f"{job.name}, bend {number}",
                f"the tool's mark would be at {format_mm(mark.tool)} mm, off the bar of {format_mm(whole)} mm.",
                f"Leave {format_mm(max(-mark.tool, mark.tool - whole))} mm more on at the "
                f"{'start' if mark.tool < 0 else 'finish'}, or check the tool's reference.",
            )  # fmt: skip
    near = _nearest_to_itself(job.path)
    if near < job.tube.od - 1e-6:
        yield Finding(
            "meets-itself", "error", job.name,
            f"its own legs run {format_mm(job.tube.od - near)} mm into each other.",
            f"Move its points, so that the legs' middles stay {format_mm(job.tube.od)} mm apart.",
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
            cure = (
                f"a wall of {format_mm(least * (row.clr + job.tube.radius) / row.clr)} mm or more"
            )
            if least < job.tube.wall:
                radius = least * job.tube.radius / (job.tube.wall - least)
                cure = f"radius {format_mm(radius, 1)} mm or more, or {cure}"
            yield Finding(
                "thin-wall", "warning", f"{job.name}, bend {number}",
                f"the wall outside comes to {format_mm(wall.outside)} mm, {format_mm(least - wall.outside)} mm under "
                f"the {format_mm(least)} mm that is wanted.",
                f"Use {cure}.",
            )  # fmt: skip
    seen = dict(found for found in result.tools if found)
    for name, tool in seen.items():
        for one in tool.trials:
            if one.ratio and one.ratio < LEAST_RATIO:
                yield Finding(
                    "oval", "warning", f"{job.name}, {name}",
                    f"a trial bend came out {one.ratio:.2f} least over greatest diameter, under 0.9.",
                    "Use a larger radius, a thicker wall or a mandrel, and measure again.",
                )  # fmt: skip


def _others(result: BendResult) -> Iterator[Finding]:
    name = result.job.name
    if any(setting.source == "theory" for setting in result.settings):
        yield Finding(
            "springback-estimate", "note", name,
            "there are no trial bends, so the settings are estimated from theory, which runs low: real tube springs "
            "back more.",
            "Bend a trial piece to each angle and give what was set and what came out.",
        )  # fmt: skip
    if any(abs(row.rotation_deg) == 180.0 for row in result.rows):
        yield Finding(
            "half-turn", "note", name,
            "an S-bend: the tube is turned half round, 180°, between bends.",
            "Mark the half turn on the tube before you start.",
        )  # fmt: skip
