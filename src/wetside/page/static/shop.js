// Buy and cut: sticks to scale, the list for the counter with its prices, the spares curve.
import {page, onState, commit, set, unset, add, many} from './page.js'
import {el, byId, mark} from './dom.js'
import {drawing} from './charts.js'
import {fill} from './table.js'
import {form} from './form.js'

let told = null

function plan(t) {
  const box = el('div', {class: 'sticks', role: 'group', 'aria-label': `Sticks of ${t.tube}`})
  const stock = (page.place.tables.stock ?? []).find(s => s.tube === t.tube)
  const panel = el('div', {class: 'panel', hidden: true})
  const change = el('button', {type: 'button', class: 'small', text: 'Lengths, prices, offcuts', 'aria-expanded': 'false', onclick: async () => {
    if (!stock && !await commit(many(`Stock of ${t.tube}`, [add('stock', {tube: t.tube})]))) return
    opened.add(t.tube)
    await open()
  }})
  const open = async () => {
    const now = (page.place.tables.stock ?? []).find(s => s.tube === t.tube)
    if (!now) return
    panel.replaceChildren(el('h3', {text: `${t.tube} on sale and at hand`}), await form('stock', t.tube, now))
    panel.hidden = false
    change.setAttribute('aria-expanded', 'true')
  }
  if (opened.has(t.tube)) open()
  for (const s of t.sticks) {
    const bar = el('div', {class: `stick${s.own ? ' own' : ''}`})
    bar.style.width = `${s.part * 100}%`
    for (const p of s.pieces) {
      const b = el('button', {type: 'button', class: 'cut', tabindex: '-1', 'data-piece': p.name, 'aria-label': `${p.name}, ${p.length}, stick ${s.number}`, onfocus: () => tell(t, s, p), onclick: () => tell(t, s, p)},
        el('b', {text: p.name}), el('span', {text: p.length}))
      b.style.flexGrow = String(p.part * 1000)
      bar.append(b)
    }
    const left = el('span', {class: 'left', title: `${s.left} left over`}, el('span', {text: s.left_part > .09 ? s.left : ''}))
    left.style.flexGrow = String(s.left_part * 1000)
    bar.append(left)
    box.append(el('div', {class: 'stick-row'}, el('span', {class: 'stick-no', text: s.own ? `own ${s.number}` : String(s.number)}), el('div', {class: 'stick-lane'}, bar), el('span', {class: 'stick-m', text: s.length})))
  }
  const cuts = [...box.querySelectorAll('.cut')]
  if (cuts[0]) cuts[0].tabIndex = 0
  box.addEventListener('keydown', e => {
    const n = cuts.indexOf(document.activeElement), step = {ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1}[e.key]
    const to = e.key === 'Home' ? 0 : e.key === 'End' ? cuts.length - 1 : step && n >= 0 ? (n + step + cuts.length) % cuts.length : -1
    if (to < 0) return
    e.preventDefault()
    cuts.forEach((c, i) => { c.tabIndex = i === to ? 0 : -1 })
    cuts[to].focus()
  })
  return el('section', {class: 'plan', 'aria-label': t.tube},
    el('div', {class: 'plan-head'}, el('h3', {text: t.tube}), el('span', {text: t.buys}), el('span', {class: 'proof'}, mark(t.proof.startsWith('nothing') ? 'holds' : 'near', 15), t.proof), change), panel, box)
}
const opened = new Set()
// A number that doesn't fit into its piece is left out rather than cut off; picking the piece says it.
function trim() {
  const found = [...document.querySelectorAll('.cut')].map(c => [c, c.clientWidth])
  for (const [c, w] of found) { const [b, span] = c.children; b.hidden = w < b.textContent.length * 6 + 1; span.hidden = w < (b.textContent.length + span.textContent.length) * 6.4 + 10 }
}
new ResizeObserver(trim).observe(byId('plans'))
function tell(t, s, p) {
  told = p.name
  for (const b of document.querySelectorAll('.cut.on')) b.classList.remove('on')
  document.querySelector(`.cut[data-piece="${CSS.escape(p.name)}"]`)?.classList.add('on')
  byId('piece').replaceChildren(el('b', {text: `${p.name} ${p.length}`}), el('span', {text: `${t.size}, stick ${s.number}`}), el('span', {text: p.ends}), p.bends ? el('span', {text: `bent ${p.bends}`}) : null,
    el('span', {}, p.room ? `${p.room}, ` : '', el('a', {href: `/pipes#run:${encodeURIComponent(p.run)}`, text: `run ${p.run}`})))
}

function price(r) {
  const known = (page.place.tables.price ?? []).find(p => p.item === r.item && (p.size ?? '') === r.size && 'size' in p)
  const input = el('input', {class: 'price', inputmode: 'decimal', value: r.each, placeholder: '–', autocomplete: 'off', 'aria-label': `Price of one ${r.item} ${r.size}`, 'data-focus': `${r.item}/${r.size}`})
  input.addEventListener('change', async () => {
    const text = input.value.trim().replace(',', '.').replaceAll(' ', '').replaceAll('\u202f', ''), v = Number(text)
    if (text === '' && known) { await commit({do: 'remove', table: 'price', name: `${r.item}, ${r.size}`}); return }
    if (text === '' || !(v > 0)) { input.value = r.each; return }
    const said = `${r.item} ${r.size}: ${text} each`
    await commit(many(said, [known ? set('price', `${r.item}, ${r.size}`, 'each', v) : add('price', {item: r.item, size: r.size, each: v})]))
  })
  input.addEventListener('keydown', e => {
    if (e.key === 'Escape') { input.value = r.each; input.blur() }
    if (e.key === 'Enter') { e.preventDefault(); const all = [...document.querySelectorAll('.price')]; const next = all[all.indexOf(input) + 1]; next?.focus(); next?.select() }
  })
  return input
}
function buy(c) {
  let group = null
  const rows = [...c.buy, ...c.returns]
  fill(byId('buy'), [
    {name: 'Item', cell: r => el('span', {}, r.group !== group ? ((group = r.group), el('span', {class: 'group', text: r.group})) : null, el('span', {class: 'what', text: r.item}), r.note ? el('small', {text: r.note}) : null)},
    {name: 'Size', cell: r => r.size}, {name: 'Drawn', num: true, cell: r => r.need}, {name: 'Spare', num: true, cell: r => r.spare},
    {name: 'Buy', num: true, cell: r => el('b', {text: r.buy})}, {name: 'In', cell: r => r.pack}, {name: `Each${c.money ? `, ${c.money}` : ''}`, num: true, cell: r => priced(r) ? price(r) : r.each}, {name: 'Cost', num: true, cell: r => r.cost},
  ], rows, {caption: 'What to buy', rowOf: (r, i) => ({class: i && rows[i - 1].group === r.group ? null : 'first-of'})})
}
// A tube's price stands with its stock lengths; what goes back has no drawn number and the price that it was bought for.
const priced = r => r.group !== 'tube' && r.need !== ''

onState(async () => {
  const c = page.place.counter
  for (const id of ['cut', 'list', 'spares', 'meet', 'count']) byId(id).hidden = !c
  byId('none').hidden = Boolean(c)
  byId('none').textContent = page.state.foot ? 'No tube is drawn yet: there is nothing to buy.' : 'There is nothing to buy until the mistakes are mended.'
  if (!c) return
  const focus = document.activeElement?.dataset?.focus
  byId('sum').textContent = c.cut_sum
  byId('plans').replaceChildren(...c.tubes.map(plan))
  trim()
  byId('piece').replaceChildren(el('span', {class: 'mute', text: 'No piece picked'}))
  if (told) document.querySelector(`.cut[data-piece="${CSS.escape(told)}"]`)?.classList.add('on')
  buy(c)
  const none = c.buy.every(r => !r.each)
  byId('total').replaceChildren(...(none ? ['No price is given yet'] : [el('b', {text: c.total}), c.unpriced ? ` and ${c.unpriced}` : '']), ` · chance of a second trip ${c.chance}`)
  byId('curve').replaceChildren(...(c.curve ? [drawing(c.curve)] : []))
  byId('chance').textContent = `With these spares the chance of a second trip is ${c.chance}; ${c.accepted} is accepted.`
  byId('assumed').replaceChildren(...c.assumed.map(text => el('li', {text})))
  byId('tight').replaceChildren(...c.tight.map(text => el('li', {class: 'rule breaks'}, el('span', {class: 'rule-mark'}, mark('breaks', 20)), el('p', {text}))))
  byId('meetings').replaceChildren(...c.meetings.map(m => el('li', {class: 'plain-row'}, el('b', {text: m.run}), el('span', {}), el('small', {text: m.text}))))
  let group = null
  fill(byId('counted'), [{name: 'Item', cell: r => el('span', {}, r.group !== group ? ((group = r.group), el('span', {class: 'group', text: r.group})) : null, el('span', {class: 'what', text: r.item}))}, {name: 'Size', cell: r => r.size}, {name: 'Amount', num: true, cell: r => r.amount}], c.counted, {caption: 'Take-off'})
  const terms = await form('buying', '', page.place.tables.buying ?? {}, {})
  byId('terms').replaceChildren(terms)
  if (focus) document.querySelector(`[data-focus="${CSS.escape(focus)}"]`)?.focus()
})
void unset
