"""Adds a bending tool to a frame: a new one, or one that the person keeps for every frame."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtWidgets import QMenu, QWidget

from app.document.tool_library import library_tools
from app.window.frame_edits import FrameEdits
from app.window.words import sentence, tr
from geometry.bend_tool import BendTool
from geometry.errors import CopewrightError
from geometry.frame import Frame


def add_tool(edits: FrameEdits, frame: Frame, button: QWidget) -> str:
    """Ask which, where there is a choice, and add it; returns what to tell.

    Args:
        edits: of the frame.
        frame: that it is added to.
        button: that was pressed.
    """
    try:
        kept = library_tools()
    except CopewrightError as error:
        edits.add_tool()
        return sentence(error)
    there = {name.casefold() for name in frame.tools}
    offered = {name: tool for name, tool in sorted(kept.items()) if name.casefold() not in there}
    if not offered:
        edits.add_tool()
        return ""
    name = choose_tool(button, offered)
    if name is not None:
        edits.add_tool(name, offered.get(name))
    return ""


def choose_tool(button: QWidget, offered: Mapping[str, BendTool]) -> str | None:
    """The name of one of these; "" for a new one, None for neither."""
    menu = QMenu(button)
    actions = {menu.addAction(tr("A new one")): ""}
    menu.addSeparator()
    actions |= {menu.addAction(name.replace("&", "&&")): name for name in offered}
    return actions.get(menu.exec(button.mapToGlobal(button.rect().topLeft())))
