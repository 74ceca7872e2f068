"""Writes docs/terminal.md from the commands' own help: `python tools/make_cli_docs.py`; `--check` only looks."""

import sys
from pathlib import Path

import click

from wetside.cli import exits
from wetside.cli.main import cli

FILE = Path(__file__).parent.parent / "docs" / "terminal.md"

HEAD = """# wetside in the terminal

Made by `python tools/make_cli_docs.py` from the commands' own help; don't edit by hand.

A job is a folder with `job.toml` in it, or the file of a variant. Every command takes it as JOB; without JOB it reads
the folder that you are in.

```sh
wetside new my-house --like net-loft
wetside open my-house
wetside check my-house
wetside rooms my-house --surfaces
wetside flow my-house
wetside size my-house
wetside balance my-house --write
wetside takeoff my-house --csv my-house.csv
wetside draw my-house -o drawings
wetside pack my-house -o my-house.pdf
```

## Exit codes

| code | meaning |
| --- | --- |
"""

JSON = """
## JSON

With `--json` a command prints one JSON object and nothing else. Numbers are SI, whatever units the job is written in:
W, kg/s, m³/s, Pa, m, °C. Text in a field that ends in `_text` is what people read, in the job's units. A number that is
not known is `null`. Each object has a published JSON Schema (draft 2020-12) that says what every field means and its
unit:

```sh
wetside schema check
wetside check my-house --json | jq '.findings[] | select(.verdict == "breaks")'
```

With `--json` errors are JSON too, on the standard output: `{"exit": 3, "mistakes": [{"file": …, "line": …, "wrong": …,
"remedy": …}]}` (`wetside schema mistakes`).

## What it does to your terminal

Tables fit the terminal's width, from 40 columns up. Piped output is plain text, 80 columns wide unless `COLUMNS` says
otherwise; `NO_COLOR` turns colour off. A verdict is always a mark and a word, so nothing rests on colour: ✗ breaks,
? not known, ◆ near, ⊖ accepted, ● holds. A terminal that can't show these marks gets `X ? ~ = +`. A progress bar
appears on the error stream of a terminal where something takes longer, and nowhere else. Characters in names that would
steer a terminal are shown as �.
"""

# The order in which a job is worked through.
NAMES = (
    "new", "open", "assemble", "check", "rooms", "flow", "size", "balance", "takeoff", "cuts", "bench", "buy",
    "supports", "draw", "pack", "schema",
)  # fmt: skip


def help_of(command: click.Command, name: str) -> str:
    context = click.Context(command, info_name=name, terminal_width=100, max_content_width=100)
    return command.get_help(context)


def text() -> str:
    """The whole page."""
    rows = "".join(f"| {code} | {what} |\n" for code, what in exits.MEANING.items())
    parts = [HEAD, rows, JSON, "\n## Commands\n"]
    parts.extend(f"\n### {name}\n\n```text\n{help_of(cli.commands[name], f'wetside {name}')}\n```\n" for name in NAMES)
    return "".join(parts)


def main(args: list[str]) -> int:
    made = text()
    stale = not FILE.exists() or FILE.read_text(encoding="utf-8") != made
    if stale and "--check" in args:
        print(f"{FILE.name} is stale: run python tools/make_cli_docs.py")
        return 1
    if stale:
        FILE.write_text(made, encoding="utf-8", newline="\n")
        print(f"wrote {FILE.name}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
