"""A new job: a fresh one with two rooms, or a copy of a shipped demo."""

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from wetside.basis.errors import nearest
from wetside.jobfile.files import problem

SCHEMA_FILE = "job.schema.json"
SCHEMA_LINE = f"#:schema ./{SCHEMA_FILE}\n"
"""Comment that editors of TOML look for; it leads to the schema copied beside the job."""


def demos() -> tuple[str, ...]:
    """Names of the shipped demo jobs."""
    shipped = files("wetside.jobfile") / "demos"
    return tuple(sorted(d.name for d in shipped.iterdir() if d.is_dir() and (d / "job.toml").is_file()))


def new_job(folder: str | Path, like: str | None = None, *, blank: bool = False) -> tuple[Path, ...]:
    """Start a job in a folder that is new or empty; returns the files written.

    :param like: a shipped demo to copy; without it the job is a small worked example to change
    :param blank: no house either, only build-ups and one empty storey: to be drawn on the page
    :raises JobProblem: no such demo, the folder holds something, or can't be written
    """
    folder = Path(folder)
    shown = folder.name or str(folder)
    if like is None:
        source = files("wetside.jobfile") / ("blank" if blank else "starter")
    elif like in demos():
        source = files("wetside.jobfile") / "demos" / like
    else:
        raise problem(shown, f'there is no demo "{like}"', nearest(like, demos()))
    try:
        if folder.exists() and not folder.is_dir():
            raise problem(shown, "it is a file", "give the name of a new folder")
        if folder.is_dir() and any(folder.iterdir()):
            raise problem(shown, "the folder is not empty", "give the name of a new folder; nothing was written")
        folder.mkdir(parents=True, exist_ok=True)
        # job.toml comes last, so that a folder with one is complete
        content = sorted(_content(source), key=lambda x: x[0] == "job.toml")
        content.insert(0, (SCHEMA_FILE, (files("wetside.jobfile") / SCHEMA_FILE).read_bytes()))
        written: list[Path] = []
        for name, data in content:
            target = folder / name
            target.parent.mkdir(parents=True, exist_ok=True)
            with target.open("xb") as stream:
                stream.write(data)
            written.append(target)
    except (OSError, ValueError) as error:
        text = (getattr(error, "strerror", None) or "its name can't be used").lower()
        raise problem(shown, f"it can't be written: {text}", "choose another folder") from None
    return tuple(sorted(written, key=lambda p: (p.name != "job.toml", p.name)))


def _content(source: Traversable, under: str = "") -> list[tuple[str, bytes]]:
    found: list[tuple[str, bytes]] = []
    for child in sorted(source.iterdir(), key=lambda x: x.name):
        name = f"{under}{child.name}"
        if child.name.startswith((".", "__")):
            continue
        if child.is_dir():
            found.extend(_content(child, f"{name}/"))
        elif name == "job.toml" and not (data := child.read_bytes()).startswith(b"#:schema"):
            found.append((name, SCHEMA_LINE.encode() + data))
        else:
            found.append((name, child.read_bytes()))
    return found
