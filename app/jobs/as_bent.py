"""The command ``as-bent``: what a tube that came back measures, kept in the frame and judged."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from app.document.frame_file import open_frame, save_frame
from app.jobs.told import Told
from geometry.as_bent import AsBent, Measured, looks_mirrored, returned
from geometry.as_bent_checks import as_drawn
from geometry.errors import BadPath, BadText
from geometry.fitup import solve
from geometry.frame import Frame, Tube, part_names
from geometry.names import part_name
from geometry.units import format_mm, parse_angle, parse_length
from templates_out.frame_result import solve_frame

_NOTHING = "-"


def run(asked: Namespace) -> Told:
    """Keep what was measured and say what it means; 1 when the tube cannot be built with it."""
    path = Path(asked.file)
    frame = open_frame(path)
    tube, hand = _named(frame, asked.tube)
    part = part_name(tube.name, hand)
    before = next((one for one in tube.as_bent if one.hand == hand), None)
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
        measured = replace(measured, beyond=_bar_ends(frame, part))
    _refuse_what_makes_no_tube(frame, tube, part, measured)
    return _kept(path, frame, tube, hand, measured, [f"kept: {_words(measured)}"])


def _bar_ends(frame: Frame, part: str) -> tuple[float, float]:
    """Where the ends that a tape is held to stood when the tube came back: those of the bar as drawn."""
    bend = solve_frame(as_drawn(frame)).bends.get(part)
    if bend is None:
        return (0.0, 0.0)
    start, finish = bend.job.bar_ends
    return (round(start, 3), round(finish, 3))


def _refuse_what_makes_no_tube(frame: Frame, tube: Tube, part: str, measured: AsBent) -> None:
    """Raise for measurements of another tube, before they are kept."""
    drawn = {one.part.name: one.part.path for one in solve(as_drawn(frame)).parts}
    if part not in drawn:
        return
    try:
        returned(drawn[part], measured)
    except BadPath as error:
        if looks_mirrored(drawn[part], measured):
            text = (
                f"{part} measures like the opposite hand: look whether left and right were swapped"
            )
            raise BadPath(text) from error
        raise
    used = solve(_with(frame, tube, replace(measured, use=True)))
    if part not in {one.part.name for one in used.parts}:
        wrong = next(f for f in used.findings if f.code == "cannot-be-made")
        text = f"{part} cannot be built in as it is: {wrong.what}"
        raise BadText(text)


def _with(frame: Frame, tube: Tube, measured: AsBent | None, hand: str = "") -> Frame:
    """The frame with one tube's measurements in place of those of the same hand; None takes them out."""
    hand = measured.hand if measured is not None else hand
    others = tuple(one for one in tube.as_bent if one.hand != hand)
    changed = (*others, measured) if measured is not None else others
    return replace(
        frame,
        tubes=tuple(
            replace(one, as_bent=changed) if one.name == tube.name else one for one in frame.tubes
        ),
    )


def _kept(
    path: Path, frame: Frame, tube: Tube, hand: str, measured: AsBent | None, lines: list[str]
) -> Told:
    """Save what is changed, and say what follows for this tube."""
    part = part_name(tube.name, hand)
    now = _with(frame, tube, measured, hand)
    before = {(f.code, f.where) for f in solve_frame(frame).findings}
    own = [
        f
        for f in solve_frame(now).findings
        if (f.code.startswith("as-bent") and f.where.split(",")[0] == part)
        or (f.level != "note" and (f.code, f.where) not in before)
    ]
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
