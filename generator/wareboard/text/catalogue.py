"""The catalogue: every figure that there is, declared once.

What a figure is called, at which stages it is, in which unit, how it is read, by what it is judged and what to do when
it is out, what it means and by whose rule: sheets, rows, cards, revisions, run logs, tables, schemas, the names that
makers can't use and the page of every figure all follow from the declarations here. Data, and what follows from it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Any, Literal

from wareboard.pot.frozen import frozen
from wareboard.pot.stages import LATER_STAGES, STAGES
from wareboard.text import units
from wareboard.text.formulas import Formula
from wareboard.text.languages import _, later

COMMON = "common practice"
C326 = "ASTM C326 (shrinkage in % of the plastic length)"
PAPPUS = "Pappus's theorem; CRC Concise Encyclopedia of Mathematics"
BRONGNIART = "Brongniart, Traité des Arts Céramiques, vol. 1, 1854, p. 249 (quoted by later texts)"
STACK = "root-sum-square and worst-case tolerance stacks; normal distribution"
ISO286 = "ISO 286-1 (clearance: inside size minus outside size)"
SECTIONS = "plane geometry of the two sections"
SATURATED = later("conservation of volume: water 1 g/cm3 and grains")
SHRINKAGE_LIMIT = "shrinkage limit; Das, Principles of Geotechnical Engineering, 9th ed."

# How a figure is read: by the tool of its unit, to 0.1 mm or 1/64 in as a size that nobody sets, as half of such a one, never short, never over.
Reading = Literal["tool", "small", "half", "up", "down"]
# By what a figure is judged; nothing where nobody measures it.
Tolerance = Literal["", "size", "clearance", "pointer", "ball", "weight", "dryness", "capacity"]
# What stands for the maker's own names in a key.
PLACEHOLDERS = {"P": "part", "S": "station", "C": "size", "F": "fit", "E": "extra"}
# Words of keys that are part of every pot, so a maker may name stations and sizes so: no key is in two minds about them.
SHARED = frozenset({"wall", "floor", "foot", "trim"})

ALL = STAGES
WET, LEATHER_HARD, DRY, BISQUE, FIRED = ((stage,) for stage in STAGES)
FIRINGS = (*BISQUE, *FIRED)
NO_STAGE = (None,)


class UnknownFigure(ValueError):
    """A figure that the catalogue does not know: a fault of the program, never of a maker's text."""


@frozen
class Declared:
    """One figure of the catalogue.

    `key` has letters for the maker's own names: P a part, S a station, C a caliper size, F a fit, E an extra.
    `words` are what a potter reads, without the part's name; `out` names what to do when it is out, an entry
    under `out` in `site_templates/words/bench.yaml`. `beside` are those that a sheet tells beside the figure before, stage by stage.
    """

    key: str
    stages: tuple[str | None, ...]
    unit: str
    words: str
    meaning: str
    reading: Reading = "tool"
    tolerance: Tolerance = ""
    out: str = ""
    source: str = ""
    formula: Formula | None = None
    beside: bool = False

    @property
    def parts(self) -> tuple[str, ...]:
        """The pieces of the key."""
        return tuple(self.key.split("."))


def _f(
    key: str, stages: tuple[str | None, ...], unit: str, words: str, meaning: str, *, formula: str = "", **how: Any
) -> Declared:
    return Declared(key, stages, unit, words, meaning, formula=Formula(formula) if formula else None, **how)


_SIZE: Mapping[str, Any] = {"tolerance": "size", "out": "size", "source": C326}
_POINTER: Mapping[str, Any] = {"tolerance": "pointer", "source": COMMON}
_SHARE: Mapping[str, Any] = {"source": STACK}

CATALOGUE: Mapping[str, tuple[Declared, ...]] = {
    "The clay": (
        _f("clay.shrinkage", LATER_STAGES, "%", "shrinkage", "across, of the wet length: from bars, or as typed", source=C326),
        _f(
            "clay.shrinkage.height", LATER_STAGES, "%", "shrinkage upward", "up, of the wet length", source=C326,
            formula="shrinkage_share * height_factor * 100", beside=True,
        ),
        _f("clay.density", (*WET, *DRY, *FIRED), "g/cm3", "density", "bulk density", source=""),
        _f("clay.water.critical", NO_STAGE, "%", "critical water", "water, of weight, left when shrinking stops", source=SHRINKAGE_LIMIT),
    ),
    "Sizes of a part": (
        _f("P.S.height", ALL, "mm", "{S} height", "station S, on the outside of the finished part: above the foot, or above the tip", **_SIZE),
        _f("P.S.diameter", ALL, "mm", "{S} diameter", "station S, on the outside of the finished part: across", **_SIZE),
        _f("P.height", ALL, "mm", "height", "overall height", **_SIZE),
        _f("P.diameter", ALL, "mm", "widest", "greatest diameter", **_SIZE),
        _f("P.C", ALL, "mm", "{C}", "a size named under `calipers`", **_SIZE),
        _f("P.across", ALL, "mm", "widest, with what is added", "greatest width with handles and spouts: what a shelf has to have room for", **_SIZE),
        _f("P.E.length", ALL, "mm", "{E} length", "what is added, along its middle line: cut to this", **_SIZE),
        _f("P.E.reach", ALL, "mm", "{E} out", "from the part's outside to the outermost of what is added", **_SIZE),
        _f("P.wall.thickness", ALL, "mm", "wall", "square to the surface; at its thinnest, where the inside is listed", tolerance="size", out="thickness", source=C326),
        _f("P.wall.S.thickness", ALL, "mm", "wall at {S}", "the wall at station S, square to the surface", tolerance="size", out="thickness", source=C326),
        _f("P.floor.thickness", ALL, "mm", "floor", "thickness of the closed end at the centre", tolerance="size", out="thickness", source=C326),
        _f("P.centre_of_mass", FIRED, "mm", "centre of mass", "above the foot, empty", source=PAPPUS),
        _f(
            "P.centre_of_mass.full", FIRED, "mm", "centre of mass, full", "above the foot, with water to `fill_to`",
            formula="(clay_g * empty_mm + water_g * water_mm) / (clay_g + water_g)",
        ),
    ),
    "A turned foot": (
        _f("P.foot.ring.outside", ALL, "mm", "foot ring, outside", "across the ring that it stands on, at its outer edge", **_SIZE),
        _f("P.foot.ring.inside", ALL, "mm", "foot ring, inside", "across the ring at its inner edge, where the recess begins", **_SIZE),
        _f("P.foot.ring.width", ALL, "mm", "foot ring, width", "how wide the ring is, a side", **_SIZE),
        _f("P.foot.recess.depth", ALL, "mm", "recess, depth at its centre", "from what it stands on up to the middle of the recess", **_SIZE),
        _f("P.foot.recess.depth.ring", ALL, "mm", "recess, depth at the ring", "from what it stands on up to the corner beside the ring", **_SIZE),
        _f("P.foot.recess.diameter", ALL, "mm", "recess, across its corner", "across the recess at the corner beside the ring", **_SIZE),
        _f("P.foot.floor.rest", ALL, "mm", "rest of the floor", "clay that is left over the recess, at the centre", tolerance="size", out="thickness", source=C326),
    ),
    "Weights of a part": (
        _f("P.volume", (*WET, *FIRED), "cm3", "volume", "clay in the finished (trimmed) section", source=PAPPUS),
        _f("P.mass", ALL, "g", "weight", "the finished piece with its extras, without glaze", tolerance="weight", out="mass"),
        _f("P.mass.glazed", FIRED, "g", "weight, glazed", "the same and its glaze, as it leaves the kiln", tolerance="weight", out="mass", formula="fired_g + dry_glaze_g * (1 - lost_share)"),
        _f("P.E.clay", WET, "g", "{E} clay", "clay of what is added: a handle's lump to weigh out", reading="up", tolerance="ball", out="ball"),
        _f("P.witness", (*LEATHER_HARD, *DRY), "%", "of its weight as thrown", "weight at this stage over weight wet, for the same clay: weigh a piece to know how dry it is", tolerance="dryness", out="witness"),
        _f("P.trim.least", LEATHER_HARD, "g", "least weight to trim at", "before anything is off: lighter has dried too far", reading="up", source=COMMON, formula="as_thrown_g * left_share"),
        _f("P.trim.most", LEATHER_HARD, "g", "greatest weight to trim at", "before anything is off: heavier is too wet", reading="down", source=COMMON, formula="as_thrown_g * left_share"),
    ),
    "A part at the wheel": (
        _f("P.thrown.volume", WET, "cm3", "volume as thrown", "with what trimming takes off still on; no extras", source=PAPPUS),
        _f("P.thrown.mass", WET, "g", "weight as thrown", "with what trimming takes off still on; no extras", tolerance="weight", out="mass", formula="thrown_cm3 * density_g_cm3"),
        _f("P.thrown.floor", WET, "mm", "floor under the needle", "thickness of the floor as thrown, at the centre: what the needle leaves when the lump is opened", tolerance="size", out="thickness", source=COMMON, formula="floor_mm / (1 - shrunk_share)"),
        _f("P.thrown.depth", WET, "mm", "inside depth as thrown", "from the rim's level down to the floor: as deep as it is opened and pulled up", tolerance="size", out="size", source=COMMON),
        _f("P.thrown.wall.S", WET, "mm", "wall as thrown at {S}", "the wall at station S as thrown, square to it, with what trimming takes off", tolerance="size", out="thickness", source=COMMON, formula="(wall_mm + left_on_mm) / (1 - shrunk_share)"),
        _f("P.C.thrown", WET, "mm", "{C} as thrown", "an outside size as thrown, with what trimming takes off: what calipers are set to at the wheel", tolerance="size", out="thrown", source=COMMON, formula="2 * reach_mm"),
        _f("P.ball", WET, "g", "ball", "what to weigh out: thrown weight and what is lost", reading="up", tolerance="ball", out="ball", source=COMMON, formula="thrown_g / (1 - lost_share)"),
        _f("P.ball.set", WET, "g", "ball", "the same, up to the studio's scale step", reading="up", tolerance="ball", out="ball"),
        _f("P.pointer.height", WET, "mm", "pointer up", "throwing gauge: above the wheel head, to the thrown outside; bat and what is left on are in it", out="pointer height", formula="thrown_mm + bat_mm", **_POINTER),
        _f("P.pointer.reach", WET, "mm", "pointer out", "throwing gauge: from the centre to the thrown outside", out="pointer reach", **_POINTER),
        _f("P.pointer.S.height", WET, "mm", "pointer up at {S}", "the same where the pointer is set at several stations", out="pointer height", formula="thrown_mm + bat_mm", **_POINTER),
        _f("P.pointer.S.reach", WET, "mm", "pointer out at {S}", "the same where the pointer is set at several stations", out="pointer reach", **_POINTER),
    ),
    "What a part holds, and its glaze": (
        _f("P.capacity.brim", FIRED, "ml", "holds, to the brim", "inside volume to the rim, less the glaze film where the inside is glazed", tolerance="capacity", out="capacity", source=PAPPUS),
        _f("P.capacity.fill", FIRED, "ml", "holds, as it is filled", "inside volume to `fill_to`, less the glaze film", tolerance="capacity", out="capacity", source=PAPPUS),
        _f("P.area.outside", FIRINGS, "cm2", "area outside", "up the outline from foot to rim, without the base", source=PAPPUS),
        _f("P.area.inside", FIRINGS, "cm2", "area inside", "along the inside, to the rim", source=PAPPUS, beside=True),
        _f("P.area.glazed", FIRINGS, "cm2", "area glazed", "outside and inside without what is bare; the rim's own ring is not counted", formula="outside_cm2 - bare_outside_cm2 + (inside_cm2 - bare_inside_cm2)", beside=True),
    ),
    "Fits": (
        _f("fit.F.inside", ALL, "mm", "inside", "the opening's clay diameter", tolerance="size", out="opening", source=C326),
        _f("fit.F.outside", ALL, "mm", "outside", "the clay diameter of what goes in", **_SIZE),
        _f("fit.F.clearance", ALL, "mm", "clearance", "inside − outside, less glaze once it is on", reading="small", tolerance="clearance", out="clearance", source=ISO286, formula="inside_mm - outside_mm - glaze_mm"),
        _f("fit.F.gap", ALL, "mm", "gap", "half of the clearance: a side", reading="half", tolerance="clearance", out="clearance", formula="clearance_mm / 2", beside=True),
        _f("fit.F.calipers", WET, "mm", "calipers", "what the calipers are locked at on the opening", tolerance="size", out="opening", source=COMMON),
        _f("fit.F.outside.thrown", WET, "mm", "as thrown", "the outside diameter as thrown, what is left on included", tolerance="size", out="thrown", source=COMMON, formula="outside_mm + left_on_mm"),
        _f("fit.F.spread", FIRED, "mm", "spread", "one standard deviation of the clearance", reading="small", source=STACK),
        _f("fit.F.worst.least", FIRED, "mm", "worst case, least", "worst case: the straight sum of three standard deviations of each term", reading="small", source=STACK, formula="clearance_mm - 3 * sum(terms_mm)"),
        _f("fit.F.worst.most", FIRED, "mm", "worst case, most", "worst case: the straight sum of three standard deviations of each term", reading="small", source=STACK, formula="clearance_mm + 3 * sum(terms_mm)"),
        _f("fit.F.binds", FIRED, "%", "binds", "share under `least`", **_SHARE),
        _f("fit.F.loose", FIRED, "%", "loose", "share over `most`", **_SHARE),
        _f("fit.F.seat", ALL, "mm", "seat", "width, a side, of the ring in which the two faces lie within 0.5 mm of each other once the upper part rests; 0 where nothing stops it", reading="small", source=SECTIONS),
        _f("fit.F.seat.pushed", FIRED, "mm", "seat, pushed aside", "what still bears on the side that it is pushed away from; below 0 it can tip in", reading="small", source=SECTIONS),
        _f("fit.F.falls", FIRED, "%", "can fall in", "share whose pushed seat is under 0", **_SHARE),
        _f("fit.F.level", FIRED, "mm", "proud", "outside radius of the upper part at its widest within 15 mm of the joint, less that of the lower; + is proud", reading="small", source=SECTIONS),
        _f("fit.F.room", ALL, "mm", "room under it", "height under the lowest point of what goes in, before it would touch the other part", reading="small", source=SECTIONS, beside=True),
        _f("fit.F.stands", ALL, "mm", "height together", "height of the two set together", tolerance="size", out="size", source=SECTIONS, beside=True),
        _f("fit.F.any_turn", FIRED, "%", "goes home at every turn", "share whose clearance is at least the mean of the two out-of-round figures", source=COMMON),
    ),
    "The whole set": (
        _f("ball", WET, "g", "ball", "what one set takes, weighed out as balls", reading="up", tolerance="ball", out="ball", formula="sum(balls_g)"),
        _f("clay", WET, "g", "clay", "what one set takes from the bag: its balls and all that is added", reading="up", formula="sum(balls_g) + sum(added_g)"),
        _f("mass", ALL, "g", "weight", "a whole set, without glaze", tolerance="weight", out="mass", formula="sum(parts_g)"),
        _f("glaze.dry", NO_STAGE, "g", "dry glaze", "dry glaze on one set", tolerance="weight", out="mass"),
        _f("glaze.slop", NO_STAGE, "ml", "glaze slop", "slop from the bucket for one set", source=BRONGNIART, formula="dry_g / dry_in_a_litre_g_ml"),
    ),
}  # fmt: skip
FIGURES: tuple[Declared, ...] = tuple(declared for group in CATALOGUE.values() for declared in group)


@frozen
class Named:
    """A figure by its key: what the catalogue says of it, and the maker's names in the key by placeholder."""

    declared: Declared
    names: Mapping[str, str]

    @property
    def of(self) -> str:
        """What it is a figure of: the part's name, `lid fit`, `clay`, or nothing for the whole set.

        >>> named("jar.ball").of, named("fit.lid.gap").of, named("clay.density").of, named("ball").of
        ('jar', 'lid fit', 'clay', '')
        """
        first = self.declared.parts[0]
        if first == "P":
            return self.names["P"]
        return _("{fit} fit").format(fit=self.names["F"]) if first == "fit" else _("clay") if first == "clay" else ""

    @property
    def words(self) -> str:
        """What a potter reads, without what it is a figure of.

        >>> named("jar.pointer.rim.height").words, named("jar.mouth").words
        ('pointer up at rim', 'mouth')
        """
        return _(self.declared.words).format(**self.names)

    @property
    def title(self) -> str:
        """The whole of it: `jar, pointer up at rim`."""
        return f"{self.of}, {self.words}" if self.of else self.words


@lru_cache(maxsize=32_768)
def named(key: str) -> Named:
    """What the catalogue says of a figure.

    Args:
        key: `jar.pointer.rim.height`.
    Raises: UnknownFigure, no declaration fits.
    """
    pieces = key.split(".")
    for declared, words, names in _by_length().get(len(pieces), ()):
        for place, word in words:
            if pieces[place] != word:
                break
        else:
            return Named(declared, {name: pieces[place] for place, name in names})
    raise UnknownFigure(f"the catalogue has no figure `{key}`")


@cache
def _by_length() -> dict[int, list[tuple[Declared, list[tuple[int, str]], list[tuple[int, str]]]]]:
    """Declarations by how many pieces their keys have, with their words and their placeholders, each with its place.

    A word comes before a placeholder: `P.height` before `P.C`.
    """
    found: dict[int, list[tuple[Declared, list[tuple[int, str]], list[tuple[int, str]]]]] = {}
    for declared in sorted(FIGURES, key=lambda declared: [part in PLACEHOLDERS for part in declared.parts]):
        placed = list(enumerate(declared.parts))
        words = [one for one in placed if one[1] not in PLACEHOLDERS]
        names = [one for one in placed if one[1] in PLACEHOLDERS]
        found.setdefault(len(declared.parts), []).append((declared, words, names))
    return found


@cache
def reserved(placeholder: str) -> frozenset[str]:
    """The words that a maker can't give to a part, a station, a size or an extra, as keys of figures have them there.

    Args:
        placeholder: P, S, C or E.
    >>> sorted(reserved("P"))
    ['ball', 'clay', 'fit', 'glaze', 'mass']
    """
    if placeholder == "P":
        return frozenset(declared.parts[0] for declared in FIGURES) - {"P"}
    after_part = [declared.parts[1:] for declared in FIGURES if declared.parts[0] == "P" and len(declared.parts) > 1]
    leading = {parts[0] for parts in after_part if len(parts) > 1} - PLACEHOLDERS.keys() - SHARED
    whole = {parts[0] for parts in after_part if len(parts) == 1} - PLACEHOLDERS.keys()
    return frozenset(leading | whole if placeholder == "C" else leading)


# Each unit of figures: the kind of size that is typed for it, the unit of a bare number, how many of it the kind's base is.
_TYPED = {
    "mm": ("length", "mm", 1.0), "g": ("mass", "g", 1.0), "ml": ("volume", "ml", 1.0), "cm3": ("volume", "ml", 1.0), "cm2": ("area", "cm2", 1e4),
    "%": ("share", "%", 100.0), "g/cm3": ("density", "g/cm3", 1.0), "h": ("time", "h", 1.0), "pieces": ("number", None, 1.0),
}  # fmt: skip


def read_measured(declared: Declared, text: str) -> float:
    """What was measured of a figure, as typed, in the figure's unit.

    Args:
        declared: the figure.
        text: `91.0`, `3 5/8 in`; a bare number is in the figure's unit.
    Raises: units.SizeError, the text is no size of the figure's kind.
    >>> read_measured(named("cup.rim.diameter").declared, "9.1 cm"), read_measured(named("cup.witness").declared, "79.4 %")
    (91.0, 79.4)
    """
    kind, unit, scale = _TYPED[declared.unit]
    return round(units.parse_quantity(text, kind, unit=unit, stage_allowed=False, taken_of=()).value * scale, 9)


def figure_schema() -> dict[str, Any]:
    """One figure of a sheet's JSON as JSON Schema: which keys there are, and each with its stages and its unit."""
    number_or_none = {"type": ["number", "null"]}
    fields: dict[str, Any] = {
        "key": {"type": "string"}, "stage": {"enum": [*STAGES, None]}, "value": {"type": "number"}, "unit": {"type": "string"},
        "plus_minus": {**number_or_none, "description": "one standard deviation for the next piece, in the figure's unit"},
        "how": {"type": "string"}, "inputs": {"type": "array", "items": {"type": "string"}}, "source": {"type": "string"}, "given": {"type": "boolean"},
        "interval": {"type": ["array", "null"], "items": {"type": "number"}, "minItems": 2, "maxItems": 2, "description": "95 % for the next piece of a lot not yet seen"},
        "doubt": {"type": "array", "items": {"type": "object", "properties": {"from": {"type": "string"}, "sd": {"type": "number"}}, "required": ["from", "sd"], "additionalProperties": False}},
    }  # fmt: skip
    kinds = [
        {
            "description": f"{declared.words}: {declared.meaning}",
            "properties": {
                "key": {"pattern": f"^{key_pattern(declared)}$"},
                "stage": {"enum": list(declared.stages)},
                "unit": {"const": declared.unit},
            },
        }
        for declared in FIGURES
    ]
    return {
        "type": "object",
        "properties": fields,
        "required": list(fields),
        "additionalProperties": False,
        "anyOf": kinds,
    }


def key_pattern(declared: Declared) -> str:
    """A declaration's keys as a regular expression."""
    return r"\.".join(r"[^.]+" if part in PLACEHOLDERS else re.escape(part) for part in declared.parts)
