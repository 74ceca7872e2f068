// What every place shares: the state of the job, commands, the socket, header, foot strip, troubles, explanations.
import {el, byId, mark, reveal} from './dom.js'

const boot = JSON.parse(byId('boot').textContent)
export const page = {key: boot.key, state: boot.state, place: boot.place, linked: false}
export const tab = [...crypto.getRandomValues(new Uint8Array(8))].map(x => x.toString(16).padStart(2, '0')).join('')
const watchers = [], triers = []

const units = () => localStorage.getItem('wetside-units') || page.state.written
const query = () => `?units=${units()}`

// ---- for the places

// `fn(page, followed)` is called at once and after every revision; `followed` where only what takes longer is new.
export function onState(fn) { watchers.push(fn); fn(page) }
// `fn(answer)` gets what would follow of a change that is tried: {place, mistakes, foot, storeys, counts, stale}.
export function onTrial(fn) { triers.push(fn) }
// Try a change while something is dragged: at most one a frame, newest wins. `settle` before the change is made or given up.
export function attempt(cmd) {
  shifted = true
  const text = JSON.stringify(cmd)
  if (text === asked) return // it is being tried already
  pending = cmd
  asked = text
  if (performance.now() - sent > 12) flush(); else raf ||= requestAnimationFrame(flush)
}
export function settle() { pending = null; asked = ''; floor = seq }
// Show the last revision's numbers again after a trial that was given up.
export function giveUp() { settle(); paint(page.state); for (const fn of watchers) fn(page) }

// Make a change. Resolves to true when it was made.
// What would leave the file with a mistake is refused: `page.refused` says why, and `evenWrong` makes it all the same.
export function commit(cmd, {force = false, evenWrong = false} = {}) {
  // one after the other, so that a quick hand is not taken for somebody else
  return inLine(() => send(cmd, force, evenWrong))
}
let line = Promise.resolve(), open = 0
function inLine(work) {
  settle()
  open++
  const made = line.then(work).finally(() => { open-- })
  line = made.catch(() => false)
  return made
}
// What is under way, if anything: a quick hand's next key waits for it, so that it is meant of what is there then.
export const underWay = () => open ? line : null
async function send(cmd, force, evenWrong = false) {
  page.refused = null
  const answer = await post({do: 'commit', cmd, saw: page.state.sha, force, even_wrong: evenWrong})
  return answer.status === 409 ? sideBySide(cmd, await answer.json()) : took(answer)
}
export const set = (table, name, field, value) => ({do: 'set', table, name, field, value})
export const unset = (table, name, field) => ({do: 'unset', table, name, field})
export const add = (table, values) => ({do: 'add', table, values})
export const remove = (table, name) => ({do: 'remove', table, name})
export const rename = (table, name, to) => ({do: 'rename', table, name, to})
export const many = (said, all) => ({do: 'many', said, all})
export const undo = () => inLine(async () => took(await post({do: 'undo'}), 'Undone: '))
export const redo = () => inLine(async () => took(await post({do: 'redo'}), 'Done again: '))

export function say(text, kind = '') {
  const told = byId('told')
  told.className = `told ${kind}`
  told.textContent = text
  clearTimeout(say.timer)
  say.timer = setTimeout(() => { told.textContent = '' }, 5000)
}

// How a number came about: `of` such as "room:Hall". The answer is a title and steps of words, numbers and sources.
export async function why(of) {
  const answer = await fetch(`/api/why${query()}&of=${encodeURIComponent(of)}`)
  const told = await answer.json()
  const box = byId('why')
  box.replaceChildren(
    el('h2', {id: 'why-title', text: told.title || 'Nothing is known of it yet'}),
    el('ol', {class: 'steps'}, (told.steps ?? []).map(s => el('li', {class: s.kind || null},
      el('span', {class: 'step-what', text: s.what}), el('span', {class: 'step-sum', text: s.sum}),
      el('span', {class: 'step-is', text: s.out}), s.source ? el('span', {class: 'step-source', text: s.source}) : null))),
    el('form', {method: 'dialog'}, el('button', {class: 'plain', text: 'Close'})))
  box.showModal()
}

// ---- commands

function post(body) {
  return fetch(`/api/change/${page.key}${query()}`, {
    method: 'POST', headers: {'content-type': 'application/json', 'x-wetside': '1'}, body: JSON.stringify({tab, ...body}),
  }).catch(() => new Response('{"mistakes":[{"wrong":"the program does not answer","remedy":"start it again; what was saved is safe"}]}', {status: 503}))
}
async function took(answer, before = '') {
  const told = await answer.json().catch(() => ({}))
  if (answer.ok) {
    take(told)
    if (before && told.said) say(before + told.said)
    return true
  }
  const wrong = (told.mistakes ?? []).map(m => `${m.path || m.name || ''} ${m.wrong}. ${m.remedy}`.trim())
  page.refused = wrong.slice(0, 3).join(' · ') || 'It could not be done'
  say(page.refused, 'bad')
  if (shifted) { shifted = false; for (const fn of watchers) fn(page) }
  paint(page.state)
  return false
}
function take(told) {
  const [old, now] = [page.state, told.state]
  // an answer that was overtaken by a newer one
  if (now.boot === old.boot && (now.rev < old.rev || (now.rev === old.rev && old.whole && !now.whole && now.shown === old.shown))) return
  // the same revision, with what takes longer worked out meanwhile
  const followed = !shifted && now.boot === old.boot && now.rev === old.rev && now.sha === old.sha && now.shown === old.shown && now.stale === old.stale
  shifted = false
  page.state = told.state
  page.place = told.place
  paint(page.state)
  for (const fn of watchers) fn(page, followed)
}
export async function refresh() {
  const answer = await fetch(`/api/now/${page.key}${query()}`).catch(() => null)
  if (answer?.status === 404) location.href = '/start'
  else if (answer?.ok) take(await answer.json())
}
function sideBySide(cmd, told) {
  const text = v => v === null || v === undefined ? '–' : typeof v === 'string' ? v : JSON.stringify(v)
  return new Promise(done => {
    const box = byId('ask')
    const end = async force => { box.close(); if (force) done(await send(cmd, true)); else { await refresh(); done(false) } }
    box.replaceChildren(
      el('h2', {id: 'ask-title', text: 'Changed on two sides'}),
      el('p', {text: 'Meanwhile somebody changed the same thing, here or in the file. Nothing is lost: choose which to keep.'}),
      el('div', {class: 'scroll'}, el('table', {class: 'sides'},
        el('thead', {}, el('tr', {}, ['', 'as you saw it', 'yours', 'theirs'].map(text => el('th', {scope: 'col', text})))),
        el('tbody', {}, told.clashes.map(c => el('tr', {}, el('th', {scope: 'row', text: `${c.table} ${c.name} ${c.field}`}),
          [c.saw, c.mine, c.theirs].map(v => el('td', {text: text(v)}))))))),
      el('div', {class: 'row'},
        el('button', {class: 'first', text: 'Keep theirs', onclick: () => end(false)}),
        el('button', {class: 'plain', text: 'Put mine in its place', onclick: () => end(true)})))
    box.showModal()
  })
}

// ---- socket

let shifted = false
let ws, seq = 0, floor = 0, sent = 0, asked = '', wait = 250, pending = null, raf = 0, waiting = 0
function flush() {
  cancelAnimationFrame(raf)
  raf = 0
  if (pending && ws?.readyState === 1) { ws.send(JSON.stringify({k: 'try', seq: ++seq, cmd: pending})); pending = null; sent = performance.now() }
}
function hello() { if (ws.readyState === 1) ws.send(JSON.stringify({k: 'hello', place: page.key, units: units()})) }
function connect() {
  ws = new WebSocket(`ws://${location.host}/live`)
  ws.onmessage = e => {
    const m = JSON.parse(e.data)
    if (m.k === 'res' || m.k === 'err') { if (m.seq > floor) tried(m) }
    else if (m.k === 'rev') { if ((m.tab !== tab && m.rev !== page.state.rev) || (m.tab === '' && !page.state.whole)) refresh() }
    else if (m.k === 'hello') {
      wait = 250
      link(true)
      hello()
      if (m.boot !== page.state.boot || m.sha !== page.state.sha || m.rev !== page.state.rev) refresh()
      flush()
    }
  }
  ws.onclose = () => { link(false); clearTimeout(waiting); waiting = setTimeout(connect, wait); wait = Math.min(wait * 2, 4000) }
}
function tried(m) {
  if (m.k === 'res') { footer(m); counts(m); page.trialMs = m.ms }
  for (const fn of triers) fn(m)
}
function link(up) {
  page.linked = up
  byId('foot-link').replaceChildren(mark(up ? 'holds' : 'not known', 14), el('span', {text: up ? 'linked' : 'no answer; trying again'}))
}

// ---- header, foot, troubles

function footer(s) {
  const f = s.foot
  byId('foot-loss').replaceChildren(...(f ? ['House loses ', el('button', {class: 'number', text: f.loss, onclick: () => why('house')}), ` at ${f.outside}`] : ['Nothing worked out yet']))
  byId('foot-water').textContent = f && f.water !== '–' ? `Flow/return ${f.water}` : ''
  byId('foot-pipes').textContent = f && f.pipe_loss !== '–' ? `Tube gives off ${f.pipe_loss}` : ''
  if (s.ms !== undefined) byId('foot-ms').textContent = `worked out in ${Math.max(1, Math.round(s.ms))} ms`
}
function counts(s) {
  const n = byId('rules-count')
  if (!n) return
  const broken = s.counts?.breaks ?? 0
  n.replaceChildren(...(broken ? [mark('breaks', 14), el('span', {text: String(broken)})] : []))
  n.setAttribute('aria-label', broken ? `${broken} break` : '')
}
function paint(s) {
  byId('job-name').textContent = s.job
  byId('job-folder').textContent = s.folder
  footer(s)
  counts(s)
  byId('foot-saved').textContent = `saved, revision ${s.rev}`
  for (const [id, what] of [['undo', s.undo], ['redo', s.redo]]) {
    byId(id).disabled = !what
    byId(id).title = what ? `${id === 'undo' ? 'Undo' : 'Redo'}: ${what}` : ''
  }
  byId('units').textContent = s.shown === 'us' ? 'ft, °F' : 'm, °C'
  trouble(s)
}
function trouble(s) {
  const box = byId('trouble')
  box.hidden = !s.mistakes.length && !s.no_solution
  if (box.hidden) { box.replaceChildren(); return }
  const head = s.no_solution ? 'The network has no answer' : s.mistakes.length === 1 ? 'One mistake' : `${s.mistakes.length} mistakes`
  const rest = s.foot ? 'the last numbers without mistakes stay on show' : 'numbers follow once it is mended'
  box.replaceChildren(
    // on a phone it stays folded, over the foot, so that nothing moves under the finger
    el('details', {open: s.mistakes.length < 3 && innerWidth > 900},
      el('summary', {}, mark(s.foot ? 'breaks' : 'not known', 16), el('b', {text: head}), el('span', {text: rest})),
      el('ul', {}, s.no_solution ? el('li', {text: s.no_solution}) : null,
        s.mistakes.map(m => el('li', {}, el('span', {class: 'where', text: m.line ? `${m.file}, line ${m.line}` : m.file || 'job'}),
          el('span', {}, `${m.path || [m.table, m.name, m.field].filter(x => x).join(' ')}: ${m.wrong}. ${m.remedy}`))))))
}
function themeWord() {
  const t = document.documentElement.dataset.theme
  byId('theme').textContent = t === 'dark' ? 'Dark' : t === 'light' ? 'Light' : 'System'
}
byId('undo').onclick = undo
byId('redo').onclick = redo
byId('theme').onclick = () => {
  const t = document.documentElement.dataset.theme
  const next = t === undefined ? (matchMedia('(prefers-color-scheme: dark)').matches ? 'light' : 'dark') : t === 'dark' ? 'light' : 'dark'
  document.documentElement.dataset.theme = next
  localStorage.setItem('wetside-theme', next)
  themeWord()
  dispatchEvent(new Event('wetside-theme'))
}
byId('units').onclick = () => {
  localStorage.setItem('wetside-units', page.state.shown === 'us' ? 'metric' : 'us')
  hello()
  refresh()
}
addEventListener('keydown', e => {
  if ((e.ctrlKey || e.metaKey) && !e.altKey && e.key.toLowerCase() === 'z') {
    if (e.target.matches?.('input, textarea') && e.target.value !== e.target.defaultValue) return
    e.preventDefault()
    if (e.shiftKey) redo(); else undo()
  } else if ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === 'y') { e.preventDefault(); redo() }
})
// on a narrow screen the place that one is in is in view
const inView = () => { const here = document.querySelector('.places [aria-current]'); if (here) reveal(here) }
inView()
document.fonts.ready.then(inView)
themeWord()
paint(page.state)
link(false)
connect()
if (units() !== page.state.shown) refresh()
