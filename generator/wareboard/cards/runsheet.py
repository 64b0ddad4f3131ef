"""A run's sheet: what to weigh, what to set, boards, counts, glaze, kiln and days, read standing with slip on the hands.

It says neither for whom the run is, where that is not known, nor what it costs.
"""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Iterator, Mapping

from markupsafe import Markup

from wareboard.cards.cardtext import in_language, size_class
from wareboard.cards.engine import CardText
from wareboard.drawing.dimensions import Lettering
from wareboard.drawing.shelves import draw_shelf, draw_stack, kind_letter
from wareboard.figures.plan import HEAVY_BOARD_KG, Firing, Plan, PlanGlaze, PlanLine
from wareboard.figures.planwords import (
    alike,
    ball_texts,
    blend_words,
    chance_text,
    expected_text,
    kilograms,
    litres,
    load_title,
    spare_words,
    sure_words,
    tally_words,
    tier_words,
    written_date,
)
from wareboard.figures.settings import wheel_rows
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, Row, reader_of
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _, later, ngettext, pointed, remembered
from wareboard.text.problems import capital
from wareboard.text.projects import Project
from wareboard.words.glossary import cautions_for
from wareboard.words.templating import TEMPLATES, render

PAPERS = ("A4", "Letter")
SAID = {
    "trimmed": later("trimmed"),
    "dried": later("bone dry"),
    "bisque": later("out of the bisque"),
    "fired": later("out of the glaze firing"),
}
# Every load beyond these is told in words alone.
MOST_PICTURES = 4


@frozen
class Weighed:
    """One part at the wheel: how many, what to weigh, what to set."""

    part: str
    pieces: int
    ball: str
    other: str
    sets: tuple[Row, ...]


@frozen
class Counted:
    """One part's expected counts, stage by stage."""

    part: str
    thrown: int
    expected: tuple[str, ...]


@frozen
class Job:
    """One line of the run, as it is made."""

    line: PlanLine
    weighed: tuple[Weighed, ...]
    counted: tuple[Counted, ...]
    note: str


@frozen
class Loaded:
    """One load, or several alike, as it is packed."""

    title: str
    stack: Markup
    shelves: tuple[tuple[str, str, Markup], ...]
    legend: tuple[tuple[str, str], ...]


def run_paper(wanted: str | None) -> str:
    """The paper of a run sheet: the one asked for, or A4 where a studio's own is smaller.

    >>> run_paper("Letter"), run_paper("A5")
    ('Letter', 'A4')
    """
    return wanted if wanted in PAPERS else "A4"


def plan_revision(plan: Plan) -> str:
    """A short hash of what a run's sheet is made from; the same plan, the same sheet."""
    shown = {
        name: value for name, value in plan.as_json().items() if name not in ("cost", "problems", "order", "orders")
    }
    # Nine digits, as in a form's revision: the last ones differ between machines.
    rounded = json.loads(json.dumps(shown), parse_float=lambda digits: f"{float(digits):.9g}")
    return hashlib.sha256(json.dumps(rounded, sort_keys=True).encode()).hexdigest()[:6]


def render_run(
    plan: Plan,
    project: Project,
    sheets: Mapping[str, Sheet],
    *,
    paper: str | None = None,
    made: datetime.date | None = None,
    site_url: str = "",
) -> CardText:
    """A run's sheet.

    Args:
        plan: the plan.
        project: the studio.
        sheets: each form's sheet by slug.
        paper: A4 or Letter; the studio's unless given.
        made: the day that stands on it; none unless given.
        site_url: not used; a run is for whoever holds the sheet.
    Returns: the sheet's text; `cards.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    studio = project.studio
    paper = paper or run_paper(str(studio.paper or ""))
    if paper not in PAPERS:
        raise ValueError(f"there is no run sheet on {paper}; there is one on {' and '.join(PAPERS)}")
    reader = reader_of(studio)
    html = render(
        "cards/runsheet.html",
        plan=plan, paper=paper, studio=studio, language=studio.language_tag, size_class=size_class(plan.title), revision=plan_revision(plan),
        day=written_date(made) if made else "", due=written_date(plan.due), jobs=[_job(line, sheets[line.form], reader) for line in plan.lines if line.make], clays=list(_clays(plan)), standing=[(tallied.title, tally_words(tallied)) for tallied in plan.tally],
        boards=list(_boards(plan)), glazes=[(glaze, list(_glaze_words(glaze))) for glaze in plan.glazes if glaze.dry_g is not None],
        firings=[(firing, _firing_words(firing), list(_loads(firing, plan, sheets))) for firing in plan.firings if firing.loads],
        days=[(written_date(day.first, year=False), written_date(day.last, year=False) if day.days > 1 else "", day.words) for day in plan.days],
        stages=list(SAID.values()), sure=sure_words(plan), cautions=cautions_for("throwing", "lifting", "glazing", "firing"),
    )  # fmt: skip
    return CardText(f"{plan.name}-run", _("{title}, run sheet").format(title=plan.title), html, _style())


@remembered()
def _style() -> str:
    return in_language((TEMPLATES / "cards" / "runsheet.css").read_text(encoding="utf-8"))


def _job(line: PlanLine, sheet: Sheet, reader: Reader) -> Job:
    set_rows = {rows.part: rows.rows for rows in wheel_rows(sheet, reader)}
    weighed = []
    for part, pieces in line.throw.pieces.items():
        ball, *other = ball_texts(line, part, reader)
        rows = tuple(row for row in set_rows.get(part, ()) if row.label != _("Ball"))
        weighed.append(Weighed(part, pieces, ball, other[0] if other else "", rows))
    counted = tuple(
        Counted(part, pieces, tuple(expected_text(line.expected(stage).pieces[part]) for stage in SAID))
        for part, pieces in line.throw.pieces.items()
    )
    spare = spare_words(line)
    own = _("Pair them at trimming; from drying on count pairs.") + " " if line.pairing == "own" else ""
    note = (
        own
        + (_("{spare}: spares for what is lost.").format(spare=capital(spare)) + " " if spare else "")
        + _("{chance} that {sets} or more come out.").format(chance=chance_text(line.throw.chance), sets=line.make)
    )
    return Job(line, tuple(weighed), counted, note)


def _clays(plan: Plan) -> Iterator[tuple[str, str, list[str]]]:
    blends = {blend.clay: blend for blend in plan.blends}
    for clay in plan.clay:
        words = (
            [ngettext("{count} bag", "{count} bags", clay.bags).format(count=clay.bags)]
            if clay.bags is not None
            else []
        )
        blend = blends.get(clay.clay)
        if blend and blend.blend.reached:
            used, wet, short = blend_words(blend)
            words += [
                _("{weight} of {clay} ({share} water)").format(weight=weight, clay=name, share=share)
                for name, share, weight in used
            ]
            words += [_("{weight} of water, worked in").format(weight=wet)] if wet else []
            words += [_("{weight} more to be bought").format(weight=short)] if short else []
        elif blend:
            words.append(
                _("what is at hand is too soft: {share} % is the firmest that it gives").format(
                    share=pointed(f"{(blend.blend.nearest_share or 0.0) * 100:.1f}")
                )
            )
        water = _("at {share} % water").format(share=pointed(f"{blend.wanted_share * 100:.1f}")) if blend else ""
        yield f"{clay.title}", f"{kilograms(clay.weight_g)} {water}".strip(), words


def _boards(plan: Plan) -> Iterator[tuple[str, int, int, int, str, bool]]:
    several = len({row.form for row in plan.boards}) > 1
    for row in plan.boards:
        yield (
            f"{row.title}, {row.part}" if several else row.part,
            row.pieces,
            row.a_board,
            row.boards,
            pointed(f"{row.full_kg:.1f} kg"),
            row.full_kg > HEAVY_BOARD_KG,
        )


def _glaze_words(glaze: PlanGlaze) -> Iterator[str]:
    assert glaze.dry_g is not None
    yield _("{weight} dry on the ware").format(weight=kilograms(glaze.dry_g)) + (
        _(", {slop} of slop at {density} kg/l").format(
            slop=litres(glaze.slop_l), density=pointed(f"{glaze.density_kg_l:.2f}")
        )
        if glaze.slop_l is not None
        else ""
    )
    if glaze.correction:
        made = glaze.correction
        add = (
            _("add {volume} of water").format(volume=litres(made.water_l))
            if made.water_l > 5e-3
            else _("add {weight} of dry glaze").format(weight=kilograms(made.dry_kg * 1000.0))
        )
        yield _("The bucket, {volume} at {density}: {add}").format(
            volume=litres(glaze.bucket_l), density=pointed(f"{glaze.found_kg_l:.2f}"), add=add
        )
    if glaze.deep_enough is not None:
        yield _("Slop stands {depth} mm deep; the tallest is {height} mm").format(
            depth=f"{glaze.depth_mm:.0f}", height=f"{glaze.tallest_mm:.0f}"
        ) + ("" if glaze.deep_enough else _(": pour it, or fill the bucket up"))


def _firing_words(firing: Firing) -> str:
    count = len(firing.loads)
    return ngettext("{count} load of {kiln}", "{count} loads of {kiln}", count).format(
        count=count, kiln=firing.kiln_title
    )


def _loads(firing: Firing, plan: Plan, sheets: Mapping[str, Sheet]) -> Iterator[Loaded]:
    own = [sheets[plan.lines[number].form] for number in firing.line_of]
    for number, (first, last, load) in enumerate(alike(firing)):
        name, drawn = f"{plan.name}-{firing.kind}-{first}", number < MOST_PICTURES
        shelves = tuple(
            (
                f"{place + 1}", tier_words(firing, load, place),
                Markup(draw_shelf(firing, tier, width_mm=37.0, name=f"{name}-{place}", lettering=Lettering(2.4, 3.0))) if drawn else Markup(""),
            )
            for place, tier in enumerate(load.tiers)
        )  # fmt: skip
        kinds = sorted({placed.kind for tier in load.tiers for placed in tier.placed})
        yield Loaded(
            load_title(first, last),
            Markup(draw_stack(firing, load, own, height_mm=50.0, name=f"{name}-stack", lettering=Lettering(2.6, 3.0)))
            if drawn
            else Markup(""),
            shelves,
            tuple((kind_letter(kind), firing.names[kind]) for kind in kinds),
        )
