"""Names of tubes: what a person may call one."""

from __future__ import annotations

from geometry.errors import BadText

LONGEST_NAME = 80


def parse_name(text: str, what: str = "--name") -> str:
    """A name, its outer spaces taken off.

    Raises:
        BadText: unless it has 1 to 80 printable characters.
    """
    name = text.strip()
    if not 1 <= len(name) <= LONGEST_NAME or not name.isprintable():
        message = (
            f"{what} {name[:20]!r} has {len(name)} characters, or some that cannot be printed; allowed "
            f"are 1 to {LONGEST_NAME} printable ones"
        )
        raise BadText(message)
    return name


def part_name(tube: str, hand: str) -> str:
    """What a part is called: its tube's name, and its hand where it has one."""
    return f"{tube} {hand}" if hand else tube
