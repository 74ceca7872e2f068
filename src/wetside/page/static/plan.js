// Draws one storey. Built anew after a revision; while something is dragged only places are set again.
import {svg, markShape} from './dom.js'
import {box, edges, heart, innerWalls, lengthText} from './geometry.js'
import {on, placeEmitter, placeOpening, storeyOf} from './model.js'

const path = (pts, close = true) => pts.map((p, i) => `${i ? 'L' : 'M'}${Math.round(p[0] * 1e4) / 10} ${Math.round(-p[1] * 1e4) / 10}`).join('') + (close ? 'Z' : '')
const at = p => `translate(${Math.round(p[0] * 1e4) / 10} ${Math.round(-p[1] * 1e4) / 10})`
const set = (node, attributes) => { for (const [k, v] of Object.entries(attributes)) if (v === null) node.removeAttribute(k); else node.setAttribute(k, v) }
const turn = ([x, y]) => `rotate(${-Math.atan2(y, x) * 180 / Math.PI})`
export const LAYERS = ['under', 'outer', 'floors', 'marks', 'inner', 'openings', 'emitters', 'tubes', 'supports', 'things', 'labels', 'dims', 'handles', 'draft']

export class Plan {
  constructor(sheet) {
    this.sheet = sheet
    this.g = {}
    sheet.root.append(this.defs())
    for (const name of LAYERS) sheet.root.append(this.g[name] = svg('g', {class: `layer ${name}`}))
    this.seen = {}
    sheet.onView(() => this.zoomed())
  }
  defs() {
    const p = (id, size, ...inside) => this[`pattern_${id}`] = svg('pattern', {id, width: size, height: size, patternUnits: 'userSpaceOnUse', class: `pat ${id}`}, inside)
    return svg('defs', {},
      p('pat-breaks', 13, svg('path', {d: 'M0 13L13 0M-1 1L1 -1M12 14L14 12'})),
      p('pat-near', 11, svg('circle', {cx: 5.5, cy: 5.5, r: 1.1})),
      p('pat-not-known', 20, svg('path', {d: 'M2 5H10M12 15H20'})),
      p('pat-accepted', 16, svg('path', {d: 'M0 0L16 16'})),
      p('pat-cold', 12, svg('path', {d: 'M0 0L12 12M11 -1L13 1M-1 11L1 13'})))
  }
  zoomed() {
    const u = 1000 / this.sheet.k
    for (const id of ['pat-breaks', 'pat-near', 'pat-not-known', 'pat-accepted', 'pat-cold']) this[`pattern_${id}`].setAttribute('patternTransform', `scale(${u})`)
    if (this.lastK !== this.sheet.k) { this.lastK = this.sheet.k; this.fitLabels(); this.spread() }
  }
  // Everything anew.
  render(model, storey, place, us) {
    Object.assign(this, {model, storey, place, us})
    for (const name of LAYERS) if (!['handles', 'draft', 'dims'].includes(name)) this.g[name].replaceChildren()
    this.seen = {}
    this.rows = new Map((place.rooms ?? []).map(r => [r.name, r]))
    this.sheet.heavy = on(model, storey).length > 100
    this.sheet.root.classList.toggle('heavy', this.sheet.heavy)
    const u = model.underlays.find(x => x.storey === storey)
    if (u) {
      const img = svg('image', {href: `/picture/${u.picture.split('/').map(encodeURIComponent).join('/')}`, x: u.at[0] * 1000, width: u.width_m * 1000, preserveAspectRatio: 'xMinYMax meet'})
      this.g.under.append(img)
      const probe = new Image()
      probe.onload = () => { const high = u.width_m * 1000 * probe.naturalHeight / probe.naturalWidth; set(img, {y: -u.at[1] * 1000 - high, height: high}); this.underlay = {...u, high_m: high / 1000} }
      probe.src = img.getAttribute('href')
    }
    this.sheet.root.classList.toggle('has-under', Boolean(u))
    for (const r of on(model, storey)) {
      const row = this.rows.get(r.name)
      const verdict = row?.verdict ?? ''
      const s = this.seen[r.name] = {
        outer: svg('path', {class: 'wall-out', 'stroke-width': 2 * model.wall * 1000}),
        floor: svg('path', {class: 'floor', 'data-id': `room:${r.name}`}),
        mark: svg('path', {class: `pattern ${r.heated ? verdict.replace(' ', '-') : 'cold'}`}),
        label: svg('g', {class: 'label', 'data-id': `room:${r.name}`, id: null}),
      }
      this.label(s, r, row)
      this.g.outer.append(s.outer); this.g.floors.append(s.floor); this.g.marks.append(s.mark); this.g.labels.append(s.label)
    }
    this.g.inner.append(this.innerPath = svg('path', {class: 'wall-in'}))
    this.things()
    this.update(model)
    this.tubes(place.tubes ?? [], false)
    this.supports(place.supports ?? [])
  }
  label(s, r, row) {
    const inner = svg('g', {class: 'px'})
    if (row?.verdict) inner.append(markShape(row.verdict, 0, -20, 9))
    s.name = svg('text', {class: 'room-name', y: 10, text: r.name})
    s.sum = svg('text', {class: 'room-sum', y: 28, text: this.sum(r, row)})
    inner.append(s.name, s.sum)
    s.label.replaceChildren(inner)
  }
  sum(r, row) {
    if (!row) return ''
    if (!row.heated) return `unheated, ${row.inside}`
    return row.gives === '–' ? `needs ${row.need}` : `${row.need.replace(/[^\d]*$/, '')} → ${row.gives}`
  }
  // New numbers on the labels, without touching anything else.
  numbers(rows) {
    for (const row of rows) {
      const s = this.seen[row.name]
      if (!s) continue
      const r = this.model.rooms.find(x => x.name === row.name)
      const old = this.rows.get(row.name)
      this.rows.set(row.name, row)
      const sum = this.sum(r, row)
      if (s.sum.textContent !== sum) s.sum.textContent = sum
      if (old?.verdict !== row.verdict) {
        set(s.mark, {class: `pattern ${r.heated ? row.verdict.replace(' ', '-') : 'cold'}`})
        const m = s.label.querySelector('.mark')
        if (row.verdict && m) m.replaceWith(markShape(row.verdict, 0, -20, 9))
      }
    }
  }
  // Places again, for a model that was changed by a drag.
  update(model) {
    this.model = model
    const rooms = on(model, this.storey)
    for (const r of rooms) {
      const s = this.seen[r.name]
      if (!s || s.pts === r.pts) continue
      s.pts = r.pts
      const d = path(r.pts)
      set(s.outer, {d}); set(s.floor, {d}); set(s.mark, {d})
      const h = heart(r.pts)
      s.wide = h.wide; s.high = h.high ?? box(r.pts)[3] - box(r.pts)[1]
      set(s.label, {transform: at(h.at)})
    }
    set(this.innerPath, {d: innerWalls(rooms).map(([a, b]) => path([a, b], false)).join('')})
    this.openings(); this.emitters()
    this.fitLabels()
  }
  fitLabels() {
    const k = this.sheet.k
    for (const s of Object.values(this.seen)) {
      if (!s.name) continue
      const room = s.wide * k - 12, high = s.high * k
      const need = s.name.textContent.length * 7.9, sum = s.sum.textContent.length * 6.6
      s.label.classList.toggle('tight', need > room || high < 46)
      s.label.classList.toggle('short', sum > room || high < 66)
      s.label.classList.toggle('none', room < 14 || high < 16)
    }
  }
  // Signs of equipment that would lie on each other step aside, with a thread to their place.
  spread() {
    const k = this.sheet.k, placed = []
    for (const n of [...this.g.things.children].sort((a, b) => b.classList.contains('boiler') - a.classList.contains('boiler'))) {
      const p = [n.place[0] * k, -n.place[1] * k]
      let best = [0, 0]
      search: for (const r of [0, 20, 30, 42, 56]) for (let a = 0; a < (r ? 8 : 1); a++) {
        const d = [r * Math.cos(a * Math.PI / 4 + Math.PI / 2), r * Math.sin(a * Math.PI / 4 + Math.PI / 2)]
        if (placed.every(q => Math.hypot(q[0] - p[0] - d[0], q[1] - p[1] - d[1]) > 21)) { best = d; break search }
      }
      placed.push([p[0] + best[0], p[1] + best[1]])
      n.sign.setAttribute('transform', `translate(${best[0].toFixed(1)} ${best[1].toFixed(1)})`)
      n.thread.setAttribute('d', best[0] || best[1] ? `M0 0L${best[0].toFixed(1)} ${best[1].toFixed(1)}` : '')
    }
  }
  openings() {
    const t = this.model.wall
    const kept = new Map([...this.g.openings.children].map(n => [n.dataset.id, n]))
    for (const o of this.model.openings) {
      const p = placeOpening(this.model, o)
      if (!p || p.room.storey !== this.storey) continue
      const id = `opening:${o.name}`
      let n = kept.get(id)
      if (n) kept.delete(id); else { n = svg('g', {'data-id': id, class: `opening ${o.part}`}); this.g.openings.append(n) }
      if (p.roof) { this.roof(n, p, o); continue }
      const w = o.width_m * 1000, thick = (p.inner ? .1 : t) * 1000
      const y0 = p.inner ? -50 : 0
      const sense = p.edge.along[0] * p.edge.outward[1] - p.edge.along[1] * p.edge.outward[0] > 0 ? 1 : -1
      set(n, {transform: `${at(p.edge.at(p.s0))} ${turn(p.edge.along)} scale(1 ${-sense})`})
      const key = `${w}|${thick}|${y0}|${o.part}|${p.inner}`
      if (n.key === key) continue
      n.key = key
      n.replaceChildren(svg('rect', {class: 'gap', x: 0, y: y0 - 3, width: w, height: thick + 6}))
      if (o.part === 'door') n.append(svg('path', {class: 'leaf', d: w > 1400 ? `M0 ${y0}V${y0 - w / 2}A${w / 2} ${w / 2} 0 0 1 ${w / 2} ${y0}A${w / 2} ${w / 2} 0 0 1 ${w} ${y0 - w / 2}V${y0}` : `M0 ${y0}V${y0 - w}A${w} ${w} 0 0 1 ${w} ${y0}`}), svg('path', {class: 'sill', d: `M0 ${y0}H${w}`}))
      else n.append(svg('path', {class: 'pane', d: `M0 ${y0}H${w}M0 ${y0 + thick / 2}H${w}M0 ${y0 + thick}H${w}M0 ${y0}V${y0 + thick}M${w} ${y0}V${y0 + thick}`}))
      n.append(svg('rect', {class: 'hit', x: 0, y: y0 - 40, width: w, height: thick + 80}), svg('title', {text: `${o.name}, ${lengthText(o.width_m, this.us)} wide`}))
    }
    for (const n of kept.values()) n.remove()
  }
  roof(n, p, o) {
    const w = o.width_m * 1000, h = o.height_m * 1000, m = heart(p.room.pts), far = Math.min(1.6, m.wide / 2 - o.width_m / 2 - .2), c = [m.at[0] + p.along[0] * far, m.at[1] + p.along[1] * far]
    set(n, {transform: `${at(c)} ${turn(p.along)}`, class: 'opening rooflight'})
    n.replaceChildren(svg('rect', {class: 'pane', x: -w / 2, y: -h / 2, width: w, height: h}), svg('path', {class: 'pane', d: `M${-w / 2} ${-h / 2}L${w / 2} ${h / 2}M${-w / 2} ${h / 2}L${w / 2} ${-h / 2}`}), svg('rect', {class: 'hit', x: -w / 2, y: -h / 2, width: w, height: h}), svg('title', {text: `${o.name}, rooflight`}))
  }
  emitters() {
    const kept = new Map([...this.g.emitters.children].map(n => [n.dataset.id, n]))
    for (const e of this.model.emitters) {
      const p = placeEmitter(this.model, e)
      if (!p || p.storey !== this.storey) continue
      const id = `emitter:${e.name}`
      let n = kept.get(id)
      if (n) kept.delete(id); else { n = svg('g', {'data-id': id, class: 'emitter'}); this.g.emitters.append(n) }
      const w = e.length_m * 1000, d = Math.max(70, e.depth_m * 1000)
      const sense = p.along[0] * p.look[1] - p.along[1] * p.look[0] > 0 ? -1 : 1
      set(n, {transform: `${at(p.back)} ${turn(p.along)} scale(1 ${sense})`})
      const key = `${w}|${d}|${e.kind}`
      if (n.key === key) continue
      n.key = key
      n.replaceChildren(svg('rect', {class: 'body', x: -w / 2, y: 0, width: w, height: d}))
      let lines = ''
      if (e.kind === 'column radiator') for (let x = -w / 2 + 60; x < w / 2 - 20; x += 60) lines += `M${x} 0V${d}`
      else if (e.kind === 'finned baseboard') for (let x = -w / 2 + 40; x < w / 2; x += 40) lines += `M${x} ${d * .2}V${d * .8}`
      else if (e.kind === 'towel rail') lines = `M${-w / 2} ${d / 2}H${w / 2}`
      else lines = `M${-w / 2} ${d * .3}H${w / 2}M${-w / 2} ${d * .7}H${w / 2}`
      n.append(svg('path', {class: 'ribs', d: lines}), svg('rect', {class: 'hit', x: -w / 2, y: -30, width: w, height: d + 90}), svg('title', {text: `${e.name}, ${e.kind}`}))
    }
    for (const n of kept.values()) n.remove()
  }
  things() {
    for (const t of this.model.things) {
      if (!t.at || storeyOf(this.model, t.at[2]) !== this.storey) continue
      const boiler = t.table === 'boiler'
      const sign = svg('g', {}, boiler ? svg('rect', {class: 'body', x: -13, y: -12, width: 26, height: 24}) : svg('circle', {class: 'body', r: 9}),
          svg('text', {y: boiler ? 5.5 : 4.5, class: boiler ? 'sign big' : 'sign', text: t.kind.split(' ').map(w => w[0]).join('').slice(0, 2).toUpperCase().slice(0, boiler ? 1 : 2)}),
        svg('circle', {class: 'hit', r: 14}))
      const thread = svg('path', {class: 'thread'})
      const n = svg('g', {'data-id': `${t.table}:${t.name}`, class: `thing ${t.table}`, transform: at(t.at)}, svg('g', {class: 'px'}, thread, sign), svg('title', {text: `${t.name}, ${t.kind}`}))
      Object.assign(n, {sign, thread, place: t.at})
      this.g.things.append(n)
    }
    this.spread()
  }
  // Whether a height belongs to the storey shown.
  here(z) {
    const all = this.model.storeys, s = all.findIndex(x => x.name === this.storey)
    return z >= (s <= 0 ? -Infinity : all[s].level_m - .02) && z < (s + 1 < all.length ? all[s + 1].level_m - .02 : Infinity)
  }
  // Supports of this storey: a bracket across the tube, filled where the job places it.
  supports(list) {
    this.g.supports.replaceChildren(...list.filter(s => this.here(s.at[2])).map(s => svg('g', {class: `support${s.by_hand ? ' own' : ''}`, 'data-id': `support:${s.name}`, transform: at(s.at)},
      svg('g', {class: 'px'}, svg('circle', {class: 'hit', r: s.by_hand ? 11 : 5}), svg('path', {class: 'bracket', d: s.by_hand ? 'M-4 -5.5H4V5.5H-4Z' : 'M-2.5 -4H2.5V4H-2.5Z'}), svg('title', {text: `${s.name}, ${s.kind} on ${s.run}${s.by_hand ? '' : ', put there by the program'}`})))))
  }
  placeSupport(name, p) {
    const n = [...this.g.supports.children].find(x => x.dataset.id === `support:${name}`)
    if (n) set(n, {transform: at(p)})
  }
  // Tube of this storey: flow solid, return dashed; risers as small rings with the way that they go.
  tubes(list, trial) {
    const here = z => this.here(z)
    const nodes = []
    for (const t of list) {
      let d = '', open = false
      const risers = []
      for (let i = 0; i + 1 < t.points.length; i++) {
        const [a, b] = [t.points[i], t.points[i + 1]]
        const level = Math.hypot(a[0] - b[0], a[1] - b[1]) > .005
        if (level && here((a[2] + b[2]) / 2)) { d += `${open ? '' : `M${Math.round(a[0] * 1000)} ${Math.round(-a[1] * 1000)}`}L${Math.round(b[0] * 1000)} ${Math.round(-b[1] * 1000)}`; open = true } else open = false
        if (!level && Math.abs(a[2] - b[2]) > .25 && (here(a[2]) || here(b[2]))) risers.push([a, here(a[2]) && here(b[2]) ? 0 : Math.sign(here(a[2]) ? b[2] - a[2] : a[2] - b[2])])
      }
      if (!d && !risers.length) continue
      const wide = t.size_m > .02 ? ' wide' : ''
      nodes.push(svg('g', {class: `tube ${t.side}${wide}`, 'data-id': `run:${t.run}`},
        svg('path', {class: 'hit', d}), svg('path', {class: 'line', d}),
        risers.map(([p, way]) => svg('g', {transform: `translate(${p[0] * 1000} ${-p[1] * 1000})`}, svg('g', {class: 'px riser'}, svg('circle', {r: 3.6}), way ? svg('path', {d: way > 0 ? 'M0 -9L3 -5H-3Z' : 'M0 9L3 5H-3Z'}) : null))),
        svg('title', {text: `${t.run}: ${t.leg}, ${t.side}`})))
    }
    this.g.tubes.replaceChildren(...nodes)
    this.g.tubes.classList.toggle('stale', trial)
  }
  // Lengths along the walls of one room.
  dims(room) {
    this.g.dims.replaceChildren()
    if (!room || room.pts.length < 3) return
    const b = box(room.pts)
    for (const e of edges(room.pts)) {
      if (e.length * this.sheet.k < 34 || Math.min(b[2] - b[0], b[3] - b[1]) * this.sheet.k < 88) continue
      const m = e.at(e.length / 2), back = .26 * 60 / Math.max(60, this.sheet.k)
      let deg = -Math.atan2(e.along[1], e.along[0]) * 180 / Math.PI
      if (deg > 90.01 || deg < -90.01) deg += 180
      if (Math.abs(deg - 90) < .02) deg = -90
      this.g.dims.append(svg('g', {transform: at([m[0] - e.outward[0] * back, m[1] - e.outward[1] * back]), 'data-id': `size:${room.name}:${e.i}`, class: 'dim'},
        svg('g', {class: 'px'}, svg('g', {transform: `rotate(${deg})`},
          svg('rect', {class: 'dim-back', x: -lengthText(e.length, this.us).length * 3.6 - 4, y: -9, width: lengthText(e.length, this.us).length * 7.2 + 8, height: 18}),
          svg('text', {y: 5, text: lengthText(e.length, this.us)})))))
    }
  }
  knob(p, id, label, kind, lit = false) {
    return svg('g', {transform: at(p), 'data-id': id, class: `handle ${kind}${lit ? ' on' : ''}`, role: 'button', tabindex: -1, 'aria-label': label},
      svg('g', {class: 'px'}, svg('circle', {class: 'hit', r: 22}), kind === 'corner' ? svg('rect', {x: -5, y: -5, width: 10, height: 10}) : svg('circle', {r: 4.5})))
  }
  // Handles on a picked room: corners and middles of walls, 44 pixels wide to a finger.
  handles(room, picked = null) {
    this.g.handles.replaceChildren()
    if (!room || room.pts.length < 3) return
    this.g.handles.append(svg('path', {class: 'outline', d: path(room.pts)}))
    const knob = (p, id, label, kind) => this.knob(p, id, label, kind, id === picked)
    for (const e of edges(room.pts)) this.g.handles.append(knob(e.at(e.length / 2), `wall:${room.name}:${e.i}`, `Wall ${e.i + 1}, ${e.faces}, ${lengthText(e.length, this.us)}`, 'middle'))
    room.pts.forEach((p, i) => this.g.handles.append(knob(p, `corner:${room.name}:${i}`, `Corner ${i + 1} at ${lengthText(p[0], this.us)} east, ${lengthText(p[1], this.us)} north`, 'corner')))
  }
  // Handles follow a room that is dragged.
  follow(room) {
    if (!room) return
    const line = this.g.handles.querySelector('.outline')
    if (line) set(line, {d: path(room.pts)})
    const es = edges(room.pts)
    for (const n of this.g.handles.querySelectorAll('.handle')) {
      const [kind, , i] = n.dataset.id.split(':')
      set(n, {transform: at(kind === 'corner' ? room.pts[i] : es[i].at(es[i].length / 2))})
    }
    this.dims(room)
  }
  draft(...nodes) { this.g.draft.replaceChildren(...nodes) }
  static path = path
  static at = at
}
