"""Cards before they are set: what stands on them, how it is laid out, and what the PDF room refuses."""

import builtins
import datetime
import re
import sys
from dataclasses import replace
from functools import cache

import pytest
from wareboard.cards import cardtext, engine
from wareboard.cards.engine import CardText
from wareboard.figures import checks
from wareboard.figures.shown import (
    POINTER_OUT,
    POINTER_UP,
    Amount,
    PartRows,
    Row,
    reader_of,
    ruler_checks,
    wheel_rows,
)
from wareboard.text import projects
from wareboard.text.quantities import IMPERIAL, METRIC

from tests.demo import texts_of_demo

MADE = datetime.date(2026, 11, 25)


def worked_out(texts):
    project = projects.read_project(texts)
    return project, checks.check_project(project)[0]


@cache
def demo():
    return worked_out(texts_of_demo())


def card(slug="tea-caddy", **wanted):
    return cardtext.render_wheel(demo()[1][slug], made=MADE, **wanted)


def row(label="Ball", of="jar", number="545"):
    return Row(label, of, (Amount(number, "g"), Amount("1 lb 3¼", "oz")))


def part(count, name="jar"):
    """Rows as a part has them: the ball, then pointers up and out by turns."""
    return PartRows(
        name,
        False,
        tuple(
            row("Ball" if not place else (POINTER_UP, POINTER_OUT)[(place + 1) % 2], name, str(place))
            for place in range(count)
        ),
    )


def test_card_names_what_it_is_for_when_it_was_made_and_what_holds():
    html = card().html
    for said in (
        "Tea caddy",
        "TC-2",
        "Millpond buff",
        "cone 8",
        "25 November 2026",
        f"Revision {demo()[1]['tea-caddy'].revision}",
        "Every size is wet",
        "The bat, 12 mm, is counted in.",
        "Lids are thrown upside down.",
    ):
        assert said in html


def test_every_number_that_is_set_stands_on_the_card_in_both_systems():
    sheet = demo()[1]["oil-bottle"]
    html = card("oil-bottle").html
    for part_rows in wheel_rows(sheet, reader_of(sheet.studio)):
        for one in part_rows.rows:
            assert f'<td class="number">{cardtext.big_number(one.first.number)}</td>' in html
            assert str(one.second) in html


def test_balls_are_taken_up_in_either_system_and_lengths_to_the_tool():
    """Source: NIST (second-hand), ounce 28.349523125 g."""
    checked = 0
    for sheet in demo()[1].values():
        for part_rows in wheel_rows(sheet, reader_of(sheet.studio)):
            ball = part_rows.rows[0]
            ball_g = sheet.value(f"{part_rows.part}.ball", "wet")
            assert ball_g <= float(ball.first.number) < ball_g + 5.0
            found = re.fullmatch(r"(?:(\d+) lb ?)?(\d+)?([¼½¾⅛⅜⅝⅞])?", ball.second.number)
            eighths = {"⅛": 1, "¼": 2, "⅜": 3, "½": 4, "⅝": 5, "¾": 6, "⅞": 7, None: 0}[found[3]]
            shown_g = (16 * int(found[1] or 0) + int(found[2] or 0) + eighths / 8) * 28.349523125
            assert ball_g <= shown_g < ball_g + 28.35 / 4, (sheet.slug, ball)
            for row in part_rows.rows[1:]:
                assert float(row.first.number) % 0.5 == 0.0
            checked += 1
    assert checked >= 12


def test_flange_is_the_thrown_one_and_the_fits_own_check_is_said():
    sheet = demo()[1]["tea-caddy"]
    lid = {one.label: one for one in wheel_rows(sheet, reader_of(sheet.studio))[1].rows}
    assert abs(float(lid["Flange"].first.number) - sheet.value("fit.lid.outside.thrown", "wet")) <= 0.25
    said = ruler_checks(sheet, reader_of(sheet.studio))
    play = sheet.value("fit.lid.calipers", "wet") - sheet.value("fit.lid.outside.thrown", "wet")
    assert len(said) == 1 and "wet mouth is 87.5 ± 0.5 mm" in said[0]
    assert f"its flange {abs(play):.1f} mm {'narrower' if play >= 0 else 'wider'} than the mouth" in said[0]


def test_a_form_without_a_fit_of_its_own_is_checked_at_the_rim():
    for slug in ("tall-beaker", "short-beaker"):
        assert "rim meets the pointer within 0.5 mm" in ruler_checks(demo()[1][slug], reader_of(demo()[0].studio))[0]


def test_page_address_and_qr_code_stand_only_where_the_site_has_an_address():
    assert "QR code" not in card().html
    sheet = demo()[1]["tea-caddy"]
    assert (
        cardtext.page_url(sheet, "https://pots.example/")
        == f"https://pots.example/forms/tea-caddy.html?revision={sheet.revision}"
    )
    assert f"QR code: {cardtext.page_url(sheet, 'https://pots.example')}" in card(site_url="https://pots.example").html
    assert cardtext.qr_picture("https://pots.example").count("<path") == 1


def test_there_is_no_card_on_an_unknown_paper():
    for wanted in ({"paper": "A3"}, {"paper": "postcard"}):
        with pytest.raises(ValueError, match="there is no"):
            card(**wanted)


@pytest.mark.parametrize("paper", cardtext.PAPERS)
@pytest.mark.parametrize("system", [METRIC, IMPERIAL])
@pytest.mark.parametrize("counts", [(1,), (4,), (7,), (8,), (12,), (13,), (4, 4), (6, 4), (5, 5, 5, 5, 5), (30,)])
def test_layout_keeps_every_row_once_in_order_within_the_height(paper, system, counts):
    size = cardtext.PAPERS[paper]
    parts = [part(count, f"part {place}") for place, count in enumerate(counts)]
    room = 0.7 * size.height_mm
    leaves = cardtext.lay_out(parts, size, room, system)
    assert [one for leaf in leaves for column in leaf.columns for one in column] == [
        one for given in parts for one in given.rows
    ]
    assert sum(leaf.drawing_mm is not None for leaf in leaves) == 1
    for leaf in leaves:
        setting = cardtext.Setting(leaf.close, len(leaf.columns), leaf.column_mm)
        beside = leaf.drawing_mm[0] if leaf.drawing_mm else 0.0
        assert len(leaf.columns) * leaf.column_mm + beside <= size.width_mm
        for column in leaf.columns:
            high = sum(cardtext._height_mm(one, setting, size, system == IMPERIAL) for one in column)
            assert 0.0 <= leaf.ease_mm and high + leaf.ease_mm * len(column) <= room + 0.1


def test_a_number_is_never_made_smaller_for_want_of_room():
    assert cardtext.card_style().count("font-size: 37.5pt") == 1
    assert not re.search(r"\.number[^{]*\{[^}]*font-size: (?!37\.5pt|12pt)", cardtext.card_style())


@pytest.mark.parametrize(
    ("typed", "set_large"),
    [
        ("134.0", "134.0"),
        ("½", "1/2"),
        ("3³⁄₃₂", "3<i></i>3/32"),
        ("1 lb 1½", "1<small> lb </small>1<i></i>1/2"),
        ("<b>", "&lt;b&gt;"),
    ],
)
def test_fractions_are_set_as_high_as_whole_numbers(typed, set_large):
    assert str(cardtext.big_number(typed)) == set_large


def test_hostile_cone_and_studio_words_are_words_on_a_card():
    texts = texts_of_demo()
    texts["specs/clays/millpond-buff.yaml"] = texts["specs/clays/millpond-buff.yaml"].replace(
        "cone: 8", "cone: '<img src=http://h/x.png> </style><script>'"
    )
    html = cardtext.render_wheel(worked_out(texts)[1]["tea-caddy"], made=MADE).html
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
        cardtext.render_wheel(demo()[1]["tea-caddy"], made=MADE + datetime.timedelta(1))
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
    for ask in (engine.check_engine, lambda: engine.render_pdf(card()), lambda: next(engine.render_each([card()]))):
        with pytest.raises(engine.CardsUnavailable, match="install"):
            ask()
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
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
