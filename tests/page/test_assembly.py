"""The near-boiler builder on the page: choices, bench sheet and notes at once, written as ordinary runs, undone."""

import json
import tomllib
import urllib.error
import urllib.request
from typing import Any

import pytest
from opened import Served, tab, wait_until

pytestmark = pytest.mark.usefixtures("fresh")

BARE = """
[[boiler]]
name = "boiler"
output = "18 kW"
least = "4 kW"
flow = "60 degC"
kv = "2.5 Kv"
water = "2 l"
mass = "35 kg"
at = [2, 3.9, 1.4]
ports = [{ name = "flow", at = [-0.1, 0, 0], faces = "down" }, { name = "return", at = [0.1, 0, 0], faces = "down" }]
"""


@pytest.fixture
def built(browser: Any, served: Served) -> Any:
    served.problems.clear()
    page = tab(browser, served, "pipes")
    page.wait_for_selector("#foot-link .holds")
    page.click("#assemble")
    page.wait_for_selector("#assembly .drawing")
    yield page
    page.context.close()


def runs(served: Served) -> dict[str, dict[str, Any]]:
    return {r["name"]: r for r in tomllib.loads(served.file.read_text())["run"]}


def ask(served: Served, **choices: Any) -> tuple[int, dict[str, Any]]:
    head = {"content-type": "application/json", "x-wetside": "1", "origin": served.address.rstrip("/")}
    request = urllib.request.Request(
        served.address + "api/pipes/assembly", json.dumps(choices).encode(), headers=head, method="POST"
    )
    try:
        with urllib.request.urlopen(request, timeout=20) as answer:
            return answer.status, json.load(answer)
    except urllib.error.HTTPError as refused:
        with refused:
            return refused.code, json.load(refused)


def test_choices_are_looked_at_on_the_bench_before_anything_is_written(built: Any, served: Served) -> None:
    text = served.file.read_text()
    before = built.locator("#assembly .drawing").inner_html()
    assert "dirt separator" in built.locator(".assembly-words").inner_text()
    built.uncheck('[data-part="dirt separator"]')
    built.wait_for_function("() => !document.querySelector('.moves-told')?.textContent.includes('dirt separator')")
    assert built.locator("#assembly .drawing").inner_html() != before
    built.get_by_role("button", name="Leave it").click()
    assert built.locator("#assembly").is_hidden()
    assert served.file.read_text() == text
    assert served.problems == []


def test_written_it_is_ordinary_runs_and_undo_takes_it_back(built: Any, served: Served) -> None:
    text = served.file.read_text()
    built.uncheck('[data-part="pressure gauge"]')
    built.wait_for_function("() => !document.querySelector('.moves-told')?.textContent.includes('pressure gauge')")
    built.click("#assembly-write")
    built.wait_for_selector("#assembly", state="hidden")
    primary = runs(served)["primary"]
    assert primary["start"] == "boiler.flow" and "fit pressure gauge" not in primary["moves"]
    assert "heating flow" in runs(served)  # the house's own runs stay
    built.wait_for_function("() => !document.getElementById('undo').disabled")
    built.click("#undo")
    wait_until(lambda: served.file.read_text() == text)
    assert [p for p in served.problems if "422" not in p] == []


def test_a_separator_takes_the_place_of_what_hangs_on_the_boiler(built: Any, served: Served) -> None:
    built.select_option("#assembly-parting", "separator")
    built.wait_for_selector("label:has(#assembly-instead):not([hidden])")
    assert 'port "boiler.flow" is taken' in built.locator(".assembly-words").inner_text()
    built.check("#assembly-instead")
    built.wait_for_function("() => !document.querySelector('.assembly-words').textContent.includes('is taken')")
    assert built.locator("#assembly .drawing").count() == 1
    status, told = ask(served, parting="separator", instead=True)
    assert status == 200
    assert {"do": "remove", "table": "run", "name": "primary"} in told["cmd"]["all"]
    assert any(s["do"] == "add" and s["table"] == "separator" for s in told["cmd"]["all"])


def test_what_cannot_be_is_said(served: Served) -> None:
    assert ask(served, boiler="kettle")[0] == 422
    status, told = ask(served, wall="100 mm")
    assert status == 422 and told["wrong"]
    assert ask(served, wall="as far as it goes")[0] == 422
    assert ask(served, parting="a wish")[0] == 400
    assert ask(served, without=["the boiler"])[0] == 400
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(urllib.request.Request(served.address + "api/pipes/assembly", b"{}", method="POST"))
    assert refused.value.code == 403
    refused.value.close()


def test_a_bare_boiler_gets_its_pipework(browser: Any, tmp_path: Any) -> None:
    """From a boiler on a wall, with nothing else drawn."""
    from opened import serve

    from wetside.jobfile.new import new_job

    new_job(tmp_path / "bare", blank=True)
    with (tmp_path / "bare" / "job.toml").open("a") as file:
        file.write('\n[[room]]\nname = "Cellar"\nstorey = "Ground"\nrectangle = [0, 0, 6, 4]\n' + BARE)
    served = serve(tmp_path / "bare", tmp_path)
    try:
        status, told = ask(served, parting="tees")
        assert status == 200, told
        assert {r["name"] for r in told["runs"]} >= {"primary"}
        assert any("no circulator" in n for n in told["notes"])
        page = tab(browser, served, "pipes")
        page.wait_for_selector("#foot-link .holds")
        page.click("#assemble")
        page.wait_for_selector("#assembly .drawing")
        page.click("#assembly-write")
        page.wait_for_selector("#assembly", state="hidden")
        assert "primary" in runs(served)
        page.context.close()
    finally:
        served.stop()
