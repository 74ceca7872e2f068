"""`open_job`: the one door for everybody above."""

import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

import wetside
from wetside import open_job
from wetside.basis.errors import JobProblem, Mistake, Place
from wetside.jobfile.new import demos
from wetside.jobfile.read import locate


def lines(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


def test_the_starter_opens_and_heats(job):
    study = open_job(job())
    assert study.mistakes == ()
    assert study.flow.converged
    assert {e.name for e in study.flow.emitters} == {"R1", "R2"}
    assert all(e.output_w > 500 for e in study.flow.emitters)


@pytest.mark.parametrize("name", demos())
def test_demos_open(name):
    assert open_job(Path(str(files("wetside.jobfile") / "demos" / name))).mistakes == ()


def test_mistakes_of_geometry_are_located_too(job, starter):
    text = starter.replace("rectangle = [4, 0, 7, 3.6]", "rectangle = [3, 0, 7, 3.6]")
    text = text.replace('start = "flow.R2"\nmoves = ["south ..."', 'start = "flow.R2"\nmoves = ["east 1 m"')
    text = text.replace("width = 1.8", "width = 4.8")
    with pytest.raises(JobProblem) as problem:
        open_job(job(text))
    found = problem.value.mistakes
    assert all(m.file == "job.toml" and m.line for m in found), [str(m) for m in found]
    kinds = {m.path.split()[0] for m in found}
    assert {"room", "opening"} <= kinds
    opening = next(m for m in found if m.path.startswith("opening"))
    assert opening.path == 'opening "W1" width'
    assert opening.line == lines(text, "width = 4.8")


def test_a_run_that_leads_nowhere_is_told_at_its_move(job, starter):
    text = starter.replace('"down ..."', '"down ...", "fit drain cok"')
    with pytest.raises(JobProblem) as problem:
        open_job(job(text))
    hit = next(m for m in problem.value.mistakes if "drain cok" in m.wrong)
    assert (hit.path, hit.line) == ('run "return from R2" moves[1]', lines(text, "drain cok"))


def test_without_the_check_the_readings_tell(job, starter):
    text = starter.replace("rectangle = [4, 0, 7, 3.6]", "rectangle = [3, 0, 7, 3.6]")
    study = open_job(job(text), check=False)
    assert study.mistakes


def test_a_variant_opens_and_its_mistakes_name_it(job):
    job()
    folder = job('base = "job.toml"\n\n[[opening]]\nname = "W1"\nwidth = 4.8\n', "v.toml")
    with pytest.raises(JobProblem) as problem:
        open_job(folder / "v.toml")
    assert [(m.file, m.line, m.path) for m in problem.value.mistakes] == [("v.toml", 5, 'opening "W1" width')]
    assert open_job(folder).mistakes == ()


@pytest.mark.parametrize(
    ("place", "line_of", "path"),
    [
        (Place("run", "flow", "moves", 7), '"south to 0.6 m"', 'run "flow" moves[7]'),
        (Place("run", "flow", "moves", 6), '"down to -0.3 m"', 'run "flow" moves[6]'),
        (Place("run", "flow", "moves"), 'moves = [\n  "down 120', 'run "flow" moves'),
        (Place("run", "flow"), '[[run]]\nname = "flow"', 'run "flow"'),
        (Place("run", "flow", "room"), '[[run]]\nname = "flow"', 'run "flow" room'),
        (Place("climate", "", "mean"), "mean = 10", "climate mean"),
        (Place("climate"), "[climate]", "climate"),
        (Place("room", "Kitchen", "rectangle", 2), "rectangle = [4", 'room "Kitchen" rectangle[2]'),
    ],
)
def test_places_of_engineering_floors_find_their_lines(job, starter, place, line_of, path):
    folder = job()
    (mistake,) = locate([Mistake(place, "w", "r")], folder)
    assert (mistake.file, mistake.line, mistake.path) == ("job.toml", lines(starter, line_of), path)
    assert (mistake.wrong, mistake.remedy) == ("w", "r")


@pytest.mark.parametrize("place", [Place("house"), Place("run", "no such"), Place("relief", "x", "y"), Place("")])
def test_places_that_lead_nowhere_keep_the_file(job, place):
    (mistake,) = locate([Mistake(place, "w", "r")], job())
    assert (mistake.file, mistake.line) == ("job.toml", None)


def test_walls_of_one_room_are_told_apart_by_what_the_message_quotes(job, starter):
    walls = "".join(f'\n[[wall]]\nroom = "Kitchen"\nwall = "{w}"\nfaces = "neighbour"\n' for w in ("east", "north"))
    folder = job(starter + walls)
    (mistake,) = locate([Mistake(Place("wall", "Kitchen", "wall"), "no wall of Kitchen faces north", "r")], folder)
    assert mistake.path == 'wall "Kitchen, north" wall'
    assert mistake.line == lines(starter + walls, 'wall = "north"')


def test_importing_wetside_loads_nothing_heavy():
    code = """import sys, wetside
print([m for m in ('pydantic', 'numpy', 'tomlkit', 'tree_sitter', 'click') if m in sys.modules])"""
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


def test_a_sound_job_needs_no_line_finder_and_no_editor(job):
    code = f"""import sys, wetside; wetside.open_job({str(job())!r})
print([m for m in ('tomlkit', 'tree_sitter', 'typst', 'scipy', 'CoolProp', 'rich') if m in sys.modules])"""
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


def test_the_version_is_the_projects():
    import tomllib

    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text())["project"]
    assert wetside.__version__ == project["version"]
