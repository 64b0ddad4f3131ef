"""A form at the bench: one stage a screen, what is set large, when it is right and what to do when it is not beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from wareboard.cards.bench import good_words, judged
from wareboard.cards.cardtext import bench_path
from wareboard.cards.revisions import OldCard
from wareboard.cards.setrows import ARROWS, numbers_of, second_of
from wareboard.cards.trimming import BEGIN, THEN
from wareboard.cards.trimming import convention as trimming_convention
from wareboard.cards.wheel import convention as wheel_convention
from wareboard.cards.wheel import name_words, part_heading, tool_words
from wareboard.drawing import formdrawing, workdrawing
from wareboard.drawing.dimensions import Lettering
from wareboard.drawing.svg import compact
from wareboard.figures.figure import Figure
from wareboard.figures.settings import AT_TRIMMING, PLAY, RECESS, RING, THICKNESS, Setting, as_set, settings_of
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Amount, Reader, fired_weight, reader_of
from wareboard.figures.tolerances import wheel_checks
from wareboard.figures.trimsettings import Reading, ready_readings, trim_settings_of, trimmed_weight_g
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _
from wareboard.words.glossary import read_cautions
from wareboard.words.pagetext import BENCH_TEMPLATE, PageText
from wareboard.words.steps import lump_words, steps_of
from wareboard.words.templating import capital, render

# Upright on a phone: letters are read at arm's length.
LETTERING = Lettering(3.6, 4.6)
PICTURE_MM = {"width_mm": 96.0, "height_mm": 92.0}


@frozen
class Turned:
    """A row's numbers in the studio's other system: the numbers, their unit, how far out they may be."""

    numbers: tuple[str, ...]
    unit: str
    right: str = ""


@frozen
class BenchRow:
    """One number to set or to look at: its mark, name and tool, its numbers with arrows, unit, the other system; its tolerance and what to do when it is out."""

    mark: str
    name: str
    tool: str
    numbers: tuple[tuple[str, str], ...]
    unit: str
    second: tuple[str, ...]
    right: str
    out: tuple[str, ...]
    plain: bool = False  # looked at rather than set
    other: Turned | None = None


@frozen
class BenchGroup:
    """Rows under a heading: a part, or what is looked at of it."""

    heading: str
    rows: tuple[BenchRow, ...]
    small: bool = False


@frozen
class BenchStage:
    """One screen."""

    id: str
    tab: str
    title: str
    stage: str
    groups: tuple[BenchGroup, ...]
    picture: Markup
    notes: tuple[str, ...]
    good: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]


def render_bench_view(sheet: Sheet, *, old_cards: Sequence[OldCard] = ()) -> PageText:
    """A form's bench view; needs nothing of the other forms.

    Args:
        sheet: the form's figures.
        old_cards: what is told to whoever comes from a card of an older revision.
    """
    form, reader = sheet.form, reader_of(sheet.studio)
    made = as_set(sheet)
    body = render(
        "pages/bench.html",
        sheet=sheet, form=form, stages=tuple(_stages(made, reader)) if sheet.is_worked_out else (), old_cards=old_cards, reader=reader,
    )  # fmt: skip
    title = _("{title}, at the bench").format(title=form.title)
    return PageText(
        bench_path(str(form.slug)),
        title,
        body,
        _("{title}: a stage a screen.").format(title=title),
        template=BENCH_TEMPLATE,
    )


def _stages(sheet: Sheet, reader: Reader) -> Iterator[BenchStage]:
    stages = _Stages(sheet, reader)
    size = {**PICTURE_MM, "lettering": LETTERING}
    yield stages.of(
        "wheel", _("Wheel"), _("At the wheel"), ("wet",), stages.wheel(),
        workdrawing.draw_wheel(sheet, size_text=reader.size_text, name="of-wheel", **size),
        (wheel_convention(sheet, reader), *wheel_checks(sheet, reader), *lump_words(sheet, reader)),
    )  # fmt: skip
    yield stages.of(
        "trimming", _("Trimming"), _("Trimming"), (AT_TRIMMING,), stages.trimming(),
        workdrawing.draw_trimming(sheet, size_text=reader.small_text, name="of-trim", **size),
        (trimming_convention(sheet),),
    )  # fmt: skip
    yield stages.of("drying", _("Drying"), _("Drying and bisque"), ("dry", "bisque"), stages.drying(), "", ())
    yield stages.of(
        "fired", _("Fired"), _("Glaze and fired"), ("fired",), stages.fired(),
        formdrawing.draw_form(sheet, "fired", size_text=reader.small_text, name="of-fired", **size),
        (),
    )  # fmt: skip


class _Stages:
    """The screens of a sheet that is made to its settings; every number gets its tolerance in one place."""

    def __init__(self, sheet: Sheet, reader: Reader) -> None:
        self.sheet, self.reader, self.turned = sheet, reader, reader.turned()
        self.parts = [str(name) for name in sheet.form.parts]
        self.cautions = {caution.id: caution for caution in read_cautions()}

    def of(
        self, name: str, tab: str, title: str, stages: Sequence[str], groups: Sequence[BenchGroup], picture: str,
        notes: Sequence[str],
    ) -> BenchStage:  # fmt: skip
        """One screen; cautions and what a good one looks like are those of its stages."""
        by_stage = steps_of(self.sheet, whole=True)
        steps = [step for stage in stages for step in by_stage[stage]]
        cares = dict.fromkeys(step.care for step in steps if step.care in self.cautions)
        return BenchStage(
            name, tab, title, ", ".join(map(_, stages)), tuple(group for group in groups if group.rows), Markup(compact(picture)), tuple(notes),
            tuple(dict.fromkeys(words for stage in stages for words in good_words(self.sheet, stage))),
            tuple((care, self.cautions[care].line) for care in cares),
        )  # fmt: skip

    # ---- what is set ----

    def wheel(self) -> list[BenchGroup]:
        """What tools are set to, part by part."""
        settings = settings_of(self.sheet).by_part
        return [
            BenchGroup(
                "".join(part_heading(self.sheet, name)) if len(self.parts) > 1 or self.sheet.form.parts[name].opens_down else "",
                tuple(self._setting(one, name_words(one), tool_words(one), "wet") for one in settings.get(name, ())),
            )
            for name in self.parts
        ]  # fmt: skip

    def trimming(self) -> list[BenchGroup]:
        """What each part is turned to; when to begin, and what it then is, below."""
        groups, settings = [], trim_settings_of(self.sheet)
        for name in self.parts:
            turned = (self._setting(one, capital(_("play") if one.kind == PLAY else one.called), self._turned(one), AT_TRIMMING) for one in settings.get(name, ()))  # fmt: skip
            groups.append(self._group(name, "", turned))
            begin = (_reading(one) for one in ready_readings(self.sheet, name, self.reader))
            groups.append(self._group(name, _(BEGIN), begin))
            weighs = trimmed_weight_g(self.sheet, name)
            extras = _(" and ").join(map(str, self.sheet.form.parts[name].extras))
            after = self._looked_at(
                AT_TRIMMING, (_("High"), "", f"{name}.height", None), (_("Widest"), "", f"{name}.diameter", None),
                (_("Weighs"), _("before its {extras}").format(extras=extras) if extras else "", f"{name}.mass", weighs),
            )  # fmt: skip
            groups.append(self._group(name, _(THEN), after))
        return groups

    def _turned(self, one: Setting) -> str:
        if one.kind == PLAY:
            half = self.reader.half(one.ends[0].value)[0]
            return _("{side}, {half} a side").format(side=one.on_side, half=half)
        if one.kind == THICKNESS:
            return _("thickness")
        return _("turned to") if one.side == "outside" and one.place not in (RING, RECESS) else one.on_side

    # ---- what is looked at ----

    def drying(self) -> list[BenchGroup]:
        """How much of its wet weight is left, and what a piece weighs."""
        groups = []
        for name in self.parts:
            rows = [
                row
                for stage in ("dry", "bisque")
                for row in self._looked_at(
                    stage, (_("Keeps, {stage}").format(stage=_(stage)), _("of its wet weight"), f"{name}.witness", None),
                    (_("Weighs, {stage}").format(stage=_(stage)), "", f"{name}.mass", None),
                )
            ]  # fmt: skip
            groups.append(self._group(name, "", rows))
        return groups

    def fired(self) -> list[BenchGroup]:
        """What each part measures, holds and weighs, and what is between the two of a fit."""
        groups = []
        for name in self.parts:
            heavy = fired_weight(self.sheet, name)
            vessel = not self.sheet.form.parts[name].opens_down
            rows = self._looked_at(
                "fired", (_("High"), "", f"{name}.height", None), (_("Widest"), "", f"{name}.diameter", None),
                *([(_("Holds"), _("to the line"), f"{name}.capacity.fill", None)] if vessel else []),
                (_("Weighs"), _("in its glaze") if heavy.endswith("glazed") else "", heavy, None),
            )  # fmt: skip
            groups.append(self._group(name, "", rows))
        for name, fit in self.sheet.form.fits.items():
            rows = self._looked_at("fired", (_("Clearance"), _("on the diameter"), f"fit.{name}.clearance", None))
            groups.append(
                BenchGroup(
                    capital(
                        _("the {outside} in the {inside}").format(outside=fit.outside.part, inside=fit.inside.part)
                    ),
                    tuple(rows),
                )
            )
        return groups

    # ---- rows ----

    def _group(self, part: str, words: str, rows: Iterator[BenchRow] | Sequence[BenchRow]) -> BenchGroup:
        whose = capital(part) if len(self.parts) > 1 else ""
        return BenchGroup(words or whose, tuple(rows), small=bool(words))

    def _setting(self, one: Setting, name: str, tool: str, stage: str) -> BenchRow:
        found = [(ARROWS[end.end], self.sheet.find(end.key, stage)) for end in one.ends]
        told = [(arrow, figure) for arrow, figure in found if figure]
        outs = dict.fromkeys(f"{arrow} {out}".strip() for arrow, figure in told if (out := judged(self.sheet, figure, self.reader)[1]))  # fmt: skip
        second = second_of(one.ends)
        other = Turned(
            tuple(end.amounts[1].number for end in one.ends), one.ends[0].amounts[1].unit,
            self._rights(told, self.turned),
        ) if second and self.turned else None  # fmt: skip
        return BenchRow(
            one.mark, name, tool, numbers_of(one.ends), one.ends[0].amounts[0].unit, second, self._rights(told, self.reader), tuple(outs), other=other,
        )  # fmt: skip

    def _rights(self, told: Sequence[tuple[str, Figure]], reader: Reader) -> str:
        """How far out each number of a row may be: once where all may be out by the same, else each with its arrow."""
        judged_so = [(arrow, judged(self.sheet, figure, reader)[0]) for arrow, figure in told]
        rights = dict.fromkeys(right for _arrow, right in judged_so if right)
        if len(rights) > 1:
            rights = dict.fromkeys(f"{arrow} {right}".strip() for arrow, right in judged_so if right)
        return ", ".join(rights)

    def _looked_at(self, stage: str, *wanted: tuple[str, str, str, float | None]) -> Iterator[BenchRow]:
        """Rows for figures that the sheet has, each as (name, tool, key, another value for it or None)."""
        for name, tool, key, value in wanted:
            figure = self.sheet.find(key, stage)
            if figure is None or figure.value <= 0.0:
                continue
            figure = figure if value is None else figure._replace(value=value)
            right, out = judged(self.sheet, figure, self.reader)
            amounts = self.reader.figure(figure)
            second = _second(amounts)
            other = Turned((amounts[1].number,), amounts[1].unit, judged(self.sheet, figure, self.turned)[0]) if second and self.turned else None  # fmt: skip
            yield BenchRow(
                "", name, tool, (("", amounts[0].number),), amounts[0].unit, second, right, (out,) if out else (), plain=True, other=other,
            )  # fmt: skip


def _second(amounts: Sequence[Amount]) -> tuple[str, ...]:
    return (str(amounts[1]),) if len(amounts) > 1 and amounts[1] != amounts[0] else ()


def _reading(one: Reading) -> BenchRow:
    """A reading from one number to another."""
    low, high = one.low[0], one.high[0]
    numbers = (("", low.number),) if low == high else (("", low.number), ("–", high.number))
    second, other = (), None
    if len(one.low) > 1:
        turned = (one.low[1], one.high[1])
        second = (f"{turned[0]} – {turned[1]}" if turned[0] != turned[1] else str(turned[1]),)
        other = Turned(tuple(amount.number for amount in turned)[-len(numbers) :], turned[1].unit)
    return BenchRow("", capital(one.name), one.with_what, numbers, high.unit, second, "", (), plain=True, other=other)
