"""The bending tools that a person keeps for every frame, in a file beside the settings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import msgspec

from app.document.bend_wire import Tool, tool_from, tool_out
from app.document.settings import alone, settings_folder
from app.jobs.writing import write_files
from geometry.bend_tool import BendTool
from geometry.errors import BadText, CopewrightError, words_of
from geometry.names import parse_name
from geometry.said import said

FILE = "bending-tools.json"
_FORMAT: Literal["copewright-tools"] = "copewright-tools"
_VERSION = 1


@dataclass(frozen=True)
class _Library:
    format: Literal["copewright-tools"] = _FORMAT
    version: int = _VERSION
    tools: dict[str, Tool] = field(default_factory=dict)


def library_tools() -> dict[str, BendTool]:
    """The tools kept, by name; none where there is no file yet.

    Raises:
        BadText: for a file that cannot be read; it is left as it is.
    """
    path = settings_folder() / FILE
    try:
        library = msgspec.json.decode(path.read_bytes(), type=_Library)
        if library.version != _VERSION:
            text = said(
                "it is of version {version}, not {known}", version=library.version, known=_VERSION
            )
            raise BadText(text)
        return {name: tool_from(tool) for name, tool in library.tools.items()}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, CopewrightError) as error:
        reason = error.strerror if isinstance(error, OSError) else words_of(error)
        text = said(
            "your bending tools {file} cannot be read ({reason}); mend the file or move it away",
            file=repr(str(path)), reason=reason,
        )  # fmt: skip
        raise BadText(text) from error


def change_library(keep: Mapping[str, BendTool], forget: str | None = None) -> dict[str, BendTool]:
    """Keep tools under their names, in place of those of the same name, and forget one; what is kept then.

    Raises:
        BadText: for a file that cannot be read, or a name to forget that is not kept.
    """
    with alone():
        tools = library_tools()
        if forget is not None and forget not in tools:
            known = ", ".join(repr(name) for name in sorted(tools))
            text = said(
                "{name} is not one of your bending tools; kept are {known}",
                name=repr(forget), known=known or said("none yet"),
            )  # fmt: skip
            raise BadText(text)
        # Names are told apart whatever their case, as in a frame.
        new = {parse_name(name, said("the tool's name")).lower() for name in keep}
        tools = {n: t for n, t in tools.items() if n.lower() not in new and n != forget} | dict(
            keep
        )
        kept = _Library(tools={name: tool_out(tool) for name, tool in tools.items()})
        data = msgspec.json.format(msgspec.json.encode(kept, order="sorted"), indent=1)
        write_files(settings_folder(), {FILE: data + b"\n"})
    return tools
