"""Random edits, undone and done again: each way back leads through the very frames that were."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from app.document.frame_file import frame_bytes, read_frame
from app.document.samples import sample_frame
from app.window.document import FrameDocument
from app.window.session import Session
from geometry.edits import (
    copy_tube,
    free_name,
    move_tube,
    put_point,
    put_stock,
    put_tube,
    remove_point,
    remove_stock,
    remove_tube,
    rename_frame,
    rename_point,
    rename_stock,
    rename_tube,
)
from geometry.fitup import solve
from geometry.frame import STEPS, Frame, Stock, Tube, made_names
from geometry.made_checks import put_progress
from geometry.place import Along, At, MirrorOf, OffsetFrom, Swung
from geometry.point_moves import change_points, mirrored_at, moved_by, scaled_by, turned_by
from geometry.proposals import add_tube
from geometry.section import BoxSection, RoundTube
from tests.frames import EVERYTHING

STARTS = [Frame(), EVERYTHING, sample_frame("paddock-stand"), sample_frame("cargo-trike")]
MM = st.floats(-900, 900).map(lambda value: round(value, 2))
NAMES = st.sampled_from(["a", "knee", "Seat", "rail", "é: long, name", "tube 2"])


@pytest.fixture(autouse=True, scope="module")
def _application(qapp, tmp_path_factory):
    before = os.environ.get("COPEWRIGHT_SETTINGS")
    os.environ["COPEWRIGHT_SETTINGS"] = str(tmp_path_factory.mktemp("settings"))
    yield
    if before is None:
        del os.environ["COPEWRIGHT_SETTINGS"]
    else:
        os.environ["COPEWRIGHT_SETTINGS"] = before


class Editing(RuleBasedStateMachine):
    """A document and, beside it, every frame that it has had."""

    def __init__(self):
        super().__init__()
        self.session = Session()
        self.document = FrameDocument(self.session, self.session)
        self.past, self.future = [], []

    @initialize(start=st.sampled_from(STARTS))
    def begin(self, start):
        self.document.begin_with(start)

    def edit(self, words, change):
        before = self.document.frame
        done = self.document.do(words, change)
        assert done or self.document.frame is before
        if self.document.frame != before:
            self.past.append(before)
            self.future = []

    def any_of(self, data, named):
        return data.draw(st.sampled_from(sorted(named))) if named else "nothing"

    @rule(name=NAMES, x=MM, y=MM, z=MM, data=st.data())
    def point(self, name, x, y, z, data):
        frame = self.document.frame
        base = self.any_of(data, frame.points)
        tube = self.any_of(data, [tube.name for tube in frame.tubes])
        ways = [At(x, y, z), OffsetFrom(base, (x, y, z)), Swung(base, abs(x), y / 10), MirrorOf(base),
                Along(tube, share=abs(x) / 900), Along(tube, distance=z)]  # fmt: skip
        place = data.draw(st.sampled_from(ways))
        self.edit("Point", lambda f: put_point(f, name, place))

    @rule(name=NAMES, od=st.floats(10, 60), box=st.booleans())
    def stock(self, name, od, box):
        section = BoxSection(od, od, 2.0, 3.0) if box else RoundTube(od, 2.0)
        self.edit("Stock", lambda f: put_stock(f, name, Stock(section)))

    @rule(name=NAMES, data=st.data(), handed=st.booleans(), propose=st.booleans())
    def tube(self, name, data, handed, propose):
        frame = self.document.frame
        path = tuple(self.any_of(data, frame.points) for _ in range(data.draw(st.integers(2, 3))))
        radii = (60.0,) * (len(path) - 2)
        one = Tube(name, self.any_of(data, frame.stock), path, radii, handed=handed)
        self.edit("Tube", lambda f: add_tube(f, one)[0] if propose else put_tube(f, one))

    @rule(data=st.data(), to=st.integers(0, 20))
    def order(self, data, to):
        name = self.any_of(data, [tube.name for tube in self.document.frame.tubes])
        self.edit("Order", lambda f: move_tube(f, name, to))

    @rule(data=st.data(), new=NAMES)
    def rename(self, data, new):
        frame = self.document.frame
        kind, names = data.draw(st.sampled_from([
            (rename_point, list(frame.points)), (rename_stock, list(frame.stock)),
            (rename_tube, [tube.name for tube in frame.tubes]),
        ]))  # fmt: skip
        old = self.any_of(data, names)
        self.edit("Rename", lambda f: kind(f, old, new))

    @rule(data=st.data())
    def take_out(self, data):
        frame = self.document.frame
        kind, names = data.draw(st.sampled_from([
            (remove_point, list(frame.points)), (remove_stock, list(frame.stock)),
            (remove_tube, [tube.name for tube in frame.tubes]),
        ]))  # fmt: skip
        name = self.any_of(data, names)
        self.edit("Take out", lambda f: kind(f, name))

    @rule(data=st.data())
    def copy(self, data):
        frame = self.document.frame
        name = self.any_of(data, [tube.name for tube in frame.tubes])
        new = free_name(name, [tube.name for tube in frame.tubes])
        self.edit("Copy", lambda f: copy_tube(f, name, new, (0.0, 10.0, 50.0)))

    @rule(data=st.data(), x=MM, y=MM, z=MM)
    def move(self, data, x, y, z):
        points = sorted(self.document.frame.points)
        some = (
            data.draw(st.lists(st.sampled_from(points), max_size=4, unique=True)) if points else []
        )
        change = data.draw(st.sampled_from([
            moved_by((x, y, z)), turned_by(x / 5, "y", (0.0, 0.0, z)), mirrored_at("x", y), scaled_by(1.5, (x, y, z)),
        ]))  # fmt: skip
        self.edit("Move", lambda f: change_points(f, some, change))

    @rule(data=st.data(), step=st.sampled_from([*STEPS, None]))
    def mark(self, data, step):
        parts = [part for tube in self.document.frame.tubes for part in made_names(tube)]
        part = self.any_of(data, parts)
        self.edit("Mark", lambda f: put_progress(f, part, step))

    @rule(name=NAMES)
    def name(self, name):
        self.edit("Name", lambda f: rename_frame(f, name))

    @precondition(lambda self: self.past)
    @rule()
    def undo(self):
        self.future.append(self.document.frame)
        self.document.undo()
        assert self.document.frame == self.past.pop()

    @precondition(lambda self: self.future)
    @rule()
    def redo(self):
        self.past.append(self.document.frame)
        self.document.redo()
        assert self.document.frame == self.future.pop()

    @invariant()
    def it_is_a_frame(self):
        frame = self.document.frame
        assert read_frame(frame_bytes(frame)) == frame

    @invariant()
    def what_can_be_undone_is_what_was_done(self):
        history = self.document.history
        assert bool(history.undo_words) == bool(self.past)
        assert bool(history.redo_words) == bool(self.future)

    def teardown(self):
        try:
            # Whatever came of it is cut, or said: nothing breaks.
            solve(self.document.frame)
        except ValueError as error:
            assert "ring" in str(error) or "circle" in str(error), error
        while self.document.history.past:
            self.document.undo()
        self.document.let_go()
        self.session.deleteLater()


TestEditing = Editing.TestCase
TestEditing.settings = settings(
    max_examples=40,
    stateful_step_count=25,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)
