"""A clay's shrink rule, true to size: held to wet or leather-hard clay, it reads the size that will come out of the kiln."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from urllib.parse import quote

from wareboard.cards.cardtext import qr_picture
from wareboard.cards.engine import CardText
from wareboard.cards.tiling import cut_spans
from wareboard.cards.truesize import (
    ALLOWED_MM,
    INCH_MM,
    OVERLAP_MM,
    SMALL_MM,
    TEXT_MM,
    Item,
    Words,
    clay_words,
    cut_out,
    render_sheets,
    room_mm,
    shortened,
    true_paper,
)
from wareboard.drawing.svg import THIN, Sketch
from wareboard.figures.clays import make_body
from wareboard.figures.shown import reader_of
from wareboard.pot.clay import Body
from wareboard.pot.stages import STAGES
from wareboard.text.languages import _, ngettext, pointed, written_day
from wareboard.text.problems import capital
from wareboard.text.projects import revision
from wareboard.text.quantities import METRIC
from wareboard.text.studio_specs import Clay, Studio

FIRED_MM, FIRED_IN = 300, 12
LOT_MM, MOST_LOTS = 18.0, 5  # a lot may be any text, and there may be any number of them
BEYOND_MM = 4.0  # of strip past the last mark
# Length of a mark by how many of the smallest it stands after: 10 mm, 5 mm, 1 mm; in, 1/2, 1/4, 1/8, 1/16.
MM_MARKS = ((10, 6.0), (5, 4.5), (1, 3.0))
IN_MARKS = ((16, 7.0), (8, 5.5), (4, 4.5), (2, 3.5), (1, 2.5))
NUMBER_MM = 3.2
EDGE_MM = 11.0
WORDS_MM = 8.0


def mark_scale(body: Body, stage: str, *, upward: bool = False) -> float:
    """Length on the rule for each unit of fired length: (1 − s) / (1 − s fired), s the shrinkage at the stage.

    Args:
        body: the clay.
        stage: the stage at which the rule is held to the clay; s is 0 at wet.
        upward: for heights, which shrink height-factor times as much.
    Returns: more than 1 while there is shrinkage to come.
    Source: ASTM C326 (shrinkage on the plastic length); worked.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> round(mark_scale(clay, "wet"), 6), round(mark_scale(clay, "leather-hard"), 6)
    (1.136364, 1.102273)
    """
    size = body.up if upward else body.across
    return size(stage) / size("fired")


def render_rule(
    spec: Clay, studio: Studio, *, paper: str | None = None, made: datetime.date, site_url: str = ""
) -> CardText:
    """A clay's rules: for wet and for leather-hard clay, across and up where they differ.

    Args:
        spec: the clay; its numbers can be.
        studio: whose units and paper hold.
        paper: A4 or Letter; the studio's unless given.
        made: the day that stands on the sheets.
        site_url: where the site stands; a QR code leads to the clay's page there; none where empty.
    Returns: the sheets' text; `cards.render_pdf` sets it.
    Raises: ValueError, a paper that there is not; shapes.Impossible, a clay that can't be.
    """
    body, reader = make_body(spec), reader_of(studio)
    paper = paper or true_paper(str(studio.paper or ""))
    width_mm, _other = room_mm(paper)
    ways = (False, True) if body.height_factor != 1.0 else (None,)
    day = written_day(made)
    chapters = [
        [_rule(spec, body, stage, way, reader.systems, day, width_mm) for way in ways]
        for stage in ("wet", "leather-hard")
    ]
    url = f"{site_url.rstrip('/')}/clays/{quote(spec.slug)}.html?revision={revision(spec)}" if site_url else ""
    words = Words(
        str(spec.title), "", _("shrink rule"), f"{clay_words(spec)}. {_convention(body)}",
        f"{_shrinkage(body)}; {_origin(spec, body)} " + _("Revision {revision}, made {day}.").format(revision=revision(spec), day=day) + f" {studio.title}.",
        studio.language_tag, qr_picture(url) if url else "", str(reader.amounts(ALLOWED_MM, "mm", small=True)[0]),
    )  # fmt: skip
    if len(ways) == 1:
        chapters = [[item for chapter in chapters for item in chapter]]
    return render_sheets(f"{spec.slug}-rule", words, chapters, paper)


def _convention(body: Body) -> str:
    said = _(
        "Held to clay at the stage that it names, a rule reads the size that will be fired. Cut the strips out, join their pieces cross on cross, glue them to card and varnish it."
    )
    if body.height_factor != 1.0:
        said += " " + _(
            "This clay shrinks differently upward: use the rule named up for heights, and the one named across for everything level."
        )
    return said


def _shrinkage(body: Body) -> str:
    """What the clay shrinks, with its doubt."""
    said = [_share(body, stage) for stage in ("leather-hard", "fired")]
    if body.height_factor != 1.0:
        said.append(_("up × {factor}").format(factor=pointed(f"{body.height_factor:g}")))
    return _("Shrinkage of the wet length: {shares}").format(shares=", ".join(said))


def _share(body: Body, stage: str) -> str:
    deviation = body.deviation[STAGES.index(stage)]
    doubt = f" ± {deviation * 100.0:.1f}" if deviation else ""
    assumed = _(", assumed") if stage in body.assumed else ""
    return f"{_(stage)} " + pointed(f"{body.shrinkage_share(stage) * 100.0:.1f}{doubt}") + f" %{assumed}"


def _origin(spec: Clay, body: Body) -> str:
    """Where the shrinkage comes from: bars and their lots, or the line that was typed."""
    count = body.bars_count[STAGES.index("fired")]
    if not count:
        return _("as typed, not measured on bars of your own.")
    lots = list(dict.fromkeys(shortened(str(bar.lot), LOT_MM, TEXT_MM) for bar in spec.bars if bar.lot and bar.fired))
    named = (
        ngettext(", lot {lots}", ", lots {lots}", len(lots)).format(
            lots=", ".join(lots[:MOST_LOTS]) + (" …" if len(lots) > MOST_LOTS else "")
        )
        if lots
        else ""
    )
    return ngettext(
        "mean of {count} bar{lots}; ± is one standard deviation from bar to bar.",
        "mean of {count} bars{lots}; ± is one standard deviation from bar to bar.",
        count,
    ).format(count=count, lots=named)


def _rule(
    spec: Clay, body: Body, stage: str, upward: bool | None, systems: Sequence[str], day: str, room_width_mm: float
) -> Item:
    """One rule: millimetres along one edge, inches along the other, in the studio's order."""
    scale = mark_scale(body, stage, upward=bool(upward))
    length = scale * FIRED_IN * INCH_MM + BEYOND_MM
    height = EDGE_MM * len(systems) + WORDS_MM
    way = {None: _("across and up"), False: "across", True: "up"}[upward]
    heading = _("{stage} clay, {way}: reads fired size").format(stage=_(stage), way=way)
    about = f"{spec.title}, {_share(body, 'fired')}, {day}"
    spans = cut_spans(length, room_width_mm, OVERLAP_MM)

    def draw(sketch: Sketch) -> None:
        cut_out(sketch, length, height)
        for edge, system in enumerate(systems):
            y, inward = (height, -1.0) if edge == 0 else (0.0, 1.0)
            _draw_edge(sketch, system, scale, y, inward)
        words_mm = height - EDGE_MM - 3.6
        for start, end in spans:
            left = start + (3.0 if start == 0.0 else OVERLAP_MM + 2.0)
            room = end - left - OVERLAP_MM - 2.0
            sketch.letter(
                left, words_mm, shortened(capital(heading), room, TEXT_MM, True), TEXT_MM, anchor="start", strong=True
            )
            sketch.letter(left, words_mm - 3.6, shortened(about, room, SMALL_MM), SMALL_MM, anchor="start")

    return Item(
        _("{stage} rule, {way}").format(stage=_(stage), way=way),
        _("rule for {heading}, {fired} mm fired are {length} mm on it").format(
            heading=heading, fired=FIRED_MM, length=pointed(f"{scale * FIRED_MM:.1f}")
        ),
        length,
        height,
        draw,
    )


def _draw_edge(sketch: Sketch, system: str, scale: float, y: float, inward: float) -> None:
    """The marks along one edge and their numbers."""
    metric = system == METRIC
    for x, length, number in edge_marks(scale, metric):
        sketch.stroke(THIN, ((x, y), (x, y + inward * length)))
        if number:
            baseline = y + inward * (length + 0.9) - (0.72 * NUMBER_MM if inward < 0.0 else 0.0)
            sketch.letter(x, baseline, number, NUMBER_MM, strong=True)
    unit_mm = scale * (10.0 if metric else INCH_MM)
    sketch.letter(
        0.35 * unit_mm if metric else 0.5 * unit_mm,
        y + (inward * 7.2 if metric else inward * 7.6) - (0.72 * SMALL_MM if inward < 0.0 else 0.0),
        "mm" if metric else "in",
        SMALL_MM,
    )


def edge_marks(scale: float, metric: bool) -> Iterator[tuple[float, float, str]]:
    """Every mark of a rule's edge: where it stands, its length, and the number at it.

    Args:
        scale: length on the rule for each unit of fired length.
        metric: millimetres up to FIRED_MM, else sixteenths of an inch up to FIRED_IN.
    Returns: place and length in mm, number or nothing, one at a time.
    >>> [mark for mark in edge_marks(1.25, True)][9:11]
    [(11.25, 3.0, ''), (12.5, 6.0, '10')]
    """
    step_mm, last, marks = (1.0, FIRED_MM, MM_MARKS) if metric else (INCH_MM / 16.0, 16 * FIRED_IN, IN_MARKS)
    for count in range(last + 1):
        every, length = next((every, length) for every, length in marks if count % every == 0)
        whole = every == marks[0][0] and count
        yield scale * step_mm * count, length, f"{count if metric else count // 16}" if whole else ""
