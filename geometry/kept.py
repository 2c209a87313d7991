"""What was worked out is kept for the next time, where several are asked for at once."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from threading import Lock
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Kept(Generic[Key, Value]):
    """Answers by what was asked; what was not asked for longest goes first.

    Args:
        most: how many are kept.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Key, Value] = OrderedDict()
        self._lock = Lock()

    def many(
        self, keys: Sequence[Key], make: Callable[[Sequence[Key]], Sequence[Value]]
    ) -> list[Value]:
        """The answers to several, in their order.

        Args:
            keys: what is asked.
            make: answers to those that are not kept, all at once, in their order.
        """
        with self._lock:
            known = {key: self._kept[key] for key in keys if key in self._kept}
        new = [key for key in dict.fromkeys(keys) if key not in known]
        if new:
            known |= zip(new, make(new), strict=True)
        with self._lock:
            for key in known:
                self._kept[key] = known[key]
                self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return [known[key] for key in keys]

    def forget(self) -> None:
        """Keep nothing of what there was."""
        with self._lock:
            self._kept.clear()
