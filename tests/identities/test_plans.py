"""What holds of every plan, whatever the numbers: order of lines, one form alone, more sets, a tally that says nothing new."""

import json
import random
from dataclasses import replace

import pytest
from wareboard.figures import checks
from wareboard.figures.planning import Wanted, make_plan, open_orders, wanted_of, wanted_together
from wareboard.pot.runs import Group, PartRun, least_clay
from wareboard.text.kinds import Word
from wareboard.text.order_specs import Line, Made

from tests.demo import worked_out
from tests.every import every

PROJECT, SHEETS = worked_out()
ORDER = PROJECT.orders["harbour-shop-may"]


def line(form, sets, **more):
    at = ORDER.at
    return Line(at=at, form=Word(form, at), sets=sets, **more)


def made(form, **counts):
    at = ORDER.at
    return Made(
        at=at,
        form=Word(form, at),
        **{stage: {Word(part, at): count for part, count in parts.items()} for stage, parts in counts.items()},
    )


def plan(*lines, **more):
    return make_plan(Wanted("run", "Run", lines, **more), PROJECT, SHEETS)


def by_form(found):
    return sorted(json.dumps(entry.as_json(), sort_keys=True) for entry in found.lines)


def test_the_order_of_the_lines_does_not_matter():
    lines = list(ORDER.lines)
    forward, backward = plan(*lines, due=ORDER.due), plan(*reversed(lines), due=ORDER.due)
    assert by_form(forward) == by_form(backward)
    assert [clay.weight_g for clay in forward.clay] == pytest.approx([clay.weight_g for clay in backward.clay])
    assert forward.days == backward.days and forward.boards_count == backward.boards_count
    assert [len(firing.loads) for firing in forward.firings] == [len(firing.loads) for firing in backward.firings]
    assert forward.cost.total == pytest.approx(backward.cost.total)


@every("form", sorted(SHEETS))
def test_a_form_alone_is_planned_as_in_an_order(form):
    alone = plan(line(form, 17))
    together = (
        plan(line("tall-beaker", 5), line(form, 17))
        if form != "tall-beaker"
        else plan(line("tea-caddy", 5), line(form, 17))
    )
    assert alone.lines[0].as_json() == together.lines[1].as_json()


@every("form", ("tea-caddy", "cup-and-saucer", "tall-beaker"))
@every("sets", (1, 6, 40))
def test_twice_the_sets_never_need_less_and_never_more_than_twice(form, sets):
    once, twice = plan(line(form, sets)).lines[0], plan(line(form, 2 * sets)).lines[0]
    assert all(twice.throw.pieces[part] >= count for part, count in once.throw.pieces.items())
    assert once.throw.balls_g < twice.throw.balls_g <= 2.0 * once.throw.balls_g


@every("seed", range(25))
def test_surer_and_lossier_never_need_less(seed):
    draw = random.Random(seed)
    names = ("jar", "lid", "knob")[: draw.randint(1, 3)]
    balls = [draw.uniform(30, 900) for _ in names]
    trimmed, after = draw.uniform(0.6, 1.0), draw.uniform(0.6, 1.0)
    groups = lambda share: [
        Group(tuple(PartRun(name, ball, trimmed * share, after) for name, ball in zip(names, balls, strict=True)))
    ]
    sets = draw.randint(1, 40)
    throws = least_clay(groups(1.0), sets, [0.8, 0.9, 0.95, 0.99])
    assert [throw.balls_g for throw in throws] == sorted(throw.balls_g for throw in throws)
    assert all(throw.chance >= wanted for throw, wanted in zip(throws, (0.8, 0.9, 0.95, 0.99), strict=True))
    (lossier,) = least_clay(groups(0.95), sets, [0.9])
    assert lossier.balls_g >= throws[1].balls_g


def test_a_tally_with_no_news_changes_nothing():
    lines = (line("tea-caddy", 24), line("cup-and-saucer", 12))
    silent = plan(*lines)
    told = plan(*lines, made=tuple(made(found.form, thrown=dict(found.throw.pieces)) for found in silent.lines))
    assert told.as_json()["lines"] == silent.as_json()["lines"]
    for tallied, found in zip(told.tally, silent.lines, strict=True):
        assert tallied.chance == pytest.approx(found.throw.chance, rel=1e-12) and tallied.throw is None
    empty = plan(*lines, made=(made("tea-caddy"),))
    assert empty.as_json() == silent.as_json()


def test_counts_as_expected_keep_the_chance_and_news_moves_it():
    thrown = dict(plan(line("tall-beaker", 36)).lines[0].throw.pieces)
    chance = lambda trimmed: (
        plan(line("tall-beaker", 36), made=(made("tall-beaker", thrown=thrown, trimmed={"cup": trimmed}),))
        .tally[0]
        .chance
    )
    chances = [chance(trimmed) for trimmed in range(34, thrown["cup"] + 1)]
    assert chances == sorted(chances) and chances[0] == 0.0
    # the mean over what can come of trimming is the chance before it
    from scipy import stats

    mean = sum(
        stats.binom.pmf(trimmed, thrown["cup"], 0.98 * 0.96) * chance(trimmed)
        for trimmed in range(36, thrown["cup"] + 1)
    )
    assert mean == pytest.approx(plan(line("tall-beaker", 36)).lines[0].throw.chance, rel=1e-9)


def test_what_is_to_be_thrown_restores_the_chance_when_it_is_thrown():
    lines = (line("tea-caddy", 24),)
    short = (made("tea-caddy", thrown={"jar": 34, "lid": 35}, trimmed={"jar": 27, "lid": 33}),)
    (tallied,) = plan(*lines, made=short).tally
    assert tallied.chance < 0.95 and tallied.throw.chance >= 0.95
    more = made("tea-caddy", thrown=dict(tallied.throw.pieces))
    (then,) = plan(*lines, made=(*short, more)).tally
    assert then.chance == pytest.approx(tallied.throw.chance, rel=1e-12) and then.throw is None


def test_open_orders_together_ask_for_no_more_than_each_alone():
    other = replace(ORDER, slug="other", made=())
    together = make_plan(wanted_together([ORDER, other]), PROJECT, SHEETS)
    alone = make_plan(wanted_of(other), PROJECT, SHEETS)
    assert sum(found.throw.balls_g for found in together.lines) <= 2.0 * sum(
        found.throw.balls_g for found in alone.lines
    )
    assert [order.slug for order in open_orders(PROJECT)] == ["harbour-shop-may"]


def test_no_losses_need_no_spares():
    studio = replace(PROJECT, studio=replace(PROJECT.studio, losses=None))
    sheets, _ = checks.check_project(studio)
    found = make_plan(Wanted("run", "Run", (line("tea-caddy", 24),)), studio, sheets)
    assert dict(found.lines[0].throw.pieces) == {"jar": 24, "lid": 24} and found.lines[0].throw.chance == 1.0
    assert any(words.startswith("no losses") for words in found.told)
