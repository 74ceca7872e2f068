// Rules: worst first, each with what was measured, its limit, its remedy and the way to its place.
import {page, onState, commit, add, remove, many, why} from './page.js'
import {el, svg, byId, mark} from './dom.js'
import {hashOf} from './go.js'

const ORDER = ['breaks', 'not known', 'near', 'accepted']
const hidden = new Set()
let storey = '', words = ''

function chips() {
  const s = page.place.rules.summary
  const count = {breaks: s.breaks, 'not known': s.not_known, near: s.near, accepted: s.accepted, holds: s.holds}
  byId('verdicts').replaceChildren(...[...ORDER, 'holds'].map(v => el('button', {type: 'button', class: `sieve-chip ${v.replace(' ', '-')}`, 'aria-pressed': String(!hidden.has(v)), 'data-v': v,
    onclick: () => { if (hidden.has(v)) hidden.delete(v); else hidden.add(v); paint(v) }}, mark(v, 18), el('span', {text: v}), el('b', {text: String(count[v])}))))
  const places = ['', ...page.state.storeys.map(x => x.name), '–']
  byId('where').replaceChildren(...places.map(p => el('button', {type: 'button', class: 'sieve-chip', 'aria-pressed': String(storey === p), 'data-w': p, onclick: () => { storey = p; paint(null, p) }}, el('span', {text: p === '' ? 'Whole house' : p === '–' ? 'No one storey' : p}))))
}
const fits = (spot, text) => (storey === '' || (storey === '–' ? !spot?.storey : spot?.storey === storey)) && (!words || text.toLowerCase().includes(words))

// Where a finding leads: runs to the pipes, everything else to the plan.
function ways(spot) {
  if (!spot) return []
  const found = []
  if (spot.table === 'run') found.push(el('a', {class: 'way', href: `/pipes${hashOf(spot)}`, text: `${spot.name} in 3-D`}))
  found.push(el('a', {class: 'way', href: `/draw${hashOf(spot)}`, text: spot.table === 'run' ? 'on the plan' : `${spot.name} on the plan`}))
  return found
}
// Measured as a bar, the limit as a notch across it: which side of the notch is right follows from the sense.
function gauge(row) {
  if (row.share === null) return null
  const most = Math.max(1.25, row.share * 1.1), at = v => (v / most * 100).toFixed(2)
  return svg('svg', {class: `gauge ${row.finding.verdict.replace(' ', '-')}`, viewBox: '0 0 100 12', preserveAspectRatio: 'none', 'aria-hidden': 'true'},
    svg('rect', {x: 0, y: 2, width: 100, height: 8, class: 'back'}), svg('rect', {x: 0, y: 2, width: at(Math.max(0, row.share)), height: 8, class: 'part'}), svg('rect', {x: at(1), y: 0, width: .8, height: 12, class: 'notch'}))
}
function row(r) {
  const f = r.finding, key = `${f.id}:${f.subject}`
  return el('li', {class: `rule ${f.verdict.replace(' ', '-')}`, 'data-rule': key},
    el('span', {class: 'rule-mark'}, mark(f.verdict, 26)),
    el('div', {class: 'rule-main'},
      el('h3', {text: f.title}), el('p', {class: 'subject', text: f.subject}),
      f.verdict === 'not known' ? el('p', {class: 'sum'}, el('b', {text: 'not known'}), ` – ${f.missing}`)
        : el('p', {class: 'sum'}, el('b', {class: 'word', text: f.verdict}), ' – ', el('button', {type: 'button', class: 'number', text: f.measured_text, 'aria-label': `${f.measured_text}: how it came about`, onclick: () => why(`rule:${key}`)}), `, ${f.sense} ${f.limit_text}`),
      gauge(r),
      f.accepted_on ? el('p', {class: 'remedy', text: `Accepted ${f.accepted_on}: ${f.accepted_because}`}) : f.remedy ? el('p', {class: 'remedy', text: f.remedy}) : null,
      el('p', {class: 'source', text: `${f.id} · ${f.safety ? 'must, guards people' : f.severity} · ${f.source}`})),
    el('div', {class: 'rule-ways'}, ways(r.spot),
      r.acceptable ? el('button', {type: 'button', class: 'plain accept', text: 'Accept …', 'aria-label': `Accept ${f.title}, ${f.subject}`, onclick: e => accept(f, e.currentTarget)}) : null,
      f.safety && f.verdict === 'breaks' ? el('span', {class: 'mute tiny', text: 'guards people: can’t be accepted'}) : null,
      f.accepted_on ? el('button', {type: 'button', class: 'plain', text: 'No longer accept', onclick: () => commit(many(`${f.id} no longer accepted`, [remove('accept', `${f.id}, ${f.subject}`)]))}) : null))
}
function accept(f, from) {
  const box = byId('ask')
  const because = el('textarea', {id: 'because', required: true, rows: 3, maxlength: 400, 'aria-describedby': 'because-help'})
  const form = el('form', {method: 'dialog'},
    el('p', {}, `${f.title}: ${f.subject}, ${f.measured_text}, ${f.sense} ${f.limit_text}.`),
    el('label', {class: 'stack because-label', for: 'because', text: 'Why you accept it'}), because, el('p', {id: 'because-help', class: 'mute tiny', text: 'Reason and date go into the job file and the pack.'}),
    el('div', {class: 'row'}, el('button', {type: 'button', class: 'plain', text: 'Leave it open', onclick: () => { box.close(); from.focus() }}), el('button', {class: 'first', text: 'Accept it'})))
  form.addEventListener('submit', async e => {
    e.preventDefault()
    const reason = because.value.trim()
    if (!reason) { because.focus(); return }
    box.close()
    await commit(many(`${f.id} accepted at ${f.subject}`, [add('accept', {rule: f.id, subject: f.subject, on: page.place.today, because: reason})]))
    document.querySelector(`[data-rule="${CSS.escape(`${f.id}:${f.subject}`)}"] button`)?.focus()
  })
  box.replaceChildren(el('h2', {id: 'ask-title', text: `Accept ${f.id}`}), form)
  box.showModal()
  because.focus()
}
function held(h) {
  const rows = h.rows.filter(r => fits(r.spot, `${r.subject} ${h.title} ${h.id}`))
  if (!rows.length) return null
  return el('details', {class: 'held'}, el('summary', {}, mark('holds', 16), el('span', {class: 'held-title', text: h.title}), el('span', {class: 'mute', text: `${rows.length} ${rows.length === 1 ? 'place' : 'places'}`})),
    el('p', {class: 'source', text: `${h.id} · ${h.severity} · ${h.source}`}),
    el('div', {class: 'cards'}, el('table', {class: 'table'}, el('thead', {}, el('tr', {}, ['What', 'Measured', h.sense, ''].map(t => el('th', {scope: 'col', text: t})))),
      el('tbody', {}, rows.map(r => el('tr', {}, el('th', {scope: 'row', text: r.subject}), el('td', {class: 'num', 'data-name': 'measured', text: r.measured}), el('td', {class: 'num', 'data-name': h.sense, text: r.limit}), el('td', {}, ways(r.spot).at(0) ?? '')))))))
}
function paint(focus = null, where = null) {
  const rules = page.place.rules
  byId('none').hidden = Boolean(rules)
  if (!rules) { byId('none').textContent = 'No rule can be judged until the mistakes are mended.'; return }
  chips()
  const list = rules.open.filter(r => !hidden.has(r.finding.verdict) && fits(r.spot, `${r.finding.title} ${r.finding.subject} ${r.finding.id} ${r.finding.remedy}`))
  byId('open').replaceChildren(...list.map(row))
  const kept = hidden.has('holds') ? [] : rules.held.map(held).filter(x => x)
  byId('held-part').hidden = !kept.length
  byId('held').replaceChildren(...kept)
  const s = rules.summary
  byId('rules-told').textContent = `${s.findings} judged: ${s.breaks} ${s.breaks === 1 ? 'breaks' : 'break'}${s.broken_must ? `, ${s.broken_must} of them must` : ''}, ${s.not_known} not known, ${s.near} near, ${s.accepted} accepted, ${s.holds} ${s.holds === 1 ? 'holds' : 'hold'}.${list.length < rules.open.length ? ` ${list.length} shown.` : ''}`
  byId('pending').textContent = page.place.whole ? '' : 'Fittings and supports are still being judged; theirs are from before the last change.'
  byId('cautions').replaceChildren(...rules.cautions.map(c => el('div', {}, el('dt', {text: c.topic}), el('dd', {text: c.text}))))
  if (focus) document.querySelector(`[data-v="${CSS.escape(focus)}"]`)?.focus()
  if (where !== null) document.querySelector(`[data-w="${CSS.escape(where)}"]`)?.focus()
}
byId('find').addEventListener('input', e => { words = e.target.value.trim().toLowerCase(); paint() })
onState(() => paint())
