"""A photograph of one pot on a plain ground to the contour of its silhouette; the only room that knows picture libraries."""

from __future__ import annotations

import base64
import contextlib
import io
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from wareboard.pot.frozen import frozen
from wareboard.pot.silhouettes import Points, SilhouetteError

if TYPE_CHECKING:
    from PIL import Image

MOST_PIXELS = 60_000_000  # before a picture is opened in full; a phone's largest has 50 million
WORKING_PIXELS = 1_600  # along the longer side, or up to twice as many: finer than any pot is round
SHOWN_PIXELS = 900
LEAST_PIXELS = 120  # of the pot's height, to be worth measuring
LEAST_CONTRAST = 14.0  # of 255, between pot and ground
SHADED_SHARE = 0.45  # of what parts pot from ground: a pot's far side is in the shade
LEAST_SHARE = 0.004  # of the picture, for a pot
SECOND_SHARE = 0.08  # of the largest thing: a smaller one beside it is dirt
MOST_HOLES = (
    5_000  # in one thing: a speckled glaze has hundreds of specks in the ground's colour, noise tens of thousands
)
INSTALL = "the libraries for pictures are missing: pip install 'wareboard[trace]'"


@frozen
class Photograph:
    """What was found: contours in pixels of the working copy, up positive, and the picture to be shown behind them."""

    outer: Points
    holes: tuple[Points, ...]
    width: int
    height: int
    pixel_scale: float
    shown_uri: str


def read_photograph(path: Path) -> Photograph:
    """Find the one pot in a photograph.

    The ground is what the picture's edge shows, fitted by a plane so that light may fall off across it. What differs from it most is
    the pot.

    Args:
        path: a PNG or JPEG file.
    Raises: SilhouetteError, it cannot be read, or does not show one whole pot on a plain ground.
    """
    try:
        from PIL import Image, ImageOps, UnidentifiedImageError
    except ImportError:
        raise SilhouetteError(INSTALL) from None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with _to_its_end(), Image.open(path, formats=("PNG", "JPEG")) as opened:
                _check_size(opened)
                longest = max(opened.size)
                opened.draft("RGB", (WORKING_PIXELS, WORKING_PIXELS))  # a JPEG can be opened small
                factor = max(1, max(opened.size) // WORKING_PIXELS)
                small = opened.reduce(factor) if factor > 1 else opened.copy()
                picture = ImageOps.exif_transpose(_flat(small))
    except SilhouetteError:
        raise
    except UnidentifiedImageError:
        raise SilhouetteError("this is neither a PNG nor a JPEG picture") from None
    except Image.DecompressionBombError:
        raise SilhouetteError(_too_many("more than 170 million")) from None
    except (OSError, SyntaxError, ValueError, EOFError) as fault:
        raise SilhouetteError(
            f"the picture cannot be read to its end ({_plainly(fault)}); save or send it again"
        ) from None
    outer, holes = _contours(picture)
    shown = picture.copy()
    shown.thumbnail((SHOWN_PIXELS, SHOWN_PIXELS))
    return Photograph(outer, holes, *picture.size, longest / max(picture.size), _data_uri(shown))


@contextlib.contextmanager
def _to_its_end() -> Iterator[None]:
    """Half a picture is a fault here, whatever else in this process is content with one, as the engine of the cards is."""
    from PIL import ImageFile

    before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def _check_size(opened: Image.Image) -> None:
    width, height = opened.size
    if width * height > MOST_PIXELS:
        raise SilhouetteError(_too_many(f"{width:,} × {height:,}"))
    if min(width, height) < LEAST_PIXELS:
        raise SilhouetteError(
            f"the picture has {width} × {height} pixels; the pot needs at least {LEAST_PIXELS} of them in height"
        )


def _too_many(said: str) -> str:
    return f"the picture has {said} pixels; at most {MOST_PIXELS // 1_000_000} million are read. 4,000 × 3,000 are plenty: scale it down"


def _flat(picture: Image.Image) -> Image.Image:
    """Without a palette, and what is see-through as white ground."""
    from PIL import Image

    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        rgba = picture.convert("RGBA")
        flat = Image.new("RGB", rgba.size, (255, 255, 255))
        flat.paste(rgba, mask=rgba.getchannel("A"))
        flat.info.update({name: value for name, value in picture.info.items() if name == "exif"})
        return flat
    return picture if picture.mode == "RGB" else picture.convert("RGB")


def _plainly(fault: BaseException) -> str:
    said = str(fault).lower()
    return "it ends too soon" if "truncat" in said or "eof" in said or "broken" in said else "it is damaged"


def _contours(picture: Image.Image) -> tuple[Points, tuple[Points, ...]]:
    try:
        from skimage.filters import threshold_otsu
        from skimage.measure import find_contours, label
    except ImportError:
        raise SilhouetteError(INSTALL) from None
    from PIL import ImageFilter

    away = _away_from_ground(np.asarray(picture.filter(ImageFilter.GaussianBlur(1.2)), dtype=np.float32))
    between = float(threshold_otsu(np.clip(away, 0.0, 160.0)))
    if between < LEAST_CONTRAST / 2.0 or float(np.quantile(away, 0.999)) < LEAST_CONTRAST:
        raise SilhouetteError(
            "no pot stands out from the ground; take it on a plain ground of another colour, evenly lit"
        )
    grain = float(np.median(away[away < between]))
    level = max(SHADED_SHARE * between, min(4.0 * grain, between))
    found = label(away > level, connectivity=1)
    sizes = np.bincount(found.ravel())  # in pixels; noise has a million things in it
    sizes[0] = 0  # the ground
    pot = int(sizes.argmax())
    if sizes[pot] < LEAST_SHARE * found.size:
        raise SilhouetteError("no pot was found; take it closer, on a plain ground of another colour")
    things = int(np.count_nonzero(sizes > SECOND_SHARE * sizes[pot]))
    if things > 1:
        raise SilhouetteError(f"there are {things} things in the picture; take the pot alone")
    is_pot = found == pot
    rows, columns = np.flatnonzero(is_pot.any(axis=1)), np.flatnonzero(is_pot.any(axis=0))
    top, left, bottom, right = (int(end) for end in (rows[0], columns[0], rows[-1] + 1, columns[-1] + 1))
    _refuse_cut_off(top, left, bottom, right, found.shape)
    if bottom - top < LEAST_PIXELS:
        raise SilhouetteError(
            f"the pot is {bottom - top} pixels high; it needs at least {LEAST_PIXELS}: take it closer"
        )
    if int(label(~is_pot[top:bottom, left:right], connectivity=1).max()) > MOST_HOLES:
        raise SilhouetteError("what was found is grain all over, and no pot; take it on a plain ground, in more light")
    # What the pot's own region leaves out, but its edge as it is between two pixels.
    margin = 3
    window = (slice(max(0, top - margin), bottom + margin), slice(max(0, left - margin), right + margin))
    values = np.where(is_pot[window] | (away[window] <= level), away[window], 0.0)
    lines = find_contours(values, level)
    height = picture.size[1]
    closed = [
        np.column_stack((line[:, 1] + window[1].start + 0.5, height - (line[:, 0] + window[0].start + 0.5)))
        for line in lines
        if len(line) > 8 and np.allclose(line[0], line[-1])
    ]
    if not closed:
        raise SilhouetteError("no closed outline was found; take the pot on a plain ground of another colour")
    closed.sort(key=lambda line: -float(np.ptp(line[:, 0]) * np.ptp(line[:, 1])))
    return closed[0], tuple(closed[1:])


def _away_from_ground(pixels: NDArray[np.float32]) -> NDArray[np.float32]:
    """How far each pixel is from the ground's colour there: the largest of the three channels' differences.

    The ground's colour is a quadratic surface through the picture's edge, so that light may fall off across it.
    """
    height, width = pixels.shape[:2]
    band = max(2, min(height, width) // 60)
    rows, columns = np.meshgrid(
        np.linspace(-1.0, 1.0, height), np.linspace(-1.0, 1.0, width), indexing="ij", sparse=True
    )
    edge = np.zeros((height, width), dtype=bool)
    edge[:band], edge[-band:], edge[:, :band], edge[:, -band:] = True, True, True, True
    at = np.flatnonzero(edge.ravel())[:: max(1, int(edge.sum()) // 6000)]
    y, x = np.linspace(-1.0, 1.0, height)[at // width], np.linspace(-1.0, 1.0, width)[at % width]
    terms = np.column_stack((np.ones_like(x), x, y, x * y, x * x, y * y))
    away = np.zeros((height, width), dtype=np.float32)
    for channel in range(3):
        seen = pixels[:, :, channel].ravel()[at].astype(np.float64)
        kept = np.ones(len(seen), bool)
        for _ in range(4):  # a crumb at the edge is not the ground
            found, *_rest = np.linalg.lstsq(terms[kept], seen[kept], rcond=None)
            off = np.abs(seen - terms @ found)
            kept = off <= max(6.0, 2.5 * float(np.median(off)))
        a, b, c, d, e, f = (np.float32(value) for value in found)
        ground = a + b * columns + c * rows + d * columns * rows + e * columns * columns + f * rows * rows
        np.maximum(away, np.abs(pixels[:, :, channel] - ground.astype(np.float32)), out=away)
    return away


def _refuse_cut_off(top: int, left: int, bottom: int, right: int, shape: Any) -> None:
    edges = [
        side for side, cut in (("left", left <= 1), ("top", top <= 1), ("right", right >= shape[1] - 1), ("bottom", bottom >= shape[0] - 1)) if cut
    ]  # fmt: skip
    if edges:
        raise SilhouetteError(f"the pot is cut off at the {' and '.join(edges)}; leave ground all round it")


def _data_uri(picture: Image.Image) -> str:
    kept = io.BytesIO()
    picture.save(kept, "JPEG", quality=70)
    return "data:image/jpeg;base64," + base64.b64encode(kept.getvalue()).decode("ascii")
