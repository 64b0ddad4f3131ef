"""A form's bench sheet, for somebody who makes it for the first time: every step with its numbers, when each is right, and what to do when it isn't."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from markupsafe import Markup

from wareboard.cards.cardtext import page_url, qr_picture, size_class, written_day
from wareboard.cards.engine import CardText
from wareboard.cards.trimming import trim_entries as weights_between
from wareboard.drawing import formdrawing
from wareboard.drawing.dimensions import Lettering
from wareboard.figures.figure import Figure
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, Row, quoted_pieces, quoted_text, reader_of, rows_of, wheel_rows
from wareboard.figures.tolerances import tolerance_of
from wareboard.text.problems import capital
from wareboard.words.glossary import Caution, cautions_for
from wareboard.words.steps import Step, extra_kind, kind_of, read_bench_words, steps_of
from wareboard.words.templating import TEMPLATES, render

PAPERS = ("A4", "Letter")
# A stage as work: what it is called on the sheet, and which cautions go with it.
WORK: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "wet": ("At the wheel", ("throwing", "lifting")),
    "leather-hard": ("Trimming", ("trimming",)),
    "dry": ("Drying", ("trimming",)),
    "bisque": ("Bisque and glaze", ("firing", "glazing")),
    "fired": ("Out of the kiln", ("firing", "using")),
}


@dataclass(frozen=True, slots=True)
class SaidStep:
    """A step as it is printed: its words with bold numbers, and the part that a new run of steps begins with."""

    words: Markup
    heading: str


@dataclass(frozen=True, slots=True)
class Check:
    """A number of a stage: what it is, how much, when it is right, and what to do when it is out."""

    name: str
    first: str
    second: str
    right: str
    out: str


@dataclass(frozen=True, slots=True)
class Work:
    """One stage of the work."""

    title: str
    stage: str
    steps: tuple[SaidStep, ...]
    usual: bool
    checks: tuple[Check, ...]
    good: tuple[str, ...]
    cautions: tuple[Caution, ...]
    told_before: tuple[str, ...]


def bench_paper(wanted: str | None) -> str:
    """The paper of a bench sheet: the one asked for, or A4 where a studio's own is smaller.

    >>> bench_paper("Letter"), bench_paper("A5")
    ('Letter', 'A4')
    """
    return wanted if wanted in PAPERS else "A4"


def render_bench(sheet: Sheet, *, paper: str | None = None, made: datetime.date, site_url: str = "") -> CardText:
    """A form's bench sheet.

    Args:
        sheet: the form's figures.
        paper: A4 or Letter, upright; the studio's unless given.
        made: the day that stands on the sheet.
        site_url: where the site stands; a QR code leads to the form's page there; none where empty.
    Returns: the sheet's text, of several pages; `cards.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    paper = paper or bench_paper(str(sheet.studio.paper or ""))
    if paper not in PAPERS:
        raise ValueError(f"there is no bench sheet on {paper}; there is one on {' and '.join(PAPERS)}")
    reader = reader_of(sheet.studio)
    picture = (
        Markup(
            formdrawing.draw_form(
                sheet,
                "fired",
                width_mm=84.0,
                height_mm=70.0,
                size_text=reader.small_text,
                lettering=Lettering(2.6, 3.2),
                name=f"{sheet.slug}-bench",
            )
        )
        if sheet.figures
        else ""
    )
    html = render(
        "cards/bench.html",
        sheet=sheet, form=sheet.form, paper=paper, picture=picture, about=_about(sheet), fired=_fired(sheet, reader), works=list(_works(sheet, reader)),
        day=written_day(made), size_class=size_class(str(sheet.form.title)), language=str(sheet.studio.language or "en"), code_picture=qr_picture(page_url(sheet, site_url)) if site_url else "",
    )  # fmt: skip
    return CardText(f"{sheet.slug}-bench", f"{sheet.form.title}, bench sheet", html, _style())


@cache
def _style() -> str:
    return (TEMPLATES / "cards" / "bench.css").read_text(encoding="utf-8")


# ---- what it is ----


def _about(sheet: Sheet) -> tuple[str, ...]:
    """The form in sentences: its parts, what goes into what, what is left bare."""
    parts = list(sheet.form.parts.items())
    named = [f"{name}{' (thrown upside down)' if part.opens_down else ''}" for name, part in parts]
    said = [f"{'One part' if len(parts) == 1 else f'{len(parts)} parts'}: {', '.join(named)}."]
    for fit in sheet.form.fits.values():
        pairing = "every one goes with every other" if fit.pairing == "any" else "each is trimmed to its own"
        said.append(
            f"The {fit.outside.caliper} of the {fit.outside.part} goes into the {fit.inside.caliper} of the {fit.inside.part}{f' of {fit.inside.form}' if fit.inside.form else ''}; {pairing}."
        )
    for name, part in parts:
        bare = [
            f"{stretch.start} to {stretch.end}" if stretch.what == "stretch" else str(stretch.what)
            for stretch in part.bare
        ]
        if bare:
            said.append(f"Bare on the {name}: {', '.join(bare)}.")
        for extra, spec in part.extras.items():
            said.append(f"The {extra} on the {name} takes {spec.clay.typed} of clay.")
    return tuple(said)


def _fired(sheet: Sheet, reader: Reader) -> list[tuple[str, tuple[Row, ...]]]:
    """What each part comes to when it is fired."""
    found = []
    for name in map(str, sheet.form.parts):
        holds = sheet.find(f"{name}.capacity.fill", "fired")
        heavy = f"{name}.mass.glazed" if sheet.find(f"{name}.mass.glazed", "fired") else f"{name}.mass"
        wanted = [
            ("high", "", f"{name}.height", "fired"),
            ("across", "", f"{name}.diameter", "fired"),
            ("weight", "", heavy, "fired"),
        ]
        found.append(
            (
                name,
                rows_of(
                    sheet,
                    reader,
                    *wanted,
                    *([("holds", "", f"{name}.capacity.fill", "fired")] if holds and holds.value > 0.0 else []),
                ),
            )
        )
    return found


# ---- the work ----


def _works(sheet: Sheet, reader: Reader) -> Iterator[Work]:
    told: dict[str, int] = {}
    for stage, steps in steps_of(sheet).items():
        title, where = WORK[stage]
        cautions = cautions_for(*where)
        yield Work(
            title, stage, tuple(_said(sheet, reader, steps)), bool(steps) and not steps[0].own, tuple(_checks(sheet, reader, stage, steps)), tuple(_good(sheet, stage)),
            tuple(caution for caution in cautions if caution.id not in told), tuple(caution.title for caution in cautions if caution.id in told),
        )  # fmt: skip
        told.update(dict.fromkeys((caution.id for caution in cautions), len(told)))


def _good(sheet: Sheet, stage: str) -> Iterator[str]:
    """What a good one looks like, for each kind of thing that the form has."""
    words = read_bench_words()["good"][stage]
    named: dict[str, list[str]] = {}
    for name, part in sheet.form.parts.items():
        named.setdefault(kind_of(sheet, str(name)), []).append(str(name))
        for extra in map(str, part.extras):
            named.setdefault(extra_kind(extra), []).append(extra)
    for kind, names in named.items():
        if kind in words:
            yield (
                f"{capital(', '.join(dict.fromkeys(names)))}: {words[kind][:1].lower()}{words[kind][1:]}"
                if len(named) > 1
                else words[kind]
            )


def _said(sheet: Sheet, reader: Reader, steps: Sequence[Step]) -> Iterator[SaidStep]:
    part = ""
    for step in steps:
        heading = capital(step.part) if len(sheet.form.parts) > 1 and step.part != part else ""
        part = step.part
        words = Markup("").join(
            piece if isinstance(piece, str) else Markup("<b>{}</b>").format(quoted_text(piece, reader))
            for piece in quoted_pieces(step.text, sheet)
        )
        yield SaidStep(words, heading)


def _checks(sheet: Sheet, reader: Reader, stage: str, steps: Sequence[Step]) -> Iterator[Check]:
    """The numbers that the steps of a stage quote, each once, after the weights that tell whether to begin."""
    if stage == "leather-hard":
        for name in map(str, sheet.form.parts):
            least, most = (sheet.find(f"{name}.trim.{end}", stage) for end in ("least", "most"))
            if least and most:
                said = [
                    f"{low}" if low == high else f"{low.number if low.unit == high.unit else low} to {high}"
                    for low, high in weights_between(reader, least, most)
                ]
                yield Check(
                    f"{name}, weighed before trimming",
                    said[0],
                    said[1] if len(said) > 1 else "",
                    "between these",
                    read_bench_words()["out"]["witness"],
                )
    told, names = set(), _same_sizes(sheet)
    quoted = (piece for step in steps for piece in quoted_pieces(step.text, sheet) if not isinstance(piece, str))
    for figure in (*quoted, *_always(sheet, reader, stage)):
        same = names.get(figure.key, figure.key), figure.stage
        if same not in told and (check := _check(sheet, reader, figure, stage)):
            told.add(same)
            yield check


def _same_sizes(sheet: Sheet) -> dict[str, str]:
    """A fit's two diameters are caliper sizes of its parts, and are checked once, whichever is quoted."""
    names = {}
    for fit_name, fit in sheet.form.fits.items():
        for key, size in (("calipers", fit.inside), ("inside", fit.inside), ("outside", fit.outside)):
            if size.own:
                names[f"fit.{fit_name}.{key}"] = f"{size.part}.{size.caliper}"
    return names


def _always(sheet: Sheet, reader: Reader, stage: str) -> Iterator[Figure]:
    """What is set or judged at a stage whether the maker's steps quote it or not."""
    keys: list[str] = []
    if stage == "wet":
        keys = [row.key for part in wheel_rows(sheet, reader) for row in part.rows]
    for name, part in sheet.form.parts.items():
        if stage == "leather-hard":
            walls = (
                [f"wall.{station}.thickness" for station in part.wall]
                if isinstance(part.wall, dict)
                else ["wall.thickness"]
            )
            keys += [f"{name}.{key}" for key in (*part.calipers, *walls, "floor.thickness")]
        elif stage == "fired":
            keys += [f"{name}.{key}" for key in ("height", "diameter", "capacity.fill")]
    if stage in ("leather-hard", "fired"):
        keys += [f"fit.{name}.clearance" for name in sheet.form.fits]
    yield from (figure for key in keys if (figure := sheet.find(key, stage)) and figure.value != 0.0)


def _check(sheet: Sheet, reader: Reader, figure: Figure, stage: str) -> Check | None:
    found = tolerance_of(sheet, figure, reader.steps)
    if found is None:
        return None
    amounts = reader.figure(figure)
    first = quoted_text(figure, reader)
    second = str(amounts[1]) if len(amounts) > 1 and str(amounts[1]) != first else ""
    small = figure.unit == "mm"
    say = lambda value: str(reader.amounts(value, figure.unit, small=small)[0])
    if found.plus_minus is not None:
        right = f"± {found.plus_minus:.1f} %" if figure.unit == "%" else f"± {say(found.plus_minus)}"
    elif found.low is None or found.high is None:
        right = f"up to {say(found.high)}" if found.low is None else f"from {say(found.low)}"
    else:
        right = f"{say(found.low)} to {say(found.high)}"
    return Check(
        figure.named.title + (f", {figure.stage}" if figure.stage and figure.stage != stage else ""),
        first,
        second,
        right,
        out_words(sheet, figure),
    )


def out_words(sheet: Sheet, figure: Figure) -> str:
    """What to do when a figure is out."""
    words = read_bench_words()["out"]
    kind = out_kind(sheet, figure)
    return words.get(f"{kind} {figure.stage}") or words[kind]


def out_kind(sheet: Sheet, figure: Figure) -> str:
    """What kind of number a figure is, as `bench.yaml` names it."""
    found = figure.named
    part, caliper = found.names.get("P"), found.names.get("C")
    if part and caliper and sheet.form.parts[part].calipers[caliper].side == "inside":
        return "opening"
    return found.declared.out
