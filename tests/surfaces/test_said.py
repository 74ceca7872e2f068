"""Sheets explain themselves: help and unit on every field, schemas that are current, JSON without surprises."""

import json
import math
from dataclasses import dataclass, fields, is_dataclass
from importlib import import_module
from pathlib import Path
from typing import Any, get_args, get_type_hints

import jsonschema
import pytest

from wetside.sheets.jsonschema import SHEETS, names, object_schema, published, sheet_schema, type_schema
from wetside.sheets.said import as_data, as_json, said

SCHEMAS = Path(__file__).parents[2] / "src" / "wetside" / "sheets" / "schema"


def sheet_class(name: str) -> type:
    module, cls = SHEETS[name]
    return getattr(import_module(module), cls)


def parts_of(sheet: type) -> list[type]:
    """A sheet and every sheet inside it."""
    found = [sheet]
    for hint in get_type_hints(sheet).values():
        for inner in (hint, *get_args(hint)):
            if isinstance(inner, type) and is_dataclass(inner):
                found += parts_of(inner)
    return found


@pytest.mark.parametrize("name", SHEETS)
def test_every_field_has_help_and_every_number_a_unit(name: str) -> None:
    for sheet in parts_of(sheet_class(name)):
        hints = get_type_hints(sheet)
        for f in fields(sheet):
            where = f"{sheet.__name__}.{f.name}"
            assert (
                f.metadata["help"].endswith((".", "…")) and f.metadata["help"][0].isupper()
            ) or "breaks," in f.metadata["help"], where
            if hints[f.name] is float:
                assert f.metadata["unit"], where


@pytest.mark.parametrize("name", SHEETS)
def test_a_published_schema_is_current_and_sound(name: str) -> None:
    schema = sheet_schema(name)
    assert json.loads((SCHEMAS / f"{name}.json").read_text(encoding="utf-8")) == schema, "run tools/make_schemas.py"
    jsonschema.Draft202012Validator.check_schema(schema)


def test_no_schema_is_left_over() -> None:
    assert {p.stem for p in SCHEMAS.glob("*.json")} == set(SHEETS) == set(names()) - {"job"}


def test_an_unknown_schema_names_the_nearest() -> None:
    with pytest.raises(ValueError, match='did you mean "rooms"'):
        published("room")


@dataclass(frozen=True, slots=True, kw_only=True)
class Inner:
    size: float = said("Size.", "m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outer:
    name: str = said("Name.")
    parts: tuple[Inner, ...] = said("Parts.")
    limit: float | None = said("Limit.", "m")


def test_a_schema_refuses_what_the_sheet_does_not_have() -> None:
    defs: dict[str, Any] = {}
    schema = {**object_schema(Outer, defs), "$defs": defs}
    good = as_data(Outer(name="a", parts=(Inner(size=1.0),), limit=None))
    jsonschema.validate(good, schema)
    for bad in ({**good, "more": 1}, {**good, "limit": "1"}, {"name": "a"}, {**good, "parts": [{"size": None}]}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(bad, schema)


def test_a_type_without_schema_is_refused() -> None:
    with pytest.raises(TypeError, match="no schema"):
        type_schema(dict[str, int], {})


def test_numbers_that_are_not_finite_become_null() -> None:
    text = as_json(Outer(name="ä", parts=(Inner(size=math.inf),), limit=math.nan))
    assert json.loads(text) == {"name": "ä", "parts": [{"size": None}], "limit": None}
    assert "ä" in text
    assert as_json(Outer(name="ä", parts=(), limit=None), ascii_only=True).isascii()
