"""Points, tubes and stock to a spreadsheet and back: nothing is lost, and what is wrong is said with its place."""

from __future__ import annotations

import csv
import random
from dataclasses import replace

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from app.document import table_text
from app.document.table_text import decode, plain
from app.document.tables import points_text, read_tables, stock_text, tubes_text
from geometry.errors import BadText, CopewrightError
from geometry.frame import MITRE_WAYS, End, Frame, Plane, Stock, Tube, made_names
from geometry.joint import FITS
from geometry.material import MATERIALS
from geometry.place import Along, At, MirrorOf, OffsetFrom, Swung
from geometry.section import BoxSection, RoundTube
from tests.cases import examples
from tests.frames import EVERYTHING

NOTHING, EMPTY = "nothing new, nothing changed", Frame()
WAS = {tube.name: tube for tube in EVERYTHING.tubes}


def whole(frame, **how):
    """All of a frame as one text, the tubes first: nothing hangs on the order."""
    return "\n".join(write(frame, **how) for write in (tubes_text, points_text, stock_text))


def taken(text, frame=EMPTY, **how):
    return read_tables(text, frame, **how)


def refused(text, words, frame=EMPTY):
    with pytest.raises(BadText) as error:
        taken(text, frame)
    assert words in str(error.value)
    assert "\n" not in str(error.value)


def carried(frame):
    """A frame's parts as far as tables have them."""
    return frame.points, frame.stock, tuple(replace(tube, as_bent=()) for tube in frame.tubes)


STRANGE = [
    "point", "tube", "stock", "name", "x", "y", "points", "mirror", "note", "-", "=1+1", "+x", "@a", "#1", "# no", "'q", '"q"', 'q"',
    "a > b", ">", "a + b", "+", "\\", "a\\", "\\> b", "a;b", "a,b", "1", "1,5", "1.234", "0 0 0", "-1 0 0", "+1 2 3", "−1 .5 ,5", "yes",
    "Rohr ü", "sep=", "µ", "x mm", "0", "filed", "both", "no",
]  # fmt: skip
LETTERS = st.characters(exclude_categories=["C", "Z"], include_characters=" ")
WORDS = st.text(LETTERS, min_size=1, max_size=8).map(str.strip).filter(bool)
NAMES = st.sampled_from(STRANGE) | WORDS
ODD = st.sampled_from([0.0, -0.0, 5e-324, 1e-7, 1.234, -12.345, 612.125, 0.1 + 0.2])
PLACE, SIZE, TURN = st.floats(-2e4, 2e4) | ODD, st.floats(0, 2000), st.floats(-360, 360)
THREE = st.tuples(PLACE, PLACE, PLACE)
UNITS = st.sampled_from(["mm", "in"])
OVER, WALL = st.floats(11.0, 2000.0), st.floats(0.1, 5.0)
SECTION = st.builds(RoundTube, OVER, WALL) | st.builds(
    BoxSection, OVER, OVER, WALL, st.floats(0, 5.5)
)
STOCK = st.builds(Stock, SECTION, st.sampled_from(sorted(MATERIALS)), st.floats(1.0, 2e4))


def named(least, most):
    return st.lists(NAMES, min_size=least, max_size=most, unique_by=str.casefold)


@st.composite
def ends(draw, points, above, others):
    cut = draw(st.sampled_from(["cope", "square", "plane", *["mitre"] * bool(others)]))
    fit, way = draw(st.sampled_from(FITS)), draw(st.sampled_from(MITRE_WAYS))
    normal = st.tuples(st.floats(-9.0, 9.0), st.floats(-9.0, 9.0), st.floats(0.1, 1e6))
    onto = st.lists(st.sampled_from(above), max_size=3) if above and cut == "cope" else st.just(())
    other = st.sampled_from(others) if cut == "mitre" else st.just("")
    planes = st.builds(Plane, THREE | st.sampled_from(points), normal)
    plane = planes if cut == "plane" else st.none()
    gap = st.floats(0.0, 20.0)
    return End(cut, fit, tuple(draw(onto)), draw(gap), draw(SIZE), draw(other), way, draw(plane))


@st.composite
def frames(draw):
    """Frames of any names and values, no point of which hangs on itself or beyond a tube."""
    stock = {name: draw(STOCK) for name in draw(named(1, 3))}
    names, tube_names = draw(named(2, 7)), draw(named(0, 3))
    points, tubes, above = {}, [], []
    for number, name in enumerate(names):
        kinds = [st.builds(At, PLACE, PLACE, PLACE)]
        if number:
            base = st.sampled_from(names[:number])
            kinds += [st.builds(OffsetFrom, base, THREE), st.builds(MirrorOf, base)]
            kinds.append(st.builds(Swung, base, st.floats(0.0, 2e4), TURN))
        points[name] = draw(st.one_of(kinds))
    for name in tube_names:
        path = draw(st.lists(st.sampled_from(names), min_size=2, max_size=4))
        radii = draw(st.tuples(*[st.floats(0.001, 2000.0)] * (len(path) - 2)))
        end = ends(names, above, [one for one in tube_names if one != name])
        trim = draw(st.tuples(SIZE, SIZE)) if radii else (0.0, 0.0)
        stuff, handed = draw(st.sampled_from(sorted(stock))), draw(st.booleans())
        both = draw(st.tuples(end, end))
        tubes.append(Tube(name, stuff, tuple(path), radii, both, handed, draw(TURN), trim))
        above = [*above, *made_names(tubes[-1])]
    for name in draw(named(0, 2)) if tube_names else ():
        way = draw(st.sampled_from([(0.3, None), (1 / 3, None), (None, 0.0)]))
        points.setdefault(name, Along(draw(st.sampled_from(tube_names)), *way))
    try:
        return Frame("random", stock, points, tuple(tubes), draw(UNITS))
    except CopewrightError:
        assume(False)


HARD = Frame(
    "hard to tell",
    {"stock": Stock(RoundTube(20.0, 1.234))},
    {
        "x": At(1.234, 1.234e-10, 612.125), "point": MirrorOf("x"), "0 0 0": At(1.0, 0.0, 0.0), "1,5": At(2.0, 0.0, 0.0),
        "1.5": At(3.0, 0.0, 0.0),
    },
    (
        Tube("0", "stock", ("x", "1.5"), (), (End("plane", plane=Plane("1,5")), End("plane", plane=Plane("0 0 0")))),
        Tube("tube", "stock", ("x", "point"), (), (End(), End("mitre", other="0"))),
    ),
)  # fmt: skip


@examples(150)
@example(HARD, True, ";", "mm")
@example(HARD, False, "\t", "in")
@given(frames(), st.booleans(), st.sampled_from(table_text.SEPARATORS), UNITS)
def test_what_is_written_comes_back_the_same(frame, comma, separator, unit):
    text = whole(frame, decimal_comma=comma, separator=separator)
    # Nothing in the text hangs on the unit of the frame that it is put into.
    assert carried(taken(text, Frame(units=unit)).frame) == carried(frame)
    again = taken(text, frame)
    assert (again.frame, again.words) == (frame, NOTHING)
    mixed = taken(text, EVERYTHING).frame
    assert list(mixed.points) == [*EVERYTHING.points, *frame.points]
    assert mixed.tubes == (*EVERYTHING.tubes, *frame.tubes)


def test_the_frame_that_uses_everything_keeps_all_and_what_no_table_has():
    assert taken(whole(EVERYTHING), EVERYTHING).frame == EVERYTHING
    fresh = taken(whole(EVERYTHING))
    assert fresh.words == "8 points, 5 tubes and 3 stock new"
    assert carried(fresh.frame) == carried(EVERYTHING)


ENGLISH = "point\tx mm\ty mm\tz mm\r\nhead low\t612\t0\t845\r\nseat\t-180.5\t140\t700\r\n"
GERMAN = '"Punkt";"x [mm]";"y [mm]";"z [mm]"\n"head low";612;0;845\n"seat";-180,5;140,0;700\n'


@pytest.mark.parametrize("text", [
    ENGLISH,
    GERMAN,
    "\ufeff" + ENGLISH.replace("\r\n", "\r"),
    decode(GERMAN.encode("utf-16")),
    "sep=;\n" + GERMAN,
    "head low\t612\t0\t845\nseat\t-180,5\t140\t700",
    "head low,612,0,845\nseat,-180.5,140,700",
    "head low; 612 ;0;845;;\n\n# measured twice;;\n;;;\n seat;−180,50;140 mm;70 cm;",
    'name,X (mm),Y (mm),Z (cm),note\nhead low, 612, 0, 84.5,"left, outside"\nseat, "-180,5", 140, 70,',
    "Name\tx_mm\ty/mm\tz in mm\n\nhead low\t612\t0\t8.45E+02\nseat\t-1.805e2\t140\t700\n",
    'point;x in;y in;z in\nhead low;612 mm;0;845mm\nseat;-180.5mm;5-65/127";700 mm',
])  # fmt: skip
def test_ways_of_writing_points(text):
    made = taken(text)
    assert made.words == "2 points new"
    assert made.frame.points["head low"] == At(612.0, 0.0, 845.0)
    seat = made.frame.points["seat"]
    assert (seat.x, seat.y, seat.z) == pytest.approx((-180.5, 140.0, 700.0), abs=1e-9)


def test_units_are_said_by_the_cell_the_heading_or_the_caller():
    text = 'point,x in,y,z\na,1,2,3mm\nb,1 mm,"1 1/2"" ",0\n'
    points = taken(text, inches=False).frame.points
    assert (points["a"], points["b"].x) == (At(25.4, 2.0, 3.0), 1.0)
    assert points["b"].y == pytest.approx(38.1)
    assert taken(text, inches=True).frame.points["a"].y == 50.8
    assert taken("a,1,2,3", Frame(units="in")).frame.points["a"] == At(25.4, 50.8, 76.2)
    text = "stock,od,wall,material\na,1-1/2in,0.065,e355\nb,1.5in,16swg,\nc,38.1,1.6,\nd,38.1,0.065in,\n"
    stock = taken(text).frame.stock
    walls = [one.section.wall for one in stock.values()]
    assert walls == pytest.approx([1.651, 1.6256, 1.6, 1.651])
    assert stock["a"].steel.name == "E355"


BY_HAND = """# as measured on Saturday
tube;stock;points;radii mm;handed;start;start onto;finish;finish with
post;main;foot > low;;;plane;;;
rail;main;low > knee > seat;150;x;cope;post;;
brace;flat;foot > half;;;;;mitre;rail

name;x;y;z;on;share
low;600;0;800;;
knee;300;120;790,5;;
seat;-180;140;700;;
foot;600;0;0;;
half;;;;rail;50 %

name;width;height;od;wall;corner radius
main;;;38,1;2;
flat;40;20;;2;3
"""


def test_a_whole_frame_by_hand():
    made = taken(BY_HAND)
    assert made.words == "5 points, 3 tubes and 2 stock new"
    assert made.frame.points["half"] == Along("rail", 0.5)
    assert made.frame.stock["flat"].section == BoxSection(40.0, 20.0, 2.0, 3.0)
    post = Tube("post", "main", ("foot", "low"), (), (End("plane", plane=Plane()), End()))
    ends = (End(onto=("post",)), End())
    rail = Tube("rail", "main", ("low", "knee", "seat"), (150.0,), ends, handed=True)
    brace = Tube("brace", "flat", ("foot", "half"), (), (End(), End("mitre", other="rail")))
    assert made.frame.tubes == (post, rail, brace)
    lines = BY_HAND.splitlines()
    lines[2], lines[3] = lines[3], lines[2]
    refused(
        "\n".join(lines), "row 3, tubes: tube 'rail', start sits onto 'post', which is not above"
    )


def test_what_a_row_does_not_say_stays():
    why = "row 3, points, column 'x': it is blank; a point that hung on something needs"
    refused("point,z\nseat,705\nknee,-60\n", why, EVERYTHING)
    heads = "point,x mm,y mm,z mm,from,angle,distance mm\n"
    rows = 'seat,,,705,,,\nhead high,,,,,"116,5",\nknee,,,-60,head low,,\n'
    points = taken(heads + rows, EVERYTHING).frame.points
    assert points["seat"] == At(-180.0, 140.0, 705.0)
    assert points["head high"] == Swung("head low", 120.5, 116.5)
    assert points["knee"] == OffsetFrom("head low", (-350.0, 130.0, -60.0))
    heads = "tube,stock,start,start gap mm,finish,finish extra mm\n"
    rows = "top rail,main,,1.5,cope,\nleg,,square,,,2\nstrut,,,,square,\n"
    made = taken(heads + rows, EVERYTHING)
    assert made.words == "3 tubes changed"
    _, rail, _, leg, strut = made.frame.tubes
    sawn = taken("tube,start\ntop rail,square\n", made.frame).frame.tubes[1]
    assert sawn.ends == (End("square"), rail.ends[1])
    both = (End("cope", "square-cut", ("headstock",), 1.5), End("cope", extra=15.0))
    assert rail == replace(WAS["top rail"], stock="main", ends=both)
    assert leg.ends == (End("square"), End("plane", extra=2.0, plane=Plane()))
    assert strut.ends == (WAS["strut"].ends[0], End("square"))
    assert made.frame.progress == EVERYTHING.progress


def test_one_way_of_saying_where_it_is_takes_the_place_of_another():
    text = (
        "point,x mm,y mm,z mm,from,distance mm,angle,on,share,mirror\nseat,,,,knee,100,,,,\nhead high,1,2,3,,,,,,\n"
        "near the seat,,,,,,,,25%,\nhalf way,,,,,-5,,,,\nknee,,,,floor,,,,,\nother side,,,,,,,,,knee\n"
    )  # fmt: skip
    refused(text, "row 2, points, column 'angle': it is blank; a point has x, y and z", EVERYTHING)
    points = taken(text.replace("100,,", "100,-90°,"), EVERYTHING).frame.points
    assert points == EVERYTHING.points | {
        "seat": Swung("knee", 100.0, -90.0), "head high": At(1.0, 2.0, 3.0), "other side": MirrorOf("knee"),
        "near the seat": Along("top rail", share=0.25), "half way": Along("top rail", distance=-5.0),
        "knee": OffsetFrom("floor", (-350.0, 130.0, -60.25)),
    }  # fmt: skip


def test_a_tube_made_straight_or_of_one_hand_lets_go_what_that_has_not():
    frame = replace(EVERYTHING, tubes=(WAS["headstock"], replace(WAS["top rail"], as_bent=())))
    text = "tube,points,handed,start onto\ntop rail,head low > seat,no,-\n"
    made = taken(text, frame).frame
    _, rail = made.tubes
    assert (rail.path, rail.radii, rail.trim) == (("head low", "seat"), (), (0.0, 0.0))
    assert (rail.handed, rail.ends[0].onto) == (False, ())
    assert made.progress == {"headstock": "welded"}
    why = "row 2, tubes, column 'points': 'head low > seat' has not the bends of what came from the bender"
    refused(text, why, EVERYTHING)
    why = "row 2, tubes: tube 'top rail', as bent, hand 'right' is not one of its own"
    refused("tube,handed\ntop rail,no", why, EVERYTHING)


def test_a_spreadsheets_rounding_is_no_change_but_a_persons_is():
    cells = csv.reader(points_text(EVERYTHING).splitlines(), delimiter="\t")
    rows = [[one if plain(one) is None else f"{plain(one):.10g}" for one in row] for row in cells]
    assert taken("\n".join(map("\t".join, rows)), EVERYTHING).frame == EVERYTHING
    assert taken("seat\t-7.0866\t5.5118\t27.559", EVERYTHING).words == "1 point changed"


def test_rows_and_columns_asked_for_are_written():
    heads = "point;x in;y in;z in;from;distance in;angle °;on;share;mirror\n"
    text = points_text(EVERYTHING, ["floor", "half way"], separator=";")
    assert text == heads + "floor;3.937007874015748;0;0;;;;;;\nhalf way;;;;;;;top rail;0.5;\n"
    text = stock_text(replace(EVERYTHING, units="mm"), ["main"], decimal_comma=True)
    heads = "stock\tshape\tod mm\twall mm\tmaterial\tbar length mm"
    assert text == f"{heads}\nmain\tround\t38,1\t2,03\tE355\t6000\n"
    assert "\t1,2340\t" in points_text(HARD, decimal_comma=True)
    assert taken(tubes_text(Frame())).words == NOTHING
    with pytest.raises(BadText, match="there is no tube 'nobody'"):
        tubes_text(EVERYTHING, ["nobody"])


def test_names_that_mean_something_to_a_spreadsheet_are_text_there():
    points = {name: At(0.0, 0.0, 0.0) for name in ("=1+1", "+a", "-a", "@a", "#1", "'a", '"a"')}
    first = [row.split("\t")[0] for row in points_text(Frame(points=points)).splitlines()]
    assert first[1:] == [*(f"\\{name}" for name in list(points)[:-1]), '"\\""a"""']
    # Some spreadsheets put no quotes round what has a quote in it.
    assert taken("".join(f"\\{name}\t0\t0\t0\n" for name in points)).frame.points == points


XYZ, AB = "point;x;y;z\n", "a;0;0;0\nb;9;0;0\n\nstock;od;wall\ns;20;2\n\ntube;stock;points"
BAD = [
    ("", "there is no table in the text"),
    ("point;x;y;hight\na;1;2;3", "row 1, points: column 'hight' is not known; allowed are point, x, y, z, from"),
    ("point;x mm;y;z\na;1;2;3\nb;abc;2;3", "row 3, points, column 'x mm': 'abc' is not a length; write it like"),
    (XYZ + "a;1;1.234,5;3", "row 2, points, column 'y': '1.234,5' is not a length"),
    (XYZ + "a;1;;3", "row 2, points, column 'y': it is blank; a point has x, y and z, or from"),
    (XYZ + ";1;2;3", "row 2, points, column 'point': it is blank; each row begins with a name"),
    ("a,1,5,2\nb,1,5,2,3\n", "row 2, points, column 5: '3' stands under no heading; where commas part the cells a decimal"),
    ("a;1;2;3\n\nb;1;2;3\na;4;5;6", "row 4, points: 'a' is in row 1 too"),
    ('a;1;2;3\n"b\nc";1;2;3', "row 2, points, column 'point': 'b\\nc' has 3 characters"),
    ('a;1;2;3\n"b;1;2;3\n', "row 2: a cell in quotes does not end"),
    ("a;1;2;3\n#2;1;2;3", "row 2: '#2' is an error, or a name that needs a \\ before its #"),
    ("point;x;y;z;from;mirror\na;1;2;3;b;c", "row 2, points, column 'mirror': 'c' does not go with the others; a point"),
    ("point;mirror\na;b\nb;c\nc;a", "points: points hang on each other in a ring"),
    ("stock;od;wall\ns;20;", "row 2, stock, column 'wall': it is blank; what is new needs it"),
    ("stock;shape;od;wall\ns;oval;20;1", "row 2, stock, column 'shape': 'oval' is not known; allowed are round, box"),
    (AB + "\nt;s;a > c", "row 8, tubes: tube 't' names the point 'c', which is not there"),
    (AB + ";radii mm\nt;s;a > b;5 x", "row 8, tubes, column 'radii mm': 'x' is not a length"),
    (AB + ";start\nt;s;a > b;sawn", "row 8, tubes, column 'start': 'sawn' is not known; allowed are cope, square"),
    (AB + "\nt;s;a > b\n\npoint;on;distance\np;t;90", "row 11, points: point 'p' is 90 mm along tube 't', which is 9.00"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "words"), BAD)
def test_what_is_wrong_is_said_with_its_row_and_column(text, words):
    refused(text, words)


@pytest.mark.parametrize(("text", "y"), [
    ("a\t612.5\t1.234\t0", 1.234), ("a\t612,5\t1,234\t0", 1.234), ("a;0;1,234;0", 1.234), ("a,0,1.234,0", 1.234),
    ("a\t0\t21,234\t0", 21.234), ("a\t0\t0,125\t0", 0.125), ("a\t0\t1,2340\t0", 1.234), ("a\t612,5\t1234\t0", 1234.0), ("a\t0\t1,234E1\t0", 12.34),
    ("a\t612.5\t1,234\t0", 0), ("a\t612,5\t1.234\t0", 0), ("a\t0\t1,234\t0", 0), ('a,0,"1,234",0', 0), ("a;2;1.234;1,234", 0),
])  # fmt: skip
def test_a_thousand_is_never_taken_for_one(text, y):
    if y:
        assert taken(text).frame.points["a"].y == y
    else:
        refused(text, " may be 1234 or 1")


def test_what_is_too_large_is_refused():
    most = "\n".join(f"p{one},1,2,3" for one in range(table_text.MOST_ROWS))
    assert taken(most).words == "5000 points new"
    chain = "".join(f"p{one},1,2,3,p{one - 1}\n" for one in range(1, 3000))
    refused(f"{most}\nq,1,2,3", "row 5001: allowed are 5000 rows")
    refused(" " * 1_000_001, "1000001 characters; allowed are 1000000")
    refused("a,1,2,3\n" + "b" * 200_000, "row 2: a cell")
    refused("point" + ",note" * 101, "row 1: allowed are 100 columns")
    refused(
        "point,x,y,z,from\np0,1,2,3,\n" + chain,
        "points: point 'p2999' hangs on more than 200 others",
    )


def test_bytes_of_every_spreadsheet_are_read():
    text = "Träger;1,5;2;3\r\n"
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        assert decode(text.encode(encoding)) == text
    assert decode(b"\xfe\xff" + text.encode("utf-16-be")) == text
    for data in (b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"\x81", b"\xff\xfea", b"a\0;\0"):
        with pytest.raises(BadText, match="save it as CSV"):
            decode(data)


def test_a_ring_that_was_there_before_is_no_reason_to_refuse():
    ring = Frame(points={"a": MirrorOf("b"), "b": MirrorOf("a"), "c": At(0.0, 0.0, 0.0)})
    assert taken("point,z\nc,5", ring).words == "1 point changed"
    assert taken("a,1,2,3", ring).frame.points["a"] == At(1.0, 2.0, 3.0)
    refused("point,mirror\nc,b", "row 2, points: points hang on each other in a ring", ring)


def test_thousands_of_mutated_texts_are_read_or_give_one_sentence():
    chance = random.Random(20261125)
    ways = [
        {"decimal_comma": comma, "separator": mark} for comma in (False, True) for mark in "\t;,"
    ]
    texts = [whole(EVERYTHING, **way) for way in ways]
    tokens = [*'\t;,\n\r"\\#->+0\0²٣\ud800', "1e400", "in", "mm", "point", ""]
    read = 0
    for number in range(1500):
        text = texts[number % len(texts)]
        for _ in range(chance.randint(1, 3)):
            place = chance.randrange(len(text))
            token = chance.choice([*tokens, text[place : place + 9]])
            text = text[:place] + token + text[place + chance.choice([0, 1, 20]) :]
        try:
            made = taken(text, EVERYTHING).frame
        except BadText as error:
            assert "\n" not in str(error)
        else:
            read += 1
            assert carried(taken(whole(made)).frame) == carried(made)
    assert read > 50
