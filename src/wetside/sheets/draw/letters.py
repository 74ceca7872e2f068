"""How wide a word is: advance widths out of the very font files that screen and paper are set in."""

import struct
from functools import lru_cache
from pathlib import Path

_FILES = {
    (False, 400): "Barlow-Regular", (False, 500): "Barlow-Medium", (False, 600): "Barlow-SemiBold",
    (True, 400): "BarlowCondensed-Regular", (True, 500): "BarlowCondensed-Medium",
    (True, 600): "BarlowCondensed-SemiBold",
}  # fmt: skip
_ELSE = 0.6
"""Width in ems of a letter that the font doesn't have (a fallback font draws it)."""
ASCENT, DESCENT = 0.74, 0.20
"""Reach of capitals and tails above and below the baseline, in ems."""


def font_folders() -> tuple[Path, Path]:
    """Where the two families are installed, for the PDF engine and the page."""
    import fontpkg_barlow
    import fontpkg_barlow_condensed

    return tuple(Path(m.__file__ or "").parent / "files" for m in (fontpkg_barlow, fontpkg_barlow_condensed))  # pyright: ignore[reportReturnType]


def _tables(data: bytes) -> dict[bytes, int]:
    (count,) = struct.unpack_from(">H", data, 4)
    return {data[12 + 16 * i : 16 + 16 * i]: struct.unpack_from(">I", data, 20 + 16 * i)[0] for i in range(count)}


def _glyphs(data: bytes, cmap: int) -> dict[int, int]:
    """Character → glyph from the font's format 4 subtable (segments of the basic plane)."""
    (count,) = struct.unpack_from(">H", data, cmap + 2)
    for i in range(count):
        (offset,) = struct.unpack_from(">I", data, cmap + 8 + 8 * i)
        at = cmap + offset
        if struct.unpack_from(">H", data, at)[0] == 4:
            break
    else:
        return {}
    (twice,) = struct.unpack_from(">H", data, at + 6)
    n = twice // 2
    ends = struct.unpack_from(f">{n}H", data, at + 14)
    starts = struct.unpack_from(f">{n}H", data, at + 16 + twice)
    deltas = struct.unpack_from(f">{n}H", data, at + 16 + 2 * twice)
    ranges_at = at + 16 + 3 * twice
    ranges = struct.unpack_from(f">{n}H", data, ranges_at)
    found: dict[int, int] = {}
    for k, (start, end, delta, offset) in enumerate(zip(starts, ends, deltas, ranges, strict=True)):
        for c in range(start, min(end, 0xFFFE) + 1):
            glyph = c
            if offset:
                (glyph,) = struct.unpack_from(">H", data, ranges_at + 2 * k + offset + 2 * (c - start))
                if not glyph:
                    continue
            found[c] = (glyph + delta) & 0xFFFF
    return found


@lru_cache
def _widths(narrow: bool, weight: int) -> dict[str, float]:
    """Advance of every letter in ems."""
    data = (font_folders()[1 if narrow else 0] / f"{_FILES[narrow, weight]}.ttf").read_bytes()
    tables = _tables(data)
    (em,) = struct.unpack_from(">H", data, tables[b"head"] + 18)
    (count,) = struct.unpack_from(">H", data, tables[b"hhea"] + 34)
    advances = [struct.unpack_from(">H", data, tables[b"hmtx"] + 4 * g)[0] / em for g in range(count)]
    found = {chr(c): advances[min(g, count - 1)] for c, g in _glyphs(data, tables[b"cmap"]).items() if g}
    found.update({"\u202f": found["\u00a0"], "\u2009": found["\u00a0"]})
    return found


def width(text: str, size: float, *, weight: int = 500, narrow: bool = True) -> float:
    """Length of a line of type in the unit of `size`; kerning, which only shortens it, is left out."""
    widths = _widths(narrow, weight)
    return size * sum(widths.get(c, _ELSE) for c in text)


def clip(text: str, size: float, room: float, *, weight: int = 500, narrow: bool = True) -> str:
    """The text, cut short with "…" where it is wider than `room`."""
    text = " ".join(text.split())
    if width(text, size, weight=weight, narrow=narrow) <= room:
        return text
    while text and width(text.rstrip() + "…", size, weight=weight, narrow=narrow) > room:
        text = text[:-1]
    return text.rstrip() + "…"
