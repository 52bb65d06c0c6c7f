"""The pictures, looked at without a browser: what is drawn where, and whether it can be read.

Where things come to lie on the screen is worked out here from the drawing alone: pixels from data
by the axis' domain, and the width of a name from 6.5 px a letter, about what a sans serif of
14 px takes.
"""

from functools import lru_cache
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.readings.pictures import (
    Axis,
    Chart,
    Field,
    Line,
    Move,
    Point,
    Rule,
    Scale,
    Stretch,
)
from engine.screens.components.picture_labels import wrapped
from engine.screens.components.pictures import DARK, LIGHT, draw

LETTER, SMALLEST = 6.5, 13  # px
NARROW, WIDE = 316, 700  # px, a scale on a phone and on a desk

PLANE = Chart(
    title="O2 and CO2",
    x=Axis("O2 [%]", 0.0, 12.0),
    y=Axis("CO2 [%]", 4.0, 14.0),
    words="O2 5 %, CO2 9 %: on the line.",
    lines=(
        Line("Natural gas", ((0.0, 11.9), (20.9, 0.0))),
        Line("Propane", ((0.0, 13.8), (20.9, 0.0)), main=False),
    ),
    fields=(Field("This boiler", (3.8, 5.9), (8.5, 9.7)),),
    points=(Point("Measured", 5.0, 9.0, 0.3, 0.2),),
    moves=(Move("flue gas comes back", (5.0, 9.0), (4.1, 9.5)),),
    rules=(Rule("Limit", 10.5), Rule("Least", 2.0, "x")),
)
FLAME = Scale(
    title="Flame current [µA]",
    low=0.0,
    high=8.0,
    stretches=(
        Stretch("No flame", None, 1.0, False),
        Stretch("Works", 1.0, 5.0, False),
        Stretch("Solid", 5.0, None, True),
    ),
    value=2.4,
    spread=0.3,
    words="Flame current 2.4 ± 0.3 µA: works.",
)


@lru_cache
def drawn(picture, dark=False):
    """The drawing as it goes to the browser; Altair checks it against the grammar here."""
    return draw(picture, dark)[0].to_dict()


def of(picture, mark):
    """The layers of a mark, with their data."""
    spec = drawn(picture)
    return [layer | {"rows": spec["datasets"][layer["data"]["name"]]}
            for layer in spec["layer"] if layer["mark"]["type"] == mark]  # fmt: skip


def rows(layer):
    return layer["rows"]


def written(picture):
    """All names in the drawing, halo left out, with the layer they are in."""
    return [(row, layer) for layer in of(picture, "text") if "stroke" not in layer["mark"]
            for row in rows(layer)]  # fmt: skip


def box(row, layer, width, domain, top):
    """The ground that a line of text covers: left, top, right, bottom [px]."""
    low, high = domain
    x = width * (row["x"] - low) / (high - low) + row.get("dx", 0)
    align = row.get("align", layer["mark"].get("align"))
    left = x - {"left": 0, "center": 0.5, "right": 1}[align] * LETTER * len(row["text"])
    return left, top - 7, left + LETTER * len(row["text"]), top + 7


def overlap(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


# ------------------------------------------------------------------ a scale


def scale_boxes(picture, width):
    domain = (picture.low, picture.high)
    return [box(row, layer, width, domain, row["y"]) for row, layer in written(picture)]


def test_a_scale_names_each_stretch_with_its_ends():
    text = [row["text"] for row, _ in written(FLAME)]
    assert text == ["No flame", "below 1", "Works", "1 to 5", "Solid", "from 5", "read: 2.4"]


def test_the_bar_is_divided_at_the_limits_and_only_the_sound_stretch_is_filled():
    (bar,) = of(FLAME, "rect")
    assert [(r["x"], r["x2"], r["sound"]) for r in rows(bar)] == [
        (0.0, 1.0, False), (1.0, 5.0, False), (5.0, 8.0, True),
    ]  # fmt: skip
    hatching = rows(next(layer for layer in of(FLAME, "rule") if len(rows(layer)) > 5))
    assert all(stroke["x"] < 5.0 for stroke in hatching)
    for low, high in ((0.0, 1.0), (1.0, 5.0)):
        assert any(low < stroke["x"] < high for stroke in hatching)


def test_the_value_stands_at_its_place_with_its_spread():
    (diamond,) = of(FLAME, "point")
    assert [row["x"] for row in rows(diamond)] == [2.4]
    drawn = [(row["x"], row["x2"]) for layer in of(FLAME, "rule") for row in rows(layer)
             if "x2" in row]  # fmt: skip
    assert (pytest.approx(2.1), pytest.approx(2.7)) in drawn


def test_what_lies_beyond_the_ends_of_a_scale_is_left_out():
    picture = Scale("x", 2.0, 8.0, FLAME.stretches, 3.0, 0.1, "3")
    assert "No flame" not in [row["text"] for row, _ in written(picture)]
    assert rows(of(picture, "rect")[0])[0]["x"] == 2.0


@st.composite
def scales(draw):
    """Two to five stretches of any width, with names as long as those of the knowledge."""
    count = draw(st.integers(2, 5))
    cuts = sorted(draw(st.sets(st.integers(1, 99), min_size=count - 1, max_size=count - 1)))
    names = st.sampled_from(
        ["Low", "As expected", "Flame there, no current", "O2 and CO2 do not belong together"]
    )
    ends = [None, *map(float, cuts), None]
    stretches = [Stretch(draw(names), *ends[i : i + 2], draw(st.booleans())) for i in range(count)]
    value = draw(st.floats(0, 100))
    return Scale("x [%]", 0.0, 100.0, tuple(stretches), value, draw(st.floats(0, 9)), "words")


@settings(max_examples=15)  # each is drawn and checked by Altair
@given(picture=scales(), width=st.sampled_from([NARROW, 350, WIDE]))
def test_on_no_scale_does_a_name_cover_another_or_leave_the_picture(picture, width):
    boxes = scale_boxes(picture, width)
    assert not [pair for pair in combinations(boxes, 2) if overlap(*pair)]
    height = drawn(picture)["height"]
    for left, top, right, bottom in boxes:
        assert left >= -8
        assert right <= width + 8
        assert top >= 0
        assert bottom <= height


# ------------------------------------------------------------------ a plane


def test_a_plane_shows_lines_field_point_and_move_where_they_are():
    (field,) = of(PLANE, "rect")
    assert rows(field) == [{"x": 3.8, "x2": 5.9, "y": 8.5, "y2": 9.7}]
    main, other = of(PLANE, "line")
    assert [(r["x"], r["y"]) for r in rows(main)] == [(0.0, 11.9), (20.9, 0.0)]
    assert "strokeDash" not in main["mark"]
    assert "strokeDash" in other["mark"]
    (point,) = [layer for layer in of(PLANE, "point") if layer["mark"]["shape"] == "circle"]
    assert [(r["x"], r["y"]) for r in rows(point)] == [(5.0, 9.0)]
    assert (rows(point)[0]["left"], rows(point)[0]["right"]) == (4.7, 5.3)
    assert (rows(point)[0]["low"], rows(point)[0]["high"]) == (8.8, 9.2)
    (head,) = [layer for layer in of(PLANE, "point") if layer["mark"]["shape"] == "triangle"]
    assert (head["encoding"]["x"]["field"], head["encoding"]["y"]["field"]) == ("x2", "y2")
    assert (rows(head)[0]["x2"], rows(head)[0]["y2"]) == (4.1, 9.5)
    levels = [rows(layer)[0] for layer in of(PLANE, "rule") if len(rows(layer)[0]) == 1]
    assert levels == [{"y": 10.5}, {"x": 2.0}]


def test_a_curve_that_turns_back_is_drawn_in_its_own_order():
    picture = Chart("t", Axis("x", 0, 4), Axis("y", 0, 4), "w",
                    lines=(Line("loop", ((1.0, 1.0), (3.0, 2.0), (1.0, 3.0))),))  # fmt: skip
    (line,) = of(picture, "line")
    assert line["encoding"]["order"]["field"] == "i"
    assert [row["i"] for row in rows(line)] == [0, 1, 2]


def test_a_field_without_a_limit_reaches_to_the_end_of_the_axis():
    picture = Chart("t", Axis("x", 0.0, 10.0), Axis("y", 0.0, 5.0), "w",
                    fields=(Field("beyond", (7.0, None), (None, 2.0)),))  # fmt: skip
    assert rows(of(picture, "rect")[0]) == [{"x": 7.0, "x2": 10.0, "y": 0.0, "y2": 2.0}]


def test_everything_in_a_plane_is_named():
    text = " ".join(row["text"] for row, _ in written(PLANE))
    numbered = " ".join(draw(PLANE)[1])
    for name in ("Natural gas", "Propane", "This boiler", "Measured", "Limit", "Least"):
        assert name in text
    assert "flue gas comes back" in text or "flue gas comes back" in numbered


def test_moves_without_room_for_their_names_bear_numbers_that_are_explained():
    names = tuple(f"a name that is rather long, number {i}" for i in range(5))
    crowd = Chart("t", PLANE.x, PLANE.y, "w", lines=PLANE.lines, points=PLANE.points,
                  moves=tuple(Move(name, (5.0, 9.0), (5.0 + 0.3 * i, 9.6))
                              for i, name in enumerate(names)))  # fmt: skip
    assert draw(crowd)[1] == names
    text = [row["text"] for row, _ in written(crowd)]
    assert [number for number in text if number.isdigit()] == list("12345")


def test_a_measured_point_beyond_the_axis_is_still_shown():
    picture = Chart("t", Axis("x", 0.0, 12.0), Axis("y", 4.0, 14.0), "w",
                    points=(Point("far", 15.0, 2.0),))  # fmt: skip
    encoding = of(picture, "point")[0]["encoding"]
    assert encoding["x"]["scale"]["domain"][1] > 15.0
    assert encoding["y"]["scale"]["domain"][0] < 2.0
    assert encoding["y"]["scale"]["domain"][1] == 14.0


def test_a_logarithmic_axis_is_one():
    picture = Chart("t", Axis("x", 0.0, 1.0), Axis("y", 0.5, 50.0, logarithmic=True), "w",
                    lines=(Line("curve", ((0.0, 40.0), (1.0, 1.0))),),
                    points=(Point("here", 0.5, 6.3),))  # fmt: skip
    assert of(picture, "line")[0]["encoding"]["y"]["scale"]["type"] == "log"
    for row, _ in written(picture):
        assert 0.5 <= row["y"] <= 50.0


@settings(max_examples=15)
@given(x=st.floats(0, 12), y=st.floats(4, 14), width=st.sampled_from([270, 600]))
def test_no_name_in_a_plane_covers_another_or_the_point(x, y, width):
    """Wherever the point lies, with two lines and a field beside it."""
    picture = Chart("t", PLANE.x, PLANE.y, "w", lines=PLANE.lines, fields=PLANE.fields,
                    points=(Point("Measured", x, y),))  # fmt: skip
    height = 300
    boxes = []
    for row, layer in written(picture):
        top = height * (14.0 - row["y"]) / 10.0 + row["dy"]
        boxes.append(box(row, layer, width, (0.0, 12.0), top))
    assert not [pair for pair in combinations(boxes, 2) if overlap(*pair)]
    at = width * x / 12.0, height * (14.0 - y) / 10.0
    assert not any(b[0] < at[0] < b[2] and b[1] < at[1] < b[3] for b in boxes)


# ------------------------------------------------------------------ both


@pytest.mark.parametrize("picture", [PLANE, FLAME], ids=["plane", "scale"])
def test_letters_are_large_enough_for_a_phone(picture):
    for layer in of(picture, "text"):
        assert layer["mark"]["fontSize"] >= SMALLEST
    axes = drawn(picture)["config"]["axis"]
    assert min(axes["labelFontSize"], axes["titleFontSize"]) >= SMALLEST


def luminance(colour):
    """W3C, Web Content Accessibility Guidelines 2.2 (2023), relative luminance."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return sum(w * v for w, v in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("ink", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("colour", "least"), [("ink", 4.5), ("accent", 3.0), ("faint", 3.0)])
def test_what_is_drawn_stands_out_from_the_paper(ink, colour, least):
    """WCAG 2.2, 1.4.3 for letters and 1.4.11 for what else must be seen."""
    bright, dim = sorted((luminance(ink[colour]), luminance(ink["paper"])), reverse=True)
    assert (bright + 0.05) / (dim + 0.05) >= least


def test_the_dark_drawing_is_the_light_one_in_other_colours():
    def without_colours(picture, dark):
        text = str(drawn(picture, dark))
        for name in LIGHT:
            text = text.replace((DARK if dark else LIGHT)[name], name)
        return text

    for picture in (PLANE, FLAME):
        assert without_colours(picture, True) == without_colours(picture, False)


def test_a_name_is_broken_into_even_lines():
    assert wrapped("Works, but little in hand", 21) == ("Works, but", "little in hand")
    assert wrapped("", 21) == ("",)
