"""Nothing is shown that a catalogue does not know: the demo in a language that puts every message in brackets, and what stands outside of them."""

import re
from dataclasses import fields, is_dataclass
from functools import cache
from html.parser import HTMLParser

from wareboard.cards.audience import stock_of
from wareboard.cards.cardkinds import KINDS, RUN
from wareboard.figures import planning
from wareboard.pages import orderpages, sitepages, stockpages
from wareboard.text import projects
from wareboard.text.kinds import Word
from wareboard.text.languages import Language, speaking
from wareboard.words.gathering import gather

from tests.demo import worked_out
from tests.every import every
from tests.unit.test_cards import MADE


@cache
def known():
    """Every message that catalogues have."""
    return {one for message in gather() for one in ((message,) if isinstance(message, str) else message)}


class Bracketed:
    """A language for this test: every message that catalogues have between brackets, any other as it is."""

    def gettext(self, message):
        paragraphs = message.split("\n\n")
        return "\n\n".join(f"⟦{paragraph}⟧" for paragraph in paragraphs) if message in known() else message

    def ngettext(self, one, many, count):
        return self.gettext(one if count == 1 else many)


BRACKETED = Language("bracketed", Bracketed(), ",")
SHOWN_ATTRIBUTES = {"title", "alt", "aria-label", "placeholder", "content", "data-title"}
# Code, not words.
NOT_READ = {"code", "style", "script"}
# A figure's key and stage, as steps quote it: the same in every language.
KEY = re.compile(r'(?<=<th scope="row">)[\w. -]+(?= <span class="stage">)|(?<=">)[\w. -]+\.[\w. -]+(?=</a>)')
# What stands within a line of text: a message may go on through it.
IN_A_LINE = {"b", "i", "em", "span", "small", "a", "code", "br", "strong", "text"}
# Units and signs that are the same in every language, and what is not a word: addresses, files, revisions.
SAME_EVERYWHERE = re.compile(
    r"rim diameter wet|https?:\S+|\b\w+[./]\w[\w./:-]*|\b(?:mm|cm|in|m|g|kg|oz|lb|ml|l|min|h|s|fl oz(?: imp| US)?|[cm]m[²³23]|in[²³]|ISO|PDF|CSV|JSON|QR|ASTM|GBP|EUR|mm²|kWh)\b|\b[0-9a-f]{6}\b|\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun|Jan(?:uary)?|Feb(?:ruary)?|Mar(?:ch)?|Apr(?:il)?|May|June?|July?|Aug(?:ust)?|Sep(?:tember)?|Oct(?:ober)?|Nov(?:ember)?|Dec(?:ember)?)\b|\b[A-Z]{1,3}-?\d*\b"
)


class Texts(HTMLParser):
    """Every text and every attribute that is read of a page."""

    def __init__(self, html):
        super().__init__()
        self.found, self.attributes, self.skipping = [], [], 0
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attributes):
        named = dict(attributes)
        if tag == "meta" and named.get("name") != "description":
            return
        if tag not in IN_A_LINE:
            self.found.append(None)
        self.attributes += [value for name, value in attributes if name in SHOWN_ATTRIBUTES and value]
        self.skipping += tag in NOT_READ

    def handle_endtag(self, tag):
        self.skipping -= tag in NOT_READ

    def handle_data(self, data):
        if not self.skipping:
            self.found.append(data)


def words_of_maker(value):
    """Every text that a maker typed."""
    if isinstance(value, (str, Word)):
        yield str(value)
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from words_of_maker(getattr(value, field.name))
    elif isinstance(value, dict):
        for pair in value.items():
            yield from words_of_maker(pair)
    elif isinstance(value, (tuple, list)):
        for item in value:
            yield from words_of_maker(item)


@cache
def makers_own():
    """A pattern of all that the maker of the demo typed, the longest first; however it begins."""
    project = worked_out()[0]
    specs = [project.studio, *(spec for kind in projects.FOLDERS for spec in project.files(kind).values())]
    texts = {" ".join(text.split()) for spec in specs for text in words_of_maker(spec)}
    lines = {
        " ".join(line.split())
        for spec in specs
        for text in words_of_maker(spec)
        for line in re.split(r"(?:^|\n)(?:- )?|\{[^{}]*\}|[*_`]|, ", text)
    }
    found = sorted(filter(lambda text: len(text) > 1, texts | lines), key=len, reverse=True)
    whole = lambda text: (
        (r"(?<!\w)" if text[0].isalnum() else "") + re.escape(text) + (r"(?!\w)" if text[-1].isalnum() else "")
    )
    return re.compile("|".join(map(whole, found)), re.I)


def outside_of_brackets(texts):
    """What of some texts that follow one another stands outside of all brackets; a message may go on from one text to the next."""
    depth = 0
    for text in texts:
        if text is None:
            depth = 0
            continue
        left = []
        for sign in text:
            depth += sign == "⟦"
            left.append(sign if not depth else " ")
            depth -= sign == "⟧"
        yield " ".join("".join(left).split())


@cache
def unwrapped(text):
    """A text without what the maker typed and what is the same in every language; nothing where no word is left."""
    if not re.search(r"[A-Za-z]{2}", SAME_EVERYWHERE.sub(" ", text)):
        return ""
    rest = SAME_EVERYWHERE.sub(" ", makers_own().sub(" ", text)).strip()
    return rest if re.search(r"[A-Za-z]{2}", rest) else ""


def missing_in(html, *texts):
    """Words of a page that no catalogue knows."""
    page = Texts(KEY.sub("", html))
    found = [
        *outside_of_brackets(page.found),
        *(one for text in (*page.attributes, *texts) for one in outside_of_brackets([text])),
    ]
    return sorted({left for text in found if (left := unwrapped(text))})


@cache
def shown():
    """Every page and card of the demo by its name, in the bracketed language."""
    project, sheets = worked_out()
    with speaking(BRACKETED):
        found = {
            page.path: missing_in(page.body, page.title, page.description)
            for page in sitepages.render_site(project, sheets)
        }
        stock = stock_of(project.studio, sheets.values())
        for page in stockpages.render_stockist_site(stock):
            found[f"shops/{page.path}"] = missing_in(page.body, page.title, page.description)
        for kind in KINDS.values():
            found[f"card {kind.name}"] = _cards(kind, project, sheets)
        plans = [orderpages.plan_of(order, project, sheets) for order in planning.open_orders(project)]
        found["card run"] = [
            left
            for plan in plans
            for left in missing_in(RUN.render(plan, project, sheets, paper="A4", made=MADE, site_url="").html)
        ]
    return found


def _cards(kind, project, sheets):
    if kind.about == "form":
        about = [(sheet,) for sheet in sheets.values() if kind.suits(sheet)]
    elif kind.about == "clay":
        about = [(clay, project.studio) for clay in project.clays.values()]
    else:
        about = [(project.studio, [sheet for sheet in sheets.values() if kind.suits(sheet)])]
    more = {"others": sheets} if kind.sees_others else {}
    texts = [kind.render(*one, paper=kind.papers[0], made=MADE, site_url="", **more) for one in about]
    return sorted({left for text in texts for left in missing_in(text.html, text.title)})


# What remains: pages and cards of which some words are English still.
REMAIN = re.compile(r"reference\.html")


def test_every_word_that_is_shown_is_in_a_catalogue():
    missing = {name: left for name, left in shown().items() if left and not REMAIN.fullmatch(name)}
    assert not missing, "\n".join(f"{name}: {left}" for name, left in missing.items())


@every(
    ("text", "left"),
    [
        ("⟦{a} of ⟦b⟧⟧ 3 mm", ""),
        ("⟦Weigh⟧ knead it", "knead it"),
        ("Tea caddy, jar", ""),
        ("revision 7f3a21", "revision"),
    ],
)
def test_what_stands_outside_of_brackets_is_told(text, left):
    assert unwrapped(*outside_of_brackets([text])) == left
