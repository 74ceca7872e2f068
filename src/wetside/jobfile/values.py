"""Values as a TOML file holds them, and how messages speak of them."""

from typing import Any, TypeGuard


def is_table(value: object) -> TypeGuard[dict[str, Any]]:
    """Whether a value from a TOML file is a table; its keys are text by TOML's own rules."""
    return isinstance(value, dict)


def is_list(value: object) -> TypeGuard[list[Any]]:
    """Whether a value from a TOML file is a list."""
    return isinstance(value, list)


def said(value: object) -> str:
    """A value from the file as a message speaks of it, short."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = value if len(value) <= 40 else value[:37] + "…"
        return '"' + "".join(c if c.isprintable() else "\ufffd" for c in text) + '"'
    if isinstance(value, int):
        return str(value) if abs(value) < 10**15 else "this number"
    if isinstance(value, float):
        return f"{value:g}"
    if is_list(value):
        return f"a list of {len(value)}"
    if is_table(value):
        return "a table"
    return f"the date or time {value}"


def toml_text(value: object) -> str:
    """A value as it is written in TOML, on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if is_list(value):
        return "[" + ", ".join(toml_text(x) for x in value) + "]"
    if is_table(value):
        return "{ " + ", ".join(f"{k} = {toml_text(v)}" for k, v in value.items()) + " }"
    return str(value)
