"""What a maker measured of one pot, as it is typed: `height=95mm rim=84mm weight=244g brim=310ml belly=96mm@50mm`."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import field
from itertools import pairwise

from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text import units
from wareboard.text.problems import did_you_mean, format_words, what_there_is


@frozen
class Asked:
    """One thing that is measured: what kind it is, how it is asked for, and where the ruler goes."""

    kind: str
    question: str
    how: str
    needed: bool = False
    pair: str = ""


# In the order in which one holds the pot: standing, turned over, in the hand, on the scale, under the tap.
ASKED: dict[str, Asked] = {
    "height": Asked("length", "Height", "Stand it on the table, lay a straight edge across the rim, and read a ruler that stands beside it.", True),
    "rim": Asked("length", "Rim, across the outside", "Lay the ruler over the middle of the mouth, from outside edge to outside edge; turn the pot and take the middle reading.", True),
    "belly": Asked("length", "Belly, where it is wider than rim and foot", "Close calipers on the widest place, read them, and read how high that place is above the table.", pair="@"),
    "shoulder": Asked("length", "Shoulder, where the side turns in", "Calipers on the turn, and how high it is above the table.", pair="@"),
    "neck": Asked("length", "Neck, the narrowest place below the rim", "Calipers round the narrowest place, and how high it is.", pair="@"),
    "foot": Asked("length", "Foot, across", "Turn it over and lay the ruler across what it stands on, outside edge to outside edge.", True),
    "foot-ring": Asked("length", "A turned foot ring: how deep the recess is, and how wide the ring", "Lay the straight edge across the foot and read down to the middle; then read the ring's own width.", pair="×"),
    "depth": Asked("length", "Depth inside", "Straight edge across the rim, ruler down to the middle of the floor.", pair=""),
    "gallery": Asked("length", "A gallery for a lid: how far below the rim the ledge is, and how wide it is", "Read down from the rim to the ledge, then the ledge from the wall to its edge.", pair="×"),
    "weight": Asked("mass", "Weight", "Put it on the scale, clean and dry, handle and glaze and all.", True),
    "handle": Asked("mass", "Handle or other added clay, wet", "What you weigh out for the handle before you pull it; it is taken off the pot's weight."),
    "brim": Asked("volume", "Water to the brim", "Set the scale to nothing with the pot on it and fill it until it is about to run over: a gram is a millilitre.", True),
    "glaze-film": Asked("length", "Thickness of the fired glaze", "Read it on the edge of a broken piece; it may be left out."),
}  # fmt: skip
NEEDED = tuple(name for name, asked in ASKED.items() if asked.needed)
_TIMES = r"[×✕*]|(?<=[\s\d\"a-z])x(?=[\s\d.])"
_LIMITS = {"length": 2000.0, "mass": 100_000.0, "volume": 200_000.0}


@frozen
class Reading:
    """One measurement: its value in the kind's base unit, perhaps a second beside it, and its text as it was typed."""

    value: float
    typed: str
    second: float | None = None


@frozen
class Measurements:
    """What was measured of one pot, all at one stage. Lengths in mm, weights in g, volumes in ml."""

    readings: Mapping[str, Reading] = field(default_factory=dict)
    stage: str = "fired"

    def value(self, name: str) -> float | None:
        """A measurement's value, or None."""
        found = self.readings.get(name)
        return None if found is None else found.value

    @property
    def imperial(self) -> bool:
        """True where the height was read in inches."""
        height = self.readings.get("height")
        return height is not None and bool(re.search(r"in|\"|″|”|'", height.typed))


class MeasurementError(ValueError):
    """What was typed is no measurement. `faults` holds every fault, in the maker's words."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = tuple(faults)


def parse_measurements(
    words: Sequence[str], *, unit: str = "mm", fluid_ounce: str | None = None, stage: str | None = None
) -> Measurements:
    """What stands behind `--measured`, read.

    Args:
        words: as the shell gives them; a word without `=` belongs to the one before (`height=3 3/4 in`).
        unit: the unit of a bare length, mm or in.
        fluid_ounce: US or imp, the studio's.
        stage: the stage at which it was measured; what stands behind a size has to agree. Fired where nobody says.
    Returns: every measurement; those that are needed need not be there.
    Raises: MeasurementError, with every fault.
    >>> found = parse_measurements(["height=95mm", "belly=96mm@50mm", "weight=8", "1/2", "oz"])
    >>> found.value("height"), found.readings["belly"].second, round(found.value("weight"), 1)
    (95.0, 50.0, 241.0)
    """
    faults: list[str] = []
    readings: dict[str, Reading] = {}
    stages: dict[str, str] = {} if stage is None else {stage: "--stage"}
    for name, typed in _pairs(words, faults):
        if name == "stage" and typed in STAGES:
            stages.setdefault(typed, name)
        elif name not in ASKED:
            faults.append(
                f"nobody measures `{name[:40]}` here; " + did_you_mean(name, [*ASKED, "stage"], what_there_is(ASKED))
            )
        elif name in readings:
            faults.append(f"`{name}` is there twice; keep one")
        else:
            try:
                readings[name], said = parse_reading(name, typed, unit=unit, fluid_ounce=fluid_ounce)
                if said:
                    stages.setdefault(said, name)
            except MeasurementError as fault:
                faults += fault.faults
    if len(stages) > 1:
        faults.append(f"the pot is measured at one stage; {format_words(stages, 'and')} are said")
    if not faults:
        faults = _beyond(readings)
    if faults:
        raise MeasurementError(faults)
    return Measurements(readings, next(iter(stages), "fired"))


def _pairs(words: Sequence[str], faults: list[str]) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for word in words:
        name, equals, typed = word.partition("=")
        if equals:
            found.append((name.strip().casefold().replace("_", "-"), typed.strip()))
        elif found:
            found[-1] = (found[-1][0], f"{found[-1][1]} {word}".strip())
        else:
            faults.append(f"`{word[:40]}` does not say what was measured; write it like height=95mm")
    return found


def parse_reading(
    name: str, typed: str, *, unit: str = "mm", fluid_ounce: str | None = None
) -> tuple[Reading, str | None]:
    """One measurement, read.

    Args:
        name: one of ASKED.
        typed: a size, or two with `@` or `×` between them where it is measured so.
        unit: the unit of a bare length.
        fluid_ounce: US or imp, the studio's.
    Returns: the reading, and the stage that was typed with it, or None.
    Raises: MeasurementError.
    >>> parse_reading("gallery", "12mm x 5mm")[0].second
    5.0
    """
    asked = ASKED[name]
    parts = [typed]
    if asked.pair:
        parts = re.split(r"@|\bat\b" if asked.pair == "@" else _TIMES, typed, maxsplit=1)
        if len(parts) < 2:
            said = (
                "across and how high it is, as belly=96mm@50mm"
                if asked.pair == "@"
                else "two sizes, as gallery=12mm×5mm"
            )
            raise MeasurementError([f"`{name}={typed[:40]}` wants {said}"])
    values, stage = [], None
    for part in parts:
        try:
            found = units.parse_quantity(
                part.strip(), asked.kind, unit=unit if asked.kind == "length" else None, fluid_ounce=fluid_ounce
            )
        except units.SizeError as fault:
            raise MeasurementError([f"{name}: {fault.message}" + (f"; {fault.hint}" if fault.hint else "")]) from None
        values.append(found.value)
        stage = stage or found.stage
    if not all(0.0 < value <= _LIMITS[asked.kind] for value in values):
        raise MeasurementError([f"`{name}={typed[:40]}` cannot be"])
    bare = re.sub(rf"\s*({'|'.join(STAGES)}|leather hard)\s*$", "", " ".join(typed.split()))
    bare = re.sub(r"(?<=\d)(?=(?:mm|cm|in|g|kg|oz|lb|ml|cl|l|fl)\b)", " ", bare)  # 95mm reads better as 95 mm
    return Reading(values[0], bare, values[1] if len(values) > 1 else None), stage


def two_sizes(typed: str) -> tuple[str, str]:
    """Both sizes of a pair as they were typed.

    Args:
        typed: as `12 mm×5 mm`.
    >>> two_sizes("12 mm x 5 mm")
    ('12 mm', '5 mm')
    """
    first, second = re.split(_TIMES, typed, maxsplit=1)
    return first.strip(), second.strip()


def _beyond(readings: Mapping[str, Reading]) -> list[str]:
    """Measurements that contradict one another whatever the wall is."""
    found = []
    height = readings.get("height")
    for name in ("belly", "shoulder", "neck"):
        reading = readings.get(name)
        if height and reading and reading.second is not None and not reading.second < height.value:
            found.append(f"`{name}={reading.typed}` is as high as the pot, {height.typed}, or higher")
    if height:
        for name in ("depth", "gallery", "foot-ring"):
            if name in readings and readings[name].value >= height.value:
                found.append(f"`{name}={readings[name].typed}` is more than the pot's height, {height.typed}")
    levels = sorted(
        (reading.second, name)
        for name in ("belly", "shoulder", "neck")
        if (reading := readings.get(name)) and reading.second
    )
    found += [f"{one} and {other} stand at one height" for (a, one), (b, other) in pairwise(levels) if a == b]
    foot, ring = readings.get("foot"), readings.get("foot-ring")
    if foot and ring and ring.second is not None and 2.0 * ring.second >= foot.value:
        found.append(f"a foot ring {ring.typed} fills a foot of {foot.typed}")
    return found
