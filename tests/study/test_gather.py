"""Every rule of every floor is gathered once; accepted entries waive what they may and nothing else."""

import importlib
import pkgutil
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import wetside
from wetside import open_job
from wetside.basis.errors import JobProblem
from wetside.basis.rules import ORDER, Finding, Rule, Severity, Verdict
from wetside.basis.tables import reference
from wetside.jobfile.new import demos, new_job
from wetside.study.design import Accepted
from wetside.study.gather import ACCEPTED_MEETS, ALL_RULES, accept

SAFE = next(r for r in ALL_RULES if r.safety)
PLAIN = next(r for r in ALL_RULES if not r.safety)


def entry(rule: str, subject: str) -> Accepted:
    return Accepted(rule=rule, subject=subject, on="2026-11-02", because="short")


def broken(rule: Rule, subject: str) -> Finding:
    return rule.judge(subject, 2.0, 1.0) if rule.sense == "at most" else rule.judge(subject, 1.0, 2.0)


def test_ids_are_never_used_twice() -> None:
    assert [i for i, n in Counter(r.id for r in ALL_RULES).items() if n > 1] == []


@pytest.mark.parametrize("rule", ALL_RULES, ids=lambda r: r.id)
def test_a_rule_says_where_its_limit_comes_from(rule: Rule) -> None:
    assert len(reference(rule.source)) > 10


def test_no_floor_keeps_rules_to_itself() -> None:
    found: set[str] = set()
    for module in pkgutil.walk_packages(wetside.__path__, "wetside."):
        if module.name.endswith("__main__") or ".cli" in module.name:
            continue
        rules = getattr(importlib.import_module(module.name), "RULES", ())
        found |= {r.id for r in rules if isinstance(r, Rule)}
    assert found == {r.id for r in ALL_RULES}


def test_every_rule_declared_anywhere_is_in_its_floors_tuple() -> None:
    declared: set[str] = set()
    for module in pkgutil.walk_packages(wetside.__path__, "wetside."):
        if not module.name.endswith("__main__"):
            declared |= {r.id for r in vars(importlib.import_module(module.name)).values() if isinstance(r, Rule)}
    assert declared == {r.id for r in ALL_RULES}


def test_an_accepted_finding_is_waived_with_date_and_reason() -> None:
    found = accept((broken(PLAIN, "a"), broken(PLAIN, "b")), (entry(PLAIN.id, "b"),))
    assert [f.verdict for f in found] == [Verdict.BREAKS, Verdict.ACCEPTED]
    assert (found[1].accepted_on, found[1].accepted_because) == ("2026-11-02", "short")
    assert not found[1].broken_must


def test_an_entry_that_meets_nothing_is_a_finding() -> None:
    found = accept((broken(PLAIN, "run A"),), (entry(PLAIN.id, "run B"),))
    assert [(f.rule, f.verdict) for f in found] == [(PLAIN, Verdict.BREAKS), (ACCEPTED_MEETS, Verdict.BREAKS)]
    assert 'did you mean "run A"' in found[1].remedy
    assert ACCEPTED_MEETS.severity is Severity.ADVISE


def test_all_entries_that_can_not_be_are_mistakes_at_once() -> None:
    with pytest.raises(JobProblem) as problem:
        accept((broken(SAFE, "a"),), (entry("NET-0l", "a"), entry(SAFE.id, "a"), entry(PLAIN.id, "x")))
    wrong = [m.wrong for m in problem.value.mistakes]
    assert len(wrong) == 2
    assert "no rule" in wrong[0]
    assert SAFE.id in wrong[1]
    assert "guards people" in wrong[1]


@given(st.lists(st.tuples(st.sampled_from([r for r in ALL_RULES if not r.safety]), st.sampled_from("abc")), max_size=6))
def test_accepting_never_loses_or_makes_findings(pairs: list[tuple[Rule, str]]) -> None:
    findings = tuple(broken(r, s) for r, s in dict.fromkeys(pairs))
    found = accept(findings, tuple(entry(r.id, s) for r, s in pairs[:3]))
    assert [(f.rule, f.subject) for f in found] == [(f.rule, f.subject) for f in findings]
    waived = {(f.rule.id, f.subject) for f in found if f.verdict is Verdict.ACCEPTED}
    assert waived == {(r.id, s) for r, s in pairs[:3]}


@pytest.mark.parametrize("name", demos())
def test_findings_of_a_demo_stand_worst_first(name: str, tmp_path: Path) -> None:
    new_job(tmp_path / "job", name)
    findings = open_job(tmp_path / "job").findings
    order = [(ORDER[f.verdict], f.rule.severity is not Severity.MUST) for f in findings]
    assert order == sorted(order)
    assert len({(f.rule.id, f.subject) for f in findings}) == len(findings), (
        "a finding can be named by rule and subject"
    )


@pytest.mark.parametrize("like", [d for d in demos() if d.endswith("-mended")])
def test_every_rule_holds_in_the_mended_twins_and_their_variants(like: str, tmp_path: Path) -> None:
    new_job(tmp_path / "job", like)
    files = sorted((tmp_path / "job").glob("*.toml"))
    assert files
    for file in files:
        broken = [f for f in open_job(file).findings if f.verdict not in (Verdict.HOLDS, Verdict.NEAR)]
        assert broken == []


@pytest.mark.parametrize("like", [d for d in demos() if not d.endswith("-mended")])
def test_every_demo_has_flaws_to_find(like: str, tmp_path: Path) -> None:
    """An emitter too small, a run too fast, a vessel too small."""
    new_job(tmp_path / "job", like)
    broken = {f.rule.id for f in open_job(tmp_path / "job").findings if f.verdict is Verdict.BREAKS}
    assert {"NET-01", "NET-03", "PLA-05"} <= broken
