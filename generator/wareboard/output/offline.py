"""What a phone keeps of a served site for when there is no network: the list that its service worker goes by, and the manifest.

The worker itself is `site_templates/offline/worker.js`; how a page speaks with it stands in the look's `kept.js`.
"""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Iterator
from pathlib import Path

from wareboard import TEMPLATES
from wareboard.output import files
from wareboard.output.builtfolder import files_below
from wareboard.text.audiences import STOCKIST
from wareboard.text.languages import _, written_day
from wareboard.words.pagetext import DataText

WORKER, LIST, MANIFEST = "offline.js", "offline.json", "site.webmanifest"
# All that is kept after one visit: a small studio whole, of a large one the bench views first. What is beyond it is kept when it is opened.
MOST_BYTES = 24_000_000
LOOKS = (".css", ".js", ".svg", ".png", ".jpg", ".jpeg", ".webp", ".woff2")
# Downloads and what only some ask for; cards are kept when they are opened.
WHEN_OPENED = ("cards/", "workings/", "data/", "orders/")


def is_kept(audience: str) -> bool:
    """True for those who stand at a wheel; what a shop reads should be what it asked for last."""
    return audience != STOCKIST


def offline_files(title: str, language: str) -> tuple[DataText, ...]:
    """The worker, and the web app manifest: a name, a picture and where to begin, so that a phone can put the site beside its apps.

    Args:
        title: the studio's.
        language: its tag.
    """
    icons = [{"src": f"assets/icons/icon-{n}.png", "sizes": f"{n}x{n}", "type": "image/png", "purpose": "any maskable"} for n in (192, 512)]  # fmt: skip
    icons.append({"src": "assets/icons/icon.svg", "sizes": "any", "type": "image/svg+xml", "purpose": "any maskable"})
    said = {
        "name": title, "short_name": title, "lang": language, "id": "./", "start_url": "index.html", "scope": "./", "display": "standalone",
        "background_color": "#fcfcfa", "theme_color": "#fcfcfa", "icons": icons,
    }  # fmt: skip
    worker = (TEMPLATES / "offline" / "worker.js").read_bytes()
    return DataText(WORKER, worker), DataText(MANIFEST, json.dumps(said, ensure_ascii=False, indent=1) + "\n")


def write_list(site: Path, day: datetime.date) -> None:
    """Write down what is kept of a site, each file with a digest of what it holds.

    Args:
        site: the folder, with all its pages in it.
        day: when it was made.
    """
    kept, size = {}, 0
    for path in sorted(_kept(site), key=_rank):
        content = (site / path).read_bytes()
        size += len(content)
        if size > MOST_BYTES:
            break
        kept[path] = hashlib.sha256(content).hexdigest()[:16]
    said = {
        "told": _("Made {day}, kept on this device.").format(day=written_day(day)), "newer": _("There is a newer one."),
        "show": _("Show it"), "files": kept,
    }  # fmt: skip
    files.write_whole(site / LIST, json.dumps(said, ensure_ascii=False, indent=0).encode())


def _kept(site: Path) -> Iterator[str]:
    for path in files_below(site):
        is_page = path.endswith(".html") and path != "404.html"
        is_look = path.endswith(LOOKS) and not path.startswith("forms/") and path != WORKER
        if (is_page or is_look) and not path.startswith((".", *WHEN_OPENED)):
            yield path


def _rank(path: str) -> tuple[int, str]:
    """The front page and what all pages need come first, then bench views, then forms."""
    if not path.endswith(".html"):
        return 2 if path.startswith("search/") else 0, path
    return 0 if path == "index.html" else 1 if path.startswith("bench/") else 3 if path.startswith(
        "forms/"
    ) else 4, path
