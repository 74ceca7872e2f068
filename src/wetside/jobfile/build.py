"""Checked tables → `Design`."""

from wetside.basis.errors import nearest
from wetside.basis.quantity import System
from wetside.jobfile.build_emitters import build_emitters, build_items
from wetside.jobfile.build_frame import build_bracing
from wetside.jobfile.build_house import build_house
from wetside.jobfile.build_join import build_apparatus
from wetside.jobfile.build_plant import (
    build_boilers,
    build_circulators,
    build_plant,
    build_tanks,
)  # fmt: skip
from wetside.jobfile.build_shop import build_buying, build_shop
from wetside.jobfile.check import Draft
from wetside.jobfile.house_tables import ClimateTable, JobTable, UnderlayTable
from wetside.jobfile.join_tables import ThreeWayTable
from wetside.jobfile.pipe_tables import AcceptTable, BalanceTable, LimitsTable, RunTable, TubeTable
from wetside.jobfile.plant_tables import EmitterBase, SeparationTable
from wetside.pipework.items import SPOKEN
from wetside.pipework.moves import parse_move
from wetside.pipework.spec import Item, Material, Move, Port, Run, Tee, Tube
from wetside.pipework.tubes import shipped_tubes
from wetside.study.design import Accepted, Design, Limits

# Roughness of a new bore where the job gives none [m]: common practice, no source.
_SMOOTH = 1.5e-6
_STEEL = 4.5e-5


def build(draft: Draft, file: str) -> Design | None:
    """The design, or nothing when there are faults (which the draft's source then holds)."""
    ports: list[Port] = []
    boilers = build_boilers(draft, ports)
    tanks = build_tanks(draft, ports)
    circulators = build_circulators(draft)
    items = build_items(draft)
    emitters, valves = build_emitters(draft, items, ports)
    plant = build_plant(draft, ports)
    apparatus = build_apparatus(draft, ports)
    tubes = _tubes(draft)
    runs = _runs(draft)
    house = build_house(draft)
    bracing = build_bracing(draft)
    shop, buying = build_shop(draft), build_buying(draft, tubes)
    _references(draft, ports, runs, tubes, items)
    _allowed_tubes(draft, tubes)
    job, climate = draft.one("job", JobTable), draft.one("climate", ClimateTable)
    limits = draft.one("limits", LimitsTable)
    if (
        draft.source.faults
        or house is None
        or bracing is None
        or shop is None
        or buying is None
        or job is None
        or climate is None
        or limits is None
    ):
        return None
    return Design(
        name=job.name,
        system=draft.system,
        paper=job.paper or ("us-letter" if draft.system is System.US else "a4"),
        house=house,
        emitters=emitters,
        boilers=boilers,
        circulators=circulators,
        tanks=tanks,
        tubes=tubes,
        items=items,
        ports=tuple(ports),
        runs=runs,
        plant=plant,
        apparatus=apparatus,
        limits=Limits(speed_m_s=limits.speed, gradient_pa_m=limits.gradient, tubes=tuple(limits.tubes)),
        accepted=tuple(
            Accepted(rule=a.rule, subject=a.subject, on=a.on.isoformat(), because=a.because)
            for _, a in draft.rows("accept", AcceptTable)
        ),
        emitter_valves=valves,
        bracing=bracing,
        shop=shop,
        buying=buying,
        notes=tuple(job.notes),
        file=file,
        void_c=climate.void,
        drop_k=wanted.drop if (wanted := draft.one("balance", BalanceTable)) is not None else None,
        emitter_drops_k=tuple((e.name, e.drop) for _, e in draft.rows("emitter", EmitterBase) if e.drop is not None),
    )


def _tubes(draft: Draft) -> tuple[Tube, ...]:
    by_name = {t.name: t for t in shipped_tubes()}
    for i, t in draft.rows("tube", TubeTable):
        if t.outside - 2.0 * t.wall < 1e-3:
            wrong = "its walls leave no bore"
            draft.fault(("tube", i, "wall"), wrong, "the wall is less than half of the outside diameter")
        rough = (_STEEL if t.material == "steel" else _SMOOTH) if t.roughness is None else t.roughness
        by_name[t.name] = Tube(
            name=t.name,
            material=Material(t.material),
            size=t.size,
            outside_m=t.outside,
            wall_m=t.wall,
            roughness_m=rough,
            stock_m=t.stock,
            source=t.source,
        )
    return tuple(by_name.values())


def _allowed_tubes(draft: Draft, tubes: tuple[Tube, ...]) -> None:
    known = sorted({t.name for t in tubes} | set(draft.names("tube")))
    limits = draft.one("limits", LimitsTable)
    for j, name in enumerate(limits.tubes if limits is not None else ()):
        draft.know(("limits", "tubes", j), name, known, "tube")


def _runs(draft: Draft) -> tuple[Run, ...]:
    found: list[Run] = []
    for i, r in draft.rows("run", RunTable):
        moves: list[Move] = []
        for j, text in enumerate(r.moves):
            try:
                moves.append(parse_move(text, draft.system))
            except ValueError as bad:
                wrong, _, remedy = str(bad).partition("; ")
                draft.fault(("run", i, "moves", j), wrong, remedy or 'write for instance "down 350 mm"')
        found.append(
            Run(
                name=r.name,
                tube=r.tube,
                start=r.start,
                moves=tuple(moves),
                end=r.end,
                insulation_m=r.insulation,
                insulation_w_mk=r.insulation_conductivity,
                room=r.room,
            )
        )
    return tuple(found)


def _references(
    draft: Draft, ports: list[Port], runs: tuple[Run, ...], tubes: tuple[Tube, ...], items: tuple[Item, ...]
) -> None:
    """Names in separations and rooms of runs, and what runs name, as far as names alone can tell.

    Which port or tee a run means is judged where runs are laid, and only there; but a job with faults is never laid,
    so that here too a wrong name is told at once.
    """
    tees = {f"{r.name}.{m.name}" for r in runs for m in r.moves if isinstance(m, Tee)}
    for i, r in draft.rows("run", RunTable):
        # a move that can't be read may have been meant as this tee
        unread = [
            r.moves[int(f.path[3])] for f in draft.source.faults if f.path[:3] == ("run", i, "moves") and f.path[3:]
        ]
        tees |= {f"{r.name}.{text.split()[-1]}" for text in unread if text.strip()}
    for i, s in draft.rows("separation", SeparationTable):
        for j, tee in enumerate(s.tees):
            draft.know(("separation", i, "tees", j), tee, sorted(tees), "tee")
    for i, v in draft.rows("three_way", ThreeWayTable):
        draft.know(("three_way", i, "tee"), v.tee, sorted(tees), "tee")
        if v.sensor:
            draft.know(("three_way", i, "sensor"), v.sensor, sorted(tees), "tee")
    for i, u in draft.rows("underlay", UnderlayTable):
        draft.know(("underlay", i, "storey"), u.storey, draft.names("storey"), "storey")
    rooms = draft.names("room")
    for i, r in draft.rows("run", RunTable):
        if r.room:
            draft.know(("run", i, "room"), r.room, rooms, "room")
    if not draft.source.faults:
        return
    owners = ("boiler", "tank", "emitter", "vessel", "relief", "equipment", "separator", "buffer", "exchanger")
    unsure = draft.faulty(*owners) | (
        {*draft.names(*owners, "run")} - {p.owner for p in ports} - {r.name for r in runs}
    )
    known = tees | {p.ref for p in ports}
    tube_names = [t.name for t in tubes]
    item_names = [*(x.name for x in items), *draft.names("item", "circulator")]
    for (i, r), run in zip(draft.rows("run", RunTable), runs, strict=True):
        for field, ref in (("start", r.start), ("end", r.end)):
            owner = ref.rpartition(".")[0] or ref
            if ref and ref not in known and owner not in unsure:
                draft.fault(("run", i, field), f'there is no port or tee "{ref}"', nearest(ref, known))
        if r.tube not in tube_names and r.tube not in draft.names("tube"):
            draft.fault(("run", i, "tube"), f'no tube is called "{r.tube}"', nearest(r.tube, tube_names))
        for move in run.moves:
            item = getattr(move, "item", None)
            if item is not None and item not in item_names:
                index = next((j for j, text in enumerate(r.moves) if text == move.text), 0)
                draft.fault(
                    ("run", i, "moves", index), f'no item is called "{item}"', nearest(item, item_names, SPOKEN)
                )
