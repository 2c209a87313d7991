"""What a command tells the person, and its exit code."""

from __future__ import annotations

from typing import NamedTuple


class Told(NamedTuple):
    """Lines to print, and 0, or 1 where something could not be made."""

    lines: list[str]
    code: int = 0
