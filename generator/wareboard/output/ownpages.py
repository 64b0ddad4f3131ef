"""A maker's own pages beside the forms: which files are theirs, and where they stand in the navigation.

Works on the site generator's files and configuration as they are handed over; nothing is rendered here.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from wareboard.output import files, folder
from wareboard.text.problems import Problem
from wareboard.text.sitesettings import (
    SiteSettings,
    check_blocks,
    check_paths,
    name_taken,
    page_in_specs,
    unused_template,
)


class Refused(files.FolderError):
    """The site's settings or the maker's own files cannot be followed; `told` says why, each with its level."""

    def __init__(self, told: Sequence[tuple[str, str]]):
        """Said in one go."""
        super().__init__("\n".join(words for _, words in told))
        self.told = tuple(told)


def has_own_folder(config: Any) -> bool:
    """True where own pages have a folder: any but the specs', of which nothing is ever copied to a site."""
    specs = Path(config.config_file_path).parent / folder.SPECS
    return os.path.realpath(config.docs_dir) != os.path.realpath(specs)


def own_files(found: Iterable[Any], config: Any) -> list[Any]:
    """The files of the maker's own folder, and those that other plugins made."""
    has_own, specs = has_own_folder(config), os.path.realpath(Path(config.config_file_path).parent / folder.SPECS)
    return [file for file in found if file.generated_by or (has_own and _is_own(file, config.docs_dir, specs))]


def _is_own(file: Any, docs_dir: str, specs: str) -> bool:
    """A spec is private, even where a link leads to it."""
    return file.src_dir == docs_dir and not os.path.realpath(file.abs_src_path).startswith(specs + os.sep)


def pages_in_specs(found: Iterable[Any], config: Any) -> list[Problem]:
    """Markdown pages among the specs; a `README.md` there is for who reads the folder."""
    if has_own_folder(config):
        return []
    root = Path(config.config_file_path).parent
    pages = (file for file in found if file.src_dir == config.docs_dir and file.is_documentation_page())
    return [page_in_specs(os.path.relpath(file.abs_src_path, root)) for file in pages if file.name != "index"]


def clashes(own: Iterable[Any], ours: Iterable[str], config: Any) -> list[Problem]:
    """Own files that would stand where one of ours does.

    Args:
        own: the maker's files.
        ours: where ours stand on the site.
        config: the site generator's.
    """
    taken, root = set(ours), Path(config.config_file_path).parent
    included = (file for file in own if file.inclusion.is_included() or file.inclusion.is_in_serve())
    return [
        name_taken(os.path.relpath(file.abs_src_path or file.src_uri, root), file.dest_uri)
        for file in included
        if file.dest_uri in taken
    ]


def wrong_paths(settings: SiteSettings, every: Iterable[Any], config: Any) -> list[Problem]:
    """What the settings name and nobody has; a page may be called by its Markdown file or as it stands on the site."""
    there: set[str] = set()
    for file in every:
        there |= {file.src_uri, file.dest_uri}
    named = os.path.relpath(config.docs_dir, Path(config.config_file_path).parent) if has_own_folder(config) else ""
    return check_paths(settings, there, named)


# ---- templates ----


def wrong_templates(env: Any, every: Iterable[Any], config: Any, look: Path) -> list[Problem]:
    """What stands in the templates of `custom_dir` and would not be shown.

    Args:
        env: the template environment, whose templates of that folder come before ours.
        every: the site's files; their pages have been read, and may name templates.
        config: the site generator's.
        look: the folder of our templates.
    """
    from jinja2.meta import find_referenced_templates
    from jinja2.nodes import Block

    if not config.theme.custom_dir:
        return []
    own, root = Path(config.theme.custom_dir), Path(config.config_file_path).parent
    ours = {path.name: env.parse(path.read_text(encoding="utf-8")) for path in sorted(look.glob("*.html"))}
    known = {block.name for tree in ours.values() for block in tree.find_all(Block)}
    trees = {
        path.relative_to(own).as_posix(): env.parse(path.read_text(encoding="utf-8"), path.name, str(path))
        for path in sorted(own.rglob("*.html"))
    }
    referred = {name: set(find_referenced_templates(tree)) for name, tree in trees.items()}
    used = {*ours, *config.theme.static_templates, *set().union(*referred.values())}
    used |= {str(file.page.meta.get("template")) for file in every if file.page is not None}
    found: list[Problem] = []
    for name, tree in trees.items():
        file = os.path.relpath(own / name, root)
        if name not in used:
            found.append(unused_template(file))
        elif referred[name] & ours.keys():
            blocks = {block.name: block.lineno for block in tree.find_all(Block)}
            within = {block.name for block in tree.find_all(Block) if _is_within(block, tree)}
            found += check_blocks(file, {block: line for block, line in blocks.items() if block not in within}, known)
    return found


def _is_within(block: Any, tree: Any) -> bool:
    """True for a block that stands in another, and is shown with it."""
    return any(block in set(other.find_all(type(block))) for other in tree.find_all(type(block)) if other is not block)


# ---- the navigation ----


def navigation(ours: Sequence[tuple[str, str]], typed: list[Any] | None, own: Iterable[str]) -> list[Any] | None:
    """What stands in the header: our pages and then the maker's own; as typed where that names any page of ours.

    Args:
        ours: title and source of each of our pages that is listed.
        typed: `nav` as the maker has it.
        own: sources of the maker's pages, where nothing is typed.
    """
    sources = {source for _, source in ours}
    if typed and sources & set(_leaves(typed)):
        return typed
    listed: list[Any] = [{title: source} for title, source in ours]
    return [*listed, *(typed or _nested(own))] or None


def _leaves(items: Any) -> Iterator[str]:
    if isinstance(items, str):
        yield items
    for inner in items if isinstance(items, list) else items.values() if isinstance(items, dict) else ():
        yield from _leaves(inner)


def titles(items: Any) -> Iterator[tuple[str, str]]:
    """What pages are called where `nav` calls them otherwise than they call themselves: words and source."""
    for title, inner in items.items() if isinstance(items, dict) else ():
        if isinstance(inner, str):
            yield title, inner
    for inner in items if isinstance(items, list) else items.values() if isinstance(items, dict) else ():
        yield from titles(inner)


def _nested(sources: Iterable[str]) -> list[Any]:
    from mkdocs.utils import nest_paths

    return list(nest_paths(sources))


def own_items(items: Iterable[Any], is_ours: Any) -> list[Any]:
    """Those of the navigation that lead to the maker's own pages, or off the site.

    Args:
        items: its pages, parts and links.
        is_ours: tells a page of ours.
    """
    return [item for item in items if not is_ours(item) and not _leads_to_ours(item, is_ours)]


def _leads_to_ours(item: Any, is_ours: Any) -> bool:
    return bool(item.children) and all(is_ours(inner) or _leads_to_ours(inner, is_ours) for inner in item.children)
