// Plane geometry of the plan, in metres, [east, north]. Twin of the house floor's rules for walls and outlines.

export const TOUCH = 0.002
export const COMPASS = ['east', 'north-east', 'north', 'north-west', 'west', 'south-west', 'south', 'south-east']
const sub = (a, b) => [a[0] - b[0], a[1] - b[1]]
const dot = (a, b) => a[0] * b[0] + a[1] * b[1]
export const dist = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1])
export const round = (v, step = 0.001) => Math.round(v / step) * step
export const clean = v => { const r = Math.round(v * 1e4) / 1e4; return r === 0 ? 0 : r }

export function area(pts) {
  let total = 0
  pts.forEach((p, i) => { const q = pts[(i + 1) % pts.length]; total += p[0] * q[1] - q[0] * p[1] })
  return total / 2
}
export function middle(pts) {
  let x = 0, y = 0, twice = 0
  pts.forEach((p, i) => {
    const q = pts[(i + 1) % pts.length], c = p[0] * q[1] - q[0] * p[1]
    x += (p[0] + q[0]) * c; y += (p[1] + q[1]) * c; twice += c
  })
  return Math.abs(twice) < 1e-9 ? pts[0] : [x / (3 * twice), y / (3 * twice)]
}
export function box(pts) {
  const x = pts.map(p => p[0]), y = pts.map(p => p[1])
  return [Math.min(...x), Math.min(...y), Math.max(...x), Math.max(...y)]
}
export function inside(pts, p) {
  let odd = false
  pts.forEach((a, i) => {
    const b = pts[(i + 1) % pts.length]
    if ((a[1] > p[1]) !== (b[1] > p[1]) && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0]) odd = !odd
  })
  return odd
}
// A point well inside: the centre if it lies within, else the middle of the widest level chord.
export function heart(pts) {
  const c = middle(pts)
  const [x0, y0, x1, y1] = box(pts)
  let best = null
  for (const y of [c[1], ...[1, 2, 3, 4, 5, 6, 7].map(k => y0 + (y1 - y0) * k / 8)]) {
    const cuts = []
    pts.forEach((a, i) => {
      const b = pts[(i + 1) % pts.length]
      if ((a[1] > y) !== (b[1] > y)) cuts.push((b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]) + a[0])
    })
    cuts.sort((m, n) => m - n)
    for (let i = 0; i + 1 < cuts.length; i += 2) {
      const wide = cuts[i + 1] - cuts[i], score = wide * (y === c[1] ? 1.3 : 1)
      if (!best || score > best.score) best = {score, at: [(cuts[i] + cuts[i + 1]) / 2, y], wide}
    }
  }
  if (!best) return {at: c, wide: x1 - x0}
  // in the middle of what is free above and below it
  const [x, y] = best.at, cuts = []
  pts.forEach((a, i) => {
    const b = pts[(i + 1) % pts.length]
    if ((a[0] > x) !== (b[0] > x)) cuts.push((b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]) + a[1])
  })
  const lo = Math.max(...cuts.filter(v => v <= y)), hi = Math.min(...cuts.filter(v => v > y))
  return Number.isFinite(lo + hi) ? {...best, at: [x, (lo + hi) / 2], high: hi - lo} : best
}
export function edges(pts) {
  const turn = area(pts) < 0 ? -1 : 1
  return pts.map((a, i) => {
    const b = pts[(i + 1) % pts.length], length = dist(a, b) || 1e-9
    const along = [(b[0] - a[0]) / length, (b[1] - a[1]) / length]
    const outward = [turn * along[1], -turn * along[0]]
    const faces = COMPASS[((Math.round(Math.atan2(outward[1], outward[0]) * 4 / Math.PI) % 8) + 8) % 8]
    return {a, b, i, length, along, outward, faces, at: s => [a[0] + along[0] * s, a[1] + along[1] * s]}
  })
}
// The edge that a side or an edge number means; null where it is not plain which.
export function findWall(pts, said) {
  const walls = edges(pts)
  if (typeof said === 'number' || /^\d+$/.test(said)) return walls[Number(said) - 1] ?? null
  const k = COMPASS.indexOf(said)
  if (k < 0) return null
  const toward = [Math.cos(k * Math.PI / 4), Math.sin(k * Math.PI / 4)]
  for (const reach of said.includes('-') ? [22.51] : [22.51, 45.01]) {
    const hits = walls.filter(w => dot(toward, w.outward) >= Math.cos(reach * Math.PI / 180))
    if (hits.length) return hits.length === 1 ? hits[0] : null
  }
  return null
}
// How the file says a wall: by the side that it faces where only one does, else by its number.
export function wallWord(pts, i) {
  const w = edges(pts)[i]
  return findWall(pts, w.faces)?.i === i ? w.faces : i + 1
}
export function project(edge, p) {
  const d = sub(p, edge.a)
  return {s: dot(d, edge.along), out: dot(d, edge.outward)}
}
export const isRectangle = pts => pts.length === 4 && edges(pts).every(e => Math.abs(e.along[0]) < 1e-6 || Math.abs(e.along[1]) < 1e-6)

// Every piece of wall between two rooms, once.
export function innerWalls(rooms) {
  const found = []
  const all = rooms.filter(r => r.pts.length > 2).map(r => ({r, es: edges(r.pts), b: box(r.pts)}))
  all.forEach((one, i) => all.slice(i + 1).forEach(two => {
    if (one.b[2] + TOUCH < two.b[0] || two.b[2] + TOUCH < one.b[0] || one.b[3] + TOUCH < two.b[1] || two.b[3] + TOUCH < one.b[1]) return
    for (const e of one.es) for (const f of two.es) {
      const m = meet(e, f)
      if (m) found.push([e.at(m[0]), e.at(m[1])])
    }
  }))
  return found
}
// Where two edges lie on each other, along the first.
export function meet(e, f, least = TOUCH) {
  if (Math.abs(e.along[0] * f.along[1] - e.along[1] * f.along[0]) > 1e-4) return null
  const p = project(e, f.a), q = project(e, f.b)
  if (Math.abs(p.out) > TOUCH || Math.abs(q.out) > TOUCH) return null
  const lo = Math.max(0, Math.min(p.s, q.s)), hi = Math.min(e.length, Math.max(p.s, q.s))
  return hi - lo > least ? [lo, hi] : null
}

// ---- shared walls: which corners move when a wall moves

// All corners, as "room index": [room, i], that stand on the wall through edge `i` of `name`: those of the room's own
// edge, and of every edge that lies on it or on one that does.
export function wallCorners(rooms, name, i, alone = false) {
  const list = rooms.filter(r => r.pts.length > 2).map(r => ({r, es: edges(r.pts)}))
  const start = list.find(x => x.r.name === name)
  const chosen = new Map(), queue = [start.es[i]]
  const key = (r, k) => `${r.name}\u0000${k}`
  const take = (r, e) => {
    if (chosen.has(key(r, e.i))) return
    chosen.set(key(r, e.i), [r, e.i])
    if (!alone || r.name === name) queue.push(e)
  }
  chosen.set(key(start.r, i), [start.r, i])
  const first = start.es[i]
  while (queue.length) {
    const e = queue.pop()
    for (const {r, es} of list) {
      if (alone && r.name !== name) continue
      for (const f of es) {
        if (Math.abs(project(first, f.a).out) > TOUCH || Math.abs(project(first, f.b).out) > TOUCH) continue
        const own = r.name === name || [...chosen.values()].some(([c]) => c === r)
        if (meet(e, f) || (own && meet(e, f, -TOUCH) && sameRoomNeighbour(r, es, f, chosen, key))) take(r, f)
      }
    }
  }
  const corners = new Map()
  for (const [r, k] of chosen.values()) for (const c of [k, (k + 1) % r.pts.length]) corners.set(key(r, c), [r.name, c])
  return [...corners.values()]
}
function sameRoomNeighbour(r, es, f, chosen, key) {
  const n = es.length
  return chosen.has(key(r, (f.i + 1) % n)) || chosen.has(key(r, (f.i + n - 1) % n))
}
export function cornersAt(rooms, p) {
  const found = []
  for (const r of rooms) r.pts.forEach((q, k) => { if (dist(p, q) <= TOUCH) found.push([r.name, k]) })
  return found
}

// Rooms with some corners moved by `d`; a new list, rooms that stay are the same objects.
export function moved(rooms, corners, d) {
  const by = new Map()
  for (const [name, k] of corners) by.set(name, [...(by.get(name) ?? []), k])
  return rooms.map(r => by.has(r.name) ? {...r, pts: r.pts.map((p, k) => by.get(r.name).includes(k) ? [clean(p[0] + d[0]), clean(p[1] + d[1])] : p)} : r)
}
// Whether an outline still encloses a room: no edge too short, none crossing, its turning sense kept.
export function sound(pts, before = null) {
  if (pts.length < 3 || Math.abs(area(pts)) < 0.02) return false
  if (before && Math.sign(area(pts)) !== Math.sign(area(before))) return false
  const es = edges(pts)
  if (es.some(e => e.length < 0.02)) return false
  for (let i = 0; i < es.length; i++) for (let j = i + 2; j < es.length; j++) {
    if (i === 0 && j === es.length - 1) continue
    if (crosses(es[i], es[j])) return false
  }
  return true
}
function crosses(e, f) {
  const side = (p, q, r) => Math.sign(((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])).toFixed(9))
  return side(e.a, e.b, f.a) * side(e.a, e.b, f.b) < 0 && side(f.a, f.b, e.a) * side(f.a, f.b, e.b) < 0
}

// ---- split and join

// Cut an outline by the straight line through p and q; two outlines, or null when it doesn't cut it in two.
export function split(pts, p, q) {
  const d = sub(q, p), n = [-d[1], d[0]], size = Math.hypot(...n)
  if (size < 1e-9) return null
  const h = pts.map(c => dot(sub(c, p), n) / size)
  const cut = []
  const ring = []
  pts.forEach((c, i) => {
    const k = (i + 1) % pts.length
    ring.push({c, h: h[i]})
    if (Math.abs(h[i]) <= TOUCH) { cut.push(ring.length - 1); return }
    if (Math.abs(h[k]) > TOUCH && h[i] * h[k] < 0) {
      const t = h[i] / (h[i] - h[k])
      ring.push({c: [clean(c[0] + (pts[k][0] - c[0]) * t), clean(c[1] + (pts[k][1] - c[1]) * t)], h: 0})
      cut.push(ring.length - 1)
    }
  })
  if (cut.length !== 2) return null
  const [a, b] = cut
  const one = ring.slice(a, b + 1).map(x => x.c), two = [...ring.slice(b), ...ring.slice(0, a + 1)].map(x => x.c)
  return sound(one) && sound(two) ? [tidy(one), tidy(two)] : null
}
// One outline from two that share a wall; null when they share none, or a hole would be left.
export function join(a, b) {
  if (area(a) < 0) a = [...a].reverse()
  if (area(b) < 0) b = [...b].reverse()
  // put every corner of one that lies on an edge of the other into that edge
  const dense = (own, other) => own.flatMap((p, i) => {
    const e = edges(own)[i]
    const on = other.map(c => ({c, ...project(e, c)})).filter(x => Math.abs(x.out) <= TOUCH && x.s > TOUCH && x.s < e.length - TOUCH)
    return [p, ...on.sort((m, n) => m.s - n.s).map(x => x.c)]
  })
  const A = dense(a, b), B = dense(b, a)
  const same = (p, q) => dist(p, q) <= TOUCH
  const directed = []
  const push = (ring, other) => ring.forEach((p, i) => {
    const q = ring[(i + 1) % ring.length]
    const back = other.some((r, k) => same(r, q) && same(other[(k + 1) % other.length], p))
    if (!back) directed.push([p, q])
  })
  push(A, B); push(B, A)
  if (directed.length === A.length + B.length) return null
  const ring = []
  let [p, q] = directed.shift()
  ring.push(p)
  while (directed.length) {
    const k = directed.findIndex(([r]) => same(r, q))
    if (k < 0) break
    ring.push(q)
    q = directed.splice(k, 1)[0][1]
  }
  if (directed.length || !same(q, ring[0])) return null
  const out = tidy(ring)
  return sound(out) ? out : null
}
// Without corners on a straight line.
export function tidy(pts) {
  const keep = pts.filter((p, i) => {
    const a = pts[(i + pts.length - 1) % pts.length], b = pts[(i + 1) % pts.length]
    const cross = (p[0] - a[0]) * (b[1] - p[1]) - (p[1] - a[1]) * (b[0] - p[0])
    return Math.abs(cross) > 1e-6
  })
  return keep.length >= 3 ? keep.map(p => p.map(clean)) : pts
}

// ---- lengths as people type and read them

const FOOT = 0.3048, INCH = 0.0254
const amount = t => {
  const m = /^(?:(\d+)[ -])?(\d+)\/(\d+)$/.exec(t.trim())
  return m ? Number(m[1] ?? 0) + Number(m[2]) / Number(m[3]) : Number(t)
}
// "3.6", "3600 mm", "12 ft 6 1/2 in", 12' 6" → metres; NaN when it is no length. Bare numbers are in `unit` metres.
export function metres(text, unit) {
  const t = text.trim().replace('−', '-').replace(',', '.')
  const sign = t.startsWith('-') ? -1 : 1, u = t.replace(/^[-+]\s*/, '')
  const n = String.raw`(\d+ \d+\/\d+|\d+-\d+\/\d+|\d+\/\d+|\d+(?:\.\d*)?|\.\d+)`
  let m
  if ((m = new RegExp(`^${n}$`).exec(u))) return sign * amount(m[1]) * unit
  if ((m = new RegExp(`^${n}\\s*(?:ft|feet|foot|'|′)\\s*(?:${n}\\s*(?:in|inch|inches|"|″)?)?$`).exec(u))) return sign * (amount(m[1]) * FOOT + (m[2] ? amount(m[2]) * INCH : 0))
  if ((m = new RegExp(`^${n}\\s*(mm|cm|m|in|inch|inches|"|″)$`).exec(u))) return sign * amount(m[1]) * {mm: .001, cm: .01, m: 1}[m[2]] || sign * amount(m[1]) * INCH
  return NaN
}
export function feetInches(v, part = 8) {
  const steps = Math.round(Math.abs(v) / INCH * part), feet = Math.floor(steps / (12 * part)), rest = steps % (12 * part)
  const inches = Math.floor(rest / part)
  let a = rest % part, b = part
  while (a && a % 2 === 0) { a /= 2; b /= 2 }
  const words = []
  if (feet) words.push(`${feet}′`)
  if (a) words.push(inches ? `${inches} ${a}/${b}″` : `${a}/${b}″`)
  else if (inches || !feet) words.push(`${inches}″`)
  return (v < 0 && steps ? '−' : '') + words.join(' ')
}
export const lengthText = (v, us) => us ? feetInches(v) : `${v < 0 ? '−' : ''}${Math.abs(v).toFixed(2)} m`
// A length for the file: a number in the job's own unit.
export const written = (v, unit) => { const r = Math.round(v / unit * (unit === 1 ? 1e3 : 1e4)) / (unit === 1 ? 1e3 : 1e4); return r === 0 ? 0 : r }
