"""The frame of true-size sheets: what is too large is cut and joined, words keep to their room, nothing unsafe gets through."""

import re

import pytest
from wareboard.cards.tiling import Piece, Place
from wareboard.cards.truesize import (
    OVERLAP_MM,
    PAPERS,
    Item,
    Words,
    _cuts,
    _sheets,
    _Window,
    render_sheets,
    room_mm,
    shortened,
    true_paper,
    wrapped,
)
from wareboard.drawing.svg import EDGE, TINT, Picture, text_width_mm

from tests.every import every

WORDS = Words("Jar", "J-1", "template sheet", "How to use it.", "Made today.", "en")


def box_item(width, height, name="box"):
    return Item(
        name,
        f"a {name}",
        width,
        height,
        lambda sketch: sketch.stroke(EDGE, ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)), closed=True),
    )


def diagonal(width, height):
    return Item(
        "diagonal", "a diagonal", width, height, lambda sketch: sketch.stroke(EDGE, ((0.0, 0.0), (width, height)))
    )


def test_a_studio_with_small_paper_gets_its_true_sizes_on_a4():
    assert [true_paper(paper) for paper in ("A4", "Letter", "A5", "A6", "", None)] == [
        "A4",
        "Letter",
        "A4",
        "A4",
        "A4",
        "A4",
    ]


@every("paper", PAPERS)
def test_what_just_fits_is_whole_and_a_hair_more_is_two_pieces(paper):
    width, height = room_mm(paper)
    assert len(list(_cuts(box_item(width, height), paper))) == 1
    assert len(list(_cuts(box_item(width + 0.1, 50.0), paper))) == 2
    assert len(list(_cuts(box_item(50.0, height + 0.1), paper))) == 2


def test_pieces_lap_and_fit_their_sheets_with_their_captions():
    width, height = room_mm("A4")
    cuts = list(_cuts(box_item(500.0, 500.0), "A4"))
    assert cuts[0].piece.right_mm - cuts[1].piece.left_mm == pytest.approx(OVERLAP_MM)
    for cut in cuts:
        wide, high = cut.footprint_mm(width)
        assert wide <= width and high <= height
    # the middle piece of nine would be blank
    assert len(cuts) == 8 and [cut.said for cut in cuts][-1] == "piece 8 of 8"


@every("height", [226.0, 430.0, 440.0, 441.0])
def test_a_caption_never_makes_a_piece_too_high(height):
    room = room_mm("A4")
    assert all(cut.footprint_mm(room[0])[1] <= room[1] for cut in _cuts(box_item(50.0, height), "A4"))


def test_a_piece_on_which_nothing_stands_is_left_out():
    cuts = list(_cuts(diagonal(350.0, 400.0), "A4"))
    assert [cut.said for cut in cuts] == [f"piece {number} of {len(cuts)}" for number in range(1, len(cuts) + 1)]
    far = list(_cuts(diagonal(900.0, 1000.0), "A4"))
    assert len(far) < 5 * 5 and all(cut.joints for cut in far)


def test_each_chapter_begins_on_a_sheet_of_its_own():
    one = render_sheets("x", WORDS, [[box_item(20.0, 20.0), box_item(20.0, 20.0)]], "A4").html
    two = render_sheets("x", WORDS, [[box_item(20.0, 20.0)], [box_item(20.0, 20.0)]], "A4").html
    assert (one.count("<section"), two.count("<section")) == (1, 2)
    assert "sheet 1 of 2" in two and "sheet 1" not in one


def test_every_sheet_has_both_bars_and_says_how_to_print():
    html = render_sheets("x", WORDS, [[box_item(500.0, 500.0)]], "A4").html
    sheets = html.split("<section")[1:]
    assert len(sheets) > 1
    for sheet in sheets:
        assert sheet.count(">100 mm</text>") == 2 and sheet.count(">4 in</text>") == 1
        assert "Print at 100 %" in sheet and "measure the bars" in sheet and "Made today." in sheet


def test_a_description_names_what_stands_on_its_sheet():
    html = render_sheets(
        "x", WORDS, [[box_item(20.0, 20.0, "small one")], [box_item(300.0, 20.0, "long one")]], "A4"
    ).html
    first, second = html.split("<section")[1:]
    assert "a small one" in re.search("<title id.*?</title>", first)[0]
    assert "a long one, piece 1 of 2; a long one, piece 2 of 2" in re.search("<title id.*?</title>", second)[0]


def test_a_window_moves_and_cuts_but_never_cuts_lettering():
    picture = Picture()
    window = _Window(onto=picture, piece=Piece(100.0, 0.0, 200.0, 50.0), place=Place(0, 10.0, 20.0))
    window.stroke(EDGE, ((0.0, 25.0), (300.0, 25.0)))
    assert (picture.left, picture.right, picture.bottom, picture.top) == (10.0, 110.0, 45.0, 45.0)
    window.fill(TINT, [(150.0, 10.0), (260.0, 10.0), (260.0, 40.0), (150.0, 40.0)])
    assert picture.right == 110.0 and picture.bottom == 30.0
    window.letter(195.0, 20.0, "over the edge", 3.0, anchor="start")
    window.letter(95.0, 20.0, "over the other edge", 3.0, anchor="start")
    window.letter(150.0, 49.0, "over the top", 3.0)
    window.letter(150.0, 0.0, "over the bottom", 3.0, upward=True)
    window.letter(120.0, 20.0, "inside", 3.0, anchor="start")
    text = picture.render("x", "x", "x")
    assert "inside" in text and "over" not in text


@every("text", ["a b c", "wordwithoutanyspaceinitatall", "Ein Krug für die große Tafel", "", "  x  "])
@every("width", [8.0, 20.0, 60.0])
def test_wrapped_lines_keep_to_their_width_and_lose_nothing(text, width):
    lines = wrapped(text, width, 3.0, True)
    assert all(text_width_mm(line, 3.0, True) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_shortened_keeps_what_fits():
    assert shortened("short", 100.0, 3.0) == "short"
    cut = shortened("a name that is far too long", 20.0, 3.0)
    assert cut.endswith("…") and text_width_mm(cut, 3.0) <= 20.0


def test_words_are_escaped():
    words = Words("<b>Jar & lid</b>", "<i>", "template sheet", "<script>", "{{ x }}", "en")
    html = render_sheets("x", words, [[box_item(20.0, 20.0, "<u>box</u>")]], "A4").html
    assert "<script>" not in html and "<u>" not in html and "<b>Jar" not in html and "{{ x }}" in html


def test_nothing_to_draw_is_no_sheet():
    assert _sheets([], "A4") == []
