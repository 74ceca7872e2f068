"""Setting a document in type: data in, PDF out. The same data gives the same bytes."""

import json
import re
from importlib.resources import as_file, files
from typing import Any

from wetside.basis.errors import WetsideError
from wetside.sheets.draw.letters import font_folders
from wetside.sheets.draw.svg import FAMILY, NARROW

_LACKING = re.compile(r'text `"(.+?)"` could not be displayed')
_HALO = re.compile(r'<text([^>]* paint-order="stroke"[^>]*)(>[^<]*)</text>')
_STROKE = re.compile(r' (?:stroke|stroke-width|stroke-linejoin|paint-order)="[^"]*"')
STANDARD = "ua-1"
"""Tagged for screen readers (PDF/UA-1)."""


class TypesetProblem(WetsideError):
    """Our own template or fonts are wrong."""


def embedded(svg: str) -> str:
    """A drawing as the typesetter needs it.

    There the condensed cuts belong to the family "Barlow" and are reached by their width; under their own name they
    would silently be set in another face. And a letter's halo would cover the letter before it, so words with a halo
    are drawn twice: halo, then letters.
    """
    svg = _HALO.sub(lambda m: f"<text{m[1]}{m[2]}</text><text{_STROKE.sub('', m[1])}{m[2]}</text>", svg)
    narrow = f'font-family="{FAMILY}" font-stretch="condensed"'
    wide = f'font-family="{FAMILY}" font-stretch="normal"'
    return svg.replace(f'font-family="{NARROW}, sans-serif"', narrow).replace(
        f'font-family="{FAMILY}, sans-serif"', wide
    )


def without(text: str, lacking: set[str]) -> str:
    """The text with a question mark for every character that no font shows."""
    return "".join("?" if c in lacking else c for c in text)


def strip(data: Any, lacking: set[str]) -> Any:
    """Data with every text stripped of characters that no font shows."""
    if isinstance(data, str):
        return without(data, lacking)
    if isinstance(data, list):
        return [strip(v, lacking) for v in data]  # pyright: ignore[reportUnknownVariableType]
    if isinstance(data, dict):
        return {k: strip(v, lacking) for k, v in data.items()}  # pyright: ignore[reportUnknownVariableType]
    return data


def typeset(template: str, data: dict[str, Any]) -> bytes:
    """Set `data` with a template of this package.

    The pack's own fonts come first. A name in a script that they lack is set in whatever the machine has, and a
    character that even the machine lacks prints as a question mark.

    :raises TypesetProblem: the template or the fonts are wrong; never caused by a job
    """
    import typst

    lacking: set[str] = set()
    with as_file(files("wetside.sheets") / template) as path:
        for attempt in range(40):
            text = json.dumps(strip(data, lacking) if lacking else data, ensure_ascii=False)
            try:
                pdf, warnings = typst.compile_with_warnings(
                    str(path),
                    root=str(path.parent),
                    sys_inputs={"data": text},
                    font_paths=[str(p) for p in font_folders()],
                    ignore_system_fonts=attempt == 0,
                    pdf_standards=STANDARD,
                )
            except typst.TypstError as error:
                found = {c for m in _LACKING.findall(str(error)) for c in m}
                if not found:
                    raise TypesetProblem(str(error)) from None
                if attempt > 0:
                    lacking |= found
                continue
            if warnings:
                raise TypesetProblem("; ".join(str(w) for w in warnings))
            assert isinstance(pdf, bytes)
            return pdf
    raise TypesetProblem(f"no font shows {sorted(lacking)}")
