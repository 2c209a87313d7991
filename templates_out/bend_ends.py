"""What becomes of a bent tube's two ends, in words: how long its bar is, what is left on, where each is sawn."""

from __future__ import annotations

import math
from collections.abc import Callable

from geometry.bend_plan import BendJob, BendResult
from geometry.frame import END_NAMES
from geometry.lengths import format_mm
from geometry.title import ToleranceClass, length_tolerance

_SAME_MM = 0.005
"""Less is not printed."""


def bar_words(result: BendResult) -> str:
    """How long the bar is sawn, and what of it becomes the tube."""
    job = result.job
    if not job.long_points:
        return _trimmed_words(result)
    stands = " and ".join(
        f"{format_mm(abs(by))} mm {'beyond' if by > 0 else 'short of'} the path's {end}"
        if abs(by) > _SAME_MM
        else f"at the path's {end}"
        for end, by in zip(END_NAMES, job.trim, strict=True)
    )
    more = _each(job.left_on, "mm ")
    from_to = span_words(job)
    return (
        f"Saw the bar at {format_mm(result.supplied_length)} mm. "
        + f"Of that {more} {'are' if all(job.left_on) else 'is'} left on: " * bool(more)
        + f"{from_to if more else from_to[:1].upper() + from_to[1:]} it is "
        f"{format_mm(result.supplied_length - sum(job.left_on))} mm"
        + (
            f"; they stand {stands}. The path is {format_mm(result.cut_length)} mm along its centreline."
            if any(abs(by) > _SAME_MM for by in job.trim)
            else ", as its path along the centreline."
        )
    )


def _trimmed_words(result: BendResult) -> str:
    """How long the bar is cut, and the trim that is left on."""
    trim = result.job.trim
    left = (
        "no trim left on"
        if trim == (0.0, 0.0)
        else (
            f"{format_mm(trim[0])} mm trim at the start and {format_mm(trim[1])} mm at the finish, cut off square after "
            "bending"
        )
    )
    return (
        f"Cut the bar at {format_mm(result.supplied_length)} mm: {format_mm(result.cut_length)} mm along the centreline, "
        f"{left}."
    )


def span_words(job: BendJob) -> str:
    """From what to what a finished tube is as long as is said."""
    start, finish = job.square
    if start and finish:
        return "from square end to square end"
    if not start and not finish:
        return "from long point to long point of its fitted ends"
    if start:
        return "from its square start to the long point of its fitted finish"
    return "from the long point of its fitted start to its square finish"


def saw_words(
    job: BendJob,
    length: Callable[[float], str] = lambda by: f"{format_mm(by)} mm",
    *,
    came: bool = False,
) -> str:
    """Where a bent tube's square ends are sawn after bending, from where its bends begin and end; "" if none is.

    Args:
        job: the tube.
        length: a length in words.
        came: it is the tube as it came from the bender, which is cut whatever was to be left on.
    """
    beside = ("before bend 1 begins", f"after bend {len(job.path.radii)} ends")
    places = [
        f"the {end} {length(straight)} {where}"
        for end, square, straight, off, where in zip(
            END_NAMES, job.square, job.finished_straights, job.cut_off, beside, strict=True
        )
        if square and (came or off > 0)
    ]
    if not places or not job.path.radii:
        return ""
    return f"After bending, saw square: {', and '.join(places)}, measured along the straight."


def mark_words(result: BendResult) -> str:
    """Which marks on the straight bar have to be found again when it is bent."""
    job = result.job
    uses = ["square ends are sawn"] * any(job.square) + ["the wraps of the cut ends are set"] * (
        not all(job.square)
    )
    return (
        "Scribe lightly right round the straight bar, to be found again when it is bent: the tool's marks, and where each bend "
        f"starts and ends. From where bend 1 starts, {format_mm(result.marks[0].start, 1)}, and where bend {len(result.rows)} "
        f"ends, {format_mm(result.marks[-1].end, 1)}, {' and '.join(uses)}; places between bends are measured from the nearest."
    )


def whole_tolerance(result: BendResult, chosen: ToleranceClass) -> str:
    """What the bar's length may be off: one that ends are cut from may be longer, not shorter."""
    job = result.job
    by = format_mm(length_tolerance(chosen, result.supplied_length))
    spare = job.long_points and (not all(job.square) or any(job.left_on))
    return f"+{by}/-0" if spare else f"±{by}"


def delivery_words(result: BendResult) -> str:
    """Which end is cut, when, and by whom."""
    job = result.job
    left_on = _each(job.cut_off)
    if not left_on and all(job.square):
        return "Both ends are finished: cut square before bending, nothing is trimmed after."
    if not job.long_points:
        which = (
            "both ends are" if all(job.trim) else f"the {'start' if job.trim[0] else 'finish'} is"
        )
        return f"Trim left on: {left_on}; {which} trimmed square to the path's end after bending."
    first = f"Spare bar for the bender: {left_on}" if left_on else "No spare bar for the bender"
    cut = {
        (True, True): "saws them square",
        (False, False): "cuts them to fit",
        (True, False): "saws the start square and cuts the finish to fit",
        (False, True): "cuts the start to fit and saws the finish square",
    }[job.square]
    return f"{first}. Deliver both ends as sawn: the builder {cut} after bending."


def _each(lengths: tuple[float, float], unit: str = "") -> str:
    """As "20 at the start and 15 at the finish"; "" of nothing."""
    named = zip(END_NAMES, lengths, strict=True)
    return " and ".join(f"{format_mm(by)} {unit}at the {end}" for end, by in named if by)


def apart_words(result: BendResult) -> str:
    """How far apart the ends are, where a tape can be held to them."""
    job = result.job
    bar, path = (math.dist(one.vertices[0], one.vertices[-1]) for one in (job.bar_path, job.path))
    whole = (
        "the middles of the bar's two ends" if any(job.bar_ends) else "the middles of its two ends"
    )
    words = f"{whole} are {format_mm(bar, 1)} mm apart in a straight line"
    if job.long_points or not any(job.bar_ends):
        return words
    return f"{words}, trimmed {format_mm(path, 1)} mm"
