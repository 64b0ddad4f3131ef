"""Every kind of card on every paper that it goes on, as the declarations have them: boxes, ink inside, nothing on anything, type that can be read."""

import dataclasses
import datetime
from functools import cache

import pytest
from wareboard.cards import engine
from wareboard.cards.cardkinds import CLAY, FORM, KINDS, PAPER_MM
from wareboard.figures.settings import settings_of
from wareboard.figures.trimsettings import trim_settings_of
from wareboard.output.faults import machine_fault
from wareboard.text.languages import _, speaking

from tests import printed
from tests.demo import texts_of_demo, worked_out

MADE = datetime.date(2026, 11, 25)
MM = 72.0 / 25.4
LANDSCAPE = ("wheel", "trimming")
# 20 minutes of arc at 1.5 m: 1500 mm × tan(20'), and 10 minutes. Source: NUREG-0700 rev. 2 (read), letter height for a viewing distance.
LEAST_DIGIT_MM, LEAST_NAME_MM = 8.7, 4.4
LEAST_PT = 7.0
CAP = 0.668

try:
    engine.check_engine()
except engine.CardsUnavailable as fault:
    pytest.skip(str(fault), allow_module_level=True)

LONG_PART = """  {name}:
    outside:
      foot: {{height: 0, diameter: 60}}
      a station whose name goes on and on: {{height: 40, diameter: 70}}
      rim: {{height: 300, diameter: 200}}
    wall: {{foot: 6, a station whose name goes on and on: 5.5, rim: 5}}
    floor: 6
    bare: foot to a station whose name goes on and on
    calipers: {{the opening at the very top of it all: inside rim, another one with a name as long as that: outside rim}}
    throwing: {{loss: 6 %, left_on: {{wall: 1, floor: 2}}, gauge_at: [a station whose name goes on and on, rim]}}
    extras: {{a handle with quite a long name to it: {{clay: 40 g}}}}
"""
LONG_NAMES = ("the first of five parts with long names", "second part whose name is just as long", "third", "fourth part", "the fifth and last of the parts of it")  # fmt: skip


@cache
def studio(units="metric first", parts=0):
    texts = texts_of_demo()
    texts["specs/studio.yaml"] = texts["specs/studio.yaml"].replace("metric first", units)
    if parts:
        texts = {
            path: text
            for path, text in texts.items()
            if "/forms/" not in path and "/runs/" not in path and "/orders/" not in path and "/firings/" not in path
        }
        head = f"title: {'A form with the longest name that a card takes up, sixty of it':.60}\ncode: ABCDEFGHI-12\nclay: millpond-buff\nglaze: lichen-satin\nparts:\n"
        texts["specs/forms/long.yaml"] = head + "".join(LONG_PART.format(name=name) for name in LONG_NAMES[:parts])
    return worked_out(texts)


@cache
def pages_of(kind, paper, form="tea-caddy", units="metric first", parts=0, language="en"):
    project, sheets = studio(units, parts)
    made, sheet = KINDS[kind], sheets["long" if parts else form]
    if made.about == FORM:
        if not made.suits(sheet):
            pytest.skip("there is no such card of it")
        about = (sheet,)
    else:
        about = (
            (project.clays["millpond-buff"], project.studio)
            if made.about == CLAY
            else (project.studio, [one for one in sheets.values() if made.suits(one)])
        )
    more = {"others": sheets} if made.sees_others else {}
    with speaking(language):
        text = made.render(*about, paper=paper, made=MADE, site_url="https://pots.example/", **more)
    return printed.pages_of(engine.render_pdf(text))


ALL = [(kind, paper) for kind, made in KINDS.items() for paper in made.papers]
LONG = [
    (kind, paper, units, parts)
    for kind in ("wheel", "trimming", "bench")
    for paper, units, parts in (
        (KINDS[kind].papers[0], "metric first", 3),
        (KINDS[kind].papers[-1], "imperial first", 2),
    )
]
SOME = [(kind, paper, {}) for kind, paper in ALL] + [
    (kind, paper, {"units": units, "parts": parts}) for kind, paper, units, parts in LONG
]
SOME += [
    (kind, "A6", {"form": form, "units": "imperial first"}) for kind in LANDSCAPE for form in ("oil-bottle", "pitcher")
]
# German has longer words, for which there must be room too, on the last and smallest paper.
SOME += [
    (kind, KINDS[kind].papers[-1], {"language": "de"}) for kind in ("wheel", "trimming", "bench", "stock", "template")
] + [(kind, "A6", {"language": "de", "form": "oil-bottle"}) for kind in LANDSCAPE]


@pytest.mark.parametrize(("kind", "paper", "what"), SOME)
def test_boxes_are_the_papers_and_every_letter_is_inside(kind, paper, what):
    width, height = PAPER_MM[paper][::-1] if kind in LANDSCAPE else PAPER_MM[paper]
    for page in pages_of(kind, paper, **what):
        assert (page.width / MM, page.height / MM) == pytest.approx((width, height), abs=0.05)
        assert page.chars
        for char in seen(page):
            assert 3 * MM < char["x0"] and char["x1"] < page.width - 3 * MM, char
            assert 3 * MM < char["top"] and char["bottom"] < page.height - 3 * MM, char
        for line in (*page.lines, *page.curves, *page.rects):
            assert -0.5 <= line["x0"] and line["x1"] <= page.width + 0.5, line
            assert -0.5 <= line["top"] and line["bottom"] <= page.height + 0.5, line


def seen(page):
    """Letters but those of a point, which are there for the running head alone."""
    return [char for char in page.chars if char["size"] > 1.5]


def ink_of(page):
    """Letters as boxes of ink, drawings' upright words left out."""
    return sorted(
        ((c["x0"], c["x1"], c["matrix"][5], c["matrix"][5] + 0.5 * c["size"], c["text"]) for c in seen(page) if c["text"].strip() and not c["matrix"][1]),
        key=lambda box: box[2],
    )  # fmt: skip


@pytest.mark.parametrize(("kind", "paper", "what"), SOME)
def test_no_letter_stands_on_another(kind, paper, what):
    """Ink against ink, by the height of a digit."""
    for page in pages_of(kind, paper, **what):
        ink = ink_of(page)
        for at, one in enumerate(ink):
            for other in ink[at + 1 :]:
                if other[2] >= one[3] - 0.6:
                    break
                # Letters of one line may reach under one another.
                kern = 0.8 if other[2] > one[2] + 0.1 else 0.32 * (one[3] - one[2])
                assert other[0] >= one[1] - kern or other[1] <= one[0] + kern, (page.number, one, other)


@pytest.mark.parametrize(("kind", "paper", "what"), SOME)
def test_nothing_is_set_too_small_to_read(kind, paper, what):
    """Seven points for words; raised and lowered digits of a fraction, and marks in rings, belong to a larger size. A
    drawing's lettering keeps six. Upright lettering, of which the reader tells no size, is as large as its fellows."""
    for page in pages_of(kind, paper, **what):
        for char in seen(page):
            if char["text"].isalpha() and not char["matrix"][1]:
                drawn = abs(char["matrix"][0] - 1.0) > 0.01 and abs(char["matrix"][0] - 0.75) > 0.01
                assert char["size"] >= (6.0 if drawn else LEAST_PT) - 0.06, char


WHEEL = [one for one in SOME if one[0] == "wheel"]


@pytest.mark.parametrize(("kind", "paper", "what"), WHEEL)
def test_what_is_set_is_read_from_where_it_hangs_and_nothing_is_lost(kind, paper, what):
    _project, sheets = studio(what.get("units", "metric first"), what.get("parts", 0))
    sheet = sheets["long" if what.get("parts") else what.get("form", "tea-caddy")]
    found = names = ""
    for page in pages_of(kind, paper, **what):
        foot = max(line["top"] for line in page.lines + page.rects if line["width"] > page.width / 2)
        for char in page.chars:
            high_mm = char["size"] * CAP / MM
            if high_mm >= LEAST_DIGIT_MM and char["text"].isdigit():
                found += char["text"]
                assert char["matrix"][5] > page.height - foot
            if high_mm >= LEAST_NAME_MM:
                names += char["text"]
    wanted = "".join(end.amounts[0].number for one in settings_of(sheet) for end in one.ends)
    plain = wanted.translate(str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789"))
    for vulgar, digits in {"½": "12", "¼": "14", "¾": "34", "⅛": "18", "⅜": "38", "⅝": "58", "⅞": "78"}.items():
        plain = plain.replace(vulgar, digits)
    assert sorted(found) == sorted(sign for sign in plain if sign.isdigit())
    for one in settings_of(sheet):
        with speaking(what.get("language", "en")):
            place = "".join((one.place if one.kind not in ("ball", "floor") else _(one.kind)).split())
        assert place[1:] in names.replace(" ", ""), place


@pytest.mark.parametrize(("kind", "paper", "what"), [one for one in SOME if one[0] == "trimming"])
def test_what_is_turned_to_is_read_at_arms_length(kind, paper, what):
    """20 minutes of arc at 0.75 m: 750 mm × tan(20') = 4.4 mm. Source: NUREG-0700 rev. 2 (read)."""
    _project, sheets = studio(what.get("units", "metric first"), what.get("parts", 0))
    sheet = sheets["long" if what.get("parts") else what.get("form", "tea-caddy")]
    found = "".join(
        char["text"]
        for page in pages_of(kind, paper, **what)
        for char in page.chars
        if char["text"].isdigit() and char["size"] * CAP / MM >= 4.4
    )
    for rows in trim_settings_of(sheet).values():
        for one in rows:
            assert "".join(sign for sign in one.ends[0].amounts[0].number if sign.isascii() and sign.isdigit()) in found


@pytest.mark.parametrize("paper", ["A5", "A6"])
def test_words_that_the_papers_edge_cuts_or_that_are_too_small_are_no_card(paper):
    """A name that no line breaks, and words of six points: neither becomes a PDF, and the message names card and words."""
    sheet = studio()[1]["tall-beaker"]
    text = KINDS["wheel"].render(sheet, paper=paper, made=MADE, site_url="https://pots.example/")
    engine.render_pdf(text)
    name = "W" * 60
    for html, said in (
        (
            f'<p style="white-space: nowrap; font-size: 12mm">{name}</p>',
            f"Tall beaker, wheel card: `{name}` is cut off",
        ),
        ('<p style="font-size: 6pt; position: absolute; top: 0">Far too small</p>', "`Far too small` is set in 6.0 pt"),
    ):
        hostile = dataclasses.replace(text, html=text.html.replace("</body>", f"{html}</body>"))
        with pytest.raises(engine.CardUnreadable) as fault:
            engine.render_pdf(hostile)
        assert said in str(fault.value) and machine_fault(fault.value) == str(fault.value)


def test_an_address_of_two_hundred_letters_in_the_notes_goes_on_in_the_next_line():
    text = KINDS["bench"].render(studio()[1]["tall-beaker"], paper="A4", made=MADE, site_url="")
    address = "https://pots.example/" + "W" * 180
    assert engine.render_pdf(dataclasses.replace(text, html=text.html.replace("</body>", f"<p>{address}</p></body>")))


@pytest.mark.parametrize("form", ["tea-caddy", "pitcher", "footed-bowl", "supper-plate", "tall-beaker"])
def test_a_bench_sheet_of_an_ordinary_form_has_two_pages_each_of_which_says_what_it_is(form):
    pages = pages_of("bench", "A4", form)
    assert len(pages) <= 2
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in page.text


def test_the_studio_sheet_is_one_sheet_of_paper():
    for paper in KINDS["studio"].papers:
        assert len(pages_of("studio", paper)) <= 2


def test_no_layout_is_tagged_as_a_table():
    import io

    import pypdf

    _, sheets = studio()
    for kind in ("wheel", "trimming", "bench"):
        text = KINDS[kind].render(
            sheets["tall-beaker"], paper=KINDS[kind].papers[0], made=MADE, site_url="https://pots.example/"
        )
        kinds, said = printed.structure_of(pypdf.PdfReader(io.BytesIO(engine.render_pdf(text))))
        assert kinds.count("/H1") == 1 and {"/P", "/Figure"} <= set(kinds)
        assert ("/Table" in kinds) == (kind == "bench") and ("/TH" in kinds) == (kind == "bench")
        assert any(words.startswith("Tall beaker, ") for words in said) and any("QR code" in words for words in said)
