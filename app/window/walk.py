"""A first frame, step by step: the paddock stand, made by the person's own hands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from html import escape

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document.samples import sample_frame
from app.window.frame_column import ADD, TITLES
from app.window.page_frame import words_label
from app.window.point_form import WAYS
from app.window.tab_order import tab_first
from app.window.words import tr
from geometry.edits import rename_point, rename_stock, rename_tube
from geometry.frame import Frame, Stock, Tube

SAMPLE = "paddock-stand"


@dataclass(frozen=True)
class WalkStep:
    """A step.

    Attributes:
        title: what it makes.
        words: what to do; rich text.
        stock: names of what is in the frame when it is done.
        points: the same.
        tubes: the same.
        named: the frame has the sample's name.
    """

    title: str
    words: str
    stock: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    tubes: tuple[str, ...] = ()
    named: bool = False

    def done(self, frame: Frame, sample: Frame) -> bool:
        """Whether the frame has all that the step makes."""
        return (
            all(
                name in frame.stock and _same_tube(frame.stock[name], sample.stock[name])
                for name in self.stock
            )
            and all(frame.points.get(name) == sample.points[name] for name in self.points)
            and all(sample.tube(name) in frame.tubes for name in self.tubes)
            and (not self.named or frame.name == sample.name)
        )

    def not_yet(self, frame: Frame, sample: Frame) -> list[str]:
        """What is there otherwise than the step means it, or by another name: a sentence for each."""
        told = []
        for name in self.stock:
            if name not in frame.stock:
                told += _named_otherwise(_STOCK_NAMED, name, frame.stock, sample.stock)
            elif not _same_tube(frame.stock[name], sample.stock[name]):
                told.append(tr("The stock {name} has other sizes yet.").format(name=name))
        for name in self.points:
            if name not in frame.points:
                told += _named_otherwise(_POINT_NAMED, name, frame.points, sample.points)
            elif frame.points[name] != sample.points[name]:
                told.append(
                    tr("The point {name} is elsewhere, or set out otherwise.").format(name=name)
                )
        paths, meant = ({one.name: one.path for one in each.tubes} for each in (frame, sample))
        for name in self.tubes:
            if name not in paths:
                told += _named_otherwise(_TUBE_NAMED, name, paths, meant)
            elif frame.tube(name) != sample.tube(name):
                told.append(_tube_not_yet(frame.tube(name), sample.tube(name)))
        if self.named and frame.name != Frame().name:
            told.append(_FRAME_NAMED.format(is_named=frame.name, name=sample.name))
        return told

    def made(self, frame: Frame, sample: Frame) -> Frame:
        """The frame with all that the step makes; what differs from it by its case alone is renamed."""
        for name in self.stock:
            frame = _in_its_case(frame, frame.stock, name, rename_stock)
        for name in self.points:
            frame = _in_its_case(frame, frame.points, name, rename_point)
        for name in self.tubes:
            frame = _in_its_case(frame, [tube.name for tube in frame.tubes], name, rename_tube)
        stock = {**frame.stock, **{name: sample.stock[name] for name in self.stock}}
        points = {**frame.points, **{name: sample.points[name] for name in self.points}}
        new = [sample.tube(name) for name in self.tubes]
        kept = [tube for tube in frame.tubes if tube.name not in self.tubes]
        name = sample.name if self.named else frame.name
        return replace(frame, name=name, stock=stock, points=points, tubes=(*kept, *new))


def _same_tube(one: Stock, other: Stock) -> bool:
    """In bars of whatever length it is bought."""
    return replace(one, bar_length=other.bar_length) == other


_STOCK_NAMED = tr("The stock {is_named} should be named {name}, letter for letter.")
_POINT_NAMED = tr("The point {is_named} should be named {name}, letter for letter.")
_TUBE_NAMED = tr("The tube {is_named} should be named {name}, letter for letter.")
_FRAME_NAMED = tr("The frame {is_named} should be named {name}, letter for letter.")


def _named_otherwise(
    words: str, name: str, there: Mapping[str, object], meant: Mapping[str, object]
) -> list[str]:
    """What is meant by a name that is not there: of nearly that name, or the same thing."""
    for one, thing in there.items():
        if one.casefold() == name.casefold() or (one not in meant and thing == meant[name]):
            return [words.format(is_named=one, name=name)]
    return []


def _in_its_case(
    frame: Frame, there: Iterable[str], name: str, rename: Callable[[Frame, str, str], Frame]
) -> Frame:
    """The frame in which a name is written as it is meant."""
    for one in there:
        if one != name and one.casefold() == name.casefold():
            return rename(frame, one, name)
    return frame


def _to_do(words: str, **typed: str) -> str:
    """What to do, what is to be typed set off from it."""
    return words.format(**_HERE, **{name: f"<b>{escape(text)}</b>" for name, text in typed.items()})


# What is pressed and chosen, as the window has it; what is typed is the same in every language.
_HERE = {
    "tubes": TITLES["Tubes"],
    "points": TITLES["Points"],
    "stocks": TITLES["Stock"],
    "add_tube": ADD["Tubes"],
    "add_stock": ADD["Stock"],
    "along": WAYS["along"],
    "offset": WAYS["from"],
    "handed": tr("make its opposite hand too"),
    "done": tr("Done"),
    "findings": tr("Findings"),
    "file": tr("&File").replace("&", ""),
    "view": tr("&View").replace("&", ""),
    "paper": tr("Paper"),
}
STEPS = (
    WalkStep(
        tr("What you have in the rack"),
        _to_do(
            tr(
                "You will make a stand that lifts the rear of a motorcycle, from six tubes. Open the list {stocks} at the left "
                "and press {add_stock}. At the right, name it {name}: round, {od} mm outside, wall {wall}."
            ),
            name="main", od="30", wall="2",
        ),
        stock=("main",),
    ),
    WalkStep(
        tr("A second stock"),
        _to_do(
            tr("Press {add_stock} once more, and name it {name}: {od} mm outside, wall {wall}."),
            name="bar", od="33.7", wall="2.6",
        ),
        stock=("bar",),
    ),
    WalkStep(
        tr("The first tube: the roller bar"),
        _to_do(
            tr(
                "All is measured in mm, from the floor below the middle of the wheel's axle: x forward, y to the left, z up. Open "
                "the list {tubes} and press {add_tube}. Name it {name}, of stock {stock}. Its first point is new: type "
                "{first} and its second {second}. Press {done}."
            ),
            name="roller bar", stock="bar", first="roller right: 0, -190, 45",
            second="roller left: mirror of roller right",
        ),
        points=("roller right", "roller left"),
        tubes=("roller bar",),
    ),
    WalkStep(
        tr("The handle"),
        _to_do(
            tr(
                "Add the tube {name}, of stock {stock}, from {first} to {second}. It lies in the jig as the second one, and "
                "meets nothing: its ends are sawn square."
            ),
            name="handle", stock="main", first="handle right: -640, -130, 60",
            second="handle left: mirror of handle right",
        ),
        points=("handle right", "handle left"),
        tubes=("handle",),
    ),
    WalkStep(
        tr("The arms, left and right"),
        _to_do(
            tr(
                "Add the tube {name}, of stock {stock}, from {first} to {second}. Tick {handed}. Before you press {done}, "
                "read what is proposed: it meets the bar and the handle, and is coped onto both."
            ),
            name="arm", stock="main", first="arm front: 0, 160, 45", second="arm rear: -640, 105, 60",
        ),
        points=("arm front", "arm rear"),
        tubes=("arm",),
    ),
    WalkStep(
        tr("Points that hang on something"),
        _to_do(
            tr(
                "Open the list {points}. Add a point, name it {foot}, and set it out {along}: on {tube}, {distance} from its "
                "start. Add another, name it {head}, {offset}: from {base} by {by}. If the arm moves, both go along."
            ),
            foot="prop foot", tube="arm", distance="170", head="prop head", base="arm front", by="35, 0, 245",
        ),
        points=("prop foot", "prop head"),
    ),
    WalkStep(
        tr("The props"),
        _to_do(
            tr(
                "Add the tube {name}, of stock {stock}, from {first} to {second}: choose both from the lists, or click them in "
                "a view. Tick {handed}."
            ),
            name="prop", stock="main", first="prop foot", second="prop head",
        ),
        tubes=("prop",),
    ),
    WalkStep(
        tr("Its name"),
        _to_do(
            tr(
                "Press the frame's name above the lists and call it {name}. Choose a tube: its wraps are drawn below the "
                "views, and the {findings} say whether there is anything to stop at."
            ),
            name="rear paddock stand",
        ),
        named=True,
    ),
)  # fmt: skip
_IN_MM = tr(
    "All numbers of this first frame are in mm, and lengths are shown in inches now: go back to mm in the menu {view}, or "
    "type mm behind each number."
).format(**_HERE)
_END = tr(
    "That is the whole frame. Save it (menu {file}), then go to the page {paper}: it has every sheet that the shop needs, at "
    "true size. Print them at 100 %, measure both bars on each, and cut."
).format(**_HERE)


def _tube_not_yet(tube: Tube, meant: Tube) -> str:
    """In what a tube differs from the one that is meant, the first thing of it."""
    if tube.stock != meant.stock:
        words = tr("The tube {name} is of stock {is_of}, and should be of {should}.")
        return words.format(name=tube.name, is_of=tube.stock, should=meant.stock)
    if tube.path != meant.path:
        words = tr("The tube {name} should go from {start} to {finish}.")
        return words.format(name=tube.name, start=meant.path[0], finish=meant.path[-1])
    if tube.handed != meant.handed:
        words = tr("The tube {name} should have its opposite hand made too.")
        return words.format(name=tube.name)
    return tr("The ends of {name} are cut otherwise than proposed.").format(name=tube.name)


class Walk(QWidget):
    """Says the step that comes next, and sees by itself when it is done.

    Signals:
        show_me: make the step for the person: its name, and how it changes the frame.
        left: the person does not want to be led any more.
    """

    show_me = Signal(str, object)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sample = sample_frame(SAMPLE)
        self.number = 0
        self.title = QLabel(self)
        bold = self.title.font()
        bold.setBold(True)
        self.title.setFont(bold)
        self.words, self.hint = words_label(self, rich=True), words_label(self)
        # Its line is there always: what is below it is not to jump.
        self.hint.setMinimumHeight(self.hint.fontMetrics().lineSpacing())
        self.do, self.leave = (
            QPushButton(tr("Do it for me"), self),
            QPushButton(tr("Close"), self),
        )
        self.do.setToolTip(tr("The step is made as the sample has it; Undo takes it back"))
        self.do.clicked.connect(self._show_me)
        self.leave.clicked.connect(self.left)
        if parent is not None:
            tab_first(parent, self.do, self.leave)
        row = QHBoxLayout()
        row.addWidget(self.title, 1)
        row.addWidget(self.do)
        row.addWidget(self.leave)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(4, 4, 4, 4)
        rows.addLayout(row)
        rows.addWidget(self.words)
        rows.addWidget(self.hint)

    def follow(self, frame: Frame) -> None:
        """The next step that the frame does not have yet."""
        self.number = next(
            (n for n, step in enumerate(STEPS) if not step.done(frame, self.sample)), len(STEPS)
        )
        done = self.number == len(STEPS)
        step = None if done else STEPS[self.number]
        place = tr("Step {number} of {count}: {title}")
        self.title.setText(
            tr("Done")
            if step is None
            else place.format(number=self.number + 1, count=len(STEPS), title=step.title)
        )
        self.words.setText(_END if step is None else step.words)
        hints = [] if step is None else step.not_yet(frame, self.sample)
        if step is not None and frame.units == "in":
            hints.append(_IN_MM)
        self.hint.setText("\n".join(hints))
        # It grows, and never shrinks: what is below it is not to jump.
        self.words.setMinimumHeight(max(self.words.minimumHeight(), self.words.height()))
        self.do.setVisible(not done)

    def _show_me(self) -> None:
        step = STEPS[self.number]
        words = tr("Step: {title}").format(title=step.title)
        self.show_me.emit(words, lambda frame: step.made(frame, self.sample))
