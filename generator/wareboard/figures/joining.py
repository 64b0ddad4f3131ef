"""What is said of handles and spouts at the wheel and at trimming: the lump to weigh, the length to cut, and when to join."""

from __future__ import annotations

from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader
from wareboard.pot.straps import JOIN_LEAST_SHARE, JOIN_MOST_SHARE
from wareboard.text.languages import _


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
