// The sheet by keyboard: one tab stop. Arrows go from thing to thing, Enter goes in, Enter takes hold, arrows then move.
import {attempt, commit, giveUp, many, say, set, underWay} from './page.js'
import {svg} from './dom.js'
import {edges, heart, lengthText, metres, moved, sound, wallCorners, cornersAt, written} from './geometry.js'
import {on, placeEmitter, placeOpening} from './model.js'
import {Plan} from './plan.js'
import {shapeChange} from './changes.js'
import {legsOf, lengthOfRun, pointAlong, resize} from './legs.js'
import {changeOf, holds, moved as runMoved, runOf, showRun, supportOf, supportSteps} from './runs.js'

const WAY = {ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]}
export function keyboard(ctx, tools) {
  const {sheet, plan} = ctx, root = sheet.root
  let focus = '', inside = null, held = null, typed = ''
  const node = id => root.querySelector(`[data-id="${CSS.escape(id)}"]:not(.label)`)
  const middleOf = id => {
    const [kind, ...rest] = id.split(':'), name = rest.join(':')
    if (kind === 'room') { const r = ctx.model.rooms.find(x => x.name === name); return r?.pts.length ? heart(r.pts).at : null }
    if (kind === 'support') return supportOf(ctx, name)?.at.slice(0, 2) ?? null
    if (kind === 'leg' || kind === 'bend') return holds(ctx, rest.slice(0, -1).join(':')).find(h => h.id === id)?.at.slice(0, 2) ?? null
    const t = ctx.model.things.find(x => x.table === kind && x.name === name)
    return t?.at ? [t.at[0], t.at[1]] : null
  }
  const outer = () => [...on(ctx.model, ctx.storey).map(r => `room:${r.name}`), ...[...plan.g.things.children].map(n => n.dataset.id)]
  const runs = () => [...new Set([...plan.g.tubes.children].map(n => n.dataset.id))]
  const supports = only => (ctx.page.place.supports ?? []).filter(s => (!only || s.run === only) && node(`support:${s.name}`)).map(s => `support:${s.name}`)
  // `inside` is what was gone into: a room or a run.
  const inner = id => {
    const [kind, ...rest] = id.split(':'), name = rest.join(':')
    if (kind === 'run') return [...holds(ctx, name).map(h => h.id), ...supports(name)]
    const r = ctx.model.rooms.find(x => x.name === name)
    if (!r) return []
    return [...r.pts.flatMap((_, i) => [`wall:${name}:${i}`, `corner:${name}:${i}`]), ...ctx.model.openings.filter(o => o.room === name && node(`opening:${o.name}`)).map(o => `opening:${o.name}`), ...ctx.model.emitters.filter(e => e.room === name && node(`emitter:${e.name}`)).map(e => `emitter:${e.name}`)]
  }
  // Labels and roles for what was just drawn; the one tab stop is put back where it was.
  function dress() {
    const rows = new Map((ctx.page.place.rooms ?? []).map(r => [r.name, r]))
    const us = ctx.us
    const as = (n, text) => { if (n) { n.setAttribute('role', 'button'); n.setAttribute('tabindex', '-1'); n.setAttribute('aria-label', text) } }
    for (const r of on(ctx.model, ctx.storey)) {
      const row = rows.get(r.name)
      as(node(`room:${r.name}`), row ? row.heated ? `${r.name}, ${row.area}, needs ${row.need}, gives ${row.gives}, ${row.verdict}` : `${r.name}, ${row.area}, unheated` : r.name)
    }
    for (const t of ctx.model.things) as(node(`${t.table}:${t.name}`), `${t.name}, ${t.kind}`)
    for (const o of ctx.model.openings) as(node(`opening:${o.name}`), `${o.name}, ${o.part}, ${lengthText(o.width_m, us)} wide`)
    for (const e of ctx.model.emitters) as(node(`emitter:${e.name}`), `${e.name}, ${e.kind}`)
    for (const s of ctx.page.place.supports ?? []) as(node(`support:${s.name}`), `${s.name}, ${s.kind} on ${s.run}, ${lengthText(s.along_m, us)} from its start${s.by_hand ? '' : ', put there by the program'}`)
    for (const n of plan.g.tubes.children) as(n, `Run ${n.dataset.id.slice(4)}`)
    stop()
  }
  function stop() {
    const n = focus ? node(focus) : null
    const at = n ?? node(outer()[0] ?? '') ?? root
    for (const x of root.querySelectorAll('[tabindex="0"]')) x.setAttribute('tabindex', '-1')
    root.setAttribute('tabindex', at === root ? '0' : '-1')
    at.setAttribute('tabindex', '0')
    return at
  }
  function go(id, show = true) {
    focus = id
    const at = stop()
    at.focus({preventScroll: true})
    const p = middleOf(id)
    if (show && p) sheet.show(p)
  }
  root.addEventListener('focusin', e => {
    const id = e.target.dataset?.id
    if (id) focus = id
    ring(id)
    ctx.hintKeys?.(id ? inside ? held ? 'Arrows move, Shift ten times as far, Page Up and Down raise a leg; type a length; Enter puts it down, Escape lets go.' : 'Arrows go round; Enter takes hold; Escape goes out.' : 'Arrows go from room to room; Enter goes in; Page Down to runs.' : '')
  })
  root.addEventListener('focusout', () => { ring(null); ctx.hintKeys?.('') })
  function ring(id) {
    root.querySelector('.focus-ring')?.remove()
    if (!id || !root.querySelector(':focus-visible')) return
    const [kind, ...rest] = id.split(':')
    const r = kind === 'room' && ctx.model.rooms.find(x => x.name === rest.join(':'))
    if (r) plan.g.handles.append(svg('path', {class: 'focus-ring', d: Plan.path(r.pts)}))
  }
  function next(list, way) {
    const from = middleOf(focus) ?? [sheet.x + sheet.w / sheet.k / 2, sheet.y - sheet.h / sheet.k / 2]
    return list.filter(id => id !== focus).map(id => { const p = middleOf(id); if (!p) return null; const dx = p[0] - from[0], dy = p[1] - from[1], ahead = dx * way[0] + dy * way[1], aside = Math.abs(dx * way[1]) + Math.abs(dy * way[0]); return ahead > .05 ? {id, score: ahead + aside * 2} : null }).filter(x => x).sort((a, b) => a.score - b.score)[0]?.id
  }
  const cycle = (list, step) => { if (!list.length) return; const i = list.indexOf(focus); go(list[(i + step + list.length) % list.length]) }
  function enter() {
    const [kind, ...rest] = focus.split(':'), name = rest.join(':')
    if (kind === 'room') { ctx.pickQuietly({table: 'room', name}); ctx.showCard(); inside = focus; dress(); go(inner(inside)[0], false) }
    else if (kind === 'run' && holds(ctx, name).length) { ctx.pickQuietly({table: 'run', name}); ctx.showCard(); inside = focus; dress(); go(inner(inside)[0], false) }
    else if (kind === 'support' || inside && ['wall', 'corner', 'opening', 'emitter', 'leg', 'bend'].includes(kind)) hold()
    else { ctx.pickQuietly({table: kind, name}); ctx.showCard(); document.querySelector('#card input, #card select, #card textarea')?.focus() }
  }
  // ---- holding: a wall, a corner, an opening or an emitter moved by arrows or a typed length
  function hold() {
    held = {id: focus, base: ctx.model, d: [0, 0, 0], cmd: null}
    typed = ''
    node(focus)?.classList.add('on')
    say(`${node(focus)?.getAttribute('aria-label')}: taken hold of`)
  }
  function shift(dx, dy, dz = 0) {
    const [kind, ...rest] = held.id.split(':')
    const want = [held.d[0] + dx, held.d[1] + dy, held.d[2] + dz]
    if (kind === 'leg' || kind === 'bend' || kind === 'support') { if (kind === 'support' ? slide(rest.join(':'), want) : runShift(kind, rest, want)) { held.d = want; attempt(held.cmd) } return }
    if (dz) return
    if (kind === 'wall' || kind === 'corner') {
      const i = Number(rest.pop()), name = rest.join(':'), base = held.base, room = base.rooms.find(r => r.name === name)
      let rooms = base.rooms
      if (kind === 'wall') {
        const o = edges(room.pts)[i].outward, d = want[0] * o[0] + want[1] * o[1]
        rooms = moved(rooms, wallCorners(on(base, ctx.storey), name, i), [o[0] * d, o[1] * d])
      } else rooms = moved(rooms, cornersAt(on(base, ctx.storey), room.pts[i]), want)
      if (rooms.some((r, k) => r !== base.rooms[k] && !sound(r.pts, base.rooms[k].pts))) { say('No farther', 'bad'); return }
      const next_ = {...base, rooms, openings: base.openings.map(o => ({...o})), emitters: base.emitters.map(o => ({...o}))}
      held.cmd = shapeChange(kind === 'wall' ? 'Wall moved' : 'Corner moved', base, next_, ctx.unit)
      ctx.model = next_
    } else {
      const name = rest.join(':'), list = kind === 'opening' ? 'openings' : 'emitters', x = held.base[list].find(t => t.name === name)
      const p = kind === 'opening' ? placeOpening(held.base, x) : placeEmitter(held.base, x)
      if (!p?.edge) return
      const half = kind === 'opening' ? 0 : x.length_m / 2, wide = kind === 'opening' ? x.width_m : half
      const s = Math.max(half, Math.min(p.edge.length - wide, (kind === 'opening' ? p.s0 : p.s) + want[0] * p.edge.along[0] + want[1] * p.edge.along[1]))
      ctx.model = {...held.base, [list]: held.base[list].map(t => t.name === name ? {...t, offset_m: s} : t)}
      held.cmd = many(`${name} moved`, [set(kind, name, 'offset', written(s, ctx.unit))])
    }
    held.d = want
    plan.update(ctx.model)
    plan.follow(ctx.model.rooms.find(r => `room:${r.name}` === inside))
    ctx.ring()
    if (held.cmd) attempt(held.cmd)
  }
  function runShift(kind, rest, want) {
    const name = rest.slice(0, -1).join(':'), run = runOf(ctx, name), leg = legsOf(run)[Number(rest.at(-1))]
    const d = kind === 'leg' ? want.map((v, k) => k === leg.axis ? 0 : v) : want
    const now = runMoved(ctx, held.id, d)
    if (!now) { say('No farther', 'bad'); return false }
    if (now === run) return false
    held.cmd = changeOf(ctx, kind === 'leg' ? `Leg of ${name} moved` : `Bend of ${name} moved`, now)
    showRun(ctx, now)
    return true
  }
  function slide(name, want) {
    const s = supportOf(ctx, name), run = runOf(ctx, s.run)
    const along = s.along_m + want[0] + want[1]
    if (along < 0 || along > lengthOfRun(run)) { say('No farther', 'bad'); return false }
    held.cmd = many(`${name} moved`, supportSteps(ctx, s, along))
    plan.placeSupport(name, pointAlong(run, along))
    return true
  }
  async function put() {
    plan.draft()
    const {id, cmd} = held
    if (typed) {
      const m = metres(typed, ctx.unit), [kind, ...rest] = id.split(':')
      typed = ''
      if (!Number.isFinite(m)) { say('That is no length', 'bad'); return }
      const base = held.base
      held = null
      ctx.model = base
      if (kind === 'wall') { const i = Number(rest.pop()), name = rest.join(':'), n = base.rooms.find(r => r.name === name).pts.length; await ctx.resizeSide(name, (i + n - 1) % n, m) }
      else if (kind === 'leg') {
        const name = rest.slice(0, -1).join(':'), moves = resize(runOf(ctx, name), Number(rest.at(-1)), m, ctx.page.state.written === 'us')
        if (moves) await commit(changeOf(ctx, `Leg of ${name}, ${lengthText(m, ctx.us)}`, {...runOf(ctx, name), moves})); else say('It can’t be that long: the legs after it give no more', 'bad')
      } else if (kind === 'support') await commit(many(`${rest.join(':')} moved`, supportSteps(ctx, supportOf(ctx, rest.join(':')), m)))
      else if (kind !== 'corner' && kind !== 'bend') await commit(set(kind, rest.join(':'), 'offset', written(m, ctx.unit)))
    } else { held = null; if (cmd) await commit(cmd) }
    go(id, false)
  }
  function letGo() {
    if (!held) return
    ctx.model = held.base
    const id = held.id
    held = null; typed = ''
    plan.draft()
    giveUp()
    go(id, false)
  }
  root.addEventListener('keydown', e => {
    if (e.ctrlKey || e.metaKey || e.key === 'Tab' || e.key === 'Shift') return
    const wait = underWay()
    if (wait && e.isTrusted && e.key !== 'Escape') {
      e.preventDefault()
      wait.then(() => (root.contains(document.activeElement) ? document.activeElement : root).dispatchEvent(new KeyboardEvent('keydown', {key: e.key, shiftKey: e.shiftKey, altKey: e.altKey, bubbles: true, cancelable: true})))
      return
    }
    if (ctx.dragging && e.key === 'Escape') { ctx.abort(); return }
    if (ctx.hand?.key?.(e)) { e.preventDefault(); return }
    const way = WAY[e.key]
    if (held) {
      if (way) { const step = (e.shiftKey ? 10 : 1) * ctx.grid; shift(way[0] * step, way[1] * step) }
      else if (e.key === 'PageUp' || e.key === 'PageDown') shift(0, 0, (e.key === 'PageUp' ? 1 : -1) * (e.shiftKey ? 10 : 1) * ctx.grid)
      else if (e.key === 'Enter') put()
      else if (e.key === 'Escape') letGo()
      else if (/^[\d.,'"/ ]$/.test(e.key)) { typed += e.key; say(typed) }
      else if (e.key === 'Backspace') { typed = typed.slice(0, -1); say(typed || '–') }
      else return
      e.preventDefault()
      return
    }
    if (way && e.altKey) { sheet.pan(-way[0] * 60, way[1] * 60) }
    else if (way && inside) cycle(inner(inside), way[0] + way[1] > 0 || e.key === 'ArrowDown' ? 1 : -1)
    else if (way) { const to = next(outer(), way); if (to) go(to); else sheet.pan(-way[0] * 60, way[1] * 60) }
    else if (e.key === 'PageDown') cycle([...outer(), ...runs(), ...supports()], 1)
    else if (e.key === 'PageUp') cycle([...outer(), ...runs(), ...supports()], -1)
    else if (e.key === 'Home') go(outer()[0] ?? '')
    else if (e.key === 'Enter' && focus) enter()
    else if (e.key === ' ' && focus) { const [kind, ...rest] = focus.split(':'); if (!['wall', 'corner', 'leg', 'bend'].includes(kind)) ctx.pick({table: kind, name: rest.join(':')}) }
    else if (e.key === 'Escape') {
      if (inside) { const out = inside; inside = null; go(out) } else if (ctx.tool !== 'pick') ctx.choose('pick'); else ctx.pick(null)
    } else if (e.key === 'Delete' || e.key === 'Backspace') {
      const [kind, ...rest] = focus.split(':')
      if (!focus || ['wall', 'corner', 'leg', 'bend'].includes(kind)) return
      ctx.pickQuietly({table: kind, name: rest.join(':')}); ctx.removePicked()
    } else return
    e.preventDefault()
  })
  addEventListener('keydown', e => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.defaultPrevented || e.target.closest?.('input, textarea, select, dialog')) return
    if (e.key === ' ' && e.target === document.body) { ctx.space = true; e.preventDefault(); return }
    const tool = tools.find(t => t.letter.toLowerCase() === e.key.toLowerCase())
    if (tool) { ctx.choose(tool.key); e.preventDefault(); if (tool.key === 'pick') ctx.focusSheet(); else document.querySelector('#card input, #card select')?.focus() }
    else if (e.key === '+' || e.key === '=') sheet.zoom(1.25)
    else if (e.key === '-') sheet.zoom(.8)
    else if (e.key === '0') ctx.fit()
    else if (e.key === 'Escape' && ctx.tool !== 'pick') ctx.choose('pick')
  })
  addEventListener('keyup', e => { if (e.key === ' ') ctx.space = false })
  return {dress, focus: id => { if (id) go(id); else stop().focus({preventScroll: true}) }, leave: () => { inside = null; held = null }, get holding() { return Boolean(held) }, has: () => root.contains(document.activeElement), again: () => { if (focus) go(focus, false) }}
}
