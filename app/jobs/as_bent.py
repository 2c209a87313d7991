"""The command ``as-bent``: what a tube that came back measures, kept in the frame and judged."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from app.document.frame_file import open_frame, save_frame
from app.jobs.came_back import between_bar_ends, judged, measured_of
from app.jobs.told import Told
from geometry.as_bent import AsBent, Measured
from geometry.errors import BadText
from geometry.frame import Frame, Tube, part_names
from geometry.lengths import format_mm
from geometry.names import part_name
from geometry.units import parse_angle, parse_length

_NOTHING = "-"


def run(asked: Namespace) -> Told:
    """Keep what was measured and say what it means; 1 when the tube cannot be built with it."""
    path = Path(asked.file)
    frame = open_frame(path)
    tube, hand = _named(frame, asked.tube)
    part = part_name(tube.name, hand)
    before = measured_of(tube, hand)
    if asked.forget:
        if _figures(asked):
            text = "--forget takes the measurements out; give it without new ones"
            raise BadText(text)
        return _kept(path, frame, tube, hand, None, [] if before else [f"{part} was not measured"])
    if before is None and not _figures(asked):
        text = f"{part} is not measured yet; give what it measures, such as --angles"
        raise BadText(text)
    measured = _measured(asked, before or AsBent(hand))
    if asked.apart is not None or asked.height is not None:
        measured = between_bar_ends(frame, part, measured)
    return _kept(path, frame, tube, hand, measured, [f"kept: {_words(measured)}"])


def _kept(
    path: Path, frame: Frame, tube: Tube, hand: str, measured: AsBent | None, lines: list[str]
) -> Told:
    """Save what is changed, and say what follows for this tube."""
    part = part_name(tube.name, hand)
    came = judged(frame, tube, hand, measured)
    now, own = came.frame, came.findings
    said = [f"{f.level}: {f.where}: {f.what} {f.do}" for f in own]
    if now != frame:
        save_frame(path, now)
        lines = [*lines, f"{path}: {part} is saved as {'measured' if measured else 'drawn'}"]
    return Told([*said, *lines], 1 if any(f.level == "error" for f in own) else 0)


def _words(measured: AsBent) -> str:
    """All that is kept of a tube, in the command's own words."""
    said = []
    for name in _LISTS:
        values = getattr(measured, name)
        if values:
            shown = " ".join(_NOTHING if v is None else format_mm(v) for v in values)
            said.append(f"{name} {shown}")
    for name in _LENGTHS:
        value = getattr(measured, name)
        if value is not None:
            said.append(f"{name} {format_mm(value)}")
    said.append("used as it is" if measured.use else "cut to the drawing")
    return ", ".join(said)


def _named(frame: Frame, name: str) -> tuple[Tube, str]:
    """The tube and the hand that a part's name means."""
    for tube in frame.tubes:
        for hand in ("left", "right") if tube.handed else ("",):
            if name.strip().lower() == part_name(tube.name, hand).lower():
                return tube, hand
    bent = [tube for tube in frame.tubes if tube.radii]
    known = ", ".join(
        repr(one) for tube in bent for one in sorted(part_names(tube)) if one != tube.name or not tube.handed
    )  # fmt: skip
    text = f"--tube {name!r} is not a tube of this frame; its bent ones are {known or 'none'}"
    raise BadText(text)


_LISTS = ("angles", "straights", "rotations", "radii")
_LENGTHS = ("apart", "height")


def _figures(asked: Namespace) -> bool:
    """Whether anything measured is given."""
    return any(getattr(asked, name) is not None for name in (*_LISTS, *_LENGTHS))


def _measured(asked: Namespace, before: AsBent) -> AsBent:
    """What was measured before, with what is given now in its place."""
    changes: dict[str, object] = {}
    for name, read in zip(
        _LISTS, (parse_angle, parse_length, parse_angle, parse_length), strict=True
    ):
        words = getattr(asked, name)
        if words is not None:
            changes[name] = _list(words, f"--{name}", read)
    for name in _LENGTHS:
        word = getattr(asked, name)
        if word is not None:
            changes[name] = None if word.strip() == _NOTHING else parse_length(word, f"--{name}")
    if asked.hold is not None:
        changes["hold"] = asked.hold
    if asked.use or asked.as_drawn:
        changes["use"] = asked.use
    return replace(before, **changes)  # type: ignore[arg-type]


def _list(words: str, what: str, read: Callable[[str, str], float]) -> Measured:
    """One figure for each, "-" where it was not measured; none for a lone "-"."""
    found = words.replace(";", " ").split()
    if found == [_NOTHING]:
        return ()
    return tuple(None if word == _NOTHING else read(word, what) for word in found)
