"""The pages Frame and Start in a language that puts every text between brackets; prints what has none, as JSON.

A process of its own: words of a page are put into the person's language when it is loaded, and that once.
"""

from __future__ import annotations

import gc
import json
import re
import sys
import time

from PySide6.QtCore import QTranslator
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QListWidget,
    QTabWidget,
    QWidget,
)

_MARKED = re.compile(r"⟦[^⟦⟧]*⟧")
_WORD = re.compile(r"[^\W\d_]{2,}")
_UNITS = {"mm", "in", "kg"}


class Brackets(QTranslator):
    """Every text between brackets."""

    def translate(self, _context, text, _note=None, _count=-1):
        return f"⟦{text}⟧" if text else text

    def isEmpty(self):
        return False


def unmarked(text: str, data: list[str]) -> str:
    """What is left of a text without what is marked, and without names and units."""
    while _MARKED.search(text):
        text = _MARKED.sub(" ", text)
    for name in data:
        text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", " ", text)
    return " ".join(word for word in _WORD.findall(text) if word not in _UNITS)


def shown(widget: QWidget) -> list[str]:
    """All that a widget shows and says."""
    texts = [widget.toolTip(), widget.accessibleName(), widget.accessibleDescription()]
    if isinstance(widget, (QAbstractButton, QLabel)):
        texts.append(widget.text())
    if isinstance(widget, QLineEdit):
        texts += [widget.text(), widget.placeholderText()]
    if isinstance(widget, QTabWidget):
        texts += [widget.tabText(index) for index in range(widget.count())]
    if isinstance(widget, QComboBox):
        texts += [widget.itemText(index) for index in range(widget.count())]
    if isinstance(widget, QListWidget):
        texts += [widget.item(row).text() for row in range(widget.count())]
    for action in widget.actions():
        texts += [action.text(), action.toolTip()]
    return texts


def bare(page: QWidget, without: list[QWidget], data: list[str]) -> set[str]:
    """Texts of a page that somebody who does not read English cannot read.

    Args:
        page: with all its widgets.
        without: widgets that show words of packages which know no language but English.
        data: names, and what else is the same in every language.
    """
    inside = {one for other in without for one in (other, *other.findChildren(QWidget))}
    texts = (
        text
        for widget in (page, *page.findChildren(QWidget))
        if widget not in inside
        for text in shown(widget)
    )
    return {text for text in texts if unmarked(text, data)}


def main() -> None:
    gc.disable()
    application = QApplication(sys.argv[:1])
    brackets = Brackets(application)
    application.installTranslator(brackets)

    from app.document.samples import sample_frame, samples
    from app.window.frame_column import KINDS
    from app.window.frame_page import INTRO, FramePage
    from app.window.session import Session
    from app.window.start_page import StartPage
    from geometry.frame import part_names
    from geometry.material import MATERIALS
    from geometry.place import At
    from geometry.title import TOLERANCE_CLASSES
    from tests.frames import EVERYTHING

    session = Session()
    page = FramePage(session)
    document, data = session.document, {*MATERIALS, *TOLERANCE_CLASSES}
    found = {INTRO} if unmarked(INTRO, []) else set()

    def solved() -> None:
        end = time.monotonic() + 60
        while page.result is None or page.result.fitted.frame != page.frame:
            application.processEvents()
            assert time.monotonic() < end
            time.sleep(0.005)

    def look() -> None:
        frame = page.frame
        # A form that is not in view may still have the frame before.
        data.update(
            (frame.name, *frame.points, *frame.stock, *frame.tools, *vars(frame.drawing).values())
        )
        for tube in frame.tubes:
            data.update(part_names(tube))
        names = sorted(data - {""}, key=lambda name: -len(name))
        details = page.details
        found.update(bare(page, [details.findings, details.facts, details.bends], names))

    def look_over() -> None:
        solved()
        look()
        for kind, one in zip(KINDS, page.column.lists, strict=True):
            for name in ("", *one.names):
                page.choose(kind, name)
                solved()
                look()

    def edit_all() -> None:
        edits, places = page.edits, page._places()
        tube, point, stock = page.frame.tubes[-1].name, next(iter(places)), next(iter(page.frame.stock))  # fmt: skip
        for kind, name in (("Tubes", tube), ("Points", point), ("Stock", stock)):
            edits.rename(kind, name, f"{name} 77")
        edits.rename_frame(page.frame.name, "77")
        edits.mark(f"{tube} 77 left", "cut")
        edits.mark(f"{tube} 77 left", None)
        edits.move_tube(f"{tube} 77", 0)
        edits.drag(f"{point} 77", (1.0, 2.0, 3.0), page._places(), done=True)
        edits.copy(f"{tube} 77")
        edits.add_stock(inches=False)
        edits.add_point()
        page.forms.points.show_points(page.frame, list(page.frame.points)[:2], inches=False)
        page.forms.points.steps[0].set_value(5.0)
        page.forms.points.do.click()
        edits.take_out("Points", [next(reversed(page.frame.points))])
        page.choose("Tubes", page.frame.tubes[1].name)
        form = page.forms.tube
        form.handed.click()
        form.ends[0].extra.set_value(3.0)
        form.ends[1].extra.set_value(3.0)
        page.forms.point.show_point(page.frame, point_of(At), (0.0, 0.0, 0.0), inches=False)
        page.forms.point.axes[0].set_value(7.0)
        page.forms.stock.show_stock("bar", page.frame.stock["bar"], inches=False)
        page.forms.stock.od.set_value(40.0)
        page.forms.frame.show_frame(page.frame, inches=False)
        page.forms.frame.least_wall.set_value(1.0)

    def point_of(kind: type) -> str:
        return next(name for name, place in page.frame.points.items() if isinstance(place, kind))

    look_over()
    page.begin_walk()
    steps = []
    for _ in range(8):
        steps.append(page.walk.words.text())
        page.walk.do.click()
        look_over()
    steps.append(page.walk.words.text())
    page.choose("Points", "roller right")
    page.column.points.selectAll()
    look()
    page.column.tabs.setCurrentIndex(0)
    page.column.add.click()
    form = page.forms.new
    for text in ("prop foot", "1; 2; 3"):
        look()
        form.pick(text)
    while form._ready is None:
        application.processEvents()
    look()
    named, tube = form.typed()
    form.give_up()
    names = [name for name in named.points if name not in page.frame.points]
    edit_all()
    look_over()
    undone = [step.words for step in document.history.past]
    for frame in (sample_frame("paddock-stand"), EVERYTHING):
        document.begin_with(frame)
        look_over()
    start = StartPage(session)
    told = [word for one in samples() for word in (one.title, one.words)]
    found |= bare(start, [], told)
    page.close_down()
    document.let_go()
    json.dump(
        {
            "bare": sorted(found),
            "steps": steps,
            "undone": undone,
            "names": [*names, tube.name],
        },
        sys.stdout,
    )


if __name__ == "__main__":
    main()
