// Water: what flows where, and what would follow of other weather and settings while they are dragged.
import {page, onState, commit, set, many, say} from './page.js'
import {el, byId} from './dom.js'
import {because} from './because.js'
import {Space} from './space.js'
import {drawing} from './charts.js'
import {fill} from './table.js'

const QUANTITIES = [['flow', 'Flow'], ['speed', 'Speed'], ['warm', 'Temperature'], ['gauge', 'Pressure'], ['gradient', 'Friction']]
const GROUPS = {weather: 'Weather', boiler: 'Boiler', circulators: 'Circulators', zones: 'Shut a zone', valves: 'Valves', shut: 'Shut an emitter'}
const space = new Space(byId('space'), {label: 'Water in the pipework', onPick: pick, onKey: key})
let quantity = localStorage.getItem('wetside-water') ?? 'flow'
let sheet = null, water = null, picked = null
const settings = {}

// ---- trying

let flying = false, again = false, idle = 0
async function ask(charts) {
  const body = JSON.stringify({settings, charts})
  const answer = await fetch(`/api/water/try?units=${page.state.shown}`, {method: 'POST', headers: {'content-type': 'application/json', 'x-wetside': '1'}, body}).catch(() => null)
  return answer?.ok ? answer.json() : {water: null, wrong: 'The program does not answer.'}
}
// Numbers while it is dragged, one question at a time; the charts follow when the hand rests.
async function attempt() {
  clearTimeout(idle)
  if (flying) { again = true; return }
  flying = true
  do {
    again = false
    const began = performance.now()
    take(await ask(false))
    byId('foot-ms').textContent = `answered in ${Math.round(performance.now() - began)} ms`
  } while (again)
  flying = false
  idle = setTimeout(async () => {
    flying = true
    const told = await ask(true)
    flying = false
    if (again) { attempt(); return }
    take(told)
    document.body.dataset.tried = String(Number(document.body.dataset.tried ?? 0) + 1)
  }, 120)
}
function take(told) {
  const box = byId('wrong')
  box.hidden = !told.wrong
  box.textContent = told.wrong
  document.querySelector('.water').classList.toggle('stale', !told.water)
  if (!told.water) return
  const charts = water
  water = told.water
  if (charts && water.circulators.some(c => !c.chart)) { water.pressure ||= charts.pressure; for (const c of water.circulators) c.chart ||= charts.circulators.find(x => x.name === c.name)?.chart }
  numbers()
  // the drawing comes a frame later: first what is read
  later ||= requestAnimationFrame(() => { later = 0; show() })
}

// ---- sliders

function knobs() {
  const focus = document.activeElement?.dataset?.key
  const groups = Object.keys(GROUPS).map(g => [g, page.place.knobs.filter(k => k.group === g)]).filter(([, list]) => list.length)
  for (const k of Object.keys(settings)) if (!page.place.knobs.some(x => x.key === k && x.value !== settings[k])) delete settings[k]
  // what a person has unfolded stays so when an edit elsewhere makes the knobs anew
  const unfolded = Object.fromEntries([...byId('knobs').querySelectorAll('details')].map(d => [d.dataset.group, d.open]))
  byId('knobs').replaceChildren(...groups.map(([g, list]) => {
    const inside = list.map(k => k.switch ? switchOf(k) : slider(k))
    return g === 'valves' || g === 'shut' ? el('details', {class: 'knob-group', 'data-group': g, open: unfolded[g] ?? list.length < 4}, el('summary', {text: `${GROUPS[g]} (${list.length})`}), el('div', {class: g === 'shut' ? 'switches' : null}, inside))
      : el('div', {class: 'knob-group'}, el('h3', {text: GROUPS[g]}), g === 'zones' ? el('div', {class: 'switches'}, inside) : inside)
  }))
  if (focus) byId('knobs').querySelector(`[data-key="${CSS.escape(focus)}"]`)?.focus()
  byId('reset').disabled = !Object.keys(settings).length
}
const shown = (k, v) => `${v.toFixed(k.places).replace('-', '−')}${k.unit && k.unit !== 'of its curve' ? ` ${k.unit}` : ''}`
function slider(k) {
  const now = settings[k.key] ?? k.value
  const id = `k-${page.place.knobs.indexOf(k)}`
  const input = el('input', {type: 'range', id, min: k.least, max: k.most, step: k.step, value: String(now), 'data-key': k.key, 'aria-describedby': `${id}n`})
  const typed = el('input', {type: 'text', inputmode: 'decimal', class: 'typed', value: now.toFixed(k.places), 'aria-label': `${k.label}${k.unit ? `, ${k.unit}` : ''}`, 'data-key': `${k.key} typed`})
  const keep = el('button', {type: 'button', class: 'small keep', text: 'Keep', hidden: true, onclick: () => write(k, settings[k.key])})
  const tick = el('span', {class: 'tick', 'aria-hidden': 'true'})
  const share = v => (v - k.least) / (k.most - k.least || 1)
  tick.style.left = `calc(${(share(k.value) * 100).toFixed(2)}% + ${(8 - 16 * share(k.value)).toFixed(1)}px)`
  const moved = v => {
    if (Math.abs(v - k.value) < k.step / 2) delete settings[k.key]; else settings[k.key] = v
    input.setAttribute('aria-valuetext', shown(k, v))
    row.classList.toggle('moved', k.key in settings)
    keep.hidden = !(k.key in settings) || !k.table
    byId('reset').disabled = !Object.keys(settings).length
  }
  input.addEventListener('input', () => { const v = Number(input.value); typed.value = v.toFixed(k.places); moved(v); attempt() })
  typed.addEventListener('change', () => {
    const v = Number(typed.value.replace(',', '.').replace('−', '-'))
    if (!Number.isFinite(v)) { typed.value = Number(input.value).toFixed(k.places); return }
    const held = Math.min(k.most, Math.max(k.least, v))
    input.value = held; typed.value = held.toFixed(k.places); moved(held); attempt()
  })
  const row = el('div', {class: 'knob'},
    el('label', {for: id, text: k.label}), el('span', {class: 'knob-now'}, typed, k.unit && k.unit !== 'of its curve' ? el('span', {class: 'unit', text: k.unit}) : null),
    el('span', {class: 'track'}, tick, input), el('span', {class: 'knob-foot'}, el('small', {id: `${id}n`, text: [k.note, `job: ${shown(k, k.value)}`].filter(x => x).join(', ')}), keep))
  moved(now)
  return row
}
function switchOf(k) {
  const now = settings[k.key] ?? k.value
  const input = el('input', {type: 'checkbox', checked: now === 1, 'data-key': k.key})
  const keep = k.table ? el('button', {type: 'button', class: 'small keep', text: 'Keep', hidden: now === k.value, onclick: () => write(k, input.checked)}) : null
  input.addEventListener('change', () => {
    const v = input.checked ? 1 : 0
    if (v === k.value) delete settings[k.key]; else settings[k.key] = v
    if (keep) keep.hidden = v === k.value
    byId('reset').disabled = !Object.keys(settings).length
    attempt()
  })
  return el('div', {class: 'switch'}, el('label', {}, input, el('span', {text: k.label}), el('small', {text: k.note})), keep)
}
// What is tried becomes what the job says, in the job's own units.
async function write(k, value) {
  const units = {'°C': 'degC', '°F': 'degF', Kv: 'Kv', Cv: 'Cv'}
  let v = k.switch ? value === true : Number(value.toFixed(k.places))
  if (!k.switch && units[k.unit] && page.state.shown !== page.state.written) v = `${v} ${units[k.unit]}`
  const said = `${k.label} set to ${k.switch ? (v ? 'shut' : 'open') : shown(k, value)}`
  const whole = k.inside ? {...page.place.boilers[k.name], [k.inside]: v} : v
  if (await commit(many(said, [set(k.table, k.name, k.field, whole)]))) say(`${said}, in the job`)
}

// ---- the drawing

function scene() {
  const legs = new Map(water.legs.map(x => [x.name, x]))
  const labels = [], longest = new Map()
  sheet.tubes.forEach((t, i) => {
    const d = Math.hypot(...t.a.map((v, j) => v - t.b[j])), was = longest.get(t.leg)
    if (!was || was.d < d) longest.set(t.leg, {i, d, t})
  })
  const arrows = []
  for (const {i, d, t} of [...longest.values()].sort((a, b) => b.d - a.d)) {
    const w = legs.get(t.leg)
    if (!w) continue
    const text = w.still && quantity !== 'gauge' ? 'still' : w[quantity]
    if (text) labels.push({along: [t.a, t.b], text, kind: `value${w.leg === picked ? ' hot' : ''}`, pill: true, rank: 3 - Math.min(2, d / 4), key: `t${i}`, least: 20})
    if (!w.still) arrows.push({at: t.a.map((v, j) => v + (t.b[j] - v) * .5), way: t.b.map((v, j) => (v - t.a[j]) / (d || 1) * (w.back ? -1 : 1)), side: t.side})
  }
  const rooms = new Map(water.rooms.map(r => [r.name, r])), gives = new Map(water.emitters.map(e => [e.name, e.gives]))
  for (const p of sheet.panels) {
    const mid = [0, 1, 2].map(i => p.corners.reduce((t, c) => t + c[i], 0) / 4)
    labels.push({at: mid, centre: true, text: `${p.name} ${gives.get(p.name) ?? ''}`, kind: 'name', strong: true, rank: 0, far: true})
    const r = rooms.get(p.room)
    if (r) labels.push({at: mid, text: `${r.name} ${r.settles}`, kind: 'part', rank: 2, off: 12, far: true})
  }
  for (const b of sheet.boxes) labels.push({at: b.high.map((v, i) => i < 2 ? (v + b.low[i]) / 2 : v), text: b.name, kind: 'name', strong: true, rank: 0, far: true})
  return {
    lines: sheet.tubes.map((t, i) => ({key: `t${i}`, a: t.a, b: t.b, side: t.side, outside: t.outside_m, group: `${t.leg} ${t.size}`, still: legs.get(t.leg)?.still, lit: t.leg === picked, title: `${t.leg}: ${legs.get(t.leg)?.flow ?? ''}`})),
    marks: [...sheet.items.map((m, i) => ({key: `i${i}`, kind: m.kind, at: m.at, way: m.way, title: m.name})), ...sheet.ends.map(e => ({key: `e${e.name}`, kind: e.kind, at: e.at, way: e.way, title: e.name}))],
    spots: sheet.spots, brackets: [], arrows,
    faces: [...sheet.panels.map(p => ({pts: p.corners, kind: 'panel'})), ...sheet.boxes.map(b => ({kind: 'box', pts: [[b.low[0], b.low[1], b.low[2]], [b.high[0], b.low[1], b.low[2]], [b.high[0], b.low[1], b.high[2]], [b.low[0], b.low[1], b.high[2]]]}))],
    levels: sheet.levels.map(l => ({z: l.level_m, outlines: l.outlines, text: l.storey})),
    labels,
  }
}
function pick(k) {
  const i = k && /^t\d+$/.test(k) ? Number(k.slice(1)) : -1
  picked = i >= 0 ? sheet.tubes[i].leg : null
  show()
}
function key(e) {
  const step = {ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1}[e.key]
  if (step && water) { const names = water.legs.map(x => x.name), n = names.indexOf(picked); picked = names[(n + step + names.length) % names.length]; show(); return true }
  if (e.key === 'Escape') { picked = null; show(); return true }
  return false
}
const fact = (name, value, of = null) => value ? el('div', {class: 'fact'}, el('dt', {text: name}), el('dd', {}, of ? number(value, of) : value)) : null
// A number that says how it came about, in the state that is tried.
const number = (text, of) => el('button', {type: 'button', class: 'number', text, 'aria-label': `${text}: how it came about`, onclick: () => because('/api/water/why', {settings, of})})

// ---- everything that answers

let later = 0
function numbers() {
  byId('title-block').replaceChildren(el('b', {text: 'Water'}), el('span', {class: 'seen', text: `air outside ${water.outside}, rooms left to settle; emitters give ${water.sum}, tube ${water.pipe_loss}`}))
  rooms()
  byId('sources').replaceChildren(...water.sources.map(s => el('li', {class: 'plain-row'}, el('b', {text: s.name}), el('span', {class: 'num', text: s.gives}), el('small', {text: `${s.flow}${s.note ? `; ${s.note}` : ''}`}), el('small', {class: 'num', text: s.water}))))
}
function show() {
  if (!sheet || !water) return
  space.set(scene(), page.place.symbols, 1.7)
  const leg = water.legs.find(x => x.name === picked), card = byId('card')
  card.hidden = !leg
  if (leg) card.replaceChildren(
    el('div', {class: 'card-head'}, el('h3', {text: leg.name}), el('button', {type: 'button', class: 'small close', 'aria-label': 'Close', text: '×', onclick: () => { picked = null; show() }})),
    el('dl', {class: 'facts'}, fact('Flow', leg.still ? 'still' : leg.flow, `leg:${leg.name}`), fact('Speed', leg.speed, `leg:${leg.name}`), fact('Temperature', leg.back ? `${leg.end} to ${leg.start}` : `${leg.start} to ${leg.end}`), fact('Gives off', leg.loss, `leg:${leg.name}`), fact('Pressure lost', leg.drop, `leg:${leg.name}`), fact('Friction', leg.gradient, `leg:${leg.name}`), fact('Gauge where it leaves', leg.gauge), fact('Water goes', leg.still ? '' : leg.back ? 'against the run' : 'along the run')),
    el('a', {href: `/pipes#run:${encodeURIComponent(leg.run)}`, text: 'Change the run in 3-D'}))
  byId('charts').replaceChildren(...water.circulators.map(c => el('figure', {class: 'chart'}, drawing(c.chart), el('figcaption', {}, el('b', {text: c.name}), ' ', number(c.duty, `circulator:${c.name}`)))))
  byId('press').hidden = !water.pressure
  byId('pressure').replaceChildren(...(water.pressure ? [drawing(water.pressure)] : []))
  fill(byId('emitters'), [
    {name: 'Emitter', cell: e => e.name}, {name: 'Room', cell: e => e.room}, {name: 'Water', num: true, cell: e => e.flow}, {name: 'In/out', num: true, cell: e => e.water},
    {name: 'Gives', num: true, cell: e => number(e.gives, `emitter:${e.name}`)},
  ], water.emitters, {caption: 'Emitters at work'})
  if (byId('legs').closest('details').open) fill(byId('legs'), [
    {name: 'Leg', cell: x => el('button', {type: 'button', class: 'link', text: x.name, onclick: () => { picked = x.name; show() }})}, {name: 'Flow', num: true, cell: x => x.still ? 'still' : x.flow}, {name: 'Speed', num: true, cell: x => x.speed},
    {name: 'Friction', num: true, cell: x => x.gradient}, {name: 'Lost', num: true, cell: x => x.drop}, {name: 'Leaves at', num: true, cell: x => x.warm}, {name: 'Gauge', num: true, cell: x => x.gauge || '–'},
  ], water.legs, {caption: 'Every leg at work'})
}
// A scale from 5 K under what is wanted to 5 K over it, with a notch in its middle.
function rooms() {
  const list = byId('rooms')
  const heated = water.rooms.filter(r => r.heated), cold = water.rooms.filter(r => !r.heated)
  const word = {colder: '▼ colder', warmer: '▲ warmer', 'as wanted': 'as wanted', '': 'not heated'}
  list.replaceChildren(...[...heated, ...cold].map(r => {
    const off = Math.max(-5, Math.min(5, r.settles_c - r.wanted_c))
    const bar = el('span', {class: `scale ${r.state.replace(' ', '-')}`, 'aria-hidden': 'true'}, el('i'), el('b'))
    bar.firstChild.style.left = `${Math.min(50, 50 + off * 10)}%`
    bar.firstChild.style.width = `${Math.abs(off) * 10}%`
    return el('li', {}, el('b', {class: 'room', text: r.name}), r.heated ? bar : el('span'), el('span', {class: 'num settles'}, number(r.settles, `room:${r.name}`)),
      el('small', {class: 'num', text: r.heated ? `${r.short}, wants ${r.wanted}` : 'not heated'}), el('small', {class: `how ${r.state.replace(' ', '-')}`, text: word[r.state]}))
  }))
}

onState(() => {
  sheet = page.place.space
  const none = !sheet || !sheet.tubes.length
  byId('space-none').hidden = !none
  byId('space-none').textContent = page.state.foot ? 'No tube is drawn yet: there is no water to follow.' : 'There is nothing to show until the mistakes are mended.'
  knobs()
  if (none) return
  if (Object.keys(settings).length) attempt()
  else take(page.place)
})
const said = byId('said')
said.replaceChildren(...QUANTITIES.map(([k, word]) => el('button', {type: 'button', role: 'radio', 'aria-checked': String(k === quantity), tabindex: k === quantity ? '0' : '-1', class: 'chip', 'data-q': k, text: word, onclick: () => choose(k)})))
function choose(k) {
  quantity = k
  localStorage.setItem('wetside-water', k)
  for (const b of said.children) { b.setAttribute('aria-checked', String(b.dataset.q === k)); b.tabIndex = b.dataset.q === k ? 0 : -1 }
  show()
}
said.addEventListener('keydown', e => {
  const step = {ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1}[e.key]
  if (!step) return
  e.preventDefault()
  const n = QUANTITIES.findIndex(([k]) => k === quantity), to = (n + step + QUANTITIES.length) % QUANTITIES.length
  choose(QUANTITIES[to][0]); said.children[to].focus()
})
byId('reset').onclick = () => { clearTimeout(idle); for (const k of Object.keys(settings)) delete settings[k]; knobs(); take(page.place) }
byId('legs').closest('details').addEventListener('toggle', show)
byId('turn-left').onclick = () => space.quarter(-1)
byId('turn-right').onclick = () => space.quarter(1)
byId('fit').onclick = () => { space.touched = false; space.fit() }
byId('nearer').onclick = () => space.zoom(1.3)
byId('farther').onclick = () => space.zoom(1 / 1.3)
byId('near-boiler').onclick = () => {
  const mains = sheet?.ports.filter(p => p.table === 'boiler').map(p => p.at) ?? []
  if (!mains.length) return
  space.touched = true
  space.fit([...mains, ...sheet.tubes.flatMap(t => [t.a, t.b]).filter(p => mains.some(q => Math.hypot(...p.map((v, i) => v - q[i])) < 1.6))])
}
