"""Saving keeps comments, never leaves half a file, never overwrites somebody else's change."""

import os
import signal
import subprocess
import sys
import time
import tomllib

import pytest

from wetside.basis.errors import JobProblem
from wetside.jobfile.read import read_job
from wetside.jobfile.save import Edit


def test_a_field_is_set_and_nothing_else_changes(job, starter):
    folder = job()
    edit = Edit(folder)
    edit.set("emitter", "R2", "output", 1600)
    edit.set("climate", "", "outside", -9)
    kept = edit.save()
    after = (folder / "job.toml").read_text()
    assert after == starter.replace("output = 1300", "output = 1600").replace("outside = -5 ", "outside = -9 ")
    assert "# design day" in after
    assert kept.name == "job.toml.before" and kept.read_text() == starter
    assert read_job(folder).emitters[1].rated_w == 1600
    assert sorted(p.name for p in folder.iterdir()) == ["job.toml", "job.toml.before"]


def test_saving_without_a_change_changes_no_byte(job, starter):
    for text in (starter, starter.replace("\n", "\r\n"), "\ufeff" + starter, starter.rstrip()):
        folder = job(text)
        before = (folder / "job.toml").read_bytes()
        Edit(folder).save()
        assert (folder / "job.toml").read_bytes() == before


def test_tables_are_added_and_removed(job):
    folder = job()
    edit = Edit(folder)
    edit.add("opening", {"name": "W3", "room": "Kitchen", "part": "window", "wall": "north",
                         "construction": "double glazing", "width": 0.6, "height": 0.6})  # fmt: skip
    edit.add("limits", {"speed": 0.8})
    edit.set("ground", "", "underfloor", "crawl space")
    edit.remove("opening", "W1")
    edit.remove("fill")
    edit.unset("room", "Kitchen", "air_change")
    edit.save()
    design = read_job(folder)
    assert [o.name for o in design.house.openings] == ["W2", "W3"]
    assert (design.limits.speed_m_s, design.plant.cold_fill_pa) == (0.8, None)
    assert design.house.ground.underfloor == "crawl space"
    assert design.house.rooms[1].air_change_1_h == 0.5
    edit.set("opening", "W3", "sill", 1.0)
    edit.save()
    assert read_job(folder).house.openings[1].sill_m == 1.0


def test_the_last_table_of_a_kind_can_go_and_come_back(job, starter):
    folder = job()
    edit = Edit(folder)
    edit.remove("vessel", "vessel")
    edit.remove("run", "to the vessel")
    edit.save()
    assert read_job(folder).plant.vessel is None
    edit.add("vessel", {"name": "vessel", "volume": "8 l", "charge": "0.8 bar"})
    edit.save()
    assert read_job(folder).plant.vessel is not None


@pytest.mark.parametrize(
    ("do", "wrong"),
    [
        (lambda e: e.set("emitter", "R9", "output", 1), 'there is no emitter "R9"'),
        (lambda e: e.set("emiter", "R1", "output", 1), "there is no such table"),
        (lambda e: e.set("emitter", "R1", "output", object()), "can't be written"),
        (lambda e: e.unset("emitter", "R1", "outputt"), "no such field"),
        (lambda e: e.add("emitter", {"name": "R1"}), "there is one already"),
        (lambda e: e.add("emiter", {"name": "R1"}), "there is no such table"),
        (lambda e: e.remove("run", "nothing"), 'there is no run "nothing"'),
        (lambda e: e.remove("limits"), "there is no limits"),
    ],
)  # fmt: skip
def test_edits_that_can_not_be(job, starter, do, wrong):
    edit = Edit(job())
    with pytest.raises(JobProblem, match=wrong):
        do(edit)
    assert edit.text == starter


def test_a_file_changed_by_someone_else_is_not_overwritten(job):
    folder = job()
    mine, theirs = Edit(folder), Edit(folder)
    theirs.set("emitter", "R1", "output", 2000)
    theirs.save()
    mine.set("emitter", "R2", "output", 1600)
    with pytest.raises(JobProblem, match="changed by someone else"):
        mine.save()
    assert [e.rated_w for e in read_job(folder).emitters] == [2000, 1300]
    (folder / "job.toml").unlink()
    with pytest.raises(JobProblem, match="gone since it was read"):
        theirs.save()


@pytest.mark.skipif(os.name != "posix", reason="modes and links as POSIX has them")
def test_mode_and_link_stay(job, tmp_path):
    folder = job()
    real = folder / "job.toml"
    real.chmod(0o640)
    link = folder / "link.toml"
    link.symlink_to(real)
    edit = Edit(link)
    edit.set("emitter", "R1", "output", 2000)
    edit.save()
    assert link.is_symlink()
    assert real.stat().st_mode & 0o777 == 0o640
    assert read_job(folder).emitters[0].rated_w == 2000


def test_a_folder_that_can_not_be_written_says_so(job, monkeypatch):
    import tempfile

    folder = job()
    edit = Edit(folder)

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(tempfile, "mkstemp", full)
    with pytest.raises(JobProblem, match="no space left on device"):
        edit.save()
    assert read_job(folder)


SAVER = """
import sys
from wetside.jobfile.save import Edit
edit = Edit(sys.argv[1])
print("ready", flush=True)
n = 0
while True:
    n += 1
    edit.set("emitter", "R1", "output", 1000 + n % 1000)
    edit.set("job", "", "name", "x" * (n % 60 + 1))
    edit.save()
"""


@pytest.mark.skipif(os.name != "posix", reason="kills by signal")
def test_a_saver_killed_at_any_moment_leaves_a_whole_file(job, starter):
    folder = job(starter + "\n# " + "long " * 20_000 + "\n")
    size = (folder / "job.toml").stat().st_size
    for round_ in range(8):
        process = subprocess.Popen([sys.executable, "-c", SAVER, str(folder)], stdout=subprocess.PIPE)
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(0.02 + 0.013 * round_)
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()
        for name in ("job.toml", "job.toml.before"):
            if name.endswith(".before") and not (folder / name).exists():
                continue  # killed before its first save was through; there must be one in the end
            text = (folder / name).read_text()
            assert abs(len(text) - size) < 100
            assert tomllib.loads(text)["format"] == 1
    # the next save clears away what the killed ones left
    Edit(folder).save()
    assert sorted(p.name for p in folder.iterdir()) == ["job.toml", "job.toml.before"]


ADDER = """
import sys
from wetside.basis.errors import JobProblem
from wetside.jobfile.save import Edit
done = 0
while done < 12:
    edit = Edit(sys.argv[1])
    edit.add("item", {"name": f"{sys.argv[2]}-{done}", "kind": "gate valve"})
    try:
        edit.save()
    except JobProblem as problem:
        assert "changed by someone else" in str(problem), problem
        continue
    done += 1
"""


def test_savers_at_the_same_time_lose_nothing(job):
    folder = job()
    savers = [subprocess.Popen([sys.executable, "-c", ADDER, str(folder), who]) for who in ("a", "b", "c")]
    assert [s.wait(timeout=120) for s in savers] == [0, 0, 0]
    names = {x["name"] for x in tomllib.loads((folder / "job.toml").read_text())["item"]}
    assert names == {f"{who}-{n}" for who in "abc" for n in range(12)}
    assert read_job(folder)


def test_an_entry_told_by_two_fields_is_found_by_both(tmp_path):
    job = tmp_path / "job.toml"
    job.write_text('[[wall]]\nroom = "Hall"\nwall = "south"\n\n[[wall]]\nroom = "Hall"\nwall = 2 # the lane\n')
    edit = Edit(job)
    edit.set("wall", "Hall, 2", "below_ground", 0.5)
    edit.remove("wall", "Hall, south")
    edit.save()
    assert job.read_text().strip() == '[[wall]]\nroom = "Hall"\nwall = 2 # the lane\nbelow_ground = 0.5'
    with pytest.raises(JobProblem, match="Hall, 2"):
        edit.add("wall", {"room": "Hall", "wall": 2})


def test_a_long_list_has_an_entry_to_a_line(tmp_path):
    job = tmp_path / "job.toml"
    job.write_text('[[run]]\nname = "A"\n')
    moves = [f"north {i} m" for i in range(1, 13)]
    edit = Edit(job)
    edit.set("run", "A", "moves", moves)
    assert all(f'    "{m}",' in edit.text.splitlines() for m in moves)
    assert tomllib.loads(edit.text)["run"][0]["moves"] == moves
