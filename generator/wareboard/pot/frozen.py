"""Frozen records that cost next to nothing to declare: as the standard library's dataclasses, made ready when one is first asked for.

A dataclass writes and compiles half a dozen methods for every class, which is a good part of what a short command
takes to start; here all classes share theirs, and a class that nobody uses is not even looked over. Making a record takes
a little longer, so what is made by the ten thousand is a named tuple.
"""

from __future__ import annotations

import dataclasses
import threading
from typing import TYPE_CHECKING, Any, TypeVar, cast, dataclass_transform

if TYPE_CHECKING:
    import functools

    kept_property = functools.cached_property
else:

    class kept_property:  # noqa: N801, it stands where a property does
        """What is worked out of a record when it is first asked for, and kept with it: the library's own takes a lock, which is most of its time."""

        def __init__(self, work: Any) -> None:
            self.work, self.name, self.__doc__ = work, work.__name__, work.__doc__

        def __get__(self, record: Any, kind: Any = None) -> Any:
            if record is None:
                return self
            found = record.__dict__[self.name] = self.work(record)
            return found


_Class = TypeVar("_Class", bound=type[Any])
_FIELDS = "__dataclass_fields__"  # where the standard library looks for them
_ONE_AT_A_TIME = threading.RLock()


@dataclass_transform(frozen_default=True, field_specifiers=(dataclasses.field,))
def frozen(declared: _Class) -> _Class:
    """A class as a frozen record: `dataclasses.fields`, `replace` and `is_dataclass` know it.

    Args:
        declared: a class with annotated fields, its base perhaps another such class.
    Returns: the class; its instances are told apart by their values and can't be changed.
    Raises: TypeError, when one is made: a field that has no default is missing, or there is no such field.
    Source: worked: one set of methods that read the class's own list of fields.
    >>> @frozen
    ... class Foot:
    ...     width_mm: float
    ...     turned: bool = False
    >>> Foot(62.0), Foot(62.0) == Foot(width_mm=62.0, turned=False)
    (Foot(width_mm=62.0, turned=False), True)
    """
    made: Any = declared
    setattr(made, _FIELDS, _Unready(made))
    made.__init__, made.__repr__, made.__eq__, made.__hash__ = _first_init, _repr, _eq, _hash
    made.__setattr__, made.__delattr__ = _refuse, _refuse
    return declared


class _Unready:
    """Stands where a class keeps its fields, until they are asked for."""

    def __init__(self, declared: Any) -> None:
        self.declared = declared

    def __get__(self, record: object, kind: type) -> dict[str, dataclasses.Field[Any]]:
        made = self.declared
        with _ONE_AT_A_TIME:
            if vars(made)[_FIELDS] is self:
                dataclasses.dataclass(init=False, repr=False, eq=False)(made)
                made._fields_known = _Known(dataclasses.fields(made), getattr(made, "__post_init__", None))
                made.__init__ = _init
        return cast(dict[str, dataclasses.Field[Any]], vars(made)[_FIELDS])


def _first_init(self: Any, *placed: Any, **named: Any) -> None:
    with _ONE_AT_A_TIME:
        dataclasses.fields(type(self))  # the class is ready now
    _init(self, *placed, **named)


class _Known:
    """What the shared methods ask of a class's fields."""

    def __init__(self, fields: tuple[dataclasses.Field[Any], ...], afterwards: Any) -> None:
        self.count, self.afterwards = len(fields), afterwards
        self.names = [one.name for one in fields if one.init]
        self.shown = [one.name for one in fields if one.repr]
        self.compared = [one.name for one in fields if one.compare]
        missing = dataclasses.MISSING
        self.defaults = {one.name: one.default for one in fields if one.default is not missing}
        self.makers = [(one.name, one.default_factory) for one in fields if one.default_factory is not missing]


def _init(self: Any, *placed: Any, **named: Any) -> None:
    known: _Known = self._fields_known
    values = self.__dict__
    values.update(known.defaults)
    if placed:
        named.update(zip(known.names, placed, strict=False))
    values.update(named)
    for name, maker in known.makers:
        if name not in named:
            values[name] = maker()
    if len(values) != known.count or len(placed) > len(known.names):
        kind = type(self).__name__
        raise TypeError(f"{kind} has the fields {', '.join(known.names)}; it was given {', '.join(named)}")
    if known.afterwards:
        known.afterwards(self)


def _repr(self: Any) -> str:
    shown = (f"{name}={getattr(self, name)!r}" for name in self._fields_known.shown)
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _eq(self: Any, other: Any) -> bool:
    if type(other) is not type(self):
        return NotImplemented  # type: ignore[no-any-return]
    mine, theirs = self.__dict__, other.__dict__
    # What was worked out and kept since does not count.
    return bool(all(mine[name] == theirs[name] for name in self._fields_known.compared))


def _hash(self: Any) -> int:
    values = self.__dict__
    return hash(tuple(values[name] for name in self._fields_known.compared))


def _refuse(self: Any, name: str, *value: Any) -> None:
    raise dataclasses.FrozenInstanceError(f"{name} cannot be changed")
