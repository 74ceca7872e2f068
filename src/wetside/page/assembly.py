"""The near-boiler builder: a few choices become ordinary runs, looked at on the bench before they are written."""

import contextlib
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, cast

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from wetside.basis.errors import JobProblem, Mistake, NoSolution, Place
from wetside.basis.quantity import Kind, System, parse, tape
from wetside.jobfile.assemble import USUAL, assembled, choices_of, misses, write_assembly
from wetside.page.commands import parse as parse_command
from wetside.page.doc import Doc
from wetside.pipework.assembly_spec import Choices, Part, Parting
from wetside.pipework.spec import Run
from wetside.sheets.assemble import assemble_sheet
from wetside.sheets.bench import bench_works
from wetside.sheets.draw.screen import SCREEN
from wetside.sheets.drawings import bench_pictures
from wetside.sheets.said import as_data
from wetside.study.study import Study

MOST_CIRCUITS = 12


@dataclass(slots=True)
class Steps:
    """The changes as commands of the page, so that writing them can be undone like any other."""

    made: list[dict[str, Any]] = field(default_factory=list[dict[str, Any]])

    def put(self, table: str, name: str, field: str, value: object) -> None:
        self.made.append({"do": "set", "table": table, "name": name, "field": field, "value": value})

    def add(self, table: str, values: Mapping[str, object]) -> None:
        self.made.append({"do": "add", "table": table, "values": dict(values)})


def offered(study: Study) -> dict[str, Any]:
    """What can be chosen in this job."""
    d = study.design
    usual = USUAL[d.system]
    return {
        "boilers": [b.name for b in d.boilers],
        "partings": [p.value for p in Parting],
        "parts": [p.value for p in Part],
        "tube": usual[0],
        "small": usual[1],
    }


def build(doc: Doc, chosen: Mapping[str, Any]) -> dict[str, Any]:
    """The pipework of those choices: its runs, the room it takes, its bench sheets, and the command that writes it.

    :raises JobProblem: there is no room for it, or a choice names what is not there
    """
    study = doc.now.study
    if study is None:
        raise JobProblem(doc.now.mistakes)
    design, system = study.design, study.design.system
    choices, notes = choices_of(
        design,
        boiler=_text(chosen, "boiler"),
        parting=Parting(_text(chosen, "parting") or Parting.TEES),
        circuits=_texts(chosen, "circuits") or ("heating",),
        without=[Part(w) for w in _texts(chosen, "without")],
        tube=_text(chosen, "tube"),
        small=_text(chosen, "small"),
        beside=_wall(_text(chosen, "wall"), system),
    )
    made = assembled(choices, design)
    names = {r.name for r in made.runs}
    steps = Steps()
    old = [r.name for r in design.runs if r.name not in names and _meets(r, choices)]
    if chosen.get("instead") is True:
        steps.made += _without(doc, old)
    write_assembly(steps, design, made)
    command = {"do": "many", "said": f"pipework near {choices.flow.owner} put together", "all": steps.made}
    tried = doc.trial(parse_command(command))
    told, wrong = list(notes), _wrong(tried)
    benches: list[dict[str, str]] = []
    try:
        told += misses(tried)
        benches = _benches(tried, names)
    except (JobProblem, NoSolution):
        # the house doesn't hang together with it: it is looked at by itself
        alone = [*_without(doc, [r.name for r in design.runs if r.name not in names]), *steps.made]
        with contextlib.suppress(JobProblem, NoSolution):
            rest = [s for i, s in enumerate(alone) if s not in alone[:i]]
            benches = _benches(doc.trial(parse_command({"do": "many", "all": rest})), names)
    sheet = assemble_sheet(study, choices.flow.owner, made, notes, written=False)
    return {
        **as_data(sheet),
        "notes": list(dict.fromkeys([*told, *wrong])),
        "taken": old,
        "room": f"{tape(made.beside_m, system)} of wall beside the flow, {tape(made.above_m, system)} above and "
        f"{tape(made.below_m, system)} below the connections",
        "benches": benches,
        "cmd": command,
    }


def _meets(run: Run, choices: Choices) -> bool:
    return bool({run.start, run.end} & {choices.flow.ref, choices.back.ref})


def _without(doc: Doc, runs: Sequence[str]) -> list[dict[str, Any]]:
    """Commands that take runs out, with what is said of them alone."""
    gone = set(runs)
    found = [{"do": "remove", "table": "run", "name": r} for r in runs]
    for table, field_ in (("support", "run"), ("three_way", "tee")):
        found += [
            {"do": "remove", "table": table, "name": str(row.get("name", ""))}
            for row in doc.now.tables.get(table, ())
            if str(row.get(field_, "")).partition(".")[0] in gone
        ]
    found += [
        {"do": "remove", "table": "separation", "name": str(row.get("name", ""))}
        for row in doc.now.tables.get("separation", ())
        if any(str(t).partition(".")[0] in gone for t in row.get("tees", ()))
    ]
    return found


def _wrong(tried: Study) -> list[str]:
    try:
        return [f"{m.place.kind} {m.place.name}: {m.wrong}; {m.remedy}" for m in tried.mistakes[:8]]
    except NoSolution as stuck:
        return [f"the water does not settle: {stuck.cause or stuck}"]


def _benches(tried: Study, names: Collection[str]) -> list[dict[str, str]]:
    pictures = zip(bench_pictures(tried, SCREEN), bench_works(tried), strict=True)
    return [{"name": b.work.name, "svg": p.svg} for p, b in pictures if b.work.name in names]


def _said(wrong: Exception) -> str:
    if isinstance(wrong, JobProblem):
        return " ".join(f"{m.wrong}; {m.remedy}." for m in wrong.mistakes[:3])
    return str(wrong)


def _text(chosen: Mapping[str, Any], key: str) -> str:
    value = chosen.get(key, "")
    return value.strip()[:100] if isinstance(value, str) else ""


def _texts(chosen: Mapping[str, Any], key: str) -> tuple[str, ...]:
    value = chosen.get(key)
    if not isinstance(value, list):
        return ()
    texts = [x.strip()[:60] for x in cast("list[object]", value)[:MOST_CIRCUITS] if isinstance(x, str)]
    return tuple(dict.fromkeys(x for x in texts if x))


def _wall(text: str, system: System) -> float | None:
    if not text:
        return None
    try:
        return parse(text, Kind.LENGTH, system)
    except ValueError as error:
        wall = Place("boiler", "", "wall")
        raise JobProblem([Mistake(wall, str(error), "give the free wall as a length, or leave it out")]) from None


async def answer(request: Request) -> Response:
    """``{"boiler": …, "parting": …, "circuits": […], "without": […], "tube": …, "small": …, "wall": …}``"""
    doc: Doc | None = request.app.state.desk.doc
    if doc is None:
        return JSONResponse({"gone": True}, 404)
    try:
        sent: Any = json.loads(await request.body())
        if not isinstance(sent, dict):
            raise ValueError
        return JSONResponse(await run_in_threadpool(build, doc, cast("dict[str, Any]", sent)))
    except JobProblem as bad:
        return JSONResponse({"wrong": _said(bad)}, 422)
    except (ValueError, RecursionError):
        return JSONResponse({"wrong": "the choices are none that this page offers"}, 400)
