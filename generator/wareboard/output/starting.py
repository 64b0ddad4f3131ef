"""New specs and new folders: what `wareboard new`, `start` and `schema` write."""

from __future__ import annotations

import contextlib
import json
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from string import Template

from wareboard import DEMO, DEMO_SETTINGS, TEMPLATES
from wareboard.figures import checks
from wareboard.output.files import FolderError, made_folder, random_mark, remove_tree, write_whole
from wareboard.output.folder import Memory, read_texts
from wareboard.output.overwriting import check_destination
from wareboard.output.working import Worked
from wareboard.text import projects, schema, specs
from wareboard.text.problems import Problem, in_file_order
from wareboard.text.source import quoted


def suggest_slug(title: str) -> str:
    """A file name for a title; empty where nothing of it can stand in one.

    >>> suggest_slug("Crème pot, 2 handles")
    'creme-pot-2-handles'
    """
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].strip("-")


def suggest_code(codes: Iterable[str], like: str) -> str:
    """The next code that is free: of the same letters as `like`, one above the greatest in use.

    >>> suggest_code(["B-12", "B-9", "TC-2"], "B-9")
    'B-13'
    """
    letters = re.match(r"\D*", like)[0] or "F-"
    used = [int(found[1]) for code in codes if (found := re.fullmatch(re.escape(letters) + r"(\d{1,6})", code))]
    return f"{letters}{max(used, default=0) + 1}"


def form_text(**answers: str) -> str:
    """A commented spec of a plain vessel.

    Args:
        answers: title, code, family, clay, unit, foot, rim, height, wall, floor; sizes as they are typed.
    """
    written = {name: quoted(said) for name, said in answers.items()}
    return Template((TEMPLATES / "new" / "form.yaml").read_text(encoding="utf-8")).substitute(written)


def form_text_like(text: str, title: str, code: str) -> str:
    """Another form's spec with a title and a code of its own; all else, comments too, as it was."""
    text = _with_line(text, "title", title, after=None)
    return _with_line(text, "code", code, after="title")


# A value of one line, in quotes or not, up to its comment.
_VALUE = r"""(?:'(?:[^'\n]|'')*'|"(?:[^"\\\n]|\\.)*"|[^\n]*?)(?=[ \t]+#|[ \t]*$)"""


def _with_line(text: str, key: str, value: str, after: str | None) -> str:
    line = rf"(?m)^{key}:[ \t]*{_VALUE}"
    if re.search(line, text):
        return re.sub(line, lambda _: f"{key}: {quoted(value)}", text, count=1)
    return re.sub(rf"(?m)^{after}:.*$", lambda found: f"{found[0]}\n{key}: {quoted(value)}", text, count=1)


def check_text(worked: Worked, path: str, text: str) -> list[Problem]:
    """The problems that would be there, and are not yet, if a spec stood in the folder."""
    project = projects.read_project({**worked.texts, path: text})
    _, problems = checks.check_project(project)
    return [problem for problem in in_file_order(problems) if problem not in worked.problems]


def start_folder(folder: Path, *, demo: bool = False) -> None:
    """Make a maker's own folder: a studio, one clay, one form, the site's settings and the schemas.

    Args:
        folder: where it goes; made if it is not there.
        demo: with all of the demo studio instead.
    Raises: FolderError, the folder exists and is not empty.
    """
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise FolderError(f"{folder} is there already and is no folder")
    if folder.exists():
        for left in folder.glob(f"{_FILLING}*"):  # of a start that was killed
            remove_tree(left)
        if any(folder.iterdir()):
            raise FolderError(f"{folder} is there already and is not empty")
    with made_folder(folder):
        filling, placed = folder / f"{_FILLING}{random_mark()}", []
        try:
            filling.mkdir()
            _fill(filling, demo)
            for path in sorted(filling.iterdir()):
                placed.append(folder / path.name)
                path.rename(folder / path.name)
            filling.rmdir()
        except BaseException:
            for path in (filling, *placed):
                remove_tree(path) if path.is_dir() else path.unlink(missing_ok=True)
            raise


_FILLING = ".wareboard-start-"


def _fill(folder: Path, demo: bool) -> None:
    """What a new folder holds."""
    source, place = (DEMO, folder / "specs") if demo else (TEMPLATES / "start", folder)
    for path in sorted(source.rglob("*")):
        if path.is_file():
            write_whole(place / path.relative_to(source), path.read_bytes())
    if demo:
        write_whole(folder / "mkdocs.yml", DEMO_SETTINGS.read_bytes())
    texts, _ = read_texts(folder, Memory())
    write_schemas(folder / "specs" / ".schema", folder, schema.names_of(projects.read_project(texts)))


def renew_schemas(
    root: Path, project: projects.Project, known: Callable[[specs.Form], schema.NamesIn] = schema.names_in
) -> None:
    """Bring the schemas beside a studio's specs up to date with its own names, where there are some already.

    What is not a schema of ours stays, and so does everything where nothing can be written: an editor then knows less.

    Args:
        root: the maker's folder.
        project: the studio, without errors.
        known: gives the names of one form.
    """
    place = root / "specs" / ".schema"
    if not place.is_dir():
        return
    names = schema.names_of(project, known)
    for kind in projects.KINDS:
        path = place / f"{kind}.schema.json"
        with contextlib.suppress(OSError, FolderError):
            if not path.is_file():
                continue
            text = schema.schema_text(kind, names).encode()
            if path.read_bytes() != text:
                check_destination(path, root, _is_schema, "a schema")
                write_whole(path, text)


def write_schemas(folder: Path, root: Path, names: schema.Names = schema.NO_NAMES) -> list[Path]:
    """Write the schema of each kind of file; returns their paths.

    Args:
        folder: where they go.
        root: the maker's folder.
        names: the studio's own.
    Raises: FolderError, something else stands there; then none is written.
    """
    texts = {folder / f"{kind}.schema.json": schema.schema_text(kind, names).encode() for kind in projects.KINDS}
    for path in texts:
        check_destination(path, root, _is_schema, "a schema")
    for path, text in texts.items():
        write_whole(path, text)
    return list(texts)


def _is_schema(content: bytes) -> bool:
    try:
        return str(json.loads(content)["title"]).startswith("Wareboard: ")
    except (ValueError, KeyError, TypeError, RecursionError):
        return False


def used_words(forms: Mapping[str, specs.Form], field: str) -> list[str]:
    """The values of one field over all forms, each once, in order."""
    return sorted({str(value) for form in forms.values() if (value := getattr(form, field))})
