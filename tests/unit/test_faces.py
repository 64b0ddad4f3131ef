"""Signs that no font of the cards has are told; a studio's own font in its folder brings them."""

import shutil

import pytest
from wareboard import TEMPLATES
from wareboard.output.working import work_out
from wareboard.words import faces

BUNDLED = TEMPLATES / "fonts"


@pytest.fixture
def studio(tmp_path):
    """The folder that a maker starts from, with a name in Japanese."""
    shutil.copytree(TEMPLATES / "start", tmp_path / "pots")
    form = tmp_path / "pots" / "specs" / "forms" / "first-beaker.yaml"
    form.write_text(form.read_text(encoding="utf-8").replace("title: First beaker", "title: 湯呑"), encoding="utf-8")
    return tmp_path / "pots"


def font_with(signs, path):
    """A font that draws every given sign as the project's own letter o."""
    from fontTools.ttLib import TTFont

    font = TTFont(BUNDLED / "Regular.ttf")
    for table in font["cmap"].tables:
        table.cmap.clear()
        table.cmap.update({ord(sign): name for sign, name in zip(signs, ("o", "x", "v"), strict=False)})
    path.parent.mkdir(parents=True, exist_ok=True)
    font.save(path)


def add_key(studio, line):
    path = studio / "specs" / "studio.yaml"
    path.write_text(path.read_text(encoding="utf-8") + line, encoding="utf-8")


def rules_of(studio):
    return {problem.rule: problem for problem in work_out(studio).problems}


def test_what_is_taken_for_granted_is_in_the_font():
    assert not {sign for sign in faces._ALWAYS if ord(sign) not in faces.signs_of(BUNDLED / "Regular.ttf")}


def test_every_bundled_face_is_there_and_says_its_family():
    from fontTools.ttLib import TTFont

    for family, weight, style, name in faces.BUNDLED:
        font = TTFont(BUNDLED / name)
        assert (font["name"].getDebugName(1), font["OS/2"].usWeightClass) == (family, weight)
        assert bool(font["head"].macStyle & 2) == (style == "italic")


def test_greek_and_cyrillic_print_and_japanese_does_not():
    assert faces.missing_signs("Κύπελλο, Чаша, Ќошарка, ½ ⌀ ± × ″ → ✓") == []
    assert faces.missing_signs("湯呑 and 湯") == ["湯", "呑"]


def test_a_name_without_signs_is_told_with_its_place_and_what_to_do(studio):
    told = rules_of(studio)["no-glyph"]
    assert (told.at.file, told.level) == ("specs/forms/first-beaker.yaml", "warning")
    assert "'湯', '呑'" in told.message and "Chinese, Japanese or Korean" in told.hint and "specs/fonts/" in told.hint


def test_a_font_of_ones_own_mends_it(studio):
    font_with("湯呑", studio / "specs" / "fonts" / "mine.ttf")
    add_key(studio, "\nfonts: mine.ttf\n")
    assert not {"no-glyph", "unknown-font"} & rules_of(studio).keys()


@pytest.mark.parametrize("name", ["mine.ttf", "../forms/first-beaker.yaml"])
def test_a_font_that_is_not_there_is_an_error(studio, name):
    add_key(studio, f"\nfonts: [{name}]\n")
    assert rules_of(studio)["unknown-font"].level == "error"


def test_a_file_that_is_no_font_is_an_error(studio):
    (studio / "specs" / "fonts").mkdir()
    (studio / "specs" / "fonts" / "mine.ttf").write_bytes(b"no font")
    add_key(studio, "\nfonts: mine.ttf\n")
    assert "cannot be read" in rules_of(studio)["unknown-font"].message


def test_the_card_is_set_in_it(studio):
    engine = pytest.importorskip("wareboard.cards.engine")
    try:
        engine.check_engine()
    except engine.CardsUnavailable as fault:
        pytest.skip(str(fault))
    import io

    import pypdf

    font_with("湯呑", studio / "specs" / "fonts" / "mine.ttf")
    text = engine.CardText(
        "a",
        "湯呑",
        "<html lang=en><head><title>a</title></head><body><p>湯呑</p></body></html>",
        "html {font-family: FACES}",
    )
    own = engine.CardText(text.name, text.title, text.html, text.css, (studio / "specs" / "fonts" / "mine.ttf",))
    assert engine.card_key(text) != engine.card_key(own)
    page = pypdf.PdfReader(io.BytesIO(engine.render_pdf(own))).pages[0]
    (font,) = page["/Resources"]["/Font"].values()
    assert "湯呑" in page.extract_text()
    assert "+Own-" in font["/BaseFont"], "set in the file that was given"


def test_a_right_to_left_name_does_not_reorder_what_stands_beside_it():
    from wareboard.words.templating import environment

    made = environment().from_string("<b>{{ name }}</b> 90 mm {{ plain }}").render(name="כד", plain="Jar")
    assert made == "<b>\u2068כד\u2069</b> 90 mm Jar"
