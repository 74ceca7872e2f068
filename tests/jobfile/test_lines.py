"""Every key and list entry has its line."""

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from wetside.jobfile.lines import Lines

TEXT = b'''# comment
format = 1
job.name = "x"

[climate]
outside = -7
"quo ted".b = 1

[[room]]
name = "A"
outline = [[0, 0],
  # a comment between
  [5, 0], [1,
  2]]

[[room.surface]]
name = "s"

[[room.surface]]
name = "t"

[[room]]
name = "B"
pump = { curve = [1,
  2], kind = "k" }

[[room.surface]]
name = "u"

[a."b c".'d']
z = """
x"""
w = 4
'''


def test_lines_of_paths():
    lines = Lines(TEXT)
    expected = {
        ("format",): 2,
        ("job",): 3,
        ("job", "name"): 3,
        ("climate",): 5,
        ("climate", "outside"): 6,
        ("climate", "quo ted", "b"): 7,
        ("room", 0): 9,
        ("room", 0, "name"): 10,
        ("room", 0, "outline", 0): 11,
        ("room", 0, "outline", 1): 13,
        ("room", 0, "outline", 2, 0): 13,
        ("room", 0, "outline", 2, 1): 14,
        ("room", 0, "surface", 0): 16,
        ("room", 0, "surface", 1, "name"): 20,
        ("room", 1): 22,
        ("room", 1, "pump", "curve", 1): 25,
        ("room", 1, "pump", "kind"): 25,
        ("room", 1, "surface", 0, "name"): 28,
        ("a", "b c", "d", "w"): 33,
    }
    assert {path: lines.of(path) for path in expected} == expected


def test_what_is_not_there_falls_back_to_what_is_round_it():
    lines = Lines(TEXT)
    assert lines.of(("room", 1, "outline", 4)) == 22
    assert lines.of(("room", 0, "outline", 9)) == 11
    assert lines.of(("room", 7, "name")) == 9
    assert lines.of(("run", 0)) is None
    assert lines.of(()) is None


@given(st.text(alphabet="[]{}=,.\"'#\n abrom01-", max_size=120))
def test_any_text_can_be_looked_through(text):
    lines = Lines(text.encode())
    most = text.count("\n") + 1
    for path in (("room", 0), ("a",), ("a", "b", 0)):
        line = lines.of(path)
        assert line is None or 1 <= line <= most


@given(st.lists(st.tuples(st.sampled_from(["room", "run"]), st.integers(0, 3)), max_size=8))
def test_array_tables_are_counted_as_toml_counts_them(tables):
    text, wanted, counts = "", {}, {"room": 0, "run": 0}
    for kind, gap in tables:
        text += "\n" * gap + f"[[{kind}]]\n"
        wanted[(kind, counts[kind])] = text.count("\n")
        text += f"n = {counts[kind]}\n"
        counts[kind] += 1
    data, lines = tomllib.loads(text), Lines(text.encode())
    for (kind, index), line in wanted.items():
        assert data[kind][index]["n"] == index
        assert lines.of((kind, index)) == line
        assert lines.of((kind, index, "n")) == line + 1
