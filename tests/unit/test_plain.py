"""The gate that all text passes."""

from wareboard.text.plain import escaped_lines, folded_name, harmless_cell, is_name, tidy_name

from tests.every import every


@every("cell", ["=1+1", "+1", "-1", "@SUM(1)", "buff;=1+1", "buff; =1", "a\t=1", "a\n=1", "a\r\n-1", "x;\t@y"])
def test_no_cell_is_a_formula_wherever_cells_are_parted(cell):
    made = harmless_cell(cell)
    for parting in ";\t\r\n,":
        for piece in made.split(parting):
            assert not piece.strip().startswith(("=", "+", "-", "@")) or parting == ","


@every("cell", ["mean of 8 bars", "1 − 0.88 = 0.12", "a - b", "mouth; flange"])
def test_other_cells_stay_as_they_are(cell):
    assert harmless_cell(cell) == cell


@every("name", ["भीतरी किनारा", "ขอบใน", "حَافَّة", "inne\u0301r", "碗口", "내부", "rand-2", "1st ring", "οὖς"])
def test_names_in_any_script_that_letters_exist_for(name):
    assert is_name(name)


@every("name", ["", " rim", "-rim", "_rim", "a.b", "a/b", "a:b", "{a}", "a\u202eb", "a\nb", "😀", "a'b"])
def test_what_is_no_name(name):
    assert not is_name(name)


def test_names_are_compared_however_they_are_typed():
    assert folded_name("É tage  RIM") == folded_name("e\u0301 TAGE rim")
    assert tidy_name("inne\u0301r") == "innér"
    assert folded_name("foot") != folded_name("foot-1")


def test_lines_stay_lines():
    assert escaped_lines("a\x1b\nb") == "a<U+001B>\nb"


@every(
    ("said", "plainly"),
    [
        ("⌀ 80 − 2", "dia.  80 - 2"),
        ("Schüssel", "Schussel"),
        ("碗", "?"),
        ("1²⁹⁄₃₂", "1 29/32"),
        ("²⁹⁄₃₂", "29/32"),
        ("cm³", "cm3"),
    ],
)
def test_a_plain_stream_still_says_it(said, plainly):
    assert said.encode("ascii", "wareboard.plainly").decode() == plainly
