"""Records are what the standard library's dataclasses are, method for method; only quicker to define and to fill."""

from __future__ import annotations

import dataclasses
import pickle
from dataclasses import FrozenInstanceError, field
from typing import Any

import pytest

from inspect_core.records import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """A place."""

    name: str
    at: float = 0.0
    marks: list[str] = field(default_factory=list, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Corner(Place):
    turn: int = 1


@dataclass(frozen=True, slots=True)
class Alone:
    only: tuple[int, ...] = ()


@dataclass(slots=True)
class Count:
    number: int = 0


@dataclass(frozen=True)
class Kept:
    name: str

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Kept)

    def __hash__(self) -> int:
        return 7


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Itself:
    name: str = ""


@dataclass(frozen=True, slots=True)
class Positive:
    number: int

    def __post_init__(self) -> None:
        if self.number < 0:
            raise ValueError("less than nothing")


@dataclasses.dataclass(frozen=True, slots=True)
class Standard:
    """The standard library's, to compare with."""

    name: str
    at: float = 0.0


def test_fields_and_defaults() -> None:
    place = Place("a")
    assert (place.name, place.at, place.marks) == ("a", 0.0, [])
    assert Place("a").marks is not place.marks
    assert [f.name for f in dataclasses.fields(Corner)] == ["name", "at", "marks", "turn"]
    assert Corner("a", 2.0, ["x"], turn=3).turn == 3
    assert dataclasses.replace(Corner("a"), at=4.0) == Corner("a", 4.0)
    assert dataclasses.is_dataclass(place)
    assert dataclasses.asdict(place) == {"name": "a", "at": 0.0, "marks": []}


@pytest.mark.parametrize("arguments", [{}, {"name": "a", "colour": "red"}, {"at": 1.0}])
def test_wrong_arguments_are_refused_each_time(arguments: dict[str, Any]) -> None:
    for _ in range(2):  # the first call compiles
        with pytest.raises(TypeError):
            Place(**arguments)


def test_frozen_records_stay_as_they_are() -> None:
    place, kept = Place("a"), Kept("a")
    for record in (place, kept):
        with pytest.raises(FrozenInstanceError, match="cannot assign to field 'name'"):
            record.name = "b"  # type: ignore[misc]
        with pytest.raises(FrozenInstanceError, match="cannot delete field 'name'"):
            del record.name
    with pytest.raises(AttributeError):
        object.__setattr__(place, "colour", "red")  # slots: there is no room for more
    count = Count()
    count.number = 2
    assert count == Count(2)


def test_equality_and_hash_are_those_of_the_fields() -> None:
    assert Place("a", marks=["x"]) == Place("a")
    assert hash(Place("a", 1.0)) == hash(Place("a", 1.0)) == hash(("a", 1.0)) == hash(Standard("a", 1.0))
    assert Place("a") != Place("b")
    assert Place("a") != Corner("a")
    other: object = Standard("a")
    assert Place("a") != other
    assert (Alone((1,)), hash(Alone((1,)))) == (Alone((1,)), hash(((1,),)))
    assert Alone((1,)) != Alone((2,))
    assert (Kept("a") == Kept("b"), hash(Kept("a"))) == (True, 7)
    assert Itself("a") != Itself("a")
    assert len({Itself("a"), Itself("a")}) == 2
    with pytest.raises(TypeError, match="unhashable"):
        hash(Count())


def test_shown_as_the_standard_ones_are() -> None:
    assert repr(Place("a", 1.0)) == "Place(name='a', at=1.0)"
    assert repr(Standard("a", 1.0)) == "Standard(name='a', at=1.0)"
    assert repr(Itself("a")).startswith("<")


def test_the_standard_ones_can_be_made_of_them() -> None:
    @dataclasses.dataclass(frozen=True)
    class Room(Place):
        use: str = ""

    room = Room("a", 1.0, use="hall")
    assert (room.name, room.at, room.use) == ("a", 1.0, "hall")
    assert room == Room("a", 1.0, use="hall") != Room("a", 1.0, use="bath")
    with pytest.raises(FrozenInstanceError):
        room.use = "bath"  # type: ignore[misc]
    with pytest.raises(TypeError, match="non-frozen"):
        dataclasses.dataclass(type("Loose", (Place,), {"__annotations__": {"use": str}, "use": ""}))


def test_what_stands_after_init_runs() -> None:
    assert Positive(1).number == 1
    with pytest.raises(ValueError, match="less than nothing"):
        Positive(-1)


def test_records_go_from_process_to_process() -> None:
    for record in (Corner("a", 2.0, ["x"], 3), Count(4), Alone((1, 2))):
        assert pickle.loads(pickle.dumps(record)) == record
    assert pickle.loads(pickle.dumps(Corner("a", marks=["x"]))).marks == ["x"]


def test_a_class_keeps_its_name_and_words() -> None:
    assert (Place.__name__, Place.__qualname__, Place.__module__, Place.__doc__) == (
        "Place", "Place", __name__, "A place."
    )  # fmt: skip
    assert Place.__init__.__qualname__ == "Place.__init__"
