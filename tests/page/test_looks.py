"""Every place as people meet it: names for all that can be used, contrast, focus order, a narrow screen, a clean console.

The checks are a small script of our own that runs in the page.
"""

from typing import Any

import pytest

from opened import Served, tab
from wetside.page.places import places

KEYS = [p.key for p in places()]

CHECK = r"""() => {
  const wrong = []
  const seen = n => { const r = n.getBoundingClientRect(), s = getComputedStyle(n); return r.width > 0 && r.height > 0 && s.visibility !== 'hidden' && s.display !== 'none' && !n.closest('[hidden], [aria-hidden="true"]') }
  const said = n => (n.getAttribute('aria-label') || (n.getAttribute('aria-labelledby') || '').split(' ').map(i => document.getElementById(i)?.textContent ?? '').join(' ') || [...(n.labels ?? [])].map(l => l.textContent).join(' ') || (n.matches('button, a, summary, [role=button], [role=radio], [role=tab]') ? n.textContent : '') || n.getAttribute('title') || '').trim()
  const short = n => n.outerHTML.slice(0, 110)
  // names
  for (const n of document.querySelectorAll('button, a[href], input, select, textarea, summary, [role=button], [role=radio], [role=tab], [role=slider], dialog[open], nav, aside, section[aria-labelledby]')) if (seen(n) && !said(n)) wrong.push('no name: ' + short(n))
  for (const n of document.querySelectorAll('img, svg[role=img]')) if (seen(n) && !n.hasAttribute('alt') && !said(n) && !n.querySelector(':scope > title')) wrong.push('no text: ' + short(n))
  // ids, language, heads, order of focus
  const ids = [...document.querySelectorAll('[id]')].map(n => n.id).filter(i => i && i !== 'null')
  for (const i of new Set(ids)) if (ids.filter(x => x === i).length > 1) wrong.push('id twice: ' + i)
  for (const n of document.querySelectorAll('[aria-labelledby], [aria-describedby], label[for]')) for (const a of ['aria-labelledby', 'aria-describedby', 'for']) for (const i of (n.getAttribute(a) ?? '').split(' ').filter(x => x)) if (seen(n) && !document.getElementById(i)) wrong.push(`${a} leads nowhere: ` + short(n))
  if (!document.documentElement.lang) wrong.push('no language')
  for (const n of document.querySelectorAll('[tabindex]')) if (Number(n.getAttribute('tabindex')) > 0) wrong.push('order of focus forced: ' + short(n))
  for (const t of document.querySelectorAll('table')) if (seen(t) && !t.querySelector('th')) wrong.push('table without heads: ' + short(t))
  // contrast of text on what lies behind it
  const probe = document.createElement('canvas').getContext('2d', {willReadFrequently: true})
  const rgba = c => { probe.clearRect(0, 0, 1, 1); probe.fillStyle = c; probe.fillRect(0, 0, 1, 1); return [...probe.getImageData(0, 0, 1, 1).data] }
  const light = ([r, g, b]) => { const f = v => { v /= 255; return v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4 }; return .2126 * f(r) + .7152 * f(g) + .0722 * f(b) }
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT)
  const told = new Set()
  while (walker.nextNode()) {
    const n = walker.currentNode.parentElement
    if (!walker.currentNode.textContent.trim() || !n || n.closest('svg, script, [disabled], option') || !seen(n) || n.closest('.skip, .help, .told')) continue
    let back = null
    for (let p = n; p && !back; p = p.parentElement) { const c = rgba(getComputedStyle(p).backgroundColor); if (c[3] > 250) back = c }
    const s = getComputedStyle(n), fore = rgba(s.color), a = light(fore), b = light(back ?? [255, 255, 255])
    const ratio = (Math.max(a, b) + .05) / (Math.min(a, b) + .05)
    const large = parseFloat(s.fontSize) >= 24 || (parseFloat(s.fontSize) >= 18.6 && Number(s.fontWeight) >= 700)
    const key = s.color + back + n.className
    if (ratio < (large ? 3 : 4.5) && !told.has(key)) { told.add(key); wrong.push(`contrast ${ratio.toFixed(2)}: ` + walker.currentNode.textContent.trim().slice(0, 40) + ' ' + short(n)) }
  }
  return wrong
}"""


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
            """() => { const a = document.activeElement
            return a.closest('svg.sheet') ? 'sheet' : ['.skip', '.head', '.rail', '.board', '.ledger', '.rules', '.foot'].find(s => a.closest(s)) ?? 'body' }"""
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
        """async () => { const {markShape} = await import('/static/dom.js')
        return ['holds', 'near', 'breaks', 'not known', 'accepted'].map(v => markShape(v, 0, 0, 1).innerHTML.replace(/class="[^"]*"/g, '')) }"""
    )
    assert len(set(shapes)) == 5
    page.context.close()
