"""The policy of imports, as DEVELOPERS.md says it: floors look down, the ground is pure, each outside library has an owner."""

import ast
import re
import sys
import tomllib
from functools import cache
from pathlib import Path

from tests.every import every

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "generator" / "wareboard"
FLOORS = ("pot", "text", "figures", "drawing", "words", "cards", "pages", "output", "commands", "wareboard")
GEOMETRY = {"offsets", "crossings", "thickness"}
OWNERS = {
    "babel": {"languages", "gathering"},
    "yaml": {"source"},
    "shapely": GEOMETRY,
    "weasyprint": {"engine"},
    "icalendar": {"orderpages"},
    "mkdocs": {"plugin", "serving", "build", "ownpages"},
    "PIL": {"photographs", "stockfiles"},
    "skimage": {"photographs"},
    "svgelements": {"linework"},
    "ezdxf": {"linework", "cutting"},
    "trimesh": {"cutting"},
}
HIDDEN_FROM_THE_GROUND = {"os", "pathlib", "io", "shutil", "subprocess", "json"}


def room_of(path: Path) -> str:
    """A file of the package as `floor.room`: `pot.fits`, `wareboard.cli`; a floor's face is `pot.__init__`."""
    return f"{path.parent.name}.{path.stem}"


def imports_of(text: str) -> set[str]:
    """Everything that a module's text imports, wherever it stands in it; a floor's rooms each by name."""
    found, left = set(), [*ast.parse(text).body]
    while left:
        node = left.pop()
        # Statements alone: an expression imports nothing.
        left += [
            inner for kind in ("body", "orelse", "handlers", "finalbody", "cases") for inner in getattr(node, kind, [])
        ]
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "write imports from the top, not `from .`"
            face = node.module == "wareboard" or node.module in {f"wareboard.{floor}" for floor in FLOORS}
            found |= {f"{node.module}.{name.name}" for name in node.names} if face else {node.module}
    return found


def rooms_in(names: set[str]) -> set[str]:
    """The project's own rooms among imported names; `wareboard.__version__` and its like are no rooms."""
    return {room_of(path) for name in names if (path := ROOT / "generator" / f"{name.replace('.', '/')}.py").exists()}


def libraries_in(names: set[str]) -> set[str]:
    """The libraries from outside among imported names."""
    return {name.split(".")[0] for name in names} - sys.stdlib_module_names - {"wareboard"}


def floor_of(room: str) -> int:
    return FLOORS.index(room.split(".")[0])


@cache
def imports():
    """What each room imports."""
    return {room_of(path): imports_of(path.read_text(encoding="utf-8")) for path in sorted(PACKAGE.rglob("*.py"))}


def test_imports_are_found_wherever_they_stand():
    text = "import os.path\nfrom wareboard.pot import clay, fits\nfrom wareboard.pot.solids import x\ndef f():\n    try:\n        import shapely\n    except ImportError:\n        from yaml.nodes import Node\n"
    found = imports_of(text)
    assert found == {
        "os.path", "wareboard.pot.clay", "wareboard.pot.fits", "wareboard.pot.solids", "shapely", "yaml.nodes",
    }  # fmt: skip
    assert rooms_in(found) == {"pot.clay", "pot.fits", "pot.solids"}
    assert libraries_in(found) == {"shapely", "yaml"}


def test_every_folder_is_a_floor():
    assert {path.parent.name for path in PACKAGE.glob("*/__init__.py")} == {*FLOORS[:-1]}


def test_floors_only_look_down():
    up = [
        (room, other)
        for room, names in imports().items()
        for other in rooms_in(names)
        if floor_of(other) > floor_of(room)
    ]
    assert not up


def test_nothing_runs_in_a_circle():
    done = set()

    def walk(room, trail):
        assert room not in trail, " → ".join([*trail[trail.index(room) :], room])
        if room not in done:
            for other in sorted(rooms_in(imports().get(room, set()))):
                walk(other, [*trail, room])
            done.add(room)

    for room in imports():
        walk(room, [])


@every("room", lambda: [room for room in imports() if room.startswith("pot.")])
def test_the_ground_is_pure(room):
    assert libraries_in(imports()[room]) <= {"numpy", "scipy", "shapely"}
    assert all(other.startswith("pot.") for other in rooms_in(imports()[room]))
    assert not {name.split(".")[0] for name in imports()[room]} & HIDDEN_FROM_THE_GROUND


@every("library", OWNERS)
def test_each_library_has_its_owner(library):
    users = {room.split(".")[1] for room, names in imports().items() if library in libraries_in(names)}
    assert users, f"nothing imports {library}; take it off the list"
    assert users <= OWNERS[library]


def test_libraries_from_outside_are_the_projects_own():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = [
        wanted for name, listed in project["optional-dependencies"].items() if name != "tests" for wanted in listed
    ]
    dependencies = {re.match(r"[A-Za-z0-9_-]+", wanted)[0] for wanted in [*project["dependencies"], *extras]}
    # Names that differ, and what comes with the one beside it.
    named = {"yaml": "pyyaml", "fontTools": "fonttools", "markupsafe": "jinja2", "lsprotocol": "pygls"} | {
        "PIL": "pillow",
        "skimage": "scikit-image",
        "mapbox_earcut": "mapbox-earcut",
    }
    used = {named.get(name, name) for names in imports().values() for name in libraries_in(names)}
    assert used <= dependencies, used - dependencies


def test_the_room_table_names_every_room():
    table = set(re.findall(r"^\| `([a-z_]+)` \|", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.M))
    rooms = {room.split(".")[1] for room in imports() if not room.endswith("__")}
    assert rooms - table == set(), "rooms without a row in DEVELOPERS.md's table of rooms"
    assert table - rooms == set(), "rows without a room"


READING = ("source", "kinds", "spelling", "shorthand", "likeness")


def test_a_walk_through_a_check_goes_up_and_leaves_reading_behind():
    """Each room is entered in turn: none calls into a floor above it but to ask again for what it keeps, and what reads text is done before a form is built."""
    from wareboard.figures.checks import check_project
    from wareboard.text.projects import read_project

    from tests.demo import texts_with

    texts = {path: text + "\n# walked\n" for path, text in texts_with("tea-caddy").items()}
    first, last, upward = {}, {}, set()

    def step(frame, event, _argument):
        room = entered(frame)
        if event != "call" or room is None:
            return
        now = len(walk)
        walk.append(room)
        first.setdefault(room, now)
        last[room] = now
        caller = frame.f_back
        while caller and entered(caller) is None:
            caller = caller.f_back
        if caller and FLOORS.index(room[0]) > FLOORS.index(entered(caller)[0]):
            upward.add((entered(caller), room))

    walk = []
    # Another one, a tracer of coverage say, is put back.
    before = sys.getprofile()
    sys.setprofile(step)
    try:
        check_project(read_project(texts))
    finally:
        sys.setprofile(before)
    # These are handed a function, and call it back: records as they are made, what is remembered with a spec, what a rule is told by.
    handed = {("pot", "frozen"), ("text", "records"), ("text", "problems")}
    assert {caller for caller, _ in upward} <= handed, upward
    assert {("pot", "solids"), ("figures", "sheet")} <= set(walk)
    done = max(last["text", room] for room in READING)
    assert done < min(first["figures", "sheet"], first["figures", "built"])


def entered(frame) -> tuple[str, str] | None:
    path = Path(frame.f_code.co_filename)
    return (path.parent.name, path.stem) if path.parent.parent == PACKAGE else None
