"""Buy and cut in a real browser: sticks to scale, prices typed in place, files to take along."""

import csv
import io
import tomllib
import zipfile
from collections.abc import Iterator
from typing import Any

import pytest
from opened import Served, tab, wait_until

pytestmark = pytest.mark.usefixtures("fresh")


def opened_at(browser: Any, served: Served, **context: Any) -> Any:
    made = tab(browser, served, "shop", **context)
    made.wait_for_selector("#foot-link .holds")
    made.wait_for_selector("#plans .cut")
    return made


@pytest.fixture
def shop(browser: Any, served: Served) -> Iterator[Any]:
    served.problems.clear()
    made = opened_at(browser, served)
    yield made
    made.context.close()
    assert served.problems == []


def test_pieces_are_as_wide_as_they_are_long(shop: Any) -> None:
    found = shop.evaluate(
        """() => [...document.querySelectorAll('.plan')].flatMap(plan => [...plan.querySelectorAll('.stick')].map(s => {
        const lane = s.parentElement.getBoundingClientRect().width
        return [...s.querySelectorAll('.cut')].map(c => [c.getAttribute('aria-label'),
          c.getBoundingClientRect().width / lane]) }).flat())"""
    )
    for label, share in found:
        millimetres = float(label.split(", ")[1].replace("\u202f", "").split()[0])
        assert share == pytest.approx(millimetres / 3000, abs=0.012), label


def test_arrow_keys_step_from_piece_to_piece(shop: Any) -> None:
    shop.locator(".cut").first.focus()
    first = shop.inner_text("#piece")
    shop.keyboard.press("ArrowRight")
    assert shop.inner_text("#piece") != first
    assert shop.locator('#plans .plan:first-child .cut[tabindex="0"]').count() == 1


def test_a_price_is_typed_in_place_and_the_sum_answers(shop: Any, served: Served) -> None:
    total = shop.inner_text("#total")
    price = shop.get_by_label("Price of one elbow 90° 22 mm")
    price.fill("2.40")
    price.press("Enter")
    wait_until(lambda: "price" in tomllib.loads(served.file.read_text()))
    entry = tomllib.loads(served.file.read_text())["price"][0]
    assert entry == {"item": "elbow 90°", "size": "22 mm", "each": 2.4}
    shop.wait_for_function("t => document.getElementById('total').textContent !== t", arg=total)
    # Enter goes on to the next price
    assert "price" in shop.evaluate("() => document.activeElement.className")
    again = shop.get_by_label("Price of one elbow 90° 22 mm")
    again.fill("")
    again.press("Tab")
    wait_until(lambda: "price" not in tomllib.loads(served.file.read_text()))


def test_the_terms_of_the_spares_are_edited_in_place(shop: Any, served: Served) -> None:
    assert shop.locator("#curve .drawing").count() == 1
    shop.select_option("#terms select", "chance")
    field = shop.locator("#terms .field", has_text="chance").locator("input")
    field.fill("1 %")
    field.press("Enter")
    wait_until(lambda: tomllib.loads(served.file.read_text()).get("buying", {}).get("chance") == "1 %")
    shop.wait_for_function("() => document.getElementById('chance').textContent.includes('1.0 % is accepted')")


def test_the_list_is_taken_along_as_workbook_and_csv(shop: Any) -> None:
    book = shop.request.get(f"{shop.url.rsplit('/', 1)[0]}/api/shop/buy.xlsx")
    assert zipfile.ZipFile(io.BytesIO(book.body())).testzip() is None
    rows = list(csv.reader(io.StringIO(shop.request.get(f"{shop.url.rsplit('/', 1)[0]}/api/shop/buy.csv").text())))
    shown = shop.locator("#buy tbody tr").count()
    assert len(rows) == shown + 1


def test_a_phone_shows_cards(browser: Any, served: Served) -> None:
    served.problems.clear()
    page = opened_at(browser, served, viewport={"width": 390, "height": 844}, has_touch=True)
    assert page.evaluate("() => document.documentElement.scrollWidth") == 390
    page.context.close()
    assert served.problems == []


def test_what_is_left_over_stands_below_the_list(shop: Any, served: Served) -> None:
    before = served.file.read_text(encoding="utf-8")
    rows = "() => [...document.querySelectorAll('#buy tr')].map(r => r.innerText)"
    last = "w => [...document.querySelectorAll('#buy tr')].at(-1).innerText.toLowerCase().includes(w)"
    assert "goes back" not in shop.evaluate(rows)[-1].lower()
    said = '\n[[left_over]]\nitem = "elbow 90°"\nsize = "15 mm"\ncount = 3\n'
    served.file.write_text(before + said, encoding="utf-8")
    shop.wait_for_function(last, arg="goes back to the counter")
    assert "elbow 90°" in shop.evaluate(rows)[-1]
    assert shop.locator("#buy tr").last.locator("input").count() == 0
    served.file.write_text(before, encoding="utf-8")
    shop.wait_for_function(f"w => !({last})(w)", arg="goes back to the counter")
