"""The in-line items that wetside ships: one of each trade kind."""

from functools import cache

from wetside.basis.tables import load, number
from wetside.pipework.spec import Item, ItemKind


@cache
def shipped_items() -> tuple[Item, ...]:
    """One item of every kind, named by the kind's word, with typical length and mass (table `items`).

    They carry no loss figures: those are the network's typical ones unless the job gives its own.

    :raises TableProblem: the shipped table is damaged
    """
    by_name = load("items").by("name")
    return tuple(
        Item(
            name=kind.value,
            kind=kind,
            length_m=number(by_name[kind.value], "length"),
            mass_kg=number(by_name[kind.value], "mass"),
            on_branch=by_name[kind.value]["on_branch"] == "yes",
        )
        for kind in ItemKind
    )


SPOKEN: dict[str, str] = {
    "trv": "thermostatic valve", "thermostatic radiator valve": "thermostatic valve",
    "radiator valve": "lockshield valve", "lockshield": "lockshield valve", "lsv": "lockshield valve",
    "ball valve": "isolating valve", "isolator": "isolating valve", "service valve": "isolating valve",
    "stop valve": "globe valve", "nrv": "check valve", "non-return valve": "check valve",
    "one-way valve": "check valve", "motorised valve": "zone valve", "double regulating valve": "balancing valve",
    "prv": "relief valve", "srv": "relief valve", "safety valve": "relief valve", "aav": "air vent",
    "bleeder": "air vent", "drain valve": "drain cock", "filter": "strainer", "pump": "circulator",
    "vessel": "expansion vessel", "expansion tank": "expansion vessel", "gauge": "pressure gauge",
    "flow setter": "flow meter", "abv": "bypass valve",
}  # fmt: skip
"""Other words of the trade, folded, for the kinds of item: for the remedy when a job uses one."""
