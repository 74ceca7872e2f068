// The turntable: pipework in space, orthographic. SVG at rest, canvas while it turns. Knows nothing of the job.
import {svg, el} from './dom.js'

const RIGHT = Math.PI / 2
export const ISO = Math.asin(1 / Math.sqrt(3))
const css = name => getComputedStyle(document.documentElement).getPropertyValue(name).trim()
// Pixels of line for a tube of that outside diameter (metres), when it is far away.
export const thick = outside => Math.min(9, .8 + 130 * outside)
const DASH = {flow: null, return: [9, 5], other: [12, 3, 2, 3]}

// Model metres [east, north, up] → screen pixels and nearness to the eye, about a centre.
export function projector(yaw, pitch, k, centre, [ox, oy]) {
  const c = Math.cos(yaw), s = Math.sin(yaw), sp = Math.sin(pitch), cp = Math.cos(pitch)
  return ([x, y, z]) => {
    const e = x - centre[0], n = centre[1] - y, h = z - centre[2]
    const v = e * s + n * c
    return [ox + k * (e * c - n * s), oy + k * (v * sp - h * cp), v * cp + h * sp]
  }
}
const lerp = (a, b, t) => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t]

// Shares of each stroke that are left out, because a nearer tube crosses there.
export function gaps(strokes) {
  const found = strokes.map(() => [])
  const order = strokes.map((_, i) => i).sort((i, j) => strokes[i].x0 - strokes[j].x0)
  for (let m = 0; m < order.length; m++) {
    const s = strokes[order[m]]
    for (let n = m + 1; n < order.length; n++) {
      const o = strokes[order[n]]
      if (o.x0 > s.x1) break
      if (o.y0 > s.y1 || o.y1 < s.y0) continue
      const ax = s.b[0] - s.a[0], ay = s.b[1] - s.a[1], bx = o.b[0] - o.a[0], by = o.b[1] - o.a[1]
      const det = ax * by - ay * bx
      if (Math.abs(det) < .05 * s.length * o.length || s.length < 1 || o.length < 1) continue
      const cx = o.a[0] - s.a[0], cy = o.a[1] - s.a[1], t = (cx * by - cy * bx) / det, u = (cx * ay - cy * ax) / det
      const et = 3 / s.length, eu = 3 / o.length
      if (t < et || t > 1 - et || u < eu || u > 1 - eu) continue
      const rear = s.a[2] + t * (s.b[2] - s.a[2]) < o.a[2] + u * (o.b[2] - o.a[2])
      const half = (3 + (rear ? o.width : s.width) / 2) / Math.max(.4, Math.abs(det) / (s.length * o.length))
      if (rear) found[order[m]].push([t - half / s.length, t + half / s.length])
      else found[order[n]].push([u - half / o.length, u + half / o.length])
    }
  }
  return found
}
function pieces(s, cuts) {
  const kept = []
  let at = 0
  for (const [low, high] of cuts.sort((p, q) => p[0] - q[0])) {
    if (low > at) kept.push([at, low])
    at = Math.max(at, high)
  }
  if (at < 1) kept.push([at, 1])
  return kept.map(([t, u]) => [lerp(s.a, s.b, t), lerp(s.a, s.b, u)])
}

// Places for words: the first free of several slots.
class Crowd {
  constructor(w, h) { this.w = w; this.h = h; this.cells = new Map() }
  *at([x0, y0, x1, y1]) { for (let i = x0 >> 6; i <= x1 >> 6; i++) for (let j = y0 >> 6; j <= y1 >> 6; j++) yield `${i},${j}` }
  block(box) { for (const c of this.at(box)) { let list = this.cells.get(c); if (!list) this.cells.set(c, list = []); list.push(box) } }
  free(b) {
    if (b[0] < 2 || b[1] < 2 || b[2] > this.w - 2 || b[3] > this.h - 2) return false
    for (const c of this.at(b)) for (const o of this.cells.get(c) ?? []) if (b[0] < o[2] && o[0] < b[2] && b[1] < o[3] && o[1] < b[3]) return false
    return true
  }
  line(a, b, half) {
    const n = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / 9))
    for (let i = 0; i <= n; i++) { const p = lerp(a, b, i / n); this.block([p[0] - half, p[1] - half, p[0] + half, p[1] + half]) }
  }
  choose(at, w, h, slots) {
    for (const [dx, dy] of slots) {
      const box = [at[0] + dx - w / 2, at[1] + dy - h / 2, at[0] + dx + w / 2, at[1] + dy + h / 2]
      if (this.free(box)) { this.block(box); return box }
    }
    return null
  }
}
const around = (w, h, off) => [[w / 2 + off, -h / 2 - off], [-w / 2 - off, -h / 2 - off], [w / 2 + off, h / 2 + off], [-w / 2 - off, h / 2 + off],
  [0, -h / 2 - off - 2], [0, h / 2 + off + 2], [w / 2 + off + 3, 0], [-w / 2 - off - 3, 0]]

export class Space {
  // `host` is a positioned element. `label` is what the sheet is. Callbacks: onPick(key, metres, event), onHover(key), onTurn().
  constructor(host, {label, onPick = () => {}, onKey = () => false, onDraw = () => {}}) {
    Object.assign(this, {host, onPick, onKey, onDraw, yaw: RIGHT / 2, pitch: ISO, k: 60, centre: [0, 0, 0], pan: [0, 0], scene: null, picked: null, turning: false})
    this.root = svg('svg', {class: 'space', tabindex: '0', role: 'application', 'aria-label': label, 'aria-describedby': 'space-keys'})
    this.canvas = el('canvas', {class: 'space-canvas', 'aria-hidden': 'true'})
    this.canvas.hidden = true
    host.append(this.root, this.canvas)
    this.pen = el('canvas').getContext('2d')
    this.templates = new Map()
    this.w = this.h = 0
    new ResizeObserver(() => { if (this.size()) this.draw() }).observe(host)
    addEventListener('wetside-theme', () => this.draw())
    document.fonts?.ready.then(() => this.draw())
    this.wire()
  }
  size() {
    const r = this.host.getBoundingClientRect(), was = this.w * 10000 + this.h, first = !this.w
    this.w = Math.max(60, Math.round(r.width)); this.h = Math.max(60, Math.round(r.height))
    if (this.w * 10000 + this.h === was) return false
    const d = devicePixelRatio || 1
    this.canvas.width = this.w * d; this.canvas.height = this.h * d
    this.root.setAttribute('viewBox', `0 0 ${this.w} ${this.h}`)
    if (!first && this.scene && !this.touched) this.fit()
    return true
  }
  set(scene, symbols, half) {
    const first = !this.scene
    this.scene = scene
    this.half = half
    if (symbols !== this.symbols) { this.symbols = symbols; this.templates.clear() }
    if (!this.w) this.size()
    if (first) this.fit(); else this.draw()
  }
  // What decides the size of the view.
  extent() {
    const s = this.scene
    const points = [...s.lines.flatMap(l => [l.a, l.b]), ...s.faces.filter(f => f.counts !== false).flatMap(f => f.pts)]
    return points.length ? points : s.levels.flatMap(l => l.outlines.flat().map(([x, y]) => [x, y, l.z]))
  }
  fit(points = null) {
    const seen = points ?? this.extent()
    this.pan = [0, 0]
    if (!seen.length) { this.draw(); return }
    const low = [0, 1, 2].map(i => Math.min(...seen.map(p => p[i]))), high = [0, 1, 2].map(i => Math.max(...seen.map(p => p[i])))
    this.centre = low.map((v, i) => (v + high[i]) / 2)
    const flat = seen.map(projector(this.yaw, this.pitch, 1, this.centre, [0, 0]))
    const xs = flat.map(p => p[0]), ys = flat.map(p => p[1])
    const x0 = Math.min(...xs), x1 = Math.max(...xs), y0 = Math.min(...ys), y1 = Math.max(...ys)
    const edge = Math.min(64, this.w * .08)
    this.k = Math.max(8, Math.min((this.w - 2 * edge) / Math.max(.2, x1 - x0), (this.h - 2 * edge) / Math.max(.2, y1 - y0), points ? 420 : 260))
    this.pan = [-(x0 + x1) / 2 * this.k, -(y0 + y1) / 2 * this.k]
    this.draw()
  }
  get origin() { return [this.w / 2 + this.pan[0], this.h / 2 + this.pan[1]] }
  get project() { return projector(this.yaw, this.pitch, this.k, this.centre, this.origin) }
  zoom(by, x = this.w / 2, y = this.h / 2) {
    const k = Math.min(1600, Math.max(6, this.k * by)), f = k / this.k
    const [ox, oy] = this.origin
    this.pan = [x + (ox - x) * f - this.w / 2, y + (oy - y) * f - this.h / 2]
    this.k = k; this.touched = true
    this.soon()
  }
  turn(dyaw, dpitch = 0) {
    this.yaw = (this.yaw + dyaw + 8 * Math.PI) % (2 * Math.PI)
    this.pitch = Math.min(RIGHT, Math.max(0, this.pitch + dpitch))
    this.soon()
  }
  // A quarter of a turn to the next corner, moved if the person wants movement.
  quarter(way) {
    const to = (Math.round((this.yaw - RIGHT / 2) / RIGHT) + way) * RIGHT + RIGHT / 2
    this.glide(to, this.pitch)
  }
  glide(yaw, pitch) {
    const from = [this.yaw, this.pitch], began = performance.now()
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches
    const step = now => {
      const t = still ? 1 : Math.min(1, (now - began) / 260), f = t * t * (3 - 2 * t)
      this.yaw = from[0] + (yaw - from[0]) * f
      this.pitch = from[1] + (pitch - from[1]) * f
      if (t < 1) { this.spin(); requestAnimationFrame(step) } else { this.yaw = (yaw + 4 * RIGHT) % (4 * RIGHT); this.rest() }
    }
    requestAnimationFrame(step)
  }
  show(key) {
    const line = this.scene.lines.find(l => l.key === key) ?? this.scene.marks.find(m => m.key === key) ?? this.scene.faces.find(f => f.key === key)
    if (!line) return
    const p = this.project(line.at ?? (line.a ? lerp(line.a, line.b, .5) : line.pts[0]))
    if (p[0] < 50 || p[1] < 50 || p[0] > this.w - 50 || p[1] > this.h - 50) {
      this.pan = [this.pan[0] + this.w / 2 - p[0], this.pan[1] + this.h / 2 - p[1]]
      this.draw()
    }
  }
  pick(key) { this.picked = key; this.draw() }

  // ---- drawing

  draw() { this.due ||= requestAnimationFrame(() => { this.due = 0; this.rest() }) }
  soon() { this.spin(); clearTimeout(this.later); if (!this.held) this.later = setTimeout(() => this.rest(), 160) }
  strokes() {
    const project = this.project
    return this.scene.lines.map(line => {
      const a = project(line.a), b = project(line.b), far = line.width ?? thick(line.outside)
      const true_ = line.outside * this.k
      return {
        line, a, b, width: Math.max(far, line.width ? 0 : true_), hollow: !line.width && true_ > far + 3, length: Math.hypot(b[0] - a[0], b[1] - a[1]),
        x0: Math.min(a[0], b[0]) - 4, x1: Math.max(a[0], b[0]) + 4, y0: Math.min(a[1], b[1]) - 4, y1: Math.max(a[1], b[1]) + 4,
      }
    })
  }
  // While it turns: no words, no symbols but dots; tubes from the rear forward, each on a halo of the sheet.
  spin() {
    if (!this.scene) return
    const c = this.canvas.getContext('2d'), d = devicePixelRatio || 1
    this.turning = true
    this.root.style.visibility = 'hidden'; this.canvas.hidden = false
    c.setTransform(d, 0, 0, d, 0, 0)
    c.clearRect(0, 0, this.w, this.h)
    const project = this.project, sheet = css('--sheet'), ink = css('--ink')
    const colour = {flow: css('--flow'), return: css('--return'), other: css('--other')}
    c.lineJoin = 'round'
    c.strokeStyle = css('--line'); c.lineWidth = 1
    for (const level of this.scene.levels) for (const outline of level.outlines) {
      c.beginPath()
      outline.forEach(([x, y], i) => { const p = project([x, y, level.z]); if (i) c.lineTo(p[0], p[1]); else c.moveTo(p[0], p[1]) })
      c.closePath(); c.stroke()
    }
    c.fillStyle = css('--film'); c.strokeStyle = css('--mute')
    for (const face of this.scene.faces) {
      c.beginPath()
      face.pts.forEach((q, i) => { const p = project(q); if (i) c.lineTo(p[0], p[1]); else c.moveTo(p[0], p[1]) })
      c.closePath(); c.fill(); c.stroke()
    }
    const strokes = this.strokes().sort((s, o) => s.a[2] + s.b[2] - o.a[2] - o.b[2])
    for (const s of strokes) {
      for (const halo of [true, false]) {
        c.beginPath(); c.moveTo(s.a[0], s.a[1]); c.lineTo(s.b[0], s.b[1])
        c.strokeStyle = halo ? sheet : colour[s.line.side] ?? ink
        c.lineWidth = s.width + (halo ? 4 : 0)
        c.setLineDash(halo ? [] : DASH[s.line.side] ?? [])
        c.lineCap = halo ? 'butt' : 'round'
        c.stroke()
      }
    }
    c.setLineDash([])
    for (const m of this.scene.marks) {
      const p = project(m.at)
      c.beginPath(); c.arc(p[0], p[1], 5, 0, 7); c.fillStyle = sheet; c.fill(); c.strokeStyle = ink; c.lineWidth = 1.5; c.stroke()
    }
    this.onDraw(this)
  }
  template(kind) {
    if (!this.templates.has(kind)) {
      const text = this.symbols?.[kind]
      const parsed = text ? new DOMParser().parseFromString(`<svg xmlns="http://www.w3.org/2000/svg">${text}</svg>`, 'image/svg+xml').documentElement : null
      this.templates.set(kind, parsed && !parsed.querySelector('parsererror') ? [...parsed.childNodes] : [svg('circle', {r: 1.5, fill: 'var(--sheet)', stroke: 'var(--ink)', 'stroke-width': .3})])
    }
    return this.templates.get(kind).map(n => document.importNode(n, true))
  }
  symbol(kind, at, way, px) {
    const p = this.project(at), q = this.project([at[0] + way[0], at[1] + way[1], at[2] + way[2]])
    let angle = Math.atan2(q[1] - p[1], q[0] - p[0])
    if (Math.hypot(q[0] - p[0], q[1] - p[1]) < 2) angle = -RIGHT
    const k = px / this.half, flip = Math.abs(angle) > RIGHT + .01 ? -1 : 1
    return svg('g', {transform: `translate(${p[0].toFixed(1)} ${p[1].toFixed(1)}) rotate(${(angle * 180 / Math.PI).toFixed(1)}) scale(${k.toFixed(2)} ${(flip * k).toFixed(2)})`}, this.template(kind))
  }
  rest() {
    clearTimeout(this.later)
    if (!this.scene || !this.w) return
    this.turning = false
    const s = this.scene, project = this.project, crowd = new Crowd(this.w, this.h), out = []
    for (const box of this.reserved()) crowd.block(box)
    const path = pts => pts.map((p, i) => `${i ? 'L' : 'M'}${p[0].toFixed(1)} ${p[1].toFixed(1)}`).join('')
    const strokes = this.strokes(), cut = gaps(strokes)
    for (const t of strokes) crowd.line(t.a, t.b, t.width / 2 + 1)
    const levels = svg('g', {class: 'levels'})
    for (const level of s.levels) {
      for (const outline of level.outlines) levels.append(svg('path', {d: path(outline.map(([x, y]) => project([x, y, level.z]))) + 'Z'}))
      const flat = level.outlines.flat().map(([x, y]) => project([x, y, level.z]))
      if (flat.length) {
        const left = flat.reduce((p, q) => q[0] < p[0] ? q : p)
        const w = this.measure(level.text, 500, 13)
        const box = crowd.choose(left, w + 6, 16, [[-w / 2 - 8, 0], [-w / 2 - 8, 12], [-w / 2 - 8, -12], [w / 2 + 8, 16], [w / 2, -16], [w / 2 + 20, 30]])
        if (box) levels.append(svg('text', {x: box[0] + 3, y: box[3] - 4, class: 'level-name', text: level.text}))
      }
    }
    out.push(levels)
    const faces = [...s.faces].map(f => ({f, pts: f.pts.map(project)})).sort((p, q) => p.pts.reduce((t, x) => t + x[2], 0) / p.pts.length - q.pts.reduce((t, x) => t + x[2], 0) / q.pts.length)
    for (const {f, pts} of faces) out.push(svg('path', {class: `face ${f.kind}${f.key === this.picked ? ' on' : ''}`, d: path(pts) + 'Z', 'data-key': f.key}))
    const wash = svg('g', {class: 'picked-under'}), tubes = svg('g', {class: 'tubes'}), hits = svg('g', {class: 'hits'})
    let run = null, here = null
    // straights that go on from one another are one line, so that corners close and dashes run on
    const flush = () => {
      if (!run) return
      const d = run.parts.map(path).join('')
      const g = svg('g', {class: `tube ${run.side}${run.stale ? ' still' : ''}`})
      if (run.hollow) g.append(svg('path', {d, class: 'wall', 'stroke-width': run.width.toFixed(1)}), svg('path', {d, class: 'bore', 'stroke-width': (run.width - 3).toFixed(1)}), svg('path', {d, class: 'line', 'stroke-width': 2}))
      else g.append(svg('path', {d, class: 'line', 'stroke-width': run.width.toFixed(1)}))
      tubes.append(g)
      run = null
    }
    strokes.forEach((t, i) => {
      const parts = pieces(t, cut[i])
      const joins = run && here === t.line.group && run.width === t.width && run.side === t.line.side
      if (!joins) { flush(); run = {parts: [], width: t.width, side: t.line.side, hollow: t.hollow, stale: t.line.still} }
      here = t.line.group
      for (const [a, b] of parts) {
        const tail = run.parts.at(-1)
        if (tail && Math.hypot(tail.at(-1)[0] - a[0], tail.at(-1)[1] - a[1]) < .6) tail.push(b); else run.parts.push([a, b])
      }
      if (t.line.key === this.picked || t.line.lit) wash.append(svg('path', {d: path([t.a, t.b]), class: t.line.key === this.picked ? 'under' : 'under lit', 'stroke-width': t.width + 10}))
      hits.append(svg('path', {d: path([t.a, t.b]), class: 'hit', 'data-key': t.line.key, 'stroke-width': Math.max(16, t.width + 8)}, svg('title', {text: t.line.title ?? ''})))
    })
    flush()
    out.push(wash, tubes)
    for (const spot of s.spots) {
      const p = project(spot.at)
      if (spot.kind === 'tee') out.push(svg('circle', {cx: p[0], cy: p[1], r: Math.max(3.2, .012 * this.k), class: 'tee'}))
      else if (spot.kind === 'cap') out.push(svg('circle', {cx: p[0], cy: p[1], r: 5, class: 'cap'}), svg('path', {d: `M${p[0] - 3} ${p[1] - 3}l6 6m0 -6l-6 6`, class: 'cap'}))
      else out.push(svg('path', {d: `M${p[0]} ${p[1] - 5}l5 5l-5 5l-5 -5Z`, class: 'reducer'}))
      crowd.block([p[0] - 5, p[1] - 5, p[0] + 5, p[1] + 5])
    }
    for (const r of s.arrows ?? []) {
      const p = project(r.at), q = project([r.at[0] + r.way[0], r.at[1] + r.way[1], r.at[2] + r.way[2]])
      if (Math.hypot(q[0] - p[0], q[1] - p[1]) < 4) continue
      out.push(svg('path', {class: 'flow-arrow', d: 'M9 0L-5 6.5L-2 0L-5 -6.5Z', transform: `translate(${p[0].toFixed(1)} ${p[1].toFixed(1)}) rotate(${(Math.atan2(q[1] - p[1], q[0] - p[0]) * 180 / Math.PI).toFixed(1)})`}))
    }
    out.push(hits)
    // far away they would hide the tube; those that carry too much, and the one picked, always show
    for (const b of s.brackets ?? []) if (this.k > 38 || b.over || b.key === this.picked) out.push(this.bracket(b, crowd))
    const px = Math.min(15, Math.max(6.5, this.k * .055))
    const marks = svg('g', {class: 'marks'})
    for (const m of s.marks) {
      const p = project(m.at), r = px * 1.7
      const g = svg('g', {class: `item${m.key === this.picked ? ' on' : ''}`, 'data-key': m.key}, svg('circle', {cx: p[0], cy: p[1], r, class: 'halo'}), this.symbol(m.kind, m.at, m.way, px), svg('title', {text: m.title}))
      marks.append(g)
      crowd.block([p[0] - r, p[1] - r, p[0] + r, p[1] + r])
    }
    out.push(marks, this.words(crowd, project))
    this.root.replaceChildren(...out)
    this.root.style.visibility = ''
    this.canvas.hidden = true
    this.onDraw(this)
  }
  // Where buttons and the title block lie over the sheet: no words there.
  reserved() {
    const r = this.host.getBoundingClientRect()
    return [...this.host.parentElement.querySelectorAll('.over, .title-block, .compass')].map(e => e.getBoundingClientRect()).filter(b => b.width).map(b => [b.left - r.left - 3, b.top - r.top - 3, b.right - r.left + 3, b.bottom - r.top + 3])
  }
  bracket(b, crowd) {
    const p = this.project(b.at), q = this.project(lerp(b.at, [b.at[0] + b.way[0], b.at[1] + b.way[1], b.at[2] + b.way[2]], 1))
    let angle = Math.atan2(q[1] - p[1], q[0] - p[0]) * 180 / Math.PI
    if (angle > 90 || angle <= -90) angle += 180
    const f = Math.min(1.25, Math.max(.5, this.k / 120))
    crowd.block([p[0] - 7 * f, p[1] - 7 * f, p[0] + 7 * f, p[1] + 7 * f])
    return svg('g', {class: `bracket${b.key === this.picked ? ' on' : ''}${b.over ? ' over' : ''}`, 'data-key': b.key, transform: `translate(${p[0].toFixed(1)} ${p[1].toFixed(1)}) rotate(${angle.toFixed(1)})`},
      svg('circle', {r: 9, class: 'hit-dot'}), svg('path', {d: 'M-2.5 -6V6M2.5 -6V6M-6 6H6', transform: `scale(${f.toFixed(2)})`}), svg('title', {text: b.title}))
  }
  measure(text, weight, size) {
    this.pen.font = `${weight} ${size}px "Barlow Condensed", sans-serif`
    return this.pen.measureText(text).width
  }
  words(crowd, project) {
    const g = svg('g', {class: 'words'})
    const size = 13.5, h = 16
    for (const label of [...this.scene.labels].sort((a, b) => (a.key === this.picked ? -1 : a.rank) - (b.key === this.picked ? -1 : b.rank))) {
      const bold = label.strong || label.kind.startsWith('value')
      const w = this.measure(label.text, bold ? 600 : 500, bold ? 14.5 : size) + (label.pill ? 12 : 4)
      let box = null, at
      if (label.from > this.k && label.key !== this.picked) continue
      if (label.along) {
        const a = project(label.along[0]), b = project(label.along[1]), length = Math.hypot(b[0] - a[0], b[1] - a[1])
        if (length < (label.least ?? 26) && label.key !== this.picked) continue
        const nx = -(b[1] - a[1]) / (length || 1), ny = (b[0] - a[0]) / (length || 1)
        const reach = Math.abs(nx) * w / 2 + Math.abs(ny) * h / 2 + 5 + (label.off ?? 2)
        for (const t of [.5, .35, .65, .2, .8]) {
          at = lerp(a, b, t)
          box = crowd.choose(at, w, h, [[nx * reach, ny * reach], [-nx * reach, -ny * reach]])
          if (box) break
        }
      } else {
        at = project(label.at)
        box = crowd.choose(at, w, h, [...(label.centre ? [[0, 0]] : []), ...around(w, h, label.off ?? 3), ...(label.far ? around(w, h, 14) : []), ...(label.far ? around(w, h, 28) : [])])
      }
      if (!box) continue
      const node = svg('g', {class: `word ${label.kind}${label.key && label.key === this.picked ? ' on' : ''}`, 'data-key': label.key ?? null})
      const cx = (box[0] + box[2]) / 2, cy = (box[1] + box[3]) / 2
      const far = Math.hypot(Math.max(0, Math.abs(at[0] - cx) - w / 2), Math.max(0, Math.abs(at[1] - cy) - h / 2))
      if (far > 12 && !label.along) node.append(svg('path', {class: 'leader', d: `M${at[0]} ${at[1]}L${Math.max(box[0], Math.min(box[2], at[0]))} ${Math.max(box[1], Math.min(box[3], at[1]))}`}))
      if (label.pill) node.append(svg('rect', {x: box[0], y: box[1], width: w, height: h, rx: 8}))
      node.append(svg('text', {x: cx, y: cy + 4.8, text: label.text}))
      g.append(node)
    }
    return g
  }

  // ---- pointer and keyboard

  wire() {
    const fingers = new Map()
    let start = null, moved = false, apart = 0
    this.host.addEventListener('wheel', e => {
      e.preventDefault()
      const r = this.host.getBoundingClientRect()
      if (e.shiftKey) { this.pan = [this.pan[0] - (e.deltaY || e.deltaX), this.pan[1]]; this.soon() } else this.zoom(Math.exp(-e.deltaY * (e.ctrlKey ? .01 : .0016)), e.clientX - r.left, e.clientY - r.top)
    }, {passive: false})
    this.host.addEventListener('contextmenu', e => { if (moved) e.preventDefault() })
    this.host.addEventListener('pointerdown', e => {
      if (e.button > 2) return
      fingers.set(e.pointerId, [e.clientX, e.clientY])
      start = {x: e.clientX, y: e.clientY, key: e.target.closest?.('[data-key]')?.dataset.key ?? null, pan: e.button === 1 || e.button === 2 || e.shiftKey}
      moved = fingers.size > 1
      if (fingers.size === 2) { const [p, q] = [...fingers.values()]; apart = Math.hypot(p[0] - q[0], p[1] - q[1]) }
    })
    this.host.addEventListener('pointermove', e => {
      const was = fingers.get(e.pointerId)
      if (!was) return
      fingers.set(e.pointerId, [e.clientX, e.clientY])
      const dx = e.clientX - was[0], dy = e.clientY - was[1]
      if (fingers.size === 2) {
        const r = this.host.getBoundingClientRect(), [p, q] = [...fingers.values()], now = Math.hypot(p[0] - q[0], p[1] - q[1])
        this.pan = [this.pan[0] + dx / 2, this.pan[1] + dy / 2]
        this.zoom(apart > 0 ? now / apart : 1, (p[0] + q[0]) / 2 - r.left, (p[1] + q[1]) / 2 - r.top)
        apart = now
        return
      }
      if (!moved && Math.hypot(e.clientX - start.x, e.clientY - start.y) < (e.pointerType === 'touch' ? 9 : 4)) return
      this.held = true
      if (!moved) { moved = true; try { this.host.setPointerCapture(e.pointerId) } catch { /* it was lifted meanwhile */ } }
      this.touched = true
      if (start.pan) { this.pan = [this.pan[0] + dx, this.pan[1] + dy]; this.soon() } else this.turn(-dx * .008, dy * .008)
    })
    const up = e => {
      if (!fingers.delete(e.pointerId)) return
      if (!fingers.size) this.held = false
      if (moved) { if (!fingers.size) this.rest(); return }
      if (e.type === 'pointerup' && start && e.button === 0) {
        this.root.focus({preventScroll: true})
        this.onPick(start.key, start.key ? this.onLine(start.key, e) : 0, e)
      }
    }
    this.host.addEventListener('pointerup', up)
    this.host.addEventListener('pointercancel', up)
    this.root.addEventListener('keydown', e => {
      if (e.ctrlKey || e.metaKey || e.altKey) return
      const keys = {'+': () => this.zoom(1.25), '=': () => this.zoom(1.25), '-': () => this.zoom(.8), '0': () => { this.touched = false; this.fit() }, ',': () => this.quarter(-1), '.': () => this.quarter(1)}
      const turns = {ArrowLeft: () => this.turn(.12), ArrowRight: () => this.turn(-.12), ArrowUp: () => this.turn(0, .09), ArrowDown: () => this.turn(0, -.09)}
      const go = e.shiftKey && turns[e.key] ? turns[e.key] : keys[e.key]
      if (go) { go(); e.preventDefault() } else if (!e.shiftKey && this.onKey(e)) e.preventDefault()
    })
  }
  // How far along a line the pointer is, as a share.
  onLine(key, e) {
    const line = this.scene.lines.find(l => l.key === key)
    if (!line) return 0
    const r = this.host.getBoundingClientRect(), a = this.project(line.a), b = this.project(line.b)
    const x = e.clientX - r.left - a[0], y = e.clientY - r.top - a[1], dx = b[0] - a[0], dy = b[1] - a[1], n = dx * dx + dy * dy
    return n < 1 ? .5 : Math.min(1, Math.max(0, (x * dx + y * dy) / n))
  }
}
