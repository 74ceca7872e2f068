"""Fill the generated parts of docs/job-file.md: units, worked example, tables and fields, all from the models."""

import re
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic.fields import FieldInfo

from wetside.basis.quantity import UNITS, Kind, System, accepted_units, show
from wetside.emitter.ratings import styles
from wetside.house.materials import known_materials
from wetside.jobfile.check import table_in
from wetside.jobfile.field import Table
from wetside.jobfile.publish import job_schema, kinds_in, units_in
from wetside.jobfile.schema import EMITTERS, FORMAT, TABLES
from wetside.jobfile.values import toml_text
from wetside.pipework.items import shipped_items
from wetside.pipework.tubes import shipped_tubes

PAGE = Path(__file__).parents[1] / "docs" / "job-file.md"


def page(text: str) -> str:
    """The page with every generated part made anew."""
    parts = {"units": units(), "example": example(), "tables": "\n".join(tables()), "shipped": shipped()}
    for name, part in parts.items():
        begin, end = f"<!-- {name}: begin -->", f"<!-- {name}: end -->"
        before, rest = text.split(begin)
        _, after = rest.split(end)
        text = f"{before}{begin}\n{part.strip()}\n{end}{after}"
    return text


def example() -> str:
    return f"```toml\n{(files('wetside.jobfile') / 'starter' / 'job.toml').read_text(encoding='utf-8').rstrip()}\n```"


def units() -> str:
    rows = ["| quantity | bare number, metric | bare number, US | units in text |", "|---|---|---|---|"]
    used = kinds_in(job_schema()["$defs"])
    for kind in Kind:
        if kind in used and kind is not Kind.NUMBER:
            metric, us = _bare(kind, System.METRIC), _bare(kind, System.US)
            rows.append(f"| {kind.value} | {metric} | {us} | {', '.join(f'`{u}`' for u in accepted_units(kind))} |")
    return "\n".join(rows)


def shipped() -> str:
    """Names that a job may use without defining them."""
    tubes = ", ".join(f"`{t.name}`" for t in shipped_tubes())
    items = ", ".join(f"`{x.name}`" for x in shipped_items())
    materials = ", ".join(f"`{m}`" for m in known_materials())
    types = ", ".join(f"`{s}`" for s in styles())
    return "\n\n".join(
        (
            f"**Tubes** for `tube`: {tubes}.",
            f"**Items** for `fit` and for valves of emitters: {items}.",
            f"**Materials** that bring their own conductivity: {materials}.",
            f"**Types** for `style` of column radiators: {types}.",
        )
    )


def _bare(kind: Kind, system: System) -> str:
    return "part of one, 0.15" if kind is Kind.SHARE else UNITS[system][kind].text


def tables() -> Iterator[str]:
    yield f"At the top of the file stands `format = {FORMAT}`; in a variant, `base` instead.\n"
    schema = job_schema()
    for name, kind in TABLES.items():
        head = f"[[{name}]]" if kind.many else f"[{name}]"
        yield f"### `{head}`\n"
        if name == "emitter":
            yield "An emitter. Its kind settles how its output is said. All kinds have\n"
            yield from fields(kind.model, schema, skip=())
            for word, model in EMITTERS.items():
                yield f'#### `kind = "{word}"`\n'
                yield f"{about(model)}\n"
                yield from fields(model, schema, skip=tuple(kind.model.model_fields))
            continue
        yield f"{about(kind.model)}{' Needed.' if kind.needed else ''}\n"
        yield from fields(kind.model, schema, skip=())
        for field, info in kind.model.model_fields.items():
            inner = table_in(info.annotation)
            if inner is not None:
                yield f"Each of `{field}`: {about(inner)[0].lower()}{about(inner)[1:]}\n"
                yield from fields(inner, schema, skip=())


def about(model: type[Table]) -> str:
    return " ".join((model.__doc__ or "").split())


def fields(model: type[Table], schema: dict[str, Any], skip: tuple[str, ...]) -> Iterator[str]:
    yield "| field | meaning | unit or values | default |"
    yield "|---|---|---|---|"
    for name, info in model.model_fields.items():
        if name not in skip:
            values = unit(info, model)
            yield f"| `{name}` | {info.description} | {values} | {default(info, model)} |"
    yield ""


def _property(info: FieldInfo, model: type[Table]) -> Any:
    properties = model.model_json_schema()["properties"]
    return next(properties[n] for n, f in model.model_fields.items() if f is info)


def unit(info: FieldInfo, model: type[Table]) -> str:
    prop = _property(info, model)
    kinds = kinds_in(prop)
    words = units_in(prop)
    if words:
        return ", ".join(words)
    if kinds:
        return "number"
    choices = list(_choices(prop))
    if choices:
        number = any(one.get("type") == "integer" for one in prop.get("anyOf", []))
        words = ", ".join(f"`{toml_text(c)}`" for c in choices)
        return f"{words}, or an edge's number from 1" if number else words
    inner = table_in(info.annotation)
    if inner is not None:
        return "see below"
    kind = str(_types(prop))
    return {"string": "text", "boolean": "`true` or `false`", "integer": "whole number", "array": "list of text"}[kind]


def _choices(prop: dict[str, Any]) -> Iterator[object]:
    if "enum" in prop:
        yield from prop["enum"]
    if "const" in prop:
        yield prop["const"]
    for one in prop.get("anyOf", []):
        yield from _choices(one)


def _types(prop: dict[str, Any]) -> object:
    if prop.get("format") == "date":
        return "string"
    return prop.get("type") or next(x["type"] for x in prop["anyOf"] if x.get("type") != "null")


def default(info: FieldInfo, model: type[Table]) -> str:
    if info.is_required():
        return f"*needed*, such as `{toml_text(info.examples[0])}`" if info.examples else "*needed*"
    value = info.get_default(call_default_factory=True)
    if value in (None, "", []):
        return ""
    kinds = kinds_in(_property(info, model))
    if kinds and kinds[0] is Kind.NUMBER:
        return f"{value:g}"
    if kinds and isinstance(value, float):
        places = 2 if kinds[0] is Kind.SIZE else None
        metric = show(value, kinds[0], System.METRIC).replace("\u202f", " ")
        us = show(value, kinds[0], System.US, places).replace("\u202f", " ")
        return metric if metric == us or not value else f"{metric} ({us})"
    return f"`{toml_text(value)}`"


def main() -> None:
    text = PAGE.read_text(encoding="utf-8")
    PAGE.write_text(re.sub(r"[ \t]+\n", "\n", page(text)), encoding="utf-8")


if __name__ == "__main__":
    main()
