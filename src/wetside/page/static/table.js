// Tables that are cards on a phone: every cell knows its column's name.
import {el} from './dom.js'

// `columns`: {name, num, cell(row) → text or node}. The first column names the row.
export function fill(table, columns, rows, {caption = '', rowOf = () => ({})} = {}) {
  table.replaceChildren(
    ...(caption ? [el('caption', {class: 'sr', text: caption})] : []),
    el('thead', {}, el('tr', {}, columns.map(c => el('th', {scope: 'col', class: c.num ? 'num' : null, text: c.name})))),
    el('tbody', {}, rows.map((row, i) => el('tr', rowOf(row, i), columns.map((c, k) => {
      const inside = c.cell(row, i)
      return el(k ? 'td' : 'th', {scope: k ? null : 'row', class: c.num ? 'num' : null, 'data-name': c.name}, inside instanceof Node ? inside : String(inside ?? '') || null)
    })))))
}
