"""Writes the published JSON Schemas: `python tools/make_schemas.py`; with `--check` it only says what is stale."""

import json
import sys
from pathlib import Path

from wetside.sheets.jsonschema import SHEETS, sheet_schema

FOLDER = Path(__file__).parent.parent / "src" / "wetside" / "sheets" / "schema"


def texts() -> dict[str, str]:
    """File name → text of every schema."""
    made = {name: sheet_schema(name) for name in SHEETS}
    return {f"{name}.json": json.dumps(body, indent=2, ensure_ascii=False) + "\n" for name, body in made.items()}


def main(args: list[str]) -> int:
    FOLDER.mkdir(exist_ok=True)
    stale = [
        (FOLDER / name, text)
        for name, text in texts().items()
        if not (FOLDER / name).exists() or (FOLDER / name).read_text(encoding="utf-8") != text
    ]
    for path, text in stale:
        if "--check" not in args:
            path.write_text(text, encoding="utf-8", newline="\n")
        print(f"{'stale' if '--check' in args else 'wrote'} {path.name}")
    return int(bool(stale) and "--check" in args)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
