"""From a pot in the hand: the side, wall and floor that its weight and the water in it ask for.

What the outside encloses is clay and water and nothing else:

    volume of the outside = weight of the clay / its density + water to the brim

So weight and water together do not tell wall from floor; they tell how full the side is between the places that were
measured. The side is found first, then the wall that leaves just the clay's volume. The floor is measured (by the depth
inside), or is 5/4 of the wall, common practice.

All sizes are of one stage, mm; a point is (radius_mm, height_mm), from the foot up.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from itertools import pairwise
from math import fsum, hypot, pi, sqrt
from types import MappingProxyType

from wareboard.pot.frozen import frozen
from wareboard.pot.offsets import SectionError, wall_inside
from wareboard.pot.outlines import Point, Polyline, radius_at, smooth_outline
from wareboard.pot.roots import root_between
from wareboard.pot.solids import area_below_mm2, revolved_area_mm2, revolved_volume_mm3, volume_below_mm3

FLOOR_SHARE = 1.25  # of the wall, where the depth inside was not measured; common practice
LEAST_WALL_MM = 0.8
SLACK_SHARE = 0.02  # how much wider or narrower than both its ends a side may be, where nobody measured
LEAST_GAP_MM = 8.0  # between two stations with room for a third
LEAST_GAP_SHARE = 0.12  # of the height, likewise
SAME_SHARE = 5e-5  # of the outside's volume: a side that needs no third station

# A standard deviation from a step: a reading is anywhere within half a step (JCGM 100:2008, 4.3.7).
STEP_DEVIATION = 1.0 / sqrt(12.0)

Side = Callable[[float], "Stations"]


@frozen
class Stations:
    """Named places on an outside, from the foot up; corners by number."""

    names: tuple[str, ...]
    points: tuple[Point, ...]
    corners: frozenset[int] = frozenset()
    smooth: bool = True

    def outline(self) -> Polyline:
        """The line through them."""
        return smooth_outline(self.points, self.corners)[0] if self.smooth and len(self.points) > 2 else self.points


@frozen
class InHand:
    """One pot as measured, at one stage.

    `mass_g` is what the scale shows less what was added to the section (a handle); it holds the glaze, `coat_g_mm2` dry glaze on
    each mm² of ware, whose areas are this stage's times `coated_scale` (across, up). `brim_ml` is water up to the brim, `film_mm` the
    glaze that it lies on. `recess` is a turned foot, from the centre out. `depth_mm` runs from the rim to the floor inside.
    """

    stations: Stations
    density_g_cm3: float
    mass_g: float | None = None
    brim_ml: float | None = None
    film_mm: float = 0.0
    coat_g_mm2: float = 0.0
    coated_scale: tuple[float, float] = (1.0, 1.0)
    recess: Polyline = ()
    depth_mm: float | None = None
    gallery_mm: tuple[float, float] | None = None


@frozen
class Solved:
    """What a pot in the hand comes to."""

    stations: Stations
    wall_mm: float
    floor_mm: float
    fullness: float
    mass_g: float
    brim_ml: float
    clay_cm3: float
    wall_plus_minus_mm: float = 0.0
    doubts_mm: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))


@frozen
class Mend:
    """What would have to be changed, alone, for the three measurements to agree.

    `sizes_factor` is on every size at once; `mass_g` and `brim_ml` are None where no weight and no water would do.
    """

    sizes_factor: float
    mass_g: float | None
    brim_ml: float | None
    more_sizes: bool


class NoWallError(ValueError):
    """No wall makes outside, weight and water agree. `mend` says what would, each alone; `kind` is `volumes`, `thin` or `thick`."""

    def __init__(self, kind: str, message: str, mend: Mend | None = None) -> None:
        super().__init__(message)
        self.kind, self.mend = kind, mend


def filled_out(measured: Stations) -> Side:
    """The sides that may run between measured places, by how full they are.

    Between two stations that stand well apart goes a third, halfway up. At fullness 0 it lies on the line through the
    measured ones, at 1 as far out as the wider of its neighbours (and 2 % more), at −1 as far in as the narrower.

    Args:
        measured: what was measured, foot and rim among them.
    Returns: fullness, −1 to 1, to stations; at 0 those that were measured and no others.
    >>> side = filled_out(Stations(("foot", "rim"), ((30.0, 0.0), (42.0, 96.0))))
    >>> side(0.5).names, [round(radius, 2) for radius, _ in side(0.5).points]
    (('foot', 'side', 'rim'), [30.0, 39.42, 42.0])
    """
    line, height = measured.outline(), measured.points[-1][1] - measured.points[0][1]
    gaps = [
        place
        for place, ((_, z0), (_, z1)) in enumerate(pairwise(measured.points))
        if z1 - z0 >= max(LEAST_GAP_MM, LEAST_GAP_SHARE * height)
    ]

    def side(fullness: float) -> Stations:
        if fullness == 0.0 or not gaps:
            return replace(measured, smooth=measured.smooth and len(measured.points) > 2)
        names, points, corners = [measured.names[0]], [measured.points[0]], set()
        for place, (lower, upper) in enumerate(pairwise(measured.points)):
            if place in gaps:
                level = (lower[1] + upper[1]) / 2.0
                between = radius_at(line, level) or (lower[0] + upper[0]) / 2.0
                widest = max(lower[0], upper[0], between)
                narrowest = min(lower[0], upper[0], between)
                limit = widest * (1.0 + SLACK_SHARE) if fullness > 0.0 else narrowest * (1.0 - SLACK_SHARE)
                names.append(_side_name(measured.names, place, len(gaps)))
                points.append((between + abs(fullness) * (limit - between), level))
            if place + 1 in measured.corners:
                corners.add(len(points))
            names.append(measured.names[place + 1])
            points.append(upper)
        return Stations(tuple(names), tuple(points), frozenset(corners), True)

    return side


def _side_name(names: Sequence[str], place: int, count: int) -> str:
    if count == 1:
        return "side"
    return f"below {names[place + 1]}" if place + 2 < len(names) else f"above {names[place]}"


def widened(traced: Stations, most_share: float = 0.02) -> Side:
    """An outline that was traced, every diameter a little wider or narrower, by a share.

    Args:
        traced: the outline.
        most_share: the change at fullness 1, of every diameter.
    Returns: fullness, −1 to 1, to stations.
    >>> widened(Stations(("foot", "rim"), ((30.0, 0.0), (42.0, 96.0))))(0.5).points
    ((30.3, 0.0), (42.42, 96.0))
    """
    return lambda fullness: replace(
        traced, points=tuple((radius * (1.0 + fullness * most_share), height) for radius, height in traced.points)
    )


def with_gallery(inside: Polyline, depth_mm: float, width_mm: float) -> Polyline:
    """An inside with a gallery: a ledge that a lid rests on, let in below the rim.

    The ledge stands `width` in from the wall at `depth` under the rim, level on top and, underneath, sloping back to the wall at
    45°, so that it can be thrown.

    Args:
        inside: from the axis at the floor up to the rim, mm.
        depth_mm: from the rim down to the ledge, > 0.
        width_mm: how far the ledge comes in from the wall, > 0.
    Returns: the inside with the ledge.
    Raises: ValueError, no room between floor and rim, or across.
    >>> with_gallery(((0.0, 5.0), (40.0, 5.0), (40.0, 90.0)), 10.0, 5.0)
    ((0.0, 5.0), (40.0, 5.0), (40.0, 75.0), (35.0, 80.0), (40.0, 80.0), (40.0, 90.0))
    """
    rim = inside[-1][1]
    seat = rim - depth_mm
    at_seat = radius_at(inside, seat)
    under = _sloped_under(inside, seat, width_mm) if at_seat else None
    if at_seat is None or under is None or at_seat - width_mm <= 0.0:
        raise ValueError("there is no room for a gallery so deep and so wide")
    below = [point for point in inside if point[1] < under[1] - 1e-9]
    above = [point for point in inside if point[1] > seat + 1e-9]
    return (*below, under, (at_seat - width_mm, seat), (at_seat, seat), *above)


def _sloped_under(inside: Polyline, seat_mm: float, width_mm: float) -> Point | None:
    """Where the ledge's underside, running down and out at 45°, meets the wall."""
    at_seat = radius_at(inside, seat_mm) or 0.0

    def beyond(level: float) -> float:
        wall = radius_at(inside, level)
        return (wall if wall is not None else 0.0) - (at_seat - width_mm + seat_mm - level)

    low = max(inside[0][1], seat_mm - 8.0 * width_mm) + 1e-6
    if low >= seat_mm or beyond(low) >= 0.0:
        return None
    level = root_between(beyond, low, seat_mm)
    return (at_seat - width_mm + seat_mm - level, level)


@frozen
class _Filled:
    """One trial: an outside with a wall and a floor."""

    outside: Polyline
    outside_mm3: float
    inside: Polyline
    space_mm3: float
    wetted_mm2: float
    coated_mm2: float


def _outside_mm3(pot: InHand, outside: Polyline) -> float:
    """What an outside and its base enclose, level at the rim; a recess under the foot is none of it."""
    rim, base = outside[-1][1], outside[0][1]
    enclosed = revolved_volume_mm3(((0.0, base), *outside, (0.0, rim)))
    return enclosed - (revolved_volume_mm3((*pot.recess, (0.0, base))) if pot.recess else 0.0)


def _floor_level(pot: InHand, outside: Polyline, wall_mm: float) -> float:
    if pot.depth_mm is not None:
        return outside[-1][1] - pot.depth_mm
    return (pot.recess[0][1] if pot.recess else outside[0][1]) + FLOOR_SHARE * wall_mm


def _trial(pot: InHand, outside: Polyline, outside_mm3: float, wall_mm: float) -> _Filled | None:
    """An outside with a wall in it; None where that leaves no inside."""
    try:
        inside = wall_inside(outside, wall_mm, _floor_level(pot, outside, wall_mm))
        if pot.gallery_mm:
            inside = with_gallery(inside, *pot.gallery_mm)
    except (SectionError, ValueError):
        return None
    across, up = pot.coated_scale
    coated = 0.0
    if pot.coat_g_mm2:
        coated = fsum(revolved_area_mm2([(r * across, z * up) for r, z in line]) for line in (outside, inside))
    rim = inside[-1][1]
    return _Filled(
        outside, outside_mm3, inside, volume_below_mm3(inside, rim), area_below_mm2(inside, rim), coated
    )  # fmt: skip


def _weighs_g(pot: InHand, trial: _Filled) -> float:
    clay_cm3 = (trial.outside_mm3 - trial.space_mm3) / 1000.0
    return clay_cm3 * pot.density_g_cm3 + pot.coat_g_mm2 * trial.coated_mm2


def _holds_ml(pot: InHand, trial: _Filled) -> float:
    return (trial.space_mm3 - pot.film_mm * trial.wetted_mm2) / 1000.0


def solve(pot: InHand, side: Side | None = None, *, steps: Mapping[str, float] | None = None) -> Solved:
    """The side, wall and floor that weight and water ask for.

    Fullness f and wall w from: clay(f, w) × density + coat × area = weight, and space(f, w) − film × area = water. With only one of
    the two measured, the side is the line through what was measured.

    Args:
        pot: what was measured; a weight, a capacity, or both.
        side: the outsides that it may have, by fullness from −1 to 1; those of `filled_out` unless given.
        steps: the finest step of each tool, `ruler` in mm and `scale` in g, for how sure the wall is; 1 and 1 unless given.
    Returns: stations, wall and floor; weight and water come out as measured to 1e-6.
    Raises: NoWallError, no side and no wall does it; ValueError, neither weight nor water.
    Source: worked: the outside encloses clay and room, so each is the other's rest; weight tells one, water the other.
    >>> pot = InHand(Stations(("foot", "rim"), ((30.0, 0.0), (30.0, 90.0)), smooth=False), 2.0, mass_g=182.9)
    >>> round(solve(pot).wall_mm, 2)
    5.09
    """
    if pot.mass_g is None and pot.brim_ml is None:
        raise ValueError("a weight or a capacity is needed")
    side = side or filled_out(pot.stations)
    fullness = 0.0 if pot.mass_g is None or pot.brim_ml is None else _fullness(pot, side)
    outside = side(fullness).outline()
    enclosed = _outside_mm3(pot, outside)
    wall = _wall(pot, outside, enclosed)
    trial = _trial(pot, outside, enclosed, wall)
    assert trial is not None, "a wall that was found leaves an inside"
    solved = Solved(
        side(fullness),
        wall,
        _floor_level(pot, outside, wall) - (pot.recess[0][1] if pot.recess else outside[0][1]),
        fullness,
        _weighs_g(pot, trial),
        _holds_ml(pot, trial),
        (enclosed - trial.space_mm3) / 1000.0,
    )
    doubts = _doubts(pot, solved, {"ruler": 1.0, "scale": 1.0, **(steps or {})})
    total = hypot(*doubts.values())
    return replace(solved, wall_plus_minus_mm=total, doubts_mm=MappingProxyType(doubts))


def _glaze_g(pot: InHand, outside: Polyline, enclosed_mm3: float, wall_mm: float) -> tuple[float, float]:
    """The glaze's weight and the water's place that it takes, mm³, in a trial that need not be right yet."""
    trial = _trial(pot, outside, enclosed_mm3, wall_mm)
    if trial is None:
        return 0.0, 0.0
    return pot.coat_g_mm2 * trial.coated_mm2, pot.film_mm * trial.wetted_mm2


def _fullness(pot: InHand, side: Side) -> float:
    """How full the side is, so that the outside encloses clay and water. Raises NoWallError."""
    assert pot.mass_g is not None and pot.brim_ml is not None
    enclosed = {end: _outside_mm3(pot, side(end).outline()) for end in (-1.0, 0.0, 1.0)}
    least, most = min(enclosed.values()), max(enclosed.values())
    fullness, wall, wanted = 0.0, LEAST_WALL_MM, 0.0
    for _ in range(12):  # the glaze's share hangs on the side, a little; it settles at once
        outside = side(fullness).outline()
        at = _outside_mm3(pot, outside)
        glaze_g, taken = _glaze_g(pot, outside, at, wall)
        clay_mm3 = (pot.mass_g - glaze_g) / pot.density_g_cm3 * 1000.0
        before, wanted = wanted, clay_mm3 + pot.brim_ml * 1000.0 + taken
        if clay_mm3 <= 0.0:
            raise NoWallError("thin", f"the glaze alone would weigh {glaze_g:.0f} g")
        # A hair's breadth beyond the last side is a matter of the last digit.
        if not least * (1.0 - SAME_SHARE) <= wanted <= most * (1.0 + SAME_SHARE):
            raise NoWallError(
                "volumes", "outside, weight and water do not agree", _mend(pot, wanted, glaze_g, taken, least, most)
            )
        if abs(wanted - before) <= 1e-7 * wanted:
            break
        if abs(wanted / enclosed[0.0] - 1.0) <= SAME_SHARE and not (pot.coat_g_mm2 or pot.film_mm):
            return 0.0
        rising = 1.0 if (wanted > enclosed[0.0]) == (enclosed[1.0] > enclosed[-1.0]) else -1.0
        target = min(max(wanted, least), most)

        def too_much(fullness: float, target: float = target) -> float:
            return _outside_mm3(pot, side(fullness).outline()) - target

        fullness = root_between(too_much, 0.0, rising, near=1e-8)
        outside = side(fullness).outline()
        area = revolved_area_mm2(outside) + pi * outside[0][0] ** 2
        wall = clay_mm3 / area if wall == LEAST_WALL_MM else wall
        try:
            wall = _wall(pot, outside, _outside_mm3(pot, outside))
        except NoWallError:
            break
    return fullness


def _mend(pot: InHand, wanted: float, glaze_g: float, taken: float, least: float, most: float) -> Mend:
    """What each measurement would have to be, the others right."""
    assert pot.mass_g is not None and pot.brim_ml is not None
    limit = most if wanted > most else least
    clay_mm3 = limit - pot.brim_ml * 1000.0 - taken
    water_mm3 = limit - (pot.mass_g - glaze_g) / pot.density_g_cm3 * 1000.0 - taken
    return Mend(
        (wanted / limit) ** (1.0 / 3.0),
        clay_mm3 / 1000.0 * pot.density_g_cm3 + glaze_g if clay_mm3 > 0.0 else None,
        water_mm3 / 1000.0 if water_mm3 > 0.0 else None,
        wanted > most,
    )


def _wall(pot: InHand, outside: Polyline, enclosed_mm3: float) -> float:
    """The wall that makes the weight come out, or where none is given, the water. Raises NoWallError."""

    def missed(wall_mm: float) -> float:
        trial = _trial(pot, outside, enclosed_mm3, wall_mm)
        if trial is None:
            return 1e9
        if pot.mass_g is None:
            return (pot.brim_ml or 0.0) - _holds_ml(pot, trial)
        return _weighs_g(pot, trial) - pot.mass_g

    thickest = 0.98 * max(radius for radius, _ in outside)
    if missed(LEAST_WALL_MM) > 0.0:
        trial = _trial(pot, outside, enclosed_mm3, LEAST_WALL_MM)
        if trial is None:
            raise NoWallError("thick", "there is no room for a wall and an inside")
        said = (
            f"even a wall of {LEAST_WALL_MM:g} mm weighs {_weighs_g(pot, trial):.0f} g"
            if pot.mass_g is not None
            else f"even with a wall of {LEAST_WALL_MM:g} mm it holds {_holds_ml(pot, trial):.0f} ml"
        )
        raise NoWallError("thin", said)
    low, high = LEAST_WALL_MM, LEAST_WALL_MM
    while missed(high) <= 0.0:
        low, high = high, high * 1.3
        if high > thickest:
            raise NoWallError("thick", "it would be solid")
    # Where the clay closes the inside there is a jump; halve down to it first, so that the root is one.
    while _trial(pot, outside, enclosed_mm3, high) is None:
        middle = (low + high) / 2.0
        if missed(middle) > 0.0:
            high = middle
        else:
            low = middle
        if high - low < 1e-7:
            raise NoWallError("thick", f"a wall of more than {low:.1f} mm closes the inside")
    return root_between(missed, low, high, near=1e-8)


def _doubts(pot: InHand, solved: Solved, steps: Mapping[str, float]) -> dict[str, float]:
    """What a step of ruler and scale does to the wall, one standard deviation each.

    With weight and water both, the wall is what clay there is over the surface that it is spread on, V/A: more surface, less
    wall; the water, weighed on the same scale, goes into the side and not into the wall. With one of them, the wall is solved again.
    """
    outside = solved.stations.outline()
    both = pot.mass_g is not None and pot.brim_ml is not None
    area = _spread_mm2(outside)
    found = {}
    for name in ("height", "rim", "foot"):
        grown = _grown(outside, name, steps["ruler"] * STEP_DEVIATION)
        again = solved.wall_mm * area / _spread_mm2(grown) if both else _wall_or_none(pot, grown)
        wall = solved.wall_mm if again is None else again
        found[name] = abs(wall - solved.wall_mm)
    step_g = steps["scale"] * STEP_DEVIATION
    per_g = 1000.0 / pot.density_g_cm3 if pot.mass_g is not None else 1000.0  # a gram of water is a millilitre
    found["weight" if pot.mass_g is not None else "brim"] = per_g * step_g / area
    return found


def _spread_mm2(outside: Polyline) -> float:
    """The surface that the clay is spread on: side and base."""
    return revolved_area_mm2(outside) + pi * outside[0][0] ** 2


def _grown(outside: Polyline, name: str, step_mm: float) -> Polyline:
    """An outside of which height, or the diameter at rim or foot, is a step greater; in between, in proportion to the height."""
    base, height = outside[0][1], outside[-1][1] - outside[0][1]
    if name == "height":
        return tuple((radius, base + (z - base) * (1.0 + step_mm / height)) for radius, z in outside)
    sign = 1.0 if name == "rim" else -1.0

    def share(z: float) -> float:
        return 0.5 + sign * ((z - base) / height - 0.5)

    return tuple((radius + step_mm / 2.0 * share(z), z) for radius, z in outside)


def _wall_or_none(pot: InHand, outside: Polyline) -> float | None:
    try:
        return _wall(pot, outside, _outside_mm3(pot, outside))
    except NoWallError:
        return None
