// The start page: demos, a new job, recent jobs.
const wrong = document.getElementById('wrong')

async function open(what) {
  const answer = await fetch('/api/open', {
    method: 'POST',
    headers: {'content-type': 'application/json', 'x-wetside': '1'},
    body: JSON.stringify(what),
  })
  const told = await answer.json()
  if (answer.ok) location.href = told.go
  else wrong.textContent = told.mistakes.map(m => `${m.wrong}. ${m.remedy}`).join(' ')
}

document.getElementById('new').addEventListener('submit', e => {
  e.preventDefault()
  const form = new FormData(e.target)
  open({what: 'new', name: form.get('name'), units: form.get('units')})
})
for (const b of document.querySelectorAll('[data-what]')) {
  b.addEventListener('click', () => open({what: b.dataset.what, name: b.dataset.name ?? '', index: Number(b.dataset.index)}))
}
