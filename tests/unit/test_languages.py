"""Words in another language: what is spoken where, numbers and days by the locale, and that catalogues are in step with the program."""

import datetime
import json
import re
import subprocess
import sys
from functools import cache

from wareboard.cards.audience import stock_of
from wareboard.cards.stock import render_stock_csv
from wareboard.pages import orderpages
from wareboard.pages.datafiles import figure_rows, form_line, render_form_data
from wareboard.text import languages
from wareboard.text.formulas import Formula
from wareboard.text.languages import Language, _, later, neutral, ngettext, pointed, remembered, speaking
from wareboard.text.quantities import Steps, format_length, format_number, format_share
from wareboard.words.gathering import catalogue_text, gather, read_catalogue
from wareboard.words.templating import environment
from wareboard.words.wordfiles import SCRIPTS, script_messages, script_words

from tests.demo import worked_out
from tests.every import every


class Upper:
    """A language for tests: English, loud."""

    def gettext(self, message):
        return message.upper()

    def ngettext(self, one, many, count):
        return (one if count == 1 else many).upper()


class Swapped(Upper):
    """Another language for tests, with its words in another order."""

    def gettext(self, message):
        return {"Fit: %(name)s": "%(name)s passt"}.get(message, message)


LOUD = Language("de", Upper(), ",")


def test_a_language_is_spoken_for_a_while_and_no_longer():
    with speaking(LOUD):
        assert (_("wet"), ngettext("pot", "pots", 2)) == ("WET", "POTS")
        with speaking("en"):
            assert _("wet") == "wet"
        assert _("wet") == "WET"
    assert _("wet") == later("wet") == "wet"


def test_numbers_have_the_sign_of_the_language():
    with speaking(LOUD):
        assert format_length(79.2, "metric", Steps()) == ("79,0", "mm")
        assert format_number(1.50) == "1,5"
        assert format_share(-0.1234) == ("−12,3", "%")
        assert pointed("3.5") == "3,5"
        assert Formula("wet_mm * 2").working({"wet_mm": 1.5}) == "1,5 mm WET × 2"
    assert format_length(79.2, "metric", Steps()) == ("79.0", "mm")


def test_days_are_written_as_the_language_has_them():
    day = datetime.date(2027, 5, 4)
    with speaking(LOUD):
        assert languages.written_day(day) == "4. Mai 2027"
        assert languages.written_date(day) == "Di., 4. Mai 2027"
        assert languages.written_date(day, year=False) == "Di., 4. Mai"
    assert languages.written_day(day) == "4 May 2027"


def test_what_is_remembered_is_apart_for_each_language_and_data_are_neutral():
    asked = []

    @remembered()
    def said(word):
        asked.append(word)
        return _(word)

    data = neutral(lambda: _("wet"))
    with speaking(LOUD):
        assert (said("wet"), said("wet"), data()) == ("WET", "WET", "wet")
    assert said("wet") == "wet"
    assert asked == ["wet", "wet"]


def test_a_template_says_its_message_with_what_is_put_in_escaped():
    made = environment().from_string(
        "{% trans name=name %}Fit: {{ name }}{% endtrans %}, {{ _('<b>%(name)s</b>', name=name) }}"
    )
    assert made.render(name="a & b") == "Fit: a &amp; b, <b>a &amp; b</b>"
    with speaking(Language("de", Swapped(), ",")):
        assert made.render(name="a & b") == "a &amp; b passt, <b>a &amp; b</b>"


def test_english_costs_no_catalogue():
    asked = "import sys, wareboard.cli, wareboard.pages.sitepages; sys.exit('babel' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", asked], check=False).returncode == 0


@every("tag", ["en", "en-GB", "fr", "../de", "x" * 12])
def test_a_language_without_a_catalogue_is_english(tag):
    with speaking(tag):
        assert _("wet") == "wet"


@cache
def gathered():
    """Every message that there is."""
    return frozenset(gather())


def test_messages_are_gathered_from_everywhere_that_words_stand():
    found = gathered()
    for message in (
        "pointer up at {S}",  # a figure
        "dry glaze",  # a number in a formula
        "the larger of {terms}",  # the program
        "Weigh {P.ball.set wet} for the {part}, the same day and from the same lot as what it closes. It is thrown upside down.",
    ):
        assert message in found
    assert not found & {"silica-dust", "glaze-materials"}


CATALOGUED = sorted(languages.CATALOGUES.glob(f"*/{languages.NAME}.po"))


def put_in(message):
    """What is put into a message: names in braces and by per cent, and tags of HTML."""
    braces = sorted(re.findall(r"\{[^{}]*\}", message))
    return braces, sorted(re.findall(r"%\(\w+\)s", message)), sorted(re.findall(r"<[^>]+>", message))


# Messages that were added or changed since the catalogue was brought up to date; they are shown in English meanwhile.
MOST_WAITING = 60


@every("path", CATALOGUED)
def test_a_catalogue_has_the_messages_that_there_are(path):
    known = {message.id for message in read_catalogue(path) if message.id and all(strings_of(message))}
    wanted = gathered()
    assert len(wanted - known) <= MOST_WAITING, (
        f"python -m wareboard.words.gathering; {sorted(map(str, wanted - known))}"
    )
    assert len(known - wanted) <= MOST_WAITING, "python -m wareboard.words.gathering"


def strings_of(message):
    """A message's translation, or its translations where it depends on a count."""
    return tuple(message.string) if isinstance(message.id, tuple) else (message.string,)


@every("path", CATALOGUED)
def test_a_translation_has_what_its_message_has(path):
    catalogue = read_catalogue(path)
    assert catalogue_text(catalogue) == path.read_bytes()
    for message in catalogue:
        ids = message.id if isinstance(message.id, tuple) else (message.id,)
        strings = strings_of(message)
        assert not message.fuzzy, message.id
        assert len(strings) == (catalogue.num_plurals if isinstance(message.id, tuple) else 1), message.id
        for said, string in zip(ids, strings, strict=True) if message.id and all(strings) else ():
            assert put_in(string) == put_in(said), said
            assert (string[0].isspace(), string[-1].isspace()) == (said[0].isspace(), said[-1].isspace()), said
            assert string.count("\n\n") == said.count("\n\n"), said


def test_an_unread_translation_says_so():
    with speaking("de"):
        assert languages.translation_note() == "Übersetzung: noch von niemandem gelesen."
    assert languages.translation_note() == ""


def test_the_script_of_pages_is_handed_its_words():
    assert "{count} of {all} found" in script_messages()
    assert {script_words(script) for script in SCRIPTS} == {""}
    with speaking("de"):
        assert json.loads(script_words())["No form is like that."] == "Keine Form ist so."
        handed = {script: json.loads(script_words(script)) for script in SCRIPTS}
    assert handed["answers/answers.js"]["Leave it as it is"] == "So lassen, wie es ist"
    assert handed["compare/compare.js"]["Choose two to four forms."] == "Zwei bis vier Formen wählen."
    # Each script's own words and no other's.
    assert all(tuple(words) == script_messages(script) for script, words in handed.items())


def test_data_read_alike_in_every_language():
    project, sheets = worked_out()
    sheet = sheets["tea-caddy"]

    def data():
        stock = stock_of(project.studio, sheets.values())
        orders = [one.text for one in orderpages.render_orders_data(project, sheets) if one.path.endswith(".json")]
        return render_form_data(sheet).text, figure_rows(sheet), form_line(sheet), render_stock_csv(stock).text, orders

    with speaking("de"):
        german = data()
    assert german == data()
