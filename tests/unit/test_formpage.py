"""A form's page: what a number may be out by stands beside it, and notices to old cards stand after the numbers."""

import re
from functools import cache
from html import unescape

import pytest
from wareboard.cards.bench import out_words
from wareboard.cards.revisions import OldCard
from wareboard.figures import checks
from wareboard.figures.settings import as_set, settings_of
from wareboard.figures.shown import reader_of
from wareboard.figures.tolerances import plus_minus_text, tolerance_of
from wareboard.pages import formpage
from wareboard.text import projects

from tests.demo import texts_of_demo


@cache
def demo():
    project = projects.read_project(texts_of_demo())
    return project, checks.check_project(project)[0]


@cache
def page(slug):
    return formpage.render_form(demo()[1][slug], demo()[0]).body


def rows(body):
    """Each large number's working with the words that stand under it: `(#f-jar.mouth-wet, ± 0.6 mm Out? …)`."""
    found = re.findall(r'(?s)<tr class="judged">.*?href="#f-(.*?)".*?</tr>\s*<tr class="right">(.*?)</tr>', body)
    return {unescape(name): " ".join(unescape(re.sub("<[^>]+>", " ", words)).split()) for name, words in found}


@pytest.mark.parametrize("slug", sorted(demo()[1]))
def test_each_number_that_is_set_says_how_far_out_it_may_be_and_what_then(slug):
    made = as_set(demo()[1][slug])
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
    body = formpage.render_form(demo()[1]["tea-caddy"], demo()[0], old_cards=(card,)).body
    marks = ('class="warn" hidden', 'class="judged"', 'data-card="abc123"', 'id="trimming"')
    places = [body.index(mark) for mark in marks]
    assert places == sorted(places) and 'href="#older"' in body and 'id="older"' in body
