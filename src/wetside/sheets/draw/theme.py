"""Colours of a drawing: the same picture on a light screen, a dark screen and black-and-white paper.

Meaning never rests on colour: flow is solid and return dashed, each verdict has its own shape, word and pattern.
"""

from wetside.basis.record import record
from wetside.basis.rules import Verdict


@record
class Theme:
    name: str
    sheet: str
    ink: str
    mute: str
    line: str
    grid: str
    plum: str
    wash: str
    flow: str
    back: str
    """Return tube."""
    other: str
    """Tap water, discharge, anything that is neither flow nor return."""
    slab: str
    """Fill of emitters and equipment."""
    holds: str
    near: str
    breaks: str
    unknown: str
    accepted: str

    def verdict(self, verdict: Verdict) -> str:
        return {
            Verdict.HOLDS: self.holds,
            Verdict.NEAR: self.near,
            Verdict.BREAKS: self.breaks,
            Verdict.NOT_KNOWN: self.unknown,
            Verdict.ACCEPTED: self.accepted,
        }[verdict]

    def side(self, side: str) -> str:
        """Colour of tube by its side of the system: ``"flow"``, ``"return"``, anything else."""
        return {"flow": self.flow, "return": self.back}.get(side, self.other)


LIGHT = Theme(
    name="light", sheet="#FAFCFB", ink="#15262C", mute="#4F626A", line="#C3CED0", grid="#E1E8E8", plum="#6B2C70",
    wash="#F1E4F2", flow="#BF4408", back="#1C5DA3", other="#4F626A", slab="#E4EAEB", holds="#14674A", near="#7F5600",
    breaks="#A60F3B", unknown="#56656C", accepted="#6B2C70",
)  # fmt: skip
DARK = Theme(
    name="dark", sheet="#162226", ink="#E4ECEB", mute="#9CB0B5", line="#34464C", grid="#1E2C31", plum="#DDA9E2",
    wash="#3A2440", flow="#FF9560", back="#82B9F2", other="#9CB0B5", slab="#24363C", holds="#6ED0A3", near="#E9BE5A",
    breaks="#FF8BA3", unknown="#A3B2B7", accepted="#DDA9E2",
)  # fmt: skip
PRINT = Theme(
    name="print", sheet="#FFFFFF", ink="#000000", mute="#3A3A3A", line="#9A9A9A", grid="#DDDDDD", plum="#000000",
    wash="#EEEEEE", flow="#000000", back="#000000", other="#555555", slab="#ECECEC", holds="#000000", near="#000000",
    breaks="#000000", unknown="#3A3A3A", accepted="#000000",
)  # fmt: skip
THEMES = {t.name: t for t in (LIGHT, DARK, PRINT)}

DASH = {"flow": None, "return": "2.4 1.2", "other": "3.6 0.9 0.7 0.9"}
"""Dashes in millimetres of paper, by side."""
