"""Kiln loads: pieces on shelves, shelves on props, one above another; never more than fits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from math import ceil, fsum, inf

from wareboard.pot.frozen import frozen
from wareboard.pot.packing import HAIR, Footprint, Placed, covered_mm2, fill_shelf


@frozen
class Oven:
    """A kiln's inside: its shelves, how high it is, what stands between, mm.

    `tiers` is how many shelves there are; `props` how many shelves can stand on props of each height, empty where any height can be had.
    """

    width_mm: float
    depth_mm: float
    height_mm: float
    tiers: int
    shelf_mm: float = 0.0
    gap_mm: float = 0.0
    headroom_mm: float = 0.0
    props: Mapping[float, int] = field(default_factory=dict)

    @property
    def tallest_mm(self) -> float:
        """The tallest that fits at all: a tier alone, on the lowest shelf."""
        return self.height_mm - self.shelf_mm - self.headroom_mm

    def holds(self, footprint: Footprint) -> bool:
        """True where a piece stands on a shelf without reaching over its edge."""
        one = fill_shelf(self.width_mm, self.depth_mm, ((0, footprint, 1),), 0.0)
        return bool(one)


@frozen
class Piece:
    """A kind of thing that is set on a shelf: a pot, a jar with its lid on, a stack. `count` is how many there are."""

    footprint: Footprint
    height_mm: float
    count: int


@frozen
class Tier:
    """One shelf with what stands on it; `clear_mm` is the height that it needs above the shelf."""

    clear_mm: float
    placed: tuple[Placed, ...]


@frozen
class Load:
    """One filling of the kiln, the lowest tier first; above each the height to the next shelf, mm, 0 above the top one."""

    tiers: tuple[Tier, ...]
    props_mm: tuple[float, ...]


def fill_tiers(pieces: Sequence[Piece], oven: Oven) -> tuple[Tier, ...]:
    """Pieces on shelves, the tallest first, so that like stands with like.

    Args:
        pieces: what is to be fired; each fits into the kiln by itself.
        oven: the kiln.
    Returns: as many shelves as it takes.
    Raises: ValueError, a piece that does not fit.
    Source: common practice.
    >>> oven = Oven(500.0, 450.0, 700.0, 5, 15.0, 8.0, 10.0)
    >>> [len(tier.placed) for tier in fill_tiers([Piece(Footprint(90.0, 90.0), 100.0, 30)], oven)]
    [23, 7]
    """
    for piece in pieces:
        if piece.count and (piece.height_mm > oven.tallest_mm + HAIR or not oven.holds(piece.footprint)):
            raise ValueError("a piece does not fit into the kiln")
    order = sorted(range(len(pieces)), key=lambda kind: (-pieces[kind].height_mm, -pieces[kind].footprint.across_mm))
    left, tiers = [piece.count for piece in pieces], []
    known: dict[tuple[int, ...], tuple[Placed, ...]] = {}
    for tallest in order:
        lower = order[order.index(tallest) :]
        while left[tallest]:
            # A shelf that one kind fills alone is worked out once.
            alone = known.get((tallest,))
            if alone is not None and left[tallest] >= len(alone):
                placed = alone
            else:
                kinds = tuple((kind, pieces[kind].footprint, left[kind]) for kind in lower if left[kind])
                placed = fill_shelf(oven.width_mm, oven.depth_mm, kinds, oven.gap_mm)
                if all(one.kind == tallest for one in placed) and left[tallest] > len(placed):
                    known[(tallest,)] = placed
            for one in placed:
                left[one.kind] -= 1
            tiers.append(Tier(pieces[tallest].height_mm + oven.headroom_mm, placed))
    return tuple(tiers)


def stack_tiers(tiers: Sequence[Tier], oven: Oven) -> tuple[Load, ...]:
    """Shelves one above another in as many kilns as it takes: first fit, the tallest tiers first.

    Args:
        tiers: shelves with what stands on them.
        oven: the kiln.
    Returns: the loads.
    Source: first-fit decreasing; Johnson 1973 (memory).
    >>> oven = Oven(500.0, 450.0, 700.0, 5, 15.0, 8.0, 10.0)
    >>> [len(load.tiers) for load in stack_tiers([Tier(120.0, ())] * 7, oven)]
    [5, 2]
    """
    loads: list[list[Tier]] = []
    first, before = 0, inf
    for tier in sorted(tiers, key=lambda tier: -tier.clear_mm):
        # A load that had no room for a tier has none for another that is as high.
        first = first if tier.clear_mm == before else 0
        before = tier.clear_mm
        while first < len(loads) and _props_for([*loads[first], tier], oven) is None:
            first += 1
        if first == len(loads):
            loads.append([])
        loads[first].append(tier)
    return tuple(_load(load, oven) for load in loads)


def _load(tiers: list[Tier], oven: Oven) -> Load:
    found = _props_for(tiers, oven)
    assert found is not None
    top, props = found
    lower = [(tier, prop) for place, (tier, prop) in enumerate(zip(tiers, props, strict=True)) if place != top]
    return Load((*(tier for tier, _ in lower), tiers[top]), (*(prop for _, prop in lower), 0.0))


def _props_for(tiers: Sequence[Tier], oven: Oven) -> tuple[int, list[float]] | None:
    """Which tier is the top one, and the props above each of the others; None where they don't fit.

    The top tier needs no props, only the room that is left. The tallest tiers choose first, each the lowest prop that
    will do, so nothing lower can be had with the props that there are.
    """
    if len(tiers) > oven.tiers:
        return None
    order = sorted(range(len(tiers)), key=lambda place: -tiers[place].clear_mm)
    # Like tiers are alike as top tiers.
    tops = {tiers[place].clear_mm: place for place in order}
    best: tuple[float, int, list[float]] | None = None
    for top in tops.values():
        chosen = _chosen_props([place for place in order if place != top], tiers, oven)
        if chosen is None:
            continue
        high = fsum(chosen.values()) + tiers[top].clear_mm + oven.shelf_mm * len(tiers)
        if high <= oven.height_mm + HAIR * oven.height_mm and (best is None or high < best[0] - HAIR):
            best = (high, top, [chosen.get(place, 0.0) for place in range(len(tiers))])
    return best and (best[1], best[2])


def _chosen_props(order: Sequence[int], tiers: Sequence[Tier], oven: Oven) -> dict[int, float] | None:
    if not oven.props:
        return {place: tiers[place].clear_mm for place in order}
    left, chosen = dict(oven.props), {}
    for place in order:
        prop = min(
            (height for height, count in left.items() if count and height >= tiers[place].clear_mm - HAIR), default=None
        )
        if prop is None:
            return None
        left[prop] -= 1
        chosen[place] = prop
    return chosen


def least_loads(pieces: Sequence[Piece], oven: Oven) -> int:
    """Loads that no arrangement can do with fewer: what the pieces cover, times the height that each takes, over the kiln's.

    n ≥ Σ count × π (depth + gap)² / 4 × (height + headroom + shelf) / ((width + gap)(depth + gap) × height)

    Args:
        pieces: what is to be fired.
        oven: the kiln.
    Source: worked: circles do not overlap, so what they cover, times their tiers' heights, is at most the kiln.
    >>> least_loads([Piece(Footprint(90.0, 90.0), 100.0, 30)], Oven(500.0, 450.0, 700.0, 5, 15.0, 8.0, 10.0))
    1
    """
    room = (oven.width_mm + oven.gap_mm) * (oven.depth_mm + oven.gap_mm) * oven.height_mm
    taken = fsum(
        piece.count * covered_mm2(piece.footprint, oven.gap_mm) * (piece.height_mm + oven.headroom_mm + oven.shelf_mm)
        for piece in pieces
    )
    return ceil(taken / room - HAIR) if room else 0  # a kiln without room has taken nothing


def load_shares(pieces: Sequence[Piece], loads: Sequence[Load], oven: Oven) -> tuple[float, ...]:
    """Each kind's share of all the loads: what it covers times the height of its tier.

    Args:
        pieces: what is fired, by the numbers that stand in `loads`.
        loads: how it is fired.
        oven: the kiln.
    Returns: shares that make 1 together; none where nothing is fired.
    Source: common practice.
    >>> oven = Oven(500.0, 450.0, 700.0, 5, 15.0, 8.0, 10.0)
    >>> two = [Piece(Footprint(90.0, 90.0), 100.0, 9), Piece(Footprint(90.0, 90.0), 100.0, 3)]
    >>> [round(share, 9) for share in load_shares(two, stack_tiers(fill_tiers(two, oven), oven), oven)]
    [0.75, 0.25]
    """
    taken = [0.0] * len(pieces)
    for tier in (tier for load in loads for tier in load.tiers):
        for placed in tier.placed:
            taken[placed.kind] += covered_mm2(pieces[placed.kind].footprint, oven.gap_mm) * (
                tier.clear_mm + oven.shelf_mm
            )
    whole = fsum(taken)
    return tuple(part / whole for part in taken) if whole else ()
