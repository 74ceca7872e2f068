"""The page's manual names the tools that there are, with their letters."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_the_manual_names_every_tool() -> None:
    script = (ROOT / "src" / "wetside" / "page" / "static" / "draw.js").read_text()
    tools = re.findall(r"\{key: '\w+', word: '(\w+)', letter: '(\w)'", script)
    manual = re.findall(r"^\| (\w+) \| (\w) \|", (ROOT / "docs" / "page.md").read_text(), re.MULTILINE)
    assert manual == tools
    assert len({letter for _, letter in tools}) == len(tools)
    assert all(word.startswith(letter) for word, letter in tools)
