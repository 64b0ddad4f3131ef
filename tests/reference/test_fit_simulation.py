"""A fit's shares, from the spec's text to the sheet, against a studio that is simulated piece by piece.

Source: numpy simulation of the pieces themselves, 200,000 pairs a fit; it throws, trims, tries and fires
them and knows nothing of terms, root sums or tails. Normal tails: scipy.stats.

The numbers that it starts from are typed here once more, from the demo's clay and glaze files. A piece's
clay shrinks by a factor of its own at every stage. Where any lid must go on any jar, each is thrown to
one size and a set amount is turned off; where each is fitted to its own, it is turned until the play is
right on the jar in hand.
"""

import re
from pathlib import Path

import numpy as np
import pytest
from scipy import stats
from wareboard.figures.checks import check_project
from wareboard.text.projects import read_project

from tests.every import every

SPECS = Path(__file__).resolve().parents[2] / "specs"
PIECES = 200_000
FOUND_WITHIN = 0.3  # points

# specs/clays/millpond-buff.yaml: bars of 100 mm, leather-hard and fired
BUFF = (
    1 - np.mean([97.1, 96.9, 97.0, 97.0, 97.0, 96.8, 97.1, 96.9]) / 100,
    1 - np.mean([88.2, 87.9, 88.1, 88.0, 87.8, 87.9, 88.0, 87.9]) / 100,
)
# specs/clays/quarry-brown.yaml: dry 5.5 %, half of it leather-hard, then 5.4 % of the dry length
BROWN = (0.055 / 2, 1 - (1 - 0.055) * (1 - 0.054))
FILMS = {"lichen-satin": 0.35, "oat-liner": 0.3}
CALIPERS, TRIMMING, OUT_OF_ROUND, SHRINKAGE = 0.3, 0.25, 0.4, 0.0015  # specs/studio.yaml

# form, fit, its glaze; what goes in is of another clay where a form's clay is changed
FITS = [
    ("tea-caddy", "lid", "lichen-satin", BUFF),  # a flange inside a mouth
    ("butter-dish", "cap", "oat-liner", BUFF),  # a cap over a neck
    ("cup-and-saucer", "seat", "oat-liner", BUFF),  # a cup in a saucer's well
    ("short-beaker", "nest", "lichen-satin", BUFF),  # a beaker in another form's
    ("short-beaker", "nest", "lichen-satin", BROWN),  # and of another clay
]


def worked_out(slug, clay, swaps):
    """A demo form's sheet with some of its fit's lines typed anew, and the studio's spreads alone."""
    texts = {
        f"specs/{path.relative_to(SPECS)}": path.read_text(encoding="utf-8")
        for path in SPECS.rglob("*.yaml")
        if path.parent.name in ("specs", "clays", "glazes", "forms")
    }
    keep = {slug, "tall-beaker"}
    texts = {path: text for path, text in texts.items() if "/forms/" not in path or Path(path).stem in keep}
    path = f"specs/forms/{slug}.yaml"
    text = re.sub(r"(?m)^spreads:.*\n(  .*\n)*", "", texts[path])
    if clay is BROWN:
        text = text.replace("clay: millpond-buff", "clay: quarry-brown")
    for field, value in swaps.items():
        text, count = re.subn(rf"(?m)^    {field}: .*$", f"    {field}: {value}", text)
        assert count == 1, field
    sheets, problems = check_project(read_project({**texts, path: text}))
    assert not [problem for problem in problems if problem.level == "error"], problems
    return sheets[slug]


def simulated(inside_fired, aim, films, pairing, outside_clay):
    """Fired clearances of many pairs, made one by one."""
    dice = np.random.default_rng(2607)
    (in_leather, in_fired), (out_leather, out_fired) = BUFF, outside_clay
    # every piece's own factor; fired, it makes the studio's 0.15 points
    jar_factor = 1 + dice.normal(0, SHRINKAGE / in_fired, PIECES)
    lid_factor = 1 + dice.normal(0, SHRINKAGE / out_fired, PIECES)
    trimmed = dice.normal(0, TRIMMING, PIECES)
    jar_wet_mm = inside_fired / (1 - in_fired)
    lid_wet_mm = (inside_fired - 2 * films - aim) / (1 - out_fired)
    jars = jar_wet_mm + dice.normal(0, CALIPERS, PIECES)
    if pairing == "any":
        lids = lid_wet_mm + trimmed / (1 - out_leather)
        fired_lids = lids * (1 - lid_factor * out_fired)
    else:
        play = jar_wet_mm * (1 - in_leather) - lid_wet_mm * (1 - out_leather)
        tried = jars * (1 - jar_factor * in_leather) - play + trimmed
        fired_lids = tried * (1 - lid_factor * out_fired) / (1 - lid_factor * out_leather)
    return jars * (1 - jar_factor * in_fired) - fired_lids - 2 * films


@every("slug, fit, glaze, clay", FITS)
@every("pairing", ["own", "any"])
@every("glazed, faces", [("none", 0), ("inside", 1), ("outside", 1), ("both", 2)])
def test_shares_of_a_simulated_studio(slug, fit, glaze, clay, pairing, glazed, faces):
    aim, least, most = 1.3, 0.75, 1.95
    sheet = worked_out(
        slug, clay, {"clearance": f"{{aim: {aim}, least: {least}, most: {most}}}", "glazed": glazed, "pairing": pairing}
    )
    inside = sheet.value(f"fit.{fit}.inside", "fired")
    films = faces * FILMS[glaze]
    assert sheet.value(f"fit.{fit}.outside", "wet") == pytest.approx((inside - 2 * films - aim) / (1 - clay[1]))
    found = simulated(inside, aim, films, pairing, clay)
    for name, share in (
        ("binds", np.mean(found < least)),
        ("loose", np.mean(found > most)),
        ("any_turn", np.mean(found >= OUT_OF_ROUND)),
    ):
        assert sheet.value(f"fit.{fit}.{name}", "fired") == pytest.approx(100 * share, abs=FOUND_WITHIN), name
    assert sheet.value(f"fit.{fit}.spread", "fired") == pytest.approx(found.std(), rel=0.006)
    assert sheet.value(f"fit.{fit}.clearance", "fired") == pytest.approx(found.mean(), abs=0.01)
    # three deviations of every term at once is as good as never
    assert np.mean(found < sheet.value(f"fit.{fit}.worst.least", "fired")) < 1e-3


@every("least, most", [(0.2, 2.4), (0.9, 1.5), (1.29, 4.0)])
def test_tails_of_the_sheet_against_scipy(least, most):
    # Source: scipy.stats.norm.
    sheet = worked_out("tea-caddy", BUFF, {"clearance": f"{{aim: 1.3, least: {least}, most: {most}}}"})
    normal = stats.norm(1.3, sheet.value("fit.lid.spread", "fired"))
    assert sheet.value("fit.lid.binds", "fired") == pytest.approx(100 * normal.cdf(least), rel=1e-9)
    assert sheet.value("fit.lid.loose", "fired") == pytest.approx(100 * normal.sf(most), rel=1e-9)
    assert sheet.value("fit.lid.any_turn", "fired") == pytest.approx(100 * normal.sf(0.4), rel=1e-9)
