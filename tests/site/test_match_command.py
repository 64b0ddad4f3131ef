"""`wareboard match`, as it is typed."""

import json
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner
from wareboard.cli import command

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.usefixtures("worked_once")


def run(*words):
    return CliRunner().invoke(command, ["-C", str(ROOT), "match", *words])


def test_two_weights_and_what_to_do():
    done = run("tea-caddy", "jar=490g", "lid=129g")
    assert done.exit_code == 0 and not done.stderr
    assert done.stdout.startswith("LET THE JAR DRY FIRST,\n")


def test_two_sizes_and_the_first_line_says_what_to_trim_to():
    done = run("tea-caddy", "jar.mouth=84.9", "lid.flange=85.4")
    assert done.exit_code == 0 and done.stdout.startswith("TRIM THE FLANGE TO 83.5 mm (")
    shown = json.loads(run("tea-caddy", "jar.mouth=87.5>84.9", "lid=133g", "--json").stdout)
    assert (shown["inside"]["by"], shown["outside"]["by"]) == ("calipers", "weight")


def test_the_form_may_be_called_by_its_code():
    assert run("TC-2", "jar=490g", "lid=129g").stdout == run("tea-caddy", "jar=490g", "lid=129g").stdout


def test_as_json():
    done = run("tea-caddy", "jar=520g>490g", "lid=7 1/2 oz", "--json")
    assert done.exit_code == 1  # 7 1/2 oz is more than the lid was thrown at
    shown = json.loads(run("tea-caddy", "jar=520g>490g", "lid=4 1/4 oz", "clearance=1/16 in", "--json").stdout)
    assert (shown["form"], shown["fit"], shown["inside"]["name"], shown["outside"]["name"]) == (
        "tea-caddy",
        "lid",
        "jar",
        "lid",
    )
    assert shown["inside"]["thrown_g"] == 520 and shown["inside"]["thrown_from"] == "weighed"
    assert shown["clearance"]["now_mm"] == 25.4 / 16 and shown["clearance"]["measured"]


def test_other_water():
    done = run("tea-caddy", "--water", "jar=21%", "lid=23%")
    assert done.exit_code == 0
    assert "lid thrown with 23.0 % water, usually 21.5 %" in done.stdout
    shown = json.loads(run("tea-caddy", "--water", "lid=23%", "--json").stdout)
    assert shown["outside"]["water_share"] == 0.23 and shown["inside"]["water_share"] == 0.215


def test_without_weights_the_table():
    done = run("tea-caddy")
    assert done.exit_code == 0 and "b binds, r rattles" in done.stdout
    shown = json.loads(run("tea-caddy", "--json").stdout)
    assert len(shown["rows"]) == len(shown["columns"]) == 5
    assert {cell["state"] for row in shown["rows"] for cell in row["cells"]} == {"binds", "ok", "rattles"}


def test_a_beaker_in_the_next_size_up():
    done = run("short-beaker", "cup=215g", "tall-beaker/cup=373g")
    assert done.exit_code == 0 and done.stdout.startswith("TRIM THE NEST TO ")


@pytest.mark.parametrize(
    "words, code, said",
    [
        (("tea-caddi", "jar=1g"), 2, "did you mean 'tea-caddy'?"),
        (
            ("tea-caddy", "jr=490g", "lid=119"),
            2,
            "Error: jr=490g: Tea caddy has no part `jr`\n   hint: did you mean `jar`?\nError: lid=119: '119' has no unit",
        ),
        (("tea-caddy", "jar=474g", "lid=133g", "clearance=-1mm"), 1, "Error: clearance=-1mm:"),
        (("tall-beaker", "cup=390g"), 1, "Error: Tall beaker has no fit, so there is nothing to match"),
        (
            ("tea-caddy", "--fit", "lids"),
            2,
            "Error: --fit lids: Tea caddy has no such fit\n   hint: did you mean `lid`?",
        ),
        (("tea-caddy", "--water"), 2, "Error: give the water of the jar or lid"),
        (("tea-caddy", "--water", "jar=1%"), 1, "Error: jar=1%: at 1.0% water this clay is already past leather-hard"),
    ],
)
def test_what_is_wrong_is_said_and_ends_the_command(words, code, said):
    done = run(*words)
    assert done.exit_code == code
    assert said in done.stderr and not done.stdout
    assert "Traceback" not in done.stderr


def test_help_reads_like_the_manual():
    said = run("--help").stdout
    examples = [shlex.split(line) for line in said.splitlines() if line.strip().startswith("wareboard match")]
    assert len(examples) == 6
    for _, _, *words in examples:
        assert run(*words).exit_code == 0, words
    assert "match" in CliRunner().invoke(command, ["--help"]).stdout
