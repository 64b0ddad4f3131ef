"""The record of revisions on the disk: written once, never outside the project, never a reason to stop."""

import datetime

import pytest
from wareboard.cards.revisions import Revised
from wareboard.output import history
from wareboard.output.history import Record

DAY = datetime.date(2026, 3, 4)
CUP = Revised("forms", "cup", "7f3a21", {"cup.mouth wet": (88.0, "mm")})
LINE = '{"revision": "7f3a21", "made": "2026-03-04", "sizes": {"cup.mouth wet": [88.0, "mm"]}}\n'


@pytest.fixture
def root(tmp_path):
    (tmp_path / "specs").mkdir()
    return tmp_path


def place(root):
    return root / "specs" / ".revisions" / "forms" / "cup.jsonl"


def test_a_new_revision_is_of_today_and_keeps_its_day(root):
    assert Record(root, DAY).made_on(CUP) == DAY
    assert not place(root).exists()
    Record(root, DAY).add(CUP)
    assert place(root).read_text(encoding="utf-8") == LINE
    later = Record(root, DAY + datetime.timedelta(40))
    later.add(CUP)
    assert later.made_on(CUP) == DAY and place(root).read_text(encoding="utf-8") == LINE


def test_a_record_that_knows_what_it_wrote_reads_nothing_again(root):
    record = Record(root, DAY)
    record.add(CUP)
    place(root).unlink()
    assert [recorded.revision for recorded in record.history("forms", "cup")] == ["7f3a21"]
    record.add(CUP)
    assert not place(root).exists()


@pytest.mark.parametrize("before", ["<<<<<<< mine\n", "no line's end"])
def test_what_cannot_be_read_is_kept_and_added_to(root, before):
    place(root).parent.mkdir(parents=True)
    place(root).write_text(before, encoding="utf-8")
    Record(root, DAY).add(CUP)
    assert place(root).read_text(encoding="utf-8") == before.rstrip("\n") + "\n" + LINE


def test_bytes_that_are_no_text_are_no_reason_to_stop(root):
    place(root).parent.mkdir(parents=True)
    place(root).write_bytes(b"\xff\xfe\x00\n" + LINE.encode())
    record = Record(root, DAY)
    assert [recorded.revision for recorded in record.history("forms", "cup")] == ["7f3a21"]
    record.add(Revised("forms", "cup", "8a8a8a"))
    assert (
        place(root).read_bytes().startswith(b"\xff\xfe\x00\n" + LINE.encode())
        and place(root).read_bytes().count(b"\n") == 3
    )


def test_a_record_that_is_a_folder_or_too_large_counts_as_none(root, monkeypatch):
    place(root).mkdir(parents=True)
    assert Record(root, DAY).history("forms", "cup") == ()
    with pytest.raises(OSError, match="directory"):
        Record(root, DAY).add(CUP)
    place(root).rmdir()
    place(root).write_text(LINE, encoding="utf-8")
    monkeypatch.setattr(history.journal.folder, "LARGEST_BYTES", 10)
    assert Record(root, DAY).history("forms", "cup") == ()
    with pytest.raises(OSError, match="too large"):
        Record(root, DAY).add(CUP)
    assert place(root).read_text(encoding="utf-8") == LINE


def test_nothing_is_read_or_written_through_a_link_out_of_the_project(root, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside")
    (outside / "forms").mkdir()
    (outside / "forms" / "cup.jsonl").write_text(LINE, encoding="utf-8")
    (root / "specs" / ".revisions").symlink_to(outside, target_is_directory=True)
    record = Record(root, DAY)
    assert record.history("forms", "cup") == ()
    with pytest.raises(OSError, match="leads out of the project"):
        record.add(CUP)
    assert (outside / "forms" / "cup.jsonl").read_text(encoding="utf-8") == LINE


def test_the_day_is_the_one_that_is_pinned(monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1772582400")  # 4 March 2026, 00:00 UTC
    assert history.today() == DAY and Record(None).day == DAY
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "soon")
    assert history.today() == datetime.date.today()
