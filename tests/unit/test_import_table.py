"""The rooms import only what the table in DEVELOPERS.md allows, each outside library has its owner, nothing runs in a circle."""

import ast
import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "generator"
FLOORS = {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
FACES = {"generator", *(f"generator.{floor}" for floor in FLOORS)}
GEOMETRY = {"offsets", "solids", "thickness"}
EVERYTHING = "all above"
OWNERS = {
    "yaml": {"source"},
    "pint": {"units"},
    "shapely": GEOMETRY,
    "weasyprint": {"cards"},
    "mkdocs": {"plugin", "serving", "build"},
}


def module_of(path):
    """A file of the package as its room: `fits`, or `__main__`; a floor's face is `text.__init__`."""
    return f"{path.parent.name}.__init__" if path.stem == "__init__" and path.parent != PACKAGE else path.stem


def imports_of(text, here="x"):
    """Everything that a module's text imports, wherever it stands in it: dotted names, the project's own from `generator.`"""
    found = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{here}: write imports from the top, not `from .`"
            found |= {f"{node.module}.{name.name}" for name in node.names} if node.module in FACES else {node.module}
    return found


def rooms_in(names):
    """The project's own rooms among imported names; `generator.__version__` and its like are no rooms."""
    return {name.split(".")[-1] for name in names if (ROOT / f"{name.replace('.', '/')}.py").exists()}


def outside_in(names):
    """The libraries from outside among imported names."""
    return {name.split(".")[0] for name in names} - sys.stdlib_module_names - {"generator"}


def read_table(text):
    """`| module | job | may import |` as room to the words of its last column; a row may name several rooms.

    `all above` stands for every room in the rows before.
    """
    rows, inside = {}, False
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")] if line.strip().startswith("|") else []
        if cells == ["module", "job", "may import"]:
            inside = True
        elif inside and len(cells) == 3:
            if not set(cells[0]) <= set(":- "):
                for room in words_of(cells[0]):
                    assert room not in rows, f"{room} stands in two rows"
                    rows[room] = set(rows) | {EVERYTHING} if cells[2] == EVERYTHING else words_of(cells[2])
        else:
            inside = False
    return rows


def words_of(cell):
    """Names in a cell, with or without code marks; a dash is none."""
    return set(re.findall(r"[A-Za-z_][\w.]*", cell))


@pytest.fixture(scope="module")
def imports():
    return {
        module_of(path): imports_of(path.read_text(encoding="utf-8"), path.name)
        for path in sorted(PACKAGE.rglob("*.py"))
    }


@pytest.fixture(scope="module")
def table():
    page = ROOT / "DEVELOPERS.md"
    assert page.exists(), "DEVELOPERS.md is missing; its table says what may import what"
    found = read_table(page.read_text(encoding="utf-8"))
    assert found, "DEVELOPERS.md has no table `| module | job | may import |`"
    return found


def test_the_table_is_read_as_it_is_written():
    text = "x\n| module | job | may import |\n|---|---|:-:|\n| `a` | job | — |\n| `b`, `c` | of `a` | `a`, problems |\n| d | x | all above |\n\n| module | other |\n"
    assert read_table(text) == {
        "a": set(),
        "b": {"a", "problems"},
        "c": {"a", "problems"},
        "d": {"a", "b", "c", EVERYTHING},
    }


def test_imports_are_found_wherever_they_stand():
    text = "import os.path\nfrom generator.pot import clay, fits\nfrom generator.pot.solids import x\ndef f():\n    import shapely\n    from yaml.nodes import Node\n"
    assert imports_of(text) == {
        "os.path",
        "generator.pot.clay",
        "generator.pot.fits",
        "generator.pot.solids",
        "shapely",
        "yaml.nodes",
    }
    assert rooms_in(imports_of(text)) == {"clay", "fits", "solids"}
    assert outside_in(imports_of(text)) == {"shapely", "yaml"}


def test_every_room_has_its_row(imports, table):
    rooms = {room for room in imports if not room.endswith("__")}
    assert rooms - set(table) == set(), "rooms without a row"
    assert set(table) - rooms == set(), "rows without a room"


def test_rooms_import_what_their_row_says(imports, table):
    wrong = {}
    for room, names in imports.items():
        if room in table:
            extra = rooms_in(names) - table[room]
            if extra:
                wrong[room] = sorted(extra)
    assert not wrong


def test_rows_name_nothing_that_is_not_there(imports, table):
    rows = {room: allowed for room, allowed in table.items() if room in imports and EVERYTHING not in allowed}
    unused = {
        room: sorted(extra)
        for room, allowed in rows.items()
        if (extra := (allowed & set(imports)) - rooms_in(imports[room]))
    }
    assert not unused, "the table allows what is no longer imported"


def test_arrows_go_up_the_table(imports, table):
    order = list(table)
    down = [
        (room, other)
        for room in order
        for other in rooms_in(imports.get(room, ()))
        if other in table and order.index(other) >= order.index(room)
    ]
    assert not down


def test_no_room_imports_itself_by_a_round_way(imports):
    allowed = {room: rooms_in(names) for room, names in imports.items()}
    done = set()

    def walk(room, trail):
        assert room not in trail, " → ".join([*trail[trail.index(room) :], room])
        if room not in done:
            for other in sorted(allowed.get(room, ())):
                walk(other, [*trail, room])
            done.add(room)

    for room in allowed:
        walk(room, [])


@pytest.mark.parametrize("library", OWNERS)
def test_each_library_has_its_owner(imports, library):
    users = {room for room, names in imports.items() if library in outside_in(names)}
    assert users, f"nothing imports {library}; take it off the list"
    assert users <= OWNERS[library]


def test_libraries_from_outside_are_the_projects_own(imports):
    wanted = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    dependencies = set(
        re.findall(r'^\s*"([A-Za-z0-9_-]+)[>=<]', wanted.split("[project.optional-dependencies]")[0], re.M)
    )
    named = {
        "yaml": "pyyaml",
        "numpy": "shapely",
        "markupsafe": "jinja2",
    }  # the last two come with the ones beside them
    used = {named.get(name, name) for names in imports.values() for name in outside_in(names)}
    assert used <= dependencies, used - dependencies


PURE = ("clay", "fits", "glaze", "moisture", "samples", "mends", "match", "solids", "outlines", "offsets", "thickness")


@pytest.mark.parametrize("room", PURE)
def test_pure_rooms_know_of_no_files_no_specs_and_no_units(imports, room):
    assert outside_in(imports[room]) <= ({"shapely", "numpy"} if room in GEOMETRY else set())
    assert rooms_in(imports[room]) <= {*PURE, "stages"}
    assert not {name.split(".")[0] for name in imports[room]} & {"os", "pathlib", "io", "shutil", "subprocess", "json"}
