"""numpy, loaded when it is first reckoned with: a studio without a form needs none of it, and it is half of a start."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

__all__ = ["Line", "Places", "Plane", "least_of", "most_of", "np"]

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
else:

    class _Numpy:
        """The library by its own names, each looked up once."""

        def __getattr__(self, name: str) -> Any:
            import numpy

            found = getattr(numpy, name)
            setattr(self, name, found)
            return found

    np = _Numpy()

Line: TypeAlias = "NDArray[np.float64]"  # points to reckon with: a row a point
Places: TypeAlias = "NDArray[np.intp]"  # numbers of points or edges
Plane: TypeAlias = "NDArray[np.complex128]"  # the same, or steps between them, as complex numbers


def least_of(values: Line) -> float:
    """The least of some numbers, in half the time that their own `min` takes."""
    return values.item(values.argmin())


def most_of(values: Line) -> float:
    """The greatest of them, likewise."""
    return values.item(values.argmax())
