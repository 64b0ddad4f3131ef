"""Set, made, passed: pots are made on paper to the numbers that the cards print, and every printed check is read off them.

The maker here knows the clay and the section, and of the settings only what stands in the cards' own text: throws to it
with the spreads that the studio (or common practice) has, dries, trims, glazes, fires. What is made passes each check as
often as is meant, nineteen times in twenty; what is three deviations out does not; and no two places disagree about a number.
"""

import datetime
import random
import re
from functools import cache
from html import unescape

import numpy as np
import pytest
from scipy import optimize
from wareboard.cards import bench, trimming, wheel
from wareboard.figures import checks
from wareboard.figures.settings import as_set
from wareboard.pages import sitepages
from wareboard.text import projects
from wareboard.text.units import parse_quantity

from tests.demo import texts_of_demo

MADE = datetime.date(2026, 11, 25)
PIECES = 1500
UNITS = ("metric first", "imperial first")
MM_IN, G_OZ = 25.4, 28.349523125
# The stated rate is 95 %; it may be read as anything from 93 to 97, and higher only where the tool's own step is the ±.
LOW, HIGH = 0.93, 0.972
# One standard deviation of hand-thrown ware, common practice: height 2 %, width 1.5 %, wall 10 % either way hold 95 %.
HEIGHT, WIDTH, WALL = (share / 1.96 for share in (0.02, 0.015, 0.10))
CALIPERS_MM, TRIMMING_MM, SHRINKAGE, WEIGHT = 0.3, 0.25, 0.0015, 0.015  # as the studio's spec has them


# ---- forms ----


def random_form(chance: random.Random, number: int) -> str:
    """A vessel, often with a lid that is tried on it or goes on any."""
    high, wide = chance.uniform(50, 210), chance.uniform(60, 200)
    foot, wall = wide * chance.uniform(0.5, 0.95), chance.uniform(4.0, 7.0)
    left = chance.choice([(0, 0), (1, 2), (1.5, 3)])
    left_on = f"left_on: {{wall: {left[0]}, floor: {left[1]}}}, " if left[0] else ""
    lid = chance.random() < 0.5
    lines = [
        f"title: Form {number}", f"code: F{number}", "clay: millpond-buff", "glaze: lichen-satin", "sizes: fired", "parts:", "  pot:",
        f"    outside: {{foot: {{height: 0, diameter: {foot:.1f}}}, rim: {{height: {high:.1f}, diameter: {wide:.1f}}}}}",
        f"    wall: {wall:.1f}", f"    floor: {wall + chance.uniform(0, 2):.1f}", "    calipers: {mouth: inside rim}",
        f"    throwing: {{loss: {chance.randint(3, 9)} %, {left_on}gauge_at: rim}}",
    ]  # fmt: skip
    if chance.random() < 0.3 and not lid:
        lines.append(f"    extras: {{handle: {{clay: {chance.randint(20, 80)} g}}}}")
    if lid:
        pairing, aim = chance.choice(["own", "any"]), chance.uniform(1.8, 2.6)
        lines += [
            "  lid:", "    opens: down",
            f"    outside: {{tip: {{height: 0, diameter: flange}}, top: {{height: {chance.uniform(12, 30):.1f}, diameter: {wide * 0.6:.1f}}}}}",
            f"    wall: {wall:.1f}", f"    floor: {wall:.1f}", "    calipers: {flange: fit}",
            "    throwing: {loss: 6 %, left_on: {wall: 1, floor: 2}, gauge_at: tip}",
            "fits:", "  lid:", "    inside: pot.mouth", "    outside: lid.flange",
            f"    clearance: {{aim: {aim:.1f}, least: {aim - 1.6:.1f}, most: {aim + 1.8:.1f}}}", f"    pairing: {pairing}",
        ]  # fmt: skip
    return "\n".join(lines) + "\n"


def studio_texts(units: str) -> dict[str, str]:
    texts = texts_of_demo()
    texts["specs/studio.yaml"] = texts["specs/studio.yaml"].replace("metric first", units)
    return texts


@cache
def worked(units: str, count: int = 0):
    """The demo, or as many random forms, worked out in a unit system."""
    texts = studio_texts(units)
    if count:
        keep = ("/clays/", "/glazes/", "/kilns/", "studio.yaml")
        texts = {path: text for path, text in texts.items() if any(part in path for part in keep)}
        chance = random.Random(f"{units} {count}")
        texts |= {f"specs/forms/form-{n}.yaml": random_form(chance, n) for n in range(count)}
    project = projects.read_project(texts)
    sheets = checks.check_project(project)[0]
    return project, {slug: sheet for slug, sheet in sheets.items() if sheet.figures}


# ---- what is printed ----

NUMBER = re.compile(r'<span class="f"><span>(\d+)</span><span>(\d+)</span></span>')


def words_of(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", NUMBER.sub(r" \1/\2 ", html))).split())


def amount(text: str, unit: str) -> float:
    """A printed amount in mm, g or ml."""
    kind = {"mm": "length", "in": "length", "g": "mass", "oz": "mass", "kg": "mass", "lb": "mass", "ml": "volume", "l": "volume", "fl oz imp": "volume"}[unit]  # fmt: skip
    return parse_quantity(f"{text} {unit}".strip(), kind).value


def said_amount(text: str) -> float:
    """An amount with its unit behind it."""
    text = text.removeprefix("±").replace("in its glaze", "").strip()
    kind = "length" if re.search(r"(mm|in)$", text) else "volume" if re.search(r"(ml|fl oz imp| l)$", text) else "mass"
    return parse_quantity(text, kind).value


class Printed:
    """What the cards, the sheet and the page of a form say: each figure's number and its ±, wherever they stand."""

    def __init__(self, sheet) -> None:
        self.numbers: dict[str, set[float]] = {}
        self.within: dict[str, set[tuple[float | None, float | None, float | None]]] = {}
        for render in (wheel.render_wheel, trimming.render_trimming):
            self.rows(render(sheet, made=MADE).html)
        self.bench = bench.render_bench(sheet, made=MADE, paper="A4").html
        for name, text in re.findall(r'<b data-figure="([^"]*)">(.*?)</b>', self.bench):
            if not text.strip().endswith("%"):
                self.numbers.setdefault(name, set()).add(round(said_amount(words_of(text)), 4))
        for name, text in re.findall(r'<span class="pm" data-figure="([^"]*)">(.*?)</span>', self.bench):
            self.limit(name, words_of(text))

    def rows(self, html: str) -> None:
        for row in re.findall(r'(?s)<div class="row .*?</div>\s*</div>', html):
            unit = re.search(r'<p class="unit">(.*?)</p>', row)[1]
            tool = re.search(r'<p class="tool">(.*?)</p>', row)
            found = re.findall(
                r'(?s)<span data-figure="([^"]*)">(.*?)</span>(?=<span class="way"|</p>|<span data)', row
            )
            for name, text in found:
                self.numbers.setdefault(name, set()).add(round(amount(words_of(text), unit), 4))
                if tool and "±" in tool[1]:
                    self.limit(name, re.search(r"±[^,;]*", words_of(tool[1]))[0])

    def limit(self, name: str, text: str) -> None:
        if text.startswith("±"):
            found = (None, None, None if text.endswith("%") else round(said_amount(text), 4))
        else:
            low, _, high = text.removeprefix("from ").removeprefix("up to ").partition(" to ")
            found = (said_amount(low), said_amount(high) if high else None, None)
        self.within.setdefault(name, set()).add(found)

    def number(self, name: str) -> float:
        return next(iter(self.numbers[name]))


# ---- the pots ----


class Pots:
    """So many pieces of one form, made to what is printed."""

    def __init__(self, sheet, printed: Printed, seed: int) -> None:
        self.sheet, self.printed = sheet, printed
        self.chance = np.random.default_rng(seed)
        self.made: dict[str, tuple[np.ndarray, float]] = {}  # by figure: pieces, and one standard deviation of them
        own = sheet.form.spreads  # a form may have spreads of its own
        self.calipers_mm = own.calipers.value if own and own.calipers else CALIPERS_MM
        self.trimming_mm = own.trimming.value if own and own.trimming else TRIMMING_MM
        self.shrinkage = own.shrinkage.value if own and own.shrinkage else SHRINKAGE
        for name in sheet.form.parts:
            self.part(str(name))
        for name, fit in sheet.form.fits.items():
            if fit.inside.own and fit.outside.own:
                self.fit(str(name), fit)

    def z(self) -> np.ndarray:
        return self.chance.standard_normal(PIECES)

    def keep(self, name: str, pieces: np.ndarray) -> np.ndarray:
        self.made[name] = (pieces, float(np.std(pieces)))
        return pieces

    def across(self, body, z: np.ndarray, stage: str) -> np.ndarray:
        """What is left of a wet width: each piece shrinks a little otherwise, by as much of it as the stage has seen."""
        seen = body.shrinkage_share(stage) / body.shrinkage_share("fired")
        return body.across(stage) - self.shrinkage * seen * z

    def part(self, name: str) -> None:
        printed, shape = self.printed, self.sheet.shapes[name]
        body, part = shape.body, shape.part
        bat = self.sheet.studio.bat.value if self.sheet.studio.bat else 0.0
        shrinks, taller, wider, thicker, lower = (self.z() for _ in range(5))
        self.shrinks = getattr(self, "shrinks", {}) | {name: shrinks}
        fitted = {
            str(size.caliper)
            for fit in self.sheet.form.fits.values()
            for size in (fit.inside, fit.outside)
            if size.is_of(name)
        }
        for station in part.gauge_stations:
            stem = f"{name}.pointer.{station}" if len(part.gauge_stations) > 1 else f"{name}.pointer"
            up, out = printed.number(f"{stem}.height wet"), printed.number(f"{stem}.reach wet")
            self.keep(f"{stem}.height wet", bat + (up - bat) * (1.0 + HEIGHT * taller))
            self.keep(f"{stem}.reach wet", out * (1.0 + WIDTH * wider))
        rim = part.gauge_stations[-1]
        stem = f"{name}.pointer.{rim}" if len(part.gauge_stations) > 1 else f"{name}.pointer"
        if f"{name}.thrown.floor wet" in printed.numbers:
            needle = printed.number(f"{name}.thrown.floor wet")
            self.keep(f"{name}.thrown.floor wet", needle * (1.0 + WALL * lower))
        for caliper, spec in part.calipers.items():
            key = f"{name}.{caliper} wet"
            if spec.side == "inside" and key in printed.numbers:
                spread = self.calipers_mm if str(caliper) in fitted else None
                set_mm = printed.number(key)
                wet = set_mm + self.calipers_mm * self.z() if spread else set_mm * (1.0 + WIDTH * self.z())
                self.keep(key, wet)
                for stage in ("leather-hard", "fired"):
                    self.keep(f"{name}.{caliper} {stage}", wet * self.across(body, shrinks, stage))
        self.trimmed(name, shape, stem, rim, shrinks, taller, wider, thicker, lower, bat)

    def trimmed(self, name, shape, stem, rim, shrinks, taller, wider, thicker, lower, bat) -> None:
        """Trimming and what comes of it: heights, walls, weights, room. The section is moved, not its formula."""
        printed, body, sheet = self.printed, shape.body, self.sheet
        trims = max(shape.left_on_mm) > 0.0 or shape.drop_mm > 0.0
        wall_key, floor_key = f"{name}.wall.thickness leather-hard", f"{name}.floor.thickness leather-hard"
        plain = lambda key: sheet.value(*key.rsplit(" ", 1))
        wall = printed.number(wall_key) if trims and wall_key in printed.numbers else plain(wall_key) if sheet.find(f"{name}.wall.thickness", "leather-hard") else None  # fmt: skip
        floor = printed.number(floor_key) if trims and floor_key in printed.numbers else plain(floor_key) if sheet.find(f"{name}.floor.thickness", "leather-hard") else None  # fmt: skip
        if not trims and floor is not None and f"{name}.thrown.floor wet" in printed.numbers:
            floor = printed.number(f"{name}.thrown.floor wet") * body.up("leather-hard")
        if not trims and wall is not None:
            wall += self.weighed_into_the_wall(name, shape, stem, bat)
        if wall is not None:
            step = self.step_mm()
            wall_sd, floor_sd = (max(WALL * size, step / 1.96) for size in (wall, floor or wall))
            walls, floors = wall + wall_sd * thicker, (floor or wall) + floor_sd * lower
            self.keep(wall_key, walls)
            if floor is not None:
                self.keep(floor_key, floors)
        closed = shape.part.closed_station
        if f"{name}.{closed}.diameter leather-hard" in printed.numbers:
            set_mm = printed.number(f"{name}.{closed}.diameter leather-hard")
            self.keep(f"{name}.{closed}.diameter leather-hard", set_mm * (1.0 + WIDTH * self.z()))
        part = shape.part
        simple = wall is not None and len(part.outside) == 2 and not (part.opens_down or part.inside or part.underside)
        if not simple:
            return
        # Heights: from the rim, thrown to the pointer, down to the inside, opened to the needle, and the floor under that.
        up_lh = body.up("leather-hard")
        needle = printed.number(f"{name}.thrown.floor wet")
        if trims:
            nominal = (printed.number(f"{stem}.height wet") - bat - needle) * up_lh + floor
        else:
            nominal = (printed.number(f"{stem}.height wet") - bat) * up_lh
        for stage in ("leather-hard", "fired"):
            later = self.across(body, shrinks, stage) / body.across(stage) * body.up(stage) / up_lh
            self.keep(f"{name}.height {stage}", nominal * (1.0 + HEIGHT * taller) * later)
        self.room_and_weight(name, shape, stem, walls, floors, shrinks, taller, wider, trims, nominal, wall)

    def weighed_into_the_wall(self, name, shape, stem, bat) -> float:
        """By how much the wall of a pot that is only thrown is other than drawn, leather-hard, mm.

        The clay that was weighed out is all in it, and it is thrown as high and wide as is printed and opened to the needle:
        the wall is what makes the cone's volume come out.
        """
        if len(shape.part.outside) != 2 or shape.part.inside or shape.opens_down:
            return 0.0
        printed, sheet, body = self.printed, self.sheet, shape.body
        wet = lambda key: sheet.value(f"{name}.{key}", "wet")
        left = wet("thrown.mass") / wet("ball")
        wanted_mm3 = 1000.0 * printed.number(f"{name}.ball.set wet") * left / sheet.value("clay.density", "wet")
        high = printed.number(f"{stem}.height wet") - bat
        wide = printed.number(f"{stem}.reach wet") / sheet.value(f"{stem}.reach", "wet")
        (foot, _), (rim, _) = (shape.outside[place] for place in (0, -1))
        foot, rim = (radius * shape.scale("wet")[0] * wide for radius in (foot, rim))
        floor = printed.number(f"{name}.thrown.floor wet")
        cone = lambda low, top, tall: np.pi * tall / 3.0 * (low**2 + low * top + top**2)

        def clay_mm3(wall: float) -> float:
            beside = wall * np.hypot(high, rim - foot) / high
            at_floor = foot - beside + (rim - foot) * floor / high
            return cone(foot, rim, high) - cone(at_floor, rim - beside, high - floor)

        wall = optimize.brentq(lambda wall: clay_mm3(wall) - wanted_mm3, 0.1, min(foot, rim) - 0.1)
        return (wall - wet("wall.thickness")) * body.up("leather-hard")

    def room_and_weight(self, name, shape, stem, walls, floors, shrinks, taller, wider, trims, high_lh, wall) -> None:
        """The cone of clay and the cone of room in it, piece by piece, by the frustum's own formula."""
        body, sheet, printed = shape.body, self.sheet, self.printed
        scale = lambda stage: self.across(body, shrinks, stage) / body.across("leather-hard")
        lh_across = shape.scale("leather-hard")[0]
        (foot, _), (rim, _) = (shape.outside[place] for place in (0, -1))
        foot, rim = foot * lh_across, rim * lh_across
        moved = printed.number(f"{stem}.reach wet") - sheet.value(f"{stem}.reach", "wet")
        share = 1.0 + moved / sheet.value(f"{stem}.reach", "wet")
        high = high_lh * (1.0 + HEIGHT * taller)
        wide = share * (1.0 + WIDTH * wider)
        lean = np.hypot(high_lh, rim - foot) / high_lh  # a wall is measured square to its slope
        outer_foot, outer_rim = foot * wide, rim * wide
        nominal_wall = sheet.value(f"{name}.wall.thickness", "leather-hard")
        in_foot, in_rim = (outer - nominal_wall * lean for outer in (outer_foot, outer_rim))
        slope = lambda z, low, top: low + (top - low) * z / high
        if trims:  # the inside is as it was thrown, the outside follows the wall
            outside = (in_foot + walls * lean, in_rim + walls * lean)
            inside = (in_foot, in_rim)
        else:
            outside, inside = (outer_foot, outer_rim), (outer_foot - walls * lean, outer_rim - walls * lean)
        cone = lambda low, top, tall: np.pi * tall / 3.0 * (low**2 + low * top + top**2)
        at_floor = slope(floors, *inside)
        void = cone(at_floor, inside[1], high - floors)
        clay_mm3 = cone(*outside, high) - void
        density = (
            sheet.value("clay.density", "wet") * body.mass_share("leather-hard") / body.volume_scale("leather-hard")
        )
        fired = body.mass_share("fired") / body.mass_share("leather-hard")
        weighs = clay_mm3 / 1000.0 * density
        if not trims:  # no clay comes or goes: it weighs what was thrown, however it is spread
            left = sheet.value(f"{name}.thrown.mass", "wet") / sheet.value(f"{name}.ball", "wet")
            thrown = printed.number(f"{name}.ball.set wet") * left
            assert abs(float(np.mean(weighs)) / (thrown * body.mass_share("leather-hard")) - 1.0) < 0.02
            weighs = thrown * (1.0 + WEIGHT * self.z()) * body.mass_share("leather-hard")
        if not shape.part.extras:
            self.keep(f"{name}.mass leather-hard", weighs)
            coat = sheet.value(f"{name}.mass.glazed", "fired") - sheet.value(f"{name}.mass", "fired")
            self.keep(f"{name}.mass.glazed fired", weighs * fired + coat)
        shrunk = (
            scale("fired") ** 2
            * scale("fired")
            / body.across("fired")
            * body.up("fired")
            / body.up("leather-hard")
            * body.across("leather-hard")
        )
        film = sheet.glaze.film.value if sheet.glaze and sheet.glaze.film else 0.0
        nominal = sheet.value(f"{name}.capacity.brim", "fired")
        held = void * shrunk / 1000.0
        self.keep(f"{name}.capacity.brim fired", held - film * sheet.value(f"{name}.area.inside", "fired") / 10.0)
        assert abs(float(np.mean(self.made[f"{name}.capacity.brim fired"][0])) / nominal - 1.0) < 0.06

    def step_mm(self) -> float:
        imperial = str(self.sheet.studio.units).startswith("imperial")
        return MM_IN / 32 if imperial else 0.5

    def fit(self, name: str, fit) -> None:
        """Thrown to locked calipers, turned on its own opening or to its size, dried and fired."""
        printed, record = self.printed, self.sheet.fits[name]
        inside, outside = record.inside.body, record.outside.body
        mouth = self.made.get(f"{fit.inside.part}.{fit.inside.caliper} wet")
        if mouth is None:
            return
        thrown = printed.number(f"fit.{name}.outside.thrown wet")
        self.keep(f"fit.{name}.outside.thrown wet", thrown + self.calipers_mm * self.z())
        a, b = self.shrinks[fit.inside.part], self.shrinks[fit.outside.part]
        opening = mouth[0] * self.across(inside, a, "leather-hard")
        if fit.pairing == "any":
            flange = (
                printed.number(f"{fit.outside.part}.{fit.outside.caliper} leather-hard") + self.trimming_mm * self.z()
            )
        else:
            play = printed.number(f"fit.{name}.clearance leather-hard")
            flange = opening - play + self.trimming_mm * self.z()
            self.keep(f"fit.{name}.clearance leather-hard", opening - flange)
        self.keep(f"{fit.outside.part}.{fit.outside.caliper} leather-hard", flange)
        later = lambda body, z: (
            (self.across(body, z, "fired") - body.across("fired"))
            - (self.across(body, z, "leather-hard") - body.across("leather-hard"))
        )
        film = 2.0 * sum(record.films_mm)
        fired_in = mouth[0] * self.across(inside, a, "fired")
        wet_out = flange / outside.across("leather-hard")
        fired_out = wet_out * (outside.across("fired") + later(outside, b))
        self.keep(f"{fit.outside.part}.{fit.outside.caliper} fired", fired_out)
        self.made[f"fit.{name}.clearance fired"] = (fired_in - fired_out - film, float("nan"))


def judged(printed: Printed, pots: Pots):
    """Each printed check of what was made: name, share that passes, the ±, and one standard deviation of the pieces."""
    for name, (pieces, deviation) in pots.made.items():
        for low, high, out in printed.within.get(name, ()):
            if out is not None:
                middle = printed.number(name)
                yield name, float(np.mean(np.abs(pieces - middle) <= out + 1e-9)), middle, out, deviation
            elif low is not None:
                inside = (pieces >= low) & (pieces <= (high if high is not None else np.inf))
                yield name, float(np.mean(inside)), None, None, deviation


def places_agree(printed: Printed) -> list[str]:
    return [name for found in (printed.numbers, printed.within) for name, values in found.items() if len(values) > 1]


def failures(sheet, seed: int) -> tuple[int, list[str]]:
    """How many checks were read, and those that do not hold."""
    printed = Printed(sheet)
    wrong = [f"{name} differs from place to place" for name in places_agree(printed)]
    pots, count = Pots(sheet, printed, seed), 0
    step = pots.step_mm()
    noise = 3.5 * (0.95 * 0.05 / PIECES) ** 0.5
    for name, passed, middle, out, deviation in judged(printed, pots):
        count += 1
        if middle is None:
            fit = name.split(".")[1]
            shares = [as_set(sheet).find(f"fit.{fit}.{key}", "fired") for key in ("binds", "loose")]
            meant = 1.0 - sum(figure.value for figure in shares if figure) / 100.0
            if passed < min(meant, 0.999) - 0.05:
                wrong.append(f"{name}: {passed:.3f} go together, {meant:.3f} were promised")
            continue
        # A ± is as fine as it is printed, a number as it is read: what that comes to in deviations.
        finest = MM_IN / 64 if step > 0.6 else 0.1
        grain = {"mm": finest, "g": G_OZ / 4 if step > 0.6 else 5.0, "ml": 7.2 if step > 0.6 else 2.5}[
            sheet.quoted(name).unit
        ]
        coarse = out <= step + finest + 1e-6 or 1.5 * grain > 0.16 * deviation
        if passed < LOW - noise:
            wrong.append(f"{name}: {passed:.3f} pass {middle:.2f} ± {out:.2f}, σ {deviation:.3f}")
        if passed > HIGH + noise and not coarse:
            wrong.append(f"{name}: {passed:.3f} pass, ± {out:.2f} is too loose for σ {deviation:.3f}")
        far = middle + 3.0 * max(deviation, out / 1.96)
        if abs(far - middle) <= out:
            wrong.append(f"{name}: a piece 3 σ out passes ± {out:.2f}")
    return count, wrong


# ---- the proof ----


def without_drawings(patch) -> None:
    """Drawings say the same and take most of the time; the text of cards stays as it is set."""
    for module in (wheel, trimming, bench):
        for name in ("workdrawing", "closeups", "formdrawing"):
            if hasattr(module, name):
                patch.setattr(module, name, _NoDrawings())
    patch.setattr(trimming, "draw_foot", lambda *_, **__: "")


class _NoDrawings:
    def __getattr__(self, _):
        return lambda *_, **__: '<svg width="9mm" viewBox="0 0 9 9"></svg>'


@pytest.mark.parametrize("units", UNITS)
def test_every_demo_form_made_to_its_cards_passes_its_checks(units, monkeypatch):
    without_drawings(monkeypatch)
    _, sheets = worked(units)
    read = 0
    for seed, (slug, sheet) in enumerate(sorted(sheets.items())):
        count, wrong = failures(sheet, seed)
        assert not wrong, (slug, wrong)
        read += count
    assert read > 60


@pytest.mark.parametrize("units", UNITS)
def test_a_hundred_random_forms_made_to_their_cards_pass_their_checks(units, monkeypatch):
    without_drawings(monkeypatch)
    _, sheets = worked(units, 50)
    assert len(sheets) > 47
    read, wrong = 0, []
    for seed, (slug, sheet) in enumerate(sheets.items()):
        count, found = failures(sheet, seed)
        read += count
        wrong += [f"{slug}: {one}" for one in found]
    assert read > 300 and not wrong, (len(wrong), wrong[:12])


def test_page_and_cards_say_the_same_of_a_form():
    for units in UNITS:
        project, sheets = worked(units)
        for slug in ("tea-caddy", "pitcher", "supper-plate"):
            sheet = sheets[slug]
            page = words_of(
                re.sub(
                    r"(?s)<svg.*?</svg>",
                    "",
                    sitepages.render_form(sheet, project).body.split('<div class="working"')[0],
                )
            )
            html = wheel.render_wheel(sheet, made=MADE).html
            fired = re.search(r"Fired, in its glaze: (.*?)\.</p>", html)
            for text in re.findall(
                r"\d[\d,.¼½¾⅛⅜⅝⅞⁰¹²³⁴⁵⁶⁷⁸⁹⁄₀₁₂₃₄₅₆₇₈₉]*(?= (?:mm|in|ml|g|oz)\b)", fired[1] if fired else ""
            ):
                assert text in page, (slug, units, text)


def test_numbers_that_do_not_start_from_the_settings_are_noticed(monkeypatch):
    """As it was: the bench sheet from the sheet's own numbers, whatever the cards round them to."""
    without_drawings(monkeypatch)
    monkeypatch.setattr(bench, "as_set", lambda sheet: sheet)
    _, sheets = worked("imperial first")
    wrong = [
        one
        for seed, slug in enumerate(("tea-caddy", "tall-beaker", "pitcher"))
        for one in failures(sheets[slug], seed)[1]
    ]
    assert any("differs from place to place" in one for one in wrong)


def test_the_rulers_step_for_a_tolerance_is_noticed(monkeypatch):
    """As it was: `120.0 ± 0.5, put it aside`, and a capacity of ± 3 %, of a pot whose wall may be out by half a millimetre."""
    without_drawings(monkeypatch)
    plain = bench.tolerance_of

    def a_step(sheet, figure, reader):
        found = plain(sheet, figure, reader)
        return (
            found
            and found.plus_minus
            and replace_out(found, figure, 0.5 if figure.unit == "mm" else 0.01 * figure.value)
        )

    monkeypatch.setattr(bench, "tolerance_of", a_step)
    _, sheets = worked("metric first")
    count, wrong = failures(sheets["tall-beaker"], 3)
    assert count > 4 and sum("pass" in one for one in wrong) >= 3


def replace_out(found, figure, out):
    return type(found)(figure.value - out, figure.value + out, found.source, out)


def test_a_weight_to_trim_at_starts_from_the_ball_that_was_weighed():
    """The fault that was: a lid thrown from the 140 g of its card weighed 122.9 g, and 118 to 119 g was asked."""
    for units in UNITS:
        for sheet in worked(units)[1].values():
            for part in map(str, sheet.form.parts):
                made = as_set(sheet)
                thrown = (
                    made.value(f"{part}.ball.set", "wet")
                    * sheet.value(f"{part}.thrown.mass", "wet")
                    / sheet.value(f"{part}.ball", "wet")
                )
                right = thrown * sheet.shapes[part].body.mass_share("leather-hard")
                least, most = (made.find(f"{part}.trim.{end}", "leather-hard") for end in ("least", "most"))
                assert not least or least.value < right < most.value
