"""Sentences that can be said in another language, and in inches, by who shows them.

What is said here is English, as it stands on paper and in files; the window, which has Qt, puts the pattern into the
person's language and fills it in again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType


class Said(str):
    """English words that know their pattern and what was filled into it.

    Equal to the same words in a plain string. What joins it to others, ``+`` or an f-string, makes a plain string of it:
    fill it into a pattern instead.

    Attributes:
        pattern: with ``{names}``.
        parts: what is filled in, by its name: a name that stays as it is, a number in words, a ``Length``, or again words.
    """

    pattern: str
    parts: Mapping[str, str]

    def __new__(cls, pattern: str, parts: Mapping[str, str]) -> Said:
        """The words in English."""
        made = super().__new__(cls, pattern.format(**parts))
        made.pattern, made.parts = pattern, MappingProxyType(dict(parts))
        return made

    def __reduce__(self) -> tuple[type[Said], tuple[str, dict[str, str]]]:
        """What it is copied from."""
        return Said, (self.pattern, dict(self.parts))


class Length(str):
    """A length, or several, in mm, that know how they are said in inches; made in ``geometry.lengths``."""

    inches: str

    def __new__(cls, text: str, inches: str) -> Length:
        """The words in mm, and those in inches."""
        made = super().__new__(cls, text)
        made.inches = inches
        return made

    def __reduce__(self) -> tuple[type[Length], tuple[str, str]]:
        """What it is copied from."""
        return Length, (str(self), self.inches)


def said(pattern: str, **parts: object) -> Said:
    """Words that can be said in another language.

    Args:
        pattern: a whole sentence, or what stands for itself; a literal, or ``lupdate`` does not find it. Lengths come into
            it as parts, with their unit.
        parts: by the names in the pattern; what is no string is filled in as ``str`` says it.
    """
    return Said(
        pattern, {name: one if isinstance(one, str) else str(one) for name, one in parts.items()}
    )


def put_together(separator: str, words: Iterable[str]) -> Said:
    """Words one behind the other, with a separator that is the same in every language, such as ", "; empty ones left out."""
    some = [one for one in words if one]
    pattern = separator.join(f"{{w{number}}}" for number in range(len(some)))
    return Said(pattern, {f"w{number}": one for number, one in enumerate(some)})


def listed(words: Sequence[str]) -> str:
    """Words as a list in a sentence: "a, b and c"; "" for none."""
    if len(words) < 2:
        return words[0] if words else ""
    *most, last = words
    return said("{most} and {last}", most=put_together(", ", most), last=last)


def each_and(words: Sequence[str]) -> str:
    """Words that all are meant, each for itself: "a and b and c"; "" for none."""
    if len(words) < 2:
        return words[0] if words else ""
    # In halves, so that many do not stand too deep in each other.
    half = len(words) // 2
    return said("{most} and {last}", most=each_and(words[:half]), last=each_and(words[half:]))


def each_or(words: Sequence[str]) -> str:
    """Words of which any may be meant: "a or b or c"; "" for none."""
    if len(words) < 2:
        return words[0] if words else ""
    half = len(words) // 2
    return said("{most} or {last}", most=each_or(words[:half]), last=each_or(words[half:]))
