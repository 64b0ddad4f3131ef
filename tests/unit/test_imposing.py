"""Cards on sheets and PDFs behind one another: true size, marks to cut by, and tags that still say what they said."""

import io

import pypdf
import pytest
from pypdf.generic import DictionaryObject, NumberObject
from wareboard.cards import engine, imposing
from wareboard.cards.engine import CardText
from wareboard.cards.imposing import POINT_MM, SheetTooSmall, find_grid

from tests.every import every
from tests.printed import pages_of

A4, A5, LETTER = (210.0, 297.0), (148.0, 210.0), (215.9, 279.4)
CARD = """<html lang="en"><head><title>{name}</title></head><body><h1>{name}</h1><p>turn to <b>87.5</b> and <a href="https://pots.example/{name}">look</a></p>
<table><tr><th scope="col">size</th></tr><tr><td>40 mm</td></tr></table>
<svg role="img" width="50mm" height="10mm" viewBox="0 0 50 10"><title>bar of {name}</title><path d="M0 5H50" stroke="black" stroke-width=".3"/></svg></body></html>"""
CSS = "@page {{ size: {} {}mm {}mm; margin: 9mm }} body {{ font-size: 9pt }}"

try:
    engine.check_engine()
except engine.CardsUnavailable as fault:
    pytest.skip(str(fault), allow_module_level=True)


def card(name, width=148, height=105):
    return CardText(name, name, CARD.format(name=name), CSS.format("", width, height))


def deck(*names, **size):
    return engine.render_deck([card(name, **size) for name in names], "a deck")


def read(pdf):
    return pypdf.PdfReader(io.BytesIO(pdf))


def words_of(pdf):
    """Every word with its sheet and where it stands, mm from the left and the bottom."""
    return [
        (word, page.number - 1, first["x0"] * POINT_MM, (page.height - first["bottom"]) * POINT_MM)
        for page in pages_of(pdf)
        for word, first in page.words
    ]


# ---- where they go ----


@every(
    ("card_mm", "sheet_mm", "columns", "rows"),
    [
        ((148, 105), A4, 2, 2),
        ((210, 148), A4, 1, 2),
        ((148, 105), LETTER, 1, 2),
        ((210, 148), LETTER, 1, 1),
        (A4, A4, 1, 1),
        ((60, 40), A4, 3, 7),
    ],
)
def test_as_many_as_go_on_a_sheet(card_mm, sheet_mm, columns, rows):
    grid = find_grid(card_mm, sheet_mm)
    assert (grid.columns, grid.rows) == (columns, rows)
    assert sorted(grid.sheet_mm) == sorted(sheet_mm)


@every("card_mm", [(148, 105), (210, 148), (60, 40), (99.9, 33.3)])
def test_places_touch_and_lie_on_the_sheet_in_the_middle(card_mm):
    grid = find_grid(card_mm, A4)
    corners = [grid.corner_mm(place) for place in range(grid.count)]
    assert len(set(corners)) == grid.count
    for x, y in corners:
        assert -0.06 <= x and x + card_mm[0] <= grid.sheet_mm[0] + 0.06
        assert -0.06 <= y and y + card_mm[1] <= grid.sheet_mm[1] + 0.06
    assert min(x for x, _ in corners) == pytest.approx(
        grid.sheet_mm[0] - max(x for x, _ in corners) - card_mm[0], abs=0.01
    )
    assert corners[0][1] == max(y for _, y in corners) and corners[0][0] == min(x for x, _ in corners)


def test_what_is_larger_than_the_sheet_is_refused():
    with pytest.raises(SheetTooSmall, match="210 × 148 mm does not go on a sheet of 148 × 105 mm"):
        find_grid((210.0, 148.0), (148.0, 105.0))
    with pytest.raises(SheetTooSmall) as refused:
        imposing.impose(deck("one"), (90.0, 90.0))
    assert refused.value.card_mm == pytest.approx((148.0, 105.0), abs=0.1)


# ---- on the sheet ----


def test_sheets_are_the_papers_and_every_word_is_where_its_card_is():
    pdf = deck(*"abcde")
    laid = imposing.impose(pdf, A4)
    assert [
        (float(page.mediabox.width) * POINT_MM, float(page.mediabox.height) * POINT_MM) for page in read(laid).pages
    ] == [pytest.approx((297, 210), abs=0.01)] * 2
    grid = find_grid((148.0, 105.0), A4)
    want = []
    for text, page, x, y in words_of(pdf):
        left, bottom = grid.corner_mm(page % 4)
        want.append((text, page // 4, pytest.approx(x + left, abs=0.05), pytest.approx(y + bottom, abs=0.05)))
    key = lambda word: (word[1], word[0])
    found = words_of(laid)
    assert len(found) == len(want) > 20
    for text, page, x, y in want:
        assert any((text, page) == word[:2] and word[2] == x and word[3] == y for word in found), (text, page)
    assert sorted(map(key, found)) == sorted(map(key, want))


def test_nothing_is_scaled():
    laid = imposing.impose(deck("a", "b"), A4)
    bars = [line for line in pages_of(laid)[0].lines if line["x1"] - line["x0"] > 100]
    assert [(bar["x1"] - bar["x0"]) * POINT_MM for bar in bars] == [pytest.approx(50.0, abs=0.02)] * 2


def test_cuts_are_marked_at_every_corner_and_not_along_the_sheets_edge():
    pages, (width, height) = pages_of(imposing.impose(deck(*"abc"), LETTER)), LETTER
    for page in pages:
        marks = [line for line in page.lines if line["linewidth"] == pytest.approx(imposing.MARK_PT)]
        assert marks and all(mark["x1"] - mark["x0"] < 24 and mark["bottom"] - mark["top"] < 24 for mark in marks)
    x, y = (width - 148.0) / 2.0, (height - 210.0) / 2.0
    upright = [
        mark
        for mark in pages[0].lines
        if mark["linewidth"] == pytest.approx(imposing.MARK_PT) and mark["x0"] == mark["x1"]
    ]
    ends = sorted((mark["x0"] * POINT_MM, (pages[0].height - mark["bottom"]) * POINT_MM) for mark in upright)
    corners = [(at, up - imposing.MARK_MM) for at in (x, x + 148.0) for up in (y, y + 105.0, y + 210.0)]
    assert ends == [pytest.approx(corner, abs=0.05) for corner in corners]
    whole = pages_of(imposing.impose(deck("a", width=210, height=297), A4))[0]
    assert not [line for line in whole.lines if line["linewidth"] == pytest.approx(imposing.MARK_PT)]


def test_sizes_do_not_share_a_sheet_and_come_as_they_are_first_met():
    mixed = engine.render_deck([card("a"), card("big", 210, 297), card("b"), card("c")], "mixed")
    laid = imposing.impose(mixed, A4)
    assert [
        sorted({name for name, page, *_ in words_of(laid) if page == number and name in ("a", "b", "c", "big")})
        for number in (0, 1)
    ] == [["a", "b", "c"], ["big"]]
    assert [mark.title for mark in read(laid).outline] == ["a", "big", "b", "c"]
    assert [read(laid).get_destination_page_number(mark) for mark in read(laid).outline] == [0, 1, 0, 0]


# ---- what is kept ----


def elements(pdf):
    """Every element of the tags with its number of the marked content: role, number, page, form."""
    found, root = [], read(pdf).trailer["/Root"]["/StructTreeRoot"]

    def walk(element):
        kids = element.get("/K", [])
        for kid in kids if isinstance(kids, list) else [kids]:
            kid = kid.get_object()
            if isinstance(kid, NumberObject):
                found.append((element["/S"], int(kid), element["/Pg"], None, element))
            elif isinstance(kid, DictionaryObject) and "/MCID" in kid:
                found.append((element["/S"], int(kid["/MCID"]), kid["/Pg"], kid["/Stm"], element))
            elif isinstance(kid, DictionaryObject) and "/S" in kid:
                walk(kid)

    walk(root)
    return found


def test_tags_say_of_the_form_what_they_said_of_the_page():
    pdf = deck(*"abcde")
    laid = imposing.impose(pdf, A4)
    before, after = elements(pdf), elements(laid)
    assert [entry[:2] for entry in after] == [entry[:2] for entry in before] and len(before) > 20
    parents = read(laid).trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    by_key = {int(parents[at]): parents[at + 1].get_object() for at in range(0, len(parents), 2)}
    pages = [page.get_object() for page in read(laid).pages]
    for role, number, page, form, element in after:
        assert form["/Subtype"] == "/Form" and f"/MCID {number}".encode() in form.get_data(), (role, number)
        assert any(page["/Contents"].get_data() == one["/Contents"].get_data() for one in pages)
        assert by_key[int(form["/StructParents"])][number].get_object()["/S"] == element["/S"]


def test_pictures_have_their_words_and_their_place_moved_with_them():
    pdf = deck("a", "b")
    boxes = [
        [
            (element["/Alt"], [float(at) for at in element["/A"]["/BBox"]])
            for role, *_, element in elements(made)
            if role == "/Figure"
        ]
        for made in (pdf, imposing.impose(pdf, A4))
    ]
    grid = find_grid((148.0, 105.0), A4)
    assert [words for words, _ in boxes[0]] == [words for words, _ in boxes[1]] == ["bar of a", "bar of b"]
    for place, ((_, before), (_, after)) in enumerate(zip(*boxes, strict=True)):
        x, y = (corner / POINT_MM for corner in grid.corner_mm(place))
        assert after == pytest.approx([before[0] + x, before[1] + y, before[2] + x, before[3] + y], abs=0.01)


def test_links_stay_under_their_words():
    laid = read(imposing.impose(deck("a", "b"), A4))
    grid = find_grid((148.0, 105.0), A4)
    alone = read(deck("a")).pages[0]["/Annots"][0].get_object()
    for place, link in enumerate(link.get_object() for link in laid.pages[0]["/Annots"]):
        assert link["/A"]["/URI"] == f"https://pots.example/{'ab'[place]}"
        x, y = grid.corner_mm(place)
        assert [float(at) * POINT_MM for at in link["/Rect"]][:2] == pytest.approx(
            [float(alone["/Rect"][0]) * POINT_MM + x, float(alone["/Rect"][1]) * POINT_MM + y], abs=0.05
        )


@every("make", [lambda pdf: imposing.impose(pdf, A4), lambda pdf: imposing.join([pdf, pdf])])
def test_title_language_and_bookmarks_are_kept_and_the_bytes_repeat(make):
    pdf = deck("a", "b")
    made = make(pdf)
    root = read(made).trailer["/Root"]
    assert read(made).metadata.title == "a deck" and root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"]
    assert b"pdfuaid" in root["/Metadata"].get_object().get_data()
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert {mark.title for mark in read(made).outline} == {"a", "b"}
    assert made == make(pdf) and made.startswith(b"%PDF-1.7")


def test_no_page_of_before_is_left_behind():
    laid = imposing.impose(deck(*"abcd"), A4)
    assert laid.count(b"/Type /Page\n") + laid.count(b"/Type /Page>") == 1
    assert len(laid) < 2.8 * len(deck(*"abcd"))


# ---- behind one another ----


def test_joined_pdfs_have_all_pages_and_tags_and_no_name_twice():
    one, two = deck("a", "b"), deck("c")
    joined = imposing.join([one, two, one])
    assert [mark.title for mark in read(joined).outline] == ["a", "b", "c", "a", "b"]
    assert [read(joined).get_destination_page_number(mark) for mark in read(joined).outline] == [0, 1, 2, 3, 4]
    assert [entry[:2] for entry in elements(joined)] == [
        entry[:2] for made in (one, two, one) for entry in elements(made)
    ]
    parents = read(joined).trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    keys = [int(key) for key in parents[::2]]
    assert len(set(keys)) == len(keys) and keys == sorted(keys)
    pages = [int(page["/StructParents"]) for page in read(joined).pages]
    assert len(set(pages)) == len(pages) and set(pages) <= set(keys)
    by_key = dict(zip(keys, parents[1::2], strict=True))
    for role, number, page, *_ in elements(joined):
        assert by_key[int(page["/StructParents"])].get_object()[number].get_object()["/S"] == role
    heads = list(names_of(joined))
    assert heads and len(set(heads)) == len(heads)


def names_of(pdf):
    waiting, found = [read(pdf).trailer["/Root"]["/StructTreeRoot"].get_object()], []
    while waiting:
        element = waiting.pop()
        if "/ID" in element:
            found.append(str(element["/ID"]))
        kids = element.get("/K", [])
        waiting += [
            kid.get_object()
            for kid in (kids if isinstance(kids, list) else [kids])
            if isinstance(kid.get_object(), DictionaryObject) and "/S" in kid.get_object()
        ]
    return found


def test_joined_pdfs_go_on_sheets_as_one_does():
    laid = imposing.impose(imposing.join([deck("a", "b"), deck("c")]), A4)
    assert len(read(laid).pages) == 1
    assert [entry[:2] for entry in elements(laid)] == [
        entry[:2] for made in (deck("a", "b"), deck("c")) for entry in elements(made)
    ]


def test_nothing_to_join_is_refused():
    with pytest.raises(ValueError, match="nothing to join"):
        imposing.join([])
