"""Frames that were not saved: kept beside the settings while they are worked on, and offered after a crash."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import time
import uuid
from dataclasses import dataclass
from pathlib import Path

from app.document.frame_file import frame_bytes, read_frame
from app.document.settings import settings_folder
from app.jobs.writing import write_files
from geometry.errors import CopewrightError
from geometry.frame import Frame

FOLDER = "unsaved"
_FORMAT = "copewright-unsaved"


@dataclass(frozen=True)
class Unsaved:
    """A frame that a window did not save before it went.

    Attributes:
        key: of its record.
        path: the file that it was opened from; "" for one of no file.
        seconds: when it was kept, since 1970.
        frame: as it was then.
        disk: what the file had when it was last read or saved, as a fingerprint; "" for none.
    """

    key: str
    path: str
    seconds: float
    frame: Frame
    disk: str = ""


class Recovery:
    """One window's record of its unsaved frame.

    A record is written whole beside its place and moved there; it names the process that works on it, so that
    another window does not offer it meanwhile.
    """

    def __init__(self) -> None:
        self._key = uuid.uuid4().hex

    def keep(self, frame: Frame, path: str, disk: bytes | None = None) -> None:
        """Keep the frame as it is now.

        Args:
            frame: not saved yet.
            path: the file that it was opened from, or "".
            disk: what that had when it was last read or saved.

        Raises:
            CannotWrite: in one sentence.
        """
        head = {"format": _FORMAT, "version": 1, "path": path, "disk": fingerprint(disk), "seconds": time.time(), "process": os.getpid()}  # fmt: skip
        data = json.dumps(head, ensure_ascii=False).encode() + b"\n" + frame_bytes(frame)
        write_files(_folder(), {f"{self._key}.unsaved": data})

    def drop(self) -> None:
        """Nothing is unsaved any more."""
        forget(self._key)


def unsaved_frames() -> list[Unsaved]:
    """What windows that are gone did not save, the newest first; a record that cannot be read stays where it is.

    To be asked when a window opens.
    """
    found = []
    with contextlib.suppress(OSError):
        for place in _folder().glob("*.unsaved"):
            with contextlib.suppress(OSError, ValueError, KeyError, TypeError, CopewrightError):
                first, _, rest = place.read_bytes().partition(b"\n")
                head = json.loads(first)
                if head["format"] != _FORMAT or _runs(int(head["process"])):
                    continue
                found.append(
                    Unsaved(
                        place.stem,
                        str(head["path"]),
                        float(head["seconds"]),
                        read_frame(rest),
                        str(head.get("disk", "")),
                    )
                )
    return sorted(found, key=lambda one: -one.seconds)


def fingerprint(data: bytes | None) -> str:
    """Tells one file's content from another's; "" for none."""
    return "" if data is None else hashlib.sha256(data).hexdigest()


def forget(key: str) -> None:
    """Drop a record: it was saved, taken over, or is not wanted."""
    with contextlib.suppress(OSError):
        (_folder() / f"{key}.unsaved").unlink(missing_ok=True)


def _folder() -> Path:
    return settings_folder() / FOLDER


def _runs(process: int) -> bool:
    """Whether another process is there; where that cannot be told, it is not.

    This one's own number is an earlier process's: what it leaves is asked for before it keeps anything.
    """
    if os.name == "nt" or process == os.getpid():
        return False
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        # It is another person's: a number used again.
        return False
    try:
        # One that has ended, and whose parent has not asked after it yet, is still counted.
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (OSError, IndexError):
        return True
