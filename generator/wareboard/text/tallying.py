"""A count written into an order's text: at its own place, with everything else left as it is, comments and all."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from wareboard.text import source
from wareboard.text.source import Span

MADE = "made"
NEW = 0


class CannotAdd(ValueError):
    """A text that nothing can be added to by its place; the message says why, and what to write by hand."""


def add_count(
    text: str, form: str, stage: str, counts: Mapping[str, int], *, seconds: int | None = None, batch: int | None = None
) -> str:
    """An order's text with a count in it.

    It goes into the form's last entry under `made:`, or into the one that is named; where there is none, or a new batch is
    begun, an entry is added behind the others. The new text is read again and holds what the old one did and the count, or nothing is changed.

    Args:
        text: the order's text, readable.
        form: the form's slug.
        stage: the stage at which it was counted.
        counts: pieces by part; none where only seconds are written down.
        seconds: sets of those fired that are not good enough.
        batch: which of the form's entries, from 1 on; NEW begins another; the last unless given.
    Returns: the new text.
    Raises: CannotAdd, the text is written in a way that has no place for it.
    """
    newline = "\r\n" if "\r\n" in text else "\n"
    fields: dict[str, Any] = {}
    if counts:
        fields[stage] = dict(counts)
    if seconds is not None:
        fields["seconds"] = seconds
    top = source.read_spans(text)
    wanted = _wanted(_plain(top), form, fields, batch)
    made = top.get(MADE)
    entry = None if made is None else _entry(made, form, batch)
    if entry is not None:
        changed = _into_entry(text, entry, fields, newline)
    else:
        changed = _new_entry(text, top, made, _flow_text({"form": form, **fields}), newline)
    try:
        found = _plain(source.read_spans(changed))
    except Exception as fault:  # whatever it is, the old text stays
        raise _by_hand(form, fields) from fault
    if found != wanted or not _keeps_comments(text, changed):
        raise _by_hand(form, fields)
    return changed


def _by_hand(form: str, fields: Mapping[str, Any]) -> CannotAdd:
    return CannotAdd(
        f"the file is written in a way that nothing can be added to by its place; write under `made:` yourself\n  - {_flow_text({'form': form, **fields})}"
    )


def _entry(made: Span, form: str, batch: int | None) -> Span | None:
    """The form's entry that is meant; None where one is to be added."""
    own = [
        item for item in made.items if item.kind == "lines" and (name := item.get("form")) and name.text.strip() == form
    ]
    if batch == NEW or not own:
        return None
    if batch is not None and batch > len(own):
        raise CannotAdd(f"there is no batch {batch} of {form}; there {'is 1' if len(own) == 1 else f'are {len(own)}'}")
    return own[-1 if batch is None else batch - 1]


# ---- what the text says, and shall say ----


def _plain(span: Span) -> Any:
    if span.kind == "text":
        return span.text
    if span.kind == "list":
        return [_plain(item) for item in span.items]
    return [(name.text, _plain(value)) for name, value in span.entries]


def _wanted(old: Any, form: str, fields: Mapping[str, Any], batch: int | None) -> Any:
    """What the text says with the count in it; lines as pairs, so that their order counts too."""
    typed = {
        name: [(part, str(count)) for part, count in value.items()] if isinstance(value, dict) else str(value)
        for name, value in fields.items()
    }
    entries, changed = list(old), [("form", form), *typed.items()]
    place = next((place for place, (name, _) in enumerate(entries) if name == MADE), None)
    listed = [] if place is None or not isinstance(entries[place][1], list) else list(entries[place][1])
    own = [
        place
        for place, entry in enumerate(listed)
        if isinstance(entry, list) and ("form", form) in [(name, str(value).strip()) for name, value in entry]
    ]
    if own and batch != NEW:
        meant = own[-1 if batch is None else min(batch, len(own)) - 1]
        listed[meant] = _merged(listed[meant], typed)
    else:
        listed.append(changed)
    if place is None:
        return [*entries, (MADE, listed)]
    entries[place] = (MADE, listed)
    return entries


def _merged(entry: list[tuple[str, Any]], typed: Mapping[str, Any]) -> list[tuple[str, Any]]:
    found = list(entry)
    for name, value in typed.items():
        place = next((place for place, (known, _) in enumerate(found) if known == name), None)
        if place is None:
            found.append((name, value))
        elif isinstance(value, list) and isinstance(found[place][1], list):
            found[place] = (name, _merged(found[place][1], dict(value)))
        else:
            found[place] = (name, value)
    return found


def _keeps_comments(old: str, new: str) -> bool:
    """True where every comment of the old text stands in the new one, in the same order."""
    waiting = iter(_comments(new))
    return all(any(comment == found for found in waiting) for comment in _comments(old))


def _comments(text: str) -> list[str]:
    """What stands behind a `#`, line by line; a `#` inside a text counts too, which only makes the check stricter."""
    return [line[line.index("#") :].rstrip() for line in text.splitlines() if "#" in line]


# ---- the edit itself ----


_PLAIN_NAME = re.compile(r"[^\W\d_][\w -]*[\w]|[^\W\d_]")


def _name(word: str) -> str:
    return (
        word
        if _PLAIN_NAME.fullmatch(word) and word.casefold() not in ("null", "true", "false", "yes", "no")
        else f'"{word}"'
    )


def _flow_text(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_name(name)}: {_flow_text(inner)}" for name, inner in value.items()) + "}"
    return str(value)


def _into_entry(text: str, entry: Span, fields: Mapping[str, Any], newline: str) -> str:
    """The fields put into an entry that is there; the last place first, so that those before it stay true."""
    edits: list[tuple[int, int, str]] = []
    for name, value in fields.items():
        there = entry.get(name)
        if there is None:
            edits.append(_added(text, entry, f"{name}: {_flow_text(value)}", newline))
        elif isinstance(value, Mapping) and there.kind == "lines":
            for part, count in value.items():
                known = there.get(part)
                if known is None:
                    edits.append(_added(text, there, f"{_name(part)}: {count}", newline))
                else:
                    edits.append((known.start, known.end, str(count)))
        else:
            # An empty value begins right behind its colon.
            gap = " " if there.start == there.end and text[there.start - 1 : there.start] == ":" else ""
            edits.append((there.start, there.end, gap + _flow_text(value)))
    return _edited(text, edits)


def _added(text: str, lines: Span, words: str, newline: str) -> tuple[int, int, str]:
    """One more `key: value` behind the others of a place."""
    if lines.flow:
        # Behind the last value: what stands between it and the bracket may be a comma, or a comment.
        place = lines.entries[-1][1].end if lines.entries else lines.start + 1
        return place, place, f", {words}" if lines.entries else words
    first = lines.entries[0][0].start
    indent = first - (text.rfind("\n", 0, first) + 1)
    return _line_after(text, lines.last_character(), " " * indent + words, newline)


def _line_after(text: str, place: int, line: str, newline: str) -> tuple[int, int, str]:
    """A line below the one in which a place stands, its comment left where it is."""
    end = text.find("\n", place)
    if end < 0:
        return len(text), len(text), newline + line
    return end + 1, end + 1, line + newline


def _new_entry(text: str, top: Span, made: Span | None, entry: str, newline: str) -> str:
    if top.flow:
        return (
            _edited(text, [_added(text, top, f"{MADE}: [{entry}]", newline)])
            if made is None
            else _listed(text, made, entry, newline)
        )
    if made is None:
        ended = text if text.endswith("\n") or not text else text + newline
        return f"{ended}{MADE}:{newline}  - {entry}{newline}"
    return _listed(text, made, entry, newline)


def _listed(text: str, made: Span, entry: str, newline: str) -> str:
    """One more entry behind those that are there."""
    if made.kind == "list" and made.flow:
        place = made.items[-1].end if made.items else made.start + 1
        return _edited(text, [(place, place, f", {entry}" if made.items else entry)])
    if made.kind == "list":
        dash = text.rfind("-", 0, made.items[0].start)
        indent = dash - (text.rfind("\n", 0, dash) + 1)
        return _edited(text, [_line_after(text, made.last_character(), f"{' ' * indent}- {entry}", newline)])
    if made.kind == "text" and not made.text:
        return _edited(text, [_line_after(text, made.start, f"  - {entry}", newline)])
    raise CannotAdd("`made:` is not a list; write each batch behind `- `")


def _edited(text: str, edits: list[tuple[int, int, str]]) -> str:
    # Of two at one place, the later one is put in first, so that they stand in the order in which they were asked for.
    for _, (start, end, words) in sorted(enumerate(edits), key=lambda pair: (pair[1][0], pair[0]), reverse=True):
        text = text[:start] + words + text[end:]
    return text
