"""JSON Schemas of the sheets, made from the sheets themselves.

Published beside this module in `schema/`; a test holds them current. `tools/make_schemas.py` writes them.
"""

import types
from dataclasses import fields, is_dataclass
from importlib.resources import files
from typing import Any, Union, get_args, get_origin, get_type_hints

from wetside.basis.errors import nearest
from wetside.sheets.said import key

DIALECT = "https://json-schema.org/draft/2020-12/schema"

# Name of a schema → module and class of its sheet. Named rather than imported, so that asking for one stays cheap.
SHEETS: dict[str, tuple[str, str]] = {
    "check": ("wetside.sheets.check", "CheckSheet"),
    "rooms": ("wetside.sheets.rooms", "RoomsSheet"),
    "flow": ("wetside.sheets.flow", "FlowSheet"),
    "size": ("wetside.sheets.size", "SizeSheet"),
    "balance": ("wetside.sheets.balance", "BalanceSheet"),
    "takeoff": ("wetside.sheets.takeoff", "TakeoffSheet"),
    "cuts": ("wetside.sheets.cuts", "CutsSheet"),
    "buy": ("wetside.sheets.buy", "BuySheet"),
    "bench": ("wetside.sheets.bench", "BenchSheet"),
    "assemble": ("wetside.sheets.assemble", "AssembleSheet"),
    "supports": ("wetside.sheets.supports", "SupportsSheet"),
    "takeoff-csv": ("wetside.sheets.written", "CsvSheet"),
    "new": ("wetside.sheets.written", "NewSheet"),
    "draw": ("wetside.sheets.written", "DrawSheet"),
    "pack": ("wetside.sheets.written", "PackSheet"),
    "mistakes": ("wetside.sheets.written", "MistakesSheet"),
}


def type_schema(of: Any, defs: dict[str, Any]) -> dict[str, Any]:
    """Schema of one field's type: text, number, flag, a sheet, a tuple of one kind, or any of these or nothing.

    :raises TypeError: a type that no sheet uses
    """
    plain: dict[Any, str] = {str: "string", int: "integer", float: "number", bool: "boolean"}
    if of in plain:
        return {"type": plain[of]}
    origin, args = get_origin(of), get_args(of)
    if origin in (Union, types.UnionType) and len(args) == 2 and args[1] is type(None) and args[0] in plain:
        return {"type": [plain[args[0]], "null"]}
    if origin is tuple and len(args) == 2 and args[1] is Ellipsis:
        return {"type": "array", "items": type_schema(args[0], defs)}
    if isinstance(of, type) and is_dataclass(of):
        if of.__name__ not in defs:
            defs[of.__name__] = {}
            defs[of.__name__] = object_schema(of, defs)
        return {"$ref": f"#/$defs/{of.__name__}"}
    raise TypeError(f"no schema for {of!r}")


def object_schema(sheet: type, defs: dict[str, Any]) -> dict[str, Any]:
    """Schema of one dataclass: every field required, nothing else allowed, help and unit from the field."""
    hints = get_type_hints(sheet)
    properties: dict[str, Any] = {}
    for f in fields(sheet):
        one = type_schema(hints[f.name], defs)
        one["description"] = f.metadata["help"]
        if f.metadata["unit"]:
            one["x-unit"] = f.metadata["unit"]
        properties[key(f.name)] = one
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def sheet_schema(name: str) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a sheet, by its name in `SHEETS`.

    :raises KeyError: no such sheet
    """
    from importlib import import_module

    module, cls = SHEETS[name]
    defs: dict[str, Any] = {}
    body = object_schema(getattr(import_module(module), cls), defs)
    head = {"$schema": DIALECT, "$id": f"urn:wetside:schema:{name}", "title": f"wetside {name}"}
    return {**head, **body, "$defs": dict(sorted(defs.items()))}


def names() -> tuple[str, ...]:
    """Names of all published schemas."""
    return (*SHEETS, "job")


def published(name: str) -> str:
    """Text of a published schema.

    :raises ValueError: no such schema; the message says which there are
    """
    if name not in names():
        raise ValueError(f'there is no schema "{name}"; {nearest(name, names())}')
    # the job's own schema is published beside the reader that keeps it
    package, file = ("jobfile", "job.schema.json") if name == "job" else ("sheets", f"schema/{name}.json")
    return (files(f"wetside.{package}") / file).read_text(encoding="utf-8")
