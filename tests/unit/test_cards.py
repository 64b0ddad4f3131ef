"""Cards before they are set: what stands on them, how it is laid out, and what the PDF room refuses."""

import builtins
import datetime
import re
import sys
from dataclasses import replace

import pytest
from wareboard.cards import cardtext, engine, wheel
from wareboard.cards.engine import CardText
from wareboard.cards.setrows import Face, Line, Place, Rows
from wareboard.figures.settings import as_set, settings_of, wheel_rows
from wareboard.figures.shown import reader_of
from wareboard.figures.tolerances import wheel_checks

from tests.demo import texts_with, worked_out
from tests.every import every

MADE = datetime.date(2026, 11, 25)


def card(slug="tea-caddy", **wanted):
    return wheel.render_wheel(worked_out()[1][slug], made=MADE, **wanted)


def test_card_names_what_it_is_for_when_it_was_made_and_what_holds():
    html = card().html
    for said in (
        "Tea caddy",
        "TC-2",
        "Millpond buff",
        "cone 8",
        "25 November 2026",
        f"Revision {worked_out()[1]['tea-caddy'].revision}",
        "Every size is wet",
        "The bat, 12 mm, is counted in.",
        "Lids are thrown upside down.",
    ):
        assert said in html


def plain(html):
    """A card's text, a fraction as it is read."""
    html = re.sub(r'<span class="f"><span>(\d+)</span><span>(\d+)</span></span>', r" \1/\2", html)
    return " ".join(re.sub(r"<[^>]*>", " ", re.sub(r"(?s)<svg.*?</svg>", "", html)).split())


@every("slug", lambda: sorted(worked_out()[1]))
def test_every_setting_is_one_row_with_its_mark_its_numbers_and_the_other_system(slug):
    html = card(slug).html
    rows = re.findall(r'(?s)<div class="row .*?<div class="units".*?</div>\s*</div>', html)
    settings = list(settings_of(worked_out()[1][slug]))
    assert len(rows) == len(settings) and [one.mark for one in settings] == [str(n) for n in range(1, len(rows) + 1)]
    for row, one in zip(rows, settings):
        assert f'<span class="ring">{one.mark}</span>' in row
        for end in one.ends:
            assert str(cardtext.set_number(end.amounts[0].number)) in row
        assert wheel.tool_words(one) in row


def test_a_pointers_up_and_out_are_one_row_and_inside_or_outside_is_said():
    kinds = {one.kind: [end.end for end in one.ends] for one in settings_of(worked_out()[1]["pitcher"])}
    assert kinds["pointer"] == ["up", "out"] and kinds["ball"] == [""]
    assert "calipers, inside" in card("pitcher").html and "calipers, outside" in card("pitcher").html


def test_balls_are_taken_up_in_either_system_and_lengths_to_the_tool():
    """Source: NIST (second-hand), ounce 28.349523125 g."""
    checked = 0
    for sheet in worked_out()[1].values():
        for part_rows in wheel_rows(sheet, reader_of(sheet.studio)):
            ball = part_rows.rows[0]
            ball_g = sheet.value(f"{part_rows.part}.ball", "wet")
            set_g = as_set(sheet).value(f"{part_rows.part}.ball.set", "wet")
            assert ball_g <= float(ball.first.number) < ball_g + 5.0
            found = re.fullmatch(r"(?:(\d+) lb ?)?(\d+)?([¼½¾⅛⅜⅝⅞])?(?: oz)?", str(ball.second))
            eighths = {"⅛": 1, "¼": 2, "⅜": 3, "½": 4, "⅝": 5, "¾": 6, "⅞": 7, None: 0}[found[3]]
            shown_g = (16 * int(found[1] or 0) + int(found[2] or 0) + eighths / 8) * 28.349523125
            assert set_g <= shown_g < set_g + 28.35 / 4, (sheet.slug, ball)
            for row in part_rows.rows[1:]:
                assert float(row.first.number) % 0.5 == 0.0
            checked += 1
    assert checked >= 12


def test_the_fits_own_check_is_said_with_what_the_calipers_hold():
    sheet = as_set(worked_out()[1]["tea-caddy"])
    said = wheel_checks(sheet, reader_of(sheet.studio))
    play = sheet.value("fit.lid.calipers", "wet") - sheet.value("fit.lid.outside.thrown", "wet")
    assert len(said) == 1 and "wet mouth is 87.5 mm ± 0.6 mm" in said[0]
    assert f"its flange {abs(play):.1f} mm {'narrower' if play >= 0 else 'wider'} than the mouth" in said[0]


def test_a_form_without_a_fit_of_its_own_is_checked_at_the_rim():
    for slug in ("tall-beaker", "short-beaker"):
        said = wheel_checks(as_set(worked_out()[1][slug]), reader_of(worked_out()[0].studio))
        assert re.match(r"Right when the rim meets the pointer within \d\.\d mm up and \d\.\d mm out\.", said[0])


def test_page_address_and_qr_code_stand_only_where_the_site_has_an_address():
    assert "QR code" not in card().html
    sheet = worked_out()[1]["tea-caddy"]
    assert (
        cardtext.page_url(sheet, "https://pots.example/")
        == f"https://pots.example/bench/tea-caddy.html?revision={sheet.revision}"
    )
    assert f"QR code: {cardtext.page_url(sheet, 'https://pots.example')}" in card(site_url="https://pots.example").html
    assert cardtext.qr_picture("https://pots.example").count("<path") == 1


def test_there_is_no_card_on_an_unknown_paper():
    for wanted in ({"paper": "A3"}, {"paper": "postcard"}):
        with pytest.raises(ValueError, match="there is no"):
            card(**wanted)


FACE = Face(8.8, 5.1, 3.3, 4.4, 3.4, 6.8, 9.2)


def row(part, place, number="127.0"):
    return Line(f"{place}", f"rim {part}", "pointer", (("↑", number), ("→", "50.0")), "mm", ("↑ 5 in", "→ 2 in"))


@every("paper", cardtext.PAPERS)
@every("number", ["127.0", "12³¹⁄₃₂", "11 lb 13¾"])
@every("counts", [(1,), (4,), (7,), (12,), (4, 4), (6, 4), (5, 5, 5, 5, 5), (30,)])
@every("wide", [False, True])
def test_layout_keeps_every_row_once_in_order_untorn_within_the_card(paper, number, counts, wide):
    size = cardtext.PAPERS[paper]
    box = Place(0.0, 20.0, size.room_mm, 0.66 * size.inner_mm)
    parts = {f"part {at}": [row(at, place, number) for place in range(count)] for at, count in enumerate(counts)}
    leaves = Rows(FACE, box, lambda name: (name, ""), lambda names: wide and len(names) == 1).lay_out(parts)
    assert [one.line for leaf in leaves for one in leaf.lines] == [one for rows in parts.values() for one in rows]
    assert any(leaf.drawing for leaf in leaves)
    for leaf in leaves:
        boxes = (
            [one.place for one in leaf.lines]
            + [one.place for one in leaf.headings]
            + ([leaf.drawing] if leaf.drawing else [])
        )
        for one in leaf.lines:
            assert one.digit_mm * cardtext.CAP >= 8.7
        for at, one in enumerate(boxes):
            if len(boxes) > 1 or one.width < size.room_mm:
                assert one.left >= -0.01 and one.left + one.width <= size.room_mm + 0.01
            assert box.top - 0.01 <= one.top and one.top + one.height <= box.top + box.height + 0.05
            for other in boxes[at + 1 :]:
                apart = (
                    one.left + one.width <= other.left + 0.03 or other.left + other.width <= one.left + 0.03
                    or one.top + one.height <= other.top + 0.03 or other.top + other.height <= one.top + 0.03
                )  # fmt: skip
                assert apart


def test_rows_that_have_no_room_beside_what_lies_wide_stand_below_it_on_the_same_card():
    rows, box = [replace(row(0, place), share=0.8) for place in range(8)], Place(0.0, 20.0, 194.0, 90.0)
    torn, below = (
        Rows(FACE, box, lambda name: (name, ""), lambda names: wide).lay_out({"lid": rows}) for wide in (False, True)
    )
    (leaf,) = below
    assert len(torn) == 2 and leaf.drawing.width == box.width
    assert all(one.place.top >= leaf.drawing.top + leaf.drawing.height for one in leaf.lines)


@every(
    ("typed", "set_large"),
    [
        ("134.0", "134.0"),
        ("½", '<span class="f"><span>1</span><span>2</span></span>'),
        ("3³⁄₃₂", '3<span class="f"><span>3</span><span>32</span></span>'),
        ("1 lb 1½", '1<small> lb </small>1<span class="f"><span>1</span><span>2</span></span>'),
        ("<b>", "&lt;b&gt;"),
    ],
)
def test_fractions_stand_one_number_over_the_other_as_high_as_whole_numbers(typed, set_large):
    assert str(cardtext.set_number(typed)) == set_large
    assert not re.search(r"\.f[ {][^}]*font-size", cardtext.card_style())


def test_hostile_cone_and_studio_words_are_words_on_a_card():
    texts = texts_with("tea-caddy")
    texts["specs/clays/millpond-buff.yaml"] = texts["specs/clays/millpond-buff.yaml"].replace(
        "cone: 8", "cone: '<img src=http://h/x.png> </style><script>'"
    )
    html = wheel.render_wheel(worked_out(texts)[1]["tea-caddy"], made=MADE).html
    assert "&lt;img" in html and "<img" not in html and "<script" not in html


def test_key_of_a_card_changes_with_its_text_its_style_and_nothing_else():
    one = card()
    assert engine.card_key(one) == engine.card_key(card())
    assert (
        len(
            {
                engine.card_key(changed)
                for changed in (
                    one,
                    replace(one, html=one.html + " "),
                    replace(one, css=one.css + " "),
                    replace(one, title="x"),
                )
            }
        )
        == 4
    )
    assert engine.card_key(one) != engine.card_key(
        wheel.render_wheel(worked_out()[1]["tea-caddy"], made=MADE + datetime.timedelta(1))
    )


def test_missing_libraries_are_said_with_the_line_that_installs_them(monkeypatch, capsys):
    real = builtins.__import__

    def without_pango(name, *rest, **named):
        if name == "weasyprint":
            print("a long banner of the engine's own")
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real(name, *rest, **named)

    engine._engine.cache_clear()
    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.setattr(builtins, "__import__", without_pango)
    for ask in (engine.check_engine, lambda: engine.render_pdf(card())):
        with pytest.raises(engine.CardsUnavailable, match="install"):
            ask()
    assert capsys.readouterr().out == ""


@every(
    "url",
    [
        "http://127.0.0.1:9/x.png",
        "https://pots.example/x.css",
        "file:///etc/hostname",
        "ftp://h/x",
        "file://host/etc/hostname",
    ],
)
def test_nothing_outside_the_projects_own_files_is_fetched(url):
    with pytest.raises(ValueError, match="may not"):
        engine._fetcher().fetch(url)


def test_own_fonts_are_fetched_and_no_way_leads_up_out_of_the_templates():
    assert engine._fetcher().fetch((engine.TEMPLATES / "fonts" / "Bold.ttf").as_uri()).read()[:4] == b"\0\1\0\0"
    with pytest.raises(ValueError, match="may not read"):
        engine._fetcher().fetch(f"{engine.TEMPLATES.as_uri()}/../README.md")
    with pytest.raises(ValueError, match="may not read"):
        engine._fetcher().fetch(f"{engine.TEMPLATES.as_uri()}/%2e%2e/README.md")


def test_a_deck_needs_a_card():
    with pytest.raises(ValueError, match="at least one"):
        engine.render_deck([], "Empty")


def test_card_text_is_plain_data():
    assert CardText("a", "b", "c", "d") == CardText("a", "b", "c", "d")
