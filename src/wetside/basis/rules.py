"""Design rules and the findings that come of judging them.

A rule is declared once, beside the floor that measures it, and kept in that floor's `RULES` tuple; the verdict is
computed here and never passed in. A number that is not known never counts as held.
"""

import math
from dataclasses import replace
from enum import StrEnum
from typing import Literal

from wetside.basis.quantity import SI_TEXT, Kind, System, show
from wetside.basis.record import record


class Verdict(StrEnum):
    """Ordered as shown: worst first."""

    BREAKS = "breaks"
    NOT_KNOWN = "not known"
    NEAR = "near"
    ACCEPTED = "accepted"
    HOLDS = "holds"


class Severity(StrEnum):
    MUST = "must"
    ADVISE = "advise"


Sense = Literal["at most", "at least"]


@record(kw_only=False)
class Rule:
    """One entry of the catalogue.

    `source` is a key of `sources.toml`, or ``common practice``. `near` is the share of the limit inside which a held
    rule is called near. `safety` rules can't be accepted away.
    """

    id: str
    title: str
    sense: Sense
    kind: Kind
    source: str
    severity: Severity = Severity.MUST
    remedy: str = ""
    places: int | None = None
    near: float = 0.05
    safety: bool = False

    def judge(
        self,
        subject: str,
        measured: float | None,
        limit: float | None,
        *,
        missing: str = "",
        remedy: str = "",
        place: str = "",
        parts: tuple[tuple[str, float], ...] = (),
    ) -> "Finding":
        """Judge one place.

        :param measured: SI value, `None` when an input is missing
        :param limit: SI value, `None` when an input is missing
        :param missing: which input is missing, said when either number is `None`
        :param place: id of the drawn thing that the finding leads to
        :param parts: what the limit is the sum of, each with its name, SI
        :raises ValueError: NaN, or nothing said about what is missing
        """
        for number in (measured, limit):
            if number is not None and math.isnan(number):
                raise ValueError(f"{self.id}: not a number at {subject}")
        if measured is None or limit is None:
            if not missing:
                raise ValueError(f"{self.id}: say which input is missing at {subject}")
            verdict = Verdict.NOT_KNOWN
        else:
            slack = (limit - measured) if self.sense == "at most" else (measured - limit)
            if slack < 0:
                verdict = Verdict.BREAKS
            elif slack <= self.near * abs(limit):
                verdict = Verdict.NEAR
            else:
                verdict = Verdict.HOLDS
        return Finding(self, subject, measured, limit, verdict, missing, remedy or self.remedy, place, parts=parts)


@record(kw_only=False)
class Finding:
    """A rule judged at a place."""

    rule: Rule
    subject: str
    measured: float | None
    limit: float | None
    verdict: Verdict
    missing: str
    remedy: str
    place: str = ""
    accepted_on: str = ""
    accepted_because: str = ""
    parts: tuple[tuple[str, float], ...] = ()
    """What the limit is the sum of, where it is one: names and SI values."""

    @property
    def unit(self) -> str:
        """SI unit of `measured` and `limit`."""
        return SI_TEXT[self.rule.kind]

    @property
    def unknown_safety(self) -> bool:
        """A rule that guards people and could not be judged."""
        return self.verdict is Verdict.NOT_KNOWN and self.rule.safety

    @property
    def broken_must(self) -> bool:
        """A must-rule that breaks (an accepted one no longer does)."""
        return self.verdict is Verdict.BREAKS and self.rule.severity is Severity.MUST

    def accept(self, on: str, because: str) -> "Finding":
        """The person waives a broken or near rule.

        :raises ValueError: a safety rule can't be waived
        """
        if self.rule.safety:
            raise ValueError(f"{self.rule.id} is a safety rule: it can't be accepted away")
        if self.verdict in (Verdict.HOLDS, Verdict.NOT_KNOWN):
            return self
        return replace(self, verdict=Verdict.ACCEPTED, accepted_on=on, accepted_because=because)

    def texts(self, system: System) -> tuple[str, str]:
        """Measured and limit as people read them, with enough digits that a broken rule never shows equal numbers."""
        if self.measured is None or self.limit is None:
            m = "–" if self.measured is None else show(self.measured, self.rule.kind, system, self.rule.places)
            n = "–" if self.limit is None else show(self.limit, self.rule.kind, system, self.rule.places)
            return m, n
        places = self.rule.places
        m = n = ""
        for extra in range(7):
            more = None if places is None and extra == 0 else (places or 0) + extra
            m = show(self.measured, self.rule.kind, system, more)
            n = show(self.limit, self.rule.kind, system, more)
            if m != n or self.verdict is not Verdict.BREAKS:
                break
        return m, n


def parts_text(finding: Finding, system: System) -> str:
    """What the limit is the sum of, as people read it: ``"8 128 W house + 60 W tube"``; empty where it is no sum."""
    return " + ".join(f"{show(v, finding.rule.kind, system)} {name}" for name, v in finding.parts)


ORDER = {v: i for i, v in enumerate(Verdict)}


def worst_first(findings: "list[Finding] | tuple[Finding, ...]") -> list[Finding]:
    """Broken must-rules first, then broken advice, not known, near, accepted, held; stable within."""
    return sorted(findings, key=lambda f: (ORDER[f.verdict], f.rule.severity is not Severity.MUST, f.rule.id))


@record(kw_only=False)
class Caution:
    """A standing warning about something that can hurt someone. Every output that touches its topic prints it."""

    id: str
    topic: str
    text: str


CAUTIONS: tuple[Caution, ...] = (
    Caution("CAU-GAS", "gas", "Gas and flue work belongs to a licensed gas fitter. Do not open, alter or test the gas "
            "line or the flue. Smell gas: no switches, no flames, out, close the meter valve if you can, call the gas "
            "emergency number from outside."),
    Caution("CAU-CO", "carbon monoxide", "A faulty flue or starved burner makes carbon monoxide, which has no smell. "
            "Fit an alarm to the local code before first fire and never run the boiler with its case off."),
    Caution("CAU-PRESSURE", "pressure", "Heated water in a closed system bursts things. The relief valve must never be "
            "plugged, valved off or reduced, and its discharge must end where nobody can be scalded. Pressure-test "
            "with water; testing with air stores far more energy and is left to people equipped for it."),
    Caution("CAU-SCALD", "scalding", "Water above 50 °C (120 °F) scalds within minutes, above 60 °C (140 °F) within "
            "seconds. Let the system cool before you open it; fit mixing valves at taps as the local code asks."),
    Caution("CAU-HOT-WORK", "hot work", "Torch work sets houses on fire hours later. Clear and wet the place, shield "
            "what can burn, keep an extinguisher at hand, and watch for at least an hour after the last flame."),
    Caution("CAU-LEGIONELLA", "Legionella", "Legionella grows in tepid water, 20–45 °C (68–113 °F). Store hot water at "
            "60 °C (140 °F) or as the local code says, keep dead legs short, flush after standing."),
    Caution("CAU-LIFTING", "lifting", "Cast-iron radiators and boilers weigh as much as a person or more. Take "
            "sections apart, use straps and a second pair of hands, and check what the floor and wall can bear."),
    Caution("CAU-ELECTRIC", "electricity", "Isolate and prove dead before you touch a circulator, valve or control. "
            "Fixed wiring and bonding of the pipework follow the local code; where it asks for a licence, it is not "
            "yours."),
    Caution("CAU-LAW", "permits", "Local codes, the boiler maker's instructions and the permit come before anything "
            "printed here. wetside computes; it does not license."),
)  # fmt: skip
