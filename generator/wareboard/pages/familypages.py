"""Sizes of one form: the page of a family that follows from it, the ladder on a form's page, and forms in other clays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from math import isfinite

from markupsafe import Markup

from wareboard.drawing.outsidedrawing import draw_family
from wareboard.figures.clays import film_mm, glaze_loss_share
from wareboard.figures.settings import as_set
from wareboard.figures.shaping import Shaper
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of
from wareboard.pot import answers
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _, later, pointed
from wareboard.text.problems import Impossible, joined
from wareboard.text.projects import Project
from wareboard.text.quantities import IMPERIAL
from wareboard.text.specs import Form
from wareboard.words.pagetext import Kept, KeptNumbers, PageText, unkept
from wareboard.words.templating import plain, render

# Balls as they are weighed out, in steps that can be told apart on the shelf: the first figures of a decade of grams, and
# ounces up to a pound and pounds from there; common practice.
OUNCE_G = 453.59237 / 16.0  # the avoirdupois pound is 0.453 592 37 kg: NIST Handbook 44, appendix C
DECADE = (1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 7.0, 8.0)
OUNCES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 14.0)
POUNDS = (*DECADE, 9.0)
SAME_SHARE = 0.06  # nearer to one another, two balls are one
LADDER_SPAN = (
    3.0  # from a third of the form's own ball to three times as much, where the studio has but one size of ball
)
MOST_FORMS = 60  # that a clay's page works out in the other clays

# Where a form's page says what depends on the studio's other forms; that is put in when the page is read.
LADDER_GAP, FAMILY_GAP = Markup("<!-- smaller and larger -->"), Markup("<!-- family -->")


@frozen
class Among:
    """What a form's page takes from the studio's other forms: the least and the greatest ball, g, and each one's family page."""

    least_ball_g: float
    greatest_ball_g: float
    families: Mapping[str, str]


@frozen
class Growth:
    """What a form comes to at another size: each number, and what of it does not grow as the clay does.

    `held_ml` is bare of glaze, of which `film_ml` is taken; `body_g` and `glaze_g` are what it weighs fired.
    """

    slug: str
    ball_g: float
    height_mm: float
    across_mm: float
    held_ml: float | None
    film_ml: float
    body_g: float
    glaze_g: float
    is_glazed: bool
    is_set: bool


@frozen
class Rung:
    """One size of a form: all of it as many times as large."""

    ball: str
    height: str
    across: str
    holds: str
    weighs: str
    own: bool


def growth_of(sheet: Sheet) -> Growth | None:
    """What a form comes to at another size; None where its ball is not known.

    Args:
        sheet: the form's figures, as it is made to its settings.
    """
    ball = sheet.find("ball", "wet")
    if ball is None or not ball.value > 0.0:
        return None
    vessel = next((name for name in sheet.shapes if sheet.find(f"{name}.capacity.fill", "fired")), None)
    held, film_ml = None, 0.0
    if vessel is not None:
        bare = {stretch.what for stretch in sheet.form.parts[vessel].bare} & {"inside", "all"}  # type: ignore[index]
        # The film is no thinner on a small pot; on the whole inside, which is right to the brim.
        film_ml = 0.0 if bare else film_mm(sheet.glaze) * sheet.value(f"{vessel}.area.inside", "fired") / 10.0
        held = sheet.value(f"{vessel}.capacity.fill", "fired") + film_ml
    glaze = sheet.find("glaze.dry")
    glaze_g = (
        glaze.value * (1.0 - glaze_loss_share(sheet.glaze)) if glaze is not None and sheet.glaze is not None else 0.0
    )
    return Growth(
        sheet.slug, ball.value, sheet.value(f"{next(iter(sheet.shapes))}.height", "fired"),
        max(sheet.value(f"{name}.across", "fired") for name in sheet.shapes), held, film_ml,
        sheet.value("mass", "fired"), glaze_g, sheet.glaze is not None, len(sheet.form.parts) > 1,
    )  # fmt: skip


def ladder(growth: Growth, reader: Reader, least_g: float, greatest_g: float) -> list[Rung]:
    """A form from the studio's smallest ball to its largest, everything in proportion, the wall too.

    Lengths go with the cube root of the ball, the glaze stays as thick as it is.

    Args:
        growth: what the form comes to at another size.
        reader: how the studio reads it.
        least_g, greatest_g: the least and the greatest ball that the studio weighs out; where they are one size, the ladder
            goes from a third of the form's own ball to three times as much.
    Source: similarity: volumes go with the cube of the scale, areas with its square.
    """
    own = growth.ball_g
    if not greatest_g > least_g * (1.0 + SAME_SHARE):
        least_g, greatest_g = own / LADDER_SPAN, own * LADDER_SPAN
    # The form's own ball stands before the studio's ends, and those before the steps between.
    balls = [own]
    for g in (least_g, greatest_g, *sensible_balls(least_g, greatest_g, in_ounces=reader.systems[0] == IMPERIAL)):
        if all(abs(g / other - 1.0) > SAME_SHARE for other in balls):
            balls.append(g)
    return [_rung(growth, reader, g) for g in sorted(balls)]


def sensible_balls(least_g: float, greatest_g: float, *, in_ounces: bool = False) -> list[float]:
    """The balls between two, in the steps in which clay is weighed out.

    Args:
        least_g, greatest_g: the ends, g.
        in_ounces: in ounces and pounds.
    Returns: grams, the smallest first.
    >>> sensible_balls(240, 520)
    [250.0, 300.0, 350.0, 400.0, 500.0]
    """
    decades = range(-1, 6)
    steps = (
        [ounces * OUNCE_G for ounces in OUNCES]
        + [pounds * 16.0 * OUNCE_G * 10.0**n for n in range(4) for pounds in POUNDS]
        if in_ounces
        else [first * 10.0**n for n in decades for first in DECADE]
    )
    return [g for g in steps if least_g <= g <= greatest_g]


def _rung(growth: Growth, reader: Reader, ball_g: float) -> Rung:
    factor = (ball_g / growth.ball_g) ** (1.0 / 3.0)
    holds = ""
    if growth.held_ml is not None:
        holds = str(reader.amounts(answers.scaled_amount(growth.held_ml, -growth.film_ml, factor), "ml")[0])
    return Rung(
        str(reader.amounts(ball_g, "g", up=True)[0]),
        str(reader.amounts(growth.height_mm * factor, "mm", small=True)[0]),  # read, not set
        str(reader.amounts(growth.across_mm * factor, "mm", small=True)[0]),
        holds,
        str(reader.amounts(answers.scaled_amount(growth.body_g, growth.glaze_g, factor), "g")[0]),
        ball_g == growth.ball_g,
    )


def among_forms(project: Project, balls_g: Mapping[str, float]) -> Among:
    """What a form's page takes from the studio's other forms.

    Args:
        project: the studio.
        balls_g: what each form's balls weigh together, by slug; infinite where that is not known.
    """
    known = {slug: ball for slug, ball in balls_g.items() if isfinite(ball)}
    members: dict[str, list[str]] = {}
    for slug in balls_g:
        members.setdefault(base_of(project.forms[slug], project), []).append(slug)
    found = {
        slug: family_path(base) for base, slugs in members.items() if len(slugs) > 1 and known.keys() >= set(slugs) for slug in slugs
    }  # fmt: skip
    return Among(min(known.values(), default=0.0), max(known.values(), default=0.0), found)


def in_studio(body: str, slug: str, growth: Growth | None, reader: Reader, among: Among) -> Markup:
    """A form's page with what depends on the studio's other forms put in.

    Args:
        body: the page with gaps.
        slug: the form.
        growth: what the form comes to at another size.
        reader: how the studio reads it.
        among: the studio's other forms.
    """
    rungs = ladder(growth, reader, among.least_ball_g, among.greatest_ball_g) if growth else []
    table = render("pages/ladder.html", ladder=rungs, growth=growth) if rungs else ""
    path = among.families.get(slug)
    family = " " + _('One of <a href="{address}">a family of sizes</a>.').format(address=f"../{path}") if path else ""
    return Markup(body.replace(FAMILY_GAP, family).replace(LADDER_GAP, table))


# ---- a family ----


def families(project: Project, sheets: Mapping[str, Sheet]) -> dict[str, list[Sheet]]:
    """Forms that are like one another, by the one that the others follow, each smallest first.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
    """
    found: dict[str, list[Sheet]] = {}
    for sheet in sheets.values():
        base = base_of(sheet.form, project)
        found.setdefault(base, []).append(sheet)
    return {
        base: sorted(members, key=lambda sheet: sheet.ball_g)
        for base, members in found.items() if len(members) > 1 and all(sheet.is_worked_out for sheet in members)
    }  # fmt: skip


def base_of(form: Form, project: Project) -> str:
    """The form at the end of a chain of likes."""
    seen = {form.slug}
    while form.like is not None and str(form.like) in project.forms and str(form.like) not in seen:
        form = project.forms[form.like]
        seen.add(form.slug)
    return form.slug


def family_path(base: str) -> str:
    """Where a family's page stands."""
    return f"families/{base}.html"


def render_families(project: Project, sheets: Mapping[str, Sheet], kept: Kept = unkept) -> Iterator[PageText]:
    """A page for each family: S, M, L side by side, drawn to one scale, with what is shared.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
        kept: gives a family's page, given what makes it.
    """
    reader = reader_of(project.studio)
    for base, members in families(project, sheets).items():
        made = partial(_render_family, sheets[base].form, members, reader)
        yield from kept(family_path(base), [sheet.slug for sheet in members], made)


def _render_family(base: Form, sheets: Sequence[Sheet], reader: Reader) -> tuple[PageText, ...]:
    members = [as_set(sheet) for sheet in sheets]
    body = render(
        "pages/family.html", base=base, members=[sheet.form for sheet in members], rows=list(_compared(members, reader)),
        picture=Markup(draw_family(members)), shared=_shared(members),
    )  # fmt: skip
    title = _("{title} in {count} sizes").format(title=base.title, count=len(members))
    description = _("{title}, side by side, to one scale.").format(title=title)
    words = plain(" ".join(str(sheet.form.title) for sheet in members))
    return (PageText(family_path(base.slug), title, body, description, words),)


def _compared(members: Sequence[Sheet], reader: Reader) -> Iterator[tuple[str, list[str]]]:
    first = next(iter(members[0].shapes))
    vessel = next((name for name in members[0].shapes if members[0].find(f"{name}.capacity.fill", "fired")), None)
    wanted = [
        (_("ball"), "ball", "wet"), (_("high"), f"{first}.height", "fired"), (_("widest"), f"{first}.across", "fired"),
        *([(_("holds"), f"{vessel}.capacity.fill", "fired")] if vessel else []), (_("wall"), f"{first}.wall.thickness", "fired"),
        (_("floor"), f"{first}.floor.thickness", "fired"), (_("weighs, without glaze"), "mass", "fired"),
    ]  # fmt: skip
    for label, key, stage in wanted:
        found = [sheet.find(key, stage) for sheet in members]
        if all(figure is not None for figure in found):
            yield label, [str(reader.figure(figure)[0]) for figure in found if figure is not None]
    yield (
        _("times as large"),
        ["1" if sheet.form.factor in (None, 1.0) else pointed(f"{sheet.form.factor:.3g}") for sheet in members],
    )


def _shared(members: Sequence[Sheet]) -> list[str]:
    """What all members have in common, in words."""
    said = []
    clays = {str(sheet.clay.title) for sheet in members}
    said.append(
        _("Clay: {clays}.").format(clays=joined(sorted(clays)))
        if len(clays) == 1
        else _("Clays: {clays}.").format(clays=joined(sorted(clays)))
    )
    glazes = {str(sheet.glaze.title) for sheet in members if sheet.glaze}
    if glazes:
        said.append(_("Glaze: {glazes}.").format(glazes=joined(sorted(glazes))))
    gauges = {
        str(caliper.gauge)
        for sheet in members
        for part in sheet.form.parts.values()
        for caliper in part.calipers.values()
        if caliper.gauge
    }
    if gauges:
        said.append(_("Gauges: {gauges}: one setting for all.").format(gauges=joined(sorted(gauges))))
    for sheet in members:
        if sheet.form.resized and sheet.form.resized.keep:
            said.append(
                _("{title} keeps {sizes}.").format(
                    title=sheet.form.title, sizes=joined(_(str(one)) for one in sheet.form.resized.keep)
                )
            )
    if any(sheet.form.fits for sheet in members):
        said.append(_("Clearances are the same on every size."))
    return said


# ---- in other clays ----


@frozen
class InClays:
    """One part's settings in a clay and in the others: a number each."""

    title: str
    slug: str
    part: str
    setting: str
    numbers: tuple[str, ...]


def settings_in_clays(
    slug: str, project: Project, sheets: Mapping[str, Sheet], kept: KeptNumbers = unkept
) -> tuple[list[str], list[InClays]]:
    """What each form of a clay is set to, in it and in the studio's other clays: the ball, and the pointer at its first station.

    Args:
        slug: the clay.
        project: the studio.
        sheets: each form's sheet by slug.
        kept: gives what a form is set to in a clay, given what works it out.
    Returns: the other clays' titles, and the rows.
    """
    others = [spec for name, spec in project.clays.items() if name != slug]
    forms = [sheet for sheet in sheets.values() if str(sheet.form.clay) == slug and sheet.is_worked_out][:MOST_FORMS]
    if not others or not forms:
        return [], []
    reader, rows = reader_of(project.studio), []
    shaper = Shaper(project)
    for sheet in forms:
        found = [
            kept(str(spec.slug), sheet.slug, partial(_settings_in, spec.slug, sheet.form, project, shaper))
            for spec in (project.clays[slug], *others)
        ]
        for name in sheet.form.parts:
            for setting, unit in ((later("ball"), "g"), (later("pointer up"), "mm"), (later("pointer out"), "mm")):
                values = [settings.get(f"{name} {setting}") for settings in found]
                if values[0] is not None:
                    shown = tuple(
                        "" if value is None else str(reader.amounts(value, unit, up=unit == "g")[0]) for value in values
                    )
                    rows.append(InClays(str(sheet.form.title), sheet.slug, str(name), _(setting), shown))
    return [str(spec.title) for spec in others], rows


def _settings_in(clay: str, form: Form, project: Project, shaper: Shaper) -> dict[str, float]:
    """What a form is set to in a clay, its own or another, by part and setting: g and mm."""
    if clay != form.clay:
        form = replace(form, clay=type(form.clay)(clay, form.clay.at))
        project = replace(project, forms={**project.forms, form.slug: form})
        shaper = Shaper(project)
    found: dict[str, float] = {}
    bat = project.studio.bat.value if project.studio.bat else 0.0
    for name, part in form.parts.items():
        try:
            shape = shaper.shape(form, name)
        except Impossible:
            continue
        lost = part.throwing.loss.value if part.throwing and part.throwing.loss else 0.0
        ball = shape.thrown_volume_mm3 / 1000.0 * shape.body.wet_density_g_cm3 / (1.0 - lost)
        radius, height = shape.thrown("wet").stations[part.gauge_stations[0]]
        found |= {
            f"{name} ball": ball,
            f"{name} pointer up": height + bat,
            f"{name} pointer out": radius,
        }
    return found
