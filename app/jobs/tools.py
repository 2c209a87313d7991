"""The command ``tools``: a person's own bending tools, kept for every frame."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from app.document.frame_file import open_frame, save_frame
from app.document.tool_library import change_library, library_tools
from geometry.bend_tool import BendTool
from geometry.errors import BadText
from geometry.lengths import format_mm


def run(asked: Namespace) -> list[str]:
    """List the tools, or take them from a frame, put them into one, or forget one."""
    if asked.name is not None and asked.from_frame is None and asked.into is None:
        text = "--name goes with --from or --into; alone it does nothing"
        raise BadText(text)
    if asked.from_frame is not None:
        frame = open_frame(Path(asked.from_frame))
        some = _chosen(frame.tools, asked.name, f"tools in {asked.from_frame}")
        before = library_tools()
        tools = change_library(some)
        lines = [f"kept {'again ' * (name in before)}{name!r}" for name in some]
        return lines + _listed(tools)
    if asked.into is not None:
        path = Path(asked.into)
        frame = open_frame(path)
        some = _chosen(library_tools(), asked.name, "tools of your own")
        there = [name for name in some if name in frame.tools and frame.tools[name] != some[name]]
        if there and asked.name is None:
            text = (
                f"{path} has tools of the same name that differ: {', '.join(map(repr, there))}; put them in one by one "
                "with --name to replace them"
            )
            raise BadText(text)
        save_frame(path, replace(frame, tools={**frame.tools, **some}))
        return [f"{path}: put in {name!r}" for name in some]
    if asked.forget is not None:
        return [f"forgot {asked.forget!r}", *_listed(change_library({}, asked.forget))]
    return _listed(library_tools())


def _chosen(tools: Mapping[str, BendTool], name: str | None, what: str) -> dict[str, BendTool]:
    """The tools meant: all, or the one of a name."""
    known = ", ".join(repr(one) for one in sorted(tools)) or "none"
    if name is not None and name not in tools:
        text = f"--name {name!r} is none of the {what}; they are {known}"
        raise BadText(text)
    if not tools:
        text = f"there are no {what}; nothing is done"
        raise BadText(text)
    return dict(tools) if name is None else {name: tools[name]}


def _listed(tools: dict[str, BendTool]) -> list[str]:
    """One line a tool."""
    if not tools:
        return ["no bending tools are kept; keep a frame's with copewright tools --from FILE.frame"]
    return [_line(name, tool) for name, tool in sorted(tools.items())]


def _line(name: str, tool: BendTool) -> str:
    count = len(tool.trials)
    return (
        f"{name}: tube {format_mm(tool.od, 3)}, radius {format_mm(tool.radius)}, grip {format_mm(tool.grip)}, "
        f"{format_mm(tool.between)} between bends, reference {format_mm(tool.reference)}, up to "
        f"{format_mm(tool.greatest_angle)}°, {count or 'no'} trial bend{'s' * (count != 1)}"
    )
