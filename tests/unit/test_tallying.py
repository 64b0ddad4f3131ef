"""A count written into an order's text: at its place, nothing else moved, comments kept, or nothing at all."""

import random

import pytest
from wareboard.text.source import read_nodes
from wareboard.text.tallying import NEW, CannotAdd, add_count

from tests.every import every

HEAD = "# the shop's own words\ntitle: Shop  # not yet sure\nlines:\n  - {form: caddy, sets: 24}   # two dozen\n"
COUNT = {"jar": 26, "lid": 28}
# each: what stands under `made:`, and what it is after `trimmed jar=26 lid=28`
CASES = {
    "no made": ("", "made:\n  - {form: caddy, trimmed: {jar: 26, lid: 28}}\n"),
    "an entry in brackets": (
        "made:\n  - {form: caddy, thrown: {jar: 27, lid: 29}}  # Monday\n# end\n",
        "made:\n  - {form: caddy, thrown: {jar: 27, lid: 29}, trimmed: {jar: 26, lid: 28}}  # Monday\n# end\n",
    ),
    "an entry in lines": (
        "made:\n  - form: caddy   # batch\n    thrown: {jar: 27, lid: 29}\n    # a note\n\n# tail\nnotes: |\n  hi\n",
        "made:\n  - form: caddy   # batch\n    thrown: {jar: 27, lid: 29}\n    trimmed: {jar: 26, lid: 28}\n    # a note\n\n# tail\nnotes: |\n  hi\n",
    ),
    "a count in lines": (
        "made:\n  - form: caddy\n    trimmed:\n      jar: 3 # few\n",
        "made:\n  - form: caddy\n    trimmed:\n      jar: 26 # few\n      lid: 28\n",
    ),
    "a count in brackets": ("made:\n  - {form: caddy, trimmed: {jar: 3}}\n", "made:\n  - {form: caddy, trimmed: {jar: 26, lid: 28}}\n"),
    "an empty list": ("made: []\n", "made: [{form: caddy, trimmed: {jar: 26, lid: 28}}]\n"),
    "nothing after made": ("made:\nsent: 2026-01-01\n", "made:\n  - {form: caddy, trimmed: {jar: 26, lid: 28}}\nsent: 2026-01-01\n"),
    "another form's entry": (
        "made:\n- {form: cup, thrown: {a: 2}} # cups\n",
        "made:\n- {form: cup, thrown: {a: 2}} # cups\n- {form: caddy, trimmed: {jar: 26, lid: 28}}\n",
    ),
    "a list in brackets": ("made: [{form: cup, thrown: {a: 1}}] # c", "made: [{form: cup, thrown: {a: 1}}, {form: caddy, trimmed: {jar: 26, lid: 28}}] # c"),
    "an empty count": ("made:\n  - form: caddy\n    trimmed:\n", "made:\n  - form: caddy\n    trimmed: {jar: 26, lid: 28}\n"),
    "a comment before the bracket": (
        "made:\n  - {form: caddy,  # Monday\n     thrown: {jar: 27, lid: 29},  # all of them\n    }\n",
        "made:\n  - {form: caddy,  # Monday\n     thrown: {jar: 27, lid: 29}, trimmed: {jar: 26, lid: 28},  # all of them\n    }\n",
    ),
    "a stage between": (
        "made:\n  - {form: caddy, thrown: {jar: 27, lid: 29}}\n  - {form: cup, thrown: {a: 2}}\nnotes: x\n",
        "made:\n  - {form: caddy, thrown: {jar: 27, lid: 29}, trimmed: {jar: 26, lid: 28}}\n  - {form: cup, thrown: {a: 2}}\nnotes: x\n",
    ),
}  # fmt: skip


@every("name", CASES)
@every("newline", ("\n", "\r\n"))
def test_a_count_goes_to_its_place_and_nothing_else_moves(name, newline):
    before, after = ((HEAD + text).replace("\n", newline) for text in CASES[name])
    assert add_count(before, "caddy", "trimmed", COUNT) == after


def test_a_file_without_a_last_line_end():
    assert (
        add_count(HEAD.rstrip("\n"), "caddy", "thrown", {"jar": 1})
        == HEAD + "made:\n  - {form: caddy, thrown: {jar: 1}}\n"
    )


def test_a_file_in_brackets():
    text = "{title: Shop, lines: [{form: caddy, sets: 3}]}"
    assert (
        add_count(text, "caddy", "thrown", {"jar": 4})
        == "{title: Shop, lines: [{form: caddy, sets: 3}], made: [{form: caddy, thrown: {jar: 4}}]}"
    )


def test_batches():
    text = HEAD + "made:\n  - {form: caddy, thrown: {jar: 27}}\n  - {form: caddy, thrown: {jar: 2}}\n"
    assert "thrown: {jar: 27}, trimmed: {jar: 26}}" in add_count(text, "caddy", "trimmed", {"jar": 26}, batch=1)
    assert "thrown: {jar: 2}, trimmed: {jar: 2}}" in add_count(text, "caddy", "trimmed", {"jar": 2})
    assert add_count(text, "caddy", "thrown", {"jar": 5}, batch=NEW) == text + "  - {form: caddy, thrown: {jar: 5}}\n"
    with pytest.raises(CannotAdd, match="there is no batch 3 of caddy; there are 2"):
        add_count(text, "caddy", "trimmed", {"jar": 2}, batch=3)


def test_seconds_and_parts_with_odd_names():
    text = add_count(HEAD, "caddy", "fired", {"tea jar": 3, "no": 4}, seconds=1)
    assert text.endswith('made:\n  - {form: caddy, fired: {tea jar: 3, "no": 4}, seconds: 1}\n')
    assert add_count(text, "caddy", "fired", {}, seconds=2).endswith("seconds: 2}\n")


def test_the_same_count_twice_changes_nothing():
    once = add_count(HEAD, "caddy", "trimmed", COUNT)
    assert add_count(once, "caddy", "trimmed", COUNT) == once


def test_what_has_no_place_is_refused_with_what_to_write():
    for made in ("made: soon\n", "made:\n  form: caddy\n"):
        with pytest.raises(CannotAdd):
            add_count(HEAD + made, "caddy", "trimmed", COUNT)


@pytest.mark.parametrize(
    "slip",
    (
        lambda text: text.replace("24", "25"),
        lambda text: text.replace("# two dozen", ""),
        lambda text: text + "more: x\n",
        lambda text: text + "made: {\n",
    ),
)
def test_an_edit_that_says_anything_else_is_refused(monkeypatch, slip):
    from wareboard.text import tallying

    edited = tallying._edited
    monkeypatch.setattr(tallying, "_edited", lambda text, edits: slip(edited(text, edits)))
    with pytest.raises(CannotAdd, match="write under `made:` yourself"):
        add_count(HEAD + "made:\n  - {form: caddy, thrown: {jar: 30}}\n", "caddy", "trimmed", COUNT)


@every("seed", range(60))
def test_whatever_stands_there_is_kept(seed):
    """Random orders with comments everywhere: every old line that is not edited is still there, in its order."""
    draw = random.Random(seed)
    lines = HEAD.splitlines()
    if draw.random() < 0.8:
        lines.append("made:" + draw.choice(("", "  # tally")))
        for number in range(draw.randint(1, 4)):
            form = draw.choice(("caddy", "cup"))
            if draw.random() < 0.5:
                lines.append(
                    f"  - {{form: {form}, thrown: {{jar: {number + 5}}}}}" + draw.choice(("", f"   # batch {number}"))
                )
            else:
                lines += [
                    f"  - form: {form}  # {number}",
                    *(["    # above"] if draw.random() < 0.5 else []),
                    f"    thrown: {{jar: {number + 6}}}",
                ]
            if draw.random() < 0.3:
                lines += ["", "  # between é ü 𝄞"]
    if draw.random() < 0.5:
        lines += ["sent: 2026-01-01 # gone", "# the end"]
    text = "\n".join(lines) + draw.choice(("", "\n"))
    for form, stage, counts in (
        ("caddy", "trimmed", {"jar": 4}),
        ("cup", "thrown", {"jar": 9}),
        ("caddy", "fired", {"jar": 3}),
    ):
        changed = add_count(text, form, stage, counts)
        new = iter(changed.splitlines())
        for line in text.splitlines():
            comment = line[line.index("#") :] if "#" in line else None
            assert any(
                found == line
                or (comment and found.endswith(comment))
                or (not comment and "made" not in line and found.startswith(line[:12]))
                for found in new
            )
        node, problems = read_nodes(changed, "x.yaml")
        assert node is not None and problems == []
        text = changed
