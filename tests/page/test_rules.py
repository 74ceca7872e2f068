"""Rules in a real browser: worst first, the way to the place, accepting, what can't be accepted."""

import datetime
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from opened import Served, tab, wait_until

pytestmark = pytest.mark.usefixtures("fresh")


def opened_at(browser: Any, served: Served, **context: Any) -> Any:
    made = tab(browser, served, "rules", **context)
    made.wait_for_selector("#foot-link .holds")
    made.wait_for_selector("#open .rule")
    return made


@pytest.fixture
def rules(browser: Any, served: Served) -> Iterator[Any]:
    served.problems.clear()
    made = opened_at(browser, served)
    yield made
    made.context.close()
    assert served.problems == []


def test_worst_come_first_with_all_that_is_to_be_known(rules: Any) -> None:
    order = rules.evaluate("() => [...document.querySelectorAll('#open .rule')].map(r => r.classList[1])")
    ranks = [["breaks", "not-known", "near", "accepted"].index(v) for v in order]
    assert ranks == sorted(ranks)
    first = rules.locator("#open .rule", has_text="NET-01").first
    assert first.locator("svg.mark-box").count() == 1
    assert "at most" in first.locator(".sum").inner_text()
    assert first.locator(".remedy").inner_text()
    assert first.locator(".source").inner_text().startswith("NET-01")
    first.locator(".number").click()
    rules.wait_for_selector("#why[open]")


def test_accepting_takes_a_reason_and_can_be_taken_back(rules: Any, served: Served) -> None:
    first = rules.locator("#open .rule").first
    key = first.get_attribute("data-rule")
    first.get_by_role("button", name="Accept").click()
    rules.locator("dialog .first").click()
    assert rules.locator("#ask").is_visible()  # no reason, nothing accepted
    rules.fill("#because", "short run, nobody sleeps there")
    rules.keyboard.press("Tab")
    rules.keyboard.press("Tab")
    rules.keyboard.press("Enter")
    wait_until(lambda: "accept" in tomllib.loads(served.file.read_text()))
    entry = tomllib.loads(served.file.read_text())["accept"][0]
    assert f"{entry['rule']}:{entry['subject']}" == key
    assert entry["on"] == datetime.date.today()
    rules.wait_for_selector("#open .rule.accepted")
    rules.get_by_role("button", name="No longer accept").click()
    wait_until(lambda: "accept" not in tomllib.loads(served.file.read_text()))


def test_what_guards_people_offers_no_way_out(rules: Any) -> None:
    for row in rules.locator("#open .rule").all():
        if "guards people" in row.inner_text():
            assert row.get_by_role("button", name="Accept").count() == 0


def test_a_finding_leads_to_its_run_in_space(rules: Any) -> None:
    rules.locator("#open .way", has_text="in 3-D").first.click()
    rules.wait_for_selector("#card h3")
    assert "/pipes#run:" in rules.url


def test_the_sieve_and_the_search(rules: Any) -> None:
    rules.locator('[data-v="breaks"]').click()
    assert rules.locator("#open .rule.breaks").count() == 0
    assert rules.evaluate("() => document.activeElement.dataset.v") == "breaks"
    rules.locator('[data-v="breaks"]').click()
    rules.fill("#find", "vessel")
    assert 0 < rules.locator("#open .rule").count() < 6
    rules.fill("#find", "")
    rules.locator('[data-w="Second"]').click()
    assert rules.locator('[data-w="Second"]').get_attribute("aria-pressed") == "true"


def test_cautions_stand_at_the_end(rules: Any) -> None:
    assert rules.locator("#cautions dt").count() >= 9


def test_a_phone_shows_all_of_it(browser: Any, served: Served) -> None:
    served.problems.clear()
    page = opened_at(browser, served, viewport={"width": 390, "height": 844}, has_touch=True)
    page.locator(".held summary").first.click()
    assert page.evaluate("() => document.documentElement.scrollWidth") == 390
    page.context.close()
    assert served.problems == []
