"""Pages and schemas that are made from the code are current."""

import subprocess
import sys
from pathlib import Path

import pytest

TOOLS = Path(__file__).parents[2] / "tools"


@pytest.mark.parametrize("tool", ["make_cli_docs.py", "make_schemas.py"])
def test_made_files_are_current(tool: str) -> None:
    done = subprocess.run([sys.executable, TOOLS / tool, "--check"], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "")
