"""Drawings to cut, join and hang by: legible, to scale where they say so, the same in black and white."""

import re
from functools import cache
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import pytest

from wetside import open_job
from wetside.sheets.buy import buy_sheet
from wetside.sheets.cuts import cuts_sheet
from wetside.sheets.draw.place import Box, text_box
from wetside.sheets.draw.theme import LIGHT, PRINT, Theme
from wetside.sheets.drawings import Picture, shop_pages, spares_charts, stick_pictures
from wetside.study.study import Study

DEMOS = ("net-loft", "net-loft-mended", "schoolhouse", "schoolhouse-mended")
SVG = "{http://www.w3.org/2000/svg}"


@cache
def study(name: str) -> Study:
    return open_job(Path(str(files("wetside.jobfile") / "demos" / name)))


@cache
def made(name: str, theme: Theme = PRINT) -> tuple[Picture, ...]:
    return shop_pages(study(name), theme)


def words_of(svg: str) -> list[tuple[str, Box]]:
    """Every line of type with the box that it fills."""
    found: list[tuple[str, Box]] = []
    for e in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        at, text = (float(e.attrib["x"]), float(e.attrib["y"])), e.text or ""
        box = text_box(
            at, text, float(e.attrib["font-size"]), anchor=e.attrib.get("text-anchor", "start"),
            weight=int(e.attrib.get("font-weight", "400")), narrow="font-stretch" not in e.attrib,
        )  # fmt: skip
        if "transform" in e.attrib:
            x, y = at
            turned = (x + box.y0 - y, y - (box.x1 - x), x + box.y1 - y, y - (box.x0 - x))
            if e.attrib["transform"].startswith("rotate(-90 "):
                box = Box(*turned)
        found.append((text, box))
    return found


@pytest.mark.parametrize("demo", DEMOS)
def test_each_kind_of_sheet_is_there(demo: str) -> None:
    titles = [p.title for p in made(demo)]
    assert [t for t in titles if t.startswith("Bench sheet: ")]
    assert "Isometric of the cuts" in titles
    assert "Support map" in titles
    assert [t for t in titles if t.startswith("Sticks")]
    assert len({p.file for p in made(demo)}) == len(titles)


@pytest.mark.parametrize("demo", DEMOS)
def test_no_label_lies_on_another_or_leaves_the_sheet(demo: str) -> None:
    for p in (*made(demo), *spares_charts(buy_sheet(study(demo)), PRINT)):
        boxes = [(t, b.grown(-0.25)) for t, b in words_of(p.svg)]
        assert len(boxes) > 5
        for words, box in boxes:
            assert box.within(Box(0, 0, p.width_mm, p.height_mm)), (p.title, words)
        met = [(t, u) for i, (t, a) in enumerate(boxes) for u, b in boxes[i + 1 :] if a.meets(b)]
        assert met == [], p.title


@pytest.mark.parametrize("demo", DEMOS)
def test_every_piece_of_tube_and_every_support_is_numbered(demo: str) -> None:
    s = study(demo)
    said = {t for p in made(demo) for t, _ in words_of(p.svg)}
    first = {t.split(" ")[0] for t in said}
    assert {c.name for c in s.fabrication.cuts} <= first
    on_sticks = {t.split(" ")[0] for p in made(demo) if p.title.startswith("Sticks") for t, _ in words_of(p.svg)}
    assert {c.name for c in s.fabrication.cuts} <= {t.split("\u00a0")[0] for t in on_sticks}
    on_map = {t for p in made(demo) if p.title == "Support map" for t, _ in words_of(p.svg)}
    assert {x.name for x in s.supporting.supports} <= on_map


@pytest.mark.parametrize("demo", DEMOS)
def test_black_and_white_paper_needs_no_colour(demo: str) -> None:
    for p in made(demo):
        colours = set(re.findall(r"#[0-9A-Fa-f]{6}", p.svg))
        assert all(c[1:3] == c[3:5] == c[5:7] for c in colours), p.title


def test_same_study_same_drawing_and_colours_are_only_colours() -> None:
    again = shop_pages(study("net-loft"), PRINT)
    assert [p.svg for p in again] == [p.svg for p in made("net-loft")]
    plain = [re.sub(r"#[0-9A-Fa-f]{6}", "#", p.svg) for p in made("net-loft")]
    assert [re.sub(r"#[0-9A-Fa-f]{6}", "#", p.svg) for p in shop_pages(study("net-loft"), LIGHT)] == plain


def test_bench_sheet_is_to_scale() -> None:
    """The net loft's manifold at 1:10: C3 is 252 mm long, its tube 28 mm wide."""
    svg = next(p.svg for p in made("net-loft") if p.title == "Bench sheet: primary")
    (scale,) = re.findall(r"scale 1:([\d.]+)", svg)
    root = ElementTree.fromstring(svg)
    drawn = next(g for g in root.iter(f"{SVG}g") if g.attrib.get("data-id") == "cut:C3")
    edge = next(e for e in drawn.iter(f"{SVG}path") if "stroke-width" in e.attrib)
    xs, ys = zip(
        *((float(x), float(y)) for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", edge.attrib["d"])), strict=True
    )
    assert max(ys) - min(ys) == pytest.approx(252.0 / float(scale), abs=0.05)
    assert max(xs) - min(xs) < 0.01
    assert float(edge.attrib["stroke-width"]) == pytest.approx(28.0 / float(scale), abs=0.3)


@pytest.mark.parametrize("demo", DEMOS)
def test_sticks_are_to_scale(demo: str) -> None:
    sheet = cuts_sheet(study(demo))
    lengths = {c.name: c.length_m for c in sheet.cuts}
    sticks = {f"stick:{s.number}": s for s in sheet.sticks}
    seen = set[str]()
    for p in stick_pictures(study(demo), PRINT):
        for g in ElementTree.fromstring(p.svg).iter(f"{SVG}g"):
            stick = sticks.get(g.attrib.get("data-id", ""))
            if stick is None:
                continue
            seen.add(g.attrib["data-id"])
            wide = [float(r.attrib["width"]) for r in g.iter(f"{SVG}rect")][: len(stick.cuts)]
            ratio = [w / lengths[n] for w, n in zip(wide, stick.cuts, strict=True)]
            # a tenth of a millimetre is what the file keeps
            assert max(ratio) - min(ratio) < 0.11 / min(lengths[n] for n in stick.cuts)
    assert seen == set(sticks)
