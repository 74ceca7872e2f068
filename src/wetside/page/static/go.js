// From a finding or a name to its place in the drawing, in this place or from another.
import {page} from './page.js'

export const hashOf = spot => `#${encodeURIComponent(spot.table)}:${encodeURIComponent(spot.name)}`
export function spotOf(hash) {
  const [table, name] = hash.replace(/^#/, '').split(':').map(decodeURIComponent)
  return table && name ? {table, name} : null
}
// `show(spot)` is how a place shows it itself; elsewhere the Draw place opens.
export function go(spot, show) {
  if (!spot) return
  if (show && page.key === 'draw') show(spot)
  else location.href = `/draw${hashOf(spot)}`
}
