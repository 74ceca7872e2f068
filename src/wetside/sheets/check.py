"""The check sheet: every finding, worst first, and every caution."""

from typing import TYPE_CHECKING

from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.basis.rules import CAUTIONS, Finding, Verdict, parts_text
from wetside.basis.tables import reference
from wetside.sheets.said import said

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wetside.jobfile.found import Spot
    from wetside.study.study import Study


@record
class FindingLine:
    id: str = said("Id of the rule; never used again for another rule.")
    title: str = said("What the rule asks for.")
    subject: str = said("What was judged.")
    verdict: str = said("One of breaks, not known, near, accepted, holds.")
    severity: str = said('One of "must", "advise".')
    safety: bool = said("Whether it guards people; such a finding can't be accepted away.")
    sense: str = said('How measured stands to the limit: "at most" or "at least".')
    measured: float | None = said("What was measured, in the finding's unit; null when not known.")
    limit: float | None = said("The limit, in the finding's unit; null when not known.")
    unit: str = said("SI unit of measured and limit.")
    measured_text: str = said("Measured as people read it, in the job's units.")
    limit_text: str = said("The limit as people read it, in the job's units.")
    missing: str = said("Which input is missing, where the rule could not be judged.")
    remedy: str = said("What to do about it.")
    source: str = said("Full reference of the limit.")
    place: str = said("Id of the drawn thing that the finding leads to; empty where there is none.")
    accepted_on: str = said("Date on which the person accepted it; empty otherwise.")
    accepted_because: str = said("Why the person accepted it; empty otherwise.")
    limit_parts: str = said("What the limit is the sum of, as people read it; empty where it is no sum.")
    file: str = said("Job file that states the thing that the finding leads to; empty where not known.")
    line: int | None = said("Its line in that file, from 1; null where not known.")


@record
class CautionLine:
    id: str = said("Id of the caution.")
    topic: str = said("What can hurt.")
    text: str = said("What to do and not to do.")


@record
class Summary:
    findings: int = said("How many rules were judged at how many places.")
    breaks: int = said("Findings that break their limit.")
    not_known: int = said("Findings that could not be judged.")
    near: int = said("Findings within the limit but close to it.")
    accepted: int = said("Findings that the person accepted.")
    holds: int = said("Findings that hold.")
    broken_must: int = said("Must-rules that break; --strict fails on any.")
    unknown_safety: int = said("Safety rules that could not be judged; --strict fails on any.")


@record
class CheckSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    summary: Summary = said("Counts.")
    findings: tuple[FindingLine, ...] = said("Every finding, worst first.")
    cautions: tuple[CautionLine, ...] = said("What can hurt people in this work.")


def finding_line(finding: Finding, system: System, spot: "Spot | None" = None) -> FindingLine:
    """One finding with texts in the job's units and its source spelled out.

    :param spot: where the job's files state what it leads to
    :raises TableProblem: the rule cites a source that nobody listed
    """
    measured, limit = finding.texts(system)
    rule = finding.rule
    return FindingLine(
        id=rule.id,
        title=rule.title,
        subject=finding.subject,
        verdict=finding.verdict.value,
        severity=rule.severity.value,
        safety=rule.safety,
        sense=rule.sense,
        measured=finding.measured,
        limit=finding.limit,
        unit=finding.unit,
        measured_text=measured,
        limit_text=limit,
        missing=finding.missing if finding.verdict is Verdict.NOT_KNOWN else "",
        remedy=finding.remedy,
        source=reference(rule.source),
        place=finding.place,
        accepted_on=finding.accepted_on,
        accepted_because=finding.accepted_because,
        limit_parts=parts_text(finding, system),
        file=spot.file if spot is not None else "",
        line=spot.line if spot is not None else None,
    )


def summary(findings: tuple[Finding, ...]) -> Summary:
    count = {v: sum(f.verdict is v for f in findings) for v in Verdict}
    return Summary(
        findings=len(findings),
        breaks=count[Verdict.BREAKS],
        not_known=count[Verdict.NOT_KNOWN],
        near=count[Verdict.NEAR],
        accepted=count[Verdict.ACCEPTED],
        holds=count[Verdict.HOLDS],
        broken_must=sum(f.broken_must for f in findings),
        unknown_safety=sum(f.unknown_safety for f in findings),
    )


def check_sheet(study: "Study", spots: "Mapping[str, Spot] | None" = None) -> CheckSheet:
    """Every finding of a study, worst first, and every caution.

    :param spots: where the job's files state what findings lead to, by `Finding.place`
    :raises JobProblem: the job can't be read
    :raises NoSolution: the network has no answer
    """
    system = study.design.system
    return CheckSheet(
        job=study.design.name,
        units=system.value,
        summary=summary(study.findings),
        findings=tuple(finding_line(f, system, (spots or {}).get(f.place)) for f in study.findings),
        cautions=tuple(CautionLine(id=c.id, topic=c.topic, text=c.text) for c in CAUTIONS),
    )
