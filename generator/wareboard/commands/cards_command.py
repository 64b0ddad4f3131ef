"""The command `wareboard cards`: any choice of printed cards, on any paper that they go on, several to a sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.shared import FormName, OneOf, ProgressLine, SpecName, forms_of
from wareboard.text.languages import speaking
from wareboard.text.problems import did_you_mean, format_problem, format_words

if TYPE_CHECKING:
    from wareboard.cards.cardkinds import CardKind
    from wareboard.cards.engine import CardText
    from wareboard.output.printing import Wanted
    from wareboard.output.working import Worked

ALL = "all"


def _every_kind() -> list[str]:
    from wareboard.cards.cardkinds import KINDS

    return [*KINDS, ALL]


def _every_paper() -> list[str]:
    from wareboard.cards.cardtext import PAPERS

    return list(PAPERS)


@click.command(short_help="Print a choice of cards into one PDF.")
@click.argument("forms", nargs=-1, metavar="[FORM]…", type=FormName())
@click.option(
    "--kind",
    "kinds",
    multiple=True,
    metavar="KIND,…",
    type=OneOf(_every_kind, several=True),
    help="Which cards: wheel (unless said otherwise), trimming, bench, template, studio, stock, stock-list, rule, or all.",
)
@click.option(
    "--clay", "clays", multiple=True, metavar="CLAY", type=SpecName("clays"), help="The shrink rule of this clay."
)
@click.option(
    "--paper",
    "papers",
    multiple=True,
    metavar="PAPER,…",
    type=OneOf(_every_paper, several=True),
    help="Each card goes on the first of these that it fits; the studio's own unless given.",
)
@click.option(
    "--sheet",
    metavar="PAPER",
    type=OneOf(_every_paper),
    help="Several cards on each sheet of this paper, at true size, with marks to cut by.",
)
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The PDF to write; named after the card, or cards.pdf, unless given.",
)
@click.pass_obj
def cards(
    directory: Path,
    forms: tuple[str, ...],
    kinds: tuple[str, ...],
    clays: tuple[str, ...],
    papers: tuple[str, ...],
    sheet: str | None,
    output: Path | None,
) -> None:
    """Print a choice of cards into one PDF.

    \b
      wareboard cards tea-caddy
      wareboard cards --kind wheel,trimming --paper A6 --sheet A4 -o wall.pdf
      wareboard cards --clay millpond-buff

    Without a FORM all of them are printed, in the catalogue's order, with bookmarks. Cards are never
    scaled. With --sheet, cards of one size share sheets; tags for screen readers, title and bookmarks
    stay. Tags are checked with a PDF library, not by a full conformance checker.

    The PDF is written when all of it is there; until then the one before stays. What is printed is
    remembered in specs/.revisions, so that a page can tell an old card what has changed.
    """
    line = ProgressLine()
    try:
        written = _print(directory, forms, _listed(kinds), clays, _listed(papers), sheet, output, line.say)
    finally:
        line.clear()
    click.echo(written)


def _listed(words: Iterable[str]) -> list[str]:
    """Words that may stand in one option, with commas, or in several."""
    return list(dict.fromkeys(word.strip() for given in words for word in given.split(",") if word.strip()))


def _print(directory, forms, kinds, clays, papers, sheet, output, say) -> Path:
    from wareboard.cards.cardkinds import PAPER_MM
    from wareboard.cards.engine import CardsUnavailable
    from wareboard.cards.imposing import SheetTooSmall, is_ours
    from wareboard.output import files
    from wareboard.output.build import read_site_url
    from wareboard.output.faults import machine_fault
    from wareboard.output.history import Record
    from wareboard.output.overwriting import check_destination
    from wareboard.output.printing import keep_record, print_cards
    from wareboard.text.problems import Impossible

    names = _kinds(kinds, forms, clays)
    for paper in (*papers, *([sheet] if sheet else [])):
        check_one_of("paper", paper, PAPER_MM)
    # A rule is about its clay alone: it can be printed while a form is still at fault.
    worked, slugs = forms_of(directory, forms if forms or names != ["rule"] else None)
    wanted = _wanted(worked, names, slugs if forms else None, clays, every=ALL in kinds)
    record, site_url = Record(directory), read_site_url(directory)
    on = {card.kind.name: _paper_for(card.kind, papers) for card in wanted}
    try:
        with speaking(worked.project.studio.language_tag):
            texts: list[tuple[Wanted, CardText]] = [
                (card, card.text(record, paper=on[card.kind.name], site_url=site_url)) for card in wanted
            ]
    except Impossible as fault:
        raise click.ClickException(format_problem(fault.problem, worked.texts)) from fault
    path = output or Path(f"{texts[0][1].name}.pdf" if len(texts) == 1 else "cards.pdf")
    check_destination(path, directory, is_ours, "a PDF of cards")
    try:
        with speaking(worked.project.studio.language_tag):
            pdf = print_cards(worked, texts, PAPER_MM[sheet] if sheet else None, say)
    except CardsUnavailable as fault:
        raise click.ClickException(str(fault)) from fault
    except SheetTooSmall as fault:
        raise click.UsageError(_too_small(fault.card_mm, sheet)) from fault
    for words in keep_record(wanted, record, "wareboard cards", say):
        click.echo(words, err=True)
    try:
        files.write_whole(path, pdf)
    except OSError as fault:
        raise click.ClickException(f"{path} cannot be written: {machine_fault(fault)}") from fault
    return path


def _kinds(kinds: Sequence[str], forms: Sequence[str], clays: Sequence[str]) -> list[str]:
    """The kinds that are asked for. A clay alone asks for its rule; a form asks for no other form's cards."""
    from wareboard.cards.cardkinds import FORM, KINDS

    for kind in kinds:
        check_one_of("kind of card", kind, (*KINDS, ALL))
    if ALL in kinds:
        return [name for name, kind in KINDS.items() if kind.about == FORM or not forms or (clays and name == "rule")]
    if clays and not kinds and not forms:
        return ["rule"]
    return [*(kinds or ["wheel"]), *(["rule"] if clays and "rule" not in kinds else [])]


def _wanted(
    worked: Worked, names: Sequence[str], slugs: Sequence[str] | None, clays: Sequence[str], *, every: bool
) -> list[Wanted]:
    """The cards, at least one. A clay's rule goes with the forms that are named, unless a clay is."""
    from wareboard.cards.cardkinds import KINDS
    from wareboard.output.printing import wanted_cards

    for clay in clays:
        check_one_of("clay", clay, sorted(slug for folder, slug in worked.project.named if folder == "clays"))
        if clay not in worked.project.clays:
            raise click.ClickException(f"{clay} has errors; `wareboard check` says which")
    bodies = list(clays) or (
        None if slugs is None else list(dict.fromkeys(str(worked.project.forms[slug].clay) for slug in slugs))
    )
    found = wanted_cards(worked, names, slugs, bodies)
    for name in [] if every else names:
        _check_made(KINDS[name], {card.name for card in found if card.kind.name == name}, slugs)
    if not found:
        raise click.UsageError("there is nothing to print: no form or clay here can have such a card")
    return found


def _check_made(kind: CardKind, made: set[str], slugs: Sequence[str] | None) -> None:
    """End the command where a form that is named has no card of a kind that is named, or no form has."""
    from wareboard.cards.cardkinds import FORM

    without = [slug for slug in slugs or () if f"{slug}-{kind.name}" not in made] if kind.about == FORM else []
    if without or not made:
        needs = f"; it needs {kind.needs}" if kind.needs else ""
        raise click.UsageError(
            f"there is no {kind.called} of {format_words(without, 'and') if without else 'any form here'}{needs}"
        )


def _paper_for(kind: CardKind, papers: Sequence[str]) -> str | None:
    """The first of some papers that a kind goes on; None where none is asked for."""
    if not papers:
        return None
    found = next((paper for paper in papers if paper in kind.papers), None)
    if found is None:
        goes_on = sorted(kind.papers, key=_area_mm2)
        raise click.UsageError(
            f"a {kind.called} does not go on {format_words(papers)}; it goes on {format_words(goes_on)} and on nothing smaller. Name a paper for each: --paper {papers[0]},{goes_on[0]}"
        )
    return found


def _area_mm2(paper: str) -> float:
    from wareboard.cards.cardkinds import PAPER_MM

    return PAPER_MM[paper][0] * PAPER_MM[paper][1]


def _too_small(card_mm: tuple[float, float], sheet: str) -> str:
    """What to print on instead."""
    from wareboard.cards.cardkinds import PAPER_MM
    from wareboard.cards.imposing import SheetTooSmall, find_grid

    def takes(paper: str) -> bool:
        try:
            return bool(find_grid(card_mm, PAPER_MM[paper]))
        except SheetTooSmall:
            return False

    smallest = min(filter(takes, PAPER_MM), key=_area_mm2, default=None)
    hint = f"the smallest paper that takes it is {smallest}" if smallest else "leave --sheet out"
    return f"a card of {card_mm[0]:.0f} × {card_mm[1]:.0f} mm does not go on a sheet of {sheet}; {hint}"


def check_one_of(what: str, word: str, words: Iterable[str]) -> None:
    """End the command where a word is none of some words, with the one that was perhaps meant."""
    words = list(words)
    if word not in words:
        hint = did_you_mean(word, words, f"there is {format_words(words)}", sign="'")
        raise click.UsageError(f"there is no {what} '{word}'; {hint}")
