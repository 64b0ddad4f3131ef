"""The record of revisions on the disk: read when output is made, and added to when it was made."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from wareboard.cards import revisions
from wareboard.cards.revisions import OldCard, Recorded, Revised
from wareboard.figures.shown import Reader
from wareboard.output import journal
from wareboard.output.unchanged import today


@dataclass(slots=True)
class Record:
    """A folder's record. Every text is read once."""

    root: Path
    day: datetime.date = field(default_factory=today)
    _known: dict[tuple[str, str], tuple[Recorded, ...]] = field(default_factory=dict)

    def history(self, of: str, name: str) -> tuple[Recorded, ...]:
        """The revisions that were made, in order; none where there is no record that can be read.

        Raises: OSError, the machine is at fault: a page that forgot its old cards would be a lie.
        """
        if (of, name) not in self._known:
            try:
                self._known[of, name] = revisions.parse_history(journal.record_text(self.root, f"{of}/{name}"))
            except OSError as fault:
                if fault.errno not in journal.KEPT_SHUT:
                    raise
                self._known[of, name] = ()
        return self._known[of, name]

    def old_cards(self, now: Revised, reader: Reader) -> tuple[OldCard, ...]:
        """What the page of a form or a clay tells whoever comes from a card of an older revision."""
        return revisions.old_cards(self.history(now.of, now.name), now, reader)

    def made_on(self, revised: Revised) -> datetime.date:
        """The day that stands on a card: when this revision was first made, or this day."""
        return revisions.made_on(self.history(revised.of, revised.name), revised.revision, self.day)

    def add(self, revised: Revised) -> None:
        """Write a revision down, if it is new; whoever does is `writing`.

        Raises: OSError, the record cannot be read or written; it stays as it is.
        """
        for name, line in self.new_lines([revised]).items():
            journal.add_line(self.root, name, line)
        history = self.history(revised.of, revised.name)
        if all(recorded.revision != revised.revision for recorded in history):
            self._known[revised.of, revised.name] = (*history, self._recorded(revised))

    def knows(self, revised: Revised) -> bool:
        """True where the revision stands in the record."""
        return any(recorded.revision == revised.revision for recorded in self.history(revised.of, revised.name))

    def new_lines(self, made: Iterable[Revised]) -> dict[str, str]:
        """The lines that the record does not have yet, by its name: `forms/tall-beaker`."""
        return {
            f"{revised.of}/{revised.name}": revisions.format_recorded(self._recorded(revised))
            for revised in made
            if not self.knows(revised)
        }

    def _recorded(self, revised: Revised) -> Recorded:
        return Recorded(revised.revision, self.day, revised.sizes)
