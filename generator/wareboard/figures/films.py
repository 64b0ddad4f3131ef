"""The glaze as it is on one form: as thick as it was measured there."""

from __future__ import annotations

from dataclasses import replace

from wareboard.pot import clay
from wareboard.text.kinds import Word
from wareboard.text.specs import Form, Glaze

# Fired glaze is a glass; its weight where only its thickness is known. Common practice.
GLASS_DENSITY_G_CM3 = 2.5


def film_coat_kg_m2(measured_mm: float, body: clay.Body) -> float:
    """What a fired film weighs, on a square metre of bisque: film × 2.5 g/cm³ × the area that is left of it.

    Args:
        measured_mm: thickness of the fired glaze, mm.
        body: the clay under it.
    """
    return measured_mm * GLASS_DENSITY_G_CM3 * (body.across("fired") / body.across("bisque")) ** 2


def glaze_on(form: Form, spec: Glaze | None, body: clay.Body) -> Glaze | None:
    """The glaze as it is on a form: a film that was measured on it beats the glaze's own, and stands for one that is not named.

    Args:
        form: the form.
        spec: its glaze, or None.
        body: its clay.
    """
    film = form.glaze_film
    if film is None:
        return spec
    if spec is not None:
        return replace(spec, film=film)
    coat = film_coat_kg_m2(film.value, body)
    nothing = film._replace(value=0.0, typed="0 %")
    measured = film._replace(value=coat, typed=f"{coat:.2f} kg/m2, the film's own weight")
    return Glaze(slug="", at=film.at, title=Word("Glaze", film.at), film=film, coat=measured, loss_on_ignition=nothing)
