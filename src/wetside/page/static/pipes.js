// Pipes in 3-D: turn the pipework, pick a piece, change the run that it belongs to.
import {page, onState, commit, set, add, remove, many, say} from './page.js'
import {el, svg, byId} from './dom.js'
import {Space, ISO} from './space.js'
import {hashOf, spotOf} from './go.js'
import {drawing} from './charts.js'
import {openAssembly} from './assembly.js'
import {insert, reach, written, near, metres, freshTee} from './moves.js'

const shows = {joints: true, supports: true, sizes: true, rooms: true, ...JSON.parse(localStorage.getItem('wetside-pipes') ?? '{}')}
const space = new Space(byId('space'), {label: 'Pipework in space', onPick: pick, onKey: key, onDraw: compass})
let sheet = null, picked = null, at = null

const system = () => page.state.written
const tubeKey = i => `t${i}`
const runOf = name => sheet.runs.find(r => r.name === name)
const writtenOf = name => page.place.written.find(r => r.name === name)

// ---- what is drawn

function scene() {
  const boxFaces = b => {
    const [x0, y0, z0] = b.low, [x1, y1, z1] = b.high, p = (x, y, z) => [x, y, z]
    return [
      [p(x0, y0, z0), p(x1, y0, z0), p(x1, y1, z0), p(x0, y1, z0)], [p(x0, y0, z1), p(x1, y0, z1), p(x1, y1, z1), p(x0, y1, z1)],
      [p(x0, y0, z0), p(x1, y0, z0), p(x1, y0, z1), p(x0, y0, z1)], [p(x0, y1, z0), p(x1, y1, z0), p(x1, y1, z1), p(x0, y1, z1)],
      [p(x0, y0, z0), p(x0, y1, z0), p(x0, y1, z1), p(x0, y0, z1)], [p(x1, y0, z0), p(x1, y1, z0), p(x1, y1, z1), p(x1, y0, z1)],
    ].map(pts => ({pts, kind: 'box', key: `box:${b.table}:${b.name}`}))
  }
  const labels = []
  for (const b of sheet.boxes) labels.push({at: b.high.map((v, i) => i < 2 ? (v + b.low[i]) / 2 : v), text: b.name, kind: 'name', strong: true, rank: 0, far: true, key: `box:${b.table}:${b.name}`})
  for (const p of sheet.panels) {
    const mid = [0, 1, 2].map(i => p.corners.reduce((t, c) => t + c[i], 0) / 4)
    labels.push({at: mid, centre: true, text: p.name, kind: 'name', strong: true, rank: 1, far: true, key: `panel:${p.name}`})
  }
  for (const e of sheet.ends) labels.push({at: e.at, text: e.name, kind: 'name', rank: 2, off: 20, key: `end:${e.name}`})
  for (const p of sheet.ports.filter(p => !['boiler', 'tank', 'emitter', 'vessel', 'relief'].includes(p.table))) labels.push({at: p.at, text: p.ref, kind: 'name', rank: 2, off: 8, far: true})
  const named = new Set(['isolating valve', 'check valve', 'drain cock'])
  sheet.items.forEach((m, i) => { if (m.name !== m.kind || !named.has(m.kind)) labels.push({at: m.at, text: m.name, kind: 'part', rank: 4, off: 16, far: true, from: 60, key: `i${i}`}) })
  if (shows.sizes) {
    const seen = new Set()
    const longest = sheet.tubes.map((t, i) => ({t, i, d: Math.hypot(...t.a.map((v, j) => v - t.b[j]))})).sort((a, b) => b.d - a.d)
    for (const {t, i} of longest) {
      const once = `${t.leg} ${t.size}`
      if (seen.has(once)) continue
      seen.add(once)
      labels.push({along: [t.a, t.b], text: t.size, kind: 'size', rank: 3, key: tubeKey(i)})
    }
  }
  if (shows.joints) for (const j of sheet.joints) labels.push({at: j.at, text: j.numbers, kind: 'joint', pill: true, rank: 6, off: 5})
  const brackets = []
  if (shows.supports) sheet.supports.forEach((s, i) => {
    const t = sheet.tubes.filter(x => x.run === s.run).map(x => ({x, d: away(s.at, x.a, x.b)})).sort((a, b) => a.d - b.d)[0]?.x
    const n = t ? Math.hypot(...t.a.map((v, j) => v - t.b[j])) || 1 : 1
    const title = `${s.name}, ${s.kind} on ${s.run}: carries ${s.load}, bears ${s.bears}`
    brackets.push({key: `s${i}`, at: s.at, way: t ? t.b.map((v, j) => (v - t.a[j]) / n) : [1, 0, 0], over: s.full > 1, title})
    labels.push({at: s.at, text: s.load, kind: s.full > 1 ? 'load over' : 'load', rank: s.full > 1 ? 2 : 7, off: 10, key: `s${i}`, from: s.full > 1 ? 0 : 105})
  })
  return {
    lines: sheet.tubes.map((t, i) => ({key: tubeKey(i), a: t.a, b: t.b, side: t.side, outside: t.outside_m, group: `${t.leg} ${t.size}`, lit: picked?.kind === 'run' && picked.name === t.run, title: `${t.run}: ${t.size}, ${t.length}, ${sideWord(t.side)}`})),
    marks: [...sheet.items.map((m, i) => ({key: `i${i}`, kind: m.kind, at: m.at, way: m.way, title: m.name})), ...sheet.ends.map(e => ({key: `end:${e.name}`, kind: e.kind, at: e.at, way: e.way, title: e.name}))],
    spots: sheet.spots,
    faces: [...sheet.panels.map(p => ({pts: p.corners, kind: 'panel', key: `panel:${p.name}`})), ...sheet.boxes.flatMap(boxFaces)],
    brackets,
    levels: shows.rooms ? sheet.levels.map(l => ({z: l.level_m, outlines: l.outlines, text: `${l.storey} ${l.text}`})) : [],
    labels,
  }
}
const sideWord = side => ({flow: 'flow', return: 'return'})[side] ?? 'tap water and other'
function away(p, a, b) {
  const d = b.map((v, i) => v - a[i]), n = d.reduce((t, v) => t + v * v, 0)
  const t = n ? Math.min(1, Math.max(0, d.reduce((s, v, i) => s + v * (p[i] - a[i]), 0) / n)) : 0
  return Math.hypot(...p.map((v, i) => v - a[i] - d[i] * t))
}
function compass(s) {
  const box = byId('compass')
  const c = Math.cos(s.yaw), n = Math.sin(s.yaw), sp = Math.sin(s.pitch), cp = Math.cos(s.pitch), r = 24
  const ways = [['E', c * r, n * sp * r], ['N', n * r, -c * sp * r], ['up', 0, -cp * r]]
  box.replaceChildren(svg('svg', {viewBox: '-38 -38 76 76', width: 76, height: 76}, ways.flatMap(([t, x, y]) => [
    svg('path', {d: `M0 0L${x.toFixed(1)} ${y.toFixed(1)}`, class: t === 'N' ? 'n' : null}), svg('text', {x: x * 1.36, y: y * 1.36 + 4, text: t, class: t === 'N' ? 'n' : null})])))
  const from = ['south', 'south-east', 'east', 'north-east', 'north', 'north-west', 'west', 'south-west'][((Math.round(s.yaw / (Math.PI / 4)) % 8) + 8) % 8]
  const view = s.pitch > 1.45 ? 'from above' : s.pitch < .05 ? `from the ${from}, level` : `from the ${from}`
  byId('title-block').replaceChildren(el('b', {text: 'Pipes in 3-D'}), el('span', {class: 'seen', text: `seen ${view}`}), legend())
}
let legendBox = null
function legend() {
  legendBox ??= el('span', {class: 'legend'}, [['flow', 'flow'], ['return', 'return'], ['other', 'tap water, other']].map(([side, word]) => el('span', {}, svg('svg', {width: 30, height: 8, viewBox: '0 0 30 8'}, svg('g', {class: `tube ${side}`}, svg('path', {class: 'line', d: 'M1 4H29', 'stroke-width': 3}))), word)))
  return legendBox
}

// ---- picking

function pick(k, share) {
  picked = null; at = null
  if (k) {
    const i = Number(k.slice(1))
    if (/^t\d+$/.test(k)) { picked = {kind: 'tube', i, key: k}; at = share }
    else if (/^i\d+$/.test(k)) picked = {kind: 'item', i, key: k}
    else if (/^s\d+$/.test(k)) picked = {kind: 'support', i, key: k}
    else { const [kind, ...rest] = k.split(':'); picked = {kind, name: rest.join(':'), key: k} }
  }
  space.picked = picked?.key ?? null
  told()
  paint()
}
function told() {
  const p = picked
  const text = !p ? 'Nothing picked' : p.kind === 'tube' ? describe(sheet.tubes[p.i]) : p.kind === 'item' ? `${sheet.items[p.i].name} on ${sheet.items[p.i].run}` : p.kind === 'support' ? `${sheet.supports[p.i].name}, carries ${sheet.supports[p.i].load}` : p.name
  byId('space-said').textContent = text
}
const describe = t => `${t.run}, ${t.size}, ${t.length}, ${sideWord(t.side)}${t.move >= 0 ? `, ${runOf(t.run).moves[t.move]?.text ?? ''}` : ''}`
// Pieces of a run in their order: tubes and items by the move that they came of.
function pieces(name) {
  return [...sheet.tubes.map((t, i) => ({key: tubeKey(i), run: t.run, move: t.move})), ...sheet.items.map((m, i) => ({key: `i${i}`, run: m.run, move: m.move}))].filter(x => x.run === name).sort((a, b) => a.move - b.move)
}
function key(e) {
  if (!sheet) return false
  const step = {ArrowRight: 1, ArrowLeft: -1}[e.key], runs = {ArrowDown: 1, ArrowUp: -1}[e.key]
  const here = picked?.kind === 'tube' ? sheet.tubes[picked.i].run : picked?.kind === 'item' ? sheet.items[picked.i].run : picked?.kind === 'run' ? picked.name : null
  if (step || runs) {
    let to
    if (!here) to = pieces(sheet.runs[0]?.name)[0]
    else if (step) { const own = pieces(here), n = own.findIndex(x => x.key === picked.key); to = own[(n + step + own.length) % own.length] }
    else { const names = sheet.runs.map(r => r.name), n = names.indexOf(here); to = pieces(names[(n + runs + names.length) % names.length])[0] }
    if (to) { pick(to.key, .5); space.show(to.key) }
    return true
  }
  if (e.key === 'Enter' && picked) { const first = byId('card').querySelector('input, select, button:not(.close)'); first?.focus(); return true }
  if (e.key === 'Escape') { pick(null); return true }
  return false
}

// ---- the card

function close() { pick(null); space.root.focus({preventScroll: true}) }
function head(title, small) {
  return el('div', {class: 'card-head'}, el('h3', {}, title, small ? el('small', {text: ` ${small}`}) : null), el('button', {type: 'button', class: 'small close', 'aria-label': 'Close', text: '×', onclick: close}))
}
const fact = (label, value) => value ? el('div', {class: 'fact'}, el('dt', {text: label}), el('dd', {}, value)) : null
const inDraw = (table, name) => el('a', {href: `/draw${hashOf({table, name})}`, text: 'Show on the plan'})

function card() {
  const box = byId('card')
  if (!sheet || !picked) { box.hidden = true; box.replaceChildren(); return }
  const keep = box.contains(document.activeElement) ? document.activeElement.dataset.focus : null
  const body = {tube: tubeCard, item: itemCard, support: supportCard, run: runCard}[picked.kind]?.() ?? otherCard()
  box.replaceChildren(...body)
  box.hidden = false
  if (keep) box.querySelector(`[data-focus="${CSS.escape(keep)}"]`)?.focus()
}
function tubeCard() {
  const t = sheet.tubes[picked.i], run = runOf(t.run)
  return [
    head(t.run, t.leg !== t.run ? `leg ${t.leg.slice(t.run.length + 1)}` : ''),
    el('dl', {class: 'facts'}, fact('Tube', t.tube), fact('This straight', t.length), fact('Side', sideWord(t.side)), fact('Whole run', run.length)),
    here(t, run), moves(run, t.move),
  ]
}
function itemCard() {
  const m = sheet.items[picked.i], run = runOf(m.run)
  return [
    head(m.name, m.name === m.kind ? '' : m.kind),
    el('dl', {class: 'facts'}, fact('On run', m.run)),
    el('div', {class: 'row'},
      choose('Put in its place', page.place.items_known, m.name, async v => { await rewrite(run.name, texts(run).with(m.move, `fit ${v}`), `${m.name} replaced by ${v}`) }, 'swap'),
      m.move < 0 ? null : el('button', {type: 'button', class: 'plain', text: 'Take it out', onclick: () => rewrite(run.name, texts(run).toSpliced(m.move, 1), `${m.name} taken out`).then(ok => ok && close())})),
    moves(run, m.move),
  ]
}
function supportCard() {
  const s = sheet.supports[picked.i]
  const bar = svg('svg', {class: 'share', viewBox: '0 0 100 10', preserveAspectRatio: 'none', 'aria-hidden': 'true'}, svg('rect', {width: 100, height: 10, class: 'back'}), svg('rect', {width: Math.min(100, s.full * 100), height: 10, class: s.full > 1 ? 'over' : 'part'}))
  return [
    head(s.name, s.kind),
    el('dl', {class: 'facts'}, fact('Carries', s.load), fact('Bears', s.bears), fact('On run', `${s.run}, ${s.along} along`), fact('Fixed to', s.fixed_to), fact('Why here', s.why)),
    bar,
    el('div', {class: 'row'}, s.by_hand || page.place.supports.includes(s.name)
      ? el('button', {type: 'button', class: 'plain', text: 'Take it out', onclick: async () => { if (await commit(remove('support', s.name))) close() }})
      : el('button', {type: 'button', class: 'plain', text: 'Make it part of the job', onclick: () => support(s.run, s.kind, s.at)})),
  ]
}
function runCard() {
  const run = runOf(picked.name)
  return run ? [head(run.name, run.tube), el('dl', {class: 'facts'}, fact('From', run.start), fact('To', run.end || 'capped'), fact('Length', run.length)), moves(run, -1)] : [head(picked.name)]
}
function otherCard() {
  const [table, ...rest] = picked.kind === 'box' ? picked.name.split(':') : [null]
  if (picked.kind === 'box') {
    const name = rest.join(':')
    return [head(name, table), el('p', {class: 'mute', text: 'Its size is not in the job: drawn by its connections.'}), ports(name), inDraw(table, name)]
  }
  if (picked.kind === 'panel') {
    const p = sheet.panels.find(x => x.name === picked.name)
    return [head(p.name, p.room), ports(p.name), inDraw('emitter', p.name)]
  }
  const e = sheet.ends.find(x => x.name === picked.name)
  return [head(picked.name), e ? inDraw(e.table, e.name) : null].filter(x => x)
}
function ports(owner) {
  const own = sheet.ports.filter(p => p.ref === owner || p.ref.startsWith(`${owner}.`))
  return el('dl', {class: 'facts'}, own.map(p => fact(p.ref, `tube leaves ${p.faces}${p.used ? '' : ', not joined yet'}${p.push ? `; carries ${p.push}` : ''}`)))
}

// The run's moves, each a field; the present one is marked.
const texts = run => (writtenOf(run.name) ?? {moves: run.moves.map(m => m.text)}).moves
function moves(run, now) {
  const list = texts(run)
  return el('details', {class: 'moves', open: true},
    el('summary', {text: `Moves of ${run.name}`}),
    el('ol', {}, el('li', {class: 'end', text: `from ${run.start}`}), list.map((text, i) => {
      const input = el('input', {value: text, 'aria-label': `Move ${i + 1} of ${run.name}`, spellcheck: 'false', autocomplete: 'off', 'data-focus': `${run.name}/${i}`})
      input.addEventListener('change', () => {
        const now = input.value.trim()
        if (now === text) return
        rewrite(run.name, now ? list.with(i, now) : list.toSpliced(i, 1), `${run.name}: ${now || 'move taken out'}`)
      })
      input.addEventListener('keydown', e => {
        if (e.key === 'Escape') { input.value = text; e.stopPropagation(); space.root.focus({preventScroll: true}) }
        if (e.key === 'Enter') { e.preventDefault(); input.blur(); input.focus() }
      })
      return el('li', {class: i === now ? 'now' : null, 'aria-current': i === now ? 'step' : null}, input,
        el('button', {type: 'button', class: 'drop', 'aria-label': `Take move ${i + 1} out: ${text}`, text: '×', onclick: () => rewrite(run.name, list.toSpliced(i, 1), `${run.name}: ${text} taken out`)}))
    }), el('li', {class: 'end'}, el('input', {placeholder: 'one more move', 'aria-label': `One more move at the end of ${run.name}`, 'data-focus': `${run.name}/new`, onchange: e => { const v = e.target.value.trim(); if (v) rewrite(run.name, [...list, v], `${run.name}: ${v}`) }})),
    el('li', {class: 'end', text: run.end ? `to ${run.end}` : 'capped'})))
}
function rewrite(name, list, said) { return commit(many(said, [set('run', name, 'moves', list)])) }

// What can be put in at the point that was clicked.
function here(t, run) {
  if (t.move < 0 || texts(run).join('\n') !== run.moves.map(m => m.text).join('\n')) return null
  const whole = Math.hypot(...t.a.map((v, i) => v - t.b[i]))
  const along = el('input', {value: written(near(whole * (at ?? .5), system()), system()), 'aria-label': 'Distance from the beginning of this straight', 'data-focus': 'along', class: 'short'})
  const place = () => {
    const m = metres(along.value, system())
    if (m === null || m < 0 || m > whole + 1e-3) { say(`Give a distance from 0 to ${written(whole, system())}`, 'bad'); along.focus(); return null }
    return m
  }
  const put = (extra, said, more = []) => {
    const m = place()
    if (m === null) return
    return commit(many(said, [set('run', run.name, 'moves', insert(run.moves, t.move, m, extra, system())), ...more]))
  }
  const kind = select('What to fit', page.place.items_known, 'isolating valve', 'kind')
  const tube = select('Tube', page.place.tubes_known, t.tube, 'tube')
  const free = sheet.ports.filter(p => !p.used)
  const to = select('Branch to', ['capped', ...free.map(p => p.ref)], 'capped', 'to')
  const branchTube = select('Tube of the branch', page.place.tubes_known, t.tube, 'branch-tube')
  const holds = select('Support', ['clip', 'standoff', 'hanger', 'riser clamp', 'anchor', 'guide'], 'clip', 'holds')
  const branch = () => {
    const m = place()
    if (m === null) return
    const tee = freshTee(run.moves), p = free.find(x => x.ref === to.value)
    const from = t.a.map((v, i) => v + (t.b[i] - v) * (whole ? near(m, system()) / whole : 0))
    const names = sheet.runs.map(r => r.name)
    let name = p ? `${p.ref.replace('.', ' ')}` : `${run.name} ${tee}`
    while (names.includes(name)) name += ' 2'
    const aside = run.moves[t.move].way === 'up' || run.moves[t.move].way === 'down' ? 'south' : 'up'
    const way = p ? reach(from, run.moves[t.move].way, p.at, p.faces, system()) : [`${aside} ${system() === 'us' ? '6 in' : '150 mm'}`]
    put([`tee ${tee}`], `Branch ${name}`, [add('run', {name, tube: branchTube.value, start: `${run.name}.${tee}`, moves: way, ...(p ? {end: p.ref} : {})})])
  }
  return el('div', {class: 'here'},
    el('div', {class: 'here-at'}, el('span', {text: 'At'}), along, el('span', {class: 'mute', text: `of ${t.length}, from where “${run.moves[t.move].text}” begins`})),
    act(kind, 'Fit it here', () => put([`fit ${kind.value}`], `${kind.value} fitted`)),
    act(tube, 'Go on in it', () => put([`tube ${tube.value}`], `${run.name} goes on in ${tube.value}`)),
    el('div', {class: 'act two'}, to, branchTube, el('button', {type: 'button', class: 'plain', text: 'Tap in a branch', onclick: branch})),
    act(holds, 'Hold it here', () => { const m = place(); if (m !== null) support(run.name, holds.value, t.a.map((v, i) => v + (t.b[i] - v) * (whole ? m / whole : 0))) }))
}
const act = (field, text, onclick) => el('div', {class: 'act'}, field, el('button', {type: 'button', class: 'plain', text, onclick}))
function support(run, kind, point) {
  let n = 1
  const taken = [...page.place.supports, ...sheet.supports.map(s => s.name)]
  while (taken.includes(`H${n}`)) n++
  return commit(add('support', {name: `H${n}`, run, kind, at: point.map(v => system() === 'us' ? written(Math.abs(v), 'us').replace(/^/, v < 0 ? '-' : '') : Math.round(v * 1e4) / 1e4)}))
}
function select(label, choices, now, focus) {
  const list = choices.includes(now) ? choices : [now, ...choices]
  return el('select', {'aria-label': label, title: label, 'data-focus': focus}, list.map(c => el('option', {value: c, text: c, selected: c === now})))
}
function choose(label, choices, now, done, focus) {
  const s = select(label, choices, now, focus)
  s.addEventListener('change', () => done(s.value))
  return el('label', {class: 'stack'}, el('span', {text: label}), s)
}

// ---- lists

function lists() {
  byId('runs').replaceChildren(...sheet.runs.map(r => {
    const on = picked?.kind === 'run' ? picked.name === r.name : picked?.kind === 'tube' ? sheet.tubes[picked.i].run === r.name : picked?.kind === 'item' && sheet.items[picked.i].run === r.name
    const sizes = [...new Set(sheet.tubes.filter(t => t.run === r.name).map(t => t.size))].join(', ')
    return el('li', {}, el('button', {type: 'button', class: on ? 'on' : null, 'aria-pressed': String(Boolean(on)), onclick: () => { pickRun(r.name) }},
      el('b', {text: r.name}), el('span', {class: 'num', text: r.length}), el('small', {text: `${r.start} to ${r.end || 'a cap'}`}), el('small', {class: 'num', text: sizes})))
  }))
  const pushes = sheet.ports.filter(p => p.push)
  byId('ends').hidden = !pushes.length
  byId('pushes').replaceChildren(...pushes.map(p => el('li', {class: 'plain-row'}, el('b', {text: p.ref}), el('span', {class: 'num', text: p.push}))))
}
function pickRun(name) {
  picked = {kind: 'run', name, key: null}
  space.picked = null
  paint()
  const own = sheet.tubes.filter(t => t.run === name)
  if (own.length) space.fit(own.flatMap(t => [t.a, t.b]))
  byId('space-said').textContent = `${name}, ${runOf(name).length}`
}

// ---- the bench: an assembly taken out of the house, as it is put together

async function explode(name = '') {
  byId('explode').disabled = true
  const answer = await fetch(`/api/pipes/bench`).catch(() => null)
  byId('explode').disabled = false
  const told = answer ? await answer.json().catch(() => ({})) : {}
  if (!told.assemblies?.length) { say(told.wrong ?? 'Nothing by the boiler is put together on the bench', told.wrong ? 'bad' : ''); return }
  showBench(told.assemblies, Math.max(0, told.assemblies.findIndex(a => a.name === name)))
}
function showBench(all, i) {
  const a = all[i], box = byId('bench')
  const cell = (text, num) => el('td', {class: num ? 'num' : null, text})
  box.replaceChildren(
    el('div', {class: 'bench-head'}, el('h2', {id: 'bench-name', text: `Bench sheet: ${a.name}`}), el('span', {class: 'gap'}),
      all.length > 1 ? el('div', {class: 'bench-tabs', role: 'group', 'aria-label': 'Assemblies'}, all.map((b, k) => el('button', {type: 'button', class: 'chip', 'aria-pressed': String(k === i), text: b.name, onclick: () => { showBench(all, k); box.querySelectorAll('.bench-tabs button')[k].focus() }}))) : null,
      el('button', {type: 'button', class: 'plain', text: 'Back to the house', onclick: () => box.close()})),
    el('div', {class: 'bench-body'},
      el('div', {class: 'bench-drawing'}, drawing(a.svg)),
      el('div', {class: 'bench-words'},
        el('p', {class: 'mute', text: `Looking ${a.looking}; measured from ${a.datum}.`}),
        a.cautions.map(c => el('p', {class: 'caution'}, el('b', {text: `${c.topic[0].toUpperCase()}${c.topic.slice(1)}: `}), c.text)),
        el('h3', {text: 'In this order'}), el('ol', {}, a.steps.map(text => el('li', {text}))),
        a.care.length ? el('h3', {text: 'Keep the flame off'}) : null, a.care.length ? el('ul', {}, a.care.map(c => el('li', {text: `${c.part} (joints ${c.joints}): ${c.what}`}))) : null,
        el('h3', {text: 'Pieces of tube'}), el('div', {class: 'scroll'}, el('table', {class: 'sides'}, el('thead', {}, el('tr', {}, ['Piece', 'Length', 'Joints', 'Bench'].map(t => el('th', {scope: 'col', text: t})))),
          el('tbody', {}, a.cuts.map(c => el('tr', {}, el('th', {scope: 'row', text: c.name}), cell(c.last ? `${c.tape}, cut last` : c.tape), cell(`${c.from} – ${c.to}`), cell(c.piece || 'in place')))))))))
  if (!box.open) box.showModal()
}
byId('explode').onclick = () => explode()
byId('assemble').onclick = openAssembly

// ---- putting it together

function paint() { if (sheet) { space.set(scene(), page.place.symbols, 1.7); card(); lists() } }
function same(old) {
  // after a change the same thing stays picked, by what it is and not by its number
  if (!picked || !old) return
  if (picked.kind === 'tube' || picked.kind === 'item' || picked.kind === 'support') {
    const list = {tube: 'tubes', item: 'items', support: 'supports'}[picked.kind], was = old[list][picked.i]
    const i = sheet[list].findIndex(x => x.run === was.run && (picked.kind === 'support' ? x.name === was.name : x.move === was.move))
    picked = i < 0 ? (runOf(was.run) ? {kind: 'run', name: was.run, key: null} : null) : {...picked, i, key: `${picked.key[0]}${i}`}
    space.picked = picked?.key ?? null
  }
}
onState(() => {
  const old = sheet
  sheet = page.place.space
  const none = !sheet || !sheet.tubes.length
  byId('space-none').hidden = !none
  byId('space-none').textContent = sheet ? 'No tube is drawn yet. Draw runs on the plan, or write them in the job file.' : 'There is nothing to show until the mistakes are mended.'
  if (!sheet) return
  same(old)
  paint()
})
for (const what of ['joints', 'supports', 'sizes', 'rooms']) {
  const b = byId(`show-${what}`)
  b.setAttribute('aria-pressed', String(shows[what]))
  b.onclick = () => { shows[what] = !shows[what]; b.setAttribute('aria-pressed', String(shows[what])); localStorage.setItem('wetside-pipes', JSON.stringify(shows)); paint() }
}
byId('turn-left').onclick = () => space.quarter(-1)
byId('turn-right').onclick = () => space.quarter(1)
byId('from-above').onclick = () => space.glide(0, Math.PI / 2)
byId('from-corner').onclick = () => space.glide(Math.PI / 4, ISO)
byId('fit').onclick = () => { space.touched = false; space.fit() }
byId('nearer').onclick = () => space.zoom(1.3)
byId('farther').onclick = () => space.zoom(1 / 1.3)
byId('near-boiler').onclick = () => {
  const mains = sheet?.ports.filter(p => p.table === 'boiler').map(p => p.at) ?? []
  if (!mains.length) { say('No boiler has a place yet'); return }
  const close = sheet.tubes.flatMap(t => [t.a, t.b]).filter(p => mains.some(q => Math.hypot(...p.map((v, i) => v - q[i])) < 1.6))
  space.touched = true
  space.fit([...mains, ...close])
}
function follow() {
  const spot = spotOf(location.hash)
  if (!spot || !sheet) return
  if (spot.table === 'run' && runOf(spot.name)) pickRun(spot.name)
  else if (spot.table === 'emitter') { pick(`panel:${spot.name}`); space.show(`panel:${spot.name}`) }
  else { pick(`box:${spot.table}:${spot.name}`); space.show(`box:${spot.table}:${spot.name}`) }
}
addEventListener('hashchange', follow)
follow()
Object.assign(window, {wetsideSpace: space})
