"""How a sheet says what its fields mean, and how it becomes JSON.

A sheet is a frozen dataclass; every field carries help text and, where it is a number, its SI unit. The JSON of a
command is exactly its sheet, field by field, and `jsonschema` publishes the same help.
"""

import json
import math
from dataclasses import Field, field, fields, is_dataclass
from enum import Enum
from typing import Any, ClassVar, Protocol, cast


class Sheet(Protocol):
    """Any frozen dataclass made of sheet fields."""

    __dataclass_fields__: ClassVar[dict[str, "Field[Any]"]]


def said(text: str, unit: str = "") -> Any:
    """A required field of a sheet.

    :param text: what it is, in words that a person at the job understands
    :param unit: SI unit of a number, as `basis.quantity.SI_TEXT` writes it
    """
    return field(metadata={"help": text, "unit": unit})


def key(field_name: str) -> str:
    """The name of a field in JSON: `from_` is ``"from"``, which Python keeps for itself."""
    return field_name.rstrip("_")


def as_data(value: object) -> Any:
    """Sheet → plain lists, mappings, text and numbers. A number that is not finite becomes null."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if value is None or isinstance(value, str | int):
        return value
    if is_dataclass(value) and not isinstance(value, type):
        return {key(f.name): as_data(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, list | tuple):
        return [as_data(v) for v in cast("list[object] | tuple[object, ...]", value)]
    raise TypeError(f"{type(value).__name__} has no place on a sheet")


def as_json(sheet: Sheet, *, ascii_only: bool = False) -> str:
    """The JSON of a sheet: two spaces of indent, fields in the sheet's order."""
    return json.dumps(as_data(sheet), indent=2, ensure_ascii=ascii_only, allow_nan=False)
