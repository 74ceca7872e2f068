// What the pointer does on the sheet, tool by tool. Each tool also has an exact entry at the side (see `entries.js`).
import {attempt, commit, giveUp, many, say, set, settle} from './page.js'
import {svg} from './dom.js'
import {cornersAt, dist, edges, feetInches, lengthText, moved, project, sound, wallCorners, wallWord, written, round} from './geometry.js'
import {guides, nearestWall, on, placeEmitter, placeOpening, snapPoint, storeyOf} from './model.js'
import {Plan} from './plan.js'
import {shapeChange} from './changes.js'
import {legsOf, nearest} from './legs.js'
import {runDrag, runOf, supportDrag} from './runs.js'

const START = 4
export function pointers(ctx) {
  const {sheet, plan} = ctx, root = sheet.root
  const down = new Map()
  let act = null, pinch = null

  root.addEventListener('contextmenu', e => e.preventDefault())
  root.addEventListener('pointerdown', e => {
    if (e.button === 2) return
    root.setPointerCapture(e.pointerId)
    down.set(e.pointerId, [e.clientX, e.clientY])
    if (down.size === 2) { abort(); const [a, b] = [...down.values()]; pinch = {far: Math.hypot(a[0] - b[0], a[1] - b[1]), mid: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]}; return }
    if (down.size > 2) return
    const p = sheet.at(e)
    act = e.button === 1 || ctx.space ? panning(e) : (ctx.tool === 'pick' ? grab(e, p) : ctx.hand?.down?.(p, e)) ?? panning(e)
    if (act) Object.assign(act, {x: e.clientX, y: e.clientY, p, moving: act.now ?? false})
  })
  root.addEventListener('pointermove', e => {
    sheet.pointer = sheet.at(e)
    if (!down.has(e.pointerId)) { ctx.hand?.hover?.(sheet.pointer, e); hover(e); sheet.draw(); return }
    down.set(e.pointerId, [e.clientX, e.clientY])
    if (pinch && down.size >= 2) {
      const [a, b] = [...down.values()], far = Math.hypot(a[0] - b[0], a[1] - b[1]), mid = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]
      sheet.pan(mid[0] - pinch.mid[0], mid[1] - pinch.mid[1])
      sheet.zoom(far / pinch.far, ...mid)
      pinch = {far, mid}
      return
    }
    if (!act) return
    if (!act.moving && Math.hypot(e.clientX - act.x, e.clientY - act.y) < START) return
    if (!act.moving) { act.moving = true; act.begin?.() ; ctx.dragging = act.drags !== false }
    act.move?.(sheet.at(e), e)
    sheet.draw()
  })
  // what is dragged follows the hand at once, not with the next frame
  let last = 0
  root.addEventListener('pointerrawupdate', e => {
    if (!act?.moving || act.drags === false || pinch || !down.has(e.pointerId) || e.timeStamp - last < 12) return
    last = e.timeStamp
    act.move?.(sheet.at(e), e)
  })
  const up = e => {
    if (!down.delete(e.pointerId)) return
    if (pinch) { if (down.size < 2) pinch = null; act = null; return }
    const was = act
    act = null
    ctx.dragging = false
    root.classList.remove('panning')
    if (!was) return
    if (e.type === 'pointercancel') was.abort?.()
    else if (was.moving) was.drop?.(sheet.at(e), e)
    else was.click?.(sheet.at(e), e)
    ctx.after?.()
  }
  root.addEventListener('pointerup', up)
  root.addEventListener('pointercancel', up)
  function abort() { if (act?.moving) act.abort?.(); act = null; ctx.dragging = false; root.classList.remove('panning') }
  ctx.abort = () => { const had = Boolean(act?.moving && act.drags !== false); abort(); return had }

  function panning(e) {
    let last = [e.clientX, e.clientY]
    return {
      drags: false,
      begin: () => root.classList.add('panning'),
      move: (p, ev) => { sheet.pan(ev.clientX - last[0], ev.clientY - last[1]); last = [ev.clientX, ev.clientY] },
      click: () => ctx.tool === 'pick' && ctx.pick(null),
    }
  }
  const reach = e => (e.pointerType === 'touch' ? 16 : 7) / sheet.k
  function hover(e) {
    root.classList.remove('over-wall', 'over-ew', 'over-ns')
    if (ctx.tool !== 'pick' || e.target.closest?.('.handle, .opening, .emitter, .thing, .tube, .support')) return
    const w = nearestWall(ctx.model, ctx.storey, sheet.pointer, reach(e))
    if (w) root.classList.add(Math.abs(w.edge.along[0]) < .05 ? 'over-ew' : Math.abs(w.edge.along[1]) < .05 ? 'over-ns' : 'over-wall')
  }

  // ---- the pick tool
  function grab(e, p) {
    const id = e.target.closest?.('[data-id]')?.dataset.id ?? ''
    const [kind, ...rest] = id.split(':'), name = rest.join(':')
    if (kind === 'corner') return cornerDrag(rest.slice(0, -1).join(':'), Number(rest.at(-1)))
    if (kind === 'wall') return wallDrag(rest.slice(0, -1).join(':'), Number(rest.at(-1)), e.shiftKey)
    if (kind === 'size') return {click: () => ctx.editSide(rest.slice(0, -1).join(':'), Number(rest.at(-1)))}
    if (kind === 'opening') return slide('opening', name)
    if (kind === 'emitter') return slide('emitter', name)
    if (ctx.model.things.some(t => t.table === kind && t.name === name)) return thingDrag(kind, name)
    if (kind === 'leg' || kind === 'bend') return runDrag(ctx, id, p)
    if (kind === 'support') return supportDrag(ctx, name)
    if (kind === 'run') return tubeGrab(e, name, p)
    const w = nearestWall(ctx.model, ctx.storey, p, reach(e))
    if (w) return {...wallDrag(w.room.name, w.edge.i, e.shiftKey), click: () => ctx.pick({table: 'room', name: kind === 'room' ? name : w.room.name})}
    if (kind === 'room') {
      if (ctx.picked?.table === 'room' && ctx.picked.name === name) return {...roomDrag(name), click: () => ctx.pick({table: 'room', name})}
      return {...panning(e), click: () => ctx.pick({table: 'room', name})}
    }
    return null
  }
  // A tube: a click picks its run, with the leg that was clicked; once picked, that leg is dragged.
  function tubeGrab(e, name, p) {
    const run = runOf(ctx, name), near = run && nearest(run, p, z => plan.here(z)), leg = near && legsOf(run)[near.leg]
    const click = () => { if (leg) ctx.leg = {name, g: near.leg, along: Math.hypot(...leg.a.map((v, k) => v - near.at[k]))}; ctx.pick({table: 'run', name}) }
    if (!leg || leg.axis === 2 || leg.axis < 0 || ctx.picked?.table !== 'run' || ctx.picked.name !== name) return {...panning(e), click}
    return {...runDrag(ctx, `leg:${name}:${near.leg}`, p), click}
  }
  // A drag that changes outlines: `next(p, e)` gives the rooms of the moment.
  function outlineDrag(said, pickName, next) {
    let base = null, last = null, cmd = null
    return {
      begin: () => { base = ctx.model; if (pickName) ctx.pickQuietly({table: 'room', name: pickName}) },
      move: (p, e) => {
        const rooms = next(p, e, base)
        if (!rooms) return
        last = {...base, rooms, openings: base.openings.map(o => ({...o})), emitters: base.emitters.map(o => ({...o}))}
        cmd = shapeChange(said, base, last, ctx.unit)
        ctx.model = last
        plan.update(last)
        plan.follow(last.rooms.find(r => r.name === ctx.picked?.name))
        attempt(cmd ?? set('storey', ctx.storey, 'name', ctx.storey))
      },
      drop: async () => { plan.draft(); if (cmd) await commit(cmd); else back() },
      abort: () => back(),
    }
    function back() { settle(); ctx.model = base; plan.draft(); giveUp() }
  }
  function wallDrag(name, i, alone) {
    let corners, edge, list, from
    return outlineDrag('Wall moved', name, (p, e, base) => {
      if (!corners) {
        const room = base.rooms.find(r => r.name === name)
        edge = edges(room.pts)[i]
        corners = wallCorners(on(base, ctx.storey), name, i, alone)
        list = guides(base, ctx.storey)
        from = act?.p ?? p
      }
      let d = (p[0] - from[0]) * edge.outward[0] + (p[1] - from[1]) * edge.outward[1]
      d = snapWall(edge, d, list, e)
      const rooms = moved(base.rooms, corners, [edge.outward[0] * d, edge.outward[1] * d])
      if (!allSound(base.rooms, rooms)) return null
      guide(edge, d)
      return rooms
    })
  }
  function snapWall(edge, d, list, e) {
    if (e?.altKey) return round(d, .001)
    const flat = Math.abs(edge.along[1]) < 1e-6 ? 1 : Math.abs(edge.along[0]) < 1e-6 ? 0 : -1
    if (flat < 0) return round(d, ctx.grid)
    const at = edge.a[flat] + edge.outward[flat] * d, own = edge.a[flat]
    const near = (flat ? list.ys : list.xs).filter(v => Math.abs(v - own) > .001).map(v => [Math.abs(v - at), v]).sort((a, b) => a[0] - b[0])[0]
    const to = near && near[0] < 8 / sheet.k ? near[1] : round(at, ctx.grid)
    return (to - own) * edge.outward[flat]
  }
  function guide(edge, d) {
    const far = 200, a = edge.at(-far), b = edge.at(edge.length + far), o = edge.outward
    plan.draft(svg('path', {class: 'guide', d: Plan.path([[a[0] + o[0] * d, a[1] + o[1] * d], [b[0] + o[0] * d, b[1] + o[1] * d]], false)}))
  }
  const allSound = (before, after) => after.every((r, i) => r === before[i] || r.pts.length < 3 || sound(r.pts, before[i].pts))
  function cornerDrag(name, i) {
    let start, list
    return outlineDrag('Corner moved', name, (p, e, base) => {
      const room = base.rooms.find(r => r.name === name)
      start ??= room.pts[i]
      list ??= guides(base, ctx.storey, [name])
      const to = e?.altKey ? p.map(v => round(v, .001)) : snapPoint(p, list, 8 / sheet.k, ctx.grid).p
      const es = edges(room.pts), n = es.length, two = [es[(i + n - 1) % n], es[i]]
      const square = two.every(x => Math.abs(x.along[0]) < 1e-6 || Math.abs(x.along[1]) < 1e-6)
      let rooms = base.rooms
      if (square) for (const edge of two) {
        const flat = Math.abs(edge.along[1]) < 1e-6 ? 1 : 0, d = [0, 0]
        d[flat] = to[flat] - start[flat]
        rooms = moved(rooms, wallCorners(on({...base, rooms}, ctx.storey), name, edge.i), d)
      } else rooms = moved(rooms, cornersAt(on(base, ctx.storey), start), [to[0] - start[0], to[1] - start[1]])
      return allSound(base.rooms, rooms) ? rooms : null
    })
  }
  function roomDrag(name) {
    let from, list
    return outlineDrag('Room moved', name, (p, e, base) => {
      const room = base.rooms.find(r => r.name === name)
      from ??= act?.p ?? p
      list ??= guides(base, ctx.storey, [name])
      let d = [p[0] - from[0], p[1] - from[1]]
      if (!e?.altKey) {
        d = [0, 1].map(k => {
          const tries = room.pts.flatMap(c => (k ? list.ys : list.xs).map(v => v - c[k])).filter(v => Math.abs(v - d[k]) < 8 / sheet.k).sort((a, b) => Math.abs(a - d[k]) - Math.abs(b - d[k]))
          return tries[0] ?? round(room.pts[0][k] + d[k], ctx.grid) - room.pts[0][k]
        })
      }
      return moved(base.rooms, room.pts.map((_, k) => [name, k]), d)
    })
  }
  // Windows, doors and emitters slide along walls and over to other walls.
  function slide(table, name) {
    let base, cmd, off = 0
    const list = table === 'opening' ? 'openings' : 'emitters'
    const find = m => m[list].find(x => x.name === name)
    const click = () => ctx.pick({table, name})
    const first = find(ctx.model)
    if (first?.wall === 'roof') return {click}
    if (table === 'emitter' && first?.at) return freeDrag(name, click)
    return {
      click,
      begin: () => {
        base = ctx.model
        ctx.pickQuietly({table, name})
        const placed = table === 'opening' ? placeOpening(base, find(base)) : placeEmitter(base, find(base))
        if (placed) off = project(placed.edge, act?.p ?? [0, 0]).s - (table === 'opening' ? (placed.s0 + placed.s1) / 2 : placed.s)
      },
      move: (p, e) => {
        const thing = find(base), wide = table === 'opening' ? thing.width_m : thing.length_m
        const w = nearestWall(base, ctx.storey, p, table === 'opening' ? .8 : 1.2)
        if (!w || w.edge.length < wide) return
        const word = wallWord(w.room.pts, w.edge.i)
        const same = w.room.name === thing.room && word === thing.wall
        let mid = w.s - (same ? off : 0)
        if (!e.altKey) { mid = Math.abs(mid - w.edge.length / 2) < 8 / sheet.k ? w.edge.length / 2 : round(mid, ctx.grid) }
        mid = Math.max(wide / 2, Math.min(w.edge.length - wide / 2, mid))
        const offset = table === 'opening' ? mid - wide / 2 : mid
        const changed = {...thing, room: w.room.name, wall: word, offset_m: offset}
        ctx.model = {...base, [list]: base[list].map(x => x.name === name ? changed : x)}
        const steps = [set(table, name, 'offset', written(offset, ctx.unit))]
        if (word !== thing.wall) steps.unshift(set(table, name, 'wall', word))
        if (w.room.name !== thing.room) steps.unshift(set(table, name, 'room', w.room.name))
        cmd = many(`${name} moved`, steps)
        plan.update(ctx.model)
        ctx.ring()
        attempt(cmd)
      },
      drop: async () => { if (cmd) await commit(cmd) },
      abort: () => { ctx.model = base; giveUp() },
    }
  }
  function freeDrag(name, click) {
    let base, cmd
    return {
      click, begin: () => { base = ctx.model; ctx.pickQuietly({table: 'emitter', name}) },
      move: (p, e) => {
        const to = e.altKey ? p : p.map(v => round(v, ctx.grid)), was = base.emitters.find(x => x.name === name)
        const at = [...to, was.at[2]]
        ctx.model = {...base, emitters: base.emitters.map(x => x.name === name ? {...x, at} : x)}
        cmd = set('emitter', name, 'at', at.map(v => written(v, ctx.unit)))
        plan.update(ctx.model); attempt(cmd)
      },
      drop: async () => { if (cmd) await commit(cmd) }, abort: () => { ctx.model = base; giveUp() },
    }
  }
  function thingDrag(table, name) {
    let base, cmd
    const node = () => plan.g.things.querySelector(`[data-id="${CSS.escape(`${table}:${name}`)}"]`)
    return {
      click: () => ctx.pick({table, name}), begin: () => { base = ctx.model; ctx.pickQuietly({table, name}) },
      move: (p, e) => {
        const was = base.things.find(t => t.table === table && t.name === name)
        const to = e.altKey ? p.map(v => round(v, .001)) : p.map(v => round(v, ctx.grid))
        const at = [...to, was.at[2]]
        ctx.model = {...base, things: base.things.map(t => t.table === table && t.name === name ? {...t, at} : t)}
        cmd = set(table, name, 'at', at.map(v => written(v, ctx.unit)))
        node()?.setAttribute('transform', Plan.at(at))
        ctx.ring()
        attempt(cmd)
      },
      drop: async () => { if (cmd) await commit(cmd) }, abort: () => { ctx.model = base; giveUp() },
    }
  }
}

// ---- tools in hand: drawing. Each gives {down(p, e), hover(p, e), key(e)} and an exact entry.
export const label = (p, text) => svg('g', {transform: Plan.at(p)}, svg('g', {class: 'px'}, svg('text', {class: 'draft-text', y: -9, text})))
export const dot = p => svg('g', {transform: Plan.at(p)}, svg('g', {class: 'px'}, svg('circle', {class: 'draft-dot', r: 4})))
export {dist, feetInches, lengthText, say, storeyOf}
