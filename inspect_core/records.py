"""``dataclass`` for the project's records: the standard library's to a type checker, quick to define and to fill.

The standard one writes and compiles up to eight methods for each class as soon as its module is imported; for some 300
classes that was a third of the time that a command takes to start. Here all classes share their methods, and a class's
``__init__`` is compiled when its first instance is made. That one fills the slots of a frozen record directly, in half
the time. What is not here: ``order``, ``kw_only``, ``init=False``; a class that needs them takes the standard one.
"""

from __future__ import annotations

import dataclasses
from operator import attrgetter
from types import MemberDescriptorType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, eq=True, repr=True):
        """As ``dataclasses.dataclass``, with those of its options that the project's records use."""
        if cls is not None:
            return _record(cls, False, False, True, True)
        return lambda cls: _record(cls, frozen, slots, eq, repr)


def _record(cls: type[Any], frozen: bool, slots: bool, eq: bool, repr: bool) -> type[Any]:
    cls = _with_fields(cls)
    if slots:
        cls = _with_slots(cls)
    fields = dataclasses.fields(cls)
    shared: dict[str, Any] = {}
    if repr:
        shared["__repr__"] = _repr
    if eq:
        shared["__eq__"] = _eq
        shared["_compared"] = _getter([f.name for f in fields if f.compare])
    if frozen:
        shared |= {"__setattr__": _no_setting, "__delattr__": _no_deleting}
        shared |= {"__getstate__": _state, "__setstate__": _set_state} if slots else {}
    if eq:
        shared["__hash__"] = _hash if frozen else None
    for name, method in shared.items():
        if name not in vars(cls) or (name == "__hash__" and vars(cls)[name] is None):
            setattr(cls, name, method)
    cls.__init__ = _first_init(cls, frozen, slots)
    cls.__dataclass_params__.frozen = frozen
    return cls


def _with_fields(cls: type[Any]) -> type[Any]:
    """The class with its fields gathered by the standard library, which is not to freeze it: that compiles two methods.

    Its own frozen classes may be made of ours, so ours say that they are frozen; but then it would refuse to make one
    of ours of another without freezing it as well. So they say it only afterwards.
    """
    above = [vars(base)["__dataclass_params__"] for base in cls.__mro__[1:] if "__dataclass_params__" in vars(base)]
    frozen = [one for one in above if one.frozen]
    for one in frozen:
        one.frozen = False
    try:
        return dataclasses.dataclass(init=False, repr=False, eq=False)(cls)
    finally:
        for one in frozen:
            one.frozen = True


def _with_slots(cls: type[Any]) -> type[Any]:
    """The class once more, with slots: they can't be added to one that exists."""
    names = [f.name for f in dataclasses.fields(cls)]
    inherited = {slot for base in cls.__mro__[1:-1] for slot in vars(base).get("__slots__", ())}
    body = {name: value for name, value in vars(cls).items() if name not in (*names, "__dict__", "__weakref__")}
    body["__slots__"] = tuple(name for name in names if name not in inherited)
    body["__qualname__"] = cls.__qualname__
    new: type[Any] = type(cls).__call__(type(cls), cls.__name__, cls.__bases__, body)
    return new


def _getter(names: list[str]) -> Any:
    """The values of these fields as a tuple."""
    if len(names) > 1:
        return attrgetter(*names)
    return staticmethod(lambda record: tuple(getattr(record, name) for name in names))


# --- an __init__ that is compiled when it is first needed ---


def _first_init(cls: type[Any], frozen: bool, slots: bool) -> Any:
    def compile_and_call(self: Any, *args: Any, **given: Any) -> None:
        cls.__init__ = _init(cls, frozen, slots)
        cls.__init__(self, *args, **given)

    compile_and_call.__name__, compile_and_call.__qualname__ = "__init__", f"{cls.__qualname__}.__init__"
    return compile_and_call


def _init(cls: type[Any], frozen: bool, slots: bool) -> Any:
    known: dict[str, Any] = {"_absent": dataclasses.MISSING}
    parameters, lines = ["self"], ["own = self.__dict__"] if frozen and not slots else []
    for f in dataclasses.fields(cls):
        name, value = f.name, f.name
        parameter = name
        if f.default is not dataclasses.MISSING:
            known[f"_default_{name}"] = f.default
            parameter = f"{name}=_default_{name}"
        elif f.default_factory is not dataclasses.MISSING:
            known[f"_make_{name}"] = f.default_factory
            parameter, value = f"{name}=_absent", f"_make_{name}() if {name} is _absent else {name}"
        parameters.append(parameter)
        if not frozen:
            lines.append(f"self.{name} = {value}")
        elif isinstance(slot := getattr(cls, name, None), MemberDescriptorType):
            known[f"_set_{name}"] = slot.__set__
            lines.append(f"_set_{name}(self, {value})")
        else:
            lines.append(f"own[{name!r}] = {value}")
    if hasattr(cls, "__post_init__"):
        lines.append("self.__post_init__()")
    text = f"def __init__({', '.join(parameters)}):\n" + "\n".join(f"    {line}" for line in lines or ["pass"])
    exec(text, known)  # built of the names of fields alone
    known["__init__"].__qualname__ = f"{cls.__qualname__}.__init__"
    return known["__init__"]


# --- methods that all records share ---


def _repr(self: Any) -> str:
    shown = ", ".join(f"{f.name}={getattr(self, f.name)!r}" for f in dataclasses.fields(self) if f.repr)
    return f"{self.__class__.__qualname__}({shown})"


def _eq(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    return self._compared(self) == self._compared(other)


def _hash(self: Any) -> int:
    return hash(self._compared(self))


def _no_setting(self: Any, name: str, value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _no_deleting(self: Any, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, f.name) for f in dataclasses.fields(self)]


def _set_state(self: Any, state: list[Any]) -> None:
    for f, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, f.name, value)
