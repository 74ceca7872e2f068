"""Loader of the published tables that ship with wetside.

A table is `data/NAME.csv` beside `data/NAME.toml` (title, range, interpolation, who typed it, sha256). Numeric column
headers end in a unit suffix (`_mm`, `_w`, …) and are turned into SI here; each row carries a `source` key that
`data/sources.toml` lists. A table that breaks one of these promises raises `TableProblem`.
"""

import csv
import hashlib
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from wetside.basis.errors import TableProblem
from wetside.basis.quantity import BTU, FOOT, GALLON, INCH, KV_PER_CV, POUND
from wetside.basis.record import record

# Header suffix → factor to SI. A column without a listed suffix is text.
SUFFIX: dict[str, float] = {
    "mm": 1e-3, "m": 1.0, "in": INCH, "ft": FOOT, "ft2": FOOT**2, "m2": 1.0, "c": 1.0, "k": 1.0, "kg": 1.0, "lb": POUND,
    "kg_m": 1.0, "kg_m2": 1.0, "kg_m3": 1.0, "lb_ft": POUND / FOOT, "l": 1e-3, "l_m": 1e-3, "l_m2": 1e-3, "gal": GALLON, "w": 1.0, "kw": 1e3,
    "w_m": 1.0, "w_k": 1.0, "w_mk": 1.0, "w_m2": 1.0, "w_m2k": 1.0, "m2k_w": 1.0, "btu_h": BTU / 3600, "pa": 1.0, "bar": 1e5, "kpa": 1e3,
    "pa_s": 1.0, "mpa_s": 1e-3, "j_kgk": 1.0, "kv": 1.0, "cv": KV_PER_CV, "m_s": 1.0, "ratio": 1.0, "count": 1.0,
    "per_k": 1.0, "per_h": 1.0, "l_s": 1e-3, "l_min": 1e-3 / 60, "ft_s": FOOT, "pa_m": 1.0, "m3_h": 1.0 / 3600, "deg": 1.0,
    "kg_ft2": 1.0 / FOOT**2, "l_ft2": 1e-3 / FOOT**2, "mj_m3": 1e6, "mj_kg": 1e6, "wh_m3k": 3600.0,
    "n": 1.0, "kn_mm": 1e6, "gpa": 1e9, "mpa": 1e6,
}  # fmt: skip


@record(kw_only=False)
class Table:
    """Rows as mappings: numeric columns as SI floats under the header without its suffix, other columns as text."""

    name: str
    title: str
    rows: tuple[Mapping[str, float | str], ...]
    range: str

    def by(self, column: str) -> dict[str, Mapping[str, float | str]]:
        """Rows keyed by a text column."""
        return {str(r[column]): r for r in self.rows}


def number(row: Mapping[str, float | str], column: str) -> float:
    """A numeric cell.

    :raises TableProblem: the cell is empty or text
    """
    value = row.get(column)
    if not isinstance(value, float):
        raise TableProblem(f"column {column!r} holds no number in row {dict(row)!r}")
    return value


def split_header(header: str) -> tuple[str, float | None]:
    """``"bore_mm"`` → ``("bore", 1e-3)``; a text column keeps its name and gets no factor."""
    parts = header.split("_")
    for start in range(1, len(parts)):
        suffix = "_".join(parts[start:])
        if suffix in SUFFIX:
            return "_".join(parts[:start]), SUFFIX[suffix]
    return header, None


@cache
def sources() -> dict[str, str]:
    """Key → full reference."""
    text = (files("wetside.basis") / "data" / "sources.toml").read_text(encoding="utf-8")
    return {k: str(v["reference"]) for k, v in tomllib.loads(text).items()}


def reference(key: str) -> str:
    """The full reference behind a source key; ``common practice`` stands for itself.

    :raises TableProblem: nobody listed the key
    """
    if key == "common practice":
        return "common practice, no source"
    base, _, detail = key.partition("#")
    known = sources()
    if base not in known:
        raise TableProblem(f"source {base!r} is not in sources.toml")
    return f"{known[base]}, {detail}" if detail else known[base]


@cache
def load(name: str) -> Table:
    """Read a shipped table, checking its promises.

    :raises TableProblem: missing file, wrong hash, unknown source, a cell that is no number
    """
    folder = files("wetside.basis") / "data"
    try:
        raw = (folder / f"{name}.csv").read_bytes()
        about = tomllib.loads((folder / f"{name}.toml").read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise TableProblem(f"table {name!r} is incomplete: {error}") from None
    if hashlib.sha256(raw).hexdigest() != about.get("sha256"):
        raise TableProblem(f"table {name!r} does not have the hash that {name}.toml states")
    reader = csv.DictReader(raw.decode("utf-8").splitlines())
    headers = {h: split_header(h) for h in reader.fieldnames or ()}
    if "source" not in headers:
        raise TableProblem(f"table {name!r} has no source column")
    rows: list[Mapping[str, float | str]] = []
    for line, cells in enumerate(reader, start=2):
        row: dict[str, float | str] = {}
        for header, (column, factor) in headers.items():
            text = (cells[header] or "").strip()
            if factor is None or text == "":
                row[column] = text
                continue
            try:
                row[column] = float(text) * factor
            except ValueError:
                raise TableProblem(f"table {name!r}, line {line}, {header}: {text!r} is no number") from None
        if str(row["source"]) != "common practice" and str(row["source"]).partition("#")[0] not in sources():
            raise TableProblem(f"table {name!r}, line {line}: unknown source {row['source']!r}")
        rows.append(row)
    return Table(name, str(about.get("title", name)), tuple(rows), str(about.get("range", "")))
