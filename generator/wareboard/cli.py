"""The command `wareboard`. What a command needs is loaded when it runs: a check pays for no PDF engine."""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard import __version__
from wareboard.commands.cards_command import check_one_of, make_cards_command
from wareboard.commands.lsp_command import lsp
from wareboard.commands.match_command import make_match_command
from wareboard.commands.plan_command import make_plan_command, make_stock_command
from wareboard.commands.serve_command import serve
from wareboard.commands.tally_command import make_tally_command
from wareboard.commands.trace_command import make_trace_command
from wareboard.pot.stages import STAGES
from wareboard.text.problems import ERROR, Problem, format_problem, format_words, nearest_word

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet
    from wareboard.output.working import Worked


class Commands(click.Group):
    """Commands that are asked back for where one is mistyped, and that say a fault of the machine in plain words."""

    def invoke(self, context):
        """See click: a full disk, a folder that is shut and the like end the command with a message."""
        from wareboard.output.faults import machine_fault

        try:
            return super().invoke(context)
        except BrokenPipeError:  # whoever reads has had enough; click ends quietly
            raise
        except (OSError, MemoryError, RuntimeError) as fault:
            said = machine_fault(fault)
            if said is None or isinstance(fault, click.exceptions.Exit):
                raise
            raise click.ClickException(said) from fault

    def resolve_command(self, context, args):
        """See click: the nearest command is named."""
        name = args[0] if args else ""
        near = nearest_word(name, self.commands) if name not in self.commands and not name.startswith("-") else None
        if near:
            context.fail(f"there is no command '{name}'; did you mean '{near}'?")
        return super().resolve_command(context, args)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="wareboard")
@click.option(
    "-C",
    "--directory",
    default=".",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Work in this folder, the one that holds specs/.",
)
@click.pass_context
def command(context: click.Context, directory: Path) -> None:
    """From one plain-text spec per pot to every wet and fired number, a site, and cards for the wall."""
    context.obj = directory


@command.command()
@click.pass_obj
def check(directory: Path) -> None:
    """Read every spec, work it out, and say everything that is wrong with it.

    Exit status 1 where there is an error; warnings alone leave it at 0.
    """
    worked = _work_out(directory)
    _say_problems(worked.problems, worked)
    click.echo(_summary(worked))
    sys.exit(1 if worked.refused else 0)


@command.command()
@click.argument("form")
@click.argument("key", required=False)
@click.argument("stage", required=False)
@click.option("--why", is_flag=True, help="The chain behind the figure, down to what was typed.")
@click.option("--json", "as_json", is_flag=True, help="All figures of the form as JSON.")
@click.option("--csv", "as_csv", is_flag=True, help="All figures of the form as rows.")
@click.pass_obj
def derive(
    directory: Path, form: str, key: str | None, stage: str | None, why: bool, as_json: bool, as_csv: bool
) -> None:
    """Print the figures of a FORM, or one of them.

    KEY is a figure's key, like jar.rim.diameter, and STAGE one of wet, leather-hard, dry, bisque,
    fired; without a stage, all that the figure has are shown.
    """
    if as_json and as_csv:
        raise click.UsageError("choose --json or --csv")
    if why and not key:
        raise click.UsageError("--why wants to know which figure: wareboard derive FORM KEY --why")
    worked = _work_out(directory)
    sheet = _sheet(worked, form)
    figures = _figures(sheet, f"{key} {stage or ''}") if key else sheet.figures
    if as_json:
        shown = sheet.as_json()
        click.echo(
            json.dumps({**shown, "figures": [figure.as_json() for figure in figures]}, indent=1, ensure_ascii=False)
        )
    elif as_csv:
        from dataclasses import replace

        from wareboard.pages.sitepages import render_figures_csv

        click.echo(render_figures_csv([replace(sheet, figures=tuple(figures))]).text, nl=False)
    elif why:
        from wareboard.figures.explaining import render_why

        click.echo("\n\n".join(render_why(sheet, figure, worked.texts) for figure in figures))
    else:
        from wareboard.figures.explaining import render_table

        click.echo(render_table(figures))


@command.command()
@click.option("--no-cards", is_flag=True, help="Leave the printed cards out.")
@click.option("--for", "audience", default="studio", metavar="WHOM", help="studio (everything), assistant or stockist.")
@click.pass_obj
def build(directory: Path, no_cards: bool, audience: str) -> None:
    """Make the site, the cards and the data in site/.

    For an assistant, in site-assistant/: all that it takes to make the ware, no prices and no shops. For a stockist, in
    site-stockist/: fired sizes, weight, care and price of the forms that have a `stockist` block, and nothing else.

    The last site stays as it is until the new one is whole. Where a spec has an error nothing is written.
    """
    from wareboard.cards.audience import AUDIENCES, STOCKIST
    from wareboard.output.build import build_site

    check_one_of("audience", audience, AUDIENCES)
    line = _ProgressLine()
    try:
        built = build_site(directory, with_cards=not no_cards, audience=audience, say=line.say)
    finally:
        line.clear()
    _say_problems(built.worked.problems, built.worked, to_stderr=True)
    if built.site is None:
        click.echo(f"{_summary(built.worked)}; nothing was built", err=True)
        sys.exit(1)
    for words in built.said:
        click.echo(words, err=True)
    click.echo(f"The site:  {_shown(built.site / 'index.html')}")
    if built.cards:
        together = built.site / "cards" / ("stock-list.pdf" if audience == STOCKIST else "wall.pdf")
        click.echo(f"The cards: {_shown(built.site / 'cards')}{os.sep}*.pdf, all of them in {_shown(together)}")
    if built.without_cards:
        raise click.ClickException(f"There are no cards. {built.without_cards}")


@command.command()
@click.argument("slug", required=False)
@click.argument("measurements", nargs=-1, metavar="[NAME=SIZE]…")
@click.option("--measured", is_flag=True, help="From a pot in the hand: its sizes, its weight, the water in it.")
@click.option("--stage", type=click.Choice(STAGES), help="The stage at which it was measured; fired unless said.")
@click.option("--title", help="The form's name.")
@click.option("--code", help="The maker's own code.")
@click.option("--like", metavar="FORM", help="Begin from a form that is there already.")
@click.option("--family", help="Groups the site.")
@click.option("--clay", help="A file in specs/clays/.")
@click.option("--glaze", help="A file in specs/glazes/.")
@click.option("--height", help="Fired height.")
@click.option("--foot", help="Fired diameter of the foot.")
@click.option("--rim", help="Fired diameter of the rim, outside.")
@click.pass_obj
def new(
    directory: Path,
    slug: str | None,
    measurements: tuple[str, ...],
    measured: bool,
    stage: str | None,
    title: str | None,
    code: str | None,
    like: str | None,
    **answers: str | None,
) -> None:
    """Write a new form's spec, specs/forms/SLUG.yaml.

    Asks for what the options do not say. Never writes over a spec that is there.

    From a pot in the hand; without sizes they are asked for, one at a time:

    \b
      wareboard new harbour-mug --measured height=95mm rim=84mm foot=60mm weight=244g brim=310ml
      wareboard new harbour-mug --measured --stage wet height=108mm rim=95mm foot=68mm weight=330g brim=450ml

    Also, where there are any: belly=96mm@50mm shoulder=…@… neck=…@… depth=88mm foot-ring=5mm×6mm
    gallery=12mm×5mm handle=45g glaze-film=0.3mm
    """
    from wareboard.output import starting

    worked = _work_out(directory)
    forms = worked.project.forms
    if slug and "=" in slug:
        slug, measurements = None, (slug, *measurements)
    if measured:
        _new_measured(worked, slug, measurements, stage, {"title": title, "code": code, **answers})
        return
    if measurements:
        raise click.UsageError(f"'{measurements[0]}': sizes stand behind --measured")
    answers.pop("glaze", None)
    source = _known_form(worked, like) if like else None
    if title is None:
        title = click.prompt("What is it called")
    slug = slug or starting.suggest_slug(title) or click.prompt("A name for its file, in letters a to z and hyphens")
    path = _free_path(worked, slug)
    codes = starting.used_words(forms, "code")
    suggested = starting.suggest_code(
        codes, str(forms[source].code or title[:1].upper() + "-") if source else title[:1].upper() + "-"
    )
    code = code or (suggested if source else click.prompt("Your own code for it", default=suggested))
    if source:
        text = starting.form_text_like(worked.texts[f"specs/forms/{source}.yaml"], title, code)
    else:
        text = starting.form_text(title=title, code=code, **_ask(worked, answers))
    problems = starting.check_text(worked, path, text)
    if any(problem.level == ERROR for problem in problems):
        for problem in problems:
            click.echo(_styled(problem, {**worked.texts, path: text}), err=True)
        raise click.ClickException(f"{path} would not pass the check; nothing was written")
    _write_new(directory / path, text)
    click.echo(f"{path} is written. Change its sizes to your own, then: wareboard check")
    if source and forms[source].stockist and forms[source].stockist.sku:
        click.echo(f"It still has the stockist's number {forms[source].stockist.sku}.")


def _new_measured(
    worked: Worked, slug: str | None, words: Sequence[str], stage: str | None, said: dict[str, str | None]
) -> None:
    from wareboard.commands import measured_command
    from wareboard.output import starting

    if slug is None:
        said["title"] = said["title"] or click.prompt("What is it called")
        slug = starting.suggest_slug(said["title"]) or click.prompt(
            "A name for its file, in letters a to z and hyphens"
        )
    _free_path(worked, slug)
    found = measured_command.read_measurements(worked, words, stage)
    named = measured_command.name_form(worked, slug, said, asking=not words)
    measured_command.write_measured(worked, named, found, _write_new)


def _free_path(worked: Worked, slug: str) -> str:
    """The path of a new form; the command ends where it cannot be, or is there."""
    from wareboard.text.projects import SLUG

    if not SLUG.fullmatch(slug):
        raise click.UsageError(f"'{slug}' cannot be a spec's name; use lower-case letters, digits and hyphens")
    path = f"specs/forms/{slug}.yaml"
    if path in worked.texts or (worked.root / path).exists():
        raise click.ClickException(f"{path} is there already")
    return path


@command.command()
@click.argument("folder", required=False, type=click.Path(file_okay=False, path_type=Path))
@click.pass_obj
def schema(directory: Path, folder: Path | None) -> None:
    """Write the JSON Schema of each kind of spec, for an editor to complete and explain keys.

    They go to specs/.schema/ unless another FOLDER is named.
    """
    from wareboard.output.starting import write_schemas

    for path in write_schemas(folder or directory / "specs" / ".schema", directory):
        click.echo(_shown(path))


@command.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--demo", is_flag=True, help="With all of the demo studio's specs, to look at and to change.")
def start(folder: Path, demo: bool) -> None:
    """Make a FOLDER of your own: a studio, one clay, one form and the site's settings."""
    from wareboard.output.starting import start_folder

    start_folder(folder, demo=demo)
    click.echo(f"{folder} is ready. Next:\n  cd {folder}\n  wareboard check\n  wareboard build")


def _sheets_of(directory: Path, form: str) -> tuple[Sheet, Mapping[str, Sheet]]:
    worked = _work_out(directory)
    return _sheet(worked, form), worked.sheets


def _forms_of(directory: Path, names: Sequence[str] | None) -> tuple[Worked, list[str]]:
    worked = _work_out(directory)
    slugs = [] if names is None else [_sheet(worked, name).slug for name in names or worked.project.forms]
    return worked, list(dict.fromkeys(slugs))


command.add_command(make_match_command(_sheets_of))
command.add_command(
    make_trace_command(lambda folder: _work_out(folder), lambda worked, slug: _free_path(worked, slug), lambda path, text: _write_new(path, text))
)
command.add_command(lsp)
command.add_command(serve)
command.add_command(make_cards_command(_forms_of, lambda: _ProgressLine()))
command.add_command(
    make_plan_command(
        lambda directory: _work_out(directory),
        lambda *asked: _known_form(*asked),
        lambda *said, **how: _say_problems(*said, **how),
    )
)
command.add_command(
    make_tally_command(
        lambda directory: _work_out(directory),
        lambda *asked: _known_form(*asked),
        lambda *said, **how: _say_problems(*said, **how),
    )
)
command.add_command(make_stock_command(lambda directory: _work_out(directory)))


# ---- what the commands share ----


def _work_out(directory: Path) -> Worked:
    from wareboard.output.working import work_out

    return work_out(directory)


def _sheet(worked: Worked, name: str) -> Sheet:
    """The sheet of a form; where the form has errors they are said and the command ends."""
    slug = _known_form(worked, name)
    sheet = worked.sheets.get(slug)
    if sheet is None or not sheet.figures:
        _say_problems((problem for problem in worked.problems if problem.level == ERROR), worked, to_stderr=True)
        raise click.ClickException(f"{slug} has errors, so there are no figures")
    in_studio = [found for found in worked.problems if found.level == ERROR and found.at.file == "specs/studio.yaml"]
    if in_studio:  # its units, tools and spreads stand behind every number
        _say_problems(in_studio, worked, to_stderr=True)
        raise click.ClickException("specs/studio.yaml has errors, so no figure can be trusted")
    return sheet


def _known_form(worked: Worked, name: str) -> str:
    slug = Path(name).name.removesuffix(".yaml")
    named = sorted(named for folder, named in worked.project.named if folder == "forms")
    by_code = {str(form.code): form.slug for form in worked.project.forms.values() if form.code}
    if slug not in named and name in by_code:
        return by_code[name]
    if slug not in named:
        if not named:
            raise click.ClickException("there are no forms in specs/forms/")
        near = nearest_word(slug, [*named, *by_code])
        raise click.UsageError(
            f"there is no form '{name}'; "
            + (f"did you mean '{near}'?" if near else f"there are {format_words(named[:20], 'and')}")
        )
    return slug


def _figures(sheet: Sheet, words: str):
    from wareboard.figures.explaining import find_figures
    from wareboard.pot.stages import STAGES

    figures = find_figures(sheet, words)
    if figures:
        return figures
    key, _, stage = " ".join(words.split()).rpartition(" ")
    stages = [figure.stage for figure in sheet.figures if figure.key == key and figure.stage]
    if stages:
        near = nearest_word(stage, STAGES) if stage not in STAGES else None
        hint = f"did you mean '{near}'?" if near else f"it is known {format_words(stages, 'and')}"
        raise click.UsageError(f"{sheet.slug} has no '{key}' at '{stage}'; {hint}")
    near = nearest_word(key or stage, (figure.key for figure in sheet.figures))
    hint = f"did you mean '{near}'?" if near else f"`wareboard derive {sheet.slug}` lists them all"
    raise click.UsageError(f"{sheet.slug} has no figure '{' '.join(words.split())}'; {hint}")


def _ask(worked: Worked, answers: dict[str, str | None]) -> dict[str, str]:
    """Ask for what a plain vessel needs."""
    from wareboard.output import starting

    project = worked.project
    clays = sorted(project.clays)
    if not clays:
        raise click.ClickException("there is no clay in specs/clays/ yet; `wareboard start DIR` shows one")
    families = starting.used_words(project.forms, "family")
    inches = str(project.studio.units or "").startswith("imperial")
    unit, height, foot, rim, wall, floor = (
        ("in", "4", "2 1/2", "3 1/4", "3/16", "1/4") if inches else ("mm", "100", "60", "80", "4", "5")
    )
    family = answers["family"] or click.prompt(
        "Its family" + (f" ({', '.join(families)}, or a new one)" if families else ""), default="pots"
    )
    clay = answers["clay"] or (
        clays[0] if len(clays) == 1 else click.prompt("Its clay", type=click.Choice(clays), default=clays[0])
    )
    sizes = {
        name: answers[name]
        or click.prompt(f"{said}, fired, in {unit}", default=usual, value_proc=lambda text: _a_length(text, unit))
        for name, said, usual in (
            ("height", "Height", height),
            ("foot", "Diameter of the foot", foot),
            ("rim", "Diameter of the rim", rim),
        )
    }
    return {"family": family, "clay": clay, "unit": unit, "wall": wall, "floor": floor, **sizes}


def _a_length(text: str, unit: str) -> str:
    from wareboard.text import units

    try:
        units.parse_quantity(text, "length", unit=unit)
    except units.SizeError as fault:
        raise click.UsageError(fault.message) from fault
    return text.strip()


def _write_new(path: Path, text: str) -> None:
    from wareboard.output.files import write_whole

    try:
        write_whole(path, text.encode(), new=True)
    except FileExistsError as fault:
        raise click.ClickException(f"{path} is there already") from fault


def _say_problems(problems: Iterable[Problem], worked: Worked, *, to_stderr: bool = False) -> None:
    for problem in problems:
        click.echo(_styled(problem, worked.texts), err=to_stderr)


def _styled(problem: Problem, texts) -> str:
    """The message; the level stands out where the terminal has colours."""
    said = format_problem(problem, texts)
    if os.environ.get("NO_COLOR"):
        return said
    level = f" {problem.level}: "
    return said.replace(
        level, f" {click.style(problem.level, fg='red' if problem.level == ERROR else 'yellow', bold=True)}: ", 1
    )


def _summary(worked: Worked) -> str:
    counted = ", ".join(
        _count(len(worked.project.files(kind)), kind[:-1])
        for kind in ("forms", "clays", "glazes", "kilns", "runs", "orders")
    )
    errors = sum(problem.level == ERROR for problem in worked.problems)
    warnings = len(worked.problems) - errors
    found = " and ".join(_count(number, word) for number, word in ((errors, "error"), (warnings, "warning")) if number)
    return f"{counted}: {found or 'nothing to complain of'}"


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _shown(path: Path) -> str:
    """A path as it is short to read: below the folder that the command runs in, where it lies there."""
    absolute = path.resolve()
    return os.path.relpath(absolute) if absolute.is_relative_to(Path.cwd()) else str(absolute)


class _ProgressLine:
    """How far it is: one line that is written over on a terminal, elsewhere a short line now and then."""

    OFTEN_S = 5.0

    def __init__(self) -> None:
        self.over = sys.stderr.isatty()
        self.said, self.next_s = "", 0.0

    def say(self, words: str) -> None:
        """Show how far it is."""
        if self.over:
            click.echo(f"\r\033[K{words} …", nl=False, err=True)
            return
        counted = words.rstrip("0123456789 of")
        now_s = time.monotonic()
        if counted != self.said or now_s >= self.next_s:
            self.said, self.next_s = counted, now_s + self.OFTEN_S
            click.echo(f"{words} …", err=True)

    def clear(self) -> None:
        """Take the line away."""
        if self.over:
            click.echo("\r\033[K", nl=False, err=True)


def main() -> None:
    """Run the command; a terminal that cannot show a character shows a question mark."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    command(prog_name="wareboard")


if __name__ == "__main__":
    main()
