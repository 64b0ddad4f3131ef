"""The site of an audience: built anew, or found to be there already from just what there is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

from wareboard.output import files
from wareboard.output.unchanged import STUDIO, Built, find_unchanged, sources_of, today

Say = Callable[[str], None]


def build_if_changed(
    root: Path, *, with_cards: bool = True, audience: str = STUDIO, say: Say = lambda words: None,
    typed: Mapping[str, str] = MappingProxyType({}), keep_going: bool = False, without_generator: bool = False,
) -> Built:  # fmt: skip
    """Make the whole site, cards and data, and swap it in for the last one; or find that nothing has changed since.

    The site for another audience goes into a folder of its own beside the studio's, `site-stockist`.

    Args:
        root: the folder that holds `specs/` and perhaps `mkdocs.yml`.
        with_cards: also set the cards; else the last ones stay.
        audience: whom it is for.
        say: told how far it is.
        typed: texts by path that beat the files.
        keep_going: build without the forms that have errors; what leans on them is left out too.
        without_generator: refuse what only the site generator does.
    Raises: files.FolderError, OSError; the last good site stays as it was.
    """
    with files.writing(root, _command_of(audience), say=say):
        sources = sources_of(root, today().isoformat(), audience, with_cards, *sorted(typed.items()))
        if not (root / files.PRIVATE / files.JOURNAL).exists():
            found = find_unchanged(root, sources, audience)
            if found is not None:
                return found
        from wareboard.output.build import build_site

        return build_site(
            root,
            sources,
            with_cards=with_cards,
            audience=audience,
            say=say,
            typed=typed,
            keep_going=keep_going,
            without_generator=without_generator,
        )


def _command_of(audience: str) -> str:
    return "wareboard build" if audience == STUDIO else f"wareboard build --for {audience}"
