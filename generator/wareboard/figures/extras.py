"""The figures of what is added to a part: handles, spouts, knobs; and how wide the part is with them."""

from __future__ import annotations

from wareboard.figures.amounts import extra_g, outermost_mm
from wareboard.figures.figure import Ledger, place
from wareboard.figures.shapes import Shape, shrinkage_names, to_stage
from wareboard.figures.sizes import Came, write_size, write_typed
from wareboard.pot.straps import across_mm
from wareboard.text.formulas import noted
from wareboard.text.kinds import Size
from wareboard.text.languages import later
from wareboard.text.specs import Extra, Strap, TwoEnds


def write_extras(ledger: Ledger, shape: Shape) -> None:
    """Write what is added to a part, and its width with it."""
    reaches: dict[str, float] = {}
    for name, extra in shape.part.extras.items():
        key = f"{shape.name}.{name}"
        _write_clay(ledger, shape, key, extra)
        if extra.strap is not None:
            write_typed(ledger, shape, f"{key}.length", extra.strap.length, False)
        if extra.reach is not None:
            write_typed(ledger, shape, f"{key}.reach", extra.reach, False)
            reaches[str(name)] = outermost_mm(extra, shape) or 0.0
    across = across_mm(shape.widest_mm, tuple(reaches.values()))

    def came() -> Came:
        how = (
            noted("greatest width, with its {extras}", extras=" + ".join(reaches))
            if reaches
            else noted("greatest width")
        )
        reached = (f"{shape.name}.{name}.reach {shape.stage}" for name in reaches)
        return Came(how, [f"{shape.name}.diameter {shape.stage}", *reached])

    write_size(ledger, shape, f"{shape.name}.across", shape.stage, across, False, came)


def _write_clay(ledger: Ledger, shape: Shape, key: str, extra: Extra) -> None:
    if extra.clay is not None:
        ledger.write(
            f"{key}.clay",
            "wet",
            extra.clay.value,
            noted("typed: {size}", size=extra.clay.typed),
            [place(extra.clay.at)],
            given=True,
        )
        return
    strap = extra.strap
    assert strap is not None
    section = str(strap.section or "oval")
    how = (
        later("a strap, flat: {shape} × length {length_mm} × mean section × {density} g/cm3")
        if section == "flat"
        else later("a strap, oval: {shape} × length {length_mm} × mean section × {density} g/cm3")
    )
    ledger.write(
        f"{key}.clay", "wet", extra_g(extra, shape), how,
        [*(place(size.at) for size in _sizes(strap)), "clay.density wet", *shrinkage_names(shape)],
        {
            "shape": "1" if section == "flat" else "π/4", "length_mm": to_stage(strap.length, shape.stage, "wet", shape.body.across),
            "density": shape.body.wet_density_g_cm3,
        },
    )  # fmt: skip


def _sizes(strap: Strap) -> list[Size | TwoEnds]:
    return [strap.length, strap.width, strap.thickness]
