"""How much is read, in words: ceilings, so that no file, however it came about, takes longer than a few seconds."""

from __future__ import annotations

from wareboard.text import source
from wareboard.text.kinds import (
    DEEPEST_NOTES,
    LONGEST_NOTES,
    LONGEST_PROSE,
    MOST_BRACKETS,
    MOST_ITEMS,
    MOST_NAMES,
    MOST_TOLD,
)
from wareboard.text.specs import MOST_PARTS, MOST_STATIONS, MOST_STEPS

# What is counted, and as much of it as is read.
CEILINGS = (
    ("a file", f"{source.LONGEST_TEXT // 1_000_000} MB, nested {source.DEEPEST} deep"),
    ("a part's outline", f"{MOST_STATIONS} stations"),
    ("a form", f"{MOST_PARTS} parts"),
    ("a stage's steps", f"{MOST_STEPS} lines of {LONGEST_PROSE:,} characters"),
    ("notes", f"{LONGEST_NOTES:,} characters, {MOST_BRACKETS:,} brackets, lists {DEEPEST_NOTES} deep"),
    ("names of your own in one place", f"{MOST_NAMES}, where nothing else is said"),
    ("a list", f"{MOST_ITEMS:,} entries"),
    ("problems told", f"{MOST_TOLD} of one file; the others are counted"),
)
