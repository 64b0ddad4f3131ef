"""Every kind of card against the bare engine on the same HTML: `python -m tests.bench.cardkinds`; ratios of one run."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path
from unittest.mock import patch

from wareboard.cards import engine, imposing
from wareboard.cards.cardkinds import KINDS, PAPER_MM
from wareboard.output import printing
from wareboard.output.history import Record
from wareboard.output.printing import Job, do_jobs, make_cards, print_cards, render_one, wanted_cards
from wareboard.output.working import work_out

from tests.bench.__main__ import ROOT, _render_bare, best_s, show
from tests.bench.studio import write_studio


def bench_kinds() -> None:
    """One PDF of each kind's card, in CPU ms, and what writing its HTML takes."""
    worked, rows = work_out(ROOT), []
    record = Record(ROOT)
    for name in KINDS:
        wanted = wanted_cards(worked, [name])[:4]
        texts = [card.text(record) for card in wanted]
        [(engine.render_pdf(text), _render_bare(text)) for text in texts[:1]]
        words = best_s(lambda wanted=wanted: [card.text(record) for card in wanted], 2) / len(texts)
        # Turn about, so that whatever else the machine does falls on both.
        times = [
            (
                best_s(lambda: [engine.render_pdf(text) for text in texts], 1),
                best_s(lambda: [_render_bare(text) for text in texts], 1),
            )
            for _ in range(3)
        ]
        ours, bare = (min(column) / len(texts) for column in zip(*times, strict=True))
        rows.append((name, words * 1000, ours * 1000, bare * 1000, ours / bare))
    show("Each kind of card", ("kind", "HTML, ms", "PDF, CPU ms", "bare engine, CPU ms", "ratio"), rows)


def bench_builds(count: int = 20) -> None:
    """All cards of a studio: built, built again unchanged, one process and two, several on a sheet."""
    with tempfile.TemporaryDirectory() as place:
        worked = work_out(write_studio(Path(place) / "studio", count))
        record = Record(worked.root)
        texts = [card.text(record) for card in wanted_cards(worked)]
        jobs = [Job((Path(text.name),), render_one, (text,), len(text.html)) for text in texts]
        with patch.object(printing, "WORTH_TWO_PROCESSES", 10**9):
            one = best_s(lambda: list(do_jobs(jobs)), 1, time.perf_counter)
        two = best_s(lambda: list(do_jobs(jobs)), 1, time.perf_counter)
        show(
            f"{len(texts)} cards of {count} forms, each kind",
            ("", "s", "times as fast"),
            [("one process", one, 1.0), ("two processes", two, one / two)],
        )
        rows = []
        for said in ("first build", "nothing changed"):
            started = time.perf_counter()
            made = make_cards(worked, record)
            rows.append((said, len(made), time.perf_counter() - started))
        show("Cards of the site", ("build", "PDFs", "s"), rows)
        wheel = wanted_cards(worked, ["wheel"])
        some = [(card, card.text(record, paper="A6")) for card in wheel]
        pdf = print_cards(worked, some)
        laid = best_s(lambda: imposing.impose(pdf, PAPER_MM["A4"]), 3)
        deck = best_s(lambda: engine.render_deck([text for _, text in some], "deck"), 1)
        show(f"{len(some)} wheel cards", ("", "CPU s"), [("set as one deck", deck), ("put several on a sheet", laid)])


if __name__ == "__main__":
    bench_kinds()
    bench_builds()
