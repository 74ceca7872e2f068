"""Every place as people meet it: names for all that can be used, contrast, focus order, narrow screens, the console.

The checks are a small script of our own that runs in the page.
"""

from pathlib import Path
from typing import Any

import pytest
from opened import Served, tab

from wetside.page.places import places

KEYS = [p.key for p in places()]

CHECK = (Path(__file__).parent / "looks.js").read_text().partition("\n")[2]


def place(browser: Any, served: Served, key: str, **context: Any) -> Any:
    served.problems.clear()
    page = tab(browser, served, key, **context)
    page.wait_for_selector("#foot-link .holds")
    page.wait_for_timeout(400)
    return page


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("key", KEYS)
def test_names_contrast_and_console(browser: Any, served: Served, key: str, scheme: str) -> None:
    page = place(browser, served, key, color_scheme=scheme)
    assert page.evaluate(CHECK) == []
    page.context.close()
    assert served.problems == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_is_picked_and_asked_is_legible_too(browser: Any, served: Served, scheme: str) -> None:
    page = place(browser, served, "draw#room:Study", color_scheme=scheme)
    page.locator("#card summary").click()
    assert page.evaluate(CHECK) == []
    page.get_by_role("button", name="Study needs").click()
    page.get_by_role("dialog").wait_for()
    assert page.evaluate(CHECK) == []
    page.keyboard.press("Escape")
    for tool in page.locator("#tools button").all():
        tool.click()
        assert page.evaluate(CHECK) == [], tool.inner_text()
    page.locator("#tables").click()
    page.get_by_role("dialog").wait_for()
    page.locator('[data-table="room"]').click()
    page.locator('details[data-name="Hall"] summary').click()
    page.wait_for_selector('details[data-name="Hall"] .field')
    assert page.evaluate(CHECK) == []
    page.context.close()
    assert served.problems == []


def test_the_start_page(browser: Any, served: Served) -> None:
    page = tab(browser, served, "start")
    assert page.evaluate(CHECK) == []
    page.context.close()


@pytest.mark.parametrize("key", [*KEYS, "start"])
def test_a_narrow_screen_needs_no_sideways_scroll(browser: Any, served: Served, key: str) -> None:
    page = tab(browser, served, key, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    page.wait_for_timeout(300)
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 390
    page.context.close()


def test_focus_goes_as_the_eye_does(browser: Any, served: Served) -> None:
    page = place(browser, served, "draw")
    parts: list[str] = []
    sheet = 0
    for _ in range(140):
        page.keyboard.press("Tab")
        part = page.evaluate(
            """() => {
              const a = document.activeElement
              const parts = ['.skip', '.head', '.rail', '.board', '.ledger', '.rules', '.foot']
              return a.closest('svg.sheet') ? 'sheet' : parts.find(s => a.closest(s)) ?? 'body'
            }"""
        )
        sheet += part == "sheet"
        if part != "sheet" and (not parts or parts[-1] != part):
            parts.append(part)
        if part == ".rules":
            break
    assert parts == [".skip", ".head", ".rail", ".board", ".ledger", ".rules"]
    assert sheet == 1
    page.context.close()


def test_focus_can_be_seen(browser: Any, served: Served) -> None:
    page = place(browser, served, "draw")
    for selector in ("#zoom-in", ".slab", "#tools button", ".rooms input", ".rule"):
        page.locator(selector).first.focus()
        page.keyboard.press("Shift+Tab")
        page.keyboard.press("Tab")
        width = page.evaluate("() => parseFloat(getComputedStyle(document.activeElement).outlineWidth)")
        assert width >= 2, selector
    page.context.close()


def test_flow_and_return_and_verdicts_differ_without_colour(browser: Any, served: Served) -> None:
    page = place(browser, served, "draw")
    dash = "s => getComputedStyle(document.querySelector(s)).strokeDasharray"
    assert page.evaluate(dash, ".tube.flow .line") == "none"
    assert page.evaluate(dash, ".tube.return .line") != "none"
    words = page.locator("#rooms .verdict").all_inner_texts()
    assert set(words) <= {"holds", "near", "breaks", "not known", "accepted"} and "breaks" in words
    shapes = page.evaluate(
        """async () => {
          const {markShape} = await import('/static/dom.js'), all = ['holds', 'near', 'breaks', 'not known', 'accepted']
          return all.map(v => markShape(v, 0, 0, 1).innerHTML.replace(/class="[^"]*"/g, ''))
        }"""
    )
    assert len(set(shapes)) == 5
    page.context.close()


@pytest.mark.parametrize("key", KEYS)
def test_on_a_phone_the_place_that_one_is_in_is_in_view(browser: Any, served: Served, key: str) -> None:
    page = tab(browser, served, key, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    page.wait_for_selector("#foot-link .holds")
    page.evaluate("async () => { await document.fonts.ready }")
    left, right = page.evaluate(
        "() => { const r = document.querySelector('.places [aria-current]').getBoundingClientRect()\n"
        "return [r.left, r.right] }"
    )
    assert left >= 0 and right <= 391
    page.context.close()


def test_on_a_phone_a_mistake_moves_nothing(browser: Any, served: Served) -> None:
    text = served.file.read_text()
    page = tab(browser, served, "draw", viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    top = "() => document.querySelector('.board').getBoundingClientRect().top"
    before = page.evaluate(top)
    try:
        served.file.write_text(text.replace('kind = "panel radiator"', 'kind = "painting"', 1))
        page.wait_for_selector("#trouble:not([hidden])")
        assert page.evaluate(top) == before
        assert page.locator("#trouble ul").is_hidden()
        page.locator("#trouble summary").click()
        assert page.locator("#trouble ul").is_visible()
        assert page.evaluate("() => document.documentElement.scrollWidth") <= 390
    finally:
        served.file.write_text(text)
        page.wait_for_selector("#trouble", state="hidden")
    page.context.close()


@pytest.mark.parametrize("key", KEYS)
def test_paper_is_light_and_bare_of_buttons(browser: Any, served: Served, key: str) -> None:
    page = place(browser, served, key, color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("() => getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("() => getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
    assert page.locator("#undo").is_hidden() and page.locator(".foot").is_hidden()
    page.context.close()
