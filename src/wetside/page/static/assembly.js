// Near-boiler pipework from a few choices: looked at on the bench while one chooses, then written as ordinary runs.
import {page, commit, say} from './page.js'
import {el, byId} from './dom.js'
import {drawing} from './charts.js'

const PARTED = {none: 'not parted: the boiler’s own circulator drives all', tees: 'closely spaced tees', separator: 'a separator'}
let seq = 0, made = null

export function openAssembly() {
  const offer = page.place.assembly
  if (!offer?.boilers.length) { say('The job has no boiler with connections yet: place it in Draw', 'bad'); return }
  const box = byId('assembly'), fields = {}
  const row = (key, label, input) => { fields[key] = input; input.id = `assembly-${key}`; return el('div', {class: 'entry-field'}, el('label', {for: input.id, text: label}), input) }
  const choice = (list, now, word = x => x) => el('select', {}, list.map(v => el('option', {value: v, text: word(v), selected: v === now})))
  const known = (page.place.written ?? []).filter(r => page.place.space?.runs.some(x => x.name === r.name && x.start.startsWith(`${offer.boilers[0]}.`)))
  const without = offer.parts.map(p => el('label', {class: 'tick'}, el('input', {type: 'checkbox', value: p, checked: true, 'data-part': p}), p))
  const form = el('form', {class: 'entry', autocomplete: 'off'},
    row('boiler', 'Boiler', choice(offer.boilers, offer.boilers[0])),
    row('parting', 'Boiler and house are parted by', choice(offer.partings, 'tees', v => PARTED[v] ?? v)),
    row('circuits', 'Circuits of the house, commas between', el('input', {value: 'heating'})),
    row('wall', 'Free wall beside it; empty: as far as its room goes', el('input', {value: ''})),
    row('tube', 'Tube of the boiler’s circuit', choice(page.place.tubes_known, page.place.tubes_known.includes(known[0]?.tube) ? known[0].tube : offer.tube)),
    row('small', 'Tube of vessel, fill and relief', choice(page.place.tubes_known, offer.small)),
    el('fieldset', {class: 'ticks'}, el('legend', {text: 'With'}), without),
    el('label', {class: 'tick wide', hidden: true}, el('input', {type: 'checkbox', id: 'assembly-instead'}), el('span', {})),
    el('div', {class: 'end'}, el('button', {class: 'first', id: 'assembly-write', text: 'Write into the job', disabled: true}), el('button', {type: 'button', class: 'plain', text: 'Leave it', onclick: () => box.close()})))
  const seen = el('div', {class: 'bench-drawing', 'aria-live': 'polite'}), words = el('div', {class: 'assembly-words', role: 'status'})
  const chosen = () => ({boiler: fields.boiler.value, parting: fields.parting.value, circuits: fields.circuits.value.split(',').map(x => x.trim()).filter(x => x), wall: fields.wall.value.trim(), tube: fields.tube.value, small: fields.small.value, instead: byId('assembly-instead').checked, without: [...form.querySelectorAll('[data-part]')].filter(n => !n.checked).map(n => n.value)})
  let timer = 0, shown = 0
  const look = () => { clearTimeout(timer); timer = setTimeout(ask, 120) }
  async function ask() {
    const mine = ++seq
    made = null
    byId('assembly-write').disabled = true
    const answer = await fetch('/api/pipes/assembly', {method: 'POST', headers: {'content-type': 'application/json', 'x-wetside': '1'}, body: JSON.stringify(chosen())}).catch(() => null)
    const told = answer ? await answer.json().catch(() => ({})) : {wrong: 'the program does not answer'}
    if (mine !== seq) return
    if (told.wrong) { seen.replaceChildren(el('p', {class: 'board-none', text: 'No bench sheet of these choices.'})); words.replaceChildren(el('p', {class: 'wrong', text: told.wrong})); return }
    made = told
    byId('assembly-write').disabled = false
    const pictures = () => {
      const b = told.benches[Math.min(shown, told.benches.length - 1)]
      seen.replaceChildren(...(b ? [told.benches.length > 1 ? el('div', {class: 'bench-tabs', role: 'group', 'aria-label': 'Assemblies'}, told.benches.map((x, k) => el('button', {type: 'button', class: 'chip', 'aria-pressed': String(x === b), text: x.name, onclick: () => { shown = k; pictures() }}))) : null, drawing(b.svg)].filter(x => x) : [el('p', {class: 'board-none', text: 'Nothing of it is put together on the bench.'})]))
    }
    pictures()
    const instead = byId('assembly-instead').closest('label')
    instead.hidden = !told.taken.length
    instead.lastChild.textContent = `In place of what hangs on the boiler now: ${told.taken.join(', ')}`
    const there = new Set(page.place.written.map(r => r.name))
    words.replaceChildren(el('p', {text: `It takes ${told.room}.`}),
      told.notes.length ? el('ul', {class: 'notes'}, told.notes.map(text => el('li', {text}))) : null,
      el('h3', {text: 'Runs'}), el('dl', {class: 'facts moves-told'}, told.runs.map(r => el('div', {class: 'fact'}, el('dt', {text: `${r.name}${there.has(r.name) ? ', changed' : ''}`}), el('dd', {text: `${r.start}: ${r.moves.join(', ')}${r.end ? ` to ${r.end}` : ', capped'}`})))))
  }
  form.addEventListener('input', look)
  form.addEventListener('submit', async e => {
    e.preventDefault()
    if (!made) return
    if (await commit(made.cmd)) { box.close(); say('Written into the job as ordinary runs. Undo takes it back.') } else words.prepend(el('p', {class: 'wrong', role: 'alert', text: page.refused ?? 'It could not be written'}))
  })
  box.replaceChildren(
    el('div', {class: 'bench-head'}, el('h2', {id: 'assembly-name', text: 'Put together near the boiler'}), el('span', {class: 'gap'}), el('button', {type: 'button', class: 'plain', text: 'Back to the house', onclick: () => box.close()})),
    el('div', {class: 'bench-body'}, seen, el('div', {class: 'bench-words'}, form, words)))
  box.showModal()
  ask()
}
