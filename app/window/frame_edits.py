"""What the page of a frame does to it: each edit has a name, and what cannot be done changes nothing."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtWidgets import QApplication, QWidget

from app.document.history import History
from app.window.document import FrameDocument
from app.window.shown_words import STEP_WORDS
from app.window.words import tr
from geometry.bend_tool import BendTool
from geometry.edits import (
    copy_tube,
    free_name,
    move_tube,
    new_stock,
    put_point,
    put_stock,
    put_tool,
    remove_point,
    remove_points,
    remove_stock,
    remove_tool,
    remove_tube,
    rename_frame,
    rename_point,
    rename_stock,
    rename_tool,
    rename_tube,
)
from geometry.frame import Frame, Step
from geometry.made_checks import put_progress
from geometry.path import Point
from geometry.place import At
from geometry.point_moves import Change, change_points, drag_point
from geometry.section import RoundTube
from geometry.springback import theory_setting

Edit = Callable[[Frame], Frame]
_REMOVE = {
    "Tubes": remove_tube, "Points": remove_point, "Stock": remove_stock, "Tools": remove_tool,
}  # fmt: skip
_RENAME = {
    "Tubes": rename_tube, "Points": rename_point, "Stock": rename_stock, "Tools": rename_tool,
}  # fmt: skip
_STILL_MM = 1e-9
_RIGHT_ANGLE = 90.0
_COPY_AWAY = 2.0
"""How far above a tube its copy begins, in diameters: beside it, and in view."""


@dataclass(frozen=True)
class _Drag:
    """A point that is dragged.

    Attributes:
        name: of the point.
        before: what was before it was taken.
        left: what its last move has made of that.
    """

    name: str
    before: History
    left: History


class FrameEdits:
    """Edits of one document.

    Args:
        document: the frame worked on.
        choose: shows what an edit has made or changed: the list, and the name in it.
        refused: shows what is there again, after an edit that could not be made.
    """

    def __init__(
        self,
        document: FrameDocument,
        choose: Callable[[str, str], None],
        refused: Callable[[], None],
    ) -> None:
        self._document, self._choose, self._refused = document, choose, refused
        self._last: tuple[str, QWidget | None] = ("", None)
        self._drag: _Drag | None = None

    @property
    def _frame(self) -> Frame:
        return self._document.frame

    def do(self, words: str, change: Edit, *, merge: bool = False) -> bool:
        """Make an edit; whether it could be made."""
        if self._document.do(words, change, merge=merge):
            return True
        self._refused()
        return False

    def typed(self, words: str, change: Edit) -> None:
        """An edit by a form; what is typed in one go in one field is one step."""
        now = (words, QApplication.focusWidget())
        self.do(words, change, merge=now == self._last and now[1] is not None)
        self._last = now

    def take_back(self) -> None:
        """What was typed so far in this field is no value after all: back to what was before it."""
        words, field = self._last
        if field is not None and field is QApplication.focusWidget():
            if self._document.history.undo_words == words:
                self._document.undo()
            self._last = ("", None)

    def rename(self, kind: str, old: str, new: str) -> None:
        """Give a tube, a point, a stock or a tool another name."""
        if self.do(
            tr("Rename {name}").format(name=old), lambda frame: _RENAME[kind](frame, old, new)
        ):
            self._choose(kind, new)

    def rename_frame(self, old: str, new: str) -> None:
        """Give the frame another name."""
        self.do(tr("Rename {name}").format(name=old), lambda frame: rename_frame(frame, new))

    def mark(self, part: str, step: Step | None) -> None:
        """Mark how far a part is made."""
        made = STEP_WORDS[step] if step else tr("not begun")
        words = tr("Mark {part} as {step}").format(part=part, step=made)
        self.do(words, lambda frame: put_progress(frame, part, step))

    def move_tube(self, name: str, to: int) -> bool:
        """Put a tube elsewhere in the order; whether it could be put there."""
        words = tr("Move {name} in the order").format(name=name)
        done = self.do(words, lambda frame: move_tube(frame, name, to))
        self._choose("Tubes", name)
        return done

    @property
    def dragging(self) -> bool:
        """A point is being dragged, and not let go yet."""
        return self._drag is not None

    def drag(
        self,
        name: str,
        at: Point,
        places: Mapping[str, Point],
        shown: str = "xyz",
        *,
        also: Sequence[str] = (),
        done: bool,
    ) -> None:
        """Move a point to a place; until it is let go all of it is one step.

        Args:
            name: of the point.
            at: where to, mm.
            places: where the points are.
            shown: the axes that the person sees.
            also: other points that go along.
            done: it is let go there.
        """
        here, document, drag = places.get(name), self._document, self._drag
        if here is None or math.dist(at, here) >= _STILL_MM:
            before = document.history
            if drag is not None and drag.name == name and drag.left is before:
                before = drag.before
            words = tr("Move point {name}").format(name=name)
            if len(also) > 1:
                words = tr("Move {n} points").format(n=len(also))
            moved = document.do(words, lambda f: drag_point(f, name, at, shown, also), after=before)
            if moved:
                self._drag = _Drag(name, before, document.history)
            else:
                self._refused()
        if done:
            self._drag = None

    def leave_drag(self) -> None:
        """The points that are dragged go back to where they were, as if they had never been taken."""
        drag, self._drag = self._drag, None
        # What was undone meanwhile is not done again.
        if drag is not None and self._document.history is drag.left:
            self._document.go_back(drag.before)

    def change_points(self, words: str, names: Sequence[str], change: Change) -> None:
        """Move, turn, mirror or scale some points."""
        self.do(words, lambda frame: change_points(frame, names, change))

    def copy(self, name: str) -> None:
        """The same tube once more."""
        if name:
            new = free_name(name, [tube.name for tube in self._frame.tubes])
            words = tr("Copy {name}").format(name=name)
            section = self._frame.stock[self._frame.tube(name).stock].section
            size = section.od if isinstance(section, RoundTube) else section.height
            step = (0.0, 0.0, _COPY_AWAY * size)
            if self.do(words, lambda frame: copy_tube(frame, name, new, step)):
                self._choose("Tubes", new)

    def take_out(self, kind: str, names: Sequence[str]) -> None:
        """Take a tube, a stock or a tool out, or points."""
        if len(names) == 1:
            words = tr("Take out {name}").format(name=names[0])
            self.do(words, lambda frame: _REMOVE[kind](frame, names[0]))
        elif names:
            words = tr("Take out {n} points").format(n=len(names))
            self.do(words, lambda frame: remove_points(frame, names))

    def add_stock(self, *, inches: bool) -> None:
        """A new stock, to be given its sizes."""
        name = free_name(tr("tube"), self._frame.stock)
        section = RoundTube(25.4, 1.651) if inches else RoundTube(25.0, 2.0)
        stock = new_stock(section, "in" if inches else "mm")
        words = tr("Add stock {name}").format(name=name)
        if self.do(words, lambda frame: put_stock(frame, name, stock)):
            self._choose("Stock", name)

    def add_tool(self, name: str = "", tool: BendTool | None = None) -> None:
        """A new bending tool, to be given its sizes; or one that the person keeps for every frame."""
        name = free_name(name or tr("bender"), self._frame.tools)
        made = tool or self._first_guess()
        words = tr("Add bending tool {name}").format(name=name)
        if self.do(words, lambda frame: put_tool(frame, name, made)):
            self._choose("Tools", name)

    def _first_guess(self) -> BendTool:
        """A tool for the first bent tube: tighter by what its bends are estimated to spring back."""
        for tube in self._frame.tubes:
            stock = self._frame.stock[tube.stock]
            section = stock.section
            if tube.radii and isinstance(section, RoundTube):
                needed = theory_setting(
                    section, stock.steel, _RIGHT_ANGLE, tube.radii[0]
                ).tool_radius
                return BendTool(section.od, round(max(needed, 0.51 * section.od), 1))
        sizes = [
            one.section.od
            for one in self._frame.stock.values()
            if isinstance(one.section, RoundTube)
        ]
        size = sizes[0] if sizes else 25.0
        return BendTool(size, 3 * size)

    def add_point(self) -> None:
        """A new point, to be given its place."""
        name = free_name(tr("point"), self._frame.points)
        words = tr("Add point {name}").format(name=name)
        if self.do(words, lambda frame: put_point(frame, name, At(0.0, 0.0, 0.0))):
            self._choose("Points", name)

    def add_made(self, name: str, frame: Frame) -> None:
        """A frame with a new tube in it, in place of this one."""
        if self.do(tr("Add {name}").format(name=name), lambda _: frame):
            self._choose("Tubes", name)
