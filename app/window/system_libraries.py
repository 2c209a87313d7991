"""The system libraries that a window needs on Linux, where no desktop has brought them."""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path

PACKAGES = (
    "libgl1", "libegl1", "libxkbcommon0", "libfontconfig1", "libdbus-1-3", "libglib2.0-0",
    # On a screen of X11, directly or by way of Wayland's.
    "libxcb-cursor0", "libxcb-icccm4", "libxcb-image0", "libxcb-keysyms1", "libxcb-randr0", "libxcb-render-util0",
    "libxcb-shape0", "libxcb-xkb1", "libx11-xcb1", "libxkbcommon-x11-0",
)  # fmt: skip
"""Those of Debian; ``tests/everything.sh`` and the README name the same."""


def screen_part() -> Path:
    """Qt's part that draws on a screen of X11."""
    from PySide6.QtCore import QLibraryInfo

    plugins = Path(QLibraryInfo.path(QLibraryInfo.LibraryPath.PluginsPath))
    return plugins / "platforms" / "libqxcb.so"


def missing_library() -> str:
    """Why Qt could not draw on the screen that is there: without a word it would end the program; "" if it can."""
    chosen = os.environ.get("QT_QPA_PLATFORM", "")
    on_x11 = chosen.startswith("xcb") or (
        not chosen and bool(os.environ.get("DISPLAY")) and not os.environ.get("WAYLAND_DISPLAY")
    )
    part = screen_part() if sys.platform.startswith("linux") and on_x11 else None
    if part is None or not part.is_file():
        return ""
    try:
        ctypes.CDLL(str(part))
    except OSError as error:
        return str(error)
    return ""
