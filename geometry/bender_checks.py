"""Whether the bender can hold a tube and swing it: the straights that it grips, the ends of the bar, the floor under it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np

from geometry.bend_names import bend_words
from geometry.bend_tool import BendTool
from geometry.findings import Finding
from geometry.frame import END_WORDS
from geometry.lengths import mm
from geometry.path import Path
from geometry.said import put_together, said

if TYPE_CHECKING:
    from geometry.bend_plan import BendJob, BendResult

LEAST_RADIUS_DIAMETERS = 3.0
"""Least centreline radius in diameters: FIA Appendix J, article 253-8; Formula SAE 2021 F.5.2.1."""

LEAST_STRAIGHT_DIAMETERS = 2.0
"""Least straight at an end and between bends in diameters, without a tool's own: common practice, no source."""

LEAST_LEFT_ON_MM = 5.0
"""What a shop's tolerance may take at an end: common practice, no source."""

Found = tuple[str, BendTool] | None
EndName = Literal["start", "finish"]


def left_on_findings(result: BendResult) -> Iterator[Finding]:
    """Ends that take every millimetre of the bar."""
    job = result.job
    kinds = (
        (said("square start"), said("fitted start")),
        (said("square finish"), said("fitted finish")),
    )
    bare = [
        words[0] if square else words[1]
        for words, by, square in zip(kinds, job.left_on, job.square, strict=True)
        if by < LEAST_LEFT_ON_MM
    ]
    if job.long_points and result.rows and bare:
        start, finish = (max(by, LEAST_LEFT_ON_MM) for by in job.left_on)
        yield Finding(
            "nothing-left-on", "warning", job.name,
            said(
                "its {start} and its {finish} take the bar to its very end, and bends come out a little off along it.",
                start=bare[0], finish=bare[1],
            )
            if len(bare) > 1
            else said(
                "its {end} takes the bar to its very end, and bends come out a little off along it.", end=bare[0]
            ),
            said(
                "Give it at least {least} of spare bar, which is sawn off after bending: {start} at its start, {finish} at its "
                "finish.",
                least=mm(LEAST_LEFT_ON_MM), start=mm(start), finish=mm(finish),
            ),
        )  # fmt: skip


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


def straight_findings(result: BendResult) -> Iterator[Finding]:
    """Straights that are too short for what grips them."""
    job, path = result.job, result.job.path
    for number, between in enumerate(path.straights[1:-1], 1):
        least = max(
            LEAST_STRAIGHT_DIAMETERS * job.tube.od if found is None else max(found[1].between, 0.0)
            for found in result.tools[number - 1 : number + 1]
        )
        short = least - between
        if short <= 1e-9:
            continue
        beside = {"one": number, "other": number + 1}
        room = {"straight": mm(between), "short": mm(short), "least": mm(least)}
        asker = _asker(result, number - 1, number)
        radius = _smaller_radius(job, number, least)
        yield Finding(
            "short-straight", "warning",
            put_together(", ", (job.name, said("between bends {one} and {other}", **beside))),
            said("the straight is {straight}, {short} less than the {least} that {tool} asks for.", tool=asker, **room)
            if asker
            else said(
                "the straight is {straight}, {short} less than the {least} that most benders can grip, two diameters.", **room
            ),
            said("Make it {short} more between bends {one} and {other}.", short=mm(short), **beside)
            if radius is None
            else said(
                "Radius {radius} or less, or {short} more between bends {one} and {other}.",
                radius=mm(radius, places=None), short=mm(short), **beside,
            ),
        )  # fmt: skip
    for end, short in _end_shortage(job, result.tools, result.first_end).items():
        at = 0 if end == "start" else len(path.radii) - 1
        straight = path.straights[0 if end == "start" else -1]
        beyond, left_on = (ends[0 if end == "start" else 1] for ends in (job.bar_ends, job.cut_off))
        held: dict[str, str] = {
            "end": END_WORDS[end], "straight": mm(straight + beyond), "short": mm(short),
            "tool": _asker(result, at) or said("a bender"),
        }  # fmt: skip
        yield Finding(
            "short-end", "warning", put_together(", ", (job.name, END_WORDS[end])),
            said(
                "the straight at the {end} is {straight} with what is left on there, {short} less than {tool} grips.", **held
            )
            if end == result.first_end
            else said(
                "the straight at the {end} is {straight} with what is left on there, {short} less than {tool} needs behind the "
                "last bend.",
                **held,
            ),
            said("Leave {left_on} on there, and cut it off after.", left_on=mm(left_on + short)),
        )  # fmt: skip


def _asker(result: BendResult, *which: int) -> str:
    """The first of these bends' tools, by name; "" for none."""
    found = (result.tools[one] for one in which)
    return next((one[0] for one in found if one is not None), "")


def _smaller_radius(job: BendJob, number: int, least: float) -> float | None:
    """The radius that would leave room between two bends of the same radius, mm.

    None where the two differ, or it would be too tight for the tube.
    """
    path = job.path
    one, two = path.radii[number - 1], path.radii[number]
    tangents = sum(math.tan(path.bend_angles_rad[which] / 2) for which in (number - 1, number))
    leg = path.straights[number] + path.setbacks[number - 1] + path.setbacks[number]
    radius = (leg - least) / tangents
    if one != two or radius < LEAST_RADIUS_DIAMETERS * job.tube.od:
        return None
    return math.floor(radius * 10) / 10


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


def swing_findings(result: BendResult) -> Iterator[Finding]:
    """Bends at which what is bent already swings too low."""
    job = result.job
    other: EndName = "finish" if result.first_end == "start" else "start"
    for number, below in _drops(job, result.tools, result.first_end):
        found = result.tools[number - 1]
        height = found[1].height if found else 0.0
        better = not _drops(job, result.tools, other)
        high = mm(height + below)
        yield Finding(
            "swings-low", "warning", put_together(", ", (job.name, bend_words(number))),
            said(
                "when it is bent, what is bent already hangs {below} lower than the floor under the bender.", below=mm(below)
            ),
            said("Begin at the {end}, or raise the bender to {height}.", end=END_WORDS[other], height=high)
            if better
            else said("Raise the bender to {height}.", height=high),
        )  # fmt: skip
