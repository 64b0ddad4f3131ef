"""What a clay or a glaze says of itself that hardly can be: as in `limits`, one function a rule, its docstring its entry in the manual."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

from wareboard.figures.saying import is_beyond, meant, percent, say, say_length
from wareboard.text.problems import Problem, warning
from wareboard.text.projects import Project

WATER_SHARE = (0.15, 0.35)
MOST_LOSS_ON_IGNITION_SHARE = 0.2
MOST_ABSORPTION_SHARE = 0.25
GRAINS_G_CM3 = (2.3, 3.3)
GLAZE_GRAINS_G_CM3 = (2.0, 4.5)  # with much lead, barium or zirconium they are heavy
HEIGHT_FACTOR = (0.8, 1.3)
FIRED_SHARE = (0.02, 0.2)
GROWS_SHARE = 0.005  # quartz and reading: a bar may come out a little longer than it went in
HIGHEST_CONE = 15
MOST_COAT_KG_M2 = 3.0
MOST_FILM_MM = 1.5
SLOP_G_ML = (1.15, 1.9)
MOST_GLAZE_LOSS_SHARE = 0.4


def odd_water(project: Project) -> Iterator[Problem]:
    """Clay as it is thrown holds about a fifth to a quarter of its weight in water."""
    for clay in project.clays.values():
        if is_beyond(clay.water, *WATER_SHARE):
            yield warning(
                "odd-water",
                clay.water.at,
                f"water: {clay.water.typed} of the wet weight; clay that can be thrown has {percent(WATER_SHARE[0])} to {percent(WATER_SHARE[1])}",
                "it is the water lost, over the wet weight: weigh a piece wet and bone dry",
            )


def odd_loss_on_ignition(project: Project) -> Iterator[Problem]:
    """The kiln takes some hundredths of a clay's dry weight, chalky clays up to a fifth; of a glaze's up to a third."""
    for glaze in project.glazes.values():
        lost = glaze.loss_on_ignition
        if lost and lost.value > MOST_GLAZE_LOSS_SHARE:
            yield warning(
                "odd-loss-on-ignition",
                lost.at,
                f"loss_on_ignition: {lost.typed} of the dry coat goes up the flue; usual is under {percent(MOST_GLAZE_LOSS_SHARE)}",
                "look at the percentage",
            )
    for clay in project.clays.values():
        loss = clay.loss_on_ignition
        if loss and loss.value > MOST_LOSS_ON_IGNITION_SHARE:
            yield warning(
                "odd-loss-on-ignition",
                loss.at,
                f"loss_on_ignition: {loss.typed} of the dry weight; clays lose up to {percent(MOST_LOSS_ON_IGNITION_SHARE)}",
                "it is the weight from bone dry to fired, water not counted",
            )


def odd_absorption(project: Project) -> Iterator[Problem]:
    """Fired clay that takes up more water than soft brick does."""
    for clay in project.clays.values():
        if clay.absorption and clay.absorption.value > MOST_ABSORPTION_SHARE:
            yield warning(
                "odd-absorption",
                clay.absorption.at,
                f"absorption: {clay.absorption.typed} of the fired weight; even soft bisque takes up less than {percent(MOST_ABSORPTION_SHARE)}",
                "it is (soaked − dry) / dry of a fired piece",
            )


def odd_grains(project: Project) -> Iterator[Problem]:
    """Grains of clay are as dense as stone, whatever the clay's own density; those of a glaze at most as dense as heavy spar."""
    grains = [("clay", clay.grain_density, GRAINS_G_CM3) for clay in project.clays.values()]
    grains += [("glaze", glaze.grain_density, GLAZE_GRAINS_G_CM3) for glaze in project.glazes.values()]
    for what, size, (low, high) in grains:
        if size and is_beyond(size, low, high):
            yield warning(
                "odd-grains",
                size.at,
                f"grain_density: {size.typed}; grains of {what} have {low:g} to {high:g} g/cm3",
                "leave it out where it was not measured",
            )


def odd_height_factor(project: Project) -> Iterator[Problem]:
    """Height shrinks a few hundredths more than width; far more is a mistake of measuring."""
    for clay in project.clays.values():
        size = clay.height_factor
        if size and is_beyond(size, *HEIGHT_FACTOR):
            yield warning(
                "odd-height-factor",
                size.at,
                f"height_factor: height is said to shrink {size.typed} times as much as width; usual is {HEIGHT_FACTOR[0]:g} to {HEIGHT_FACTOR[1]:g}",
                "it is the shrinkage in height over that in width: 1.03, not 3 %",
            )


def odd_shrinkage(project: Project) -> Iterator[Problem]:
    """A clay that shrinks far more or far less in all than clays for throwing do."""
    for clay in project.clays.values():
        fired = clay.shrinkage and clay.shrinkage.fired
        if fired and fired.of != "dry" and not any(bar.fired for bar in clay.bars) and is_beyond(fired, *FIRED_SHARE):
            yield warning(
                "odd-shrinkage",
                fired.at,
                f"shrinkage.fired: {fired.typed} of the wet length; clays for throwing shrink {percent(FIRED_SHARE[0])} to {percent(FIRED_SHARE[1])} in all",
                "measure a bar",
            )


def bar_grows(project: Project) -> Iterator[Problem]:
    """A bar that is longer at a stage than at the one before. Two readings may have been exchanged."""
    for clay in project.clays.values():
        for bar in clay.bars:
            sizes = [
                (stage, size)
                for stage in ("wet", "leather_hard", "dry", "bisque", "fired")
                if (size := getattr(bar, stage))
            ]
            for (earlier, before), (later, after) in itertools.pairwise(sizes):
                if after.value > before.value * (1.0 + GROWS_SHARE):
                    yield warning(
                        "bar-grows",
                        after.at,
                        f"bars: {after.typed} {later.replace('_', '-')}, after {before.typed} {earlier.replace('_', '-')}; a bar does not grow",
                        "measure it again, or take the bar out",
                    )


def odd_cone(project: Project) -> Iterator[Problem]:
    """A pyrometric cone beyond those for pots: 022, the coolest, to 14."""
    typed = [*(clay.cone for clay in project.clays.values()), *(glaze.cone for glaze in project.glazes.values())]
    cones = [cone for cone in typed if cone]
    for cone in cones:
        digits = _cone_digits(cone)
        cool = digits.startswith("0")
        if not is_cone(cone):
            yield warning(
                "odd-cone",
                cone.at,
                f"cone: {cone}; cones for pots run from 022 to 14",
                f"did you mean `0{digits}`?"
                if not cool and 15 < int(digits) <= 22
                else "a cone is meant, not a temperature",
            )


def is_cone(text: str) -> bool:
    """True for a cone as potters have them, and for a text without a number, of which nothing can be told."""
    digits = _cone_digits(text)
    return not digits or int(digits) <= (22 if digits.startswith("0") else HIGHEST_CONE)


def _cone_digits(text: str) -> str:
    found = re.match(r"(?:cone\s*)?(\d{1,9})", str(text), re.IGNORECASE)
    return found[1] if found else ""


def thick_coat(project: Project) -> Iterator[Problem]:
    """More glaze than stays on a pot."""
    for glaze in project.glazes.values():
        if glaze.coat and glaze.coat.value > MOST_COAT_KG_M2:
            yield warning(
                "thick-coat",
                glaze.coat.at,
                f"coat: {glaze.coat.typed} of dry glaze; usual is about 1 kg/m2, and over {MOST_COAT_KG_M2:g} runs or peels",
                "look at its unit",
            )


def thick_film(project: Project) -> Iterator[Problem]:
    """A fired glaze thicker than glazes are. It takes from every fit whose faces are glazed."""
    for glaze in project.glazes.values():
        if glaze.film and glaze.coat is None and glaze.film.value > MOST_FILM_MM:  # else `film-and-coat` tells
            most = say(project.studio, MOST_FILM_MM, "mm")
            yield warning(
                "thick-film",
                glaze.film.at,
                f"film: {say_length(project.studio, glaze.film)} of fired glaze; over {most} it runs",
                meant(glaze.film, 0.05, MOST_FILM_MM),
            )


def odd_slop(project: Project) -> Iterator[Problem]:
    """A glaze slop that is little more than water, or a paste. Water is 1 g/ml."""
    for glaze in project.glazes.values():
        size = glaze.pint_weight
        if size and is_beyond(size, *SLOP_G_ML):
            yield warning(
                "odd-slop",
                size.at,
                f"pint_weight: {size.typed}; slop for dipping has {SLOP_G_ML[0]:g} to {SLOP_G_ML[1]:g} g/ml",
                "weigh a known volume of the slop as it is used",
            )


RULES = (
    odd_water, odd_loss_on_ignition, odd_absorption, odd_grains, odd_height_factor, odd_shrinkage, bar_grows, odd_cone,
    thick_coat, thick_film, odd_slop,
)  # fmt: skip
