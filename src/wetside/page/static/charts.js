// Drawings that the server made, put into the page. They carry named colours and no styles.
export function drawing(text) {
  const parsed = new DOMParser().parseFromString(text, 'image/svg+xml').documentElement
  if (parsed.nodeName !== 'svg') return null
  const node = document.importNode(parsed, true)
  node.removeAttribute('width'); node.removeAttribute('height')
  node.classList.add('drawing')
  return node
}
