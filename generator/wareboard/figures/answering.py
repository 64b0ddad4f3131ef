"""From a sheet to the plain numbers that a page answers with: its fits, what is set, its balls, what it holds, its clay.

Pure: small records out, which `text/javascript` writes as JSON. The arithmetic itself is `pot/answers`.
"""

from __future__ import annotations

from collections.abc import Iterator

from wareboard.figures.clays import make_body
from wareboard.figures.matching import fired_limits_mm, pieces_of, ruler_step_mm
from wareboard.figures.resolve import COMMON_SPREADS
from wareboard.figures.settings import (
    AT_TRIMMING,
    CALIPERS,
    FLOOR,
    POINTER,
    RECESS,
    THROWN,
    TURNED,
    Setting,
    settings_of,
)
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader
from wareboard.figures.tolerances import tolerance_of
from wareboard.figures.trimsettings import trim_settings_of
from wareboard.pot import fits
from wareboard.pot.budgets import USUAL_WEIGHT_SHARE
from wareboard.pot.clay import Body
from wareboard.pot.fits import Fit
from wareboard.pot.frozen import frozen
from wareboard.text.languages import pointed
from wareboard.text.projects import Project
from wareboard.text.quantities import metric_step


@frozen
class AskedPiece:
    """One side of a fit as it is asked about: what it is called, what the sheet's piece is thrown to, and how sure that is."""

    name: str
    size_name: str
    thrown_mm: float
    thrown_g: float | None
    calipers_mm: float
    weight_share: float


@frozen
class AskedFit:
    """A fit as it is asked about; limits fired, None where nobody gave one."""

    name: str
    fit: Fit
    inside: AskedPiece
    outside: AskedPiece
    aim_mm: float
    least_mm: float | None
    most_mm: float | None


@frozen
class AskedSize:
    """What a tool is set to, and the fired size that comes of it; `fired_mm` None where nobody could measure one.

    `base_mm` is what of the setting is no clay; `wet_mm` and `fired_mm` are of the whole size, where a pointer reaches half of it.
    """

    part: str
    name: str
    tool: str
    stage: str
    upward: bool
    set_mm: float
    base_mm: float
    wet_mm: float | None
    fired_mm: float | None
    plus_minus_mm: float
    rounds_up: bool = False


@frozen
class AskedBall:
    """A part's ball as it is weighed out, and what it is called."""

    part: str
    ball_g: float


@frozen
class Tools:
    """A studio's tools and systems as a page rounds and writes by them; `unit` is that of a bare length."""

    systems: tuple[str, ...]
    ruler_mm: float
    inch_in: float
    scale_g: float
    metric_scale_g: float
    turn_step_mm: float
    unit: str
    decimal: str
    fluid_ounce: str | None


@frozen
class Asked:
    """Everything that a form's page answers with."""

    form: str
    title: str
    clay: str
    body: Body
    tools: Tools
    fits: tuple[AskedFit, ...]
    sizes: tuple[AskedSize, ...]
    balls: tuple[AskedBall, ...]


def tools_of(reader: Reader, unit: str) -> Tools:
    """A studio's tools as a page needs them.

    Args:
        reader: how the studio reads.
        unit: what a length without a unit is in.
    """
    steps = reader.steps
    return Tools(
        reader.systems, metric_step(steps.ruler_mm), steps.inch_in, steps.scale_g, metric_step(steps.scale_g), ruler_step_mm(reader), unit,
        pointed("."), reader.fluid_ounce,
    )  # fmt: skip


def asked_of(made: Sheet, reader: Reader) -> Asked:
    """What a form is asked about.

    Args:
        made: the sheet of the pot that is made to its settings.
        reader: how the studio reads it.
    """
    tools = tools_of(reader, str(made.form.unit or "mm"))
    return Asked(
        made.slug, str(made.form.title), str(made.form.clay), make_body(made.clay), tools, tuple(_fits(made)), tuple(_sizes(made)), tuple(_balls(made)),
    )  # fmt: skip


def _fits(made: Sheet) -> Iterator[AskedFit]:
    share = made.spreads.weight_share if made.spreads else None
    for name, record in made.fits.items():
        sides = []
        for piece, side in zip(pieces_of(made, name), (record.inside, record.outside), strict=True):
            calipers_mm = side.spreads.calipers_mm or COMMON_SPREADS["calipers"]
            weight_share = USUAL_WEIGHT_SHARE if share is None else share
            sides.append(
                AskedPiece(piece.said, piece.size_name, piece.thrown_mm, piece.thrown_g, calipers_mm, weight_share)
            )
        least, most = fired_limits_mm(record)
        yield AskedFit(str(name), record, sides[0], sides[1], fits.at_fired_mm(record, record.aim_mm), least, most)


def _balls(made: Sheet) -> Iterator[AskedBall]:
    for name in made.form.parts:
        if figure := made.find(f"{name}.ball.set", "wet"):
            yield AskedBall(str(name), figure.value)


def _sizes(made: Sheet) -> Iterator[AskedSize]:
    """Settings at the wheel, then those at trimming, part by part."""
    for name, settings in settings_of(made).by_part.items():
        for one in settings:
            if one.kind == POINTER:
                yield from _pointer(made, name, one)
            elif one.kind in (CALIPERS, THROWN):
                yield _calipers(made, name, one)
            elif one.kind == FLOOR:
                yield AskedSize(name, "floor", "needle", "wet", True, one.ends[0].value, 0.0, None, None, 0.0, True)
    for name, turned in trim_settings_of(made).items():
        for one in turned:
            if one.kind == TURNED:
                key, deep = one.ends[0].key, one.place == RECESS
                measured = (None, None, 0.0) if deep else _measured(made, key)
                yield AskedSize(
                    name, one.place, f"turned, {one.side}", AT_TRIMMING, deep, one.ends[0].value, 0.0, *measured,
                )  # fmt: skip


def _pointer(made: Sheet, name: str, one: Setting) -> Iterator[AskedSize]:
    bat = made.studio.bat.value if made.studio.bat else 0.0
    # A lid is thrown the other way up, on clay that is turned off: how high its edge stands is nobody's fired size.
    high = (None, None, 0.0) if made.form.parts[name].opens_down else _measured(made, f"{name}.{one.place}.height")
    across = _measured(made, f"{name}.{one.place}.diameter")
    for end in one.ends:
        up = end.end == "up"
        yield AskedSize(
            name, one.place, f"pointer, {end.end}", "wet", up, end.value, bat if up else 0.0, *(high if up else across)
        )


def _calipers(made: Sheet, name: str, one: Setting) -> AskedSize:
    tool = f"calipers, {one.side}"
    measured = (None, None, 0.0) if one.kind == THROWN else _measured(made, f"{name}.{one.place}")
    return AskedSize(name, one.place, tool, "wet", False, one.ends[0].value, 0.0, *measured, one.kind == THROWN)


def _measured(made: Sheet, key: str) -> tuple[float | None, float | None, float]:
    """A size wet and fired, and by how much it may be out."""
    wet, fired = made.find(key, "wet"), made.find(key, "fired")
    if wet is None or fired is None or not fired.value > 0.0:
        return None, None, 0.0
    found = tolerance_of(made, fired)
    return wet.value, fired.value, (found.plus_minus or 0.0) if found else 0.0


@frozen
class StudioClay:
    """One of the studio's clays as a page asks about it."""

    slug: str
    title: str
    body: Body


def clays_of(project: Project) -> tuple[StudioClay, ...]:
    """The studio's clays, for what another one changes.

    Args:
        project: the studio.
    """
    return tuple(StudioClay(str(slug), str(clay.title), make_body(clay)) for slug, clay in project.clays.items())
