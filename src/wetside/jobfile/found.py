"""Where in the job's files the things stand that findings lead to."""

from collections.abc import Iterable
from pathlib import Path

from wetside.basis.errors import Place
from wetside.basis.record import record
from wetside.basis.rules import Finding
from wetside.jobfile.files import job_path
from wetside.jobfile.heads import Text, texts
from wetside.pipework.spec import Tee
from wetside.study.study import Study


@record(kw_only=False)
class Spot:
    """A line of a job file, from 1."""

    file: str
    line: int


def spots(findings: Iterable[Finding], study: Study, where: str | Path) -> dict[str, Spot]:
    """File and line of every place that the findings name and the job's files state, by `Finding.place`.

    :param where: as for `read_job`
    :raises JobProblem: there is no job any more
    """
    wanted = list(dict.fromkeys(f.place for f in findings if f.place))
    known = _things(study)
    stated = [(text, place) for text in wanted if (place := known.get(text.partition(":")[2] or text)) is not None]
    if not stated:
        return {}
    files = texts(job_path(where))
    located = ((text, _spot(files, place)) for text, place in stated)
    return {text: spot for text, spot in located if spot is not None}


def _spot(files: tuple[Text, ...], place: Place) -> Spot | None:
    """The first file that states the thing, and its line; of a move, the first that states the moves."""
    if place.index is not None:
        for file in files:
            line = file.entry_line(place.kind, place.name, place.field, place.index)
            if line is not None:
                return Spot(file.shown, line)
    for file in files:
        line = file.line(place.kind, place.name)
        if line is not None:
            return Spot(file.shown, line)
    return None


def _things(study: Study) -> dict[str, Place]:
    """Everything that a finding may lead to, by the name that it uses; where names meet, the first stays."""
    d = study.design
    found: dict[str, Place] = {}

    def add(name: str, place: Place) -> None:
        found.setdefault(name, place)

    for kind, things in (
        ("room", d.house.rooms), ("emitter", d.emitters), ("boiler", d.boilers), ("circulator", d.circulators),
        ("tank", d.tanks), ("vessel", (d.plant.vessel,)), ("relief", (d.plant.relief,)), ("run", d.runs),
    ):  # fmt: skip
        for thing in things:
            if thing is not None:
                add(thing.name, Place(kind, thing.name))
    for boiler in d.boilers:
        if boiler.circulator is not None:
            add(boiler.circulator.name, Place("boiler", boiler.name, "circulator"))
    for port in d.ports:
        add(port.owner, Place(port.owner_kind, port.owner))
        add(port.ref, Place(port.owner_kind, port.owner))
    for leg in study.pipework.legs:
        add(leg.name, Place("run", leg.run, "moves", leg.first))
    for run in d.runs:
        for i, move in enumerate(run.moves):
            if isinstance(move, Tee):
                add(f"{run.name}.{move.name}", Place("run", run.name, "moves", i))
    return found
