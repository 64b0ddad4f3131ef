"""What is shown while a spec has an error: the last good text of every file, worked out, and beside it what is wrong.

Whatever a maker types, what is shown is a studio without an error. A file with one stays as it last was right; so does
what cannot follow without it. All else is as it was typed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import Any

from wareboard.figures import checks, coats, limits
from wareboard.figures.completing import complete
from wareboard.figures.shaping import Shaper
from wareboard.output import folder
from wareboard.output.working import (
    Worked,
    first_errors,
    left_out_of,
    without_faulty,
    work_out_texts,
)
from wareboard.pot.frozen import frozen
from wareboard.text import links, projects, specs, studio_specs
from wareboard.text.likeness import folder_and_slug
from wareboard.text.problems import ERROR, Problem, has_errors, in_file_order
from wareboard.text.reached import learns_from_runs, reached_files

FORMS = f"{folder.SPECS}/forms/"


class Doubt(Exception):
    """The short way does not hold; everything has to be worked out."""


class _Faults(Exception):
    """What was tried has errors, in these files."""

    def __init__(self, problems: Iterable[Problem], files: Collection[str] = ()) -> None:
        super().__init__()
        self.problems = [problem for problem in problems if problem.level == ERROR]
        self.files = {*files, *(problem.at.file for problem in self.problems)}


@frozen
class Standing:
    """What is shown of a folder, and what is wrong with what is typed there.

    `worked` is shown and has no errors, its texts are those that it was made of; `typed` are the texts as they are on
    the disk, `wrong` the errors in them, `found` what is said of the files themselves.
    """

    worked: Worked
    typed: Mapping[str, str]
    wrong: tuple[Problem, ...] = ()
    found: tuple[Problem, ...] = ()

    @property
    def held(self) -> set[str]:
        """The files of which something else is shown than was typed, by path; those of deleted ones too."""
        return _differing(self.typed, self.worked.texts)


def _differing(one: Mapping[str, str], other: Mapping[str, str]) -> set[str]:
    return {path for path in one.keys() | other.keys() if one.get(path) != other.get(path)}


# ---- everything worked out ----


def stand(root: Path, memory: folder.Memory, before: Standing | None = None) -> Standing:
    """What is to be shown of a folder now, with every form worked out.

    Args:
        root: the folder that holds `specs/`.
        memory: what was read before; brought up to date.
        before: what was shown last; its `worked` stays the same object where nothing that is new can be shown.
    """
    texts, found = folder.read_texts(root, memory)
    worked = work_out_texts(root, texts, found, memory)
    wrong = _errors(worked.problems)
    if not wrong:
        return Standing(worked, texts, (), tuple(found))
    if before is None:
        return Standing(_first(worked), texts, wrong, tuple(found))
    shown = before.worked.texts
    waiting = _differing(texts, shown)
    held = _causes(wrong, texts, shown, memory) & waiting or waiting
    while held < waiting:
        mixed = _mixed(texts, shown, held)
        tried = work_out_texts(root, mixed, (), memory)
        faults = _errors(tried.problems)
        if not faults:
            return _named(Standing(tried, texts, wrong, tuple(found)))
        held |= _causes(faults, mixed, shown, memory) & waiting - held or waiting
    return _named(Standing(before.worked, texts, wrong, tuple(found)))


def _errors(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(problem for problem in problems if problem.level == ERROR)


def _mixed(texts: Mapping[str, str], shown: Mapping[str, str], held: Collection[str]) -> dict[str, str]:
    """The texts as they are typed, but for what is held."""
    mixed = {path: text for path, text in texts.items() if path not in held}
    return mixed | {path: shown[path] for path in held if path in shown}


def _causes(
    wrong: Iterable[Problem], texts: Mapping[str, str], shown: Mapping[str, str], memory: folder.Memory
) -> set[str]:
    """The files with errors, and those that such a one names where it did not change itself."""
    faulty = {problem.at.file for problem in wrong}
    causes = set(faulty)
    for path in faulty & texts.keys():
        if texts[path] == shown.get(path):
            causes |= set(reached_files(path, memory.parse(texts[path], path)[0]))
    # Of a folder that cannot be opened, every file.
    causes |= {path for path in shown if any(path.startswith(f"{place}/") for place in faulty)}
    return causes


def _first(worked: Worked) -> Worked:
    """What can be shown of a folder that was never right: the sound forms, or none."""
    sound = without_faulty(worked)
    if sound is None:
        studio = worked.project.studio
        bare = projects.Project(studio if studio.at.file in worked.texts else studio_specs.Studio(title=studio.title))
        bare = replace(bare, named=worked.project.named)
        wrong = first_errors(worked.problems)
        left_out = left_out_of((), bare, wrong, wrong)
        sound = replace(worked, project=bare, sheets={}, problems=(), fonts=(), leaves=None, left_out=left_out)
    kept = {f"{folder.SPECS}/{place}/{slug}.yaml" for place in projects.FOLDERS for slug in sound.project.files(place)}
    kept.add(f"{folder.SPECS}/studio.yaml")
    return replace(sound, texts={path: text for path, text in worked.texts.items() if path in kept})


def _named(standing: Standing) -> Standing:
    """With every file that there is named, and the forms that are not shown told."""
    worked = standing.worked
    named = _names((*standing.typed, *worked.texts))
    project = worked.project if worked.project.named == named else replace(worked.project, named=named)
    wrong = first_errors(standing.wrong)
    left_out = left_out_of(worked.sheets, project, wrong, {*standing.typed, *wrong} - worked.texts.keys())
    if project is worked.project and left_out == worked.left_out:
        return standing
    return replace(standing, worked=replace(worked, project=project, left_out=left_out))


def _names(files: Iterable[str]) -> frozenset[tuple[str, str]]:
    """Folder and slug of every file that may be a spec."""
    paths = [PurePosixPath(path) for path in files]
    return frozenset(
        (path.parent.name, path.stem)
        for path in paths
        if path.parent.name in projects.FOLDERS and projects.SLUG.fullmatch(path.stem)
    )


# ---- the short way ----


def follow(before: Standing, memory: folder.Memory) -> Standing:
    """What is to be shown after some files were saved, with as little worked out as that takes.

    Args:
        before: what was shown last.
        memory: what was read before; brought up to date.
    Returns: sheets that are not touched are the same objects as before.
    Raises: Doubt, where more than some forms could be touched.
    """
    texts, found = folder.read_texts(before.worked.root, memory)
    shown = before.worked.texts
    unread = {problem.at.file for problem in _errors(found)}
    is_unread = lambda path: any(path == place or path.startswith(f"{place}/") for place in unread)
    new = {path for path in _differing(texts, before.typed) if not is_unread(path)}
    waiting = {path for path in _differing(texts, shown) if not is_unread(path)}
    # What else than forms waited before, and has not changed, goes on waiting, until a form that it is about changes.
    at_rest = {path for path in waiting - new if not path.startswith(FORMS)}
    about = {problem.at.file for problem in before.wrong if problem.at.file in new}
    if any(path.startswith(FORMS) for path in about) and any(_is_shared(path) for path in at_rest):
        raise Doubt("a form changed that another spec waited for")
    wrong = [problem for problem in before.wrong if problem.at.file in at_rest and problem.at.file in texts]
    wrong += _errors(found)
    trying = waiting - at_rest
    for path in sorted(trying):
        if path not in texts:
            raise Doubt(f"{path} is gone")
        if not path.startswith(FORMS):
            faults = _unreadable(path, texts[path], before.worked.project, memory)
            if not faults:
                raise Doubt(f"{path} is more than one form")
            wrong += faults
            trying = trying - {path}
    worked = before.worked
    while trying:
        mixed = _mixed(texts, shown, _differing(texts, shown) - trying)
        try:
            worked = _work_out_changed(before.worked, mixed, trying, memory)
            break
        except _Faults as faults:
            wrong += faults.problems
            own = faults.files & trying
            # Where only what leans on a changed form has an error, none of the changed ones is shown.
            trying = trying - own if own else set()
    standing = Standing(worked, texts, tuple(in_file_order(wrong)), tuple(found))
    return _named(_with_dependants(standing, memory))


def _is_shared(path: str) -> bool:
    return not path.startswith((f"{folder.SPECS}/orders/", f"{folder.SPECS}/runs/"))


def _unreadable(path: str, text: str, project: projects.Project, memory: folder.Memory) -> list[Problem]:
    """What is wrong in one file by itself, before anything is worked out."""
    place, slug = folder_and_slug(path)
    kind = "studio" if path == f"{folder.SPECS}/studio.yaml" else projects.FOLDERS.get(place)
    if kind is None:
        raise Doubt(f"{path} is out of place")
    faults: list[Problem] = []
    ounce = str(project.studio.fluid_ounce) if project.studio.fluid_ounce else None
    projects.read_spec(kind, text, path, faults, ounce, memory.parse, None if kind == "studio" else slug)
    return list(_errors(faults))


def _work_out_changed(
    before: Worked, texts: Mapping[str, str], changed: Collection[str], memory: folder.Memory
) -> Worked:
    """The folder worked out again where only some forms have changed or come.

    Args:
        before: the folder as it was.
        texts: all texts as they are to be shown.
        changed: paths of the forms that differ.
        memory: what was read before.
    Raises: Doubt, where more than the forms themselves could be touched; _Faults.
    """
    old = before.project
    slugs = {PurePosixPath(path).stem for path in changed}
    if slugs & coats.weighed_on(old):
        raise Doubt("the coat of a glaze was weighed on a form that has changed")
    touched = _leaning(slugs, old.forms)
    faults: list[Problem] = []
    named = replace(old, named=_names(texts) | old.named)
    project = projects.read_forms_again(named, texts, touched, faults, memory.parse)
    if has_errors(faults):
        raise _Faults(faults)
    _doubt_listed(project, old, slugs)
    for slug in touched:
        faults += links.check_form_links(project.forms[slug], project)
    if has_errors(faults):
        raise _Faults(faults)
    waiting = [slug for slug in touched if not links.can_be_worked_out(project.forms[slug], project, ())]
    if waiting:
        raise _Faults([], [project.forms[slug].at.file for slug in waiting])
    project, found = complete(project)
    faults += found
    if has_errors(faults):
        raise _Faults(faults)
    sheets, shaper = dict(before.sheets), Shaper(project)
    for slug in project.forms:
        if slug in touched:
            sheet = checks.check_form(project.forms[slug], project, shaper)
            faults += sheet.problems
            sheets[slug] = sheet
    files = {project.forms[slug].at.file for slug in touched}
    runs = [run for run in project.runs.values() if str(run.form) in touched]
    for run in runs:
        faults += checks.check_run(run, sheets[str(run.form)])
    some: Any = {slug: project.forms[slug] for slug in touched}
    own = {run.at.file for run in runs} | files
    faults += [problem for problem in limits.check_limits(replace(project, forms=some)) if problem.at.file in own]
    if has_errors(faults):
        raise _Faults(faults)
    kept = [problem for problem in before.problems if problem.at.file not in own]
    sheets = {slug: sheets[slug] for slug in project.forms if slug in sheets}
    return replace(before, texts=texts, project=project, sheets=sheets, problems=tuple(in_file_order([*kept, *faults])))


def _leaning(slugs: Collection[str], forms: Mapping[str, specs.Form]) -> set[str]:
    """Forms and all that lean on them, directly or through others."""
    touched = set(slugs)
    while more := {slug for slug, form in forms.items() if slug not in touched and links.other_forms(form) & touched}:
        touched |= more
    return touched


def _doubt_listed(project: projects.Project, old: projects.Project, slugs: Collection[str]) -> None:
    """Raises: Doubt, a form goes by another name on the pages of others than before, or by one that is another's."""
    for slug in slugs:
        form = project.forms[slug]
        if slug in old.forms:
            if _listed(form) != _listed(old.forms[slug]):
                raise Doubt(f"{slug} goes by another name now")
            continue
        codes = {str(other.code).casefold() for other in old.forms.values() if other.code}
        if form.code and str(form.code).casefold() in codes:
            raise Doubt(f"the code of {slug} is another form's too")
        if form.stockist and not any(other.stockist for other in old.forms.values()):
            raise Doubt(f"{slug} is the first that shops are told of")


def _listed(form: specs.Form) -> tuple:
    """What a form goes by on the pages of others."""
    return form.code, form.title, form.family, form.stockist is None


def _with_dependants(standing: Standing, memory: folder.Memory) -> Standing:
    """With the runs and orders that waited for nothing but forms that are there now."""
    worked, project = standing.worked, standing.worked.project
    faulty = {problem.at.file for problem in standing.wrong}
    came: dict[str, dict[str, Any]] = {"orders": {}, "runs": {}}
    for path in sorted(standing.held - faulty):
        place, slug = folder_and_slug(path)
        if place not in came or path not in standing.typed or path in worked.texts:
            continue
        found: list[Problem] = []
        ounce = str(project.studio.fluid_ounce) if project.studio.fluid_ounce else None
        kind = projects.FOLDERS[place]
        spec = projects.read_spec(kind, standing.typed[path], path, found, ounce, memory.parse, slug)
        wanted = (
            [str(line.form) for line in spec.lines] if place == "orders" and spec else [str(spec.form)] if spec else []
        )
        if spec is None or not all(form in worked.sheets for form in wanted):
            continue
        if place == "runs" and any(
            learns_from_runs(memory.parse(text, name)[0])
            for name, text in worked.texts.items()
            if "runs" in text and name.startswith((FORMS, f"{folder.SPECS}/studio.yaml"))
        ):
            raise Doubt("a spread is learned from runs")
        came[place][slug] = spec
    if not any(came.values()):
        return standing
    project = replace(project, **{place: {**project.files(place), **specs_} for place, specs_ in came.items()})
    paths = {f"{folder.SPECS}/{place}/{slug}.yaml" for place, found in came.items() for slug in found}
    texts = {**worked.texts, **{path: standing.typed[path] for path in paths}}
    return replace(standing, worked=replace(worked, project=project, texts=texts))
