"""The pen itself: numbers, lettering that stays text, boxes, ids."""

import re
import xml.etree.ElementTree as xml
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wareboard.drawing.svg import HEAD, OUTLINE, Picture, Sketch, identifier, number, text_width_mm

SVG = "{http://www.w3.org/2000/svg}"


@given(st.floats(-9999, 9999))
def test_a_coordinate_is_written_to_a_hundredth_and_reads_back(value):
    text = number(value)
    assert abs(float(text) - value) <= 0.005 + 1e-9
    assert "e" not in text and text != "-0"


@settings(max_examples=60)
@given(st.text(max_size=40))
def test_no_text_becomes_markup_or_breaks_the_file(text):
    picture = Picture()
    picture.letter(0.0, 0.0, text, 3.3)
    picture.stroke(OUTLINE, [(0.0, 0.0), (1.0, 1.0)])
    root = xml.fromstring(picture.render("x", text, text).encode())
    assert [child.tag for child in root] == [f"{SVG}title", f"{SVG}desc", f"{SVG}path", f"{SVG}g"]
    assert len(root.find(f"{SVG}g")) == 1 and not list(root.find(f"{SVG}g")[0])


def test_markup_in_a_name_is_shown_as_it_was_typed():
    picture = Picture()
    picture.letter(0.0, 0.0, '</text><script>"&amp;', 3.3)
    root = xml.fromstring(picture.render("x", "<b>", "&lt;"))
    assert root.find(f"{SVG}g/{SVG}text").text == '</text><script>"&amp;'
    assert root.find(f"{SVG}title").text == "<b>" and root.find(f"{SVG}desc").text == "&lt;"


def test_sketch_and_picture_take_up_the_same_room():
    boxes = []
    for hand in (Sketch(), Picture()):
        hand.stroke(OUTLINE, [(0.0, 0.0), (3.0, -2.0)])
        hand.fill(HEAD, [(0.0, 0.0), (1.0, 7.0), (2.0, 0.0)])
        hand.letter(1.0, 1.0, "belly ⌀ 94.0", 3.3, anchor="end")
        hand.letter(4.0, 9.0, "98.0", 3.3, upward=True, strong=True)
        boxes.append((hand.left, hand.bottom, hand.right, hand.top))
    assert boxes[0] == boxes[1]
    width = text_width_mm("belly ⌀ 94.0", 3.3)
    assert boxes[0][0] == pytest.approx(1.0 - width)
    assert boxes[0][3] == pytest.approx(9.0 + text_width_mm("98.0", 3.3, True) / 2.0)


def test_up_on_paper_is_up_on_screen():
    picture = Picture()
    picture.stroke(OUTLINE, [(0.0, 0.0), (10.0, 5.0)])
    root = xml.fromstring(picture.render("x", "t", "d", margin_mm=1.0))
    assert root.get("viewBox") == "-1 -6 12 7"
    assert root.get("width") == "12mm" and root.get("height") == "7mm"
    assert root.find(f"{SVG}path").get("d") == "M0 0L10 -5"


def test_ids_differ_where_names_differ_and_are_named_by_the_picture():
    names = ["tea caddy", "tea_caddy", "tea-caddy", "茶壺", "a_20_b", "a b"]
    assert len({identifier(name) for name in names}) == len(names)
    root = xml.fromstring(Picture(left=0, right=1, bottom=0, top=1).render("茶 壺", "t", "d"))
    assert root.get("aria-labelledby").split() == [child.get("id") for child in root]
    assert root.get("role") == "img"


def test_an_ornament_is_hidden_from_readers():
    text = Picture(left=0, right=1, bottom=0, top=1).render("x", "t", "d", hidden=True)
    assert 'aria-hidden="true"' in text and "<title" not in text


@pytest.mark.parametrize("strong", [False, True])
@pytest.mark.parametrize(
    "text", ["mouth ⌀ 77.0", "133.0", "leather-hard", "clearance 2.6 across", "MAXIMUM", "12.03 ± 0.13 %", "3²⁹⁄₃₂"]
)
def test_lettering_has_room_in_the_bundled_face(text, strong):
    fonts = pytest.importorskip("fontTools.ttLib")
    path = Path(__file__).parents[2] / "site_templates" / "fonts" / ("Bold.ttf" if strong else "Regular.ttf")
    if not path.is_file():
        pytest.skip("the face is not here")
    face = fonts.TTFont(path)
    glyphs, widths = face.getBestCmap(), face["hmtx"]
    true = sum(widths[glyphs[ord(character)]][0] for character in text) / face["head"].unitsPerEm * 10.0
    assert true <= text_width_mm(text, 10.0, strong) <= 1.3 * true


def test_numbers_of_a_path_are_as_short_as_they_can_be_and_the_same_to_a_hundredth():
    picture = Picture()
    points = [(10.0, 20.5), (-0.001, 0.004), (100.0, 1.1), (0.05, -3.14159), (1000.25, -0.5), (1.0, -10.10)]
    picture.stroke(OUTLINE, points)
    data = re.search(r' d="M([^"]+)"', picture.render("x", "x", ""))[1]
    assert data == "10 -20.5L0 0L100 -1.1L0.05 3.14L1000.25 0.5L1 10.1"
