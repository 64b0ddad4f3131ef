"""Where something stands in a maker's text, what is wrong there, and how that is said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import NamedTuple

from wareboard.pot.frozen import frozen
from wareboard.text.languages import _
from wareboard.text.plain import escaped, width

ERROR = "error"
WARNING = "warning"
MOST_NAMED = 12  # words that a hint tells of


class Position(NamedTuple):
    """A place in a file: line and column count from 1, `width` is what the carets underline."""

    file: str
    line: int = 1
    column: int = 1
    width: int = 1


def place_within(at: Position, text: str, part: str) -> Position:
    """The place of a part of a text, where the text stands on one line as it was typed; else the text's own.

    >>> place_within(Position("a.yaml", 3, 10, 10), "inside rim", "rim")
    Position(file='a.yaml', line=3, column=17, width=3)
    """
    found = text.rfind(part)
    if found < 0 or at.width != len(text):
        return at
    return at._replace(column=at.column + found, width=max(1, len(part)))


@frozen
class Problem:
    """One thing that a maker should know, as a value; nothing is raised.

    `rule` is the name of the check, of its heading in the manual and of its fixture file.
    `hint` names something to do, or is empty.
    """

    level: str
    rule: str
    message: str
    at: Position
    hint: str = ""

    def as_json(self) -> dict[str, object]:
        """The problem as the JSON of `figures.md` has it."""
        return {
            "level": self.level,
            "rule": self.rule,
            "message": self.message,
            "file": self.at.file,
            "line": self.at.line,
            "column": self.at.column,
            "hint": self.hint,
        }


class Impossible(Exception):
    """A size or an outline that can't be; carries its problem. Caught where a sheet is made."""

    def __init__(self, problem: Problem):
        super().__init__(problem.message)
        self.problem = problem


class Refused(RuntimeError):
    """What cannot be done as it was asked; the message says why and what to do. It ends a command."""


def error(rule: str, at: Position, message: str, hint: str = "") -> Problem:
    """A problem that stops the form it stands in from being worked out."""
    return Problem(ERROR, rule, message, at, hint)


def warning(rule: str, at: Position, message: str, hint: str = "") -> Problem:
    """A problem that a maker would want to know of; the numbers are still worked out."""
    return Problem(WARNING, rule, message, at, hint)


def in_file_order(problems: Iterable[Problem]) -> list[Problem]:
    """Problems by file, line and column, each once."""
    return sorted(dict.fromkeys(problems), key=lambda p: (p.at.file, p.at.line, p.at.column, p.rule))


def has_errors(problems: Iterable[Problem]) -> bool:
    """True where one of the problems is an error."""
    return any(problem.level == ERROR for problem in problems)


def format_problem(problem: Problem, texts: Mapping[str, str] | None = None) -> str:
    """The problem as a message: place, words, rule, the line with carets, the hint.

    Args:
        problem: what to say.
        texts: the text of each file by its path; without it the excerpt is left out.
    """
    at = problem.at
    said = [escaped(f"{at.file}:{at.line}:{at.column}: {problem.level}: {problem.message} [{problem.rule}]")]
    lines = _lines((texts or {}).get(at.file, ""))
    if 0 < at.line <= len(lines):
        said += _excerpt(lines[at.line - 1], at)
    if problem.hint:
        said.append(escaped(f"   hint: {problem.hint}"))
    return "\n".join(said)


@lru_cache(maxsize=8)
def _lines(text: str) -> list[str]:
    """A file's lines, once for all problems in it."""
    return text.splitlines()


def _excerpt(line: str, at: Position, most: int = 100) -> list[str]:
    """The line with its number, cut around the place where it is long, and the carets under it."""
    start = max(0, at.column - 1 - most // 2) if len(line) > most else 0
    shown = line[start : start + most].rstrip()
    head = f"{at.line:>5} | "
    place = min(max(at.column - 1 - start, 0), len(shown))
    before = escaped(shown[:place].replace("\t", " "))
    under = escaped(shown[place : place + at.width].replace("\t", " "))
    after = escaped(shown[place + at.width :].replace("\t", " "))
    return [head + before + under + after, " " * (len(head) + width(before)) + "^" * max(1, width(under))]


def nearest_word(word: str, words: Iterable[str]) -> str | None:
    """The word that was most likely meant, or None where nothing is near.

    >>> nearest_word("diametre", ["height", "diameter"])
    'diameter'
    """
    choices = sorted(set(words))
    folded = {choice.casefold(): choice for choice in choices}
    import difflib  # few mistype

    found = difflib.get_close_matches(word[:80].casefold(), folded, n=1, cutoff=0.6)
    return folded[found[0]] if found else None


def format_words(words: Iterable[str], joined: str = "or") -> str:
    """Words in a row as they are said.

    >>> format_words(["wet", "dry", "fired"])
    'wet, dry or fired'
    """
    listed = list(words)
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} {joined} {listed[-1]}"


def did_you_mean(
    word: str, words: Iterable[str], otherwise: str | None = None, *, called: str | None = None, sign: str = "`"
) -> str:
    """A hint for a word that nobody knows: the one that was most likely meant, else what there is.

    Args:
        word: as typed.
        words: those that there are.
        otherwise: what is said where none is near; unless given, the words themselves, at most a dozen.
        called: the one that is meant for sure, where something else than its look told it.
        sign: what stands around a word: ` in a spec, ' behind a command.
    Returns: the hint; empty where there is nothing.
    >>> did_you_mean("diametre", ["height", "diameter"]), did_you_mean("x", ["jar"]), did_you_mean("x", ["jar", "lid"])
    ('did you mean `diameter`?', 'there is jar', 'there are jar and lid')
    """
    known = [str(one) for one in words]
    near = called or nearest_word(word, known)
    if near:
        return f"did you mean {sign}{near}{sign}?"
    if otherwise is not None:
        return otherwise
    return what_there_is(known)


def what_there_is(words: Iterable[str]) -> str:
    """Words that there are, at most a dozen; empty where there is none.

    >>> what_there_is(["jar"]), what_there_is(["jar", "lid"])
    ('there is jar', 'there are jar and lid')
    """
    known = list(words)
    if not known:
        return ""
    more = " and others" if len(known) > MOST_NAMED else ""
    return f"there {'is' if len(known) == 1 else 'are'} {format_words(known[:MOST_NAMED], 'and')}{more}"


def joined(words: Iterable[str]) -> str:
    """Words one after another in the language that is spoken, the last behind `and`.

    >>> joined(["wet", "dry", "fired"])
    'wet, dry and fired'
    """
    return format_words(words, _("and"))


def capital(words: str) -> str:
    """Words as the first of a line.

    >>> capital("wet mouth")
    'Wet mouth'
    """
    return str(words)[:1].upper() + str(words)[1:]
