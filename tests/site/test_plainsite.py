"""Both hands: a site that asks nothing of the site generator is written without it, equal file by file to what it writes."""

import re
import shutil
import subprocess
import sys

import pytest
from click.testing import CliRunner
from wareboard.cli import command
from wareboard.output.files import FolderError
from wareboard.output.plainsite import read_plain_settings


def tree(folder):
    """Every file's bytes by its path, the mark of the build too."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


# Nothing that a page shows, and yet a setting that only the site generator reads.
ASKS_FOR_IT = "dev_addr: 127.0.0.1:8001\n"


def ask_for_generator(folder):
    """Have a folder built by the site generator."""
    with open(folder / "mkdocs.yml", "a", encoding="utf-8") as settings:
        settings.write(ASKS_FOR_IT)


def run(folder, *words):
    done = CliRunner().invoke(command, ["-C", str(folder), "build", *words])
    assert done.exit_code == 0, done.output
    return done


def compare(one, other):
    """Two sites must hold the same files, and each the same bytes."""
    ours, theirs = tree(one), tree(other)
    assert ours.keys() == theirs.keys()
    assert [path for path in ours if ours[path] != theirs[path]] == []
    return ours


def test_the_whole_demo_is_the_same_file_by_file(demo, tmp_path):
    shutil.copytree(demo, tmp_path / "pots", symlinks=True)
    shutil.rmtree(tmp_path / "pots" / "site")
    ask_for_generator(tmp_path / "pots")
    done = run(tmp_path / "pots")
    said = (demo / "said").read_text(encoding="utf-8")
    assert done.stdout.replace(str(tmp_path / "pots"), "") == said.replace(str(demo), "")
    made = compare(tmp_path / "pots" / "site", demo / "site")
    assert {"index.html", "404.html", "sitemap.xml.gz", "search/search_index.js", "cards/wall.pdf"} <= made.keys()
    assert sum(path.endswith(".html") for path in made) > 40


@pytest.mark.parametrize("audience", ["studio", "stockist", "assistant"])
def test_where_it_stands_and_who_may_list_it_come_out_the_same(two_forms, tmp_path, audience):
    folder = tmp_path / "pots"
    shutil.copytree(two_forms, folder, ignore=shutil.ignore_patterns("site", ".wareboard"))
    (folder / "mkdocs.yml").write_text(
        "site_name: x\nsite_url: https://example.org/a/pots\nsite_dir: public\ndocs_dir: specs\ntheme: wareboard\nplugins:\n  - wareboard:\n"
        "      addresses: {stockist: https://shops.example/}\n      indexed: [stockist]\n",
        encoding="utf-8",
    )
    run(folder, "--no-cards", "--for", audience, "--without-generator")
    name = "public" if audience == "studio" else f"public-{audience}"
    (folder / name).rename(folder / "by-our-own-hand")
    ask_for_generator(folder)
    run(folder, "--no-cards", "--for", audience)
    made = compare(folder / name, folder / "by-our-own-hand")
    assert ("search/search_index.js" in made) == (audience != "studio"), "the studio's own file leaves the search out"
    listed = b"<loc>https://example.org/a/pots/forms/tall-beaker.html" in made["sitemap.xml"]
    assert listed == (audience == "studio")


def loaded(root, *asked):
    """Which of some modules a build loads."""
    script = (
        "import sys\nfrom click.testing import CliRunner\nfrom wareboard.cli import command\n"
        "done = CliRunner().invoke(command, ['-C', sys.argv[1], 'build', '--no-cards'])\n"
        "assert done.exit_code == 0, done.output\n"
        "print(*(name for name in sys.argv[2:] if name in sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, root, *asked], capture_output=True, text=True, timeout=300, check=True
    )
    return done.stdout.split()


def test_a_build_loads_what_it_needs(two_forms, tmp_path):
    root = tmp_path / "pots"
    shutil.copytree(two_forms, root, ignore=shutil.ignore_patterns("site", ".wareboard"))
    made, often = ["markdown", "nh3"], ["jinja2", "numpy"]
    asked = ["mkdocs", "material", *made, *often]
    assert loaded(root, *asked) == [*made, *often]
    # What notes came to is kept; where nothing changed, that is told with nothing loaded.
    form = next((root / "specs" / "forms").glob("*.yaml"))
    form.write_text(form.read_text(encoding="utf-8").replace("title: ", "title: New ", 1), encoding="utf-8")
    assert loaded(root, *asked) == often
    assert loaded(root, *asked, "wareboard.output.build") == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"copyright": "Us"}, "`copyright` asks for the site generator"),
        ({"hooks": "[a.py]"}, "`hooks` asks for the site generator"),
        ({"plugins": "[search, wareboard, other]"}, "the plugin `other` asks for the site generator"),
        ({"plugins": "[{search: {lang: en}}, wareboard]"}, "`search` asks for the site generator"),
        ({"plugins": "[{wareboard: {cards: 3}}]"}, "`3` asks for the site generator"),
        ({"plugins": "[{wareboard: {indexed: [nobody]}}]"}, "what stands here asks for the site generator"),
        ({"plugins": "[search]"}, "what stands here asks for the site generator"),
        ({"docs_dir": "docs"}, "pages of your own ask for the site generator"),
        ({"docs_dir": ""}, "pages of your own ask for the site generator"),
        ({"theme": "other"}, "`other` asks for the site generator"),
        ({"theme": "{name: wareboard, logo: a.svg}"}, "asks for the site generator"),
        ({"theme": ""}, "asks for the site generator"),
        ({"site_name": ""}, "asks for the site generator"),
        ({"site_url": "nowhere"}, "`nowhere` asks for the site generator"),
        ({"site_name": "!ENV X"}, "only plain YAML is read without the site generator"),
    ],
    ids=str,
)
def test_what_only_the_site_generator_does_is_asked_of_it(tmp_path, typed, said):
    settings = {"site_name": "x", "docs_dir": "specs", "theme": "wareboard", "plugins": "[wareboard]"}
    write = lambda shown: (tmp_path / "mkdocs.yml").write_text(
        "".join(f"{key}: {words}\n" for key, words in shown.items() if words), encoding="utf-8"
    )
    write(settings)
    read_plain_settings(tmp_path, "studio")
    write(settings | typed)
    with pytest.raises(FolderError, match=re.escape(said)):
        read_plain_settings(tmp_path, "studio")


def test_markdown_among_the_specs_is_told_by_the_site_generator(tmp_path):
    (tmp_path / "specs").mkdir()
    (tmp_path / "specs" / "README.md").write_text("Read me", encoding="utf-8")
    read_plain_settings(tmp_path, "studio")
    (tmp_path / "specs" / "about.md").write_text("About", encoding="utf-8")
    with pytest.raises(FolderError, match=r"about\.md asks for the site generator"):
        read_plain_settings(tmp_path, "studio")


def test_without_it_what_asks_for_it_is_refused(two_forms, tmp_path):
    folder = tmp_path / "pots"
    shutil.copytree(two_forms, folder)
    before = tree(folder / "site")
    ask_for_generator(folder)
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards", "--without-generator"])
    assert done.exit_code != 0 and "asks for the site generator" in done.output
    assert tree(folder / "site") == before


def test_it_is_private():
    assert "generator" not in CliRunner().invoke(command, ["build", "--help"]).output
