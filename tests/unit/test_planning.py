"""Plans of orders: the JSON that is fixed, what is told, clay, boards, glaze, kiln, days, cost, tally, stock."""

import datetime
import json

import pytest
from wareboard.figures import checks, planning
from wareboard.figures.planning import Wanted, make_plan, wanted_of
from wareboard.figures.schedule import plan_days
from wareboard.figures.supplies import Bucket
from wareboard.figures.throwing import groups_of
from wareboard.text.projects import read_project

from tests.demo import texts_of_demo, worked_out
from tests.every import every

TEXTS = texts_of_demo()
CUP = """title: Cup
clay: buff
glaze: clear
parts:
  cup:
    outside:
      foot: {height: 0, diameter: 60}
      rim: {height: 90, diameter: 80}
    wall: 4
    floor: 5
"""
SMALL = {
    "specs/studio.yaml": "title: Yard\nlosses: {throwing: 10 %}\nboards: {length: 1000 mm, width: 100 mm, gap: 10 mm}\n",
    "specs/clays/buff.yaml": "title: Buff\nwater: 20 %\nshrinkage: {dry: 6 %, fired: 12 %}\n",
    "specs/glazes/clear.yaml": "title: Clear\npint_weight: 1.45 g/ml\ncoat: 0.9 kg/m2\nbucket: {diameter: 200 mm, slop: 5 l}\n",
    "specs/kilns/small.yaml": "title: Small\nshelves: {width: 300 mm, depth: 300 mm, tiers: 3}\ninside_height: 400 mm\n",
    "specs/forms/cup.yaml": CUP,
    "specs/orders/shop.yaml": "title: Shop\ndue: 2027-05-10\nlines:\n  - {form: cup, sets: 6}\n",
}


def studio(changes=(), **added):
    texts = {**SMALL, **{f"specs/{path}.yaml": text for path, text in dict(changes).items()}}
    project = read_project(texts)
    sheets, problems = checks.check_project(project)
    return project, sheets, problems


def plan(changes=(), today=None, **more):
    project, sheets, _ = studio(changes)
    return make_plan(wanted_of(project.orders["shop"]), project, sheets, today=today, **more)


@pytest.fixture(scope="module")
def demo():
    project, sheets = worked_out(TEXTS)
    return project, sheets, make_plan(wanted_of(project.orders["harbour-shop-may"]), project, sheets)


def test_json_has_the_keys_that_are_fixed(demo):
    shown = json.loads(json.dumps(demo[2].as_json(), allow_nan=False))
    assert {
        "format",
        "order",
        "confidence",
        "lines",
        "clay",
        "blend",
        "boards",
        "glaze",
        "firings",
        "days",
        "cost",
        "problems",
    } <= set(shown)
    assert (shown["format"], shown["order"], shown["confidence"]) == (1, "harbour-shop-may", 0.95)
    caddy = shown["lines"][0]
    assert {"form", "sets", "pairing", "throw", "chance", "surplus_sets", "expect", "balls_g", "clay_g"} <= set(caddy)
    assert (caddy["form"], caddy["sets"], caddy["pairing"]) == ("tea-caddy", 24, "own")
    assert set(caddy["throw"]) == set(caddy["balls_g"]) == {"jar", "lid"} and caddy["chance"] >= 0.95
    assert [entry["stage"] for entry in caddy["expect"]] == ["trimmed", "dried", "bisque", "fired"]
    assert caddy["clay_g"] == sum(caddy["throw"][part] * caddy["balls_g"][part] for part in caddy["throw"])
    (blend,) = shown["blend"]
    assert {"clay", "water_share", "use", "water_kg"} <= set(blend)
    assert sum(entry["weight_kg"] for entry in blend["use"]) + blend["water_kg"] == pytest.approx(
        shown["clay"][0]["weight_kg"]
    )
    assert [line["pairing"] for line in shown["lines"]] == ["own", "any", "any"]


def test_all_lines_together_are_less_sure_than_each(demo):
    found = demo[2]
    assert found.chance == pytest.approx(
        found.tally[0].chance * found.lines[1].throw.chance * found.lines[2].throw.chance
    )
    assert plan().chance == plan().lines[0].throw.chance


def test_balls_are_as_set_and_what_is_added_counts_in_clay(demo):
    project, sheets, found = demo
    saucer = next(line for line in found.lines if line.form == "cup-and-saucer")
    assert saucer.balls_g == {
        part: sheets["cup-and-saucer"].value(f"{part}.ball.set", "wet") for part in ("cup", "saucer")
    }
    assert saucer.extras_g == {"cup": 40.0}
    assert saucer.clay_g == pytest.approx(saucer.throw.balls_g + 40.0 * saucer.throw.pieces["cup"])


def test_clay_comes_back_by_trimming_and_by_what_is_lost():
    """Hand: ten per cent is lost at the wheel alone, so a tenth of the balls comes back and nothing else."""
    found = plan()
    line, (clay,) = found.lines[0], found.clay
    assert clay.weight_g == line.throw.balls_g and clay.bags is None
    assert clay.lost_g == pytest.approx(0.1 * line.throw.balls_g) and clay.trimmings_g == pytest.approx(0.0, abs=1e-6)
    bagged = plan({"studio": SMALL["specs/studio.yaml"] + "bag: 1 kg\n"})
    assert bagged.clay[0].bags == -(-bagged.clay[0].weight_g // 1000)


def test_a_cup_is_a_binomial_of_one_loss():
    found = plan().lines[0]
    assert found.throw.pieces == {"cup": 8} and found.throw.chance == pytest.approx(0.96191, abs=1e-5)
    assert found.expected("fired").pieces["cup"] == pytest.approx(7.2) and found.surplus_sets == pytest.approx(1.2)
    assert found.surer[0.9].pieces == {"cup": 8} and found.surer[0.99].pieces == {"cup": 9}


def test_a_forms_own_losses_come_before_the_studios():
    lossy = plan({"forms/cup": CUP + "losses: {throwing: 50 %, glaze: 10 %}\n"}).lines[0]
    assert lossy.expected("trimmed").pieces["cup"] == lossy.throw.pieces["cup"] * 0.5
    assert lossy.throw.pieces["cup"] > 15


def test_boards_by_the_wet_outside_with_a_caution_over_20_kg():
    (row,) = plan().boards
    # 93 mm at least across the wet rim: (1000 + 10) / (90.9 + 10) in one row
    assert (row.pieces, row.a_board, row.boards) == (8, 10, 1) and row.full_kg < 5.0
    none = plan({"studio": "title: Yard\n"})
    assert none.boards == () and any(words.startswith("no boards") for words in none.told)
    wide = plan({"studio": SMALL["specs/studio.yaml"].replace("width: 100 mm", "width: 80 mm")})
    assert wide.boards == () and any("wider than a board" in words for words in wide.told)


def test_glaze_for_what_comes_out_of_the_bisque():
    project, sheets, _ = studio()
    found = plan()
    (glaze,), line = found.glazes, found.lines[0]
    dry = 0.9 * sheets["cup"].value("cup.area.glazed", "bisque") / 10.0 * line.expected("bisque").pieces["cup"]
    assert glaze.dry_g == pytest.approx(dry)
    # Brongniart: (D − 1) g / (g − 1) kg of dry glaze in a litre
    assert glaze.slop_l == pytest.approx(dry / 1000.0 / (0.45 * 2.6 / 1.6))
    assert glaze.slop_l * 1.45 == pytest.approx(dry / 1000.0 + glaze.water_l)
    # 5 l in a bucket of 200 mm: 159 mm deep
    assert glaze.depth_mm == pytest.approx(159.15, abs=0.01) and glaze.deep_enough


def test_a_bucket_is_corrected_and_told_when_it_is_short_or_shallow():
    thick = plan(buckets={"clear": Bucket(8.0, 1.52)}).glazes[0]
    assert thick.correction.water_l == pytest.approx(1.244, abs=1e-3) and thick.short_dry_g == 0.0
    shallow = plan(buckets={"clear": Bucket(1.0, 1.45)}).glazes[0]
    assert shallow.correction.water_l == 0.0 and shallow.deep_enough is False
    order = {"orders/shop": SMALL["specs/orders/shop.yaml"].replace("sets: 6", "sets: 600")}
    assert plan(order, buckets={"clear": Bucket(1.0, 1.45)}).glazes[0].short_dry_g > 0.0


def test_another_glaze_on_a_line_beats_the_forms():
    changes = {
        "glazes/blue": "title: Blue\npint_weight: 1.5 g/ml\ncoat: 1.8 kg/m2\n",
        "orders/shop": SMALL["specs/orders/shop.yaml"].replace("sets: 6", "sets: 6, glaze: blue"),
    }
    (glaze,) = plan(changes).glazes
    assert glaze.glaze == "blue" and glaze.dry_g == pytest.approx(2.0 * plan().glazes[0].dry_g)


# ---- the kiln ----


def test_lids_stand_on_their_jars_and_pairs_are_fired(demo):
    found = demo[2]
    for firing in found.firings:
        caddy = firing.names.index("Tea caddy, jar with lid")
        assert firing.parts[caddy] == ("jar", "lid") and "Tea caddy, lid" not in firing.names
        stage = {"bisque": "dried", "glaze": "bisque"}[firing.kind]
        assert firing.pieces[caddy].count == -(-found.lines[0].expected(stage).sets // 1)


def test_in_the_bisque_ware_touches_and_boxes_stand_rim_to_rim(demo):
    bisque, glaze = demo[2].firings
    assert bisque.oven.gap_mm == 0.0 and glaze.oven.gap_mm == 8.0
    beaker = bisque.names.index("Tall beaker (tarn-blue)")
    assert bisque.each[beaker] == 2 and glaze.each[beaker] == 1
    assert bisque.pieces[beaker].height_mm == pytest.approx(2.0 * demo[1]["tall-beaker"].value("cup.height", "dry"))


@every(
    ("stacking", "high", "each"),
    [
        ("{boxed: true}", 2.0, 2),
        ("{high: 3}", 3.0, 3),
        ("{high: 9}", 4.0, 4),
        ("{high: 4, rise: 20 mm}", None, 4),
        ("{boxed: true, high: 2}", 4.0, 4),
    ],
)
def test_stacks_in_the_bisque_never_higher_than_the_kiln(stacking, high, each):
    changes = {
        "forms/cup": CUP + f"stacking: {stacking}\n",
        "orders/shop": SMALL["specs/orders/shop.yaml"].replace("sets: 6", "sets: 60"),
    }
    bisque = plan(changes).firings[0]
    one = studio()[1]["cup"].value("cup.height", "dry")
    assert bisque.each == (each,)
    assert bisque.pieces[0].height_mm == pytest.approx(one + 60.0 if high is None else high * one)
    assert bisque.pieces[0].height_mm <= 400.0


def test_a_second_kiln_is_told_and_can_be_named():
    second = {"kilns/another": SMALL["specs/kilns/small.yaml"].replace("Small", "Another")}
    assert any(words.startswith("fired in Another") for words in plan(second).told)
    named = plan({**second, "orders/shop": SMALL["specs/orders/shop.yaml"] + "kiln: small\n"})
    assert named.firings[0].kiln == "small" and not any(words.startswith("fired in") for words in named.told)
    bare = plan({"kilns/small": "title: Small\n"})
    assert bare.firings == () and any(words.startswith("no kiln loads") for words in bare.told)


def test_what_does_not_fit_is_left_out_and_the_rest_is_planned():
    tall = CUP.replace("title: Cup", "title: Vase").replace("height: 90", "height: 420")
    order = "title: Shop\nlines:\n  - {form: vase, sets: 2}\n  - {form: cup, sets: 6}\n"
    found = plan({"forms/vase": tall, "orders/shop": order})
    assert [problem.rule for problem in found.problems] == ["taller-than-kiln"]
    assert found.problems[0].at.line == 3
    assert len(found.lines) == 2 and found.firings[0].names == ("Cup",)


# ---- days ----


def test_days_are_counted_back_from_due():
    found = plan(
        {
            "studio": SMALL["specs/studio.yaml"]
            + "days: {throwing: 2, trimming: 1, drying: 5, bisque: 2, glazing: 1, glaze: 2, spare: 2}\n"
        }
    )
    due, shown = datetime.date(2027, 5, 10), {day.work: (day.first, day.last) for day in found.days}
    day = lambda before: due - datetime.timedelta(before)
    assert (
        shown["spare"] == (day(2), day(1))
        and shown["glaze"] == (day(4), day(3))
        and shown["glazing"] == (day(5), day(5))
    )
    assert (
        shown["bisque"] == (day(7), day(6))
        and shown["drying"] == (day(12), day(8))
        and shown["trimming"] == (day(13), day(13))
    )
    assert shown["throwing"] == (day(15), day(14)) and shown["due"] == (due, due)


def test_one_invented_week_from_mondays_weighing_to_saturdays_unpacking():
    days = "days: {throwing: 1, trimming: 1, drying: 1, bisque: 1, glazing: 1, glaze: 1, spare: 0}\n"
    found = plan(
        {
            "studio": SMALL["specs/studio.yaml"] + days,
            "orders/shop": SMALL["specs/orders/shop.yaml"].replace("2027-05-10", "2027-05-16"),
        }
    )
    assert [(day.work, day.first.strftime("%a")) for day in found.days] == [
        ("throwing", "Mon"), ("trimming", "Tue"), ("drying", "Wed"), ("bisque", "Thu"), ("glazing", "Fri"), ("glaze", "Sat"), ("due", "Sun"),
    ]  # fmt: skip


def test_loads_are_fired_one_after_another():
    order = {"orders/shop": SMALL["specs/orders/shop.yaml"].replace("sets: 6", "sets: 300")}
    found = plan(order)
    loads, days = (
        {firing.kind: len(firing.loads) for firing in found.firings},
        {day.work: day.days for day in found.days},
    )
    assert loads["bisque"] > 1 and days["bisque"] == 2 * loads["bisque"] and days["glaze"] == 2 * loads["glaze"]


def test_days_at_the_wheel_follow_from_the_times():
    project, sheets, _ = studio({"forms/cup": CUP + "times: {throwing: 1 h, trimming: 10 min}\n"})
    found = make_plan(wanted_of(project.orders["shop"]), project, sheets)
    assert {day.work: day.days for day in found.days}["throwing"] == 2  # eight cups at an hour, six hours a day
    assert plan_days(datetime.date(2027, 5, 10), project.studio, (), {"throwing": 12.0})[0][0].days == 2


def test_a_day_that_has_passed_is_told_and_the_rest_is_planned():
    late = plan(today=datetime.date(2027, 5, 11))
    assert [problem.rule for problem in late.problems] == ["due-passed"] and late.lines
    soon = plan(today=datetime.date(2027, 5, 9))
    assert [problem.rule for problem in soon.problems] == ["begins-too-late"]
    assert plan(today=datetime.date(2027, 4, 1)).problems == () and plan().problems == ()
    begun = {"orders/shop": SMALL["specs/orders/shop.yaml"] + "made:\n  - {form: cup, thrown: {cup: 8}}\n"}
    assert plan(begun, today=datetime.date(2027, 5, 9)).problems == ()


# ---- cost ----


def test_a_cost_by_hand():
    """One glaze load and one bisque load, all of this form's; eight cups at 440 g or so, a quarter of an hour each."""
    costs = "costs: {clay: 1.00 /kg, glaze: 10 /kg, firing: {bisque: 14, glaze: 22}, hour: 24}\nstockists: {currency: GBP}\n"
    form = CUP + "times: {throwing: 15 min}\nstockist: {price: 20.00}\n"
    found = plan({"studio": SMALL["specs/studio.yaml"] + costs, "forms/cup": form})
    (row,), line = found.cost.lines, found.lines[0]
    assert row.cost.clay == pytest.approx(line.clay_g / 1000.0) and row.cost.firing == pytest.approx(36.0)
    assert row.cost.glaze == pytest.approx(found.glazes[0].dry_g / 100.0) and row.cost.time == pytest.approx(
        8 * 0.25 * 24
    )
    assert row.cost.each == pytest.approx(row.cost.total / 7.2) and row.price == 20.0
    assert found.cost.currency == "GBP" and found.cost.leaves_out and plan().cost is None


def test_firing_is_shared_by_shelf_and_height(demo):
    found = demo[2]
    assert sum(row.cost.firing for row in found.cost.lines) == pytest.approx(
        14 * len(found.firings[0].loads) + 22 * len(found.firings[1].loads)
    )


# ---- tally, stock ----


def test_counts_past_trimming_are_of_pairs(demo):
    project, sheets, _ = demo
    text = TEXTS["specs/orders/harbour-shop-may.yaml"].replace(
        "trimmed: {jar: 31, lid: 33}", "trimmed: {jar: 31, lid: 33}, dried: {jar: 28, lid: 29}"
    )
    changed = read_project({**TEXTS, "specs/orders/harbour-shop-may.yaml": text})
    found = make_plan(wanted_of(changed.orders["harbour-shop-may"]), changed, sheets)
    from scipy import stats

    assert found.tally[0].chance == pytest.approx(stats.binom.sf(23, 28, (0.98 * 0.97) ** 2), rel=1e-9)
    assert found.tally[0].latest == (("jar", "dried", 28), ("lid", "dried", 29))


def test_batches_add_up():
    made = "made:\n  - {form: cup, thrown: {cup: 3}, fired: {cup: 3}}\n  - {form: cup, thrown: {cup: 4}}\n"
    (tallied,) = plan({"orders/shop": SMALL["specs/orders/shop.yaml"] + made}).tally
    from scipy import stats

    assert tallied.chance == pytest.approx(stats.binom.sf(2, 4, 0.9), rel=1e-9) and tallied.made_sets == 3


def test_stock_is_what_is_over_and_a_plan_can_use_it():
    project, sheets, problems = studio(
        {
            "orders/yard": "title: Yard\nlines:\n  - {form: cup, sets: 4}\nmade:\n  - {form: cup, fired: {cup: 9}, seconds: 2}\nsent: 2026-01-01\n",
            "orders/shop": SMALL["specs/orders/shop.yaml"].replace("sets: 6", "sets: 6, from_stock: 1"),
        }
    )
    assert problems == []
    (found,) = planning.stock_on_hand(project)
    assert (found.form, found.sets, found.left, found.taken) == ("cup", 2, (("yard", 7, 4),), (("shop", 1),))
    wanted, used = planning.with_stock(wanted_of(project.orders["shop"]), [found])
    assert used == {"cup": 2} and wanted.lines[0].from_stock == 3
    assert make_plan(wanted, project, sheets).lines[0].make == 3
    assert [order.slug for order in planning.open_orders(project)] == ["shop"]


def test_all_from_stock_throws_nothing():
    found = plan({"orders/shop": SMALL["specs/orders/shop.yaml"].replace("sets: 6", "sets: 6, from_stock: 6")})
    assert found.lines[0].throw.pieces == {"cup": 0} and found.clay[0].weight_g == 0.0


# ---- what can't be ----


def test_a_bad_line_leaves_the_others():
    project, sheets, problems = studio(
        {
            "orders/shop": "title: Shop\nlines:\n  - {form: cup, sets: 0}\n  - {form: cap, sets: 3}\n  - {form: cup, sets: 6}\n"
        }
    )
    assert [(problem.rule, problem.at.line) for problem in problems] == [("not-whole", 3), ("unknown-slug", 4)]
    found = make_plan(wanted_of(project.orders["shop"]), project, sheets)
    assert [line.sets for line in found.lines] == [6] and any(
        words.startswith("cap is left out") for words in found.told
    )


def test_losses_that_leave_nothing_are_an_error_of_that_line_alone():
    lossy = CUP.replace("Cup", "Mug") + "losses: {throwing: 90 %, trimming: 90 %}\n"
    order = "title: Shop\nlines:\n  - {form: mug, sets: 2}\n  - {form: cup, sets: 6}\n"
    found = plan({"forms/mug": lossy, "orders/shop": order})
    assert [problem.rule for problem in found.problems] == ["losses-leave-nothing"] and [
        line.form for line in found.lines
    ] == ["cup"]


def test_a_lid_that_is_a_form_of_its_own_is_told():
    lid = (
        CUP.replace("Cup", "Lid")
        .replace("diameter: 80", "diameter: 70")
        .replace("diameter: 60", "diameter: 50")
        .replace("wall: 4", "opens: down\n    wall: 4\n    calipers: {edge: outside rim}")
    )
    jar = (
        CUP
        + "    calipers: {mouth: inside rim}\nfits:\n  lid: {inside: cup.mouth, outside: lid/cup.edge, clearance: {aim: 2}}\n"
    )
    found = plan({"forms/lid": lid, "forms/cup": jar})
    assert any("goes with lid" in words for words in found.told)


def test_orders_together_are_pooled():
    other = SMALL["specs/orders/shop.yaml"].replace("Shop", "Other").replace("2027-05-10", "2027-04-10")
    project, sheets, _ = studio({"orders/other": other})
    found = make_plan(planning.wanted_together(planning.open_orders(project)), project, sheets)
    assert [line.sets for line in found.lines] == [12] and found.due == datetime.date(2027, 4, 10)
    assert found.as_json()["order"] is None and found.as_json()["orders"] == ["other", "shop"]


def test_groups_are_parts_trimmed_to_one_another(demo):
    project = demo[0]
    assert groups_of(project.forms["tea-caddy"]) == (("jar", "lid"),)
    assert groups_of(project.forms["cup-and-saucer"]) == (("cup",), ("saucer",))
    assert isinstance(wanted_of(project.orders["harbour-shop-may"]), Wanted)


def test_a_tally_of_a_form_whose_fit_names_a_part_that_is_not_there():
    fit = "fits: {lid: {inside: cup.mouth, outside: cap.flange, clearance: {aim: 1}}}\n"
    tally = "title: Shop\nlines:\n  - {form: cup, sets: 6}\nmade:\n  - {form: cup, thrown: {cup: 8}, fired: {cup: 7}}\n"
    project, _, problems = studio({"forms/cup": CUP + fit, "orders/shop": tally})
    assert "unknown-part" in {problem.rule for problem in problems}
    assert planning.stock_on_hand(project)[0].sets == 1


@every(
    "changes, rule",
    [
        ({"glazes/heavy": "title: Heavy\ncoat: 0.9 kg/m2\npint_weight: 1.5 g/ml\ngrain_density: 1.42 g/cm3\n",
          "orders/shop": "title: Shop\nlines:\n  - {form: cup, sets: 6, glaze: heavy}\n  - {form: cup, sets: 2, glaze: heavy}\n"}, "slop-cannot-be"),
        ({"kilns/small": "title: Small\nshelves: {width: 300 mm, depth: 300 mm, tiers: 3}\ninside_height: 0 mm\n"}, "taller-than-kiln"),
        ({"orders/shop": "title: Shop\ndue: 2027-05-10\nlines:\n" + "  - {form: cup, sets: 10000}\n" * 11}, "too-many"),
        ({"orders/shop": "title: Shop\nlines:\n" + "  - {form: cup, sets: 1}\n" * 401}, "too-many"),
        ({"forms/cup": CUP + "    fill_to: 3\n    holds: 200 ml\n"}, "capacity-missed"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_and_ends_no_check(changes, rule):
    assert [problem.rule for problem in studio(changes)[2]].count(rule) == 1
