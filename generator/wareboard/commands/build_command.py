"""The command `wareboard build`: the site, the cards and the data, for the studio, an assistant or a shop."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from wareboard.commands.cards_command import check_one_of
from wareboard.commands.shared import OneOf, ProgressLine, coloured, named_forms, shown_path, summary, texts_in_clay
from wareboard.text.problems import format_words


@click.command(short_help="Make the site, the cards and the data.")
@click.option("--no-cards", is_flag=True, help="Leave the printed cards out.")
@click.option(
    "--for",
    "audience",
    default="studio",
    metavar="WHOM",
    type=OneOf(lambda: ("studio", "assistant", "stockist")),
    help="studio (everything), assistant or stockist.",
)
@click.option(
    "--clay-for",
    "clays",
    multiple=True,
    metavar="FORM=CLAY",
    help="Build as if a form were of another clay of the studio's.",
)
@click.option(
    "--keep-going", is_flag=True, help="Leave forms with errors out and build the rest; the exit status is still 1."
)
@click.option("--without-generator", is_flag=True, hidden=True, help="Private: the same site by our own hands.")
@click.pass_obj
def build(
    directory: Path, no_cards: bool, audience: str, clays: tuple[str, ...], keep_going: bool, without_generator: bool
) -> None:
    """Make the site, the cards and the data in site/.

    For an assistant, in site-assistant/: all that it takes to make the ware, no prices and no shops. For a stockist, in
    site-stockist/: fired sizes, weight, care and price of the forms that have a `stockist` block, and nothing else.

    The last site stays as it is until the new one is whole. Where a spec has an error nothing is written, unless it is
    asked to keep going: then the front page says which forms are left out, and why.
    """
    from wareboard.output.site import build_if_changed
    from wareboard.output.unchanged import AUDIENCES, STOCKIST

    check_one_of("audience", audience, AUDIENCES)
    line = ProgressLine()
    try:
        typed = texts_in_clay(directory, _asked(directory, clays)) if clays else {}
        built = build_if_changed(
            directory,
            with_cards=not no_cards,
            audience=audience,
            say=line.say,
            typed=typed,
            keep_going=keep_going,
            without_generator=without_generator,
        )
    finally:
        line.clear()
    for level, words in built.told:
        click.echo(coloured(words, level), err=True)
    if built.site is None:
        wrong = f"{summary(built.worked)}; " if built.worked.refused else ""
        click.echo(f"{wrong}nothing was built", err=True)
        sys.exit(1)
    for words in built.said:
        click.echo(words, err=True)
    click.echo(f"The site:  {shown_path(built.site / 'index.html')}")
    if built.cards:
        together = built.site / "cards" / ("stock-list.pdf" if audience == STOCKIST else "wall.pdf")
        click.echo(f"The cards: {shown_path(built.site / 'cards')}{os.sep}*.pdf, all of them in {shown_path(together)}")
    if built.worked is not None and built.worked.left_out:
        names = format_words((slug for slug, _ in built.worked.left_out), "and")
        raise click.ClickException(f"left out: {names}; the rest is built")
    if built.without_cards:
        raise click.ClickException(f"There are no cards. {built.without_cards}")


def _asked(directory: Path, clays: tuple[str, ...]) -> list[tuple[str, str]]:
    """Forms' slugs and clays', from `FORM=CLAY`."""
    found = []
    for words in clays:
        form, equals, clay = words.partition("=")
        if not equals:
            raise click.UsageError(f"--clay-for {words[:60]}: write it like tea-caddy=quarry-brown")
        found.append((named_forms(directory, [form.strip()])[0], clay.strip()))
    return found
