# ruff: noqa: E501 (one slip to a line reads best)
"""A variant states only what it changes."""

import pytest

from wetside.basis.errors import JobProblem
from wetside.jobfile.read import read_job


@pytest.fixture
def variant(job):
    """Write a variant beside the starter and read it."""

    def read(text: str, name: str = "variant.toml"):
        job(), job(text, name)
        return read_job(job() / name)

    return read


def told(variant, text: str):
    with pytest.raises(JobProblem) as problem:
        variant(text)
    return problem.value.mistakes


BASE = 'base = "job.toml"\n'


def test_without_changes_it_is_the_base(variant, job):
    from dataclasses import replace

    assert replace(variant(BASE), file="job.toml") == read_job(job())
    assert variant(BASE).file == "variant.toml"


def test_a_field_is_laid_over_and_others_stay(variant, job):
    before, after = read_job(job()), variant(BASE + '[[emitter]]\nname = "R2"\noutput = 1600\n')
    assert [e.rated_w for e in before.emitters] == [1900, 1300]
    assert [e.rated_w for e in after.emitters] == [1900, 1600]
    assert after.ports == before.ports
    assert after.runs == before.runs


def test_a_single_table_is_laid_over(variant):
    design = variant(BASE + '[climate]\noutside = -15\n\n[limits]\nspeed = 0.7\n\n[job]\nname = "Colder"\n')
    assert (design.house.climate.outside_c, design.house.climate.mean_c) == (-15, 10)
    assert (design.limits.speed_m_s, design.name) == (0.7, "Colder")


def test_a_new_name_is_added(variant):
    room = '[[room]]\nname = "Store"\nstorey = "Ground"\nrectangle = [7, 0, 9, 3.6]\nheated = false\n'
    assert [r.name for r in variant(BASE + room).house.rooms] == ["Living room", "Kitchen", "Store"]


def test_remove_takes_away(variant):
    design = variant(
        BASE + '[[opening]]\nname = "W2"\nremove = true\n\n[[run]]\nname = "to the vessel"\nremove = true\n'
    )
    assert [o.name for o in design.house.openings] == ["W1"]
    assert "to the vessel" not in [r.name for r in design.runs]
    assert variant(BASE + "[fill]\nremove = true\n").plant.cold_fill_pa is None


def test_without_drops_fields(variant):
    moved = (
        BASE + '[[emitter]]\nname = "R2"\nwithout = ["wall", "above_floor"]\nat = [5.5, 0.04, 0.15]\nfaces = "north"\n'
    )
    assert variant(moved).emitters[1].at == (5.5, 0.04, 0.15)


def test_another_kind_of_emitter_keeps_what_both_have(variant):
    text = BASE + '[[emitter]]\nname = "R2"\nkind = "column radiator"\nsections = 12\nwatts_per_section = 100\n'
    emitter = variant(text).emitters[1]
    assert (emitter.rated_w, emitter.room, emitter.sections) == (1200, "Kitchen", 12)


def test_walls_are_matched_by_room_and_side(job, starter):
    folder = job(starter + '\n[[wall]]\nroom = "Kitchen"\nwall = "east"\nfaces = "neighbour"\ntemperature = 15\n')
    job(
        BASE
        + '[[wall]]\nroom = "Kitchen"\nwall = "east"\ntemperature = 12\n[[wall]]\nroom = "Kitchen"\nwall = "north"\nbelow_ground = 1\n',
        "v.toml",
    )
    walls = read_job(folder / "v.toml").house.walls
    assert [(w.wall, w.temperature_c, w.below_ground_m) for w in walls] == [("east", 12, 0), ("north", None, 1)]
    job(BASE + '[[wall]]\nroom = "Kitchen"\nwall = "east"\nremove = true\n', "v.toml")
    assert read_job(folder / "v.toml").house.walls == ()


def test_a_variant_of_a_variant(job):
    job(), job(BASE + "[climate]\noutside = -15\nmean = 7\n", "cold.toml")
    folder = job('base = "cold.toml"\n[climate]\noutside = -20\n', "colder.toml")
    climate = read_job(folder / "colder.toml").house.climate
    assert (climate.outside_c, climate.mean_c, climate.cold_water_c) == (-20, 7, 8)


def test_a_base_in_another_folder(job, tmp_path):
    folder = job()
    (folder / "more").mkdir()
    (folder / "more" / "v.toml").write_text('base = "../job.toml"\n[climate]\noutside = -15\n')
    assert read_job(folder / "more" / "v.toml").house.climate.outside_c == -15
    (folder / "more" / "v.toml").write_text('base = ".."\n[climate]\noutside = -16\n')
    assert read_job(folder / "more" / "v.toml").house.climate.outside_c == -16


def test_a_mistake_names_the_file_that_holds_it(variant):
    (mistake,) = told(variant, BASE + '\n[[emitter]]\nname = "R2"\noutput = "warm"\n')
    assert (mistake.file, mistake.line, mistake.path) == ("variant.toml", 5, 'emitter "R2" output')


def test_a_mistake_in_the_base_names_the_base(job, starter):
    folder = job(starter.replace("inside = 21", 'inside = "warm"'))
    job(BASE + '[[room]]\nname = "Living room"\nair_change = 1\n\n[[emitter]]\nname = "R1"\nlength = -1\n', "v.toml")
    with pytest.raises(JobProblem) as problem:
        read_job(folder / "v.toml")
    assert [(m.file, m.path) for m in problem.value.mistakes] == [
        ("v.toml", 'emitter "R1" length'), ("job.toml", 'room "Living room" inside'),
    ]  # fmt: skip
    assert problem.value.mistakes[1].line == starter[: starter.index("inside = 21")].count("\n") + 1


@pytest.mark.parametrize(
    ("text", "line", "path", "wrong", "remedy"),
    [
        ('base = "jb.toml"\n', 1, "base", "no such file", 'did you mean "job.toml"?'),
        ("\nbase = 5\n", 2, "base", "no file name", "job.toml"),
        ('base = ""\n', 1, "base", "no file name", "job.toml"),
        ('base = "a\\u0000b"\n', 1, "base", "no file name", "job.toml"),
        ('base = "variant.toml"\n', 1, "base", "leads back to itself", "no base"),
        (BASE + '[[room]]\nname = "Kitchn"\nremove = true\n', 4, 'room "Kitchn" remove', "the base has no room", "Kitchen"),
        (BASE + '[[room]]\nname = "Kitchen"\nremove = false\n', 4, 'room "Kitchen" remove', "states nothing else", "remove = true"),
        (BASE + '[[room]]\nname = "Kitchen"\nremove = true\ninside = 4\n', 4, 'room "Kitchen" remove', "states nothing else", ""),
        (BASE + '[[room]]\nname = "Kitchen"\nwithout = ["insid"]\n', 4, 'room "Kitchen" without', 'no field "insid"', "inside"),
        (BASE + '[[room]]\nname = "Kitchen"\nwithout = "inside"\n', 4, 'room "Kitchen" without', "list of field names", "without = "),
        (BASE + "[climate]\nremove = true\n", 3, "climate remove", "can't do without", "change its fields"),
        (BASE + "[limits]\nremove = true\n", 3, "limits remove", "the base has no limits", "leave it out"),
        (BASE + "[[rooms]]\nname = 1\n", 2, "rooms", "no table of a job", "room"),
        (BASE + "format = 3\n", 2, "format", "format is 3", "format = 1"),
        (BASE + "room = 3\n", 2, "room", "room is a table", "[[room]]"),
        (BASE + "[room\n", 2, "column 6", "", ""),
    ],
)  # fmt: skip
def test_mistakes_of_variants(variant, text, line, path, wrong, remedy):
    (mistake,) = told(variant, text)
    assert (mistake.file, mistake.path) == ("variant.toml", path)
    assert mistake.line == line
    assert wrong in mistake.wrong
    assert remedy in mistake.remedy


def test_bases_in_a_circle_end(job):
    job('base = "b.toml"\n', "a.toml"), job('base = "c.toml"\n', "b.toml")
    folder = job('base = "a.toml"\n', "c.toml")
    with pytest.raises(JobProblem, match="leads back to itself"):
        read_job(folder / "a.toml")


def test_a_long_chain_of_bases_ends(job):
    for i in range(30):
        folder = job(f'base = "v{i + 1}.toml"\n', f"v{i}.toml")
    job('base = "job.toml"\n', "v30.toml"), job()
    with pytest.raises(JobProblem, match="more than 20 bases"):
        read_job(folder / "v0.toml")
    assert read_job(folder / "v12.toml").runs


def test_remove_means_nothing_without_a_base(job, starter):
    with pytest.raises(JobProblem, match='"remove" is no field of room'):
        read_job(job(starter.replace("inside = 21", "remove = true")))
