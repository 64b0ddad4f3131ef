"""A dryness match in words for a small screen: what to do first, short lines, how sure it is last."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from dataclasses import replace
from math import inf

from wareboard.figures.matching import (
    ASSUMES,
    LEAVES_OUT,
    MatchTable,
    Piece,
    Report,
    WaterReport,
    fired_limits_mm,
    said,
)
from wareboard.figures.shown import Reader
from wareboard.pot import fits
from wareboard.pot.stages import STAGES
from wareboard.text.quantities import format_share

WIDTH = 46  # columns of a phone held upright
WORTH_SHARE = 0.25  # of the room between least and most; a scale step worth more is said
WORTH_MM = 0.5  # the same, where a limit is missing


def render_match(report: Report, reader: Reader) -> str:
    """Two pieces tried on each other, in words."""
    blocks = [
        [_head(report)],
        _verdict(report, reader),
        _clearances(report, reader),
        *_pieces(report, reader),
        list(_notes(report, reader)),
    ]
    return "\n\n".join("\n".join(_wrapped(block)) for block in blocks if block)


def render_water(report: WaterReport, reader: Reader) -> str:
    """A fit of clay with other water, in words."""
    found, (inside, outside) = report.found, report.pieces
    head = [_head(report), *(_water(piece, share) for piece, share in zip(report.pieces, report.water_shares))]
    verdict = [
        f"{said(reader, found.clearance_mm[-1], 'mm')} fired: {_state(found.state)}",
        "  with calipers and sizes as they are on the card",
        _wanted(report.record, reader),
    ]
    tried = [
        f"{said(reader, found.tried_fired_mm, 'mm')} fired: {_state(found.tried_state)}",
        f"  where each {outside.name} is tried on its {inside.name} at leather-hard and left {_plain(reader, fits.clearance_mm(report.record, 'leather-hard'), 'mm')}",
    ]
    stages = [
        "clearance by stage, calipers as they are",
        *(f"  {_plain(reader, value, 'mm')} {stage}" for stage, value in zip(STAGES, found.clearance_mm)),
    ]
    blocks = [
        head,
        verdict,
        tried,
        stages,
        ["This takes for granted:", *(f"  {line}" for line in ASSUMES)],
        ["It leaves out:", *(f"  {line}" for line in LEAVES_OUT)],
    ]
    return "\n\n".join("\n".join(_wrapped(block)) for block in blocks)


def _water(piece: Piece, share: float) -> str:
    usual = piece.body.water_share
    return f"{piece.name} thrown with {_share(share)} water, " + (
        "as usual" if abs(share - usual) < 5e-4 else f"usually {_share(usual)}"
    )


def render_match_table(table: MatchTable, reader: Reader) -> str:
    """The table of a fit for the terminal: `b` marks what binds, `r` what rattles."""
    unit = reader.amounts(0.0, "mm", small=True)[0].unit
    heads = [_share(column.share_of_thrown, digits=0) for column in table.columns]
    weights = [_weight(column.mass_g, reader) for column in table.columns]
    lines = [["", "", *heads], ["", "", *weights]]
    for row in table.rows:
        cells = [
            f"{reader.amounts(cell.fired_mm, 'mm', small=True)[0].number} {_LETTER[cell.state]}" for cell in row.cells
        ]
        lines.append([_share(row.dryness.share_of_thrown, digits=0), _weight(row.dryness.mass_g, reader), *cells])
    widths = [max(map(len, column)) for column in zip(*lines)]
    body = [" ".join(cell.rjust(width) for cell, width in zip(line, widths)).rstrip() for line in lines]
    legend = f"{unit} when fired; b binds, r rattles. {table.inside} across, {table.outside} down, each as a share of its weight as thrown."
    return "\n\n".join(("\n".join(_wrapped([table.sentence])), "\n".join(body), "\n".join(_wrapped([legend]))))


_LETTER = {"binds": "b", "rattles": "r", "ok": " "}


def _weight(mass_g: float | None, reader: Reader) -> str:
    return "" if mass_g is None else str(_finer(reader).amounts(mass_g, "g")[0])


def _head(report: Report | WaterReport) -> str:
    inside, outside = report.pieces
    return f"{report.sheet.form.title}, {report.fit_name}: {outside.name} in {inside.name}"


def _verdict(report: Report, reader: Reader) -> list[str]:
    """What to do, the first line of it big."""
    found, verdict = report.found, report.found.verdict
    inside, outside = report.pieces
    leave = f"Leave {said(reader, found.now_mm, 'mm')} of clearance, {said(reader, found.now_mm / 2.0, 'mm')} a side."
    match verdict.action:
        case "trim" if report.soft:
            firm = (
                f"{piece.name} {said(_finer(reader), piece.leather_hard_g(weighing.thrown_g), 'g')}"
                for piece, weighing in zip(report.pieces, report.weighings)
            )
            return [
                "ALIKE ENOUGH, BUT STILL SOFT.",
                f"Trim when they are leather-hard: {', '.join(firm)}.",
                "Weigh both again then.",
            ]
        case "trim":
            return ["TRIM NOW.", leave, *_for_the_aim(report, reader)]
        case "wait" | "damp":
            name, other = report.named(verdict.part), inside if verdict.part == "outside" else outside
            doing = f"LET THE {name} DRY FIRST," if verdict.action == "wait" else f"DAMP THE {name} FIRST,"
            until = f"until it weighs about {report.until.words}, {_share(verdict.until_share_of_thrown)} of what it was thrown at."
            return [
                _capitals(doing),
                until,
                f"Keep the {other.name} as it is, wrapped; then trim. Fired that leaves {said(reader, verdict.fired_mm, 'mm')}.",
                *_or_now(report, reader),
            ]
        case "trim to" if report.measured:
            return [
                _capitals(f"TRIM A LITTLE MORE OFF THE {outside.name}."),
                f"Leave {said(reader, found.trim_to_mm, 'mm')} of clearance, {said(reader, found.trim_to_mm / 2.0, 'mm')} a side.",
            ]
        case "trim to":
            return [
                "TRIM NOW, BUT TO ANOTHER CLEARANCE.",
                f"Leave {said(reader, found.trim_to_mm, 'mm')}, {said(reader, found.trim_to_mm / 2.0, 'mm')} a side; waiting would not mend it.",
            ]
        case "leave":
            return ["LEAVE IT AS IT IS.", "It will be right when fired."]
        case _:
            return [
                _capitals(f"START THE {outside.name} AGAIN."),
                f"It is too small for this {inside.name}; neither trimming nor drying mends that.",
            ]


def _capitals(words: str) -> str:
    return words.upper()


def _for_the_aim(report: Report, reader: Reader) -> list[str]:
    found = report.found
    if found.trim_to_mm is None or report.record.pairing == "any" or abs(found.trim_to_mm - found.now_mm) < 0.05:
        return []
    aim = said(reader, fits.at_fired_mm(report.record, report.record.aim_mm), "mm")
    return [f"To land on the aim of {aim}, leave {said(reader, found.trim_to_mm, 'mm')} instead."]


def _or_now(report: Report, reader: Reader) -> list[str]:
    # Too soft, it can't be trimmed at all; with `any`, one trimmed to an odd size would go on no other.
    if report.found.trim_to_mm is None or report.soft or report.record.pairing == "any":
        return []
    return [f"If it can't wait: trim now and leave {said(reader, report.found.trim_to_mm, 'mm')}."]


def _clearances(report: Report, reader: Reader) -> list[str]:
    found = report.found
    first = (
        f"clearance measured now: {_plain(reader, found.now_mm, 'mm')}"
        if report.measured
        else f"trimmed now to {_plain(reader, found.now_mm, 'mm')} of clearance"
    )
    lines = [
        first,
        f"  {_plain(reader, found.dry_mm, 'mm')} bone dry",
        f"  {_plain(reader, found.fired_mm, 'mm')} fired: {_state(found.state)}",
        _wanted(report.record, reader),
    ]
    if report.binds_share is not None and report.loose_share is not None:
        lines.append(f"  of pairs like these {_share(report.binds_share)} bind, {_share(report.loose_share)} rattle")
    return lines


def _wanted(record: fits.Fit, reader: Reader) -> str:
    least, most = fired_limits_mm(record)
    parts = [f"aim {_plain(reader, fits.at_fired_mm(record, record.aim_mm), 'mm')}"]
    parts += [
        f"{word} {_plain(reader, limit, 'mm')}"
        for word, limit in (("least", least), ("most", most))
        if limit is not None
    ]
    return f"  {', '.join(parts)}"


def _plain(reader: Reader, value: float, unit: str) -> str:
    """A length or a weight in the studio's first system alone: below the verdict every column counts."""
    return str(reader.amounts(value, unit, small=True)[0])


def _state(state: str) -> str:
    return {"binds": "BINDS", "rattles": "RATTLES", "ok": "right"}[state]


def _pieces(report: Report, reader: Reader) -> Iterator[list[str]]:
    fine = _finer(reader)
    for place, (piece, now) in enumerate(zip(report.pieces, (report.found.inside, report.found.outside))):
        weighing = report.weighings[place]
        thrown = f"{_plain(fine, weighing.thrown_g, 'g')} as thrown" + (
            ", by the sheet" if report.from_sheet[place] else ""
        )
        yield [
            f"{piece.name}: {_share(now.share_of_thrown)} of its weight as thrown",
            f"  {_plain(fine, weighing.now_g, 'g')} now", f"  {thrown}",
            f"  shrunk {_share(now.shrunk_share)}, {_share(now.to_come_share)} to come",
        ]  # fmt: skip


def _notes(report: Report, reader: Reader) -> Iterator[str]:
    """How sure it is, and what to look out for."""
    record, fine = report.record, _finer(reader)
    room = record.most_mm - record.least_mm
    telling = WORTH_SHARE * room if room < inf else WORTH_MM
    if max(report.step_worth_mm) > telling:
        worths = (
            f"{_plain(reader, worth, 'mm')} on the {piece.name}"
            for piece, worth in zip(report.pieces, report.step_worth_mm)
        )
        yield f"A step of your scale, {_plain(reader, reader.steps.scale_g, 'g')}, is worth {' and '.join(worths)}. Use a finer one."
    unsure = [
        (worth, piece, weighing)
        for worth, piece, weighing, sheet in zip(
            report.thrown_worth_mm, report.pieces, report.weighings, report.from_sheet
        )
        if sheet
    ]
    if unsure:
        worth, piece, weighing = max(unsure, key=lambda one: one[0])
        example = f"'{piece.name}={fine.amounts(weighing.thrown_g, 'g')[0]} > {fine.amounts(weighing.now_g, 'g')[0]}'"
        yield f"Weights as thrown are the sheet's, before trimming and without handles. A {piece.name} thrown 1 % heavier moves the fired clearance by {_plain(reader, worth, 'mm')}; weigh it as thrown and write {example}."
    for piece in report.soft if report.found.verdict.action != "trim" else ():
        yield f"The {piece.name} is too soft to trim yet."
    for piece in report.stopped:
        yield f"The {piece.name} has done shrinking. Trimming dry clay raises silica dust, which harms the lungs: damp it, and work as your local rules for dust say."
    if report.found.now_mm < 0.0:
        yield "At leather-hard this fit has no clearance to leave: it can't be tried on. See `wareboard check`."
    if record.pairing == "any":
        yield "The pairing is any: this tells of these two, and others differ from them."


def _finer(reader: Reader) -> Reader:
    """The same reader for weights as they were read: to the gram at least."""
    return replace(reader, steps=replace(reader.steps, scale_g=min(1.0, reader.steps.scale_g)))


def _share(share: float, digits: int = 1) -> str:
    return f"{share * 100.0:.0f} %" if digits == 0 else " ".join(format_share(share))


_TIED = re.compile(r"(?<=[0-9½¼¾⅛⅜⅝⅞₀-₉]) (?=(?:mm|g|kg|%|in|oz|lb)\b|%)|(?<=lb) (?=\S+ oz)")


def _wrapped(lines: list[str]) -> Iterator[str]:
    """Lines no wider than a phone; what goes over is set in."""
    for line in lines:
        margin = " " * (len(line) - len(line.lstrip()))
        held = line.lstrip()
        # a number keeps to its unit
        tied = _TIED.sub("\0", held)
        for piece in textwrap.wrap(
            tied,
            WIDTH - len(margin),
            subsequent_indent="  " if margin else "",
            break_long_words=False,
            break_on_hyphens=False,
        ):
            yield margin + piece.replace("\0", " ")
