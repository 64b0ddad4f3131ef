"""The run sheet and the order's page: all that the plan says is on them, at the size that is read standing; costs only on the page."""

import dataclasses
import json
import re
from html import unescape

import pytest
from wareboard.cards import runsheet
from wareboard.cards.cardkinds import RUN
from wareboard.figures.planning import wanted_of, wanted_together
from wareboard.figures.settings import wheel_rows
from wareboard.figures.shown import reader_of
from wareboard.pages import orderpages
from wareboard.pages.orderpages import render_calendar
from wareboard.words.templating import TEMPLATES

from tests.demo import worked_out


@pytest.fixture(scope="module")
def demo():
    project, sheets = worked_out()
    return project, sheets, orderpages.plan_of(project.orders["harbour-shop-may"], project, sheets)


def said(html):
    return unescape(re.sub(r"\s+", " ", re.sub(r"<svg.*?</svg>|<[^>]*>", " ", html, flags=re.S)))


def test_all_that_is_weighed_and_set_is_on_the_sheet(demo):
    project, sheets, plan = demo
    card = runsheet.render_run(plan, project, sheets)
    text, reader = said(card.html), reader_of(project.studio)
    for line in plan.lines:
        assert line.title in text
        for rows in wheel_rows(sheets[line.form], reader):
            for row in rows.rows:
                assert str(row.first) in text, (line.form, row.label)
        for part, pieces in line.throw.pieces.items():
            assert f"{pieces} {part}" in text
    assert card.html.count('class="box"') >= sum(len(line.throw.pieces) for line in plan.lines) + len(
        plan.glazes
    ) + len(plan.days)
    for row in plan.boards:
        assert f"{row.full_kg:.1f} kg" in text
    for day in plan.days:
        assert day.words in text
    assert (card.name, card.title) == ("harbour-shop-may-run", "Harbour shop, May, run sheet")


def test_expected_counts_stand_in_boxes(demo):
    project, sheets, plan = demo
    html = runsheet.render_run(plan, project, sheets).html
    boxes = re.findall(r"<td><i>([\d.]+)</i></td>", html)
    wanted = [
        count
        for line in plan.lines
        for part, pieces in line.throw.pieces.items()
        for count in (pieces, *(round(2.0 * one.pieces[part]) / 2.0 for one in line.expect))
    ]
    assert [float(box) for box in boxes] == wanted


def test_nothing_of_money_is_on_a_run_sheet(demo):
    project, sheets, plan = demo
    html = runsheet.render_run(plan, project, sheets).html
    assert plan.cost is not None
    for words in ("GBP", "price", "78.00", "cost", f"{plan.cost.total:.2f}", "Left out: rent"):
        assert words not in html, words
    assert runsheet.plan_revision(plan) == runsheet.plan_revision(dataclasses.replace(plan, cost=None))


def test_the_last_digits_of_a_number_make_no_new_revision(demo):
    _, _, plan = demo
    moved = lambda times: dataclasses.replace(
        plan,
        lines=tuple(
            dataclasses.replace(line, balls_g={part: grams * times for part, grams in line.balls_g.items()})
            for line in plan.lines
        ),
    )
    assert runsheet.plan_revision(moved(1.0 + 4e-16)) == runsheet.plan_revision(plan)
    assert runsheet.plan_revision(moved(1.001)) != runsheet.plan_revision(plan)


def test_numbers_that_are_read_standing_are_large():
    """At 1.2 m, 20 minutes of arc are 7 mm (NUREG-0700): this face's digits are 0.668 of the font size."""
    css = (TEMPLATES / "cards" / "runsheet.css").read_text(encoding="utf-8")
    for name in (".job .many b", ".job .ball b"):
        size = float(re.search(rf"{re.escape(name)} \{{ font-size: ([\d.]+)pt", css)[1])
        assert size * 25.4 / 72.0 * 0.668 >= 6.3


def test_papers():
    assert RUN.papers == ("A4", "Letter")
    with pytest.raises(ValueError, match="there is no run sheet on A5"):
        project, sheets = worked_out()
        runsheet.render_run(
            orderpages.plan_of(project.orders["harbour-shop-may"], project, sheets), project, sheets, paper="A5"
        )


def test_same_plan_same_sheet(demo):
    project, sheets, plan = demo
    assert runsheet.render_run(plan, project, sheets) == runsheet.render_run(
        orderpages.plan_of(project.orders["harbour-shop-may"], project, sheets), project, sheets
    )


# ---- the page ----


def test_the_page_says_the_plan_and_what_it_costs(demo):
    project, sheets, plan = demo
    page = orderpages.render_order(plan, project, sheets)
    text = said(page.body)
    assert page.path == "orders/harbour-shop-may.html" and "harbour-shop-may-run.pdf" in page.body
    assert "run.pdf" not in orderpages.render_order(plan, project, sheets, with_cards=False).body
    for line in plan.lines:
        for part, pieces in line.throw.pieces.items():
            assert re.search(rf"{part.capitalize()} .{{0,60}}{pieces} ", text), (part, pieces)
    total = sum(round(part, 2) for row in plan.cost.lines for part in row.cost.parts)  # what is printed adds up
    assert (
        f"{total:.2f} GBP" in text
        and total == pytest.approx(plan.cost.total, abs=0.07)
        and plan.cost.leaves_out in text
    )
    for row in plan.cost.lines:
        assert f"{row.cost.each:.2f}" in text
    assert page.body.count("<svg") == len(plan.lines) + sum(
        1 + len(load.tiers) for firing in plan.firings for load in firing.loads
    )
    bare = orderpages.render_order(dataclasses.replace(plan, cost=None), project, sheets).body
    assert "What it costs" not in bare and "GBP" not in bare


def test_the_list_has_open_orders_stock_and_what_was_sent(demo):
    project, sheets, _ = demo
    listed, *pages = orderpages.render_orders(project, sheets)
    text = said(listed.body)
    assert "Harbour shop, May , wanted Fri 14 May 2027" in text and "Yard shelf, spring, Wed 29 April 2026" in text
    assert "Tall beaker 2 sets" in text and [page.path for page in pages] == ["orders/harbour-shop-may.html"]
    assert list(orderpages.render_orders(dataclasses.replace(project, orders={}), sheets)) == []


def test_data_beside_the_page(demo):
    project, sheets, plan = demo
    data = {text.path: text.text for text in orderpages.render_orders_data(project, sheets)}
    assert set(data) == {"orders/harbour-shop-may.json", "orders/harbour-shop-may.ics"}
    assert json.loads(data["orders/harbour-shop-may.json"])["lines"] == json.loads(json.dumps(plan.as_json()))["lines"]
    assert data["orders/harbour-shop-may.ics"] == render_calendar(plan, "Millpond Yard")


def test_a_large_run_is_drawn_once_for_loads_that_are_alike(demo):
    project, sheets, _ = demo
    order = project.orders["harbour-shop-may"]
    many = dataclasses.replace(order, lines=tuple(dataclasses.replace(line, sets=400) for line in order.lines), made=())
    wanted = wanted_together([many])
    from wareboard.figures.planning import make_plan

    plan = make_plan(wanted, project, sheets)
    html = runsheet.render_run(plan, project, sheets).html
    assert re.search(r"Loads \d+ to \d+", html) and len(html) < 900_000
    assert wanted_of(many).title == "Harbour shop, May"
