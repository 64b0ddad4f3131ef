"""A plan's numbers in words, the same for terminal, page and run sheet."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import fsum

from wareboard.figures.plan import Firing, Plan, PlanBlend, PlanCost, PlanLine, Tallied
from wareboard.figures.shown import Reader
from wareboard.pot.kilnloads import Load
from wareboard.text import languages
from wareboard.text.languages import _, ngettext, pointed
from wareboard.text.quantities import IMPERIAL, METRIC, round_to_step, round_together


def written_date(day: datetime.date | None, *, year: bool = True) -> str:
    """A day in words, or nothing where there is none: `Fri 14 May 2027`.

    >>> written_date(datetime.date(2027, 5, 14))
    'Fri 14 May 2027'
    """
    return "" if day is None else languages.written_date(day, year=year)


def chance_text(share: float) -> str:
    """A chance in per cent, and never a false 0 or 100.

    >>> chance_text(0.9571), chance_text(0.9996), chance_text(0.0001)
    ('96 %', '99.96 %', '0.01 %')
    """
    percent = share * 100.0
    if percent >= 99.995:
        return "100 %" if share >= 1.0 - 1e-12 else pointed(_("over {share} %").format(share="99.99"))
    if percent < 0.005:
        return "0 %" if share <= 0.0 else pointed(_("under {share} %").format(share="0.01"))
    for digits in (0, 1, 2):
        text = f"{percent:.{digits}f}"
        if text not in ("100", "0", "100.0", "0.0"):
            return pointed(f"{text} %")
    return pointed(f"{percent:.2f} %")


def sure_words(plan: Plan) -> str:
    """How sure a plan is, in a sentence: line by line, and all lines together."""
    said = _("Enough of each form come out {chance} of the time").format(chance=chance_text(plan.confidence))
    return (
        _("{said}; of all {count} together {chance}.").format(
            said=said, count=len(plan.lines), chance=chance_text(plan.chance)
        )
        if len(plan.lines) > 1
        else f"{said}."
    )


def kilograms(mass_g: float, *, sign: bool = False) -> str:
    """A weight of clay or glaze: kg to a tenth, under a kilogram g to ten.

    >>> kilograms(12345.0), kilograms(418.0), kilograms(-685.0, sign=True)
    ('12.3 kg', '420 g', '−690 g')
    """
    size = abs(mass_g)
    text = (
        f"{round_to_step(size / 1000.0, 0.1):.1f} kg"
        if size >= 999.5
        else f"{int(size / 10.0 + 0.5) * 10 if size >= 99.5 else size:.0f} g"
    )
    return ("−" if mass_g < 0 else "+" if sign else "") + pointed(text)


def blend_words(blend: PlanBlend) -> tuple[list[tuple[str, str, str]], str, str]:
    """What a clay is blended from, so that it adds up to what is blended as it is printed.

    Args:
        blend: one that can be had.
    Returns: name, water and weight of each clay at hand; the water worked in; what must be bought; empty where there is none.
    """
    made, used = blend.blend, list(blend.used())
    amounts_kg = (*(kg for *_rest, kg in used), made.water_kg, made.short_kg)
    *rounded_kg, water_kg, short_kg = round_together(amounts_kg, 0.1 if fsum(amounts_kg) >= 0.9995 else 0.01)
    water_kg = water_kg or made.water_kg  # a little is worked in by the gram
    return (
        [(name, pointed(f"{share * 100:.1f} %"), kilograms(kg * 1000.0)) for (name, share, _kg), kg in zip(used, rounded_kg, strict=True) if kg],
        f"{water_kg * 1000.0:.0f} g" if water_kg > 5e-4 else "",
        kilograms(short_kg * 1000.0) if short_kg else "",
    )  # fmt: skip


def litres(volume_l: float | None) -> str:
    """A volume of slop or water: l to a tenth, under a litre ml to ten.

    >>> litres(1.244), litres(0.418)
    ('1.2 l', '420 ml')
    """
    if volume_l is None:
        return ""
    return pointed(f"{volume_l:.1f} l") if volume_l >= 0.995 else f"{round(volume_l * 1000.0, -1):.0f} ml"


def money(amount: float | None, currency: str = "") -> str:
    """An amount of money: `8.95 GBP`.

    >>> money(8.949, "GBP")
    '8.95 GBP'
    """
    return "" if amount is None else pointed(f"{amount:.2f}") + (f" {currency}" if currency else "")


def money_spent(cost: PlanCost, currency: str = "") -> str:
    """What a run costs, so that it is the sum of what is printed of each line."""
    spent = (part for line in cost.lines for part in line.cost.parts if part is not None)
    return money(fsum(round(part, 2) for part in spent), currency)


def expected_text(count: float) -> str:
    """How many pieces to expect on the mean, to half a piece.

    >>> expected_text(30.4), expected_text(31.99)
    ('30.5', '32')
    """
    return pointed(f"{round(count * 2.0) / 2.0:g}")


def pieces_text(pieces: Mapping[str, float], *, whole: bool = False) -> str:
    """Numbers of parts: `34 × jar, 35 × lid`; expected ones to half a piece.

    >>> pieces_text({"jar": 31.99, "lid": 32.6})
    '32 × jar, 32.5 × lid'
    """
    return ", ".join(
        (pointed(f"{count:g}") if whole else expected_text(count)) + f" × {part}" for part, count in pieces.items()
    )


def spare_words(line: PlanLine) -> str:
    """Parts of which more are thrown than of another: `35 × lid for 34 × jar`; empty where all are as many."""
    pieces = line.throw.pieces
    if len(set(pieces.values())) < 2:
        return ""
    fewest = min(pieces, key=lambda part: pieces[part])
    more = [f"{count} × {part}" for part, count in pieces.items() if count > pieces[fewest]]
    return _("{more} for {count} × {part}").format(more=_(" and ").join(more), count=pieces[fewest], part=fewest)


def tally_words(tallied: Tallied) -> str:
    """How a form stands, in a sentence: the chance now, and what to throw to restore it."""
    made = (
        ngettext("{count} good set out of the kiln; ", "{count} good sets out of the kiln; ", tallied.made_sets).format(
            count=tallied.made_sets
        )
        if tallied.made_sets
        else ""
    )
    now = made + _("{chance} that {sets} come out").format(chance=chance_text(tallied.chance), sets=tallied.sets)
    if tallied.throw is None:
        return _("{now}: nothing more to throw").format(now=now)
    return _("{now}: throw {pieces} more, then {chance}").format(
        now=now,
        pieces=pieces_text({part: count for part, count in tallied.throw.pieces.items() if count}, whole=True),
        chance=chance_text(tallied.throw.chance),
    )


def ball_texts(line: PlanLine, part: str, reader: Reader) -> tuple[str, ...]:
    """A ball as it is weighed, in each of the studio's systems; each to its own scale's step, and never short."""
    by_system = {METRIC: line.balls_g[part], IMPERIAL: line.derived_g[part]}
    return tuple(
        str(replace(reader, systems=(system,)).amounts(by_system[system], "g", up=True)[0]) for system in reader.systems
    )


def ball_words(line: PlanLine, part: str, reader: Reader) -> str:
    """A ball in a sentence: `545 g (1 lb 3¼ oz)`."""
    first, *other = ball_texts(line, part, reader)
    return first + (f" ({other[0]})" if other else "")


def tier_words(firing: Firing, load: Load, place: int) -> str:
    """What stands on one shelf: `24 Tea caddy, jar with lid; 3 Tall beaker`."""
    counted = Counter(placed.kind for placed in load.tiers[place].placed)
    return "; ".join(_kind_words(firing, kind, count) for kind, count in sorted(counted.items()))


def _kind_words(firing: Firing, kind: int, count: int) -> str:
    each = firing.each[kind]
    if each == 1:
        return f"{count} {firing.names[kind]}"
    return _("{count} {name}, {each} on one another").format(count=count * each, name=firing.names[kind], each=each)


def alike(firing: Firing) -> Iterator[tuple[int, int, Load]]:
    """Loads that are packed alike, together: the first and the last of them by number, and the load."""
    seen: list[tuple[int, int, Load]] = []
    for number, load in enumerate(firing.loads, 1):
        words = [tier_words(firing, load, place) for place in range(len(load.tiers))]
        if seen and seen[-1][1] == number - 1:
            first, _other, known = seen[-1]
            if words == [tier_words(firing, known, place) for place in range(len(known.tiers))]:
                seen[-1] = (first, number, known)
                continue
        seen.append((number, number, load))
    yield from seen


def load_title(first: int, last: int) -> str:
    """What a load, or several alike, are called: `Load 1`, `Loads 2 to 5`."""
    return (
        _("Load {number}").format(number=first)
        if first == last
        else _("Loads {first} to {last}").format(first=first, last=last)
    )


def kiln_lines(plan: Plan) -> Iterator[str]:
    """Every firing in words, load by load, from the lowest shelf up."""
    for firing in plan.firings:
        if not firing.loads:
            continue
        count = len(firing.loads)
        bound = f"; by area it could not be under {firing.at_least}" if firing.at_least < count else ""
        yield f"{firing.kind.capitalize()} firing, {firing.kiln_title}: {count} load{'s' if count > 1 else ''}{bound}"
        for first, last, load in alike(firing):
            yield f"  {load_title(first, last)}, from below"
            for place, prop in enumerate(load.props_mm):
                held = f"props {prop:.0f} mm" if prop else f"{load.tiers[place].clear_mm:.0f} mm clear"
                yield f"    {place + 1}. {held}: {tier_words(firing, load, place)}"
