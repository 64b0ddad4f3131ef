"""A pot in the hand against the studio's clay and glaze: what its measurements come to, and why none of it can be."""

from __future__ import annotations

from wareboard.figures.clays import film_mm, glaze_loss_share, make_body
from wareboard.figures.resolve import film_coat_kg_m2
from wareboard.pot import clay, measured
from wareboard.pot.measured import InHand, NoWallError, Side, Solved, Stations
from wareboard.text.measurements import Measurements
from wareboard.text.studio_specs import Clay, Glaze


def stations_of(found: Measurements) -> Stations:
    """The measured places of a pot, from the foot up. Height, rim and foot have to be there.

    Args:
        found: what was measured.
    Raises: KeyError, one of the three is missing.
    >>> from wareboard.text.measurements import parse_measurements
    >>> stations_of(parse_measurements("height=95mm rim=84mm foot=60mm belly=96mm@50mm".split())).names
    ('foot', 'belly', 'rim')
    """
    between = sorted(
        (
            (reading.second or 0.0, name, reading.value)
            for name, reading in found.readings.items()
            if name in ("belly", "shoulder", "neck")
        )
    )
    readings = found.readings
    names = ("foot", *(name for _, name, _ in between), "rim")
    points = (
        (readings["foot"].value / 2.0, 0.0),
        *((across / 2.0, height) for height, _, across in between),
        (readings["rim"].value / 2.0, readings["height"].value),
    )
    return Stations(names, points, smooth=len(points) > 2)


def in_hand(found: Measurements, stations: Stations, spec: Clay, glaze: Glaze | None) -> InHand:
    """The pot as plain numbers: the clay's density at its stage, the glaze's weight and thickness.

    Args:
        found: what was measured.
        stations: its outside.
        spec: the clay that it is of.
        glaze: the glaze on it, or None.
    Raises: Impossible, a clay that can't be; ValueError, a handle heavier than the pot.
    """
    body, stage = make_body(spec), found.stage
    film, coat = glaze_of(found, glaze, body)
    mass = found.value("weight")
    handle = (found.value("handle") or 0.0) * body.mass_share(stage)
    if mass is not None and mass <= handle:
        raise ValueError(f"the handle alone weighs {handle:.0f} g {stage}, the whole pot {mass:.0f} g")
    ring = found.readings.get("foot-ring")
    foot_mm = stations.points[0][0]
    recess = (
        ((0.0, ring.value), (foot_mm - ring.second, ring.value), (foot_mm - ring.second, 0.0))
        if ring and ring.second
        else ()
    )
    gallery = found.readings.get("gallery")
    return InHand(
        stations,
        body.bulk_density_g_cm3(stage),
        None if mass is None else mass - handle,
        found.value("brim"),
        film,
        coat,
        (body.across("bisque") / body.across(stage), body.up("bisque") / body.up(stage)),
        recess,
        found.value("depth"),
        (gallery.value, gallery.second) if gallery and gallery.second else None,
    )


def glaze_of(found: Measurements, glaze: Glaze | None, body: clay.Body) -> tuple[float, float]:
    """Fired film, mm, and what is left of the coat, g on each mm² of bisque; nothing before the glaze is on."""
    if found.stage != "fired":
        return 0.0, 0.0
    measured_film = found.value("glaze-film")
    film = film_mm(glaze) if measured_film is None else measured_film
    if glaze is not None:
        coat = glaze.coat.value / 1000.0 * (1.0 - glaze_loss_share(glaze)) if glaze.coat else 0.0
    else:
        coat = film_coat_kg_m2(film, body) / 1000.0
    return film, coat


def solve_in_hand(pot: InHand, side: Side | None = None, *, ruler_mm: float = 1.0, scale_g: float = 1.0) -> Solved:
    """As `measured.solve`, with the studio's steps."""
    return measured.solve(pot, side, steps={"ruler": ruler_mm, "scale": scale_g})


def why_no_wall(fault: NoWallError, pot: InHand, found: Measurements) -> list[str]:
    """Why no wall makes the measurements agree, in a maker's words, and what would.

    Args:
        fault: what `solve` raised.
        pot: the pot as it was solved.
        found: what was measured.
    """
    clay_ml = (pot.mass_g or 0.0) / pot.density_g_cm3
    if fault.mend is None:
        said = [f"No wall does this: {fault}."]
        if fault.kind == "thin":
            said.append("The weight is too small or the water too much, or the sizes are too large.")
        else:
            said.append("The weight is too great, or the water too little, or the sizes are too small.")
        return said
    mend = fault.mend
    more = "more" if mend.more_sizes else "less"
    lines = [
        (
            f"No wall makes these agree. {_g(pot.mass_g or 0.0)} of this clay, {found.stage}, are {clay_ml:.0f} cm3 ({pot.density_g_cm3:.2f} g/cm3), and {pot.brim_ml:.0f} ml of water fill the rest:"
            f" together {more} than any side through the measured places encloses. One of the three must be wrong, if the other two are right:"
        ),
        f"  the sizes: {abs(mend.sizes_factor - 1.0) * 100:.1f} % too {'small' if mend.more_sizes else 'large'} ({_resized(found, mend.sizes_factor)})",
        f"  the weight: {_least_or_most(mend.more_sizes)} {_g(mend.mass_g)}, {_by(mend.mass_g, pot.mass_g, 'g')}"
        if mend.mass_g is not None
        else "  the weight: no weight would do",
        f"  the water: {_least_or_most(mend.more_sizes)} {mend.brim_ml:.0f} ml, {_by(mend.brim_ml, pot.brim_ml, 'ml')}"
        if mend.brim_ml is not None
        else "  the water: no water would do",
    ]
    if mend.more_sizes and "belly" not in found.readings:
        lines.append(
            "Or it is wider somewhere between foot and rim: measure that too, as belly=…@… (across and how high)."
        )
    if not mend.more_sizes and "neck" not in found.readings:
        lines.append(
            "Or it is narrower somewhere between foot and rim: measure that too, as neck=…@… (across and how high)."
        )
    return lines


def _least_or_most(more_sizes: bool) -> str:
    return "at most" if more_sizes else "at least"


def _g(mass_g: float) -> str:
    return f"{mass_g:.0f} g"


def _by(would: float, was: float | None, unit: str) -> str:
    difference = would - (was or 0.0)
    return f"{abs(difference):.0f} {unit} {'less' if difference < 0 else 'more'} than was read"


def _resized(found: Measurements, factor: float) -> str:
    return ", ".join(
        f"{name} {reading.value * factor:.1f} mm"
        for name in ("height", "rim", "foot")
        if (reading := found.readings.get(name))
    )
