"""Coats that were weighed on a form's own part: the part's glazed area makes a weight by area of two weighings."""

from __future__ import annotations

from dataclasses import replace
from math import fsum

from wareboard.figures.sheet import make_sheet
from wareboard.pot.glaze import coat_kg_m2
from wareboard.text import links
from wareboard.text.kinds import Size
from wareboard.text.plain import escaped
from wareboard.text.problems import Problem, did_you_mean, error
from wareboard.text.projects import Project
from wareboard.text.studio_specs import Glaze
from wareboard.text.weighings import CoatOf


def weigh_coats(project: Project) -> Project:
    """A studio in which every coat is a weight by area; one that can't be told is left out, with its problem.

    Args:
        project: the studio's files, read.
    Returns: the very same where no coat was weighed on a form.
    """
    waiting = {slug: glaze for slug, glaze in project.glazes.items() if isinstance(glaze.coat, CoatOf)}
    if not waiting:
        return project
    bare = replace(
        project,
        glazes={
            slug: replace(glaze, coat=None) if slug in waiting else glaze for slug, glaze in project.glazes.items()
        },
    )
    faulty = {problem.at.file for problem in (*project.problems, *links.check_links(bare)) if problem.level == "error"}
    glazes, problems = dict(bare.glazes), list(project.problems)
    for slug, glaze in waiting.items():
        if not isinstance(glaze.coat, CoatOf):
            continue
        found = _weighed(glaze, glaze.coat, bare, faulty)
        if isinstance(found, Problem):
            problems.append(found)
        else:
            glazes[slug] = replace(glaze, coat=found)
    return replace(project, glazes=glazes, problems=tuple(problems))


def weighed_on(project: Project) -> set[str]:
    """Slugs of the forms on which coats were weighed, in a studio in which they are told: a change there is one of the glaze."""
    return {coat.of for glaze in project.glazes.values() if isinstance(coat := glaze.coat, Size) and coat.of}


def _weighed(glaze: Glaze, coat: CoatOf, project: Project, faulty: set[str]) -> Size | Problem:
    """The coat as a weight by area, or why it can't be told. Areas are those at bisque, as in `glaze.dry`."""
    if ("forms", coat.form) not in project.named:
        return _unknown_name(
            "unknown-slug", coat, coat.form, [slug for folder, slug in project.named if folder == "forms"], "form"
        )
    form = project.forms.get(coat.form)
    if form is None or not links.can_be_worked_out(form, project, faulty):
        return error(
            "coat-without-area", coat.at, f"coat.of: {escaped(coat.form)[:40]} has errors, so the area that was covered is not known", "mend the form, or write `area:` instead"
        )  # fmt: skip
    if coat.part and coat.part not in form.parts:
        return _unknown_name("unknown-part", coat, coat.part, list(map(str, form.parts)), "part")
    sheet = make_sheet(form, project)
    areas = [
        sheet.find(f"{part}.area.glazed", "bisque") for part in ([coat.part] if coat.part else map(str, form.parts))
    ]
    area = fsum(figure.value for figure in areas if figure)
    if area <= 0.0:
        return error(
            "coat-without-area", coat.at, f"coat.of: nothing of {escaped(coat.typed.rpartition(' on ')[2])[:60]} is glazed", "name a part that is, or write `area:` instead"
        )  # fmt: skip
    return Size(coat_kg_m2(coat.bare_g, coat.glazed_g, area), None, coat.form, f"{coat.typed}, {area:.0f} cm2", coat.at)


def _unknown_name(rule: str, coat: CoatOf, word: str, known: list[str], what: str) -> Problem:
    hint = did_you_mean(word, sorted(known))
    return error(rule, coat.at, f"coat.of: there is no {what} `{escaped(word)[:40]}`", hint)
