"""What a page and a data file are before anything is written."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from html import unescape
from typing import TypeAlias, TypeVar

from wareboard.pot.frozen import frozen

# The theme's templates: head, foot and search round a page; hardly anything round a bench view or a page that answers.
PAGE_TEMPLATE, BENCH_TEMPLATE, ANSWER_TEMPLATE, COMPARE_TEMPLATE = (
    "main.html",
    "bench.html",
    "answers.html",
    "compare.html",
)
# Where the pages of workings stand.
WORKINGS = "workings/"


@frozen
class PageHead:
    """What a page's head tells machines: what kind of thing it is of, product data, a picture by its path on the site.

    `indexed` is false where search engines are asked to stay away, whatever the site says.
    """

    kind: str = "website"
    product: Mapping[str, object] | None = None
    image: str = ""
    indexed: bool = True

    def product_json(self, site_url: str, address: str) -> str:
        """Product data as JSON that may stand in a page; addresses only where the site has one.

        Args:
            site_url: where the site stands; empty where nobody knows.
            address: the page's own, on it.
        """
        data = dict(self.product or {})
        if site_url:
            data["url"] = address
            if self.image:
                data["image"] = self.image_address(site_url)
        text = json.dumps(data, ensure_ascii=False, indent=1)
        return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")

    def image_address(self, site_url: str) -> str:
        """Where the picture stands."""
        return f"{site_url.rstrip('/')}/{self.image}"


@frozen
class PageText:
    """One page of the site.

    `path` is where it stands below the site's root, `forms/tall-beaker.html`; links in `body` are
    relative to it. `title` and `description` are plain text, `body` is safe HTML, `search` is what the
    search should find, as plain text. `in_navigation` is true for the few pages that the header lists.
    `template` is the theme's template that the body goes into, `head` what its head says more.
    """

    path: str
    title: str
    body: str
    description: str = ""
    search: str = ""
    in_navigation: bool = False
    template: str = PAGE_TEMPLATE
    head: PageHead | None = None

    @property
    def is_found(self) -> bool:
        """True where the search knows the page; a bench view and workings say what their form's page says."""
        return is_found(self.path, self.template)

    @property
    def places(self) -> Iterator[tuple[str, str, str]]:
        """Places on the page that the search finds by themselves, each as id, title and words: sections, terms.

        Of a form only its fits: what else stands on its page stands on every form's.
        """
        for found in _SECTION.finditer(self.body):
            if not self.path.startswith("forms/"):
                yield found[1], unescape(found[2]), ""
            elif found[1].startswith("fit-"):
                yield found[1], unescape(found[2]), "clearance, gap"
        for found in _TERM.finditer(self.body):
            yield found[1], _plain_words(found[2]), _plain_words(found[3])


def is_found(path: str, template: str) -> bool:
    """True where the search knows a page; see PageText.is_found."""
    return template in (PAGE_TEMPLATE, COMPARE_TEMPLATE) and not path.startswith(WORKINGS)


def _plain_words(markup: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", markup)).split())


_SECTION = re.compile(r'<header class="step" id="([^"]+)"><h2>([^<]*)</h2>')
_TERM = re.compile(r'<dt id="([^"]+)">(.*?)</dt>\s*<dd>(.*?)</dd>', re.DOTALL)


class _Every(Collection[str]):
    """Whatever is asked for is in it; nothing is listed."""

    def __contains__(self, one: object) -> bool:
        return True

    def __iter__(self) -> Iterator[str]:
        return iter(())

    def __len__(self) -> int:
        return 0


# Where cards are made when they are asked for, every one is there.
EVERY = _Every()
CARD_LINK = re.compile(r'<a href="(?:\.\./)?(cards/[^"]+\.pdf)">([^<]*)</a>(\n?)')


# What takes long is kept from one build to the next: pages about several forms, by a name and the forms' slugs; numbers of
# one form, and words about it, by what they are of and its slug.
Kept: TypeAlias = Callable[[str, Sequence[str], Callable[[], tuple[PageText, ...]]], tuple[PageText, ...]]
KeptNumbers: TypeAlias = Callable[[str, str, Callable[[], dict[str, float]]], dict[str, float]]
KeptWords: TypeAlias = Callable[[str, str, Callable[[], str]], str]
Made = TypeVar("Made")


def unkept(name: str, of: object, make: Callable[[], Made]) -> Made:
    """Make it anew, where nothing is kept."""
    return make()


@frozen
class CardLinks:
    """The printed cards that stand on the site, by their path, and those of them that were made from other figures."""

    there: Collection[str] = ()
    out_of_date: Collection[str] = field(default=())

    def of(self, text: PageText) -> PageText:
        """A page that links these cards and no others, and says which are out of date."""
        return replace(text, body=CARD_LINK.sub(self._link, text.body))

    def state_of(self, paths: Iterable[str]) -> tuple[tuple[str, bool, bool], ...]:
        """Of cards whether they stand there and are out of date: all that a page which may link them takes from here."""
        return tuple((path, path in self.there, path in self.out_of_date) for path in paths)

    def _link(self, link: re.Match[str]) -> str:
        if link[1] not in self.there:
            return ""
        if link[1] not in self.out_of_date:
            return link[0]
        return f'{link[0].removesuffix(link[3])} <span class="old">(out of date)</span>{link[3]}'


@frozen
class DataText:
    """One data file that stands beside the pages; bytes where it is no text."""

    path: str
    text: str | bytes

    @property
    def content(self) -> bytes:
        """What the file holds."""
        return self.text if isinstance(self.text, bytes) else self.text.encode()
