// The Draw place: puts sheet, plan, tools, keyboard and the numbers beside them together.
import {add, commit, many, onState, onTrial, page, say, set} from './page.js'
import {byId, el, svg} from './dom.js'
import {box, dist, edges, inside, lengthText, moved, sound, wallCorners, written} from './geometry.js'
import {build, freshName, on, placeEmitter, placeOpening, roomOf, storeyOf} from './model.js'
import {Sheet} from './sheet.js'
import {Plan} from './plan.js'
import {pointers} from './tools.js'
import {keyboard} from './keys.js'
import {closeCard, entryCard, pickedCard, tablesDialog} from './cards.js'
import {hereInLedger, ledger, ledgerNumbers, rules, section} from './side.js'
import {removal, shapeChange, storeyCopy} from './changes.js'
import {joinHand, openingHand, outlineHand, roomHand, splitHand} from './hands.js'
import {emitterHand, gearHand, tubeHand, underlayHand} from './gear.js'
import {handles, holdHand, supportOf} from './runs.js'
import {connectHand, sideOf} from './connect.js'
import {hashOf, spotOf} from './go.js'

const TOOLS = [
  {key: 'pick', word: 'Pick', letter: 'P'}, {key: 'room', word: 'Room', letter: 'R', hand: roomHand}, {key: 'outline', word: 'Outline', letter: 'O', hand: outlineHand},
  {key: 'split', word: 'Split', letter: 'S', hand: splitHand}, {key: 'join', word: 'Join', letter: 'J', hand: joinHand},
  {key: 'window', word: 'Window', letter: 'W', hand: c => openingHand(c, 'window')}, {key: 'door', word: 'Door', letter: 'D', hand: c => openingHand(c, 'door')},
  {key: 'emitter', word: 'Emitter', letter: 'E', hand: emitterHand}, {key: 'boiler', word: 'Boiler', letter: 'B', hand: c => gearHand(c, true)},
  {key: 'gear', word: 'Gear', letter: 'G', hand: c => gearHand(c, false)}, {key: 'tube', word: 'Tube', letter: 'T', hand: tubeHand},
  {key: 'connect', word: 'Connect', letter: 'C', hand: connectHand}, {key: 'hold', word: 'Hold', letter: 'H', hand: holdHand},
  {key: 'underlay', word: 'Underlay', letter: 'U', hand: underlayHand},
]
const sheet = new Sheet(byId('sheet'))
const plan = new Plan(sheet)
const store = `wetside-view:${page.state.folder}`

const ctx = {
  page, sheet, plan, tool: 'pick', hand: null, picked: null, model: build(page.place.drawn), storey: '', dragging: false,
  get us() { return page.state.shown === 'us' },
  get unit() { return page.state.units.length },
  get grid() { return this.us ? .0254 : .05 },
  choose, finish, pick, pickQuietly, fit, ring, removePicked, resizeSide, moveRoom, turnRoom, editSide, focusSheet: () => keys.focus(),
  hint: text => { byId('hint').textContent = text },
  placed: (table, x) => table === 'opening' ? placeOpening(ctx.model, x) : placeEmitter(ctx.model, x),
  hereLevel: z => storeyOf(ctx.model, z) === ctx.storey || Math.abs(z - (ctx.model.storeys.find(s => s.name === ctx.storey)?.level_m ?? 0)) < .02,
  roomAt: p => on(ctx.model, ctx.storey).find(r => inside(r.pts, p))?.name ?? null,
  showCard, hintKeys: text => { if (ctx.tool === 'pick') ctx.hint(text) },
  after: () => { if (late) { const l = late; late = null; l() } },
}
let late = null, tubesDrawn = null, tubesStale = false

// ---- picking
function pickQuietly(spot) {
  ctx.picked = spot
  const room = spot?.table === 'room' ? roomOf(ctx.model, spot.name) : null
  plan.handles(room)
  if (spot?.table === 'run') handles(ctx, spot.name)
  plan.dims(room)
  ring()
  hereInLedger(spot?.table === 'room' ? spot.name : ctx.model.emitters.find(e => spot?.table === 'emitter' && e.name === spot.name)?.room ?? ctx.model.openings.find(o => spot?.table === 'opening' && o.name === spot.name)?.room ?? null)
}
function pick(spot) {
  keys.leave()
  if (spot && ctx.tool !== 'pick') choose('pick', true)
  pickQuietly(spot)
  keys.dress()
  showCard()
  history.replaceState(null, '', spot ? hashOf(spot) : location.pathname)
}
function showCard() { if (ctx.tool !== 'pick') return; if (ctx.picked) pickedCard(ctx, ctx.picked.table, ctx.picked.name); else closeCard() }
function ring() {
  plan.g.dims.querySelector('.picked-ring')?.remove()
  for (const n of plan.g.tubes.children) n.classList.toggle('on', ctx.picked?.table === 'run' && n.dataset.id === `run:${ctx.picked.name}`)
  for (const n of plan.g.supports.children) n.classList.toggle('on', ctx.picked?.table === 'support' && n.dataset.id === `support:${ctx.picked.name}`)
  const s = ctx.picked
  if (!s || s.table === 'room') return
  let d = ''
  if (s.table === 'opening') {
    const o = ctx.model.openings.find(x => x.name === s.name), p = o && placeOpening(ctx.model, o)
    if (p?.edge && p.room.storey === ctx.storey) { const t = p.inner ? .07 : ctx.model.wall, n = p.edge.outward, [a, b] = [p.edge.at(p.s0), p.edge.at(p.s1)], lo = p.inner ? -.07 : -.03; d = Plan.path([[a[0] + n[0] * lo, a[1] + n[1] * lo], [b[0] + n[0] * lo, b[1] + n[1] * lo], [b[0] + n[0] * (t + .03), b[1] + n[1] * (t + .03)], [a[0] + n[0] * (t + .03), a[1] + n[1] * (t + .03)]]) }
  } else if (s.table === 'emitter') {
    const e = ctx.model.emitters.find(x => x.name === s.name), p = e && placeEmitter(ctx.model, e)
    if (p && p.storey === ctx.storey) { const h = e.length_m / 2 + .05, deep = Math.max(.07, e.depth_m) + .05, q = (u, v) => [p.back[0] + p.along[0] * u + p.look[0] * v, p.back[1] + p.along[1] * u + p.look[1] * v]; d = Plan.path([q(-h, -.05), q(h, -.05), q(h, deep), q(-h, deep)]) }
  } else {
    const t = ctx.model.things.find(x => x.table === s.table && x.name === s.name)
    if (t?.at && storeyOf(ctx.model, t.at[2]) === ctx.storey) { const r = 19 / sheet.k; d = Plan.path([[t.at[0] - r, t.at[1] - r], [t.at[0] + r, t.at[1] - r], [t.at[0] + r, t.at[1] + r], [t.at[0] - r, t.at[1] + r]]) }
  }
  if (d) plan.g.dims.append(svg('path', {class: 'picked-ring', d}))
}
// From a finding, a ledger row or an address: the storey, the thing in view, picked.
function show(spot) {
  const storey = spot.storey || storeyFor(spot)
  if (storey && storey !== ctx.storey) goStorey(storey)
  const p = placeFor(spot)
  if (p) sheet.show(p)
  pick({table: spot.table, name: spot.name})
  if (spot.table === 'circulator' || spot.table === 'item') tablesDialog(spot.table)
}
function storeyFor({table, name}) {
  const room = table === 'room' ? name : ctx.model.emitters.find(e => table === 'emitter' && e.name === name)?.room ?? ctx.model.openings.find(o => table === 'opening' && o.name === name)?.room
  if (room) return roomOf(ctx.model, room)?.storey ?? ''
  const t = ctx.model.things.find(x => x.table === table && x.name === name)
  if (t?.at) return storeyOf(ctx.model, t.at[2])
  const held = table === 'support' && supportOf(ctx, name)
  if (held) return storeyOf(ctx.model, held.at[2])
  const tube = (page.place.tubes ?? []).find(x => table === 'run' && x.run === name)
  return tube ? storeyOf(ctx.model, tube.points[0][2]) : ''
}
function placeFor({table, name}) {
  if (table === 'room') { const r = roomOf(ctx.model, name); return r?.pts.length ? [(box(r.pts)[0] + box(r.pts)[2]) / 2, (box(r.pts)[1] + box(r.pts)[3]) / 2] : null }
  if (table === 'emitter') { const e = ctx.model.emitters.find(x => x.name === name); return e ? placeEmitter(ctx.model, e)?.back ?? null : null }
  if (table === 'opening') { const o = ctx.model.openings.find(x => x.name === name), p = o && placeOpening(ctx.model, o); return p?.edge ? p.edge.at(p.s0) : null }
  if (table === 'support') return supportOf(ctx, name)?.at ?? null
  return ctx.model.things.find(x => x.table === table && x.name === name)?.at ?? (page.place.tubes ?? []).find(x => table === 'run' && x.run === name)?.points[0] ?? null
}

// ---- tools
// A tool has done its work: what it made is picked and the next tool taken up, unless the person took up another
// meanwhile.
function finish(tool, spot, next) {
  if (ctx.tool !== tool) return
  const room = spot.table === 'room' ? roomOf(ctx.model, spot.name) : null
  if (room?.pts.some(p => { const [x, y] = sheet.toScreen(p); return x < 26 || y < 26 || x > sheet.w || y > sheet.h })) fit()
  if (next === 'pick') { pick(spot); keys.focus(`${spot.table}:${spot.name}`) } else { pickQuietly(spot); choose(next) }
}
function choose(key, quiet = false) {
  ctx.hand?.end?.()
  ctx.tool = key
  plan.draft()
  const tool = TOOLS.find(t => t.key === key)
  ctx.hand = null
  if (tool.hand) { ctx.hand = tool.hand(ctx); ctx.hint(ctx.hand.hint ?? '') } else { ctx.hint(''); if (!quiet) showCard(); else if (!ctx.picked) closeCard() }
  sheet.root.classList.toggle('tool', key !== 'pick')
  for (const b of byId('tools').children) { const me = b.dataset.tool === key; b.setAttribute('aria-pressed', String(me)); b.tabIndex = me ? 0 : -1 }
  if (key === 'pick' && quiet) showCard()
}
for (const t of TOOLS) byId('tools').append(el('button', {type: 'button', 'data-tool': t.key, 'aria-pressed': 'false', tabindex: -1, 'aria-keyshortcuts': t.letter, onclick: () => choose(t.key)}, el('kbd', {'aria-hidden': 'true', text: t.letter}), t.word))
byId('tools').addEventListener('keydown', e => {
  const step = {ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1}[e.key]
  if (!step) return
  e.preventDefault()
  const all = [...byId('tools').children], i = all.indexOf(document.activeElement)
  all[(i + step + all.length) % all.length].focus()
})

// ---- exact changes
function apply(said, rooms) {
  const next = {...ctx.model, rooms, openings: ctx.model.openings.map(o => ({...o})), emitters: ctx.model.emitters.map(o => ({...o}))}
  if (rooms.some((r, i) => r !== ctx.model.rooms[i] && r.pts.length > 2 && !sound(r.pts, ctx.model.rooms[i].pts))) { say('An outline would cross itself', 'bad'); onAgain(); return false }
  const cmd = shapeChange(said, ctx.model, next, ctx.unit)
  return cmd ? commit(cmd) : true
}
const onAgain = () => showCard()
// The side becomes that long: the wall at its far end moves, with every room that shares it.
function resizeSide(name, i, length) {
  const room = roomOf(ctx.model, name), es = edges(room.pts), e = es[i], f = es[(i + 1) % es.length]
  if (!(length > .05)) { say('A side is longer than that', 'bad'); showCard(); return false }
  const d = length - e.length, lean = e.along[0] * f.outward[0] + e.along[1] * f.outward[1]
  if (Math.abs(d) < 5e-4) return true
  const corners = Math.abs(lean) > .99 ? wallCorners(on(ctx.model, ctx.storey), name, f.i) : on(ctx.model, ctx.storey).flatMap(r => r.pts.map((p, k) => dist(p, e.b) < .002 ? [r.name, k] : null)).filter(x => x)
  return apply(`${name}, ${e.faces} side ${lengthText(length, ctx.us)}`, moved(ctx.model.rooms, corners, [e.along[0] * d, e.along[1] * d]))
}
function moveRoom(name, dx, dy) {
  if (Math.abs(dx) + Math.abs(dy) < 5e-4) return true
  return apply(`${name} moved`, moved(ctx.model.rooms, roomOf(ctx.model, name).pts.map((_, k) => [name, k]), [dx, dy]))
}
function turnRoom(name) {
  const room = roomOf(ctx.model, name)
  if (!room?.pts.length) return
  const [x0, y0, , y1] = box(room.pts), high = y1 - y0
  apply(`${name} turned`, ctx.model.rooms.map(r => r === room ? {...r, pts: r.pts.map(([x, y]) => [x0 + high - (y - y0), y0 + (x - x0)])} : r))
}
function editSide(name, i) {
  if (ctx.picked?.name !== name) pick({table: 'room', name})
  setTimeout(() => byId('card').querySelectorAll('.sizes input')[i]?.focus(), 30)
}
async function removePicked() {
  const s = ctx.picked
  if (!s) return
  if (s.table === 'support' && !supportOf(ctx, s.name)?.by_hand) { say('The program puts it there; place one of your own where you would rather have it', 'bad'); return }
  const steps = removal(page.place.tables, s.table, s.name)
  if (await commit(many(`${s.name} removed`, steps))) { pick(null); say(`${s.name} removed${steps.length > 1 ? `, with ${steps.length - 1} things that hung on it` : ''}. Undo brings it back.`) }
}

// ---- storeys
function goStorey(name) {
  ctx.storey = name
  keys?.leave()
  paintAll(true)
  if (ctx.hand) choose(ctx.tool)
}
function fit() {
  const pts = on(ctx.model, ctx.storey).flatMap(r => r.pts), all = pts.length ? pts : ctx.model.rooms.flatMap(r => r.pts)
  const u = ctx.model.underlays.find(x => x.storey === ctx.storey)
  const b = all.length ? box(all) : u ? [u.at[0], u.at[1], u.at[0] + u.width_m, u.at[1] + u.width_m * .7] : [0, 0, 10, 7]
  sheet.fit([b[0] - ctx.model.wall, b[1] - ctx.model.wall, b[2] + ctx.model.wall, b[3] + ctx.model.wall], Math.min(64, sheet.w / 9))
}
byId('zoom-in').onclick = () => sheet.zoom(1.3)
byId('zoom-out').onclick = () => sheet.zoom(1 / 1.3)
byId('zoom-fit').onclick = fit
byId('tables').onclick = () => tablesDialog()
byId('storey-add').onclick = () => storeyEntry(false)
byId('storey-copy').onclick = () => storeyEntry(true)
byId('storey-edit').onclick = () => pick({table: 'storey', name: ctx.storey})
function storeyEntry(copy) {
  choose('pick', true)
  pickQuietly(null)
  const top = ctx.model.storeys.at(-1)
  const names = ctx.model.storeys.map(s => s.name), usual = ['Ground', 'First', 'Second', 'Third', 'Loft'].find(n => !names.includes(n)) ?? freshName(names, 'Storey')
  entryCard(ctx, copy ? `Copy ${ctx.storey}` : 'Storey', copy ? 'rooms, walls and windows again' : '', [
    {key: 'name', label: 'Name', kind: 'text', value: usual, wide: true},
    {key: 'level', label: 'Floor at', kind: 'length', value: top ? Math.round((top.level_m + top.height_m + .3) * 100) / 100 : 0},
    ...(copy ? [] : [{key: 'height', label: 'Clear height', kind: 'length', value: top?.height_m ?? 2.4}]),
  ], {word: copy ? 'Copy' : 'Add storey', go: async v => {
    if (!v.name || v.level === null) { say('Give its name and its level', 'bad'); return }
    const cmd = copy ? storeyCopy(page.place.tables, ctx.model, ctx.storey, v.name, v.level, ctx.unit)
      : many(`${v.name} added`, [add('storey', {name: v.name, level: written(v.level, ctx.unit), height: written(v.height ?? 2.4, ctx.unit)})])
    if (await commit(cmd)) { closeCard(); goStorey(v.name) }
  }})
}

// ---- painting
function paintAll(move = false) {
  const held = keys?.has()
  const names = ctx.model.storeys.map(s => s.name)
  if (!names.includes(ctx.storey)) { ctx.storey = remembered(names); move = true }
  sheet.us = ctx.us
  // while the file has mistakes, what can be laid of it is drawn all the same
  const runs = page.place.tables.run ?? []
  if (page.state.stale) page.place.tubes = (page.place.runs ?? []).map(r => ({run: r.name, leg: r.name, side: sideOf(runs, r) || 'other', points: r.stops, size_m: .02}))
  plan.render(ctx.model, ctx.storey, page.place, ctx.us)
  tubesDrawn = page.place.tubes; tubesStale = false
  pickQuietly(ctx.picked && exists(ctx.picked) ? ctx.picked : null)
  keys?.dress()
  if (held) keys.again()
  sections()
  titleBlock()
  if (move) fit(); else sheet.draw()
  sessionStorage.setItem(store, ctx.storey)
}
function sections() {
  const rows = new Map((page.state.storeys ?? []).map(s => [s.name, s]))
  section(ctx.model.storeys.map(s => rows.get(s.name) ?? {name: s.name, need: '–', verdicts: []}), ctx.storey, goStorey)
}
const remembered = names => { const s = sessionStorage.getItem(store); return names.includes(s) ? s : names[0] ?? '' }
const exists = s => { if (s.table === 'support') return Boolean(supportOf(ctx, s.name)); const t = page.place.tables[s.table]; return Array.isArray(t) ? t.some(x => x.name === s.name) : Boolean(t) }
function titleBlock() {
  const s = ctx.model.storeys.find(x => x.name === ctx.storey)
  byId('title-block').replaceChildren(el('b', {text: s ? s.name : 'No storey'}), s ? `floor at ${lengthText(s.level_m, ctx.us)}, ${lengthText(s.height_m, ctx.us)} high · snap ${ctx.us ? '1″' : '50 mm'}` : '')
}
let first = true
const keys = keyboard(ctx, TOOLS)
pointers(ctx)
onState((_page, followed) => {
  const work = () => {
    // the rules that take longer have followed: the drawing is the same, and nobody's hand is disturbed
    if (followed) {
      plan.supports(page.place.supports ?? [])
      keys.dress()
      rules(page.place.rules ?? [], show)
      sections()
      return
    }
    ctx.model = build(page.place.drawn)
    paintAll(first)
    ledger(page.place.rooms ?? [], page.place.tables, page.state.written === 'us', s => show({...s}))
    rules(page.place.rules ?? [], show)
    hereInLedger(ctx.picked?.table === 'room' ? ctx.picked.name : null)
    const rooms = ctx.model.rooms.map(r => r.name).join('\n')
    // a tool that offers rooms offers those of now
    if (ctx.roomsKnown !== rooms && ['split', 'join', 'window', 'door', 'emitter'].includes(ctx.tool)) choose(ctx.tool)
    ctx.roomsKnown = rooms
    if (ctx.tool === 'pick' && ctx.picked) showCard()
    else if (ctx.tool === 'pick' && !ctx.picked && byId('card').querySelector('.fields')) closeCard()
    tablesDialog.again?.()
    sheet.root.setAttribute('aria-label', `Plan of ${ctx.storey}`)
  }
  // never build the drawing anew while a drag is on
  if (ctx.dragging) late = followed && late ? late : work; else work()
})
onTrial(m => {
  if (m.k === 'err') { ctx.hint(m.mistakes?.[0] ? `${m.mistakes[0].wrong}. ${m.mistakes[0].remedy}` : ''); return }
  plan.numbers(m.place.rooms)
  ledgerNumbers(m.place.rooms)
  // no tubes: they lie as they did
  const tubes = m.place.tubes ?? page.place.tubes
  if (tubes !== tubesDrawn || m.stale !== tubesStale) { plan.tubes(tubes, m.stale); tubesDrawn = tubes; tubesStale = m.stale }
  for (const s of m.storeys ?? []) { const n = document.querySelector(`.slab[data-storey="${CSS.escape(s.name)}"] small`); if (n) n.textContent = s.need }
  ctx.hint(m.mistakes.length ? `${m.mistakes[0].wrong}. ${m.mistakes[0].remedy}` : m.no_solution ? 'The network has no answer for this' : '')
  document.documentElement.dataset.stale = m.stale ? 'yes' : 'no'
  document.documentElement.dataset.answered = m.seq
})
first = false
choose('pick', true)
const asked = spotOf(location.hash)
if (asked && exists(asked)) show(asked)
addEventListener('hashchange', () => { const s = spotOf(location.hash); if (s && exists(s)) show(s) })
document.documentElement.dataset.ready = 'yes'
export {ctx, set}
