"""What others get holds nothing of the studio's own: a mark in every private field and figure, looked for in every byte.

The studio is made from the records' own definitions, so that a key which is new tomorrow is marked without being
named here, and stays private until it is listed as told to shops.
"""

import csv
import gzip
import io
import json
import re
from html.parser import HTMLParser

import pypdf
import pytest
from click.testing import CliRunner
from pypdf.generic import ContentStream, StreamObject
from wareboard import TEMPLATES
from wareboard.cards import engine
from wareboard.cli import command
from wareboard.figures.figure import number
from wareboard.output import working
from wareboard.output.unchanged import STOCKIST
from wareboard.pot import stages
from wareboard.text import order_specs, part_specs, projects, records, specs, studio_specs
from wareboard.text.compounds import Either, ListOf, MapOf
from wareboard.text.kinds import Choice, Day, Flag, Name, Notes, Prose, Whole
from wareboard.text.phrases import ShareOr, SizeOr
from wareboard.text.records import Nested, keys_of
from wareboard.text.sizekinds import Measure
from wareboard.text.weighings import Coat, PintWeight, PricePer, Weighed

THEME = TEMPLATES / "theme"
# All that shops may know, by record and key; whatever is not here is private.
TOLD = {
    "Studio": {"title", "language", "stockists", "units", "fluid_ounce", "paper"}, "Trade": {"currency", "terms", "lead_time", "material"},
    "Form": {"title", "stockist"}, "Stockist": {"sku", "price", "currency", "care", "contains", "description", "packed", "lead_time", "case", "minimum", "material"},
    "Packed": {"length", "width", "height", "weight"},
}  # fmt: skip
TOLD_FIGURES = ("height", "diameter", "across", "capacity.fill", "capacity.brim")
UNITS = {
    "length": "mm",
    "mass": "g",
    "volume": "ml",
    "share": "%",
    "density": "g/cm3",
    "areal": "kg/m2",
    "time": "h",
    "temperature": "C",
    "number": "",
    "price": "",
}


class Marks:
    """Fills specs with marks: words that occur nowhere else, and numbers of many digits."""

    def __init__(self):
        self.count = 0
        self.private, self.public, self.numbers, self.met = [], [], [], set()

    def word(self, told=False):
        self.count += 1
        word = f"Zq{self.count:03d}x"
        (self.public if told else self.private).append(word)
        return word

    def number(self, low, high, told=False):
        """A number between two, with digits that no other has."""
        self.count += 1
        share = (self.count * 0.61803398875) % 1.0
        text = f"{low + (high - low) * (0.05 + 0.9 * share):.6g}"
        if not told:
            self.numbers.append(text)
        return text

    def filled(self, record, given=(), leave=(), private=False):
        """Every key of a record: what is given, and a mark of the key's own kind for all others."""
        given, made = dict(given), {}
        for name, key in keys_of(record).items():
            if name in leave:
                continue
            told = name in TOLD.get(record.__name__, ()) and not private
            self.met.add((record, name))
            made[name] = given.pop(name) if name in given else self.marked(key.kind, told, private)
        assert not given, f"{record.__name__} has no {list(given)}"
        return made

    def marked(self, kind, told, private):
        match kind:
            case Name() | Prose() | Notes():
                return self.word(told)
            case Choice():
                return kind.words[0]
            case Flag():
                return "true"
            case Day():
                self.private.append(f"1987-03-{self.count % 20 + 10}")
                return self.private[-1]
            case Whole():
                return self.number_of_things(kind)
            case Measure():
                high = {"share": 0.08, "density": 2.4, "areal": 1.9, "number": 1.05, "length": 9.0, "mass": 900.0}.get(
                    kind.of, 900.0
                )
                high = min(high, kind.most)
                low = max(kind.least, high * (0.55 if kind.of in ("density", "number") else 0.2))
                scale = 100.0 if kind.of == "share" else 1.0
                return f"{self.number(low * scale, min(kind.most, high) * scale, told)} {UNITS[kind.of]}".strip()
            case SizeOr():
                return self.marked(kind.size, told, private)
            case ShareOr():
                return f"{self.number(1, 9, told)} %"
            case PintWeight():
                return self.marked(kind.density, told, private)
            case Coat():
                self.met |= {
                    (Weighed, name) for name in keys_of(Weighed)
                }  # what is weighed is read as what it comes to
                return self.marked(kind.areal, told, private)
            case PricePer():
                return f"{self.number(1, 9, told)} /kg"
            case Nested():
                return self.filled(kind.record, private=private)
            case Either():
                return self.marked(kind.nested, told, private)
            case ListOf():
                return [self.marked(kind.item, told, private)]
            case MapOf():
                return {self.word(): self.marked(kind.item, told, private)}
        raise AssertionError(f"nobody knows how to mark {kind}")

    def number_of_things(self, kind):
        text = str(min(kind.most, 80_000 + 137 * self.count))
        if kind.most >= 80_000:  # a round limit stands in many a text
            self.numbers.append(text)
        return text


def station(marks, height, diameter):
    return marks.filled(part_specs.Station, {"height": height, "diameter": diameter, "corner": "true"})


def form_of(marks, title, clay, glaze, private, other=None):
    """A jar and its lid with every key in it."""
    foot, bevel, rim, tip, top, centre, edge = (marks.word() for _ in range(7))
    mouth, flange, ring = (marks.word() for _ in range(3))
    jar_name, lid_name = ("body", "cover")
    throwing = lambda name: marks.filled(
        part_specs.Throwing,
        {
            "left_on": marks.filled(
                part_specs.LeftOn, {"wall": f"{marks.number(1, 2)} mm", "floor": f"{marks.number(2, 4)} mm"}
            ),
            "gauge_at": [name],
            "loss": f"{marks.number(3, 8)} %",
            "ball": f"{marks.number(700, 900)} g",
        },
    )
    jar = marks.filled(part_specs.Part, {
        "opens": "up", "line": "straight", "wall": f"{marks.number(4, 4.6)} mm", "floor": f"{marks.number(5, 6)} mm", "fill_to": bevel, "bare": f"{foot} to {edge}",
        "outside": {foot: station(marks, "0", "82"), edge: station(marks, marks.number(3, 4), marks.number(84, 86)), bevel: station(marks, marks.number(90, 96), marks.number(97, 99)), rim: station(marks, "131", "103")},
        "underside": {centre: station(marks, marks.number(1, 2), "0"), marks.word(): station(marks, "0", marks.number(60, 66))},
        "calipers": {mouth: f"inside {rim}", ring: f"outside {bevel}"}, "throwing": throwing(rim), "holds": f"{marks.number(500, 700)} ml",
    }, leave=("inside", "foot", "gallery"))  # fmt: skip
    inside_rim, inside_top = marks.word(), marks.word()
    lid = marks.filled(part_specs.Part, {
        "opens": "down", "line": "smooth", "outside": {tip: station(marks, "0", flange), marks.word(): station(marks, marks.number(9, 10), flange), top: station(marks, "27", marks.number(21, 24))},
        "inside": {inside_rim: station(marks, "0", marks.number(80, 82)), inside_top: station(marks, marks.number(11, 13), marks.number(12, 14))},
        "calipers": {flange: "fit"}, "bare": "inside", "throwing": throwing(tip), "fill_to": inside_rim,
    }, leave=("wall", "floor", "underside", "holds", "foot", "gallery"))  # fmt: skip
    aim = marks.filled(
        specs.Clearance,
        {"aim": marks.number(1.5, 1.9), "least": marks.number(0.5, 0.9), "most": marks.number(2.4, 3.2)},
    )
    opening = f"{other}/{jar_name}.{mouth}" if other else f"{jar_name}.{mouth}"
    fit = marks.filled(
        specs.Fit,
        {"inside": opening, "outside": f"{lid_name}.{flange}", "clearance": aim, "left_on": f"{marks.number(1, 2)} mm"},
    )
    steps = {stage: [f"{marks.word()} {{{jar_name}.{rim}.diameter wet}}"] for stage in stages.STAGES}
    given = {
        "title": title,
        "clay": clay,
        "glaze": glaze,
        "sizes": "fired",
        "unit": "mm",
        "parts": {jar_name: jar, lid_name: lid},
        "fits": {marks.word(): fit},
        "steps": steps,
        "spreads": marks.filled(studio_specs.Spreads, small_spreads(marks)),
    }
    # A form that is another one resized says little of its own; what it says is what that form says.
    # So do a foot and a gallery in a line of their own, which stand for outlines that are here.
    marks.met |= {(part_specs.Part, name) for name in ("foot", "gallery")}
    marks.met |= {
        (record, name)
        for key in ("foot", "gallery")
        for record in keys_of(part_specs.Part)[key].kind.records()
        for name in keys_of(record)
    }
    marks.met |= {
        (specs.Form, "like"),
        (specs.Form, "resized"),
        *((specs.Resized, name) for name in keys_of(specs.Resized)),
    }
    return marks.filled(specs.Form, given, leave=("like", "resized", *(("stockist",) if private else ())))


def small_spreads(marks):
    return {
        "calipers": f"{marks.number(0.2, 0.4)} mm",
        "trimming": f"{marks.number(0.2, 0.4)} mm",
        "out_of_round": f"{marks.number(0.2, 0.4)} mm",
        "shrinkage": f"{marks.number(0.1, 0.2)} %",
    }


def order_of(marks, first, second, glaze, kiln):
    """An order for both forms with every key in it, its tally too."""
    counts = {
        stage: {"body": count, "cover": count}
        for stage, count in (("thrown", "9"), ("trimmed", "8"), ("dried", "8"), ("bisque", "7"), ("fired", "7"))
    }
    line = lambda form: marks.filled(order_specs.Line, {"form": form, "sets": "6", "glaze": glaze, "from_stock": "0"})
    made = marks.filled(order_specs.Made, {"form": first, "seconds": "1", **counts})
    return {"kiln": kiln, "confidence": "90.137 %", "lines": [line(first), line(second)], "made": [made]}


def stock_of_clay(marks, clay):
    """Clay at hand, by its water and by two weighings."""
    weight = lambda: f"{marks.number(20, 40)} kg"
    lump = marks.filled(order_specs.Lump, {"wet": f"{marks.number(400, 450)} g", "dry": f"{marks.number(300, 350)} g"})
    return [
        marks.filled(
            order_specs.ClayStock, {"clay": clay, "weight": weight(), "water": "18.137 %"}, leave=("weighed",)
        ),
        marks.filled(order_specs.ClayStock, {"clay": clay, "weight": weight(), "weighed": lump}, leave=("water",)),
    ]


def marked_studio(folder):
    """A studio with a mark everywhere, written into a folder."""
    marks = Marks()
    clay, glaze, kiln, first, second, run = (f"{marks.word().lower()}-slug" for _ in range(6))
    shrinkage = {
        "leather-hard": f"{marks.number(2.5, 3.5)} %",
        "dry": f"{marks.number(6, 6.9)} %",
        "bisque": f"{marks.number(7, 7.2)} %",
        "fired": f"{marks.number(12, 13)} %",
    }
    bars = [
        marks.filled(
            studio_specs.Bar,
            {
                "lot": marks.word(),
                "wet": "100",
                "leather-hard": marks.number(97, 97.4),
                "dry": marks.number(93.6, 93.9),
                "bisque": marks.number(93.2, 93.5),
                "fired": marks.number(87.5, 88.1),
            },
        )
        for _ in range(3)
    ]
    texts = {
        "studio.yaml": marks.filled(studio_specs.Studio, {"language": "en", "units": "metric first", "fluid_ounce": "imp", "paper": "A4", "fonts": [], "spreads": marks.filled(studio_specs.Spreads, small_spreads(marks)), "fit_limit": "40 %", "least_wall": "1.0713 mm", "confidence": "91.137 %", "kiln": kiln, "stock": stock_of_clay(marks, clay)}),
        f"clays/{clay}.yaml": marks.filled(studio_specs.Clay, {
            "water": f"{marks.number(21, 22)} %", "grain_density": f"{marks.number(2.61, 2.64)} g/cm3", "density": f"{marks.number(1.9, 1.92)} g/cm3", "loss_on_ignition": f"{marks.number(5, 7)} %", "cone": "8",
            "height_factor": marks.number(1.02, 1.04), "bars": bars, "shrinkage": marks.filled(studio_specs.ShrinkageLine, shrinkage)}),
        f"glazes/{glaze}.yaml": marks.filled(studio_specs.Glaze, {"pint_weight": f"{marks.number(1.4, 1.5)} g/ml", "grain_density": f"{marks.number(2.5, 2.7)} g/cm3", "film": f"{marks.number(0.2, 0.4)} mm", "cone": "8"}),
        f"kilns/{kiln}.yaml": marks.filled(studio_specs.Kiln, {"shelves": marks.filled(studio_specs.Shelves, {"tiers": "7"})}),
        f"forms/{first}.yaml": form_of(marks, marks.word(told=True), clay, glaze, False),
        f"forms/{second}.yaml": form_of(marks, marks.word(), clay, glaze, True),
    }  # fmt: skip
    # The second form's lid goes into the first form's opening.
    fit = next(iter(texts[f"forms/{second}.yaml"]["fits"].values()))
    fit["inside"] = f"{first}/body.{next(iter(texts[f'forms/{first}.yaml']['parts']['body']['calipers']))}"
    wet = f"body.{list(texts[f'forms/{first}.yaml']['parts']['body']['outside'])[3]}.diameter wet"
    texts[f"runs/{run}.yaml"] = marks.filled(
        specs.Run,
        {
            "form": first,
            "measured": [{wet: [marks.number(110, 120)]}],
            "balls": {"body": f"{marks.number(800, 900)} g"},
        },
    )
    order = f"{marks.word().lower()}-slug"
    texts[f"orders/{order}.yaml"] = marks.filled(
        order_specs.Order, order_of(marks, first, second, glaze, kiln), leave=("sent",)
    )
    texts["orders/sent.yaml"] = {"title": marks.word(), "lines": [{"form": first, "sets": "1"}], "sent": "1987-04-01"}
    marks.met.add((order_specs.Order, "sent"))
    for path, text in texts.items():
        place = folder / "specs" / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(json.dumps(text, ensure_ascii=False), encoding="utf-8")
    (folder / "mkdocs.yml").write_text(
        f"site_name: {marks.word()}\nsite_url: https://{marks.word().lower()}.example/\nsite_description: {marks.word()}\nsite_author: {marks.word()}\ncopyright: {marks.word()}\n"
        f"docs_dir: specs\nextra: {{x: {marks.word()}}}\ntheme: {{name: wareboard}}\nplugins: [search, wareboard]\n", encoding="utf-8",
    )  # fmt: skip
    return marks


# ---- what is searched ----


class Shown(HTMLParser):
    """The words of a page: what is seen, and what stands in attributes but for the shapes of drawings."""

    def __init__(self, text):
        super().__init__()
        self.said, self.hidden = [], 0
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.hidden += tag in ("style", "script")
        if ("name", "viewport") in attrs:
            return
        self.said += [
            value or "" for name, value in attrs if name in ("alt", "title", "aria-label", "content", "placeholder")
        ]

    def handle_endtag(self, tag):
        self.hidden -= tag in ("style", "script")

    def handle_data(self, data):
        if not self.hidden:
            self.said.append(data)


def pdf_parts(content):
    """Every string, name and decompressed stream of a PDF, and the words of its pages, metadata and bookmarks."""
    reader = pypdf.PdfReader(io.BytesIO(content))
    for number_ in reader.xref.get(0, {}):
        yield from object_parts(reader.get_object(number_))
    for number_ in reader.xref_objStm:
        yield from object_parts(reader.get_object(number_))
    yield "\n".join(page.extract_text() for page in reader.pages)
    yield " ".join(map(str, (reader.metadata or {}).values()))
    yield " ".join(map(str, reader.outline))


def object_parts(found):
    if isinstance(found, StreamObject):
        try:
            yield (found if isinstance(found, ContentStream) else found).get_data().decode("latin-1")
        except Exception:  # a stream that is no text is in the file's own bytes
            pass
    yield repr(found)


def file_parts(path, content):
    """A file's bytes as text, and what is packed inside it."""
    if path.endswith(".gz"):
        content = gzip.decompress(content)
    yield content.decode("utf-8", "replace")
    yield content.decode("latin-1")
    if path.endswith(".pdf"):
        yield from pdf_parts(content)


def ours(site):
    """Every file of an output that is not simply our look, by path."""
    for path in sorted(site.rglob("*")):
        if path.is_file():
            name, content = path.relative_to(site).as_posix(), path.read_bytes()
            look = THEME / name
            if not (look.is_file() and look.read_bytes() == content):
                yield name, content


def leaks(site, words, numbers=()):
    """Where a word stands in any file or its name, or a number with its digits whole."""
    found = []
    pattern = re.compile(r"(?<![\d.])(?:" + "|".join(map(re.escape, numbers)) + r")(?![\d])") if numbers else None
    for name, content in ours(site):
        for text in (name, *file_parts(name, content)):
            folded = text.casefold()
            found += [(name, word) for word in words if word.casefold() in folded]
            if pattern:
                found += [(name, hit) for hit in pattern.findall(text)]
    return sorted(set(found))


def digits(text):
    return re.findall(r"\d+(?:[.,]\d+)*", text)


def long_numbers(values):
    """Private values as a formula, a table or JSON would write them; only those with digits enough to be nobody else's."""
    for value in values:
        for text in (repr(value), f"{value:.4f}", f"{value:.3f}", number(value)):
            if len(text.replace(".", "").strip("0-")) >= 5:
                yield text.lstrip("-")


# ---- the output for a shop ----


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """The marked studio with what was made of it for a shop: marks, the folder worked out, the output."""
    try:
        engine.check_engine()
    except engine.CardsUnavailable as fault:
        pytest.skip(str(fault))
    folder = tmp_path_factory.mktemp("marked")
    marks = marked_studio(folder)
    worked = working.work_out(folder)
    assert not worked.refused, [problem.message for problem in worked.problems if problem.level == "error"]
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--for", STOCKIST])
    assert done.exit_code == 0, done.output
    assert not (folder / "site").exists()
    return marks, worked, folder / "site-stockist"


def test_every_key_of_every_record_is_marked(shop):
    every = {
        (record, name)
        for kind in projects.KINDS.values()
        for record in records.reached_records(kind)
        for name in keys_of(record)
    }
    assert shop[0].met == every
    assert len(every) > 100
    assert len(shop[0].private) > 70 and len(shop[0].numbers) > 90


def test_what_is_told_is_in_it(shop):
    marks, worked, site = shop
    assert len(marks.public) >= 9
    names = {name for name, _ in leaks(site, marks.public)}
    for name in ("index.html", "stock.csv", "search/search_index.json", "cards/stock-list.pdf"):
        assert name in names, name
    # The form names a currency, a time and a material of its own, so the studio's are not said.
    trade = worked.project.studio.stockists
    assert {word for _, word in leaks(site, marks.public)} == set(marks.public) - {
        trade.currency,
        trade.lead_time,
        trade.material,
    }
    # "stock list" and one stock sheet: the second form is not for shops.
    assert len(list((site / "cards").iterdir())) == 2
    assert sorted(path.suffix for path in (site / "forms").iterdir()) == [".html", ".png", ".svg"]


def test_no_private_word_is_in_any_file(shop):
    marks, worked, site = shop
    assert leaks(site, [*marks.private, "specs/", "leather", ".yaml", site.parent.as_posix(), site.parent.name]) == []


def test_no_private_number_is_in_any_file(shop):
    marks, worked, site = shop
    told = {f"{name}.{end}" for name in ("body", "cover") for end in TOLD_FIGURES}
    private = [
        figure.value
        for sheet in worked.sheets.values()
        for figure in sheet.figures
        if figure.stage != "fired" or figure.key not in told
    ]
    assert len(private) > 200
    assert (
        leaks(
            site,
            (),
            sorted({*(text for text in marks.numbers if len(text.replace(".", "")) >= 4), *long_numbers(private)}),
        )
        == []
    )


def test_every_number_that_is_shown_is_one_that_a_shop_is_told(shop):
    marks, worked, site = shop
    sheet = next(sheet for sheet in worked.sheets.values() if sheet.form.stockist)
    told = {
        **{
            f"{name}.{end}": sheet.value(f"{name}.{end}", "fired")
            for name in ("body", "cover")
            for end in TOLD_FIGURES
            if sheet.find(f"{name}.{end}", "fired")
        }
    }
    told["weight"] = sum(sheet.value(f"{name}.mass.glazed", "fired") for name in ("body", "cover"))
    typed = sheet.form.stockist
    box = [typed.packed.length.value, typed.packed.width.value, typed.packed.height.value]
    # In inches and ounces everything is worked out again from the same; a height with the lid on lies between the two heights.
    whole = {str(round(value)) for value in (*told.values(), *box, typed.packed.weight.value)} | {
        str(5 * round(value / 5)) for value in (*told.values(), typed.packed.weight.value)
    }
    tenths = {f"{round(value, 1):g}" for value in (*told.values(), *box, typed.packed.weight.value)}
    together = range(round(told["body.height"]), round(told["body.height"] + told["cover.height"]) + 1)
    said = "\n".join(text for name, content in ours(site) for text in shown_words(name, content))
    for word in marks.public:
        said = said.replace(word, " ").replace(word.lower(), " ")
    said = re.sub(r"[\d⁰¹²³⁴-⁹₀-₉⁄½¼¾⅛⅜⅝⅞ ]+(?: × [\d⁰¹²³⁴-⁹₀-₉⁄½¼¾⅛⅜⅝⅞ ]+)* (?:in|oz|lb|fl oz imp)\b", " ", said)
    revision = re.findall(r"[Rr]evision ([0-9a-f]{6})", said)
    assert revision
    said = re.sub(rf"\b(?:{'|'.join(set(revision))})\b|\d+ / \d+|made \d+ \w+ \d{{4}}|\b\d+ \w+ 20\d\d\b", " ", said)
    allowed = whole | tenths | {typed.price.typed, str(typed.case), str(typed.minimum)} | set(map(str, together))
    strange = {
        text
        for text in digits(said)
        if text not in allowed and not any(text == f"{height}.{tenth}" for height in together for tenth in range(10))
    }
    assert strange == set()


def shown_words(name, content):
    """The words of a file that somebody reads."""
    if name.endswith(".html"):
        yield " ".join(Shown(content.decode()).said)
        for block in re.findall(r'<script type="application/ld\+json">(.*?)</script>', content.decode(), re.DOTALL):
            block = block.replace('"C62"', "")  # the code of a count
            yield " ".join(re.findall(r'(?<=: )"[^"]*"|(?<=: )[\d.]+', block))
    elif name.endswith(".svg"):
        yield " ".join(re.findall(r">([^<]+)<", content.decode()))
    elif name.endswith(".pdf"):
        yield "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)
    elif name.endswith(".csv"):
        yield "\n".join(" ".join(row) for row in csv.reader(io.StringIO(content.decode())))
    elif name.endswith("search_index.json"):
        yield " ".join(f"{entry['title']} {entry['text']}" for entry in json.loads(content)["docs"])


def test_no_page_leads_to_anything_that_is_not_there(shop):
    site = shop[2]
    for path in site.rglob("*.html"):
        for address in re.findall(r'(?:href|src)="([^"#?]+)', path.read_text(encoding="utf-8")):
            if path.name != "404.html":
                assert (path.parent / address).is_file(), f"{path.name}: {address}"


# ---- the search itself ----


def planted(folder, name, content):
    place = folder / name
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(content)


@pytest.mark.parametrize("way", ("page", "attribute", "gzip", "name", "pdf text", "pdf title", "pdf keywords", "csv"))
def test_the_search_finds_what_is_let_through(tmp_path, way):
    secret = "Zq999x"
    if way.startswith("pdf"):
        said = {
            "pdf text": f"<p>{secret}</p>",
            "pdf title": f"<title>{secret}</title>",
            "pdf keywords": f"<meta name=keywords content={secret}>",
        }[way]
        try:
            content = engine.render_pdf(
                engine.CardText("a", "a", f"<html lang=en><head>{said}</head><body>{said}</body></html>", "")
            )
        except engine.CardsUnavailable as fault:
            pytest.skip(str(fault))
        planted(tmp_path, "a.pdf", content)
    else:
        name, content = {
            "page": ("a.html", f"<p>{secret}</p>"), "attribute": ("a.html", f"<svg><path class='{secret.lower()}'/></svg>"), "gzip": ("a.xml.gz", secret),
            "name": (f"{secret}.html", ""), "csv": ("a.csv", f"1,{secret}"),
        }[way]  # fmt: skip
        planted(tmp_path, name, gzip.compress(content.encode()) if way == "gzip" else content.encode())
    assert [word for _, word in leaks(tmp_path, [secret])] == [secret]


def test_numbers_are_found_whole(tmp_path):
    planted(tmp_path, "a.html", b"<p>90.935 mm, 190.935, 90.9351</p>")
    assert leaks(tmp_path, (), ["90.935"]) == [("a.html", "90.935")]
    assert leaks(tmp_path, (), ["90.93", "0.935"]) == []


# ---- the output for an assistant ----


@pytest.fixture(scope="module")
def helper(tmp_path_factory):
    folder = tmp_path_factory.mktemp("helped")
    marks = marked_studio(folder)
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards", "--for", "assistant"])
    assert done.exit_code == 0, done.output
    return marks, working.work_out(folder), folder / "site-assistant"


def test_an_assistant_gets_what_makes_the_ware_and_no_price(helper):
    marks, worked, site = helper
    sheet = next(sheet for sheet in worked.sheets.values() if sheet.form.stockist)
    told = sheet.form.stockist
    secret = [
        told.sku,
        told.price.typed,
        told.currency,
        told.care,
        told.contains,
        told.description,
        sheet.studio.stockists.currency,
        sheet.studio.stockists.terms,
    ]
    assert leaks(site, [str(word) for word in secret if not str(word).isdigit()], [told.price.typed]) == []
    assert leaks(site, ["stockist", "sku", "34.00", "currency", "no-price"]) == []
    assert not (site / "stock.html").exists() and not (site / "stock.csv").exists()
    page = (site / "forms" / f"{sheet.slug}.html").read_text(encoding="utf-8")
    assert sheet.clay.title in page and sheet.revision in page
    assert (
        json.loads((site / "forms" / f"{sheet.slug}.json").read_text(encoding="utf-8"))["figures"]
        == json.loads(json.dumps(sheet.as_json()))["figures"]
    )


def test_an_assistant_gets_the_run_without_for_whom_it_is_or_what_it_costs(helper):
    marks, worked, site = helper
    order = next(order for order in worked.project.orders.values() if order.sent is None)
    costs = worked.project.studio.costs
    private = [
        order.slug, order.title, order.customer, order.notes, *(done.title for done in worked.project.orders.values() if done.sent),
        costs.clay.typed, costs.glaze.typed, costs.firing.bisque.typed, costs.firing.glaze.typed, costs.hour.typed,
    ]  # fmt: skip
    assert leaks(site, [str(word) for word in private]) == []
    assert leaks(site, ["a good set", "orders/sent", "Left out: rent"]) == []
    page = (site / "orders" / "run-1.html").read_text(encoding="utf-8")
    plan = json.loads((site / "orders" / "run-1.json").read_text(encoding="utf-8"))
    assert "Run 1" in page and plan["cost"] is None and plan["orders"] == ["run-1"]
    own = CliRunner().invoke(command, ["-C", str(site.parent), "plan", order.slug, "--json"])
    assert json.loads(own.output)["lines"] == plan["lines"]
    assert json.loads(own.output)["cost"]["total"] > 0


def test_an_assistants_run_sheet_says_for_nobody(helper, tmp_path):
    from wareboard.cards.audience import making_project
    from wareboard.cards.runsheet import render_run
    from wareboard.figures import checks
    from wareboard.pages.orderpages import plan_of

    marks, worked, _ = helper
    project = making_project(worked.project)
    sheets = checks.check_project(project)[0]
    (run,) = project.orders.values()
    card = render_run(plan_of(run, project, sheets), project, sheets)
    order = next(order for order in worked.project.orders.values() if order.sent is None)
    assert card.name == "run-1-run" and card.title == "Run 1, run sheet"
    for word in (order.slug, order.title, order.customer, order.notes, worked.project.studio.costs.hour.typed):
        assert str(word).casefold() not in card.html.casefold()
