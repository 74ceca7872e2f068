// The job pack, page by page, as it will be printed.
import {page, onState} from './page.js'
import {el, byId, reveal} from './dom.js'

let due = 0, shown = '', watch = null
async function load() {
  const none = byId('none')
  const ready = page.place.ready
  none.hidden = ready
  byId('pdf').hidden = !ready
  if (!ready) { none.textContent = 'There is no pack until the mistakes are mended.'; byId('pages').replaceChildren(); byId('sheets').replaceChildren(); return }
  const rev = `${page.state.boot}.${page.state.rev}.${page.state.sha.slice(0, 8)}`
  if (rev === shown) return
  byId('told-pages').textContent = 'Setting the pages …'
  const answer = await fetch('/api/pack/contents').catch(() => null)
  const told = answer ? await answer.json().catch(() => ({})) : {}
  if (!answer?.ok) { none.hidden = false; none.textContent = told.wrong ?? 'The pages could not be set.'; byId('told-pages').textContent = ''; return }
  shown = rev
  const paper = page.place.paper === 'us-letter' ? [612, 792] : [595, 842]
  byId('told-pages').textContent = `${told.pages} pages on ${page.place.paper === 'us-letter' ? 'US Letter' : 'A4'}, in the units of the job`
  const titles = n => told.sheets.filter(s => s.page <= n).at(-1)?.title ?? ''
  const at = byId('leaves').scrollTop
  byId('pages').replaceChildren(...Array.from({length: told.pages}, (_, i) => el('li', {id: `p${i + 1}`}, el('img', {src: `/api/pack/page/${i + 1}?at=${encodeURIComponent(rev)}`, alt: `Page ${i + 1} of ${told.pages}: ${titles(i + 1)}`, loading: 'lazy', width: paper[0], height: paper[1]}), el('span', {class: 'leaf-no', text: `${i + 1} · ${titles(i + 1)}`}))))
  byId('leaves').scrollTop = at
  byId('sheets').replaceChildren(...told.sheets.map((s, i) => el('a', {class: 'sieve-chip', href: `#p${s.page}`, 'data-page': s.page, 'data-last': (told.sheets[i + 1]?.page ?? told.pages + 1) - 1}, el('span', {text: s.title}), el('b', {text: String(s.page)}))))
  follow()
}
// The sheet that is being looked at is marked in the list.
const wide = () => matchMedia('(min-width: 901px)').matches
function here() {
  const asked = document.getElementById(location.hash.slice(1))
  const first = asked?.dataset.seen ? asked : [...byId('pages').children].find(li => li.dataset.seen)
  const n = first ? Number(first.id.slice(1)) : 1
  for (const a of byId('sheets').children) {
    const on = n >= Number(a.dataset.page) && n <= Number(a.dataset.last)
    if (on === a.hasAttribute('aria-current')) continue
    if (on) { a.setAttribute('aria-current', 'true'); if (wide()) reveal(a) } else a.removeAttribute('aria-current')
  }
}
function follow() {
  watch?.disconnect()
  watch = new IntersectionObserver(seen => {
    for (const s of seen) s.target.dataset.seen = s.isIntersecting ? '1' : ''
    here()
  }, {root: wide() ? byId('leaves') : null, rootMargin: '-20% 0px -55% 0px'})
  for (const li of byId('pages').children) watch.observe(li)
}
addEventListener('hashchange', here)
onState(() => { clearTimeout(due); due = setTimeout(load, shown ? 700 : 0) })
