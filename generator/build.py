"""The story from a maker's folder to output: read, work out, check, render, swap in."""

from __future__ import annotations

import io
import json
import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from generator import checks, folder, specs
from generator.problems import Problem, has_errors, in_file_order

if TYPE_CHECKING:
    from generator.history import Record
    from generator.pages import DataText, PageText
    from generator.sheet import Sheet

TEMPLATES = Path(__file__).resolve().parent.parent / "site_templates"

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


def render_pages(worked: Worked, *, with_cards: bool, record: Record | None = None) -> tuple[PageText, ...]:
    """Every page of the site, the front page first; with a record, forms tell old cards what changed."""
    from generator import pages

    return pages.render_site(worked.project, worked.sheets, with_cards=with_cards, old_cards=record.old_cards if record else pages.no_old_cards)


def render_data(worked: Worked) -> Iterator[DataText]:
    """Every data file: each form's figures as JSON beside its page, and all of them as one table."""
    from generator import pages

    for sheet in worked.sheets.values():
        yield pages.render_form_data(sheet)
    yield pages.render_figures_csv(worked.sheets.values())


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


def read_site_url(root: Path) -> str:
    """Where the site will stand, as `mkdocs.yml` has it; empty where it does not say."""
    return (load_site_config(root, "").site_url or "") if (root / "mkdocs.yml").exists() else ""


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
    if own.exists():
        with open(own, "rb") as stream:
            yield stream
    else:
        stream = io.BytesIO(json.dumps(plain).encode())
        stream.name = str(own)
        yield stream
