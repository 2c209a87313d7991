"""Several drawings on one sheet: none touches another, none leaves the window, none is lost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import LineString, MultiLineString

from geometry.cope import cope
from geometry.joint import Joint
from geometry.section import RoundTube
from templates_out.clip import extents_box, strokes_of
from templates_out.drawing import OUTLINE, Drawing, Polyline
from templates_out.packing import GAP_MM, pack
from templates_out.paper import paper
from templates_out.parts import Part, shared_title, sheet_parts
from templates_out.wrap import WrapWords, wrap_for_paper
from templates_out.wrap_line import joint_line
from tests.cases import examples

WINDOW = paper("dual").window
WORDS = WrapWords("t", "f", "datum", ("90°", "180°", "270°"))


def outline(drawing: Drawing) -> MultiLineString:
    lines = []
    for stroke in strokes_of(drawing):
        ring = np.vstack((stroke.points, stroke.points[:1])) if stroke.closed else stroke.points
        lines.append(LineString(ring))
    return MultiLineString(lines)


def placed(drawings, places):
    """Each drawing where it was put, by sheet."""
    by_sheet: dict[int, list[Drawing]] = {}
    for drawing, place in zip(drawings, places, strict=True):
        turned = drawing.placed(0, 0, place.turn_deg)
        box = extents_box(turned)
        at = turned.placed(place.left - box.left, WINDOW.height - place.top - box.top)
        by_sheet.setdefault(place.sheet, []).append(at)
    return by_sheet


@example([(25.0, 32.0, 0.0), (24.0, 30.0, 0.0)])
@examples(40)
@given(
    st.lists(
        st.tuples(st.floats(12, 50), st.floats(30, 90), st.floats(-4, 4)), min_size=2, max_size=6
    )
)
def test_wraps_do_not_touch_and_stay_inside(cases):
    drawings = [
        wrap_for_paper(joint_line(cope(Joint(RoundTube(od, 1.0), od * 1.4, angle, offset))), WORDS)
        for od, angle, offset in cases
    ]
    places = pack(drawings, WINDOW.width, WINDOW.height)
    assert all(places)
    for there in placed(drawings, places).values():
        shapes = [outline(drawing) for drawing in there]
        for index, shape in enumerate(shapes):
            left, bottom, right, top = shape.bounds
            assert left >= -1
            assert bottom >= -1
            assert right <= WINDOW.width + 1
            assert top <= WINDOW.height + 1
            for other in shapes[index + 1 :]:
                assert shape.distance(other) > GAP_MM - 1


def test_true_shapes_and_not_their_boxes():
    """Two triangles whose boxes would take two sheets lie on one."""
    width, height = WINDOW.width - 6, WINDOW.height - 6
    corner = np.array([[0.0, 0.0], [width, 0.0], [0.0, height]])
    other = np.array([[width, height], [width, 12.0], [12.0, height]])
    drawings = [Drawing((Polyline(points, True, OUTLINE),)) for points in (other, corner * 0.88)]
    places = pack(drawings, WINDOW.width, WINDOW.height)
    boxes = [extents_box(drawing) for drawing in drawings]
    assert sum(box.width * box.height for box in boxes) > 1.5 * WINDOW.width * WINDOW.height
    assert [place.sheet for place in places] == [0, 0]


def test_too_large_is_left_to_the_tiles():
    big = Drawing((Polyline(np.array([[0.0, 0.0], [400.0, 300.0]]), False, OUTLINE),))
    small = Drawing((Polyline(np.array([[0.0, 0.0], [40.0, 30.0]]), False, OUTLINE),))
    assert pack([big, small], WINDOW.width, WINDOW.height)[0] is None
    contents = sheet_parts(
        [Part(big, "big", lambda _: ()), Part(small, "small", lambda _: ())], paper("dual")
    )
    assert contents[0].title == "small"
    assert {content.title for content in contents[1:]} == {"big"}


def test_turned_only_where_it_saves_a_sheet():
    wide = Drawing((Polyline(np.array([[0.0, 0.0], [150.0, 60.0]]), False, OUTLINE),))
    assert pack([wide], WINDOW.width, WINDOW.height)[0].turn_deg == 0
    long = Drawing((Polyline(np.array([[0.0, 0.0], [200.0, 60.0]]), False, OUTLINE),))
    assert pack([long], WINDOW.width, WINDOW.height)[0].turn_deg == 90


@pytest.mark.parametrize(
    ("titles", "title"),
    [
        (["Wrap: 1 bar (start end)", "Wrap: 2 leg"], "Wrap: 1 bar (start end); 2 leg"),
        (["Landing of a on b", "Landing of c on d"], "Landing of a on b; c on d"),
        (["Wrap: a", "Landing of c on d"], "Wrap: a; Landing of c on d"),
        (["Landing of a: b on c", "Landing of d on c"], "Landing of a: b on c; d on c"),
        (["Landing of a: b on c", "Landing of a: d on c"], "Landing of a: b on c; a: d on c"),
        (["Wrap: a"], "Wrap: a"),
    ],
)
def test_what_a_shared_sheet_is_of_is_said_once(titles, title):
    assert shared_title(titles) == title
