"""Clay through the five stages: shrinkage, weight, water and density.

Shrinkage is a share of the *wet* length at every stage, so size = wet × (1 − s). While it
shrinks, clay is taken as saturated: each gram of water that leaves takes 1 cm³ with it.
Once the grains touch, only weight goes.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import field
from statistics import fmean

from wareboard.pot.doubt import BarDoubt
from wareboard.pot.frozen import frozen, kept_property
from wareboard.pot.samples import deviation_of
from wareboard.pot.stages import STAGES

WATER_DENSITY_G_CM3 = 1.0
USUAL_LOSS_SHARE = 0.07  # on ignition, of the dry weight, where a clay's is not given: common practice, 5 to 12 %

_PLACE = {stage: place for place, stage in enumerate(STAGES)}
_WITHOUT_DEVIATION = (None,) * len(STAGES)
_WITHOUT_BARS = (0,) * len(STAGES)


@frozen
class Body:
    """One clay body. Tuples hold one value for each of STAGES; shares run from 0 to 1."""

    shrinkage: tuple[float, ...]
    water_share: float
    grain_density_g_cm3: float
    wet_density_g_cm3: float
    height_factor: float = 1.0
    loss_share: float = 0.0
    deviation: tuple[float | None, ...] = _WITHOUT_DEVIATION
    assumed: frozenset[str] = frozenset()
    bars_count: tuple[int, ...] = _WITHOUT_BARS
    doubt: BarDoubt | None = field(default=None, compare=False, repr=False)  # what the bars know; None without

    def shrinkage_share(self, stage: str) -> float:
        """Shrinkage across at a stage, share of the wet length."""
        return self.shrinkage[_PLACE[stage]]

    def across(self, stage: str) -> float:
        """Width at a stage over width wet: 1 − s."""
        return 1.0 - self.shrinkage_share(stage)

    def up(self, stage: str) -> float:
        """Height at a stage over height wet: 1 − s × height factor."""
        return 1.0 - self.shrinkage_share(stage) * self.height_factor

    @kept_property
    def kept_across(self) -> tuple[float, ...]:
        """Width over width wet, at each of STAGES."""
        return tuple([self.across(stage) for stage in STAGES])

    @kept_property
    def kept_up(self) -> tuple[float, ...]:
        """Height over height wet, at each of STAGES."""
        return tuple([self.up(stage) for stage in STAGES])

    def volume_scale(self, stage: str) -> float:
        """Volume at a stage over volume wet: (1 − s)² (1 − s h)."""
        return self.across(stage) ** 2 * self.up(stage)

    def mass_share(self, stage: str) -> float:
        """Weight at a stage over weight wet, the same clay all the way, no glaze."""
        match stage:
            case "wet":
                return 1.0
            case "leather-hard":
                return mass_share_at_volume_scale(self, self.volume_scale(stage))
            case "dry":
                return 1.0 - self.water_share
            case _:
                return (1.0 - self.water_share) * (1.0 - self.loss_share)

    @kept_property
    def mass_shares(self) -> tuple[float, ...]:
        """Weight over weight wet, at each of STAGES."""
        return tuple([self.mass_share(stage) for stage in STAGES])

    def bulk_density_g_cm3(self, stage: str) -> float:
        """Weight over outer volume at a stage, pores included, g/cm³."""
        return self.wet_density_g_cm3 * self.mass_share(stage) / self.volume_scale(stage)

    @property
    def critical_water_share(self) -> float:
        """Water left when shrinking stops, as a share of the clay's weight at that moment.

        What the clay was thrown with, less a gram for each cm³ that it shrank by: what fills the pores at the dry
        volume, but for the air that was in the clay from the first. Below zero for a clay that can't be.
        """
        left_g = self.water_share - (1.0 - mass_share_at_volume_scale(self, self.volume_scale("dry")))
        return left_g / (left_g + 1.0 - self.water_share)

    @property
    def air_share(self) -> float:
        """Air in the wet clay, as a share of its volume: none where its density is that of water and grains."""
        return 1.0 - self.wet_density_g_cm3 / saturated_density_g_cm3(self.water_share, self.grain_density_g_cm3)


@frozen
class Fault:
    """Something about a body that can't be (`impossible`) or that a maker should look at."""

    kind: str
    stage: str | None
    found: float
    limit: float
    impossible: bool


class MissingShrinkage(ValueError):
    """A stage whose shrinkage neither the typed line nor any bar gives."""

    def __init__(self, stage: str):
        super().__init__(f"no shrinkage is given at {stage}, typed or by a bar")
        self.stage = stage


# --- making a body ------------------------------------------------------------------------


def make_body(
    *,
    water_share: float,
    line: Mapping[str, float] | None = None,
    of_dry: Collection[str] = (),
    bars: Sequence[Mapping[str, float]] = (),
    lots: Sequence[str | None] = (),
    height_factor: float = 1.0,
    grain_density_g_cm3: float = 2.6,
    wet_density_g_cm3: float | None = None,
    loss_share: float = 0.0,
) -> Body:
    """A body from what a maker typed and from measured test bars; bars beat the line.

    Left out: dry is half of fired, leather-hard half of dry, bisque equals dry; all are listed in `assumed`.

    Args:
        water_share: water as thrown, share of the wet weight, between 0 and 1.
        line: typed shrinkage by stage, shares of the wet length.
        of_dry: stages of `line` that are typed as shares of the *dry* length.
        bars: lengths by stage, any unit, `wet` among them; one mapping a bar.
        lots: the lot of each bar; none given: all of one.
        height_factor: height shrinks this many times as much as width, > 0.
        grain_density_g_cm3: density of the grains without pores, g/cm³, > 0.
        wet_density_g_cm3: wet bulk density, g/cm³; None: from water and grain density.
        loss_share: loss on ignition, share of the dry weight, 0 up to 1.
    Returns: the body.
    Raises: ValueError, a number out of range, a bar without a wet length;
        MissingShrinkage, nothing gives fired, or it is given of a dry length that nothing gives.
    Source: ASTM C326 (plastic length as the basis); half of dry, half of fired: common practice.
    >>> body = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> body.shrinkage
    (0.0, 0.03, 0.06, 0.06, 0.12)
    >>> sorted(body.assumed)
    ['bisque', 'leather-hard']
    """
    if not 0.0 < water_share < 1.0:
        raise ValueError(f"water must be more than 0 and less than 100 %, not {water_share:.1%}")
    if not 0.0 <= loss_share < 1.0:
        raise ValueError(f"loss on ignition must be 0 up to 100 %, not {loss_share:.1%}")
    for name, number in (("height factor", height_factor), ("grain density", grain_density_g_cm3)):
        if not number > 0.0:
            raise ValueError(f"{name} must be more than 0, not {number:g}")
    if wet_density_g_cm3 is None:
        wet_density_g_cm3 = saturated_density_g_cm3(water_share, grain_density_g_cm3)
    elif not wet_density_g_cm3 > 0.0:
        raise ValueError(f"wet density must be more than 0, not {wet_density_g_cm3:g}")

    samples = {stage: bar_shrinkages(bars, stage) for stage in STAGES[1:]}
    shares, assumed = _resolved_shrinkage(dict(line or {}), frozenset(of_dry), samples)
    shrinkage = (0.0, *(shares[stage] for stage in STAGES[1:]))
    return Body(
        shrinkage=shrinkage,
        water_share=water_share,
        grain_density_g_cm3=grain_density_g_cm3,
        wet_density_g_cm3=wet_density_g_cm3,
        height_factor=height_factor,
        loss_share=loss_share,
        deviation=(None, *(deviation_of(samples[s]) if len(samples[s]) > 1 else None for s in STAGES[1:])),
        assumed=assumed,
        bars_count=(len(bars), *(len(samples[stage]) for stage in STAGES[1:])),
        doubt=_bar_doubt(bars, lots or [None] * len(bars), shrinkage) if bars else None,
    )


def _bar_doubt(
    bars: Sequence[Mapping[str, float]], lots: Sequence[str | None], shrinkage: tuple[float, ...]
) -> BarDoubt:
    rows = (tuple(1.0 - bar[stage] / bar["wet"] if stage in bar else None for stage in STAGES) for bar in bars)
    return BarDoubt(tuple(lots), tuple(rows), shrinkage)


def bar_shrinkages(bars: Iterable[Mapping[str, float]], stage: str) -> tuple[float, ...]:
    """Shrinkage of every bar that was measured at a stage: 1 − L / L wet.

    Args:
        bars: lengths by stage, any unit, `wet` among them.
        stage: one of STAGES.
    Returns: one share of the wet length a bar.
    Raises: ValueError, a bar without a wet length, or a length that isn't above 0.
    Source: ASTM C326.
    >>> [round(s, 3) for s in bar_shrinkages([{"wet": 100, "dry": 94}, {"wet": 100}], "dry")]
    [0.06]
    """
    shares = []
    for bar in bars:
        if not bar.get("wet", 0.0) > 0.0:
            raise ValueError("a bar needs its wet length, and that must be more than 0")
        if stage in bar:
            if not bar[stage] > 0.0:
                raise ValueError(f"a bar's {stage} length must be more than 0, not {bar[stage]:g}")
            shares.append(1.0 - bar[stage] / bar["wet"])
    return tuple(shares)


def _resolved_shrinkage(
    line: Mapping[str, float], of_dry: frozenset[str], samples: Mapping[str, Sequence[float]]
) -> tuple[dict[str, float], frozenset[str]]:
    """Bars over the typed line over the two defaults."""
    if not of_dry <= {"bisque", "fired"}:
        raise ValueError("only bisque and fired shrinkage can be given of dry")
    shares = {stage: fmean(values) for stage, values in samples.items() if values}
    for stage in ("leather-hard", "dry"):
        if stage in line:
            shares.setdefault(stage, line[stage])
    assumed = frozenset({"dry"} - shares.keys())
    if assumed:
        shares["dry"] = _dry_from_later(line, of_dry, samples)
    for stage in ("bisque", "fired"):
        if stage in line:
            typed = line[stage]
            if stage in of_dry:
                typed = shrinkage_from_dry_basis(shares["dry"], typed)
            shares.setdefault(stage, typed)
    if "fired" not in shares:
        raise MissingShrinkage("fired")
    assumed |= {"leather-hard", "bisque"} - shares.keys()
    shares.setdefault("leather-hard", shares["dry"] / 2.0)
    shares.setdefault("bisque", shares["dry"])
    return shares, assumed


def _dry_from_later(line: Mapping[str, float], of_dry: frozenset[str], samples: Mapping[str, Sequence[float]]) -> float:
    """Drying shrinkage where none is given: half of fired, as suppliers give it, or bisque where that is less."""
    later = {stage: [line[stage]] for stage in line if stage not in of_dry} | {
        s: list(v) for s, v in samples.items() if v
    }
    if "fired" not in later:
        raise MissingShrinkage("dry" if "fired" in line else "fired")
    half = fmean(later["fired"]) / 2.0
    return min(half, fmean(later["bisque"])) if "bisque" in later else half


# --- shrinkage and its bases --------------------------------------------------------------


def shrinkage_from_dry_basis(dry_share: float, later_of_dry_share: float) -> float:
    """Total shrinkage of the wet length from a later one that is stated on the dry length.

    s = 1 − (1 − s_dry)(1 − x)

    Args:
        dry_share: drying shrinkage, share of the wet length.
        later_of_dry_share: shrinkage after drying, share of the dry length.
    Returns: share of the wet length.
    Source: ASTM C326 (plastic length as the basis).
    >>> round(shrinkage_from_dry_basis(0.06, 0.07), 4)
    0.1258
    """
    return 1.0 - (1.0 - dry_share) * (1.0 - later_of_dry_share)


def wet_size_mm(size_mm: float, shrinkage_share: float) -> float:
    """Wet size that shrinks to a given one: size / (1 − s).

    Args:
        size_mm: size after shrinking, mm.
        shrinkage_share: share of the wet length, below 1.
    Returns: wet size, mm.
    Raises: ValueError, a shrinkage of 1 or more.
    Source: ASTM C326 (plastic length as the basis).
    >>> round(wet_size_mm(80.0, 0.12), 2)
    90.91
    """
    if not shrinkage_share < 1.0:
        raise ValueError(f"shrinkage must be less than 100 %, not {shrinkage_share:.1%}")
    return size_mm / (1.0 - shrinkage_share)


def wrong_basis_size_mm(size_mm: float, shrinkage_share: float) -> float:
    """Wet size that comes of the usual slip, adding s to the fired size: size × (1 + s).

    Args:
        size_mm: size wanted after shrinking, mm.
        shrinkage_share: share of the wet length.
    Returns: the wet size, too small, mm.
    Source: worked: the slip itself, for comparison.
    >>> round(wet_size_mm(80.0, 0.12) - wrong_basis_size_mm(80.0, 0.12), 2)
    1.31
    """
    return size_mm * (1.0 + shrinkage_share)


def shrinkage_at_volume_scale(volume_scale: float, height_factor: float = 1.0) -> float:
    """Shrinkage across that leaves a given share of the wet volume.

    The root s of (1 − s)² (1 − s h) = v. The left side falls and is convex, so Newton's
    steps from s = 0 climb to the root and never pass it.

    Args:
        volume_scale: volume left over volume wet, more than 0, at most 1.
        height_factor: height shrinks this many times as much as width, > 0.
    Returns: share of the wet length, 0 up to 1.
    Raises: ValueError, an argument out of range.
    Source: worked: Newton's steps on (1 − s)² (1 − s h) − v.
    >>> round(shrinkage_at_volume_scale(0.94**3), 12)
    0.06
    """
    if not 0.0 < volume_scale <= 1.0:
        raise ValueError(f"volume left must be over 0 and at most 100 %, not {volume_scale:.2%}")
    if not height_factor > 0.0:
        raise ValueError(f"height factor must be more than 0, not {height_factor:g}")
    share, step = 0.0, 1.0
    while step > 1e-15:
        across, up = 1.0 - share, 1.0 - share * height_factor
        step = (across * across * up - volume_scale) / (across * (2.0 * up + height_factor * across))
        share += step
    return share


# --- water and density --------------------------------------------------------------------


def water_of_dry_share(water_share: float) -> float:
    """Water on the dry weight from water on the wet weight: w / (1 − w).

    Args:
        water_share: share of the wet weight, 0 up to 1.
    Returns: share of the dry weight.
    Raises: ValueError, out of range.
    Source: worked: w of water beside 1 − w of dry clay.
    >>> round(water_of_dry_share(0.25), 4)
    0.3333
    """
    if not 0.0 <= water_share < 1.0:
        raise ValueError(f"water must be 0 up to 100 % of the wet weight, not {water_share:.1%}")
    return water_share / (1.0 - water_share)


def saturated_density_g_cm3(water_share: float, grain_density_g_cm3: float = 2.6) -> float:
    """Bulk density of wet clay without air: 1 / (w + (1 − w)/g).

    Args:
        water_share: share of the wet weight, 0 up to 1.
        grain_density_g_cm3: density of the grains, g/cm³, > 0.
    Returns: density, g/cm³.
    Source: worked; grains about 2.6, the density of kaolinite.
    >>> round(saturated_density_g_cm3(0.215), 3)
    1.935
    """
    return 1.0 / (water_share / WATER_DENSITY_G_CM3 + (1.0 - water_share) / grain_density_g_cm3)


def open_porosity_share(absorption_share: float, bulk_density_g_cm3: float) -> float:
    """Open pores as a share of the outer volume: absorption × bulk density / water's density.

    Args:
        absorption_share: water taken up, share of the fired weight, 0 up.
        bulk_density_g_cm3: fired bulk density, g/cm³, > 0.
    Returns: share of the outer volume.
    Source: ASTM C373 (formulas from memory).
    >>> round(open_porosity_share(0.025, 2.247), 4)
    0.0562
    """
    return absorption_share * bulk_density_g_cm3 / WATER_DENSITY_G_CM3


def apparent_density_g_cm3(absorption_share: float, bulk_density_g_cm3: float) -> float:
    """Density of what isn't open pore: bulk density / (1 − open porosity).

    Args:
        absorption_share: water taken up, share of the fired weight, 0 up.
        bulk_density_g_cm3: fired bulk density, g/cm³, > 0.
    Returns: density, g/cm³; it can't be over the grain's.
    Source: ASTM C373 (formulas from memory).
    >>> round(apparent_density_g_cm3(0.025, 2.247), 3)
    2.381
    """
    return bulk_density_g_cm3 / (1.0 - open_porosity_share(absorption_share, bulk_density_g_cm3))


def mass_share_at_volume_scale(body: Body, volume_scale: float) -> float:
    """Weight over weight wet while each cm³ lost is a gram of water: 1 − (1 − v) / density.

    Args:
        body: the clay.
        volume_scale: volume now over volume wet, from the dry volume up to 1.
    Returns: weight now over weight wet.
    Source: worked: a gram of wet clay fills 1 / density cm³; what it loses of that is water of 1 g/cm³; saturated.
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> round(mass_share_at_volume_scale(clay, 0.97**3), 4)
    0.9549
    """
    return 1.0 - (1.0 - volume_scale) * WATER_DENSITY_G_CM3 / body.wet_density_g_cm3


def _pores_cm3_per_wet_g(body: Body) -> float:
    """Dry volume less the grains' own, for one gram of wet clay."""
    dry_cm3 = body.volume_scale("dry") / body.wet_density_g_cm3
    return dry_cm3 - (1.0 - body.water_share) / body.grain_density_g_cm3


def _pore_water_share(body: Body) -> float:
    """The critical water of a clay whose pores hold no air."""
    pores_g = _pores_cm3_per_wet_g(body) * WATER_DENSITY_G_CM3
    return pores_g / (pores_g + 1.0 - body.water_share)


# --- what can't be ------------------------------------------------------------------------


def body_faults(body: Body) -> list[Fault]:
    """What about a body can't be, or is odd enough to be looked at.

    Args:
        body: the clay.
    Returns: faults, none for a sound clay. Kinds: `out-of-range`, `shrinkage-falls`,
        `critical-water-below-zero`, `dries-past-its-water`, `bulk-over-grain`,
        `denser-than-saturated`.
    Source: common practice; conservation of volume and weight.
    >>> body_faults(make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12}))
    []
    >>> body_faults(make_body(water_share=0.215, line={"dry": 0.2, "fired": 0.3}))[0].kind
    'critical-water-below-zero'
    """
    faults = _range_faults(body)
    if faults:
        return faults  # nothing below can be worked out

    shrinkage = dict(zip(STAGES, body.shrinkage))
    if shrinkage["dry"] < shrinkage["leather-hard"]:
        faults.append(Fault("shrinkage-falls", "dry", shrinkage["dry"], shrinkage["leather-hard"], True))
    # A clay may swell a little between dry and bisque; a whole point is a slip of the pen.
    for stage, limit in (("bisque", shrinkage["dry"] - 0.01), ("fired", shrinkage["dry"])):
        if shrinkage[stage] < limit:
            faults.append(Fault("shrinkage-falls", stage, shrinkage[stage], limit, False))

    if _pores_cm3_per_wet_g(body) < 0.0:  # the same thing as a dry bulk density over the grain's
        faults.append(Fault("critical-water-below-zero", "dry", _pore_water_share(body), 0.0, True))
    else:
        for stage in ("leather-hard", "dry"):
            weight = mass_share_at_volume_scale(body, body.volume_scale(stage))
            if weight < body.mass_share("dry") - 1e-12:
                faults.append(Fault("dries-past-its-water", stage, weight, body.mass_share("dry"), True))
                break
    for stage in ("bisque", "fired"):
        bulk = body.bulk_density_g_cm3(stage)
        if bulk > body.grain_density_g_cm3:
            faults.append(Fault("bulk-over-grain", stage, bulk, body.grain_density_g_cm3, True))
    saturated = saturated_density_g_cm3(body.water_share, body.grain_density_g_cm3)
    if body.wet_density_g_cm3 > saturated * 1.005:  # half a per cent: as typed to three digits
        faults.append(Fault("denser-than-saturated", "wet", body.wet_density_g_cm3, saturated, False))
    return faults


def _range_faults(body: Body) -> list[Fault]:
    most = min(1.0, 1.0 / body.height_factor)
    faults = []
    for stage, share in zip(STAGES, body.shrinkage):
        if not 0.0 <= share < most:
            faults.append(Fault("out-of-range", stage, share, 0.0 if share < 0.0 else most, True))
    for share in (body.water_share, body.loss_share):
        if not 0.0 <= share < 1.0:
            faults.append(Fault("out-of-range", None, share, 0.0 if share < 0.0 else 1.0, True))
    return faults
