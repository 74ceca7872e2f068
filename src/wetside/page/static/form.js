// The fields of any table of the job, as a form that edits in place. What is typed is what the file gets.
import {page, commit, set, unset, add, remove, rename, many} from './page.js'
import {el} from './dom.js'

let known = null
export async function fieldsOf(table) {
  known ??= (await fetch('/api/fields')).json()
  return (await known)[table]
}
export async function tablesKnown() {
  await fieldsOf('job')
  return Object.keys(await known)
}

// A value as a person types it, and back. A list of tables is a line to each, its columns with commas between them; a
// place within a line has spaces. What can't be said so is said as the file says it.
export function typed(value, field = null) {
  if (value === undefined || value === null) return ''
  if (Array.isArray(value)) {
    if (value.every(v => typeof v === 'string')) return value.join('\n')
    return (field?.type === 'rows' ? rowsText(value, field.columns) : field?.type === 'list' && value.every(v => typeof v === 'number') ? value.join(', ') : null) ?? JSON.stringify(value)
  }
  return typeof value === 'object' ? JSON.stringify(value) : String(value)
}
const PLAIN = /^[-−]?(\d+(\.\d*)?|\.\d+)$/
const bare = t => PLAIN.test(t) ? Number(t.replace('−', '-')) : t
function rowsText(rows, columns) {
  const cell = v => Array.isArray(v) ? v.length > 1 && v.every(x => typeof x === 'number') ? v.join(' ') : null : v === undefined ? '' : typeof v === 'number' ? String(v) : typeof v === 'string' && !/[,\n[\]{]/.test(v) && v.trim() === v ? v : null
  const out = []
  for (const r of rows) {
    if (Array.isArray(r) !== !columns.length || r === null || typeof r !== 'object') return null
    if (columns.length && Object.keys(r).some(k => !columns.some(c => c.name === k))) return null
    const cells = columns.length ? columns.map(c => cell(r[c.name])) : r.map(cell)
    if (cells.includes(null)) return null
    while (cells.at(-1) === '') cells.pop()
    out.push(cells.join(', '))
  }
  return out.join('\n')
}
// `known` are rows that are there already: a line that says only the beginning of one of them means the whole.
function rowsRead(text, columns, known) {
  return text.split('\n').map(x => x.trim()).filter(x => x).map(line => {
    const cells = line.split(',').map(x => x.trim())
    if (!columns.length) return cells.map(bare)
    const row = {}
    columns.forEach((c, i) => {
      const t = cells[i] ?? ''
      if (t !== '') row[c.name] = c.type === 'text' || c.type === 'choice' ? t : c.type === 'list' && PLAIN.test(t.split(/\s+/)[0]) ? t.split(/\s+/).map(bare) : bare(t)
    })
    const like = columns[0].type === 'text' && cells.length < 3 ? known.findLast(k => k[columns[0].name] === row[columns[0].name]) : null
    return like ? {...like, ...row} : row
  })
}
export function read(text, field, known = []) {
  const t = text.trim()
  if (field.type === 'text') return t
  if (field.type === 'lines') return text.split('\n').map(x => x.trim()).filter(x => x)
  if (field.type === 'rows' || field.type === 'list') {
    if (t.startsWith('[')) { try { return JSON.parse(t) } catch { return t } }
    if (t === '') return ''
    return field.type === 'rows' ? rowsRead(text, field.columns, known) : t.split(/\s*[,\n]\s*/).map(bare)
  }
  if (/^[-−]?\d+(\.\d+)?$/.test(t)) return Number(t.replace('−', '-'))
  if (field.type === 'yes') return t === 'true'
  return t
}
// Rows of that field anywhere in the table.
export const rowsKnown = (table, field) => field.type !== 'rows' ? [] : [page.place.tables?.[table] ?? []].flat().flatMap(x => Array.isArray(x[field.name]) ? x[field.name] : [])
const hint = f => f.type === 'rows' && f.columns.length ? `a line to each: ${f.columns.map(c => c.name.replaceAll('_', ' ')).join(', ')}` : f.type === 'rows' ? 'a line to each, commas between' : ''

// Of these one is said in place of the other: saying one takes the other out.
const INSTEAD = {construction: {layers: 'u', u: 'layers'}, support: {along: 'at', at: 'along'}}
// Fields that were asked for and not filled in yet: they stay when the form is built anew.
const added = new Map()
// The entry `name` of `table` as rows of fields. `values` is the entry as the file has it. `only` picks fields.
export async function form(table, name, values, {only = null, after = null} = {}) {
  const shape = await fieldsOf(table)
  const kind = values.kind
  const fits = f => !f.kinds || !kind || f.kinds.includes(kind)
  const all = shape.fields.filter(f => fits(f) && (!only || only.includes(f.name)))
  const box = el('div', {class: 'fields'})
  const fresh = added.get(`${table}:${name}`) ?? new Set()
  for (const f of fresh) if (f in values) fresh.delete(f)
  const given = all.filter(f => f.name in values || f.needed || fresh.has(f.name) || INSTEAD[table]?.[f.name])
  const rest = all.filter(f => !given.includes(f))
  for (const f of given) box.append(row(table, name, f, fresh.has(f.name) ? unsaid(f) : values[f.name], {removable: !f.needed && f.name in values, after}))
  if (rest.length) {
    const pick = el('select', {'aria-label': `Another field of ${table} ${name}`},
      el('option', {value: '', text: 'Add a field …'}), rest.map(f => el('option', {value: f.name, text: f.name.replaceAll('_', ' ')})))
    pick.onchange = () => {
      const f = rest.find(x => x.name === pick.value)
      if (!f) return
      added.set(`${table}:${name}`, fresh.add(f.name))
      const r = row(table, name, f, unsaid(f), {removable: false, after})
      pick.before(r)
      r.querySelector('input, select, textarea').focus()
      pick.querySelector(`option[value="${f.name}"]`).remove()
      pick.value = ''
    }
    box.append(pick)
  }
  return box
}

// A field that was just asked for: empty, with what holds without it as a hint.
const unsaid = f => f.type === 'yes' ? f.default === true : ''
let number = 0
const refusals = new Map()
function row(table, name, field, value, {removable, after}) {
  const id = `f${++number}`
  const unit = field.units?.[page.state.written] ?? ''
  const input = control(field, value, id)
  input.setAttribute('aria-describedby', `${id}h`)
  const wrong = el('span', {class: 'field-wrong', role: 'alert'})
  // a refused change says why, and can be made all the same: what is wrong then stays told until it is mended
  const key = `${table}:${name}:${field.name}`
  const tell = () => {
    const told = refusals.get(key)
    wrong.replaceChildren(...(told ? [told.text, ' ', el('button', {type: 'button', class: 'small', text: 'Keep it all the same', onclick: async () => {
      refusals.delete(key)
      if (await commit(told.cmd, {evenWrong: true})) after?.(field.name, told.cmd.to ?? told.cmd.value)
    }})] : []))
  }
  const make = async cmd => {
    refusals.delete(key)
    const made = await commit(cmd)
    if (!made && page.refused) refusals.set(key, {text: page.refused, cmd})
    tell()
    return made
  }
  tell()
  const done = async () => {
    const now = input.type === 'checkbox' ? input.checked : read(input.value, field, rowsKnown(table, field))
    if (now === '' && removable) await make(unset(table, name, field.name))
    else if (now === '' && field.type !== 'text') return
    else if (JSON.stringify(now) === JSON.stringify(value ?? '')) return
    else if (field.name === 'name' && name) { if (!await make(rename(table, name, now))) return }
    else if (!await make(instead(table, name, field.name, now))) return
    after?.(field.name, now)
  }
  input.addEventListener('change', done)
  input.addEventListener('keydown', e => {
    if (e.key === 'Escape') { input.value = typed(value, field); input.blur(); e.stopPropagation() }
    if (e.key === 'Enter' && input.tagName !== 'TEXTAREA') { e.preventDefault(); input.dispatchEvent(new Event('change')) }
  })
  return el('div', {class: 'field', title: field.help || null},
    el('label', {for: id, text: field.name.replaceAll('_', ' ')}), el('span', {class: 'field-in'}, input, unit ? el('span', {class: 'unit', text: unit}) : null,
      removable ? el('button', {type: 'button', class: 'drop', 'aria-label': `Take ${field.name} out`, text: '×', onclick: () => make(unset(table, name, field.name))}) : null),
    hint(field) ? el('small', {class: 'mute', text: hint(field)}) : null, el('span', {id: `${id}h`, class: 'help', text: field.help}), wrong)
}
function instead(table, name, field, now) {
  const other = INSTEAD[table]?.[field], row = other && [page.place.tables?.[table] ?? []].flat().find(t => t.name === name)
  return row && other in row ? many(`${name} ${field} said in place of ${other}`, [set(table, name, field, now), unset(table, name, other)]) : set(table, name, field, now)
}
function control(field, value, id) {
  if (field.type === 'yes') return el('input', {id, type: 'checkbox', checked: value === true})
  const names = field.names ? (page.place.tables?.[field.names] ?? []).map(t => t.name) : null
  if (field.type === 'choice' || names) {
    const choices = names ?? field.choices
    const now = typed(value)
    return el('select', {id}, choices.includes(now) ? null : el('option', {value: now, text: now}), choices.map(c => el('option', {value: c, text: c, selected: c === now})))
  }
  if (field.type === 'lines' || field.type === 'rows') return el('textarea', {id, rows: Math.min(14, Math.max(2, (value ?? []).length + 1)), value: typed(value, field), spellcheck: 'false'})
  if (field.choices) {
    const list = el('datalist', {id: `${id}l`}, field.choices.map(c => el('option', {value: c})))
    const input = el('input', {id, list: `${id}l`, value: typed(value), autocomplete: 'off'})
    input.append(list)
    queueMicrotask(() => input.after(list))
    return input
  }
  return el('input', {id, value: typed(value, field), autocomplete: 'off', placeholder: typed(field.default, field) || null})
}
export {hint, commit, set, unset, add, remove, rename, many}
