"""Terminal, JSON and PDF say the same of every finding: id, subject, verdict, measured, limit."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pypdf

from wetside.basis.rules import Verdict
from wetside.cli.teller import MARK
from wetside.sheets.jsonschema import sheet_schema

HEAD = r"wetside·.{1,90}?Sheet\d+of\d+"
FOOT = r"Localcode,theboilermaker.sinstructions.{1,60}?printedhere\.wetside[0-9.]+"


def squeezed(text: str) -> str:
    """Text without any white space, however lines were broken."""
    return re.sub(r"[\s\u200b]+", "", text)


def severity(f: dict[str, Any]) -> str:
    return f["severity"] + (", safety" if f["safety"] else "")


def pdf_text(file: Path) -> str:
    """Text of all pages, without running heads and feet, squeezed."""
    pages = [page.extract_text() for page in pypdf.PdfReader(file).pages]
    text = squeezed("".join(pages))
    return re.sub("|".join((HEAD, FOOT)), "", text)


def after(head: str, text: str, end: str) -> str:
    """What stands after a heading, up to the next."""
    assert head in text, head
    return text[text.index(head) + len(head) :].split(end)[0]


def test_terminal_json_and_pdf_agree(job: Path, wetside: Callable[..., Any], packs: Callable[[Path], Path]) -> None:
    sheet = wetside("check", job, "--json").data
    jsonschema.validate(sheet, sheet_schema("check"))
    findings = sheet["findings"]
    assert findings
    assert sheet["summary"]["findings"] == len(findings)

    terminal = squeezed(wetside("check", job).out)
    paper = pdf_text(packs(job))
    held_on_paper = paper[paper.rindex("Whatholds") :] if "Whatholds" in paper else ""
    for f in findings:
        said = f"{f['subject']}: {f['measured_text']}, {f['sense']} {f['limit_text']}"
        title = f"{f['id']} {f['title']}"
        on_screen = f"{MARK[Verdict(f['verdict'])]} {f['verdict']} {title} ({severity(f)})"
        on_paper = f"{f['verdict']} {title} {severity(f)}"
        if f["verdict"] != "holds":
            assert squeezed(f"{on_screen} {said}") in terminal, said
            assert squeezed(f"{on_paper} {said}") in paper, said
            continue
        # what holds stands under its rule, one line each
        assert squeezed(said) in after(squeezed(on_screen), terminal, "●holds"), said
        row = f"{f['subject']} {f['measured_text']} {f['limit_text']}"
        assert squeezed(row) in after(squeezed(on_paper), held_on_paper, "Source:"), said


def test_every_caution_is_on_every_surface(
    job: Path, wetside: Callable[..., Any], packs: Callable[[Path], Path]
) -> None:
    cautions = wetside("check", job, "--json").data["cautions"]
    assert len(cautions) >= 9
    terminal = squeezed(wetside("check", job).out)
    paper = pdf_text(packs(job))
    for c in cautions:
        assert squeezed(c["topic"] + c["text"]) in terminal
        assert squeezed(c["topic"] + c["text"]) in paper
