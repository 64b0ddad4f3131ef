"""The commands, as they are typed."""

import csv
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from wareboard import __version__
from wareboard.cli import command

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def demo(tmp_path):
    """A copy of the demo studio that may be spoilt."""
    shutil.copytree(ROOT / "specs", tmp_path / "demo" / "specs")
    return tmp_path / "demo"


def run(folder, *words, typed=None):
    """A command in a folder; what it printed and its exit status."""
    return CliRunner().invoke(command, ["-C", str(folder), *words], input=typed)


def spoil(folder, before, after, form="tall-beaker"):
    """Change a form's text."""
    path = folder / "specs" / "forms" / f"{form}.yaml"
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after, 1), encoding="utf-8")


# ---- check ----


def test_check_says_what_it_read(demo):
    done = run(demo, "check")
    assert done.exit_code == 0
    assert done.stdout == "9 forms, 2 clays, 3 glazes, 1 kiln, 2 runs: nothing to complain of\n"


def test_check_shows_every_error_with_its_line_and_ends_with_1(demo):
    spoil(demo, "wall: 4", "wal: 4")
    spoil(demo, "clay: millpond-buff", "clay: milpond-buff", form="tea-caddy")
    done = run(demo, "check")
    assert done.exit_code == 1
    assert (
        "specs/forms/tall-beaker.yaml:15:5: error: parts.cup: there is no key `wal` [unknown-key]\n   15 |     wal: 4\n"
        in done.stdout
    )
    assert "did you mean `wall`?" in done.stdout and "did you mean `millpond-buff`?" in done.stdout
    assert done.stdout.endswith(" errors\n")


def test_a_warning_leaves_the_exit_status_at_0(demo):
    spoil(demo, "ball: 420 g", "ball: 800 g")
    done = run(demo, "check")
    assert done.exit_code == 0 and done.stdout.endswith(": 1 warning\n")


def test_check_loads_no_pdf_engine_and_no_site_generator(demo):
    watch = "import sys; from wareboard.cli import command\ntry: command(['-C', sys.argv[1], 'check'])\nfinally: print(sorted({'weasyprint', 'mkdocs', 'jinja2', 'pypdf', 'segno', 'markdown'} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", watch, str(demo)], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_a_folder_without_specs_is_told_how_to_begin(tmp_path):
    done = run(tmp_path, "check")
    assert done.exit_code == 1 and "wareboard start DIR" in done.stdout


# ---- derive ----


def test_derive_lists_every_figure(demo):
    done = run(demo, "derive", "tea-caddy")
    assert done.exit_code == 0
    assert [line.split() for line in done.stdout.splitlines() if line.startswith("jar.rim.diameter ")][-1][:3] == [
        "jar.rim.diameter",
        "fired",
        "86",
    ]


@pytest.mark.parametrize("words", [["jar.rim.diameter wet"], ["jar.rim.diameter", "wet"]])
def test_derive_one_figure_at_one_stage(demo, words):
    done = run(demo, "derive", "tea-caddy", *words)
    assert done.stdout.split()[:2] == ["jar.rim.diameter", "wet"] and len(done.stdout.splitlines()) == 1


def test_derive_takes_a_code_or_a_path_for_the_form(demo):
    by_slug = run(demo, "derive", "tea-caddy", "ball").stdout
    assert (
        by_slug
        and by_slug
        == run(demo, "derive", "TC-2", "ball").stdout
        == run(demo, "derive", "specs/forms/tea-caddy.yaml", "ball").stdout
    )


def test_derive_why_ends_at_typed_lines(demo):
    done = run(demo, "derive", "tea-caddy", "jar.rim.diameter", "wet", "--why")
    assert done.exit_code == 0
    assert "specs/forms/tea-caddy.yaml:14\n           14 |       rim: {height: 98, diameter: 86}\n" in done.stdout
    assert "specs/clays/millpond-buff.yaml:17\n" in done.stdout


def test_every_figure_of_the_demo_goes_back_to_something_typed(demo):
    """No chain ends in a name that is neither a figure nor a line of a spec."""
    from wareboard.figures.explaining import find_figures
    from wareboard.output.working import work_out

    worked = work_out(demo)
    for slug, sheet in worked.sheets.items():
        for figure in sheet.figures:
            for name in figure.inputs:
                path, _, line = name.rpartition(":")
                typed = path in worked.texts and 0 < int(line) <= len(worked.texts[path].splitlines())
                assert typed or find_figures(sheet, name), f"{slug}: {figure.name} was worked out from {name}"


def test_derive_json_is_the_documented_one(demo):
    shown = json.loads(run(demo, "derive", "tall-beaker", "--json").stdout)
    assert list(shown) == ["format", "form", "clay", "revision", "figures", "problems"]
    assert (shown["format"], shown["form"], shown["clay"]) == (1, "tall-beaker", "millpond-buff")
    assert list(shown["figures"][0]) == [
        "key",
        "stage",
        "value",
        "unit",
        "plus_minus",
        "how",
        "inputs",
        "source",
        "given",
        "interval",
        "doubt",
    ]


def test_derive_json_has_the_forms_problems(demo):
    spoil(demo, "ball: 420 g", "ball: 800 g")
    shown = json.loads(run(demo, "derive", "tall-beaker", "--json").stdout)
    assert [list(problem) for problem in shown["problems"]] == [
        ["level", "rule", "message", "file", "line", "column", "hint"]
    ]


def test_derive_csv_has_a_row_a_figure(demo):
    rows = list(csv.DictReader(io.StringIO(run(demo, "derive", "tall-beaker", "cup.rim.diameter", "--csv").stdout)))
    assert [row["stage"] for row in rows] == ["wet", "leather-hard", "dry", "bisque", "fired"]
    assert float(rows[-1]["value"]) == 80.0


@pytest.mark.parametrize(
    "words, hint",
    [
        (["tall-beeker"], "did you mean 'tall-beaker'?"),
        (["B12"], "did you mean 'B-12'?"),
        (["tall-beaker", "cup.rim.diametre"], "did you mean 'cup.rim.diameter'?"),
        (["tall-beaker", "cup.rim.diameter", "wett"], "did you mean 'wet'?"),
        (["tall-beaker", "--why"], "which figure"),
        (["tall-beaker", "--json", "--csv"], "choose"),
    ],
)
def test_what_is_mistyped_is_asked_back_for(demo, words, hint):
    done = run(demo, "derive", *words)
    assert done.exit_code == 2 and hint in done.stderr and not done.stdout


def test_a_form_with_errors_has_no_figures_and_the_others_have(demo):
    spoil(demo, "wall: 4", "wal: 4")
    done = run(demo, "derive", "tall-beaker")
    assert done.exit_code == 1 and "unknown-key" in done.stderr and not done.stdout
    assert run(demo, "derive", "supper-plate").exit_code == 0


# ---- new, start, schema ----


def test_new_asks_and_writes_a_form_that_passes(demo):
    done = run(demo, "new", typed="Oil jar\n\njars\nquarry-brown\n120\n60\n90 mm\n")
    assert done.exit_code == 0, done.output
    text = (demo / "specs" / "forms" / "oil-jar.yaml").read_text(encoding="utf-8")
    assert "title: Oil jar\ncode: O-" in text and "rim: {height: 120, diameter: 90 mm}" in text
    assert run(demo, "check").stdout.startswith("10 forms")


def test_new_asks_again_for_what_is_no_size(demo):
    done = run(
        demo,
        "new",
        "jar",
        "--title",
        "Jar",
        "--code",
        "Q-1",
        "--family",
        "jars",
        "--clay",
        "quarry-brown",
        typed="tall\n120\n60\n90\n",
    )
    assert done.exit_code == 0 and (demo / "specs" / "forms" / "jar.yaml").exists(), done.output


def test_new_like_another_keeps_its_comments(demo):
    done = run(demo, "new", "--title", "Wide beaker", "--like", "tall-beaker")
    assert done.exit_code == 0, done.output
    text = (demo / "specs" / "forms" / "wide-beaker.yaml").read_text(encoding="utf-8")
    original = (demo / "specs" / "forms" / "tall-beaker.yaml").read_text(encoding="utf-8")
    assert next(line for line in text.splitlines() if line not in original.splitlines()) == "title: Wide beaker"
    assert len(text.splitlines()) == len(original.splitlines())
    assert run(demo, "check").exit_code == 0


def test_new_never_writes_over_a_form(demo):
    before = (demo / "specs" / "forms" / "tall-beaker.yaml").read_bytes()
    done = run(demo, "new", "tall-beaker", "--title", "Other", "--like", "tea-caddy")
    assert done.exit_code == 1 and "is there already" in done.stderr
    assert (demo / "specs" / "forms" / "tall-beaker.yaml").read_bytes() == before


def test_new_writes_nothing_that_would_not_pass(demo):
    done = run(demo, "new", "pot", "--title", "Pot", "--code", "B-12", "--like", "tea-caddy")
    assert done.exit_code == 1 and "B-12" in done.stderr and "error:" in done.stderr
    assert not (demo / "specs" / "forms" / "pot.yaml").exists()
    done = run(demo, "new", "../../pot", "--title", "Pot", "--like", "tea-caddy")
    assert done.exit_code == 2 and not (demo.parent / "pot.yaml").exists()


def test_start_makes_a_folder_that_passes(tmp_path):
    done = run(tmp_path, "start", str(tmp_path / "pots"))
    assert done.exit_code == 0 and "wareboard build" in done.stdout
    assert run(tmp_path / "pots", "check").exit_code == 0
    again = run(tmp_path, "start", str(tmp_path / "pots"))
    assert again.exit_code == 1 and "not empty" in again.stderr


def test_schema_writes_one_for_each_kind(demo):
    shutil.rmtree(demo / "specs" / ".schema", ignore_errors=True)
    assert run(demo, "schema").exit_code == 0
    assert sorted(path.name for path in (demo / "specs" / ".schema").iterdir()) == [
        f"{kind}.schema.json" for kind in ("clay", "form", "glaze", "kiln", "order", "run", "studio")
    ]


# ---- the rest ----


def test_a_mistyped_command_is_asked_back_for():
    done = CliRunner().invoke(command, ["chek"])
    assert done.exit_code == 2 and "did you mean 'check'?" in done.stderr


def test_the_version():
    assert CliRunner().invoke(command, ["--version"]).stdout == f"wareboard, version {__version__}\n"


def test_every_command_and_option_is_explained():
    for name, one in command.commands.items():
        assert one.help and len(one.help.splitlines()[0]) > 20, name
        for option in one.params:
            assert option.param_type_name == "argument" or option.help, f"{name} {option.name}"


def test_the_module_is_the_command():
    done = subprocess.run(
        [sys.executable, "-m", "wareboard", "--version"], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert done.stdout.startswith("wareboard, version")


def test_a_terminal_that_has_no_such_character_still_shows_the_rest(demo):
    plain = {**os.environ, "PYTHONIOENCODING": "cp1252"}
    done = subprocess.run(
        [sys.executable, "-m", "wareboard", "-C", str(demo), "derive", "tea-caddy", "jar.rim.diameter wet", "--why"],
        capture_output=True,
        cwd=ROOT,
        env=plain,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"jar.rim.diameter wet = 97.755 mm" in done.stdout
