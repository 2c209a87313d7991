"""What becomes of a bent tube's two ends, in words: how long its bar is, what is left on, where each is sawn."""

from __future__ import annotations

import math
from collections.abc import Callable

from geometry.bend_plan import BendJob, BendResult
from geometry.frame import END_WORDS
from geometry.lengths import bare, format_mm, mm
from geometry.said import capital, listed, said
from geometry.title import ToleranceClass, length_tolerance

_SAME_MM = 0.005
"""Less is not printed."""


def bar_words(result: BendResult) -> str:
    """How long the bar is sawn, and what of it becomes the tube."""
    job = result.job
    if not job.long_points:
        return _trimmed_words(result)
    bar = mm(result.supplied_length)
    tube = mm(result.supplied_length - sum(job.left_on))
    more, from_to = _each(job.left_on), span_words(job)
    if not more:
        length = said(
            "Saw the bar at {bar}. {from_to} it is {tube}",
            bar=bar,
            from_to=capital(from_to),
            tube=tube,
        )
    else:
        left = said("{more} are", more=more) if all(job.left_on) else said("{more} is", more=more)
        length = said(
            "Saw the bar at {bar}. Of that {left} left on: {from_to} it is {tube}",
            bar=bar,
            left=left,
            from_to=from_to,
            tube=tube,
        )
    if not any(abs(by) > _SAME_MM for by in job.trim):
        return said("{length}, as its path along the centreline.", length=length)
    return said(
        "{length}. The tube's {start}, its {finish}. From the first point to the last it is {path} along the centreline.",
        length=length,
        start=_stands(job.trim[0], "start"),
        finish=_stands(job.trim[1], "finish"),
        path=mm(result.cut_length),
    )


def _stands(by: float, end: str) -> str:
    """Where a finished tube's end is from the first or the last point that it was drawn to."""
    point = said("the first point") if end == "start" else said("the last point")
    where = END_WORDS[end]
    if abs(by) <= _SAME_MM:
        return said("{end} is at {point}", end=where, point=point)
    if by > 0:
        return said("{end} is {by} beyond {point}", end=where, by=mm(by), point=point)
    return said("{end} is {by} short of {point}", end=where, by=mm(-by), point=point)


def _trimmed_words(result: BendResult) -> str:
    """How long the bar is cut, and the trim that is left on."""
    start, finish = result.job.trim
    lengths = {"bar": mm(result.supplied_length), "tube": mm(result.cut_length)}
    if start == finish == 0.0:
        return said(
            "Cut the bar at {bar}: {tube} along the centreline, no trim left on.", **lengths
        )
    return said(
        "Cut the bar at {bar}: {tube} along the centreline, {start} trim at the start and {finish} at the finish, cut off "
        "square after bending.",
        **lengths,
        start=mm(start),
        finish=mm(finish),
    )


def span_words(job: BendJob) -> str:
    """From what to what a finished tube is as long as is said."""
    start, finish = job.square
    if start and finish:
        return said("from square end to square end")
    if not start and not finish:
        return said("from long point to long point of its fitted ends")
    if start:
        return said("from its square start to the long point of its fitted finish")
    return said("from the long point of its fitted start to its square finish")


def saw_words(job: BendJob, *, came: bool = False) -> str:
    """Where a bent tube's square ends are sawn after bending, from where its bends begin and end; "" if none is.

    Args:
        job: the tube.
        came: it is the tube as it came from the bender, which is cut whatever was to be left on.
    """
    if not job.path.radii:
        return ""
    first, last = map(mm, job.finished_straights)
    start, finish = (
        square and (came or off > 0) for square, off in zip(job.square, job.cut_off, strict=True)
    )
    begins = said("the start {by} before bend 1 begins", by=first)
    ends = said("the finish {by} after bend {bend} ends", by=last, bend=len(job.path.radii))
    if start and finish:
        places = said("{start}, and {finish}", start=begins, finish=ends)
    elif start or finish:
        places = begins if start else ends
    else:
        return ""
    return said("After bending, saw square: {places}, measured along the straight.", places=places)


def mark_words(result: BendResult) -> str:
    """Which marks on the straight bar have to be found again when it is bent."""
    job = result.job
    if all(job.square):
        uses = said("square ends are sawn")
    elif any(job.square):
        uses = said("square ends are sawn and the wraps of the cut ends are set")
    else:
        uses = said("the wraps of the cut ends are set")
    return said(
        "Scribe lightly right round the straight bar, to be found again when it is bent: the tool's marks, and where each bend "
        "starts and ends. From where bend 1 starts, {first}, and where bend {bend} ends, {last}, {uses}; places between bends "
        "are measured from the nearest.",
        first=mm(result.marks[0].start, places=1),
        bend=len(result.rows),
        last=mm(result.marks[-1].end, places=1),
        uses=uses,
    )


def whole_tolerance(result: BendResult, chosen: ToleranceClass) -> str:
    """What the bar's length may be off: one that ends are cut from may be longer, not shorter."""
    job = result.job
    off = format_mm(length_tolerance(chosen, result.supplied_length))
    spare = not all(job.square) or any(by > _SAME_MM for by in job.cut_off)
    return f"+{off}/-0" if spare else f"±{off}"


def delivery_words(result: BendResult) -> str:
    """Which end is cut, when, and by whom."""
    job = result.job
    left_on = _each(job.cut_off, bare)
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


def _each(lengths: tuple[float, float], say: Callable[[float], str] = mm) -> str:
    """As "20 mm at the start and 15 mm at the finish"; "" of nothing."""
    start, finish = lengths
    return listed(
        [
            *[said("{by} at the start", by=say(start))] * bool(start),
            *[said("{by} at the finish", by=say(finish))] * bool(finish),
        ]
    )


def apart_words(result: BendResult) -> str:
    """How far apart the ends are, where a tape can be held to them."""
    job = result.job
    bar, path = (math.dist(one.vertices[0], one.vertices[-1]) for one in (job.bar_path, job.path))
    if not any(job.bar_ends):
        return said(
            "the middles of its two ends are {bar} apart in a straight line", bar=mm(bar, places=1)
        )
    words = said(
        "the middles of the bar's two ends are {bar} apart in a straight line",
        bar=mm(bar, places=1),
    )
    if job.long_points:
        return words
    return said("{apart}, trimmed {path}", apart=words, path=mm(path, places=1))
