"""Every key of every spec counts: changing it changes the revision of what is made by it, and something that is read.

Made from the declarations: a key that is added must stand in the studio below, and is then tried.
"""

import dataclasses
import datetime
import itertools
from contextlib import ExitStack, contextmanager
from functools import cache
from unittest import mock

from wareboard.cards import bench, gauges, shrinkrule, trimming, wheel
from wareboard.figures import checks, sheet
from wareboard.figures.coats import weigh_coats
from wareboard.pages import formpage, sitepages, studiopages
from wareboard.text import compounds, part_specs, phrases, records, specs, studio_specs, weighings
from wareboard.text.kinds import Choice, Prose, Size, Slug, Word
from wareboard.text.projects import read_project, revision

from tests.every import every

TEXTS = {
    "specs/studio.yaml": """\
title: Yard
units: metric first
fluid_ounce: imp
steps: {scale: 5 g, ruler: 0.5 mm, inch: 1/32 in}
paper: Letter
bat: 12 mm
boards: {length: 1200 mm, width: 200 mm, gap: 20 mm}
spreads:
  {calipers: 0.3 mm, trimming: 0.25 mm, out_of_round: 0.4 mm, shrinkage: 0.15 %, drying: 0.05 %, firing: 0.1 %, weight: 1.5 %}
losses: {throwing: 2 %, trimming: 4 %, drying: 2 %, bisque: 2 %, glaze: 3 %}
least_wall: 6 mm
fit_limit: 1 %
language: en
fonts: [house.ttf]
tolerances: {height: 2 %, diameter: 1.5 %, wall: 10 %, weight: 4 %, capacity: 5 %}
gauges: {mouth: 77 mm fired}
""",
    "specs/clays/buff.yaml": """\
title: Buff
cone: 8
water: 21.5 %
grain_density: 2.6 g/cm3
density: 1.93 g/cm3
loss_on_ignition: 7 %
absorption: 2 %
height_factor: 1.03
shrinkage: {leather-hard: 3 %, dry: 6 %, bisque: 6 %, fired: 12 %}
lots: [{lot: 26-07, from: 2026-06-20}]
notes: Soft.
""",
    "specs/clays/barred.yaml": """\
title: Barred
water: 21.5 %
shrinkage: {leather-hard: 3 %, dry: 6 %, bisque: 6 %, fired: 12 %}
bars: [{lot: 26-03, wet: 100, leather-hard: 97.1, dry: 94.0, bisque: 93.9, fired: 88.2}]
""",
    "specs/clays/noted.yaml": """\
title: Noted
water: 21.5 %
shrinkage: {dry: 6 %, fired: 12 %}
bars: [{lot: 26-07, wet: 100, fired: 88.2, kiln: front, place: top, clay water: 21 %}]
""",
    "specs/glazes/satin.yaml": """\
title: Satin
cone: 8
pint_weight: 1.45 g/ml
grain_density: 2.6 g/cm3
coat: 0.9 kg/m2
film: 0.35 mm
loss_on_ignition: 8 %
food_contact: {tested: 2026-02-10, method: leach, result: pass}
notes: Thin.
""",
    "specs/glazes/other.yaml": "title: Other\n",
    "specs/kilns/front.yaml": """\
title: Front
shelves: {width: 500 mm, depth: 450 mm, tiers: 5}
inside_height: 700 mm
shelf_thickness: 15 mm
gap: 8 mm
headroom: 10 mm
notes: Even.
""",
    "specs/forms/pot.yaml": """\
title: Pot
code: P-1
family: pots
clay: buff
glaze: satin
sizes: fired
unit: mm
parts:
  jar:
    opens: up
    outside:
      foot: {height: 0, diameter: 80}
      bevel: {height: 3, diameter: 86, corner: true}
      belly: {height: 50, diameter: 94}
      rim: {height: 98, diameter: 88}
    line: smooth
    inside: {floor: {height: 7, diameter: 70}, lip: {height: 98, diameter: 80}}
    underside: {centre: {height: 2, diameter: 0}, ring: {height: 0, diameter: 70}}
    fill_to: 90
    holds: 400 ml
    weighs: 300 g
    bare: foot to bevel
    calipers: {mouth: inside lip, waist: outside bevel}
    throwing: {loss: 6 %, left_on: {wall: 1, floor: 3}, ball: 550 g, gauge_at: [bevel, rim]}
    extras:
      sprig: {clay: 45 g}
      handle: {strap: {length: 190, width: {top: 30, bottom: 22}, thickness: {top: 10, bottom: 7}, section: oval}, from: 80, to: 30, reach: 42}
    tolerances: {height: 2 %}
  lid:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, top: {height: 20, diameter: 60}}
    wall: {tip: 4, top: 5}
    floor: 5
    calipers: {flange: fit}
    throwing: {stub: 30}
fits:
  lid:
    inside: jar.mouth
    outside: lid.flange
    clearance: {aim: 1.4, least: 1.2, most: 2.6}
    glazed: none
    pairing: any
    left_on: 2
    seat: {least: 1.5}
    level: {most: 1}
    room: {least: 0.8}
spreads: {trimming: 0.25 mm}
tolerances: {weight: 4 %}
steps:
  wet: Throw {jar.ball.set wet}.
notes: A pot.
""",
    "specs/forms/trial.yaml": """title: Trial
clay: buff
parts:
  jar:
    outside: {foot: {height: 0, diameter: 80}, rim: {height: 90, diameter: 80}}
    wall: 4
    floor: 5
    calipers: {mouth: inside rim}
  lid:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, edge: {height: 6, diameter: flange}, brow: {height: 6, diameter: 80}, top: {height: 14, diameter: 80}}
    inside: {lip: {height: 0, diameter: 60}, middle: {height: 8, diameter: 0}}
    calipers: {flange: fit}
    throwing: {stub: 30}
fits:
  lid: {inside: jar.mouth, outside: lid.flange, clearance: {aim: 1.4, least: 0.5, most: 2.6}, pairing: own}
""",
    "specs/forms/mug.yaml": """\
title: Mug
clay: buff
glaze: dipped
glaze_film: 0.3 mm
parts:
  mug:
    outside: {foot: {height: 0, diameter: 80}, rim: {height: 98, diameter: 88}}
    wall: 5
    floor: 9
    foot: {ring: 80, width: 6, recess: 4}
    gallery: {depth: 12, width: 5}
    calipers: {mouth: gauge mouth}
""",
    "specs/glazes/dipped.yaml": "title: Dipped\ncoat: {bare: 212 g, glazed: 231 g, area: 84 cm2}\n",
    "specs/glazes/weighed.yaml": "title: Weighed\ncoat: {bare: 212 g, glazed: 231 g, of: mug}\n",
    "specs/forms/pint.yaml": "title: Pint\nlike: mug\nglaze: weighed\nresized: {capacity: 300 ml, keep: [wall]}\n",
    "specs/forms/large.yaml": "title: Large\nlike: mug\nresized: {ball: 900 g}\n",
    "specs/forms/high.yaml": "title: High\nlike: mug\nresized: {height: 110 mm}\n",
    "specs/forms/half.yaml": "title: Half\nlike: mug\nresized: {scale: 0.8}\n",
}
KINDS = {
    "studio": studio_specs.Studio,
    "clays": studio_specs.Clay,
    "glazes": studio_specs.Glaze,
    "kilns": studio_specs.Kiln,
    "forms": specs.Form,
}

# Keys of which no revision knows, and why.
NO_REVISION = {
    studio_specs.Kiln: "nothing is printed by a kiln",
    studio_specs.Shelves: "nothing is printed by a kiln",
}
# Keys that show elsewhere: in a plan, in the engine's fonts, or in every size at once as it is read (see below).
ELSEWHERE = {
    (studio_specs.Studio, "boards"),
    (studio_specs.Studio, "losses"),
    (studio_specs.Studio, "fonts"),
    (specs.Form, "unit"),
} | {(record, word) for record in (studio_specs.Boards, studio_specs.Losses) for word in records.keys_of(record)}


@cache
def project():
    found = read_project(TEXTS)
    assert not [problem for problem in found.problems if problem.level == "error"], found.problems
    return found


# ---- every key, changed ----


def changes(record, owner=None):
    """Each key in a record and below it: the record class, the maker's word, and the whole with only that changed."""
    for word, key in records.keys_of(type(record)).items():
        if key.trade or key.plan:
            continue
        value = getattr(record, key.field)
        if value is None or value == {} or value == ():
            continue
        for of, name, other in changed(value, key.kind):
            yield of or type(record), name or word, dataclasses.replace(record, **{key.field: other})


def changed(value, kind):
    """A value in other words; for what holds records, one for each key in them."""
    if dataclasses.is_dataclass(value) and any("key" in known.metadata for known in dataclasses.fields(value)):
        yield None, None, dataclasses.replace(value, **another_of(value))
        yield from changes(value)
    elif isinstance(value, dict):
        if isinstance(kind, compounds.Either):
            kind = kind.nested
        for name, inner in value.items():
            for of, word, other in changed(inner, kind.item):
                yield of, word, {**value, name: other}
    elif isinstance(value, tuple) and not isinstance(value, Size):
        for of, word, other in changed(value[0], getattr(kind, "item", None)):
            yield of, word, (other, *value[1:])
    else:
        yield None, None, another(value, kind)


def another_of(record):
    """One field of a record changed, for the key that holds the record."""
    for key in records.keys_of(type(record)).values():
        value = getattr(record, key.field)
        if isinstance(value, (Size, str, bool, int, phrases.PartSize)) or hasattr(value, "typed"):
            return {key.field: another(value, key.kind)}
        if dataclasses.is_dataclass(value):
            return {key.field: dataclasses.replace(value, **another_of(value))}
    raise AssertionError(record)


def another(value, kind):
    """A leaf that is not what it was."""
    if isinstance(kind, compounds.Either):
        kind = kind.text
    if isinstance(value, Size):
        return value._replace(value=value.value * 1.1 + 0.001, typed=f"{value.typed}7")
    if hasattr(value, "bare_g"):
        return dataclasses.replace(value, bare_g=value.bare_g + 1.0)
    if getattr(value, "share", None):
        return dataclasses.replace(value, share=value.share * 1.5, typed=f"{value.typed}7")
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    if isinstance(value, datetime.date):
        return value + datetime.timedelta(1)
    if isinstance(value, phrases.Caliper):
        if isinstance(value.level, Word):
            return dataclasses.replace(value, level=Size(71.0, None, None, "71", value.at))
        return dataclasses.replace(value, side="outside", level=Size(71.0, None, None, "71", value.at))
    if isinstance(value, phrases.Bare):
        return dataclasses.replace(value, what="outside", start="", end="")
    if isinstance(value, phrases.PartSize):
        return dataclasses.replace(value, part="jar", caliper="waist")
    assert isinstance(value, Word), value
    if isinstance(kind, Choice):
        other = next(word for word in kind.words if word != value)
    elif isinstance(kind, Slug):
        other = {"buff": "barred", "satin": "other", "mug": "half"}.get(value, "other")
    elif isinstance(kind, Prose) and value in ("foot", "bevel"):
        other = "rim"
    elif isinstance(kind, phrases.SizeOr):
        return Size(75.0, None, None, "75", value.at)
    else:
        other = f"{value} more"
    return Word(other, value.at)


@cache
def every_change():
    found = {}
    for folder in KINDS:
        for slug, spec in ({"": project().studio} if folder == "studio" else project().files(folder)).items():
            for record, word, other in changes(spec):
                found.setdefault((record, word), []).append((folder, slug, other))
    return found


def with_spec(folder, slug, spec):
    if folder == "studio":
        return dataclasses.replace(project(), studio=spec)
    return dataclasses.replace(project(), **{folder: {**project().files(folder), slug: spec}})


def declared():
    return {
        (record, word)
        for kind in KINDS.values()
        for record in _reached(kind)
        for word, key in records.keys_of(record).items()
        if not (key.trade or key.plan)
    }


def _reached(record):
    """The records that are reached by keys that make ware."""
    yield record
    for key in records.keys_of(record).values():
        if not (key.trade or key.plan):
            for inner in key.kind.records():
                yield from _reached(inner)


# Keys that are worked into others as a file is read: each changed in its text. The old words, the new ones, where.
IN_TEXT = {
    (studio_specs.Studio, "gauges"): ("mouth: 77", "mouth: 76", "studio"),
    (specs.Form, "like"): ("like: mug\nresized: {scale", "like: pot\nresized: {scale", "forms/half"), (specs.Form, "resized"): ("{scale: 0.8}", "{scale: 0.9}", "forms/half"),
    (specs.Form, "glaze_film"): ("glaze_film: 0.3", "glaze_film: 0.4", "forms/mug"), (part_specs.Part, "foot"): ("recess: 4", "recess: 3", "forms/mug"), (part_specs.Part, "gallery"): ("width: 5", "width: 6", "forms/mug"),
    (part_specs.FootRing, "ring"): ("ring: 80, width: 6", "width: 7", "forms/mug"), (part_specs.FootRing, "width"): ("width: 6", "width: 7", "forms/mug"), (part_specs.FootRing, "recess"): ("recess: 4", "recess: 3", "forms/mug"),
    (part_specs.Gallery, "depth"): ("depth: 12", "depth: 11", "forms/mug"), (part_specs.Gallery, "width"): ("width: 5", "width: 6", "forms/mug"),
    (specs.Resized, "ball"): ("900 g", "800 g", "forms/large"), (specs.Resized, "capacity"): ("300 ml", "310 ml", "forms/pint"), (specs.Resized, "height"): ("110 mm", "111 mm", "forms/high"),
    (specs.Resized, "keep"): ("[wall]", "[wall, floor]", "forms/pint"), (specs.Resized, "scale"): ("0.8", "0.9", "forms/half"),
    (weighings.Weighed, "bare"): ("bare: 212", "bare: 211", "glazes/dipped"), (weighings.Weighed, "glazed"): ("glazed: 231", "glazed: 230", "glazes/dipped"),
    (weighings.Weighed, "area"): ("area: 84", "area: 85", "glazes/dipped"), (weighings.Weighed, "of"): ("of: mug", "of: pot", "glazes/weighed"),
}  # fmt: skip


def sheets_of(where, old="", new=""):
    """Revision and figures of the forms that a text is read for, one that is like another or weighed on it included."""
    forms = {
        "studio": ("mug",), "forms/half": ("mug", "pot", "half"), "forms/mug": ("mug",), "glazes/dipped": ("mug",), "glazes/weighed": ("mug", "pot", "pint"),
    }.get(where, ("mug", where.partition("/")[2]))  # fmt: skip
    needed = [f"specs/forms/{name}.yaml" for name in forms] + ["specs/studio.yaml", "specs/clays/buff.yaml"]
    needed += [path for path in TEXTS if "/glazes/" in path and (not path.endswith("weighed.yaml") or "pint" in forms)]
    texts = {path: TEXTS[path] for path in needed}
    texts[f"specs/{where}.yaml"] = texts[f"specs/{where}.yaml"].replace(old, new)
    sheets, problems = checks.check_project(read_project(texts))
    assert not [problem for problem in problems if problem.level == "error"], problems
    return {slug: (sheet.revision, repr([figure[:5] for figure in sheet.figures])) for slug, sheet in sheets.items()}


@every("key", IN_TEXT)
def test_a_key_that_is_worked_into_others_is_a_new_revision_and_shows(key):
    old, new, where = IN_TEXT[key]
    assert old in TEXTS[f"specs/{where}.yaml"]
    now, then = sheets_now(where), sheets_of(where, old, new)
    assert now.keys() == then.keys()
    assert any(now[slug][0] != then[slug][0] and now[slug][1] != then[slug][1] for slug in now)


@cache
def sheets_now(where):
    return sheets_of(where)


def test_the_studio_here_has_every_key():
    assert declared() - every_change().keys() - IN_TEXT.keys() == set()


# ---- revisions ----


def revisions(found):
    """The revisions of all that is printed: of forms and of clays."""
    of_forms = [
        revision(form, found.clays[form.clay], found.glazes.get(str(form.glaze)), found.studio)
        for form in found.forms.values()
    ]  # fmt: skip
    return [*of_forms, *(revision(clay) for clay in found.clays.values())]


@cache
def revisions_now():
    return revisions(project())


@every("key", sorted(every_change(), key=str))
def test_a_changed_key_is_a_new_revision(key):
    found = [revisions(with_spec(*change)) != revisions_now() for change in every_change()[key]]
    assert not any(found) if key[0] in NO_REVISION else any(found)


def test_a_size_in_other_words_is_the_same_revision():
    texts = {**TEXTS, "specs/forms/pot.yaml": TEXTS["specs/forms/pot.yaml"].replace("height: 98,", "height: 9.8 cm,")}
    assert revisions(read_project(texts)) == revisions(project())


def test_a_forms_unit_is_in_every_bare_size():
    texts = {**TEXTS, "specs/forms/pot.yaml": TEXTS["specs/forms/pot.yaml"].replace("unit: mm", "unit: cm")}
    found = read_project(texts)
    assert revisions(found) != revisions(project())
    assert found.forms["pot"].parts["jar"].outside["rim"].height.value == 980.0


def test_a_sheets_revision_is_its_forms_and_all_that_it_leans_on():
    sheets, _ = checks.check_project(project())
    assert sheets["pot"].revision == revisions(project())[list(project().forms).index("pot")]


def test_revisions_are_the_same_on_every_machine():
    """Frozen: of typed text alone, so any Python on any processor says this; a new key with a default keeps it."""
    assert revision(project().clays["barred"]) == "127a37"


# ---- what is read ----


@contextmanager
def unmarked():
    """Every revision the same: a mark that changed moves the words beside it, which is not what is looked for here."""
    with ExitStack() as stack:
        for room in (sheet, shrinkrule, studiopages):
            stack.enter_context(mock.patch.object(room, "revision", lambda *_: "R"))
        yield


def outputs(found, folder):
    """All that is read of a studio, as it is asked for, without its revisions: what is cheapest and likeliest of a folder's specs first."""
    found = weigh_coats(found)
    sheets, problems = checks.check_project(found)
    yield repr(problems)
    for made in sheets.values():
        yield repr(made.as_json())
    if folder == "forms":
        for made in sheets.values():
            yield formpage.render_form(made, found).body
    for render in (sitepages.render_overviews, sitepages.render_site):
        for page in render(found, sheets):
            yield f"{page.path} {page.body}"
    day = datetime.date(2026, 3, 4)
    for made in sheets.values():
        for render in (wheel.render_wheel, trimming.render_trimming, bench.render_bench, gauges.render_templates):
            yield render(made, made=day).html
    for clay in found.clays.values():
        yield shrinkrule.render_rule(clay, found.studio, made=day).html


def reached(found, folder, slug):
    """A studio of no more forms than a change of one spec is looked for in: what shows there, shows in the whole."""
    near = {
        "forms": {slug},
        "glazes": {name for name, form in found.forms.items() if form.glaze == slug},
        "clays": {"pot"} if found.forms["pot"].clay == slug else set(),
        "studio": {"pot"},
        "kilns": set(),
    }[folder]
    if folder != "kilns":
        clays = {found.forms[name].clay for name in near} | ({slug} if folder == "clays" else set())
        found = dataclasses.replace(found, clays={name: found.clays[name] for name in found.clays if name in clays})
    if any(found.forms[name].glaze == "weighed" for name in near):
        return dataclasses.replace(found, forms={name: found.forms[name] for name in {*near, "mug"}})
    glazes = {name: glaze for name, glaze in found.glazes.items() if name != "weighed"}
    return dataclasses.replace(found, forms={name: found.forms[name] for name in near}, glazes=glazes)


class Once:
    """What is made one by one, each once, and as far as somebody looked."""

    def __init__(self, making):
        self.making, self.made = making, []

    def __iter__(self):
        for place in itertools.count():
            if place == len(self.made):
                try:
                    self.made.append(next(self.making))
                except StopIteration:
                    return
            yield self.made[place]


@cache
def outputs_now(folder, slug):
    """Those of the studio as it is; worked out once for each set of forms."""
    return Once(outputs(reached(project(), folder, slug), folder))


def shows(folder, slug, spec):
    """Whether one spec's change is in anything that is read; looked for in the cheapest first, the cards last."""
    with unmarked():
        now = outputs_now(folder, slug)
        changed = outputs(reached(with_spec(folder, slug, spec), folder, slug), folder)
        return any(one != other for one, other in itertools.zip_longest(now, changed))


@every(
    "key",
    sorted(every_change().keys() - ELSEWHERE - IN_TEXT.keys(), key=str),
)
def test_a_changed_key_shows(key):
    # First where a form's pages and cards, as they are now, are known already.
    known = ("pot", "mug", "buff")
    assert any(shows(*change) for change in sorted(every_change()[key], key=lambda change: change[1] not in known))
