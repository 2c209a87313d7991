"""A frame in the middle of its making has a book too: whatever cannot be made is left out, and nothing falls over."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from app.document.frame_file import open_frame
from geometry.errors import CopewrightError
from geometry.frame import End, Plane
from geometry.place import At
from templates_out.book import book_files, book_sheets
from templates_out.frame_result import solve_frame
from templates_out.paper import paper
from tests.cases import examples

SAMPLES = [
    open_frame(path)
    for path in sorted((Path(__file__).parents[2] / "sample_projects").glob("*/*.frame"))
]
CUTS = [End(), End("square"), End("plane", plane=Plane())]


def changed(frame, draw):
    """The frame with one thing otherwise; many of these cannot be made, or hang on what is gone."""
    number = draw(st.integers(0, len(frame.tubes) - 1))
    tube = frame.tubes[number]
    match draw(st.sampled_from(["hand", "radius", "point", "order", "ends", "path", "gone"])):
        case "hand":
            tube = replace(tube, handed=not tube.handed)
        case "radius":
            by = draw(st.sampled_from([0.2, 3.0, 10.0]))
            tube = replace(tube, radii=tuple(radius * by for radius in tube.radii))
        case "point":
            name = draw(st.sampled_from(sorted(frame.points)))
            place = frame.points[name]
            if isinstance(place, At):
                moves = st.sampled_from([0.0, 50.0, -200.0, 1e-6, 500.0])
                moved = At(place.x + draw(moves), place.y + draw(moves), place.z + draw(moves))
                return replace(frame, points=dict(frame.points) | {name: moved})
        case "order":
            return replace(frame, tubes=tuple(draw(st.permutations(frame.tubes))))
        case "ends":
            tube = replace(tube, ends=(draw(st.sampled_from(CUTS)), draw(st.sampled_from(CUTS))))
        case "path":
            name = draw(st.sampled_from(sorted(frame.points)))
            tube = replace(tube, path=(name, *tube.path[1:]))
        case "gone" if len(frame.tubes) > 1:
            return replace(frame, tubes=frame.tubes[:number] + frame.tubes[number + 1 :])
    return replace(frame, tubes=(*frame.tubes[:number], tube, *frame.tubes[number + 1 :]))


@examples(12)
@given(st.data())
def test_any_frame_has_a_book(data):
    frame = data.draw(st.sampled_from(SAMPLES))
    # Few tubes are quickly printed.
    some = data.draw(
        st.lists(st.integers(0, len(frame.tubes) - 1), min_size=2, max_size=4, unique=True)
    )
    with suppress(CopewrightError):
        frame = replace(frame, tubes=tuple(frame.tubes[number] for number in sorted(some)))
    for _ in range(data.draw(st.integers(1, 5))):
        # What a frame refuses is not in it.
        with suppress(CopewrightError):
            frame = changed(frame, data.draw)
    result = solve_frame(frame)
    sheets = book_sheets(result, paper("dual"))
    assert sheets
    assert "numbers.json" in book_files(result, sheets)
