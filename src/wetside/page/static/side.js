// Beside the sheet: the house as a section, the rooms ledger, the rules.
import {page, commit, set, why} from './page.js'
import {el, svg, byId, keepTyping, mark, verdictWord} from './dom.js'
import {read} from './form.js'

export function section(storeys, here, choose) {
  const host = byId('section')
  const held = document.activeElement?.closest('#section') ? document.activeElement.dataset.storey : null
  const top = [...storeys].reverse()
  const roof = svg('svg', {class: 'roof', viewBox: '0 0 100 24', preserveAspectRatio: 'none', 'aria-hidden': 'true'}, svg('path', {d: 'M0 24L50 1L100 24Z'}))
  host.replaceChildren(roof, ...top.map(s => el('button', {
    type: 'button', class: 'slab', role: 'radio', 'aria-checked': String(s.name === here), tabindex: s.name === here ? 0 : -1, 'data-storey': s.name,
    'aria-label': `${s.name}, needs ${s.need}${s.verdicts.length ? `, worst: ${s.verdicts.join(' and ')}` : ''}`, onclick: () => choose(s.name),
  }, el('span', {class: 'name'}, s.name, el('small', {text: s.need})), s.verdicts.map(v => el('span', {class: v.replace(' ', '-')}, mark(v, 15))))), el('div', {class: 'ground'}))
  host.onkeydown = e => {
    const step = {ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1}[e.key]
    if (!step) return
    e.preventDefault()
    const i = top.findIndex(s => s.name === here), to = top[(i + step + top.length) % top.length]
    choose(to.name)
    host.querySelector('[aria-checked="true"]')?.focus()
  }
  if (held) host.querySelector(`[data-storey="${CSS.escape(held)}"]`)?.focus()
}

const rowOf = new Map()
// The whole ledger anew.
export function ledger(rows, tables, us, pick) {
  const table = byId('rooms')
  byId('rooms-none').hidden = rows.length > 0
  table.hidden = !rows.length
  rowOf.clear()
  if (!rows.length) { table.replaceChildren(); return }
  const again = keepTyping(table)
  const unit = page.state.shown === 'us' ? 'Btu/h' : 'W'
  const most = Math.max(1, ...rows.map(r => Math.max(r.need_w, r.gives_w ?? 0)))
  const body = el('tbody')
  let storey = null
  const many = new Set(rows.map(r => r.storey)).size > 1
  for (const r of rows) {
    if (many && r.storey !== storey) body.append(el('tr', {class: 'storey-line'}, el('td', {colspan: 6, text: storey = r.storey})))
    const raw = tables.room?.find(x => x.name === r.name)
    const temp = el('input', {value: raw?.inside ?? '', placeholder: raw?.inside === undefined ? r.inside.replace(/[^\d.−-]/g, '') : null, 'aria-label': `${r.name}, inside temperature, ${us ? '°F' : '°C'}`, inputmode: 'decimal', disabled: !r.heated})
    temp.addEventListener('change', async () => {
      const v = read(temp.value, {type: 'quantity'})
      if (v !== '' && !await commit(set('room', r.name, 'inside', v))) temp.value = raw?.inside ?? ''
    })
    const tr = el('tr', {'data-room': r.name},
      el('td', {}, el('button', {type: 'button', text: r.name, onclick: () => pick({table: 'room', name: r.name})})),
      el('td', {}, r.heated ? temp : el('span', {class: 'mute', text: r.inside})),
      el('td', {class: 'num', 'data-head': `needs ${unit}`}, el('button', {type: 'button', class: 'number', 'aria-label': `${r.name} needs ${r.need}: how so?`, text: r.need_bare, onclick: () => why(`room:${r.name}`)})),
      el('td', {}, r.heated ? bar(r, most) : null),
      el('td', {class: 'num', 'data-head': r.heated ? `gives ${unit}` : ''}, r.heated ? el('button', {type: 'button', class: 'number', 'aria-label': `${r.name} is given ${r.gives}: how so?`, text: r.gives_bare, onclick: () => why(`gives:${r.name}`)}) : null),
      el('td', {}, r.verdict ? verdictWord(r.verdict) : el('span', {class: 'mute', text: 'unheated'})))
    rowOf.set(r.name, {tr, r, most})
    body.append(tr)
  }
  table.replaceChildren(el('thead', {}, el('tr', {}, [['Room', ''], [us ? '°F' : '°C', ''], [`needs ${unit}`, 'num'], ['given / need', ''], [`gives ${unit}`, 'num'], ['verdict', '']].map(([text, c]) => el('th', {scope: 'col', class: c || null, text})))), body)
  again()
}
function bar(r, most) {
  const x = v => 84 * Math.min(1, v / (most * 1.04))
  const g = r.gives_w ?? 0, n = x(r.need_w)
  return svg('svg', {class: `bar ${r.verdict.replace(' ', '-')}`, viewBox: '0 0 84 14', preserveAspectRatio: 'none', 'aria-hidden': 'true'},
    svg('rect', {class: 'trough', y: 2, width: 84, height: 10}), svg('rect', {class: 'given', y: 2, width: x(g), height: 10}),
    svg('rect', {class: 'halo', x: n - 2, width: 4.5, height: 14}), svg('rect', {class: 'need', x: n - .9, width: 2.2, height: 14}))
}
// Only numbers, while something is dragged.
export function ledgerNumbers(rows) {
  for (const r of rows) {
    const seen = rowOf.get(r.name)
    if (!seen || (seen.r.need === r.need && seen.r.gives === r.gives && seen.r.verdict === r.verdict)) continue
    const cells = seen.tr.cells
    cells[2].firstChild.textContent = r.need_bare
    if (cells[4].firstChild) cells[4].firstChild.textContent = r.gives_bare
    if (r.heated) cells[3].replaceChildren(bar(r, seen.most))
    if (seen.r.verdict !== r.verdict) cells[5].replaceChildren(r.verdict ? verdictWord(r.verdict) : '')
    seen.r = r
  }
}
export function hereInLedger(name) {
  for (const [n, {tr}] of rowOf) tr.classList.toggle('here', n === name)
}

let all = false
export function rules(rows, go) {
  const list = byId('rules'), more = byId('rules-more')
  const open = rows.filter(r => r.finding.verdict !== 'holds'), held = rows.length - open.length
  const shown = all ? rows : open.slice(0, 14)
  list.replaceChildren(...shown.map(r => el('li', {}, ruleRow(r, go))))
  const left = rows.length - shown.length
  more.hidden = rows.length === 0 || (!left && !all)
  more.textContent = all ? 'Fewer' : `All ${rows.length} rules`
  more.onclick = () => { all = !all; rules(rows, go) }
  byId('rules-sum').textContent = rows.length ? `${held} of ${rows.length} hold` : ''
}
function ruleRow({finding: f, spot}, go) {
  const sums = f.measured_text === '–' && f.missing ? f.missing : `${f.measured_text}, ${f.sense} ${f.limit_text}`
  return el('button', {type: 'button', class: 'rule', 'data-rule': f.id, title: f.remedy || null, onclick: () => spot ? go(spot) : why(`rule:${f.id}:${f.subject}`)},
    el('span', {class: f.verdict.replace(' ', '-')}, mark(f.verdict, 20)),
    el('span', {class: 'what', text: f.title}),
    el('span', {class: 'to', text: spot ? spot.name : ''}),
    el('span', {class: 'sum'}, el('b', {text: f.verdict}), ` – ${f.subject}: ${sums}`))
}
export const state = () => page.state
