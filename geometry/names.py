"""Names of what is in a frame: what a person may call it, and what is said of names that are taken or not there."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from geometry.errors import BadFrame, BadText
from geometry.said import Said, said

LONGEST_NAME = 80
_SHOWN = 8


def stock_words(name: str) -> Said:
    """A stock, as a sentence calls it."""
    return said("stock {name}", name=repr(name))


def point_words(name: str) -> Said:
    """A point, as a sentence calls it."""
    return said("point {name}", name=repr(name))


def tube_words(name: str) -> Said:
    """A tube, as a sentence calls it."""
    return said("tube {name}", name=repr(name))


def tool_words(name: str) -> Said:
    """A bending tool, as a sentence calls it."""
    return said("bending tool {name}", name=repr(name))


def parse_name(text: str, what: str = "--name") -> str:
    """A name, its outer spaces taken off.

    Raises:
        BadText: unless it has 1 to 80 printable characters.
    """
    name = text.strip()
    if not 1 <= len(name) <= LONGEST_NAME or not name.isprintable():
        message = said(
            "{what} {name} has {count} characters, or some that cannot be printed; allowed are 1 to {most} printable ones",
            what=what, name=repr(name[:20]), count=len(name), most=LONGEST_NAME,
        )  # fmt: skip
        raise BadText(message)
    return name


def part_name(tube: str, hand: str) -> str:
    """What a part is called: its tube's name, and its hand where it has one."""
    return f"{tube} {hand}" if hand else tube


def check_unique(named: Callable[[str], Said], whose: str, names: Iterable[str]) -> None:
    """Refuse names that are none, or that are there twice.

    Args:
        named: what a sentence calls one of that name.
        whose: the name, as in "the name of a tube".
        names: all that there are.

    Raises:
        BadText: for what is no name.
        BadFrame: for one with outer spaces, or twice.
    """
    seen: dict[str, str] = {}
    for name in names:
        if parse_name(name, whose) != name:
            text = said("{what} begins or ends with a space; take it out", what=named(name))
            raise BadFrame(text)
        same = seen.get(name.casefold())
        seen[name.casefold()] = name
        if same == name:
            raise BadFrame(
                said("{what} is there twice; each needs a name of its own", what=named(name))
            )
        if same is not None:
            text = said(
                "{what} is there as {same} too; names must differ by more than their case",
                what=named(name), same=repr(same),
            )  # fmt: skip
            raise BadFrame(text)


def not_there(where: str, what: str, known: Iterable[str], none: str) -> BadText:
    """What names a thing that there is not; to be raised.

    Args:
        where: what names it.
        what: the thing.
        known: the names of those that there are.
        none: is said where there are none, as in "there is no tube yet".
    """
    names = [repr(one) for one in known]
    shown = ", ".join(names[:_SHOWN]) + ", …" * (len(names) > _SHOWN)
    there = said("there are {names}", names=shown) if names else none
    return BadText(
        said("{where} names the {what}, which is not there; {there}", where=where, what=what, there=there)
    )  # fmt: skip
