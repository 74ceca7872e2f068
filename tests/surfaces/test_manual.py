"""Pages and schemas that are made from the code are current."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

TOOLS = Path(__file__).parents[2] / "tools"


@pytest.mark.parametrize("tool", ["make_cli_docs.py", "make_schemas.py", "make_rules_docs.py"])
def test_made_files_are_current(tool: str) -> None:
    done = subprocess.run([sys.executable, TOOLS / tool, "--check"], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "")


def test_methods_name_tables_and_pages_that_exist() -> None:
    page = TOOLS.parent / "docs" / "methods.md"
    links = re.findall(r"\]\(([^)]+)\)", page.read_text(encoding="utf-8"))
    assert len(links) >= 3
    assert not [link for link in links if not (page.parent / link).is_file()]
