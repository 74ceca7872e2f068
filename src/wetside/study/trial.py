"""The heating at work in a state that is tried: weather, settings and things shut that the design doesn't say."""

from collections.abc import Mapping
from dataclasses import field, replace

from wetside.basis.errors import NoSolution
from wetside.basis.record import record
from wetside.basis.si import Celsius, KvM3PerHour, Ratio
from wetside.network.flow import flow
from wetside.network.reading import FlowReading
from wetside.network.spec import Circulator
from wetside.pipework.reading import InLine
from wetside.study.design import Design
from wetside.study.study import Study


@record
class Trial:
    """What is different from the design; whatever is not named stays as it is."""

    outside_c: Celsius | None = None
    flow_c: Mapping[str, Celsius] = field(default_factory=dict[str, float])
    """Boiler → flow temperature that it is set to."""
    speed: Mapping[str, Ratio] = field(default_factory=dict[str, float])
    """Circulator, also one built into a boiler → relative speed."""
    kv: Mapping[str, KvM3PerHour] = field(default_factory=dict[str, float])
    """Item → what it is set to."""
    shut: tuple[str, ...] = ()
    """Items, emitters or runs."""


def changed(design: Design, trial: Trial) -> Design:
    """The design with the trial's settings in it."""

    def driven(c: Circulator) -> Circulator:
        return replace(c, speed=trial.speed[c.name]) if c.name in trial.speed else c

    return replace(
        design,
        boilers=tuple(
            replace(
                b,
                flow_c=trial.flow_c.get(b.name, b.flow_c),
                circulator=None if b.circulator is None else driven(b.circulator),
            )
            for b in design.boilers
        ),
        circulators=tuple(driven(c) for c in design.circulators),
        items=tuple(replace(i, kv_m3_h=trial.kv[i.name], k=None) if i.name in trial.kv else i for i in design.items),
    )


def at_work(study: Study, trial: Trial) -> FlowReading:
    """Flows, temperatures and outputs with rooms that settle by themselves.

    :raises JobProblem: the trial shuts something unknown, or leaves the water no way
    :raises NoSolution: the net did not settle
    """
    d = changed(study.design, trial)
    fitted = {p.item.name for leg in study.pipework.legs for p in leg.pieces if isinstance(p, InLine)}
    try:
        start = study.settled
    except NoSolution:
        start = None
    # valves of emitters are not laid: only a change of something in a run needs the runs again
    pipework = Study(d).pipework if fitted & trial.kv.keys() else study.pipework
    return flow(
        pipework,
        emitters=d.emitters,
        emitter_valves=dict(d.emitter_valves),
        items=d.items,
        boilers=d.boilers,
        circulators=d.circulators,
        tanks=d.tanks,
        room_c={r.name: r.inside_c for r in study.rooms.rooms},
        void_c=d.void_c,
        glycol_share=d.plant.glycol_share,
        apparatus=d.apparatus,
        house=study.rooms,
        outside_c=trial.outside_c,
        shut=trial.shut,
        start=start,
    )
