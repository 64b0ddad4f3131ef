"""A form's page: what a number may be out by stands beside it, and notices to old cards stand after the numbers."""

import re
from functools import cache
from html import unescape

import pytest
from wareboard.cards.bench import out_words
from wareboard.cards.revisions import OldCard
from wareboard.figures.settings import as_set, settings_of
from wareboard.figures.shown import reader_of
from wareboard.figures.tolerances import plus_minus_text, tolerance_of
from wareboard.pages import formpage
from wareboard.pot.stages import STAGES
from wareboard.text.units import parse_quantity
from wareboard.words.glossary import read_glossary

from tests.demo import texts_of_demo, worked_out
from tests.every import every


@cache
def page(slug):
    return formpage.render_form(worked_out()[1][slug], worked_out()[0]).body


def rows(body):
    """Each large number's working with the words that stand under it: `(jar.mouth-wet, ± 0.6 mm Out? …)`."""
    found = re.findall(
        r'(?s)<tr class="judged"[^>]*>.*?popovertarget="w-(.*?)".*?</tr>\s*<tr class="right">(.*?)</tr>', body
    )
    return {unescape(name): " ".join(unescape(re.sub("<[^>]+>", " ", words)).split()) for name, words in found}


@every("slug", lambda: sorted(worked_out()[1]))
def test_each_number_that_is_set_says_how_far_out_it_may_be_and_what_then(slug):
    made = as_set(worked_out()[1][slug])
    reader, said = reader_of(made.studio), rows(page(slug))
    judged = [
        (figure, tolerance_of(made, figure, reader))
        for one in settings_of(made)
        for end in one.ends
        if (figure := made.find(end.key, "wet"))
    ]
    assert sum(found is not None for _figure, found in judged) >= 3
    for figure, found in judged:
        if found:
            words = said["-".join(figure.name.split())]
            assert plus_minus_text(figure, found, reader) in words and out_words(made, figure) in words, figure.name


def test_notices_to_old_cards_stand_after_the_numbers_of_the_wheel_and_a_word_at_the_top_leads_there():
    card = OldCard("abc123", "4 March 2026", True, ("ball 500 → 530 g",))
    body = formpage.render_form(worked_out()[1]["tea-caddy"], worked_out()[0], old_cards=(card,)).body
    marks = ('class="warn"', 'class="judged"', 'data-card="abc123"', 'id="trimming"')
    places = [body.index(mark) for mark in marks]
    assert places == sorted(places) and 'href="#older"' in body and 'id="older"' in body


PRINTED = re.compile(r"<t([dh])([^>]*)>(.*?)</t[dh]>")


def amounts(table, system):
    """Rows of a table of stages as one system has them: label to five numbers as printed, and its unit."""
    unit = re.search(r'<caption>.*?, <span(?: data-other="(.*?)")?>(.*?)</span>', table)
    found = {}
    for row in re.findall(r"(?s)<tr[^>]*>(<th scope=\"row\">.*?)</tr>", table):
        cells = PRINTED.findall(row)
        turned = [re.search(r'data-other="(.*?)"', attributes) for _kind, attributes, _words in cells]
        numbers = [
            words if not system or not other else other[1] for (_k, _a, words), other in zip(cells, turned, strict=True)
        ]
        found[numbers[0]] = [unescape(number) for number in numbers[1:]]
    return found, unit[1] if system else unit[2]


def signed_mm(words, unit):
    if not words:
        return 0.0
    return (-1.0 if words[0] == "−" else 1.0) * parse_quantity(f"{words.lstrip('−+')} {unit}", "length").value


@every("slug", sorted(slug for slug, sheet in worked_out()[1].items() if sheet.form.fits))
@every("system", [0, 1])
def test_a_fit_adds_up_as_it_is_printed_in_either_unit_system(slug, system):
    tables = re.findall(r'(?s)<table class="stages">.*?</table>', page(slug))
    fits = [amounts(table, system) for table in tables if "clearance" in table]
    assert len(fits) == len(worked_out()[1][slug].form.fits)
    for rows, unit in fits:
        assert unit == ("in" if system else "mm")
        inside, outside = list(rows)[:2]
        for stage in range(5):
            at = {label: signed_mm(numbers[stage], unit) for label, numbers in rows.items()}
            total = at[inside] - at[outside] - at.get("less glaze", 0.0) + at.get("rounding", 0.0)
            assert total == pytest.approx(at["clearance"], abs=1e-6), (slug, stage, at)


@every("units", ["metric first", "imperial first"])
def test_what_adding_the_shrinkage_does_wrong_adds_up_as_it_is_said(units):
    texts = texts_of_demo()
    texts["specs/studio.yaml"] = re.sub(r"(?m)^units: .*", f"units: {units}", texts["specs/studio.yaml"])
    told = 0
    for sheet in worked_out(texts)[1].values():
        slip = formpage._slip(as_set(sheet), reader_of(sheet.studio))
        if slip:
            right, wrong, short_by = (
                parse_quantity(words, "length").value for words in (slip.right, slip.wrong, slip.short_by)
            )
            assert right - wrong == pytest.approx(short_by, abs=1e-6), (sheet.slug, slip)
            told += 1
    assert told > 5


@every("slug", lambda: sorted(worked_out()[1]))
def test_the_drawing_of_all_sizes_takes_along_what_each_comes_to_and_how_large_the_form_is_at_every_stage(slug):
    made = as_set(worked_out()[1][slug])
    reader, body = reader_of(made.studio), page(slug)
    scales = [tuple(map(float, scale.split())) for scale in re.findall(r'data-scale="([^"]+)"', body)]
    assert len(scales) == len(STAGES) and scales[-1] == (1.0, 1.0) and scales == sorted(scales, reverse=True)
    known = {
        tuple(reader.number(made.find(key, stage)) for stage in STAGES)
        for key in {figure.key for figure in made.figures if figure.unit == "mm" and made.find(figure.key, "bisque")}
        if all(made.find(key, stage) for stage in STAGES)
    }
    drawn = re.findall(r'data-stages="([^"]+)">([^<]+)</text>', body)
    assert len(drawn) >= 3
    for sizes, words in drawn:
        assert tuple(sizes.split("|")) in known and words.endswith(sizes.split("|")[-1]), (words, sizes)
    sheet = worked_out()[1][slug]  # of the pot as it is wanted: setting a tool moves a wet height by a fraction
    for part in sheet.shapes:
        for place, stage in enumerate(STAGES):
            for end, way in (("diameter", 0), ("height", 1)):
                fired = sheet.value(f"{part}.{end}", "fired")
                assert sheet.value(f"{part}.{end}", stage) == pytest.approx(fired * scales[place][way], rel=1e-4), (
                    part,
                    stage,
                )
    assert "\u2063" not in body


@every("slug", lambda: sorted(worked_out()[1]))
def test_a_word_of_the_glossary_opens_its_meaning_at_its_first_use_in_a_section(slug):
    body, terms = page(slug), {"-".join(term.term.split()): term for term in read_glossary()}
    opened = dict(re.findall(r'<div class="meaning" id="g-([^"]+)" popover role="note">(.*?)</div>', body))
    assert opened
    for name, words in opened.items():
        assert unescape(words).count(terms[name].meaning) == 1 and f'href="../glossary.html#{name}"' in words
    leads = [re.findall(r'class="term" popovertarget="g-([^"]+)">', part) for part in body.split("<section")]
    assert {name for names in leads for name in names} == set(opened)
    assert all(len(names) == len(set(names)) for names in leads)
