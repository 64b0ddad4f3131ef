"""`wareboard plan`, `tally` and `stock`, as they are typed: one invented week, and everything that can't be."""

import datetime
import itertools
import json
import os
import shutil
from pathlib import Path

import icalendar
import pytest
from click.testing import CliRunner
from wareboard.cards import engine
from wareboard.cli import command

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.usefixtures("worked_once")
ORDER = "specs/orders/harbour-shop-may.yaml"


@pytest.fixture
def studio(tmp_path):
    """The demo studio's specs, to be written to; the day is one on which nothing is late."""
    shutil.copytree(ROOT / "specs", tmp_path / "specs", ignore=shutil.ignore_patterns(".revisions", ".schema"))
    return tmp_path


def run(where, *words, day="1790000000"):
    """A command on 21 September 2026."""
    return CliRunner().invoke(command, ["-C", str(where), *words], env={"SOURCE_DATE_EPOCH": day})


def plan(*words, where=ROOT, **more):
    return run(where, "plan", *words, **more)


def test_a_plan_in_words_begins_with_what_to_throw():
    done = plan("harbour-shop-may")
    assert done.exit_code == 0 and not done.stderr
    head = done.stdout.splitlines()[:7]
    assert head[0] == "Harbour shop, May" and head[1] == "Due Fri 14 May 2027."
    assert head[2] == "Enough of each form come out 95 % of the time; of all 3 together 87 %."
    jar = json.loads(run(ROOT, "derive", "tea-caddy", "jar.ball.set", "--json").stdout)["figures"][0]["value"]
    assert head[4:6] == ["Throw", "  Tea caddy TC-2: 24 sets, Lichen satin"]
    assert f"34 × jar at {jar:g} g (1 lb " in head[6]
    for words in (
        "35 × lid for 34 × jar; 96 % that 24 or more come out",
        "blend to 21.5 %:",
        "Boards: 11",
        "Bisque firing, Front-loader: 2 loads",
        "Days",
        "Cost (private)",
    ):
        assert words in done.stdout, words
    assert max(map(len, done.stdout.splitlines())) <= 86


def test_json_is_the_same_plan_and_alone_all_open_orders_are_planned():
    shown = json.loads(plan("harbour-shop-may", "--json").stdout)
    assert shown["lines"][0]["throw"] == {"jar": 34, "lid": 35} and shown["problems"] == []
    assert json.loads(plan("--json").stdout)["lines"] == shown["lines"]  # the other order has been sent


def test_a_form_by_itself_by_name_or_code():
    one, other = plan("--form", "tea-caddy", "--sets", "24", "--json"), plan("--form", "TC-2", "--sets", "24", "--json")
    assert one.exit_code == 0 and one.stdout == other.stdout
    shown = json.loads(one.stdout)
    assert shown["order"] is None and shown["days"] == [] and shown["lines"][0]["throw"] == {"jar": 34, "lid": 35}
    two = json.loads(
        plan("--form", "tea-caddy", "--sets", "24", "--form", "tall-beaker", "--sets", "6", "--json").stdout
    )
    assert [line["sets"] for line in two["lines"]] == [24, 6]


def test_how_sure_it_is_to_be():
    shown = json.loads(plan("--form", "tea-caddy", "--sets", "24", "--confidence", "99%", "--json").stdout)
    assert shown["confidence"] == 0.99 and shown["lines"][0]["throw"] == {"jar": 36, "lid": 38}


def test_a_bucket():
    done = plan("harbour-shop-may", "--bucket", "lichen-satin=8l@1.52")
    assert "8.0 l at 1.52: add 1.2 l of water, then 9.2 l; enough for the run" in done.stdout
    alone = plan("--form", "tea-caddy", "--sets", "24", "--bucket", "8l@1.38", "--json")
    bucket = json.loads(alone.stdout)["glaze"][0]["bucket"]
    assert bucket["add_water_l"] == 0 and bucket["add_dry_kg"] > 1.0


def test_stock_and_a_plan_that_uses_it():
    shown = json.loads(run(ROOT, "stock", "--json").stdout)["stock"]
    assert {entry["form"]: entry["sets"] for entry in shown} == {"cup-and-saucer": 0, "tall-beaker": 2}
    assert "yard-shelf-spring: 14 good, 12 wanted, 2 over" in run(ROOT, "stock").stdout
    used = plan("harbour-shop-may", "--use-stock")
    assert "36 sets, 2 from stock" in used.stdout and "Write `from_stock: 2` into the order's line" in used.stdout


def test_the_days_as_a_calendar_that_calendars_read(tmp_path):
    done = plan("harbour-shop-may", "--ics", str(tmp_path / "run.ics"))
    assert done.exit_code == 0
    content = (tmp_path / "run.ics").read_bytes()
    assert b"\r\n" in content and all(len(line) <= 75 for line in content.split(b"\r\n"))  # RFC 5545, 3.1
    events = [part for part in icalendar.Calendar.from_ical(content).walk() if part.name == "VEVENT"]
    assert [str(event["summary"]) for event in events][-1] == "Harbour shop, May: wanted"
    assert events[-1].decoded("dtstart") == datetime.date(2027, 5, 14)
    for before, after in itertools.pairwise(events):
        assert before.decoded("dtend") == after.decoded("dtstart")
    assert len({str(event["uid"]) for event in events}) == len(events)


def test_the_run_sheet_is_a_pdf_with_its_numbers(tmp_path):
    try:
        engine.check_engine()
    except engine.CardsUnavailable as fault:
        pytest.skip(str(fault))
    from tests.printed import pages_of

    for paper, size in (("A4", (595, 842)), ("letter", (612, 792))):
        done = plan("harbour-shop-may", "--sheet", str(tmp_path / f"{paper}.pdf"), "--paper", paper)
        assert done.exit_code == 0, done.output
        pages = pages_of((tmp_path / f"{paper}.pdf").read_bytes())
        assert (round(pages[0].width), round(pages[0].height)) == size
        text = "\n".join(page.text for page in pages)
        assert len(pages) <= 5
        for words in (
            "34 jar",
            "35 lid",
            "Pointer up",
            "trimmed",
            "Bisque firing",
            "Load 1",
            "wanted",
            "Take care",
        ):
            assert words in text, words
        assert "GBP" not in text and "a good set" not in text


# ---- an invented week ----


def test_one_invented_week(studio):
    """Monday's weighing to Saturday's unpacking with nothing but the commands; every number is asked for and told."""
    (studio / "specs/orders/week.yaml").write_text(
        "# Ours\ntitle: One week\ndue: 2026-09-27\nlines:\n  - {form: tea-caddy, sets: 6}   # for the fair\n",
        encoding="utf-8",
    )
    settings = studio / "specs/studio.yaml"
    settings.write_text(
        settings.read_text(encoding="utf-8").replace(
            "days: {drying: 5, bisque: 2, glaze: 2, spare: 2, hours: 6 h}",
            "days: {throwing: 1, trimming: 1, drying: 1, bisque: 1, glazing: 1, glaze: 1, spare: 0}",
        ),
        encoding="utf-8",
    )
    monday = plan("week", where=studio)
    assert (
        monday.exit_code == 0
        and "Mon 21 September 2026: throw" in monday.stdout
        and "Sat 26 September 2026: glaze firing" in monday.stdout
    )
    throw = json.loads(plan("week", "--json", where=studio).stdout)["lines"][0]["throw"]
    tally = lambda *words: run(studio, "tally", "week", "TC-2", *words)
    done = tally("thrown", *(f"{part}={count}" for part, count in throw.items()))
    assert "nothing more to throw" in done.stdout, done.output
    done = tally("trimmed", f"jar={throw['jar'] - 3}", f"lid={throw['lid'] - 2}")
    assert "more, then 9" in done.stdout and "throw " in done.stdout  # two jars fell: what to throw tomorrow
    more = json.loads(plan("week", "--json", where=studio).stdout)["tally"][0]["throw"]
    done = tally("thrown", *(f"{part}={max(1, count)}" for part, count in more.items()), "--new")
    assert "nothing more to throw" in done.stdout
    done = tally("trimmed", *(f"{part}={max(1, count)}" for part, count in more.items()))
    assert done.exit_code == 0
    for stage in ("dried", "bisque", "fired"):
        done = tally(stage, "jar=6", "lid=6", "--batch", "1")
        assert done.exit_code == 0, done.output
    assert tally("fired", "jar=2", "lid=2", "--seconds", "1").exit_code == 1  # never more than were trimmed
    done = tally("fired", "jar=1", "lid=1")
    assert "7 good sets out of the kiln; 100 % that 6 come out" in done.stdout
    assert {entry["form"]: entry["sets"] for entry in json.loads(run(studio, "stock", "--json").stdout)["stock"]}[
        "tea-caddy"
    ] == 1
    text = (studio / "specs/orders/week.yaml").read_text(encoding="utf-8")
    assert text.startswith("# Ours\ntitle: One week\n") and "   # for the fair\n" in text
    assert run(studio, "check").stdout.endswith("nothing to complain of\n")


def test_a_tally_keeps_the_files_bytes_but_for_the_count(studio):
    path = studio / ORDER
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    path.chmod(0o640)
    before = path.read_bytes()
    done = run(studio, "tally", "harbour-shop-may", "tall-beaker", "thrown", "cup=45")
    assert done.exit_code == 0, done.output
    after = path.read_bytes()
    assert after == before + b"  - {form: tall-beaker, thrown: {cup: 45}}\r\n"
    assert path.stat().st_mode & 0o777 == 0o640
    assert not [name for name in os.listdir(path.parent) if name.startswith(".")]


def test_a_tally_far_over_what_is_wanted_is_written_and_said_once(studio):
    """As it was: 3,400 jars for 24 sets without a word."""
    done = run(studio, "tally", "harbour-shop-may", "tea-caddy", "thrown", "jar=3400", "lid=35")
    assert (
        done.exit_code == 0
        and "3400 of jar, for 24 sets [tally-far-over]" in done.stderr
        and "was it 34?" in done.stderr
    )
    again = run(studio, "tally", "harbour-shop-may", "tea-caddy", "trimmed", "jar=31", "lid=33")
    assert again.exit_code == 0 and not again.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("harbour-shop-may", "tea-caddy", "trimmed", "jar=99"), "99 of jar, and only 34 were thrown"),
        (("harbour-shop-may", "tea-caddy", "trimmed", "jug=9"), "there is no part `jug`"),
        (("harbour-shop-may", "footed-bowl", "thrown", "bowl=9"), "`footed-bowl` is not in the order's lines"),
        (("harbour-shop-may", "tea-caddy", "trimed", "jar=9"), "did you mean 'trimmed'?"),
        (("harbour-shop-may", "tea-caddy", "trimmed", "jar"), "write it like jar=26"),
        (("harbour-shop-may", "tea-caddy", "trimmed", "jar=-3"), "it is a whole number"),
        (("harbour-shop-may", "tea-caddy", "trimmed", "jar=3", "jar=4"), "counted twice"),
        (("harbour-shop-may", "tea-caddy", "trimmed"), "what was counted?"),
        (("harbour-shop-may", "tea-caddy"), "at which stage?"),
        (("harbour-shop-june", "tea-caddy", "trimmed", "jar=3"), "did you mean 'harbour-shop-may'?"),
        (("harbour-shop-may", "tea-cady", "trimmed", "jar=3"), "did you mean 'tea-caddy'?"),
        (("harbour-shop-may", "tea-caddy", "trimmed", "jar=3", "--batch", "4"), "there is no batch 4 of tea-caddy"),
    ],
)
def test_a_tally_that_cannot_be_writes_nothing(studio, words, said):
    before = (studio / ORDER).read_bytes()
    done = run(studio, "tally", *words)
    assert done.exit_code in (1, 2) and said in done.output, done.output
    assert "Traceback" not in done.output
    assert (studio / ORDER).read_bytes() == before


def test_a_tally_is_not_written_over_what_somebody_else_wrote(studio, monkeypatch):
    from wareboard.output import files, overwriting

    path = studio / ORDER
    known = path.read_text(encoding="utf-8")
    path.write_text(known + "# meanwhile\n", encoding="utf-8")
    with pytest.raises(files.FolderError, match="changed in the meantime"):
        overwriting.rewrite_spec(studio, ORDER, known, known + "x: 1\n", "a test")
    assert path.read_text(encoding="utf-8").endswith("# meanwhile\n")

    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files, "_write", full)
    before = path.read_bytes()
    done = run(studio, "tally", "harbour-shop-may", "tall-beaker", "thrown", "cup=45")
    assert done.exit_code != 0 and path.read_bytes() == before


# ---- what can't be ----


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("harbour-shop-june",), "did you mean 'harbour-shop-may'?"),
        (("--form", "tea-caddy"), "each --form wants its --sets"),
        (("--form", "tea-caddy", "--sets", "0"), "a whole number from 1 to 10000"),
        (("--form", "tea-caddy", "--sets", "many"), "a whole number from 1 to 10000"),
        (("--form", "tea-caddy", "--sets", "99999"), "a whole number from 1 to 10000"),
        (("--form", "tea-cady", "--sets", "3"), "did you mean 'tea-caddy'?"),
        (("harbour-shop-may", "--form", "tea-caddy", "--sets", "3"), "not both"),
        (("harbour-shop-may", "--bucket", "8l@1.52"), "of which glaze?"),
        (("harbour-shop-may", "--bucket", "lichen-satn=8l@1.52"), "did you mean 'lichen-satin'?"),
        (("harbour-shop-may", "--bucket", "lichen-satin=8l"), "write it like 8l@1.52"),
        (("harbour-shop-may", "--bucket", "lichen-satin=8l@0.9"), "cannot be"),
        (("harbour-shop-may", "--bucket", "lichen-satin=8kg@1.5"), "8kg"),
        (("harbour-shop-may", "--confidence", "100%"), "from 50 % to 99.99 %"),
        (("--form", "tea-caddy", "--sets", "3", "--ics", "x.ics"), "there are no days"),
        (("harbour-shop-may", "--sheet", "x.pdf", "--paper", "A7"), "there is no run sheet on A7"),
    ],
)
def test_a_plan_that_cannot_be_says_why(words, said):
    done = plan(*words)
    assert done.exit_code in (1, 2) and said in done.output, done.output
    assert "Traceback" not in done.output and not Path("x.ics").exists()


def test_a_day_that_has_passed_is_told_and_all_is_planned():
    done = plan("harbour-shop-may", day="1830000000")
    assert "was due on 2027-05-14; that day has passed [due-passed]" in done.stderr
    assert done.exit_code == 0 and "34 × jar" in done.stdout
    assert [
        problem["rule"]
        for problem in json.loads(plan("harbour-shop-may", "--json", day="1830000000").stdout)["problems"]
    ] == ["due-passed"]


def test_a_bad_line_is_told_at_its_place_and_the_rest_is_planned(studio):
    path = studio / ORDER
    path.write_text(
        path.read_text(encoding="utf-8").replace("{form: tall-beaker, sets: 36,", "{form: tall-beeker, sets: 0,"),
        encoding="utf-8",
    )
    done = plan("harbour-shop-may", where=studio)
    assert (
        done.exit_code == 1
        and f"{ORDER}:8:" in done.stderr
        and "34 × jar" in done.stdout
        and "beaker" not in done.stdout
    )
    refused = run(studio, "tally", "harbour-shop-may", "tea-caddy", "trimmed", "jar=3")
    assert refused.exit_code == 1 and "mend them first" in refused.stderr


def test_without_orders(studio):
    shutil.rmtree(studio / "specs/orders")
    assert "there are no open orders" in plan(where=studio).stderr
    assert run(studio, "stock").stdout == "Nothing is on hand: no order has left anything over.\n"
