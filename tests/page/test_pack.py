"""The job pack in a real browser: pages as they are printed, where each sheet begins, the PDF."""

import io
from collections.abc import Iterator
from typing import Any

import pytest
from opened import Served, tab

pypdf = pytest.importorskip("pypdf")


@pytest.fixture
def pack(browser: Any, served: Served) -> Iterator[Any]:
    served.problems.clear()
    made = tab(browser, served, "pack")
    made.wait_for_selector("#pages img")
    yield made
    made.context.close()
    assert served.problems == []


def test_every_page_is_there_and_the_list_leads_to_it(pack: Any) -> None:
    pages = pack.locator("#pages li").count()
    assert pack.inner_text("#told-pages").startswith(f"{pages} pages on A4")
    pack.locator("#sheets a", has_text="Cautions").click()
    pack.wait_for_function("() => document.querySelector('#p2 img').naturalWidth > 0")
    pack.wait_for_function(
        "() => document.querySelector('#sheets a[aria-current]')?.textContent.startsWith('Cautions')"
    )


def test_the_pdf_has_the_pages_that_are_shown(pack: Any) -> None:
    answer = pack.request.get(f"{pack.url.rsplit('/', 1)[0]}/api/pack/pdf")
    assert 'filename="Net loft pack.pdf"' in answer.headers["content-disposition"]
    read = pypdf.PdfReader(io.BytesIO(answer.body()))
    assert len(read.pages) == pack.locator("#pages li").count()
    titles = [o.title for o in read.outline if not isinstance(o, list)]
    shown = pack.evaluate("() => [...document.querySelectorAll('#sheets a span')].map(s => s.textContent)")
    assert [t for t in titles if t in shown] == shown


def test_a_phone_shows_pages_as_wide_as_it_is(browser: Any, served: Served) -> None:
    page = tab(browser, served, "pack", viewport={"width": 390, "height": 844}, has_touch=True)
    page.wait_for_selector("#pages img")
    assert page.evaluate("() => document.documentElement.scrollWidth") == 390
    page.context.close()
