"""What a phone keeps of a served site for when there is no network: the list that its service worker goes by, and the manifest.

The worker itself is `site_templates/offline/worker.js`; how a page speaks with it stands in the look's `kept.js`.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from types import MappingProxyType

from wareboard import TEMPLATES
from wareboard.output.unchanged import STOCKIST
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


def render_list(
    site: Path, names: Iterable[str], day: datetime.date, known: Mapping[str, str] = MappingProxyType({})
) -> bytes:
    """What is kept of a site, each file with a digest of what it holds.

    Args:
        site: the folder, with all its pages in it.
        names: its files.
        day: when it was made.
        known: digests by path, where they are known already.
    """
    kept, size = {}, 0
    for path in sorted(filter(_is_kept, names), key=_rank):
        size += os.stat(f"{site}/{path}").st_size
        if size > MOST_BYTES:
            break
        kept[path] = known.get(path) or hashlib.sha256((site / path).read_bytes()).hexdigest()[:16]
    said = {
        "told": _("Made {day}, kept on this device.").format(day=written_day(day)), "newer": _("There is a newer one."),
        "show": _("Show it"), "files": kept,
    }  # fmt: skip
    return json.dumps(said, ensure_ascii=False, indent=0).encode()


def read_list(site: Path) -> dict[str, str]:
    """Each kept file's digest, as a site's list has them; none where there is no list that can be read."""
    try:
        return dict(json.loads((site / LIST).read_bytes())["files"])
    except (OSError, ValueError, KeyError, TypeError):
        return {}


def _is_kept(path: str) -> bool:
    is_page = path.endswith(".html") and path != "404.html"
    is_look = path.endswith(LOOKS) and not path.startswith("forms/") and path != WORKER
    return (is_page or is_look) and not path.startswith((".", *WHEN_OPENED))


def _rank(path: str) -> tuple[int, str]:
    """The front page and what all pages need come first, then bench views, then forms."""
    if not path.endswith(".html"):
        return 2 if path.startswith("search/") else 0, path
    return 0 if path == "index.html" else 1 if path.startswith("bench/") else 3 if path.startswith(
        "forms/"
    ) else 4, path
