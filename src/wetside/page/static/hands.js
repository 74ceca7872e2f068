// Tools in hand for the house: room, outline, split, join, window, door. Each has a pointer and an exact entry.
import {add, attempt, commit, giveUp, many, remove, rename, say, set, settle} from './page.js'
import {svg} from './dom.js'
import {area, box, edges, heart, inside, isRectangle, join, lengthText, metres, round, sound, split, wallWord, written} from './geometry.js'
import {freshName, freshNumber, guides, nearestWall, on, roomOf, snapPoint} from './model.js'
import {Plan} from './plan.js'
import {anticlockwise, shapeFields, shapeSteps} from './changes.js'
import {entryCard} from './cards.js'
import {dot, label} from './tools.js'

const SIDES = {ArrowRight: ['east', 1, 0], ArrowLeft: ['west', -1, 0], ArrowUp: ['north', 0, 1], ArrowDown: ['south', 0, -1]}
const ring = (pts, wrong, close = true) => svg('path', {class: `draft-line${wrong ? ' wrong' : ''}${close ? '' : ' open'}`, d: Plan.path(pts, close)})
const roomNames = ctx => ctx.model.rooms.map(r => r.name)
const here = ctx => on(ctx.model, ctx.storey).map(r => r.name)
const snapTo = (ctx, p, e, list) => e?.altKey ? p.map(v => round(v, .001)) : snapPoint(p, list, 9 / ctx.sheet.k, ctx.grid).p
const overlaps = (ctx, pts) => on(ctx.model, ctx.storey).some(r => r.pts.length > 2 && deep(r.pts, pts))
// Whether two outlines share floor: a point well inside one lies in the other.
function deep(a, b) {
  const A = box(a), B = box(b), m = .01
  if (A[2] < B[0] + m || B[2] < A[0] + m || A[3] < B[1] + m || B[3] < A[1] + m) return false
  const inner = pts => { const h = heart(pts).at; return [h, ...pts.map(p => [p[0] + (h[0] - p[0]) * .02, p[1] + (h[1] - p[1]) * .02])] }
  return inner(a).some(p => inside(b, p)) || inner(b).some(p => inside(a, p))
}
export async function newRoom(ctx, name, pts, next, own = {}) {
  const tool = ctx.tool
  const ok = await commit(many(`${name} drawn`, [add('room', {name, storey: ctx.storey, ...shapeFields(anticlockwise(pts), ctx.unit), ...own})]))
  if (ok) ctx.finish(tool, {table: 'room', name}, next)
  return ok
}

// What a room is like, beside its outline: as the last one, unless it is said here.
const comfort = ctx => {
  const like = (ctx.page.place.tables.room ?? []).filter(r => r.heated !== false).at(-1)
  return [
    {key: 'inside', label: `Inside, ${ctx.page.state.written === 'us' ? '°F' : '°C'}`, kind: 'number', value: like?.inside ?? (ctx.page.state.written === 'us' ? 68 : 20)},
    {key: 'air_change', label: 'Air change, 1/h', kind: 'number', value: like?.air_change ?? .5},
    {key: 'heated', label: 'Heated', kind: 'check', value: true},
  ]
}
const comfortOf = v => v ? {...(v.heated ? v.inside === null ? {} : {inside: v.inside} : {heated: false}), ...(v.air_change === null ? {} : {air_change: v.air_change})} : {}
export function roomHand(ctx) {
  const list = guides(ctx.model, ctx.storey)
  const last = on(ctx.model, ctx.storey).at(-1), b = last ? box(last.pts) : null
  const name = freshName(roomNames(ctx), 'Room')
  const entry = entryCard(ctx, 'Room', 'drag on the sheet, or type', [
    {key: 'name', label: 'Name', kind: 'text', value: name, wide: true},
    {key: 'wide', label: 'West to east', kind: 'length', value: ''}, {key: 'deep', label: 'South to north', kind: 'length', value: ''},
    {key: 'west', label: 'West edge at', kind: 'length', value: b ? b[2] : 0}, {key: 'south', label: 'South edge at', kind: 'length', value: b ? b[1] : 0},
    ...comfort(ctx),
  ], {
    word: 'Add room',
    go: async v => {
      if (!v.wide || !v.deep || v.wide < 0 || v.deep < 0) { say('Give both sizes', 'bad'); return }
      const pts = rect(v.west ?? 0, v.south ?? 0, v.wide, v.deep)
      await newRoom(ctx, v.name || name, pts, 'room', comfortOf(v))
    },
    live: v => { if (v.wide > 0 && v.deep > 0) show(rect(v.west ?? 0, v.south ?? 0, v.wide, v.deep)); else ctx.plan.draft() },
  })
  const rect = (x, y, w, d) => [[x, y], [x + w, y], [x + w, y + d], [x, y + d]]
  const show = pts => {
    const q = box(pts)
    ctx.plan.draft(ring(pts, overlaps(ctx, pts)), label([(q[0] + q[2]) / 2, q[1]], lengthText(q[2] - q[0], ctx.us)), label([q[0], (q[1] + q[3]) / 2], lengthText(q[3] - q[1], ctx.us)))
  }
  return {
    hint: 'Drag from corner to corner. Walls catch on other rooms; hold Alt to go free.',
    hover: (p, e) => ctx.plan.draft(dot(snapTo(ctx, p, e, list))),
    down: (p0, e0) => {
      const a = snapTo(ctx, p0, e0, list)
      let pts = null
      return {
        now: true, drags: false,
        move: (p, e) => {
          const q = snapTo(ctx, p, e, list)
          pts = rect(Math.min(a[0], q[0]), Math.min(a[1], q[1]), Math.abs(q[0] - a[0]), Math.abs(q[1] - a[1]))
          show(pts)
          entry.fill({wide: Math.abs(q[0] - a[0]), deep: Math.abs(q[1] - a[1]), west: Math.min(a[0], q[0]), south: Math.min(a[1], q[1])})
        },
        drop: async () => {
          const v = entry.values()
          if (!pts || !sound(pts) || Math.min(box(pts)[2] - box(pts)[0], box(pts)[3] - box(pts)[1]) < .3) { ctx.plan.draft(); return }
          ctx.plan.draft()
          await newRoom(ctx, v?.name || name, pts, 'pick', comfortOf(v))
        },
        abort: () => ctx.plan.draft(),
      }
    },
  }
}

export function outlineHand(ctx) {
  const list = guides(ctx.model, ctx.storey)
  const name = freshName(roomNames(ctx), 'Room')
  let pts = [], typed = ''
  const entry = entryCard(ctx, 'Outline', 'click corners, or walk round the room', [
    {key: 'name', label: 'Name', kind: 'text', value: name, wide: true},
    {key: 'east', label: 'First corner, east', kind: 'length', value: 0}, {key: 'north', label: 'north', kind: 'length', value: 0},
    {key: 'length', label: 'Next wall, length', kind: 'length', value: ''},
    ...comfort(ctx),
  ], {
    also: ['west', 'east', 'north', 'south'].map(way => button(ctx, way, () => walk(way))),
    word: 'Close the outline', go: () => finish(),
    note: 'On the sheet: type a length, then press the arrow of the way that the wall runs. Backspace takes a corner back, Enter closes.',
  })
  const show = (p = null) => {
    const all = p ? [...pts, p] : pts
    ctx.plan.draft(...(all.length ? [ring(all, false, false), ...all.map(dot)] : []), ...all.slice(1).map((q, i) => label([(q[0] + all[i][0]) / 2, (q[1] + all[i][1]) / 2], lengthText(Math.hypot(q[0] - all[i][0], q[1] - all[i][1]), ctx.us))),
      ...(typed ? [label([ctx.sheet.x + 1.2, ctx.sheet.y - 1], typed)] : []))
  }
  const place = q => { pts.push(q); show() }
  function walk(way, text = null) {
    const v = entry.values()
    const m = text === null ? v?.length : metres(text, ctx.unit)
    if (!(m > 0)) { say('Type the length of the wall first', 'bad'); return }
    if (!pts.length) pts.push([v?.east ?? 0, v?.north ?? 0])
    const [, dx, dy] = Object.values(SIDES).find(s => s[0] === way)
    const a = pts.at(-1)
    place([a[0] + dx * m, a[1] + dy * m])
    entry.inputs.length.value = ''
    typed = ''
    show()
    const n = pts.length
    if (n > 3 && Math.hypot(pts[0][0] - pts[n - 1][0], pts[0][1] - pts[n - 1][1]) < .02) finish()
  }
  async function finish() {
    const n = pts.length
    if (n > 3 && Math.hypot(pts[0][0] - pts[n - 1][0], pts[0][1] - pts[n - 1][1]) < .02) pts.pop()
    if (!sound(pts)) { say(pts.length < 3 ? 'An outline has at least three corners' : 'This outline crosses itself', 'bad'); return }
    const done = pts
    pts = []
    ctx.plan.draft()
    await newRoom(ctx, entry.values()?.name || name, done, 'pick', comfortOf(entry.values()))
  }
  const square = (p, e) => {
    let q = snapTo(ctx, p, e, list)
    const a = pts.at(-1)
    if (a && !e?.altKey) q = Math.abs(q[0] - a[0]) < Math.abs(q[1] - a[1]) ? [Math.abs(q[0] - a[0]) < 14 / ctx.sheet.k ? a[0] : q[0], q[1]] : [q[0], Math.abs(q[1] - a[1]) < 14 / ctx.sheet.k ? a[1] : q[1]]
    return q
  }
  return {
    hint: 'Click corners in order; click the first again to close. Or type a length and press an arrow.',
    hover: (p, e) => show(square(p, e)),
    down: (p, e) => ({drags: false, click: q => {
      const at = square(q, e)
      if (pts.length > 2 && Math.hypot(at[0] - pts[0][0], at[1] - pts[0][1]) < 12 / ctx.sheet.k) finish()
      else place(at)
    }}),
    key: e => {
      if (SIDES[e.key]) { if (typed) { walk(SIDES[e.key][0], typed); return true } return false }
      if (/^[\d.,'"/ ]$/.test(e.key) && (typed || e.key !== ' ')) { typed += e.key; show(); return true }
      if (e.key === 'Backspace') { if (typed) typed = typed.slice(0, -1); else pts.pop(); show(); return true }
      if (e.key === 'Enter' && pts.length) { finish(); return true }
      return false
    },
  }
}
function button(ctx, text, onclick) {
  const b = document.createElement('button')
  Object.assign(b, {type: 'button', className: 'way', textContent: text, onclick})
  return b
}

export function splitHand(ctx) {
  const rooms = here(ctx), first = ctx.picked?.table === 'room' && rooms.includes(ctx.picked.name) ? ctx.picked.name : rooms[0] ?? ''
  const cut = async (name, p, q, second) => {
    const room = roomOf(ctx.model, name), two = room && split(room.pts, p, q)
    if (!two) { say('That line doesn’t cut the room in two', 'bad'); return }
    const fresh = second || freshName(roomNames(ctx), `${name} 2`)
    const raw = ctx.page.place.tables.room.find(r => r.name === name)
    const {rectangle: _r, outline: _o, name: _n, ...rest} = raw
    const [a, b] = two
    const kept = {...room, pts: a}
    const steps = [...shapeSteps(room, kept, ctx.unit), add('room', {...rest, name: fresh, ...shapeFields(b, ctx.unit)}), ...moveAlong(ctx, room, a, b, fresh)]
    if (await commit(many(`${name} split`, steps))) ctx.finish('split', {table: 'room', name: fresh}, 'pick')
  }
  const line = v => v.way === 'north to south' ? [[v.at, -1e3], [v.at, 1e3]] : [[-1e3, v.at], [1e3, v.at]]
  const room = roomOf(ctx.model, first), b = room?.pts.length ? box(room.pts) : [0, 0, 4, 4]
  entryCard(ctx, 'Split', 'draw the new wall, or type', [
    {key: 'room', label: 'Room', kind: 'choice', choices: rooms, value: first}, {key: 'name', label: 'Name of the new room', kind: 'text', value: first ? freshName(roomNames(ctx), `${first} 2`) : ''},
    {key: 'way', label: 'The wall runs', kind: 'choice', choices: ['north to south', 'west to east'], value: 'north to south'},
    {key: 'at', label: 'at', kind: 'length', value: (b[0] + b[2]) / 2},
  ], {word: 'Split', go: v => cut(v.room, ...line(v), v.name), live: v => { const r = roomOf(ctx.model, v.room); if (r && Number.isFinite(v.at)) preview(r, ...line(v)) }})
  const preview = (r, p, q) => { const two = split(r.pts, p, q); ctx.plan.draft(...(two ? two.map(x => ring(x, false)) : [])) }
  return {
    hint: 'Drag a line across a room.',
    down: (p0, e0) => {
      const list = guides(ctx.model, ctx.storey), a = snapTo(ctx, p0, e0, list)
      let q = a
      return {
        drags: false,
        move: (p, e) => {
          q = snapTo(ctx, p, e, list)
          if (!e.altKey) q = Math.abs(q[0] - a[0]) < Math.abs(q[1] - a[1]) ? [a[0], q[1]] : [q[0], a[1]]
          const m = [(a[0] + q[0]) / 2, (a[1] + q[1]) / 2], r = on(ctx.model, ctx.storey).find(x => inside(x.pts, m))
          if (r) preview(r, a, q); else ctx.plan.draft(ring([a, q], true, false))
        },
        drop: () => {
          ctx.plan.draft()
          const m = [(a[0] + q[0]) / 2, (a[1] + q[1]) / 2], r = on(ctx.model, ctx.storey).find(x => inside(x.pts, m))
          if (r) cut(r.name, a, q, '')
        },
        abort: () => ctx.plan.draft(),
      }
    },
  }
}
// After a split: what stood on the part that is now the other room goes with it.
function moveAlong(ctx, room, a, b, fresh) {
  const steps = []
  for (const [table, list] of [['opening', ctx.model.openings], ['emitter', ctx.model.emitters]]) for (const x of list) {
    if (x.room !== room.name || x.wall === null || x.wall === 'roof') continue
    const placed = ctx.placed(table, x)
    if (!placed?.edge) continue
    const mid = table === 'opening' ? placed.edge.at((placed.s0 + placed.s1) / 2) : placed.edge.at(placed.s)
    for (const [pts, name] of [[a, room.name], [b, fresh]]) {
      const w = edges(pts).map(e => ({e, s: (mid[0] - e.a[0]) * e.along[0] + (mid[1] - e.a[1]) * e.along[1], out: (mid[0] - e.a[0]) * e.outward[0] + (mid[1] - e.a[1]) * e.outward[1]})).find(w => Math.abs(w.out) < .003 && w.s > -.001 && w.s < w.e.length + .001)
      if (!w || Math.abs(w.e.along[0] * placed.edge.along[0] + w.e.along[1] * placed.edge.along[1]) < .99) continue
      const half = (table === 'opening' ? x.width_m : x.length_m) / 2
      const s = Math.max(half, Math.min(w.e.length - half, w.s)) - (table === 'opening' ? half : 0)
      if (name !== room.name) steps.push(set(table, x.name, 'room', name))
      steps.push(set(table, x.name, 'wall', wallWord(pts, w.e.i)), set(table, x.name, 'offset', written(Math.max(0, s), ctx.unit)))
      break
    }
  }
  return steps
}

export function joinHand(ctx) {
  const rooms = here(ctx)
  let one = ctx.picked?.table === 'room' && rooms.includes(ctx.picked.name) ? ctx.picked.name : null
  const entry = entryCard(ctx, 'Join', 'click two rooms that share a wall', [
    {key: 'a', label: 'Keep', kind: 'choice', choices: rooms, value: one ?? rooms[0]}, {key: 'b', label: 'Join to it', kind: 'choice', choices: rooms, value: rooms.find(r => r !== (one ?? rooms[0])) ?? ''},
  ], {word: 'Join', go: v => both(v.a, v.b)})
  async function both(a, b) {
    const A = roomOf(ctx.model, a), B = roomOf(ctx.model, b), pts = A && B && A !== B ? join(A.pts, B.pts) : null
    if (!pts) { say(`${a} and ${b} share no wall along which they could be joined`, 'bad'); one = null; return }
    const steps = []
    for (const [table, list] of [['opening', ctx.model.openings], ['emitter', ctx.model.emitters]]) for (const x of list) {
      if (x.room !== a && x.room !== b || x.wall === 'roof' || x.wall === null) { if (x.room === b) steps.push(set(table, x.name, 'room', a)); continue }
      const placed = ctx.placed(table, x)
      const half = (table === 'opening' ? x.width_m : x.length_m) / 2
      const mid = placed?.edge?.at(table === 'opening' ? (placed.s0 + placed.s1) / 2 : placed.s)
      const w = mid && edges(pts).map(e => ({e, s: (mid[0] - e.a[0]) * e.along[0] + (mid[1] - e.a[1]) * e.along[1], out: Math.abs((mid[0] - e.a[0]) * e.outward[0] + (mid[1] - e.a[1]) * e.outward[1])})).find(w => w.out < .003 && w.s >= half - .003 && w.s <= w.e.length - half + .003)
      if (!w) { if (table === 'opening') steps.push(remove('opening', x.name)); else say(`${x.name} stood on the wall between them: place it anew`); continue }
      if (x.room === b) steps.push(set(table, x.name, 'room', a))
      steps.push(set(table, x.name, 'wall', wallWord(pts, w.e.i)), set(table, x.name, 'offset', written(Math.max(0, w.s - (table === 'opening' ? half : 0)), ctx.unit)))
    }
    for (const w of ctx.page.place.tables.wall ?? []) if (w.room === b) steps.push(remove('wall', `${w.room}, ${w.wall}`))
    for (const r of ctx.page.place.tables.run ?? []) if (r.room === b) steps.push(set('run', r.name, 'room', a))
    for (const t of ctx.page.place.tables.tank ?? []) if (t.room === b) steps.push(set('tank', t.name, 'room', a))
    steps.push(...shapeSteps(A, {...A, pts}, ctx.unit), remove('room', b))
    if (await commit(many(`${b} joined to ${a}`, steps))) ctx.finish('join', {table: 'room', name: a}, 'pick')
  }
  return {
    hint: one ? `Click the room that joins ${one}.` : 'Click two rooms that share a wall.',
    down: () => ({drags: false, click: p => {
      const r = on(ctx.model, ctx.storey).find(x => inside(x.pts, p))
      if (!r) return
      if (!one || one === r.name) { one = r.name; entry.inputs.a.value = one; ctx.pickQuietly({table: 'room', name: one}); ctx.hint(`Click the room that joins ${one}.`) } else both(one, r.name)
    }}),
  }
}

export function openingHand(ctx, part) {
  const door = part === 'door'
  const name = freshNumber((ctx.page.place.tables.opening ?? []).map(o => o.name), door ? 'D' : 'W')
  const rooms = here(ctx)
  const known = ctx.model.constructions
  const like = (ctx.page.place.tables.opening ?? []).filter(o => o.part === part).at(-1)
  const last = ctx.model.openings.filter(o => o.part === part).at(-1)
  const wide = last?.width_m ?? (door ? .9 : 1.2), high = last?.height_m ?? (door ? 2.05 : 1.2), sill = last?.sill_m ?? (door ? 0 : .9)
  const usual = like?.construction ?? known.find(c => c.toLowerCase().includes(door ? 'door' : 'window')) ?? known.find(c => c.toLowerCase().includes('glaz')) ?? ''
  const first = ctx.picked?.table === 'room' ? ctx.picked.name : rooms[0] ?? ''
  const entry = entryCard(ctx, door ? 'Door' : 'Window', 'click a wall, or say where', [
    {key: 'name', label: 'Name', kind: 'text', value: name}, {key: 'construction', label: 'Construction', kind: 'choice', choices: ['', ...known], value: usual},
    {key: 'width', label: 'Width', kind: 'length', value: wide}, {key: 'height', label: 'Height', kind: 'length', value: high},
    {key: 'sill', label: 'Sill above floor', kind: 'length', value: sill},
    {key: 'room', label: 'Room', kind: 'choice', choices: rooms, value: first}, {key: 'wall', label: 'Wall', kind: 'choice', choices: ['south', 'east', 'north', 'west', ...(door ? [] : ['roof']), 1, 2, 3, 4, 5, 6, 7, 8].map(String), value: 'south'},
    {key: 'offset', label: 'From the first corner', kind: 'length', value: ''},
  ], {word: `Add ${part}`, go: v => put(v.room, /^\d+$/.test(v.wall) ? Number(v.wall) : v.wall, v.offset), note: door ? 'A door on a wall between two rooms leads from one to the other.' : ''})
  async function put(room, wall, offset) {
    const v = entry.values()
    if (!v) return
    const u = ctx.unit
    const values = {name: v.name || name, room, part, wall, ...(v.construction ? {construction: v.construction} : {}), width: written(v.width, u), height: written(v.height, u), ...(v.sill ? {sill: written(v.sill, u)} : {}), ...(offset !== null && offset !== undefined ? {offset: written(offset, u)} : {})}
    if (await commit(many(`${values.name} set in`, [add('opening', values)]))) ctx.finish(part, {table: 'opening', name: values.name}, part)
  }
  const spot = (p, e) => {
    const v = entry.values(), w = nearestWall(ctx.model, ctx.storey, p, Math.max(.4, 24 / ctx.sheet.k))
    if (!w || !v || w.edge.length < v.width) return null
    let mid = w.s
    if (!e.altKey) mid = Math.abs(mid - w.edge.length / 2) < 10 / ctx.sheet.k ? w.edge.length / 2 : round(mid, ctx.grid)
    mid = Math.max(v.width / 2, Math.min(w.edge.length - v.width / 2, mid))
    return {w, s0: mid - v.width / 2, s1: mid + v.width / 2, centred: Math.abs(mid - w.edge.length / 2) < 1e-6}
  }
  return {
    hint: `Click the wall that the ${part} is in.`,
    hover: (p, e) => { const s = spot(p, e); ctx.plan.draft(...(s ? [svg('path', {class: 'picked-ring', d: Plan.path([s.w.edge.at(s.s0), s.w.edge.at(s.s1)], false)}), label(s.w.edge.at(s.s0), lengthText(s.s0, ctx.us))] : [])) },
    down: () => ({drags: false, click: (p, e) => { const s = spot(p, e); if (s) { ctx.plan.draft(); put(s.w.room.name, wallWord(s.w.room.pts, s.w.edge.i), s.centred ? null : s.s0) } else say('Click on a wall', 'bad') }}),
  }
}
export {area, attempt, giveUp, isRectangle, rename, settle}
