"""The local page: draw the house, draw the pipes, see it answer.

How it hangs together
---------------------
`server.serve` binds 127.0.0.1 and runs `app.make_app` behind `guard.Guard`. `desk.Desk` holds the open `doc.Doc` and
the tabs. `Doc.now` is a `doc.Reading` (revision, tables as written, study, mistakes); it is swapped as a whole and
never changes, so it may be read from any thread. Whatever solves runs in a worker thread.

How a place registers
---------------------
Write ``page/KEY.py`` with a `places.Place` and add it to the tuple in `places.places`:

    WATER = Place(key="water", title="Water", module="water.js", data=data, live=live, routes=())

- **address** ``/KEY``, rendered from ``templates/KEY.html``, which begins ``{% extends "base.html" %}`` and fills the
  blocks ``styles`` (a ``<link>`` to its own style sheet) and ``main``. Header, foot strip, troubles, dialogs come from
  the base. The content policy allows nothing inline: no ``style=""``, no ``<style>``, no ``onclick=""``; SVG
  presentation attributes and ``element.style.x = …`` are fine.
- **JSON that it gets**: ``data(doc, now, system) -> dict`` is sent with the page and after every revision;
  ``live(doc, now, system) -> dict`` is what it gets of a change that is only tried. `now.shown` is the study to show
  (the last good one while there are mistakes, nothing at all in an empty job), `now.tables` the file as written,
  `now.system` the units of bare numbers in the file, `system` the units to print in. Take numbers and texts from
  `wetside.sheets`;
  compute nothing here. `sheets.said.as_data` turns sheets into JSON; `desk.screen_of(now, system)` is the
  shared ledger. `now.findings` are the rules judged: those of fittings and supports follow half a second after a
  revision (`now.whole`), so that drags stay quick; then every tab hears of the revision again.
- **own addresses**: `Place.routes`, beginning with ``/api/KEY/``; the handler finds the document as
  ``request.app.state.desk.doc`` (``None``: answer 404) and the units with ``app.shown(request, doc)``. Run what takes
  time with ``run_in_threadpool``. Answers may be anything but HTML with scripts in it. POST needs the headers
  ``x-wetside: 1`` and ``content-type: application/json``.

In the browser (``static/page.js``)
-----------------------------------
``page.state`` (job, revision, mistakes, foot, counts, storeys, units), ``page.place`` (what `data` gave);
``onState(fn)`` is called at once and after every revision; ``onTrial(fn)`` with what a tried change brings
(``answer.place`` is what `live` gave); ``attempt(cmd)`` tries, ``commit(cmd)`` makes, ``giveUp()`` shows the last
revision again. Commands are built with ``set, unset, add, remove, rename, many`` and described in `commands`: the same
fields that ``job.toml`` has. ``why("room:Hall")`` opens the way to a number (`sheets.why.explain`).
``say(text)`` tells. ``dom.js`` makes elements and verdict marks. ``go.js`` leads from a finding to its place in the
drawing
(``/draw#table:name``). ``form.js`` builds the fields of any table of the job from ``/api/fields``.
"""
