"""The place that lists every finding, worst first, and takes what the person accepts."""

from datetime import date
from typing import Any

from wetside.basis.quantity import System
from wetside.page.doc import Doc, Reading
from wetside.page.places import Place
from wetside.sheets.ruling import rules_sheet
from wetside.sheets.said import as_data


def data(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """Findings of the study shown, and what the file accepts."""
    shown = now.shown
    rules = None if shown is None else as_data(rules_sheet(shown, now.findings, system))
    accepted = [f"{a.get('rule', '')}, {a.get('subject', '')}" for a in now.tables.get("accept", ())]
    return {"rules": rules, "whole": now.whole, "accepted": accepted, "today": date.today().isoformat()}


def live(doc: Doc, now: Reading, system: System) -> dict[str, Any]:
    """Nothing is dragged here."""
    return {}


JUDGED = Place(key="rules", title="Rules", module="rules.js", data=data, live=live)
