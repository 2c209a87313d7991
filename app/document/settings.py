"""What is remembered between runs: the printers' corrections, one for each printer and sheet."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import platformdirs

from app.jobs.writing import write_files
from geometry.errors import BadText, CopewrightError
from templates_out.correction import NO_CORRECTION, Correction

FILE = "settings.json"
_FORMAT, _VERSION = "copewright-settings", 1


def settings_folder() -> Path:
    """Where the platform keeps settings; COPEWRIGHT_SETTINGS names another folder."""
    chosen = os.environ.get("COPEWRIGHT_SETTINGS")
    return Path(chosen) if chosen else Path(platformdirs.user_config_dir("copewright"))


def _load() -> dict[str, Any]:
    """The settings; fresh ones where there are none.

    Raises:
        BadText: for a file that cannot be read; it is left as it is.
    """
    path = settings_folder() / FILE
    fresh: dict[str, Any] = {"format": _FORMAT, "version": _VERSION, "printers": {}}
    try:
        data = json.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return fresh
    except (OSError, ValueError) as error:
        text = f"the settings {str(path)!r} cannot be read; mend the file or move it away"
        raise BadText(text) from error
    known = isinstance(data, dict) and data.get("format") == _FORMAT
    if not known or data.get("version") != _VERSION or not isinstance(data.get("printers"), dict):
        text = f"the settings {str(path)!r} are not version {_VERSION} settings; move the file away"
        raise BadText(text)
    loaded: dict[str, Any] = data
    return loaded


def load_correction(printer: str, sheet: str) -> Correction:
    """The correction kept for a printer and a sheet; none, by its name, where none is kept.

    Raises:
        BadText: for settings that cannot be read.
    """
    kept = _load()["printers"].get(printer, {}).get(sheet)
    if kept is None:
        return Correction(1.0, 1.0, printer) if printer else NO_CORRECTION
    try:
        return Correction(float(kept["x"]), float(kept["y"]), printer)
    except (CopewrightError, KeyError, TypeError, ValueError) as error:
        text = (
            f"the settings keep no usable correction for {printer!r} on {sheet!r}; measure its test "
            "sheet again"
        )
        raise BadText(text) from error


def keep_correction(correction: Correction, sheet: str) -> Path:
    """Keep a printer's correction for a sheet; returns the file it is kept in."""
    data = _load()
    data["printers"].setdefault(correction.printer, {})[sheet] = {
        "x": correction.x,
        "y": correction.y,
    }
    text = json.dumps(data, indent=1, ensure_ascii=False, sort_keys=True) + "\n"
    write_files(settings_folder(), {FILE: text.encode()})
    return settings_folder() / FILE
