"""What fits what: pairs across forms, with the shares of their own fits, and of strangers as any goes on any."""

import dataclasses
import itertools
import re

import pytest
from wareboard.figures.settings import as_set
from wareboard.pages import fitspage

from tests.demo import texts_of_demo, worked_out


@pytest.fixture(scope="module")
def studio():
    texts = texts_of_demo()
    jar = texts["specs/forms/tea-caddy.yaml"]
    # The same caddy again under another name: its lid has to go on the first one's jar.
    texts["specs/forms/second-caddy.yaml"] = (
        jar.replace("title: Tea caddy", "title: Second caddy").replace("code: ", "code: Z").replace("sku: ", "sku: Z")
    )
    return worked_out(texts)


def pairs(studio):
    return {
        (pair.goes_in.named, pair.opening.named): pair for pair in fitspage.pairs_of(*fitspage.halves_of(studio[1]))
    }


def test_a_pair_made_for_one_another_has_its_sheets_own_shares(studio):
    sheet = as_set(studio[1]["tea-caddy"])  # as it is made to its settings, as its own page has it
    pair = pairs(studio)[("tea-caddy", "lid", "flange"), ("tea-caddy", "jar", "mouth")]
    assert pair.own
    assert pair.clearance_mm == pytest.approx(sheet.value("fit.lid.clearance", "fired"))
    assert pair.binds_share * 100 == pytest.approx(sheet.value("fit.lid.binds", "fired"))
    assert pair.loose_share * 100 == pytest.approx(sheet.value("fit.lid.loose", "fired"))


def test_a_lid_goes_on_its_twins_jar_less_surely_than_on_its_own(studio):
    found = pairs(studio)
    own = found[("tea-caddy", "lid", "flange"), ("tea-caddy", "jar", "mouth")]
    twin = found[("tea-caddy", "lid", "flange"), ("second-caddy", "jar", "mouth")]
    assert not twin.own and twin.clearance_mm == pytest.approx(own.clearance_mm)
    assert fitspage.TOLD_SHARE < twin.good_share < own.good_share


def test_an_opening_of_another_form_is_told_as_that_forms(studio):
    assert pairs(studio)[("short-beaker", "cup", "nest"), ("tall-beaker", "cup", "mouth")].own


def test_the_page_frames_own_pairs_and_lists_them_where_there_are_many(studio, monkeypatch):
    (page,) = fitspage.render_fits(*studio)
    assert page.body.count('own"') == sum(pair.own for pair in pairs(studio).values())
    monkeypatch.setattr(fitspage, "WIDEST", 1)
    (listed,) = fitspage.render_fits(*studio)
    alike = list(fitspage.pairs_alike(*fitspage.halves_of(studio[1])))
    assert listed.body.count("<tr>") == len(alike) + 1 and "made for one another" in listed.body


def test_what_is_alike_is_told_once_and_nothing_else_is(studio):
    """A caddy's twin, one a little larger, and a nest of the same numbers: written out, all is told that holds of each."""
    texts = texts_of_demo()
    caddy, beaker = texts["specs/forms/tea-caddy.yaml"], texts["specs/forms/short-beaker.yaml"]
    again = lambda text: re.sub(r"(?m)^((?:code| *sku): )", r"\1Z", re.sub(r"(?m)^title: ", "title: Second ", text))
    larger = "title: Larger caddy\nlike: tea-caddy\nresized: {scale: 1.005}\n"
    more = {"second-caddy": again(caddy), "second-beaker": again(beaker), "larger-caddy": larger}
    worked = worked_out(texts | {f"specs/forms/{slug}.yaml": text for slug, text in more.items()})
    written = {}
    rows = list(fitspage.pairs_alike(*fitspage.halves_of(worked[1])))
    for pair, things, mouths in rows:
        met = zip(things, mouths, strict=True) if pair.own else itertools.product(things, mouths)
        for thing, mouth in met:
            if pair.own or thing.made_for != mouth.named:
                assert (thing.named, mouth.named) not in written
                written[thing.named, mouth.named] = (pair.clearance_mm, pair.good_share, pair.own)
    each = {names: (pair.clearance_mm, pair.good_share, pair.own) for names, pair in pairs(worked).items()}
    assert written == each and len(rows) < len(each) - 2


def test_without_fits_there_is_no_page(studio):
    project, sheets = studio
    plain = {slug: dataclasses.replace(sheet, fits={}) for slug, sheet in sheets.items()}
    assert fitspage.render_fits(project, plain) == ()
