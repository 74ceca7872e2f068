// Laid runs in the plan: the picked run's legs and bends are taken hold of, its card edits a leg exactly, supports slide.
import {add, attempt, commit, giveUp, many, remove, say, set, settle, unset} from './page.js'
import {el, svg} from './dom.js'
import {lengthText, metres, round, written} from './geometry.js'
import {freshName, freshNumber} from './model.js'
import {follow, legsOf, lengthOfRun, nearest, pointAlong, putIn, resize, shift, taken, together, walked} from './legs.js'
import {freshTee, near, reach, written as spoken} from './moves.js'
import {Plan} from './plan.js'
import {entryCard} from './cards.js'

export const SUPPORTS = ['clip', 'standoff', 'hanger', 'riser clamp', 'anchor', 'guide']
export const runOf = (ctx, name) => (ctx.page.place.runs ?? []).find(r => r.name === name)
export const supportOf = (ctx, name) => (ctx.page.place.supports ?? []).find(s => s.name === name)
const jobUs = ctx => ctx.page.state.written === 'us'
const system = ctx => ctx.page.state.written

// What can be held of a run on this storey: {id, at, label}; bends first, then the middles of its level legs.
export function holds(ctx, name) {
  const run = runOf(ctx, name)
  if (!run) return []
  const legs = legsOf(run), found = [], flat = (p, q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < .005
  legs.forEach((l, g) => {
    if (l.axis < 0) return
    if (l.axis !== 2 && ctx.plan.here(l.a[2])) found.push({id: `leg:${name}:${g}`, kind: 'middle', at: l.a.map((v, k) => (v + l.b[k]) / 2), label: `Leg ${g + 1} of ${name}, ${l.way}, ${lengthText(l.length, ctx.us)}, at height ${lengthText(l.a[2], ctx.us)}`})
    if (g && l.axis >= 0 && ctx.plan.here(l.a[2]) && !flat(l.a, run.stops[0]) && !(run.end && flat(l.a, run.stops.at(-1))) && !found.some(x => x.kind === 'corner' && flat(x.at, l.a))) found.push({id: `bend:${name}:${g}`, kind: 'corner', at: l.a, label: `Bend ${g} of ${name}`})
  })
  if (!run.end) { const l = legs.at(-1); if (l && l.axis !== 2 && l.axis >= 0 && ctx.plan.here(l.b[2])) found.push({id: `bend:${name}:${legs.length}`, kind: 'corner', at: l.b, label: `Free end of ${name}`}) }
  return found
}
// The run with something of it moved by `d` [east, north, up]: its moves, or null where it can't go so far.
export function moved(ctx, id, d) {
  const [kind, ...rest] = id.split(':'), g = Number(rest.pop()), name = rest.join(':'), run = runOf(ctx, name), us = jobUs(ctx)
  let now = run, at = g
  for (const axis of [0, 1, 2]) {
    if (Math.abs(d[axis]) < 5e-4) continue
    const legs = legsOf(now), last = legs.at(-1)
    const [g0, g1] = kind === 'bend' ? taken(legs, at, axis) : together(legs, at, axis)
    let made
    if (g0 > g1) { const moves = resize(now, legs.length - 1, last.length + d[axis] * last.sign, us); made = moves && {moves, ahead: 0} } // a free end, along its leg
    else if (legs.slice(g0, g1 + 1).some(l => l.axis === axis)) continue
    else made = shift(now, g0, g1, axis, d[axis], us)
    if (!made) return null
    at += made.ahead
    now = {...run, moves: made.moves, stops: walked(made.moves, run.stops[0], run.end ? run.stops.at(-1) : null, us)}
  }
  return now
}
export function changeOf(ctx, said, run) {
  const all = follow(ctx.page.place.runs, run.name, run.moves, jobUs(ctx))
  return many(said, Object.entries(all).map(([name, moves]) => set('run', name, 'moves', moves)))
}
export function showRun(ctx, run, id = null) {
  ctx.plan.draft(svg('path', {class: 'draft-line open', d: Plan.path(run.stops, false)}))
  if (id) ctx.plan.g.handles.querySelector(`[data-id="${CSS.escape(id)}"]`)?.classList.add('on')
}
// Handles of the picked run.
export function handles(ctx, name) {
  for (const h of holds(ctx, name)) ctx.plan.g.handles.append(ctx.plan.knob(h.at, h.id, h.label, h.kind))
}

// ---- by pointer
export function runDrag(ctx, id, p0) {
  const [kind, ...rest] = id.split(':'), g = Number(rest.pop()), name = rest.join(':')
  const run = runOf(ctx, name)
  if (!run) return null
  const own = legsOf(run)[g]
  let cmd = null
  return {
    click: () => { ctx.leg = {name, g: kind === 'leg' ? g : Math.min(g, legsOf(run).length - 1), along: null}; ctx.pick({table: 'run', name}) },
    move: (p, e) => {
      let d = [p[0] - p0[0], p[1] - p0[1]]
      if (kind === 'leg') d = own.axis === 0 ? [0, d[1]] : [d[0], 0]
      const from = kind === 'leg' ? own.a : own ? own.a : legsOf(run).at(-1).b
      d = d.map((v, k) => v === 0 ? 0 : e.altKey ? round(v, .001) : round(from[k] + v, ctx.grid) - from[k])
      const now = moved(ctx, id, [...d, 0])
      if (!now) { ctx.hint('No farther: what is fitted there needs its tube'); return }
      ctx.hint(d.map((v, k) => Math.abs(v) > 5e-4 ? `${lengthText(Math.abs(v), ctx.us)} ${[['west', 'east'], ['south', 'north']][k][v > 0 ? 1 : 0]}` : '').filter(x => x).join(', '))
      cmd = now === run ? null : changeOf(ctx, kind === 'leg' ? `Leg of ${name} moved` : `Bend of ${name} moved`, now)
      showRun(ctx, now)
      if (cmd) attempt(cmd); else giveUp()
    },
    drop: async () => { ctx.plan.draft(); if (cmd) await commit(cmd); else giveUp() },
    abort: () => { settle(); ctx.plan.draft(); giveUp() },
  }
}
// A support slides along its run; one that the program put becomes the job's own.
export function supportSteps(ctx, s, along) {
  const said = spoken(near(along, system(ctx)), system(ctx)), steps = []
  if (!s.by_hand) return [add('support', {name: freshNumber(supportNames(ctx), 'H'), run: s.run, kind: s.kind, along: said})]
  const raw = (ctx.page.place.tables.support ?? []).find(x => x.name === s.name)
  if (raw?.at !== undefined) steps.push(unset('support', s.name, 'at'))
  return [...steps, set('support', s.name, 'along', said)]
}
const supportNames = ctx => [...(ctx.page.place.tables.support ?? []), ...(ctx.page.place.supports ?? [])].map(s => s.name)
export function supportDrag(ctx, name) {
  const s = supportOf(ctx, name), run = s && runOf(ctx, s.run)
  let cmd = null
  if (!run) return null
  return {
    click: () => ctx.pick({table: 'support', name}),
    move: p => {
      const q = nearest(run, p, z => ctx.plan.here(z))
      if (!q) return
      const along = Math.min(lengthOfRun(run), near(q.along, system(ctx)))
      cmd = many(`${name} moved`, supportSteps(ctx, s, along))
      ctx.plan.placeSupport(name, pointAlong(run, along))
      ctx.hint(`${lengthText(along, ctx.us)} from the start of ${run.name}`)
    },
    drop: async () => { if (cmd) await commit(cmd) },
    abort: () => ctx.plan.supports(ctx.page.place.supports ?? []),
  }
}

// ---- the tool that holds a tube
export function holdHand(ctx) {
  const runs = (ctx.page.place.runs ?? []), name = freshNumber(supportNames(ctx), 'H')
  const first = ctx.picked?.table === 'run' ? ctx.picked.name : runs[0]?.name ?? ''
  const last = (ctx.page.place.tables.support ?? []).at(-1)?.kind ?? 'clip'
  const entry = entryCard(ctx, 'Hold', 'click a tube, or say where', [
    {key: 'name', label: 'Name', kind: 'text', value: name}, {key: 'kind', label: 'Support', kind: 'choice', choices: SUPPORTS, value: last},
    {key: 'run', label: 'Run', kind: 'choice', choices: runs.map(r => r.name), value: first}, {key: 'along', label: 'From its start', kind: 'length', value: ''},
  ], {word: 'Hold it', go: v => v.along === null ? say('Say how far along the run', 'bad') : put(runOf(ctx, v.run), v.along), live: v => { const r = runOf(ctx, v.run); if (r && v.along > 0) spot(pointAlong(r, v.along)); else ctx.plan.draft() },
    note: 'Supports that the program puts itself are drawn thin; those of the job are filled.'})
  const spot = at => ctx.plan.draft(svg('g', {transform: Plan.at(at)}, svg('g', {class: 'px'}, svg('circle', {class: 'port', r: 8}))))
  async function put(run, along) {
    const v = entry.values()
    if (!run || !v) return
    if (along < 0 || along > lengthOfRun(run) + 1e-3) { say(`${run.name} is ${lengthText(lengthOfRun(run), ctx.us)} long`, 'bad'); return }
    const own = v.name || name
    if (await commit(many(`${own} placed`, [add('support', {name: own, run: run.name, kind: v.kind, along: spoken(near(along, system(ctx)), system(ctx))})]))) ctx.finish('hold', {table: 'support', name: own}, 'hold')
  }
  const find = (p, only = null) => runs.filter(r => !only || r.name === only).map(r => ({r, q: nearest(r, p, z => ctx.plan.here(z))})).filter(x => x.q && x.q.off < 14 / ctx.sheet.k).sort((a, b) => a.q.off - b.q.off)[0]
  return {
    hint: 'Click the tube where it is to be held.',
    hover: p => { const f = find(p); if (f) { spot(f.q.at); ctx.hint(`${f.r.name}, ${lengthText(f.q.along, ctx.us)} from its start`) } else ctx.plan.draft() },
    down: () => ({drags: false, click: p => { const f = find(p); if (f) { ctx.plan.draft(); put(f.r, f.q.along) } else say('Click on a tube', 'bad') }}),
  }
}

// ---- the card of a picked run
export function legParts(ctx, name) {
  const run = runOf(ctx, name)
  if (!run) return [el('p', {class: 'mute', text: 'Its legs can be taken hold of once it can be laid.'})]
  const legs = legsOf(run), us = jobUs(ctx), sys = system(ctx)
  if (ctx.leg?.name !== name || !legs[ctx.leg.g]) ctx.leg = {name, g: Math.max(0, legs.findIndex(l => l.axis !== 2 && ctx.plan.here(l.a[2]))), along: null}
  const g = ctx.leg.g, leg = legs[g], unit = ctx.unit
  const pick = el('select', {'aria-label': `Leg of ${name}`}, legs.map((l, i) => el('option', {value: i, text: `${i + 1}: ${l.way} ${lengthText(l.length, ctx.us)}`, selected: i === g})))
  pick.onchange = () => { ctx.leg = {name, g: Number(pick.value), along: null}; ctx.showCard() }
  const field = (label, v, apply) => {
    const input = el('input', {value: lengthText(v, ctx.us), 'aria-label': label, autocomplete: 'off'})
    input.addEventListener('focus', () => input.select())
    input.addEventListener('change', async () => {
      const m = metres(input.value.replace(/′/g, "'").replace(/″/g, '"'), unit)
      if (!Number.isFinite(m)) { say(`"${input.value}" is no length`, 'bad'); input.value = lengthText(v, ctx.us); return }
      if (Math.abs(m - v) < 5e-4) return
      const now = apply(m)
      if (!now || !await commit(changeOf(ctx, `${name}, ${label.toLowerCase()}`, now))) { if (!now) say('It can’t go there: the legs beside it give no more', 'bad'); input.value = lengthText(v, ctx.us) }
    })
    input.addEventListener('keydown', e => { if (e.key === 'Enter') { input.blur(); input.focus() } })
    return el('label', {}, label, input)
  }
  const by = (axis, m) => { const d = [0, 0, 0]; d[axis] = m; const now = moved(ctx, `leg:${name}:${g}`, d); return now === run ? null : now }
  const fields = leg.axis < 0 ? [] : [
    field('Length', leg.length, m => { const made = resize(run, g, m, us); return made && {...run, moves: made} }),
    ...(leg.axis !== 0 ? [field('East', leg.a[0], m => by(0, m - leg.a[0]))] : []), ...(leg.axis !== 1 ? [field('North', leg.a[1], m => by(1, m - leg.a[1]))] : []),
    ...(leg.axis !== 2 ? [field('Height', leg.a[2], m => by(2, m - leg.a[2]))] : []),
  ]
  return [
    el('div', {class: 'leg-pick'}, el('span', {text: 'Leg'}), pick), el('div', {class: 'sizes'}, fields), fitHere(ctx, run, legs, g, sys),
  ]
}
// What was chosen last stays chosen, also when the card is built anew meanwhile.
const chosen = {}
function select(label, choices, usual) {
  const now = choices.includes(chosen[label]) ? chosen[label] : usual
  return el('select', {'aria-label': label, title: label, onchange: e => { chosen[label] = e.target.value }}, choices.map(c => el('option', {value: c, text: c, selected: c === now})))
}
// What is put in at a point of the leg: a valve or fitting, a branch, a support.
function fitHere(ctx, run, legs, g, sys) {
  const leg = legs[g], place = ctx.page.place
  const along = el('input', {value: spoken(near(ctx.leg.along ?? leg.length / 2, sys), sys), 'aria-label': 'Distance from where this leg begins', class: 'short', autocomplete: 'off', oninput: () => { const m = metres(along.value, sys === 'us' ? .3048 : .001); if (Number.isFinite(m)) ctx.leg.along = m }})
  const where = () => {
    const m = metres(along.value, sys === 'us' ? .3048 : .001)
    if (!Number.isFinite(m) || m < 0 || m > leg.length + 1e-3) { say(`Give a distance from 0 to ${spoken(leg.length, sys)}`, 'bad'); along.focus(); return null }
    return m
  }
  const put = (extra, said, more = []) => { const m = where(); return m === null ? false : commit(many(said, [set('run', run.name, 'moves', putIn(run, g, m, extra, sys === 'us')), ...more])) }
  const item = select('What to fit', place.items_known, 'isolating valve'), free = place.ports.filter(p => !p.used && p.faces)
  const to = select('Branch to', ['capped', ...free.map(p => p.ref)], 'capped'), holds_ = select('Support', SUPPORTS, 'clip')
  const act = (label, field, onclick) => el('div', {class: 'act'}, field, el('button', {type: 'button', class: 'plain', text: label, onclick}))
  const branch = () => {
    const m = where()
    if (m === null) return
    const tee = freshTee(run.moves.map(text => ({text}))), p = free.find(x => x.ref === to.value), from = leg.a.map((v, k) => v + (leg.b[k] - v) * near(m, sys) / leg.length)
    const name = freshName((place.tables.run ?? []).map(r => r.name), p ? p.ref.replace('.', ' ') : `${run.name} ${tee}`)
    const way = p ? reach(from, leg.way, p.at, p.faces, sys) : [`${leg.axis === 2 ? 'south' : 'up'} ${sys === 'us' ? '6 in' : '150 mm'}`]
    put([`tee ${tee}`], `Branch ${name}`, [add('run', {name, tube: run.tube, start: `${run.name}.${tee}`, moves: way, ...(p ? {end: p.ref} : {})})])
  }
  const hold = () => {
    const m = where()
    if (m === null) return
    const before = lengthOfRun({...run, stops: run.stops.slice(0, leg.first + 1)})
    const own = freshNumber(supportNames(ctx), 'H')
    commit(many(`${own} placed`, [add('support', {name: own, run: run.name, kind: holds_.value, along: spoken(near(before + m, sys), sys)})]))
  }
  return el('div', {class: 'put-in'}, el('div', {class: 'leg-pick'}, el('span', {text: 'At'}), along, el('span', {class: 'mute', text: `of ${lengthText(leg.length, ctx.us)}, from where it begins`})),
    act('Fit it here', item, () => put([`fit ${item.value}`], `${item.value} fitted`)), act('Tap in a branch', to, branch), act('Hold it here', holds_, hold))
}
// The card of a picked support: its place along the run; the program's own can be made the job's.
export function supportParts(ctx, name) {
  const s = supportOf(ctx, name), run = s && runOf(ctx, s.run)
  if (!run) return []
  const input = el('input', {value: spoken(near(s.along_m, system(ctx)), system(ctx)), 'aria-label': `${name}, distance from the start of ${s.run}`, autocomplete: 'off'})
  const apply = () => {
    const m = metres(input.value, system(ctx) === 'us' ? .3048 : .001)
    if (!Number.isFinite(m) || m < 0 || m > lengthOfRun(run)) { say(`Give a distance from 0 to ${spoken(lengthOfRun(run), system(ctx))}`, 'bad'); return }
    commit(many(`${name} moved`, supportSteps(ctx, s, m)))
  }
  input.addEventListener('change', apply)
  input.addEventListener('keydown', e => { if (e.key === 'Enter') { input.blur(); input.focus() } })
  return [
    el('p', {text: `${s.kind[0].toUpperCase()}${s.kind.slice(1)} on ${s.run}${s.by_hand ? '' : ', put there by the program'}`}),
    el('div', {class: 'sizes'}, el('label', {}, 'From the start', input)),
    s.by_hand ? null : el('button', {type: 'button', class: 'plain', text: 'Make it part of the job', onclick: () => commit(many(`${name} kept`, supportSteps(ctx, s, s.along_m)))}),
  ]
}
export {remove, written}
