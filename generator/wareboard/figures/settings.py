"""What is set with a tool: each setting rounded once, to the tool that sets it, and every later number from the setting as rounded.

A maker who weighs, gauges and turns to the printed numbers makes a pot a little other than the sheet's own. `as_set` is the
sheet of that pot: what pages and cards show and judge. The sheet itself, its JSON and its workings stay unrounded.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from math import fsum, inf
from typing import NamedTuple

from wareboard.figures.built import fill_level_mm
from wareboard.figures.figure import Figures, Moved
from wareboard.figures.resolve import SIDES
from wareboard.figures.shapes import Shape
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Amount, PartRows, Reader, Row, reader_of
from wareboard.pot import fits
from wareboard.pot.frozen import frozen, kept_property
from wareboard.pot.mends import Tools
from wareboard.pot.outlines import as_line, as_polyline
from wareboard.pot.reckoning import np
from wareboard.pot.response import Response, response_of
from wareboard.pot.solids import Polyline
from wareboard.pot.stages import STAGES
from wareboard.text.kinds import Word
from wareboard.text.languages import _, later, spoken_tag
from wareboard.text.phrases import PartSize
from wareboard.text.problems import Impossible
from wareboard.text.quantities import IMPERIAL, round_length_mm, round_mass_g
from wareboard.text.units import unit_factor

BALL, FLOOR, POINTER, CALIPERS, THROWN = "ball", "floor", "pointer", "calipers", "thrown"
PLAY, TURNED, THICKNESS = "play", "turned", "thickness"  # at trimming
RING, RECESS, NEEDLE = later("foot ring"), later("recess"), later("under the needle")
LABELS = {
    BALL: later("Ball"), FLOOR: later("Floor"), POINTER: later("Pointer"), CALIPERS: later("Calipers"), THROWN: later("Calipers"),
    PLAY: later("Play"), TURNED: later("Turned to"), THICKNESS: later("Thickness"),
}  # fmt: skip
# What a foot is turned to, as keys behind the part's name.
RECESS_KEY = "foot.recess.depth"
FOOT_KEYS = {
    "foot.ring.outside": (RING, "outside"), "foot.ring.inside": (RING, "inside"), RECESS_KEY: (RECESS, later("deep at its centre")),
}  # fmt: skip
AT_TRIMMING = "leather-hard"
# Steps of an aim in inches, roundest first.
THOUSANDTHS = (0.005, 0.002, 0.001, 0.0005)
ENOUGH_POINTS = 32


class SetTo(NamedTuple):
    """One number that a tool is set to: which end of the setting it is, and the value as rounded."""

    end: str  # up or out, of a pointer
    key: str
    value: float
    unit: str
    told: Callable[[], tuple[Amount, ...]]

    @property
    def amounts(self) -> tuple[Amount, ...]:
        """The value as it is said, in each of the studio's systems."""
        return self.told()


class Setting(NamedTuple):
    """What one tool is set to, with the mark in its ring: a number at the wheel, a letter at trimming."""

    mark: str
    part: str
    kind: str
    place: str
    side: str  # inside, outside, or nothing
    ends: tuple[SetTo, ...]

    def marked(self, mark: str) -> Setting:
        """The same with its mark."""
        return Setting(mark, *self[1:])

    @property
    def called(self) -> str:
        """The place in words; a name that a maker gave stays as it is."""
        if self.kind == THICKNESS:
            what, _at, station = self.place.partition(" at ")
            return _("{what} at {station}").format(what=_(what), station=station) if station else _(what)
        return _(self.place) if self.place in (RING, RECESS, NEEDLE) else self.place

    @property
    def on_side(self) -> str:
        """The side in words."""
        return _(self.side) if self.side else ""

    @property
    def label(self) -> str:
        """The tool, or the ball."""
        return _(LABELS[self.kind])

    @property
    def title(self) -> str:
        """What is set, without the part: `Pointer, rim`, `Mouth, inside`."""
        where = ", ".join(word for word in (self.called, self.on_side) if word)
        if self.kind in (CALIPERS, THROWN):
            return where[:1].upper() + where[1:]
        return f"{self.label}, {where}" if where else self.label


@dataclass(slots=True)
class _Made:
    """One part as it comes out of its settings: what each moved by, mm, and at which stage it was set."""

    up: dict[str, float] = field(default_factory=dict)  # wet, by station
    out: dict[str, float] = field(default_factory=dict)  # wet, on the diameter, by station
    calipers: dict[str, float] = field(default_factory=dict)  # wet, by size
    turned: dict[str, float] = field(default_factory=dict)  # leather-hard, by size or `S.diameter`
    thick: dict[str, float] = field(default_factory=dict)  # leather-hard, by key of a wall or floor
    needle: float = 0.0  # wet
    thrown_g: float = 0.0
    ball_g: float = 0.0


@frozen
class Settings:
    """Every setting of a form, part by part, and what the pot is that is made to them: its fits, its sheet."""

    by_part: Mapping[str, tuple[Setting, ...]]
    fits: Mapping[str, fits.Fit]
    plain: Sheet
    maker: _Maker | None = None

    @kept_property
    def sheet(self) -> Sheet:
        """The sheet with every figure that follows from a setting."""
        if not self.maker:
            return self.plain
        made = replace(self.plain, found=self.maker.follow(), fits=self.fits)
        made._remembered[(spoken_tag(), _settings)] = self  # what is made to its settings is its own
        return made

    def __iter__(self) -> Iterator[Setting]:
        return (setting for settings in self.by_part.values() for setting in settings)

    def at(self, key: str) -> Setting | None:
        """The setting that a figure's key belongs to."""
        return next((one for one in self if any(end.key == key for end in one.ends)), None)


def as_set(sheet: Sheet) -> Sheet:
    """The sheet of the pot that is made to the settings as they are rounded."""
    return settings_of(sheet).sheet


def value_as_set(sheet: Sheet, key: str, stage: str) -> float | None:
    """A figure's value in the pot that is made to the settings; None where the sheet has no such figure."""
    return as_set(sheet).known(key, stage)


def fit_as_set(sheet: Sheet, name: str) -> fits.Fit:
    """A fit between two that are made to their settings."""
    return settings_of(sheet).fits[name]


def shares_as_set(sheet: Sheet, name: str) -> fits.FitFigures:
    """How many of such a fit will bind, or be loose."""
    return sheet.remembered(_shares, name)


def _shares(sheet: Sheet, name: str) -> fits.FitFigures:
    return fits.fit_figures(fit_as_set(sheet, name))


def settings_of(sheet: Sheet) -> Settings:
    """The settings of a form; worked out once for a sheet. A sheet that is made to its settings already is left as it is."""
    return sheet.remembered(_settings)


def _settings(sheet: Sheet) -> Settings:
    if not sheet.is_worked_out:
        return Settings({}, sheet.fits, sheet)
    maker = _Maker(sheet)
    return Settings(maker.by_part, maker.fits, sheet, maker)


def _length(reader: Reader, value_mm: float, *, up: bool = False, small: bool = False) -> float:
    return round_length_mm(value_mm, reader.systems[0], reader.steps, "up" if up else "near", small=small)


class _Maker:
    """Rounds each setting once and follows what it moves."""

    def __init__(self, sheet: Sheet) -> None:
        self.plain, self.reader = sheet, reader_of(sheet.studio)
        self.system = self.reader.systems[0]
        self.parts = {str(name): _Made() for name in sheet.form.parts}
        self.moved = Moved(sheet.found)
        self.fits = dict(sheet.fits)
        self.by_part: dict[str, tuple[Setting, ...]] = {}
        openings = [name for name in self.parts if self._flange_fits(name) == []]
        for name in (*openings, *(name for name in self.parts if name not in openings)):
            self._set_part(name)
        count = 0
        for name in self.parts:  # rings are numbered in the order of the parts
            numbered = tuple(one.marked(str(count + place)) for place, one in enumerate(self.by_part[name], 1))
            self.by_part[name], count = numbered, count + len(numbered)
        self.by_part = {name: self.by_part[name] for name in self.parts}

    # ---- rounding ----

    def length(self, value_mm: float, *, up: bool = False, small: bool = False) -> float:
        return _length(self.reader, value_mm, up=up, small=small)

    def _to(self, end: str, key: str, value: float, unit: str = "mm", *, up: bool = False) -> SetTo:
        return SetTo(end, key, value, unit, partial(self.reader.amounts, value, unit, up=up))

    # ---- the wheel ----

    def _flange_fits(self, name: str) -> list[str]:
        """The fits of which a part is what goes in."""
        return [str(fit_name) for fit_name, fit in self.plain.form.fits.items() if fit.outside.is_of(name)]

    def _set_part(self, name: str) -> None:
        sheet, made = self.plain, self.parts[name]
        shape = sheet.shapes[name]
        found: list[Setting] = []
        ball, thrown = sheet.value(f"{name}.ball", "wet"), sheet.value(f"{name}.thrown.mass", "wet")
        made.ball_g = round_mass_g(ball, self.system, self.reader.steps, "up")
        made.thrown_g = made.ball_g * thrown / ball
        found.append(Setting("", name, BALL, "", "", (self._to("", f"{name}.ball.set", made.ball_g, "g", up=True),)))
        floor = sheet.known(f"{name}.thrown.floor", "wet")
        if floor is not None:
            at = self.length(floor, up=is_trimmed(shape))  # what is too much is turned off, where anything is
            made.needle = at - floor
            found.append(Setting("", name, FLOOR, NEEDLE, "", (self._to("", f"{name}.thrown.floor", at),)))
        calipers = list(self._calipers(name, shape))
        found += self._pointers(name, shape)
        found += calipers
        self._trim_part(name, shape)
        self.by_part[name] = tuple(found)

    def _calipers(self, name: str, shape: Shape) -> Iterator[Setting]:
        """What calipers are set to at the wheel: openings to the nearest step, what is turned down later never smaller."""
        sheet, made = self.plain, self.parts[name]
        flanges = {str(sheet.form.fits[fit].outside.caliper): fit for fit in self._flange_fits(name)}
        for caliper, spec in ((str(key), spec) for key, spec in shape.part.calipers.items()):
            finished = sheet.known(f"{name}.{caliper}", "wet")
            if finished is None:
                continue
            if caliper in flanges:
                fit_name = flanges[caliper]
                moved = self._flange_moved(fit_name)
                made.calipers[caliper] = moved
                exact = sheet.value(f"fit.{fit_name}.outside.thrown", "wet") + moved
                at = self.length(exact, up=True)
                yield Setting(
                    "", name, THROWN, caliper, "outside", (self._to("", f"fit.{fit_name}.outside.thrown", at),)
                )
                continue
            inside = taken_inside(sheet, name, caliper, spec.side)
            thrown = None if inside else sheet.known(f"{name}.{caliper}.thrown", "wet")
            exact = finished if thrown is None else thrown
            at = self.length(exact)
            if not inside and at < finished:
                at = self.length(exact, up=True)
            made.calipers[caliper] = at - exact
            side = "inside" if inside else "outside"
            key = f"{name}.{caliper}" if thrown is None else f"{name}.{caliper}.thrown"
            yield Setting("", name, CALIPERS, caliper, side, (self._to("", key, at),))

    def _flange_moved(self, fit_name: str) -> float:
        """How much larger the flange must be, wet, for the opening as it is set."""
        spec, record = self.plain.form.fits[fit_name], self.plain.fits[fit_name]
        if record.follows != "outside" or not self._set_by_fit(spec.outside):
            return 0.0
        opening = self._opening_moved(fit_name)
        stage = record.stage
        return opening * record.inside.body.across(stage) / record.outside.body.across(stage)

    def _opening_moved(self, fit_name: str) -> float:
        spec, record = self.plain.form.fits[fit_name], self.plain.fits[fit_name]
        if spec.inside.own:
            return self.parts[spec.inside.part].calipers.get(str(spec.inside.caliper), 0.0)
        return self.length(record.inside.wet_mm) - record.inside.wet_mm

    def _set_by_fit(self, size: PartSize) -> bool:
        return size.own and self.plain.form.parts[size.part].calipers[size.caliper].from_fit

    def _pointers(self, name: str, shape: Shape) -> Iterator[Setting]:
        """The pointer at each station; where calipers set the same place, it stands just clear of them."""
        sheet, made = self.plain, self.parts[name]
        stations = shape.part.gauge_stations
        for station in stations:
            stem = f"{name}.pointer.{station}" if len(stations) > 1 else f"{name}.pointer"
            high, out = (sheet.known(f"{stem}.{end}", "wet") for end in ("height", "reach"))
            if high is None or out is None:
                continue
            up_to = self.length(high)
            caliper = caliper_at(shape, station)
            if caliper in made.calipers:
                wide = self._caliper_thrown_mm(name, caliper)
                out_to = self.length((wide if wide is not None else 2.0 * out) / 2.0, up=True)
            else:
                out_to = self.length(out)
                finished = sheet.value(f"{name}.{station}.diameter", "wet") / 2.0
                if (
                    shape.left_on_mm[shape.station_places[station]] > 0.0 and out_to <= finished
                ):  # nothing would be left to turn off
                    out_to = self.length(out, up=True)
            made.up[station] = up_to - high
            made.out[station] = 2.0 * (out_to - out)
            ends = (self._to("up", f"{stem}.height", up_to), self._to("out", f"{stem}.reach", out_to))
            yield Setting("", name, POINTER, station, "outside", ends)

    def _caliper_thrown_mm(self, name: str, caliper: str) -> float | None:
        """The diameter that calipers hold at the wheel."""
        sheet, moved = self.plain, self.parts[name].calipers[caliper]
        for fit_name in self._flange_fits(name):
            if str(sheet.form.fits[fit_name].outside.caliper) == caliper:
                return self.length(sheet.value(f"fit.{fit_name}.outside.thrown", "wet") + moved, up=True)
        thrown, finished = (sheet.known(f"{name}.{caliper}{end}", "wet") for end in (".thrown", ""))
        exact = finished if thrown is None else thrown
        return None if exact is None else exact + moved

    # ---- trimming ----

    def _trim_part(self, name: str, shape: Shape) -> None:
        """What is turned to, each to the nearest step of the ruler."""
        sheet, made, part = self.plain, self.parts[name], shape.part
        flanges = {str(sheet.form.fits[fit].outside.caliper): fit for fit in self._flange_fits(name)}
        for fit_name in flanges.values():
            self._trim_flange(name, fit_name)
        for caliper, spec in ((str(key), spec) for key, spec in part.calipers.items()):
            if caliper not in flanges and not taken_inside(sheet, name, caliper, spec.side):
                self._turn(made.turned, name, caliper)
        if not is_trimmed(shape):
            return
        closed = closed_end(shape)
        if not isinstance(part.outside[closed].diameter, Word):
            self._turn(made.turned, name, f"{closed}.diameter")
        for key in FOOT_KEYS:
            self._turn(made.turned, name, key)
        for key in thickness_keys(shape):
            self._turn(made.thick, name, key)

    def _turn(self, turned: dict[str, float], name: str, key: str) -> None:
        """Note by how much a size of a part moves, as it is turned to a step of the ruler."""
        size_mm = self.plain.known(f"{name}.{key}", AT_TRIMMING)
        if size_mm is not None:
            turned[key] = self.length(size_mm) - size_mm

    def _trim_flange(self, name: str, fit_name: str) -> None:
        """A flange: by its own jar, the play that is left is set; by calipers, its size, where the fit still holds."""
        record, made = self.plain.fits[fit_name], self.parts[name]
        caliper = str(self.plain.form.fits[fit_name].outside.caliper)
        set_to = _turned(record, self._opening_moved(fit_name), made.calipers.get(caliper, 0.0), self.length)
        turned = set_to.outside.wet_mm * record.outside.body.across(AT_TRIMMING)
        made.turned[caliper] = turned - self.plain.value(f"fit.{fit_name}.outside", AT_TRIMMING)
        self.fits[fit_name] = set_to

    # ---- what follows ----

    def follow(self) -> Figures:
        """The figures of the pot that is made to its settings: every one that follows from a setting is moved."""
        for name, made in self.parts.items():
            self._write_part(name, made)
        for fit_name, record in self.fits.items():
            self._write_fit(fit_name, record)
        for name in self.parts:
            self._write_widths(name)
        self._write_sums()
        return self.moved.figures()

    def _write_part(self, name: str, made: _Made) -> None:
        shape = self.plain.shapes[name]
        body = shape.body
        self.moved.put(f"{name}.ball.set", "wet", made.ball_g)
        self.moved.put(f"{name}.thrown.mass", "wet", made.thrown_g)
        self.moved.put(f"{name}.thrown.volume", "wet", made.thrown_g / body.wet_density_g_cm3)
        share = made.thrown_g / self.plain.value(f"{name}.thrown.mass", "wet")
        for end in ("least", "most"):  # a piece is weighed against its own weight as thrown
            self.moved.scale(f"{name}.trim.{end}", share)
        for setting in self.by_part[name]:
            for set_to in setting.ends:
                if setting.kind in (POINTER, THROWN, FLOOR) or set_to.key.endswith(".thrown"):
                    self.moved.put(set_to.key, "wet", set_to.value)

        across, up = body.kept_across, body.kept_up
        for station, moved in made.up.items() if not shape.opens_down else ():  # those of a lid are above its tip
            self.moved.shift_size(f"{name}.{station}.height", moved, up)
        for caliper, moved in made.calipers.items():
            if caliper not in made.turned:
                self.moved.shift_size(f"{name}.{caliper}", moved, across)
            else:
                self.moved.shift(f"{name}.{caliper}", [moved])
        for station, moved in made.out.items():
            if caliper_at(shape, station) is None and f"{station}.diameter" not in made.turned:
                self.moved.shift_size(f"{name}.{station}.diameter", moved, across)
        for key, moved in made.turned.items():
            self.moved.shift_size(f"{name}.{key}", moved, up if key == RECESS_KEY else across, AT_TRIMMING)
        # All of a recess is cut as much deeper as its centre.
        self.moved.shift_size(f"{name}.{RECESS_KEY}.ring", made.turned.get(RECESS_KEY, 0.0), up, AT_TRIMMING)
        for key, moved in made.thick.items():
            way = up if key.startswith("floor") else across
            self.moved.shift_size(f"{name}.{key}", moved, way, AT_TRIMMING)
            if key == "floor.thickness":  # at the centre, what is left over a recess
                self.moved.shift_size(f"{name}.foot.floor.rest", moved, way, AT_TRIMMING)
        for setting in self.by_part[name]:
            if setting.kind == CALIPERS:
                self.moved.put(setting.ends[0].key, "wet", setting.ends[0].value)
        if not is_trimmed(shape):  # what the needle leaves is the floor
            self.moved.shift_size(f"{name}.floor.thickness", made.needle, up)
        self._write_extent(name, shape, made)
        self._write_body(name, shape, made)

    def _write_extent(self, name: str, shape: Shape, made: _Made) -> None:
        """The whole height and width, where a setting makes them."""
        up = shape.body.kept_up
        top = [
            station for station in made.up if shape.outside[shape.station_places[station]][1] > shape.highest_mm - 1e-6
        ]
        self.moved.shift(f"{name}.thrown.depth", [(made.up[top[0]] if top else 0.0) - made.needle])
        ends = [closed_end(shape)] if shape.opens_down else []  # what stands over a lid's tip, whose own height is 0
        for key in ("height", *(f"{station}.height" for station in ends)):
            self.moved.shift_size(f"{name}.{key}", made.up[top[0]] if top else 0.0, up)
        floor = made.thick.get("floor.thickness")
        if floor is not None:
            # The foot goes where the floor is right, and stands as far below it as its recess is deep.
            floor += made.turned.get(RECESS_KEY, 0.0)
            wet, leather_hard, *_later = up
            lower = [floor * left / leather_hard - made.needle * left / wet for left in up[1:]]
            for key in ("height", *(f"{station}.height" for station in (ends or top))):
                self.moved.shift(f"{name}.{key}", [0.0, *lower])

    def _write_widths(self, name: str) -> None:
        """What is one width under several names is one number; a foot's ring and the greatest width follow."""
        shape, moved = self.plain.shapes[name], self.moved

        def known(key: str) -> list[float]:
            return [value or 0.0 for value in moved.values(key)]

        for station in map(str, shape.part.outside):
            caliper = caliper_at(shape, station)
            if caliper is not None:
                moved.put_all(f"{name}.{station}.diameter", known(f"{name}.{caliper}"))
        foot, inner = known(f"{name}.{closed_end(shape)}.diameter"), known(f"{name}.foot.ring.inside")
        moved.put_all(f"{name}.foot.ring.outside", foot)
        moved.put_all(f"{name}.foot.ring.width", [(across - hole) / 2.0 for across, hole in zip(foot, inner)])

        widest, plain = f"{name}.{widest_station(shape)}.diameter", self.plain
        diameter, reach = (plain.value(f"{name}.{key}", "wet") for key in ("diameter", "across"))
        before = known(f"{name}.diameter")
        now = known(widest) if abs(diameter - plain.value(widest, "wet")) < 1e-6 else before
        stations = [known(f"{name}.{station}.diameter") for station in shape.part.outside]
        by = [max(*at_stage) - was for was, *at_stage in zip(before, now, *stations)]
        moved.shift(f"{name}.diameter", by)
        alone = reach <= diameter + 1e-6  # a handle's reach counts from one side
        moved.shift(f"{name}.across", by if alone else [one / 2.0 for one in by])

    def _write_body(self, name: str, shape: Shape, made: _Made) -> None:
        """Weight and room, first order in what the settings moved."""
        sheet, body = self.plain, shape.body
        follows = response_for(sheet, name)
        wet_scale, up_scale = shape.scale("wet")
        wide = [2.0 * r * wet_scale for r, _other in (shape.outside[shape.station_places[key]] for key in made.out)]
        share_out = fsum(made.out.values()) / fsum(wide) if fsum(wide) else 0.0
        height = (shape.highest_mm - shape.lowest_mm) * up_scale
        share_up = max(made.up.values(), key=abs, default=0.0) / height if height else 0.0
        plain_g = sheet.value(f"{name}.thrown.mass", "wet")
        inward = 0.0  # what the wall gains towards the room
        grown = follows.clay_across_mm3 * share_out + follows.clay_up_mm3 * share_up
        if is_trimmed(shape):
            lh_across, lh_up = shape.scale(AT_TRIMMING)
            wall, floor = mean_of(made.thick, "wall") / lh_across, made.thick.get("floor.thickness", 0.0) / lh_up
            lower = made.needle * up_scale**-1 / (shape.highest_mm - shape.lowest_mm)
            gained = (
                grown - follows.clay_up_mm3 * lower
                + follows.clay_wall_mm2 * wall + follows.clay_floor_mm2 * floor
            )  # fmt: skip
            share = gained / follows.clay_mm3
        else:
            share = made.thrown_g / plain_g - 1.0
            if follows.clay_wall_mm2:  # nothing is turned off: what is weighed out and not in the floor is in the wall
                in_wall = share * follows.clay_mm3 - grown - follows.clay_floor_mm2 * made.needle / up_scale
                inward = in_wall / follows.clay_wall_mm2
                for key in (*thickness_keys(shape)[:-1], *(f"thrown.wall.{station}" for station in made.up)):
                    self.moved.shift_size(f"{name}.{key}", inward * wet_scale, body.kept_across)
        bare = sheet.value(f"{name}.volume", "wet") * body.wet_density_g_cm3  # what was added is weighed apart
        moved = [bare * left * share for left in body.mass_shares]
        self.moved.shift(f"{name}.mass", moved)
        self.moved.shift(f"{name}.mass.glazed", moved[-1:])
        volumes = sheet.found.lines[f"{name}.volume"].values
        self.moved.shift(f"{name}.volume", [(volume or 0.0) * share for volume in volumes])
        if follows.room_mm3:
            opened = made.needle / up_scale  # what is left under the needle is so much less depth
            room = (
                follows.room_across_mm3 * share_out + follows.room_up_mm3 * share_up
                + follows.room_floor_mm2 * opened + follows.room_wall_mm2 * inward
            ) / follows.room_mm3  # fmt: skip
            for key in ("capacity.brim", "capacity.fill"):
                self.moved.shift(f"{name}.{key}", [(sheet.known(f"{name}.{key}", "fired") or 0.0) * room])

    def _write_fit(self, fit_name: str, record: fits.Fit) -> None:
        key, spec, moved = f"fit.{fit_name}", self.plain.form.fits[fit_name], self.moved
        clear = [fits.clearance_mm(record, stage) for stage in STAGES]
        moved.put_all(f"{key}.clearance", clear)
        moved.put_all(f"{key}.gap", [clearance / 2.0 for clearance in clear])
        for way, size, side in zip(SIDES, (spec.inside, spec.outside), (record.inside, record.outside)):
            wide = [side.wet_mm * kept for kept in side.body.kept_across]
            moved.put_all(f"{key}.{way}", wide)
            if size.own:
                moved.put_all(f"{size.part}.{size.caliper}", wide)
        moved.put(f"{key}.calipers", "wet", record.inside.wet_mm)
        if self.plain.known(f"{key}.spread", "fired") is not None:
            shares = shares_as_set(self.plain, fit_name)
            for end, value in (
                ("worst.least", shares.worst_least_mm), ("worst.most", shares.worst_most_mm), ("binds", shares.binds_share * 100.0),
                ("loose", shares.loose_share * 100.0), ("any_turn", shares.any_turn_share * 100.0),
            ):  # fmt: skip
                moved.put(f"{key}.{end}", "fired", value)

    def _write_sums(self) -> None:
        balls_g = fsum(made.ball_g for made in self.parts.values())
        self.moved.put("ball", "wet", balls_g)
        lumps = (
            self.plain.known(f"{name}.{extra}.clay", "wet") or 0.0
            for name in self.parts
            for extra in self.plain.form.parts[name].extras
        )
        weighed_g = fsum(round_mass_g(lump, self.system, self.reader.steps, "up") for lump in lumps)
        self.moved.put("clay", "wet", balls_g + weighed_g)
        masses = zip(*(self.moved.values(f"{name}.mass") for name in self.parts))
        self.moved.put_all("mass", [fsum(mass or 0.0 for mass in at_stage) for at_stage in masses])


# ---- a fit ----


def _turned(record: fits.Fit, opening_mm: float, flange_mm: float, length: Callable[..., float]) -> fits.Fit:
    """A fit as it is turned, its opening and its flange set so much wider at the wheel: by its own jar to a play, else to a size."""
    inside = replace(record.inside, wet_mm=record.inside.wet_mm + opening_mm)
    across = record.outside.body.across(AT_TRIMMING)
    wanted = (record.outside.wet_mm + flange_mm) * across
    mouth = inside.diameter_mm(AT_TRIMMING)
    if record.pairing == "own":
        turned = mouth - length(mouth - wanted, small=True)
    else:
        steps = {length(wanted), length(wanted, up=True)}
        steps.add(length(2.0 * wanted - length(wanted)))
        turned = min(steps, key=lambda at: (not _holds(record, inside, at / across), abs(at - wanted)))
    return replace(record, inside=inside, outside=replace(record.outside, wet_mm=turned / across))


def _holds(record: fits.Fit, inside: fits.Side, outside_wet_mm: float) -> bool:
    """True where the fit comes out between its limits."""
    tried = replace(record, inside=inside, outside=replace(record.outside, wet_mm=outside_wet_mm))
    least = -inf if record.least_mm == -inf else fits.at_fired_mm(tried, record.least_mm)
    most = inf if record.most_mm == inf else fits.at_fired_mm(tried, record.most_mm)
    return least <= fits.clearance_mm(tried, "fired") <= most


def fit_tools(sheet: Sheet) -> Tools:
    """How a form's fits are set, for what would mend one: as a fit comes out of its settings, and how far off that may be.

    Of half a step at the wheel, a flange that follows its opening takes up all; what stays is half a step at trimming.
    """
    reader = reader_of(sheet.studio)
    length = partial(_length, reader)

    def made(fit: fits.Fit) -> fits.Fit:
        opening = length(fit.inside.wet_mm) - fit.inside.wet_mm
        shares = fit.inside.body.across(fit.stage) / fit.outside.body.across(fit.stage)
        return _turned(fit, opening, opening * shares if fit.follows == "outside" else 0.0, length)

    def within_mm(fit: fits.Fit) -> float:
        ruler, small = (reader.step_mm(small=small) / 2.0 for small in (False, True))
        at_trimming = (small if fit.pairing == "own" else ruler) / fit.outside.body.across(AT_TRIMMING)
        return at_trimming + (ruler if fit.follows == "inside" else 0.0)

    if reader.systems[0] == IMPERIAL:
        return Tools(made, within_mm, unit_factor("in"), THOUSANDTHS)
    return Tools(made, within_mm)


# ---- what a part is set by ----


def is_trimmed(shape: Shape) -> bool:
    """True where something is left on when the part is thrown."""
    return shape.most_left_on_mm > 0.0 or shape.drop_mm > 0.0


def closed_end(shape: Shape) -> str:
    """The station at a part's closed end: a vessel's foot, a lid's top."""
    stations = [str(station) for station in shape.part.outside]
    return stations[-1] if shape.opens_down else stations[0]


def widest_station(shape: Shape) -> str:
    """The widest station; of those as wide as each other, the one at which the pointer is set."""
    gauged = shape.part.gauge_stations

    def radius(name: str) -> float:
        return round(shape.outside[shape.station_places[name]][0], 6)

    return str(max(shape.part.outside, key=lambda name: (radius(name), str(name) in gauged)))


def thickness_keys(shape: Shape) -> list[str]:
    """A part's walls and floor, as keys behind its name."""
    walls = shape.part.wall
    named = [f"wall.{station}.thickness" for station in walls] if isinstance(walls, dict) else ["wall.thickness"]
    return [*named, "floor.thickness"]


def mean_of(moved: Mapping[str, float], start: str) -> float:
    """The mean of what walls, or floors, moved by."""
    found = [value for key, value in moved.items() if key.startswith(start)]
    return fsum(found) / len(found) if found else 0.0


def caliper_at(shape: Shape, station: str) -> str | None:
    """The outside caliper size that is the width at a station."""
    if station not in shape.part.outside:
        return None
    typed = shape.part.outside[station].diameter
    if isinstance(typed, Word):
        return str(typed)
    return next(
        (
            str(name)
            for name, spec in shape.part.calipers.items()
            if spec.side == "outside" and str(spec.level) == station
        ),
        None,
    )


def taken_inside(sheet: Sheet, part: str, caliper: str, side: str) -> bool:
    """True for a caliper size that is taken inside, be it by its fit."""
    if side in ("inside", "outside"):
        return side == "inside"
    return any(fit.inside.is_of(part) and fit.inside.caliper == caliper for fit in sheet.form.fits.values())


def response_for(sheet: Sheet, name: str) -> Response:
    """How a part's clay and room follow its sizes, at the stage at which its form's sizes hold."""
    return sheet.remembered(_response, name)


def _thinned(line: Polyline) -> Polyline:
    """A line of a few dozen points: enough for what follows from a small change."""
    stride = max(1, len(line) // ENOUGH_POINTS)
    if stride == 1:
        return line
    points = as_line(line)
    return as_polyline(np.concatenate([points[:-1:stride], points[-1:]]))


def _response(sheet: Sheet, name: str) -> Response:
    shape, fill = sheet.shapes[name], None
    if shape.inside and not shape.opens_down:
        try:
            fill = fill_level_mm(shape, sheet.studio)
        except Impossible:
            fill = None
    return response_of(
        shape.volume_mm3, _thinned(shape.outside), _thinned(shape.inside), fill, turned=is_trimmed(shape)
    )


# ---- rows and sentences for pages ----


def wheel_rows(sheet: Sheet, reader: Reader) -> tuple[PartRows, ...]:
    """What is set at the wheel, part by part, a row a number: the ball, the floor, pointers up and out, calipers."""
    settings = settings_of(sheet)
    return tuple(
        PartRows(
            str(name),
            part.opens_down,
            (*_rows(settings.by_part.get(str(name), ()), reader), *_lumps(sheet, str(name), reader)),
        )
        for name, part in sheet.form.parts.items()
    )


def _lumps(sheet: Sheet, name: str, reader: Reader) -> Iterator[Row]:
    """What is added to a part: the lump to weigh out for each handle, spout or knob."""
    for extra in sheet.form.parts[name].extras:
        figure = sheet.find(f"{name}.{extra}.clay", "wet")
        if figure is not None:
            label = _("{extra}, lump").format(extra=f"{str(extra)[:1].upper()}{str(extra)[1:]}")
            yield Row(label, name, reader.amounts(figure.value, "g", up=True), figure.key, figure=figure.name)


def _rows(settings: tuple[Setting, ...], reader: Reader) -> Iterator[Row]:
    for one in settings:
        for end in one.ends:
            label = (
                f"{one.label} {_(end.end)}" if end.end else one.title if one.kind in (CALIPERS, THROWN) else one.label
            )
            of = (
                one.part
                if one.kind == BALL
                else _("{part}, as thrown").format(part=one.part)
                if one.kind == THROWN
                else f"{one.part}, {one.called}"
            )
            amounts = reader.amounts(end.value, end.unit, up=one.kind == BALL)
            yield Row(label, of, amounts, end.key, figure=f"{end.key} wet")
