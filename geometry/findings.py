"""What a careful fabricator would stop at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["error", "warning", "note"]


@dataclass(frozen=True)
class Finding:
    """One thing worth stopping at.

    Attributes:
        code: short fixed name, for machines and tests.
        level: "error" (cannot be made), "warning" (look before cutting) or "note".
        where: the tube, end or bend it speaks of.
        what: one sentence: what is so.
        do: one sentence: what to do about it.
    """

    code: str
    level: Level
    where: str
    what: str
    do: str
