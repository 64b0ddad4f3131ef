"""A kiln's pictures: every piece is drawn, letters name the kinds, nothing hangs over; the chance against pieces thrown."""

import re

import pytest
from wareboard.drawing.shelves import draw_chances, draw_shelf, draw_stack, kind_letter
from wareboard.figures.planning import make_plan, wanted_of
from wareboard.figures.throwing import CURVE, chance_curve

from tests.demo import worked_out


@pytest.fixture(scope="module")
def demo():
    project, sheets = worked_out()
    return project, sheets, make_plan(wanted_of(project.orders["harbour-shop-may"]), project, sheets)


def test_every_piece_of_a_shelf_is_drawn_with_its_letter(demo):
    for firing in demo[2].firings:
        for load in firing.loads:
            for tier in load.tiers:
                svg = draw_shelf(firing, tier, width_mm=58.0, name="shelf")
                letters = re.findall(r"<text[^>]*>([A-Z]+)</text>", svg)
                assert sorted(letters) == sorted(kind_letter(placed.kind) for placed in tier.placed)
                # the frame and a circle for each, and one more inside it where it is a stack
                middle = re.search(r'class="middle" d="([^"]*)"', svg)[1]
                assert middle.count("Z") == len(tier.placed)


def test_a_shelf_is_drawn_to_one_scale(demo):
    firing = demo[2].firings[0]
    svg = draw_shelf(firing, firing.loads[0].tiers[0], width_mm=50.0, name="shelf")
    width, height = (float(re.search(rf' {side}="([\d.]+)mm"', svg)[1]) for side in ("width", "height"))
    # 500 × 450 mm at a tenth, and a margin of 0.6 mm
    assert (width, height) == pytest.approx((51.2, 46.2), abs=0.05)


def test_the_stack_names_every_shelf_and_stays_within_the_kiln(demo):
    project, sheets, plan = demo
    for firing in plan.firings:
        own = [sheets[plan.lines[number].form] for number in firing.line_of]
        for load in firing.loads:
            svg = draw_stack(firing, load, own, height_mm=70.0, name="stack")
            said = re.findall(r"<text[^>]*>([^<]*)</text>", svg)
            assert len(said) == len(load.tiers) and said[-1].startswith(f"{len(load.tiers)}. top")
            ys = [
                -float(y)
                for path in re.findall(r' d="([^"]*)"', svg)
                for y in re.findall(r"[ML]-?[\d.]+ (-?[\d.]+)", path)
            ]
            assert max(ys) <= 70.05 and min(ys) >= -0.05


def test_the_chance_picture_rises_and_marks_what_is_planned(demo):
    project, sheets, plan = demo
    for line in plan.lines:
        curve = chance_curve(line, sheets[line.form])
        assert [curve[share].chance >= share for share in CURVE] == [True] * len(CURVE)
        svg = draw_chances(line, curve, plan.confidence, name="chances")
        words = re.search(r"<desc[^>]*>([^<]*)</desc>", svg)[1]
        told = [(int(count), float(share)) for count, share in re.findall(r"(\d+) pieces (?:over )?([\d.]+) %", words)]
        assert told == sorted(told) and [share for _, share in told] == sorted(share for _, share in told)
        assert sum(line.throw.pieces.values()) in [count for count, _ in told]


def test_letters():
    assert [kind_letter(place) for place in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]
