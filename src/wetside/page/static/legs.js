// A laid run as a thing to take hold of: its legs shifted, its bends moved, written again as moves. Pure: no page here.
// A leg is a straight in one direction, over whatever is fitted or teed in it.
import {metres as lengthOf} from './geometry.js'
import {BACK, near, written} from './moves.js'

const WAYS = {east: [0, 1], west: [0, -1], north: [1, 1], south: [1, -1], up: [2, 1], down: [2, -1]}
const WORD = [['west', 'east'], ['south', 'north'], ['down', 'up']]
const LEAST = 5e-4
export const STUB = .1   // tube that stays in line with a connection when the leg behind it is shifted

const goOf = text => {
  const m = /^([a-z]+(?:-[a-z]+)?)\s+(.+)$/i.exec(text.trim()), way = m?.[1].toLowerCase()
  if (!m || ['fit', 'tee', 'tube'].includes(way)) return null
  const rest = m[2].trim(), to = /^to\s+(.+)$/i.exec(rest)
  return {way, axis: WAYS[way]?.[0] ?? -1, sign: WAYS[way]?.[1] ?? 0, kind: /^(…|\.{2,4})$/.test(rest) ? 'open' : to ? 'to' : 'by', rest: to ? to[1] : rest}
}
// A coordinate as the file says it, in the job's unit.
export const level = (v, us) => us ? `${Number((v / .3048).toFixed(3))} ft` : `${Number(v.toFixed(4))} m`
const by = (axis, d, sys) => `${WORD[axis][d > 0 ? 1 : 0]} ${written(Math.abs(d), sys)}`

// {moves, stops} → its legs: [{first, last, goes, way, axis, sign, a, b, length}].
export function legsOf(run) {
  const legs = []
  run.moves.forEach((text, i) => {
    const go = goOf(text)
    if (!go) return
    const own = legs.at(-1)
    if (own && own.way === go.way) { own.last = i; own.goes.push(i); own.b = run.stops[i + 1] } else legs.push({first: i, last: i, goes: [i], way: go.way, axis: go.axis, sign: go.sign, a: run.stops[i], b: run.stops[i + 1]})
  })
  for (const l of legs) l.length = Math.hypot(...l.a.map((v, k) => v - l.b[k]))
  return legs
}
// The move `i` made longer by `d` along its axis; null where it says nothing that has to change. [] takes it out.
function longer(text, stop, d, alone, us, moved) {
  const sys = us ? 'us' : 'metric'
  const go = goOf(text)
  if (go.kind === 'open') return [text]
  if (go.kind === 'to') {
    const to = lengthOf(go.rest, us ? .3048 : 1) + (moved ? d : 0), from = stop[go.axis] + (moved ? 0 : d)
    const way = to - from
    if (Math.abs(way) < LEAST) return alone ? [] : null
    if (Math.sign(way) !== go.sign && !alone) return null
    return [`${WORD[go.axis][way > 0 ? 1 : 0]} to ${moved ? level(to, us) : go.rest}`]
  }
  const whole = lengthOf(go.rest, us ? .3048 : 1) * go.sign + (moved ? d : -d)
  if (Math.abs(whole) < LEAST) return alone ? [] : null
  if (Math.sign(whole) !== go.sign && !alone) return null
  return [by(go.axis, whole, sys)]
}
// The legs `g0` to `g1` moved by `d` metres along an axis that none of them goes along: the leg before grows, the leg
// after shrinks, and where there is none along that axis a new one is put in. {moves, ahead: legs put in before them};
// null where it can't go so far.
export function shift(run, g0, g1, axis, d, us) {
  const legs = legsOf(run), sys = us ? 'us' : 'metric'
  if (g0 > g1 || Math.abs(d) < LEAST || legs.slice(g0, g1 + 1).some(l => l.axis === axis || l.axis < 0)) return null
  const out = run.moves.map(m => [m])
  const before = legs[g0 - 1], after = legs[g1 + 1]
  let ahead = before ? before.axis === axis ? 0 : 1 : 2
  if (before?.axis === axis) {
    const i = before.goes.at(-1), made = longer(run.moves[i], run.stops[i], d, before.first === before.last, us, true)
    if (!made) return null
    if (!made.length) ahead = -1
    out[i] = made
  } else if (before) out[legs[g0].first].unshift(by(axis, d, sys))
  else {
    const own = legs[g0], i = own.goes[0], stub = Math.min(STUB, own.length / 3), rest = longer(run.moves[i], run.stops[i], stub * own.sign, false, us, false)
    if (!rest) return null
    out[i] = [`${own.way} ${written(stub, sys)}`, by(axis, d, sys), ...rest]
  }
  if (after?.axis === axis) {
    const i = after.goes[0], made = longer(run.moves[i], run.stops[i], d, after.first === after.last, us, false)
    if (!made) return null
    out[i] = made
  } else if (after) out[legs[g1].last].push(by(axis, -d, sys))
  else {
    const own = legs[g1], i = own.last, stub = Math.min(STUB, own.length / 3), open = goOf(run.moves[i]).kind === 'open'
    const whole = Math.hypot(...run.stops[i + 1].map((v, k) => v - run.stops[i][k]))
    // what was said of this move last may have been split at its beginning already
    const had = out[i].at(-1), go = goOf(had)
    const most = own.first === own.last && !before ? whole - Math.min(STUB, own.length / 3) : whole
    if (!run.end) return {moves: out.flat(), ahead}
    out[i] = [...out[i].slice(0, -1), `${own.way} ${written(most - stub, sys)}`, by(axis, -d, sys), open || go.kind === 'to' ? had : `${own.way} ${written(stub, sys)}`]
  }
  return {moves: out.flat(), ahead}
}

// Which legs a bend between leg `j` − 1 and leg `j` takes along when it moves along an axis.
export function taken(legs, j, axis) {
  let g0 = j, g1 = j - 1
  while (g0 > 0 && legs[g0 - 1].axis !== axis) { g0--; if (legs[g0].axis !== 2) break }
  while (g1 < legs.length - 1 && legs[g1 + 1].axis !== axis) { g1++; if (legs[g1].axis !== 2) break }
  return [g0, g1]
}
// A level leg takes the upright ones beside it along, unless they hang on a connection; an upright leg goes alone.
export function together(legs, g, axis) {
  let g0 = g, g1 = g
  if (axis === 2) {
    while (g0 > 0 && legs[g0 - 1].axis !== 2) g0--
    while (g1 < legs.length - 1 && legs[g1 + 1].axis !== 2) g1++
    return [g0, g1]
  }
  while (g0 > 1 && legs[g0 - 1].axis === 2 && legs[g0 - 2].axis === axis) g0--
  while (g1 < legs.length - 2 && legs[g1 + 1].axis === 2 && legs[g1 + 2].axis === axis) g1++
  return [g0, g1]
}
// A leg made `length` long: what comes after it moves along.
export function resize(run, g, length, us) {
  const legs = legsOf(run), own = legs[g], d = (length - own.length) * own.sign
  if (own.axis < 0 || !(length > .02)) return null
  let g1 = g
  while (g1 < legs.length - 1 && legs[g1 + 1].axis !== own.axis) g1++
  if (g1 === g) {
    // the last leg of a run that ends free
    if (run.end) return null
    const made = longer(run.moves[own.last], run.stops[own.last], d, true, us, true)
    return made ? run.moves.flatMap((m, i) => i === own.last ? made : [m]) : null
  }
  return shift(run, g + 1, g1, own.axis, d, us)?.moves ?? null
}

// The moves with `extra` put in, `along` metres from the beginning of leg `g`.
export function putIn(run, g, along, extra, us) {
  const sys = us ? 'us' : 'metric', own = legsOf(run)[g]
  let rest = along
  for (const i of own.goes) {
    const whole = Math.hypot(...run.stops[i + 1].map((v, k) => v - run.stops[i][k])), last = i === own.last
    if (rest > whole + 1e-3 && !last) { rest -= whole; continue }
    const before = run.moves.slice(0, i), after = run.moves.slice(i + 1)
    if (rest < 1e-3) return [...before, ...extra, run.moves[i], ...after]
    if (rest > whole - 1e-3) return [...before, run.moves[i], ...extra, ...after]
    const step = near(rest, sys) || rest, go = goOf(run.moves[i])
    const first = go.kind === 'to' ? `${own.way} to ${level(run.stops[i][own.axis] + step * own.sign, us)}` : `${own.way} ${written(step, sys)}`
    return [...before, first, ...extra, go.kind === 'by' ? `${own.way} ${written(whole - step, sys)}` : run.moves[i], ...after]
  }
  return [...run.moves, ...extra]
}

// Where a run's moves lead, with what is open taken up so that it ends where it ended.
export function walked(moves, from, end, us) {
  const gos = moves.map(goOf), at = [...from], free = [0, 1, 2].map(k => gos.findIndex(g => g?.kind === 'open' && g.axis === k))
  const step = (g, at) => g.kind === 'to' ? lengthOf(g.rest, us ? .3048 : 1) - at[g.axis] : g.kind === 'by' ? lengthOf(g.rest, us ? .3048 : 1) * g.sign : 0
  const total = [...from]
  for (const g of gos) if (g && g.axis >= 0) total[g.axis] += step(g, total)
  const stops = [[...from]]
  gos.forEach((g, i) => {
    if (g && g.axis >= 0) at[g.axis] += g.kind === 'open' ? (i === free[g.axis] && end ? end[g.axis] - total[g.axis] : 0) : step(g, at)
    stops.push([...at])
  })
  return stops
}
// What a change of one run does to those that hang on its tees, and on theirs: their other ends stay where they are.
// {run name: moves}, the run itself among them.
export function follow(runs, name, moves, us) {
  const state = new Map([[name, {moves, start: [0, 0, 0], end: [0, 0, 0]}]]), queue = [name]
  for (let turns = 0; queue.length && turns < 300; turns++) {
    const at = queue.shift(), run = runs.find(r => r.name === at), own = state.get(at)
    if (run.moves.some(t => goOf(t)?.axis === -1)) continue
    const now = walked(own.moves, run.stops[0].map((v, k) => v + own.start[k]), run.end ? run.stops.at(-1).map((v, k) => v + own.end[k]) : null, us)
    run.moves.forEach((text, i) => {
      const m = /^tee\s+(.+)$/.exec(text.trim()), k = m ? own.moves.indexOf(text) : -1
      if (k < 0) return
      const d = now[k + 1].map((v, x) => v - run.stops[i + 1][x]), ref = `${run.name}.${m[1].trim()}`
      for (const r of runs) for (const side of ['start', 'end']) {
        if (r[side] !== ref || r.name === name) continue
        const known = state.get(r.name) ?? {moves: r.moves, start: [0, 0, 0], end: [0, 0, 0]}
        if (known[side].every((v, x) => Math.abs(v - d[x]) < LEAST)) continue
        const next = {...known, [side]: d}
        state.set(r.name, {...next, moves: hang(r, next.start, next.end, us)})
        if (!queue.includes(r.name)) queue.push(r.name)
      }
    })
  }
  return Object.fromEntries([...state].filter(([n, s]) => n === name || s.moves.join('\n') !== runs.find(r => r.name === n).moves.join('\n')).map(([n, s]) => [n, s.moves]))
}
// A run whose ends were moved: what is open takes it up; else the first leg that way, or the last, or a leg put in.
function hang(run, start, end, us) {
  let moves = run.moves
  const sys = us ? 'us' : 'metric'
  for (const axis of [0, 1, 2]) {
    const s = start[axis], e = run.end ? end[axis] : s
    const gos = moves.map((t, i) => ({i, go: goOf(t)})).filter(x => x.go?.axis === axis)
    if (gos.some(x => x.go.kind === 'open')) continue
    const fixed = gos.some(x => x.go.kind === 'to')
    if (!fixed && Math.abs(s - e) < LEAST) continue // it goes along as a whole
    const change = (i, d, far) => {
      const stops = walked(moves, run.stops[0].map((v, k) => v + (far ? start[k] : 0)), run.end ? run.stops.at(-1) : null, us)
      const made = longer(moves[i], stops[i], d, true, us, far)
      if (!made) return false
      moves = moves.flatMap((t, k) => k === i ? made : [t])
      return true
    }
    const put = (at, d) => {
      const own = goOf(moves[at - 1]), stub = Math.min(STUB, Math.hypot(...run.stops[at].map((v, k) => v - run.stops[at - 1][k])) / 3)
      // the last leg comes at its end as it did before
      const rest = moves.slice(at).some(t => goOf(t)) ? null : longer(moves[at - 1], run.stops[at - 1], stub * own.sign, false, us, false)
      moves = rest ? [...moves.slice(0, at - 1), `${own.way} ${written(stub, sys)}`, by(axis, d, sys), ...rest, ...moves.slice(at)] : [...moves.slice(0, at), by(axis, d, sys), ...moves.slice(at)]
    }
    const first = moves.findIndex(t => goOf(t))
    // the end first, so that the numbers of what comes before it stay
    if (Math.abs(e) > LEAST && run.end && !(gos.length && change(gos.at(-1).i, e, true))) put(first + 1, e)
    if (Math.abs(s) > LEAST && !(fixed && gos[0].go.kind === 'to')) {
      const one = moves.findIndex(t => goOf(t)?.axis === axis)
      if (one < 0 || !change(one, s, false)) put(first + 1, -s)
    }
  }
  return moves
}

// The point of a run that is nearest to a place on the plan: {leg, i, along (from the run's start), at, off}.
export function nearest(run, p, here = () => true) {
  let best = null, along = 0
  const legs = legsOf(run)
  run.moves.forEach((text, i) => {
    const [a, b] = [run.stops[i], run.stops[i + 1]], n = Math.hypot(...a.map((v, k) => v - b[k]))
    if (n > 1e-6) {
      const flat = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
      const t = flat > 1e-9 ? Math.min(1, Math.max(0, ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / flat)) : .5
      const at = a.map((v, k) => v + (b[k] - v) * t), off = Math.hypot(at[0] - p[0], at[1] - p[1]) + (flat > 1e-9 ? 0 : .01)
      if (here(at[2]) && (!best || off < best.off - 1e-6)) best = {i, leg: legs.findIndex(l => l.first <= i && i <= l.last), along: along + n * t, at, off}
    }
    along += n
  })
  return best
}
export const pointAlong = (run, along) => {
  let rest = along
  for (let i = 0; i + 1 < run.stops.length; i++) {
    const [a, b] = [run.stops[i], run.stops[i + 1]], n = Math.hypot(...a.map((v, k) => v - b[k]))
    if (rest <= n && n > 0) return a.map((v, k) => v + (b[k] - v) * rest / n)
    rest -= n
  }
  return run.stops.at(-1)
}
export const lengthOfRun = run => run.stops.slice(1).reduce((t, p, i) => t + Math.hypot(...p.map((v, k) => v - run.stops[i][k])), 0)
export {BACK, goOf, near}
