// Small helpers that make elements. Text is always text: nothing here parses markup.
const SVG = 'http://www.w3.org/2000/svg'

function fill(node, attributes, kids) {
  for (const [key, value] of Object.entries(attributes ?? {})) {
    if (value === null || value === undefined || value === false) continue
    if (key.startsWith('on')) node.addEventListener(key.slice(2), value)
    else if (key === 'text') node.textContent = value
    else if (key === 'value' && 'defaultValue' in node) node.defaultValue = value
    else if (key === 'value' && 'value' in node) node.value = value
    else node.setAttribute(key, value === true ? '' : value)
  }
  node.append(...kids.flat().filter(k => k !== null && k !== undefined && k !== false))
  return node
}
export const el = (tag, attributes, ...kids) => fill(document.createElement(tag), attributes, kids)
export const svg = (tag, attributes, ...kids) => fill(document.createElementNS(SVG, tag), attributes, kids)
// What is being typed in a part of the page that is built anew: call before, then the answer after.
export function keepTyping(host) {
  const n = host.contains(document.activeElement) ? document.activeElement : null
  if (!n) return () => {}
  const label = x => x.getAttribute('aria-label') ?? x.labels?.[0]?.textContent ?? x.textContent
  const was = {label: label(n), tag: n.tagName, dirty: 'defaultValue' in n && n.value !== n.defaultValue, value: n.value, from: n.selectionStart}
  // else its removal would count as the end of typing, and half a number would be saved
  if (was.dirty) n.value = n.defaultValue
  return () => {
    const to = [...host.querySelectorAll('input, select, textarea, button')].find(x => x.tagName === was.tag && label(x) === was.label)
    if (!to) return
    to.focus({preventScroll: true})
    if (!was.dirty) return
    to.value = was.value
    try { to.setSelectionRange(was.from, was.from) } catch { /* not a text */ }
    // the browser did not see this being typed, so that it would not tell of its end
    let told = false
    const end = () => { if (!told && to.isConnected && to.value !== to.defaultValue) { told = true; to.dispatchEvent(new Event('change')) } }
    to.addEventListener('change', () => { told = true }, {once: true})
    to.addEventListener('blur', end, {once: true})
    to.addEventListener('keydown', e => { if (e.key === 'Enter' && to.tagName !== 'TEXTAREA') end() })
  }
}
export const byId = id => document.getElementById(id)

// The five verdict marks: shape first, colour second. `at` is the middle, `r` half the height.
export function markShape(verdict, x, y, r) {
  const g = svg('g', {class: `mark ${verdict.replace(' ', '-')}`, transform: `translate(${x} ${y}) scale(${r})`})
  if (verdict === 'holds') g.append(svg('circle', {r: .96, class: 'm-fill'}), svg('path', {d: 'M-.42 .02L-.1 .36L.46 -.34', class: 'm-cut'}))
  else if (verdict === 'near') g.append(svg('path', {d: 'M0 -1L1 0L0 1L-1 0Z', class: 'm-ring'}), svg('path', {d: 'M0 -1L1 0L0 1Z', class: 'm-fill'}))
  else if (verdict === 'breaks') {
    const d = [...Array(8).keys()].map(k => `${k ? 'L' : 'M'}${Math.cos(Math.PI / 8 + k * Math.PI / 4).toFixed(3)} ${Math.sin(Math.PI / 8 + k * Math.PI / 4).toFixed(3)}`).join('') + 'Z'
    g.append(svg('path', {d, class: 'm-fill'}), svg('path', {d: 'M-.36 -.36L.36 .36M-.36 .36L.36 -.36', class: 'm-cut'}))
  } else if (verdict === 'accepted') g.append(svg('circle', {r: .86, class: 'm-ring'}), svg('path', {d: 'M-.45 0H.45', class: 'm-ring'}))
  else g.append(svg('circle', {r: .88, class: 'm-ring m-dash'}), svg('path', {d: 'M-.3 -.26A.3 .3 0 1 1 .08 .08Q0 .14 0 .26', class: 'm-pen'}), svg('circle', {cy: .52, r: .1, class: 'm-fill'}))
  return g
}
export function mark(verdict, px = 16) {
  return svg('svg', {class: 'mark-box', viewBox: '-1.08 -1.08 2.16 2.16', width: px, height: px, 'aria-hidden': 'true'}, markShape(verdict, 0, 0, 1))
}
export const verdictWord = verdict => el('span', {class: `verdict ${verdict.replace(' ', '-')}`}, mark(verdict, 16), el('span', {text: verdict}))

// Scroll what holds it until it is in view. `scrollIntoView` would also move the place where Tab goes on from.
export function reveal(node) {
  let box = node.parentElement
  while (box && !/auto|scroll/.test(getComputedStyle(box).overflow)) box = box.parentElement
  if (!box) return
  const [a, b] = [node.getBoundingClientRect(), box.getBoundingClientRect()]
  if (a.left < b.left || a.right > b.right) box.scrollLeft += (a.left + a.right - b.left - b.right) / 2
  if (a.top < b.top || a.bottom > b.bottom) box.scrollTop += (a.top + a.bottom - b.top - b.bottom) / 2
}
