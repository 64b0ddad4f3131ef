"""A large studio to measure with: the demo's forms again and again, each with a name of its own."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

DEMO = Path(__file__).resolve().parents[2] / "specs"


def write_studio(folder: Path, count: int) -> Path:
    """Write a folder with that many forms, made of the demo's.

    Args:
        folder: where to; it must not exist.
        count: how many forms.
    Returns: the folder.
    """
    shutil.copytree(DEMO, folder / "specs", ignore=shutil.ignore_patterns("runs", "orders", ".schema"))
    read = {path.stem: path.read_text(encoding="utf-8") for path in sorted((folder / "specs" / "forms").glob("*.yaml"))}
    leaning = re.compile(rf"\b(?:like: +)?({'|'.join(read)})(?=/|[ ]*$)", re.MULTILINE)
    # Those that lean on another come last, so that in a small studio none leans on what isn't there.
    originals = dict(sorted(read.items(), key=lambda item: bool(set(leaning.findall(item[1])))))
    for path in (folder / "specs" / "forms").glob("*.yaml"):
        path.unlink()
    for number in range(count):
        slug = list(originals)[number % len(originals)]
        round_ = number // len(originals)
        text = re.sub(r"(?m)^title: (.*)$", rf"title: \1 {round_}", originals[slug], count=1)
        text = re.sub(r"(?m)^code: (\S+)", rf"code: \1-{round_}", text, count=1)
        text = re.sub(r"(?m)^  sku: (\S+)", rf"  sku: \1-{round_}", text, count=1)
        for place, other in enumerate(originals):
            # A form that leans on another leans on the one of its own round, which may be missing.
            there = f"{other}-{min(round_, (count - 1 - place) // len(originals))}"
            text = re.sub(rf"\b{other}/", f"{there}/", text)
            text = re.sub(rf"(?m)^like: {other}\b", f"like: {there}", text)
        (folder / "specs" / "forms" / f"{slug}-{round_}.yaml").write_text(text, encoding="utf-8")
    return folder
