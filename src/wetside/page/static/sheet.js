// The drafting sheet: zoom and pan, rulers on two edges, grid, snap. Model metres [east, north] ↔ screen pixels.
import {svg, el} from './dom.js'

export class Sheet {
  // `host` is a positioned element that the sheet fills.
  constructor(host) {
    this.host = host
    this.k = 80            // pixels per metre
    this.x = 0; this.y = 0 // metres at the left upper corner; y is north
    this.root = svg('svg', {class: 'sheet', role: 'group', 'aria-label': 'Plan'})
    this.grid = svg('path', {class: 'grid'})
    this.fine = svg('path', {class: 'grid fine'})
    this.root.append(this.fine, this.grid)
    this.rulers = el('canvas', {class: 'rulers', 'aria-hidden': 'true'})
    host.append(this.root, this.rulers)
    this.us = false
    this.listeners = []
    this.size()
    // on paper the sheet keeps the view that it has, made to fit
    new ResizeObserver(() => { if (!matchMedia('print').matches) { this.size(); this.draw() } }).observe(host)
    addEventListener('wetside-theme', () => this.draw())
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.draw())
    this.root.addEventListener('wheel', e => {
      e.preventDefault()
      if (e.shiftKey) this.pan(-(e.deltaY || e.deltaX), 0)
      else if (!e.ctrlKey && Math.abs(e.deltaX) > Math.abs(e.deltaY)) this.pan(-e.deltaX, 0)
      else this.zoom(Math.exp(-e.deltaY * (e.ctrlKey ? .01 : .0016)), e.clientX, e.clientY)
    }, {passive: false})
  }
  onView(fn) { this.listeners.push(fn) }
  size() {
    const r = this.host.getBoundingClientRect()
    this.w = Math.max(40, r.width); this.h = Math.max(40, r.height)
    const d = devicePixelRatio || 1
    this.rulers.width = Math.round(this.w * d); this.rulers.height = Math.round(this.h * d)
    this.rulers.style.width = `${this.w}px`; this.rulers.style.height = `${this.h}px`
  }
  // model metres under a pointer
  at(e) {
    const r = this.host.getBoundingClientRect()
    return [this.x + (e.clientX - r.left) / this.k, this.y - (e.clientY - r.top) / this.k]
  }
  toScreen([x, y]) { return [(x - this.x) * this.k, (this.y - y) * this.k] }
  fit([x0, y0, x1, y1], edge = 64) {
    const wide = Math.max(.5, x1 - x0), high = Math.max(.5, y1 - y0)
    this.k = Math.min((this.w - 2 * edge) / wide, (this.h - 2 * edge) / high, 400)
    this.k = Math.max(2, this.k)
    this.x = (x0 + x1) / 2 - this.w / this.k / 2 + 10 / this.k
    this.y = (y0 + y1) / 2 + this.h / this.k / 2 + 8 / this.k
    this.draw()
  }
  pan(dx, dy) { this.x -= dx / this.k; this.y += dy / this.k; this.draw() }
  zoom(by, cx = null, cy = null) {
    const r = this.host.getBoundingClientRect()
    const px = cx === null ? this.w / 2 : cx - r.left, py = cy === null ? this.h / 2 : cy - r.top
    const mx = this.x + px / this.k, my = this.y - py / this.k
    this.k = Math.min(1200, Math.max(2, this.k * by))
    this.x = mx - px / this.k; this.y = my + py / this.k
    this.draw()
  }
  show([x, y]) {
    const [sx, sy] = this.toScreen([x, y])
    if (sx < 60 || sy < 60 || sx > this.w - 60 || sy > this.h - 60) { this.x = x - this.w / this.k / 2; this.y = y + this.h / this.k / 2; this.draw() }
  }
  draw() { this.due ||= requestAnimationFrame(() => { this.due = 0; this.now() }) }
  // steps of the grid: a whole and its parts, in metres
  steps() {
    const unit = this.us ? .3048 : 1
    const raw = 64 / this.k / unit
    const whole = (this.us ? [1, 2, 5, 10, 20, 50, 100] : [.1, .2, .5, 1, 2, 5, 10, 20, 50]).find(s => s >= raw) ?? 100
    const parts = this.us ? (whole === 1 ? 4 : whole) : whole === .1 || whole === 1 || whole === 10 ? 10 : whole === .2 || whole === 2 || whole === 20 ? 4 : 5
    return {whole: whole * unit, part: whole * unit / Math.min(parts, 10), unit}
  }
  now() {
    const {k, x, y, w, h} = this
    const {whole, part} = this.steps()
    if (this.heavy && this.drawn && this.drawn.w === w && this.drawn.h === h && (this.drawn.k !== k || this.drawn.x !== x || this.drawn.y !== y)) {
      // a large plan: what is drawn is moved as a picture, and drawn anew when the hand rests
      const d = this.drawn
      this.root.style.transform = `translate(${(d.x - x) * k}px, ${(y - d.y) * k}px) scale(${k / d.k})`
      this.ruler(whole, part)
      clearTimeout(this.rest)
      this.rest = setTimeout(() => { this.drawn = null; this.now() }, 150)
      return
    }
    this.drawn = {k, x, y, w, h}
    this.root.style.transform = ''
    const key = `${k}|${x}|${y}|${w}|${h}|${this.us}`
    if (key === this.key) { this.ruler(whole, part); return }
    this.key = key
    this.root.setAttribute('viewBox', `${x * 1000} ${-y * 1000} ${w / k * 1000} ${h / k * 1000}`)
    if (this.k !== this.lastK) { this.lastK = k; this.root.style.setProperty('--u', 1000 / k) }
    const lines = (step, skip) => {
      let d = ''
      for (let i = Math.ceil(x / step); i * step < x + w / k; i++) if (!skip || i % skip) d += `M${i * step * 1000} ${-y * 1000}v${h / k * 1000}`
      for (let i = Math.ceil((y - h / k) / step); i * step < y; i++) if (!skip || i % skip) d += `M${x * 1000} ${-i * step * 1000}h${w / k * 1000}`
      return d
    }
    this.grid.setAttribute('d', lines(whole))
    this.fine.setAttribute('d', part * k > 7 ? lines(part, Math.round(whole / part)) : '')
    this.ruler(whole, part)
    for (const fn of this.listeners) fn(this)
  }
  ruler(whole, part) {
    const c = this.rulers.getContext('2d'), d = devicePixelRatio || 1, css = getComputedStyle(document.documentElement)
    const {k, x, y, w, h} = this, B = 24
    c.setTransform(d, 0, 0, d, 0, 0)
    c.clearRect(0, 0, w, h)
    c.fillStyle = css.getPropertyValue('--sheet')
    c.fillRect(0, 0, w, B); c.fillRect(0, 0, B, h)
    c.strokeStyle = css.getPropertyValue('--line')
    c.beginPath(); c.moveTo(B, B + .5); c.lineTo(w, B + .5); c.moveTo(B + .5, B); c.lineTo(B + .5, h); c.stroke()
    c.strokeStyle = c.fillStyle = css.getPropertyValue('--mute')
    c.font = '500 12.5px "Barlow Condensed", sans-serif'
    const text = v => this.us ? `${Math.round(v / .3048 * 100) / 100}′` : String(Math.round(v * 100) / 100).replace('-', '−')
    c.beginPath()
    const fine = part * k > 5
    for (let i = Math.ceil(x / part); i * part < x + w / k; i++) {
      const px = Math.round((i * part - x) * k) + .5
      const major = Math.abs(i * part / whole - Math.round(i * part / whole)) < 1e-6
      if (px < B || (!major && !fine)) continue
      c.moveTo(px, B); c.lineTo(px, major ? 6 : B - 4)
      if (major) c.fillText(text(i * part), px + 3, 14)
    }
    for (let i = Math.ceil((y - h / k) / part); i * part < y; i++) {
      const py = Math.round((y - i * part) * k) + .5
      const major = Math.abs(i * part / whole - Math.round(i * part / whole)) < 1e-6
      if (py < B || (!major && !fine)) continue
      c.moveTo(B, py); c.lineTo(major ? 6 : B - 4, py)
      if (major) { c.save(); c.translate(14, py - 3); c.rotate(-Math.PI / 2); c.fillText(text(i * part), 0, 0); c.restore() }
    }
    c.stroke()
    if (this.pointer) {
      const [px, py] = this.toScreen(this.pointer)
      c.strokeStyle = css.getPropertyValue('--plum'); c.lineWidth = 2
      c.beginPath(); c.moveTo(px, 0); c.lineTo(px, B); c.moveTo(0, py); c.lineTo(B, py); c.stroke(); c.lineWidth = 1
    }
    c.fillStyle = css.getPropertyValue('--sheet'); c.fillRect(0, 0, B, B)
    c.fillStyle = css.getPropertyValue('--mute'); c.fillText(this.us ? 'ft' : 'm', 7, 16)
  }
}
