"""What a plan costs: by lines of an order, and by sets of one form; against reading the order's YAML."""

from __future__ import annotations

from tests.bench.__main__ import ROOT, best_s, show


def bench_plans() -> None:
    """A plan at 1 to 10,000 sets of one form, and at 1 to 40 lines; nothing of it is read or drawn."""
    from wareboard.figures.planning import Wanted, make_plan
    from wareboard.output.working import work_out
    from wareboard.text.kinds import Word
    from wareboard.text.order_specs import Line

    worked = work_out(ROOT)
    forms = sorted(worked.sheets)

    def wanted(*sets: int) -> Wanted:
        named = [forms[place % len(forms)] for place in range(len(sets))] if len(sets) > 1 else ["tea-caddy"]
        at = worked.project.forms[named[0]].at
        return Wanted(
            "run",
            "Run",
            tuple(Line(at=at, form=Word(name, at), sets=count) for name, count in zip(named, sets, strict=True)),
        )

    def planned_ms(run: Wanted) -> float:
        return best_s(lambda: make_plan(run, worked.project, worked.sheets), 5) * 1000.0

    rows = []
    for count in (1, 10, 100, 1000, 10_000):
        taken = planned_ms(wanted(count))
        rows.append((count, taken, taken / count))
    show("A plan of one form", ("sets", "CPU ms", "ms a set"), rows)
    rows = []
    for count in (1, 5, 10, 20, 40):
        run = wanted(*[50] * count)
        pieces = sum(sum(line.throw.pieces.values()) for line in make_plan(run, worked.project, worked.sheets).lines)
        taken = planned_ms(run)
        rows.append((count, pieces, taken, taken / count))
    show("A plan of many lines", ("lines", "pieces", "CPU ms", "ms a line"), rows)


if __name__ == "__main__":
    bench_plans()
