"""Shipped tables keep their promises, and a damaged one is refused."""

import tomllib
from importlib.resources import files

import pytest

from wetside.basis import tables
from wetside.basis.errors import TableProblem

DATA = files("wetside.basis") / "data"
NAMES = sorted(f.name.removesuffix(".csv") for f in DATA.iterdir() if f.name.endswith(".csv"))


@pytest.mark.parametrize("name", NAMES)
def test_shipped_table(name: str) -> None:
    table = tables.load(name)
    about = tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"))
    assert table.rows
    assert {"title", "range", "interpolation", "typed_by", "date", "sha256"} <= set(about)
    for row in table.rows:
        assert tables.reference(str(row["source"]))


def test_headers_carry_units() -> None:
    assert tables.split_header("bore_mm") == ("bore", 1e-3)
    assert tables.split_header("conductivity_w_mk") == ("conductivity", 1.0)
    assert tables.split_header("mass_kg_m") == ("mass", 1.0)
    assert tables.split_header("source") == ("source", None)


def test_unknown_source_and_missing_table_are_refused() -> None:
    with pytest.raises(TableProblem, match="not in sources"):
        tables.reference("nobody-wrote-this")
    with pytest.raises(TableProblem, match="incomplete"):
        tables.load("no_such_table")
    assert tables.reference("common practice") == "common practice, no source"


def test_a_cell_that_is_no_number_is_refused() -> None:
    with pytest.raises(TableProblem, match="holds no number"):
        tables.number({"bore": ""}, "bore")
