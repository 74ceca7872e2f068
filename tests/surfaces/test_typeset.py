"""Setting type: drawings as the typesetter needs them, names in any script, template faults told apart."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdf
import pytest

from wetside import open_job
from wetside.sheets.draw.svg import Drawing
from wetside.sheets.draw.theme import PRINT
from wetside.sheets.pack import make_pack, pack_data
from wetside.sheets.typeset import TypesetProblem, embedded, typeset


def drawing() -> str:
    d = Drawing(40, 20, PRINT, "t", "t")
    d.text((3, 10), "cold main", 3.0, halo=True)
    d.text((3, 18), "plain", 3.0, narrow=False)
    return d.svg()


def test_words_with_a_halo_are_drawn_over_it() -> None:
    words = re.findall(r"<text([^>]*)>cold main</text>", embedded(drawing()))
    assert len(words) == 2
    assert 'stroke="#FFFFFF"' in words[0]
    assert "stroke" not in words[1]
    assert [re.findall(r' (?:x|y|fill|font-size)="[^"]*"', w) for w in words] == [
        re.findall(r' (?:x|y|fill|font-size)="[^"]*"', words[0])
    ] * 2
    assert embedded(drawing()).count("plain") == 1


def test_a_pack_is_set_in_its_own_faces_only(jobs: dict[str, Path], packs: Callable[[Path], Path]) -> None:
    faces: set[str] = set()
    for page in pypdf.PdfReader(packs(jobs["net-loft"])).pages:
        fonts: Any = page["/Resources"].get("/Font", {})  # pyright: ignore[reportAttributeAccessIssue]
        faces |= {str(f.get_object()["/BaseFont"]).partition("+")[2].partition("-")[0] for f in fonts.values()}
    assert faces == {"Barlow", "BarlowCondensed"}


def test_the_same_job_gives_the_same_bytes(jobs: dict[str, Path], packs: Callable[[Path], Path]) -> None:
    job = jobs["schoolhouse"]
    assert make_pack(open_job(job)).pdf == packs(job).read_bytes()


def test_a_pack_is_tagged_and_titled(job: Path, packs: Callable[[Path], Path]) -> None:
    design = open_job(job, check=False).design
    pdf = pypdf.PdfReader(packs(job))
    root: Any = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is True or bool(root["/MarkInfo"]["/Marked"])
    assert str(root["/Lang"]) == "en"
    assert pdf.metadata is not None
    assert pdf.metadata.title == f"{design.name}: job pack"
    width = {"a4": 595, "us-letter": 612}[design.paper]
    assert round(float(pdf.pages[0].mediabox.width)) == width
    for number, page in enumerate(pdf.pages, start=1):
        assert f"Sheet {number} of {len(pdf.pages)}" in page.extract_text()


HOSTILE = '#pagebreak() $x$ <b>&amp; *bold* _x_ =1+1 @x \\" 寝室 🔥 Спальня'


def test_hostile_and_long_names_are_printed_as_they_are(jobs: dict[str, Path], tmp_path: Path) -> None:
    text = (jobs["net-loft"] / "job.toml").read_text(encoding="utf-8")
    long = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtenzimmer"
    text = text.replace('"Workshop"', f'"{long}"').replace('"Hall"', f'"{HOSTILE}"')
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    file = tmp_path / "a.pdf"
    file.write_bytes(make_pack(open_job(tmp_path)).pdf)
    printed = re.sub(r"[\s\u200b]+", "", "".join(p.extract_text() for p in pypdf.PdfReader(file).pages))
    assert long in printed
    assert re.sub(r"\s+", "", '#pagebreak() $x$ <b>&amp; *bold* _x_ =1+1 @x "') in printed
    assert "Спальня" in printed


def test_a_fault_of_the_template_is_no_fault_of_the_job(jobs: dict[str, Path]) -> None:
    data = pack_data(open_job(jobs["net-loft"]))
    del data["cautions"]
    with pytest.raises(TypesetProblem, match="cautions"):
        typeset("pack.typ", data)
