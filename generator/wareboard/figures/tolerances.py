"""How far a figure may be out before somebody has to do something: from the studio's spreads and the steps of its tools."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from wareboard.figures.figure import Figure
from wareboard.figures.sheet import Sheet
from wareboard.pot.fits import Spreads
from wareboard.text.catalogue import COMMON, STACK
from wareboard.text.quantities import Steps, round_to_step

SIGMAS = 2.0  # nineteen of twenty pieces that are made as usual lie within
MASS_SHARE = 0.03  # of a weight that is nobody's setting, common practice
WITNESS_POINTS = 1.5  # as `trimweights` has it, common practice
CAPACITY_SHARE = 0.03  # where bars give no better, common practice
SMALLEST_MM = 0.1


@dataclass(frozen=True, slots=True)
class Tolerance:
    """From where to where a figure is right, in its own unit, and whose rule that is.

    A limit that nobody gave is None. `plus_minus` where both lie as far from the figure.
    """

    low: float | None
    high: float | None
    source: str
    plus_minus: float | None = None


def tolerance_of(sheet: Sheet, figure: Figure, steps: Steps) -> Tolerance | None:
    """How far a figure may be out.

    A size: two standard deviations of what sets it, in whole steps of the ruler, one at least. A clearance:
    its limits when fired, two standard deviations of trimming before. A ball: one step of the scale.

    Args:
        sheet: the form's figures.
        figure: one of them.
        steps: what the tools can be set to.
    Returns: the tolerance; None for a figure that nobody measures.
    Source: two standard deviations about a mean hold 95 % of a normal spread (NIST/SEMATECH e-Handbook, memory).
    """
    found = figure.named
    family = found.declared.tolerance
    if not family or not figure.stage:
        return None
    if family == "ball":
        return _about(figure, steps.scale_g, "the scale's step")
    if family == "weight":
        return _about(figure, max(steps.scale_g, MASS_SHARE * figure.value), COMMON)
    if family == "dryness":
        return _about(figure, WITNESS_POINTS, COMMON)
    if family == "capacity":
        return (
            _about(figure, SIGMAS * figure.plus_minus, STACK)
            if figure.plus_minus
            else _about(figure, CAPACITY_SHARE * figure.value, COMMON)
        )
    if family == "pointer":
        return _about(figure, steps.ruler_mm, "the ruler's step")
    spreads = sheet.spreads.values if sheet.spreads else Spreads()
    if family == "clearance":
        return _of_clearance(sheet, figure, spreads)
    sigma_mm = size_sigma_mm(
        spreads, figure.stage, figure.value, _scale(sheet, figure.stage), _scale(sheet, "leather-hard")
    )
    found_mm = max(steps.ruler_mm, round_to_step(SIGMAS * sigma_mm, steps.ruler_mm))
    return _about(figure, found_mm, "two standard deviations" if found_mm > steps.ruler_mm else "the ruler's step")


def size_sigma_mm(spreads: Spreads, stage: str, size_mm: float, scale: float, leather_hard_scale: float) -> float:
    """One standard deviation of a size at a stage.

    Wet, that of the calipers; leather-hard, that of trimming; later, the larger of the two scaled on, and
    shrinkage σ times the wet size, as the root of the sum of squares.

    Args:
        spreads: one standard deviation of each step of the work.
        stage: one of the five stages.
        size_mm: the size there, mm.
        scale: size there over size wet.
        leather_hard_scale: size leather-hard over size wet.
    Returns: mm.
    Source: root-sum-square tolerance stacks, worked.
    >>> spreads = Spreads(calipers_mm=0.3, trimming_mm=0.25, out_of_round_mm=0.4, shrinkage_share=0.0015)
    >>> round(size_sigma_mm(spreads, "fired", 88.0, 0.88, 0.97), 3)
    0.304
    """
    if stage == "wet":
        return spreads.calipers_mm
    if stage == "leather-hard":
        return spreads.trimming_mm
    set_mm = max(spreads.calipers_mm, spreads.trimming_mm / leather_hard_scale) * scale
    return hypot(set_mm, spreads.shrinkage_share * size_mm / scale)


def _about(figure: Figure, plus_minus: float, source: str) -> Tolerance:
    return Tolerance(figure.value - plus_minus, figure.value + plus_minus, source, plus_minus)


def _of_clearance(sheet: Sheet, figure: Figure, spreads: Spreads) -> Tolerance:
    """A clearance is judged by the fit's own limits once it is fired, by what trimming can hold before."""
    per = 0.5 if figure.key.endswith(".gap") else 1.0
    record = sheet.fits[figure.named.names["F"]]
    if figure.stage == record.stage and (record.least_mm > float("-inf") or record.most_mm < float("inf")):
        low, high = (None if abs(limit) == float("inf") else limit * per for limit in (record.least_mm, record.most_mm))
        return Tolerance(low, high, "the fit's limits")
    return _about(figure, max(SMALLEST_MM, SIGMAS * spreads.trimming_mm) * per, "two standard deviations of trimming")


def _scale(sheet: Sheet, stage: str) -> float:
    shrunk = sheet.find("clay.shrinkage", stage)
    return 1.0 - shrunk.value / 100.0 if shrunk else 1.0
