"""The bench view: every number is the sheet's own, with its tolerance and what to do when it is out, and all of it is small."""

import re

from wareboard import TEMPLATES
from wareboard.cards import cardtext
from wareboard.cards.bench import out_words
from wareboard.cards.revisions import OldCard
from wareboard.figures.settings import as_set, settings_of
from wareboard.figures.shown import reader_of
from wareboard.figures.tolerances import plus_minus_text, tolerance_of
from wareboard.figures.trimsettings import trim_settings_of
from wareboard.pages import benchpage
from wareboard.words.templating import plain

from tests.demo import demo_site, worked_out
from tests.every import every

ALL_TOLD_BYTES = 60_000
ASSETS = TEMPLATES / "theme" / "assets"


def sections(body):
    """Each stage's words, drawings left out."""
    without = re.sub(r"(?s)<svg.*?</svg>", "", body)
    found = re.findall(r'(?s)<section id="(\w+)".*?</section>', without)
    texts = re.findall(r"(?s)<section id=.*?</section>", without)
    return {name: " ".join(re.sub(r"<[^>]+>", " ", text).split()) for name, text in zip(found, texts, strict=True)}


@every("slug", lambda: sorted(worked_out()[1]))
def test_each_stage_shows_what_is_set_with_the_marks_of_the_cards_when_it_is_right_and_what_then(slug):
    sheet = worked_out()[1][slug]
    made, reader = as_set(sheet), reader_of(sheet.studio)
    said = sections(benchpage.render_bench_view(sheet).body)
    assert list(said) == ["wheel", "trimming", "drying", "fired"]
    trims = [one for rows in trim_settings_of(made).values() for one in rows]
    shown = 0
    for stage, name, settings in (("wet", "wheel", list(settings_of(made))), ("leather-hard", "trimming", trims)):
        for one in settings:
            for end in one.ends:
                figure = made.find(end.key, stage)
                assert f"{one.mark} " in said[name] and end.amounts[0].number in said[name], (slug, end.key)
                found = tolerance_of(made, figure, reader)
                if found:
                    assert plus_minus_text(figure, found, reader) in said[name], (slug, end.key)
                    assert plain(out_words(made, figure)) in said[name].replace("&#39;", "'"), (slug, end.key)
                    shown += 1
    assert shown >= 3


def test_a_drawing_shows_only_what_is_set_at_its_stage():
    body = benchpage.render_bench_view(worked_out()[1]["tea-caddy"]).body
    wheel, trimming, fired = re.findall(r"(?s)<svg.*?</svg>", body)
    assert "As thrown" in wheel and "Leather-hard" in trimming
    assert len(set(re.findall(r'\bid="([^"]+)"', body))) == len(re.findall(r'\bid="([^"]+)"', body))


def test_a_bench_view_is_small_with_all_that_it_loads():
    # `kept.js` comes when the view stands already, and from a network alone.
    loads = [*ASSETS.glob("bench/*"), ASSETS / "javascripts" / "page.js", ASSETS / "fonts" / "Numbers.woff2"]
    besides = sum(path.stat().st_size for path in [*loads, TEMPLATES / "theme" / "bench.html"])
    for slug, sheet in worked_out()[1].items():
        size = len(benchpage.render_bench_view(sheet).body.encode())
        assert besides + size < ALL_TOLD_BYTES, (slug, size, besides)


def test_old_cards_are_told_after_the_numbers():
    old = (OldCard("0dd0dd", "4 March 2026", True, ("Ball: was 500 g, is 530 g.",)),)
    body = benchpage.render_bench_view(worked_out()[1]["tea-caddy"], old_cards=old).body
    assert body.index("530") < body.index('data-card="0dd0dd"') < body.index('id="trimming"')


def test_a_card_leads_to_the_bench_view_and_form_and_front_page_link_it():
    project, sheets = worked_out()
    sheet = sheets["tea-caddy"]
    page = benchpage.render_bench_view(sheet)
    assert (
        cardtext.page_url(sheet, "https://pots.example/")
        == f"https://pots.example/{page.path}?revision={sheet.revision}"
    )
    pages = {one.path: one for one in demo_site()}
    assert pages[page.path] == page and not page.in_navigation and not page.is_found
    assert f'href="../{page.path}"' in pages["forms/tea-caddy.html"].body
    assert f'href="{page.path}"' in pages["index.html"].body


def test_numbers_have_a_face_with_every_sign_that_they_are_written_with():
    from fontTools.ttLib import TTFont

    has = TTFont(ASSETS / "fonts" / "Numbers.woff2").getBestCmap()
    for sheet in worked_out()[1].values():
        body = re.sub(r"(?s)<svg.*?</svg>", "", benchpage.render_bench_view(sheet).body)
        for words in re.findall(r'(?s)class="ring">([^<]*)<|<p class="set">(.*?)<span', body):
            bold = "".join(re.findall(r"<b>([^<]*)</b>", words[1])) + words[0]
            assert {sign for sign in bold if ord(sign) not in has} == set()
