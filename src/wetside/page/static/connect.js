// An emitter joined to its mains in one action: a flow branch and a return branch, each from the tee of its name or from
// the nearest place of the main, square to it.
import {add, commit, many, say, set} from './page.js'
import {svg} from './dom.js'
import {legsOf, nearest, putIn} from './legs.js'
import {reach} from './moves.js'
import {entryCard} from './cards.js'
import {Plan} from './plan.js'

const owner = ref => String(ref ?? '').split('.')[0], portOf = ref => String(ref ?? '').split('.')[1] ?? ''
// Whether a run carries flow or return: where it comes from, or goes to, in the end.
export function sideOf(runs, run, seen = 0) {
  const up = runs.find(r => r.name === owner(run.start)), down = runs.find(r => r.name === owner(run.end))
  if (up && seen < 20) { const s = sideOf(runs, up, seen + 1); if (s) return s }
  if (!up && /flow/.test(portOf(run.start))) return 'flow'
  if (!up && /return/.test(portOf(run.start))) return 'return'
  if (down && seen < 20) return sideOf(runs, down, seen + 1)
  return /return/.test(portOf(run.end)) ? 'return' : ''
}
// A main on the side that the tube doesn't leave to is only second best.
const behind = (port, at) => port.faces === 'down' && at[2] > port.at[2] - .02 || port.faces === 'up' && at[2] < port.at[2] + .02
export function connectHand(ctx) {
  const place = ctx.page.place, runs = place.runs ?? [], us = ctx.page.state.written === 'us', sys = us ? 'us' : 'metric'
  const written = place.tables.run ?? []
  const free = place.ports.filter(p => !p.used), names = (place.tables.emitter ?? []).map(e => e.name).filter(n => free.some(p => p.ref === `${n}.flow`) || free.some(p => p.ref === `${n}.return`))
  const first = ctx.picked?.table === 'emitter' && names.includes(ctx.picked.name) ? ctx.picked.name : names[0] ?? ''
  const mains = side => runs.filter(r => sideOf(written, r) === side)
  const branch = written.filter(r => owner(r.start) !== 'boiler' && (legsOf(runs.find(x => x.name === r.name) ?? {moves: [], stops: []}).length < 5)).at(-1) ?? written.at(-1)
  // the place on a main: its free tee of the emitter's name, else the nearest of its level legs
  const find = (side, name, only) => {
    const port = place.ports.find(p => p.ref === `${name}.${side}`)
    if (!port) return null
    const found = mains(side).filter(r => (!only || r.name === only) && owner(r.start) !== name && owner(r.end) !== name).map(r => {
      const i = r.moves.findIndex(m => m === `tee ${name}`), legs = legsOf(r)
      if (i >= 0 && !written.some(x => x.start === `${r.name}.${name}` || x.end === `${r.name}.${name}`)) return {r, at: r.stops[i + 1], leg: legs.findLast(l => l.first < i) ?? legs[0], tee: name, off: -1}
      const q = nearest(r, port.at), leg = q && legs[q.leg]
      return leg && leg.axis !== 2 && leg.axis >= 0 ? {r, at: q.at, leg, g: q.leg, tee: null, off: Math.hypot(q.at[0] - port.at[0], q.at[1] - port.at[1]) + Math.abs(q.at[2] - port.at[2]) + (behind(port, q.at) ? 9 : 0)} : null
    }).filter(x => x).sort((a, b) => a.off - b.off)
    return found[0] ? {...found[0], port} : null
  }
  const entry = entryCard(ctx, 'Connect', 'an emitter to its mains', [
    {key: 'emitter', label: 'Emitter', kind: 'choice', choices: names, value: first}, {key: 'tube', label: 'Tube', kind: 'choice', choices: place.tubes_known, value: branch?.tube ?? (us ? 'copper L 1/2' : 'copper 15')},
    {key: 'flow', label: 'Flow main', kind: 'choice', choices: ['', ...mains('flow').map(r => r.name)], value: ''}, {key: 'return', label: 'Return main', kind: 'choice', choices: ['', ...mains('return').map(r => r.name)], value: ''},
    {key: 'insulation', label: `Insulation, ${us ? 'in' : 'mm'}`, kind: 'number', value: branch?.insulation ?? ''},
  ], {word: 'Connect', go: v => join(v), live: v => show(v), note: names.length ? 'No main said: the one with a free tee of the emitter’s name, else the nearest. Its valves are those that the emitter says.' : 'Every emitter is connected.'})
  function show(v) {
    const spots = ['flow', 'return'].map(s => find(s, v.emitter, v[s])).filter(x => x)
    ctx.plan.draft(...spots.flatMap(s => [svg('path', {class: 'draft-line open', d: Plan.path([s.at, s.port.at], false)})]))
  }
  async function join(v) {
    if (!v.emitter) { say('Every emitter is connected', 'bad'); return }
    const steps = [], moves = new Map(), taken = written.map(r => r.name)
    for (const side of ['flow', 'return']) {
      if (!free.some(p => p.ref === `${v.emitter}.${side}`)) continue
      const s = find(side, v.emitter, v[side])
      if (!s) { say(`There is no ${side} main with a level leg yet: lay it first, or click the tube by hand`, 'bad'); return }
      const main = s.r
      if (!s.tee) {
        const along = Math.hypot(...s.leg.a.map((x, k) => x - s.at[k]))
        moves.set(main.name, putIn(main, s.g, along, [`tee ${v.emitter}`], us))
      }
      let name = `${v.emitter} ${side}`
      while (taken.includes(name)) name += 'b'
      const ref = `${main.name}.${v.emitter}`
      const way = side === 'flow' ? reach(s.at, s.leg.way, s.port.at, s.port.faces, sys) : home(s.port, s.at, s.leg)
      const rest = v.insulation ? {insulation: v.insulation} : {}
      steps.push(add('run', side === 'flow' ? {name, tube: v.tube, start: ref, end: s.port.ref, ...rest, moves: way} : {name, tube: v.tube, start: s.port.ref, end: ref, ...rest, moves: way}))
    }
    const mainSteps = [...moves].map(([name, m]) => set('run', name, 'moves', m))
    if (await commit(many(`${v.emitter} connected`, [...mainSteps, ...steps]))) ctx.finish('connect', {table: 'emitter', name: v.emitter}, 'connect')
  }
  // From an emitter to a main: to the main's height first, then along it, then square into it.
  function home(port, at, leg) {
    const d = at.map((x, k) => x - port.at[k]), word = k => [['west', 'east'], ['south', 'north'], ['down', 'up']][k][d[k] > 0 ? 1 : 0]
    const out = [], upright = ['up', 'down'].includes(port.faces), across = leg.axis === 0 ? 1 : 0
    const height = `${word(2)} to ${us ? `${Number((at[2] / .3048).toFixed(3))} ft` : `${Number(at[2].toFixed(3))} m`}`
    const far = k => Math.abs(d[k]) > 2e-3
    // straight above or below it, or in line with it: the last leg comes down or up into the tee
    if (upright && !far(across)) return far(leg.axis) ? [`${port.faces} ${us ? '4 in' : '100 mm'}`, `${word(leg.axis)} ...`, `${word(2)} ...`] : [`${word(2)} ...`]
    if (upright && behind(port, at)) {
      return [`${port.faces} ${us ? '4 in' : '100 mm'}`, ...(far(leg.axis) ? [`${word(leg.axis)} ...`] : []), `${word(across)} ...`, `${word(2)} ...`]
    }
    if (upright) out.push(height)
    else out.push(`${port.faces} ${us ? '4 in' : '100 mm'}`, height)
    if (far(leg.axis)) out.push(`${word(leg.axis)} ...`)
    if (far(across)) out.push(`${word(across)} ...`)
    return out
  }
  show({emitter: first})
  return {
    hint: 'Click an emitter, or choose it at the side.',
    down: (_p, e) => {
      const id = e.target.closest?.('[data-id^="emitter:"]')?.dataset.id
      return {drags: false, click: () => { const name = id?.slice(8); if (names.includes(name)) { const v = {...entry.values(), emitter: name}; ctx.plan.draft(); join(v) } else say(id ? `${name} is connected` : 'Click an emitter', 'bad') }}
    },
  }
}
