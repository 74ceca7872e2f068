"""Records are frozen dataclasses as the standard library makes them, only defined more quickly."""

import copy
import pickle
from dataclasses import FrozenInstanceError, asdict, dataclass, field, fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.basis.record import record


@record
class Ours:
    """A tube of a list."""

    name: str
    bore_m: float = 0.013
    notes: list[str] = field(default_factory=list[str], metadata={"help": "what to know"})

    @property
    def shout(self) -> str:
        return self.name.upper()


@dataclass(frozen=True, slots=True, kw_only=True)
class Theirs:
    """A tube of a list."""

    name: str
    bore_m: float = 0.013
    notes: list[str] = field(default_factory=list[str], metadata={"help": "what to know"})


@record(kw_only=False)
class Pair:
    a: float
    b: float = 2.0


@record
class Longer(Pair):
    c: float


@record(eq=False)
class Apart:
    a: float


@record
class Nothing:
    """Without a field."""


VALUES = st.fixed_dictionaries(
    {"name": st.text()}, optional={"bore_m": st.floats(allow_nan=False), "notes": st.lists(st.text())}
)


@given(VALUES, VALUES)
def test_as_the_standard_ones(one: dict, two: dict) -> None:
    ours, theirs = Ours(**one), Theirs(**one)
    assert repr(ours) == repr(theirs).replace("Theirs", "Ours")
    assert asdict(ours) == asdict(theirs)
    assert (ours == Ours(**two)) == (theirs == Theirs(**two))
    assert [(f.name, f.default, f.metadata, f.kw_only) for f in fields(Ours)] == [
        (f.name, f.default, f.metadata, f.kw_only) for f in fields(Theirs)
    ]
    assert asdict(replace(ours, **two)) == asdict(replace(theirs, **two))
    assert Pair(1.0) != Ours(**one)


@given(st.floats(), st.floats())
def test_equal_ones_hash_alike(a: float, b: float) -> None:
    assert hash(Pair(a, b)) == hash(Pair(a, b))
    assert {Pair(a, b): 1}[Pair(a, b)] == 1


def test_a_factory_is_asked_each_time() -> None:
    assert Ours(name="x").notes is not Ours(name="x").notes


def test_nothing_can_be_changed() -> None:
    ours = Ours(name="x")
    with pytest.raises(FrozenInstanceError, match="name"):
        ours.name = "y"
    with pytest.raises(FrozenInstanceError, match="name"):
        del ours.name
    with pytest.raises(FrozenInstanceError):
        ours.other = 1
    assert not hasattr(ours, "__dict__")


def test_fields_are_given_by_name_unless_said() -> None:
    with pytest.raises(TypeError, match="positional"):
        Ours("x")
    with pytest.raises(TypeError, match="name"):
        Ours()
    with pytest.raises(TypeError, match="unexpected"):
        Ours(name="x", colour="red")
    assert Pair(1.0) == Pair(a=1.0, b=2.0)
    match Pair(3.0):
        case Pair(a, b):
            assert (a, b) == (3.0, 2.0)


def test_one_that_builds_on_another() -> None:
    longer = Longer(a=1.0, c=3.0)
    assert (longer.a, longer.b, longer.c) == (1.0, 2.0, 3.0)
    assert longer != Pair(1.0)
    assert longer == replace(Longer(1.0, c=4.0), c=3.0)


def test_records_of_arrays_are_the_same_as_themselves_only() -> None:
    apart = Apart(a=1.0)
    assert apart == apart
    assert apart != Apart(a=1.0)
    assert len({apart, Apart(a=1.0)}) == 2


def test_one_without_fields() -> None:
    assert Nothing() == Nothing()
    assert repr(Nothing()) == "Nothing()"
    assert hash(Nothing()) == hash(Nothing())


@pytest.mark.parametrize("one", [Ours(name="x"), Pair(1.0), Longer(a=1.0, c=2.0), Nothing()])
def test_kept_and_copied(one: object) -> None:
    assert pickle.loads(pickle.dumps(one)) == one
    assert copy.copy(one) == one
    assert copy.deepcopy(one) == one


@record
class Beside:
    a: float
    how: object = field(default=None, repr=False, compare=False)


def test_what_is_not_compared_or_shown() -> None:
    assert Beside(a=1.0, how=[1]) == Beside(a=1.0, how=[2])
    assert hash(Beside(a=1.0, how=[1])) == hash(Beside(a=1.0))
    assert repr(Beside(a=1.0, how=[1])) == "Beside(a=1.0)"


def test_without_words_of_its_own_a_record_is_called_by_its_name() -> None:
    assert Pair.__doc__ == "Pair"
    assert Ours.__doc__ == "A tube of a list."
