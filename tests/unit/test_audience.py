"""Who may see what: the lists are whole, what is left out leaves no trace, what shops are told is of the sheet."""

import dataclasses

import pytest
from wareboard.cards import audience
from wareboard.cards.audience import (
    MAKING,
    StockForm,
    is_stocked,
    makes,
    making_project,
    public_name,
    stock_form,
    stock_of,
)
from wareboard.figures import checks
from wareboard.text import kinds, order_specs, projects, records, specs, studio_specs
from wareboard.text.projects import read_project

from tests.demo import texts_of_demo
from tests.every import every

TEXTS = texts_of_demo()
# What an assistant may do without, by record and the key as it is typed: everything else is for making the ware.
WITHHELD = {
    ("Studio", "stockists"), ("Studio", "costs"), ("Form", "stockist"), ("Counts", "sold"),
    ("Order", "for"), ("Order", "sent"), ("Order", "notes"),
}  # fmt: skip
PRIVATE = {specs.Stockist, specs.Packed, studio_specs.Trade, order_specs.Costs, order_specs.FiringCosts}


@pytest.fixture(scope="module")
def project():
    return read_project(TEXTS)


@pytest.fixture(scope="module")
def sheets(project):
    return checks.check_project(project)[0]


def reached():
    return {record for kind in projects.KINDS.values() for record in records.reached_records(kind)}


def plain_values(value):
    """Every value inside a record of plain things."""
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from plain_values(getattr(value, field.name))
    elif isinstance(value, tuple):
        for inner in value:
            yield from plain_values(inner)
    else:
        yield value


# ---- an assistant ----


def test_every_key_is_for_making_or_withheld_and_somebody_has_decided():
    for record in reached() - PRIVATE:
        for name in records.keys_of(record):
            assert makes(record, name) is ((record.__name__, name) not in WITHHELD), (
                f"{record.__name__}.{name}: say in audience.MAKING whether an assistant may see it"
            )


def test_the_lists_name_nothing_that_is_not_there():
    for record, fields in MAKING.items():
        assert fields <= {key.field for key in records.keys_of(record).values()}, record.__name__
    assert not set(MAKING) & PRIVATE


def test_what_only_trade_needs_is_withheld():
    trade = {
        (record.__name__, name) for record in reached() for name, key in records.keys_of(record).items() if key.trade
    }
    assert trade == WITHHELD


def test_a_required_key_is_never_left_out():
    for record, fields in MAKING.items():
        assert {key.field for key in records.keys_of(record).values() if key.required} <= fields


UNSOLD = {"harbour-mug", "middle-beaker", "sip-beaker"}


def test_an_assistants_sheets_are_the_studios(project, sheets):
    made, problems = checks.check_project(making_project(project))
    assert made.keys() == sheets.keys() and len(made) == 12
    for slug, sheet in sheets.items():
        assert made[slug].figures == sheet.figures
        assert made[slug].revision == sheet.revision
        assert made[slug].form.stockist is None and (sheet.form.stockist is not None or slug in UNSOLD)
        assert made[slug].studio.stockists is None and sheet.studio.stockists is not None


def test_a_run_keeps_what_was_measured_and_not_what_was_sold(project):
    run, kept = next(
        (run, making_project(project).runs[slug])
        for slug, run in project.runs.items()
        if run.counts and run.counts.sold
    )
    assert kept.measured == run.measured and kept.counts.thrown == run.counts.thrown
    assert kept.counts.sold is None


def test_a_record_that_nobody_listed_is_left_out():
    @dataclasses.dataclass(frozen=True)
    class Cost:
        """New tomorrow."""

        wage: object = records.key(kinds.Prose(), "an hour's", default="20")

    assert audience._making(Cost()) is None
    assert audience._making((Cost(), 3)) == (None, 3)


# ---- a stockist ----


def test_stock_records_hold_plain_words_and_numbers_only(project, sheets):
    stock = stock_of(project.studio, sheets.values())
    assert len(stock.forms) == 9
    for form in stock.forms:
        assert {type(value) for value in plain_values(form)} <= {str, float, int, bool, type(form.made)}, (
            "a maker's word knows the file that it comes from"
        )


def test_what_is_told_of_a_lidded_jar(sheets):
    sheet = sheets["tea-caddy"]
    told = stock_form(sheet)
    jar, lid = told.parts
    assert (jar.name, jar.height_mm, jar.diameter_mm) == (
        "jar",
        round(sheet.value("jar.height", "fired"), 1),
        round(sheet.value("jar.across", "fired"), 1),
    )
    assert (
        jar.fill_ml == pytest.approx(sheet.value("jar.capacity.fill", "fired"), abs=2.5)
        and jar.fill_ml % 5.0 == 0.0
        and lid.fill_ml == 0.0
    )
    assert told.weight_g == pytest.approx(
        sheet.value("jar.mass.glazed", "fired") + sheet.value("lid.mass.glazed", "fired"), abs=2.5
    )
    assert told.price == "78.00" and told.currency == "GBP"
    (piece,) = told.pieces
    # With its lid on it is higher than the jar, and lower than the two one above the other.
    assert jar.height_mm < piece.height_mm < jar.height_mm + lid.height_mm
    assert max(height for line in piece.lines for _, height in line) == pytest.approx(piece.height_mm, abs=0.06)


def test_shops_are_told_the_forms_own_sizes_whatever_is_set_to_make_them(sheets):
    for sheet in filter(is_stocked, sheets.values()):
        for part in stock_form(sheet).parts:
            for size, key in ((part.height_mm, "height"), (part.diameter_mm, "across")):
                assert size == round(sheet.value(f"{part.name}.{key}", "fired"), 1)


def test_flat_ware_holds_nothing_that_is_worth_saying(sheets):
    assert [part.fill_ml for part in stock_form(sheets["supper-plate"]).parts] == [0.0]
    assert sheets["supper-plate"].value("plate.capacity.fill", "fired") > 100.0
    assert stock_form(sheets["footed-bowl"]).parts[0].fill_ml > 100.0


def test_added_parts_are_owned_up_to(sheets):
    assert stock_form(sheets["pitcher"]).added and not stock_form(sheets["tall-beaker"]).added


def test_only_forms_for_shops_are_told_of(project, sheets):
    forms = {
        slug: dataclasses.replace(form, stockist=None) if slug == "pitcher" else form
        for slug, form in project.forms.items()
    }
    fewer, _ = checks.check_project(dataclasses.replace(project, forms=forms))
    assert len(stock_of(project.studio, fewer.values()).forms) == 8


def test_files_are_named_by_what_shops_call_them_each_by_another(sheets):
    def renamed(sku):
        for sheet in (sheets["tall-beaker"], sheets["short-beaker"], sheets["pitcher"]):
            yield dataclasses.replace(
                sheet, form=dataclasses.replace(sheet.form, stockist=dataclasses.replace(sheet.form.stockist, sku=sku))
            )

    studio = sheets["pitcher"].studio
    assert [form.name for form in stock_of(studio, renamed("A/1")).forms] == ["a-1", "a-1-no2", "a-1-no3"]
    assert sorted(form.name for form in stock_of(studio, renamed(None)).forms) == [
        "short-beaker",
        "tall-beaker",
        "two-pint-pitcher",
    ]
    assert sorted(form.name for form in stock_of(studio, renamed("A/1"), own_names=True).forms) == [
        "pitcher",
        "short-beaker",
        "tall-beaker",
    ]


@every(("words", "name"), (
    (("../../etc/passwd",), "etc-passwd"), (("", "Crème & Co"), "creme-co"), (("壺", "—"), "piece"), (("x" * 200,), "x" * 60), (("CON",), "con"),
))  # fmt: skip
def test_public_names_are_harmless(words, name):
    assert public_name(*words) == name


def test_the_revision_is_of_what_is_told_alone(sheets):
    sheet = sheets["tall-beaker"]
    private = dataclasses.replace(sheet.form, notes=kinds.Word("x", sheet.form.at), code=None, family=None)
    assert stock_form(dataclasses.replace(sheet, form=private)).revision == stock_form(sheet).revision
    dearer = dataclasses.replace(
        sheet.form,
        stockist=dataclasses.replace(sheet.form.stockist, price=sheet.form.stockist.price._replace(typed="35.00")),
    )
    assert stock_form(dataclasses.replace(sheet, form=dearer)).revision != stock_form(sheet).revision
    assert stock_form(sheet, name="other").revision == stock_form(sheet).revision


def test_nothing_is_invented_where_nothing_is_typed(sheets):
    sheet = sheets["tall-beaker"]
    bare = dataclasses.replace(sheet.form, stockist=specs.Stockist(at=sheet.form.at))
    told = stock_form(dataclasses.replace(sheet, form=bare))
    assert (told.sku, told.price, told.care, told.contains, told.description, told.packed_mm, told.packed_g) == (
        "",
        "",
        "",
        "",
        "",
        (0.0, 0.0, 0.0),
        0.0,
    )


def test_a_stock_form_has_no_room_for_more():
    allowed = {
        "name",
        "title",
        "sku",
        "price",
        "currency",
        "care",
        "contains",
        "description",
        "parts",
        "pieces",
        "added",
        "weight_g",
        "packed_mm",
        "packed_g",
        "made",
        "material",
        "lead_time",
        "case",
        "minimum",
    }
    assert {field.name for field in dataclasses.fields(StockForm)} == allowed
