"""A first frame, step by step: the paddock stand, made by the person's own hands."""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document.samples import sample_frame
from app.window.page_frame import words_label
from geometry.frame import Frame

SAMPLE = "paddock-stand"


@dataclass(frozen=True)
class WalkStep:
    """A step.

    Attributes:
        title: what it makes.
        words: what to do.
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
            all(frame.stock.get(name) == sample.stock[name] for name in self.stock)
            and all(frame.points.get(name) == sample.points[name] for name in self.points)
            and all(sample.tube(name) in frame.tubes for name in self.tubes)
            and (not self.named or frame.name == sample.name)
        )

    def made(self, frame: Frame, sample: Frame) -> Frame:
        """The frame with all that the step makes."""
        stock = {**frame.stock, **{name: sample.stock[name] for name in self.stock}}
        points = {**frame.points, **{name: sample.points[name] for name in self.points}}
        new = [sample.tube(name) for name in self.tubes]
        kept = [tube for tube in frame.tubes if tube.name not in self.tubes]
        name = sample.name if self.named else frame.name
        return replace(frame, name=name, stock=stock, points=points, tubes=(*kept, *new))


STEPS = (
    WalkStep(
        "What you have in the rack",
        "You will make a stand that lifts the rear of a motorcycle, from six tubes. Open the list Stock at the left and "
        "press Add a stock. At the right, name it main: round, 30 mm outside, wall 2.",
        stock=("main",),
    ),
    WalkStep(
        "A second stock",
        "Press Add a stock once more, and name it bar: 33.7 mm outside, wall 2.6.",
        stock=("bar",),
    ),
    WalkStep(
        "The first tube: the roller bar",
        "Lengths are measured from the floor below the middle of the wheel's axle: x forward, y to the left, z up. Open the "
        "list Tubes and press Add a tube. Name it roller bar, of stock bar. Its first point is new: type  roller right: "
        "0, -190, 45  and its second  roller left: mirror of roller right.  Press Done.",
        points=("roller right", "roller left"),
        tubes=("roller bar",),
    ),
    WalkStep(
        "The handle",
        "Add the tube handle, of stock main, from  handle right: -640, -130, 60  to  handle left: mirror of handle right.  "
        "It lies in the jig as the second one, and meets nothing: its ends are sawn square.",
        points=("handle right", "handle left"),
        tubes=("handle",),
    ),
    WalkStep(
        "The arms, left and right",
        "Add the tube arm, of stock main, from  arm front: 0, 160, 45  to  arm rear: -640, 105, 60.  Tick  make its opposite "
        "hand too.  Before you press Done, read what is proposed: it meets the bar and the handle, and is coped onto both.",
        points=("arm front", "arm rear"),
        tubes=("arm",),
    ),
    WalkStep(
        "Points that hang on something",
        "Open the list Points. Add a point, name it prop foot, and set it out on a tube, so far from its end: on arm, 170 from "
        "its start. Add another, name it prop head, so far from another point: from arm front by 35, 0, 245. If the arm "
        "moves, both go along.",
        points=("prop foot", "prop head"),
    ),
    WalkStep(
        "The props",
        "Add the tube prop, of stock main, from prop foot to prop head: choose both from the lists, or click them in a view. "
        "Tick  make its opposite hand too.",
        tubes=("prop",),
    ),
    WalkStep(
        "Its name",
        "Press the frame's name above the lists and call it  rear paddock stand.  Choose a tube: its wraps are drawn below "
        "the views, and the Findings say whether there is anything to stop at.",
        named=True,
    ),
)
_END = (
    "That is the whole frame. Save it (menu File), then go to the page Paper: it has every sheet that the shop needs, at true "
    "size. Print them at 100 %, measure both bars on each, and cut."
)


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
        self.words = words_label(self)
        self.do, self.leave = QPushButton("Do it for me", self), QPushButton("Close", self)
        self.do.setToolTip("The step is made as the sample has it; Undo takes it back")
        self.do.clicked.connect(self._show_me)
        self.leave.clicked.connect(self.left)
        row = QHBoxLayout()
        row.addWidget(self.title, 1)
        row.addWidget(self.do)
        row.addWidget(self.leave)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(4, 4, 4, 4)
        rows.addLayout(row)
        rows.addWidget(self.words)

    def follow(self, frame: Frame) -> None:
        """The next step that the frame does not have yet."""
        self.number = next(
            (n for n, step in enumerate(STEPS) if not step.done(frame, self.sample)), len(STEPS)
        )
        done = self.number == len(STEPS)
        step = None if done else STEPS[self.number]
        place = "Done" if step is None else f"Step {self.number + 1} of {len(STEPS)}: {step.title}"
        self.title.setText(place)
        self.words.setText(_END if step is None else step.words)
        self.do.setVisible(not done)

    def _show_me(self) -> None:
        step = STEPS[self.number]
        self.show_me.emit(f"Step: {step.title}", lambda frame: step.made(frame, self.sample))
