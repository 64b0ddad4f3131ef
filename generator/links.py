"""What files and parts say of one another: every name that must exist, looked up before anything is worked out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from generator.problems import Position, Problem, error, nearest_word
from generator.specs import FOLDERS, Bare, Fit, Form, Part, PartSize, Project, Size, Word


def check_links(project: Project) -> list[Problem]:
    """Every name in the project's files that leads nowhere."""
    problems = list(_repeated_codes(project))
    for form in project.forms.values():
        problems += check_form_links(form, project)
    for run in project.runs.values():
        problems += _file(project, "forms", run.form, "form")
        form = project.forms.get(run.form)
        if form:
            problems += [_unknown("unknown-part", name.at, "balls", name, form.parts, "part") for name in run.balls if name not in form.parts]
    return problems


def check_form_links(form: Form, project: Project) -> list[Problem]:
    """Every name in one form that leads nowhere."""
    problems = [*_file(project, "clays", form.clay, "clay")]
    if form.glaze:
        problems += _file(project, "glazes", form.glaze, "glaze")
    if not form.parts:
        problems.append(error("no-parts", form.at, "parts: a form has at least one part", "write `parts:` and under it `cup:`"))
    for name, part in form.parts.items():
        problems += _part(form, str(name), part)
    for name, fit in form.fits.items():
        problems += _fit(project, form, str(name), fit)
    return problems


def other_forms(form: Form) -> set[str]:
    """Slugs of the forms whose sizes this one's fits use."""
    return {side.form for fit in form.fits.values() for side in (fit.inside, fit.outside) if side.form and side.form != form.slug}


def can_be_worked_out(form: Form, project: Project, faulty: Iterable[str]) -> bool:
    """True where neither this form nor a form that it leans on has a faulty file."""
    broken = set(faulty)
    needed = {form.at.file} | {project.forms[slug].at.file for slug in other_forms(form) if slug in project.forms}
    return not needed & broken and all(slug in project.forms for slug in other_forms(form))


def _unknown(rule: str, at: Position, path: str, word: str, known: Iterable[str], what: str) -> Problem:
    names = [str(name) for name in known]
    near = nearest_word(word, names)
    hint = f"did you mean `{near}`?" if near else f"there {'is' if len(names) == 1 else 'are'} {', '.join(names)}" if 0 < len(names) <= 12 else ""
    return error(rule, at, f"{path}: there is no {what} `{str(word)[:40]}`", hint)


def _file(project: Project, folder: str, slug: Word, path: str) -> Iterator[Problem]:
    if (folder, str(slug)) not in project.named:
        known = [name for place, name in project.named if place == folder]
        yield _unknown("unknown-slug", slug.at, path, slug, sorted(known), f"file specs/{folder}/{slug}.yaml; no {FOLDERS[folder]}")
    elif str(slug) not in project.files(folder):
        yield error("faulty-file", slug.at, f"{path}: specs/{folder}/{slug}.yaml has faults of its own", "mend those first")


def _repeated_codes(project: Project) -> Iterator[Problem]:
    first: dict[str, Form] = {}
    for form in sorted(project.forms.values(), key=lambda form: form.slug):
        if form.code is None:
            continue
        known = first.setdefault(form.code.casefold(), form)
        if known is not form:
            yield error("repeated-code", form.code.at, f"code: `{form.code}` is the code of {known.title} too ({known.code.at.file}:{known.code.at.line})", "give each form a code of its own")


def _part(form: Form, name: str, part: Part) -> Iterator[Problem]:
    path = f"parts.{name}"
    if len(part.outside) < 2:
        yield error("too-few-stations", part.at, f"{path}.outside: an outline has two stations or more", "write at least `foot` and `rim`")
    if part.inside and (part.wall is not None or part.floor is not None):
        yield error("inside-and-wall", next(iter(part.inside.values())).at, f"{path}.inside: a part has either `inside` or `wall` and `floor`", "take one of the two out")
    elif not part.inside and (part.wall is None) != (part.floor is None):
        missing = "floor" if part.floor is None else "wall"
        yield error("half-a-wall", part.at, f"{path}: `{missing}` is missing; a hollow part has both `wall` and `floor`", f"write `{missing}:`; a solid part has neither")
    if len(part.inside) == 1:
        yield error("too-few-stations", next(iter(part.inside.values())).at, f"{path}.inside: an outline has two stations or more")
    if part.underside and part.opens_down:
        yield error("underside-of-lid", next(iter(part.underside.values())).at, f"{path}.underside: a part that opens down has no foot to be turned", "list its `inside:` stations instead")
    yield from _diameters(path, part)
    yield from _levels(path, part)
    for caliper_name, caliper in part.calipers.items():
        yield from _caliper(form, name, part, str(caliper_name), caliper)


def _diameters(path: str, part: Part) -> Iterator[Problem]:
    for outline in ("outside", "inside", "underside"):
        for station_name, station in getattr(part, outline).items():
            if isinstance(station.diameter, Word) and station.diameter not in part.calipers:
                yield _unknown("unknown-caliper", station.diameter.at, f"{path}.{outline}.{station_name}.diameter", station.diameter, part.calipers, "size under `calipers`")


def _levels(path: str, part: Part) -> Iterator[Problem]:
    both = [*part.outside, *part.inside]
    if isinstance(part.wall, dict):
        if not part.wall:
            yield error("no-value", part.at, f"{path}.wall: there is no value", "write `wall: 4`, or stations")
        yield from (_unknown("unknown-station", n.at, f"{path}.wall", n, part.outside, "station") for n in part.wall if n not in part.outside)
    if isinstance(part.fill_to, Word) and part.fill_to not in both:
        yield _unknown("unknown-station", part.fill_to.at, f"{path}.fill_to", part.fill_to, both, "station")
    for stretch in part.bare:
        yield from _stretch(path, part, stretch)
    for station in part.throwing.gauge_at if part.throwing else ():
        if station not in part.outside:
            yield _unknown("unknown-station", station.at, f"{path}.throwing.gauge_at", station, part.outside, "station of the outside")


def _stretch(path: str, part: Part, stretch: Bare) -> Iterator[Problem]:
    if stretch.what == "none" and len(part.bare) > 1:
        yield error("none-and-more", stretch.at, f"{path}.bare: `none` stands alone")
    if stretch.what == "stretch":
        for end in (stretch.start, stretch.end):
            if end not in part.outside:
                yield _unknown("unknown-station", stretch.at, f"{path}.bare", end, part.outside, "station of the outside")


def _caliper(form: Form, part_name: str, part: Part, name: str, caliper) -> Iterator[Problem]:
    path = f"parts.{part_name}.calipers.{name}"
    if caliper.from_fit:
        setting = [
            fit_name for fit_name, fit in form.fits.items()
            if any(s.form in (None, form.slug) and (s.part, s.caliper) == (part_name, name) for s in (fit.inside, fit.outside))
        ]  # fmt: skip
        if not setting:
            yield error("fit-without-fit", caliper.at, f"{path}: no fit names `{part_name}.{name}`", f"write a fit with `outside: {part_name}.{name}`, or give the size")
        if len(setting) > 1:
            yield error("set-twice", caliper.at, f"{path}: the fits {' and '.join(setting)} both set this size", "leave one of them, or give the size")
    elif isinstance(caliper.level, Word) and caliper.level not in part.outside and caliper.level not in part.inside:
        yield _unknown("unknown-station", caliper.at, path, caliper.level, [*part.outside, *part.inside], "station")
    if caliper.side == "inside" and not isinstance(caliper.level, Size) and part.solid:
        yield error("no-inside", caliper.at, f"{path}: the part is solid; there is no inside to measure", "give it a wall and a floor, or `inside:`")


def _fit(project: Project, form: Form, name: str, fit: Fit) -> Iterator[Problem]:
    path = f"fits.{name}"
    found = []
    for side in ("inside", "outside"):
        size: PartSize = getattr(fit, side)
        missing = list(_fit_side(project, form, f"{path}.{side}", size))
        yield from missing
        if not missing:
            owner = project.forms[size.form] if size.form else form
            found.append((owner.slug, owner.parts[size.part].calipers[size.caliper].from_fit))
    if len(found) == 2 and all(from_fit for slug, from_fit in found if slug == form.slug) and {slug for slug, _ in found} == {form.slug}:
        yield error("fit-without-size", fit.at, f"{path}: both sizes are `fit`, so neither is known", "give one of them as a size, or at a station")


def _fit_side(project: Project, form: Form, path: str, size: PartSize) -> Iterator[Problem]:
    owner = form
    if size.form and size.form != form.slug:
        missing = list(_file(project, "forms", Word(size.form, size.at), path))
        if missing:
            yield from missing
            return
        owner = project.forms[size.form]
    if size.part not in owner.parts:
        yield _unknown("unknown-part", size.at, path, size.part, owner.parts, "part")
    elif size.caliper not in owner.parts[size.part].calipers:
        yield _unknown("unknown-caliper", size.at, path, size.caliper, owner.parts[size.part].calipers, f"size under the calipers of `{size.part}`")
