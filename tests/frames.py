"""Frames for tests: a small one that uses everything, and random ones."""

from __future__ import annotations

from geometry.as_bent import AsBent
from geometry.bend_tool import BendTool, TrialBend
from geometry.frame import End, Frame, Plane, Stock, Tube
from geometry.made_checks import with_made
from geometry.place import Along, At, MirrorOf, OffsetFrom, Swung
from geometry.section import BoxSection, RoundTube
from geometry.springback import Trial
from geometry.title import TitleFacts


def cuts_of(fitted):
    """Every cut of a fitted frame, by its part's name and its end's."""
    return {
        (one.part.name, cut.at.name): cut
        for one in fitted.parts
        for cut in one.cuts
        if cut is not None
    }


EVERYTHING = with_made(Frame(
    "every way of saying it",
    {
        "main": Stock(RoundTube(38.1, 2.03), "E355"),
        "thin": Stock(RoundTube(25.0, 1.5), bar_length=3000.0),
        "jig": Stock(BoxSection(50.0, 30.0, 3.0, 4.5)),
    },
    {
        "head low": At(612.0, 0.0, 845.0),
        "head high": Swung("head low", 120.5, 116.0),
        "knee": OffsetFrom("head low", (-350.0, 130.0, -60.25)),
        "seat": At(-180.0, 140.0, 700.0),
        "half way": Along("top rail", share=0.5),
        "near the seat": Along("top rail", distance=-60.0),
        "other side": MirrorOf("half way"),
        "floor": At(100.0, 0.0, 0.0),
    },
    (
        Tube("headstock", "main", ("head low", "head high"), (), (End("square", extra=15.0), End("square"))),
        Tube("top rail", "thin", ("head low", "knee", "seat"), (150.0,),
             (End("cope", "square-cut", ("headstock",), 0.5), End("square", extra=15.0)), handed=True, trim=(10.0, 0.0),
             as_bent=(AsBent("right", (None,), (None, 120.5), apart=800.0),)),
        Tube("cross", "thin", ("half way", "other side"), (), (End(onto=("top rail",)), End(onto=("top rail right",)))),
        Tube("leg", "jig", ("near the seat", "floor"), (), (End(), End("plane", plane=Plane())), roll_deg=30.0),
        Tube("strut", "jig", ("floor", "head low"), (), (End("mitre", other="leg", way="butt"), End("plane", plane=Plane("floor", (1.0, 0.0, 1.0))))),
    ),
    "in",
    {
        "hand 148": BendTool(
            25.0, 148.0, 60.0, 40.0, 20.0, 12.5, 120.0, 900.0, "left",
            (TrialBend(Trial(45.0, 43.5), "E355", 1.5, "2026-05-01", 0.94), TrialBend(Trial(90.0, 87.0))),
        ),
        "press": BendTool(38.1, 150.0),
    },
    1.2,
    TitleFacts("A. Builder", "ES-1", "B", "2026-05-01", "A. B.", "C. D.", "third", "C"),
    {"headstock": "welded", "top rail right": "cut"},
))  # fmt: skip
