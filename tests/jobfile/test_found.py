"""Findings lead to lines of the job file."""

import tomllib

from wetside import open_job
from wetside.jobfile.found import spots
from wetside.jobfile.heads import _read
from wetside.jobfile.lines import Lines


def line_of(text: str, start: str) -> int:
    return text[: text.index(start)].count("\n") + 1


def test_every_kind_of_place_has_its_line(job, starter):
    folder = job()
    study = open_job(folder)
    found = spots(study.findings, study, folder)
    lines = {place: spot.line for place, spot in found.items()}
    assert {spot.file for spot in found.values()} == {"job.toml"}
    assert lines["room:Kitchen"] == line_of(starter, '[[room]]\nname = "Kitchen"')
    assert lines["emitter:R1"] == line_of(starter, '[[emitter]]\nname = "R1"')
    assert lines["boiler"] == line_of(starter, "[[boiler]]")
    assert lines["relief valve"] == line_of(starter, "[[relief]]")
    assert lines["vessel"] == line_of(starter, "[[vessel]]")
    assert lines["circulator"] == line_of(starter, "[[circulator]]")
    assert lines["flow to R2"] == line_of(starter, '[[run]]\nname = "flow to R2"')
    # a leg begins with its first move, and a run stands at its head
    assert lines["leg:flow 1"] == line_of(starter, '"down 120 mm"') or lines["leg:flow 1"] == line_of(starter, '  "')
    assert lines["return"] == line_of(starter, '[[run]]\nname = "return"\n')


def test_nearly_every_finding_of_a_demo_with_a_place_has_a_line(job, starter):
    folder = job()
    study = open_job(folder)
    placed = [f for f in study.findings if f.place]
    found = spots(placed, study, folder)
    without = {f.place for f in placed if f.place not in found}
    # only supports that wetside put there itself
    assert not {p for p in without if not p.startswith("S")}


def test_a_variant_leads_to_the_file_that_states_the_thing(job, starter):
    folder = job()
    (folder / "cold.toml").write_text('base = "job.toml"\n\n[[boiler]]\nname = "boiler"\nflow = 60\n', encoding="utf-8")
    study = open_job(folder / "cold.toml")
    found = spots(study.findings, study, folder / "cold.toml")
    assert (found["boiler"].file, found["boiler"].line) == ("cold.toml", 3)
    assert found["vessel"].file == "job.toml"


def test_lines_agree_with_the_parsers(starter, everything):
    """Both ways to a line, over every named table of both jobs."""
    for text in (starter, everything):
        quick, exact, data = _read("job.toml", text), Lines(text.encode()), tomllib.loads(text)
        named = [
            (table, i, entry["name"])
            for table, entries in data.items()
            if isinstance(entries, list)
            for i, entry in enumerate(entries)
            if "name" in entry
        ]
        assert named
        for table, i, name in named:
            assert quick.line(table, name) == exact.of((table, i)), (table, name)
        for i, run in enumerate(data["run"]):
            for j in range(len(run["moves"])):
                assert quick.entry_line("run", run["name"], "moves", j) == exact.of(("run", i, "moves", j))


def test_heads_within_texts_and_comments_are_none():
    text = """format = 1
# [[boiler]]
[job]
name = "x"
notes = ['''
[[boiler]]
name = "boiler"
''']
[[boiler]]   # the real one
name = 'boiler'
moves = [ # "not this"
  "a", # nor "this"
  'b # c', "d ]"
]
"""
    read = _read("job.toml", text)
    assert read.line("boiler", "boiler") == 9
    assert [read.entry_line("boiler", "boiler", "moves", i) for i in range(4)] == [12, 13, 13, None]
    assert read.entry_line("boiler", "boiler", "ports", 0) is None
    assert read.line("boiler", "other") is None
