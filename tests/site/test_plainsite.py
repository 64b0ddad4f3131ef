"""The second hand: the same site written without the site generator, equal to its own file by file."""

import shutil
import subprocess
import sys

import pytest
from click.testing import CliRunner
from wareboard.cli import command


def tree(folder):
    """Every file's bytes by its path, the mark of the build too."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


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
    done = run(tmp_path / "pots", "--without-generator")
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
    run(folder, "--no-cards", "--for", audience)
    name = "public" if audience == "studio" else f"public-{audience}"
    (folder / name).rename(folder / "by-the-generator")
    run(folder, "--no-cards", "--for", audience, "--without-generator")
    made = compare(folder / name, folder / "by-the-generator")
    assert ("search/search_index.js" in made) == (audience != "studio"), "the studio's own file leaves the search out"
    listed = b"<loc>https://example.org/a/pots/forms/tall-beaker.html" in made["sitemap.xml"]
    assert listed == (audience == "studio")


def test_the_site_generator_is_not_loaded_for_it(two_forms, tmp_path):
    shutil.copytree(two_forms, tmp_path / "pots")
    script = (
        "import sys\nfrom click.testing import CliRunner\nfrom wareboard.cli import command\n"
        "done = CliRunner().invoke(command, ['-C', sys.argv[1], 'build', '--no-cards', '--without-generator'])\n"
        "print(done.exit_code, sorted(name for name in sys.modules if name.split('.')[0] in ('mkdocs', 'material')))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, tmp_path / "pots"], capture_output=True, text=True, timeout=300
    )
    assert done.stdout.strip() == "0 []", done.stdout + done.stderr


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("copyright: Us", "mkdocs.yml:4: `copyright` asks for the site generator"),
        ("hooks: [a.py]", "mkdocs.yml:4: `hooks` asks for the site generator"),
        ("plugins: [search, wareboard, other]", "the plugin `other` asks for the site generator"),
        ("docs_dir: docs", "pages of your own ask for the site generator"),
    ],
)
def test_what_only_the_site_generator_does_is_refused(two_forms, tmp_path, line, said):
    folder = tmp_path / "pots"
    shutil.copytree(two_forms, folder)
    before = tree(folder / "site")
    plugins = "plugins: [wareboard]" if not line.startswith("plugins") else "site_dir: site"
    docs = "docs_dir: specs" if not line.startswith("docs_dir") else "site_url: https://example.org/"
    (folder / "mkdocs.yml").write_text(f"site_name: x\n{docs}\n{plugins}\n{line}\n", encoding="utf-8")
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards", "--without-generator"])
    assert done.exit_code != 0 and said in done.output
    assert tree(folder / "site") == before


def test_it_is_private():
    assert "generator" not in CliRunner().invoke(command, ["build", "--help"]).output
