"""What a form's fits cost: its sheet with them against the same sheet without, and a dryness match."""

from __future__ import annotations

from tests.bench.__main__ import ROOT, best_s, show


def bench_fits() -> None:
    """All fit figures of one form, as what they add to its sheet; then the warnings, the table and a match."""
    from wareboard.commands.match_arguments import read_weighings
    from wareboard.figures import fitchecks, fitting
    from wareboard.figures.built import build
    from wareboard.figures.figure import Ledger
    from wareboard.figures.matching import match_table_of, pieces_of
    from wareboard.figures.shaping import Shaper
    from wareboard.figures.sheet import make_sheet
    from wareboard.figures.shown import reader_of
    from wareboard.output.working import work_out

    worked = work_out(ROOT)
    reader = reader_of(worked.project.studio)
    rows = []
    for slug in ("tea-caddy", "cup-and-saucer", "short-beaker"):
        form, sheet = worked.project.forms[slug], worked.sheets[slug]
        shaper = Shaper(worked.project)
        whole = best_s(lambda: make_sheet(form, worked.project), 20)
        built = build(form, shaper)

        def figures() -> None:
            ledger = Ledger(sheet.found.lines)
            for name in form.fits:
                fitting.write_fit(ledger, built.fits[str(name)])

        def warnings() -> None:
            for rule in (
                fitchecks.fit_negative,
                fitchecks.fit_misses_aim,
                fitchecks.fit_of_two_clays,
                fitchecks.fit_binds,
                fitchecks.fit_loose,
            ):
                list(rule(sheet, worked.project))

        fit = next(iter(form.fits))
        pieces = pieces_of(sheet, fit, worked.sheets)
        weights = [f"{piece.names[-1]}={piece.leather_hard_g(piece.thrown_g):.3f}g" for piece in pieces]
        alone, warned = best_s(figures, 50), best_s(warnings, 50)
        table = best_s(lambda: match_table_of(sheet, fit, reader, worked.sheets), 50)
        matched = best_s(lambda: read_weighings(sheet, fit, weights, reader, worked.sheets), 50)
        without = whole - alone
        rows.append((slug, alone * 1000, whole / without, warned * 1000, table * 1000, matched * 1000))
    show(
        "Fits of one form",
        ("form", "fit figures, ms", "sheet with / without", "warnings, ms", "match table, ms", "match, ms"),
        rows,
    )


if __name__ == "__main__":
    bench_fits()
