"""What an installed Wareboard is: one package, its licence, the demo studio; and the licences of what it stands on."""

import os
import re
import subprocess
import sys
import zipfile
from importlib.metadata import distribution, requires
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
# Libraries may be linked to, or changed and handed on, under these; nothing asks more of who uses the program.
FREE = re.compile(
    r"\b(MIT|BSD|ISC|Apache|MPL|Mozilla|PSF|Python Software|HPND|Unlicense|zlib|0BSD|MIT-CMU|LGPL|CC0|Historical)", re.I
)
# Whose metadata names no licence in a field that is read here; read by hand in the file that they ship.
READ_BY_HAND: dict[str, str] = {}


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """The project as a wheel, unpacked as an installer lays it out, apart from this clone."""
    folder = tmp_path_factory.mktemp("installed")
    made = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder / "wheel")],
        cwd=ROOT, capture_output=True, text=True,
    )  # fmt: skip
    assert made.returncode == 0, made.stderr
    (wheel,) = (folder / "wheel").glob("*.whl")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(folder / "packages")
    return folder / "packages"


def run(installed: Path, *words: str, cwd: Path) -> subprocess.CompletedProcess:
    # Without the clone on the path: what is found is what was installed.
    environment = {**os.environ, "PYTHONPATH": str(installed), "PYTHONSAFEPATH": "1"}
    return subprocess.run(
        [sys.executable, "-m", "wareboard", *words], cwd=cwd, env=environment, capture_output=True, text=True
    )


def test_one_package_is_installed_and_nothing_beside_it(installed):
    names = {path.name for path in installed.iterdir()}
    assert {name for name in names if not name.endswith(".dist-info")} == {"wareboard"}
    assert (installed / "wareboard" / "py.typed").exists()


def test_the_licence_goes_with_it(installed):
    (info,) = installed.glob("*.dist-info")
    assert {path.name for path in info.rglob("licenses/**/*") if path.is_file()} == {"LICENSE", "OFL.txt"}
    assert "Wareboard contributors" in (info / "METADATA").read_text(encoding="utf-8")


def test_the_demo_studio_is_in_it(installed, tmp_path):
    started = run(installed, "start", "--demo", str(tmp_path / "pots"), cwd=tmp_path)
    assert started.returncode == 0, started.stderr
    checked = run(installed, "-C", str(tmp_path / "pots"), "check", cwd=tmp_path)
    assert (checked.returncode, "nothing to complain of" in checked.stdout) == (0, True), (
        checked.stdout + checked.stderr
    )
    built = run(installed, "-C", str(tmp_path / "pots"), "build", "--no-cards", cwd=tmp_path)
    assert built.returncode == 0, built.stderr
    assert (tmp_path / "pots" / "site" / "index.html").exists()


def all_needed(name: str, seen: set[str]) -> set[str]:
    """A distribution and all that it needs without extras, by name."""
    for line in requires(name) or []:
        needed = re.match(r"[A-Za-z0-9._-]+", line)[0].lower().replace("_", "-")
        if "extra ==" in line or needed in seen:
            continue
        try:
            distribution(needed)
        except ModuleNotFoundError:  # for another system or Python
            continue
        seen.add(needed)
        all_needed(needed, seen)
    return seen


def licence_of(name: str) -> str:
    """What a distribution says of its licence: expression, field and classifiers."""
    said = distribution(name).metadata
    classified = [line for line in said.get_all("Classifier") or [] if line.startswith("License")]
    return " ".join([said.get("License-Expression") or "", (said.get("License") or "")[:200], *classified])


def test_every_library_that_it_needs_is_free_to_use_and_hand_on():
    names = all_needed("wareboard", set())
    assert {"mkdocs", "weasyprint", "shapely"} <= names
    said = {name: licence_of(name) for name in names}
    assert not {name: words for name, words in said.items() if not FREE.search(words) and name not in READ_BY_HAND}
