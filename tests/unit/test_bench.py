"""The bench sheet before it is set: every step in the order of the work, each number told and checked in one place."""

import datetime
import re
from functools import cache
from html import unescape

import pytest
from wareboard.cards.bench import WORK, bench_paper, out_kind, out_words, render_bench, render_studio
from wareboard.figures.settings import as_set, settings_of
from wareboard.figures.shown import reader_of
from wareboard.figures.trimsettings import trim_settings_of
from wareboard.words.glossary import read_cautions
from wareboard.words.steps import read_bench_words

from tests.demo import texts_with, worked_out
from tests.every import every

MADE = datetime.date(2026, 11, 25)


@cache
def sheets():
    return worked_out()[1]


@cache
def html_of(slug, **wanted):
    return render_bench(sheets()[slug], made=MADE, **wanted).html


def text_of(html):
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", re.sub(r"(?s)<svg.*?</svg>", "", html))).split())


def rows_of(slug, **wanted):
    """Each row's cells as words: marks, do, right within, out."""
    rows = re.findall(r"(?s)<tr><td class=\"mark\">(.*?)</td>(.*?)</tr>", html_of(slug, **wanted))
    found = []
    for marks, rest in rows:
        cells = [text_of(cell) for cell in re.findall(r"(?s)<td[^>]*>(.*?)</td>", rest)]
        found.append((re.findall(r'class="ring">([^<]*)<', marks), *cells, *[""] * (3 - len(cells))))
    return found


@every("slug", lambda: sorted(sheets()))
def test_every_stage_is_there_in_order_and_every_step_has_a_box(slug):
    html = html_of(slug)
    assert re.findall(r"<h2>\d\. ([^<]*) <span", html) == list(WORK.values())
    assert html.count('class="box"') == len(rows_of(slug)) > 15
    assert "{" not in text_of(html)


@every("slug", lambda: sorted(sheets()))
def test_every_setting_stands_once_with_its_mark_and_its_tolerance(slug):
    sheet, rows = as_set(sheets()[slug]), rows_of(slug)
    reader = reader_of(sheet.studio)
    marks = [mark for row in rows for mark in row[0]]
    for one in (*settings_of(sheet), *(one for part in trim_settings_of(sheet).values() for one in part)):
        if not all(sheet.find(end.key, "wet") or sheet.find(end.key, "leather-hard") for end in one.ends):
            continue
        assert 1 <= marks.count(one.mark) <= len(one.ends), one
        row = next(row for row in rows if one.mark in row[0])
        assert row[2] and row[3], row
        said = " ".join(words for marks, words, *_ in rows if one.mark in marks)
        assert all(str(reader.amounts(end.value, end.unit, small=end.unit == "mm")[0]) in said for end in one.ends), one


def test_a_makers_steps_stand_with_their_numbers_in_bold():
    html = re.sub(r' (data-figure|class)="[^"]*"', "", html_of("tea-caddy"))
    assert (
        "Jars from <b>530 g</b> <span>(1 lb 2¾ oz)</span>. Split the rim for the gallery while it is still thick."
        in html
    )
    assert (
        "until <b>1.5 mm</b> <span>(¹⁄₁₆ in)</span> of play is left, <b>0.75 mm</b> <span>(¹⁄₃₂ in)</span> a side."
        in html
    )


def test_an_instruction_and_its_check_stand_in_one_place():
    rows = {words: (right, out) for _, words, right, out in rows_of("tea-caddy")}
    right, out = rows["Jars from 530 g (1 lb 2¾ oz) . Split the rim for the gallery while it is still thick."]
    assert right == "± 5 g" and out == read_bench_words()["out"]["ball"]
    fired = next(right for words, (right, _) in rows.items() if "of clearance. Try it at every turn" in words)
    assert fired.startswith("0.5 mm to 2.6 mm")


def test_a_number_is_checked_once():
    for slug in sheets():
        told = [(words, right) for _, words, right, _ in rows_of(slug) if right]
        assert len(told) == len(set(told)), slug
        wet = html_of(slug).partition("2. Trimming")[0]
        for figure in ("Weigh the ball",):
            assert wet.count(figure) <= len(sheets()[slug].form.parts)


def test_two_walls_as_thick_as_one_another_are_both_checked():
    words = [words for _, words, *_ in rows_of("pitcher")]
    for wall in ("foot", "belly", "neck", "rim"):
        assert sum(f"all at {wall}" in one for one in words) == 1


def own_less(slug):
    texts, path = texts_with(slug), f"specs/forms/{slug}.yaml"
    texts[path] = re.sub(r"(?ms)^steps:\n(?:[ \t].*\n|#.*\n)+", "", texts[path])
    return worked_out(texts)[1][slug]


def test_every_step_from_wedging_to_unpacking_is_there_where_the_form_gives_none():
    said = text_of(render_bench(own_less("tea-caddy"), made=MADE).html)
    order = [
        "wedge it", "Weigh 530 g", "Set the pointer", "Lock the calipers", "Wire off", "Trim while clay", "Turn the flange", "Stamp or sign",
        "under loose plastic", "Candle it", "Wipe the dust off", "Stir the glaze", "Weigh a measured dip", "alumina", "Load with gaps",
        "Fire to the cone", "Open the kiln", "Grind what is rough",
    ]  # fmt: skip
    places = [said.index(words) for words in order]
    assert places == sorted(places)


def test_only_what_applies_to_the_form_is_there():
    texts = texts_with("tall-beaker")
    path = "specs/forms/tall-beaker.yaml"
    texts[path] = re.sub(r"(?m)^glaze: .*\n", "", texts[path])
    bare = text_of(render_bench(worked_out(texts)[1]["tall-beaker"], made=MADE).html)
    assert "Stir the glaze" not in bare and "alumina" not in bare and "handle" not in bare.partition("At the wheel")[2]
    assert "Stir the glaze" in text_of(html_of("tall-beaker")) and "Wrap the handle" in text_of(
        html_of("cup-and-saucer")
    )


def test_a_caution_is_a_line_and_a_sign_at_the_step_and_in_full_on_the_studio_sheet_alone():
    html = html_of("tall-beaker")
    said, lines = text_of(html), {caution.line for caution in read_cautions()}
    assert html.count('class="sign"') > 5 and "studio sheet by the wall" in said
    assert all(caution.paragraphs[0] not in said for caution in read_cautions())
    assert sum(line in said for line in lines) >= 6
    whole = render_studio(sheets()["tall-beaker"].studio, list(sheets().values()), made=MADE).html
    for caution in read_cautions():
        assert text_of(whole).count(" ".join(caution.paragraphs[0].split())) == 1


def test_what_it_is_says_parts_fits_bare_stretches_and_additions():
    said = text_of(html_of("tea-caddy"))
    for words in (
        "2 parts: jar, lid (thrown upside down).",
        "The flange of the lid goes into the mouth of the jar; each is trimmed to its own.",
        "Bare on the jar: foot to bevel.",
        "The bat, 12 mm, is counted in",
    ):
        assert words in said
    assert "The handle on the cup takes" in text_of(html_of("cup-and-saucer"))
    assert "A wet lid on a dry jar <em>will</em> rattle." in html_of("tea-caddy")


def test_one_weight_fired_is_told_and_it_is_the_one_in_its_glaze():
    for slug, sheet in sheets().items():
        made = as_set(sheet)
        for part in sheet.form.parts:
            glazed, bare = made.find(f"{part}.mass.glazed", "fired"), made.find(f"{part}.mass", "fired")
            if glazed and abs(glazed.value - bare.value) > 6.0:
                said = text_of(html_of(slug))
                assert f"{reader_of(made.studio).text(glazed)}" in said


def test_nothing_for_shops_is_on_it():
    for slug, sheet in sheets().items():
        stockist = sheet.form.stockist
        if stockist:
            assert str(stockist.sku) not in html_of(slug) and stockist.price.typed not in text_of(html_of(slug))


def test_every_kind_of_figure_has_words_for_when_it_is_out():
    kinds = set()
    for sheet in sheets().values():
        for figure in sheet.figures:
            if figure.named.declared.tolerance and figure.stage:
                assert out_words(sheet, figure)
                kinds.add(out_kind(sheet, figure))
    assert {
        "ball",
        "pointer height",
        "pointer reach",
        "thrown",
        "clearance",
        "witness",
        "thickness",
        "opening",
        "mass",
        "capacity",
        "size",
    } == kinds
    written = set(read_bench_words()["out"])
    assert {name.removesuffix(" wet").removesuffix(" leather-hard").removesuffix(" dry") for name in written} == kinds


def test_figures_of_a_whole_set_have_names_too():
    names = {figure.named.title for figure in sheets()["tea-caddy"].figures}
    assert {"ball", "weight", "jar, ball", "lid fit, as thrown", "jar, weight, glazed", "jar, wall"} <= names


def test_paper_is_the_studios_or_a4_and_no_other():
    assert bench_paper("Letter") == "Letter" and bench_paper("A6") == "A4" and bench_paper("") == "A4"
    assert '<body class="Letter">' in html_of("tall-beaker", paper="Letter")
    with pytest.raises(ValueError, match="A4 and Letter"):
        render_bench(sheets()["tall-beaker"], paper="A5", made=MADE)


def test_a_makers_words_stay_words():
    texts = texts_with("tall-beaker")
    path = "specs/forms/tall-beaker.yaml"
    texts[path] = texts[path].replace("- Pull straight;", "- <script>alert(1)</script> & <b>straight</b>;")
    html = render_bench(worked_out(texts)[1]["tall-beaker"], made=MADE).html
    assert "<script" not in html and "&lt;script&gt;alert(1)&lt;/script&gt; &amp; &lt;b&gt;straight&lt;/b&gt;" in html
