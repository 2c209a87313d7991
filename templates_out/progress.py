"""How far work that takes long is."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[int, int, str], None]
"""Told how many steps are done, of how many, and what comes next; what it raises stops the work."""


def no_progress(done: int, whole: int, what: str) -> None:
    """Nobody watches."""
