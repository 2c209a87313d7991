"""The keys of a picture in space: arrows turn it, plus and minus zoom, F fits."""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import Qt

_STEP_DEG = 5.0
_TURNS = {
    Qt.Key.Key_Left: (-_STEP_DEG, 0.0), Qt.Key.Key_Right: (_STEP_DEG, 0.0),
    Qt.Key.Key_Up: (0.0, -_STEP_DEG), Qt.Key.Key_Down: (0.0, _STEP_DEG),
}  # fmt: skip


class Turned(Protocol):
    """A view that is turned."""

    def turn(self, right_deg: float, up_deg: float) -> None:
        """Turn it, degrees."""

    def zoom(self, factor: float) -> None:
        """Nearer or farther."""

    def fit(self) -> None:
        """All of it."""


def turn_by_key(view: Turned, key: Qt.Key) -> bool:
    """Do what a key asks for; whether it asks for anything."""
    if key in _TURNS:
        view.turn(*_TURNS[key])
    elif key == Qt.Key.Key_F:
        view.fit()
    elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus):
        view.zoom(0.8 if key == Qt.Key.Key_Minus else 1.25)
    else:
        return False
    return True
