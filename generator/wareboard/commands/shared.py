"""What the commands share: the folder worked out, a form by its name, problems as they are said, new files, how far it is."""

from __future__ import annotations

import glob
import os
import re
import sys
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.shell_completion import CompletionItem

from wareboard.pot.stages import STAGES
from wareboard.text.plain import escaped
from wareboard.text.problems import ERROR, Problem, did_you_mean, format_problem, what_there_is

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet
    from wareboard.output.working import Worked


MOST_SAID = 200


# ---- the folder ----


def work_out(directory: Path) -> Worked:
    """A folder, read, worked out and checked."""
    from wareboard.output import working

    return working.work_out(directory)


def sheets_of(directory: Path, form: str) -> tuple[Sheet, Mapping[str, Sheet]]:
    """A form's sheet and all sheets; ends the command where there is no such form, or where it has errors."""
    worked = work_out(directory)
    return sheet_of(worked, form), worked.sheets


def one_sheet(directory: Path, form: str) -> Sheet:
    """A form's sheet, with no more read and worked out than its numbers come from."""
    from wareboard.output import working

    return sheet_of(working.work_out_some(directory, named_forms(directory, [form])), form)


def forms_of(directory: Path, names: Sequence[str] | None) -> tuple[Worked, list[str]]:
    """A folder and the slugs of forms: all where no name is given, none where `names` is None."""
    worked = work_out(directory)
    slugs = [] if names is None else [sheet_of(worked, name).slug for name in names or worked.project.forms]
    return worked, list(dict.fromkeys(slugs))


def sheet_of(worked: Worked, name: str) -> Sheet:
    """The sheet of a form; where the form has errors they are said and the command ends."""
    slug = known_form(worked, name)
    sheet = worked.sheets.get(slug)
    if sheet is None or not sheet.is_worked_out:
        say_problems((problem for problem in worked.problems if problem.level == ERROR), worked, to_stderr=True)
        raise click.ClickException(f"{slug} has errors, so there are no figures")
    in_studio = [found for found in worked.problems if found.level == ERROR and found.at.file == "specs/studio.yaml"]
    if in_studio:  # its units, tools and spreads stand behind every number
        say_problems(in_studio, worked, to_stderr=True)
        raise click.ClickException("specs/studio.yaml has errors, so no figure can be trusted")
    return sheet


def known_form(worked: Worked, name: str) -> str:
    """The slug of a form by its name, its file or its code; ends the command where there is no such form."""
    named = sorted(slug for folder, slug in worked.project.named if folder == "forms")
    codes = {str(form.code): form.slug for form in worked.project.forms.values() if form.code}
    return _chosen(name, named, codes)


def named_forms(directory: Path, names: Iterable[str]) -> list[str]:
    """As `known_form`, of several, without reading more than there has to be: of a slug, nothing."""
    stems = sorted(path.stem for path in _form_files(directory))
    codes: dict[str, str] = {}
    if any(_slug(name) not in stems for name in names):
        codes = {code: path.stem for path in _form_files(directory) if (code := _code_in(path))}
    return list(dict.fromkeys(_chosen(name, stems, codes) for name in names))


def _slug(name: str) -> str:
    return Path(name).name.removesuffix(".yaml")


def _chosen(name: str, slugs: Sequence[str], codes: Mapping[str, str]) -> str:
    slug = _slug(name)
    if slug in slugs:
        return slug
    folded = {code.casefold(): found for code, found in codes.items()}
    if name.casefold() in folded:
        return folded[name.casefold()]
    if not slugs:
        raise click.ClickException("there are no forms in specs/forms/")
    there = did_you_mean(slug, [*slugs, *codes], what_there_is(slugs), sign="'")
    raise click.UsageError(f"there is no form '{escaped(name)}'; {there}")


def _form_files(directory: Path) -> list[Path]:
    return sorted((directory / "specs" / "forms").glob("[a-z0-9]*.yaml"))


_CODE = r"(?m)^code:[ \t]*['\"]?([^'\"#\n]+?)['\"]?[ \t]*(?:#.*)?$"


def _code_in(path: Path) -> str | None:
    """A form's code without reading the form: for looking a name up, no more."""
    found = re.search(_CODE, path.read_text(encoding="utf-8", errors="replace")[:100_000])
    return found[1] if found else None


# ---- saying it ----


def to_be_typed(words: str, root: Path | None = None) -> str:
    """A command as a shell finds it from where the maker stands: with the program's place where it is on no path, and the folder's.

    Args:
        words: what stands behind `wareboard`.
        root: the folder that it is about; None where the maker stands in it.
    """
    import shlex
    import shutil

    called = Path(os.path.abspath(sys.argv[0]))
    program = ["wareboard"]
    if called.parts[-2:] == ("wareboard", "__main__.py"):
        program = [sys.executable, "-m", "wareboard"]
    elif called.name == "wareboard" and not shutil.which("wareboard"):
        program = [str(called)]
    if root is not None and not Path.cwd().is_relative_to(root.resolve()):
        program += ["-C", str(root)]
    return f"{shlex.join(program)} {words}"


def say_problems(problems: Iterable[Problem], worked: Worked, *, to_stderr: bool = False) -> None:
    """Each problem with its line; after many, only how many more there are."""
    listed = list(problems)
    for problem in listed[:MOST_SAID]:
        click.echo(styled(problem, worked.texts), err=to_stderr)
    if len(listed) > MOST_SAID:
        click.echo(f"… and {len(listed) - MOST_SAID:,} more; mend these first", err=to_stderr)


def styled(problem: Problem, texts: Mapping[str, str]) -> str:
    """The message; the level stands out where the terminal has colours."""
    return coloured(format_problem(problem, texts), problem.level)


def coloured(said: str, level: str) -> str:
    """A message in which its level stands out where the terminal has colours."""
    if os.environ.get("NO_COLOR"):
        return said
    shown = click.style(level, fg="red" if level == ERROR else "yellow", bold=True)
    return said.replace(f" {level}: ", f" {shown}: ", 1)


def summary(worked: Worked) -> str:
    """What a folder holds and how much is wrong with it, in one line."""
    counted = ", ".join(
        count(len(worked.project.files(kind)), kind[:-1])
        for kind in ("forms", "clays", "glazes", "kilns", "runs", "orders")
    )
    return f"{counted}: {found_wrong(worked.problems)}"


def found_wrong(problems: Sequence[Problem]) -> str:
    """How much is wrong, in words."""
    errors = sum(problem.level == ERROR for problem in problems)
    wrong = ((errors, "error"), (len(problems) - errors, "warning"))
    found = " and ".join(count(number, word) for number, word in wrong if number)
    return found or "nothing to complain of"


def count(number: int, word: str) -> str:
    """A number of things: `1 form`, `2 forms`."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def shown_path(path: Path) -> str:
    """A path as it is short to read: below the folder that the command runs in, where it lies there."""
    absolute = path.resolve()
    return os.path.relpath(absolute) if absolute.is_relative_to(Path.cwd()) else str(absolute)


def columns(rows: Sequence[Sequence[str]], right: Iterable[int] = ()) -> Iterator[str]:
    """Rows as lines in columns; those named by their place stand to the right."""
    from wareboard.text.plain import width

    widths = [max(width(row[place]) for row in rows) for place in range(len(rows[0]))] if rows else []
    stand_right = set(right)
    for row in rows:
        cells = []
        for place, cell in enumerate(row):
            space = " " * (widths[place] - width(cell))
            cells.append(space + cell if place in stand_right else cell + space)
        yield "  ".join(cells).rstrip()


class ProgressLine:
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


# ---- new files ----


def free_path(worked: Worked, slug: str) -> str:
    """The path of a new form; the command ends where it cannot be, or is there."""
    from wareboard.text.projects import SLUG

    if not SLUG.fullmatch(slug):
        raise click.UsageError(f"'{escaped(slug)}' cannot be a spec's name; use lower-case letters, digits and hyphens")
    path = f"specs/forms/{slug}.yaml"
    if path in worked.texts or (worked.root / path).exists():
        raise click.ClickException(f"{path} is there already")
    return path


def write_new(path: Path, text: str) -> None:
    """A new file, whole or not at all; never over one that is there."""
    from wareboard.output.files import write_whole

    try:
        write_whole(path, text.encode(), new=True)
    except FileExistsError as fault:
        raise click.ClickException(f"{path} is there already") from fault


# ---- completing words in a shell ----


def _folder_of(context: click.Context) -> Path:
    """The folder that a half-typed command would work in."""
    from wareboard.output.files import find_folder

    top = context.find_root()
    return top.params.get("directory") or find_folder(Path())


class FormName(click.ParamType):
    """A form's slug, file or code; the shell completes the slugs and codes that are there."""

    name = "form"

    def shell_complete(self, context: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """See click."""
        files = _form_files(_folder_of(context))
        words = [path.stem for path in files if path.stem.startswith(incomplete)]
        if not words and incomplete:
            words = [code for path in files if (code := _code_in(path)) and code.startswith(incomplete)]
        return [CompletionItem(word) for word in words]


class SpecName(click.ParamType):
    """The name of a file in a folder under `specs/`; the shell completes those that are there."""

    name = "name"

    def __init__(self, folder: str) -> None:
        self.folder = folder

    def shell_complete(self, context: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """See click."""
        there = sorted((_folder_of(context) / "specs" / self.folder).glob(f"{glob.escape(incomplete)}*.yaml"))
        return [CompletionItem(path.stem) for path in there]


class PartEquals(click.ParamType):
    """`part=…` of the form that stands before it; the shell completes the parts."""

    name = "part"

    def shell_complete(self, context: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """See click."""
        from wareboard.output.working import work_out_some

        folder = _folder_of(context)
        (slug,) = named_forms(folder, [context.params["form"]])
        form = work_out_some(folder, [slug]).project.forms.get(slug)
        parts = [f"{part}=" for part in form.parts] if form else []
        return [CompletionItem(part, type="plain") for part in parts if part.startswith(incomplete)]


class FigureKey(click.ParamType):
    """A part or a figure's key of the form that stands before it; the shell completes them."""

    name = "key"

    def shell_complete(self, context: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """See click."""
        from wareboard.output.working import work_out_some

        folder = _folder_of(context)
        (slug,) = named_forms(folder, [context.params["form"]])
        sheet = work_out_some(folder, [slug]).sheets.get(slug)
        keys = [*map(str, sheet.form.parts), *(figure.key for figure in sheet.figures)] if sheet else []
        return [CompletionItem(key) for key in dict.fromkeys(keys) if key.startswith(incomplete)]


class StageName(click.ParamType):
    """A stage; the shell completes the five."""

    name = "stage"

    def shell_complete(self, context: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """See click."""
        return [CompletionItem(stage) for stage in STAGES if stage.startswith(incomplete)]


class OneOf(click.ParamType):
    """A word of a list that is made when it is asked for, or `several` with commas between; the shell completes it."""

    name = "word"

    def __init__(self, words: Any, *, several: bool = False) -> None:
        self.words = words
        self.several = several

    def shell_complete(self, context: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """See click."""
        before, comma, begun = incomplete.rpartition(",") if self.several else ("", "", incomplete)
        return [CompletionItem(f"{before}{comma}{word}") for word in self.words() if word.startswith(begun)]


def texts_in_clay(directory: Path, asked: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Forms' texts by path, each of another clay; the command ends where there is no such clay.

    Args:
        directory: the folder that holds `specs/`.
        asked: a form's slug and a clay's, each.
    """
    from wareboard.output.folder import read_texts
    from wareboard.text.edits import with_line

    texts, _ = read_texts(directory)
    clays = sorted(Path(path).stem for path in texts if path.startswith("specs/clays/"))
    changed: dict[str, str] = {}
    for slug, clay in asked:
        if clay not in clays:
            there = did_you_mean(clay, clays, sign="'")
            raise click.UsageError(f"there is no clay '{escaped(clay)}'; {there}")
        path = f"specs/forms/{slug}.yaml"
        changed[path] = with_line(texts.get(path, ""), "clay", clay)
    return changed
