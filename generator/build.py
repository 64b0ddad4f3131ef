"""The story from a maker's folder to output: read, work out, check, render, swap in."""

from __future__ import annotations

import datetime
import hashlib
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from generator import checks, folder, specs
from generator.problems import Problem, has_errors, in_file_order

if TYPE_CHECKING:
    from generator.cards import CardText
    from generator.pages import DataText, PageText
    from generator.sheet import Sheet

TEMPLATES = Path(__file__).resolve().parent.parent / "site_templates"
UNDATED = datetime.date(1, 1, 1)

Say = Callable[[str], None]


def say_nothing(words: str) -> None:
    """For a caller that wants to hear nothing."""


@dataclass(frozen=True, slots=True)
class Worked:
    """A maker's folder, read, worked out and checked."""

    root: Path
    texts: Mapping[str, str]
    project: specs.Project
    sheets: Mapping[str, Sheet]
    problems: tuple[Problem, ...]

    @property
    def refused(self) -> bool:
        """True where an error stands in the way of any output."""
        return has_errors(self.problems)


def work_out(root: Path, memory: folder.Memory | None = None) -> Worked:
    """Read a folder's specs, work every form out and check it all.

    Args:
        root: the folder that holds `specs/`.
        memory: what was read before; brought up to date.
    """
    memory = memory if memory is not None else folder.Memory()
    texts, found = folder.read_texts(root, memory)
    project = specs.read_project(texts, memory.parse)
    sheets, problems = checks.check_project(project)
    return Worked(root, texts, project, sheets, tuple(in_file_order([*found, *problems])))


# ---- pages and data ----


def render_pages(worked: Worked, *, with_cards: bool) -> tuple[PageText, ...]:
    """Every page of the site, the front page first."""
    from generator import pages

    return pages.render_site(worked.project, worked.sheets, with_cards=with_cards)


def render_data(worked: Worked) -> Iterator[DataText]:
    """Every data file: each form's figures as JSON beside its page, and all of them as one table."""
    from generator import pages

    for sheet in worked.sheets.values():
        yield pages.render_form_data(sheet)
    yield pages.render_figures_csv(worked.sheets.values())


# ---- cards ----


def make_cards(worked: Worked, *, site_url: str = "", say: Say = say_nothing) -> dict[str, Path]:
    """Set every form's wheel card and the deck for the wall; what did not change is taken from before.

    Args:
        worked: the folder; it has no errors.
        site_url: where the site will stand, for the QR code; none where empty.
        say: told how far it is.
    Returns: finished PDFs in the cache, by their path on the site.
    Raises: cards.CardsUnavailable.
    """
    from generator import cards

    cards.check_engine()
    cache = folder.private_folder(worked.root) / "cache"
    dated = _dated_cards(worked, cache, site_url)
    missing = {card.name: (card, path) for card, path in dated if not path.exists()}
    for count, (card, content) in enumerate(cards.render_each([card for card, _ in missing.values()]), 1):
        folder.write_whole(missing[card.name][1], content)
        say(f"cards {count} of {len(missing)}")
    made = {f"cards/{card.name}.pdf": path for card, path in dated}
    if dated:
        wall = cache / f"{hashlib.sha256(' '.join(path.name for _, path in dated).encode()).hexdigest()[:32]}.wall.pdf"
        if not wall.exists():
            say(f"one deck of {len(dated)} cards for the wall")
            folder.write_whole(wall, cards.render_deck([card for card, _ in dated], _deck_title(worked)))
        made["cards/wall.pdf"] = wall
    _forget_all_but(set(made.values()), cache)
    return made


def print_cards(worked: Worked, sheets: Sequence[Sheet], output: Path, *, kind: str = "wheel", paper: str = "A5") -> None:
    """Set the cards of some forms into one PDF.

    Args:
        worked: the folder.
        sheets: the forms, in the order in which they are printed.
        output: the PDF to write; it is there whole or as it was.
        kind, paper: see `cardtext.render_card`.
    Raises: cards.CardsUnavailable; OSError, the PDF cannot be written.
    """
    from generator import cards, cardtext

    cards.check_engine()
    site_url = load_site_config(worked.root, "").site_url or "" if (worked.root / "mkdocs.yml").exists() else ""
    made = _pinned_day() or datetime.date.today()
    texts = [cardtext.render_card(sheet, kind, paper=paper, made=made, site_url=site_url) for sheet in sheets]
    folder.write_whole(output, cards.render_pdf(texts[0]) if len(texts) == 1 else cards.render_deck(texts, _deck_title(worked)))


def find_cards(worked: Worked, site: Path) -> dict[str, Path]:
    """The cards that stand in a site that was built before, for a preview that makes none."""
    wanted = [f"cards/{slug}-wheel.pdf" for slug in worked.sheets] + ["cards/wall.pdf"]
    return {path: site / path for path in wanted if (site / path).is_file()}


def _dated_cards(worked: Worked, cache: Path, site_url: str) -> list[tuple[CardText, Path]]:
    """Each card with the day it was made and its place in the cache.

    The day stands on the card. A card whose text is else as it was keeps the day of the first time,
    so that nothing is set again only because it is tomorrow.
    """
    from generator import cards, cardtext

    known = {name: day for name, _, day in (path.stem.partition(".") for path in cache.glob("*.pdf"))}
    today = _pinned_day()
    dated = []
    for sheet in worked.sheets.values():
        key = cards.card_key(cardtext.render_card(sheet, made=UNDATED, site_url=site_url))
        day = today or _as_day(known.get(key)) or datetime.date.today()
        card = cardtext.render_card(sheet, made=day, site_url=site_url)
        dated.append((card, cache / f"{key}.{day.isoformat()}.pdf"))
    return dated


def _pinned_day() -> datetime.date | None:
    """The day that SOURCE_DATE_EPOCH names, for output that must be the same whenever it is made."""
    pinned = os.environ.get("SOURCE_DATE_EPOCH", "")
    return datetime.datetime.fromtimestamp(int(pinned), datetime.UTC).date() if pinned.isdigit() else None


def _as_day(text: str | None) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text or "")
    except ValueError:
        return None


def _deck_title(worked: Worked) -> str:
    return f"{worked.project.studio.title}: wheel cards"


def _forget_all_but(kept: set[Path], cache: Path) -> None:
    for path in set(cache.glob("*.pdf")) - kept:
        path.unlink(missing_ok=True)


# ---- the site ----


@dataclass(frozen=True, slots=True)
class Built:
    """What a build came to. `site` is None where the specs have errors; then nothing was written."""

    worked: Worked
    site: Path | None
    cards: int = 0
    without_cards: str = ""


def build_site(root: Path, *, with_cards: bool = True, say: Say = say_nothing) -> Built:
    """Make the whole site, cards and data, and swap it in for the last one.

    Args:
        root: the folder that holds `specs/` and perhaps `mkdocs.yml`.
        with_cards: also set the cards.
        say: told how far it is.
    Returns: what was made; `without_cards` says why there are no cards though they were asked for.
    Raises: folder.FolderError; the last good site stays as it was.
    """
    worked = work_out(root)
    if worked.refused:
        return Built(worked, None)
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    from mkdocs.commands.build import build

    say("reading the theme")
    config = load_site_config(root, str(worked.project.studio.title))
    plugin = config.plugins["wareboard"]
    plugin.given, plugin.say = worked, say
    plugin.config["cards"] = with_cards and plugin.config["cards"]
    site = Path(config.site_dir)
    config.plugins.on_startup(command="build", dirty=False)
    try:
        build(config)
    finally:
        plugin.close()
    return Built(worked, site, len(plugin.cards), plugin.without_cards)


def load_site_config(root: Path, title: str):
    """The site's configuration: the folder's own `mkdocs.yml`, or one that serves without.

    Raises: folder.FolderError, it cannot be used.
    """
    from mkdocs.config.base import ValidationError, load_config
    from mkdocs.exceptions import ConfigurationError

    own = root / "mkdocs.yml"
    plain = {"site_name": title, "docs_dir": folder.SPECS, "theme": {"name": "material", "font": False}, "plugins": ["search", "wareboard"]}
    try:
        with _config_file(own, plain) as stream:
            config = load_config(config_file=stream, config_file_path=str(own))
    except (ConfigurationError, ValidationError) as fault:
        raise folder.FolderError(f"mkdocs.yml: {fault}") from fault
    if "wareboard" not in config.plugins:
        raise folder.FolderError("mkdocs.yml does not name the plugin; write `- wareboard` under `plugins:`")
    return config


@contextmanager
def _config_file(own: Path, plain: dict) -> Iterator:
    """The file itself, or one in memory that stands in its place."""
    import io
    import json

    if own.exists():
        with open(own, "rb") as stream:
            yield stream
    else:
        stream = io.BytesIO(json.dumps(plain).encode())
        stream.name = str(own)
        yield stream
