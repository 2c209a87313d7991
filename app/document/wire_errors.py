"""What is wrong in a frame's file, in words: the library's sentence with the file's own places."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, get_args

import msgspec

from geometry import frame as model
from geometry.as_bent import HOLDS
from geometry.bend_tool import TURNS
from geometry.joint import FITS
from geometry.said import put_together, said
from geometry.title import PROJECTIONS, TOLERANCE_CLASSES


def in_words(text: str, kind: Any, inside: Mapping[str, Any]) -> str:
    """The library's sentence with the place in the file's own words, and what is allowed there.

    Args:
        text: the library's.
        kind: what was read.
        inside: what stands inside it, by its key.
    """
    what, _, place = text.partition(" - at `")
    place = place.rstrip("`").removeprefix("$").removeprefix(".")
    words = _wrong(what[:1].lower() + what[1:])
    if place:
        words = said("{wrong}, at {place}", wrong=words, place=_from_one(place))
    key = re.split(r"[.\[]", place)[-1] if not place.endswith("]") else ""
    allowed = _ALLOWED.get(key, ())
    if "unknown field" in what:
        holder = inside.get(re.sub(r"\[\d+\]", "", place).split(".")[-1], kind)
        kinds = [one for one in get_args(holder) or (holder,) if isinstance(one, type)]
        allowed = tuple(
            dict.fromkeys(
                field.encode_name
                for one in kinds
                if issubclass(one, msgspec.Struct)
                for field in msgspec.structs.fields(one)
            )
        )
    elif "enum value" not in what:
        allowed = ()
    if not allowed:
        return words
    return said("{wrong}; allowed are {allowed}", wrong=words, allowed=", ".join(allowed))


def _wrong(text: str) -> str:
    """The library's sentence in our own words, which are the same in English; those it seldom says stay as they are."""
    if found := re.fullmatch(r"expected (`[^`]*`), got (`[^`]*`)", text):
        return said("expected {wanted}, got {given}", wanted=found[1], given=found[2])
    if found := re.fullmatch(r"expected `array` of length (\d+), got (\d+)", text):
        return said("expected `array` of length {wanted}, got {given}", wanted=found[1], given=found[2])  # fmt: skip
    if found := re.fullmatch(r"object contains unknown field (.*)", text):
        return said("object contains unknown field {key}", key=found[1])
    if found := re.fullmatch(r"object missing required field (.*)", text):
        return said("object missing required field {key}", key=found[1])
    if found := re.fullmatch(r"invalid enum value (.*)", text):
        return said("invalid enum value {given}", given=found[1])
    if found := re.fullmatch(r"invalid value (.*)", text):
        return said("invalid value {given}", given=found[1])
    return text


def _from_one(place: str) -> str:
    """Places in lists counted from one, and both ends by name."""
    for key, end in (("ends[0]", said("its start")), ("ends[1]", said("its finish"))):
        if place.startswith(key):
            return put_together("", (end, _from_one(place.removeprefix(key))))
    return re.sub(r"\[(\d+)\]", lambda found: f"[{int(found[1]) + 1}]", place)


_ALLOWED: dict[str, tuple[str, ...]] = {
    "cut": model.END_CUTS,
    "fit": FITS,
    "way": model.MITRE_WAYS,
    "units": model.UNITS,
    "shape": ("round", "box"),
    "turns": TURNS,
    "hold": HOLDS,
    "projection": PROJECTIONS,
    "tolerance": TOLERANCE_CLASSES,
    "format": ("copewright-frame",),
}
