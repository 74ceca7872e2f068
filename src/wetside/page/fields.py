"""What each table of the job may say: taken from the job's published schema, so that the page offers every field."""

from functools import cache
from typing import Any

from wetside.basis.quantity import UNITS, Kind, System
from wetside.jobfile.publish import job_schema
from wetside.jobfile.schema import TABLES

REFERS = {
    "storey": "storey", "room": "room", "construction": "construction", "outer_wall": "construction",
    "inner_wall": "construction", "ground_floor": "construction", "inner_floor": "construction",
    "roof": "construction", "inner_door": "construction", "floor": "construction", "top": "construction",
}  # fmt: skip
"""Fields that hold a name of that table."""


@cache
def fields() -> dict[str, Any]:
    """Table → whether it stands many times, and its fields in order; an emitter's fields by its kind."""
    schema: dict[str, Any] = job_schema()
    found: dict[str, Any] = {}
    for table, kind in TABLES.items():
        shape = _bare(schema, schema["properties"][table])
        if kind.many:
            shape = _bare(schema, shape.get("items", {}))
        shapes = [_bare(schema, s) for s in shape.get("oneOf", shape.get("anyOf", [shape]))]
        merged: dict[str, dict[str, Any]] = {}
        for one in shapes:
            required = set(one.get("required", ()))
            own = _const(schema, one)
            for name, field in one.get("properties", {}).items():
                entry = merged.setdefault(
                    name, {"name": name, **_field(schema, name, field), "needed": name in required}
                )
                if own and len(shapes) > 1:
                    entry.setdefault("kinds", []).append(own)
                if name == "kind" and len(shapes) > 1:
                    entry["choices"] = list(dict.fromkeys([*entry.get("choices", []), own]))
        told = shapes[0].get("description", "") if len(shapes) == 1 else ""
        found[table] = {"many": kind.many, "key": list(kind.key), "help": told, "fields": list(merged.values())}
    return found


def _bare(schema: dict[str, Any], shape: dict[str, Any]) -> dict[str, Any]:
    while "$ref" in shape:
        at: Any = schema
        for step in shape["$ref"].removeprefix("#/").split("/"):
            at = at[step]
        shape = {**at, **{k: v for k, v in shape.items() if k != "$ref"}}
    return shape


def _entries(schema: dict[str, Any], inner: dict[str, Any]) -> dict[str, Any]:
    """What the list holds; of a list with a fixed number of entries, what its first is."""
    first: list[Any] = inner.get("prefixItems", [{}])
    items: Any = inner.get("items") or first[0]
    return _bare(schema, items) if isinstance(items, dict) else {}  # pyright: ignore[reportUnknownArgumentType]


def _const(schema: dict[str, Any], shape: dict[str, Any]) -> str:
    kind = _bare(schema, shape.get("properties", {}).get("kind", {}))
    return str(kind.get("const") or (kind.get("enum") or [""])[0])


def _field(schema: dict[str, Any], name: str, field: dict[str, Any]) -> dict[str, Any]:
    shape = _bare(schema, field)
    options = [_bare(schema, s) for s in shape.get("anyOf", ())]
    inner: dict[str, Any] = next((o for o in options if o.get("type") != "null"), shape) if options else shape
    if len([o for o in options if o.get("type") != "null"]) > 1:
        words = [v for o in options for v in o.get("enum", ())]
        inner = {"type": "any", **({"enum": words} if words else {})}
    found: dict[str, Any] = {
        "help": shape.get("description", inner.get("description", "")),
        "default": shape.get("default"),
    }
    if (quantity := inner.get("x-quantity")) is not None:
        kind = Kind(quantity)
        found |= {"type": "quantity", "units": {s.value: inner.get("x-unit") or UNITS[s][kind].text for s in System}}
    elif "const" in inner or "enum" in inner:
        found |= {"type": "choice", "choices": [inner["const"]] if "const" in inner else list(inner["enum"])}
        if inner.get("type") == "any":
            found["type"] = "any"
    elif inner.get("type") == "boolean":
        found["type"] = "yes"
    elif inner.get("type") == "integer":
        found["type"] = "whole"
    elif inner.get("type") == "array":
        entries = _entries(schema, inner)
        found["type"] = "lines" if entries.get("type") == "string" else "list"
        if "properties" in entries:
            found |= {"type": "rows", "columns": [
                {"name": n, "type": _field(schema, n, f)["type"]} for n, f in entries["properties"].items()
            ]}  # fmt: skip
        elif entries.get("type") == "array":
            found |= {"type": "rows", "columns": []}
    elif inner.get("type") == "string":
        found |= {"type": "text"} | ({"names": REFERS[name]} if name in REFERS else {})
    else:
        found["type"] = "any"
    return found
