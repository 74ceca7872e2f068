"""Remedies for unknown names: the person's word may be in another order, abbreviated, or a size alone."""

import pytest

from wetside.basis.errors import nearest
from wetside.basis.quantity import Kind, System, accepted_units, example, parse
from wetside.pipework.items import SPOKEN, shipped_items
from wetside.pipework.spec import ItemKind
from wetside.pipework.tubes import shipped_tubes

TUBES = [t.name for t in shipped_tubes()]
ITEMS = [x.name for x in shipped_items()]


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("22 mm copper", "copper 22"), ("copper22", "copper 22"), ("Copper 22 mm", "copper 22"), ("15mm", "copper 15"),
        ("3/4 copper L", "copper L 3/4"), ("coper 28", "copper 28"),
    ],
)  # fmt: skip
def test_order_of_words_and_units_count_for_nothing(word: str, name: str) -> None:
    assert nearest(word, TUBES) == f'did you mean "{name}"?'


@pytest.mark.parametrize(("word", "name"), [("TRV", "thermostatic valve"), ("valve, isolating", "isolating valve")])
def test_words_of_the_trade_are_understood(word: str, name: str) -> None:
    assert nearest(word, ITEMS, SPOKEN) == f'did you mean "{name}"?'


def test_spoken_words_lead_to_kinds_that_exist() -> None:
    assert set(SPOKEN.values()) <= {k.value for k in ItemKind}
    assert all(word == word.casefold() for word in SPOKEN)


def test_lists_keep_their_order_and_sets_get_one() -> None:
    assert nearest("xyz", ["gate valve", "A1"]) == 'known: "gate valve", "A1"'
    assert nearest("xyz", {"gate valve", "a valve"}) == 'known: "a valve", "gate valve"'
    assert nearest("xyz", []) == "none is defined"


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("system", System)
def test_examples_can_be_read(kind: Kind, system: System) -> None:
    assert parse(example(kind, system), kind, system) > 0.0
    for unit in accepted_units(kind):
        assert parse(f"1 {unit}", kind, system) is not None


def test_units_are_advised_as_people_write_them() -> None:
    assert example(Kind.POWER, System.METRIC) == "1.5 kW"
    assert example(Kind.POWER, System.US) == "5000 Btu/h"
    assert "kW" in accepted_units(Kind.POWER)
    with pytest.raises(ValueError, match=r'such as "1\.5 kW"'):
        parse("15 bar", Kind.POWER, System.METRIC)
