"""A handle is drawn where the form is drawn from outside, as far out as it reaches; not at trimming, before it is on."""

import pytest
from wareboard.drawing import formdrawing, workdrawing
from wareboard.drawing.layout import View
from wareboard.drawing.seating import as_finished, set_together

from tests.demo import worked_out
from tests.every import every


@pytest.fixture(scope="module")
def sheets():
    return worked_out()[1]


@every("slug", ["harbour-mug", "pitcher"])
def test_a_handle_reaches_as_far_as_the_form_is_wide_with_it(sheets, slug):
    sheet = sheets[slug]
    name = next(iter(sheet.shapes))
    for stage in ("leather-hard", "fired"):
        part = as_finished(sheet, name, stage)
        with_it, without = sheet.value(f"{name}.across", stage), sheet.value(f"{name}.diameter", stage)
        assert with_it > without + 10.0
        # Across is from the far side of the pot to the handle's outer edge.
        assert part.reach_mm + part.radius_mm == pytest.approx(with_it, abs=1.0)
        assert part.raised(7.0).joined[0][0][1] == pytest.approx(part.joined[0][0][1] + 7.0)
    view = View(set_together(sheet, "fired")[0])
    assert view.left_mm > view.radius_mm


def test_it_is_drawn_on_the_sizes_and_not_at_trimming(sheets, monkeypatch):
    def closed(draw):
        strokes = []
        with monkeypatch.context() as patched:
            stroke = formdrawing_picture().stroke
            patched.setattr(
                formdrawing_picture(),
                "stroke",
                lambda self, *args, **how: (strokes.append(how.get("closed")), stroke(self, *args, **how))[1],
            )
            draw()
        return strokes.count(True)

    sheet = sheets["harbour-mug"]
    assert closed(lambda: formdrawing.draw_form(sheet, "fired")) == 1
    assert closed(lambda: workdrawing.draw_trimming(sheet)) == 0
    assert closed(lambda: formdrawing.draw_form(sheets["tall-beaker"], "fired")) == 0


def formdrawing_picture():
    from wareboard.drawing.svg import Picture

    return Picture
