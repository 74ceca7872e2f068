"""What sizing and balancing found, written into a job file. Comments and layout stay."""

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from wetside.basis.errors import JobProblem
from wetside.basis.quantity import UNITS, Kind, System
from wetside.jobfile.files import parse_toml
from wetside.jobfile.read import design_of
from wetside.jobfile.variant import chain, merge
from wetside.network.net import Regulation
from wetside.pipework.spec import ChangeTube, Run
from wetside.study.design import Design

if TYPE_CHECKING:
    from wetside.emitter.spec import Emitter
    from wetside.jobfile.save import Edit
    from wetside.jobfile.source import Source
    from wetside.network.balance import BalanceReading
    from wetside.study.sizing import SizeReading
    from wetside.study.study import Study

_DIGITS = 5


def in_unit(value: float, kind: Kind, system: System, digits: int = _DIGITS) -> float | int:
    """An SI number as a bare number of the job's unit system."""
    unit = UNITS[system][kind]
    number = float(f"{value / unit.factor - unit.offset:.{digits}g}")
    return int(number) if number == int(number) and abs(number) < 1e9 else number


def write_balance(edit: "Edit", design: Design, reading: "BalanceReading") -> tuple[str, ...]:
    """Put the settings of valves and circulators into the file. Returns what was changed, in words.

    :raises JobProblem: a valve or circulator that the file doesn't have
    """
    done: list[str] = []
    items = {i.name: i for i in design.items}
    for s in reading.settings:
        kv = in_unit(s.kv_m3_h, Kind.KV, design.system)
        if s.emitter:
            edit.put("emitter", s.emitter, "lockshield_kv", kv)
            done.append(f"emitter {s.emitter}: lockshield_kv = {kv}")
            continue
        item = items[s.valve]
        if not edit.states("item", s.valve) and not edit.is_variant:
            edit.add("item", {"name": s.valve, "kind": item.kind.value})
        if item.open_kv_m3_h is None and not item.turns and item.kv_m3_h is not None:
            edit.put("item", s.valve, "open_kv", in_unit(item.kv_m3_h, Kind.KV, design.system))
        edit.put("item", s.valve, "kv", kv)
        done.append(f"item {s.valve}: kv = {kv}")
    done.extend(_write_circulators(edit, design, reading))
    return tuple(done)


def _write_circulators(edit: "Edit", design: Design, reading: "BalanceReading") -> Iterable[str]:
    boilers = {b.circulator.name: b for b in design.boilers if b.circulator is not None}
    known = {c.name: c for c in design.circulators} | {n: b.circulator for n, b in boilers.items()}
    for name, setting in reading.turned.items():
        circulator = known[name]
        if circulator is None or circulator.regulation is not Regulation.FIXED:
            continue
        table, owner, lead = (
            ("boiler", boilers[name].name, "circulator.") if name in boilers else ("circulator", name, "")
        )
        edit.put(table, owner, f"{lead}speed", setting)
        yield f"{table} {owner}: {lead}speed = {setting}"
        if circulator.watts is not None:  # its power is stated at the speed that it is set to
            edit.put(table, owner, f"{lead}watts", f"{circulator.watts * (setting / circulator.speed) ** 3:.3g} W")


def write_size(edit: "Edit", design: Design, reading: "SizeReading") -> tuple[str, ...]:
    """Put the tubes of runs and the sizes of emitters into the file. Returns what was changed, in words.

    :raises JobProblem: a run or emitter that the file doesn't have
    """
    done: list[str] = []
    drawn = {r.name: r for r in design.runs}
    for run in reading.runs:
        was = drawn[run.name]
        if run.tube != was.tube:
            edit.put("run", run.name, "tube", run.tube)
        edit.relist("run", run.name, "moves", list(moves_text(run)))
        done.append(f"run {run.name}: {', '.join(dict.fromkeys((run.tube, *_changes(run))))}")
    grown = [_write_emitter(edit, design.system, c.was, c.emitter, c.factor) for c in reading.emitters]
    return (*done, *(text for text in grown if text is not None))


def moves_text(run: Run) -> tuple[str, ...]:
    """The moves of a run as they are written."""
    return tuple(m.text for m in run.moves)


def _changes(run: Run) -> Iterable[str]:
    return (m.tube for m in run.moves if isinstance(m, ChangeTube))


def _write_emitter(edit: "Edit", system: System, was: "Emitter", to: "Emitter", factor: float) -> str | None:
    """Sections, length and output of a larger emitter; None where only a person can choose."""
    if factor == 1.0:
        return None
    name = was.name
    if to.sections != was.sections:
        edit.put("emitter", name, "sections", to.sections)
    if not _scale(edit, name, "length", factor):
        edit.put("emitter", name, "length", in_unit(to.length_m, Kind.LENGTH, system))
    for field in ("output", "edr", "fins", "water", "mass"):
        _scale(edit, name, field, factor)
    return f"emitter {name}: " + (f"{to.sections} sections" if to.sections else f"{to.length_m:g} m long")


def _scale(edit: "Edit", name: str, field: str, factor: float) -> bool:
    """Multiply a field that this file states, its unit kept. Returns whether it could."""
    value = edit.value("emitter", name, field)
    if isinstance(value, int | float) and not isinstance(value, bool):
        edit.put("emitter", name, field, _plain(value * factor))
        return True
    if isinstance(value, str):
        number, _, unit = value.strip().partition(" ")
        try:
            scaled = float(number) * factor
        except ValueError:
            return False
        edit.put("emitter", name, field, f"{_plain(scaled)} {unit}".strip())
        return True
    return False


def _plain(number: float) -> float | int:
    short = float(f"{number:.4g}")
    return int(short) if short == int(short) else short


def trial(edit: "Edit") -> "Study":
    """The study of the job as it would be if the file were saved as it is being changed.

    :raises JobProblem: what would be wrong then, located
    """
    source, study = edited(edit)
    if study.mistakes:
        raise JobProblem(tuple(source.place(m) for m in study.mistakes))
    return study


def edited(edit: "Edit") -> "tuple[Source, Study]":
    """The job as it would be if the file were saved, and its study, not looked at yet.

    :raises JobProblem: the file could not be read then
    """
    from wetside.study.study import Study

    content = edit.text.encode()
    source = merge(
        tuple(
            replace(f, content=content, data=parse_toml(content, f.shown)) if f.path.resolve() == edit.path else f
            for f in chain(edit.path)
        )
    )
    return source, Study(design_of(source))
