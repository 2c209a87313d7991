"""What a careful fabricator would stop at."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from geometry.lengths import in_inches

Level = Literal["error", "warning", "note"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")


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

    def in_inches(self, names: Iterable[str] = ()) -> Finding:
        """The finding with its lengths in inches; names that look like a length stay."""
        what, do = (in_inches(words, names) for words in (self.what, self.do))
        return replace(self, what=what, do=do)

    def speaks_of(self, names: Iterable[str]) -> list[str]:
        """Of these names of parts, tubes or points those that the finding's place is of, the one named first first.

        A place is "arm left", "arm left, start", "tube 'arm'", or "arm left and arm right"; a name may itself hold a
        comma or an "and".
        """
        plain = self.where
        # "tube 2" may be a name; a name that is spoken of as a tube's or a point's stands in quotes.
        kind, _, rest = plain.partition(" ")
        quoted = rest if kind in ("tube", "point") and rest[:1] in ("'", '"') else ""
        fits = []
        for name in names:
            for where, said in ((plain, name), (quoted, repr(name))):
                at = f" {where},".find(f" {said},")
                if at < 0:
                    at = f" {where} ".find(f" {said} and ")
                if at == 0 or (at > 0 and where[:at].endswith(" and ")):
                    fits.append((at, -len(said), name))
                    break
        found: list[str] = []
        reached = -1
        for at, size, name in sorted(fits):
            # Of names that begin at one place the longest is meant.
            if at > reached:
                found.append(name)
                reached = at - size
        return found
