"""The log file: what went wrong inside the program, for whoever mends it."""

from __future__ import annotations

import logging
import os
from logging.handlers import RotatingFileHandler
from pathlib import Path

import platformdirs

FILE = "copewright.log"
_BYTES, _OLDER = 500_000, 2


def log_file() -> Path:
    """Where the log is; COPEWRIGHT_SETTINGS names another folder."""
    chosen = os.environ.get("COPEWRIGHT_SETTINGS")
    return Path(chosen or platformdirs.user_log_dir("copewright")) / FILE


def start_log() -> logging.Handler:
    """Write warnings and errors to the log file; without one where it cannot be written."""
    path = log_file()
    handler: logging.Handler
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(
            path, maxBytes=_BYTES, backupCount=_OLDER, encoding="utf-8", delay=False
        )
    except OSError:
        handler = logging.StreamHandler()
    handler.setLevel(logging.WARNING)
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    logging.getLogger().addHandler(handler)
    return handler
