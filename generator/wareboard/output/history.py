"""The record of revisions on the disk: read when output is made, and added to when it was made."""

from __future__ import annotations

import datetime
import os
from dataclasses import dataclass, field
from pathlib import Path

from wareboard.cards import revisions
from wareboard.cards.revisions import OldCard, Recorded, Revised
from wareboard.figures.shown import Reader
from wareboard.output import folder

# Beside the specs, to be kept with them; its dot keeps it from being read as specs.
RECORD = f"{folder.SPECS}/.revisions"


def today() -> datetime.date:
    """The day; the one that SOURCE_DATE_EPOCH names where it is set, for output that is the same whenever it is made."""
    pinned = os.environ.get("SOURCE_DATE_EPOCH", "")
    return (
        datetime.datetime.fromtimestamp(int(pinned), datetime.UTC).date() if pinned.isdigit() else datetime.date.today()
    )


@dataclass(slots=True)
class Record:
    """A folder's record. Every text is read once."""

    root: Path
    day: datetime.date = field(default_factory=today)
    _known: dict[tuple[str, str], tuple[Recorded, ...]] = field(default_factory=dict)

    def history(self, of: str, name: str) -> tuple[Recorded, ...]:
        """The revisions that were made, in order; none where there is no record that can be read."""
        if (of, name) not in self._known:
            try:
                self._known[of, name] = revisions.parse_history(self._text(of, name))
            except OSError:
                self._known[of, name] = ()
        return self._known[of, name]

    def old_cards(self, now: Revised, reader: Reader) -> tuple[OldCard, ...]:
        """What the page of a form or a clay tells whoever comes from a card of an older revision."""
        return revisions.old_cards(self.history(now.of, now.name), now, reader)

    def made_on(self, revised: Revised) -> datetime.date:
        """The day that stands on a card: when this revision was first made, or this day."""
        return revisions.made_on(self.history(revised.of, revised.name), revised.revision, self.day)

    def add(self, revised: Revised) -> None:
        """Write a revision down, if it is new.

        Raises: OSError, the record cannot be read or written; it stays as it is.
        """
        history = self.history(revised.of, revised.name)
        if any(recorded.revision == revised.revision for recorded in history):
            return
        recorded, text = Recorded(revised.revision, self.day, revised.sizes), self._text(revised.of, revised.name)
        ended = text if text.endswith("\n") or not text else text + "\n"
        folder.write_whole(
            self._path(revised.of, revised.name),
            (ended + revisions.format_recorded(recorded)).encode("utf-8", "surrogateescape"),
        )
        self._known[revised.of, revised.name] = (*history, recorded)

    def _path(self, of: str, name: str) -> Path:
        path = self.root / RECORD / of / f"{name}.jsonl"
        # A link could lead anywhere.
        if not Path(os.path.realpath(path)).is_relative_to(os.path.realpath(self.root / folder.SPECS)):
            raise OSError(None, f"{RECORD} leads out of the project")
        return path

    def _text(self, of: str, name: str) -> str:
        """The record's text; bytes that are no text go in and out as they are."""
        path = self._path(of, name)
        try:
            if path.stat().st_size > folder.LARGEST_BYTES:
                raise OSError(None, f"{path.name} is too large to be a record")
            return path.read_text(encoding="utf-8", errors="surrogateescape")
        except FileNotFoundError:
            return ""
