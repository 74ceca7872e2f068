# ruff: noqa: E501 (one slip to a line reads best)
"""Every mistake is told with file, line, place, what is wrong and what would be right; all of them at once."""

import pytest

from wetside.basis.errors import JobProblem, Mistake
from wetside.jobfile.read import read_job


def told(folder) -> list[Mistake]:
    with pytest.raises(JobProblem) as problem:
        read_job(folder)
    assert problem.value.mistakes
    return list(problem.value.mistakes)


# (text in the starter, what it becomes, text on the line that is told, path, part of wrong, part of remedy)
SLIPS = [
    ("[climate]", "[climte]", "[climte]", "climte", '"climte" is no table', "climate"),
    ("[climate]", "[[climate]]", "[[climate]]", "climate", "two pairs", "[climate]"),
    ("[[storey]]", "[storey]", "[storey]", "storey", "one pair", "[[storey]]"),
    ("level = 0\n", "levl = 0\n", "levl = 0", 'storey "Ground" levl', "no field of storey", "level"),
    ("level = 0\n", "", "[[storey]]", 'storey "Ground"', "level is missing", "level = 0.0"),
    ("inside = 21", 'inside = "21 kg"', "inside =", 'room "Living room" inside', "does not fit a temperature", "degC"),
    ("inside = 21", 'inside = "warm"', "inside =", 'room "Living room" inside', "not a temperature", "70 degC"),
    ("inside = 21", "inside = true", "inside =", 'room "Living room" inside', "true is not a temperature", "°C"),
    ("inside = 21", "inside = nan", "inside =", 'room "Living room" inside', "finite", "°C"),
    ("inside = 21", "inside = -inf", "inside =", 'room "Living room" inside', "finite", "°C"),
    ("inside = 21", "inside = 2100", "inside =", 'room "Living room" inside', "more than can be meant", "60.0 °C"),
    ("width = 1.8", "width = -1.8", "width =", 'opening "W1" width', "too small", "bare number is in m"),
    ("width = 1.8", "width = 0", "width =", 'opening "W1" width', "too small", "bare number is in m"),
    ("width = 1.8", f"width = {'9' * 400}", "width =", 'opening "W1" width', "", "m"),
    ("width = 1.8", "width = 1e300", "width =", 'opening "W1" width', "more than can be meant", "at most 12.00 m"),
    ("width = 1.8", "width = 1800", "width =", 'opening "W1" width', "more than can be meant", 'did you mean "1800 mm"?'),
    ("width = 1.8", "width = 18", "width =", 'opening "W1" width', "more than can be meant", "a bare number is in m"),
    ("sill = 0.9", "sill = 900", "sill =", 'opening "W1" sill', "more than can be meant", 'did you mean "900 mm"?'),
    ("height = 2.4", "height = 2400", "height =", 'storey "Ground" height', "more than can be meant", 'did you mean "2400 mm"?'),
    ("length = 1.4", "length = 1400", "length =", 'emitter "R1" length', "more than can be meant", 'did you mean "1400 mm"?'),
    ("output = 1900", 'output = "15 bar"', 'output = "15', 'emitter "R1" output', "does not fit a power", 'such as "1.5 kW"'),
    ("above_floor = 0.15", "above_floor = 2.1", "above_floor =", 'emitter "R1" above_floor', "0.30 m above the ceiling of Living room", "above_floor can be 1.80 m at most"),
    ('flow_valve = "thermostatic valve"', 'flow_valve = "TRV"', "flow_valve =", 'emitter "R1" flow_valve', "no valve is called", 'did you mean "thermostatic valve"?'),
    ("width = 1.8", 'width = "1/0 m"', "width =", 'opening "W1" width', "divides by zero", "2.4 m"),
    ("width = 1.8", "width = [1.8]", "width =", 'opening "W1" width', "a list of 1", "2.4 m"),
    ("rectangle = [0, 0, 4, 3.6]", "rectangle = [0, 0, 4]", "rectangle = [0, 0, 4]", 'room "Living room" rectangle', "too few", "all"),
    ("rectangle = [0, 0, 4, 3.6]", "rectangle = [0, 0, 4, 5, 6]", "rectangle = [0, 0, 4, 5, 6]", 'room "Living room" rectangle', "too many", "4"),
    ("rectangle = [0, 0, 4, 3.6]", "rectangle = 4", "rectangle = 4", 'room "Living room" rectangle', "4 does not fit", "a list"),
    ("rectangle = [0, 0, 4, 3.6]", 'rectangle = [0, "x", 4, 3]', 'rectangle = [0, "x"', 'room "Living room" rectangle[1]', "not a length", "m"),
    ("rectangle = [0, 0, 4, 3.6]      # west, south, east, north\n", "", '[[room]]\nname = "Living', 'room "Living room"', "no outline", "rectangle"),
    ('part = "window"\nwall = "south"\nconstruction = "double glazing"\nwidth = 1.8',
     'part = "windw"\nwall = "south"\nconstruction = "double glazing"\nwidth = 1.8',
     'part = "windw"', 'opening "W1" part', '"windw" is not known', "window"),
    ('wall = "south"\nabove_floor = 0.15\nflow_valve = "thermostatic valve"\nreturn_valve = "lockshield valve"\nlockshield_kv = 0.5',
     'wall = "suoth"\nlockshield_kv = 0.5\nreturn_valve = "lockshield valve"', 'wall = "suoth"', 'emitter "R1" wall', "no wall", "south"),
    ('kind = "panel radiator"\noutput = 1900', 'kind = "panel"\noutput = 1900', 'kind = "panel"', 'emitter "R1" kind', "no kind of emitter", "panel radiator"),
    ('kind = "panel radiator"\noutput = 1900', "output = 1900", '[[emitter]]\nname = "R1"', 'emitter "R1" kind', "kind is missing", "panel radiator"),
    ('room = "Kitchen"\nkind', 'room = "Kitchn"\nkind', 'room = "Kitchn"', 'emitter "R2" room', 'no room is called "Kitchn"', "Kitchen"),
    ('storey = "Ground"\nrectangle = [4', 'storey = "Grund"\nrectangle = [4', 'storey = "Grund"', 'room "Kitchen" storey', "no storey", "Ground"),
    ('roof = "ceiling"', 'roof = "cieling"', "roof =", "fabric roof", "no construction", "ceiling"),
    ('name = "R2"\nroom', 'name = "R1"\nroom', 'name = "R1"\nroom = "Kitchen"', 'emitter "R1" name', "stands twice", "own name"),
    ('name = "R2"\nroom', 'name = "boiler"\nroom', 'name = "boiler"\nroom = "Kitchen"', 'emitter "boiler" name', "a boiler is called", "another name"),
    ('name = "R2"\nroom', 'name = "R.2"\nroom', 'name = "R.2"', 'emitter "R.2" name', "has a dot", "leave the dot out"),
    ('name = "R2"\nroom', 'name = ""\nroom', 'name = ""\nroom', "emitter[1] name", "empty", "name"),
    ('name = "R2"\nroom', 'name = 2\nroom',  "name = 2\nroom", 'emitter "2" name', "2 does not fit", "text in quotes"),
    ('"west ...", "south ..."', '"wset ...", "south ..."', '"down to -0.3 m"', 'run "flow" moves[11]', '"wset" is no move', "west"),
    ('"down 120 mm"', '"down 120"', '"down 120"', 'run "flow" moves[0]', "no unit", "2.4 m"),
    ('"down 120 mm"', "120", "120,", 'run "flow" moves[0]', "120 does not fit", "text in quotes"),
    ('at = [0.1, 0, 0], faces = "down"', 'at = [0.1, 0, 0], faces = "dwn"', 'name = "return", at', 'boiler "boiler" ports[1].faces', "not known", "down"),
    ('name = "return", at = [0.1', 'name = "back", at = [0.1', "ports = [", 'boiler "boiler" ports', 'no port "return"', "name = "),
    ("least = \"3 kW\"", 'least = "30 kW"', "least =", 'boiler "boiler" least', "above its largest", "smaller"),
    ('["1 m3/h", "3 m"]', '["1 m3/h", "5 m"]', "curve =", 'circulator "circulator" curve[1]', "head rises", "falls"),
    ('["1 m3/h", "3 m"]', '["0 m3/h", "3 m"]', "curve =", 'circulator "circulator" curve[1]', "flow does not rise", "order"),
    ('["1 m3/h", "3 m"]', '["1 m3/h"]', "curve =", 'circulator "circulator" curve[1]', "too few", "all"),
    ('["1 m3/h", "3 m"]', '["1 m3/h", "3 kg"]', "curve =", 'circulator "circulator" curve[1][1]', "does not fit a head", "m"),
    ("format = 1", "format = 2", "format = 2", "format", "format is 2", "format = 1"),
    ("format = 1", "format = true", "format = true", "format", "format is true", "format = 1"),
    ('units = "metric"', 'units = "imperial"', "units =", "job units", '"imperial" is not known', "metric"),
    ("length = 1.4", "length = 4.4", "length = 4.4", 'emitter "R1" length', "sticks out of wall 1 (south)", "longer wall"),
    ('material = "brick", thickness = 220', 'material = "brik", thickness = 220', '"brik"', 'construction "outer wall" layers[1].material', "no shipped material", "brick"),
    ("u = 1.9", "u = 1.9\nlayers = [{ material = \"brick\", thickness = 9 }]", '[[construction]]\nname = "partition"', 'construction "partition"', "both a U-value and layers", "u ="),
    ("u = 1.9\n", "", '[[construction]]\nname = "partition"', 'construction "partition"', "neither", "u ="),
    ('flow_valve = "thermostatic valve"\nreturn_valve = "lockshield valve"\nlockshield_kv = 0.5', "lockshield_kv = 0.5", "lockshield_kv = 0.5", 'emitter "R1" lockshield_kv', "no lockshield", "return_valve"),
    ('flow_valve = "thermostatic valve"\nreturn_valve = "lockshield valve"\nlockshield_kv = 0.5', 'flow_valve = "thermostat valve"', "flow_valve =", 'emitter "R1" flow_valve', "no valve is called", "thermostatic valve"),
    ('faces = "south"\n', "", "[[vessel]]", 'vessel "vessel"', "faces is missing", "faces ="),
    ('cold = "1.2 bar"', 'glycol = "5 %"', "glycol =", "fill glycol", "too little glycol", "10 to 50 %"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line", "path", "wrong", "remedy"), SLIPS)
def test_a_slip_is_told_with_its_line(job, starter, old, new, line, path, wrong, remedy):
    assert old in starter
    text = starter.replace(old, new, 1)
    mistakes = told(job(text))
    expected = text[: text.index(line)].count("\n") + 1
    hits = [m for m in mistakes if m.path == path and wrong in m.wrong]
    assert hits, [str(m) for m in mistakes]
    if 'name = "R2"' not in old:  # a radiator under another name leaves runs behind that lead nowhere
        assert len(mistakes) == 1, [str(m) for m in mistakes]
    assert (hits[0].file, hits[0].line) == ("job.toml", expected)
    assert remedy in hits[0].remedy
    assert "Error" not in str(hits[0])


def test_all_mistakes_come_at_once_in_the_order_of_the_file(job, starter):
    text = starter.replace("inside = 21", 'inside = "warm"').replace("level = 0\n", "levl = 0\n")
    text = text.replace('construction = "double glazing"', 'construction = "glas"').replace(
        '"fit circulator"', '"fitt circulator"'
    )
    text = text.replace('start = "flow.R2"', 'start = "flow.R3"').replace('tube = "copper 15"', 'tube = "coper 15"', 1)
    found = told(job(text))
    lines = [m.line for m in found]
    assert lines == sorted(lines)
    places = [m.path for m in found]
    for path in (
        'storey "Ground" levl', 'room "Living room" inside', 'opening "W1" construction',
        'opening "W2" construction', 'run "flow" moves[5]', 'run "flow to R2" start', 'run "flow to R2" tube',
    ):  # fmt: skip
        assert path in places
    assert len(found) == 7


def test_a_broken_table_brings_no_second_mistake_about_its_name(job, starter):
    """A room with a wrong field is still a room to those who name it."""
    found = told(job(starter.replace("inside = 18", 'inside = "cool"')))
    assert [m.path for m in found] == ['room "Kitchen" inside']


def test_a_crossing_outline_is_told_alone(job, starter):
    """What stands on its walls follows from it."""
    crossing = "outline = [[0, 0], [4, 3.6], [4, 0], [0, 3.6]]"
    (mistake,) = told(job(starter.replace("rectangle = [0, 0, 4, 3.6]", crossing)))
    assert mistake.path.startswith('room "Living room" outline[')
    assert "cross" in mistake.wrong


def test_an_emitter_with_its_own_place_stays_under_the_ceiling_too(job, starter):
    stood = 'at = [2, 0.1, 1.9]\nfaces = "north"\n'
    (mistake,) = told(job(starter.replace('wall = "south"\nabove_floor = 0.15\n', stood, 1)))
    assert mistake.path == 'emitter "R1" at'
    assert "0.10 m lower" in mistake.remedy


def test_tubes_and_valves_by_the_words_of_the_trade(job, starter):
    from wetside import open_job

    with pytest.raises(JobProblem) as problem:
        open_job(job(starter.replace('tube = "copper 22"', 'tube = "22 mm copper"', 1)))
    assert problem.value.mistakes[0].remedy == 'did you mean "copper 22"?'
    with pytest.raises(JobProblem) as problem:
        open_job(job(starter.replace('"fit isolating valve"', '"fit ball valve"', 1)))
    assert problem.value.mistakes[0].remedy == 'did you mean "isolating valve"?'


def test_a_storey_in_another_is_told_alone(job, starter):
    """Emitters and runs on that storey are off by as much, which follows from it."""
    from wetside import open_job

    upper = '[[storey]]\nname = "First"\nlevel = 2.2\nheight = 2.4\n\n[[room]]\nname = "Loft"\nstorey = "First"\n'
    upper += "rectangle = [0, 0, 4, 3.6]\n"
    text = starter.replace('"down to 0.7 m"', '"down to 3 m"') + "\n" + upper
    with pytest.raises(JobProblem) as problem:
        open_job(job(text))
    (mistake,) = problem.value.mistakes
    assert mistake.path == 'storey "First" level'
    assert mistake.line == text[: text.index("level = 2.2")].count("\n") + 1


def test_a_missing_table_says_which_and_how(job, starter):
    text = starter[: starter.index("[climate]")] + starter[starter.index("[fabric]") :]
    (mistake,) = told(job(text))
    assert "the table [climate] is missing" in mistake.wrong
    assert "outside = -7" in mistake.remedy and "mean = 9.4" in mistake.remedy


def test_an_empty_file_names_all_that_is_needed(job):
    found = told(job(""))
    assert {m.path for m in found} == {"format", "job", "climate", "fabric", "storey", "room"}


@pytest.mark.parametrize(
    ("content", "line", "wrong"),
    [
        (b"format = 1\n[job\n", 2, "expected"),
        (b"format = 1\nname = = 2\n", 2, "invalid value"),
        (b"format = 1\nformat = 2\n", 2, "overwrite"),
        (b"format = 1\nx = '''never closed\n", 3, ""),
        (b"format = 1\n\n# \xff\xfe\n", 3, "UTF-8"),
        (b"\x00\x01\x02", 1, ""),
        (b"\x89PNG\r\n\x1a\n\x00\x00", 1, "UTF-8"),
        (b"x = " + b"[" * 5000 + b"]" * 5000, None, "nested"),
        (b"x = " + b"9" * 5000, None, "too long"),
    ],
)  # fmt: skip
def test_no_toml_is_told_with_line_and_column(job, content, line, wrong):
    (mistake,) = told(job(content))
    assert mistake.file == "job.toml"
    assert mistake.line == line
    assert wrong.lower() in mistake.wrong.lower()


def test_a_column_is_told_too(job):
    (mistake,) = told(job(b"format = 1\nname = = 2\n"))
    assert (mistake.line, mistake.path) == (2, "column 8")


def test_dots_in_a_text_are_only_dots(job, starter):
    read_job(
        job(starter.replace("# design day", "# " + "." * 500).replace('name = "Two rooms"', 'name = "Two . . . rooms"'))
    )


def test_a_huge_file_is_not_read(job):
    (mistake,) = told(job(b"#" * (5 * 1024 * 1024 + 1)))
    assert "5 MB" in mistake.wrong


def test_no_job_in_the_folder_and_no_folder(tmp_path):
    (mistake,) = told(tmp_path)
    assert "no job.toml" in mistake.wrong and "wetside new" in mistake.remedy
    (tmp_path / "other.toml").write_text("format = 1")
    assert "other.toml" in told(tmp_path)[0].remedy
    assert "no such file" in told(tmp_path / "gone")[0].wrong
    assert "no such file" in told(tmp_path / "other.toml" / "below")[0].wrong
    (tmp_path / "sub" / "job.toml").mkdir(parents=True)
    assert "no plain file" in told(tmp_path / "sub")[0].wrong
    assert told("a\0b")[0].wrong
    assert told("x" * 5000)[0].wrong


def test_a_device_is_no_job():
    assert "no plain file" in told("/dev/zero")[0].wrong


def test_unicode_names_are_names(job, starter):
    design = read_job(job(starter.replace("Living room", "Stüberl № 1 居間").replace("Kitchen", "Küche")))
    assert [r.name for r in design.house.rooms] == ["Stüberl № 1 居間", "Küche"]


@pytest.mark.parametrize("name", ["a\\u0000b", "a\\nb", "\\u202e", "x" * 81, " a", "\\u200b"])
def test_names_that_can_not_be_printed_are_refused(job, starter, name):
    found = told(job(starter.replace('name = "Two rooms"', f'name = "{name}"')))
    assert [m.path for m in found] == ["job name"]
    assert all(str(m).isprintable() for m in found)


def test_equipment_without_ports_can_not_be_run_to(job, starter):
    text = starter.replace('at = [6.9, 3.5, 0.6]\nfaces = "south"\n', "")
    design = read_job(job(text))
    assert "vessel" not in {p.ref for p in design.ports}


def test_two_vessels_are_told(job, starter):
    found = told(job(starter + '\n[[vessel]]\nname = "second"\nvolume = 8\ncharge = 1\n'))
    assert [m.path for m in found] == ['vessel "second" name']


COLUMN = (
    '\n[[emitter]]\nname = "C"\nroom = "Kitchen"\nkind = "column radiator"\nlength = 0.5\nheight = 0.7\nwall = "west"\n'
)


@pytest.mark.parametrize(
    ("fields", "path", "wrong", "remedy"),
    [
        ("", 'emitter "C"', "its output is not said", "watts_per_section"),
        ("watts_per_section = 90\n", 'emitter "C"', "sections is missing", "sections = 10"),
        ('watts_per_section = 90\nsections = 3\nedr = "9 edr"\n', 'emitter "C" edr', "said 2 times", "or edr"),
        ('style = "5-tub"\nsections = 3\n', 'emitter "C" style', '"5-tub"', "5-tube"),
        ('style = "5-tube"\nsections = 3\n', 'emitter "C" height', "aren't listed", ""),
        ("watts_per_section = 90\nsections = 3.5\n", 'emitter "C" sections', "3.5", "a whole number"),
        ("watts_per_section = 90\nsections = 0\n", 'emitter "C" sections', "out of range", "at least 1"),
        ("watts_per_section = 90\nsections = 900\n", 'emitter "C" sections', "out of range", "at most 200"),
        ("output = 90\nsections = 3\n", 'emitter "C" output', "no field of emitter", ""),
    ],
)  # fmt: skip
def test_a_column_radiator_says_its_output_once(job, starter, fields, path, wrong, remedy):
    found = told(job(starter + COLUMN + fields))
    hit = next(m for m in found if m.path == path)
    assert wrong in hit.wrong
    assert remedy in hit.remedy


def test_a_radiator_needs_a_place(job, starter):
    plain = starter + COLUMN + "sections = 9\nwatts_per_section = 90\n"
    found = told(job(plain.replace('height = 0.7\nwall = "west"', "height = 0.7")))
    assert "no place" in found[0].wrong
    found = told(job(plain + "at = [5, 1, 0.1]\n"))
    assert {m.path for m in found} == {'emitter "C" wall', 'emitter "C" faces'}


def test_an_own_tube_needs_a_bore(job, starter):
    tube = '\n[[tube]]\nname = "odd"\nmaterial = "PEX"\nsize = "16"\noutside = 16\nwall = 8\n'
    found = told(job(starter + tube))
    assert [m.path for m in found] == ['tube "odd" wall']


def test_dates_are_dates(job, starter):
    accept = '\n[[accept]]\nrule = "NET-03"\nsubject = "x"\nbecause = "y"\non = '
    assert read_job(job(starter + accept + "2026-11-01\n")).accepted[0].on == "2026-11-01"
    for bad in ('"soon"', "5", "2026-11-01T10:00:00", "10:00:00"):
        found = told(job(starter + accept + bad + "\n"))
        assert [m.path for m in found] == ['accept "NET-03, x" on']
        assert "a date such as" in found[0].remedy
