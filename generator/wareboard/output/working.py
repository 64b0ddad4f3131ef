"""A maker's folder, read, worked out and checked: what every output starts from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from wareboard.figures import checks
from wareboard.figures.sheet import Sheet
from wareboard.output import folder
from wareboard.text import projects
from wareboard.text.problems import Problem, has_errors, in_file_order

Say = Callable[[str], None]


def say_nothing(words: str) -> None:
    """For a caller that wants to hear nothing."""


@dataclass(frozen=True, slots=True)
class Worked:
    """A maker's folder, read, worked out and checked."""

    root: Path
    texts: Mapping[str, str]
    project: projects.Project
    sheets: Mapping[str, Sheet]
    problems: tuple[Problem, ...]

    @property
    def refused(self) -> bool:
        """True where an error stands in the way of any output."""
        return has_errors(self.problems)


def work_out(root: Path, memory: folder.Memory | None = None) -> Worked:
    """Read a folder's specs, work every form out and check it all.

    Args:
        root: the folder that holds `specs/`.
        memory: what was read before; brought up to date.
    """
    memory = memory if memory is not None else folder.Memory()
    texts, found = folder.read_texts(root, memory)
    project = projects.read_project(texts, memory.parse)
    sheets, problems = checks.check_project(project)
    return Worked(root, texts, project, sheets, tuple(in_file_order([*found, *problems])))
