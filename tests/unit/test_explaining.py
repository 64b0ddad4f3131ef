"""Figures as text, and the chain behind one."""

from wareboard.figures.explaining import find_figures, format_value, render_table, render_why
from wareboard.figures.figure import NO_DOUBT, Doubt, Figure, Told
from wareboard.pot.doubt import combined, known


def figure(key, stage, value, unit, doubt, how, inputs, source, given=False):
    return Figure(key, stage, value, unit, Told(value, how, inputs, {}, "", source, given, lambda: doubt))


class ThreeFigures:
    """A sheet with a chain of three figures, one of them used twice."""

    figures = (
        figure("cup.rim.diameter", "fired", 80.0, "mm", NO_DOUBT, "typed: 80", ("specs/forms/cup.yaml:2",), "", True),
        figure("clay.shrinkage", "fired", 12.0, "%", Doubt(0.129), "mean of bars", (), "ASTM"),
        figure("cup.rim.diameter", "wet", 90.90909, "mm", Doubt(0.1333), "80 / (1 − 12 %)", ("cup.rim.diameter fired", "clay.shrinkage fired"), "ASTM"),
        figure("gap", None, 0.5, "mm", NO_DOUBT, "half", ("cup.rim.diameter wet", "cup.rim.diameter fired", "elsewhere"), ""),
    )  # fmt: skip


def test_a_key_finds_every_stage_and_a_stage_finds_one():
    assert [figure.stage for figure in find_figures(ThreeFigures, "cup.rim.diameter")] == ["fired", "wet"]
    assert [figure.stage for figure in find_figures(ThreeFigures, " cup.rim.diameter  wet ")] == ["wet"]
    assert find_figures(ThreeFigures, "cup.rim.diameter dry") == []


def test_a_doubt_has_two_digits():
    assert format_value(ThreeFigures.figures[2]) == "90.909 mm ± 0.13"


def test_numbers_stand_in_a_column():
    assert (
        render_table(ThreeFigures.figures[1:3])
        == "clay.shrinkage    fired      12 % ± 0.13\ncup.rim.diameter  wet    90.909 mm ± 0.13"
    )


def test_the_chain_ends_at_what_was_typed():
    texts = {"specs/forms/cup.yaml": "title: Cup\nrim: {diameter: 80}\x07\n"}
    assert render_why(ThreeFigures, ThreeFigures.figures[3], texts).splitlines() == (
        [
            "gap = 0.5 mm",
            "    half = 0.5 mm",
            "    cup.rim.diameter wet = 90.909 mm ± 0.13",
            "        80 / (1 − 12 %) = 90.909 mm",
            "        source: ASTM",
            "        cup.rim.diameter fired = 80 mm",
            "            typed: 80 = 80 mm",
            "            specs/forms/cup.yaml:2",
            "                2 | rim: {diameter: 80}",
            "        clay.shrinkage fired = 12 % ± 0.13",
            "            mean of bars = 12 %",
            "            source: ASTM",
            "    cup.rim.diameter fired = 80 mm  (above)",
            "    elsewhere",
        ]
    )


def test_where_next_pieces_lie_stands_under_the_figure_that_was_asked_for():
    budget = combined([known("trimming", 0.23), known("piece to piece", 0.14)])
    asked = figure("gap", None, 1.4, "mm", Doubt(0.27, budget), "half", (), "")
    assert render_why(ThreeFigures, asked, {}).splitlines()[1] == (
        "    95 % of next pieces, of a lot not yet seen: 0.87–1.93 mm; from trimming 0.23, piece to piece 0.14"
    )


def test_no_doubt_worked_out_is_not_no_doubt():
    class WithoutBars(ThreeFigures):
        figures = tuple(one._replace(account=one.told._replace(doubt=None)) for one in ThreeFigures.figures)

    said = render_why(WithoutBars, WithoutBars.figures[3], {}).splitlines()[1]
    assert said == "    no doubt worked out: its clay has no test bars that tell"
