"""The findings as they stand in a terminal. Nothing is computed here."""

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from wetside.basis.rules import Verdict
from wetside.cli.cells import head
from wetside.cli.prose import Prose, prose
from wetside.cli.teller import MARK, STYLE
from wetside.sheets.check import CheckSheet, FindingLine
from wetside.sheets.wording import clean, plural


def verdict(word: str) -> Text:
    v = Verdict(word)
    return Text(f"{MARK[v]} {v.value}", style=STYLE[v])


def against(f: FindingLine) -> str:
    """``"1.13 m/s, at most 1.00 m/s"``, or what is missing."""
    parts = f" ({f.limit_parts})" if f.limit_parts else ""
    return f"{f.measured_text}, {f.sense} {f.limit_text}{parts}"


def rule_head(f: FindingLine) -> tuple[str, str]:
    return f"{f.id} {f.title} ({f.severity}{', safety' if f.safety else ''})", "bold"


def finding_block(f: FindingLine) -> Prose:
    """All that is said of a finding that asks for something."""
    said = [rule_head(f), (f"{clean(f.subject)}: {against(f)}", "")]
    if f.line is not None:
        said.append((f"at: {clean(f.file)}, line {f.line}", "dim"))
    if f.missing:
        said.append((f"missing: {clean(f.missing)}", ""))
    if f.accepted_on:
        said.append((f"accepted {f.accepted_on}: {clean(f.accepted_because)}", ""))
    elif f.remedy:
        said.append((f"to do: {clean(f.remedy)}", ""))
    return Prose((*said, (f"source: {f.source}", "dim")))


def held_block(findings: list[FindingLine]) -> Prose:
    """One rule that holds: a line for each place."""
    return Prose((rule_head(findings[0]), *((f"{clean(f.subject)}: {against(f)}", "") for f in findings)))


def counts(sheet: CheckSheet) -> Text:
    """The number of findings by verdict, worst first."""
    s = sheet.summary
    by = {
        Verdict.BREAKS: s.breaks,
        Verdict.NOT_KNOWN: s.not_known,
        Verdict.NEAR: s.near,
        Verdict.ACCEPTED: s.accepted,
        Verdict.HOLDS: s.holds,
    }
    text = Text()
    for v, n in by.items():
        text.append(f"{MARK[v]} {v.value} {n}   ", style=STYLE[v] if n else "dim")
    return text


def check(sheet: CheckSheet, *, brief: bool = False) -> RenderableType:
    """The findings, their count above and below; `brief` leaves out those that hold and the cautions."""
    rows = Table.grid(padding=(0, 2, 0, 0))
    rows.add_column(no_wrap=True)
    rows.add_column(overflow="fold")
    held: dict[str, list[FindingLine]] = {}
    for f in sheet.findings:
        if f.verdict == Verdict.HOLDS.value:
            held.setdefault(f.id, []).append(f)
        else:
            rows.add_row(verdict(f.verdict), finding_block(f))
    for group in () if brief else held.values():
        rows.add_row(verdict(Verdict.HOLDS.value), held_block(group))
    cautions = Table.grid(padding=(0, 2, 0, 0))
    cautions.add_column(no_wrap=True, style="bold")
    cautions.add_column(overflow="fold")
    for c in sheet.cautions:
        cautions.add_row(c.topic, prose(c.text))
    musts = sheet.summary.broken_must
    last = f"{plural(musts, 'must-rule breaks', 'must-rules break')} of {plural(sheet.summary.findings, 'finding')}."
    if sheet.summary.unknown_safety:
        unknown = plural(sheet.summary.unknown_safety, "safety rule is", "safety rules are")
        last = f"{last} {unknown} not known."
    top = (head(sheet.job, "check"), counts(sheet), prose(last, "bold"), Text(), rows)
    if brief:
        return Group(*top)
    return Group(
        *top, Text("\nCautions", style="bold"), cautions, Text(), counts(sheet), prose(last, "bold")
    )  # fmt: skip
