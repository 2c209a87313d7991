"""Garbage is collected on the window's thread, and nowhere else."""

from __future__ import annotations

import gc
import sys
import threading
import weakref

from app.window.garbage import Garbage


class Ring:
    def __init__(self):
        self.own = self


def test_only_the_window_s_thread_collects(qtbot):
    garbage = Garbage()
    ended_in = []
    one = Ring()
    weakref.finalize(one, lambda: ended_in.append(threading.current_thread()))
    del one

    def work():
        # So much would have been looked through many times.
        for _ in range(20_000):
            Ring()

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert ended_in == []
    garbage.look()
    assert ended_in == [threading.main_thread()]
    assert not gc.isenabled()
    garbage.deleteLater()


def test_all_of_it_is_looked_through_only_when_there_is_much_more(qtbot, monkeypatch):
    garbage = Garbage()
    monkeypatch.setattr(gc, "get_count", lambda: (0, 0, gc.get_threshold()[2] + 1))
    one = Ring()
    gone = weakref.ref(one)
    del one
    garbage.look()
    assert gone() is not None
    much = [[number] for number in range(sys.getallocatedblocks() // 2)]
    garbage.look()
    assert gone() is None
    again = Ring()
    gone = weakref.ref(again)
    del again
    garbage.look()
    assert gone() is not None, "it is as much as after the last time"
    del much
    garbage.deleteLater()
