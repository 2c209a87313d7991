"""Parts that are marked as made: what they are, and which would be made otherwise now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from geometry.arrays import Floats
from geometry.bend import bend_table
from geometry.end_cut import EndCut, height_at
from geometry.findings import Finding
from geometry.fitup import Fitted, FittedPart, solve
from geometry.frame import END_NAMES, END_WORDS, Frame, Step
from geometry.lengths import mm
from geometry.made import LINE_PLACES, Made, MadeBend, MadeEnd
from geometry.said import Said, listed, said
from geometry.section import RoundTube

_SAME_MM, _SAME_DEG = 0.5, 0.1
"""What is nearer than this is the same piece of steel: nobody saws or bends by hand to less (common practice, no source)."""
_DECIMALS = 3
_TURNS = 720
_STEP_WORDS: dict[Step, Said] = {
    "cut": said("cut"), "fitted": said("fitted"), "tacked": said("tacked"), "welded": said("welded"),
}  # fmt: skip


def put_progress(frame: Frame, part: str, step: Step | None) -> Frame:
    """Mark how far a part is made; None for nothing yet.

    What it is when it is first marked is kept with it, until it is marked as nothing yet.

    Raises:
        BadFrame: for a part that is not there.
    """
    progress = {name: made for name, made in frame.progress.items() if name != part}
    made = {name: one for name, one in frame.made.items() if name != part}
    if step is None:
        return replace(frame, progress=progress, made=made)
    frame = replace(frame, progress={**progress, part: step})
    return _with_made(frame, {part})


def with_made(frame: Frame) -> Frame:
    """The frame, and what every part is that is marked as made, where that is not known, as it would be made now."""
    return _with_made(frame, set(frame.progress))


def _with_made(frame: Frame, parts: set[str]) -> Frame:
    wanted = parts - set(frame.made)
    if not wanted:
        return frame
    made = {one.part.name: made_of(one) for one in solve(frame).parts if one.part.name in wanted}
    return replace(frame, made={**frame.made, **made})


def made_of(one: FittedPart) -> Made:
    """What a part is, to be kept."""
    start, finish = one.cuts
    path = one.part.path
    straights = [*path.straights]
    for index, cut in ((0, start), (-1, finish)):
        straights[index] += cut.beyond if cut is not None else 0.0
    bends = tuple(
        MadeBend(straight, row.rotation_deg, row.angle_deg, row.clr)
        for straight, row in zip(straights, bend_table(path) if path.radii else (), strict=False)
    )
    stock = one.part.stock
    return Made(
        stock.section, stock.steel.name, one.supplied_length, (_end(start), _end(finish)), bends,
        straights[-1] if bends else 0.0,
    )  # fmt: skip


def _end(cut: EndCut | None) -> MadeEnd | None:
    if cut is None:
        return None
    line = tuple(round(depth, _DECIMALS) + 0.0 for depth in _depths(cut).tolist())
    return MadeEnd(line, cut.at.end.fit if cut.kind == "cope" else None)


def _depths(cut: EndCut) -> Floats:
    """How far the line is behind its long point at even places round, (LINE_PLACES,), mm."""
    places = np.arange(LINE_PLACES) * cut.at.part.outline.girth / LINE_PLACES
    return np.maximum(cut.long_point - height_at(cut, places), 0.0)


def made_findings(fitted: Fitted) -> Iterator[Finding]:
    """Parts that are marked as made and would be made otherwise now, by what the steel is."""
    frame = fitted.frame
    for one in fitted.parts:
        name = one.part.name
        if name not in frame.made:
            continue
        was, now = frame.made[name], made_of(one)
        if one.part.came is not None:
            # It is bent as it is, and as long as it is; its ends are all that there is left to cut.
            now = replace(now, length=was.length, bends=was.bends, last=was.last)
        how = _otherwise(was, now)
        if how:
            yield Finding(
                "made-otherwise", "warning", one.part.called,
                said(
                    "It is marked as {step}, and would be made otherwise now: {how}.",
                    step=_STEP_WORDS[frame.progress[name]], how=listed(how),
                ),
                said(
                    "Take the change back that did it; or make the part anew, and then mark it first as nothing yet and then as "
                    "made again."
                ),
            )  # fmt: skip


def _otherwise(was: Made, now: Made) -> list[Said]:
    """What is not the same, in words."""
    words = []
    for name, old, new in zip(END_NAMES, was.ends, now.ends, strict=True):
        if not _same_end(old, new) and not _only_turned(was, now):
            words.append(said("its {end} is cut otherwise", end=END_WORDS[name]))
    longer = now.length - was.length
    if longer >= _SAME_MM:
        words.append(said("it is {by} longer", by=mm(longer)))
    elif longer <= -_SAME_MM:
        words.append(said("it is {by} shorter", by=mm(-longer)))
    if (was.section, was.material) != (now.section, now.material):
        words.append(said("it is of other tube"))
    if not _same_bends(was, now):
        words.append(said("it is bent otherwise"))
    return words


def _same_end(one: MadeEnd | None, other: MadeEnd | None) -> bool:
    """Two ends are cut along the same line, whatever they sit on is called now."""
    if one is None or other is None:
        return one is other
    if one.fit != other.fit:
        return False
    return all(abs(a - b) < _SAME_MM for a, b in zip(one.line, other.line, strict=True))


def _only_turned(was: Made, now: Made) -> bool:
    """Whether a straight round tube's ends are the same when it is turned about itself: its datum follows the frame."""
    if was.bends or not isinstance(was.section, RoundTube) or None in (*was.ends, *now.ends):
        return False
    turns = np.arange(_TURNS) * LINE_PLACES / _TURNS
    places = np.arange(LINE_PLACES)
    fits = np.ones(_TURNS, dtype=bool)
    # Seen along its own axis each end runs round the other way.
    for old, new, way in zip(was.ends, now.ends, (1, -1), strict=True):
        if old is None or new is None or old.fit != new.fit:
            return False
        at = (places + way * turns[:, None]) % LINE_PLACES
        turned = np.interp(at, np.arange(LINE_PLACES + 1), [*old.line, old.line[0]])
        fits &= np.all(np.abs(turned - np.array(new.line)) < _SAME_MM, axis=1)
    return bool(fits.any())


def _same_bends(was: Made, now: Made) -> bool:
    """The same angles, radii and turns, the same straights between them, and as far from the tube's ends."""
    return (
        len(was.bends) == len(now.bends)
        and abs(was.last - now.last) < _SAME_MM
        and all(
            abs(a.angle_deg - b.angle_deg) < _SAME_DEG
            and abs((a.rotation_deg - b.rotation_deg + 180.0) % 360.0 - 180.0) < _SAME_DEG
            and abs(a.clr - b.clr) < _SAME_MM
            and abs(a.straight - b.straight) < _SAME_MM
            for a, b in zip(was.bends, now.bends, strict=True)
        )
    )
