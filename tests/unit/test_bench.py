"""The bench sheet before it is set: every stage with its steps, numbers, tolerances, what to do when out, and cautions once in full."""

import datetime
import re
from functools import cache
from html import unescape

import pytest
from wareboard.cards.bench import WORK, bench_paper, out_kind, out_words, render_bench
from wareboard.figures import checks
from wareboard.figures.shown import reader_of, wheel_rows
from wareboard.text import projects
from wareboard.words.glossary import read_cautions
from wareboard.words.steps import read_bench_words

from tests.demo import texts_of_demo

MADE = datetime.date(2026, 11, 25)


@cache
def sheets():
    return checks.check_project(projects.read_project(texts_of_demo()))[0]


@cache
def html_of(slug, **wanted):
    return render_bench(sheets()[slug], made=MADE, **wanted).html


def text_of(html):
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", re.sub(r"(?s)<svg.*?</svg>", "", html))).split())


def checks_of(slug):
    """Name to (wanted, other system, right when, then), as they are printed."""
    rows = re.findall(
        r'(?s)<tr><th scope="row">(.*?)</th><td class="n"><b>(.*?)</b></td><td class="n">(.*?)</td><td class="right">(.*?)</td><td>(.*?)</td></tr>',
        html_of(slug),
    )
    return {unescape(name): tuple(map(unescape, rest)) for name, *rest in rows}


@pytest.mark.parametrize("slug", sorted(sheets()))
def test_every_stage_is_there_in_order_and_every_step_has_a_box(slug):
    html = html_of(slug)
    assert re.findall(r"<h2>\d\. ([^<]*) <span", html) == [title for title, _ in WORK.values()]
    assert html.count('class="box"') == html.count('class="count"') > 8
    assert "{" not in text_of(html)


def test_a_makers_steps_stand_with_their_numbers_in_bold():
    assert "Jars from <b>545 g</b>. Split the rim for the gallery while it is still thick." in html_of("tea-caddy")
    assert "until <b>1.5 mm</b> of play is left, <b>0.8 mm</b> a side." in html_of("tea-caddy")


def test_what_is_set_is_checked_even_where_the_makers_steps_do_not_quote_it():
    found = checks_of("tea-caddy")
    assert (
        found["Jar, pointer up"][2] == "± 0.5 mm"
        and "pointer" not in text_of(html_of("tea-caddy")).partition("Check")[0].partition("At the wheel")[2]
    )
    for part in wheel_rows(sheets()["tea-caddy"], reader_of(sheets()["tea-caddy"].studio)):
        for row in part.rows:
            assert any(str(row.first) == check[0] for check in found.values()), row


def test_each_number_has_its_other_system_a_tolerance_and_a_way_out():
    found = checks_of("tea-caddy")
    assert found["Jar, ball"] == ("545 g", "1 lb 3¼ oz", "± 5 g", read_bench_words()["out"]["ball"])
    assert found["Jar, weighed before trimming"][:3] == ("485 to 490 g", "1 lb 1¼ oz", "between these")
    assert found["Lid fit, clearance"][2] == "0.5 mm to 2.6 mm"
    assert all(all(check[part] for part in (0, 2, 3)) for slug in sheets() for check in checks_of(slug).values())


def test_a_number_is_checked_once_a_stage():
    for slug in sheets():
        for table in re.findall(r"(?s)<tbody>(.*?)</tbody>", html_of(slug)):
            names = re.findall(r'<th scope="row">(.*?)</th>', table)
            assert len(names) == len(set(names)), (slug, names)


def test_two_walls_as_thick_as_one_another_are_both_checked_and_a_fits_own_size_but_once():
    assert {
        "Body, wall at foot",
        "Body, wall at belly",
        "Body, wall at neck",
        "Body, wall at rim",
        "Body, floor",
    } <= set(checks_of("pitcher"))
    assert "Lid fit, calipers" in checks_of("tea-caddy")
    wet = html_of("tea-caddy").partition("2. Trimming")[0]
    assert ">Jar, mouth<" not in wet and wet.count("<b>87.5 mm</b></td>") == 1


def test_every_caution_of_the_work_stands_once_in_full_and_after_that_by_its_title():
    said = text_of(html_of("tall-beaker"))
    steps = {step for _, where in WORK.values() for step in where}
    for caution in read_cautions():
        if steps & set(caution.where):
            assert said.count(caution.paragraphs[0]) == 1, caution.id
    assert "Take care, as before: Clay and glaze dust;" in said
    assert said.index("Take care: Clay and glaze dust") < said.index("2. Trimming")


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
    written = {kind for kind in read_bench_words()["out"]}
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
    texts = texts_of_demo()
    path = "specs/forms/tall-beaker.yaml"
    texts[path] = texts[path].replace("- Pull straight;", "- <script>alert(1)</script> & <b>straight</b>;")
    html = render_bench(checks.check_project(projects.read_project(texts))[0]["tall-beaker"], made=MADE).html
    assert "<script" not in html and "&lt;script&gt;alert(1)&lt;/script&gt; &amp; &lt;b&gt;straight&lt;/b&gt;" in html
