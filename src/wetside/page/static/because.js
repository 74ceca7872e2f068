// How a number came about, asked of an address of a place's own.
import {page} from './page.js'
import {el, byId} from './dom.js'

export async function because(address, body) {
  const answer = await fetch(`${address}?units=${page.state.shown}`, {method: 'POST', headers: {'content-type': 'application/json', 'x-wetside': '1'}, body: JSON.stringify(body)}).catch(() => null)
  const told = answer?.ok ? await answer.json() : {}
  const box = byId('why')
  box.replaceChildren(
    el('h2', {id: 'why-title', text: told.title || 'Nothing is known of it yet'}),
    el('ol', {class: 'steps'}, (told.steps ?? []).map(s => el('li', {class: s.kind || null},
      el('span', {class: 'step-what', text: s.what}), el('span', {class: 'step-sum', text: s.sum}),
      el('span', {class: 'step-is', text: s.out}), s.source ? el('span', {class: 'step-source', text: s.source}) : null))),
    el('form', {method: 'dialog'}, el('button', {class: 'plain', text: 'Close'})))
  box.showModal()
}
