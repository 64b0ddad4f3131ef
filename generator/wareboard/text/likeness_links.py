"""What is said of resizing, solving, galleries and handles: every name that must exist, and what says too much or too little."""

from __future__ import annotations

from collections.abc import Iterator

from wareboard.text.kinds import Word
from wareboard.text.problems import Problem, error, format_words, nearest_word
from wareboard.text.specs import RESIZED_TO, SOLVED, Extra, Form, Part

GALLERY_LEVELS = ("gallery", "ledge")
KEPT_WORDS = ("wall", "floor", "left_on")


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
    if len(said) != 1:
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
        near = nearest_word(word, [*KEPT_WORDS, *known])
        hint = f"did you mean `{near}`?" if near else f"it is {format_words(KEPT_WORDS)}, a station or a caliper size"
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
            near = nearest_word(word, part.outside)
            hint = f"did you mean `{near}`?" if near else f"there are {format_words(map(str, part.outside), 'and')}"
            yield error("unknown-station", word.at, f"{path}: there is no station of the outside `{word[:40]}`", hint)
