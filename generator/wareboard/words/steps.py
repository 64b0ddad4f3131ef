"""What is said at each stage of the work: a form's steps, the maker's own or the usual ones, and what to do with its handles and spouts."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from itertools import product

from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.pot.straps import JOIN_LEAST_SHARE, JOIN_MOST_SHARE
from wareboard.text.languages import _, remembered
from wareboard.words.wordfiles import read_word_file

_QUOTE = re.compile(r"\{([^{}]+)\}")


@frozen
class Step:
    """One step: its words with figures still quoted, the part that it is about where that is known, and whose words they are.

    `care` is the caution whose sign stands beside it.
    """

    text: str
    part: str = ""
    own: bool = True
    care: str = ""


@frozen
class UsualLine:
    """A line of `steps.yaml`: its words, the caution that goes with it, and what it needs."""

    do: str
    care: str = ""
    when: str = ""


def steps_of(sheet: Sheet, *, whole: bool = False) -> dict[str, tuple[Step, ...]]:
    """Every step of a form, by stage.

    A stage for which the form gives no steps has the usual ones, by kind of part, vessels before lids; what they
    quote is in the sheet.

    Args:
        sheet: the form's figures.
        whole: what is done once for all parts at a stage's beginning and end stands round a maker's own steps too.
    """
    return {stage: tuple(_steps_at(sheet, stage, whole)) for stage in STAGES}


def _steps_at(sheet: Sheet, stage: str, whole: bool) -> Iterator[Step]:
    own = [Step(str(line)) for line in sheet.form.steps.get(stage, ())]
    if not own or whole:
        yield from _once(sheet, "first", stage)
    yield from own or _usual_steps(sheet, stage)
    if not own or whole:
        yield from _once(sheet, "last", stage)


def _once(sheet: Sheet, when: str, stage: str) -> Iterator[Step]:
    """What is done once for all parts."""
    if sheet.is_worked_out:
        for line in read_steps()[when].get(stage, ()):
            if not line.when or CONDITIONS[line.when](sheet, ""):
                yield Step(line.do, own=False, care=line.care)


# What a line may need of a form, or of the part that it is about.
CONDITIONS: Mapping[str, Callable[[Sheet, str], bool]] = {
    "glazed": lambda sheet, part: sheet.glaze is not None,
    "fitted": lambda sheet, part: any(fit.inside.is_of(part) or fit.outside.is_of(part) for fit in sheet.form.fits.values()),
}  # fmt: skip


def kind_of(sheet: Sheet, part: str) -> str:
    """What kind of thing a part is: vessel, lid or solid."""
    spec = sheet.form.parts[part]
    return "solid" if spec.solid else "lid" if spec.opens_down else "vessel"


def extra_kind(extra: str) -> str:
    """A handle, or something else that is added."""
    return "handle" if "handle" in extra.casefold() else "added"


def _usual_steps(sheet: Sheet, stage: str) -> Iterator[Step]:
    if not sheet.is_worked_out:
        return
    order = sorted(map(str, sheet.form.parts), key=lambda part: ("vessel", "lid", "solid").index(kind_of(sheet, part)))
    for part in order:
        yield from _usual_of(sheet, stage, kind_of(sheet, part), part)
        for extra in map(str, sheet.form.parts[part].extras):
            yield from _usual_of(sheet, stage, extra_kind(extra), part, extra)


def _usual_of(sheet: Sheet, stage: str, kind: str, part: str, extra: str = "") -> Iterator[Step]:
    for line in read_steps().get(kind, {}).get(stage, ()):
        if line.when and not CONDITIONS[line.when](sheet, part):
            continue
        for text in filled_lines(line.do, sheet, part, extra):
            yield Step(text, part, own=False, care=line.care)


def filled_lines(line: str, sheet: Sheet, part: str, extra: str = "") -> Iterator[str]:
    """A usual step made into the steps of a part: once for each station, caliper size or fit that it speaks of.

    Args:
        line: words of `site_templates/words/steps.yaml`, whose head says what P, S, C, I and O stand for.
        sheet: the form's figures; a line that quotes one it hasn't got, or one that is nought, is left out.
        part: the part.
        extra: what is added to it, where the line is about that.
    """
    letters = {
        letter
        for quote in _QUOTE.findall(line)
        for letter in quote.rpartition(" ")[0].split(".")
        if letter in "SCIO" and letter
    }
    names = _names(sheet, part)
    for chosen in product(*(names[letter] for letter in sorted(letters))):
        given = {"P": part, **dict(zip(sorted(letters), chosen))}
        words = {
            "part": part,
            "form": str(sheet.form.title),
            "extra": extra,
            "station": given.get("S"),
            "caliper": given.get("C"),
            "fit": given.get("I") or given.get("O"),
        }
        text = _QUOTE.sub(lambda found: _filled(found[1], given, words), line)  # noqa: B023
        if all((figure := sheet.quoted(quote)) and figure.value != 0.0 for quote in _QUOTE.findall(text)):
            yield text


def _names(sheet: Sheet, part: str) -> Mapping[str, list[str]]:
    """What each letter may stand for."""
    spec, fits = sheet.form.parts[part], sheet.form.fits.items()
    sides = {
        letter: [str(name) for name, fit in fits if getattr(fit, side).is_of(part)]
        for letter, side in (("I", "inside"), ("O", "outside"))
    }
    fitted = {str(size.caliper) for _, fit in fits for size in (fit.inside, fit.outside) if size.is_of(part)}
    return {
        "S": list(spec.gauge_stations),
        "C": [str(name) for name in spec.calipers if str(name) not in fitted],
        **sides,
    }


def _filled(quote: str, given: Mapping[str, str], words: Mapping[str, str | None]) -> str:
    """One quote of a usual step: a word, or a figure of the form to be quoted."""
    if quote in words:
        return words[quote] or ""
    key, _, stage = quote.rpartition(" ")
    return "{" + ".".join(given.get(name, name) for name in key.split(".")) + f" {stage}}}"


@remembered()
def read_steps() -> dict[str, dict[str, tuple[UsualLine, ...]]]:
    """The usual steps by kind of part and stage; under `first` and `last`, what is done once for all parts."""
    return {
        kind: {stage: tuple(UsualLine(**line) if isinstance(line, dict) else UsualLine(line) for line in lines) for stage, lines in stages.items()}
        for kind, stages in read_word_file("steps").items()
    }  # fmt: skip


def read_bench_words() -> dict[str, dict]:
    """What a bench sheet says beside its numbers: `good` by stage and kind, `out` by kind of number."""
    found: dict[str, dict] = read_word_file("bench")
    return found


def read_first_week() -> tuple[dict, ...]:
    """The days of the first week, in order, as the head of their file says."""
    found: tuple[dict, ...] = read_word_file("firstweek")
    return found


def lump_words(sheet: Sheet, reader: Reader) -> tuple[str, ...]:
    """For the wheel: what to weigh out for what is added, a line for each part.

    Args:
        sheet: the form's figures.
        reader: the studio's.
    """
    said = []
    for name, part in sheet.form.parts.items():
        lumps = [
            f"{extra} {reader.amounts(figure.value, 'g', up=True)[0]}"
            for extra in part.extras if (figure := sheet.find(f"{name}.{extra}.clay", "wet"))
        ]  # fmt: skip
        if lumps:
            said.append(_("Added to the {part}, weighed apart: {lumps}.").format(part=name, lumps=", ".join(lumps)))
    return tuple(said)


def joining_words(sheet: Sheet, reader: Reader) -> tuple[str, ...]:
    """For trimming: what a strap is cut to, how far out it stands, and between which weights it is joined, a line for each part.

    Clay joins while both are soft enough to shrink on together: from half of the way to leather-hard up to leather-hard. Common practice.

    Args:
        sheet: the sheet of the pot that is made to its settings.
        reader: the studio's.
    """
    said = []
    for name, part in sheet.form.parts.items():
        witness = sheet.find(f"{name}.witness", "leather-hard")
        if not part.extras or witness is None:
            continue
        lost = 100.0 - witness.value
        early, late = 100.0 - JOIN_LEAST_SHARE * lost, 100.0 - JOIN_MOST_SHARE * lost
        sizes = []
        for extra in part.extras:
            cut, out = sheet.find(f"{name}.{extra}.length", "wet"), sheet.find(f"{name}.{extra}.reach", "leather-hard")
            told = [
                _("cut to {size} wet").format(size=reader.text(cut)) if cut else "",
                _("{size} out").format(size=reader.text(out)) if out else "",
            ]
            sizes += [f"{extra}: {', '.join(word for word in told if word)}"] if cut or out else []
        words = _("On goes the {extras} while the {part} weighs {least} to {most} % of its weight as thrown").format(
            extras=_(" and the ").join(map(str, part.extras)), part=name, least=f"{early:.0f}", most=f"{late:.0f}"
        )
        said.append(f"{words}{'; ' + '; '.join(sizes) if sizes else ''}.")
    return tuple(said)
