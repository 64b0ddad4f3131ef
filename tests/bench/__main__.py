"""Benchmarks, on demand: `python -m tests.bench [NAME…]`. Each is a ratio to a bare baseline of the same run.

Nothing here is asserted; what is read off goes into DEVELOPERS.md. Programs are compared by the instructions that they take,
where the machine counts them (`perf stat`), else by CPU seconds: neither minds much what else the machine is doing. Each
table says which.
"""

from __future__ import annotations

import atexit
import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import cache, partial
from pathlib import Path
from types import SimpleNamespace
from typing import NamedTuple
from unittest.mock import patch

from tests.bench.studio import DEMO, write_studio

ROOT = DEMO.parent


@cache
def surroundings() -> dict[str, str]:
    """Where a measured program runs: as for a maker, who has its compiled modules from the time before."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    compiled = tempfile.mkdtemp(prefix="bench-compiled-")
    atexit.register(shutil.rmtree, compiled, ignore_errors=True)
    return {**kept, "NO_MKDOCS_2_WARNING": "1", "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": compiled}


class Run(NamedTuple):
    """What a command took, with all that it started.

    Args:
        cpu_s: CPU seconds, user and system.
        most_mb: the most memory that one process of it needed, MB.
        errors: what it said on its error stream.
    """

    cpu_s: float
    most_mb: float
    errors: str


def run_to_end(words: Sequence[str], cwd: Path) -> Run:
    """Run a command to its end; one that fails ends the benchmark."""
    with tempfile.TemporaryFile("w+") as errors:
        process = subprocess.Popen(words, cwd=cwd, env=surroundings(), stdout=subprocess.DEVNULL, stderr=errors)
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        errors.seek(0)
        said = errors.read()
    if process.returncode:
        raise SystemExit(f"{' '.join(words)} failed\n{said}")
    return Run(usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024.0, said)


def cpu_s(*words: str, cwd: Path) -> float:
    """CPU seconds, user and system, of a command of Python's and all that it starts."""
    return run_to_end([sys.executable, *words], cwd).cpu_s


def best_s(work: Callable[[], object], times: int = 5, clock: Callable[[], float] = time.process_time) -> float:
    """The least of several runs of the same work, s; the least is what the machine's other work disturbs least."""
    taken = []
    for _ in range(times):
        started = clock()
        work()
        taken.append(clock() - started)
    return min(taken)


def busier_s(work: Callable[[], object]) -> float:
    """CPU seconds of the busier of this process and the one that some work starts: how long it takes with a core for each."""
    import resource

    def taken() -> list[float]:
        return [sum(resource.getrusage(whose)[:2]) for whose in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]

    before = taken()
    work()
    return max(now - then for now, then in zip(taken(), before, strict=True))


def show(title: str, head: tuple[str, ...], rows: list[tuple]) -> None:
    """A table that can be pasted into DEVELOPERS.md."""
    print(f"\n{title}\n\n| {' | '.join(head)} |\n|{'---|' * len(head)}", flush=True)
    for row in rows:
        print(
            "| " + " | ".join(f"{cell:.3g}" if isinstance(cell, float) else str(cell) for cell in row) + " |",
            flush=True,
        )


def bench_sheet() -> None:
    """A sheet, against reading the same form's YAML with the plain library."""
    import yaml
    from wareboard.figures.sheet import make_sheet
    from wareboard.output.working import work_out

    worked = work_out(ROOT)
    rows = []
    for slug in ("tall-beaker", "tea-caddy", "footed-bowl"):
        text, form = worked.texts[f"specs/forms/{slug}.yaml"], worked.project.forms[slug]
        bare = best_s(partial(yaml.load, text, yaml.CSafeLoader), 20)
        ours = best_s(partial(make_sheet, form, worked.project), 20)
        rows.append((slug, len(form.parts), len(worked.sheets[slug].figures), ours * 1000, bare * 1000, ours / bare))
    show("Sheet of one form", ("form", "parts", "figures", "sheet, ms", "plain YAML read, ms", "ratio"), rows)


@cache
def counts_instructions() -> bool:
    """True where the machine tells how many instructions a program took, which no other work of it disturbs."""
    if shutil.which("perf") is None:
        return False
    done = subprocess.run(
        ["perf", "stat", "-x,", "-e", "instructions:u", "true"], capture_output=True, text=True, check=False
    )
    return done.returncode == 0 and done.stderr.split(",")[0].isdigit()


def cost(*words: str, cwd: Path, times: int = 3, again: bool = True) -> float:
    """What a command takes: G instructions where the machine counts them, else the least CPU seconds of several runs.

    Args:
        words: the command, behind Python's own name.
        cwd: where it runs.
        times: how often, where seconds are taken.
        again: whether a second run does the same; else it is run once.
    """
    if again and counts_instructions():
        cpu_s(*words, cwd=cwd)  # its modules are compiled now
    return min(cost_and_memory(*words, cwd=cwd)[0] for _ in range(times if again and not counts_instructions() else 1))


def cost_and_memory(*words: str, cwd: Path) -> tuple[float, float]:
    """One run of a command: its cost as `cost` counts it, and the most memory that a process of it needed, MB."""
    if not counts_instructions():
        run = run_to_end([sys.executable, *words], cwd)
        return run.cpu_s, run.most_mb
    run = run_to_end(["perf", "stat", "-x,", "-e", "instructions:u", "--", sys.executable, *words], cwd)
    return int(run.errors.strip().splitlines()[-1].split(",")[0]) / 1e9, run.most_mb


def unit() -> str:
    """What `cost` counts in."""
    return "G instructions" if counts_instructions() else "CPU s"


READ_ALL = (
    "import pathlib, yaml\nfor p in pathlib.Path('specs').rglob('*.yaml'): yaml.load(p.read_text(), yaml.CSafeLoader)"
)


def bench_start() -> None:
    """The commands' start, in a studio without a form, against Python's own and that of the libraries that each check needs."""
    rows = []
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "studio"
        (folder / "specs").mkdir(parents=True)
        (folder / "specs" / "studio.yaml").write_text("title: Yard\n", encoding="utf-8")
        bare = cost("-c", "pass", cwd=folder)
        libraries = cost("-c", "import click, numpy, yaml", cwd=folder)
        for words in (("--version",), ("explain", "thin-wall"), ("check",)):
            ours = cost("-m", "wareboard", *words, cwd=folder)
            rows.append((" ".join(words), ours, bare, libraries))
    show(
        "Start-up, empty studio", ("command", f"ours, {unit()}", "Python alone", "click, numpy and PyYAML alone"), rows
    )


def bench_check(counts: tuple[int, ...] = (10, 100, 500)) -> None:
    """The command `check`, start-up included, against a start of Python that reads the same files as YAML."""
    rows = []
    for count in counts:
        with tempfile.TemporaryDirectory() as place:
            folder = write_studio(Path(place) / "studio", count)
            ours = cost("-m", "wareboard", "check", cwd=folder)
            base = cost("-c", READ_ALL, cwd=folder)
            rows.append((count, ours, base, ours / base))
    show("`wareboard check`", ("forms", f"check, {unit()}", "plain YAML read", "ratio"), rows)


def bench_derive(counts: tuple[int, ...] = (10, 100, 500)) -> None:
    """One form's figures, start-up included, among many forms: what it takes should not depend on how many."""
    rows = []
    for count in counts:
        with tempfile.TemporaryDirectory() as place:
            folder = write_studio(Path(place) / "studio", count)
            one = cost("-m", "wareboard", "derive", "butter-dish-0", "--json", cwd=folder)
            two = cost("-m", "wareboard", "check", "butter-dish-0", cwd=folder)
            rows.append((count, one, two))
    show("One form of many", ("forms", f"derive --json, {unit()}", "check FORM"), rows)


def bench_site(counts: tuple[int, ...] = (10, 100, 500, 1000)) -> None:
    """The whole site, specs and drawings worked out, against the bare generator with the theme on the same pages handed over
    made, outside the navigation; then the same again, with one form changed, and what it takes of memory."""
    rows = []
    for count in counts:
        with tempfile.TemporaryDirectory() as place:
            folder = write_studio(Path(place) / "studio", count)
            words = ("-m", "wareboard", "build", "--no-cards")
            cpu_s("-m", "wareboard", "check", cwd=folder)  # modules are compiled now
            ours, most_mb = cost_and_memory(*words, cwd=folder)
            again = cost(*words, cwd=folder)
            path = folder / "specs" / "forms" / "tall-beaker-0.yaml"
            path.write_text(path.read_text(encoding="utf-8").replace("title: ", "title: New ", 1), encoding="utf-8")
            one = cost(*words, cwd=folder, again=False)
            path = folder / "specs" / "forms" / "tea-caddy-0.yaml"
            path.write_text(path.read_text(encoding="utf-8").replace("title: ", "title: New ", 1), encoding="utf-8")
            fitted = cost(*words, cwd=folder, again=False)
            bare = cost("-m", "mkdocs", "build", "-q", cwd=_write_bare_site(Path(place) / "bare", folder), times=1)
            rows.append((count, ours, bare, ours / bare, again, one, fitted, most_mb))
    show(
        "Whole site, without cards",
        (
            "forms",
            f"build, {unit()}",
            "bare generator",
            "ratio",
            "nothing changed",
            "one form changed",
            "one with a fit changed",
            "most memory, MB",
        ),
        rows,
    )


BARE_HOOKS = """\
import json, pathlib
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import TableOfContents

class Made(Page):
    def read_source(self, config):
        self.markdown, self.meta = "", {"title": self.title}
    def render(self, config, files):
        self.content, self.toc = pathlib.Path(self.body).read_text(encoding="utf-8"), TableOfContents([])

def on_files(files, config):
    made = []
    for name, title in json.loads(pathlib.Path("pages.json").read_text(encoding="utf-8")):
        file = File.generated(config, name + ".md", content="", inclusion=InclusionLevel.NOT_IN_NAV)
        Made(title, file, config).body = f"made/{name}.html"
        made.append(file)
    return Files([*(file for file in files if file.generated_by or "docs" not in str(file.src_dir)), *made])
"""


def _write_bare_site(bare: Path, folder: Path) -> Path:
    """A site of our pages' HTML, handed to the generator made: nothing is read as Markdown."""
    from wareboard.output.editions import render_pages
    from wareboard.output.working import work_out

    names = []
    for text in render_pages(work_out(folder), with_cards=False):
        name = text.path.removesuffix(".html")
        path = bare / "made" / text.path
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text.body, encoding="utf-8")
        names.append((name, text.title))
    (bare / "docs").mkdir()
    (bare / "pages.json").write_text(json.dumps(names), encoding="utf-8")
    (bare / "hooks.py").write_text(BARE_HOOKS, encoding="utf-8")
    (bare / "mkdocs.yml").write_text(
        "site_name: Bare\nuse_directory_urls: false\ntheme: {name: material, font: false}\nplugins: [search]\nhooks: [hooks.py]\n",
        encoding="utf-8",
    )
    return bare


def bench_cards() -> None:
    """Cards, against the bare engine on the same HTML; then one process against two, and a second build."""
    import datetime

    from wareboard.cards import engine, wheel
    from wareboard.output import printing
    from wareboard.output.history import Record
    from wareboard.output.printing import Job, do_jobs, make_cards, render_one
    from wareboard.output.working import work_out

    with tempfile.TemporaryDirectory() as place:
        worked = work_out(write_studio(Path(place) / "studio", 40))
        texts = [wheel.render_wheel(sheet, made=datetime.date(2026, 1, 1)) for sheet in worked.sheets.values()]
        nine = texts[:9]
        engine.render_pdf(nine[0])
        ours = best_s(lambda: [engine.render_pdf(card) for card in nine], 3) / len(nine)
        bare = best_s(lambda: [_render_bare(card) for card in nine], 3) / len(nine)
        deck = best_s(lambda: engine.render_deck(nine, "deck"), 3) / len(nine)
        show(
            "Wheel cards",
            ("", "CPU ms a card", "of the bare engine"),
            [
                ("bare engine", bare * 1000, 1.0),
                ("one PDF each", ours * 1000, ours / bare),
                ("one deck", deck * 1000, deck / bare),
            ],
        )
        jobs = [Job((Path(text.name),), render_one, (text,), len(text.html)) for text in texts]
        took = {}
        for processes in (1, 2):
            with patch.object(printing, "WORTH_TWO_PROCESSES", 1 if processes == 2 else 10**9):
                took[processes] = busier_s(lambda: list(do_jobs(jobs)))
        show(
            f"{len(texts)} wheel cards",
            ("", "CPU s of the busier", "times as fast, each with a core of its own"),
            [("one process", took[1], 1.0), ("two processes", took[2], took[1] / took[2])],
        )
        made = []
        first = best_s(lambda: made.extend(make_cards(worked, Record(worked.root))), 1, time.perf_counter)
        again = best_s(lambda: make_cards(worked, Record(worked.root)), 1, time.perf_counter)
        rows = [("first", first, first / len(made) * 1000), ("nothing changed", again, again / len(made) * 1000)]
        show(f"All {len(made)} PDFs of {len(texts)} forms", ("build", "s", "ms each"), rows)


def _render_bare(card) -> bytes:
    """The engine as its manual has it, on the same HTML."""
    import weasyprint
    from wareboard.cards.engine import TEMPLATES, VARIANT

    base = f"{TEMPLATES.as_uri()}/"
    fonts = weasyprint.text.fonts.FontConfiguration()
    style = weasyprint.CSS(string=card.css, base_url=base, font_config=fonts)
    return weasyprint.HTML(string=card.html, base_url=base).write_pdf(
        stylesheets=[style], font_config=fonts, pdf_variant=VARIANT
    )


def bench_serve(count: int = 500) -> None:
    """A changed spec, a mistake in it and its mending in the preview; beside each the generator's bare work, and a whole build.

    Bare is the form's file read with the plain library, and its three pages put through the theme, their text handed over made.
    """
    import yaml
    from mkdocs.commands.build import _build_page, build
    from wareboard.output.build import load_site_config
    from wareboard.output.serving import write_stale

    os.environ["NO_MKDOCS_2_WARNING"] = "1"
    with tempfile.TemporaryDirectory() as place:
        folder = write_studio(Path(place) / "studio", count)
        config = load_site_config(folder, "")
        config.site_dir = str(Path(place) / "preview")
        config.plugins.on_startup(command="serve", dirty=False)
        plugin = config.plugins["wareboard"]
        plugin.tell = lambda words: words.startswith(("building", "the last")) and sys.exit(words)
        whole = best_s(lambda: build(config, serve_url="http://127.0.0.1/"), 1)
        server = SimpleNamespace(root=config.site_dir, mount_path="/", get_app=lambda: None, set_app=lambda app: None)
        plugin.on_serve(server, config=config, builder=lambda: sys.exit("a whole build"))
        rows = []
        for slug in ("tall-beaker-1", "tea-caddy-1", "supper-plate-1"):
            path = folder / "specs" / "forms" / f"{slug}.yaml"
            original = path.read_text(encoding="utf-8")

            def bare(slug: str = slug, text: str = original) -> None:
                yaml.load(text, yaml.CSafeLoader)
                files = plugin.made["files"]
                for name in (f"forms/{slug}.md", f"bench/{slug}.md", f"workings/{slug}.md"):
                    page = files.get_file_from_path(name).page
                    _build_page(page, config, files.documentation_pages(), plugin.made["nav"], plugin.made["env"])

            spent: dict[str, list[float]] = {"bare": [], "change": [], "mistake": [], "mend": []}
            for number in range(1, 8):
                lossy = lambda share, text=original: re.sub(r"(?m)^(\s+loss: )\d+ %", rf"\g<1>{share} %", text, count=1)
                mistaken = lossy(number).replace("throwing:", "throwin:", 1)
                said = {"change": lossy(number), "mistake": mistaken, "mend": lossy(number + 10)}
                for name, text in said.items():
                    path.write_text(text, encoding="utf-8")

                    def work(path: str = f"forms/{slug}.html") -> None:
                        server.builder()
                        write_stale(plugin, path, Path(server.root))

                    spent[name].append(best_s(work, 1))
                    wrong = plugin.standing.wrong
                    assert bool(wrong) == (name == "mistake"), wrong
                spent["bare"].append(best_s(bare, 1))
            rows.append((slug, *(statistics.median(times) * 1000 for times in spent.values())))
        show(
            f"One spec of {count} (a whole build: {whole:.1f} CPU s)",
            ("form", "bare, CPU ms", "change, CPU ms", "mistake, CPU ms", "mend, CPU ms"),
            rows,
        )


BENCHES = {
    "sheet": bench_sheet,
    "start": bench_start,
    "check": bench_check,
    "derive": bench_derive,
    "site": bench_site,
    "cards": bench_cards,
    "serve": bench_serve,
}

if __name__ == "__main__":
    for name in sys.argv[1:] or BENCHES:
        BENCHES[name]()
