"""Sizes of one form: the page of a family that follows from it, the ladder on a form's page, and forms in other clays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup

from wareboard.drawing.familydrawing import draw_family
from wareboard.figures.clays import film_mm, glaze_loss_share
from wareboard.figures.shaping import Shaper
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of
from wareboard.text.problems import Impossible, format_words
from wareboard.text.projects import Project
from wareboard.text.specs import Form
from wareboard.words.pagetext import PageText
from wareboard.words.templating import plain, render

# Balls as a studio weighs them out, in steps that can be told apart on the shelf; common practice.
BALLS_G = (100, 150, 200, 250, 300, 350, 400, 500, 600, 700, 800, 1000, 1250, 1500, 1750, 2000, 2500, 3000, 3500, 4000, 5000, 6000, 8000, 10000)  # fmt: skip
LADDER_SPAN = 3.0  # from a third of the form's own ball to three times as much
MOST_FORMS = 60  # that a clay's page works out in the other clays


@dataclass(frozen=True, slots=True)
class Rung:
    """One size of a form: all of it as many times as large."""

    ball: str
    height: str
    across: str
    holds: str
    weighs: str
    own: bool


def ladder(sheet: Sheet, reader: Reader) -> list[Rung]:
    """A form from a small ball to a large one, everything in proportion, the wall too.

    Lengths go with the cube root of the ball, the glaze stays as thick as it is.

    Args:
        sheet: the form's figures.
        reader: how the studio reads them.
    Source: similarity: volumes go with the cube of the scale, areas with its square.
    """
    ball = sheet.find("ball", "wet")
    if ball is None or not ball.value > 0.0:
        return []
    wanted = sorted(
        {*(float(g) for g in BALLS_G if ball.value / LADDER_SPAN <= g <= ball.value * LADDER_SPAN), ball.value}
    )
    near = [g for g in wanted if g == ball.value or abs(g / ball.value - 1.0) > 0.06]
    return [_rung(sheet, reader, g, (g / ball.value) ** (1.0 / 3.0), g == ball.value) for g in near]


def _rung(sheet: Sheet, reader: Reader, ball_g: float, factor: float, own: bool) -> Rung:
    first = next(iter(sheet.shapes))
    vessel = next((name for name in sheet.shapes if sheet.find(f"{name}.capacity.fill", "fired")), None)
    holds = ""
    if vessel is not None:
        held, area = sheet.value(f"{vessel}.capacity.fill", "fired"), sheet.value(f"{vessel}.area.inside", "fired")
        bare = {stretch.what for stretch in sheet.form.parts[vessel].bare} & {"inside", "all"}  # type: ignore[index]
        film = 0.0 if bare else film_mm(sheet.glaze)
        # The film is no thinner on a small pot; on the whole inside, which is right to the brim.
        taken = film * area / 10.0
        holds = str(reader.amounts(max(0.0, (held + taken) * factor**3 - taken * factor**2), "ml")[0])
    mass = sheet.value("mass", "fired") * factor**3
    glaze = sheet.find("glaze.dry")
    if glaze is not None and sheet.glaze is not None:
        mass += glaze.value * (1.0 - glaze_loss_share(sheet.glaze)) * factor**2
    return Rung(
        str(reader.amounts(ball_g, "g", up=True)[0]),
        str(reader.amounts(sheet.value(f"{first}.height", "fired") * factor, "mm")[0]),
        str(reader.amounts(max(sheet.value(f"{name}.across", "fired") for name in sheet.shapes) * factor, "mm")[0]),
        holds,
        str(reader.amounts(mass, "g")[0]),
        own,
    )


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
        base: sorted(members, key=lambda sheet: sheet.value("ball", "wet") if sheet.figures else 0.0)
        for base, members in found.items() if len(members) > 1 and all(sheet.figures for sheet in members)
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


def render_families(project: Project, sheets: Mapping[str, Sheet]) -> Iterator[PageText]:
    """A page for each family: S, M, L side by side, drawn to one scale, with what is shared.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
    """
    reader = reader_of(project.studio)
    for base, members in families(project, sheets).items():
        first = sheets[base].form
        rows = list(_compared(members, reader))
        body = render(
            "pages/family.html", base=first, members=[sheet.form for sheet in members], rows=rows,
            picture=Markup(draw_family(members)), shared=_shared(members),
        )  # fmt: skip
        title = f"{first.title} in {len(members)} sizes"
        words = " ".join(str(sheet.form.title) for sheet in members)
        yield PageText(family_path(base), title, body, f"{title}, side by side, to one scale.", plain(words))


def _compared(members: Sequence[Sheet], reader: Reader) -> Iterator[tuple[str, list[str]]]:
    first = next(iter(members[0].shapes))
    vessel = next((name for name in members[0].shapes if members[0].find(f"{name}.capacity.fill", "fired")), None)
    wanted = [
        ("ball", "ball", "wet"), ("high", f"{first}.height", "fired"), ("widest", f"{first}.across", "fired"),
        *([("holds", f"{vessel}.capacity.fill", "fired")] if vessel else []), ("wall", f"{first}.wall.thickness", "fired"),
        ("floor", f"{first}.floor.thickness", "fired"), ("weighs, without glaze", "mass", "fired"),
    ]  # fmt: skip
    for label, key, stage in wanted:
        found = [sheet.find(key, stage) for sheet in members]
        if all(figure is not None for figure in found):
            yield label, [str(reader.figure(figure)[0]) for figure in found if figure is not None]
    yield (
        "times as large",
        ["1" if sheet.form.factor in (None, 1.0) else f"{sheet.form.factor:.3g}" for sheet in members],
    )


def _shared(members: Sequence[Sheet]) -> list[str]:
    """What all members have in common, in words."""
    said = []
    clays = {str(sheet.clay.title) for sheet in members}
    said.append(
        f"Clay: {format_words(sorted(clays), 'and')}."
        if len(clays) == 1
        else f"Clays: {format_words(sorted(clays), 'and')}."
    )
    glazes = {str(sheet.glaze.title) for sheet in members if sheet.glaze}
    if glazes:
        said.append(f"Glaze: {format_words(sorted(glazes), 'and')}.")
    gauges = {
        str(caliper.gauge)
        for sheet in members
        for part in sheet.form.parts.values()
        for caliper in part.calipers.values()
        if caliper.gauge
    }
    if gauges:
        said.append(f"Gauges: {format_words(sorted(gauges), 'and')}: one setting for all.")
    for sheet in members:
        if sheet.form.resized and sheet.form.resized.keep:
            said.append(f"{sheet.form.title} keeps {format_words(map(str, sheet.form.resized.keep), 'and')}.")
    if any(sheet.form.fits for sheet in members):
        said.append("Clearances are the same on every size.")
    return said


# ---- in other clays ----


@dataclass(frozen=True, slots=True)
class InClays:
    """One part's settings in a clay and in the others: a number each."""

    title: str
    slug: str
    part: str
    setting: str
    numbers: tuple[str, ...]


def settings_in_clays(slug: str, project: Project, sheets: Mapping[str, Sheet]) -> tuple[list[str], list[InClays]]:
    """What each form of a clay is set to, in it and in the studio's other clays: the ball, and the pointer at its first station.

    Args:
        slug: the clay.
        project: the studio.
        sheets: each form's sheet by slug.
    Returns: the other clays' titles, and the rows.
    """
    others = [spec for name, spec in project.clays.items() if name != slug]
    forms = [sheet for sheet in sheets.values() if str(sheet.form.clay) == slug and sheet.figures][:MOST_FORMS]
    if not others or not forms:
        return [], []
    reader, rows = reader_of(project.studio), []
    shaper = Shaper(project)
    for sheet in forms:
        found = [_settings(sheet.form, project, shaper)]
        for spec in others:
            changed = replace(sheet.form, clay=type(sheet.form.clay)(spec.slug, sheet.form.clay.at))
            here = replace(project, forms={**project.forms, sheet.slug: changed})
            found.append(_settings(changed, here, shaper.beside(here)))
        for name in sheet.form.parts:
            for setting, unit in (("ball", "g"), ("pointer up", "mm"), ("pointer out", "mm")):
                values = [settings.get((str(name), setting)) for settings in found]
                if values[0] is not None:
                    shown = tuple(
                        "" if value is None else str(reader.amounts(value, unit, up=unit == "g")[0]) for value in values
                    )
                    rows.append(InClays(str(sheet.form.title), sheet.slug, str(name), setting, shown))
    return [str(spec.title) for spec in others], rows


def _settings(form: Form, project: Project, shaper: Shaper) -> dict[tuple[str, str], float]:
    found: dict[tuple[str, str], float] = {}
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
            (str(name), "ball"): ball,
            (str(name), "pointer up"): height + bat,
            (str(name), "pointer out"): radius,
        }
    return found
