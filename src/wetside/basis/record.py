"""Frozen dataclasses that are quick to define.

The standard decorator compiles six functions for every frozen class, half a millisecond each time, and some 300
classes are defined before a first answer stands on the screen. Here all share one comparison, one hash, one text and
one refusal to be changed; only the initialiser is compiled.
"""

from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from functools import partial
from operator import attrgetter
from typing import Any, TypeVar, cast, dataclass_transform, overload

T = TypeVar("T")
_set = object.__setattr__


@overload
def record(cls: type[T], /) -> type[T]: ...
@overload
def record(*, kw_only: bool = True, eq: bool = True) -> Callable[[type[T]], type[T]]: ...
@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(field,))
def record(cls: type[Any] | None = None, /, *, kw_only: bool = True, eq: bool = True) -> Any:
    """A frozen dataclass with slots, its fields given by name.

    `dataclasses.fields`, `replace` and `asdict` work on it as on any other. Fields may have defaults and factories;
    there is no `__post_init__`.

    :param kw_only: whether fields can be given by name alone
    :param eq: whether records of one class are the same when their fields are, or only each the same as itself
    """
    return partial(_made, kw_only=kw_only, eq=eq) if cls is None else _made(cls, kw_only=kw_only, eq=eq)


def _made(cls: type[Any], *, kw_only: bool, eq: bool) -> type[Any]:
    # without one the decorator writes the signature there, which takes a tenth of a millisecond for each class
    cls.__doc__ = cls.__doc__ or cls.__name__
    made = dataclass(init=False, repr=False, eq=False, match_args=False, slots=True, kw_only=kw_only)(cls)
    names = tuple(f.name for f in fields(made))
    made.__init__ = _initialiser(made)
    made.__repr__ = _text
    made.__setattr__ = _refuse_set
    made.__delattr__ = _refuse_delete
    made.__reduce__ = _reduce
    if eq:
        made._values = staticmethod(_values(tuple(f.name for f in fields(made) if f.compare)))
        made.__eq__ = _same
        made.__hash__ = _hash
    if not kw_only:
        made.__match_args__ = names
    return made


def _initialiser(cls: type[Any]) -> Callable[..., None]:
    """The one function that is compiled for each class."""
    known: dict[str, Any] = {"_set": _set, "_missing": MISSING}
    head, body = ["self"], list[str]()
    for f in fields(cls):
        if f.kw_only and "*" not in head:
            head.append("*")
        given = f.name
        if f.default is not MISSING:
            known[f"_{f.name}"] = f.default
            head.append(f"{f.name}=_{f.name}")
        elif f.default_factory is not MISSING:
            known[f"_{f.name}"] = f.default_factory
            head.append(f"{f.name}=_missing")
            given = f"_{f.name}() if {f.name} is _missing else {f.name}"
        else:
            head.append(f.name)
        body.append(f"\n _set(self, {f.name!r}, {given})")
    exec(f"def __init__({', '.join(head)}):{''.join(body) or ' pass'}", known)
    made = known["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    return cast("Callable[..., None]", made)


def _values(names: tuple[str, ...]) -> Callable[[Any], Any]:
    """What reads all fields at once, in their order."""
    return attrgetter(*names) if names else lambda _: ()


def _same(self: Any, other: object) -> bool:
    if other.__class__ is not self.__class__:
        return NotImplemented
    return self is other or self._values(self) == self._values(other)


def _hash(self: Any) -> int:
    return hash(self._values(self))


def _text(self: Any) -> str:
    inside = ", ".join(f"{f.name}={getattr(self, f.name)!r}" for f in fields(self) if f.repr)
    return f"{self.__class__.__qualname__}({inside})"


def _refuse_set(self: Any, name: str, value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_delete(self: Any, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _reduce(self: Any) -> Any:
    return _remade, (self.__class__, tuple(getattr(self, f.name) for f in fields(self)))


def _remade(cls: type[Any], values: tuple[object, ...]) -> Any:
    """A record read back: from a pickle or as a copy."""
    made = object.__new__(cls)
    for f, value in zip(fields(cls), values, strict=True):
        _set(made, f.name, value)
    return made
