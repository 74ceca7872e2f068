"""What makes the page quick to use: short moves, rows as lines, an emitter connected in one action."""

import json
import tomllib
from importlib.resources import files
from typing import Any

import pytest
from opened import Served, wait_until

from wetside.jobfile.new import demos
from wetside.page.fields import fields

pytestmark = pytest.mark.usefixtures("fresh")


def runs(served: Served) -> dict[str, dict[str, Any]]:
    return {r["name"]: r for r in tomllib.loads(served.file.read_text())["run"]}


def test_short_moves_say_what_the_long_ones_do(page: Any) -> None:
    items = ["boiler circulator", "zone valve 1", "zone valve 2", "isolating valve", "pressure gauge", "air separator"]
    spelled = page.evaluate(
        """async ([text, items, units]) => (await import('/static/moves.js')).spell(text, items, units)""",
        ["d 350mm, f iso, t A, w=2.4, u.., tube copper 15, f zv2, f gau, north 3 m\neast to -1.5 m", items, "metric"],
    )
    assert spelled == [
        "down 350 mm", "fit isolating valve", "tee A", "west to 2.4 m", "up ...", "tube copper 15", "fit zone valve 2",
        "fit pressure gauge", "north 3 m", "east to -1.5 m",
    ]  # fmt: skip


@pytest.mark.parametrize("demo", demos())
def test_every_list_of_a_job_is_read_as_it_is_shown(page: Any, demo: str) -> None:
    job = tomllib.loads((files("wetside.jobfile") / "demos" / demo / "job.toml").read_text(encoding="utf-8"))
    found: list[tuple[str, Any, Any]] = []
    for table, shape in fields().items():
        entries = job.get(table, []) if shape["many"] else [job.get(table, {})]
        for field in shape["fields"]:
            if field["type"] in ("rows", "list", "lines"):
                found += [(f"{table} {field['name']}", field, e[field["name"]]) for e in entries if field["name"] in e]
    assert any(what == "construction layers" for what, _, _ in found)
    back = page.evaluate(
        """async found => { const {typed, read} = await import('/static/form.js')
        return found.map(([what, field, value]) => [what, typed(value, field), read(typed(value, field), field)]) }""",
        json.loads(json.dumps(found)),
    )
    for (what, _, value), (_, text, read) in zip(found, back, strict=True):
        assert read == value, what
        assert not text.startswith("[{"), what


def test_an_emitter_is_connected_in_one_action(page: Any, served: Served) -> None:
    before = runs(served)
    text = served.file.read_text()
    for name in ("R4 flow", "R4 return"):
        page.evaluate(f"() => location.hash = '#run:{name.replace(' ', '%20')}'")
        page.wait_for_selector(f'#card h3:has-text("{name}")')
        page.get_by_role("button", name="Remove run of tube").click()
        page.wait_for_selector(f'#told:has-text("{name} removed")')
    assert "tee R4" not in runs(served)["first flow"]["moves"]
    page.wait_for_function("() => !document.querySelector('[data-id=\"run:R4 return\"]')")
    page.keyboard.press("c")
    assert page.get_by_label("Emitter", exact=True).input_value() == "R4"
    page.get_by_label("Tube", exact=True).select_option("copper 15")
    page.get_by_role("button", name="Connect", exact=True).last.click()
    wait_until(lambda: {"R4 flow", "R4 return"} <= runs(served).keys())
    after = runs(served)
    assert "tee R4" in after[after["R4 flow"]["start"].partition(".")[0]]["moves"]
    assert after["R4 flow"]["end"] == before["R4 flow"]["end"]
    assert after["R4 return"]["start"] == before["R4 return"]["start"]
    page.wait_for_function("() => document.getElementById('trouble').hidden")
    for _ in range(3):
        page.locator("#undo").click()
    wait_until(lambda: served.file.read_text() == text)


def test_tube_that_is_not_joined_yet_is_drawn_all_the_same(page: Any, served: Served) -> None:
    """A tee that nothing leaves yet is a mistake; what can be laid is on the sheet nevertheless."""
    moves = json.dumps(["down 200 mm", "tee late", "south 1 m"])
    with served.file.open("a") as file:
        file.write(f'\n[[run]]\nname = "begun"\ntube = "copper 15"\nstart = "east flow.R3"\nmoves = {moves}\n')
    page.wait_for_selector("#trouble:not([hidden])")
    page.wait_for_selector('[data-id="run:begun"]', state="attached")
    assert page.locator('[data-id="run:east flow"]').count() > 0
