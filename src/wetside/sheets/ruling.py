"""Every finding as the page lists it: what asks for something one by one, what holds gathered by rule, cautions."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.basis.rules import CAUTIONS, Finding, Verdict
from wetside.sheets.check import CautionLine, FindingLine, Summary, finding_line, summary
from wetside.sheets.said import said
from wetside.sheets.screen import Spot, Where

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class Ruled:
    finding: FindingLine = said("The finding.")
    spot: Spot | None = said("Where it leads to.")
    share: float | None = said("Measured as a share of the limit; null where one of them is not known.", "1")
    acceptable: bool = said("Whether the person may accept it.")


@record
class HeldRow:
    subject: str = said("What was judged.")
    measured: str = said("Measured.")
    limit: str = said("The limit.")
    spot: Spot | None = said("Where it leads to.")


@record
class Held:
    id: str = said("Id of the rule.")
    title: str = said("What it asks for.")
    sense: str = said("How measured stands to the limit.")
    severity: str = said("Must or advise.")
    source: str = said("Full reference of the limit.")
    rows: tuple[HeldRow, ...] = said("Every place where it holds.")


@record
class RulesSheet:
    summary: Summary = said("Counts.")
    open: tuple[Ruled, ...] = said("Findings that do not hold, worst first.")
    held: tuple[Held, ...] = said("Rules that hold, with their places.")
    cautions: tuple[CautionLine, ...] = said("What can hurt people in this work.")


def rules_sheet(study: "Study", findings: tuple[Finding, ...], system: System) -> RulesSheet:
    """Findings of a study, sorted for the page.

    :param findings: worst first
    """
    where = Where(study)
    return RulesSheet(
        summary=summary(findings),
        open=tuple(_ruled(f, where, system) for f in findings if f.verdict is not Verdict.HOLDS),
        held=_held((f for f in findings if f.verdict is Verdict.HOLDS), where, system),
        cautions=tuple(CautionLine(id=c.id, topic=c.topic, text=c.text) for c in CAUTIONS),
    )


def _ruled(f: Finding, where: Where, system: System) -> Ruled:
    share = f.measured / f.limit if f.measured is not None and f.limit is not None and f.limit > 0.0 else None
    return Ruled(
        finding=finding_line(f, system),
        spot=where.spot(f.place),
        share=share,
        acceptable=not f.rule.safety and f.verdict in (Verdict.BREAKS, Verdict.NEAR),
    )


def _held(findings: Iterable[Finding], where: Where, system: System) -> tuple[Held, ...]:
    groups: dict[str, list[Finding]] = {}
    for f in findings:
        groups.setdefault(f.rule.id, []).append(f)
    found: list[Held] = []
    for own in groups.values():
        first = finding_line(own[0], system)
        rows: list[HeldRow] = []
        for f in own:
            measured, limit = f.texts(system)
            rows.append(HeldRow(subject=f.subject, measured=measured, limit=limit, spot=where.spot(f.place)))
        found.append(
            Held(
                id=first.id, title=first.title, sense=first.sense, severity=first.severity, source=first.source,
                rows=tuple(rows),
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda h: h.id))
