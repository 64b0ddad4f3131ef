"""The commands, as they are typed."""

import csv
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from wareboard import __version__
from wareboard.cli import PLACES, command
from wareboard.commands.shared import to_be_typed

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def demo(tmp_path, drawn_once):
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
    assert done.stdout == "12 forms, 2 clays, 3 glazes, 1 kiln, 2 runs, 2 orders: nothing to complain of\n"


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


def test_derive_raw_lists_every_figure_unrounded(demo):
    done = run(demo, "derive", "tea-caddy", "--raw")
    assert done.exit_code == 0
    assert [line.split() for line in done.stdout.splitlines() if line.startswith("jar.rim.diameter ")][-1][:3] == [
        "jar.rim.diameter",
        "fired",
        "86",
    ]


def line_of(done, key):
    return next(line.split() for line in done.stdout.splitlines() if line.split()[:1] == [key])


def test_derive_is_a_table_with_a_column_a_stage_in_the_studios_steps(demo):
    done = run(demo, "derive", "tea-caddy")
    assert done.exit_code == 0, done.output
    assert done.stdout.split()[:5] == ["wet", "leather-hard", "dry", "bisque", "fired"]
    key, *sizes, unit = line_of(done, "jar.rim.diameter")
    assert len(sizes) == 5 and sizes[0] == "98.0" and sizes[-1] == "86.2" and unit == "mm"
    assert float(sizes[0]) * 2 == int(float(sizes[0]) * 2)
    key, ball, unit = line_of(done, "jar.ball")
    assert unit == "g" and int(ball) % 5 == 0
    heads = done.stdout.splitlines()[0]
    for row in done.stdout.splitlines()[1:]:
        assert len(row) <= len(heads) + 12


def test_derive_one_part_one_stage(demo):
    done = run(demo, "derive", "tea-caddy", "LID", "wet")
    keys = [line.split()[0] for line in done.stdout.splitlines()[1:]]
    assert keys and all(key.startswith("lid.") for key in keys)
    assert done.stdout.split()[0] == "wet"
    fired = run(demo, "derive", "tea-caddy", "fired").stdout
    assert fired.split()[0] == "fired" and "jar.rim.diameter" in fired and "lid.flange" in fired
    fits = run(demo, "derive", "tea-caddy", "fit.lid").stdout
    assert all(line.startswith("fit.lid.") for line in fits.splitlines()[1:])


def test_derive_speaks_inches_where_the_studio_does(demo):
    path = demo / "specs" / "studio.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("units: metric first", "units: imperial first"), encoding="utf-8"
    )
    done = run(demo, "derive", "tea-caddy", "jar", "fired")
    assert line_of(done, "jar.rim.diameter")[-1] == "in"
    least, most = (
        line_of(run(demo, "derive", "tea-caddy", "lid.trim"), f"lid.trim.{end}")[1] for end in ("least", "most")
    )
    assert (least, most) == ("4¹³⁄₁₆", "4⅞")


def test_derive_reads_only_what_the_form_needs(demo, monkeypatch):
    from wareboard.output import folder

    read = []
    original = folder._read_text
    monkeypatch.setattr(
        folder, "_read_text", lambda root, path, entry, memory: read.append(path) or original(root, path, entry, memory)
    )
    done = run(demo, "derive", "short-beaker", "--json")
    assert done.exit_code == 0, done.output
    forms = [path for path in read if "/forms/" in path]
    assert forms == ["specs/forms/short-beaker.yaml", "specs/forms/tall-beaker.yaml"]
    assert not [path for path in read if "/runs/" in path]


def test_derive_of_one_form_says_what_the_whole_studio_would(demo):
    from wareboard.output.working import work_out, work_out_some

    whole = work_out(demo)
    for slug, sheet in whole.sheets.items():
        assert work_out_some(demo, [slug]).sheets[slug].as_json() == sheet.as_json(), slug


def test_a_fault_in_another_form_does_not_matter(demo):
    spoil(demo, "wall: 4", "wal: 4")
    assert run(demo, "derive", "tea-caddy", "--json").exit_code == 0
    assert run(demo, "check", "tea-caddy").exit_code == 0
    assert run(demo, "check", "tall-beaker").exit_code == 1


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
    assert "specs/clays/millpond-buff.yaml:20\n" in done.stdout


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
        (["tall-beaker", "cap"], "did you mean 'cup'?"),
        (["tall-beaker", "cup", "firing"], "'firing' is no stage; they are wet, leather-hard, dry, bisque and fired"),
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
    forms = len(list((demo / "specs" / "forms").glob("*.yaml")))
    assert run(demo, "check").stdout.startswith(f"{forms} forms")


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


def test_new_says_that_nobody_answers_it(demo):
    done = run(demo, "new", typed="")
    assert done.exit_code == 1 and "nobody answers here" in done.stderr and "Aborted" not in done.stderr


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


def test_what_to_type_next_is_found_by_the_shell(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PATH", str(tmp_path))
    placed = tmp_path / "bin" / "wareboard"
    for called, there, typed in (
        (placed, False, f"{placed} check"),
        (placed, True, "wareboard check"),
        (tmp_path / "wareboard" / "__main__.py", False, f"{sys.executable} -m wareboard check"),
    ):
        monkeypatch.setattr(sys, "argv", [str(called)])
        monkeypatch.setattr("shutil.which", lambda name, there=there: name if there else None)
        assert to_be_typed("check", tmp_path) == typed
    assert to_be_typed("check", tmp_path / "my pots").endswith(f"-m wareboard -C '{tmp_path}/my pots' check")


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
    for name in PLACES:
        one = command.get_command(click.Context(command), name)
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


# ---- finding, listing, telling ----


def test_the_folder_is_found_from_anywhere_inside_it(demo, monkeypatch):
    monkeypatch.chdir(demo / "specs" / "forms")
    done = CliRunner().invoke(command, ["check"])
    assert done.exit_code == 0 and " forms, " in done.stdout
    assert run(demo / "specs" / "clays", "derive", "tea-caddy", "ball").exit_code == 0


def test_a_folder_without_specs_says_so(tmp_path):
    done = run(tmp_path, "check")
    assert done.exit_code == 1 and "there is no specs/studio.yaml here" in done.stdout


def test_check_of_some_forms(demo):
    spoil(demo, "wall: 4", "wal: 4")
    spoil(demo, "ball: 420 g", "ball: 800 g")
    done = run(demo, "check", "B-12")
    assert done.exit_code == 1 and "unknown-key" in done.stdout and "tea-caddy" not in done.stdout
    assert done.stdout.endswith("1 form: 1 error\n")
    missing = run(demo, "check", "tall-beeker")
    assert missing.exit_code == 2 and "did you mean 'tall-beaker'?" in missing.stderr


def test_check_json(demo):
    assert json.loads(run(demo, "check", "--json").stdout) == {"format": 1, "errors": 0, "warnings": 0, "problems": []}
    spoil(demo, "ball: 420 g", "ball: 800 g")
    told = json.loads(run(demo, "check", "--json").stdout)
    assert (told["errors"], told["warnings"]) == (0, 1)
    assert list(told["problems"][0]) == ["level", "rule", "message", "file", "line", "column", "hint"]


def test_check_strict_counts_warnings(demo):
    assert run(demo, "check", "--strict").exit_code == 0
    spoil(demo, "ball: 420 g", "ball: 800 g")
    assert run(demo, "check").exit_code == 0
    assert run(demo, "check", "--strict").exit_code == 1


def test_check_watch_checks_again_when_something_is_saved(demo, monkeypatch):
    from wareboard.commands import check_command

    looks = []

    def wait(seconds):
        looks.append(seconds)
        if len(looks) == 2:
            spoil(demo, "ball: 420 g", "ball: 800 g")
        if len(looks) == 4:
            raise KeyboardInterrupt

    monkeypatch.setattr(check_command.time, "sleep", wait)
    done = run(demo, "check", "--watch")
    assert done.exit_code == 0
    assert done.stdout.count(" forms, ") == 2
    assert done.stdout.index("nothing to complain of") < done.stdout.index("ball-differs")


def test_many_problems_are_counted(demo):
    (demo / "specs" / "forms" / "wild.yaml").write_text(
        "title: W\nclay: millpond-buff\n" + "".join(f"k{n}: 1\n" for n in range(500))
    )
    (demo / "specs" / "forms" / "wilder.yaml").write_text(
        "title: V\nclay: millpond-buff\n" + "".join(f"k{n}: 1\n" for n in range(500))
    )
    done = run(demo, "check")
    assert done.stdout.count("error:") == 200
    assert "… and 202 more; mend these first" in done.stdout


def test_list(demo):
    done = run(demo, "list")
    assert done.exit_code == 0, done.output
    assert line_of(done, "tall-beaker")[1:3] == ["B-12", "millpond-buff"] and "355 ml" in done.stdout
    assert line_of(done, "millpond-buff")[-1] == "buff"
    assert [line.split()[0] for line in run(demo, "list", "glazes").stdout.splitlines()] == [
        "GLAZE",
        "lichen-satin",
        "oat-liner",
        "tarn-blue",
    ]
    assert "did you mean 'clays'?" in run(demo, "list", "clay").stderr


def test_list_shows_a_form_with_errors(demo):
    spoil(demo, "wall: 4", "wal: 4")
    assert "has errors" in run(demo, "list", "forms").stdout


def test_explain_tells_what_a_rule_means(tmp_path):
    done = run(tmp_path, "explain", "[thin-wall]")
    assert done.exit_code == 0 and "thinner than the studio's" in done.stdout
    assert "fit-binds" in run(tmp_path, "explain").stdout
    assert "did you mean 'thin-wall'?" in run(tmp_path, "explain", "thin-wal").stderr


def test_the_reference_needs_no_build_and_names_every_key(tmp_path):
    from wareboard.commands import reference_text

    whole = run(tmp_path, "reference").stdout
    assert "400 stations" in whole and "50 parts" in whole and "200 lines" in whole and "1 MB" in whole
    form = run(tmp_path, "reference", "form").stdout
    assert all(f"{entry.name}:" in form for entry in reference_text.entries("form"))
    assert "difference of the two diameters" in run(tmp_path, "reference", "clearance").stdout
    assert "parts.<part>.throwing.left_on.wall" in run(tmp_path, "reference", "left_on.wall").stdout
    assert "did you mean 'clearance'?" in run(tmp_path, "reference", "clearence").stderr


def completed(folder, words, last, monkeypatch):
    from click.shell_completion import ShellComplete

    monkeypatch.chdir(folder)
    return [
        item.value
        for item in ShellComplete(command, {}, "wareboard", "_WAREBOARD_COMPLETE").get_completions(words, last)
    ]


def test_the_shell_completes_forms_keys_parts_and_rules(demo, monkeypatch):
    def complete(*words):
        return completed(demo, list(words[:-1]), words[-1], monkeypatch)

    assert complete("der") == ["derive"]
    assert complete("derive", "t") == ["tall-beaker", "tea-caddy"]
    assert complete("derive", "TC") == ["TC-2"]
    assert complete("derive", "tea-caddy", "li")[0] == "lid"
    assert "jar.rim.diameter" in complete("derive", "tea-caddy", "jar.rim")
    assert complete("derive", "tea-caddy", "jar.rim.diameter", "l") == ["leather-hard"]
    assert "thin-wall" in complete("explain", "thin")
    assert "clearance" in complete("reference", "clear")
    assert complete("check", "sup") == ["supper-plate"]
    assert complete("match", "tea-caddy", "l") == ["lid="]
    assert complete("cards", "tea") == ["tea-caddy"]
    assert complete("plan", "harbour") == ["harbour-shop-may"]
    assert complete("cards", "--kind", "wheel,tr") == ["wheel,trimming"] and "bench" in complete("cards", "--kind", "")
    assert complete("cards", "--paper", "A6,A") == ["A6,A6", "A6,A5", "A6,A4"]
    assert complete("derive", "tea-caddy", "--clay", "q") == ["quarry-brown"]
    assert complete("tally", "harbour-shop-may", "tea-caddy", "d") == ["dried"]


def test_help_reads_like_a_manual():
    said = CliRunner().invoke(command, ["--help"]).stdout
    for name in PLACES:
        assert f"\n  {name} " in said, name
    assert said.index("All day") < said.index("Site and cards") < said.index("A first hour")


@pytest.mark.parametrize(
    "words",
    [
        ["derive", "tea-caddy"],
        ["check"],
        ["derive", "tea-caddy", "jar.rim.diameter wet", "--why"],
        ["--help"],
        ["reference"],
        ["list"],
    ],
)
def test_an_ascii_terminal_still_shows_it(demo, words):
    plain = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run(
        [sys.executable, "-m", "wareboard", "-C", str(demo), *words],
        capture_output=True,
        cwd=ROOT,
        env=plain,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.decode("ascii") and b"?" not in done.stdout.replace(b"did you mean", b"")


@pytest.mark.parametrize("name", ["\x1b[2Jtea", "te\u202ea"])
def test_what_is_typed_cannot_steer_the_terminal(demo, name):
    for words in (["derive", name], ["check", name], ["list", name], ["explain", name], ["reference", name], [name]):
        done = run(demo, *words)
        assert done.exit_code == 2 and "\x1b" not in done.stderr and "\u202e" not in done.stderr, words


def test_new_quotes_what_it_writes(demo):
    done = run(
        demo,
        "new",
        "jar-3",
        "--title",
        "Jar #3",
        "--code",
        "Q-1",
        "--family",
        "yes",
        "--clay",
        "quarry-brown",
        "--height",
        "120",
        "--foot",
        "60",
        "--rim",
        "90",
    )
    assert done.exit_code == 0, done.output
    assert "title: 'Jar #3'\n" in (demo / "specs/forms/jar-3.yaml").read_text(encoding="utf-8")
    again = run(demo, "new", "jar-4", "--title", "Jar #4", "--code", "Q-2", "--like", "jar-3")
    assert again.exit_code == 0, again.output
    assert "title: 'Jar #4'\n" in (demo / "specs/forms/jar-4.yaml").read_text(encoding="utf-8")
    assert run(demo, "check", "--strict").exit_code == 0


def test_a_file_that_cannot_be_read_is_a_message(demo):
    path = demo / "specs" / "forms" / "tall-beaker.yaml"
    path.unlink()
    path.mkdir()
    done = run(demo, "check")
    assert done.exit_code in (0, 1) and not isinstance(done.exception, OSError)
    (demo / "specs" / "forms" / "odd.yaml").symlink_to("/nowhere/at/all.yaml")
    assert "odd.yaml" in run(demo, "check").stdout


OUTPUTS = [("plan", "two", "--sheet"), ("plan", "two", "--ics"), ("pack", "first-beaker", "-o"), ("gauges", "first-beaker", "-o")]  # fmt: skip


def test_no_output_takes_the_place_of_what_was_not_made_here(tmp_path):
    shutil.copytree(ROOT / "site_templates" / "start" / "specs", tmp_path / "specs")
    order = "title: Two\ndue: 2099-05-10\nlines:\n  - {form: first-beaker, sets: 2}\n"
    for place, content in {
        "specs/orders/two.yaml": order, "elsewhere.pdf": "%PDF-1.4 a thesis", "ribs/first-beaker-cup-thrown.stl": "by hand",
    }.items():  # fmt: skip
        (tmp_path / place).parent.mkdir(exist_ok=True)
        (tmp_path / place).write_text(content)
    (tmp_path / "link.pdf").symlink_to(tmp_path / "elsewhere.pdf")
    os.mkfifo(tmp_path / "pipe")

    def stands():
        return {path: path.read_bytes() if path.is_file() else path.is_dir() for path in tmp_path.rglob("*")}

    assert run(tmp_path, "check").exit_code == 0
    before = stands()
    for words in OUTPUTS:
        single = ["specs/forms/first-beaker.yaml", "elsewhere.pdf", "link.pdf", "pipe", ".wareboard/lock", ""]
        for place in ["specs/forms", "ribs"] if words[0] == "gauges" else single:
            done = run(tmp_path, *words, str(tmp_path / place) if place else "")
            assert isinstance(done.exception, SystemExit) and done.exit_code in (1, 2), (words, place, done.output)
            assert stands() == before, (words, place)
