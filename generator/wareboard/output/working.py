"""A maker's folder, read, worked out and checked: what every output starts from."""

from __future__ import annotations

import gc
from collections.abc import Callable, Container, Iterable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from wareboard.figures import checks, coats
from wareboard.figures.sheet import Sheet
from wareboard.output import folder
from wareboard.pot.frozen import frozen
from wareboard.text import links, projects
from wareboard.text.likeness import folder_and_slug
from wareboard.text.problems import ERROR, Problem, error, has_errors, in_file_order
from wareboard.text.reached import learns_from_runs, reached_files
from wareboard.words import faces

if TYPE_CHECKING:
    from wareboard.figures.shaping import Shaper
    from wareboard.output.leaf import Leaf
    from wareboard.output.leaves import Leaves
    from wareboard.text.specs import Form

Say = Callable[[str], None]
# Forms of which a check holds the sheets.
MANY = 150


def say_nothing(words: str) -> None:
    """For a caller that wants to hear nothing."""


@frozen
class Worked:
    """A maker's folder, read, worked out and checked; `fonts` are its own, for cards.

    `leaves` are what is kept of each form, where the studio's own site is built; `left_out` are forms that are not on
    a site that is built all the same, by slug, and other files that are not shown, by path; each with the reason.
    """

    root: Path
    texts: Mapping[str, str]
    project: projects.Project
    sheets: Mapping[str, Sheet]
    problems: tuple[Problem, ...]
    fonts: tuple[Path, ...] = ()
    leaves: Any = None
    left_out: tuple[tuple[str, str], ...] = ()

    @property
    def forms_left_out(self) -> list[str]:
        """The forms that are left out, by slug."""
        return [name for name, _ in self.left_out if "/" not in name]

    @property
    def refused(self) -> bool:
        """True where an error stands in the way of any output."""
        return has_errors(self.problems)


def without_faulty(worked: Worked) -> Worked | None:
    """The folder without the forms that cannot be worked out, nor what leans on them; None where too little is left.

    Args:
        worked: a folder with errors.
    Returns: the folder, its `left_out` the forms that are missing, each with the reason, its errors gone.
    """
    wrong, old = first_errors(worked.problems), worked.project
    leans_on = lambda sheet: {spec.at.file for spec in (sheet.form, sheet.clay, sheet.glaze) if spec is not None}
    sheets = {slug: sheet for slug, sheet in worked.sheets.items() if not wrong.keys() & leans_on(sheet)}
    # What leans on a form that is left out goes too, and what leans on that.
    while gone := {slug for slug, sheet in sheets.items() if not links.other_forms(sheet.form) <= sheets.keys()}:
        sheets = {slug: sheet for slug, sheet in sheets.items() if slug not in gone}
    if f"{folder.SPECS}/studio.yaml" in wrong or not sheets:
        return None
    sound = lambda place: {slug: spec for slug, spec in old.files(place).items() if spec.at.file not in wrong}
    orders = {slug: one for slug, one in sound("orders").items() if all(str(line.form) in sheets for line in one.lines)}
    runs = {slug: run for slug, run in sound("runs").items() if str(run.form) in sheets}
    kept: dict[str, Any] = {place: sound(place) for place in ("clays", "glazes", "kilns")}
    project = replace(
        old,
        **kept,
        forms={slug: form for slug, form in old.forms.items() if slug in sheets},
        runs=runs,
        orders=orders,
        problems=tuple(problem for problem in old.problems if problem.level != ERROR),
        faulty_forms=(),
    )
    missing = [
        spec.at.file
        for place in ("orders", "runs")
        for slug, spec in old.files(place).items()
        if slug not in project.files(place)
    ]
    left_out = left_out_of(sheets, old, wrong, [*wrong, *missing])
    if worked.leaves is not None:
        for slug in worked.leaves.found.keys() - sheets.keys():
            worked.leaves.found.pop(slug)
    problems = tuple(problem for problem in worked.problems if problem.level != ERROR)
    return replace(worked, project=project, sheets=sheets, problems=problems, left_out=left_out)


def first_errors(problems: Iterable[Problem]) -> dict[str, str]:
    """The first error of each file, with its place, by the file's path."""
    wrong: dict[str, str] = {}
    for problem in problems:
        if problem.level == ERROR:
            wrong.setdefault(problem.at.file, f"{problem.at.file}:{problem.at.line}: {problem.message}")
    return wrong


def left_out_of(
    sheets: Container[str], project: projects.Project, wrong: Mapping[str, str], missing: Iterable[str] = ()
) -> tuple[tuple[str, str], ...]:
    """Forms of which there is a file and no sheet, by slug, and other files that are not shown, by path; each with the reason.

    Args:
        sheets: the forms that could be worked out.
        project: the studio.
        wrong: the first error of each file.
        missing: files that are not shown; those of forms are passed over.
    """
    named = sorted(slug for place, slug in project.named if place == "forms")
    paths = {slug: f"{folder.SPECS}/forms/{slug}.yaml" for slug in named}
    leaning, about = "it leans on something that has errors", "it is about a form that is left out"
    forms = [(slug, wrong.get(paths[slug], leaning)) for slug in named if slug not in sheets]
    return (*forms, *((path, wrong.get(path, about)) for path in sorted(set(missing) - set(paths.values()))))


def work_out(
    root: Path,
    memory: folder.Memory | None = None,
    typed: Mapping[str, str] = MappingProxyType({}),
    keeping: Callable[[Mapping[str, str], projects.Parse], Leaves] | None = None,
    *,
    problems_only: bool = False,
) -> Worked:
    """Read a folder's specs, work every form out and check it all.

    Args:
        root: the folder that holds `specs/`.
        memory: what was read before; brought up to date.
        typed: texts by path that stand in an editor and not on the disk yet; they beat the files.
        keeping: gives what is kept of each form; a form that has not changed is then not worked out again.
        problems_only: nobody asks for more than what is wrong; of many forms neither text nor sheet is then held.
    """
    memory = memory if memory is not None else folder.Memory()
    texts, found = folder.read_texts(root, memory)
    texts |= typed
    if problems_only and sum(path.startswith("specs/forms/") for path in texts) > MANY:
        return _work_out(root, texts, texts, found, memory, lets_go=True)
    return work_out_texts(root, texts, found, memory, keeping)


def work_out_texts(
    root: Path,
    texts: Mapping[str, str],
    found: Iterable[Problem],
    memory: folder.Memory,
    keeping: Callable[[Mapping[str, str], projects.Parse], Leaves] | None = None,
) -> Worked:
    """As `work_out`, of texts that were read already.

    Args:
        root: the folder that holds `specs/`.
        texts: each spec's text by its path.
        found: what was wrong with the files themselves.
        memory: what was parsed before; brought up to date.
        keeping: see `work_out`.
    """
    if keeping is None:
        return _work_out(root, texts, texts, found, memory)
    leaves = keeping(texts, memory.parse)
    standing = leaves.take_in_turn(
        leaves.standing(), lambda read, slugs: _work_out_some(texts, read, slugs, leaves.parse, leaves)
    )
    worked = _work_out(root, texts, leaves.read_beside(standing), found, memory, leaves, standing)
    # Where a file has a fault, or two forms have one code, more weighs in than stands in a form's own files.
    if standing and (has_errors(worked.problems) or leaves.share_names()):
        if leaves.is_much_new:
            leaves.keep()
        leaves = keeping(texts, memory.parse)
        worked = _work_out(root, texts, texts, found, memory, leaves)
    leaves.settle(worked.problems)
    if has_errors(worked.problems) or not leaves.is_much_new:
        return worked
    project, sheets = leaves.let_go(worked.project, worked.sheets)
    return replace(worked, project=project, sheets=sheets)


def _work_out_some(
    texts: Mapping[str, str], read: Mapping[str, str], slugs: Iterable[str], parse: projects.Parse, leaves: Leaves
) -> list[Problem]:
    """Some forms worked out for their leaves, with nothing read but what they come of; what is wrong."""
    project = replace(projects.read_project(read, parse), named=frozenset(map(folder_and_slug, texts)))
    project = coats.weigh_coats(project)
    leaves.begin(project)
    return checks.check_project(project, leaves.sheet_of, only=slugs)[1]


def _work_out(
    root: Path,
    texts: Mapping[str, str],
    read: Mapping[str, str],
    found: Iterable[Problem],
    memory: folder.Memory,
    leaves: Leaves | None = None,
    standing: Mapping[str, Leaf] = MappingProxyType({}),
    *,
    lets_go: bool = False,
) -> Worked:
    """Those texts read that are to be read; forms that stand are taken from their leaves."""
    project = projects.read_project(read, memory.parse)
    if len(read) < len(texts):
        project = replace(project, named=frozenset(map(folder_and_slug, texts)))
    # A file that is there and could not be read is not missing: its own message says what is wrong.
    found = tuple(found)
    unread = {folder_and_slug(problem.at.file) for problem in found if problem.at.file.count("/") == 2}
    project = replace(project, named=project.named | unread)
    project = coats.weigh_coats(project)
    if leaves is None:
        if lets_go:
            memory.parsed.clear()
        sheets, problems = checks.check_project(project, _sheets_let_go(project) if lets_go else None)
    else:
        leaves.begin(project)
        stand = partial(leaves.stand, standing)
        sheets, problems = checks.check_project(project, leaves.sheet_of, standing=stand)
    project = _whole(project, sheets)
    anew = replace(project, forms={slug: form for slug, form in project.forms.items() if slug not in standing})
    fonts, unknown = own_fonts(root, project)
    problems += [*unknown, *faces.check_signs(anew, fonts, _plain(read))]
    if leaves is not None:
        leaves.stood(project)
    return Worked(root, texts, project, sheets, tuple(in_file_order([*found, *problems])), fonts, leaves)


class LetGo:
    """Stands for a sheet of which only what is wrong was wanted; worked out again for whoever asks more, and then held."""

    is_worked_out = True

    def __init__(self, sheet: Sheet, work: Callable[[], Sheet]) -> None:
        """A sheet, and what works it out again."""
        self.slug, self.form, self.problems, self._work = sheet.slug, sheet.form, sheet.problems, work

    def __getattr__(self, name: str) -> Any:
        """All that it does not hold itself."""
        sheet = self._work()
        self._work = lambda: sheet
        return getattr(sheet, name)


def _sheets_let_go(project: projects.Project) -> Callable[[Form, projects.Project, Shaper], Any]:
    """Works sheets out and lets them go, but for those that orders and runs ask more of."""
    asked = {str(line.form) for order in project.orders.values() for line in order.lines}
    asked |= {str(run.form) for run in project.runs.values()}
    gc.freeze()  # what was read stays; it need not be looked over each time
    count = 0

    def sheet_of(form: Form, whole: projects.Project, shaper: Shaper) -> Any:
        nonlocal count
        sheet = checks.check_form(form, whole, shaper)
        count += 1
        if count % checks.SHAPES_TOGETHER == 0:
            gc.collect()  # sheets and what they were worked out by know one another
        if form.slug in asked or not sheet.is_worked_out:
            return sheet
        return LetGo(sheet, lambda: checks.check_form(form, whole))

    return sheet_of


def work_out_some(root: Path, slugs: Iterable[str], memory: folder.Memory | None = None) -> Worked:
    """As `work_out`, of some forms: only what their numbers come from is read and worked out, however many forms there are.

    Args:
        root: the folder that holds `specs/`.
        slugs: the forms.
        memory: what was read before; brought up to date.
    """
    memory = memory if memory is not None else folder.Memory()
    slugs = list(slugs)
    learning = False

    def reached(path: str, text: str) -> list[str]:
        nonlocal learning
        top, _ = memory.parse(text, path)
        learning = learning or learns_from_runs(top)
        return reached_files(path, top)

    wanted = ["specs/studio.yaml", *(f"specs/forms/{slug}.yaml" for slug in slugs)]
    texts, paths, found = folder.read_reached(root, wanted, reached, memory)
    if learning:
        return work_out(root, memory)
    beside = [path for path in paths if path.startswith(("specs/kilns/", "specs/orders/"))]
    more, _, said = folder.read_reached(root, beside, lambda path, text: (), memory)
    project = projects.read_project({**texts, **more}, memory.parse)
    project = replace(project, named=frozenset(map(folder_and_slug, paths)))
    sheets, problems = checks.check_project(project, only=slugs)
    project = _whole(project, sheets)
    reached_paths = {*texts, *(problem.at.file for sheet in sheets.values() for problem in sheet.problems)}
    problems = [problem for problem in [*found, *said, *problems] if problem.at.file in reached_paths]
    return Worked(root, {**texts, **more}, project, sheets, tuple(in_file_order(problems)))


def _whole(project: projects.Project, sheets: Mapping[str, Sheet]) -> projects.Project:
    """The project with forms as they are in their sheets: what is like another form, or was to be solved, is whole there."""
    forms = {**project.forms, **{slug: sheet.form for slug, sheet in sheets.items()}}
    return replace(project, forms={slug: forms[slug] for slug in sorted(forms, key="{}.yaml".format)})


def _plain(texts: Mapping[str, str]) -> set[str]:
    """The files that hold nothing but Latin-1, and no escape that could stand for more."""
    return {path for path, text in texts.items() if (text.isascii() or max(text) <= "ÿ") and "\\" not in text}


def own_fonts(root: Path, project: projects.Project) -> tuple[tuple[Path, ...], list[Problem]]:
    """The fonts that a studio names, in its order, and what is wrong with any of them."""
    fonts: list[Path] = []
    problems: list[Problem] = []
    for name in project.studio.fonts:
        font = folder.find_font(root, name)
        if font is None:
            said, hint = (
                "there is no such file in specs/fonts/",
                "put the font's .ttf or .otf file there, and write its name as it stands",
            )
            problems.append(error("unknown-font", name.at, f"fonts: `{name}`: {said}", hint))
            continue
        try:
            faces.signs_of(font)
        except faces.FontUnreadable as fault:
            problems.append(error("unknown-font", name.at, f"fonts: {fault}", "take a .ttf or .otf file"))
        else:
            fonts.append(font)
    return tuple(fonts), problems
