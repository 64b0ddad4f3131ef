"""What each form gives to the site, kept by what it is made from: its page, data and rows, and what other pages show of it.

A form that has not changed is not worked out again, unless something asks for more of it than is kept. A sheet is let
go as soon as its leaf is written, so that a large studio needs no more memory than a small one.
"""

from __future__ import annotations

import contextlib
import dataclasses
import gc
import json
import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from markupsafe import Markup

from wareboard.cards.audience import Stock, gather_stock, is_stocked, stock_form
from wareboard.cards.cardtext import answers_path, bench_path
from wareboard.cards.revisions import Revised, revised_form
from wareboard.cards.stock import revised_stock
from wareboard.figures import checks
from wareboard.figures.completing import complete
from wareboard.figures.settings import as_set
from wareboard.figures.shaping import Shaper
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of
from wareboard.output import files, folder, journal
from wareboard.output.filling import made_of
from wareboard.output.keptforms import KeptForm, KeptSheet, share_names, told_of
from wareboard.output.leaf import TOLD, Leaf, PageTold, Told, plain_of
from wareboard.output.unchanged import program_digest
from wareboard.pages import answerpage, benchpage, comparepage, datafiles, formpage, sitepages, workings
from wareboard.pages.familypages import Among, among_forms, in_studio
from wareboard.pages.sitepages import FrontEntry
from wareboard.text import links, projects, source
from wareboard.text.languages import speaking
from wareboard.text.likeness import folder_and_slug
from wareboard.text.problems import ERROR, Problem
from wareboard.text.projects import Project
from wareboard.text.reached import learns_from_runs, reached_files
from wareboard.text.specs import Form
from wareboard.text.studio_specs import Studio
from wareboard.words import templating
from wareboard.words.pagetext import ANSWER_TEMPLATE, BENCH_TEMPLATE, CARD_LINK, DataText, PageText

if TYPE_CHECKING:
    from wareboard.cards.revisions import OldCard
    from wareboard.output.history import Record

# Forms that were worked out and are kept at once, lest the rest of the build be stopped.
WORTH_KEEPING = 20
# Forms that are read and worked out together; of more than that, what was read is let go before the next are.
TOGETHER = 50
INDEX = "leaves.jsonl"
FORMAT = 12
# What is kept of a form, each in a file: its page, its bench view, its page that answers, its workings, its data, its rows, its drawing, what is compared of it, what is told of it.
KEPT = ("html", "bench", "answers", "workings", "json", "csv", "svg", "js", TOLD)
# A form's specs besides its own: what is looked up by name and stands behind its numbers.
BEHIND = ("clays", "glazes", "forms", "kilns")
# Pages of old revisions that may be asked for again (a change taken back) are kept up to so much.
MOST_BYTES = 256_000_000
MOST_NOTES = 3000
Said = TypeVar("Said", PageText, DataText)


def _slug_of(path: str) -> str:
    """The form whose file it is; empty for any other."""
    place, slug = folder_and_slug(path)
    return slug if place == "forms" else ""


class Watched(Mapping):
    """Specs by name; notes that somebody asked."""

    def __init__(self, specs: Mapping[str, Any], asked: list[str], name: str) -> None:
        """Specs of one folder."""
        self.specs, self.asked, self.name = specs, asked, name

    def __getitem__(self, slug):
        """See Mapping."""
        self.asked.append(self.name)
        return self.specs[slug]

    def __iter__(self):
        """See Mapping."""
        self.asked.append(self.name)
        return iter(self.specs)

    def __len__(self) -> int:
        """See Mapping."""
        self.asked.append(self.name)
        return len(self.specs)


@dataclass(slots=True)
class Leaves:
    """The leaves of a studio: those that were kept, and those that are made now.

    `old_cards` are what a form's page tells whoever comes from an older card; `parse` reads a text's nodes, perhaps from memory.
    """

    root: Path
    texts: Mapping[str, str]
    project: Project
    old_cards: Callable[[Revised, Reader], tuple[OldCard, ...]]
    parse: projects.Parse = source.read_nodes
    found: dict[str, Leaf] = field(default_factory=dict)
    typed: Project = field(init=False)
    _read: Project | None = None
    _beside: tuple[str, Project] | None = None
    _folder: Path | None = None
    _there: set[str] = field(default_factory=set)
    _forms: dict[str, KeptForm] = field(default_factory=dict)
    _kept: dict[str, Leaf] = field(default_factory=dict)
    _shared: dict[tuple[str, str], str] = field(default_factory=dict)
    _last: tuple[str, Sheet] | None = None
    _others: tuple[list[int], Among] | None = None
    _used: set[str] = field(default_factory=set)
    _pieces: dict[str, Any] = field(default_factory=dict)
    _pieces_kept: dict[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.typed = self.project

    @classmethod
    def open(
        cls,
        root: Path,
        texts: Mapping[str, str],
        project: Project | None,
        old_cards: Callable,
        parse: projects.Parse = source.read_nodes,
    ) -> Leaves:
        """Read what was kept; whoever does holds the folder's lock.

        Args:
            root: the maker's folder.
            texts: each file's text by its path.
            project: the studio; None where it is read later, see `begin`.
            old_cards: what a form's page tells whoever comes from an older card.
            parse: text and path to nodes and problems.
        """
        leaves = cls(root, texts, project or Project(Studio()), old_cards, parse)
        leaves._there = leaves._whole_keys()
        place = str(leaves.folder)
        try:
            with open(leaves.folder / INDEX, "rb") as lines:
                said = json.loads(next(lines, b""))
                is_ours = said["format"] == FORMAT and said["program"] == program_digest()
                for line in lines if is_ours else ():
                    leaf = Leaf.from_json(place, json.loads(line))
                    leaves._kept[leaf.slug] = leaf
            if is_ours and len(leaves._kept) != said["count"]:
                raise ValueError("lines are missing")
            if is_ours:
                leaves._pieces_kept = dict(said["pieces"])
                templating.known_notes |= {str(text): str(html) for text, html in said["notes"].items()}
        except (OSError, *files.SPOILT):
            leaves._kept, leaves._pieces_kept = {}, {}
        return leaves

    def _whole_keys(self) -> set[str]:
        """The keys of which every kind of file is there."""
        counted: dict[str, int] = {}
        with contextlib.suppress(OSError), os.scandir(self.folder) as entries:
            for entry in entries:
                key, _, kind = entry.name.partition(".")
                # Nothing that is kept is empty; where the power failed, what was written last may be.
                if kind in KEPT and entry.stat().st_size:
                    counted[key] = counted.get(key, 0) + 1
        return {key for key, count in counted.items() if count == len(KEPT)}

    @property
    def folder(self) -> Path:
        """Where leaves are kept."""
        if self._folder is None:
            self._folder = self.root / files.PRIVATE / "cache" / "leaves"
        return self._folder

    def begin(self, project: Project) -> None:
        """The studio is read, but for forms that stand as they are."""
        self.project = self.typed = project

    # ---- what need not be read ----

    def standing(self) -> dict[str, Leaf]:
        """The leaves of forms that need not be read: no text that they come of has changed, nor any record that they tell of."""
        found = {}
        for slug, leaf in self._kept.items():
            if leaf.records and leaf.texts == self._digest_of(leaf.reached) and self._is_whole(leaf):
                with contextlib.suppress(OSError, *files.SPOILT):
                    if all(files.stat_of(self._record(name)) == stat for name, stat in leaf.records.items()):
                        self._stand_in(slug, leaf)
                        found[slug] = leaf
        return found

    def _stand_in(self, slug: str, leaf: Leaf) -> None:
        """Have what is kept of a form stand for it. Raises: files.SPOILT."""
        self._forms[slug] = KeptForm(slug, partial(leaf.told, "form"), partial(self._form, slug))

    def _record(self, name: str) -> str:
        return f"{self.root}/{journal.RECORD}/{name}.jsonl"

    def new_revisions(self) -> Iterator[Revised]:
        """Of what there are revisions, but for those that are known to stand in the record."""
        return (one for leaf in self.found.values() if not leaf.records for one in leaf.revised)

    def _digest_of(self, paths: Iterable[str]) -> str:
        """A digest of some files' texts and of what stands behind every form."""
        return made_of(self._behind(), *(f"{path}\0{self.texts.get(path, '')}" for path in paths))

    def _behind(self) -> str:
        if ("", "") not in self._shared:
            behind = sorted(path for path in self.texts if path.startswith(("specs/studio.yaml", "specs/kilns/")))
            fonts = self.root / folder.SPECS / folder.FONTS
            own = sorted(path for path in fonts.iterdir() if path.is_file()) if fonts.is_dir() else ()
            said = [f"{path}\0{self.texts[path]}" for path in behind]
            self._shared["", ""] = made_of(*said, *(f"{path.name} {files.digest_of(path)}" for path in own))
        return self._shared["", ""]

    def read_beside(self, standing: Mapping[str, Leaf]) -> dict[str, str]:
        """The texts that are to be read where some forms stand: all that is no form, forms that changed, and what those reach."""
        if not standing:
            return dict(self.texts)
        waiting = [path for path in self.texts if _slug_of(path) not in standing]
        for path in self.texts:
            if path.startswith(("specs/orders/", "specs/runs/")):
                named = set(re.findall(r"[a-z0-9-]+", self.texts[path]))
                waiting += [f"specs/forms/{slug}.yaml" for slug in named & standing.keys()]
        wanted: set[str] = set()
        while waiting:
            path = waiting.pop()
            if path in self.texts and path not in wanted:
                wanted.add(path)
                waiting += self._reached(path)
        return {path: text for path, text in self.texts.items() if path in wanted}

    def _reached(self, path: str) -> list[str]:
        return reached_files(path, self.parse(self.texts[path], path)[0])

    def _comes_of(self, *waiting: str) -> list[str]:
        """Some files and all that they reach, by path; those that are not there are passed over."""
        paths, left = dict[str, None](), list(waiting)
        while left:
            path = left.pop()
            if path in self.texts and path not in paths:
                paths[path] = None
                left += self._reached(path)
        return list(paths)

    def take_in_turn(
        self, standing: Mapping[str, Leaf], work: Callable[[Mapping[str, str], list[str]], list[Problem]]
    ) -> Mapping[str, Leaf]:
        """Have forms that are new worked out some at a time, so that many need no more memory than a few.

        What learns from runs is left to be read with all that is read.

        Args:
            standing: the leaves of forms that need not be read.
            work: reads texts, works the named forms out by `sheet_of`, and gives what is wrong.
        Returns: with those of them of which no more need be read.
        """
        new = [slug for path in self.texts if (slug := _slug_of(path)) and slug not in standing]
        if len(new) <= TOGETHER:
            return standing
        parse, stand = self.parse, dict(standing)
        of_others = ("specs/forms/", "specs/orders/", "specs/runs/")
        beside = [path for path in self.texts if not path.startswith(of_others)]
        try:
            for first in range(0, len(new), TOGETHER):
                self.parse = folder.Memory().parse
                paths, slugs = set(self._comes_of(*beside)), list[str]()
                for slug in new[first : first + TOGETHER]:
                    own = self._comes_of(f"specs/forms/{slug}.yaml")
                    if not any("runs" in self.texts[path] for path in own if _slug_of(path)):
                        slugs.append(slug)
                        paths.update(own)
                gc.collect()  # sheets and what they were worked out by know one another
                problems = work({path: text for path, text in self.texts.items() if path in paths}, slugs)
                self.settle(problems, slugs)
                for slug in slugs:
                    if (leaf := self.found.get(slug)) and leaf.reached:
                        self._stand_in(slug, leaf)
                        stand[slug] = leaf
        finally:
            self.parse, self._last = parse, None
            self.begin(Project(Studio()))
            gc.collect()
        return stand

    def stand(self, standing: Mapping[str, Leaf], read: Project) -> dict[str, KeptSheet]:
        """The sheets of forms that stand, most of which were not read.

        Args:
            standing: their leaves.
            read: the studio with what was read.
        """
        self._read = read
        self.found |= standing
        return {slug: self._sheet(leaf, self._forms[slug]) for slug, leaf in standing.items()}

    def _form(self, slug: str) -> Form:
        """A form that stands, read all the same, and whole."""
        return self._read_with(slug).forms[slug]

    def _read_with(self, slug: str) -> Project:
        """What was read of the studio, with a form that was not, and what it reaches; the last such is held."""
        assert self._read is not None
        if slug in self._read.forms:
            return self._read
        if self._beside is None or self._beside[0] != slug:
            reached = [_slug_of(path) for path in self.found[slug].reached]
            more = {name for name in reached if name and name not in self._read.forms}
            again = projects.read_forms_again(self._read, self.texts, more, [], self.parse)
            self._beside = slug, complete(again)[0]
        return self._beside[1]

    def stood(self, project: Project) -> None:
        """The studio is worked out, with every form in its place, read or not."""
        self.project = project
        self.found = {slug: self.found[slug] for slug in project.forms if slug in self.found}

    def share_names(self) -> bool:
        """True where two forms have one code, or one number for the shop."""
        return share_names(self.project.forms.values())

    def settle(self, problems: Iterable[Problem], slugs: Iterable[str] | None = None) -> None:
        """Note what each form comes of, so that it need not be read while that stays as it is.

        A form of which something is said that its sheet does not say, or that learns from others, is read each time.

        Args:
            problems: all of the studio's.
            slugs: the forms; all of them unless given.
        """
        slugs = [slug for slug in (self.found if slugs is None else slugs) if slug in self.found]
        in_sheets = {id(problem) for slug in slugs for problem in self.found[slug].problems}
        loose = {problem.at.file for problem in problems if id(problem) not in in_sheets}
        learns = lambda path: learns_from_runs(self.parse(self.texts[path], path)[0])
        if "specs/studio.yaml" not in self.texts or learns("specs/studio.yaml"):
            return
        for slug in slugs:
            leaf = self.found[slug]
            if leaf.is_lasting and not leaf.reached:
                paths = tuple(sorted(self._comes_of(f"specs/forms/{slug}.yaml")))
                of_forms = [path for path in paths if _slug_of(path)]
                if not loose & {*of_forms} and not any(map(learns, of_forms)):
                    self.found[slug] = dataclasses.replace(leaf, reached=paths, texts=self._digest_of(paths))

    def let_go(self, project: Project, sheets: Mapping[str, Any]) -> tuple[Project, dict[str, Any]]:
        """All is read and checked: what was read is no longer held, for the pages to come need the room.

        Args:
            project: the studio, without an error in it.
            sheets: each form's sheet.
        Returns: the same, with forms that are read again, one by one, by whoever asks more of them than is kept.
        """
        self.parse = source.read_nodes
        for slug, leaf in self.found.items():
            if leaf.reached and slug not in self._forms:
                with contextlib.suppress(*files.SPOILT):
                    self._stand_in(slug, leaf)
        self._read = dataclasses.replace(
            project, forms={slug: form for slug, form in project.forms.items() if slug not in self._forms}
        )
        self.typed = self._read
        self.project = dataclasses.replace(
            project, forms={slug: self._forms.get(slug, form) for slug, form in project.forms.items()}
        )
        kept = {slug: self._sheet(self.found[slug], self._forms[slug]) for slug in sheets if slug in self._forms}
        return self.project, {**sheets, **kept}

    def note_records(self, record: Record) -> None:
        """Note in which records of revisions each form stands, now that they are written.

        Args:
            record: read anew.
        """
        reader = reader_of(self.project.studio)
        with speaking(self.project.studio.language_tag):
            for slug, leaf in self.found.items():
                if leaf.reached and not leaf.records:
                    revised = leaf.revised
                    told = made_of(repr(record.old_cards(revised[0], reader)))
                    names = [f"{one.of}/{one.name}" for one in revised if record.knows(one)]
                    is_plain = not any(os.path.islink(self._record(name)) for name in names)
                    if told == leaf.page.old and len(names) == len(revised) and is_plain:
                        records = {name: files.stat_of(self._record(name)) for name in names}
                        self.found[slug] = dataclasses.replace(leaf, records=records)

    # ---- one form ----

    def sheet_of(self, form: Form, project: Project, shaper: Shaper) -> Any:
        """A form's sheet, as `checks.check_project` asks for it: kept, or worked out now."""
        self.project = project
        kept = self.found.get(form.slug) or self._kept.get(form.slug)
        if kept is not None and self._is_whole(kept) and kept.key == self._key(form, kept.revised):
            # The key still holds, of whatever texts it came: which they are now is noted anew.
            kept = dataclasses.replace(kept, reached=(), records={})
            self.found[form.slug] = kept
            return self._sheet(kept, form)
        asked: list[str] = []
        sheet = checks.check_form(form, self._watched(asked), shaper)
        if not sheet.figures or any(problem.level == ERROR for problem in sheet.problems):
            return sheet
        leaf = self._make(sheet, asked)
        self.found[form.slug] = leaf
        self._last = (form.slug, sheet)
        return self._sheet(leaf, form)

    def _sheet(self, leaf: Leaf, form: Any) -> KeptSheet:
        clay = self.project.clays[form.clay]
        glaze = self.project.glazes.get(str(form.glaze)) if form.glaze else None
        return KeptSheet(leaf, form, self.project.studio, clay, glaze, lambda: self._whole(leaf.slug))

    def _whole(self, slug: str) -> Sheet:
        """A sheet worked out; the last one is held, as what asks for one thing asks for more."""
        if self._last is None or self._last[0] != slug:
            form = self.project.forms[slug]
            project = self._read or self.project
            if isinstance(form, KeptForm):
                project = self._read_with(slug)
                form = project.forms[slug]
            self._last = (slug, checks.check_form(form, project, Shaper(project)))
        return self._last[1]

    def _watched(self, asked: list[str]) -> Project:
        """The studio, noting where a form looks further than at what stands in its key."""
        others = [name for name in projects.FOLDERS if name not in BEHIND]
        return dataclasses.replace(
            self.project, **{name: Watched(self.project.files(name), asked, name) for name in others}
        )

    def _make(self, sheet: Sheet, asked: list[str]) -> Leaf:
        with speaking(self.project.studio.language_tag):
            return self._made(sheet, asked)

    def _made(self, sheet: Sheet, asked: list[str]) -> Leaf:
        form, reader = sheet.form, reader_of(self.project.studio)
        now = revised_form(sheet)
        old_cards = self.old_cards(now, reader)
        page, growth = formpage.render_with_gaps(sheet, self._watched(asked), old_cards=old_cards)
        bench = benchpage.render_bench_view(sheet, old_cards=old_cards)
        answers = answerpage.render_answers(sheet)
        worked = workings.render_workings(sheet)
        stocked, data = is_stocked(sheet), datafiles.render_form_data(sheet)
        revised = (now, revised_stock(sheet)) if stocked else (now,)
        cards = tuple(dict.fromkeys(path for path, _, _ in CARD_LINK.findall(page.body)))
        told = Told(
            PageTold(
                page.title, page.description, page.search, growth, bench.title, bench.description, answers.title, answers.description,
                worked.title, worked.description, datafiles.index_entry(sheet, data), tuple(page.places), cards, made_of(repr(old_cards)),
            ),
            sitepages.front_entry(sheet, reader), stock_form(sheet, name=sheet.slug) if stocked else None, revised,
            {str(name): plain_of(fit) for name, fit in as_set(sheet).fits.items()}, told_of(sheet),
        )  # fmt: skip
        key = self._key(form, revised)
        leaf = Leaf(str(self.folder), form.slug, key, sheet.revision, sheet.ball_g, sheet.problems, stocked, not asked)
        files.write_whole(self._place(leaf, TOLD), told.text())
        files.write_whole(self._place(leaf, "html"), page.body.encode("utf-8", "surrogatepass"))
        files.write_whole(self._place(leaf, "bench"), bench.body.encode("utf-8", "surrogatepass"))
        files.write_whole(self._place(leaf, "answers"), answers.body.encode("utf-8", "surrogatepass"))
        files.write_whole(self._place(leaf, "workings"), worked.body.encode("utf-8", "surrogatepass"))
        files.write_whole(self._place(leaf, "json"), data.content)
        files.write_whole(self._place(leaf, "csv"), datafiles.figure_rows(sheet).encode())
        files.write_whole(self._place(leaf, "svg"), datafiles.render_drawing(sheet).content)
        files.write_whole(self._place(leaf, "js"), comparepage.render_compared(sheet).content)
        self._there.add(leaf.key)
        return leaf

    def _place(self, leaf: Leaf, kind: str) -> Path:
        return Path(leaf.place(kind))

    def _is_whole(self, leaf: Leaf) -> bool:
        return leaf.key in self._there and leaf.is_sound()

    # ---- what a form is made from ----

    def _key(self, form: Form, revised: tuple[Revised, ...]) -> str:
        said = [program_digest(), form.slug, self._of("studio", "")]
        waiting, seen = [form.slug], set()
        while waiting:
            slug = waiting.pop()
            if slug in seen:
                continue
            seen.add(slug)
            other = self.project.forms[slug]
            said += [slug, self._of("forms", slug), self._of("clays", str(other.clay))]
            said.append(self._of("glazes", str(other.glaze)) if other.glaze else "")
            waiting += sorted(links.other_forms(other))
        said += [self._of("kilns", slug) for slug in self.project.kilns]
        reader = reader_of(self.project.studio)
        said.append(repr(self.old_cards(revised[0], reader)))
        if any("runs" in self.texts.get(path, "") for path in ("specs/studio.yaml", str(form.at.file))):
            said += [self._of("runs", slug) for slug in self.project.runs]  # a spread may be learned from them
        return made_of(*said)

    def _of(self, folder: str, slug: str) -> str:
        """A digest of one spec: of its text where that is all, of what became of it where others weigh in."""
        if (folder, slug) not in self._shared:
            spec = self.project.studio if folder == "studio" else self.project.files(folder).get(slug)
            # A form that is like another, or had something to be solved, is not all that its own file says.
            as_typed = folder == "runs" or (
                folder == "forms" and spec is self.typed.forms.get(slug) and getattr(spec, "like", None) is None
            )
            text = self.texts.get(f"specs/{folder}/{slug}.yaml", "") if as_typed else repr(spec)
            self._shared[folder, slug] = made_of(text)
        return self._shared[folder, slug]

    # ---- what the site asks for ----

    def page(self, slug: str) -> PageText:
        """A form's page, read when it is asked for; all its cards are linked.

        What it takes from the other forms is put in here, so that a page is kept for as long as its own form stands.
        """
        leaf = self.found[slug]
        told = leaf.page
        body = in_studio(self._body(leaf, "html"), slug, told.growth, reader_of(self.project.studio), self.among())
        return PageText(f"forms/{slug}.html", told.title, body, told.description, told.search)

    def page_made_of(self, slug: str, among: Among) -> tuple[object, ...]:
        """All that a form's page is made of, told without making it; see `among`."""
        return self.found[slug].key, among.least_ball_g, among.greatest_ball_g, among.families.get(slug)

    def bench_view(self, slug: str) -> PageText:
        """A form's bench view, read when it is asked for."""
        leaf = self.found[slug]
        told, body = leaf.page, Markup(self._body(leaf, "bench"))
        return PageText(bench_path(slug), told.bench_title, body, told.bench_description, template=BENCH_TEMPLATE)

    def answers(self, slug: str) -> PageText:
        """A form's page that answers, read when it is asked for."""
        leaf = self.found[slug]
        told, body = leaf.page, Markup(self._body(leaf, "answers"))
        return PageText(
            answers_path(slug), told.answers_title, body, told.answers_description, template=ANSWER_TEMPLATE
        )

    def workings(self, slug: str) -> PageText:
        """A form's workings, read when they are asked for."""
        leaf = self.found[slug]
        told, body = leaf.page, Markup(self._body(leaf, "workings"))
        return PageText(workings.workings_path(slug), told.workings_title, body, told.workings_description)

    def _body(self, leaf: Leaf, kind: str) -> str:
        return self._place(leaf, kind).read_bytes().decode("utf-8", "surrogatepass")

    def among(self) -> Among:
        """What forms' pages show of the others."""
        which = list(map(id, self.found.values()))
        if self._others is None or self._others[0] != which:
            balls_g = {slug: leaf.ball_g for slug, leaf in self.found.items()}
            self._others = which, among_forms(self.project, balls_g)
        return self._others[1]

    def data_files(self, slug: str) -> dict[str, Path]:
        """What lies beside a form's page, by its path on the site: its figures as JSON, its drawing; and what is compared of it."""
        leaf = self.found[slug]
        beside = {f"forms/{slug}.{kind}": self._place(leaf, kind) for kind in ("json", "svg")}
        return {**beside, comparepage.compared_path(slug): self._place(leaf, "js")}

    def rows(self) -> Iterator[bytes]:
        """Every form's lines of the table of figures."""
        for leaf in self.found.values():
            yield self._place(leaf, "csv").read_bytes()

    def entries(self) -> Iterator[FrontEntry]:
        """What the front page shows of every form."""
        return (leaf.entry for leaf in self.found.values())

    def stock(self) -> Stock:
        """What shops are told, by the studio's own names."""
        return gather_stock(self.project.studio, [told for leaf in self.found.values() if (told := leaf.stock)])

    def kept_page(
        self, name: str, slugs: Iterable[str], make: Callable[[], tuple[PageText, ...]]
    ) -> tuple[PageText, ...]:
        """A page about several forms, kept by what those forms are made from.

        Args:
            name: what it is kept as.
            slugs: the forms; nothing else of the studio but `studio.yaml` may be on it.
            make: makes it anew.
        """
        leaves = [self.found.get(slug) for slug in slugs]
        if not all(leaf is not None and leaf.is_lasting for leaf in leaves):
            return make()
        key = made_of(program_digest(), name, self._of("studio", ""), *(leaf.key for leaf in leaves if leaf))
        return self._kept_file(f"{key}.page", PageText, make)

    def kept_data(self, name: str, make: Callable[[], tuple[DataText, ...]]) -> tuple[DataText, ...]:
        """Data that are the same for every studio, kept by this program.

        Args:
            name: what they are kept as.
            make: makes them anew.
        """
        return self._kept_file(f"{made_of(program_digest(), name)}.data", DataText, make)

    def _kept_file(
        self, name: str, kind: Callable[..., Said], make: Callable[[], tuple[Said, ...]]
    ) -> tuple[Said, ...]:
        path = self.folder / name
        self._used.add(name)
        try:
            return tuple(kind(**said) for said in json.loads(path.read_bytes()))
        except (OSError, *files.SPOILT):
            made = make()
            files.write_whole(path, json.dumps([dataclasses.asdict(one) for one in made]).encode())
            return made

    def kept_numbers(self, clay: str, slug: str, make: Callable[[], dict[str, float]]) -> dict[str, float]:
        """Numbers of one form as it would be of a clay, kept by what the form and the clay are made from.

        Args:
            clay: the clay, by its slug.
            slug: the form.
            make: works them out.
        """
        leaf = self.found.get(slug)
        if leaf is None or not leaf.is_lasting:
            return make()
        found: dict[str, float] = self._piece(made_of("in a clay", leaf.key, self._of("clays", clay)), make)
        return found

    def kept_words(self, name: str, slug: str, make: Callable[[], str]) -> str:
        """Words about one form on a page about several, kept by what the form is made from.

        Args:
            name: what they are, with all else that is said in them.
            slug: the form.
            make: makes them.
        """
        leaf = self.found.get(slug)
        return str(self._piece(made_of(name, leaf.key), make)) if leaf is not None and leaf.is_lasting else make()

    def _piece(self, key: str, make: Callable[[], Any]) -> Any:
        known = self._pieces_kept.get(key)
        self._pieces[key] = make() if known is None else known
        return self._pieces[key]

    @property
    def is_much_new(self) -> bool:
        """True where so much was worked out that it is worth keeping before anything is made of it."""
        return sum(self._kept.get(slug) is not leaf for slug, leaf in self.found.items()) > WORTH_KEEPING

    def keep(self) -> None:
        """Write down what there is, and forget what is old and too much; whoever does holds the folder's lock."""
        kept = {slug: leaf for slug, leaf in self.found.items() if leaf.is_lasting}
        lines = (json.dumps(leaf.as_json()).encode() for leaf in kept.values())
        head = {
            "format": FORMAT, "program": program_digest(), "count": len(kept), "pieces": self._pieces or self._pieces_kept,
            "notes": dict([*templating.known_notes.items()][-MOST_NOTES:]),
        }  # fmt: skip
        with contextlib.suppress(OSError):  # without it the next build is a whole one
            files.write_whole(
                self.folder / INDEX, (b"%s\n" % line for line in chain([json.dumps(head).encode()], lines))
            )
        used = {f"{leaf.key}.{kind}" for leaf in self.found.values() for kind in KEPT}
        self._forget({*used, *self._used})

    def _forget(self, used: set[str]) -> None:
        """What is not used goes, the oldest first, until what is left is little enough."""
        with contextlib.suppress(OSError), os.scandir(self.folder) as entries:
            old = [(entry.stat(), entry.path) for entry in entries if entry.name not in used and entry.name != INDEX]
            size = sum(status.st_size for status, _ in old)
            for status, path in sorted(old, key=lambda one: one[0].st_mtime_ns):
                if size <= MOST_BYTES and not path.endswith(".part"):
                    break
                os.unlink(path)
                size -= status.st_size
