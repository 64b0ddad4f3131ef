"""What a maker types behind `wareboard match FORM`, and what can be wrong with it: `jar.mouth=84.9`, `jar=492g`, `lid=23%`.

Everything that is wrong is gathered and said at once, each with the argument that it is about.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from wareboard.figures.matching import SIDES, Piece, WaterReport, check_water, pieces_of, said, water_report
from wareboard.figures.matchreport import Read, Report, match_report, with_doubt
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader
from wareboard.pot.frozen import frozen
from wareboard.pot.moisture import (
    Calipered,
    MatchError,
    Readings,
    SizeAboveThrown,
    SizeBelowDry,
    Weighing,
    WeightAboveThrown,
    WeightBelowDry,
    shrunk_by_size,
    shrunk_by_weight,
)
from wareboard.text.problems import did_you_mean, format_words
from wareboard.text.units import SizeError, parse_quantity


@frozen
class Fault:
    """One thing that is wrong with what was typed. `usage` where it can't be read at all, else it can't be so."""

    argument: str
    message: str
    hint: str = ""
    usage: bool = True

    def __str__(self) -> str:
        said_at = f"{self.argument}: " if self.argument else ""
        return f"{said_at}{self.message}" + (f"\n   hint: {self.hint}" if self.hint else "")


class Refused(Exception):
    """What was typed can't be followed; carries every fault."""

    def __init__(self, faults: Iterable[Fault]):
        self.faults = tuple(dict.fromkeys(faults))
        super().__init__("\n".join(map(str, self.faults)))

    @property
    def exit_code(self) -> int:
        """2 where something can't be read, 1 where it can't be so."""
        return 2 if any(fault.usage for fault in self.faults) else 1


@frozen
class Argument:
    """One `NAME=VALUE` as it was typed."""

    typed: str
    name: str
    value: str


def impossible_size(fault: MatchError, argument: Argument, piece: Piece, given: Read, reader: Reader) -> Fault:
    """A size that can\'t be, in words: larger than it was thrown, or smaller than bone dry."""
    size = given.readings.size
    thrown, now = said(reader, size.thrown_mm, "mm"), said(reader, size.now_mm, "mm")
    by_sheet = " by the sheet" if given.size_from_sheet else ""
    both = f"'{argument.name}={size.now_mm / piece.body.across('leather-hard'):.1f}>{size.now_mm:.1f}'"
    hint = "look at both sizes again" if not by_sheet else f"if it was thrown to another size, give that too: {both}"
    if isinstance(fault, SizeAboveThrown):
        return Fault(
            argument.typed, f"{now} is more than the {thrown} that it was as thrown{by_sheet}", hint, usage=False
        )
    if isinstance(fault, SizeBelowDry):
        dry = said(reader, size.thrown_mm * piece.body.across("dry"), "mm")
        if by_sheet and piece.side == "outside":
            hint = f"if it is trimmed already, give the play instead: clearance=1.2mm; {hint}"
        return Fault(
            argument.typed,
            f"{now} is less than it is bone dry, {dry} of {thrown} as thrown{by_sheet}",
            hint,
            usage=False,
        )
    return Fault(argument.typed, str(fault), usage=False)


def impossible_weight(
    fault: MatchError, argument: Argument, piece: Piece, weighing: Weighing, given: bool, reader: Reader
) -> Fault:
    """A weight that can\'t be, in words: heavier than it was thrown, or lighter than bone dry."""
    thrown, now = said(reader, weighing.thrown_g, "g"), said(reader, weighing.now_g, "g")
    both = f"'{piece.name}={reader.amounts(weighing.now_g * 1.05, 'g')[0]} > {reader.amounts(weighing.now_g, 'g')[0]}'"
    if isinstance(fault, WeightAboveThrown):
        hint = (
            "the first is the weight as thrown, the second the weight now"
            if given
            else f"if it was thrown heavier, give its weight as thrown too: {both}; weigh it without handle or knob"
        )
        return Fault(
            argument.typed,
            f"{now} is more than the {thrown} that it weighed as thrown{'' if given else ' by the sheet'}",
            hint,
            usage=False,
        )
    if isinstance(fault, WeightBelowDry):
        dry = said(reader, weighing.thrown_g * piece.body.mass_share("dry"), "g")
        hint = (
            "look at both weights again"
            if given
            else f"if it was thrown lighter or is trimmed already, give its weight as thrown less what was trimmed away: {both}"
        )
        return Fault(
            argument.typed,
            f"{now} is less than it weighs bone dry, {dry} of {thrown} as thrown{'' if given else ' by the sheet'}",
            hint,
            usage=False,
        )
    return Fault(argument.typed, str(fault), usage=False)


def in_order(faults: list[Fault], arguments: Sequence[str]) -> list[Fault]:
    """Faults in the order of what was typed; what is missing comes last."""
    places = {typed: place for place, typed in reversed(list(enumerate(arguments)))}
    return sorted(faults, key=lambda fault: places.get(fault.argument, len(arguments)))


CLEARANCE = "clearance"
MOST_WATER_SHARE = 0.6  # as for a clay's own water
_ARROW = re.compile(r"\s*(?:->|[>→:])\s*")


@dataclass(slots=True)
class _Gathered:
    """What each side was said to be, and what is wrong so far."""

    faults: list[Fault] = field(default_factory=list)
    by_side: dict[str, Argument] = field(default_factory=dict)  # weights, or water
    sizes: dict[str, Argument] = field(default_factory=dict)
    clearance: Argument | None = None


def chosen_fit(sheet: Sheet, arguments: Sequence[str], wanted: str | None, others: Mapping[str, Sheet]) -> str:
    """The fit that is meant: the one named, the only one, or the one whose parts were weighed.

    Args:
        sheet: the form's sheet.
        arguments: as typed behind the form.
        wanted: the fit's name, where it was given.
        others: sheets by slug.
    Raises: Refused.
    """
    names = list(map(str, sheet.fits))
    if not names:
        raise Refused(
            [
                Fault(
                    "",
                    f"{sheet.form.title} has no fit, so there is nothing to match",
                    "write one under `fits:`",
                    usage=False,
                )
            ]
        )
    if wanted is not None:
        if wanted in names:
            return wanted
        raise Refused(
            [
                Fault(
                    f"--fit {wanted}",
                    f"{sheet.form.title} has no such fit",
                    did_you_mean(wanted, names),
                )
            ]
        )
    if len(names) == 1:
        return names[0]
    typed = {_folded(argument.partition("=")[0]) for argument in arguments} - {CLEARANCE}
    meant = [
        name
        for name in names
        if typed
        and all(typed & set(map(_folded, piece.names + piece.size_names)) for piece in pieces_of(sheet, name, others))
    ]
    if len(meant) == 1:
        return meant[0]
    raise Refused(
        [
            Fault(
                "",
                f"{sheet.form.title} has the fits {format_words(names, 'and')}",
                f"say which: --fit {_quoted(names[0])}",
            )
        ]
    )


def read_weighings(
    sheet: Sheet, fit_name: str, arguments: Sequence[str], reader: Reader, others: Mapping[str, Sheet]
) -> Report:
    """Sizes and weights now, perhaps as thrown too, and a clearance; and what comes of them.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits.
        arguments: `PART.SIZE=NOW` by calipers and `PART=NOW` by weight, `THROWN>NOW` for either, for both parts,
            and `clearance=SIZE`, as typed.
        reader: the studio's units and scale.
        others: sheets by slug, where the fit reaches into another form.
    Raises: Refused, with every fault.
    """
    pieces = pieces_of(sheet, fit_name, others)
    gathered = _gather(sheet, fit_name, pieces, arguments, with_clearance=True)
    unit, read = str(sheet.form.unit or "mm"), {}
    for piece in pieces:
        weighing = _read_both(gathered.by_side.get(piece.side), "mass", None, piece.thrown_g, piece, gathered.faults)
        size = _read_both(gathered.sizes.get(piece.side), "length", unit, piece.thrown_mm, piece, gathered.faults)
        read[piece.side] = Read(
            Readings(weighing and Weighing(*weighing[0]), size and Calipered(*size[0])),
            not (weighing and weighing[1]), not (size and size[1]),
        )  # fmt: skip
    measured = _clearance(gathered.clearance, sheet, gathered.faults) if gathered.clearance else None
    _say_impossible(sheet, fit_name, pieces, gathered, read, measured, reader)
    if gathered.faults:
        raise Refused(in_order(gathered.faults, arguments))
    inside, outside = (read[side] for side in SIDES)
    return match_report(sheet, fit_name, pieces, (inside, outside), reader, measured_mm=measured)


def read_waters(sheet: Sheet, fit_name: str, arguments: Sequence[str], others: Mapping[str, Sheet]) -> WaterReport:
    """Water in each part's clay, one of them at least; and what comes of it.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits.
        arguments: `PART=SHARE`, as typed.
        others: sheets by slug.
    Raises: Refused, with every fault.
    """
    pieces = pieces_of(sheet, fit_name, others)
    gathered = _gather(sheet, fit_name, pieces, arguments, with_clearance=False)
    shares = {piece.side: piece.body.water_share for piece in pieces}
    for piece in pieces:
        argument = gathered.by_side.get(piece.side)
        share = argument and _measure(argument, argument.value, "share", gathered.faults, unit=None)
        if share is None:
            continue
        shares[piece.side] = share
        try:
            if not 0.0 < share <= MOST_WATER_SHARE:
                raise ValueError(f"clay is thrown with more than 0 and at most {MOST_WATER_SHARE:.0%} water")
            check_water(piece, share)
        except ValueError as fault:
            gathered.faults.append(
                Fault(
                    argument.typed,
                    str(fault),
                    f"its clay is usually thrown with {piece.body.water_share:.1%}",
                    usage=False,
                )
            )
    if gathered.faults:
        raise Refused(in_order(gathered.faults, arguments))
    return water_report(sheet, fit_name, pieces, (shares["inside"], shares["outside"]))


# ---- names ----


def _gather(
    sheet: Sheet, fit_name: str, pieces: tuple[Piece, Piece], arguments: Sequence[str], *, with_clearance: bool
) -> _Gathered:
    """Each argument to the side it names."""
    gathered = _Gathered()
    missed = False
    for typed in arguments:
        name, equals, value = typed.partition("=")
        argument = Argument(typed, " ".join(name.split()), value.strip())
        if not equals or not argument.name or not argument.value:
            gathered.faults.append(
                Fault(
                    typed,
                    "a part and its weight are wanted here"
                    if with_clearance
                    else "a part and its water are wanted here",
                    f"write {_example(pieces[0], with_clearance)}",
                )
            )
            missed = True
        elif with_clearance and argument.name == CLEARANCE:
            if gathered.clearance:
                gathered.faults.append(Fault(typed, "the clearance is given twice"))
            gathered.clearance = argument
        else:
            missed |= not _place(sheet, fit_name, pieces, argument, gathered, with_clearance)
    left = [piece for piece in pieces if piece.side not in gathered.by_side and piece.side not in gathered.sizes]
    if left and not missed and (with_clearance or len(left) == 2):
        wanted = format_words((piece.name for piece in left), "and" if with_clearance else "or")
        hint = " ".join(_example(piece, with_clearance) for piece in (left if with_clearance else left[:1]))
        gathered.faults.append(
            Fault(
                "",
                f"{'weigh' if with_clearance else 'give the water of'} the {wanted} too"
                if len(left) == 1
                else f"{'weigh' if with_clearance else 'give the water of'} the {wanted}",
                f"write {hint}",
            )
        )
    return gathered


def _place(
    sheet: Sheet,
    fit_name: str,
    pieces: tuple[Piece, Piece],
    argument: Argument,
    gathered: _Gathered,
    with_clearance: bool,
) -> bool:
    """Put an argument to the side that it names; False where it names none."""
    wanted = _folded(argument.name)
    if with_clearance:
        sized = next((piece for piece in pieces if wanted in map(_folded, piece.size_names)), None)
        if sized is not None:
            if sized.side in gathered.sizes:
                gathered.faults.append(Fault(argument.typed, f"{sized.name}.{sized.size_name} is given twice"))
            gathered.sizes[sized.side] = argument
            return True
    piece = next((piece for piece in pieces if wanted in map(_folded, piece.names)), None)
    if piece is None:
        gathered.faults.append(_unknown(sheet, fit_name, pieces, argument, with_clearance))
        return False
    if piece.side in gathered.by_side:
        other = next(one for one in pieces if one is not piece)
        gathered.faults.append(
            Fault(
                argument.typed,
                f"{piece.name} is given twice",
                f"the other one is `{other.name}`" if other.side not in gathered.by_side else "",
            )
        )
        return True
    gathered.by_side[piece.side] = argument
    return True


def _unknown(
    sheet: Sheet, fit_name: str, pieces: tuple[Piece, Piece], argument: Argument, with_clearance: bool
) -> Fault:
    sides = format_words((piece.name for piece in pieces), "and")
    alike = [piece.name for piece in pieces if piece.part == argument.name]
    if alike:
        return Fault(argument.typed, f"`{argument.name}` could be either of {sides}", f"write it as `{alike[0]}`")
    if argument.name in sheet.form.parts:
        return Fault(argument.typed, f"{argument.name} has no part in the fit {fit_name}, which is between {sides}")
    words = {word: piece.name for piece in pieces for word in piece.names} | (
        {CLEARANCE: CLEARANCE, **{word: word for piece in pieces for word in piece.size_names}}
        if with_clearance
        else {}
    )
    return Fault(
        argument.typed,
        f"{sheet.form.title} has no part `{argument.name[:40]}`",
        did_you_mean(argument.name, words, f"the fit {fit_name} is between {sides}"),
    )


def _folded(name: str) -> str:
    return " ".join(name.split()).casefold()


def _example(piece: Piece, with_clearance: bool) -> str:
    weight = round(piece.leather_hard_g(piece.thrown_g)) if piece.thrown_g else 600
    return _quoted(f"{piece.name}={weight}g" if with_clearance else f"{piece.name}={piece.body.water_share * 100:.3g}%")


def _quoted(word: str) -> str:
    """A word as a shell wants it."""
    return f'"{word}"' if re.search(r"[^\w=.%/-]", word) else word


# ---- values ----


def _measure(argument: Argument, text: str, kind: str, faults: list[Fault], unit: str | None) -> float | None:
    try:
        return parse_quantity(text, kind, unit=unit, stage_allowed=False, taken_of=()).value
    except SizeError as fault:
        faults.append(Fault(argument.typed, fault.message, fault.hint))
        return None


def _read_both(
    argument: Argument | None, kind: str, unit: str | None, usual: float | None, piece: Piece, faults: list[Fault]
) -> tuple[tuple[float, float], bool] | None:
    """A weight or a size as thrown and now, and whether the first was read rather than the sheet's."""
    if argument is None:
        return None
    word, example = ("weight", f"{piece.name}=640g>612g") if kind == "mass" else ("size", f"{argument.name}=87.5>84.9")
    texts = _ARROW.split(argument.value)
    if len(texts) > 2 or not all(texts):
        faults.append(
            Fault(argument.typed, f"a {word} as thrown and a {word} now are wanted", f"write '{example}', in quotes")
        )
        return None
    values = [_measure(argument, text, kind, faults, unit) for text in texts]
    if any(value is None for value in values):
        return None
    if any(not value > 0.0 for value in values if value is not None):
        faults.append(Fault(argument.typed, f"a {word} is more than 0 {'g' if kind == 'mass' else 'mm'}", usage=False))
        return None
    if len(values) == 2:
        return (values[0], values[1]), True
    if usual is None:
        faults.append(
            Fault(
                argument.typed,
                f"what {piece.name} weighs as thrown is not known; {piece.form} could not be worked out",
                f"give both: '{example}'",
                usage=False,
            )
        )
        return None
    return (usual, values[0]), False


def _clearance(argument: Argument, sheet: Sheet, faults: list[Fault]) -> float | None:
    return _measure(argument, argument.value, "length", faults, unit=str(sheet.form.unit or "mm"))


def _say_impossible(
    sheet: Sheet, fit_name: str, pieces: tuple[Piece, Piece], gathered: _Gathered, read: dict[str, Read],
    measured: float | None, reader: Reader,
) -> None:  # fmt: skip
    """Readings and a clearance that can't be. Each is tried alone, so that none hides another."""
    fine = replace(reader, steps=reader.steps._replace(scale_g=min(1.0, reader.steps.scale_g)))
    for place, piece in enumerate(pieces):
        given = with_doubt(sheet, fit_name, read[piece.side], place, reader)
        weight, size = given.readings.weight, given.readings.size
        try:
            if weight is not None:
                shrunk_by_weight(piece.body, weight, piece.side, reader.steps.scale_g)
        except MatchError as fault:
            argument = gathered.by_side[piece.side]
            gathered.faults.append(impossible_weight(fault, argument, piece, weight, not given.weight_from_sheet, fine))
        try:
            if size is not None:
                shrunk_by_size(piece.body, size, piece.side)
        except MatchError as fault:
            gathered.faults.append(impossible_size(fault, gathered.sizes[piece.side], piece, given, fine))
    if measured is not None and measured < 0.0:
        said_so = "a clearance is inside minus outside; below nought the one would not go into the other"
        gathered.faults.append(Fault(gathered.clearance.typed, said_so, "measure both again", usage=False))
    if measured is None or gathered.faults:
        return
    try:
        match_report(sheet, fit_name, pieces, (read["inside"], read["outside"]), reader, measured_mm=measured)
    except MatchError as fault:
        gathered.faults.append(Fault(gathered.clearance.typed, str(fault), usage=False))
