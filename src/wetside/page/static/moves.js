// Moves of a run as text: cut one in two, put something between, find the way from a tee to a port.
const WAYS = {east: [0, 1], west: [0, -1], north: [1, 1], south: [1, -1], up: [2, 1], down: [2, -1]}
export const BACK = {east: 'west', west: 'east', north: 'south', south: 'north', up: 'down', down: 'up'}

// Metres as a person writes them in that unit system, exact to a tenth of a millimetre or a sixty-fourth of an inch.
export function written(metres, system) {
  if (system !== 'us') {
    const mm = Math.round(metres * 1e4) / 10
    return mm >= 1000 ? `${Number((mm / 1000).toFixed(4))} m` : `${mm} mm`
  }
  const parts = Math.round(metres / .0254 * 64), feet = Math.floor(parts / 768), rest = parts % 768
  let inches = Math.floor(rest / 64), n = rest % 64, d = 64
  while (n && n % 2 === 0) { n /= 2; d /= 2 }
  const text = n ? (inches ? `${inches} ${n}/${d} in` : `${n}/${d} in`) : inches || !feet ? `${inches} in` : ''
  return [feet ? `${feet} ft` : '', text].filter(x => x).join(' ')
}
// To what a tape is read to while one points: 5 mm, or a quarter of an inch.
export const near = (metres, system) => system === 'us' ? Math.round(metres / .00635) * .00635 : Math.round(metres * 200) / 200
// What a person typed as a length, in metres; null when it is none.
export function metres(text, system) {
  const t = text.trim().replace(',', '.')
  if (system === 'us') {
    const m = /^(?:([\d.]+)\s*(?:ft|')\s*)?(?:(\d+)\s+)?(?:(\d+)\/(\d+)|([\d.]+))?\s*(?:in|")?$/.exec(t)
    if (!m || !t || (!m[1] && !m[3] && !m[5])) return null
    return Number(m[1] ?? 0) * .3048 + (Number(m[2] ?? 0) + (m[3] ? Number(m[3]) / Number(m[4]) : Number(m[5] ?? 0))) * .0254
  }
  const m = /^([\d.]+)\s*(mm|cm|m)?$/.exec(t)
  return m ? Number(m[1]) * {mm: .001, cm: .01, m: 1}[m[2] ?? 'mm'] : null
}

// The moves with `extra` put in, `along` metres from the beginning of the straight that move `index` begins.
export function insert(moves, index, along, extra, system) {
  const texts = moves.map(m => m.text), way = moves[index].way
  let at = index, rest = along
  while (moves[at].distance_m !== null && rest >= moves[at].distance_m - 1e-4 && moves[at + 1]?.verb === 'go' && moves[at + 1].way === way) rest -= moves[at++].distance_m
  const whole = moves[at].distance_m
  if (rest < 1e-3) return [...texts.slice(0, at), ...extra, ...texts.slice(at)]
  if (whole !== null && rest > whole - 1e-3) return [...texts.slice(0, at + 1), ...extra, ...texts.slice(at + 1)]
  const first = near(rest, system) || rest
  const second = whole === null ? texts[at] : `${way} ${written(whole - first, system)}`
  return [...texts.slice(0, at), `${way} ${written(first, system)}`, ...extra, second, ...texts.slice(at + 1)]
}

// Moves from a tee at `from`, where the run goes `along`, to a port at `to`, which a tube leaves going `faces`.
export function reach(from, along, to, faces, system) {
  const last = BACK[faces] ?? ''
  const axis = WAYS[along]?.[0]
  const open = [0, 1, 2].filter(i => Math.abs(to[i] - from[i]) > 5e-4).map(i => ({i, way: Object.keys(WAYS).find(w => WAYS[w][0] === i && Math.sign(to[i] - from[i]) === WAYS[w][1])}))
  const ends = WAYS[last]
  // the last stretch comes at the port from its front
  const order = open.filter(o => !ends || o.i !== ends[0]).sort((a, b) => (a.i === axis) - (b.i === axis))
  const final = open.find(o => ends && o.i === ends[0])
  const moves = []
  if (order[0]?.i === axis || (!order.length && final?.i === axis)) {
    const aside = axis === 2 ? 'south' : 'up'
    moves.push(`${aside} ${system === 'us' ? '4 in' : '100 mm'}`)
    if (!open.some(o => o.i === WAYS[aside][0])) order.push({i: WAYS[aside][0], way: BACK[aside]})
  }
  for (const o of order) moves.push(`${o.way} ...`)
  if (final && final.way === last) moves.push(`${last} ...`)
  else if (last) {
    // it has to get in front of the port first
    const front = (to[ends[0]] - ends[1] * .15)
    const step = front - from[ends[0]]
    if (Math.abs(step) > 1e-3) moves.unshift(`${step > 0 ? positive(ends[0]) : BACK[positive(ends[0])]} ${written(near(Math.abs(step), system) || .05, system)}`)
    moves.push(`${last} ...`)
  }
  return moves.length ? moves : [`up ${system === 'us' ? '4 in' : '100 mm'}`]
}
const positive = i => ['east', 'north', 'up'][i]
export const freshTee = (moves, stem = 'T') => { for (let i = 1; ; i++) if (!moves.some(m => m.text === `tee ${stem}${i}`)) return `${stem}${i}` }

// Moves as a quick hand writes them, in full: "d 4 in, d=3.6, t A, f iso, n.." → "down 4 in", "down to 3.6 ft", "tee A",
// "fit isolating valve", "north ...". What is in full already stays as it is. `items` are the names that can be fitted.
const LETTERS = {n: 'north', e: 'east', s: 'south', w: 'west', u: 'up', d: 'down'}
export function spell(text, items, system) {
  return text.split(/[,\n]/).map(x => x.trim().replace(/\s+/g, ' ')).filter(x => x).map(x => {
    let m = /^([a-z]+)\s*(=|to )?\s*(.*)$/i.exec(x)
    if (!m) return x
    const word = m[1].toLowerCase(), rest = m[3]
    const way = LETTERS[word] ?? (WAYS[word] ? word : null)
    if (way) {
      if (/^(…|\.{2,4})?$/.test(rest)) return `${way} ...`
      return `${way} ${m[2] ? 'to ' : ''}${measured(rest, system)}`
    }
    if (word === 't' || word === 'tee') return `tee ${rest}`
    if (word === 'f' || word === 'fit') return `fit ${fitting(rest, items)}`
    return x
  })
}
const measured = (t, system) => {
  const bare = /^[-−]?(\d+(\.\d*)?|\.\d+)$/.test(t) ? `${t.replace('−', '-')} ${system === 'us' ? 'ft' : 'm'}` : t
  return bare.replace(/(\d)(mm|cm|m|in|ft)\b/g, '$1 $2')
}
// The item that a few letters mean: its name, its initials, or the beginnings of its words in their order.
export function fitting(typed, items) {
  const t = typed.toLowerCase()
  if (items.includes(typed)) return typed
  const words = t.split(' ')
  const fits = name => {
    const own = name.toLowerCase().split(' ')
    if (own.map(w => w[0]).join('') === t) return 2
    let at = 0
    return words.every(w => { const k = own.findIndex((o, i) => i >= at && o.startsWith(w)); at = k + 1; return k >= 0 }) ? 1 + (own[0].startsWith(words[0]) ? .5 : 0) : 0
  }
  return items.map((name, i) => ({name, i, score: fits(name)})).filter(x => x.score).sort((a, b) => b.score - a.score || a.i - b.i)[0]?.name ?? typed
}
