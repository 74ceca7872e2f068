// What is wrong with the page as people meet it: run in the page, answers a list of texts.
() => {
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
}
