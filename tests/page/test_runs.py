"""Laid runs in the plan: legs and bends dragged, raised and typed, valves and branches put in, supports placed."""

import tomllib
from dataclasses import replace
from typing import Any

import pytest
from opened import Served, wait_until
from test_draw import drag, where

from wetside.basis.errors import JobProblem
from wetside.jobfile.read import design_of
from wetside.jobfile.variant import chain, merge
from wetside.page.commands import PlainTables, carry_out, parse
from wetside.study.study import Study

pytestmark = pytest.mark.usefixtures("fresh")


def moves(served: Served, run: str) -> list[str]:
    return next(r for r in tomllib.loads(served.file.read_text())["run"] if r["name"] == run)["moves"]


def supports(served: Served) -> dict[str, dict[str, Any]]:
    return {s["name"]: s for s in tomllib.loads(served.file.read_text()).get("support", [])}


def pick(page: Any, run: str, x: float, y: float) -> None:
    page.mouse.click(*where(page, x, y))
    page.wait_for_selector(f'#card h3:has-text("{run}")')
    page.wait_for_selector(".handles .handle")


def test_a_leg_is_dragged_and_what_hangs_on_it_follows(page: Any, served: Served) -> None:
    text, before = served.file.read_text(), moves(served, "east flow")
    pick(page, "east flow", 11.25, 3.0)
    drag(page, (11.25, 3.0), (11.0, 3.1))
    wait_until(lambda: moves(served, "east flow") != before)
    after = moves(served, "east flow")
    assert after[0] == "east to 11 m"
    assert after[1:] == before[1:]
    assert moves(served, "R3 flow") == ["east ...", "down to 0.06 m", "south ...", "up ..."]  # open: takes it up itself
    page.locator("#undo").click()
    wait_until(lambda: served.file.read_text() == text)


def test_a_bend_goes_both_ways_at_once(page: Any, served: Served) -> None:
    pick(page, "east flow", 11.25, 3.0)
    drag(page, (11.25, 0.3), (11.05, 0.55))
    wait_until(lambda: "south to 0.55 m" in moves(served, "east flow"))
    after = moves(served, "east flow")
    # only the last stretch is carried along: the tees before it stay on their wall
    assert after.count("east to 11.05 m") + after.count("west 200 mm") == 1


def test_escape_leaves_a_dragged_run_as_it_was(page: Any, served: Served) -> None:
    text = served.file.read_text()
    pick(page, "east flow", 11.25, 3.0)
    page.mouse.move(*where(page, 11.25, 3.0))
    page.mouse.down()
    page.mouse.move(*where(page, 10.9, 3.0), steps=4)
    page.wait_for_selector(".draft .draft-line")
    page.keyboard.press("Escape")
    page.mouse.up()
    page.wait_for_selector(".draft .draft-line", state="detached")
    assert served.file.read_text() == text


def test_a_leg_is_typed_raised_and_fitted(page: Any, served: Served) -> None:
    pick(page, "east flow", 11.25, 3.0)
    assert page.get_by_label("Leg of east flow").input_value() == "1"
    height = page.get_by_label("Height", exact=True)
    height.fill("2.70")
    height.press("Enter")
    wait_until(lambda: moves(served, "east flow")[0] == "east 100 mm")
    assert moves(served, "east flow")[1].startswith("down ")
    page.locator("#undo").click()
    page.wait_for_selector('#told:has-text("Undone")')
    assert moves(served, "east flow")[0] == "east to 11.25 m"
    pick(page, "east flow", 11.25, 3.0)
    page.get_by_label("What to fit").select_option("drain cock")
    page.get_by_label("Distance from where this leg begins").fill("2 m")
    page.get_by_role("button", name="Fit it here").click()
    wait_until(lambda: "fit drain cock" in moves(served, "east flow"))


def test_a_branch_is_tapped_in_and_a_tube_held(page: Any, served: Served) -> None:
    pick(page, "east flow", 11.25, 2.0)
    page.get_by_role("button", name="Tap in a branch").click()
    wait_until(lambda: "tee T1" in moves(served, "east flow"))
    assert moves(served, "east flow T1") == ["up 150 mm"]
    page.get_by_label("Leg of east flow").select_option("2")
    page.get_by_label("Support", exact=True).select_option("hanger")
    page.get_by_role("button", name="Hold it here").click()
    wait_until(lambda: "H1" in supports(served))
    assert supports(served)["H1"]["kind"] == "hanger"


def test_supports_are_placed_dragged_kept_and_removed(page: Any, served: Served) -> None:
    page.keyboard.press("h")
    page.get_by_label("Support", exact=True).select_option("clip")
    page.mouse.click(*where(page, 11.25, 2.4))
    wait_until(lambda: "H1" in supports(served))
    assert supports(served)["H1"]["run"] == "east flow"
    first = supports(served)["H1"]["along"]
    page.locator('#tools [data-tool="pick"]').click()
    page.wait_for_selector('[data-id="support:H1"].own')
    drag(page, (11.25, 2.4), (11.25, 1.9))
    wait_until(lambda: supports(served)["H1"]["along"] != first)
    own = page.get_by_label("H1, distance from the start of east flow")
    page.mouse.click(*where(page, 11.25, 1.9))
    own.fill("4 m")
    own.press("Enter")
    wait_until(lambda: supports(served)["H1"]["along"] == "4 m")
    page.get_by_role("button", name="Remove support").click()
    wait_until(lambda: "H1" not in supports(served))
    page.locator("#undo").click()
    wait_until(lambda: "H1" in supports(served))


def test_the_keyboard_alone_moves_a_leg_and_a_support(page: Any, served: Served) -> None:
    page.locator('[data-id="room:Workshop"]').first.focus()
    focused = "() => document.activeElement.getAttribute('aria-label') ?? ''"
    for _ in range(60):
        page.keyboard.press("PageDown")
        if page.evaluate(focused).startswith("Run east flow"):
            break
    page.keyboard.press("Enter")
    for _ in range(20):
        if page.evaluate(focused).startswith("Leg 2 of east flow"):
            break
        page.keyboard.press("ArrowRight")
    assert page.evaluate(focused).startswith("Leg 2 of east flow, south")
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Enter")
    # a quick hand need not wait: what is pressed meanwhile is meant of what is there then
    page.keyboard.press("Enter")
    page.keyboard.press("PageUp")
    page.keyboard.press("Enter")
    wait_until(lambda: moves(served, "east flow")[1] == "up 50 mm")
    assert moves(served, "east flow")[2] == "east to 11.15 m"
    page.keyboard.press("Escape")
    page.keyboard.press("h")
    page.get_by_label("Run", exact=True).select_option("east return")
    page.get_by_label("From its start").fill("3 m")
    page.get_by_label("From its start").press("Enter")
    wait_until(lambda: "H1" in supports(served))
    page.wait_for_selector('[data-id="support:H1"]')
    page.keyboard.press("Escape")
    page.locator('[data-id="support:H1"]').focus()
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    wait_until(lambda: supports(served)["H1"]["along"] == "3.05 m")


def test_every_leg_and_bend_of_the_house_can_be_moved_and_the_pipework_still_meets(page: Any, served: Served) -> None:
    """Whatever is moved, each run still lies and meets its end, and so does all that hangs on its tees."""
    found = page.evaluate(
        """async () => {
          const {ctx} = await import('/static/draw.js'), {changeOf, moved} = await import('/static/runs.js')
          const {legsOf} = await import('/static/legs.js'), out = []
          for (const run of ctx.page.place.runs) legsOf(run).forEach((leg, g) => {
            for (const d of [[.05, 0, 0], [0, -.05, 0], [0, 0, .05], [.05, -.05, 0]]) {
              for (const kind of g ? ['leg', 'bend'] : ['leg']) {
                if (kind === 'leg' && d.filter((v, k) => v && k !== leg.axis).length !== 1) continue
                if (kind === 'leg' && d[leg.axis]) continue
                const now = moved(ctx, `${kind}:${run.name}:${g}`, d)
                if (now && now !== run) out.push([`${kind} ${run.name} ${g} ${d}`, changeOf(ctx, 'moved', now)])
              }
            }
          })
          return out
        }"""
    )
    assert len(found) > 300
    files = chain(served.file)
    missed: list[str] = []
    for what, command in found:
        tables = PlainTables(files[0].data)
        carry_out(parse(command), tables, files[0].data)
        study = Study(design_of(merge((replace(files[0], data=tables.data), *files[1:]))))
        try:
            gaps = [c.run for c in study.pipework.closures if max(abs(x) for x in c.gap) > 0.002]
        except JobProblem as wrong:
            gaps = [str(wrong)]
        if gaps:
            missed.append(f"{what}: {gaps}")
    assert not missed, "\n".join(missed)
