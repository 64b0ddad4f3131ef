"""A dryness match in words for a small screen: what to do first, short lines, how sure it is last."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from dataclasses import replace
from math import inf

from wareboard.figures.matching import ASSUMES, LEAVES_OUT, MatchTable, Piece, WaterReport, fired_limits_mm, said
from wareboard.figures.matchreport import Report
from wareboard.figures.shown import Reader
from wareboard.pot import fits
from wareboard.pot.moisture import BOTH
from wareboard.pot.stages import STAGES
from wareboard.text.problems import format_words
from wareboard.text.quantities import format_share

WIDTH = 46  # columns of a phone held upright
WORTH_SHARE = 0.25  # of the room between least and most; a scale step worth more is said
WORTH_MM = 0.5  # the same, where a limit is missing


def render_match(report: Report, reader: Reader) -> str:
    """Two pieces tried on each other, in words; the first line is what to set."""
    blocks = [
        _verdict(report, reader),
        [_head(report)],
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
        f"  where each {outside.said} is tried on its {inside.said} at leather-hard and left {_plain(reader, fits.clearance_mm(report.record, 'leather-hard'), 'mm')}",
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
    return f"{piece.said} thrown with {_share(share)} water, " + (
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
    return f"{report.sheet.form.title}, {report.fit_name}: {outside.said} in {inside.said}"


def _verdict(report: Report, reader: Reader) -> list[str]:
    """What to set or to wait for, the first line of it big."""
    found, verdict = report.found, report.verdict
    inside, outside = report.pieces
    fired = f"Fired that leaves {_plain(reader, report.fired_mm, 'mm')} ± {_plain(reader, report.fired_plus_minus_mm, 'mm')}."
    turn = f"TRIM THE {outside.size_name.upper()} TO {report.turn_to.words}" if report.turn_to else ""
    match verdict.action:
        case "wait" if found.verdict.action == "trim":
            return [
                f"WAIT: THE {_names(report.soft).upper()} {'IS' if len(report.soft) == 1 else 'ARE'} STILL SOFT.",
                *_firm(report, reader),
            ]
        case "trim":
            return [f"{turn}.", _play(report, reader), fired]
        case "wait" | "damp":
            name, other = report.named(verdict.part), inside if verdict.part == "outside" else outside
            doing = f"{'let' if verdict.action == 'wait' else 'damp'} the {name}{' dry' if verdict.action == 'wait' else ''} first,"
            share = verdict.until_share_of_thrown
            told = (
                f", {_share(share)} of what it was thrown at" if report.until and report.until.mass_g and share else ""
            )
            until = f"until it {'weighs' if report.until and report.until.mass_g else 'reads'} about {report.until.words}{told}." if report.until else "until it is leather-hard."  # fmt: skip
            if found.verdict.action == "trim":  # it has done shrinking, and is damped before anything is trimmed
                return [doing.upper(), until, f"Then read it again and trim the {outside.size_name}."]
            then = f"Keep the {other.said} as it is, wrapped; then leave {_plain(reader, found.now_mm, 'mm')} of play, which leaves {_plain(reader, verdict.fired_mm, 'mm')} fired."
            return [f"{turn}.", fired, f"Or {doing} {until} {then}"] if turn else [doing.upper(), until, then]
        case "trim to":
            return [f"{turn}.", _play(report, reader), fired]
        case "leave":
            return ["LEAVE IT AS IT IS.", fired]
        case _:
            return [
                f"START THE {outside.said.upper()} AGAIN.",
                f"It is too small for this {inside.said}; neither trimming nor drying mends that. {fired}",
            ]


def _play(report: Report, reader: Reader) -> str:
    """What is left between the two, where both were read closely enough to say."""
    if report.turn_to is None:
        return ""
    inside = report.found.inside
    opening = report.record.inside.wet_mm * (1.0 - inside.shrunk_share)
    size = report.read[0].readings.size
    play = (size.now_mm if size else opening) - report.turn_to.size_mm
    by = "" if size else ", by the card's calipers"
    return f"That is {said(reader, play, 'mm')} of play in the {report.pieces[0].said} now{by}."


def _names(pieces: tuple[Piece, ...]) -> str:
    return format_words((piece.said for piece in pieces), "and")


def _firm(report: Report, reader: Reader) -> list[str]:
    """What soft pieces come to when they can be trimmed."""
    firm = []
    for piece, read in zip(report.pieces, report.read):
        if piece not in report.soft:
            continue
        weight, size = read.readings.weight, read.readings.size
        across = piece.body.across("leather-hard")
        if size is not None:
            firm.append(f"{piece.name}.{piece.size_name} {_plain(reader, size.thrown_mm * across, 'mm')}")
        elif weight is not None:
            firm.append(f"{piece.said} {said(_finer(reader), piece.leather_hard_g(weight.thrown_g), 'g')}")
    return [f"Trim when leather-hard: {', '.join(firm)}.", "Read both again then."]


def _clearances(report: Report, reader: Reader) -> list[str]:
    found = report.found
    first = (
        f"clearance measured now: {_plain(reader, found.now_mm, 'mm')}"
        if report.measured
        else f"with the card's {_plain(reader, found.now_mm, 'mm')} of play left now"
    )
    lines = [
        first,
        f"  {_plain(reader, found.dry_mm, 'mm')} bone dry",
        f"  {_plain(reader, found.fired_mm, 'mm')} fired: {_state(found.state)}",
        _wanted(report.record, reader),
    ]
    if report.binds_share is not None and report.loose_share is not None:
        doing = "as it is" if report.measured and report.verdict.action == "leave" else "done as above"
        lines.append(
            f"of pairs like these, {doing}, {_share(report.binds_share)} bind, {_share(report.loose_share)} rattle"
        )
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
    for (piece, now), read in zip(report.states, report.read):
        weight, size = read.readings.weight, read.readings.size
        lines = [f"{piece.said}, by {'calipers and weight' if now.by == BOTH else now.by}"]
        if size is not None:
            whose = ", by the sheet" if read.size_from_sheet else ""
            lines.append(f"  {piece.size_name} {_plain(reader, size.now_mm, 'mm')} now, {_plain(reader, size.thrown_mm, 'mm')} as thrown{whose}")  # fmt: skip
        if weight is not None:
            whose = ", by the sheet" if read.weight_from_sheet else ""
            lines.append(
                f"  {_plain(fine, weight.now_g, 'g')} now, {_plain(fine, weight.thrown_g, 'g')} as thrown{whose}"
            )
            lines.append(f"  {_share(weight.now_g / weight.thrown_g)} of its weight as thrown")
        shrunk, doubt, left = now.shrunk_share * 100.0, now.shrunk_plus_minus * 100.0, now.to_come_share * 100.0
        lines.append(f"  shrunk {shrunk:.1f} ± {doubt:.1f} %, {left:.1f} % to come")
        yield lines


def _notes(report: Report, reader: Reader) -> Iterator[str]:
    """How sure it is, and what to look out for."""
    record, fine = report.record, _finer(reader)
    room = record.most_mm - record.least_mm
    telling = WORTH_SHARE * room if room < inf else WORTH_MM
    if any(worth is not None and worth > telling for worth in report.step_worth_mm):
        worths = (
            f"{_plain(reader, worth, 'mm')} on the {piece.said}"
            for piece, worth in zip(report.pieces, report.step_worth_mm)
            if worth is not None
        )
        yield f"A step of your scale, {_plain(reader, reader.steps.scale_g, 'g')}, is worth {' and '.join(worths)}. Use a finer one, or calipers: {_by_calipers(report)}."
    unsure = [
        (worth, piece, read.readings.weight)
        for worth, piece, read in zip(report.thrown_worth_mm, report.pieces, report.read)
        if worth is not None and read.weight_from_sheet and read.readings.weight and not read.readings.size
    ]
    if unsure:
        worth, piece, weighing = max(unsure, key=lambda one: one[0])
        example = f"'{piece.name}={fine.amounts(weighing.thrown_g, 'g')[0]} > {fine.amounts(weighing.now_g, 'g')[0]}'"
        yield f"Weights as thrown are the sheet's, before trimming and without handles. A {piece.said} thrown 1 % heavier moves the fired clearance by {_plain(reader, worth, 'mm')}; weigh it as thrown and write {example}, or read its size."
    for piece in report.soft if report.found.verdict.action != "trim" else ():
        yield f"The {piece.said} is too soft to trim yet."
    for piece in report.stopped:
        yield f"The {piece.said} has done shrinking. Trimming dry clay raises silica dust, which harms the lungs: damp it, and work as your local rules for dust say."
    if report.found.now_mm < 0.0:
        yield "At leather-hard this fit has no clearance to leave: it can't be tried on. See `wareboard check`."
    if record.pairing == "any":
        yield "The pairing is any: this tells of these two, and others differ from them."


def _by_calipers(report: Report) -> str:
    piece = report.pieces[1]
    return f"`{piece.name}.{piece.size_name}={piece.thrown_mm * piece.body.across('leather-hard'):.1f}`"


def _finer(reader: Reader) -> Reader:
    """The same reader for weights as they were read: to the gram at least."""
    return replace(reader, steps=reader.steps._replace(scale_g=min(1.0, reader.steps.scale_g)))


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
