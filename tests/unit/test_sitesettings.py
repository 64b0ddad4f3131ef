"""What of `mkdocs.yml` cannot be followed, each told at its line."""

from wareboard.text.problems import ERROR, WARNING, format_problem, in_file_order
from wareboard.text.sitesettings import check_paths, check_settings, check_theme, is_elsewhere, read_settings

from tests.every import every


def said(text, there=(), folder="docs"):
    settings = read_settings(text)
    found = in_file_order([*check_settings(settings), *check_paths(settings, there, folder)])
    return [(problem.rule, problem.level, problem.at.line, problem.at.column, problem.at.width) for problem in found]


def test_what_is_followed_is_not_spoken_of():
    text = (
        "site_name: Pots\nsite_url: https://example.org/\ntheme:\n  name: wareboard\n  font: false\n  logo: img/mark.svg\n"
        "nav:\n  - About: about.md\n  - Shop: https://shop.example/\n  - Write: mailto:us@example.org\n  - Trips:\n    - trips/one.md#day\n"
        "extra_css: [own.css]\nextra_javascript:\n  - path: own.js\n    defer: true\nplugins: [search, wareboard]\n"
    )
    there = {"img/mark.svg", "about.md", "trips/one.md", "own.css", "own.js"}
    assert said(text, there) == []
    assert [rule for rule, *_ in said(text)] == ["unknown-file"] * 5


def test_each_is_told_where_it_stands():
    text = (
        "theme:\n  name: wareboard\n  features: [tabs]\n  language: de\n  logo: https://example.org/a.svg\n"
        "extra_css:\n  - //example.org/a.css\nextra_javascript:\n  - path: http://example.org/a.js\n"
        "plugins:\n  - search\n  - blog:\n      x: 1\n  - material/tags\nnav:\n  - abuot.md\n"
    )
    assert said(text, {"about.md"}) == [
        ("not-followed", WARNING, 3, 3, 8),
        ("not-followed", WARNING, 4, 3, 8),
        ("other-host", ERROR, 5, 9, 25),
        ("other-host", ERROR, 7, 5, 19),
        ("other-host", ERROR, 9, 11, 23),
        ("not-followed", ERROR, 12, 5, 4),
        ("not-followed", ERROR, 14, 5, 13),
        ("unknown-file", ERROR, 16, 5, 8),
    ]


def test_a_slip_is_mended_by_its_hint_and_a_folder_of_own_pages_is_asked_for():
    settings = read_settings("nav: [abuot.md]\n")
    assert [problem.hint for problem in check_paths(settings, {"about.md"}, "docs")] == ["did you mean `about.md`?"]
    (problem,) = check_paths(settings, {"index.md"}, "")
    assert "`docs_dir: docs`" in problem.hint


@every(
    ("text", "name", "line", "column"),
    [
        ("site_name: a\ntheme: readthedocs\n", "readthedocs", 2, 8),
        ("theme:\n  name: readthedocs\n", "readthedocs", 2, 9),
        ("site_name: a\n", "mkdocs", 1, 1),
        ("theme:\n  custom_dir: own\n", None, 1, 1),
        ("theme: !ENV [THEME, mkdocs]\n", "mkdocs", 1, 1),
        ("INHERIT: base.yml\n", "mkdocs", 1, 1),
    ],
)
def test_another_theme_is_refused_at_its_line(text, name, line, column):
    (problem,) = check_theme(name, read_settings(text))
    assert (problem.level, problem.at.line, problem.at.column) == (ERROR, line, column)
    assert "name: wareboard" in format_problem(problem)


def test_the_pages_own_theme_is_taken():
    assert check_theme("wareboard", read_settings("theme: wareboard\n")) == []


def test_settings_that_are_no_plain_yaml_still_have_a_first_line():
    settings = read_settings("a: &x 1\nb: *x\ntheme: other\n")
    assert check_theme("other", settings)[0].at.line == 1
    assert check_settings(settings) == []


def test_other_hosts_are_told_from_paths():
    assert not is_elsewhere("a/b.js")
    assert is_elsewhere("https://example.org/b.js")
