"""The schoolhouse drawn from its dimensions, from an empty job to the printed pack, without touching a file.

The demo's job file serves as the sheet of dimensions in the person's hand. Every value goes through the page: rooms,
openings, emitters and equipment through their tools, runs as a fitter says them, the rest through the job's tables.
"""

import tomllib
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from opened import serve, tab
from test_draw import where

from wetside import open_job
from wetside.basis.quantity import Kind, System, parse

WANTED: dict[str, Any] = tomllib.loads(
    (files("wetside.jobfile") / "demos" / "schoolhouse" / "job.toml").read_text(encoding="utf-8")
)
KEY_S, POINT_S, THINK_S = 0.28, 1.1, 1.35
"""Seconds for a key, for pointing and clicking, and for finding the next thing to do: the keystroke-level model of
Card, Moran and Newell (1980), average typist; from memory."""
FOOT_M = 0.3048
MOST_MINUTES = 20
SQUARE = ("A2", "A3", "A4")
"""Emitters whose branches run square from their mains: one action connects them."""


@dataclass
class Person:
    """Does what a person does on the page, and counts it."""

    page: Any
    file: Path
    seconds: float = 0.0
    phases: dict[str, float] = field(default_factory=dict)

    def phase(self, name: str) -> None:
        self.phases[name] = self.seconds - sum(self.phases.values())

    def click(self, target: Any) -> None:
        target.click()
        self.seconds += POINT_S + THINK_S

    def type(self, target: Any, text: str) -> None:
        target.fill(text)
        self.seconds += THINK_S + KEY_S * (len(text) + 1)

    def choose(self, target: Any, value: str) -> None:
        target.select_option(value)
        self.seconds += POINT_S + THINK_S

    def saved(self, before: str) -> None:
        """Wait until the page shows the revision that comes after `before`."""
        self.page.wait_for_function("b => document.getElementById('foot-saved').textContent !== b", arg=before)

    @property
    def revision(self) -> str:
        return self.page.locator("#foot-saved").inner_text()

    def job(self) -> dict[str, Any]:
        return tomllib.loads(self.file.read_text())

    def entry(self, table: str, name: str) -> dict[str, Any]:
        return next((t for t in self.job().get(table, []) if t.get("name") == name), {})

    def press(self, target: Any, key: str) -> None:
        target.press(key)
        self.seconds += KEY_S

    def tool(self, key: str, **fields: str) -> None:
        """Take a tool by its letter, unless it is in hand, and type its exact entry."""
        before = self.revision
        tool = self.page.locator(f'#tools [data-tool="{key}"]')
        if tool.get_attribute("aria-pressed") != "true":
            tool.click()
            self.seconds += KEY_S + THINK_S
        self.fill(fields)
        self.press(self.page.locator("#card .entry .first"), "Enter")
        self.saved(before)

    def at_wall(self, key: str, room: str, wall: str, **fields: str) -> None:
        """The same, but point at the middle of a wall in place of saying it."""
        before = self.revision
        tool = self.page.locator(f'#tools [data-tool="{key}"]')
        if tool.get_attribute("aria-pressed") != "true":
            tool.click()
            self.seconds += KEY_S + THINK_S
        self.fill(fields)
        west, south, east, north = next(r["rectangle"] for r in WANTED["room"] if r["name"] == room)
        x = {"west": west + 0.3, "east": east - 0.3}.get(wall, (west + east) / 2) * FOOT_M
        y = {"south": south + 0.3, "north": north - 0.3}.get(wall, (south + north) / 2) * FOOT_M
        self.page.mouse.click(*where(self.page, x, y))
        self.seconds += POINT_S + THINK_S
        self.saved(before)

    def fill(self, fields: dict[str, str]) -> None:
        for key, value in fields.items():
            box = self.page.locator(f'#card .entry [name="{key}"]')
            if box.get_attribute("type") == "checkbox":
                if box.is_checked() != (value == "yes"):
                    self.press(box, "Space")
            elif box.evaluate("n => n.tagName") == "SELECT":
                if box.input_value() != value:
                    self.choose(box, value)
            elif not same(box.input_value().replace("′", " ft ").replace("″", " in").strip(), value):
                self.type(box, value)

    def complete(self, table: str, name: str, card: Any, wanted: dict[str, Any]) -> None:
        """Set, add and take out fields until the entry says what is wanted."""
        now = self.entry(table, name) if name else self.job().get(table, {})
        for key, value in wanted.items():
            if key not in now or not same(now[key], value):
                self.set(card, key, value, now)
        now = self.entry(table, name) if name else self.job().get(table, {})
        for key in [k for k in now if k not in wanted]:
            before = self.revision
            self.click(card.get_by_role("button", name=f"Take {key} out"))
            self.saved_even_wrong(card, before)

    def set(self, card: Any, key: str, value: Any, now: dict[str, Any]) -> None:
        before = self.revision
        box = card.get_by_label(key.replace("_", " "), exact=True)
        if key not in now and not box.count():
            self.choose(card.locator(".fields > select"), key)
        if isinstance(value, bool):
            self.click(box)
        elif box.evaluate("n => n.tagName") == "SELECT":
            self.choose(box, str(value))
        else:
            self.type(box, spelled(value, self.rows(key)))
            box.blur()
        self.saved_even_wrong(card, before)

    def rows(self, key: str) -> list[dict[str, Any]]:
        """Rows of that field that the job has already: a line needs only the beginning of one of them."""
        return (
            [row for t in self.job().get("construction", []) for row in t.get("layers", [])] if key == "layers" else []
        )

    def saved_even_wrong(self, card: Any, before: str) -> None:
        """As `saved`; a change that is refused because another has yet to follow is made all the same."""
        self.page.wait_for_function(
            """b => document.getElementById('foot-saved').textContent !== b
            || [...document.querySelectorAll('.field-wrong button')].some(n => n.offsetParent)""",
            arg=before,
        )
        keep = card.get_by_role("button", name="Keep it all the same")
        if self.revision == before and keep.count():
            self.click(keep)
            self.saved(before)


def number(value: Any) -> Any:
    try:
        return float(value)
    except (ValueError, TypeError):
        return value


COLUMNS = {
    "material": ("material", "thickness", "conductivity", "resistance", "bridge_share", "bridge_conductivity"),
    "faces": ("name", "at", "faces"),
}
"""Columns of a row, as the page names them above the field, by one that tells which kind of row it is."""


def spelled(value: Any, known: list[dict[str, Any]]) -> str:
    """A value as it is typed: a line to a row, commas between its columns."""
    if not isinstance(value, list):
        return str(value)
    rows: list[Any] = value
    lines = [line_of(row, [*known, *rows[:i]]) for i, row in enumerate(rows)]
    return "\n".join(lines) if rows and isinstance(rows[0], str | list | dict) else ", ".join(lines)


def line_of(row: Any, known: list[Any]) -> str:
    if isinstance(row, list):
        return ", ".join(str(v) for v in row)
    if not isinstance(row, dict):
        return str(row)
    columns = next(c for k, c in COLUMNS.items() if k in row)
    like = next((k for k in reversed(known) if k[columns[0]] == row[columns[0]]), None)
    if like is not None and {**like, columns[1]: row[columns[1]]} == row:
        return f"{row[columns[0]]}, {row[columns[1]]}"
    cells = [" ".join(map(str, v)) if isinstance(v := row.get(c, ""), list) else str(v) for c in columns]
    return ", ".join(cells).rstrip(", ")


LETTER = {"north": "n", "east": "e", "south": "s", "west": "w", "up": "u", "down": "d"}


def short(move: str) -> str:
    """A move as a quick hand writes it: "d=3.6", "t A", "f iso"; the page says it again in full."""
    verb, rest = move.split(maxsplit=1)
    if verb == "tee":
        return f"t {rest}"
    if verb == "fit":
        words = rest.split()
        return f"f z{words[1][0]}{words[2]}" if words[0] == "zone" else f"f {words[0][:3]}"
    if rest == "...":
        return f"{LETTER[verb]}.."
    return f"{LETTER[verb]}={rest[3:-3]}" if rest.startswith("to ") else f"{LETTER[verb]} {rest}"


def same(a: Any, b: Any) -> bool:
    """Whether two values of the file mean the same: 35 in is 2.9167 ft."""
    if numbers(a) == numbers(b) or str(a) == str(b):
        return True
    a, b = number(a), number(b)
    try:
        return abs(parse(a, Kind.LENGTH, System.US) - parse(b, Kind.LENGTH, System.US)) < 3e-5
    except (ValueError, TypeError):
        return False


def feet(value: float | str) -> str:
    """A length as it is typed: bare numbers are feet in a job of feet."""
    return str(value)


@pytest.fixture(scope="module")
def drawn(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Any:
    home = tmp_path_factory.mktemp("drawn")
    served = serve(None, home)
    try:
        page = tab(browser, served, "start", viewport={"width": 1440, "height": 1000})
        page.get_by_label("Folder").fill("Prairie schoolhouse")
        page.get_by_label("Measures").select_option("us")
        page.get_by_role("button", name="Start drawing").click()
        page.wait_for_selector("html[data-ready]")
        page.wait_for_selector("#foot-link .holds")
        person = Person(page, home / "Prairie schoolhouse" / "job.toml")
        draw(person)
        yield person, served
        page.context.close()
    finally:
        served.stop()
    # a change that has yet to be completed by another is refused first: the browser logs the answer
    assert [p for p in served.problems if "422" not in p] == []


def draw(who: Person) -> None:
    """The whole schoolhouse."""
    page = who.page
    first, *others = WANTED["storey"]
    who.click(page.locator("#storey-edit"))
    card = page.locator("#card")
    page.wait_for_selector("#card .fields")
    who.set(card, "name", first["name"], who.entry("storey", "Ground"))
    page.wait_for_selector(f'#card h3:has-text("{first["name"]}")')
    who.complete("storey", first["name"], card, first)
    for s in others:
        before = who.revision
        who.click(page.locator("#storey-add"))
        who.fill({"name": s["name"], "level": feet(s["level"]), "height": feet(s["height"])})
        who.click(page.locator("#card .entry .first"))
        who.saved(before)
    tables(who, "job", "climate", "ground", "construction", "fabric")
    who.phase("storeys, climate, build-ups")
    for s in WANTED["storey"]:
        who.click(page.locator(f'.slab[data-storey="{s["name"]}"]'))
        for r in [r for r in WANTED["room"] if r["storey"] == s["name"]]:
            west, south, east, north = r["rectangle"]
            size = {"wide": feet(east - west), "deep": feet(north - south), "west": feet(west), "south": feet(south)}
            comfort = {"air_change": str(r["air_change"]), "heated": "yes" if r.get("heated", True) else "no"}
            warm = {"inside": str(r["inside"])} if "inside" in r else {}
            who.tool("room", name=r["name"], **size, **warm, **comfort)
        here = {r["name"] for r in WANTED["room"] if r["storey"] == s["name"]}
        for o in [o for o in WANTED["opening"] if o["room"] in here]:
            given = {k: feet(o[k]) for k in ("width", "height", "sill", "offset") if k in o}
            given = {"sill": "0", "offset": "", **given, "name": o["name"], "construction": o["construction"]}
            if "offset" in o:
                who.tool(o["part"], **given, room=o["room"], wall=str(o["wall"]))
            else:
                who.at_wall(o["part"], o["room"], o["wall"], **given)
        for e in [e for e in WANTED["emitter"] if e["room"] in here]:
            offset = {"offset": feet(e["offset"])} if "offset" in e else {}
            sizes = {k: feet(e[k]) for k in ("length", "height")} | {"depth": f"{e['depth']} in", **offset}
            kind = {k: str(e[k]) for k in ("sections", "style") if k in e}
            kind |= {"per": e["output_per_length"]} if "output_per_length" in e else {}
            own = {"kind": e["kind"], "name": e["name"], **kind, **sizes, "above": e["above_floor"]}
            if offset:
                who.tool("emitter", **own, room=e["room"], wall=str(e["wall"]))
            else:
                who.at_wall("emitter", e["room"], e["wall"], **own)
            if not all(same(who.entry("emitter", e["name"]).get(k), v) for k, v in e.items()):
                pick(who, "emitter", e["name"])
                who.complete("emitter", e["name"], card, e)
    who.phase("rooms, windows, doors, emitters")
    equipment(who)
    who.phase("equipment")
    for r in WANTED["run"]:
        thick = str(r.get("insulation", ""))
        emitter, _, side = r["name"].partition(" ")
        if emitter in SQUARE:
            if side == "flow":
                who.tool("connect", emitter=emitter, tube=r["tube"], insulation=thick)
            continue
        ends = {"start": r["start"], "end": r.get("end", "")}
        moves = ", ".join(short(m) for m in r["moves"])
        who.tool("tube", tube=r["tube"], **ends, name=r["name"], insulation=thick, moves=moves)
        if who.entry("run", r["name"]) != r:
            pick(who, "run", r["name"])
            who.complete("run", r["name"], card, r)


def pick(who: Person, table: str, name: str, *, fold: bool = False) -> None:
    """The card of what was just made."""
    who.click(who.page.locator('#tools [data-tool="pick"]'))
    who.page.wait_for_selector(f'#card h3:has-text("{name}")')
    if fold and not who.page.locator("#card details.more").evaluate("n => n.open"):
        who.click(who.page.locator("#card details.more summary"))
    who.page.locator("#card .fields").wait_for()


def tables(who: Person, *wanted: str) -> None:
    """Fill in tables of the job in their dialog."""
    page = who.page
    who.click(page.locator("#tables"))
    dialog = page.get_by_role("dialog")
    for table in wanted:
        if table not in WANTED:
            continue
        who.click(dialog.locator(f'nav [data-table="{table}"]'))
        if isinstance(WANTED[table], dict):
            dialog.locator(".fields").wait_for()
            who.complete(table, "", dialog, WANTED[table])
            continue
        for t in WANTED[table]:
            known = who.entry(table, t["name"])
            if not known:
                before = who.revision
                new = dialog.locator("details.new")
                if not new.evaluate("n => n.open"):
                    who.click(new.locator("summary"))
                for key, value in t.items():
                    box = new.locator(f"#new-{table}-{key}")
                    if box.count() and same(number(box.input_value()), value):
                        continue
                    if not box.count():
                        who.choose(new.get_by_label("Another field of the new"), key)
                    if box.evaluate("n => n.tagName") == "SELECT":
                        who.choose(box, value)
                    else:
                        who.type(box, spelled(value, who.rows(key)))
                who.click(new.locator("button.first"))
                who.saved(before)
            entry = dialog.locator(f'details[data-name="{t["name"]}"]')
            if not entry.evaluate("n => n.open"):
                who.click(entry.locator("summary"))
            entry.locator(".fields").wait_for()
            who.complete(table, t["name"], entry, t)
    page.keyboard.press("Escape")


def equipment(who: Person) -> None:
    """Boiler and tank by their tool, what else stands there by the other, the rest in the tables."""
    who.click(who.page.locator(f'.slab[data-storey="{WANTED["storey"][0]["name"]}"]'))
    kinds = {"boiler": "boiler", "tank": "tank", "vessel": "expansion vessel", "relief": "relief valve"}
    for table in ("boiler", "tank", "vessel", "relief", "equipment"):
        for t in WANTED.get(table, []):
            east, north, up = (feet(v) for v in t["at"])
            kind = kinds.get(table) or t["kind"]
            tool = "boiler" if table in ("boiler", "tank") else "gear"
            faces = {"faces": t["faces"]} if "faces" in t else {}
            apart = {"apart": feet(t["ports"][1]["at"][0] - t["ports"][0]["at"][0])} if table == "boiler" else {}
            who.tool(tool, kind=kind, name=t["name"], east=east, north=north, up=up, **faces, **apart)
            # what was placed is picked by itself
            who.page.wait_for_selector(f'#card h3:has-text("{t["name"]}")')
            who.page.locator("#card .fields").wait_for()
            who.complete(table, t["name"], who.page.locator("#card"), t)
    tables(who, "fill", "hot_water", "limits", "circulator", "item")


def numbers(value: Any) -> Any:
    """Whole numbers as such, so that 4.0 and 4 are one; text without needless space."""
    if isinstance(value, dict):
        return {k: numbers(v) for k, v in value.items()}
    if isinstance(value, list):
        return [numbers(v) for v in value]
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def test_the_house_is_the_schoolhouse(drawn: Any, tmp_path: Path) -> None:
    who, _ = drawn
    made, wanted = open_job(who.file), open_job(Path(str(files("wetside.jobfile") / "demos" / "schoolhouse")))
    assert [r.name for r in made.rooms.rooms] == [r.name for r in wanted.rooms.rooms]
    for a, b in zip(made.rooms.rooms, wanted.rooms.rooms, strict=True):
        assert a.load_w == pytest.approx(b.load_w, rel=1e-4), a.name
    flows = {e.name: e for e in wanted.flow.emitters}
    for e in made.flow.emitters:
        assert e.output_w == pytest.approx(flows[e.name].output_w, rel=1e-3), e.name
    data = who.job()
    for table in ("climate", "fabric", "room", "opening", "boiler", "tank", "emitter", "run", "circulator", "item"):
        wanted_rows = (
            {t.get("name"): t for t in WANTED[table]} if isinstance(WANTED[table], list) else {"": WANTED[table]}
        )
        made_rows = {t.get("name"): t for t in data[table]} if isinstance(data[table], list) else {"": data[table]}
        assert made_rows.keys() == wanted_rows.keys()
        for name, row in wanted_rows.items():
            assert made_rows[name].keys() == row.keys(), name
            assert all(same(made_rows[name][k], v) for k, v in row.items()), name


def test_it_takes_less_than_twenty_minutes(drawn: Any) -> None:
    """The whole house: storeys, build-ups, rooms, windows, doors, emitters, equipment and every tube.

    What is counted is the time of hands and eyes, not that of deciding what to build: `KEY_S` for each key, `POINT_S`
    for pointing and clicking, `THINK_S` before each field, choice or click. Choices that are right already, because
    the page offered the last or the likely one, cost nothing.
    """
    who, _ = drawn
    who.phase("runs")
    assert who.seconds / 60 < MOST_MINUTES, who.phases


def test_it_ends_in_the_printed_pack(drawn: Any) -> None:
    who, served = drawn
    who.page.goto(served.address + "pack")
    who.page.wait_for_selector("#foot-link .holds")
    with who.page.expect_download(timeout=60_000) as download:
        who.page.get_by_role("link", name="PDF").first.click()
    assert Path(download.value.path()).read_bytes()[:5] == b"%PDF-"
