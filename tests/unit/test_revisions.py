"""Revisions in words: what was recorded, and what changed since, as a maker reads it."""

import datetime
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wareboard.cards import revisions
from wareboard.cards.revisions import (
    Recorded,
    card_sizes,
    changes,
    format_recorded,
    made_on,
    old_cards,
    parse_history,
    revised_clay,
    revised_form,
    size_words,
)
from wareboard.figures.settings import wheel_rows
from wareboard.figures.shown import Reader, reader_of
from wareboard.text import projects
from wareboard.text.quantities import IMPERIAL, METRIC

from tests.demo import texts_of_demo, worked_out
from tests.every import every

READER = Reader((METRIC,))
DAY = datetime.date(2026, 3, 4)


@cache
def sheets():
    return worked_out()[1]


def sheet(slug="tea-caddy"):
    return sheets()[slug]


def changed_sheet(slug, *pairs):
    texts = texts_of_demo()
    path = f"specs/forms/{slug}.yaml"
    for before, after in pairs:
        assert texts[path].count(before) >= 1, before
        texts[path] = texts[path].replace(before, after, 1)
    return worked_out(texts)[1][slug]


# ---- what a card shows ----


@every("slug", ["tea-caddy", "tall-beaker", "pitcher", "butter-dish"])
def test_everything_that_is_set_at_the_wheel_is_recorded(slug):
    found = card_sizes(sheet(slug))
    keys = {row.key.replace(".ball.set", ".ball") for part in wheel_rows(sheet(slug), READER) for row in part.rows}
    keys = {key for key in keys if sheet(slug).find(key, "wet")}
    assert keys and {f"{thrown_name(slug, key)} wet" for key in keys} <= found.keys()
    for name, (value, unit) in found.items():
        if name.endswith(".thrown wet"):
            continue
        key, _, stage = name.rpartition(" ")
        assert (
            value == pytest.approx(sheet(slug).value(key, stage), abs=1e-4)
            and unit == sheet(slug).find(key, stage).unit
        )


def thrown_name(slug, key):
    """A flange as thrown goes by its part and calipers, as on the card."""
    fit = sheet(slug).form.fits[key.split(".")[1]] if key.startswith("fit.") else None
    return f"{fit.outside.part}.{fit.outside.caliper}.thrown" if fit else key


def test_a_flange_as_thrown_goes_by_its_own_name():
    value = sheet().value("fit.lid.outside.thrown", "wet")
    assert card_sizes(sheet())["lid.flange.thrown wet"] == (pytest.approx(value, abs=1e-4), "mm")


def test_what_is_looked_at_when_trimming_is_recorded():
    found = card_sizes(sheet())
    for name in (
        "jar.mouth",
        "lid.flange",
        "jar.mass",
        "fit.lid.clearance",
        "fit.lid.gap",
        "jar.wall.thickness",
        "jar.trim.least",
    ):
        assert f"{name} leather-hard" in found


def test_nothing_is_recorded_that_is_not_on_a_making_card():
    assert not [name for name in card_sizes(sheet()) if name.endswith(("fired", "bisque", "dry")) or "price" in name]


# ---- the record ----


sizes = st.dictionaries(
    st.text(min_size=1, max_size=12), st.tuples(st.floats(-1e6, 1e6), st.sampled_from(["mm", "g", "%"])), max_size=4
)
recorded_ones = st.builds(Recorded, st.text("0123456789abcdef", min_size=6, max_size=6), st.dates(), sizes)


@settings(max_examples=60, deadline=None)
@given(st.lists(recorded_ones, max_size=5, unique_by=lambda recorded: recorded.revision))
def test_a_record_is_read_as_it_was_written(history):
    text = "".join(map(format_recorded, history))
    assert text.count("\n") == len(history)
    assert parse_history(text) == tuple(history)


def test_a_line_that_cannot_be_read_is_passed_over_and_costs_no_other():
    good = [Recorded(name, DAY, {"cup.height wet": (90.0, "mm")}) for name in ("aaaaaa", "bbbbbb")]
    bad = ["<<<<<<< HEAD", "", "{", "[1]", '{"revision": "c"}', '{"revision": "c", "made": "2026-13-01"}', '{"revision": "c", "made": 5}', '{"revision": "c", "made": "2026-01-01", "sizes": {"x": [NaN, "mm"]}}', '{"revision": "c", "made": "2026-01-01", "sizes": {"x": 5}}', "\x00", "[" * 5000]  # fmt: skip
    text = "\n".join([*bad, format_recorded(good[0]).strip(), *bad, format_recorded(good[1]).strip()])
    assert parse_history(text) == tuple(good)


def test_a_revision_that_stands_twice_keeps_its_first_day():
    lines = format_recorded(Recorded("aaaaaa", DAY)) + format_recorded(Recorded("aaaaaa", DAY + datetime.timedelta(9)))
    assert [recorded.day for recorded in parse_history(lines)] == [DAY]


def test_the_day_of_a_revision_is_its_first_and_a_new_one_is_of_today():
    history, today = (Recorded("aaaaaa", DAY),), DAY + datetime.timedelta(30)
    assert made_on(history, "aaaaaa", today) == DAY
    assert made_on(history, "bbbbbb", today) == today


def test_a_clay_has_revisions_too():
    project, _ = worked_out()
    clay = project.clays["millpond-buff"]
    texts = texts_of_demo()
    path = "specs/clays/millpond-buff.yaml"
    texts[path] = texts[path] + "\n# only a comment\n"
    assert revised_clay(projects.read_project(texts).clays["millpond-buff"], project.studio) == revised_clay(
        clay, project.studio
    )
    texts[path] = texts[path].replace("height_factor: 1.03", "height_factor: 1.05", 1)
    before, after = (
        revised_clay(clay, project.studio),
        revised_clay(projects.read_project(texts).clays["millpond-buff"], project.studio),
    )
    assert after.revision != before.revision
    assert before.sizes["clay.shrinkage fired"][1] == "%" and {name.split()[-1] for name in before.sizes} == {
        "leather-hard",
        "fired",
    }
    said = changes(before.sizes, after.sizes, READER)
    assert len(said) == 2 and all(words.startswith("shrinkage upward, ") for words in said), said


# ---- what changed ----


def test_a_change_is_said_in_the_makers_words():
    before, after = (
        sheet(),
        changed_sheet(
            "tea-caddy",
            ("lip: {height: 98, diameter: 77}", "lip: {height: 98, diameter: 76.5}"),
            ("seat: {height: 89, diameter: 77}", "seat: {height: 89, diameter: 76.5}"),
        ),
    )
    said = changes(card_sizes(before), card_sizes(after), reader_of(before.studio))
    assert "jar mouth 87.5 → 87.0 mm" in said
    assert "jar mouth, leather-hard 85.0 → 84.5 mm" in said
    assert not [words for words in said if "height" in words]
    assert before.revision != after.revision


def test_a_form_of_one_part_does_not_say_its_name():
    said = changes(
        {"cup.mouth wet": (88.0, "mm"), "cup.ball wet": (540.0, "g")},
        {"cup.mouth wet": (87.5, "mm"), "cup.ball wet": (555.0, "g")},
        READER,
    )
    assert said == ("mouth 88.0 → 87.5 mm", "ball 540 → 555 g")


def test_what_reads_the_same_has_not_changed():
    assert changes({"cup.mouth wet": (88.01, "mm")}, {"cup.mouth wet": (88.1, "mm")}, READER) == ()
    assert changes({"fit.lid.gap leather-hard": (0.71, "mm")}, {"fit.lid.gap leather-hard": (0.81, "mm")}, READER) == (
        "lid fit gap, leather-hard 0.7 → 0.8 mm",
    )


def test_a_ball_is_rounded_up_as_on_the_card():
    assert changes({"cup.ball wet": (540.1, "g")}, {"cup.ball wet": (544.9, "g")}, READER) == ()
    assert changes({"cup.ball wet": (540.0, "g")}, {"cup.ball wet": (540.1, "g")}, READER) == ("ball 540 → 545 g",)


def test_what_is_new_and_what_is_gone_is_said():
    said = changes(
        {"cup.mouth wet": (88.0, "mm"), "cup.height wet": (90.0, "mm")},
        {"cup.height wet": (90.0, "mm"), "cup.throat wet": (40.0, "mm")},
        READER,
    )
    assert said == ("throat is new, 40.0 mm", "mouth is gone, it was 88.0 mm")


def test_units_are_the_studios_own():
    (said,) = changes({"cup.mouth wet": (76.2, "mm")}, {"cup.mouth wet": (88.9, "mm")}, Reader((IMPERIAL, METRIC)))
    assert said == "mouth 3 → 3½ in"
    (said,) = changes({"cup.ball wet": (700.0, "g")}, {"cup.ball wet": (400.0, "g")}, Reader((IMPERIAL,)))
    assert said.startswith("ball 1 lb ") and said.count(" oz") == said.count("oz") >= 1


@every(
    ("name", "words"),
    [
        ("jar.ball wet", "jar ball"), ("jar.pointer.height wet", "jar pointer up"), ("jar.pointer.belly.reach wet", "jar pointer out at belly"),
        ("jar.mouth leather-hard", "jar mouth, leather-hard"), ("lid.flange.thrown wet", "lid flange as thrown"), ("jar.diameter leather-hard", "jar widest, leather-hard"),
        ("jar.wall.thickness leather-hard", "jar wall, leather-hard"), ("odd", "odd"), ("fit", "fit"), ("", ""),
    ],
)  # fmt: skip
def test_names_are_said_in_words(name, words):
    assert size_words(name, several=True) == words


# ---- what old cards are told ----


def history_of(*names, at=DAY):
    return tuple(
        Recorded(name, at + datetime.timedelta(place), {"jar.mouth wet": (80.0 + place, "mm")})
        for place, name in enumerate(names)
    )


def test_every_older_card_is_told_what_changed_since_the_newest_first():
    told = old_cards(history_of("aaaaaa", "bbbbbb"), revised_form(sheet()), READER)
    assert [(card.revision, card.made, card.newer) for card in told] == [
        ("bbbbbb", "5 March 2026", True),
        ("aaaaaa", "4 March 2026", True),
    ]
    assert "jar mouth 81.0 → 87.5 mm" in told[0].changed and "jar mouth 80.0 → 87.5 mm" in told[1].changed
    lengths = [len(line) for line in told[0].changed]
    assert len(lengths) > 5 and lengths == sorted(lengths)


def test_the_page_tells_its_own_revision_nothing_and_a_form_that_went_back_says_so():
    now = revised_form(sheet())
    told = old_cards(history_of("aaaaaa", now.revision, "bbbbbb"), now, READER)
    assert [(card.revision, card.newer) for card in told] == [("bbbbbb", False), ("aaaaaa", True)]


def test_only_the_last_are_told_word_by_word():
    told = old_cards(history_of(*(f"{number:06x}" for number in range(99))), revised_form(sheet()), READER)
    assert len(told) == revisions.MOST_TOLD and told[0].revision == f"{98:06x}"
