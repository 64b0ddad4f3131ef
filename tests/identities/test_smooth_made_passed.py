"""Set, made, passed, for ware that is smooth, has a turned foot, walls by station or several gauges.

The maker here knows the clay and the typed section, and of the settings only what stands on the cards. What he makes is
worked out by an integration of this file's own: scipy's PCHIP through the stations, offsets along mitred normals, sums of
frusta. It comes to what is printed, and passes what is printed nineteen times in twenty.
"""

import random
from itertools import pairwise

import numpy as np
import pytest
from scipy import interpolate, optimize
from wareboard.figures import checks
from wareboard.figures.settings import is_trimmed
from wareboard.text import projects

from tests.identities.test_set_made_passed import (
    G_OZ,
    HEIGHT,
    MM_IN,
    SHRINKAGE,
    UNITS,
    WALL,
    WEIGHT,
    WIDTH,
    Printed,
    places_agree,
    studio_texts,
    without_drawings,
)  # fmt: skip

FORMS, PIECES = 20, 4000
ABSORBER = (
    "title: Absorber\ncone: 6\nwater: 24 %\nloss_on_ignition: 9 %\nabsorption: 9 %\n"
    "shrinkage: {leather-hard: 3.5 %, dry: 7 %, bisque: 7 %, fired: 10 %}\n"
)


class Form:
    """A random vessel as it is typed."""

    def __init__(self, chance: random.Random, number: int) -> None:
        size = chance.choice((1.0, 1.0, 1.0, 0.5, 2.5))
        high, wide, wall = (
            chance.uniform(60, 220) * size,
            chance.uniform(70, 210) * size,
            chance.uniform(4, 7) * size**0.5,
        )
        foot, kind = wide * chance.uniform(0.45, 0.75), chance.choice(("belly", "bowl", "open", "bevelled"))
        if kind == "bowl":
            high = wide * chance.uniform(0.3, 0.5)
        between = {
            "belly": [(high * 0.45, wide), (high * 0.78, wide * chance.uniform(0.65, 0.8))],
            "bowl": [(high * chance.uniform(0.35, 0.5), wide * chance.uniform(0.75, 0.85))],
            "open": [(high * chance.uniform(0.3, 0.6), foot + (wide - foot) * chance.uniform(0.35, 0.75))],
            "bevelled": [(4.0, foot + 5.0)],
        }[kind]
        rim = wide * 0.85 if kind == "belly" else wide
        at = [(0.0, foot), *between, (high, rim)]
        self.stations = {
            name: (round(z, 1), round(d, 1)) for name, (z, d) in zip(("foot", "low", "neck", "up"), at[:-1])
        }
        self.stations["rim"] = (round(high, 1), round(rim, 1))
        self.smooth = kind != "bevelled"
        left = chance.choice((0, 1, 2))
        wall, self.floor = round(wall, 1), round(wall + chance.uniform(0.5, 2), 1)
        self.walls = (wall, round(wall * 0.85, 1)) if chance.random() < 0.3 else (wall, wall)
        self.foot = (round(foot * 0.1, 1), round(2.0 * min(size, 1.0), 1)) if left and chance.random() < 0.5 else None
        gauges = chance.choice(("rim", "[low, rim]"))
        outside = ", ".join(f"{name}: {{height: {z}, diameter: {d}}}" for name, (z, d) in self.stations.items())
        clay = chance.choice(("millpond-buff", "quarry-brown", "absorber"))
        self.text = "\n".join([
            f"title: Smooth {number}", f"code: S{number}", f"clay: {clay}", "glaze: lichen-satin",
            f"sizes: {chance.choice(('fired', 'wet', 'leather-hard'))}", "parts:", "  pot:", f"    outside: {{{outside}}}",
            f"    line: {'smooth' if self.smooth else 'straight'}", f"    wall: {{foot: {self.walls[0]}, rim: {self.walls[1]}}}",
            f"    floor: {self.floor}", *([f"    foot: {{width: {self.foot[0]}, recess: {self.foot[1]}}}"] if self.foot else []),
            f"    throwing: {{loss: 6 %, {f'left_on: {{wall: {left}, floor: {left + 1}}}, ' if left else ''}gauge_at: {gauges}}}",
        ]) + "\n"  # fmt: skip


class Section:
    """Half sections at leather-hard: a line through the stations, a wall square to it, a floor."""

    def __init__(self, form: Form, across: float, up: float) -> None:
        heights, widths = (np.array(ends) for ends in zip(*form.stations.values()))
        at = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(heights), np.diff(widths / 2.0)))])
        along = np.unique(np.concatenate([np.linspace(*ends, 61) for ends in pairwise(at)]))
        curve = interpolate.PchipInterpolator if form.smooth else lambda x, y: interpolate.interp1d(x, y)
        self.at, self.along, self.stations = dict(zip(form.stations, at)), along, list(form.stations)
        self.r, self.z = curve(at, widths / 2.0)(along) * across, curve(at, heights)(along) * up
        self.wall = np.interp(along, [at[0], at[-1]], form.walls) * across
        width, depth = form.foot or (0.0, 0.0)
        self.recess = (widths[0] / 2.0 - width) * across, depth * up
        self.floor = form.floor * up

    def measure(self, wide=1.0, tall=1.0, thicker=0.0, lower=0.0, *, outward: bool) -> tuple[float, float]:
        """Clay and room, mm³; a wall that is turned is thicker outward."""
        r, z = self.r * wide, self.z * tall
        levels = lambda low: np.linspace(low, z[-1], 1500)
        up = levels(self.floor + self.recess[1] + lower)
        inside = beside(r, z, self.wall if outward else self.wall + thicker, up)
        room, all_up = frusta(inside, up), levels(0.0)
        outside = beside(r, z, np.full_like(r, -thicker if outward else 0.0), all_up)
        return frusta(outside, all_up) - room - np.pi * self.recess[0] ** 2 * self.recess[1], room


def beside(r: np.ndarray, z: np.ndarray, wall: np.ndarray, levels: np.ndarray) -> np.ndarray:
    """Radii at some levels of a line so far inside another, in mitres, run on straight at both ends."""
    run, rise = np.diff(r), np.diff(z)
    normals = np.stack([rise, -run], 1) / np.hypot(run, rise)[:, None]
    before, after = np.vstack([normals[:1], normals]), np.vstack([normals, normals[-1:]])
    mitre = (before + after) / (1.0 + (before * after).sum(1))[:, None]
    r, z = r - wall * mitre[:, 0], z - wall * mitre[:, 1]
    found = np.interp(levels, z, r)
    for outer, (a, b) in ((levels < z[0], (0, 1)), (levels > z[-1], (-1, -2))):
        found[outer] = r[a] + (r[b] - r[a]) / (z[b] - z[a]) * (levels[outer] - z[a])
    return np.maximum(found, 0.0)


def frusta(r: np.ndarray, z: np.ndarray) -> float:
    return float(np.sum(np.pi / 3.0 * np.diff(z) * (r[:-1] ** 2 + r[:-1] * r[1:] + r[1:] ** 2)))


def set_to_the_cards(section: Section, sheet, printed: Printed, trims: bool) -> float:
    """Moves a section to what tools are set to; what its wall gains by that."""
    shape = sheet.shapes["pot"]
    across, up = shape.body.across("leather-hard"), shape.body.up("leather-hard")
    bat, plain = sheet.studio.bat.value, lambda key: sheet.value(f"pot.{key}", "wet")
    gauges = shape.part.gauge_stations
    stems = {str(one): f"pointer.{one}" if len(gauges) > 1 else "pointer" for one in gauges}
    shift = {
        end: [printed.number(f"pot.{stem}.{end} wet") - plain(f"{stem}.{end}") for stem in stems.values()]
        for end in ("height", "reach")
    }
    places = [section.at[name] for name in stems]
    needle = printed.number("pot.thrown.floor wet")
    under = plain("thrown.floor") - (section.floor + section.recess[1]) / up  # what is left on under the foot, wet
    if len(places) == 1:
        high, out = plain("pointer.height") - bat, plain("pointer.reach")
        height = (section.z / up + under) * (1.0 + shift["height"][0] / high)
        section.r = section.r * (1.0 + shift["reach"][0] / out)
    else:
        height = section.z / up + under + np.interp(section.along, [0.0, *places], [0.0, *shift["height"]])
        section.r = section.r + across * np.interp(section.along, places, shift["reach"])
    turned = lambda key: printed.number(f"pot.{key} leather-hard")
    floor, foot = needle * up, None
    if trims:
        floor = turned("floor.thickness")
        if section.recess[1]:
            section.recess = turned("foot.ring.inside") / 2.0, turned("foot.recess.depth")
            floor += section.recess[1]
            foot = turned("foot.ring.outside") / 2.0
        else:
            foot = turned("foot.diameter") / 2.0
    section.z = height * up - (needle * up - floor)
    section.z = section.z - section.z[0] * (1.0 - section.along / section.along[-1])
    if foot:
        near = np.clip(1.0 - section.along / section.at[section.stations[1]], 0.0, 1.0)
        section.r = section.r + (foot - section.r[0]) * near
    section.floor = floor - section.recess[1]
    names = [name for name in printed.numbers if name.startswith("pot.wall.") and name.endswith("leather-hard")]
    moved = [printed.number(name) - sheet.value(*name.rsplit(" ", 1)) for name in names]
    return sum(moved) / len(moved) if moved else 0.0


def failures(form: Form, units: str, seed: int) -> tuple[int, list[str]]:
    """How many checks were read of a form, and those that do not hold."""
    keep = ("/clays/", "/glazes/", "/kilns/", "studio.yaml")
    texts = {path: text for path, text in studio_texts(units).items() if any(part in path for part in keep)}
    texts |= {"specs/clays/absorber.yaml": ABSORBER, "specs/forms/pot.yaml": form.text}
    sheet = checks.check_project(projects.read_project(texts))[0]["pot"]
    printed, shape = Printed(sheet), sheet.shapes["pot"]
    body, trims = shape.body, is_trimmed(shape)
    wrong = [f"{name} differs from place to place" for name in places_agree(printed)]
    section = Section(form, *shape.scale("leather-hard"))
    wet_g_mm3 = sheet.value("clay.density", "wet") / 1000.0
    density = wet_g_mm3 * body.mass_share("leather-hard") / body.volume_scale("leather-hard")
    shrunk = (body.across("fired") / body.across("leather-hard")) ** 2 * body.up("fired") / body.up("leather-hard")
    film = sheet.glaze.film.value * sheet.value("pot.area.inside", "fired") / 10.0
    fired = body.mass_share("fired") / body.mass_share("leather-hard")
    coat = sheet.value("pot.mass.glazed", "fired") - sheet.value("pot.mass", "fired")

    clay, room = section.measure(outward=trims)
    plain = sheet.value("pot.mass", "leather-hard"), sheet.value("pot.capacity.brim", "fired")
    for own, said in zip((clay * density, room * shrunk / 1000.0 - film), plain):
        if abs(own / said - 1.0) > 0.005:
            wrong.append(f"as drawn it comes to {own:.1f}, the sheet says {said:.1f}")

    thicker = set_to_the_cards(section, sheet, printed, trims)
    left = sheet.value("pot.thrown.mass", "wet") / sheet.value("pot.ball", "wet")
    thrown = printed.number("pot.ball.set wet") * left * body.mass_share("leather-hard")
    if not trims:  # all that is weighed out is in it
        short = lambda wall: section.measure(1.0, 1.0, wall, outward=False)[0] * density - thrown
        thicker = optimize.brentq(short, -0.6 * section.wall.min(), 1.5 * section.wall.max())
        for name in (name for name in printed.numbers if ".wall." in name and name.endswith("leather-hard")):
            own = sheet.value(*name.rsplit(" ", 1)) + thicker
            if abs(own - printed.number(name)) > 0.3 + 0.05 * own:
                wrong.append(f"{name}: {own:.2f} comes of the ball")
    step, dice = MM_IN / 32 if units == UNITS[1] else 0.5, np.random.default_rng(seed).standard_normal((6, PIECES))
    walls, floors = (max(WALL * size, step / 1.96) for size in (section.wall.mean() + thicker, section.floor))
    nominal = (1.0, 1.0, thicker, 0.0)
    middle, pieces = np.array(section.measure(*nominal, outward=trims)), np.zeros((2, PIECES))
    for place, spread in enumerate((WIDTH, HEIGHT, walls, floors)):
        more, less = (
            np.array(
                section.measure(*(one + way * spread * (at == place) for at, one in enumerate(nominal)), outward=trims)
            )
            for way in (1.0, -1.0)
        )
        pieces += np.outer((more - less) / 2.0, dice[place]) + np.outer((more + less) / 2.0 - middle, dice[place] ** 2)
    clays, rooms = pieces + middle[:, None]
    weighs = clays * density if trims else thrown * (1.0 + WEIGHT * dice[5])
    smaller = (1.0 - SHRINKAGE * dice[4] / body.across("fired")) ** 3
    made = {
        "pot.mass leather-hard": weighs, "pot.mass dry": weighs * body.mass_share("dry") / body.mass_share("leather-hard"),
        "pot.mass.glazed fired": weighs * fired + coat, "pot.capacity.brim fired": rooms * shrunk * smaller / 1000.0 - film,
    }  # fmt: skip
    read, noise = 0, 3.5 * (0.95 * 0.05 / PIECES) ** 0.5
    for name, found in made.items():
        for _low, _high, out in printed.within.get(name, ()):
            read += 1
            passed = float(np.mean(np.abs(found - printed.number(name)) <= out))
            if passed < 0.93 - noise:
                wrong.append(
                    f"{name}: {passed:.3f} pass {printed.number(name):.1f} ± {out:.1f}, mean {found.mean():.1f}, σ {found.std():.2f}"
                )
            grain = {True: (G_OZ / 4, 3.6), False: (5.0, 2.5)}[step > 0.6]["capacity" in name]
            if out > 2.8 * found.std() + 2.0 * grain:
                wrong.append(f"{name}: ± {out:.1f} is too loose for σ {found.std():.2f}")
    high = printed.number("pot.height leather-hard")
    if abs(high - section.z[-1]) > (MM_IN / 128 if step > 0.6 else 0.05) + 0.02:
        wrong.append(f"pot.height leather-hard: {section.z[-1]:.2f} is made, {high:.2f} printed")
    return read + 1, wrong


@pytest.mark.parametrize("units", UNITS)
def test_smooth_ware_made_to_its_cards_passes_its_checks(units, monkeypatch):
    without_drawings(monkeypatch)
    chance = random.Random(f"smooth {units}")
    read, wrong = 0, []
    for number in range(FORMS):
        count, found = failures(form := Form(chance, number), units, number)
        read += count
        wrong += [f"{number}: {one}\n{form.text}" for one in found]
    assert read > 3 * FORMS and not wrong, (len(wrong), *wrong[:4])
