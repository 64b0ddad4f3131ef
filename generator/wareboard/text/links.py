"""What files and parts say of one another: every name that must exist, looked up before anything is worked out; what says too much or too little."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from wareboard.text.kinds import Size, Word
from wareboard.text.part_specs import SOLVED, Extra, Part
from wareboard.text.phrases import Bare, Caliper, PartSize
from wareboard.text.problems import Position, Problem, did_you_mean, error, format_words, place_within
from wareboard.text.projects import FOLDERS, Project, form_called
from wareboard.text.specs import RESIZED_TO, Fit, Form

GALLERY_LEVELS = ("gallery", "ledge")
KEPT_WORDS = ("wall", "floor", "left_on")


def check_links(project: Project) -> list[Problem]:
    """Every name in the project's files that leads nowhere."""
    problems = list(_repeated_codes(project))
    for form in (*project.forms.values(), *project.faulty_forms):
        problems += check_form_links(form, project)
    for run in project.runs.values():
        problems += _file(project, "forms", run.form, "form")
        thrown = project.forms.get(run.form)
        for name in run.balls if thrown else ():
            if thrown and name not in thrown.parts:
                problems += _unknown_name("unknown-part", thrown, name.at, "balls", name, thrown.parts, "part")
    return problems


def check_form_links(form: Form, project: Project) -> list[Problem]:
    """Every name in one form that leads nowhere.

    Of a form with faults only names are looked up, and none that stands in what could not be read.
    """
    problems: list[Problem] = []
    if form.clay:
        problems += _file(project, "clays", form.clay, "clay")
    if form.glaze:
        problems += _file(project, "glazes", form.glaze, "glaze")
    if not form.parts and not form.unread:
        problems.append(
            error("no-parts", form.at, "parts: a form has at least one part", "write `parts:` and under it `cup:`")
        )
    for name, part in form.parts.items():
        if not form.unread:
            problems += _outlines(f"parts.{name}", part)
        problems += _names(form, str(name), part)
    for name, fit in form.fits.items():
        problems += _fit(project, form, str(name), fit)
    problems += check_likeness(form)
    return problems


def other_forms(form: Form) -> set[str]:
    """Slugs of the forms that this one leans on: whose sizes its fits use, and the one that it is like."""
    fits = {side.form for fit in form.fits.values() for side in (fit.inside, fit.outside) if side.form}
    return fits | ({str(form.like)} if form.like else set())


def can_be_worked_out(form: Form, project: Project, faulty: Iterable[str]) -> bool:
    """True where no file that this form leans on, itself or through another form, has a fault."""
    broken, waiting, seen = set(faulty), [form.slug], set()
    while waiting:
        slug = waiting.pop()
        if slug in seen:
            continue
        seen.add(slug)
        needed = project.forms.get(slug)
        if needed is None:
            return False
        specs = [
            needed,
            project.clays.get(needed.clay),
            *([project.glazes.get(needed.glaze)] if needed.glaze else []),
        ]
        if any(spec is None or spec.at.file in broken for spec in specs):
            return False
        waiting += other_forms(needed)
    return True


def _unknown_name(
    rule: str,
    form: Form | None,
    at: Position,
    path: str,
    word: str,
    known: Iterable[str],
    what: str,
    called: str | None = None,
) -> Iterator[Problem]:
    if form and word in form.unread:
        return
    names = [str(name) for name in known]
    hint = did_you_mean(word, names, called=called)
    if not names and rule == "unknown-caliper":
        hint = "give the size, or write under `calipers:` where it is measured"
    yield error(rule, at, f"{path}: there is no {what} `{str(word)[:40]}`", hint)


def _file(project: Project, folder: str, slug: Word, path: str) -> Iterator[Problem]:
    """Nothing is said where the file is there: its own faults stand beside it."""
    if (folder, str(slug)) not in project.named:
        known = sorted(name for place, name in project.named if place == folder)
        called = form_called(project, slug) if folder == "forms" else None
        yield from _unknown_name(
            "unknown-slug",
            None,
            slug.at,
            path,
            slug,
            known,
            f"file in specs/{folder}/ for the {FOLDERS[folder]}",
            called,
        )


def _repeated_codes(project: Project) -> Iterator[Problem]:
    first: dict[str, tuple[Form, Word]] = {}
    for form in sorted((*project.forms.values(), *project.faulty_forms), key=lambda form: form.slug):
        if form.code is None:
            continue
        known, code = first.setdefault(form.code.casefold(), (form, form.code))
        if known is not form:
            yield error(
                "repeated-code",
                form.code.at,
                f"code: `{form.code}` is the code of {known.title or known.slug} too ({code.at.file}:{code.at.line})",
                "give each form a code of its own",
            )


# ---- one part ----


def _outlines(path: str, part: Part) -> Iterator[Problem]:
    """What a part has too much or too little of."""
    if len(part.outside) < 2:
        yield error(
            "too-few-stations",
            _first_at(part.outside, part),
            f"{path}.outside: an outline has two stations or more",
            "write at least `foot` and `rim`",
        )
    if part.inside and (part.wall is not None or part.floor is not None):
        yield error(
            "inside-and-wall",
            _first_at(part.inside, part),
            f"{path}: there is `inside` as well as `wall` or `floor`; a part has one or the other",
            "take one of them out",
        )
    elif not part.inside and (part.wall is None) != (part.floor is None):
        missing, there = ("floor", part.wall) if part.floor is None else ("wall", part.floor)
        yield error(
            "half-a-wall",
            _size_at(there, part),
            f"{path}: `{missing}` is missing; a hollow part has both `wall` and `floor`",
            f"write `{missing}:`; a solid part has neither",
        )
    if len(part.inside) == 1:
        yield error(
            "too-few-stations",
            _first_at(part.inside, part),
            f"{path}.inside: an outline has two stations or more",
            "write at least one at the floor and one at the rim",
        )
    if len(part.underside) == 1:
        yield error(
            "too-few-stations",
            _first_at(part.underside, part),
            f"{path}.underside: an outline has two stations or more",
            "write at least one at the centre and one at the foot",
        )
    if part.underside and part.opens_down:
        yield error(
            "underside-of-lid",
            _first_at(part.underside, part),
            f"{path}.underside: a part that opens down has no foot to be turned",
            "list its `inside:` stations instead",
        )
    left_on = part.throwing.left_on.wall if part.throwing and part.throwing.left_on else None
    for where, wall in (("wall", part.wall), ("throwing.left_on.wall", left_on)):
        if isinstance(wall, dict) and not wall:
            yield error(
                "no-value",
                part.at,
                f"{path}.{where}: there is no value",
                "write `wall: 4`, or a wall for each of some stations",
            )


def _first_at(stations: Iterable[Word], part: Part) -> Position:
    return next((station.at for station in stations), part.at)


def _size_at(sizes: Size | Mapping[Word, Size] | Word | None, part: Part) -> Position:
    return sizes.at if isinstance(sizes, (Size, Word)) else _first_at(sizes or (), part)


def _names(form: Form, name: str, part: Part) -> Iterator[Problem]:
    """Every station and caliper size that a part names and has not got."""
    path, both = f"parts.{name}", [*part.outside, *part.inside]
    for outline in ("outside", "inside", "underside"):
        for station_name, station in getattr(part, outline).items():
            if isinstance(station.diameter, Word) and station.diameter not in part.calipers:
                yield from _unknown_name(
                    "unknown-caliper",
                    form,
                    station.diameter.at,
                    f"{path}.{outline}.{station_name}.diameter",
                    station.diameter,
                    part.calipers,
                    "caliper size",
                )
    left_on = part.throwing.left_on.walls if part.throwing and part.throwing.left_on else {}
    for where, stations in (
        ("wall", part.wall if isinstance(part.wall, dict) else {}),
        ("throwing.left_on.wall", left_on),
    ):
        for station in stations:
            if station not in part.outside:
                yield from _unknown_name(
                    "unknown-station",
                    form,
                    station.at,
                    f"{path}.{where}",
                    station,
                    part.outside,
                    "station of the outside",
                )
    if isinstance(part.fill_to, Word) and part.fill_to not in both:
        yield from _unknown_name(
            "unknown-station", form, part.fill_to.at, f"{path}.fill_to", part.fill_to, both, "station"
        )
    for stretch in part.bare:
        yield from _stretch(form, path, part, stretch)
    for station in part.throwing.gauge_at if part.throwing else ():
        if station not in part.outside:
            yield from _unknown_name(
                "unknown-station",
                form,
                station.at,
                f"{path}.throwing.gauge_at",
                station,
                part.outside,
                "station of the outside",
            )
    for caliper_name, caliper in part.calipers.items():
        yield from _caliper(form, name, part, str(caliper_name), caliper)


def _stretch(form: Form, path: str, part: Part, stretch: Bare) -> Iterator[Problem]:
    if stretch.what == "none" and len(part.bare) > 1:
        yield error(
            "none-and-more",
            stretch.at,
            f"{path}.bare: `none` stands beside others, so it is not clear what is bare",
            "take `none` out, or the others",
        )
    if stretch.what == "stretch":
        for end in dict.fromkeys((stretch.start, stretch.end)):
            if end not in part.outside:
                at = place_within(stretch.at, f"{stretch.start} to {stretch.end}", end)
                yield from _unknown_name(
                    "unknown-station", form, at, f"{path}.bare", end, part.outside, "station of the outside"
                )


def _caliper(form: Form, part_name: str, part: Part, name: str, caliper: Caliper) -> Iterator[Problem]:
    path = f"parts.{part_name}.calipers.{name}"
    both: list[str] = [*part.outside, *part.inside]
    if caliper.from_fit:
        setting = [
            str(fit_name) for fit_name, fit in form.fits.items()
            if any(size.is_of(part_name) and size.caliper == name for size in (fit.inside, fit.outside))
        ]  # fmt: skip
        if not setting and not form.unread:
            yield error(
                "fit-without-fit",
                caliper.at,
                f"{path}: no fit names `{part_name}.{name}`",
                f"write a fit with `outside: {part_name}.{name}`, or give the size",
            )
        if len(setting) > 1:
            yield error(
                "set-twice",
                caliper.at,
                f"{path}: the fits {format_words(setting, 'and')} both set this size",
                "give the size, or take it out of one of the fits",
            )
    elif caliper.side == "inside" and not isinstance(caliper.level, Size) and part.solid:
        if not form.unread:
            yield error(
                "no-inside",
                caliper.at,
                f"{path}: the part is solid; there is no inside to measure",
                "give it a wall and a floor, or `inside:`",
            )
    elif isinstance(caliper.level, Word) and caliper.level not in both:
        if caliper.side == "inside" and part.gallery is not None:
            both = [*both, *(level for level in GALLERY_LEVELS if level not in both)]
        if caliper.level not in both:
            yield from _unknown_name("unknown-station", form, caliper.level.at, path, caliper.level, both, "station")
    if caliper.measured is not None:
        yield from _caliper(form, part_name, part, name, caliper.measured)


# ---- one fit ----


def _fit(project: Project, form: Form, name: str, fit: Fit) -> Iterator[Problem]:
    path = f"fits.{name}"
    set_by_fit = []
    for side in ("inside", "outside"):
        size: PartSize = getattr(fit, side)
        missing = list(_fit_side(project, form, path, side, size))
        yield from missing
        part = form.parts.get(size.part) if size.own else None
        caliper = part.calipers.get(size.caliper) if part else None
        set_by_fit.append(bool(caliper and caliper.from_fit))
    if all(set_by_fit):
        yield error(
            "fit-without-size",
            fit.at,
            f"{path}: both sizes are `fit`, so neither is known",
            "give one of them as a size, or at a station",
        )


def _place_of(size: PartSize, start: int, word: str) -> Position:
    """The place of one name in `jar.mouth`, where it stands as it was typed."""
    at = size.at
    return at._replace(column=at.column + start, width=len(word)) if at.width == len(size.said) else at


def _fit_side(project: Project, form: Form, path: str, side: str, size: PartSize) -> Iterator[Problem]:
    owner: Form | None = form
    path = f"{path}.{side}"
    if size.form:
        yield from _file(project, "forms", Word(size.form, _place_of(size, 0, size.form)), path)
        owner = project.forms.get(size.form)
    if owner is None:
        return
    part = owner.parts.get(size.part)
    if part is None:
        at = _place_of(size, size.said.rindex(f"{size.part}.{size.caliper}"), size.part)
        yield from _unknown_name("unknown-part", form, at, path, size.part, owner.parts, "part")
    elif size.caliper not in part.calipers:
        at, what = _place_of(size, len(size.said) - len(size.caliper), size.caliper), f"caliper size of `{size.part}`"
        if size.caliper in (*part.outside, *part.inside):
            hint = _measured_there(part, side, size.caliper)
            yield error("unknown-caliper", at, f"{path}: `{size.caliper}` is a station, and no {what}", hint)
        else:
            yield from _unknown_name("unknown-caliper", form, at, path, size.caliper, part.calipers, what)


def _measured_there(part: Part, side: str, station: str) -> str:
    """A hint where a fit names a station: the size that is measured there, or how it is written."""
    across = part.outside[station].diameter if station in part.outside else None
    called = [name for name, one in part.calipers.items() if (one.side, one.level) == (side, station) or name == across]
    return (
        f"did you mean `{called[0]}`?" if called else f"write `calipers: {{{station}: {side} {station}}}` in the part"
    )


def check_likeness(form: Form) -> Iterator[Problem]:
    """What is wrong with how a form is resized, and with what its parts say short."""
    if form.resized is not None:
        yield from _resized(form)
    if form.unread:
        return
    for name, part in form.parts.items():
        yield from _part(f"parts.{name}", part)


def _resized(form: Form) -> Iterator[Problem]:
    resized = form.resized
    assert resized is not None
    said = [name for name in RESIZED_TO if getattr(resized, name) is not None]
    if form.like is None:
        yield error("resized-alone", resized.at, "resized: there is no `like:`, so nothing to resize", "write `like:` and the other form's name")  # fmt: skip
    if len(said) != 1 and not form.unread.intersection(RESIZED_TO):
        what = f"{format_words(said, 'and')} are said" if said else "nothing is said that it is resized to"
        yield error("resized-to-one", resized.at, f"resized: {what}", f"write one of {format_words(f'`{word}:`' for word in RESIZED_TO)}")  # fmt: skip
    for word in resized.keep:
        if word in KEPT_WORDS:
            continue
        part_name, dot, name = word.rpartition(".")
        parts = {str(name): part for name, part in form.parts.items()}
        if dot and part_name not in parts:
            known = [f"{part}.{name}" for part in parts]
        else:
            looked = [parts[part_name]] if dot else list(parts.values())
            names = {
                str(one) for part in looked for one in (*part.outside, *part.inside, *part.underside, *part.calipers)
            }
            if name in names or name in form.unread:
                continue
            known = [f"{part_name}.{one}" if dot else one for one in sorted(names)]
        hint = did_you_mean(
            word, [*KEPT_WORDS, *known], f"it is {format_words(KEPT_WORDS)}, a station or a caliper size"
        )
        yield error("unknown-kept", word.at, f"resized.keep: there is nothing called `{word[:40]}`", hint)


def _part(path: str, part: Part) -> Iterator[Problem]:
    solved = [size for size in (part.wall, part.floor) if isinstance(size, Word) and size == SOLVED]
    if solved and part.weighs is None and part.holds is None:
        yield error("solved-by-nothing", solved[0].at, f"{path}: nothing says what a thickness is solved by", "write `weighs: 244 g fired`, or `holds: 310 ml`")  # fmt: skip
    elif len(solved) == 1 and solved[0] is part.floor:
        yield error("floor-alone-solved", solved[0].at, f"{path}.floor: weight and water tell wall and floor together, not a floor alone", "write `wall: solved` too, or give the floor")  # fmt: skip
    gallery = part.gallery
    if gallery is not None and (part.inside or part.wall is None or part.opens_down):
        instead = (
            "list the ledge among `inside:`" if part.inside else "give the part a `wall` and a `floor`, opening up"
        )
        yield error("gallery-without-wall", gallery.at, f"{path}.gallery: a gallery is let into the wall of a vessel", instead)  # fmt: skip
    for name, extra in part.extras.items():
        yield from _extra(f"{path}.extras.{name}", part, extra)


def _extra(path: str, part: Part, extra: Extra) -> Iterator[Problem]:
    if extra.clay is None and extra.strap is None:
        yield error("extra-without-clay", extra.at, f"{path}: neither `clay` nor `strap` says how much it is", "write `clay: 45 g`, or the strap's length, width and thickness")  # fmt: skip
    for word in (extra.joined, extra.to):
        if isinstance(word, Word) and word not in part.outside:
            hint = did_you_mean(word, part.outside)
            yield error("unknown-station", word.at, f"{path}: there is no station of the outside `{word[:40]}`", hint)
