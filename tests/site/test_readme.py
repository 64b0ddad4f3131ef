"""Every command that README shows works as it is pasted, in the order in which it stands there."""

import os
import re
import shutil
import subprocess
from contextlib import nullcontext
from pathlib import Path

from tests import loaded
from tests.site.conftest import plain_cards

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
# Set-up itself, which is what brought this test here.
NOT_HERE = ("git clone", "sh .ci/install")


def blocks() -> list[str]:
    """The blocks of commands, each as it would be pasted."""
    fenced = re.findall(r"^( *)```(?:sh|text)\n(.*?)^ *```", README, re.M | re.S)
    return [re.sub(rf"(?m)^{margin}", "", block) for margin, block in fenced if not block.lstrip().startswith(NOT_HERE)]


def test_readme_begins_with_the_job():
    first = README.split("\n\n")[1]
    assert "potter" in first and "fired" in first and "wheel" in first and "lid" in first


def test_every_block_runs_as_pasted(demo, tmp_path):
    """In a clone that has set the demo's cards before, and has no more forms than README and the orders name."""
    home, clone = tmp_path / "home", tmp_path / "wareboard"
    home.mkdir()
    clone.mkdir()
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for name in listed.rstrip("\0").split("\0"):
        if (ROOT / name).is_file() and not name.startswith("tests/"):
            (clone / name).parent.mkdir(parents=True, exist_ok=True)
            (clone / name).write_bytes((ROOT / name).read_bytes())
    in_the_clone = "".join(line for line in README.splitlines(True) if "~/" not in line)
    named = in_the_clone + "".join(path.read_text(encoding="utf-8") for path in (clone / "specs" / "orders").iterdir())
    for path in (clone / "specs" / "forms").iterdir():
        if not re.search(rf"[ :]{path.stem}\b", named):
            path.unlink()
    shutil.copytree(demo / ".wareboard" / "cache", clone / ".wareboard" / "cache")
    (clone / ".venv" / "bin").mkdir(parents=True)
    environment = {**os.environ, "HOME": str(home)}
    assert len(blocks()) > 6
    with loaded.command("wareboard", clone / ".venv" / "bin" / "wareboard"):
        for block in blocks():
            # Cards of the demo and of a maker's first form are set whole; what is built after that has the same.
            with plain_cards() if "build" in block and "~/pots build" not in block.splitlines()[0] else nullcontext():
                ran = subprocess.run(
                    ["sh", "-e", "-c", block],
                    cwd=clone,
                    env=environment,
                    capture_output=True,
                    text=True,
                    stdin=subprocess.DEVNULL,
                )
            assert ran.returncode == 0, f"{block}\n{ran.stdout}\n{ran.stderr}"
