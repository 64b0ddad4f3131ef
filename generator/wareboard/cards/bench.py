"""What hangs at the bench for a first week: a form's sheet, step by step, and the studio's, with the cautions that its signs stand for."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterator, Mapping, Sequence

from markupsafe import Markup

from wareboard.cards.cardtext import in_language, page_url, qr_picture, size_class
from wareboard.cards.engine import CardText
from wareboard.cards.revisions import Revised
from wareboard.cards.trimming import BEGIN
from wareboard.drawing import formdrawing
from wareboard.drawing.dimensions import Lettering
from wareboard.drawing.svg import shown_share
from wareboard.figures.figure import Figure
from wareboard.figures.matching import part_said
from wareboard.figures.settings import AT_TRIMMING, BALL, CALIPERS, FLOOR, POINTER, THROWN, Setting, as_set, settings_of
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Amount, Reader, Row, fired_weight, quoted_pieces, quoted_text, reader_of, rows_of
from wareboard.figures.tolerances import plus_minus_text, tolerance_of
from wareboard.figures.trimsettings import ready_readings, trim_settings_of
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _, continued, later, ngettext, remembered, written_day
from wareboard.text.studio_specs import Studio
from wareboard.words.glossary import Caution, read_cautions
from wareboard.words.steps import Step, extra_kind, kind_of, read_bench_words, steps_of
from wareboard.words.templating import TEMPLATES, capital, render

PAPERS = ("A4", "Letter")
# A stage as work.
WORK: Mapping[str, str] = {
    "wet": later("At the wheel"), "leather-hard": later("Trimming"), "dry": later("Drying and bisque"), "bisque": later("Glaze and glaze firing"), "fired": later("Out of the kiln"),
}  # fmt: skip
SET_WORDS = {
    BALL: later("Weigh the ball"), FLOOR: later("Leave under the needle"), POINTER: later("Set the pointer at the {place}"), CALIPERS: later("Set {side} calipers for the {place}"),
    THROWN: later("Throw the {place} to, {side}"),
}  # fmt: skip
LETTERING, LEAST_SHOWN = Lettering(2.7, 3.0), 0.92  # of the small drawing, and what of it must be left in its box
MOST_STEP_CHECKS = 3  # of one step; more would not be read
STUDIO_PAPERS = ("A4", "Letter")
STUDIO = "studio"


@frozen
class Check:
    """When a number of a step is right: what it is where a step has several, the number, and from where to where."""

    what: str
    right: str
    figure: str


@frozen
class WorkRow:
    """One row of the work: its marks in rings, its words with bold numbers, its checks, what to do when one is out, and the care it needs."""

    marks: tuple[str, ...]
    heading: str
    words: Markup
    checks: tuple[Check, ...]
    out: str
    care: Caution | None


@frozen
class Work:
    """One stage of the work."""

    title: str
    stage: str
    rows: tuple[WorkRow, ...]
    good: tuple[str, ...]


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
        site_url: where the site stands; a QR code leads to the form's bench view there; none where empty.
    Returns: the sheet's text, of several pages; `engine.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    paper = paper or bench_paper(str(sheet.studio.paper or ""))
    if paper not in PAPERS:
        raise ValueError(f"there is no bench sheet on {paper}; there is one on {' and '.join(PAPERS)}")
    reader, made_sheet = reader_of(sheet.studio), as_set(sheet)
    picture = _picture(made_sheet, reader) if sheet.is_worked_out else ""
    works = list(_works(made_sheet, reader))
    html = render(
        "cards/bench.html",
        sheet=sheet, form=sheet.form, reader=reader, paper=paper, picture=picture, about=_about(sheet), fired=_fired(made_sheet, reader), works=works, sizes=f"{reader.amounts(0.0, 'mm')[0].unit}",
        signed=any(row.care for work in works for row in work.rows), day=written_day(made), size_class=size_class(str(sheet.form.title)),
        language=sheet.studio.language_tag, code_picture=qr_picture(page_url(sheet, site_url)) if site_url else "",
    )  # fmt: skip
    return CardText(f"{sheet.slug}-bench", _("{title}, bench sheet").format(title=sheet.form.title), html, _style())


def _picture(sheet: Sheet, reader: Reader) -> Markup:
    """The form as it is fired, small; without its sizes where they would be too small to read."""
    shape = {
        sizes: formdrawing.draw_form(
            sheet, "fired", sizes=sizes, width_mm=76.0, height_mm=44.0, size_text=reader.small_text, lettering=LETTERING,
            name=f"{sheet.slug}-bench",
        )
        for sizes in ("set", "none")
    }  # fmt: skip
    return Markup(shape["set"] if shown_share(shape["set"]) >= LEAST_SHOWN else shape["none"])


@remembered()
def _style() -> str:
    return in_language((TEMPLATES / "cards" / "bench.css").read_text(encoding="utf-8"))


# ---- what it is ----


def _about(sheet: Sheet) -> tuple[str, ...]:
    """The form in sentences: its parts, what goes into what, what is left bare."""
    parts = list(sheet.form.parts.items())
    named = [
        (_("{part} (thrown upside down)").format(part=name) if part.opens_down else str(name)) for name, part in parts
    ]
    said = [
        ngettext("One part: {names}.", "{count} parts: {names}.", len(parts)).format(
            count=len(parts), names=", ".join(named)
        )
    ]
    for fit in sheet.form.fits.values():
        pairing = _("every one goes with every other") if fit.pairing == "any" else _("each is trimmed to its own")
        said.append(
            _("The {size} of the {part} goes into the {opening} of the {inside}; {pairing}.").format(
                size=fit.outside.caliper,
                part=part_said(sheet, fit.outside),
                opening=fit.inside.caliper,
                inside=part_said(sheet, fit.inside),
                pairing=pairing,
            )
        )
    for name, part in parts:
        bare = [stretch.words for stretch in part.bare]
        if bare:
            said.append(_("Bare on the {part}: {places}.").format(part=name, places=", ".join(bare)))
        for extra in map(str, part.extras):
            figure = sheet.find(f"{name}.{extra}.clay", "wet")
            if figure:
                said.append(
                    _("The {extra} on the {part} takes {clay} of clay.").format(
                        extra=extra, part=name, clay=reader_of(sheet.studio).text(figure)
                    )
                )
    return tuple(said)


def _fired(sheet: Sheet, reader: Reader) -> list[tuple[str, tuple[Row, ...]]]:
    """What each part comes to when it is fired."""
    found = []
    for name in map(str, sheet.form.parts):
        holds, heavy = sheet.find(f"{name}.capacity.fill", "fired"), fired_weight(sheet, name)
        wanted = [
            (_("high"), "", f"{name}.height", "fired"), (_("across"), "", f"{name}.diameter", "fired"),
            (_("in its glaze") if heavy.endswith("glazed") else _("weight"), "", heavy, "fired"),
            *([(_("holds"), "", f"{name}.capacity.fill", "fired")] if holds and holds.value > 0.0 else []),
        ]  # fmt: skip
        found.append((name, rows_of(sheet, reader, *wanted)))
    return found


# ---- the work ----


def _works(sheet: Sheet, reader: Reader) -> Iterator[Work]:
    rows = _Rows(sheet, reader)
    for stage, steps in steps_of(sheet, whole=True).items():
        yield Work(_(WORK[stage]), _(stage), tuple(rows.of(stage, steps)), tuple(good_words(sheet, stage)))


def good_words(sheet: Sheet, stage: str) -> Iterator[str]:
    """What a good one looks like at a stage, for each kind of thing that the form has."""
    words = read_bench_words()["good"][stage]
    named: dict[str, list[str]] = {}
    for name, part in sheet.form.parts.items():
        named.setdefault(kind_of(sheet, str(name)), []).append(str(name))
        for extra in map(str, part.extras):
            named.setdefault(extra_kind(extra), []).append(extra)
    for kind, names in named.items():
        if kind in words:
            whose = f"{capital(', '.join(dict.fromkeys(names)))}: {continued(words[kind])}"
            yield whose if len(named) > 1 else words[kind]


class _Rows:
    """The rows of a sheet's work; every number is told and checked in one place."""

    def __init__(self, sheet: Sheet, reader: Reader) -> None:
        self.sheet, self.reader = sheet, reader
        self.several = len(sheet.form.parts) > 1
        self.names = _same_sizes(sheet)
        self.cautions = {caution.id: caution for caution in read_cautions()}
        trims = [one for rows in trim_settings_of(sheet).values() for one in rows]
        self.marks = {
            (self._same(end.key), stage): one.mark
            for stage, settings in (("wet", list(settings_of(sheet))), ("leather-hard", trims))
            for one in settings
            for end in one.ends
        }
        self.told: set[tuple[str, str | None]] = set()

    def _same(self, key: str) -> str:
        return self.names.get(key, key)

    def of(self, stage: str, steps: Sequence[Step]) -> Iterator[WorkRow]:
        """The steps of a stage; what is set or judged then and no step tells stands before what ends the stage."""
        quoted = {(self._same(one.key), one.stage) for step in steps for one in quoted_pieces(step.text, self.sheet) if not isinstance(one, str)}  # fmt: skip
        ending = len(steps)
        while ending and not steps[ending - 1].own and not steps[ending - 1].part:
            ending -= 1
        if stage == AT_TRIMMING:
            yield from self._begin()
        part = ""
        for place, step in enumerate(steps):
            if place == ending:
                yield from self._untold(stage, quoted)
            heading = capital(step.part) if self.several and step.part and step.part != part else ""
            part = step.part
            yield self._row(step, heading, stage)
        if ending == len(steps):
            yield from self._untold(stage, quoted)

    def _begin(self) -> Iterator[WorkRow]:
        """Between what and what each part is ready, as its trimming card has it; all parts in one row."""
        readings = [
            Markup("{}<b>{}</b>{}, {}").format(f"{name} " if self.several else "", first, _seconds(first, others), one.said)
            for name in map(str, self.sheet.form.parts)
            for one in ready_readings(self.sheet, name, self.reader)
            for first, *others in [one.between]
        ]  # fmt: skip
        if readings:
            yield WorkRow((), "", Markup("{}: {}.").format(_(BEGIN), Markup("; ").join(readings)), (), "", None)

    def _row(self, step: Step, heading: str, stage: str) -> WorkRow:
        pieces = list(quoted_pieces(step.text, self.sheet))
        words = Markup("").join(piece if isinstance(piece, str) else _quoted(piece, self.reader) for piece in pieces)
        figures = [piece for piece in pieces if not isinstance(piece, str)]
        return self._with_checks(words, figures, heading, self.cautions.get(step.care), stage)

    def _with_checks(
        self, words: Markup, figures: Sequence[Figure], heading: str, care: Caution | None, stage: str
    ) -> WorkRow:
        checks, out, marks = [], "", []
        for figure in figures:
            mark = self.marks.get((self._same(figure.key), figure.stage or ""))
            if mark and mark not in marks:
                marks.append(mark)
            if (self._same(figure.key), figure.stage) in self.told or figure.key.endswith(".gap"):
                continue
            found = tolerance_of(self.sheet, figure, self.reader)
            if found is None or len(checks) == MOST_STEP_CHECKS:
                continue
            self.told.add((self._same(figure.key), figure.stage))
            later_stage = f", {_(figure.stage)}" if figure.stage and figure.stage != stage else ""
            what = (
                f"{figure.named.words}{later_stage}: "
                if sum(1 for one in figures if not one.key.endswith(".gap")) > 1
                else ""
            )
            checks.append(Check(what, plus_minus_text(figure, found, self.reader), figure.name))
            out = out or out_words(self.sheet, figure)
        return WorkRow(tuple(marks), heading, words, tuple(checks), out, care)

    def _untold(self, stage: str, quoted: set[tuple[str, str | None]]) -> Iterator[WorkRow]:
        """What is set or judged at a stage and no step quotes."""
        for words, figures in self._always(stage):
            fresh = [one for one in figures if (self._same(one.key), one.stage) not in self.told | quoted]
            if fresh:
                numbers = Markup(_(" and ")).join(
                    Markup("{}{}").format(_quoted(one, self.reader), end) for one, end in zip(fresh, _ends(fresh), strict=True)
                )  # fmt: skip
                yield self._with_checks(Markup("{}: {}.").format(words, numbers), fresh, "", None, stage)

    def _always(self, stage: str) -> Iterator[tuple[str, list[Figure]]]:
        find = lambda key: [figure for figure in [self.sheet.find(key, stage)] if figure and figure.value != 0.0]
        if stage == "wet":
            for one in settings_of(self.sheet):
                words = _(SET_WORDS[one.kind]).format(place=one.called, side=one.on_side)
                yield self._whose(one.part, words), [figure for end in one.ends for figure in find(end.key)]
        elif stage == "leather-hard":
            for rows in trim_settings_of(self.sheet).values():
                for one in rows:
                    yield (
                        self._whose(one.part, _trim_words(one)),
                        [figure for end in one.ends for figure in find(end.key)],
                    )
        for name in map(str, self.sheet.form.parts):
            for caliper in map(str, self.sheet.form.parts[name].calipers):
                if stage == "leather-hard":
                    yield (
                        self._whose(name, _("{caliper} reads").format(caliper=capital(caliper))),
                        find(f"{name}.{caliper}"),
                    )
            if stage == "fired":
                yield self._whose(name, _("High and across")), [*find(f"{name}.height"), *find(f"{name}.diameter")]
                yield self._whose(name, _("Holds")), find(f"{name}.capacity.fill")
                yield self._whose(name, _("Weighs")), find(fired_weight(self.sheet, name))
        if stage in ("leather-hard", "fired"):
            for name in self.sheet.form.fits:
                yield _("Clearance of the {fit}").format(fit=name), find(f"fit.{name}.clearance")

    def _whose(self, part: str, words: str) -> str:
        return f"{capital(part)}. {words}" if self.several else capital(words)


def _quoted(figure: Figure, reader: Reader) -> Markup:
    """A figure's number in the words of a step, and small behind it the same in the other system."""
    number = reader.text(figure)
    first, *others = reader.figure(figure)
    return Markup('<b data-figure="{}">{}</b>{}{}').format(
        figure.name, number, _seconds(first, others), quoted_text(figure, reader).removeprefix(number)
    )


def _seconds(first: Amount, others: Sequence[Amount]) -> Markup:
    """The same in the other system, small."""
    seconds = [Markup(' <span class="second">({})</span>').format(other) for other in others if other != first]
    return Markup("").join(seconds)


def _ends(figures: Sequence[Figure]) -> list[str]:
    """Up or out behind a pointer's numbers."""
    return [
        " " + _("up")
        if ".pointer." in one.key and one.key.endswith("height")
        else " " + _("out")
        if ".pointer." in one.key
        else ""
        for one in figures
    ]


def _trim_words(one: Setting) -> str:
    if one.kind == "play":
        return _("Play of the {place} {side}").format(place=one.called, side=one.on_side)
    return (
        _("Turn the {place} to").format(place=one.called)
        if one.kind == "turned"
        else _("{place} that is left").format(place=capital(one.called))
    )


def _same_sizes(sheet: Sheet) -> dict[str, str]:
    """A fit's two diameters are caliper sizes of its parts, and are checked once, whichever is quoted; so is a ball."""
    names = {f"{name}.ball": f"{name}.ball.set" for name in sheet.form.parts}
    for name in sheet.form.parts:
        names[f"{name}.mass"] = fired_weight(sheet, str(name)) if sheet.glaze else f"{name}.mass"
    for fit_name, fit in sheet.form.fits.items():
        for key, size in (("calipers", fit.inside), ("inside", fit.inside), ("outside", fit.outside)):
            if size.own:
                names[f"fit.{fit_name}.{key}"] = f"{size.part}.{size.caliper}"
    return names


def out_words(sheet: Sheet, figure: Figure) -> str:
    """What to do when a figure is out."""
    words = read_bench_words()["out"]
    kind = out_kind(sheet, figure)
    return words.get(f"{kind} {figure.stage}") or words[kind]


def judged(sheet: Sheet, figure: Figure, reader: Reader) -> tuple[str, str]:
    """A figure's tolerance and what to do when it is out, as they are written beside it; both empty where nobody measures it.

    Args:
        sheet: the sheet of the pot that is made to its settings.
        figure: one of its figures.
        reader: the studio's.
    """
    found = tolerance_of(sheet, figure, reader)
    return (plus_minus_text(figure, found, reader), out_words(sheet, figure)) if found else ("", "")


def out_kind(sheet: Sheet, figure: Figure) -> str:
    """What kind of number a figure is, as `bench.yaml` names it."""
    found = figure.named
    part, caliper = found.names.get("P"), found.names.get("C")
    if part and caliper and sheet.form.parts[part].calipers[caliper].side == "inside":
        return "opening"
    return found.declared.out


def render_studio(
    studio: Studio, sheets: Sequence[Sheet], *, paper: str = "A4", made: datetime.date, site_url: str = ""
) -> CardText:
    """The studio sheet.

    Args:
        studio: the studio.
        sheets: its forms; what can hurt does not depend on them.
        paper: A4 or Letter, upright.
        made: the day that stands on the sheet.
        site_url: where the site stands; not used, the sheet says all itself.
    Returns: the sheet's text; `engine.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    if paper not in STUDIO_PAPERS:
        raise ValueError(f"there is no studio sheet on {paper}; there is one on {' and '.join(STUDIO_PAPERS)}")
    html = render(
        "cards/studio.html",
        studio=studio, paper=paper, cautions=read_cautions(), day=written_day(made), size_class=size_class(str(studio.title)),
        language=studio.language_tag,
    )  # fmt: skip
    return CardText(STUDIO, _("{studio}, studio sheet").format(studio=studio.title), html, _studio_style())


@remembered()
def _studio_style() -> str:
    return in_language((TEMPLATES / "cards" / "studio.css").read_text(encoding="utf-8"))


def revised_studio(sheet: Sheet) -> Revised:
    """The studio sheet as it is now: the cautions' own words, whatever the form."""
    said = "".join(f"{caution.title}{caution.line}{caution.text}" for caution in read_cautions())
    return Revised(STUDIO, "cautions", hashlib.sha256(said.encode()).hexdigest()[:6])
