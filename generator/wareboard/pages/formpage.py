"""One form's page, in the order of the work: wheel, trimming, fit, glaze and fired, sizes, workings."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

from markupsafe import Markup

from wareboard.cards.bench import judged
from wareboard.cards.cardkinds import FORM, KINDS
from wareboard.cards.revisions import OldCard
from wareboard.cards.trimming import BEGIN
from wareboard.drawing import charts, closeups, formdrawing, workdrawing
from wareboard.drawing.outsidedrawing import draw_with_handles, has_handles
from wareboard.drawing.svg import compact
from wareboard.figures.clays import assumed_notes, doubt_words, make_body
from wareboard.figures.fitting import TAKEN_FOR_GRANTED
from wareboard.figures.matching import ASSUMES, LEAVES_OUT, match_table_of, part_said, pieces_of, set_mm, turn_table_of
from wareboard.figures.settings import as_set, wheel_rows
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import (
    PartRows,
    Reader,
    Row,
    fill_quotes,
    fired_weight,
    reader_of,
    rows_of,
)
from wareboard.figures.tolerances import wheel_checks
from wareboard.figures.trimsettings import Reading, ready_readings
from wareboard.pages.familypages import FAMILY_GAP, LADDER_GAP, Among, Growth, among_forms, growth_of, in_studio
from wareboard.pages.stagetables import StageTable, fit_table, stage_tables
from wareboard.pages.workings import opened_rows, workings_path
from wareboard.pot import clay
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text.kinds import Size, Word
from wareboard.text.languages import _, later, neutral
from wareboard.text.phrases import PartSize
from wareboard.text.problems import capital
from wareboard.text.projects import Project
from wareboard.words.glossary import caution_lines, explained
from wareboard.words.pagetext import PageText
from wareboard.words.steps import steps_of
from wareboard.words.templating import plain, render

# Below this the slip of adding the shrinkage is too small to be seen.
SLIP_WORTH_SAYING_MM = 0.05
STATE_WORDS = {"binds": later("binds"), "rattles": later("rattles"), "ok": ""}


@frozen
class FitSection:
    """One fit: its pictures, its figures at trimming and fired, and its clearance through the stages."""

    name: str
    said: str
    picture: Markup
    chart: Markup
    aims: tuple[Row, ...]
    stages: StageTable
    shares: tuple[Row, ...]
    limited: str
    granted: str
    match: MatchView
    turn: TurnView


@frozen
class TurnView:
    """What is turned to what, by what calipers read now: the same as the strip on the trimming card, as a table."""

    outside: str
    size: str
    rows: tuple[tuple[str, str], ...]
    ask: str


@frozen
class MatchView:
    """Which pairs may be trimmed to one another, by how dry each is: a small table, and how to ask about two pieces."""

    inside: str
    outside: str
    unit: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[tuple[tuple[str, str], tuple[tuple[str, str], ...]], ...]
    sentence: str
    ask: str


@frozen
class StepsView:
    """Steps of one stage with their figures put in, in both systems: the maker's own, or the usual ones by part."""

    own: tuple[tuple[str, str], ...]
    usual: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]


@frozen
class Slip:
    """What comes of adding the shrinkage to the fired size, in this form's own numbers."""

    what: str
    fired: str
    shrinkage: str
    right: str
    wrong: str
    short_by: str
    clearance: str


def render_form(
    sheet: Sheet,
    project: Project,
    *,
    with_cards: bool = True,
    old_cards: Sequence[OldCard] = (),
    among: Among | None = None,
) -> PageText:
    """One form's page.

    Args:
        sheet: the form's figures.
        project: the studio.
        with_cards: link the printed cards.
        old_cards: what is told to whoever comes from a card of an older revision.
        among: what it takes from the studio's other forms; as if there were none unless given.
    """
    page, growth = render_with_gaps(sheet, project, with_cards=with_cards, old_cards=old_cards)
    among = among or among_forms(project, {sheet.slug: sheet.ball_g})
    return replace(page, body=in_studio(page.body, sheet.slug, growth, reader_of(sheet.studio), among))


def render_with_gaps(
    sheet: Sheet, project: Project, *, with_cards: bool = True, old_cards: Sequence[OldCard] = ()
) -> tuple[PageText, Growth | None]:
    """One form's page but for what depends on the other forms; and what the form comes to at another size.

    Args:
        sheet: the form's figures.
        project: the studio.
        with_cards: link the printed cards.
        old_cards: what is told to whoever comes from a card of an older revision.
    """
    form, reader = sheet.form, reader_of(sheet.studio)
    worked_out, worked = sheet.is_worked_out, sheet
    slip = _slip(as_set(sheet), reader) if worked_out else None
    sheet = as_set(sheet)  # what is read is the pot that is made to its settings; the workings are the sheet's own
    growth = growth_of(sheet) if worked_out else None
    wheel = wheel_rows(sheet, reader)
    trimming, fits = (
        [_trimming(sheet, reader, str(part)) for part in form.parts],
        list(_fits(sheet, reader)) if worked_out else [],
    )
    drying, fired, glaze = _drying(sheet, reader), _fired(sheet, reader), _glaze(sheet, reader)
    shown = [
        *(row for part in (*wheel, *trimming) for row in part.rows), *(row for fit in fits for row in (*fit.aims, *fit.shares)),
        *drying, *glaze, *(row for part in fired for row in part.rows),
    ]  # fmt: skip
    body = render(
        "pages/form.html",
        checked=partial(_checked, sheet, reader), sheet=sheet, form=form, reader=reader, cards=_cards(sheet) if with_cards and sheet.is_worked_out else (), old_cards=old_cards, problems=sheet.problems, worked_out=worked_out,
        wheel=wheel, wheel_picture=picture(workdrawing.draw_wheel, sheet, reader, width_mm=96.0, height_mm=104.0) if worked_out else "",
        trimming=trimming, fits=fits, drying=drying, fired=fired, glaze_rows=glaze, opened=opened_rows(worked, shown), workings_path=workings_path(str(form.slug)),
        sizes_picture=picture(formdrawing.draw_form, sheet, reader, "fired", sizes="all", width_mm=130.0, height_mm=120.0, staged=reader.number) if worked_out else "",
        stages=_stage_scales(sheet) if worked_out else (),
        overlay=Markup(compact(formdrawing.draw_stage_overlay(sheet))) if worked_out else "",
        tables=list(stage_tables(sheet, reader)), slip=slip, steps=_steps(sheet, reader), checks=_checks(sheet, reader) if worked_out else (),
        handles_picture=Markup(compact(draw_with_handles(sheet))) if worked_out and has_handles(sheet) else "",
        growth=growth, ladder_gap=LADDER_GAP, family_gap=FAMILY_GAP,
        assumes=tuple(map(_, ASSUMES)), leaves_out=tuple(map(_, LEAVES_OUT)), cautions=caution_lines, assumed=assumed_notes(sheet.clay, sheet.glaze), doubt=doubt_words(str(sheet.clay.title), make_body(sheet.clay)) if worked_out else "", figures_count=len(sheet.figures), contains=form.stockist.contains if form.stockist else None,
    )  # fmt: skip
    words = [
        form.title,
        form.code,
        form.family,
        sheet.clay.title,
        sheet.glaze.title if sheet.glaze else None,
        *form.parts,
        *form.fits,
        form.notes,
        # Whoever has a size in hand finds what is set to it.
        "; ".join(dict.fromkeys(str(amount) for part in wheel for row in part.rows for amount in row.amounts)),
    ]
    page = PageText(
        path=f"forms/{form.slug}.html", title=str(form.title), body=explained(body), description=_description(sheet, reader),
        search=plain(" ".join(str(word) for word in words if word)),
    )  # fmt: skip
    return page, growth


def _cards(sheet: Sheet) -> list[tuple[str, str]]:
    """The form's printed cards: what each is called, and its address from the page."""
    return [
        (kind.shown, f"../cards/{sheet.slug}-{kind.name}.pdf")
        for kind in KINDS.values()
        if kind.about == FORM and kind.suits(sheet)
    ]


def picture(draw, sheet: Sheet, reader: Reader, *args: str, **box: object) -> Markup:
    """A drawing whose sizes are written as the studio reads them."""
    text = reader.size_text if draw is workdrawing.draw_wheel else reader.small_text
    return Markup(compact(draw(sheet, *args, size_text=text, **box)))


def _checked(sheet: Sheet, reader: Reader, rows: Sequence[Row]) -> Iterator[Row]:
    """Rows with how far out each may be and what to do then, as the bench sheet says it."""
    other = reader.turned()
    for row in rows:
        key, _space, stage = row.figure.rpartition(" ")
        figure = sheet.find(key, stage)
        right, out = judged(sheet, figure, reader) if figure else ("", "")
        yield replace(
            row, right=right, out=out, right_other=judged(sheet, figure, other)[0] if figure and other else ""
        )


def _checks(sheet: Sheet, reader: Reader) -> tuple[tuple[str, str], ...]:
    """What tells at the wheel that a piece is right, in both systems."""
    other, said = reader.turned(), wheel_checks(sheet, reader)
    return tuple(zip(said, wheel_checks(sheet, other) if other else ("",) * len(said), strict=True))


def _stage_scales(sheet: Sheet) -> tuple[tuple[str, str], ...]:
    """Each stage with how much larger the form is then than fired, across and up: `("wet", "1.1367 1.1176")`."""
    shape = next(iter(sheet.shapes.values()))
    (across, up) = shape.scale("fired")
    scales = ((stage, shape.scale(stage)) for stage in STAGES)
    return tuple((stage, f"{wide / across:.4f} {high / up:.4f}") for stage, (wide, high) in scales)


def _description(sheet: Sheet, reader: Reader) -> str:
    """The form in one sentence."""
    name = next(map(str, sheet.form.parts))
    rows = rows_of(
        sheet, reader, (_("high"), "", f"{name}.height", "fired"), (_("across"), "", f"{name}.diameter", "fired")
    )
    sizes = ", ".join(f"{row.first} {row.label}" for row in rows)
    return (
        _("{title} in {clay}: fired {sizes}.").format(title=sheet.form.title, clay=sheet.clay.title, sizes=sizes)
        if sizes
        else _("{title} in {clay}.").format(title=sheet.form.title, clay=sheet.clay.title)
    )


@frozen
class TrimmedPart:
    """A part at the trimming wheel: what it reads when it is ready, and what it is trimmed to."""

    part: str
    begin: tuple[Row, ...]
    rows: tuple[Row, ...]


def _trimming(sheet: Sheet, reader: Reader, part: str) -> TrimmedPart:
    """What is looked at and weighed when a part is trimmed, leather-hard."""
    spec = sheet.form.parts[part]
    sizes = [
        (_("Height"), part, f"{part}.height", "leather-hard"),
        (_("Widest"), part, f"{part}.diameter", "leather-hard"),
    ]
    for name, station in list(spec.outside.items())[:1]:
        if station.diameter not in spec.calipers:  # else it stands among those
            across = _("{part}, across").format(part=part)
            sizes.append((capital(str(name)), across, f"{part}.{name}.diameter", "leather-hard"))
    sizes += [
        (capital(str(name)), _("{part}, calipers").format(part=part), f"{part}.{name}", "leather-hard")
        for name in spec.calipers
    ]
    weights = [
        (_("Weight, trimmed"), part, f"{part}.mass", "leather-hard"),
        (_("Weight left"), _("{part}, of what it weighed wet").format(part=part), f"{part}.witness", "leather-hard"),
    ]
    begin = tuple(_begin(one) for one in ready_readings(sheet, part, reader))
    return TrimmedPart(part, begin, rows_of(sheet, reader, *sizes, *weights))


def _begin(reading: Reading) -> Row:
    """Between what and what a piece is ready to trim, as the trimming card has it."""
    return Row(_(BEGIN), reading.said, reading.between)


def _fits(sheet: Sheet, reader: Reader) -> Iterator[FitSection]:
    unit = reader.amounts(0.0, "mm")[0].unit
    for name, fit in ((str(name), fit) for name, fit in sheet.form.fits.items()):
        stem = f"fit.{name}"
        pairing = _("every one goes with every other") if fit.pairing == "any" else _("each is trimmed to its own")
        yield FitSection(
            name, _("{outside} goes into {inside}; {pairing}.").format(outside=capital(_side_words(sheet, fit.outside)), inside=_side_words(sheet, fit.inside), pairing=pairing),
            Markup(compact(closeups.draw_fit(sheet, name, size_text=reader.small_text, half_text=reader.half_text))), Markup(charts.draw_fit_chart(sheet, name, size_text=reader.small_text, unit=unit)),
            rows_of(
                sheet, reader,
                (_("Clearance"), _("at trimming, on the diameter"), f"{stem}.clearance", "leather-hard"), (_("Gap"), _("at trimming, a side"), f"{stem}.gap", "leather-hard"),
                (_("Clearance"), _("fired, on the diameter"), f"{stem}.clearance", "fired"), (_("Gap"), _("fired, a side"), f"{stem}.gap", "fired"),
            ),
            fit_table(sheet, reader, name),
            rows_of(
                sheet, reader,
                (_("Spread"), _("one standard deviation"), f"{stem}.spread", "fired"), (_("Least"), _("worst case"), f"{stem}.worst.least", "fired"), (_("Most"), _("worst case"), f"{stem}.worst.most", "fired"),
                (_("Binds"), _("of all"), f"{stem}.binds", "fired"), (_("Loose"), _("of all"), f"{stem}.loose", "fired"), (_("Any turn"), _("goes home at every turn"), f"{stem}.any_turn", "fired"),
            ),
            _("Limits are rounded inward to what can be read, never past those that were typed.") if fit.clearance.least or fit.clearance.most else "",
            _granted(sheet, name), match_view(sheet, name, reader), turn_view(sheet, name, reader),
        )  # fmt: skip


def _granted(sheet: Sheet, fit_name: str) -> str:
    """What the spread of a fit takes for granted."""
    spread = sheet.find(f"fit.{fit_name}.spread", "fired")
    return capital(_(TAKEN_FOR_GRANTED)) + "." if spread and _(TAKEN_FOR_GRANTED) in spread.how else ""


def turn_view(sheet: Sheet, fit_name: str, reader: Reader) -> TurnView:
    """A fit's table of what its outside is turned to, in words."""
    table = turn_table_of(sheet, fit_name, reader)
    inside, outside = pieces_of(sheet, fit_name)
    said = lambda size_mm: " / ".join(dict.fromkeys(map(str, reader.amounts(size_mm, "mm"))))
    rows = tuple((said(turn.now_mm), said(set_mm(turn.to_mm, reader))) for turn in table.turns)
    leather_hard = (
        f"{piece.name}.{piece.size_name}={_as_typed(reader, piece.thrown_mm * piece.body.across('leather-hard'), 'mm')}"
        for piece in (inside, outside)
    )
    which = ["--fit", fit_name] if len(sheet.form.fits) > 1 else []
    return TurnView(table.outside, table.size_name, rows, shlex.join(["wareboard", "match", sheet.slug, *which, *leather_hard]))  # fmt: skip


def match_view(sheet: Sheet, fit_name: str, reader: Reader) -> MatchView:
    """A fit's table of dryness, in words."""
    table = match_table_of(sheet, fit_name, reader)
    length = lambda size_mm: reader.amounts(size_mm, "mm", small=True)[0]
    head = lambda dryness: (
        f"{dryness.share_of_thrown * 100.0:.0f} %",
        str(reader.amounts(dryness.mass_g, "g")[0]) if dryness.mass_g is not None else "",
    )
    rows = tuple(
        (
            head(row.dryness),
            tuple(
                (length(cell.fired_mm).number, _(STATE_WORDS[cell.state]) if STATE_WORDS[cell.state] else "")
                for cell in row.cells
            ),
        )
        for row in table.rows
    )
    middle = len(table.rows) // 2
    weighed = ((table.inside, table.columns[middle]), (table.outside, table.rows[middle].dryness))
    ask = [
        f"{name}={_as_typed(reader, dryness.mass_g, 'g')}" for name, dryness in weighed if dryness.mass_g is not None
    ]
    which = ["--fit", fit_name] if len(sheet.form.fits) > 1 else []
    return MatchView(
        table.inside, table.outside, length(0.0).unit, tuple(map(head, table.columns)), rows, table.sentence,
        shlex.join(["wareboard", "match", sheet.slug, *which, *ask]) if len(ask) == len(weighed) else "",
    )  # fmt: skip


@neutral
def _as_typed(reader: Reader, value: float, unit: str) -> str:
    """A size or a weight as it is typed in a terminal: without a space where it has but one number."""
    weight = reader.amounts(value, unit)[0]
    return f"{weight.number}{weight.unit}" if weight.unit else weight.number


def _side_words(sheet: Sheet, size: PartSize) -> str:
    """One side of a fit as it is said: `the flange of the lid`."""
    return _("the {size} of the {part}").format(size=size.caliper, part=part_said(sheet, size))


def _drying(sheet: Sheet, reader: Reader) -> tuple[Row, ...]:
    parts = list(map(str, sheet.form.parts))
    wanted = [
        (_("Weight, {stage}").format(stage=_(stage)), part, f"{part}.mass", stage)
        for part in parts
        for stage in ("dry", "bisque")
    ]
    return rows_of(sheet, reader, *wanted)


def _glaze(sheet: Sheet, reader: Reader) -> tuple[Row, ...]:
    parts = list(map(str, sheet.form.parts))
    areas = [
        (_("Glazed area"), _("{part}, bisque").format(part=part), f"{part}.area.glazed", "bisque") for part in parts
    ]
    return rows_of(
        sheet,
        reader,
        (_("Slop"), _("a set"), "glaze.slop", None),
        (_("Dry glaze"), _("a set"), "glaze.dry", None),
        *(areas if sheet.glaze else ()),
    )


def _fired(sheet: Sheet, reader: Reader) -> list[PartRows]:
    found = []
    for part in map(str, sheet.form.parts):
        brim, level = sheet.find(f"{part}.capacity.brim", "fired"), sheet.form.parts[part].fill_to
        # A line to fill to is spoken of only where there is one below the brim.
        holds = [
            *([(_("Holds"), _("{part}, filled to {level}").format(part=part, level=_level(level, reader)), f"{part}.capacity.fill", "fired")] if level is not None else []),
            (_("Holds"), _("{part}, to the brim").format(part=part), f"{part}.capacity.brim", "fired"),
        ]  # fmt: skip
        heavy = fired_weight(sheet, part)
        rows = rows_of(
            sheet, reader, (_("Height"), part, f"{part}.height", "fired"), (_("Widest"), part, f"{part}.diameter", "fired"),
            *(holds if brim and brim.value > 0.0 else ()), (_("Weight"), _("{part}, in its glaze").format(part=part) if heavy.endswith("glazed") else part, heavy, "fired"),
            (_("Centre of mass"), _("{part}, empty, above the foot").format(part=part), f"{part}.centre_of_mass", "fired"),
        )  # fmt: skip
        found.append(PartRows(part, sheet.form.parts[part].opens_down, rows))
    return found


def _level(level: Size | Word, reader: Reader) -> str:
    """A level to fill to in words: the size, or the station."""
    if isinstance(level, Size):
        return _("{size} up").format(size=reader.as_said(level.value))
    return _("the {level}").format(level=level)


def _slip(sheet: Sheet, reader: Reader) -> Slip | None:
    """The usual slip with this form's widest part, or with the opening of its first fit."""
    fit = next(iter(sheet.form.fits), None)
    if fit is not None:
        spec = sheet.form.fits[fit]
        key, what = (
            f"fit.{fit}.inside",
            _("{size} of the {part}").format(size=spec.inside.caliper, part=spec.inside.part),
        )
    else:
        part = next(iter(sheet.form.parts))
        key, what = f"{part}.diameter", _("width of the {part}").format(part=part)
    fired, shrinkage = sheet.find(key, "fired"), sheet.find("clay.shrinkage", "fired")
    if not (fired and shrinkage):
        return None
    wrong_mm = clay.wrong_basis_size_mm(fired.value, shrinkage.value / 100.0)
    right_mm = fired.value / (1.0 - shrinkage.value / 100.0)
    if right_mm - wrong_mm < SLIP_WORTH_SAYING_MM:
        return None
    clearance = sheet.find(f"fit.{fit}.clearance", "fired")
    return Slip(
        what,
        str(reader.amounts(fired.value, "mm", exact=True)[0]),
        reader.text(shrinkage),
        *reader.between(right_mm, wrong_mm),
        reader.text(clearance) if clearance else "",
    )


def _steps(sheet: Sheet, reader: Reader) -> dict[str, StepsView]:
    """The steps of each stage, with their quoted figures put in."""
    found, other = {}, reader.turned()
    for stage, steps in steps_of(sheet).items():
        by_part: dict[str, list[tuple[str, str]]] = {}
        for step in steps:
            by_part.setdefault("" if step.own else step.part, []).append(
                (fill_quotes(step.text, sheet, reader), fill_quotes(step.text, sheet, other) if other else "")
            )
        own = tuple(by_part.pop("", ()))
        found[stage] = StepsView(own, tuple((part, tuple(lines)) for part, lines in by_part.items()))
    return found
