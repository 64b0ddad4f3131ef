"""What shops are handed as files, from stock records alone: sheets and list as PDFs, each form as a picture of pixels."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from pathlib import Path

from wareboard.cards import engine
from wareboard.cards.audience import Stock, StockForm
from wareboard.cards.engine import CardText
from wareboard.cards.stock import LIST, render_stock_card, render_stock_list_card
from wareboard.drawing.views import Point
from wareboard.output import files
from wareboard.output.printing import Job, do_jobs, is_kept, render_one

SIDE_PIXELS = 1200
MARGIN_PIXELS = 90
STROKE_PIXELS = 6
FINER = 3  # drawn so many times as large and brought down, for smooth lines
APART_MM = 12.0  # between pieces that stand side by side
INK = 26


def make_stock_cards(
    stock: Stock,
    cache: Path,
    *,
    site_url: str = "",
    own_fonts: tuple[Path, ...] = (),
    say: Callable[[str], None] = lambda words: None,
) -> dict[str, Path]:
    """Set every stock sheet and the stock list; what did not change is taken from before.

    Args:
        stock: what shops are told.
        cache: the folder that keeps what was set, and nothing else.
        site_url: where the shops' site will stand, for the QR code; none where empty.
        own_fonts: the studio's own fonts.
        say: told how far it is.
    Returns: finished PDFs in the cache, by their path on the site.
    Raises: engine.CardsUnavailable.
    """
    texts = _texts(stock, site_url, own_fonts)
    made = {path: cache / f"{engine.card_key(text)}.pdf" for path, text in texts.items()}
    missing = {made[path]: text for path, text in texts.items() if not is_kept(made[path])}
    jobs = [Job((place,), render_one, (text,), len(text.html)) for place, text in missing.items()]
    for count, (job, (content,)) in enumerate(do_jobs(jobs) if jobs else (), 1):
        files.write_whole(job.places[0], content)
        say(f"cards {count} of {len(jobs)}")
    for path in set(cache.glob("*.pdf")) - set(made.values()):
        path.unlink(missing_ok=True)
    return made


def find_stock_cards(
    stock: Stock, cache: Path, *, site_url: str = "", own_fonts: tuple[Path, ...] = ()
) -> dict[str, Path]:
    """The stock sheets and the list that were set before and tell what is told now; a shop gets none that is out of date.

    Args:
        stock: what shops are told now.
        cache: the folder that keeps what was set.
        site_url: where the shops' site will stand.
        own_fonts: the studio's own fonts.
    Returns: PDFs in the cache, by their path on the site.
    """
    texts = _texts(stock, site_url, own_fonts)
    places = {path: cache / f"{engine.card_key(text)}.pdf" for path, text in texts.items()}
    return {path: place for path, place in places.items() if is_kept(place)}


def _texts(stock: Stock, site_url: str, own_fonts: tuple[Path, ...]) -> dict[str, CardText]:
    texts = {
        f"cards/{form.name}-stock.pdf": render_stock_card(form, stock, made=form.made, site_url=site_url)
        for form in stock.forms
    }
    if stock.forms:
        texts[f"cards/{LIST}.pdf"] = render_stock_list_card(stock, made=max(form.made for form in stock.forms))
    return {path: replace(text, own_fonts=own_fonts) for path, text in texts.items()}


def picture_of(form: StockForm) -> bytes:
    """A square PNG of a form as it stands on the shelf, fired, without sizes.

    Args:
        form: what the shop is told.
    """
    from PIL import Image, ImageDraw

    side, margin = SIDE_PIXELS * FINER, MARGIN_PIXELS * FINER
    width = sum(piece.diameter_mm for piece in form.pieces) + APART_MM * (len(form.pieces) - 1)
    height = max(piece.height_mm for piece in form.pieces)
    scale = (side - 2 * margin) / max(width, height)
    ground = (side + height * scale) / 2.0
    image = Image.new("L", (side, side), 255)
    pen = partial(_stroke, ImageDraw.Draw(image))
    axis = (side - width * scale) / 2.0
    for piece in form.pieces:
        axis += piece.diameter_mm * scale / 2.0
        for sign in (-1.0, 1.0):
            for line in piece.lines:
                pen((axis + sign * r * scale, ground - z * scale) for r, z in line)
        for r, z in piece.edges:
            pen([(axis - r * scale, ground - z * scale), (axis + r * scale, ground - z * scale)])
        axis += (piece.diameter_mm / 2.0 + APART_MM) * scale
    made = io.BytesIO()
    image.resize((SIDE_PIXELS, SIDE_PIXELS), Image.Resampling.LANCZOS).save(made, "PNG", optimize=True)
    return made.getvalue()


def _stroke(pen, points: Iterable[Point]) -> None:
    """A line with round ends."""
    line = list(points)
    half = STROKE_PIXELS * FINER / 2.0
    pen.line(line, fill=INK, width=STROKE_PIXELS * FINER, joint="curve")
    for x, y in (line[0], line[-1]):
        pen.ellipse((x - half, y - half, x + half, y + half), fill=INK)
