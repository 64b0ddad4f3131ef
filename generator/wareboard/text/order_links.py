"""What orders, and the studio's clay at hand, say of other files: every name that must exist, every count that must follow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from wareboard.pot.stages import COUNTED
from wareboard.text.kinds import ByName, Word
from wareboard.text.order_specs import Made, Order
from wareboard.text.plain import escaped
from wareboard.text.problems import Problem, did_you_mean, error
from wareboard.text.projects import FOLDERS, Project, form_called


def check_order_links(project: Project) -> list[Problem]:
    """Every name in orders and in what the studio has at hand that leads nowhere, and every tally that cannot be."""
    problems = [problem for order in project.orders.values() for problem in check_order(order, project)]
    studio = project.studio
    if studio.kiln:
        problems += _file(project, "kilns", studio.kiln, "kiln")
    for number, stock in enumerate(studio.stock, 1):
        problems += _file(project, "clays", stock.clay, f"stock[{number}].clay")
        unread = any(problem.message.startswith(f"stock[{number}].") for problem in project.problems)
        if (stock.water is None) == (stock.weighed is None) and not unread:
            both = "both are there" if stock.water else "neither is there"
            problems.append(
                error(
                    "water-unknown",
                    stock.at,
                    f"stock[{number}]: clay at hand has either `water` or `weighed`; {both}",
                    "write `water: 19 %`, or weigh a lump of it wet and bone dry: `weighed: {wet: 412 g, dry: 301 g}`",
                )
            )
        elif stock.weighed and stock.weighed.dry.value > stock.weighed.wet.value:
            problems.append(
                error(
                    "heavier-dry",
                    stock.weighed.dry.at,
                    f"stock[{number}].weighed: dry it weighs {stock.weighed.dry.typed}, wet {stock.weighed.wet.typed}",
                    "clay loses weight as it dries; perhaps the two are exchanged",
                )
            )
    return problems


def check_order(order: Order, project: Project) -> Iterator[Problem]:
    """Every name in one order that leads nowhere, and every count of its tally that cannot be."""
    if order.kiln:
        yield from _file(project, "kilns", order.kiln, "kiln")
    for number, line in enumerate(order.lines, 1):
        yield from _file(project, "forms", line.form, f"lines[{number}].form")
        if line.glaze:
            yield from _file(project, "glazes", line.glaze, f"lines[{number}].glaze")
        if (line.from_stock or 0) > line.sets:
            yield error(
                "more-than-ordered",
                line.at,
                f"lines[{number}]: {line.from_stock} from stock, and {line.sets} are wanted",
                "take no more from stock than the line asks for",
            )
    ordered = {str(line.form) for line in order.lines}
    astray = any(("forms", form) not in project.named for form in ordered)
    for number, made in enumerate(order.made, 1):
        path = f"made[{number}]"
        missing = list(_file(project, "forms", made.form, f"{path}.form"))
        yield from missing
        # A line that names no form may be the one that is meant, and its own message says what to write.
        if not missing and not astray and str(made.form) not in ordered:
            hint = did_you_mean(str(made.form), ordered, "add a line for it, or take it out of the tally")
            yield error("not-in-order", made.form.at, f"{path}.form: `{made.form}` is not in the order's lines", hint)
        form = project.forms.get(str(made.form))
        for stage, counts in counts_of(made):
            for part in counts:
                if form is not None and part not in form.parts:
                    yield from _unknown_name("unknown-part", part, f"{path}.{stage}", form.parts, "part")
        yield from _grown(made, path)


def counts_of(made: Made) -> Iterator[tuple[str, ByName[int]]]:
    """A batch's counts, stage by stage in the order of the work; only stages that were counted."""
    for stage in COUNTED:
        if counts := getattr(made, stage):
            yield stage, counts


def _grown(made: Made, path: str) -> Iterator[Problem]:
    """Counts that are above what there was before."""
    by_part: dict[str, list[tuple[str, Word, int]]] = {}
    for stage, counts in counts_of(made):
        for part, count in counts.items():
            by_part.setdefault(str(part), []).append((stage, part, count))
    for name, counted in by_part.items():
        for (before, _, most), (stage, part, count) in pairwise(counted):
            if count > most:
                yield error(
                    "tally-grows",
                    part.at,
                    f"{path}.{stage}: {count} of {escaped(name)[:40]}, and only {most} were {_WORDS[before]}",
                    "count again; what is thrown anew is a batch of its own, an entry of its own under `made:`",
                )


_WORDS = {
    "thrown": "thrown", "trimmed": "trimmed", "dried": "dry", "bisque": "bisque fired", "fired": "fired",
}  # fmt: skip


def _file(project: Project, folder: str, slug: Word, path: str) -> Iterator[Problem]:
    if (folder, str(slug)) not in project.named:
        known = sorted(name for place, name in project.named if place == folder)
        what = f"file in specs/{folder}/ for the {FOLDERS[folder]}"
        yield from _unknown_name(
            "unknown-slug", slug, path, known, what, form_called(project, slug) if folder == "forms" else None
        )


def _unknown_name(
    rule: str, word: Word, path: str, known: Iterable[str], what: str, called: str | None = None
) -> Iterator[Problem]:
    hint = did_you_mean(word, known, called=called)
    yield error(rule, word.at, f"{path}: there is no {what} `{escaped(str(word))[:40]}`", hint)
