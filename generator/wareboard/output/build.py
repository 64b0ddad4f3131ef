"""The story from a maker's folder to output: read, work out, check, render, swap in."""

from __future__ import annotations

import contextlib
import io
import json
import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from wareboard.output import files, folder, journal, keptforms
from wareboard.output.builtfolder import read_manifest
from wareboard.output.filling import note_standing
from wareboard.output.history import Record
from wareboard.output.leaves import Leaves
from wareboard.output.ownpages import Refused
from wareboard.output.plainsite import ELSEWHERE, build_plain, read_plain_settings
from wareboard.output.starting import renew_schemas
from wareboard.output.unchanged import STUDIO, Built, Sources, remember
from wareboard.output.working import Say, Worked, without_faulty, work_out
from wareboard.text.languages import speaking
from wareboard.text.problems import format_problem
from wareboard.text.sitesettings import FILE, THEME, check_theme, plugin_name, read_settings
from wareboard.text.source import Text


def build_site(
    root: Path,
    sources: Sources,
    *,
    with_cards: bool,
    audience: str,
    say: Say,
    typed: Mapping[str, str] = MappingProxyType({}),
    keep_going: bool = False,
    without_generator: bool = False,
) -> Built:
    """Make the whole site; see `site.build_if_changed`. Whoever does holds the folder's lock.

    Args:
        root: the maker's folder.
        sources: what the site is made from.
        with_cards: also set the cards.
        audience: whom it is for.
        say: told how far it is.
        typed: texts by path that beat the files.
        keep_going: build without the forms that have errors.
        without_generator: refuse what only the site generator does.
    """
    journal.settle(root, say)
    record = Record(root)
    keeping = None
    if audience == STUDIO:
        keeping = lambda texts, parse: Leaves.open(root, texts, None, record.old_cards, parse)
    worked = work_out(root, typed=typed, keeping=keeping)
    told = tuple((problem.level, format_problem(problem, worked.texts)) for problem in worked.problems)
    if worked.leaves and (worked.refused or worked.leaves.is_much_new):
        worked.leaves.keep()  # what is sound is not worked out again while a fault is being mended
    if worked.refused:
        rest = without_faulty(worked) if keep_going else None
        if rest is None:
            return Built(None, told, worked=worked)
        worked = rest
    with speaking(worked.project.studio.language_tag):
        try:
            settings = read_plain_settings(root, audience)
        except files.FolderError:
            if without_generator:
                raise
            return _build_worked(root, sources, worked, record, told, with_cards=with_cards, audience=audience, say=say)
        if not worked.left_out:
            renew_schemas(root, worked.project, keptforms.names_in)
        built, filling = build_plain(worked, record, settings, audience, with_cards=with_cards, say=say)
    built = replace(built, told=told)
    _keep_leaves(worked)
    is_told = not (worked.left_out or built.without_cards or built.said)
    with contextlib.suppress(OSError):  # without it the next build is a whole one
        standing = filling.stand()
        note_standing(root, audience, standing)
        remember(root, sources if is_told else replace(sources, asked=""), audience, built, standing.files)
    return built


def _keep_leaves(worked: Worked) -> None:
    """Keep what each form gave, now that its revisions are written."""
    if worked.leaves:
        worked.leaves.note_records(Record(worked.root))
        worked.leaves.keep()


def _build_worked(
    root: Path,
    sources: Sources,
    worked: Worked,
    record: Record,
    told: tuple,
    *,
    with_cards: bool,
    audience: str,
    say: Say,
) -> Built:
    """The site of a folder that is worked out."""
    from mkdocs.commands.build import build

    say("reading the theme")
    if refused := _other_theme(root):
        return Built(None, (*told, *refused), worked=worked)
    config = load_site_config(root, str(worked.project.studio.title))
    if audience != STUDIO:
        config = _config_for(audience, config)
    plugin = config.plugins["wareboard"]
    plugin.given, plugin.say, plugin.audience, plugin.locked = worked, say, audience, True
    plugin.given_record = record
    plugin.config["cards"] = with_cards and plugin.config["cards"]
    site = Path(config.site_dir)
    config.plugins.on_startup(command="build", dirty=False)
    try:
        build(config)
    except Refused as refused:
        return Built(None, (*told, *refused.told), worked=worked)
    finally:
        plugin.close()
    _keep_leaves(worked)
    built = Built(site, told, len(plugin.cards), plugin.without_cards, tuple(plugin.said), worked)
    manifest = read_manifest(site)
    if is_plain(config) and manifest and not (worked.left_out or plugin.without_cards or plugin.said):
        with contextlib.suppress(OSError):
            stats = {name: files.stat_of(site / name) for name in manifest.files}
            remember(root, sources, audience, built, stats)
    return built


# What may stand in mkdocs.yml for a site to depend on nothing but that file, the specs and this program.
PLAIN_PLUGINS = {"search", "wareboard"}


def is_plain(config) -> bool:
    """True where everything that a site is made from is known here: no plugin, hook or page of somebody else's."""
    path = Path(config.config_file_path)
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    specs = path.parent / folder.SPECS
    return (
        set(map(plugin_name, config.plugins)) <= PLAIN_PLUGINS
        and not config.hooks
        and not config.theme.custom_dir
        and Path(os.path.realpath(config.docs_dir)) == Path(os.path.realpath(specs))
        and not any(word in text for word in ELSEWHERE)
    )


def read_site_url(root: Path) -> str:
    """Where the site will stand, as `mkdocs.yml` has it; empty where it does not say."""
    return (load_site_config(root, "").site_url or "") if (root / "mkdocs.yml").exists() else ""


def site_folder(root: Path, audience: str) -> Path:
    """The folder that an audience's site is built into. Raises: files.FolderError, see `load_site_config`."""
    own = Path(load_site_config(root, "").site_dir)
    return own if audience == STUDIO else Path(f"{own}-{audience}")


def load_site_config(root: Path, title: str):
    """The site's configuration: the folder's own `mkdocs.yml`, or one that serves without.

    Raises: files.FolderError, it cannot be used.
    """
    from mkdocs.config.base import ValidationError, load_config
    from mkdocs.exceptions import ConfigurationError

    own = root / "mkdocs.yml"
    # A theme that studios wrote before is loaded before it is taken for ours, and would tell the maker of its own end.
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    try:
        with open(own, "rb") if own.exists() else _config_text(own, title) as stream:
            config = load_config(config_file=stream, config_file_path=str(own))
    except (ConfigurationError, ValidationError) as fault:
        raise files.FolderError(f"mkdocs.yml: {fault}") from fault
    if "wareboard" not in config.plugins:
        raise files.FolderError("mkdocs.yml does not name the plugin; write `- wareboard` under `plugins:`")
    return config


def _other_theme(root: Path) -> list[tuple[str, str]]:
    """What is said of a theme that is not the pages' own, before the site generator looks for it; else nothing."""
    path = root / FILE
    settings = read_settings(path.read_text(encoding="utf-8") if path.is_file() else f"theme: {THEME}")
    typed = settings.find("theme", "name") or settings.find("theme")
    if not isinstance(typed, Text):
        return []
    return [
        (problem.level, format_problem(problem, {FILE: settings.text})) for problem in check_theme(typed.text, settings)
    ]


def _config_text(own: Path, title: str) -> io.BytesIO:
    """A configuration that serves where there is none, as if it stood in the folder."""
    plain = {
        "site_name": title,
        "docs_dir": folder.SPECS,
        "theme": {"name": "wareboard"},
        "plugins": ["search", "wareboard"],
    }
    stream = io.BytesIO(json.dumps(plain).encode())
    stream.name = str(own)
    return stream


def _config_for(audience: str, own):
    """The configuration for others than the studio.

    What a maker wrote into `mkdocs.yml` for the studio is not carried over, but for where the site goes: into a folder
    beside the studio's, and to the address that stands under the plugin's `addresses`.
    """
    from mkdocs.config.base import load_config

    path = Path(own.config_file_path)
    # Read first: one instance of the plugin serves both configurations.
    options = own.plugins["wareboard"].config
    address, indexed = options["addresses"].get(audience, ""), options["indexed"]
    config = load_config(config_file=_config_text(path, own.site_name), config_file_path=str(path))
    config.site_dir = f"{own.site_dir}-{audience}"
    config.site_url = str(address)
    config.plugins["wareboard"].config["indexed"] = indexed
    return config
