"""Pipes in 3-D in a real browser: turn, pick, step by keyboard, change a run move by move, the bench."""

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from opened import Served, tab, wait_until

pytestmark = pytest.mark.usefixtures("fresh")


def run(served: Served, name: str) -> dict[str, Any]:
    return next(r for r in tomllib.loads(served.file.read_text())["run"] if r["name"] == name)


@pytest.fixture
def pipes(browser: Any, served: Served) -> Iterator[Any]:
    served.problems.clear()
    made = opened_at(browser, served, "pipes")
    yield made
    made.context.close()
    assert served.problems == []


def opened_at(browser: Any, served: Served, path: str, **context: Any) -> Any:
    made = tab(browser, served, path, **context)
    made.wait_for_selector("#foot-link .holds")
    made.wait_for_selector(".space .tube", state="attached")
    return made


def pick(page: Any, name: str) -> None:
    """Click on the middle of the longest straight of a run that is on show."""
    page.click("#near-boiler")
    page.wait_for_timeout(200)
    at = page.evaluate(
        """name => { const hits = [...document.querySelectorAll('.hit')]
        const all = hits.filter(h => h.textContent.startsWith(name + ':'))
        const sheet = document.querySelector('.space').getBoundingClientRect()
        all.sort((a, b) => b.getTotalLength() - a.getTotalLength())
        for (const h of all) for (const t of [.5, .4, .6, .3, .7]) {
          const p = h.getPointAtLength(h.getTotalLength() * t), x = p.x + sheet.x, y = p.y + sheet.y
          if (document.elementFromPoint(x, y) === h) return [x, y] } }""",
        name,
    )
    page.mouse.click(*at)
    page.wait_for_selector("#card h3")


def test_it_turns_on_a_canvas_and_rests_as_svg(pipes: Any) -> None:
    first = pipes.locator(".space .tube path").first.get_attribute("d")
    pipes.mouse.move(500, 700)
    pipes.mouse.down()
    pipes.mouse.move(620, 690, steps=4)
    assert pipes.locator(".space-canvas").is_visible()
    pipes.mouse.up()
    pipes.wait_for_function("() => document.querySelector('.space-canvas').hidden")
    assert pipes.locator(".space .tube path").first.get_attribute("d") != first


def test_flow_and_return_differ_without_colour(pipes: Any) -> None:
    dash = "s => getComputedStyle(document.querySelector(s)).strokeDasharray"
    assert pipes.evaluate(dash, ".space .tube.flow .line") == "none"
    assert pipes.evaluate(dash, ".space .tube.return .line") != "none"


def test_a_valve_is_fitted_where_the_tube_was_clicked(pipes: Any, served: Served) -> None:
    pick(pipes, "hot feed")
    assert pipes.inner_text("#card h3").startswith("hot feed")
    before = run(served, "hot feed")["moves"]
    pipes.select_option('#card select[data-focus="kind"]', "drain cock")
    pipes.get_by_role("button", name="Fit it here").click()
    wait_until(lambda: run(served, "hot feed")["moves"] != before)
    moves = run(served, "hot feed")["moves"]
    assert moves.count("fit drain cock") == 1
    assert [m for m in moves if not m.startswith("fit")][-1] == before[-1]
    pipes.click("#undo")
    wait_until(lambda: run(served, "hot feed")["moves"] == before)


def test_a_fixed_distance_is_cut_in_two_that_add_up(pipes: Any, served: Served) -> None:
    pipes.locator("#runs button", has_text="heating flow").first.click()
    pipes.locator(".space").focus()
    pipes.keyboard.press("ArrowRight")
    pipes.wait_for_selector('#card [data-focus="along"]')
    pipes.fill('#card [data-focus="along"]', "100 mm")
    pipes.get_by_role("button", name="Fit it here").click()
    wait_until(lambda: run(served, "heating flow")["moves"][:3] == ["up 100 mm", "fit isolating valve", "up 150 mm"])


def test_a_move_is_edited_in_place_and_a_wrong_one_is_refused(pipes: Any, served: Served) -> None:
    pipes.locator("#runs button", has_text="R10 flow").first.click()
    first = pipes.get_by_label("Move 1 of R10 flow")
    first.fill("up 120 mm")
    first.press("Enter")
    wait_until(lambda: run(served, "R10 flow")["moves"][0] == "up 120 mm")
    served.problems.clear()
    again = pipes.get_by_label("Move 1 of R10 flow")
    again.fill("sideways 2 m")
    again.press("Enter")
    pipes.wait_for_selector("#told.bad")
    assert "no move" in pipes.inner_text("#told")
    assert run(served, "R10 flow")["moves"][0] == "up 120 mm"
    assert all("422" in p for p in served.problems)
    served.problems.clear()


def test_a_branch_is_tapped_in(pipes: Any, served: Served) -> None:
    pick(pipes, "hot feed")
    pipes.get_by_role("button", name="Tap in a branch").click()
    wait_until(lambda: any(r["start"] == "hot feed.T1" for r in tomllib.loads(served.file.read_text())["run"]))
    assert "tee T1" in run(served, "hot feed")["moves"]
    pipes.locator("#runs button", has_text="hot feed T1").wait_for()


def test_supports_carry_loads_and_become_the_jobs_own(pipes: Any, served: Served) -> None:
    at = pipes.evaluate(
        """() => { for (const dot of document.querySelectorAll('.bracket .hit-dot')) {
        const b = dot.getBoundingClientRect(), x = b.x + b.width / 2, y = b.y + b.height / 2
        if (document.elementFromPoint(x, y)?.closest('.bracket') === dot.parentElement) return [x, y] } }"""
    )
    pipes.mouse.click(*at)
    pipes.wait_for_selector("#card h3")
    assert "N" in pipes.locator("#card .fact", has_text="Carries").inner_text()
    pipes.get_by_role("button", name="Make it part of the job").click()
    wait_until(lambda: "support" in tomllib.loads(served.file.read_text()))
    placed = tomllib.loads(served.file.read_text())["support"][0]
    assert placed["name"] == "H1"
    assert len(placed["at"]) == 3


def test_the_keyboard_alone_reaches_a_piece_and_its_card(pipes: Any) -> None:
    pipes.locator(".space").focus()
    for key in ("ArrowRight", "ArrowRight", "ArrowDown", "ArrowRight"):
        pipes.keyboard.press(key)
    assert pipes.inner_text("#space-said")
    pipes.keyboard.press("Enter")
    assert pipes.evaluate("() => document.getElementById('card').contains(document.activeElement)")
    pipes.locator(".space").focus()
    pipes.keyboard.press("Escape")
    assert pipes.locator("#card").is_hidden()


def test_an_assembly_explodes_into_its_bench_sheet(pipes: Any) -> None:
    pipes.click("#explode")
    pipes.wait_for_selector("#bench[open] .drawing")
    assert pipes.inner_text("#bench-name") == "Bench sheet: primary"
    assert pipes.locator("#bench ol li").count() > 3
    pipes.keyboard.press("Escape")
    assert pipes.locator("#bench").is_hidden()


def test_a_phone_shows_all_of_it(browser: Any, served: Served) -> None:
    served.problems.clear()
    page = opened_at(browser, served, "pipes", viewport={"width": 390, "height": 844}, has_touch=True)
    assert page.evaluate("() => document.documentElement.scrollWidth") == 390
    small = page.evaluate(
        "() => [...document.querySelectorAll('.over button, .runs button')].filter(b => b.offsetHeight < 44).length"
    )
    assert small == 0
    page.context.close()
    assert served.problems == []


def test_a_new_radiator_is_joined_by_two_branches(pipes: Any, served: Served) -> None:
    """While it hangs on nothing the job has a mistake; its connections can be reached all the same."""
    radiator = (
        '\n[[emitter]]\nname = "R11"\nroom = "Study"\nkind = "panel radiator"\noutput = 500\nlength = 0.6\n'
        'height = 0.45\nwall = "east"\nabove_floor = 0.15\nflow_at = "left"\n'
    )
    served.file.write_text(served.file.read_text() + radiator)
    pipes.wait_for_selector("#trouble:not([hidden])")
    for main, port in (("east flow", "R11.flow"), ("east return", "R11.return")):
        pipes.locator("#runs button", has_text=main).first.click()
        pipes.locator(".space").focus()
        pipes.keyboard.press("ArrowRight")
        pipes.keyboard.press("ArrowRight")
        pipes.wait_for_selector('#card [data-focus="to"]')
        pipes.select_option('#card [data-focus="branch-tube"]', "copper 15")
        pipes.select_option('#card [data-focus="to"]', port)
        before = served.file.read_text()
        pipes.get_by_role("button", name="Tap in a branch").click()
        wait_until(lambda before=before: served.file.read_text() != before)
        pipes.locator("#runs button", has_text=port.replace(".", " ")).wait_for()
    pipes.wait_for_selector("#trouble", state="hidden")
