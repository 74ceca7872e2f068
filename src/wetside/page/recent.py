"""Jobs that were open lately, remembered in the person's own state folder."""

import json
import os
from contextlib import suppress
from pathlib import Path
from typing import Any, cast

MOST = 12


def _file() -> Path:
    home = os.environ.get("XDG_STATE_HOME") or str(Path.home() / ".local" / "state")
    return Path(home) / "wetside" / "recent.json"


def recent() -> list[Path]:
    """Job files, last opened first; those that are gone are left out."""
    try:
        listed: Any = json.loads(_file().read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return []
    if not isinstance(listed, list):
        return []
    paths = [Path(p) for p in cast("list[object]", listed) if isinstance(p, str) and len(p) < 4096]
    return [p for p in paths[:MOST] if p.is_file()]


def remember(path: Path) -> None:
    """Put a job first. A state folder that can't be written is no reason to stop."""
    with suppress(OSError):
        file = _file()
        listed = [path, *(p for p in recent() if p != path)]
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps([str(p) for p in listed[:MOST]], indent=1), encoding="utf-8")
