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
    words = what[:1].lower() + what[1:]
    if place:
        words = f"{words}, at {_from_one(place)}"
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
    return f"{words}; allowed are {', '.join(allowed)}" if allowed else words


def _from_one(place: str) -> str:
    """Places in lists counted from one, and both ends by name."""
    place = place.replace("ends[0]", "its start").replace("ends[1]", "its finish")
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
