import {page, onState} from './page.js'
onState(() => { document.getElementById('draw').textContent = `${page.place.rooms.length} rooms` })
