"""What a maker wrote into `mkdocs.yml`: where each line stands, and what of it cannot be followed here.

The site generator reads the file itself and says nothing of places; this room looks only at what our pages do with it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from wareboard.pot.frozen import frozen
from wareboard.text.problems import Position, Problem, did_you_mean, error, format_words, warning
from wareboard.text.source import Listing, Mapping, Node, Text, read_nodes

FILE = "mkdocs.yml"
THEME = "wareboard"
# What studios wrote before the pages had a look of their own; it is taken for ours.
FORMERLY = "material"
# What is taken from under `theme:`; the rest is for pages that are drawn by a theme's own templates.
FOLLOWED = ("name", "custom_dir", "logo", "favicon", "static_templates")
_SAID_ELSEWHERE = {
    "language": "the site speaks the studio's language: write `language:` into specs/studio.yaml",
    "locale": "the site speaks the studio's language: write `language:` into specs/studio.yaml",
    "font": "the pages have their own face; another one is a style sheet of yours under `extra_css`",
    "palette": "the pages are light or dark as their reader has it; other colours are a style sheet of yours under `extra_css`",
}
# Plugins whose pages are drawn by the templates of the theme that they belong to.
_NEED_A_THEME = ("blog", "tags")


@frozen
class SiteSettings:
    """The settings as nodes; `top` is None where they cannot be read as plain YAML, and then every place is the first line."""

    text: str
    top: Mapping | None

    def find(self, *keys: str) -> Node | None:
        """What stands under a key, under a key within it, and so on."""
        node: Node | None = self.top
        for key in keys:
            node = node.get(key) if isinstance(node, Mapping) else None
        return node

    def place(self, *keys: str) -> Position:
        """Where a value stands; where it is not in the file, where the file begins."""
        node = self.find(*keys)
        return node.at if node is not None else Position(FILE)

    def place_of(self, *keys: str) -> Position:
        """Where a key stands."""
        above = self.find(*keys[:-1])
        for key, _ in above.entries if isinstance(above, Mapping) else ():
            if key.text == keys[-1]:
                return key.at
        return Position(FILE)

    def addresses(self) -> Iterator[tuple[str, Text]]:
        """Every file that is named for the pages to load, each with the setting that names it."""
        for name in ("extra_css", "extra_javascript"):
            node = self.find(name)
            for item in node.items if isinstance(node, Listing) else ():
                path = item.get("path") if isinstance(item, Mapping) else item
                if isinstance(path, Text):
                    yield name, path
        for name in ("logo", "favicon"):
            node = self.find("theme", name)
            if isinstance(node, Text):
                yield f"theme.{name}", node

    def listed_pages(self) -> Iterator[Text]:
        """Every address that `nav` leads to."""
        yield from _leaves(self.find("nav"))


def _leaves(node: Node | None) -> Iterator[Text]:
    if isinstance(node, Text):
        yield node
    for inner in node.items if isinstance(node, Listing) else [value for _, value in node.entries] if isinstance(node, Mapping) else ():  # fmt: skip
        yield from _leaves(inner)


def read_settings(text: str) -> SiteSettings:
    """The settings of a site, from the text of `mkdocs.yml`."""
    return SiteSettings(text, read_nodes(text, FILE)[0])


def is_elsewhere(address: str) -> bool:
    """True for the address of another host.

    >>> is_elsewhere("https://example.org/a.js"), is_elsewhere("//example.org/a.js"), is_elsewhere("js/a.js")
    (True, True, False)
    """
    return address.startswith("//") or "://" in address


def plugin_name(name: str) -> str:
    """What a plugin is called, whichever theme has put its own in its place.

    >>> plugin_name("material/search"), plugin_name("search")
    ('search', 'search')
    """
    return name.rpartition("/")[2]


# ---- what cannot be followed ----


def check_theme(name: str | None, settings: SiteSettings) -> list[Problem]:
    """The theme must be the one that the pages stand in.

    Args:
        name: the theme that holds; None where none is named.
        settings: what was typed.
    """
    if name in (THEME, FORMERLY):
        return []
    node = settings.find("theme")
    if node is None and settings.top is not None and settings.find("INHERIT") is None:
        name = None  # the site generator has taken its own
    at = node.at if isinstance(node, Text) else settings.place("theme", "name") if node is not None else Position(FILE)
    said = f"theme: `{name}`" if name else "theme: none is named"
    return [
        error(
            "unknown-theme", at, f"{said}; the pages stand in a look of their own, and in no other theme",
            f"write `theme: {{name: {THEME}}}`; your own templates and styles go into `custom_dir` and `extra_css`",
        )
    ]  # fmt: skip


def check_settings(settings: SiteSettings) -> list[Problem]:
    """Settings that say something which these pages do not do."""
    found: list[Problem] = []
    theme = settings.find("theme")
    named = {key.text: value for key, value in theme.entries} if isinstance(theme, Mapping) else {}
    called = named.get("name")
    is_former = isinstance(called, Text) and called.text == FORMERLY
    for key, value in theme.entries if isinstance(theme, Mapping) and not is_former else ():
        off = isinstance(value, Text) and value.text.lower() in ("false", "null", "~", "")
        if key.text not in FOLLOWED and not off:
            hint = _SAID_ELSEWHERE.get(key.text, "take it out")
            found.append(warning("not-followed", key.at, f"theme.{key.text}: nothing here follows it", hint))
    for name, path in settings.addresses():
        if is_elsewhere(path.text):
            found.append(
                error(
                    "other-host", path.at, f"{name}: `{path.text[:80]}` is on another host; the pages ask no other host for anything",
                    "put the file into your own pages' folder and write its path there",
                )
            )  # fmt: skip
    plugins = settings.find("plugins")
    for item in plugins.items if isinstance(plugins, Listing) else ():
        name_of = item if isinstance(item, Text) else item.entries[0][0] if isinstance(item, Mapping) else None
        if isinstance(name_of, Text) and plugin_name(name_of.text) in _NEED_A_THEME:
            found.append(
                error(
                    "not-followed", name_of.at, f"plugins: `{name_of.text}` draws its pages with templates of another theme",
                    "take it out; pages of your own are Markdown files in a folder that `docs_dir` names",
                )
            )  # fmt: skip
    return found


def check_paths(settings: SiteSettings, there: Collection[str], docs_folder: str) -> list[Problem]:
    """Every file that is named must be there.

    Args:
        settings: what was typed.
        there: every file of the site by its path among the maker's own: `about.md`, `img/kiln.jpg`.
        docs_folder: the folder of own pages as it is named; empty where there is none.
    """
    found: list[Problem] = []
    named = [*settings.addresses(), *(("nav", leaf) for leaf in settings.listed_pages())]
    for name, leaf in named:
        path = leaf.text.partition("#")[0].partition("?")[0]
        if is_elsewhere(leaf.text) or ":" in leaf.text or path in there or path.startswith("/") or not path:
            continue
        where = f"in {docs_folder}/" if docs_folder else "on the site"
        hint = did_you_mean(path, there, f"put the file into {docs_folder}/" if docs_folder else OWN_FOLDER)
        found.append(error("unknown-file", leaf.at, f"{name}: there is no `{path[:80]}` {where}", hint))
    return found


OWN_FOLDER = "your own pages go into a folder of their own: make `docs`, and write `docs_dir: docs`"


def check_blocks(file: str, blocks: dict[str, int], known: Collection[str]) -> list[Problem]:
    """A template of the maker's may fill only blocks that there are; any other is left out without a word.

    Args:
        file: the template.
        blocks: its blocks, each with its line.
        known: the blocks of ours.
    """
    return [
        error(
            "unknown-block", Position(file, line, 1), f"block `{name}`: the page has no such block, so it would not be shown",
            f"it has {format_words(sorted(known), 'and')}",
        )
        for name, line in blocks.items()
        if name not in known
    ]  # fmt: skip


def unused_template(file: str) -> Problem:
    """A template that no page is drawn by, for instance one that would take the place of another theme's."""
    return warning(
        "not-followed", Position(file), "no page is drawn by this template",
        "a page says `template:` in its head; what all pages have round them is `main.html`, which begins with `{% extends \"base.html\" %}`",
    )  # fmt: skip


def page_in_specs(path: str) -> Problem:
    """A Markdown page that lies where nothing is taken from."""
    return warning(
        "not-followed", Position(path), "nothing is taken from specs/ as it is, so this page is not shown", OWN_FOLDER
    )


def name_taken(path: str, address: str) -> Problem:
    """An own page or file that stands where one of ours does.

    Args:
        path: the file.
        address: where both would be on the site.
    """
    hint = "call it by another name, like `welcome.md`" if address == "index.html" else "call it by another name"
    front = (
        "the front page, which lists the forms, is"
        if address == "index.html"
        else "a page or file made from the specs is"
    )
    return error("name-taken", Position(path), f"{front} `{address}` already", hint)
