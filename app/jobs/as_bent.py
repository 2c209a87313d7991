"""The command ``as-bent``: what a tube that came back measures, kept in the frame and judged."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from app.document.frame_file import open_frame, save_frame
from app.jobs.told import Told
from geometry.as_bent import AsBent, Measured, returned
from geometry.as_bent_checks import as_drawn
from geometry.errors import BadText
from geometry.fitup import solve
from geometry.frame import Frame, Tube, part_names
from geometry.units import parse_angle, parse_length
from templates_out.frame_result import solve_frame

_NOTHING = "-"


def run(asked: Namespace) -> Told:
    """Keep what was measured and say what it means; 1 when something cannot be made with it."""
    path = Path(asked.file)
    frame = open_frame(path)
    tube, hand = _named(frame, asked.tube)
    before = next((one for one in tube.as_bent if one.hand == hand), None)
    others = tuple(one for one in tube.as_bent if one.hand != hand)
    if before is None and not asked.forget and not _figures(asked):
        text = f"{f'{tube.name} {hand}'.strip()} is not measured yet; give what it measures, such as --angles"
        raise BadText(text)
    part = f"{tube.name} {hand}".strip()
    changed = others
    if not asked.forget:
        measured = _measured(asked, before or AsBent(hand))
        drawn = {one.part.name: one.part.path for one in solve(as_drawn(frame)).parts}
        if part in drawn:
            # What makes no tube is refused, and not kept.
            returned(drawn[part], measured)
        changed = (*others, measured)
    now = replace(
        frame,
        tubes=tuple(
            replace(one, as_bent=changed) if one.name == tube.name else one for one in frame.tubes
        ),
    )
    findings = solve_frame(now).findings
    lines = [
        f"{f.level}: {f.where}: {f.what} {f.do}"
        for f in findings
        if f.code.startswith("as-bent") and f.where.split(",")[0] == part
    ]
    if now != frame:
        save_frame(path, now)
        lines.append(f"{path}: {part} is kept as {'drawn' if asked.forget else 'measured'}")
    elif not lines:
        lines.append(f"{path}: {part} was not measured")
    return Told(lines, 1 if any(f.level == "error" for f in findings) else 0)


def _named(frame: Frame, name: str) -> tuple[Tube, str]:
    """The tube and the hand that a part's name means."""
    for tube in frame.tubes:
        for hand in ("left", "right") if tube.handed else ("",):
            if name.strip().lower() == f"{tube.name} {hand}".strip().lower():
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
