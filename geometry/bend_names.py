"""What a tube's bends are called in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.said import Said, said


def bend_words(number: int) -> Said:
    """As "bend 2"."""
    return said("bend {number}", number=number)


def bends_words(numbers: Sequence[int]) -> Said:
    """As "bend 2", or "bends 1, 2, 4" for several."""
    if len(numbers) == 1:
        return bend_words(numbers[0])
    return said("bends {numbers}", numbers=", ".join(map(str, numbers)))
