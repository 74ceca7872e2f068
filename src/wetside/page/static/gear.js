// Tools in hand for the wet side: emitter, boiler, gear, tube; and the picture to draw over.
import {add, attempt, commit, giveUp, many, say, set} from './page.js'
import {el, svg} from './dom.js'
import {dist, lengthText, metres, round, wallWord, written} from './geometry.js'
import {freshName, freshNumber, nearestWall, nextName, on} from './model.js'
import {Plan} from './plan.js'
import {entryCard} from './cards.js'
import {dot, label} from './tools.js'
import {spell} from './moves.js'

// A length of the file as metres, whether a bare number or text.
const metresOf = (ctx, v) => { const m = v === undefined ? NaN : metres(String(v), ctx.unit); return Number.isFinite(m) ? m : null }
const W = (ctx, v) => written(v, ctx.unit)
const level = ctx => ctx.model.storeys.find(s => s.name === ctx.storey)?.level_m ?? 0
const named = (ctx, t) => (ctx.page.place.tables[t] ?? []).map(x => x.name)
const allNames = ctx => ['boiler', 'circulator', 'item', 'emitter', 'tank', 'vessel', 'relief', 'equipment', 'run'].flatMap(t => named(ctx, t))

export function emitterHand(ctx) {
  const rooms = on(ctx.model, ctx.storey).map(r => r.name)
  const name = nextName(allNames(ctx), ctx.page.place.tables.emitter?.at(-1)?.name) ?? freshNumber(allNames(ctx), 'R')
  const first = ctx.picked?.table === 'room' ? ctx.picked.name : rooms[0] ?? ''
  const like = ctx.page.place.tables.emitter?.at(-1) ?? {}, drawn = ctx.model.emitters.at(-1)
  const entry = entryCard(ctx, 'Emitter', 'click a wall, or say where', [
    {key: 'name', label: 'Name', kind: 'text', value: name},
    {key: 'kind', label: 'Kind', kind: 'choice', choices: ['panel radiator', 'column radiator', 'towel rail', 'finned baseboard'], value: like.kind ?? 'panel radiator'},
    {key: 'output', label: 'Output (panel, rail), at 50 K', kind: 'number', value: like.output ?? '1000 W'}, {key: 'sections', label: 'Sections (column)', kind: 'number', value: like.sections ?? '10'},
    {key: 'style', label: 'Type in the trade table, if any', kind: 'text', value: like.style ?? ''},
    {key: 'each', label: 'One section gives', kind: 'number', value: like.watts_per_section ?? '100 W'}, {key: 'per', label: 'Fins give (baseboard)', kind: 'number', value: like.output_per_length ?? '560 W/m'},
    {key: 'length', label: 'Length', kind: 'length', value: drawn?.length_m ?? 1}, {key: 'height', label: 'Height', kind: 'length', value: metresOf(ctx, like.height) ?? .6},
    {key: 'depth', label: 'Depth', kind: 'length', value: drawn?.depth_m ?? .1}, {key: 'above', label: 'Above the floor', kind: 'length', value: metresOf(ctx, like.above_floor) ?? .15},
    {key: 'room', label: 'Room', kind: 'choice', choices: rooms, value: first}, {key: 'wall', label: 'Wall', kind: 'choice', choices: ['south', 'east', 'north', 'west', '1', '2', '3', '4', '5', '6', '7', '8'], value: 'south'},
    {key: 'offset', label: 'First corner to its middle', kind: 'length', value: ''},
  ], {word: 'Add emitter', go: v => put(v.room, /^\d+$/.test(v.wall) ? Number(v.wall) : v.wall, v.offset)})
  const fit = () => { const k = entry.inputs.kind.value; for (const [key, kinds] of Object.entries({output: ['panel radiator', 'towel rail'], sections: ['column radiator'], style: ['column radiator'], each: ['column radiator'], per: ['finned baseboard']})) entry.inputs[key].closest('.entry-field').hidden = !kinds.includes(k) }
  entry.inputs.kind.addEventListener('change', fit)
  fit()
  async function put(room, wall, offset) {
    const v = entry.values()
    if (!v) return
    const own = {'panel radiator': {output: v.output}, 'towel rail': {output: v.output}, 'column radiator': {sections: v.sections, ...(v.style ? {style: v.style} : {watts_per_section: v.each})}, 'finned baseboard': {output_per_length: v.per, mean_water: like.mean_water ?? (ctx.page.state.written === 'us' ? 180 : '65 degC')}}[v.kind]
    // fittings as at the last of its kind; the first of a kind gets the usual ones
    const alike = (ctx.page.place.tables.emitter ?? []).filter(e => e.kind === v.kind).at(-1)
    const usual = v.kind === 'finned baseboard' ? {} : {flow_valve: v.kind === 'towel rail' ? 'isolating valve' : 'thermostatic valve', return_valve: 'lockshield valve', lockshield_kv: '0.5 Kv'}
    const fitted = alike ? Object.fromEntries(['flow_at', 'return_at', 'flow_valve', 'return_valve', 'lockshield_kv', 'exponent', 'panels'].filter(k => k in alike).map(k => [k, alike[k]])) : usual
    const small = x => ctx.page.state.written === 'us' ? Math.round(x / .0254 * 1e3) / 1e3 : Math.round(x * 1e4) / 10
    const values = {
      name: v.name || name, room, kind: v.kind, ...own, length: W(ctx, v.length), height: W(ctx, v.height), depth: small(v.depth ?? .1), wall, ...(offset ? {offset: W(ctx, offset)} : {}), above_floor: W(ctx, v.above ?? .15), ...fitted,
    }
    if (await commit(many(`${values.name} placed`, [add('emitter', values)]))) ctx.finish('emitter', {table: 'emitter', name: values.name}, 'emitter')
  }
  const spot = (p, e) => {
    const v = entry.values(), w = nearestWall(ctx.model, ctx.storey, p, 1)
    if (!w || !v || w.edge.length < v.length) return null
    let s = w.s
    if (!e.altKey) s = Math.abs(s - w.edge.length / 2) < 10 / ctx.sheet.k ? w.edge.length / 2 : round(s, ctx.grid)
    s = Math.max(v.length / 2, Math.min(w.edge.length - v.length / 2, s))
    return {w, s, half: v.length / 2, centred: Math.abs(s - w.edge.length / 2) < 1e-6}
  }
  return {
    hint: 'Click the wall that it stands on, from the room’s side.',
    hover: (p, e) => { const s = spot(p, e); if (!s) { ctx.plan.draft(); return } const o = s.w.edge.outward, off = q => [q[0] - o[0] * .1, q[1] - o[1] * .1]; ctx.plan.draft(svg('path', {class: 'picked-ring', d: Plan.path([off(s.w.edge.at(s.s - s.half)), off(s.w.edge.at(s.s + s.half))], false)})) },
    down: () => ({drags: false, click: (p, e) => { const s = spot(p, e); if (s) { ctx.plan.draft(); put(s.w.room.name, wallWord(s.w.room.pts, s.w.edge.i), s.centred ? null : s.s) } else say('Click near a wall that is long enough', 'bad') }}),
  }
}

const KINDS = {
  boiler: {table: 'boiler', up: 1.2}, tank: {table: 'tank', up: .2}, 'expansion vessel': {table: 'vessel', up: .5}, 'relief valve': {table: 'relief', up: 1.2},
  'cold main': {table: 'equipment', up: .3}, 'hot taps': {table: 'equipment', up: 1}, 'filling point': {table: 'equipment', up: .3}, drain: {table: 'equipment', up: .2}, discharge: {table: 'equipment', up: .3}, manifold: {table: 'equipment', up: .6}, separator: {table: 'equipment', up: .8}, other: {table: 'equipment', up: 1},
}
export function gearHand(ctx, boilerOnly) {
  const kinds = boilerOnly ? ['boiler', 'tank'] : Object.keys(KINDS).slice(2)
  const fresh = kind => freshName(allNames(ctx), kind)
  const entry = entryCard(ctx, boilerOnly ? 'Boiler' : 'Gear', 'click its place, or type', [
    {key: 'kind', label: 'What', kind: 'choice', choices: kinds, value: kinds[0]}, {key: 'name', label: 'Name', kind: 'text', value: fresh(kinds[0])},
    {key: 'output', label: boilerOnly ? 'Largest output' : 'Size or setting', kind: 'number', value: boilerOnly ? '18 kW' : ''},
    ...(boilerOnly ? [{key: 'apart', label: 'Connections apart', kind: 'length', value: .2}] : []),
    {key: 'faces', label: 'Tube leaves it', kind: 'choice', choices: ['down', 'up', 'north', 'east', 'south', 'west'], value: 'down'},
    {key: 'east', label: 'East', kind: 'length', value: ''}, {key: 'north', label: 'North', kind: 'length', value: ''}, {key: 'up', label: 'Height above this floor', kind: 'length', value: KINDS[kinds[0]].up},
  ], {word: 'Place', go: v => v.east === null || v.north === null ? say('Say how far east and north', 'bad') : put([v.east, v.north])})
  entry.inputs.kind.addEventListener('change', () => {
    const k = entry.inputs.kind.value
    entry.inputs.name.value = fresh(k)
    entry.inputs.up.value = lengthText(KINDS[k].up, ctx.us)
    entry.inputs.output.value = {boiler: '18 kW', tank: '150 l', 'expansion vessel': '12 l', 'relief valve': '3 bar'}[k] ?? ''
  })
  if (!boilerOnly) entry.inputs.output.value = '12 l'
  async function put(p) {
    const v = entry.values()
    if (!v) return
    const z = level(ctx) + (v.up ?? 1), at = [W(ctx, p[0]), W(ctx, p[1]), W(ctx, z)]
    const name = v.name || fresh(v.kind), table = KINDS[v.kind].table
    const port = (n, x) => ({name: n, at: [W(ctx, x), 0, 0], faces: v.faces}), half = (v.apart > 0 ? v.apart : .2) / 2
    const room = on(ctx.model, ctx.storey).map(r => r.name)[0] ?? ''
    const values = {
      boiler: {name, output: v.output ?? '18 kW', least: '4 kW', flow: '60 degC', kv: '2.5 Kv', water: '2 l', mass: '35 kg', at, ports: [port('flow', -half), port('return', half)]},
      tank: {name, room: ctx.roomAt(p) ?? room, volume: v.output ?? '150 l', coil: 600, kv: '3 Kv', at, ports: [port('flow', -half), port('return', half)]},
      vessel: {name, volume: v.output ?? '12 l', charge: '1 bar', at, faces: v.faces},
      relief: {name, opens: v.output ?? '3 bar', capacity: '30 kW', at, faces: v.faces},
      equipment: {name, kind: v.kind, at, faces: v.faces},
    }[table]
    if (table === 'tank' && ctx.page.state.written === 'us') values.coil = '1140 btu/h/f'
    if (await commit(many(`${name} placed`, [add(table, values)]))) ctx.finish(boilerOnly ? 'boiler' : 'gear', {table, name}, 'pick')
  }
  return {
    hint: 'Click the point that its connections are measured from.',
    hover: p => { const q = p.map(v => round(v, ctx.grid)); ctx.plan.draft(dot(q), label(q, `${lengthText(q[0], ctx.us)} east, ${lengthText(q[1], ctx.us)} north`)) },
    down: () => ({drags: false, click: (p, e) => { ctx.plan.draft(); put(p.map(v => round(v, e.altKey ? .001 : ctx.grid))) }}),
  }
}

// Where the next run probably goes: on from where the last one ended, to the tee that belongs to the one it came from.
function nextRun(ctx, free, tees) {
  const runs = ctx.page.place.tables.run ?? [], used = new Set(runs.flatMap(r => [r.start, r.end]))
  const back = String(runs.at(-1)?.end ?? '').replace(/\.flow$/, '.return')
  const start = !runs.length ? free.find(r => /\.flow$/.test(r) && (ctx.page.place.tables.boiler ?? []).some(b => r === `${b.name}.flow`)) ?? '' : /\.return$/.test(back) && free.includes(back) ? back : tees.find(t => !used.has(t)) ?? ''
  return {start, end: start ? endFor(ctx, start, free, tees) : ''}
}
function endFor(ctx, start, free, tees) {
  const runs = ctx.page.place.tables.run ?? [], used = new Set(runs.flatMap(r => [r.start, r.end]))
  const [owner, port] = start.split('.')
  if (runs.some(r => r.name === owner)) return free.find(r => r === port) ?? free.find(r => !r.includes('.') && r.startsWith(port)) ?? ''
  if (port !== 'return') return ''
  // up the flow to the tee or the boiler that it came from
  let at = owner
  for (let i = 0; i < 20; i++) {
    const up = runs.find(r => r.end === `${at}.flow`)
    if (!up) return ''
    const [from, tee] = up.start.split('.')
    if (runs.some(r => r.name === from)) return tees.find(t => t.endsWith(`.${tee}`) && t !== up.start && !used.has(t)) ?? ''
    if (tee !== 'return') { const home = `${from}.return`; return free.includes(home) ? home : '' }
    at = from
  }
  return ''
}

// A run, as a fitter says it: clicks write moves, and the moves may be typed.
export function tubeHand(ctx) {
  const ports = ctx.page.place.ports
  const name = freshName(allNames(ctx), 'run')
  const tubes = ctx.page.place.tubes_known
  const like = (ctx.page.place.tables.run ?? []).at(-1)?.tube ?? (ctx.page.state.written === 'us' ? 'copper L 3/4' : 'copper 22')
  // tees of runs that can't be laid at the moment are known by their words alone
  const tees = (ctx.page.place.tables.run ?? []).flatMap(r => (r.moves ?? []).filter(m => String(m).startsWith('tee ')).map(m => `${r.name}.${String(m).slice(4)}`))
  const free = ports.filter(p => !p.used), refs = [...new Set([...free, ...ports.filter(p => p.used)].map(p => p.ref).concat(tees))]
  const next = nextRun(ctx, free.map(p => p.ref), tees)
  let at = null, moves = []
  const us = () => ctx.page.state.written === 'us'
  const said = m => us() ? `${Math.round(m / .0254 * 4) / 4} in` : m >= 1 ? `${Math.round(m * 1000) / 1000} m` : `${Math.round(m * 1000)} mm`
  const to = m => us() ? `${Math.round(m / .3048 * 1e3) / 1e3} ft` : `${Math.round(m * 1000) / 1000} m`
  const entry = entryCard(ctx, 'Tube', 'click a connection, corners, a connection', [
    {key: 'name', label: 'Name', kind: 'text', value: name}, {key: 'tube', label: 'Tube', kind: 'choice', choices: tubes.length ? tubes : [like], value: like},
    {key: 'start', label: 'From', kind: 'choice', choices: ['', ...refs], value: next.start}, {key: 'end', label: 'To', kind: 'choice', choices: ['', ...refs], value: next.end},
    {key: 'up', label: 'Run at height (above zero)', kind: 'length', value: level(ctx) + .1},
    {key: 'insulation', label: `Insulation, ${ctx.page.state.written === 'us' ? 'in' : 'mm'}`, kind: 'number', value: (ctx.page.place.tables.run ?? []).at(-1)?.insulation ?? ''},
    {key: 'moves', label: 'Moves, one to a line', kind: 'lines', value: '', wide: true},
  ], {word: 'Lay it', go: v => lay(v), live: v => { moves = spelled(v.moves); tryOut(); reads() },
    note: 'Such as: down 350 mm · fit isolating valve · tee A · tube copper 15 · west to 2.4 m · up … (solved from the end). Or short, in one line: d 350mm, f iso, t A, w=2.4, u..'})
  const echo = el('p', {class: 'mute reads', 'aria-live': 'polite'})
  entry.inputs.moves.after(echo)
  const spelled = text => spell(text, ctx.page.place.items_known, ctx.page.state.written)
  // what short moves mean, in full
  function reads() { const typed = entry.inputs.moves.value.split('\n').map(x => x.trim()).filter(x => x); echo.textContent = typed.join() === moves.join() ? '' : `Reads: ${moves.join(' · ')}` }
  // a branch is called after what it joins
  let named_ = name
  const partner = () => { if (!entry.inputs.end.value || entry.inputs.end.value === next.end) entry.inputs.end.value = next.end = endFor(ctx, entry.inputs.start.value, free.map(p => p.ref), tees) }
  const rename = () => {
    const own = entry.inputs.name, port = [entry.inputs.end.value, entry.inputs.start.value].find(r => (ctx.page.place.tables.emitter ?? []).some(e => r === `${e.name}.flow` || r === `${e.name}.return`)) ?? ''
    const [run, tee] = entry.inputs.start.value.split('.'), stem = port ? port.replace('.', ' ') : tee && named(ctx, 'run').includes(run) ? `${tee} line` : ''
    if (own.value !== named_ || !stem || allNames(ctx).includes(stem)) return
    own.value = named_ = stem
  }
  entry.inputs.start.addEventListener('change', () => { partner(); rename() })
  entry.inputs.end.addEventListener('change', rename)
  entry.inputs.start.addEventListener('change', () => { const p = ports.find(x => x.ref === entry.inputs.start.value); if (p && !moves.length) begin(p); else tryOut() })
  const command = () => { const v = entry.values(); return v && v.start ? many(`${v.name || name} laid`, [add('run', {name: v.name || name, tube: v.tube, start: v.start, moves, ...(v.end ? {end: v.end} : {}), ...(v.insulation ? {insulation: v.insulation} : {})})]) : null }
  function tryOut() { const c = command(); if (c && moves.length) attempt(c) }
  function write() { entry.inputs.moves.value = moves.join('\n'); entry.inputs.moves.rows = Math.min(12, Math.max(4, moves.length + 1)); tryOut(); show() }
  function begin(p) {
    entry.inputs.start.value = p.ref
    rename()
    at = [...p.at]; moves = []
    const z = entry.values()?.up ?? at[2]
    if (['up', 'down'].includes(p.faces)) rise(p.faces === 'down' ? Math.min(z, at[2] - .06) : Math.max(z, at[2] + .06))
    else if (p.faces) { const d = {north: [0, .15], south: [0, -.15], east: [.15, 0], west: [-.15, 0]}[p.faces]; moves.push(`${p.faces} ${said(.15)}`); at = [at[0] + d[0], at[1] + d[1], at[2]]; if (Math.abs(z - at[2]) > .02) rise(z) }
    write()
  }
  function rise(z) { if (Math.abs(z - at[2]) < .01) return; moves.push(`${z > at[2] ? 'up' : 'down'} to ${to(z)}`); at[2] = z }
  function leg(q) {
    const z = entry.values()?.up
    if (Number.isFinite(z) && Math.abs(z - at[2]) > .02) rise(z)
    const dx = q[0] - at[0], dy = q[1] - at[1]
    const first = Math.abs(dx) >= Math.abs(dy) ? [['x', dx], ['y', dy]] : [['y', dy], ['x', dx]]
    for (const [axis, d] of first) {
      if (Math.abs(d) < .02) continue
      moves.push(`${axis === 'x' ? d > 0 ? 'east' : 'west' : d > 0 ? 'north' : 'south'} ${said(Math.abs(d))}`)
      at[axis === 'x' ? 0 : 1] += d
    }
    write()
  }
  function finish(p) {
    entry.inputs.end.value = p.ref
    rename()
    const d = [p.at[0] - at[0], p.at[1] - at[1], p.at[2] - at[2]]
    const words = [['east', 'west'], ['north', 'south'], ['up', 'down']].map((w, k) => Math.abs(d[k]) > .002 ? `${d[k] > 0 ? w[0] : w[1]} ...` : null)
    const lastAxis = {up: 2, down: 2, east: 0, west: 0, north: 1, south: 1}[p.faces] ?? 2
    const order = [0, 1, 2].filter(k => k !== lastAxis)
    if (Math.abs(d[order[0]] ?? 0) < Math.abs(d[order[1]] ?? 0)) order.reverse()
    for (const k of [...order, lastAxis]) if (words[k]) moves.push(words[k])
    write()
  }
  async function lay(v) {
    if (!v.start) { say('Say where it starts', 'bad'); return }
    moves = spelled(v.moves)
    if (!moves.length) { say('It has no moves yet', 'bad'); return }
    if (await commit(command())) ctx.finish('tube', {table: 'run', name: v.name || name}, 'tube')
  }
  const near = p => ports.map(x => [dist(x.at, p), x]).filter(([d, x]) => d < 20 / ctx.sheet.k && ctx.hereLevel(x.at[2])).sort((a, b) => a[1].used - b[1].used || a[0] - b[0])[0]?.[1]
  function show(p = null) {
    const rings = ports.filter(x => ctx.hereLevel(x.at[2])).map(x => svg('g', {transform: Plan.at(x.at)}, svg('g', {class: 'px'}, svg('circle', {class: `port${x.used ? ' used' : ''}`, r: 5}), svg('title', {text: x.ref}))))
    const n = p && near(p)
    ctx.plan.draft(...rings, ...(at ? [dot(at)] : []), ...(at && p ? [svg('path', {class: 'draft-line open', d: Plan.path(Math.abs(p[0] - at[0]) >= Math.abs(p[1] - at[1]) ? [at, [p[0], at[1]], p] : [at, [at[0], p[1]], p], false)})] : []), ...(n ? [label(n.at, n.ref)] : []))
  }
  rename()
  show()
  return {
    hint: 'Click a connection to begin, corners on the way, a connection to end. Then Enter lays it.',
    hover: p => show(p),
    down: () => ({drags: false, click: (p, e) => {
      const n = near(p)
      if (!at) { if (n) { begin(n); partner() } else say('Begin at a connection or a tee', 'bad') } else if (n && n.ref !== entry.inputs.start.value) finish(n)
      else leg(p.map(v => round(v, e.altKey ? .001 : ctx.grid)))
    }}),
    key: e => { if (e.key === 'Enter' && moves.length) { lay(entry.values()); return true } if (e.key === 'Backspace' && moves.length) { moves.pop(); at = null; write(); return true } return false },
    end: () => giveUp(),
  }
}

// A photo of a sketch under the plan, to scale by two points whose distance is known.
export function underlayHand(ctx) {
  const now = ctx.model.underlays.find(u => u.storey === ctx.storey)
  let two = []
  const entry = entryCard(ctx, 'Underlay', now ? now.picture : 'a photo of a sketch', [
    {key: 'file', label: now ? 'Another picture' : 'Picture (PNG, JPEG or WebP)', kind: 'file', accept: 'image/png,image/jpeg,image/webp', wide: true},
    ...(now ? [{key: 'far', label: 'The two points are apart', kind: 'length', value: ''}, {key: 'width', label: 'or: the picture is wide', kind: 'length', value: now.width_m}] : []),
  ], {
    word: now ? 'Scale it' : 'Lay it under',
    go: async v => {
      const file = entry.inputs.file.files[0]
      if (file) { await bring(file); return }
      if (!now) { say('Choose a picture first', 'bad'); return }
      if (two.length === 2 && v.far > 0) await scale(v.far)
      else if (v.width > 0) await commit(set('underlay', ctx.storey, 'width', W(ctx, v.width)))
    },
    also: now ? [el('button', {type: 'button', class: 'plain', text: 'Take it away', onclick: () => commit({do: 'remove', table: 'underlay', name: ctx.storey})})] : [],
    note: now ? 'Click two points on the picture, type how far apart they are in the house, then scale. Drag the picture to move it.' : 'It is kept in the job’s folder.',
  })
  async function bring(file) {
    if (file.size > 8e6) { say('It is larger than 8 MB', 'bad'); return }
    const data = await new Promise((done, failed) => { const r = new FileReader(); r.onload = () => done(r.result.split(',')[1]); r.onerror = failed; r.readAsDataURL(file) })
    const answer = await fetch('/api/picture', {method: 'POST', headers: {'content-type': 'application/json', 'x-wetside': '1'}, body: JSON.stringify({name: file.name, base64: data})})
    const told = await answer.json()
    if (!answer.ok) { say(told.mistakes.map(m => `${m.wrong}. ${m.remedy}`).join(' '), 'bad'); return }
    const steps = now ? [set('underlay', ctx.storey, 'picture', told.picture)] : [add('underlay', {storey: ctx.storey, picture: told.picture, at: [W(ctx, 0), W(ctx, 0)], width: W(ctx, 12)})]
    if (await commit(many('Picture laid under', steps))) { ctx.choose('underlay'); ctx.fit() }
  }
  async function scale(far) {
    const k = far / dist(two[0], two[1]), [a] = two
    const at = [a[0] + (now.at[0] - a[0]) * k, a[1] + (now.at[1] - a[1]) * k]
    if (await commit(many('Picture scaled', [set('underlay', ctx.storey, 'width', W(ctx, now.width_m * k)), set('underlay', ctx.storey, 'at', at.map(v => W(ctx, v)))]))) ctx.choose('underlay')
  }
  const show = () => ctx.plan.draft(...two.map(dot), ...(two.length === 2 ? [svg('path', {class: 'draft-line open', d: Plan.path(two, false)}), label([(two[0][0] + two[1][0]) / 2, (two[0][1] + two[1][1]) / 2], lengthText(dist(...two), ctx.us))] : []))
  return {
    hint: now ? 'Click two points whose distance you know; drag to move the picture.' : 'Choose a picture at the side.',
    down: p0 => {
      if (!now) return null
      const img = ctx.plan.g.under.querySelector('image')
      let d = [0, 0]
      return {
        drags: false,
        click: p => { two = two.length === 2 ? [p] : [...two, p]; show(); if (two.length === 2) entry.inputs.far?.focus() },
        move: p => { d = [p[0] - p0[0], p[1] - p0[1]]; img?.setAttribute('transform', `translate(${d[0] * 1000} ${-d[1] * 1000})`) },
        drop: () => commit(set('underlay', ctx.storey, 'at', [W(ctx, now.at[0] + d[0]), W(ctx, now.at[1] + d[1])])),
        abort: () => img?.removeAttribute('transform'),
      }
    },
  }
}
