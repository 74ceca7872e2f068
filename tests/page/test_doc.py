"""The open job as a document: commands tried and made, undo, an editor beside it."""

import os
import time
import tomllib
from pathlib import Path
from typing import Any

import pytest
from opened import demo

from wetside.basis.errors import JobProblem
from wetside.page.commands import BadCommand, parse
from wetside.page.doc import Conflict, Doc


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return demo("net-loft", tmp_path)


@pytest.fixture
def doc(folder: Path) -> Doc:
    return Doc(folder)


def warmer(value: float = 19, room: str = "Hall") -> Any:
    return parse({"do": "set", "table": "room", "name": room, "field": "inside", "value": value})


def need(doc_or_reading: Any, room: str = "Hall") -> float:
    reading = getattr(doc_or_reading, "now", doc_or_reading)
    return next(r.load_w for r in reading.shown.rooms.rooms if r.name == room)


def test_a_trial_answers_and_writes_nothing(doc: Doc) -> None:
    before, text = need(doc), doc.path.read_bytes()
    trial = doc.preview(warmer(22))
    assert need(trial) > before + 50
    assert trial.sound and trial.rev == doc.now.rev
    assert (doc.path.read_bytes(), need(doc)) == (text, before)


def test_a_change_keeps_every_comment(doc: Doc) -> None:
    lines = doc.path.read_text().splitlines()
    doc.commit(warmer())
    changed = doc.path.read_text().splitlines()
    assert [(a, b) for a, b in zip(lines, changed, strict=True) if a != b] == [("inside = 18", "inside = 19")]


def test_a_trial_and_the_change_itself_agree(doc: Doc) -> None:
    change = parse(
        {
            "do": "many",
            "said": "Wall moved",
            "all": [
                {"do": "set", "table": "room", "name": "Workshop", "field": "rectangle", "value": [0, 0, 5.2, 6.6]},
                {"do": "set", "table": "room", "name": "Hall", "field": "rectangle", "value": [5.2, 0, 7.4, 6.6]},
            ],
        }
    )
    tried = doc.preview(change)
    made = doc.commit(change)
    assert [r.load_w for r in tried.study.rooms.rooms] == [r.load_w for r in made.study.rooms.rooms]
    assert [e.output_w for e in tried.study.flow.emitters] == [e.output_w for e in made.study.flow.emitters]


def test_undo_and_redo_bring_back_the_very_bytes(doc: Doc) -> None:
    first = doc.path.read_bytes()
    doc.commit(warmer())
    second = doc.path.read_bytes()
    doc.commit(parse({"do": "remove", "table": "opening", "name": "W3"}))
    third = doc.path.read_bytes()
    assert doc.steps() == ("opening W3 removed", "")
    assert doc.undo() == "opening W3 removed"
    assert doc.path.read_bytes() == second
    assert doc.undo() == "room Hall changed"
    assert doc.path.read_bytes() == first
    assert doc.undo() == ""
    assert doc.redo() == "room Hall changed"
    assert doc.redo() == "opening W3 removed"
    assert doc.path.read_bytes() == third
    assert doc.redo() == ""


def test_a_new_change_ends_the_redo(doc: Doc) -> None:
    doc.commit(warmer())
    doc.undo()
    doc.commit(warmer(17))
    assert doc.redo() == ""


def test_an_editors_change_is_a_revision_that_can_be_undone(doc: Doc) -> None:
    heard: list[tuple[int, str]] = []
    doc.on_change = lambda rev, tab: heard.append((rev, tab))
    before = need(doc)
    text = doc.path.read_text()
    doc.path.write_text(text.replace('name = "Hall"\nstorey', 'name = "Hall"\nheight = 2.4\nstorey'))
    assert doc.look()
    assert not doc.look()
    assert heard[0] == (2, "")
    assert need(doc) < before
    assert doc.undo() == "changed in job.toml"
    assert doc.path.read_text() == text


def test_a_change_in_the_same_tick_of_the_clock_is_seen(doc: Doc) -> None:
    doc.commit(warmer())
    stat = doc.path.stat()
    doc.path.write_text(doc.path.read_text().replace("inside = 19", "inside = 15"))
    os.utime(doc.path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    assert doc.path.stat().st_size == stat.st_size
    assert doc.look()
    assert doc.now.tables["room"][1]["inside"] == 15


def test_a_mistake_in_the_file_is_told_with_its_line_and_the_last_state_stays(doc: Doc) -> None:
    before = need(doc)
    text = doc.path.read_text()
    doc.path.write_text(text.replace("inside = 22", 'inside = "warm"'))
    doc.look()
    (mistake,) = doc.now.mistakes
    assert mistake.line == text[: text.index("inside = 22")].count("\n") + 1
    assert (doc.now.sound, doc.now.study, need(doc)) == (False, None, before)
    doc.path.write_text(text + "\n[[[")
    doc.look()
    assert "column" in doc.now.mistakes[0].path
    assert need(doc) == before
    doc.path.write_text(text)
    doc.look()
    assert doc.now.sound and doc.now.mistakes == ()


def test_a_file_that_is_gone_is_told_and_comes_back(doc: Doc) -> None:
    text = doc.path.read_text()
    doc.path.unlink()
    assert doc.look()
    assert "can't be read" in doc.now.mistakes[0].wrong
    doc.path.write_text(text)
    assert doc.look()
    assert doc.now.sound


def test_a_change_that_makes_the_file_wrong_is_refused(doc: Doc) -> None:
    text = doc.path.read_bytes()
    with pytest.raises(JobProblem, match="warm"):
        doc.commit(parse({"do": "set", "table": "room", "name": "Hall", "field": "inside", "value": "warm"}))
    assert doc.path.read_bytes() == text


def test_rooms_that_overlap_are_kept_and_told(doc: Doc) -> None:
    doc.commit(parse({"do": "set", "table": "room", "name": "Hall", "field": "rectangle", "value": [5, 0, 7.4, 6.6]}))
    assert any("overlap" in m.wrong for m in doc.now.mistakes)
    assert doc.now.tables["room"][1]["rectangle"] == [5, 0, 7.4, 6.6]
    assert need(doc) > 0


def test_one_field_changed_on_two_sides_is_a_conflict(doc: Doc) -> None:
    saw = doc.now.sha
    doc.path.write_text(doc.path.read_text().replace("inside = 18", "inside = 15", 1))
    with pytest.raises(Conflict) as caught:
        doc.commit(warmer(), saw=saw)
    (clash,) = caught.value.clashes
    assert (clash.name, clash.field, clash.saw, clash.mine, clash.theirs) == ("Hall", "inside", 18, 19, 15)
    assert "inside = 15" in doc.path.read_text()
    doc.commit(warmer(), saw=saw, force=True)
    assert tomllib.loads(doc.path.read_text())["room"][1]["inside"] == 19


def test_different_fields_changed_on_two_sides_are_both_kept(doc: Doc) -> None:
    saw = doc.now.sha
    doc.path.write_text(doc.path.read_text().replace("inside = 22", "inside = 23"))
    doc.commit(warmer(), saw=saw)
    inside = {r["name"]: r.get("inside") for r in tomllib.loads(doc.path.read_text())["room"]}
    assert (inside["Hall"], inside["Bathroom"]) == (19, 23)


def test_a_renamed_room_is_renamed_wherever_it_is_meant(doc: Doc) -> None:
    doc.commit(parse({"do": "rename", "table": "room", "name": "Study", "to": "Chart store"}))
    data = tomllib.loads(doc.path.read_text())
    assert doc.now.sound
    assert {e["room"] for e in data["emitter"]} >= {"Chart store"}
    assert "Study" not in doc.path.read_text().split("# ---- storeys")[1].replace("Study's", "")


def test_a_renamed_run_keeps_its_supports_and_three_way_valves(doc: Doc) -> None:
    held = {"name": "H1", "run": "heating flow", "kind": "clip", "along": "1 m"}
    doc.commit(parse({"do": "add", "table": "support", "values": held}))
    doc.commit(parse({"do": "rename", "table": "run", "name": "heating flow", "to": "warm main"}))
    data = tomllib.loads(doc.path.read_text())
    assert data["support"][0]["run"] == "warm main"
    assert data["three_way"][0]["tee"] == "warm main.mix"
    assert doc.now.mistakes == ()


def test_a_trial_begins_where_the_state_before_ended_and_says_the_same(doc: Doc) -> None:
    trial = doc.preview(warmer(21))
    doc.commit(warmer(21))
    fresh = Doc(doc.path)
    assert trial.shown is not None and fresh.now.shown is not None
    for a, b in zip(trial.shown.flow.emitters, fresh.now.shown.flow.emitters, strict=True):
        assert a.output_w == pytest.approx(b.output_w, rel=1e-4)


def test_a_renamed_run_and_boiler_keep_their_joints(doc: Doc) -> None:
    doc.commit(parse({"do": "rename", "table": "run", "name": "primary", "to": "loop"}))
    doc.commit(parse({"do": "rename", "table": "boiler", "name": "boiler", "to": "kettle"}))
    assert doc.now.mistakes == ()
    assert tomllib.loads(doc.path.read_text())["separation"][0]["tees"] == ["loop.A", "loop.B"]


def test_rules_that_take_longer_follow(doc: Doc) -> None:
    quick = {f.rule.id for f in doc.preview(warmer()).findings}
    deadline = time.monotonic() + 20
    while not doc.now.whole and time.monotonic() < deadline:
        time.sleep(0.05)
    assert doc.now.whole
    assert quick <= {f.rule.id for f in doc.now.findings}
    assert doc.now.findings == doc.now.study.findings
    # a trial shows those of the state before beside its own
    assert {f.rule.id for f in doc.preview(warmer()).findings} == {f.rule.id for f in doc.now.findings}


@pytest.mark.parametrize(
    "sent",
    [
        None,
        [],
        {"do": "dance"},
        {"do": "set", "table": "room"},
        {"do": "set", "table": "passwd", "name": "x", "field": "y", "value": 1},
        {"do": "set", "table": "room", "name": "x" * 300, "field": "y", "value": 1},
        {"do": "set", "table": "room", "name": "x", "field": "y", "value": None},
        {"do": "set", "table": "room", "name": "x", "field": "y", "value": float("inf")},
        {"do": "set", "table": "room", "name": "x", "field": "y", "value": [[[[[[[[1]]]]]]]]},
        {"do": "set", "table": "room", "name": "x", "field": "y", "value": "z" * 3000},
        {"do": "set", "table": "room", "name": "x", "field": "y", "value": [1] * 3000},
        {"do": "add", "table": "room", "values": [1]},
        {"do": "add", "table": "room", "values": {"": 1}},
        {"do": "many", "all": []},
        {"do": "many", "all": [{"do": "many", "all": [{"do": "many", "all": [{"do": "many", "all": []}]}]}]},
        {"do": "many", "all": [{"do": "remove", "table": "room", "name": "x"}] * 5000},
    ],
)
def test_what_is_no_command_is_refused(sent: object) -> None:
    with pytest.raises(BadCommand):
        parse(sent)


def test_a_command_about_nothing_is_told(doc: Doc) -> None:
    for change in (
        {"do": "set", "table": "room", "name": "Ballroom", "field": "inside", "value": 20},
        {"do": "remove", "table": "run", "name": "nowhere"},
        {"do": "add", "table": "room", "values": {"name": "Hall", "storey": "Ground", "rectangle": [20, 0, 22, 2]}},
    ):
        with pytest.raises(JobProblem):
            doc.preview(parse(change))
        with pytest.raises(JobProblem):
            doc.commit(parse(change))
