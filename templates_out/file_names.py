"""Names made safe for files."""

from __future__ import annotations

import re
import unicodedata

_STEM = 60


class FileNames:
    """Names made safe for files on every system, and still told apart."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def of(self, name: str, *also: str) -> str:
        """A stem of small letters, digits and hyphens; numbered where another name has made the same.

        Args:
            name: any.
            also: endings with which it is used too; the stem with each of them is kept free.
        """
        plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
        stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_STEM].strip("-") or "tube"
        if re.fullmatch(r"con|prn|aux|nul|com\d|lpt\d", stem):
            stem = f"tube-{stem}"
        unique, number = stem, 1
        while self._taken & {unique, *(unique + ending for ending in also)}:
            number += 1
            unique = f"{stem}-{number}"
        self._taken |= {unique, *(unique + ending for ending in also)}
        return unique
