"""Drawings on a page: the boards of the layout, each at its place, within the drawing; as SVG that needs no style."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from making.folders import TODAY, folder

from estimator.counter.shapes import Curve, DrawingPart, Line, Words
from estimator.counter.tapes import WIDTHS, _hours, crossing, dates_drawings, hours_drawings
from estimator.sheets.layouts.promises import ReadyLayout, ten_caption
from estimator.sheets.layouts.ranges import RangeLayout, alt_text, drawing_of
from estimator.shop import Shop

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return Shop.open(folder(tmp_path_factory.mktemp("shop") / "shop"), today=TODAY).snapshot()


def middles(drawing):
    """Where each outline stands along the tape."""
    outlines = [shape for shape in drawing.shapes if isinstance(shape, Curve)]
    return [
        (min(xs) + max(xs)) / 2 for one in outlines for xs in [[x for curve in one.curves for x, _ in curve]]
    ]


@pytest.mark.parametrize("n", range(len(WIDTHS)))
def test_ten_boards_stand_where_the_layout_has_them(shop, n):
    answer = shop.range("26-002")
    layout = RangeLayout(drawing_of(answer), WIDTHS[n])
    drawing = hours_drawings(answer)[n]

    assert middles(drawing) == pytest.approx([layout.px(at) for at in drawing_of(answer).places])
    assert len(middles(drawing)) == 10
    assert drawing.says == alt_text(drawing_of(answer))


@pytest.mark.parametrize(("end", "across"), [("low", "end"), ("high", "start")])
def test_the_unit_stands_at_the_side_on_which_the_guess_does_not(shop, end, across):
    drawing = drawing_of(shop.range("26-002"))
    shapes = _hours(replace(drawing, guess=getattr(drawing, end)), WIDTHS[0]).shapes

    assert [one.across for one in shapes if isinstance(one, Words) and one.words == "hours"] == [across]


@pytest.mark.parametrize("n", range(len(WIDTHS)))
def test_ten_boards_stand_on_their_days_and_the_day_told_is_a_plumb_line(shop, n):
    promise = shop.promise("26-002")
    layout = ReadyLayout(promise, TODAY, WIDTHS[n], ())
    drawing = dates_drawings(promise, TODAY, ())[n]

    assert middles(drawing) == pytest.approx([layout.px(at) for at in layout.places])
    assert drawing.says == ten_caption(promise, TODAY)
    assert any(isinstance(one, Words) and one.words.startswith("told by") for one in drawing.shapes)
    bobs = [
        one for one in drawing.shapes if isinstance(one, Line) and len(one.points) == 5 and one.fill != "none"
    ]
    assert [one.points[0][0] for one in bobs] == pytest.approx([layout.px(layout.plumb)])


def test_nothing_lies_outside_its_drawing(shop):
    drawn = [*hours_drawings(shop.range("26-002")), *dates_drawings(shop.promise("26-002"), TODAY, ())]
    for drawing in drawn:
        for shape in drawing.shapes:
            points = (
                shape.points
                if isinstance(shape, Line)
                else [shape.at]
                if isinstance(shape, Words)
                else [shape.start]
            )
            for x, y in points:
                assert -0.5 <= x <= drawing.wide + 0.5, shape
                assert -0.5 <= y <= drawing.high + 0.5, shape


def test_an_svg_says_what_it_shows_and_carries_no_style_and_no_script(shop):
    for drawing in hours_drawings(shop.range("26-002")):
        root = ET.fromstring(drawing.svg().replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))
        assert root.get("role") == "img"
        assert root.find(f"{SVG}title").text == drawing.says
        names = {name for one in root.iter() for name in one.attrib}
        assert not names & {"style", "class", "id", "href", "onload"}
        assert {one.tag.removeprefix(SVG) for one in root.iter()} <= {
            "svg",
            "title",
            "polygon",
            "path",
            "text",
        }
        assert len(drawing.svg()) < 6_500


def test_words_in_a_drawing_are_words():
    odd = '</title><script>alert("1")</script>&'
    text = DrawingPart(odd, 10.0, 10.0, (Words((1.0, 2.0), odd, 14.0),)).svg()

    assert "<script" not in text
    root = ET.fromstring(text)
    assert [root[0].text, root[1].text] == [odd, odd]


@pytest.mark.parametrize(
    ("rise", "ends"), [(0.0, [(0.0, 0.0), (2.0, 2.0)]), (-1.0, [(1.0, 0.0), (2.0, 1.0)]), (5.0, [])]
)
def test_a_hatch_line_goes_from_edge_to_edge(rise, ends):
    assert crossing([(0, 0), (2, 0), (2, 2), (0, 2)], rise) == ends


def test_pencil_is_broken_and_ink_is_not():
    def dashes(broken):
        line = Line(((0.0, 0.0), (1.0, 1.0)), 1.0, broken=broken)
        return "stroke-dasharray" in DrawingPart("", 2.0, 2.0, (line,)).svg()

    assert (dashes(True), dashes(False)) == (True, False)


def places_of(way):
    """The points that a pen goes through, as SVG reads numbers that are run together (SVG 1.1, 8.3.9: path grammar)."""
    found = []
    for start, letter, rest in re.findall(r"M([^lcz]+)([lc])([^Mz]+)", way):
        at = tuple(map(float, re.findall(r"-?(?:\d+\.?\d*|\.\d+)", start)))
        by = [float(one) for one in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", rest)]
        pairs, most = list(zip(by[::2], by[1::2], strict=True)), {"l": 1, "c": 3}[letter]
        found.append(at)
        for n, (x, y) in enumerate(pairs, start=1):
            found.append((at[0] + x, at[1] + y))
            if n % most == 0:
                at = found[-1]
    return found


def test_a_pen_goes_through_all_points_however_long_its_way(shop):
    for drawing in [
        *hours_drawings(shop.range("26-002")),
        *dates_drawings(shop.promise("26-002"), TODAY, ()),
    ]:
        drawn = [one for one in drawing.shapes if not isinstance(one, Words)]
        for one in drawn:
            points = one.points if isinstance(one, Line) else [one.start, *(p for c in one.curves for p in c)]
            for mine, there in zip(places_of(one.way()), points, strict=True):
                assert mine == pytest.approx(there, abs=0.0501)
        whole = places_of("".join(re.findall(r' d="([^"]+)"', drawing.svg())))
        assert len(whole) == sum(len(places_of(one.way())) for one in drawn)


def test_what_is_drawn_alike_is_one_stroke_as_far_as_nothing_filled_comes_between():
    line, other = Line(((0.0, 0.0), (5.0, 0.0)), 1.0), Line(((0.0, 3.0), (5.0, 3.0)), 1.0)
    spot = Line(((1.0, 1.0), (2.0, 1.0), (1.0, 2.0)), 0.0, fill="#1E1B16")

    def paths(*shapes):
        svg = ET.fromstring(
            DrawingPart("Two lines.", 9.0, 9.0, shapes).svg().replace("<svg", f'<svg xmlns="{SVG[1:-1]}"', 1)
        )
        return ["fill" in one.attrib and one.get("fill") != "none" for one in svg.iter(f"{SVG}path")]

    assert paths(line, other) == [False]
    assert paths(line, other, spot) == [False, True]
    assert paths(line, spot, other)[:2] == [False, True]
