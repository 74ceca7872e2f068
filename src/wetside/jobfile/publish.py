"""The JSON Schema of a job file, for editors that check while typing. Made from the models and nothing else."""

import json
from functools import cache
from importlib.resources import files
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, models_json_schema

from wetside.basis.quantity import UNITS, Kind, System
from wetside.jobfile.field import Table
from wetside.jobfile.schema import EMITTERS, FORMAT, TABLES
from wetside.jobfile.values import is_list, is_table

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def job_schema() -> dict[str, Any]:
    """JSON Schema of ``job.toml``."""
    models: list[type[Table]] = [k.model for name, k in TABLES.items() if name != "emitter"]
    models += EMITTERS.values()
    by_model, definitions = models_json_schema(
        [(m, "validation") for m in models], schema_generator=GenerateJsonSchema, ref_template="#/$defs/{model}"
    )
    refs = {model: ref for (model, _), ref in by_model.items()}
    properties: dict[str, Any] = {
        "format": {"const": FORMAT, "description": "Format of this file."},
    }
    for name, kind in TABLES.items():
        one: Any = {"oneOf": [refs[m] for m in EMITTERS.values()]} if name == "emitter" else refs[kind.model]
        properties[name] = {"type": "array", "items": one} if kind.many else one
        if kind.needed and kind.many:
            properties[name]["minItems"] = 1
    defs: dict[str, Any] = definitions["$defs"]
    for model in defs.values():
        for prop in model.get("properties", {}).values():
            _tidy(prop)
    return {
        "$schema": DIALECT,
        "title": "wetside job",
        "description": "One house's heating: building, equipment and runs of tube.",
        "type": "object",
        "properties": properties,
        "required": ["format", *(n for n, k in TABLES.items() if k.needed)],
        "additionalProperties": False,
        "$defs": defs,
    }


def schema_text() -> str:
    """The schema as it is published."""
    return json.dumps(job_schema(), indent=1, ensure_ascii=False, default=str) + "\n"


@cache
def published() -> str:
    """The schema file that ships with wetside."""
    return (files("wetside.jobfile") / "job.schema.json").read_text(encoding="utf-8")


def kinds_in(prop: object) -> list[Kind]:
    """The kinds of quantity anywhere in a property's schema, in order."""
    inner: list[object] = list(prop.values()) if is_table(prop) else prop if is_list(prop) else []
    own = [Kind(prop["x-quantity"])] if is_table(prop) and "x-quantity" in prop else []
    return list(dict.fromkeys([*own, *(k for x in inner for k in kinds_in(x))]))


def unit_words(kind: Kind) -> str:
    """``m or ft``: the units of a bare number in metric and US jobs, or one if they agree, or empty."""
    metric, us = UNITS[System.METRIC][kind].text, UNITS[System.US][kind].text
    if kind is Kind.SHARE:
        return "part of one"
    return metric if metric == us else f"{metric} or {us}"


def units_in(prop: object) -> list[str]:
    """The units of bare numbers anywhere in a property's schema, in order."""
    inner: list[object] = list(prop.values()) if is_table(prop) else prop if is_list(prop) else []
    own: list[str] = []
    if is_table(prop) and "x-quantity" in prop:
        own.append(str(prop.get("x-unit") or unit_words(Kind(prop["x-quantity"]))))
    return list(dict.fromkeys(w for w in (*own, *(w for x in inner for w in units_in(x))) if w))


def _tidy(prop: dict[str, Any]) -> None:
    """Say the units in the description, for the editor's hint; drop what TOML has not (null) and SI defaults."""
    quantities = kinds_in(prop)
    words = units_in(prop)
    if words and "description" in prop:
        prop["description"] += f" Bare number: {', '.join(words)}."
    if quantities or prop.get("default", 0) is None:
        prop.pop("default", None)
    prop.pop("title", None)
    choices = [x for x in prop.get("anyOf", []) if x != {"type": "null"}]
    if len(choices) == 1:
        del prop["anyOf"]
        prop.update(choices[0])
    elif choices:
        prop["anyOf"] = choices
