"""Water in a real browser: sliders that answer, what is kept, what is only tried, how a number came about."""

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from opened import Served, tab, wait_until

pytestmark = pytest.mark.usefixtures("fresh")


def opened_at(browser: Any, served: Served, **context: Any) -> Any:
    made = tab(browser, served, "water", **context)
    made.wait_for_selector("#foot-link .holds")
    made.wait_for_selector("#rooms li")
    return made


@pytest.fixture
def water(browser: Any, served: Served) -> Iterator[Any]:
    served.problems.clear()
    made = opened_at(browser, served)
    yield made
    made.context.close()
    assert served.problems == []


def settled(page: Any, room: str) -> float:
    text = page.locator("#rooms li", has_text=room).locator(".settles").inner_text()
    return float(text.split()[0].replace("−", "-"))


def slide(page: Any, key: str, value: float) -> None:
    page.evaluate(
        """([key, value]) => { const i = document.querySelector(`input[data-key="${key}"]`)
        i.value = value; i.dispatchEvent(new Event('input')) }""",
        [key, value],
    )


def test_colder_water_leaves_rooms_colder_and_the_job_alone(water: Any, served: Served) -> None:
    before, text = settled(water, "Workshop"), served.file.read_text()
    slide(water, "flow:boiler", 45)
    wait_until(lambda: settled(water, "Workshop") < before - 2)
    assert "colder" in water.locator("#rooms li", has_text="Workshop").inner_text()
    assert served.file.read_text() == text
    water.click("#reset")
    wait_until(lambda: settled(water, "Workshop") == before)


def test_a_slider_follows_the_keyboard(water: Any) -> None:
    before = settled(water, "Living kitchen")
    typed = water.locator('input[data-key="flow:boiler typed"]')
    asked = float(typed.input_value())
    water.focus('input[data-key="flow:boiler"]')
    for _ in range(12):
        water.keyboard.press("ArrowLeft")
    wait_until(lambda: settled(water, "Living kitchen") < before)
    assert float(typed.input_value()) == asked - 12


def test_keep_writes_the_job_in_its_own_units(water: Any, served: Served) -> None:
    water.click("#units")
    water.wait_for_function("() => document.getElementById('units').textContent.includes('ft')")
    water.fill('input[data-key="flow:boiler typed"]', "140")
    water.keyboard.press("Tab")
    keep = water.get_by_role("button", name="Keep").first
    keep.click()
    wait_until(lambda: tomllib.loads(served.file.read_text())["boiler"][0]["flow"] == "140 degF")
    water.click("#units")


def test_a_built_in_circulator_is_kept_with_its_curve(water: Any, served: Served) -> None:
    slide(water, "speed:boiler circulator", 0.8)
    row = water.locator(".knob", has_text="boiler circulator")
    row.get_by_role("button", name="Keep").click()
    wait_until(lambda: tomllib.loads(served.file.read_text())["boiler"][0]["circulator"].get("speed") == 0.8)
    assert len(tomllib.loads(served.file.read_text())["boiler"][0]["circulator"]["curve"]) == 5


def test_what_is_unfolded_stays_so_when_the_job_is_edited_elsewhere(water: Any, served: Served) -> None:
    water.locator("summary", has_text="Shut an emitter").click()
    before = water.locator('input[data-key="flow:boiler typed"]').input_value()
    served.file.write_text(served.file.read_text().replace("flow = 74", "flow = 71"))
    water.wait_for_function(
        "old => document.querySelector('input[data-key=\"flow:boiler typed\"]').value !== old", arg=before
    )
    assert water.locator(".switch", has_text="R8").is_visible()


def test_an_emitter_that_is_shut_leaves_its_room_cold(water: Any) -> None:
    water.locator("summary", has_text="Shut an emitter").click()
    water.locator(".switch", has_text="R8").locator("input").check()
    wait_until(lambda: settled(water, "West bedroom") < 12)


def test_the_charts_follow_when_the_hand_rests(water: Any) -> None:
    assert water.locator("#charts .drawing").count() == 2
    assert water.locator("#pressure .drawing").count() == 1
    before = water.locator("#charts").inner_text()
    slide(water, "speed:heating circulator", 0.6)
    water.wait_for_function("() => document.body.dataset.tried === '1'")
    assert water.locator("#charts").inner_text() != before


def test_each_quantity_is_said_on_the_tube(water: Any) -> None:
    for word, unit in (("Speed", "m/s"), ("Temperature", "°C"), ("Pressure", "bar"), ("Friction", "Pa/m")):
        water.get_by_role("radio", name=word).click()
        water.wait_for_function(
            "unit => [...document.querySelectorAll('.word.value text')].some(t => t.textContent.endsWith(unit))",
            arg=unit,
        )


def test_a_number_says_how_it_came_about_in_the_state_tried(water: Any) -> None:
    slide(water, "outside", 0)
    water.wait_for_function("() => document.getElementById('title-block').textContent.includes('outside 0')")
    water.locator("#rooms li", has_text="Study").locator(".number").click()
    water.wait_for_selector("#why[open]")
    assert "0.0 °C outside" in water.inner_text("#why")


def test_a_phone_shows_cards(browser: Any, served: Served) -> None:
    served.problems.clear()
    page = opened_at(browser, served, viewport={"width": 390, "height": 844}, has_touch=True)
    page.locator("summary", has_text="Every leg").click()
    assert page.evaluate("() => document.documentElement.scrollWidth") == 390
    page.context.close()
    assert served.problems == []
