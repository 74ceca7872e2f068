"""The five verdict marks and their patterns: shape, word and pattern, so that colour is never needed.

holds: disc with a tick, no pattern · near: half-filled diamond, dots · breaks: octagon with a cross, diagonal hatch ·
not known: dashed ring with "?", short dashes · accepted: ring with a bar, sparse hatch the other way.
"""

from math import cos, pi, sin

from wetside.basis.rules import Verdict
from wetside.sheets.draw.svg import NARROW, XY, Drawing, path_data, tag
from wetside.sheets.draw.theme import Theme


def mark(verdict: Verdict, at: XY, size: float, theme: Theme) -> str:
    """The mark as SVG elements about `at`, `size` its height in mm; legible from 2.8 mm (8 point) up."""
    x, y = at
    r = size / 2
    colour, sheet = theme.verdict(verdict), theme.sheet
    thin = max(0.2, size * 0.07)

    def path(points: list[XY], *, closed: bool = True, **style: str | float | None) -> str:
        return tag("path", d=path_data(points, closed=closed, places=2), **style)

    def tick(points: list[XY], width: float) -> str:
        return path(
            points, closed=False, fill="none", stroke=sheet, stroke_width=width, stroke_linecap="round",
            stroke_linejoin="round",
        )  # fmt: skip

    if verdict is Verdict.HOLDS:
        inside = tag("circle", cx=x, cy=y, r=r * 0.96, fill=colour) + tick(
            [(x - r * 0.42, y + r * 0.02), (x - r * 0.1, y + r * 0.36), (x + r * 0.46, y - r * 0.34)], size * 0.12
        )
    elif verdict is Verdict.NEAR:
        inside = path(
            [(x, y - r), (x + r, y), (x, y + r), (x - r, y)], fill=sheet, stroke=colour, stroke_width=thin * 1.2
        ) + path([(x, y - r), (x + r, y), (x, y + r)], fill=colour)
    elif verdict is Verdict.BREAKS:
        corners = [(x + r * cos(pi / 8 + k * pi / 4), y + r * sin(pi / 8 + k * pi / 4)) for k in range(8)]
        c = r * 0.36
        inside = (
            path(corners, fill=colour)
            + tick([(x - c, y - c), (x + c, y + c)], size * 0.13)
            + tick([(x - c, y + c), (x + c, y - c)], size * 0.13)
        )
    elif verdict is Verdict.NOT_KNOWN:
        piece = 2 * pi * r * 0.9 / 12
        dash = f"{piece:.2f} {piece:.2f}"
        inside = tag(
            "circle", cx=x, cy=y, r=r * 0.9, fill=sheet, stroke=colour, stroke_width=thin * 1.3, stroke_dasharray=dash
        ) + tag(
            "text", "?", x=x, y=y + size * 0.26, font_family=NARROW, font_stretch="condensed", font_size=size * 0.74,
            font_weight="600", text_anchor="middle", fill=colour,
        )  # fmt: skip
    else:
        inside = tag("circle", cx=x, cy=y, r=r * 0.88, fill=sheet, stroke=colour, stroke_width=thin * 1.5) + path(
            [(x - r * 0.45, y), (x + r * 0.45, y)], closed=False, stroke=colour, stroke_width=thin * 1.8
        )
    return tag("g", inside, class_=f"mark {verdict.value.replace(' ', '-')}")


def standalone(verdict: Verdict, theme: Theme, size: float = 3.6) -> str:
    """The mark as a small SVG file of its own, for tables."""
    drawing = Drawing(size, size, theme, verdict.value, "mark")
    drawing.add(mark(verdict, (size / 2, size / 2), size * 0.94, theme))
    return drawing.svg()


def pattern(drawing: Drawing, verdict: Verdict | str) -> str:
    """Fill value of a verdict's pattern (``"none"`` for holds) or of ``"unheated"`` ground; defined on first use."""
    theme = drawing.theme
    if verdict == Verdict.HOLDS:
        return "none"
    colour = theme.verdict(verdict) if isinstance(verdict, Verdict) else theme.line
    name = verdict.value.replace(" ", "-") if isinstance(verdict, Verdict) else verdict
    pitch, inside = {
        "near": (2.8, tag("circle", cx=1.4, cy=1.4, r=0.24, fill=colour)),
        "breaks": (3.6, tag("path", d="M0 3.6L3.6 0M-.3 .3L.3 -.3M3.3 3.9L3.9 3.3", stroke=colour, stroke_width=0.16)),
        "not-known": (5.0, tag("path", d="M.6 1.2H2.4M3.1 3.7H4.9", stroke=colour, stroke_width=0.16)),
        "accepted": (4.2, tag("path", d="M0 0L4.2 4.2", stroke=colour, stroke_width=0.14)),
        "unheated": (3.2, tag("path", d="M0 0L3.2 3.2M2.9 -.3L3.5 .3M-.3 2.9L.3 3.5", stroke=colour, stroke_width=0.2)),
    }[name]  # fmt: skip
    key = drawing.reference(name)
    drawing.define(
        name, tag("pattern", inside, id=key, width=pitch, height=pitch, patternUnits="userSpaceOnUse", opacity=0.6)
    )
    return f"url(#{key})"
