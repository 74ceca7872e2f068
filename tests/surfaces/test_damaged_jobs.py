"""However a job file is damaged, the answer is mistakes in words or a reading, never a traceback."""

import contextlib
import io
import json
import re
import tempfile
from importlib.resources import files
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from wetside.cli import exits
from wetside.cli.main import run

TEXTS = [
    (files("wetside.jobfile") / "demos" / name / "job.toml").read_text(encoding="utf-8")
    for name in ("net-loft", "schoolhouse")
]
NUMBERS = ("0", "-1", "0.001", "999", "nan", "inf", "1e-300", "true", '"x"')


def damaged(text: str, what: str, at: float, other: float, number: str) -> str:
    """A job text with one thing done to it; `at` and `other` pick lines by their share of the text."""
    lines = text.splitlines()
    i, j = int(at * (len(lines) - 1)), int(other * (len(lines) - 1))
    if what == "drop":
        del lines[i]
    elif what == "repeat":
        lines.insert(i, lines[j])
    elif what == "swap":
        lines[i], lines[j] = lines[j], lines[i]
    elif what == "number":
        lines[i] = re.sub(r"\d+(\.\d+)?", number, lines[i], count=1)
    elif what == "name":
        here, there = (re.findall(r'"([^"]+)"', lines[k]) for k in (i, j))
        if here and there:
            lines[i] = lines[i].replace(here[-1], there[0])
    else:
        start = max((k for k in range(i + 1) if lines[k].startswith("[")), default=0)
        end = next((k for k in range(start + 1, len(lines)) if lines[k].startswith("[")), len(lines))
        del lines[start:end]
    return "\n".join(lines)


@settings(max_examples=200)
@given(
    text=st.sampled_from(TEXTS),
    what=st.sampled_from(["drop", "repeat", "swap", "number", "number", "name", "table"]),
    at=st.floats(0, 1),
    other=st.floats(0, 1),
    number=st.sampled_from(NUMBERS),
    command=st.sampled_from(["check", "rooms", "takeoff"]),
)
def test_a_damaged_job_is_answered_in_words(
    text: str, what: str, at: float, other: float, number: str, command: str
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "job.toml").write_text(damaged(text, what, at, other, number), encoding="utf-8")
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = run([command, folder, "--json"])
    assert err.getvalue() == ""
    assert code in (exits.DONE, exits.MISTAKES, exits.NO_SOLUTION)
    if code != exits.DONE:
        mistakes = json.loads(out.getvalue())["mistakes"]
        assert mistakes
        assert all(m["wrong"] and m["remedy"] for m in mistakes)
