"""Garbage is collected on the window's thread alone.

Python looks for it wherever it happens to be; in a worker's thread it would end widgets there, which Qt does not
survive.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

_EVERY_MS = 1000


class Garbage(QObject):
    """Collects what Python would have collected by itself, but here."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        # What was there at the start stays.
        gc.freeze()
        self._timer = QTimer(self)
        self._timer.setInterval(_EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def look(self) -> None:
        """Collect the oldest generation whose time it is by Python's own measure."""
        counts, limits = gc.get_count(), gc.get_threshold()
        for generation in (2, 1, 0):
            if counts[generation] > limits[generation] > 0:
                gc.collect(generation)
                return
