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
    originals = {
        path.stem: path.read_text(encoding="utf-8") for path in sorted((folder / "specs" / "forms").glob("*.yaml"))
    }
    for path in (folder / "specs" / "forms").glob("*.yaml"):
        path.unlink()
    # Those that lean on others come last, so that a small studio is whole too.
    leans = lambda slug: sum(
        bool(re.search(rf"\b{other}/|^like: {other}\b", originals[slug], re.M)) for other in originals
    )
    originals = {slug: originals[slug] for slug in sorted(originals, key=leans)}
    for number in range(count):
        slug = list(originals)[number % len(originals)]
        round_ = number // len(originals)
        text = re.sub(r"(?m)^title: (.*)$", rf"title: \1 {round_}", originals[slug], count=1)
        text = re.sub(r"(?m)^code: (\S+)", rf"code: \1-{round_}", text, count=1)
        text = re.sub(r"(?m)^  sku: (\S+)", rf"  sku: \1-{round_}", text, count=1)
        # What leans on another form leans on the one of its own round, which may be missing.
        for other in originals:
            named = f"{other}-{min(round_, (count - 1 - list(originals).index(other)) // len(originals))}"
            text = re.sub(rf"\b{other}/", f"{named}/", text)
            text = re.sub(rf"(?m)^like: {other}\b", f"like: {named}", text)
        (folder / "specs" / "forms" / f"{slug}-{round_}.yaml").write_text(text, encoding="utf-8")
    return folder
