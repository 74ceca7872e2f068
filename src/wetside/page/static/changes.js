// From a changed model to commands: what a drag means in the file.
import {add, many, remove, set, unset} from './page.js'
import {area, box, clean, dist, edges, findWall, isRectangle, project, wallWord, written} from './geometry.js'

const point = (p, unit) => [written(p[0], unit), written(p[1], unit)]
// The outline of a room as the file says it.
export function shapeFields(pts, unit) {
  if (isRectangle(pts)) { const b = box(pts); return {rectangle: b.map(v => written(v, unit))} }
  return {outline: pts.map(p => point(p, unit))}
}
export function shapeSteps(before, room, unit) {
  if (before.rect && isRectangle(room.pts)) return [set('room', room.name, 'rectangle', box(room.pts).map(v => written(v, unit)))]
  const steps = [set('room', room.name, 'outline', room.pts.map(p => point(p, unit)))]
  if (before.rect) steps.unshift(unset('room', room.name, 'rectangle'))
  return steps
}
// Outlines that changed, and whatever stands on their walls at a stated distance kept where it stands.
export function shapeChange(said, base, next, unit) {
  const steps = []
  for (const room of next.rooms) {
    const before = base.rooms.find(r => r.name === room.name)
    if (!before || before.pts === room.pts) continue
    steps.push(...shapeSteps(before, room, unit))
    if (before.pts.length !== room.pts.length) continue
    const whole = room.pts.every((p, i) => Math.abs(p[0] - before.pts[i][0] - room.pts[0][0] + before.pts[0][0]) < 1e-6 && Math.abs(p[1] - before.pts[i][1] - room.pts[0][1] + before.pts[0][1]) < 1e-6)
    if (whole) continue
    for (const [table, list] of [['opening', next.openings], ['emitter', next.emitters]]) for (const thing of list) {
      if (thing.room !== room.name || thing.offset_m === null || thing.offset_m === undefined || thing.wall === 'roof' || thing.wall === null) continue
      const was = findWall(before.pts, thing.wall)
      if (!was) continue
      const now = edges(room.pts)[was.i]
      const s = project(now, was.at(thing.offset_m)).s
      if (Math.abs(s - thing.offset_m) < 5e-4) continue
      const half = table === 'emitter' ? thing.length_m / 2 : 0, wide = table === 'emitter' ? thing.length_m / 2 : thing.width_m
      const fits = Math.max(half, Math.min(now.length - wide, s))
      steps.push(set(table, thing.name, 'offset', written(fits, unit)))
      thing.offset_m = fits
    }
  }
  return steps.length ? many(said, steps) : null
}
// Take a thing out with all that hangs on it.
export function removal(tables, table, name) {
  const steps = []
  if (table === 'room') {
    for (const t of ['opening', 'emitter', 'tank']) for (const x of tables[t] ?? []) if (x.room === name) steps.push(...removal(tables, t, x.name))
    for (const w of tables.wall ?? []) if (w.room === name) steps.push(remove('wall', `${w.room}, ${w.wall}`))
    for (const r of tables.run ?? []) if (r.room === name) steps.push(unset('run', r.name, 'room'))
  } else if (table === 'storey') {
    for (const r of tables.room ?? []) if (r.storey === name) steps.push(...removal(tables, 'room', r.name))
    if ((tables.underlay ?? []).some(u => u.storey === name)) steps.push(remove('underlay', name))
  } else if (['emitter', 'boiler', 'tank', 'vessel', 'relief', 'equipment', 'run'].includes(table)) {
    const owner = r => String(r ?? '').split('.')[0]
    for (const r of tables.run ?? []) {
      if (r.name === name && table === 'run') continue
      if (owner(r.start) === name) steps.push(...removal(tables, 'run', r.name))
      else if (owner(r.end) === name) steps.push(unset('run', r.name, 'end'))
    }
    // the tee that the run hung on goes too
    if (table === 'run') {
      const own = (tables.run ?? []).find(r => r.name === name)
      for (const ref of [own?.start, own?.end]) {
        const [run, tee] = String(ref ?? '').split('.')
        const other = (tables.run ?? []).find(r => r.name === run)
        if (tee && other && other.moves.includes(`tee ${tee}`)) steps.push(set('run', run, 'moves', other.moves.filter(m => m !== `tee ${tee}`)))
      }
      for (const s of tables.support ?? []) if (s.run === name) steps.push(remove('support', s.name))
      for (const v of tables.three_way ?? []) if (owner(v.tee) === name) steps.push(remove('three_way', v.name))
      for (const s of tables.separation ?? []) if ((s.tees ?? []).some(t => owner(t) === name)) steps.push(remove('separation', s.name ?? ''))
    }
  }
  steps.push(remove(table, name))
  const seen = new Set()
  return steps.filter(s => { const k = JSON.stringify([s.do, s.table, s.name, s.field]); if (s.do === 'remove' && seen.has(k)) return false; seen.add(k); return true })
}
// Everything of a storey again, one storey up.
export function storeyCopy(tables, model, from, to, level, unit) {
  const steps = [add('storey', {...tables.storey.find(s => s.name === from), name: to, level: written(level, unit)})]
  const names = new Map()
  const taken = new Set(model.rooms.map(r => r.name))
  for (const r of tables.room ?? []) {
    if (r.storey !== from) continue
    let name = `${r.name}, ${to}`
    while (taken.has(name)) name += ' 2'
    taken.add(name); names.set(r.name, name)
    steps.push(add('room', {...r, name, storey: to}))
  }
  const openings = new Set((tables.opening ?? []).map(o => o.name))
  for (const o of tables.opening ?? []) {
    if (!names.has(o.room) || o.part === 'door' && !within(model, o)) continue
    let i = 1, stem = o.name.replace(/\d+$/, '') || 'W'
    while (openings.has(`${stem}${i}`)) i++
    openings.add(`${stem}${i}`)
    steps.push(add('opening', {...o, name: `${stem}${i}`, room: names.get(o.room)}))
  }
  for (const w of tables.wall ?? []) if (names.has(w.room) && w.below_ground === undefined) steps.push(add('wall', {...w, room: names.get(w.room)}))
  return many(`${from} copied to ${to}`, steps)
}
// A door of the house stays below; a door between rooms comes along.
function within(model, o) {
  const room = model.rooms.find(r => r.name === o.room), edge = room && findWall(room.pts, o.wall)
  return Boolean(edge) && model.rooms.some(r => r !== room && r.storey === room.storey && edges(r.pts).some(f => dist(f.a, edge.b) < .01 || dist(f.b, edge.a) < .01))
}
export const anticlockwise = pts => area(pts) < 0 ? [...pts].reverse() : pts
export {clean, wallWord}
