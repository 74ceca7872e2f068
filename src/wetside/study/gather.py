"""All rules of all floors judged over one study, and what the person accepted."""

from typing import TYPE_CHECKING

from wetside.basis.errors import MistakeList, nearest
from wetside.basis.quantity import Kind
from wetside.basis.rules import Finding, Rule, Severity, worst_first
from wetside.fabricate import rules as fabricate_rules
from wetside.frame import rules as frame_rules
from wetside.network import balance_rules
from wetside.network import rules as network_rules
from wetside.network.reading import FlowReading
from wetside.pipework import rules as pipework_rules
from wetside.plant import rules as plant_rules
from wetside.study import standing
from wetside.study.design import Accepted
from wetside.study.hydraulic import equipment_of, wish_of

if TYPE_CHECKING:
    from wetside.study.study import Study

ACCEPTED_MEETS = Rule(
    "JOB-01", "An accepted finding is one that is judged", "at least", Kind.NUMBER, "common practice", Severity.ADVISE,
    places=0, near=-1.0,
)  # fmt: skip
RULES = (ACCEPTED_MEETS,)
ALL_RULES: tuple[Rule, ...] = (
    *pipework_rules.RULES,
    *network_rules.RULES,
    *balance_rules.RULES,
    *plant_rules.RULES,
    *fabricate_rules.RULES,
    *frame_rules.RULES,
    *standing.RULES,
    *RULES,
)


def gather(study: "Study") -> tuple[Finding, ...]:
    """Every rule judged at every place, accepted findings marked, worst first.

    :raises JobProblem: the job can't be read, or accepts a rule that doesn't exist or guards people
    :raises NoSolution: the network has no answer
    """
    return tuple(worst_first(accept(judged(study), study.design.accepted)))


AT_ONCE: tuple[Rule, ...] = (
    *pipework_rules.RULES,
    *(r for r in network_rules.RULES if r is not network_rules.ROOM_SETTLES),
    *plant_rules.RULES,
)
"""Rules that need no fittings placed, no supports found and no rooms left to settle: those that an answer while
something is dragged has time for."""


def gather_at_once(study: "Study") -> tuple[Finding, ...]:
    """The rules of `AT_ONCE` judged at every place, accepted findings marked, worst first.

    :raises JobProblem: the job can't be read, or accepts a rule that guards people
    :raises NoSolution: the network has no answer
    """
    ids = {r.id for r in AT_ONCE}
    accepted = tuple(a for a in study.design.accepted if a.rule in ids)
    return tuple(worst_first(accept(judged_at_once(study), accepted)))


def judged(study: "Study") -> tuple[Finding, ...]:
    """Every rule judged, before anything is accepted."""
    d = study.design
    return (
        *judged_at_once(study, study.settled),
        *balance_rules.judge(study.pipework, equipment_of(d, study.rooms), wish_of(d, study.rooms), study.flow),
        *standing.judge(d.house, study.openings, d.emitters, d.ports, d.system),
        *fabricate_rules.judge(study.fabrication, d.system),
        *frame_rules.judge(study.supporting, sag_m=d.bracing.sag_m, gap_m=d.bracing.gap_m, system=d.system),
    )


def judged_at_once(study: "Study", settled: FlowReading | None = None) -> tuple[Finding, ...]:
    """The rules of `AT_ONCE` judged, before anything is accepted; and with `settled` the one on settled rooms too."""
    d = study.design
    return (
        *study.laid_findings,
        *network_rules.judge(
            study.flow,
            study.rooms,
            d.emitters,
            speed_m_s=d.limits.speed_m_s,
            gradient_pa_m=d.limits.gradient_pa_m,
            system=d.system,
            settled=settled,
            boilers=d.boilers,
        ),
        *plant_rules.judge(
            load=study.rooms,
            flow=study.flow,
            pipework=study.pipework,
            water_m3=study.water_m3,
            boilers=d.boilers,
            plant=d.plant,
            cold_water_c=d.house.climate.cold_water_c,
            circulators=d.circulators,
            tanks=d.tanks,
            emitters=d.emitters,
            ports=d.ports,
            system=d.system,
        ),
    )


def accept(findings: tuple[Finding, ...], accepted: tuple[Accepted, ...]) -> list[Finding]:
    """Findings with those waived that the person accepts.

    An entry whose rule was judged, but not at that subject, becomes a finding of its own: the design has moved on.

    :raises JobProblem: an entry names a rule that doesn't exist, or one that guards people
    """
    mistakes = MistakeList()
    by_id = {r.id: r for r in ALL_RULES}
    found = list(findings)
    for entry in accepted:
        rule = by_id.get(entry.rule)
        if rule is None:
            remedy = nearest(entry.rule, by_id)
            wrong = f'there is no rule "{entry.rule}" to accept at "{entry.subject}"'
            mistakes.add("accept", entry.rule, "subject", wrong, remedy)
            continue
        if rule.safety:
            wrong = f'{rule.id} ({rule.title.lower()}) guards people: at "{entry.subject}" it can\'t be accepted away'
            mistakes.add(
                "accept", entry.rule, "subject", wrong, rule.remedy or "mend what breaks it, and take this entry out"
            )
            continue
        subjects = [f.subject for f in found if f.rule.id == rule.id]
        if entry.subject not in subjects:
            hint = nearest(entry.subject, subjects) if subjects else "this rule judges nothing in this job"
            remedy = f"take the entry out, or mend its subject: {hint}"
            found.append(ACCEPTED_MEETS.judge(f"{rule.id} at {entry.subject}", 0.0, 1.0, remedy=remedy))
            continue
        found = [
            f.accept(entry.on, entry.because) if f.rule.id == rule.id and f.subject == entry.subject else f
            for f in found
        ]
    mistakes.raise_if_any()
    return found
