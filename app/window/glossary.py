"""The words of the trade that the window uses, each in a sentence."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from app.window.words import tr

WORDS = (
    (tr("cope"), tr("the end of a tube, cut to sit on the side of another.")),
    (tr("wrap"), tr("a sheet of paper to tape round a tube: its curve is where to cut.")),
    (tr("datum"), tr("one line scribed along a tube, from which both its wraps are turned; of a bent tube the outside of the nearest bend.")),
    (tr("work point"), tr("where the centrelines of two tubes cross, or come nearest.")),
    (tr("long point, short point"), tr("where the cut end stands out farthest, and least; tubes are measured from long point to long point.")),
    (tr("mitre"), tr("a corner where two tubes meet with their ends, both cut on the slant.")),
    (tr("fit-up order"), tr("the order in which the tubes go into the jig: each is cut to those before it.")),
    (tr("jig"), tr("what holds the tubes in their places until they are welded.")),
    (tr("landing"), tr("where the end of one tube comes to sit on another; marked there before it is tacked.")),
    (tr("clock"), tr("how far round a tube something lies from its datum, in degrees or in mm round it.")),
    (tr("bevel"), tr("the slope that is ground on an edge, so that the weld goes through the whole wall; a wall under 3 mm needs none. The angle named with it is that between the two tubes' outsides there.")),
    (tr("fillet weld, butt weld"), tr("a fillet weld fills the corner between two faces; where these meet too flat or too sharp for that, outside 60° to 120°, a butt weld joins the edge to the face. Each tube's facts and the book say which part of an end is which.")),
    (tr("root gap"), tr("a gap left between two tubes for the weld to go through.")),
    (tr("centreline radius"), tr("how tightly a tube is bent, measured at its middle.")),
    (tr("springback"), tr("a bent tube opens a little when the bender lets it go: it is set to more than is wanted.")),
    (tr("trial bend"), tr("a bend made on scrap, to learn how much yours springs back.")),
    (tr("handed"), tr("made in pairs, left and right, each the mirror image of the other.")),
    (tr("roll"), tr("the turn of a box section about its own axis.")),
    (tr("developed length"), tr("how long a bent tube is along its centreline, as if it were straight again.")),
    (tr("finding"), tr("something to stop at before steel is cut: an error cannot be made, a warning is to be looked at, a note is to be known.")),
    (tr("former"), tr("the grooved wheel or block of a bender that the tube is drawn round; its radius is stamped on it.")),
    (tr("spare bar"), tr("bar beyond what a bent tube needs at its ends: the bender grips it, and it is sawn off after bending.")),
    (tr("extra length"), tr("what is left on at an end that is cut, to be filed away as it is fitted.")),
    (tr("to set"), tr("the angle that the bender is set to: more than the bend is to have, by what springs back.")),
    (tr("tool radius"), tr("the radius of the former that leaves the radius that is wanted once the tube has sprung back.")),
    (tr("turn, rotation"), tr("how far a tube is turned about itself between one bend and the next, for bends that do not lie in one plane.")),
    (tr("least wall"), tr("how thin the outside of a bend may become before it is a finding.")),
    (tr("first angle, third angle"), tr("how the views of a drawing are laid out: in first angle, as in Europe, the view from above stands below the one from the front; in third angle, as in America, above it.")),
    (tr("E235"), tr("the plain mild steel of most tubes; what yours is stands on its delivery note.")),
    (tr("tolerance A to D"), tr("how true a bent tube must come out: A is the finest, D the coarsest (ISO 13920).")),
)  # fmt: skip


class Glossary(QDialog):
    """A window of its own; it may stay open beside the work.

    Args:
        parent: the window.
        intro: what stands before the words, such as what a page is for; "" for nothing.
    """

    def __init__(self, parent: QWidget | None = None, intro: str = "") -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("What this page is for") if intro else tr("Words of the trade"))
        self.words = QTextBrowser(self)
        self.words.setAccessibleName(tr("words of the trade"))
        first = f"<p>{escape(intro)}</p><hr>" if intro else ""
        told = "".join(f"<p><b>{word}</b>: {words}</p>" for word, words in WORDS)
        self.words.setHtml(first + told)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.close)
        rows = QVBoxLayout(self)
        rows.addWidget(self.words)
        rows.addWidget(buttons)
        self.resize(520, 520)
