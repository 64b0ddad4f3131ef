"""What is wrong, shown in a preview: a bar at the foot of every page, and the whole message on the page that it concerns."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterable, Mapping
from pathlib import PurePosixPath

from wareboard.pot.frozen import frozen
from wareboard.text.problems import Problem, capital, format_problem
from wareboard.words.pagetext import BENCH_TEMPLATE, PageText
from wareboard.words.templating import render

# What the bar is dressed and moved by; the server hands them out beside the site.
STYLE, SCRIPT = "preview/bar.css", "preview/bar.js"
MOST = 20
_OWN_PAGES = {"forms": "forms", "clays": "clays", "glazes": "glazes", "kilns": "kilns", "orders": "orders"}
_SUMMARY = 90
# Behind the title of a page; where it has none, before all that it says.
_PLACE = re.compile(rb'<main id="content"[^>]*>(?:(?:(?!<section|</main).)*?</header>)?', re.DOTALL)


@frozen
class Message:
    """Something that keeps a page from being as it was typed.

    `place` is file and line, `excerpt` the line with carets under what is meant; `page` is the path of the page that it
    concerns, empty where there is none.
    """

    place: str
    words: str
    excerpt: str = ""
    hint: str = ""
    page: str = ""

    @property
    def key(self) -> str:
        """By which a reader's browser knows a message again that was put away."""
        return hashlib.sha256(f"{self.place}\n{self.words}\n{self.excerpt}".encode()).hexdigest()[:12]

    @property
    def advice(self) -> str:
        """The hint as a sentence."""
        return capital(self.hint) if self.hint.endswith(("?", ".", "!")) else f"{capital(self.hint)}."

    @property
    def short(self) -> str:
        """The message on one line."""
        name, line = self.place.rpartition("/")[2], " ".join(self.words.split())
        short = f"{name}: {line}".replace("`", "") if name else line
        return short if len(short) <= _SUMMARY else f"{short[:_SUMMARY].rstrip()}…"


def message_of(problem: Problem, texts: Mapping[str, str]) -> Message:
    """A problem of a spec as a message.

    Args:
        problem: what is wrong.
        texts: the text of each file by its path.
    """
    said = format_problem(problem, texts).split("\n")
    excerpt = [line for line in said[1:] if not line.startswith("   hint: ")]
    place = f"{problem.at.file}:{problem.at.line}" if excerpt else problem.at.file
    return Message(place, problem.message, "\n".join(excerpt), problem.hint, page_of(problem.at.file))


def page_of(path: str) -> str:
    """The page that a spec concerns, by the spec's path: a form's or a clay's own, the front page for the studio."""
    parts = PurePosixPath(path)
    place = _OWN_PAGES.get(parts.parent.name)
    if place:
        return f"{place}/{parts.stem}.html"
    return "index.html" if parts.name == "studio.yaml" else ""


def waiting_pages(slug: str) -> tuple[PageText, PageText]:
    """The pages of a form that was never right since the preview began; what is wrong is put on them as they are shown."""
    body = render("preview/waiting.html", slug=slug, bench=False)
    bench = render("preview/waiting.html", slug=slug, bench=True)
    return (
        PageText(f"forms/{slug}.html", slug, body, f"{slug} is not shown yet."),
        PageText(f"bench/{slug}.html", slug, bench, f"{slug} is not shown yet.", template=BENCH_TEMPLATE),
    )


def with_messages(
    page: bytes, path: str, root: str, messages: Iterable[Message], *, held: Collection[str] = (), new: bool = False
) -> bytes:
    """A page with the bar, and what concerns it in place.

    Args:
        page: the page's HTML.
        path: where it stands, below the site's root.
        root: the site's root as an address from the server's.
        messages: everything that is wrong.
        held: pages that show what was typed before, by their path, whether or not a message is about them.
        new: true where the page has never been shown as it was typed.
    Returns: the page; the script that tells when all is mended stands on a page without messages too.
    """
    told = sorted(messages, key=lambda message: message.page != _of_bench(path))
    own = [message for message in told if message.page == _of_bench(path)]
    bar = render("preview/bar.html", root=root, style=STYLE, script=SCRIPT, messages=told[:MOST], more=len(told[MOST:]))
    if own or _of_bench(path) in held:
        place = render("preview/place.html", messages=own[:MOST], new=new).encode("utf-8", "surrogatepass")
        page = _after(page, _PLACE, place)
    return _before_end(page, bar.encode("utf-8", "surrogatepass"))


def _of_bench(path: str) -> str:
    return f"forms/{path.removeprefix('bench/')}" if path.startswith("bench/") else path


def _after(page: bytes, mark: re.Pattern[bytes], more: bytes) -> bytes:
    found = mark.search(page)
    return page if found is None else page[: found.end()] + more + page[found.end() :]


def _before_end(page: bytes, more: bytes) -> bytes:
    end = page.rfind(b"</body>")
    return page + more if end < 0 else page[:end] + more + page[end:]
