"""What of a run goes into the kiln, how it stands there, and how many loads it takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import ceil

from wareboard.figures.plan import Firing, PlanLine
from wareboard.figures.sheet import Sheet
from wareboard.pot.kilnloads import Oven, Piece, fill_tiers, least_loads, stack_tiers
from wareboard.pot.packing import Footprint
from wareboard.text.languages import _
from wareboard.text.order_specs import Line
from wareboard.text.problems import Problem, warning
from wareboard.text.specs import Form
from wareboard.text.studio_specs import Kiln

# What goes in: at its largest, so as it is before the firing. In the bisque ware may touch, in the glaze firing nothing may.
KINDS: Mapping[str, tuple[str, str]] = {"bisque": ("dry", "dried"), "glaze": ("bisque", "bisque")}


def oven_of(kiln: Kiln, kind: str) -> Oven | None:
    """A kiln's inside for one kind of firing; None where its shelf or its height is not known."""
    shelves = kiln.shelves
    if shelves is None or shelves.width is None or shelves.depth is None or kiln.inside_height is None:
        return None
    props: dict[float, int] = {}
    for prop in kiln.props:
        props[prop.height.value] = props.get(prop.height.value, 0) + (prop.shelves or 1000)
    return Oven(
        shelves.width.value,
        shelves.depth.value,
        kiln.inside_height.value,
        shelves.tiers or 100,
        kiln.shelf_thickness.value if kiln.shelf_thickness else 0.0,
        kiln.gap.value if kiln.gap and kind == "glaze" else 0.0,
        kiln.headroom.value if kiln.headroom else 0.0,
        props,
    )


def footprint_of(sheet: Sheet, part: str, stage: str) -> Footprint:
    """What a part covers at a stage, its handle and all."""
    diameter = sheet.value(f"{part}.diameter", stage)
    across = sheet.find(f"{part}.across", stage)
    return Footprint(max(diameter, across.value if across else 0.0), diameter)


def lids_of(form: Form) -> dict[str, tuple[str, str]]:
    """Lids that stand on a part of the same form: the jar and the fit, by the lid's name."""
    found = {}
    for name, fit in form.fits.items():
        inside, outside = fit.inside, fit.outside
        if {inside.form or form.slug, outside.form or form.slug} != {form.slug}:
            continue
        lower, upper = (
            (inside.part, outside.part) if form.parts[outside.part].opens_down else (outside.part, inside.part)
        )
        if form.parts[upper].opens_down and not form.parts[lower].opens_down:
            found[str(upper)] = (str(lower), str(name))
    return found


def _standing(sheet: Sheet, kind: str) -> Iterator[tuple[tuple[str, ...], Footprint, float]]:
    """What stands by itself in the kiln: parts, what they cover, how high; a lid stands on its jar."""
    stage, lids = KINDS[kind][0], lids_of(sheet.form)
    for name in map(str, sheet.form.parts):
        if name in lids:
            continue
        on_it = [(lid, fit) for lid, (jar, fit) in lids.items() if jar == name]
        high, cover = sheet.value(f"{name}.height", stage), footprint_of(sheet, name, stage)
        for lid, fit in on_it:
            together = sheet.find(f"fit.{fit}.stands", stage)
            # Where it is not known how far a lid goes in, it is taken to stand on the rim: never more than fits.
            high = max(high, together.value if together else high + sheet.value(f"{lid}.height", stage))
            lid_cover = footprint_of(sheet, lid, stage)
            cover = Footprint(max(cover.across_mm, lid_cover.across_mm), max(cover.deep_mm, lid_cover.deep_mm))
        yield (name, *(lid for lid, _other in on_it)), cover, high


def _stacked(form: Form, kind: str, piece: Piece, oven: Oven) -> tuple[Piece, int]:
    """Pieces as they stand on one another in the bisque, as high as the kiln allows; and how many there are in a stack."""
    stacking = form.stacking
    if kind != "bisque" or stacking is None:
        return piece, 1
    base = 2 if stacking.boxed else 1
    unit = base * piece.height_mm
    rise = stacking.rise.value if stacking.rise and not stacking.boxed else unit
    high = stacking.high or 1
    while high > 1 and unit + (high - 1) * rise > oven.tallest_mm:
        high -= 1
    if high == 1 and unit > oven.tallest_mm:
        base, unit = 1, piece.height_mm
    each = min(base * high, max(1, piece.count))
    stacks = -(-each // base)
    height = unit + (stacks - 1) * rise if each > 1 else piece.height_mm
    return replace(piece, height_mm=height, count=ceil(piece.count / each)), each


def plan_firings(
    lines: Sequence[tuple[PlanLine, Line]], sheets: Mapping[str, Sheet], kiln: Kiln
) -> tuple[tuple[Firing, ...], list[Problem], list[str]]:
    """Both firings of a run in one kiln.

    Args:
        lines: each line of the plan with the one that was typed.
        sheets: each form's sheet by slug.
        kiln: the kiln.
    Returns: the firings, none where the kiln's sizes are not known; what does not fit; what was taken for granted.
    """
    firings: list[Firing] = []
    problems: list[Problem] = []
    told: list[str] = []
    for kind, (_other, counted) in KINDS.items():
        oven = oven_of(kiln, kind)
        if oven is None:
            return (
                (),
                [],
                [_("no kiln loads: the shelves and the inside height of {kiln} are not known").format(kiln=kiln.title)],
            )
        pieces, names, standing, each, line_of = [], [], [], [], []
        for number, (line, typed) in enumerate(lines):
            sheet = sheets[line.form]
            for parts, cover, high in _standing(sheet, kind):
                count = ceil(max(line.expected(counted).pieces[part] for part in parts) - 1e-9)
                piece = Piece(cover, high, count)
                fault = _does_not_fit(piece, oven, line, typed, kiln, parts, kind)
                if fault:
                    # Told of the first firing that it does not fit into; the other would say the same again.
                    if not any(known.at == fault.at and known.rule == fault.rule for known in problems):
                        problems.append(fault)
                    continue
                piece, stack = _stacked(sheet.form, kind, piece, oven)
                pieces.append(piece)
                each.append(stack)
                line_of.append(number)
                standing.append(parts)
                names.append(
                    line.title + (f", {_(' with ').join(parts)}" if len(sheet.form.parts) > 1 else "")
                    + (f" ({typed.glaze})" if typed.glaze else "")
                )  # fmt: skip
        loads = stack_tiers(fill_tiers(pieces, oven), oven)
        firings.append(
            Firing(
                kind, kiln.slug, str(kiln.title), oven, tuple(pieces), tuple(names), tuple(standing), tuple(each), tuple(line_of), loads, least_loads(pieces, oven),
            )
        )  # fmt: skip
    if kiln.shelves and kiln.shelves.tiers is None:
        told.append(_("as many shelves as are asked for; {kiln} says no number of tiers").format(kiln=kiln.title))
    return tuple(firings), problems, told


def _does_not_fit(
    piece: Piece, oven: Oven, line: PlanLine, typed: Line, kiln: Kiln, parts: Sequence[str], kind: str
) -> Problem | None:
    what = f"{line.title}{f' ({chr(32).join(parts)})' if len(parts) > 1 else ''}"
    if not oven.holds(piece.footprint):
        return warning(
            "wider-than-shelf",
            typed.form.at,
            f"{what} is {piece.footprint.across_mm:.0f} mm across before the {kind} firing; a shelf of {kiln.title} is {oven.width_mm:.0f} × {oven.depth_mm:.0f} mm",
            "fire it in another kiln: write `kiln:` in the order",
        )
    if piece.height_mm > oven.tallest_mm:
        return warning(
            "taller-than-kiln",
            typed.form.at,
            f"{what} stands {piece.height_mm:.0f} mm high before the {kind} firing; {kiln.title} takes {oven.tallest_mm:.0f} mm above a shelf",
            "fire it in another kiln: write `kiln:` in the order",
        )
    return None
