"""A set of files into a folder: all of them whole, or what was there before."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from geometry.errors import BadText, CopewrightError
from geometry.findings import Finding
from geometry.names import parse_name
from geometry.said import said
from templates_out.correction import NO_CORRECTION, Correction

if TYPE_CHECKING:
    from templates_out.sheet import Sheet


class CannotWrite(CopewrightError, OSError):
    """A folder or file that cannot be written."""


def system_words(error: OSError) -> str:
    """Why the system did not, in its own words, in a sentence."""
    return error.strerror.lower() if error.strerror else said("it failed")


def out_folder(text: str) -> Path:
    """The folder that was asked for.

    Raises:
        CannotWrite: for an empty name.
    """
    if not text.strip():
        message = "--out is empty; give a folder, such as papers"
        raise CannotWrite(message)
    return Path(text)


def kept_correction(printer: str | None, sheet: str) -> Correction:
    """The correction kept for a printer and a sheet; none where no printer is named.

    Raises:
        BadText: for a name that is none, or settings that cannot be read.
    """
    if printer is None:
        return NO_CORRECTION
    from app.document.settings import load_correction, measured_printers

    name = parse_name(printer, "--printer")
    known = measured_printers()
    if name not in known:
        there = ", ".join(repr(one) for one in sorted(known)) or "none yet"
        text = (
            f"--printer {name!r} is not measured; measured are {there}: measure it with test-sheet"
        )
        raise BadText(text)
    return load_correction(name, sheet)


def write_files(
    folder: Path, files: Mapping[str, bytes], outdated: Iterable[str] = (), *, sync: bool = True
) -> list[Path]:
    """Write files into a folder, made if it is not there.

    Every file is first written whole beside its place and then moved there, so that a failure or a
    kill never leaves half a file.

    Args:
        folder: where to.
        files: name and bytes of each; a name may have a folder before it, as in ``dxf/rail.dxf``.
        outdated: names of earlier output that this set has no part for; a drawing left over from
            another tube must not pass for this one's.
        sync: wait until each file is on the disk itself before it takes the old one's place; not for many files
            that can be made again.

    Returns:
        The outdated files that were there and are taken away.

    Raises:
        CannotWrite: in one sentence; files that were there before are whole.
    """
    made = not folder.exists()
    waiting: list[tuple[Path, Path]] = []
    folders = {folder}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            place = folder / name
            if place.parent not in folders:
                folders.add(place.parent)
                place.parent.mkdir(parents=True, exist_ok=True)
            handle, temporary = tempfile.mkstemp(prefix=f".{place.name[:60]}.", dir=place.parent)
            waiting.append((Path(temporary), place))
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                if sync:
                    stream.flush()
                    os.fsync(stream.fileno())
            os.chmod(temporary, 0o666 & ~_UMASK)
            if (folder / name).is_dir():
                raise IsADirectoryError(21, "Is a directory", name)
        while waiting:
            os.replace(*waiting[0])
            waiting.pop(0)
        gone = [folder / name for name in outdated if (folder / name).is_file()]
        for path in gone:
            path.unlink()
    except OSError as error:
        for temporary_path, _ in waiting:
            temporary_path.unlink(missing_ok=True)
        if made:
            for one in (*(folders - {folder}), folder):
                with contextlib.suppress(OSError):
                    one.rmdir()
        text = said(
            "the folder {folder} cannot be written ({reason}); give one you may write to",
            folder=repr(str(folder)), reason=system_words(error),
        )  # fmt: skip
        raise CannotWrite(text) from error
    return gone


def write_again(out: str, name: str, sheets: list[Sheet], title: str) -> list[str]:
    """Write some of a job's sheets to a file of their own, the other papers left as they are."""
    from templates_out.pdf import pdf_bytes

    folder, files = out_folder(out), {name: pdf_bytes(sheets, title, title)}
    write_files(folder, files)
    return told(folder, files, {name: len(sheets)}, ())


def _umask() -> int:
    """The process's file mode mask; reading it means setting it, so it is read once."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


_UMASK = _umask()


def told(
    folder: Path,
    files: Iterable[str],
    pages: Mapping[str, int],
    findings: tuple[Finding, ...],
) -> list[str]:
    """What to tell the person: the files written, and the findings.

    Args:
        folder: where they are.
        files: their names.
        pages: how many each that has pages has.
        findings: all of them.
    """
    lines = [
        f"{folder / name}" + (f" ({pages[name]} pages)" if name in pages else "") for name in files
    ]
    for finding in findings:
        lines.append(f"{finding.level}: {finding.where}: {finding.what} {finding.do}")
    return lines
