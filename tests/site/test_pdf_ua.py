"""Every kind of card, and the run sheet, as two checkers of PDF/UA-1 (ISO 14289-1) from outside read it; pictures say their numbers."""

import datetime
import io

import page as conformance
import pdfua
import pypdf
import pytest
from wareboard.cards import engine, runsheet
from wareboard.cards.cardkinds import CLAY, FORM, KINDS
from wareboard.figures.settings import settings_of
from wareboard.pages import orderpages

from tests.demo import worked_out
from tests.printed import structure_of

MADE = datetime.date(2026, 11, 25)

try:
    engine.check_engine()
except engine.CardsUnavailable as fault:
    pytest.skip(str(fault), allow_module_level=True)


@pytest.fixture(scope="module")
def studio():
    return worked_out()


def set_card(studio, kind, slug):
    project, sheets = studio
    made = KINDS[kind]
    about = {
        FORM: (sheets[slug],),
        CLAY: (project.clays["millpond-buff"], project.studio),
    }.get(made.about, (project.studio, [sheet for sheet in sheets.values() if made.suits(sheet)]))
    more = {"others": sheets} if made.sees_others else {}
    return engine.render_pdf(
        made.render(*about, paper=made.papers[0], made=MADE, site_url="https://pots.example/", **more)
    )


def conforms(content, tmp_path):
    report = conformance.validate_pdf_bytes(content, profile="ua1")
    assert report.is_compliant, [(failure.rule_id, failure.message) for failure in report.failures][:5]
    path = tmp_path / "card.pdf"
    path.write_bytes(content)
    wrong = [found for found in pdfua.validate(path).findings if found.severity.name == "ERROR"]
    assert not wrong, [(found.rule_id, found.message) for found in wrong][:5]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("slug", ["tea-caddy", "supper-plate"])
def test_a_card_conforms(studio, kind, slug, tmp_path):
    if KINDS[kind].about != FORM and slug != "tea-caddy":
        pytest.skip("it is not about one form")
    conforms(set_card(studio, kind, slug), tmp_path)


def test_the_run_sheet_conforms(studio, tmp_path):
    project, sheets = studio
    plan = orderpages.plan_of(project.orders["harbour-shop-may"], project, sheets)
    conforms(engine.render_pdf(runsheet.render_run(plan, project, sheets)), tmp_path)


def test_a_deck_conforms(studio, tmp_path):
    texts = [KINDS[kind].render(studio[1]["tall-beaker"], paper="A5", made=MADE) for kind in ("wheel",)]
    conforms(engine.render_deck([*texts, *texts], "Wall"), tmp_path)


def test_the_checkers_see_what_is_wrong(tmp_path):
    """A picture without words and a table without heads are told, so what passes has been looked at."""
    for body in (
        '<svg width="9" height="9"><path d="M0 0h9"/></svg><img alt="" src="data:image/svg+xml,&lt;svg/&gt;">',
        "<table><tr><td>1</td><td>2</td></tr></table>",
    ):
        text = engine.CardText(
            "a", "A", f"<html lang=en><head><title>A</title></head><body><h1>A</h1>{body}</body></html>", ""
        )
        with pytest.raises(AssertionError):
            conforms(engine.render_pdf(text), tmp_path)


@pytest.mark.parametrize("slug", ["tea-caddy", "pitcher"])
def test_the_words_for_a_drawing_carry_its_numbers_or_the_rings_that_stand_for_them(studio, slug):
    sheet = studio[1][slug]
    _, said = structure_of(pypdf.PdfReader(io.BytesIO(set_card(studio, "wheel", slug))))
    words = " ".join(said)
    for one in settings_of(sheet):
        if one.kind != "ball":
            assert f"ring {one.mark}" in words or all(end.amounts[0].number in words for end in one.ends), one.title
