"""A small SVG writer: one place that escapes, rounds and quotes.

User units are millimetres of paper. Positions are rounded to 0.1 mm, small figures (strokes, radii, type, symbols) to
0.01 mm. Colours are literal and no style attribute is written, so that strict content policies and PDF engines agree.
"""

import re
from collections.abc import Iterable, Sequence

from wetside.sheets.draw.theme import Theme

XY = tuple[float, float]
FAMILY = "Barlow"
NARROW = "Barlow Condensed, Barlow, sans-serif"
"""Some engines file the condensed cut as a family of its own, some as a width of Barlow: the root element says both."""
WIDE = "Barlow,sans-serif"
_GAPS = str.maketrans({"\u202f": "\u00a0", "\u2009": "\u00a0"})
"""Thin gaps, which the type doesn't have, become no-break spaces, which are hardly wider in it."""
_FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_FINE = {"stroke-width", "font-size", "r", "rx", "ry", "opacity", "fill-opacity", "letter-spacing"}


def escape(text: str) -> str:
    """Text fit for SVG content and for a quoted attribute; characters that XML forbids are dropped."""
    text = _FORBIDDEN.sub("", text).translate(_GAPS)
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def num(value: float, places: int = 1) -> str:
    """A number of millimetres without needless digits."""
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def tag(name: str, *inside: str, **attributes: str | float | None) -> str:
    """One element. Underscores in attribute names become hyphens, a trailing one falls off; `None` is left out."""
    words = [name]
    for key, value in attributes.items():
        if value is None:
            continue
        key = key.rstrip("_").replace("_", "-")
        text = escape(value) if isinstance(value, str) else num(value, 2 if key in _FINE else 1)
        words.append(f'{key}="{text}"')
    head = " ".join(words)
    return f"<{head}>{''.join(inside)}</{name}>" if inside else f"<{head}/>"


def path_data(points: Sequence[XY], *, closed: bool = False, places: int = 1) -> str:
    """Straight lines through points, as path data."""
    text = "".join(f"{'L' if i else 'M'}{num(x, places)} {num(y, places)}" for i, (x, y) in enumerate(points))
    return text + "Z" if closed else text


class Drawing:
    """Collects elements in order. `key` keeps pattern ids apart when several drawings share a page."""

    def __init__(self, width: float, height: float, theme: Theme, title: str, key: str) -> None:
        self.width, self.height, self.theme, self.title = width, height, theme, title
        self.key = re.sub(r"[^a-z0-9]+", "-", key.lower()).strip("-") or "drawing"
        self.parts: list[str] = []
        self.definitions: dict[str, str] = {}

    def add(self, *parts: str) -> None:
        self.parts.extend(parts)

    def define(self, name: str, element: str) -> None:
        self.definitions.setdefault(name, element)

    def reference(self, name: str) -> str:
        """The id that a definition of this drawing has in the page."""
        return f"{self.key}-{name}"

    def open(self, data_id: str | None = None, kind: str | None = None) -> None:
        """Begin a group; `data_id` is the stable id of the drawn thing, ``"leg:primary 1"``."""
        self.parts.append(tag("g", "\0", class_=kind, data_id=data_id).split("\0", 1)[0])

    def close(self) -> None:
        self.parts.append("</g>")

    def line(
        self, a: XY, b: XY, colour: str, width: float = 0.25, dash: str | None = None, cap: str | None = None
    ) -> None:
        self.add(
            tag("line", x1=a[0], y1=a[1], x2=b[0], y2=b[1], stroke=colour, stroke_width=width,
                stroke_dasharray=dash, stroke_linecap=cap)
        )  # fmt: skip

    def path(
        self,
        data: str,
        *,
        stroke: str | None = None,
        width: float = 0.25,
        fill: str = "none",
        dash: str | None = None,
        cap: str | None = None,
        opacity: float | None = None,
    ) -> None:
        self.add(
            tag("path", d=data, fill=fill, stroke=stroke, stroke_width=width if stroke else None,
                stroke_dasharray=dash, stroke_linecap=cap, stroke_linejoin="round" if stroke else None,
                opacity=opacity)
        )  # fmt: skip

    def rect(
        self, x: float, y: float, w: float, h: float, *, fill: str = "none", stroke: str | None = None,
        width: float = 0.25, round_: float | None = None, dash: str | None = None, opacity: float | None = None,
    ) -> None:  # fmt: skip
        self.add(
            tag("rect", x=x, y=y, width=w, height=h, rx=round_, fill=fill, stroke=stroke,
                stroke_width=width if stroke else None, stroke_dasharray=dash, opacity=opacity)
        )  # fmt: skip

    def circle(
        self, at: XY, r: float, *, fill: str = "none", stroke: str | None = None, width: float = 0.25,
        dash: str | None = None,
    ) -> None:  # fmt: skip
        self.add(
            tag("circle", cx=at[0], cy=at[1], r=r, fill=fill, stroke=stroke,
                stroke_width=width if stroke else None, stroke_dasharray=dash)
        )  # fmt: skip

    def text(
        self,
        at: XY,
        words: str,
        size: float,
        *,
        anchor: str = "start",
        weight: int = 500,
        colour: str | None = None,
        narrow: bool = True,
        halo: bool = False,
        turned: float = 0.0,
    ) -> None:
        """One line of type; `at` is the anchor on the baseline, `turned` degrees clockwise about it."""
        turn = f"rotate({num(turned)} {num(at[0])} {num(at[1])})" if turned else None
        self.add(
            tag("text", escape(words), x=at[0], y=at[1], font_size=size, font_weight=str(weight),
                font_family=None if narrow else WIDE, font_stretch=None if narrow else "normal",
                text_anchor=None if anchor == "start" else anchor,
                fill=colour or self.theme.ink, stroke=self.theme.sheet if halo else None,
                stroke_width=0.9 if halo else None, stroke_linejoin="round" if halo else None,
                paint_order="stroke" if halo else None, transform=turn)
        )  # fmt: skip

    def svg(self) -> str:
        """The whole file."""
        size = f'width="{num(self.width)}mm" height="{num(self.height)}mm"'
        box = f'viewBox="0 0 {num(self.width)} {num(self.height)}"'
        definitions = "".join(self.definitions[k] for k in sorted(self.definitions))
        return "".join(
            (
                f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} role="img" '
                f'font-family="{NARROW}" font-stretch="condensed">',
                tag("title", escape(self.title)),
                f"<defs>{definitions}</defs>" if definitions else "",
                tag("rect", x=0.0, y=0.0, width=self.width, height=self.height, fill=self.theme.sheet),
                *self.parts,
                "</svg>",
            )
        )


def polyline(points: Iterable[XY]) -> list[XY]:
    """Points without repeats of the one before (to the written precision)."""
    kept: list[XY] = []
    for p in points:
        if not kept or abs(p[0] - kept[-1][0]) > 0.02 or abs(p[1] - kept[-1][1]) > 0.02:
            kept.append(p)
    return kept
