"""`NamedTuple` as typing has it, for the same class statements, made in a seventh of the time.

A short command makes some fifty of these classes, and the dashboard's Today more than a hundred. Typing's compiles each
annotation that is a text, asks of each whether it is a type, and has the constructor of each class written and
compiled anew: a million instructions a class. Here annotations stay as they stand, and the constructor is one of
`_CONSTRUCTORS`, compiled with this module, under the names of the class's own fields.
"""

from collections import _tuplegetter  # type: ignore[attr-defined]  # what namedtuple makes its fields of
from collections.abc import Iterable
from types import FunctionType
from typing import TYPE_CHECKING, Any, Self

_new = tuple.__new__

# fmt: off
_CONSTRUCTORS: tuple[Any, ...] = (
    lambda _cls: _new(_cls, ()),
    lambda _cls, a: _new(_cls, (a,)),
    lambda _cls, a, b: _new(_cls, (a, b)),
    lambda _cls, a, b, c: _new(_cls, (a, b, c)),
    lambda _cls, a, b, c, d: _new(_cls, (a, b, c, d)),
    lambda _cls, a, b, c, d, e: _new(_cls, (a, b, c, d, e)),
    lambda _cls, a, b, c, d, e, f: _new(_cls, (a, b, c, d, e, f)),
    lambda _cls, a, b, c, d, e, f, g: _new(_cls, (a, b, c, d, e, f, g)),
    lambda _cls, a, b, c, d, e, f, g, h: _new(_cls, (a, b, c, d, e, f, g, h)),
    lambda _cls, a, b, c, d, e, f, g, h, i: _new(_cls, (a, b, c, d, e, f, g, h, i)),
    lambda _cls, a, b, c, d, e, f, g, h, i, j: _new(_cls, (a, b, c, d, e, f, g, h, i, j)),
    lambda _cls, a, b, c, d, e, f, g, h, i, j, k: _new(_cls, (a, b, c, d, e, f, g, h, i, j, k)),
    lambda _cls, a, b, c, d, e, f, g, h, i, j, k, m: _new(_cls, (a, b, c, d, e, f, g, h, i, j, k, m)),
    lambda _cls, a, b, c, d, e, f, g, h, i, j, k, m, n: _new(_cls, (a, b, c, d, e, f, g, h, i, j, k, m, n)),
)
"""A constructor for each number of fields that many classes have."""
# fmt: on


class _NamedFields(tuple[Any, ...]):
    """What all these classes can do besides what a tuple can; `collections.namedtuple` says what each method is."""

    __slots__ = ()
    _fields = ()

    @classmethod
    def _make(cls, values: Iterable[Any]) -> Self:
        made: Self = _new(cls, values)
        if len(made) != len(cls._fields):
            raise TypeError(f"{cls.__name__} has {len(cls._fields)} fields, not {len(made)}")
        return made

    def _replace(self, /, **values: Any) -> Self:
        made = self._make(map(values.pop, self._fields, self))
        if values:
            raise ValueError(f"{type(self).__name__} has no fields {', '.join(values)}")
        return made

    def _asdict(self) -> dict[str, Any]:
        return dict(zip(self._fields, self, strict=True))

    def __repr__(self) -> str:
        fields = ", ".join(f"{name}={value!r}" for name, value in self._asdict().items())
        return f"{type(self).__name__}({fields})"

    def __getnewargs__(self) -> tuple[Any, ...]:
        return tuple(self)


class _NamedTupleMeta(type):
    """Makes a class of the fields that a class statement annotates, each with its default if it is given one."""

    def __new__(cls, name: str, bases: tuple[type, ...], body: dict[str, Any]) -> type:
        if not bases:
            return super().__new__(cls, name, bases, body)
        fields = tuple(body.get("__annotations__", ()))
        defaults = tuple(body[field] for field in fields if field in body)
        if any(field in body for field in fields[: len(fields) - len(defaults)]):
            raise TypeError(f"{name} has a field without a default behind one that has one")
        for at, field in enumerate(fields):
            body[field] = _tuplegetter(at, "")
        made = {"__new__": _constructor(name, fields, defaults), "_fields": fields, "__match_args__": fields}
        return type.__new__(type, name, (_NamedFields,), {"__slots__": (), **body, **made})


def _constructor(name: str, fields: tuple[str, ...], defaults: tuple[Any, ...]) -> FunctionType:
    """`__new__` of a class for these fields, the last of which have these defaults."""
    count = len(fields)
    if count < len(_CONSTRUCTORS):
        pattern = _CONSTRUCTORS[count]
    else:
        places = ", ".join(f"field_{number}" for number in range(count))
        pattern = eval(f"lambda _cls, {places}: _new(_cls, ({places}))", globals())  # noqa: S307 - holds no other text
    code = pattern.__code__.replace(
        co_name="__new__", co_qualname=f"{name}.__new__", co_varnames=("_cls", *fields)
    )
    return FunctionType(code, globals(), "__new__", defaults)


if TYPE_CHECKING:
    from typing import NamedTuple as NamedTuple  # noqa: PLC0414 - to a type checker they are the same
else:

    class NamedTuple(metaclass=_NamedTupleMeta):
        """A tuple with named fields."""
