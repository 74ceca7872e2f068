"""The Draw place in a real browser: drag, touch, keyboard, two tabs, an editor beside it, speed."""

import tomllib
from typing import Any

import pytest
from opened import Served, tab, wait_until

pytestmark = pytest.mark.usefixtures("fresh")


def room(served: Served, name: str) -> dict[str, Any]:
    return next(r for r in tomllib.loads(served.file.read_text())["room"] if r["name"] == name)


def where(page: Any, x: float, y: float) -> tuple[float, float]:
    """Pixels of a point of the plan, from metres east and north."""
    found = page.evaluate(
        """([x, y]) => { const s = document.querySelector('svg.sheet'), m = s.getScreenCTM()
        const p = new DOMPoint(x * 1000, -y * 1000).matrixTransform(m); return [p.x, p.y] }""",
        [x, y],
    )
    return found[0], found[1]


def drag(page: Any, start: tuple[float, float], end: tuple[float, float], steps: int = 6) -> None:
    page.mouse.move(*where(page, *start))
    page.mouse.down()
    page.mouse.move(*where(page, *end), steps=steps)
    page.mouse.up()


def revision(page: Any) -> int:
    return int(page.locator("#foot-saved").inner_text().split()[-1])


def storey(page: Any, name: str) -> None:
    page.get_by_role("radio", name=name).click()
    page.wait_for_function("n => document.getElementById('title-block').textContent.startsWith(n)", arg=name)


def test_a_dragged_wall_stays_shared_and_the_numbers_answer(page: Any, served: Served) -> None:
    need = page.locator('tr[data-room="Workshop"] .number').first
    before = need.inner_text()
    x, y = where(page, 5.4, 2.0)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(*where(page, 5.2, 2.0), steps=5)
    page.wait_for_function(
        "b => document.querySelector('tr[data-room=\"Workshop\"] .number').textContent !== b", arg=before
    )
    assert room(served, "Workshop")["rectangle"] == [0, 0, 5.4, 6.6]  # only tried yet
    page.mouse.up()
    wait_until(lambda: room(served, "Workshop")["rectangle"] == [0, 0, 5.2, 6.6])
    assert room(served, "Hall")["rectangle"] == [5.2, 0, 7.4, 6.6]
    page.locator("#undo").click()
    wait_until(lambda: room(served, "Hall")["rectangle"] == [5.4, 0, 7.4, 6.6])
    page.wait_for_function(
        "b => document.querySelector('tr[data-room=\"Workshop\"] .number').textContent === b", arg=before
    )


def test_a_wall_that_several_rooms_share_moves_as_one(page: Any, served: Served) -> None:
    drag(page, (7.4, 5.0), (7.6, 5.0))
    wait_until(lambda: room(served, "Hall")["rectangle"] == [5.4, 0, 7.6, 6.6])
    assert room(served, "Utility")["rectangle"][0] == 7.6
    assert room(served, "Store")["rectangle"][0] == 7.6


def test_escape_gives_a_drag_up(page: Any, served: Served) -> None:
    text = served.file.read_text()
    page.mouse.move(*where(page, 5.4, 2.0))
    page.mouse.down()
    page.mouse.move(*where(page, 5.0, 2.0), steps=4)
    page.keyboard.press("Escape")
    page.mouse.up()
    page.wait_for_timeout(300)
    assert served.file.read_text() == text


def test_a_window_slides_along_its_wall(page: Any, served: Served) -> None:
    drag(page, (2.7, 6.7), (3.5, 6.7))

    def moved() -> bool:
        opening = next(o for o in tomllib.loads(served.file.read_text())["opening"] if o["name"] == "W2")
        return opening.get("offset") == pytest.approx(5.4 - 3.5 - 0.6, abs=0.06)

    wait_until(moved)


def test_a_room_is_drawn_split_joined_and_removed(page: Any, served: Served) -> None:
    page.keyboard.press("r")
    page.get_by_label("Name").fill("Porch")
    drag(page, (5.42, -0.02), (7.38, -1.5))
    wait_until(lambda: "Porch" in served.file.read_text())
    assert room(served, "Porch")["rectangle"] == [5.4, -1.5, 7.4, 0]
    page.wait_for_selector('[data-id="room:Porch"]')
    page.locator("#tools [data-tool=split]").click()
    page.get_by_label("Room", exact=True).select_option("Porch")
    page.get_by_label("Name of the new room").fill("Lobby")
    page.get_by_label("The wall runs").select_option("west to east")
    page.get_by_label("at", exact=True).fill("-0.5")
    page.get_by_role("button", name="Split", exact=True).last.click()
    wait_until(lambda: "Lobby" in served.file.read_text())
    assert {tuple(room(served, n)["rectangle"]) for n in ("Porch", "Lobby")} == {
        (5.4, -1.5, 7.4, -0.5),
        (5.4, -0.5, 7.4, 0),
    }
    page.wait_for_selector('[data-id="room:Lobby"]')
    page.locator("#tools [data-tool=join]").click()
    page.get_by_label("Keep").select_option("Porch")
    page.get_by_label("Join to it").select_option("Lobby")
    page.get_by_role("button", name="Join", exact=True).last.click()
    wait_until(lambda: "Lobby" not in served.file.read_text())
    assert room(served, "Porch")["rectangle"] == [5.4, -1.5, 7.4, 0]
    page.wait_for_selector('#card h3:has-text("Porch")')
    page.get_by_role("button", name="Remove room").click()
    wait_until(lambda: "Porch" not in served.file.read_text())


def test_a_typed_side_is_exact(page: Any, served: Served) -> None:
    storey(page, "First")
    page.locator("#rooms").get_by_role("button", name="Study", exact=True).click()
    side = page.get_by_label("1 south")
    assert side.input_value() == "4.00 m"
    side.fill("4123 mm")
    side.press("Enter")
    wait_until(lambda: room(served, "Study")["rectangle"] == [7.4, 0, 11.523, 3.6])


def test_an_outline_is_walked_round_by_lengths_and_arrows(page: Any, served: Served) -> None:
    page.keyboard.press("o")
    page.get_by_label("Name").fill("Bay")
    page.get_by_label("First corner, east").fill("12")
    page.locator("svg.sheet").focus()
    for length, arrow in (
        ("3.2", "ArrowRight"),
        ("2", "ArrowUp"),
        ("1.2", "ArrowLeft"),
        ("1.5", "ArrowUp"),
        ("2", "ArrowLeft"),
    ):
        page.keyboard.type(length)
        page.keyboard.press(arrow)
    page.keyboard.press("Enter")
    wait_until(lambda: "Bay" in served.file.read_text())
    assert room(served, "Bay")["outline"] == [[12, 0], [15.2, 0], [15.2, 2], [14, 2], [14, 3.5], [12, 3.5]]


def test_the_keyboard_alone_moves_a_wall(page: Any, served: Served) -> None:
    stops = page.locator('svg.sheet [tabindex="0"], svg.sheet[tabindex="0"]')
    assert stops.count() == 1
    stops.focus()
    page.keyboard.press("Home")
    label = "() => document.activeElement.getAttribute('aria-label')"
    assert page.evaluate(label).startswith("Workshop, ")
    page.keyboard.press("ArrowRight")
    assert page.evaluate(label).startswith("Hall, ")
    page.keyboard.press("Enter")
    assert page.evaluate(label).startswith("Wall 1, south")
    for _ in range(6):
        page.keyboard.press("ArrowRight")
    assert page.evaluate(label).startswith("Wall 4, west")
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Shift+ArrowLeft")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    wait_until(lambda: room(served, "Hall")["rectangle"] == [4.9, 0, 7.4, 6.6])
    assert room(served, "Workshop")["rectangle"] == [0, 0, 4.9, 6.6]
    page.wait_for_function("() => (document.activeElement.getAttribute('aria-label') ?? '').startsWith('Wall 4')")
    page.keyboard.press("Enter")
    page.keyboard.type("2.4")
    page.keyboard.press("Enter")
    wait_until(lambda: room(served, "Hall")["rectangle"] == [5.0, 0, 7.4, 6.6])
    page.keyboard.press("Control+z")
    wait_until(lambda: room(served, "Hall")["rectangle"] == [4.9, 0, 7.4, 6.6])
    page.keyboard.press("Escape")
    assert page.evaluate(label).startswith("Hall, ")


def test_a_finger_drags_a_wall(browser: Any, served: Served) -> None:
    served.problems.clear()
    page = tab(browser, served, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    x, y = where(page, 5.4, 2.0)
    to, _ = where(page, 5.2, 2.0)
    cdp = page.context.new_cdp_session(page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": a, "y": b} for a, b in points]})

    touch("touchStart", (x + 6, y))  # not quite on it, as fingers are
    for i in range(1, 9):
        touch("touchMove", (x + 6 + (to - x) * i / 8, y))
    touch("touchEnd")
    wait_until(lambda: room(served, "Hall")["rectangle"][0] == pytest.approx(5.2, abs=0.11))
    assert room(served, "Workshop")["rectangle"][2] == room(served, "Hall")["rectangle"][0]
    # two fingers zoom and change nothing
    text = served.file.read_text()
    size = "() => document.querySelector('svg.sheet').viewBox.baseVal.width"
    before = page.evaluate(size)
    px, py = where(page, 4.0, 3.0)
    touch("touchStart", (px - 25, py), (px + 25, py + 20))
    for i in range(1, 6):
        touch("touchMove", (px - 25 - 8 * i, py), (px + 25 + 8 * i, py + 20))
    touch("touchEnd")
    page.wait_for_function("b => document.querySelector('svg.sheet').viewBox.baseVal.width < b", arg=before)
    assert served.file.read_text() == text
    page.context.close()
    assert served.problems == []


def test_two_tabs_stay_in_step(page: Any, browser: Any, served: Served) -> None:
    other = tab(browser, served)
    box = page.locator('tr[data-room="Hall"] input')
    box.fill("20")
    box.press("Enter")
    other.wait_for_function("() => document.querySelector('tr[data-room=\"Hall\"] input').value === '20'")
    other.keyboard.press("Control+z")
    page.wait_for_function("() => document.querySelector('tr[data-room=\"Hall\"] input').value === '18'")
    other.context.close()


def test_what_is_being_typed_survives_another_revision(page: Any, served: Served) -> None:
    box = page.locator('tr[data-room="Utility"] input')
    box.click()
    box.fill("1")
    served.file.write_text(served.file.read_text().replace("inside = 22", "inside = 23"))
    page.wait_for_function("() => document.querySelector('tr[data-room=\"Bathroom\"] input').value === '23'")
    page.keyboard.type("7")
    page.keyboard.press("Enter")
    wait_until(lambda: room(served, "Utility")["inside"] == 17)


def test_an_editors_mistake_is_shown_with_its_line(page: Any, served: Served) -> None:
    text = served.file.read_text()
    served.file.write_text(text.replace("inside = 22", 'inside = "hot"'))
    trouble = page.locator("#trouble")
    trouble.wait_for(state="visible")
    line = text[: text.index("inside = 22")].count("\n") + 1
    assert f"job.toml, line {line}" in trouble.inner_text()
    assert page.locator('tr[data-room="Hall"]').is_visible()
    served.file.write_text(text)
    trouble.wait_for(state="hidden")


def test_a_conflict_is_shown_side_by_side(page: Any, served: Served) -> None:
    box = page.locator('tr[data-room="Hall"] input')
    box.fill("20")
    # an editor saves between what this tab saw and what it sends
    text = served.file.read_text()
    page.route("**/api/now/**", lambda route: route.abort())
    served.file.write_text(text.replace("inside = 18", "inside = 15", 1))
    page.wait_for_timeout(600)
    box.press("Enter")
    dialog = page.get_by_role("dialog", name="Changed on two sides")
    dialog.wait_for()
    assert [c.inner_text() for c in dialog.get_by_role("cell").all()] == ["18", "20", "15"]
    page.unroute("**/api/now/**")
    page.get_by_role("button", name="Put mine in its place").click()
    wait_until(lambda: room(served, "Hall")["inside"] == 20)
    served.problems[:] = [p for p in served.problems if "409" not in p and "ERR_FAILED" not in p]


def test_a_number_says_how_it_came_about(page: Any) -> None:
    page.get_by_role("button", name="Workshop needs").click()
    dialog = page.get_by_role("dialog")
    dialog.wait_for()
    assert "lined brick" in dialog.inner_text() and "W/m²K" in dialog.inner_text()
    page.keyboard.press("Escape")


def test_units_switch_for_show_only(page: Any, served: Served) -> None:
    text = served.file.read_text()
    page.locator("#units").click()
    page.wait_for_function("() => document.getElementById('foot-loss').textContent.includes('Btu/h')")
    assert served.file.read_text() == text
    page.locator("#units").click()
    page.wait_for_function("() => document.getElementById('foot-loss').textContent.includes(' W')")


def test_a_rule_leads_to_its_place(page: Any) -> None:
    page.locator(".rule", has_text="Emitters give a room what it needs").first.click()
    page.wait_for_selector('#card h3:has-text("Study")')
    assert page.locator("#title-block b").inner_text() == "First"
    assert page.locator("tr.here").get_attribute("data-room") == "Study"


def test_a_storey_is_copied(page: Any, served: Served) -> None:
    storey(page, "Second")
    page.locator("#storey-copy").click()
    page.get_by_label("Name").fill("Attic")
    page.get_by_role("button", name="Copy", exact=True).last.click()
    wait_until(lambda: "Attic" in served.file.read_text())
    data = tomllib.loads(served.file.read_text())
    assert [s["name"] for s in data["storey"]][-1] == "Attic"
    shapes = {
        s: [r.get("rectangle") or r.get("outline") for r in data["room"] if r["storey"] == s]
        for s in ("Second", "Attic")
    }
    assert shapes["Second"] == shapes["Attic"] and len(shapes["Attic"]) == 3


def test_a_picture_is_laid_under_and_scaled(page: Any, served: Served, tmp_path: Any) -> None:
    import struct
    import zlib

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    rows = b"".join(b"\0" + bytes([200, 210, 220]) * 40 for _ in range(30))
    picture = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 40, 30, 8, 2, 0, 0, 0))
    picture += chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    (tmp_path / "sketch.png").write_bytes(picture)
    page.keyboard.press("u")
    page.get_by_label("Picture (PNG, JPEG or WebP)").set_input_files(tmp_path / "sketch.png")
    page.get_by_role("button", name="Lay it under").click()
    wait_until(lambda: "underlay" in served.file.read_text())
    assert (served.folder / "pictures" / "sketch.png").read_bytes() == picture
    page.wait_for_selector("svg.sheet image[height]")
    for at in ((1, 1), (3, 1)):
        page.mouse.click(*where(page, *at))
    page.get_by_label("The two points are apart").fill("4 m")
    page.get_by_role("button", name="Scale it").click()
    wait_until(lambda: tomllib.loads(served.file.read_text())["underlay"][0]["width"] == pytest.approx(24, abs=0.3))


def test_three_hundred_rooms_are_drawn_panned_and_zoomed(browser: Any, tmp_path: Any) -> None:
    from opened import serve

    from wetside.jobfile.new import new_job

    new_job(tmp_path / "big", blank=True)
    with (tmp_path / "big" / "job.toml").open("a") as file:
        for i in range(300):
            x, y = (i % 20) * 3, (i // 20) * 4
            file.write(f'\n[[room]]\nname = "Room {i}"\nstorey = "Ground"\nrectangle = [{x}, {y}, {x + 3}, {y + 4}]\n')
    served = serve(tmp_path / "big", tmp_path)
    try:
        page = tab(browser, served)
        page.wait_for_selector('[data-id="room:Room 299"]')
        box = "() => document.querySelector('svg.sheet').getAttribute('viewBox')"
        before = page.evaluate(box)
        page.mouse.move(500, 400)
        page.mouse.wheel(0, -400)
        page.wait_for_function(f"old => ({box})() !== old", arg=before)
        zoomed = page.evaluate(box)
        page.keyboard.down("Shift")
        page.mouse.wheel(0, 300)
        page.keyboard.up("Shift")
        page.wait_for_function(f"old => ({box})() !== old", arg=zoomed)
        assert page.locator('[data-id^="room:"]').count() >= 300
        page.context.close()
    finally:
        served.stop()
    assert served.problems == []
