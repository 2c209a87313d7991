"""The sample frames that come with the program."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import as_file, files
from pathlib import Path

from app.document.frame_file import open_frame
from geometry.frame import Frame

_FIRST = "paddock-stand"


@dataclass(frozen=True)
class Sample:
    """An invented job.

    Attributes:
        key: its folder's name.
        title: as its README has it.
        words: the README's first line about it.
    """

    key: str
    title: str
    words: str


def samples() -> list[Sample]:
    """The samples that are frames, the one to begin with first; none where they did not come with the program."""
    found = []
    try:
        folders = sorted(files("sample_projects").iterdir(), key=lambda one: one.name)
    except ModuleNotFoundError:
        return []
    for folder in folders:
        if not folder.is_dir() or not (folder / f"{folder.name}.frame").is_file():
            continue
        lines = (folder / "README.md").read_text(encoding="utf-8").splitlines()
        title, words = (line for line in lines[:3] if line)
        found.append(Sample(folder.name, title.lstrip("# "), words))
    return sorted(found, key=lambda one: one.key != _FIRST)


def sample_frame(key: str) -> Frame:
    """A sample's frame.

    Raises:
        BadText: when it cannot be read.
    """
    with as_file(files("sample_projects") / key / f"{key}.frame") as place:
        return open_frame(Path(place))
