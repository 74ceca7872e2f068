// The card at the side: the fields of what is picked, or the exact entry of the tool in hand. Also the job's tables.
import {page, commit, set, unset, add, remove, many, say, why} from './page.js'
import {el, byId, keepTyping, verdictWord} from './dom.js'
import {fieldsOf, form, hint, rowsKnown, tablesKnown, typed, read} from './form.js'
import {box, edges, lengthText, metres, written} from './geometry.js'
import {nextName, roomOf} from './model.js'
import {legParts, supportOf, supportParts} from './runs.js'

let shown = null
export function closeCard() { shown = null; byId('card').hidden = true; byId('card').replaceChildren() }
export const cardShows = () => shown
function card(key, head, ...kids) {
  shown = key
  const c = byId('card')
  const again = keepTyping(c)
  c.hidden = false
  c.replaceChildren(head, ...kids)
  again()
  return c
}
const head = (title, what, close) => el('div', {class: 'card-head'}, el('h3', {}, title, what ? el('small', {text: ` ${what}`}) : null),
  el('button', {type: 'button', class: 'drop', 'aria-label': 'Close', text: '×', onclick: close}))

const entryOf = (table, name) => (page.place.tables[table] ?? []).find?.(t => t.name === name)
const WHAT = {room: 'room', opening: 'opening', emitter: 'emitter', run: 'run of tube', boiler: 'boiler', vessel: 'expansion vessel', relief: 'relief valve', equipment: 'equipment', tank: 'tank', storey: 'storey', support: 'support'}

// What is picked: numbers first, then sizes, then every field of its table.
export async function pickedCard(ctx, table, name) {
  const values = entryOf(table, name)
  if (!values && table === 'support' && supportOf(ctx, name)) { card(`support:${name}`, head(name, 'support', () => ctx.pick(null)), ...supportParts(ctx, name)); return }
  if (!values) { closeCard(); return }
  const key = `${table}:${name}`
  const fields = await form(table, name, values, {after: (field, now) => { if (field === 'name') ctx.pick({table, name: now}) }})
  if (ctx.picked?.table !== table || ctx.picked?.name !== name || ctx.tool !== 'pick') return
  const parts = []
  if (table === 'room') parts.push(...roomParts(ctx, name))
  if (table === 'run') parts.push(...legParts(ctx, name))
  if (table === 'support') parts.push(...supportParts(ctx, name))
  if (table === 'emitter') parts.push(el('p', {}, el('button', {type: 'button', class: 'number', text: 'What it gives, and how so', onclick: () => why(`emitter:${name}`)})))
  const danger = el('button', {type: 'button', class: 'plain', text: `Remove ${WHAT[table] ?? table}`, onclick: () => ctx.removePicked()})
  const folded = table === 'room' || table === 'run'
  card(key, head(name, WHAT[table] ?? table, () => ctx.pick(null)), ...parts,
    folded ? el('details', {class: 'more', open: pickedCard.open}, el('summary', {text: 'Everything that the file says of it', onclick: () => { pickedCard.open = !pickedCard.open }}), fields) : fields,
    el('div', {class: 'row'}, table === 'room' ? el('button', {type: 'button', class: 'plain', text: 'Turn a quarter', onclick: () => ctx.turnRoom(name)}) : null, danger))
}
function roomParts(ctx, name) {
  const room = roomOf(ctx.model, name), row = (page.place.rooms ?? []).find(r => r.name === name)
  const parts = []
  if (row) parts.push(el('div', {class: 'chips'}, row.verdict ? verdictWord(row.verdict) : null,
    row.heated ? el('span', {}, 'needs ', el('button', {type: 'button', class: 'number', text: row.need, onclick: () => why(`room:${name}`)})) : el('span', {text: `unheated, settles at ${row.inside}`}),
    row.heated ? el('span', {}, 'gives ', el('button', {type: 'button', class: 'number', text: row.gives, onclick: () => why(`gives:${name}`)})) : null,
    el('span', {class: 'mute', text: row.area})))
  if (!room || room.pts.length < 3) return parts
  const [x0, y0] = box(room.pts)
  const size = (label, v, apply) => {
    const input = el('input', {value: lengthText(v, ctx.us), 'aria-label': label, autocomplete: 'off'})
    input.addEventListener('focus', () => input.select())
    input.addEventListener('change', () => {
      const m = metres(input.value.replace(/′/g, "'").replace(/″/g, '"'), ctx.unit)
      if (Number.isFinite(m)) apply(m); else { say(`"${input.value}" is no length`, 'bad'); input.value = lengthText(v, ctx.us) }
    })
    input.addEventListener('keydown', e => { if (e.key === 'Enter') input.dispatchEvent(new Event('change')) })
    return el('label', {}, label, input)
  }
  parts.push(el('h4', {text: 'Sides'}), el('div', {class: 'sizes'},
    edges(room.pts).slice(0, 24).map(e => size(`${e.i + 1} ${e.faces}`, e.length, m => ctx.resizeSide(name, e.i, m))),
    size('west edge at', x0, m => ctx.moveRoom(name, m - x0, 0)), size('south edge at', y0, m => ctx.moveRoom(name, 0, m - y0))))
  return parts
}

// ---- exact entry for tools. `fields`: [{key, label, kind: length|text|choice|number|check, value, choices, wide}]
export function entryCard(ctx, title, what, fields, {go, word = 'Add', also = [], note = '', live = null} = {}) {
  const inputs = {}
  const values = () => {
    const out = {}
    for (const f of fields) {
      const n = inputs[f.key]
      if (f.kind === 'length') { out[f.key] = n.value.trim() === '' ? null : metres(n.value.replace(/′/g, "'").replace(/″/g, '"'), ctx.unit); if (Number.isNaN(out[f.key])) { say(`${f.label}: "${n.value}" is no length`, 'bad'); n.focus(); return null } }
      else if (f.kind === 'number') out[f.key] = n.value.trim() === '' ? null : read(n.value, {type: 'quantity'})
      else if (f.kind === 'check') out[f.key] = n.checked
      else out[f.key] = n.value.trim()
    }
    return out
  }
  const box_ = el('form', {class: 'entry', autocomplete: 'off'}, fields.map(f => {
    const n = inputs[f.key] = f.kind === 'choice' ? el('select', {name: f.key}, f.choices.map(c => el('option', {value: c, text: c === '' ? '–' : c, selected: c === f.value})))
      : f.kind === 'lines' ? el('textarea', {name: f.key, rows: 7, value: f.value ?? '', spellcheck: 'false'})
      : el('input', {name: f.key, value: f.kind === 'check' || f.kind === 'file' ? null : f.kind === 'length' && typeof f.value === 'number' ? lengthText(f.value, ctx.us) : f.value ?? '', checked: f.kind === 'check' && f.value === true, type: f.kind === 'check' ? 'checkbox' : f.kind === 'file' ? 'file' : 'text', accept: f.accept ?? null})
    if (n.type === 'text') n.addEventListener('focus', () => n.select())
    if (live) n.addEventListener('input', () => { const v = values(); if (v) live(v, inputs) })
    n.id = `entry-${f.key}`
    return el('div', {class: f.wide ? 'entry-field wide' : 'entry-field'}, el('label', {for: n.id, text: f.label}), n)
  }), el('div', {class: 'end'}, go ? el('button', {class: 'first', text: word}) : null, also))
  box_.addEventListener('submit', e => { e.preventDefault(); const v = values(); if (v) go?.(v, inputs) })
  card(`tool:${title}`, head(title, what, () => ctx.choose('pick')), box_, note ? el('p', {class: 'mute', text: note}) : null)
  return {inputs, values, fill: v => { for (const [k, x] of Object.entries(v)) if (inputs[k] && document.activeElement !== inputs[k]) inputs[k].value = typeof x === 'number' ? lengthText(x, ctx.us) : x }}
}

// ---- the job's tables: everything that the file may say
// in the order of the file's schema
const nameOf = (shape, t) => shape.key.map(k => t[k]).filter(x => x !== undefined).join(', ')
export async function tablesDialog(at = 'job') {
  const dialog = byId('ask')
  const entries = el('div', {class: 'entries'}), nav = el('nav', {'aria-label': 'Tables'})
  const show = async table => {
    at = table
    for (const b of nav.children) b.toggleAttribute('aria-current', b.dataset.table === table)
    const shape = await fieldsOf(table)
    const t = page.place.tables[table]
    const kids = []
    if (shape.help) kids.push(el('p', {class: 'mute', text: shape.help}))
    if (!shape.many) kids.push(await form(table, '', t ?? {}))
    else for (const entry of t ?? []) {
      const name = nameOf(shape, entry)
      const d = el('details', {'data-name': name}, el('summary', {text: name || 'without a name'}))
      d.addEventListener('toggle', async () => { if (d.open && d.children.length === 1) d.append(await form(table, name, entry), el('div', {class: 'row'}, el('button', {type: 'button', class: 'plain', text: 'Remove', onclick: () => commit(remove(table, name))}))) })
      if (open.has(`${table}:${name}`)) d.open = true
      d.addEventListener('toggle', () => { if (d.open) open.add(`${table}:${name}`); else open.delete(`${table}:${name}`) })
      kids.push(d)
    }
    // an entry that is being written stays as it is
    const writing = entries.querySelector(`.new[open][data-table="${table}"]:not([data-sent])`)
    const held = writing?.contains(document.activeElement) ? document.activeElement : null
    if (shape.many) kids.push(writing ?? newEntry(table, shape))
    const again = held ? () => held.focus({preventScroll: true}) : keepTyping(entries)
    entries.replaceChildren(...kids)
    again()
  }
  for (const t of await tablesKnown()) nav.append(el('button', {type: 'button', 'data-table': t, text: t.replaceAll('_', ' '), onclick: () => show(t)}))
  dialog.replaceChildren(el('h2', {id: 'ask-title', text: 'Everything in the job'}), el('div', {class: 'tables-list'}, nav, entries),
    el('form', {method: 'dialog', class: 'row'}, el('button', {class: 'plain', text: 'Close'})))
  tablesDialog.again = () => dialog.open && dialog.contains(entries) && show(at)
  await show(at)
  dialog.showModal()
}
const open = new Set()
// Fields that are mostly said of a thing, though the file can do without.
const USUAL = {construction: ['layers', 'u'], circulator: ['curve'], item: ['kv'], equipment: ['kind']}
// A new entry starts with the fields that the file needs; others are added before it is made.
function newEntry(table, shape) {
  const d = el('details', {class: 'new', 'data-table': table}, el('summary', {text: `Add ${table.replace('_', ' ')}`}))
  const inputs = {}
  const field = f => {
    const names = f.names ? (page.place.tables[f.names] ?? []).map(t => t.name) : null
    const id = `new-${table}-${f.name}`
    const n = inputs[f.name] = (f.choices && f.type === 'choice') || names ? el('select', {id}, (names ?? f.choices).map(c => el('option', {value: c, text: c})))
      : f.type === 'yes' ? el('input', {id, type: 'checkbox', checked: f.default !== true}) : f.type === 'lines' || f.type === 'rows' ? el('textarea', {id, rows: 4, spellcheck: 'false', placeholder: hint(f) || null}) : el('input', {id, autocomplete: 'off'})
    const unit = f.units?.[page.state.written]
    return el('div', {title: f.help || null, class: ['lines', 'list', 'rows'].includes(f.type) ? 'entry-field wide' : 'entry-field'}, el('label', {for: id, text: f.name.replaceAll('_', ' ') + (unit ? `, ${unit}` : '')}), n)
  }
  const needed = shape.fields.filter(f => f.needed && !(f.kinds && f.kinds.length < 2 && f.name !== 'kind'))
  const rest = shape.fields.filter(f => !needed.includes(f))
  const more = el('select', {'aria-label': `Another field of the new ${table}`}, el('option', {value: '', text: 'Add a field …'}), rest.map(f => el('option', {value: f.name, text: f.name.replaceAll('_', ' ')})))
  more.onchange = () => {
    const f = rest.find(x => x.name === more.value)
    if (!f) return
    const row = field(f)
    more.parentElement.before(row)
    inputs[f.name].focus()
    more.querySelector(`option[value="${f.name}"]`).remove()
    more.value = ''
  }
  // another of a kind is mostly like the last one: what is short to say is there already
  const last = shape.many ? (page.place.tables[table] ?? []).at(-1) : null
  const alike = ['item', 'circulator', 'vessel', 'relief', 'support', 'stock', 'price', 'fitting'].includes(table) && last ? shape.fields.filter(f => f.name in last && !['list', 'rows', 'lines', 'yes'].includes(f.type)) : []
  const usual = (USUAL[table] ?? []).map(n => shape.fields.find(f => f.name === n)).filter(f => f && !needed.includes(f) && !alike.includes(f))
  const begun = [...needed, ...usual, ...alike.filter(f => !needed.includes(f))]
  const box_ = el('form', {class: 'entry'}, begun.map(field), el('div', {class: 'entry-field wide'}, more), el('div', {class: 'end'}, el('button', {class: 'first', text: 'Add'})))
  for (const f of usual) more.querySelector(`option[value="${f.name}"]`)?.remove()
  for (const f of alike) { inputs[f.name].value = f.name === 'name' ? nextName((page.place.tables[table] ?? []).map(t => t.name), last.name) ?? '' : typed(last[f.name], f); more.querySelector(`option[value="${f.name}"]`)?.remove() }
  box_.addEventListener('submit', async e => {
    e.preventDefault()
    const values = {}
    for (const f of shape.fields) {
      const n = inputs[f.name]
      if (!n) continue
      const v = n.type === 'checkbox' ? n.checked : read(n.value, f, rowsKnown(table, f))
      if (v !== '') values[f.name] = v
    }
    d.dataset.sent = 'yes'
    open.add(`${table}:${nameOf(shape, values)}`)
    if (!await commit(add(table, values))) { delete d.dataset.sent; open.delete(`${table}:${nameOf(shape, values)}`) }
  })
  d.append(box_)
  return d
}
export {typed, unset, set, many, written}
