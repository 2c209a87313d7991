"""What is proposed for a tube that is being added, in words."""

from __future__ import annotations

import contextlib

from app.window.shown_words import MATERIAL_WORDS, length_shown, place_shown
from app.window.words import counted, spoken, tr
from geometry.errors import CopewrightError
from geometry.frame import Frame, Tube
from geometry.parts import check_made
from geometry.places import Places
from geometry.proposals import Proposal, add_tube


def proposed(frame: Frame, tube: Tube) -> tuple[str, Frame, tuple[Proposal, Proposal]]:
    """A new tube's name, the frame with it, and what is proposed for its ends.

    Raises:
        CopewrightError: for a tube that cannot be made.
    """
    found, ways = add_tube(frame, tube)
    check_made(found, found.tube(tube.name))
    return tube.name, found, ways


def proposed_words(before: Frame, frame: Frame, name: str, ways: tuple[Proposal, Proposal]) -> str:
    """How what was typed was read, how the ends are to be cut, and what else was taken unasked; a line each.

    Args:
        before: the frame without the tube.
        frame: with it.
        name: the tube's.
        ways: what is proposed for its ends.
    """
    start, finish = (spoken(one.words) for one in ways)
    tube, inches = frame.tube(name), frame.units == "in"
    places, path = Places(frame), tube.path
    words = []
    with contextlib.suppress(CopewrightError):
        ends = (place_shown(places.point(one), inches=inches) for one in (path[0], path[-1]))
        words.append(tr("From {first} to {last}.").format(first=next(ends), last=next(ends)))
    text = tr("Proposed, and you can change it: start: {start}; finish: {finish}.")
    words.append(text.format(start=start, finish=finish))
    if tube.radii:
        count = counted(len(tube.radii), tr("{n} bend"), tr("{n} bends"))
        radius = f"{length_shown(tube.radii[0], inches=inches)} {frame.units}"
        words.append(
            tr("{count} between its ends, of radius {radius}.").format(count=count, radius=radius)
        )
    bought = frame.stock[tube.stock]
    if tube.stock not in before.stock:
        text = tr("{stock} is taken as {material}, {meaning}; change that in the list Stock.")
        steel = bought.steel.name
        words.append(text.format(stock=tube.stock, material=steel, meaning=MATERIAL_WORDS[steel]))
    return "\n".join(words)


def first_stock(frame: Frame) -> str:
    """What a new tube is most likely of: stock that was just added, or that of the tube before; "" where there is none."""
    newest = next(reversed([*frame.stock]), "")
    used = [tube.stock for tube in frame.tubes]
    return used[-1] if newest in used else newest
