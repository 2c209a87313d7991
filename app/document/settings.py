"""What is remembered between runs: the printers' corrections, and what the window showed last."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal, TypeAlias

import msgspec
import platformdirs

from app.jobs.writing import write_files
from geometry.errors import BadText, CopewrightError, words_of
from geometry.said import said
from templates_out.correction import NO_CORRECTION, Correction
from templates_out.paper import PAPERS, Paper

Colours: TypeAlias = Literal["system", "light", "dark"]

FILE = "settings.json"
_VERSION = 1
_LOCK_SECONDS = 2.0

Kept: TypeAlias = float | str | list[list[str]]
"""A field's value, a choice, or a table's words."""


@dataclass(frozen=True)
class Scale:
    """A printer's correction for one sheet.

    Attributes:
        x: across.
        y: along.
        bars: what the test sheet's two bars measured.
        before: the correction, across and along, that it was printed with.
    """

    x: float
    y: float
    bars: tuple[float, float] | None = None
    before: tuple[float, float] = (1.0, 1.0)


@dataclass(frozen=True)
class PaperChoices:
    """What is printed on, for every page of the window.

    Attributes:
        sheet: name of the sheet.
        printer: whose correction the sheets get; empty for none.
        thickness: of the paper, mm.
        own: the printer's name is the person's own, not the system's.
    """

    sheet: str = "dual"
    printer: str = ""
    thickness: float = 0.1
    own: bool = False

    def sound(self) -> PaperChoices:
        """The same, with what no sheet or paper can be put right."""
        sheet = self.sheet if self.sheet in PAPERS else "dual"
        return replace(
            self, sheet=sheet, thickness=self.thickness if 0 <= self.thickness <= 1 else 0.1
        )


@dataclass(frozen=True)
class WindowState:
    """The window as it was left.

    Attributes:
        inches: lengths are shown in inches.
        page: name of the page on top.
        size: width and height, px.
        folder: where papers were saved last.
        paper: what is printed on.
        pages: what stood in each page's fields, by the page's and the field's name.
        recent: files of the frames worked on last, the last one first.
        full_size: a book is saved with full-size sheets.
        colours: light, dark, or as the system is.
        names: the tubes' names are written in the views.
        perspective: in space what is farther away looks smaller.
    """

    inches: bool = False
    page: str = "Start"
    size: tuple[int, int] = (1024, 700)
    folder: str = ""
    paper: PaperChoices = PaperChoices()
    pages: dict[str, dict[str, Kept]] = field(default_factory=dict)
    recent: tuple[str, ...] = ()
    full_size: bool = False
    colours: Colours = "system"
    names: bool = False
    perspective: bool = False


@dataclass(frozen=True)
class Settings:
    """Everything that is kept; the window's state unread, so that an odd one stops no command."""

    format: Literal["copewright-settings"]
    version: int
    printers: dict[str, dict[str, Scale]] = field(default_factory=dict)
    window: Any = None


def settings_folder() -> Path:
    """Where the platform keeps settings; COPEWRIGHT_SETTINGS names another folder."""
    chosen = os.environ.get("COPEWRIGHT_SETTINGS")
    return Path(chosen) if chosen else Path(platformdirs.user_config_dir("copewright"))


def load_settings() -> Settings:
    """The settings; fresh ones where there are none.

    Raises:
        BadText: for a file that cannot be read; it is left as it is.
    """
    path = settings_folder() / FILE
    try:
        settings = msgspec.json.decode(path.read_bytes(), type=Settings)
    except FileNotFoundError:
        return Settings("copewright-settings", _VERSION)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else words_of(error)
        text = said(
            "the settings {file} cannot be read ({reason}); mend the file or move it away",
            file=repr(str(path)), reason=reason,
        )  # fmt: skip
        raise BadText(text) from error
    if settings.version != _VERSION:
        text = said(
            "the settings {file} are not version {version} settings; move the file away",
            file=repr(str(path)), version=_VERSION,
        )  # fmt: skip
        raise BadText(text)
    return settings


def _keep(settings: Settings) -> Path:
    text = msgspec.json.format(msgspec.json.encode(settings, order="sorted"), indent=1)
    write_files(settings_folder(), {FILE: text + b"\n"})
    return settings_folder() / FILE


@contextmanager
def alone() -> Iterator[None]:
    """While it lasts no other window or command changes the settings; one that died does not count."""
    folder = settings_folder()
    lock = folder / f"{FILE}.lock"
    give_up = time.monotonic() + _LOCK_SECONDS
    while True:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
            break
        except FileExistsError:
            if time.monotonic() > give_up:
                # Whoever made it is gone: keeping takes milliseconds.
                lock.unlink(missing_ok=True)
            time.sleep(0.005)
        except OSError:
            # Where no lock can be made nothing can be kept either; that is said by who writes.
            yield
            return
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


def load_window() -> WindowState:
    """The window as it was left; a fresh one where what is kept of it cannot be read.

    Raises:
        BadText: for settings that cannot be read at all.
    """
    try:
        state = msgspec.convert(load_settings().window or {}, WindowState)
    except msgspec.ValidationError:
        return WindowState()
    return replace(state, paper=state.paper.sound())


def keep_window(changes: dict[str, Any], pages: dict[str, dict[str, Kept]]) -> None:
    """Keep what has changed in a window; what another one has kept in the meantime stays.

    Args:
        changes: parts of ``WindowState`` by their names.
        pages: what stands in the fields of the pages that were changed.

    Raises:
        CopewrightError: when the settings cannot be read or written; they are left as they are.
    """
    with alone():
        now = load_window()
        window = replace(now, **changes, pages={**now.pages, **pages})
        _keep(replace(load_settings(), window=msgspec.to_builtins(window)))


def load_correction(printer: str, sheet: str) -> Correction:
    """The correction kept for a printer and a sheet; none, by its name, where none is kept.

    Raises:
        BadText: for settings that cannot be read.
    """
    if not printer:
        return NO_CORRECTION
    kept = load_settings().printers.get(printer, {}).get(sheet)
    if kept is None:
        return Correction(1.0, 1.0, printer, measured=False)
    try:
        return Correction(kept.x, kept.y, printer)
    except CopewrightError as error:
        text = said(
            "the settings keep no usable correction for {printer} on {sheet}; measure its test sheet again",
            printer=repr(printer), sheet=repr(sheet),
        )  # fmt: skip
        raise BadText(text) from error


def measured_printers() -> dict[str, list[str]]:
    """The printers that are measured, each with its sheets.

    Raises:
        BadText: for settings that cannot be read.
    """
    return {name: sorted(sheets) for name, sheets in load_settings().printers.items()}


def measure_printer(
    printer: str, sheet: Paper, bars: tuple[float, float], *, uncorrected: bool = False
) -> Correction:
    """Keep what a test sheet's bars say of a printer; the correction that follows.

    The same two lengths given again are the same measuring, not a second one on top of it.

    Args:
        printer: its name.
        sheet: what the test sheet was printed on.
        bars: what the level and the upright bar measure, mm.
        uncorrected: the test sheet was printed without the correction kept so far.

    Raises:
        CopewrightError: for bars that are off by more than a printer is, or settings that cannot be read.
    """
    from templates_out.printer import correction_from

    kept = load_settings().printers.get(printer, {}).get(sheet.name)
    before = (1.0, 1.0)
    if kept is not None and not uncorrected:
        before = kept.before if kept.bars == bars else (kept.x, kept.y)
    correction = correction_from(*bars, sheet, printer, Correction(*before, printer))
    keep_correction(correction, sheet.name, bars, before)
    return correction


def keep_correction(
    correction: Correction,
    sheet: str,
    bars: tuple[float, float] | None = None,
    before: tuple[float, float] = (1.0, 1.0),
) -> Path:
    """Keep a printer's correction for a sheet; returns the file it is kept in."""
    with alone():
        settings = load_settings()
        sheets = settings.printers.get(correction.printer, {})
        sheets = {**sheets, sheet: Scale(correction.x, correction.y, bars, before)}
        return _keep(replace(settings, printers={**settings.printers, correction.printer: sheets}))
