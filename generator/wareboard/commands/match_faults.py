"""What can be wrong with what a maker types behind `wareboard match FORM`, and how that is said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from wareboard.figures.matching import Piece, said
from wareboard.figures.matchreport import Read
from wareboard.figures.shown import Reader
from wareboard.pot.frozen import frozen
from wareboard.pot.readings import (
    MatchError,
    SizeAboveThrown,
    SizeBelowDry,
    Weighing,
    WeightAboveThrown,
    WeightBelowDry,
)


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
