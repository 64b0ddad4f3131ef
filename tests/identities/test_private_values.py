"""What is private changes nothing that is for others: for each key of each spec and each audience, from the declarations.

Whatever is made for an assistant is made from `making_project`, and whatever is made for a shop from a `Stock`: where these
are the same, so is every byte.
"""

import dataclasses
from functools import cache

from wareboard.cards.audience import makes, making_project, stock_of
from wareboard.figures import checks
from wareboard.text import records
from wareboard.text.projects import FOLDERS, read_project

import tests.identities.test_every_key as keys
from tests.demo import texts_of_demo
from tests.every import every

# What a shop is told follows from these: fired sizes, what is held and weighed, and the words for shops.
SHAPES = {
    "Form": "title clay glaze sizes unit parts fits like resized", "Part": None, "Station": None, "Bare": None, "Extra": None, "Throwing": None,
    "LeftOn": None, "Fit": None, "Clearance": None, "Stack": None, "Seat": None, "Wanted": None, "Resized": None, "Strap": None, "TwoEnds": None, "Gallery": None, "FootRing": None,
    "Clay": "water grain_density density loss_on_ignition absorption height_factor shrinkage bars", "ShrinkageLine": None, "Bar": None,
    "Glaze": "pint_weight grain_density coat film loss_on_ignition", "Studio": "title units language fluid_ounce paper stockists",
}  # fmt: skip
# Of these a shop sees nothing, however they stand with what it is told.
NEVER = {("Throwing", "loss"), ("Throwing", "ball"), ("Throwing", "gauge_at"), ("LeftOn", "wall"), ("LeftOn", "floor"), ("Bar", "lot"), ("Part", "holds"), ("Part", "weighs"), ("Clearance", "least"), ("Clearance", "most"), ("Fit", "pairing")}  # fmt: skip
FOR_SHOPS = (
    "stockist: {sku: P-1-S, price: 18, currency: EUR, care: Wash by hand., contains: Tea., description: A jar.}\n"
)


def may_show(record, word):
    """True where a shop may see that a key has changed."""
    words = SHAPES.get(record.__name__, "")
    return (record.__name__, word) not in NEVER and (words is None or word in words.split())


@cache
def stockist():
    texts = {**keys.TEXTS, "specs/forms/pot.yaml": keys.TEXTS["specs/forms/pot.yaml"] + FOR_SHOPS}
    return read_project(texts).forms["pot"].stockist


def told(project):
    """All that a shop is told of a studio."""
    pot = dataclasses.replace(project.forms["pot"], stockist=stockist())
    project = dataclasses.replace(project, forms={**project.forms, "pot": pot})
    return stock_of(project.studio, [checks.check_project(project)[0]["pot"]])


def near_pot(folder, slug, spec):
    """The studio with one spec changed, and no more forms than that and the pot that shops are told of."""
    whole = keys.with_spec(folder, slug, spec)
    changed, pot = keys.reached(whole, folder, slug), whole.forms["pot"]
    clays = {**changed.clays, str(pot.clay): whole.clays[str(pot.clay)]}
    return dataclasses.replace(changed, forms={**changed.forms, "pot": pot}, clays=clays)


@cache
def told_now():
    return told(keys.project())


PRIVATE = [key for key in keys.every_change() if not may_show(*key)]


def test_there_is_something_that_a_shop_is_told_and_something_that_it_is_not():
    assert told_now().forms and len(PRIVATE) > 40
    changes = keys.every_change()[records_key("Station", "diameter")]
    assert any(told(near_pot(*change)) != told_now() for change in changes)


def records_key(record, word):
    return next(key for key in keys.every_change() if key[0].__name__ == record and key[1] == word)


@every("key", sorted(PRIVATE, key=str))
def test_a_shop_sees_no_private_value_change(key):
    for change in keys.every_change()[key]:
        now = told(near_pot(*change))
        assert now == told_now() and [form.revision for form in now.forms] == [
            form.revision for form in told_now().forms
        ]


# ---- assistants ----


@cache
def demo():
    return read_project(texts_of_demo())


def withheld(value):
    """A record and those below it, each with one key changed that an assistant has no part in: the key, and the whole."""
    if dataclasses.is_dataclass(value) and any("key" in known.metadata for known in dataclasses.fields(value)):
        for word, key in records.keys_of(type(value)).items():
            inner = getattr(value, key.field)
            if not makes(type(value), word):
                yield (type(value).__name__, word), dataclasses.replace(value, **{key.field: None if inner else "Zq"})
            else:
                for name, other in withheld(inner):
                    yield name, dataclasses.replace(value, **{key.field: other})
    elif isinstance(value, dict):
        for slug, inner in value.items():
            for name, other in withheld(inner):
                yield name, {**value, slug: other}
    elif type(value) is tuple:
        for place, inner in enumerate(value):
            for name, other in withheld(inner):
                yield name, (*value[:place], other, *value[place + 1 :])


def every_withheld():
    for name, studio in withheld(demo().studio):
        yield name, dataclasses.replace(demo(), studio=studio)
    for folder in FOLDERS:
        for slug, spec in demo().files(folder).items():
            for name, other in withheld(spec):
                yield name, dataclasses.replace(demo(), **{folder: {**demo().files(folder), slug: other}})


def test_an_assistant_sees_no_private_value_change():
    now, seen = making_project(demo()), set()
    for name, changed in every_withheld():
        if name[0] == "Order" and name[1] == "sent":
            continue  # an order that was sent is none of an assistant's work any more
        assert making_project(changed) == now, name
        seen.add(name)
    assert {("Form", "stockist"), ("Studio", "stockists")} <= seen
