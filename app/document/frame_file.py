"""Opening and saving a frame: JSON that a person can read a diff of, never half written."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from app.document.frame_wire import FORMAT, VERSION, from_model, to_builtins, to_model
from app.jobs.writing import CannotWrite, system_words, write_files
from geometry.errors import BadText, words_of
from geometry.frame import Frame
from geometry.said import put_together, said

MOST_BYTES = 20_000_000
"""A frame of thousands of tubes is a few MB; more is not a frame."""

_UPGRADES: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {}
"""For each older version, what makes the next one of it."""


def open_frame(path: Path) -> Frame:
    """The frame in a file.

    Raises:
        BadText: when it cannot be read or is no frame; one sentence that names the file and the place.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            text = said(
                "{file} is larger than {most} MB, so it is no frame", file=path, most=MOST_BYTES // 1_000_000
            )  # fmt: skip
            raise BadText(text)
        data = path.read_bytes()
    except OSError as error:
        text = said("{file} cannot be read ({reason})", file=path, reason=system_words(error))
        raise BadText(text) from error
    try:
        return read_frame(data)
    except BadText as error:
        text = put_together(": ", (str(path), error.words))
        raise BadText(text) from error


def read_frame(data: bytes) -> Frame:
    """The frame that a file's bytes hold.

    Raises:
        BadText: for what is no frame of a version up to this one; the text names the place.
    """
    try:
        parsed = json.loads(
            data.decode("utf-8-sig"), object_pairs_hook=_each_once, parse_constant=_no_number
        )
    except UnicodeDecodeError as error:
        text = said("the file is not UTF-8 text (byte {number})", number=error.start)
        raise BadText(text) from error
    except json.JSONDecodeError as error:
        text = said(
            "the file is not JSON: {reason}, at line {line}, column {column}",
            reason=error.msg.lower(), line=error.lineno, column=error.colno,
        )  # fmt: skip
        raise BadText(text) from error
    except RecursionError as error:
        text = said("the file is nested too deeply to be a frame")
        raise BadText(text) from error
    if not isinstance(parsed, dict) or parsed.get("format") != FORMAT:
        text = said(
            'the file is not a frame: it must begin with "format": "{format}"', format=FORMAT
        )
        raise BadText(text)
    version = parsed.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        text = said(
            'the file\'s "version" is {version}; allowed are 1 to {newest}', version=repr(version), newest=VERSION
        )  # fmt: skip
        raise BadText(text)
    if version > VERSION:
        text = said(
            "the file is of version {version}, from a newer Copewright; this one reads up to version {newest}; open it with the "
            "newer one",
            version=version, newest=VERSION,
        )  # fmt: skip
        raise BadText(text)
    while version < VERSION:
        parsed = _UPGRADES[version](parsed)
        version += 1
    try:
        return to_model(parsed)
    except BadText:
        raise
    except ValueError as error:
        raise BadText(words_of(error)) from error


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """A JSON object whose keys stand once each; the last of two would win in silence."""
    whole: dict[str, Any] = {}
    for key, value in pairs:
        if key in whole:
            text = said("the key {key} stands twice in one place; take one out", key=repr(key))
            raise BadText(text)
        whole[key] = value
    return whole


def _no_number(word: str) -> float:
    text = said("the file has {word}, which is no number of JSON", word=word)
    raise BadText(text)


_PLACED = ("format", "version", "name", "stock", "tools", "points", "tubes", "progress", "made")
"""Keys that have their own place in the file; every other one has a line above the stock."""


def frame_bytes(frame: Frame) -> bytes:
    """A frame as its file: each stock, point and tube on a line of its own, so that a diff says what changed."""
    wire = to_builtins(from_model(frame))
    lines = [
        "{",
        f' "format": {_one_line(wire["format"])}, "version": {wire["version"]},',
        f' "name": {_one_line(wire["name"])},',
        *(f' "{key}": {_one_line(one)},' for key, one in wire.items() if key not in _PLACED),
    ]
    for key in ("progress", "made", "stock", "tools", "points"):
        if key not in wire:
            continue
        rows = [f"  {_one_line(name)}: {_one_line(one)}" for name, one in wire[key].items()]
        lines.append(f' "{key}": {_block("{", rows, "}")},')
    rows = [_tube_rows(tube) for tube in wire["tubes"]]
    lines.append(f' "tubes": {_block("[", rows, "]")}')
    lines.append("}")
    return ("\n".join(lines) + "\n").encode()


def _one_line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _block(opening: str, rows: list[str], closing: str) -> str:
    return opening + ("\n" + ",\n".join(rows) + "\n " if rows else "") + closing


def _tube_rows(tube: dict[str, Any]) -> str:
    """The tube on a line, its ends on the next ones, and what it measures as bent."""
    rest = {key: value for key, value in tube.items() if key not in ("ends", "as_bent")}
    rows = [f"  {_one_line(rest)[:-1]}"]
    for key in ("ends", "as_bent"):
        if key in tube:
            apart = ",\n" + " " * (len(key) + 8)
            rows.append(f'   "{key}": [{apart.join(_one_line(one) for one in tube[key])}]')
    return ",\n".join(rows) + "}"


def save_frame(path: Path, frame: Frame) -> None:
    """Write a frame; a kill at any moment leaves the old file or the new one, whole.

    Raises:
        CannotWrite: in one sentence; the file that was there is whole.
    """
    try:
        write_files(path.parent, {path.name: frame_bytes(frame)})
    except CannotWrite as error:
        cause = error.__cause__
        reason = system_words(cause) if isinstance(cause, OSError) else said("it failed")
        text = said(
            "{file} cannot be saved ({reason}); save it somewhere you may write to", file=path, reason=reason
        )  # fmt: skip
        raise CannotWrite(text) from error
