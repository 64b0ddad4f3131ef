"""What was made of a form and when: the revisions that were built, and what changed between one and the next, in words.

The record is text, a line a revision, and is only ever added to: two makers' records can be put together by hand
or by version control, and a line that cannot be read is passed over.
"""

from __future__ import annotations

import datetime
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field

from wareboard.figures.clays import clay_figures
from wareboard.figures.figure import Figure
from wareboard.figures.settings import AT_TRIMMING, wheel_rows
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import UnknownFigure, named
from wareboard.text.languages import _, written_day
from wareboard.text.problems import Impossible
from wareboard.text.projects import revision
from wareboard.text.studio_specs import Clay, Studio

# An older card than these is told that it is old, and no more.
MOST_TOLD = 40
# More digits than any tool can be set to, so that a record says the same on every machine.
DIGITS = 4
# A flange as thrown goes by the part's own name for it, not by the fit's.
THROWN = ".thrown"
RULE_STAGES = (AT_TRIMMING, "fired")

# Of what there are revisions: forms, clays, and what shops are told of a form.
FORMS, CLAYS, STOCK = "forms", "clays", "stock"


@frozen
class Revised:
    """Something as it is now: of which sort, its name, its revision, and the sizes that its cards show, by the figures' names."""

    of: str
    name: str
    revision: str
    sizes: Mapping[str, tuple[float, str]] = field(default_factory=dict)


def revised_form(sheet: Sheet) -> Revised:
    """A form as it is now."""
    return Revised(FORMS, sheet.slug, sheet.revision, card_sizes(sheet))


def revised_clay(clay: Clay, studio: Studio) -> Revised:
    """A clay as it is now; its rule is made from its shrinkage."""
    try:
        shrinkage = [
            figure
            for figure in clay_figures(clay).values()
            if figure.key.startswith("clay.shrinkage") and figure.stage in RULE_STAGES
        ]
    except Impossible:  # `check` tells it
        shrinkage = []
    return Revised(
        CLAYS,
        clay.slug,
        revision(clay),
        {figure.name: (round(figure.value, DIGITS), figure.unit) for figure in shrinkage},
    )


@frozen
class Recorded:
    """One revision: the day on which it was first made, and the sizes that its cards show, by the figures' names."""

    revision: str
    day: datetime.date
    sizes: Mapping[str, tuple[float, str]] = field(default_factory=dict)


def card_sizes(sheet: Sheet) -> dict[str, tuple[float, str]]:
    """The figures that are set at the wheel or looked at when trimming: value and unit by name.

    Args:
        sheet: the form's figures.
    Returns: `{"jar.mouth wet": (88.0, "mm")}`, in the order of the work.
    """
    thrown = {
        f"fit.{name}.outside.thrown wet": f"{fit.outside.part}.{fit.outside.caliper}{THROWN} wet"
        for name, fit in sheet.form.fits.items()
    }
    return {
        thrown.get(figure.name, figure.name): (round(figure.value, DIGITS), figure.unit)
        for figure in _card_figures(sheet)
    }


def _card_figures(sheet: Sheet) -> Iterator[Figure]:
    for part in wheel_rows(sheet, Reader()):
        # The ball unrounded: each unit system rounds it to its own scale.
        keys = (row.key.removesuffix(".set") if row.key.endswith(".ball.set") else row.key for row in part.rows)
        yield from filter(None, (sheet.find(key, "wet") for key in keys))
    for name, part in sheet.form.parts.items():
        ends = (
            "height",
            "diameter",
            *map(str, part.calipers),
            "wall.thickness",
            "floor.thickness",
            "trim.least",
            "trim.most",
            "mass",
        )
        yield from filter(None, (sheet.find(f"{name}.{end}", AT_TRIMMING) for end in ends))
    for name in sheet.form.fits:
        yield from filter(None, (sheet.find(f"fit.{name}.{end}", AT_TRIMMING) for end in ("clearance", "gap")))


# ---- the record ----


def parse_history(text: str) -> tuple[Recorded, ...]:
    """The revisions of a record, in the order in which they were made, each once.

    Args:
        text: the record's lines.
    Returns: what can be read of it.
    >>> [made.revision for made in parse_history('{"revision": "7f3a21", "made": "2026-03-04"}\\n<<<<<<<\\n')]
    ['7f3a21']
    """
    found: dict[str, Recorded] = {}
    for line in text.split("\n"):
        recorded = _parse_line(line)
        if recorded:
            found.setdefault(recorded.revision, recorded)
    return tuple(found.values())


def _parse_line(line: str) -> Recorded | None:
    try:
        said = json.loads(line)
        sizes = {str(name): (float(value), str(unit)) for name, (value, unit) in said.get("sizes", {}).items()}
        recorded = Recorded(str(said["revision"]), datetime.date.fromisoformat(said["made"]), sizes)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None
    return recorded if all(math.isfinite(value) for value, _other in sizes.values()) else None


def format_recorded(recorded: Recorded) -> str:
    """One line of a record.

    >>> format_recorded(Recorded("7f3a21", datetime.date(2026, 3, 4), {"jar.mouth wet": (88.0, "mm")}))
    '{"revision": "7f3a21", "made": "2026-03-04", "sizes": {"jar.mouth wet": [88.0, "mm"]}}\\n'
    """
    said = {"revision": recorded.revision, "made": recorded.day.isoformat()}
    if recorded.sizes:
        said["sizes"] = {name: list(size) for name, size in recorded.sizes.items()}
    return json.dumps(said, ensure_ascii=False) + "\n"


def made_on(history: Sequence[Recorded], wanted: str, today: datetime.date) -> datetime.date:
    """The day on which a revision was first made; today where it is new."""
    return next((recorded.day for recorded in history if recorded.revision == wanted), today)


# ---- what changed ----


@frozen
class OldCard:
    """What the page tells whoever comes from an older card: of which revision, of which day, and what changed since.

    `newer` is false where the form has gone back to a revision that is older than the card.
    """

    revision: str
    made: str
    newer: bool
    changed: tuple[str, ...]


def old_cards(history: Sequence[Recorded], now: Revised, reader: Reader) -> tuple[OldCard, ...]:
    """What is told to old cards, the newest first; of what changed the shortest lines first, which are read at a glance.

    Args:
        history: its record.
        now: the form or clay as it is.
        reader: in whose units it is said.
    """
    place = next((place for place, recorded in enumerate(history) if recorded.revision == now.revision), len(history))
    told = [(at, recorded) for at, recorded in enumerate(history) if at != place][-MOST_TOLD:]
    return tuple(
        OldCard(
            recorded.revision,
            written_day(recorded.day),
            at < place,
            tuple(sorted(changes(recorded.sizes, now.sizes, reader), key=len)),
        )
        for at, recorded in reversed(told)
    )


def changes(
    before: Mapping[str, tuple[float, str]], now: Mapping[str, tuple[float, str]], reader: Reader
) -> tuple[str, ...]:
    """What changed between two sets of sizes, as far as it can be seen on a card.

    Args:
        before: sizes by figures' names, as `card_sizes` gives them.
        now: the same, later.
        reader: in whose units, rounded to whose tools.
    Returns: a line for each size that reads otherwise now, is new, or is gone.
    >>> changes({"cup.mouth wet": (88.02, "mm")}, {"cup.mouth wet": (87.46, "mm")}, Reader(("metric",)))
    ('mouth 88.0 → 87.5 mm',)
    """
    several = len({name.partition(".")[0] for name in (*before, *now) if not name.startswith("fit.")}) > 1
    lines = (
        _change(
            size_words(name, several=several),
            _amount(name, before.get(name), reader),
            _amount(name, now.get(name), reader),
        )
        for name in {**now, **before}
    )
    return tuple(filter(None, lines))


def _amount(name: str, size: tuple[float, str] | None, reader: Reader):
    if size is None:
        return None
    try:
        return reader.read(name.rpartition(" ")[0].removesuffix(THROWN), size[0])[0]
    except UnknownFigure:  # an older record may hold what is no figure any more
        return reader.amounts(*size)[0]


def _change(words: str, before, now) -> str:
    if before == now:
        return ""
    if before is None:
        return _("{size} is new, {now}").format(size=words, now=now)
    if now is None:
        return _("{size} is gone, it was {before}").format(size=words, before=before)
    return f"{words} {before.number} → {now}" if before.unit == now.unit else f"{words} {before} → {now}"


def size_words(name: str, *, several: bool) -> str:
    """A figure's name as it is said: wet unless it says otherwise.

    Args:
        name: `jar.pointer.rim.height wet`.
        several: say the part too, as the form has more than one.
    >>> size_words("jar.pointer.rim.height wet", several=True), size_words("fit.lid.gap leather-hard", several=True)
    ('jar pointer up at rim', 'lid fit gap, leather-hard')
    """
    key, _other, stage = name.rpartition(" ")
    if stage not in STAGES:
        key, stage = name, "wet"
    size = key.removesuffix(THROWN)
    try:
        found = named(size)
    except UnknownFigure:  # an older record may hold what is no figure any more
        said = key.replace(".", " ")
    else:
        said = f"{found.of} {found.words}".strip() if several or key.startswith("fit.") else found.words
        said += " " + _("as thrown") if size != key and not key.startswith("fit.") else ""
    return said if stage == "wet" else f"{said}, {_(stage)}"
