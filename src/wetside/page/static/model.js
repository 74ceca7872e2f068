// The drawn house as the browser holds it: built from what the server sends, changed optimistically while dragging.
import {edges, findWall, inside, meet, project, dist, TOUCH} from './geometry.js'

export function build(drawn) {
  return {
    storeys: drawn.storeys,
    wall: drawn.wall_m,
    rooms: drawn.rooms.map(r => ({name: r.name, storey: r.storey, pts: r.outline, rect: r.rectangle, heated: r.heated})),
    openings: drawn.openings, emitters: drawn.emitters, things: drawn.things, underlays: drawn.underlays,
    constructions: drawn.constructions,
  }
}
export const roomOf = (model, name) => model.rooms.find(r => r.name === name)
export const storeyOf = (model, z) => { const below = model.storeys.filter(s => s.level_m <= z + .02); return (below.at(-1) ?? model.storeys[0])?.name ?? '' }
export const on = (model, storey) => model.rooms.filter(r => r.storey === storey && r.pts.length > 2)

// Where an opening stands: its edge, from s0 to s1 along it, and whether a room lies behind.
export function placeOpening(model, o) {
  const room = roomOf(model, o.room)
  if (!room || room.pts.length < 3) return null
  if (o.wall === 'roof') {
    const long = edges(room.pts).sort((a, b) => b.length - a.length)[0]
    return {room, roof: true, along: long.along, edge: null}
  }
  const edge = findWall(room.pts, o.wall)
  if (!edge) return null
  const s0 = o.offset_m ?? (edge.length - o.width_m) / 2
  return {room, edge, s0, s1: s0 + o.width_m, inner: behind(model, room, edge, s0 + o.width_m / 2) !== null}
}
// The room on the other side of a wall at a distance along it.
export function behind(model, room, edge, s) {
  const p = edge.at(s), q = [p[0] + edge.outward[0] * .02, p[1] + edge.outward[1] * .02]
  return on(model, room.storey).find(r => r !== room && inside(r.pts, q)) ?? null
}
const LOOKS = {north: [0, 1], east: [1, 0], south: [0, -1], west: [-1, 0]}
// Where an emitter stands: middle of its back, the way along it and the way that it looks.
export function placeEmitter(model, e) {
  if (e.at) {
    const look = LOOKS[e.faces] ?? [0, 1]
    return {back: [e.at[0], e.at[1]], look, along: [look[1], -look[0]], storey: roomOf(model, e.room)?.storey ?? storeyOf(model, e.at[2])}
  }
  const room = roomOf(model, e.room)
  if (!room || room.pts.length < 3 || e.wall === null) return null
  const edge = findWall(room.pts, e.wall)
  if (!edge) return null
  const s = e.offset_m ?? edge.length / 2, p = edge.at(s), look = [-edge.outward[0], -edge.outward[1]]
  return {back: [p[0] + look[0] * e.off_wall_m, p[1] + look[1] * e.off_wall_m], look, along: edge.along, storey: room.storey, edge, room, s}
}
// The wall nearest to a point, of the rooms of a storey (or of one room); {room, edge, s, out, off}.
export function nearestWall(model, storey, p, within = Infinity, only = null) {
  let best = null
  for (const room of on(model, storey)) {
    if (only && room.name !== only) continue
    for (const edge of edges(room.pts)) {
      const {s, out} = project(edge, p)
      const off = Math.abs(out) + Math.max(0, -s, s - edge.length)
      // of two rooms that share a wall, the one that the point is in
      if (off <= within && (!best || off < best.off - TOUCH || (off < best.off + TOUCH && out < 0 && best.out > 0))) best = {room, edge, s, out, off}
    }
  }
  return best
}
// Every corner and wall line that something may snap to.
export function guides(model, storey, except = []) {
  const xs = new Set(), ys = new Set(), points = []
  for (const r of on(model, storey)) {
    if (except.includes(r.name)) continue
    for (const p of r.pts) { xs.add(p[0]); ys.add(p[1]); points.push(p) }
  }
  return {xs: [...xs], ys: [...ys], points}
}
// Snap a point: to corners and wall lines within `reach` metres, else to the grid.
export function snapPoint(p, guide, reach, grid) {
  const near = guide.points.map(q => [dist(p, q), q]).sort((a, b) => a[0] - b[0])[0]
  if (near && near[0] <= reach) return {p: near[1], x: near[1][0], y: near[1][1]}
  const one = (v, list) => { const c = list.map(w => [Math.abs(w - v), w]).sort((a, b) => a[0] - b[0])[0]; return c && c[0] <= reach ? c[1] : null }
  const x = one(p[0], guide.xs), y = one(p[1], guide.ys)
  const g = v => grid ? Math.round(v / grid) * grid : v
  return {p: [x ?? g(p[0]), y ?? g(p[1])], x, y}
}
export const overlapsWall = (room, e) => edges(room.pts).some(f => meet(e, f))
export function freshName(taken, stem) {
  if (!taken.includes(stem)) return stem
  for (let i = 2; ; i++) if (!taken.includes(`${stem} ${i}`)) return `${stem} ${i}`
}
export function freshNumber(taken, letter) {
  for (let i = 1; ; i++) if (!taken.includes(`${letter}${i}`)) return `${letter}${i}`
}
// The name after the last one: "A2" after "A1", "zone valve 3" after "zone valve 2"; null where it ends in no number.
export function nextName(taken, last) {
  const m = /^(.*?)(\d+)$/.exec(last ?? '')
  if (!m) return null
  for (let i = Number(m[2]) + 1; ; i++) if (!taken.includes(`${m[1]}${i}`)) return `${m[1]}${i}`
}
