"""The commands from end to end."""

import csv
import io
import json
import os
import pty
import re
import select
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import jsonschema
import pypdf
import pytest

from wetside.basis.quantity import Kind, System, show
from wetside.cli import exits
from wetside.sheets.jsonschema import names, sheet_schema

Wetside = Callable[..., Any]


def valid(data: Any, name: str) -> Any:
    jsonschema.validate(data, sheet_schema(name))
    return data


def process(*args: str | Path, cwd: Path | None = None, **env: str) -> subprocess.CompletedProcess[bytes]:
    """A command as a process of its own, its output piped."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "LC_", "LANG", "COLUMNS", "NO_COLOR"))}
    command = [sys.executable, "-m", "wetside.cli", *map(str, args)]
    return subprocess.run(command, cwd=cwd, env=kept | env, capture_output=True, timeout=120, check=False)


def at_terminal(*args: str | Path, columns: int = 80, **env: str) -> str:
    """What a command shows at a terminal of its own."""
    main, other = pty.openpty()
    kept = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLUMNS")}
    full = kept | {"TERM": "xterm", "COLUMNS": str(columns), "PYTHONUTF8": "1"} | env
    command = [sys.executable, "-m", "wetside.cli", *map(str, args)]
    with subprocess.Popen(command, stdout=other, stderr=other, stdin=other, env=full) as child:
        os.close(other)
        shown = b""
        while True:
            ready, _, _ = select.select([main], [], [], 60)
            try:
                piece = os.read(main, 65536) if ready else b""
            except OSError:
                piece = b""
            if not piece:
                break
            shown += piece
        os.close(main)
        child.wait(10)
    return shown.decode("utf-8")


def test_a_job_from_new_to_pack(tmp_path: Path) -> None:
    made = process("new", "house", "--like", "net-loft", "--json", cwd=tmp_path)
    assert (made.returncode, made.stderr) == (exits.DONE, b"")
    assert any(f["file"].endswith("job.toml") for f in valid(json.loads(made.stdout), "new")["files"])
    for name in ("check", "rooms", "flow", "takeoff", "supports"):
        plain = process(name, "house", cwd=tmp_path)
        assert (plain.returncode, plain.stderr) == (exits.DONE, b""), name
        assert b"\x1b" not in plain.stdout, "piped output is plain"
        valid(json.loads(process(name, "house", "--json", cwd=tmp_path).stdout), name)
    drawn = process("draw", "house", "-o", "drawings", "--json", cwd=tmp_path)
    assert drawn.returncode == exits.DONE
    for f in valid(json.loads(drawn.stdout), "draw")["files"]:
        assert ElementTree.parse(tmp_path / f["file"]).getroot().tag.endswith("svg")
    packed = process("pack", "house", "-o", "house.pdf", "--json", cwd=tmp_path)
    assert packed.returncode == exits.DONE
    sheet = valid(json.loads(packed.stdout), "pack")
    assert sheet["bytes"] == (tmp_path / "house.pdf").stat().st_size
    text = "".join(p.extract_text() for p in pypdf.PdfReader(tmp_path / "house.pdf").pages)
    assert all(title in text for title in sheet["sheets"])


def test_the_folder_that_one_is_in_is_the_job(jobs: dict[str, Path]) -> None:
    here = process("rooms", cwd=jobs["net-loft"])
    named = process("rooms", jobs["net-loft"])
    assert here.returncode == exits.DONE
    assert here.stdout == named.stdout


def test_json_of_every_reading_is_valid_and_numbers_add_up(job: Path, wetside: Wetside) -> None:
    rooms = valid(wetside("rooms", job, "--json").data, "rooms")
    flow = valid(wetside("flow", job, "--json").data, "flow")
    takeoff = valid(wetside("takeoff", job, "--json").data, "takeoff")
    heated = [r for r in rooms["rooms"] if r["heated"]]
    assert rooms["total_w"] == pytest.approx(sum(r["load_w"] for r in heated))
    for r in rooms["rooms"]:
        if r["heated"]:
            assert r["load_w"] == pytest.approx(r["transmission_w"] + r["air_w"] + r["reheat_w"], abs=1e-6)
    assert sum(x["load_w"] for x in rooms["losses"]) == pytest.approx(rooms["total_w"], abs=5.0)
    assert flow["converged"] is True
    assert {r["name"] for r in flow["rooms"]} == {r["name"] for r in rooms["rooms"]}
    assert {r["room"] for r in flow["rooms"] if r["heated"]} == {r["name"] for r in heated}
    assert flow["emitters_w"] == pytest.approx(sum(e["output_w"] for e in flow["emitters"]))
    given = sum(b["output_w"] for b in flow["boilers"])
    taken = flow["emitters_w"] + flow["pipe_loss_w"] + sum(t["output_w"] for t in flow["tanks"])
    assert given == pytest.approx(taken, rel=1e-3)
    assert takeoff["water_m3"] == pytest.approx(sum(x["water_m3"] for x in takeoff["water"]))
    assert takeoff["joint_count"] == sum(x["count"] for x in takeoff["joints"])


def test_strict_fails_on_a_broken_must_rule_only(job: Path, wetside: Wetside) -> None:
    broken = wetside("check", job, "--json").data["summary"]["broken_must"]
    assert wetside("check", job).code == exits.DONE
    strict = wetside("check", job, "--strict", "--json")
    assert strict.code == (exits.BROKEN if broken else exits.DONE)
    valid(strict.data, "check")


def test_strict_fails_where_a_safety_rule_is_not_known(wetside: Wetside, jobs: dict[str, Path], tmp_path: Path) -> None:
    text = (jobs["net-loft-mended"] / "job.toml").read_text(encoding="utf-8")
    assert wetside("check", jobs["net-loft-mended"], "--strict").code == exits.DONE
    (tmp_path / "job.toml").write_text(text.replace('capacity = "50 kW"\n', "", 1), encoding="utf-8")
    outcome = wetside("check", tmp_path, "--strict", "--json")
    assert outcome.code == exits.BROKEN
    summary = outcome.data["summary"]
    assert (summary["broken_must"], summary["unknown_safety"]) == (0, 1)
    assert "1 safety rule is not known." in wetside("check", tmp_path, "--brief").out


def test_brief_says_only_what_asks_for_something(wetside: Wetside, job: Path) -> None:
    whole, brief = wetside("check", job).out, wetside("check", job, "--brief").out
    assert "● holds  " not in brief
    assert "Cautions" not in brief
    broken = wetside("check", job, "--json").data["summary"]["breaks"]
    assert brief.count("✗ breaks  ") == broken
    count = next(line for line in whole.splitlines() if line.startswith("✗ breaks ") and "holds" in line)
    # at the top of either, and once more under the long one
    assert (brief.splitlines()[1], brief.count(count), whole.count(count)) == (count, 1, 2)


def test_findings_say_where_in_the_job_they_lead(wetside: Wetside, jobs: dict[str, Path]) -> None:
    lines = (jobs["net-loft"] / "job.toml").read_text(encoding="utf-8").splitlines()
    findings = wetside("check", jobs["net-loft"], "--json").data["findings"]
    vessel = next(f for f in findings if f["id"] == "PLA-05")
    assert vessel["file"] == "job.toml"
    assert lines[vessel["line"] - 1 : vessel["line"] + 1] == ["[[vessel]]", 'name = "vessel"']
    assert f"at: job.toml, line {vessel['line']}" in wetside("check", jobs["net-loft"]).out
    boiler = next(f for f in findings if f["id"] == "PLA-01")
    assert boiler["limit_parts"].endswith("W from tube outside heated rooms")
    parts = " ".join(boiler["limit_parts"].split())
    assert parts in " ".join(wetside("check", jobs["net-loft"], columns=200).out.split())


def test_what_can_not_be_written_or_read_has_a_remedy(wetside: Wetside, jobs: dict[str, Path], tmp_path: Path) -> None:
    job = jobs["schoolhouse"]
    nowhere = wetside("takeoff", job, "--csv", tmp_path / "none" / "x.csv")
    assert nowhere.code == exits.FILE
    assert f"make the folder {tmp_path / 'none'} first" in nowhere.err
    assert "give the name of a file in it" in wetside("takeoff", job, "--csv", tmp_path).err
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert "a file stands where a folder should" in wetside("draw", job, "-o", tmp_path / "file").err
    missing = wetside("check", tmp_path / "nohouse")
    assert missing.err.splitlines()[0] == "nohouse: there is no such file or folder."


def test_new_names_each_file_once(wetside: Wetside, tmp_path: Path) -> None:
    lines = wetside("new", tmp_path / "job").out.splitlines()
    assert lines[1:] == [f"  {tmp_path / 'job' / n}" for n in ("job.toml", "job.schema.json")]


def test_take_off_as_csv(job: Path, wetside: Wetside, tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    wetside("takeoff", job, "--csv", file)
    rows = list(csv.DictReader(io.StringIO(file.read_text(encoding="utf-8-sig"))))
    sheet = wetside("takeoff", job, "--json").data
    for group in {c["group"] for c in sheet["counts"]}:
        counted = sum(c["count"] for c in sheet["counts"] if c["group"] == group)
        assert sum(int(r["count"]) for r in rows if r["group"] == group) == counted
    printed = wetside("takeoff", job, "--csv", "-").out
    assert list(csv.DictReader(io.StringIO(printed))) == rows
    assert wetside("takeoff", job, "--csv", "-", "--json").code == exits.COMMAND


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_drawings_of_one_storey(theme: str, jobs: dict[str, Path], wetside: Wetside, tmp_path: Path) -> None:
    job = jobs["net-loft"]
    storeys = {r["storey"] for r in wetside("rooms", job, "--json").data["rooms"]}
    every = wetside("draw", job, "-o", tmp_path / "all", "--theme", theme, "--json").data["files"]
    one = wetside("draw", job, "-o", tmp_path / "one", "--theme", theme, "--storey", min(storeys), "--json").data[
        "files"
    ]
    assert len(one) == 1
    assert len(every) >= len(storeys) + 2
    assert one[0]["title"] in {f["title"] for f in every}
    unknown = wetside("draw", job, "-o", tmp_path / "none", "--storey", "Atticc", "--json")
    assert unknown.code == exits.COMMAND
    assert not (tmp_path / "none").exists()


BROKEN_TEXT = {
    "no TOML": "[job\nname = 3",
    "empty": "",
    "wrong kinds": 'format = 1\n[job]\nname = 7\nunits = "furlongs"\n',
    "not UTF-8": "name = '\udcff'",
    "a list for a table": "format = 1\njob = [1, 2]\nroom = 3\n",
}


@pytest.mark.parametrize("kind", BROKEN_TEXT)
@pytest.mark.parametrize("command", ["check", "rooms", "flow", "takeoff", "supports"])
def test_a_broken_job_is_a_mistake_and_no_traceback(kind: str, command: str, wetside: Wetside, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_bytes(BROKEN_TEXT[kind].encode("utf-8", "surrogateescape"))
    plain = wetside(command, tmp_path)
    assert plain.code == exits.MISTAKES
    assert plain.out == ""
    assert "Traceback" not in plain.err
    assert "job.toml" in plain.err
    sheet = valid(wetside(command, tmp_path, "--json").data, "mistakes")
    assert sheet["exit"] == exits.MISTAKES
    assert sheet["mistakes"]
    assert all(m["wrong"] and m["remedy"] for m in sheet["mistakes"])


def changed(job: Path, to: Path, old: str, new: str) -> Path:
    """A copy of a job with one piece of its text changed."""
    text = (job / "job.toml").read_text(encoding="utf-8")
    assert old in text
    to.mkdir(exist_ok=True)
    (to / "job.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    return to


def test_a_mistake_in_a_run_is_found_with_its_line(jobs: dict[str, Path], wetside: Wetside, tmp_path: Path) -> None:
    text = (jobs["net-loft"] / "job.toml").read_text(encoding="utf-8")
    line = next(i for i, x in enumerate(text.splitlines(), start=1) if x.startswith('end = "boiler.return"'))
    job = changed(jobs["net-loft"], tmp_path / "j", 'end = "boiler.return"', 'end = "boiler.retrun"')
    outcome = wetside("check", job, "--json")
    assert outcome.code == exits.MISTAKES
    assert [m["line"] for m in outcome.data["mistakes"] if "retrun" in m["wrong"] + m["remedy"]] == [line]
    assert f"line {line}" in wetside("flow", job).err


def test_rooms_are_read_though_a_run_is_wrong(jobs: dict[str, Path], wetside: Wetside, tmp_path: Path) -> None:
    job = changed(jobs["net-loft"], tmp_path / "j", "down 200 mm", "down 20000 mm")
    assert wetside("rooms", job).code == exits.DONE


def test_accepting_what_can_not_be_accepted(jobs: dict[str, Path], wetside: Wetside, tmp_path: Path) -> None:
    text = (jobs["net-loft"] / "job.toml").read_text(encoding="utf-8")
    for rule, word in (("PLA-08", "guards people"), ("ZZZ-99", "there is no rule")):
        (tmp_path / "job.toml").write_text(
            f'{text}\n[[accept]]\nrule = "{rule}"\nsubject = "x"\non = 2026-11-01\nbecause = "no"\n', encoding="utf-8"
        )
        outcome = wetside("check", tmp_path)
        assert outcome.code == exits.MISTAKES
        assert word in outcome.err
        assert re.search(r"line \d+", outcome.err)


def test_files_that_can_not_be_read_or_written(jobs: dict[str, Path], wetside: Wetside, tmp_path: Path) -> None:
    assert wetside("check", tmp_path / "nowhere").code == exits.FILE
    assert wetside("check", tmp_path).code == exits.FILE
    for command in (("pack", "-o", tmp_path / "no" / "a.pdf"), ("takeoff", "--csv", tmp_path / "no" / "a.csv")):
        outcome = wetside(command[0], jobs["net-loft"], *command[1:], "--json")
        assert outcome.code == exits.FILE
        valid(outcome.data, "mistakes")
    (tmp_path / "file").write_text("x")
    assert wetside("draw", jobs["net-loft"], "-o", tmp_path / "file" / "x").code == exits.FILE
    assert wetside("new", tmp_path / "file").code == exits.FILE
    assert (tmp_path / "file").read_text() == "x"


@pytest.mark.parametrize(
    "args",
    [("nonsense",), ("check", "--nonsense"), ("draw",), ("schema", "nonsense"), ("new", "x", "--like", "nonsense"), ()],
)
def test_a_wrong_command_line(args: tuple[str, ...], wetside: Wetside) -> None:
    outcome = wetside(*args)
    assert outcome.code == exits.COMMAND
    assert outcome.err
    assert "Traceback" not in outcome.err
    if args:
        as_json = wetside(*args, "--json")
        assert as_json.code == exits.COMMAND
        assert valid(as_json.data, "mistakes")["mistakes"]


@pytest.mark.parametrize("name", names())
def test_schemas_are_printed(name: str, wetside: Wetside) -> None:
    schema = wetside("schema", name).data
    jsonschema.Draft202012Validator.check_schema(schema)


def test_help_lists_every_exit_code(wetside: Wetside) -> None:
    text = wetside("--help").out
    for code, meaning in exits.MEANING.items():
        assert re.search(rf"^\s*{code}  {re.escape(meaning)}$", text, re.MULTILINE), code


def test_where_a_room_settles_is_said_in_words(job: Path, wetside: Wetside) -> None:
    """At −7 °C outside the kitchen settles at 18.2 °C; and the same number in the data."""
    for outside in ("-7 degC", "-25 degC"):
        shown = " ".join(wetside("flow", job, "--outside", outside, columns=200).out.replace("\u00a0", " ").split())
        data = wetside("flow", job, "--outside", outside, "--json").data
        system = System(data["units"])
        at = f"At {show(data['outside_c'], Kind.TEMPERATURE, system)} outside"
        cold = [r for r in data["rooms"] if r["heated"] and r["temperature_c"] < r["inside_c"] - 0.5]
        for r in cold:
            settles = show(r["temperature_c"], Kind.TEMPERATURE, system, 1)
            assert f"{at} {r['room']} settles at {settles}." in shown
        if not cold:
            assert f"{at} every heated room comes to its temperature." in shown
    assert cold or job.name != "net-loft", "one of its radiators is too small for great cold"


@pytest.mark.parametrize("columns", range(40, 121, 8))
def test_no_number_is_cut_off(columns: int, job: Path, wetside: Wetside) -> None:
    flow = wetside("flow", job, "--json").data
    system = System(flow["units"])
    text = wetside("flow", job, columns=columns).out.replace("\u00a0", " ")
    for x in flow["legs"]:
        words = text.partition("Legs\n")[2]
        assert show(x["length_m"], Kind.LENGTH, system, unit=False) in words
        assert show(x["drop_pa"], Kind.HEAD, system, 3, unit=False) in words
    for r in flow["rooms"]:
        for number in (r["load_w"], r["output_w"], r["over_w"]):
            assert re.search(rf"(?<!\d){re.escape(show(number, Kind.POWER, system, unit=False))}(?!\d)", text)


@pytest.mark.parametrize("columns", [40, 80, 200])
@pytest.mark.parametrize("command", ["check", "rooms", "flow", "takeoff", "supports"])
def test_nothing_is_wider_than_the_terminal(
    command: str, columns: int, jobs: dict[str, Path], wetside: Wetside
) -> None:
    text = wetside(command, jobs["net-loft"], columns=columns).out
    assert max(map(len, text.splitlines())) <= columns
    assert "…" not in text, "nothing is cut off"


@pytest.mark.parametrize("encoding", ["latin-1", "ascii", "utf-8"])
def test_any_encoding_of_the_terminal(encoding: str, jobs: dict[str, Path]) -> None:
    job = jobs["schoolhouse"]
    for command in ("check", "rooms", "flow", "takeoff", "supports"):
        done = process(command, job, PYTHONIOENCODING=encoding)
        assert (done.returncode, done.stderr) == (exits.DONE, b""), command
        text = done.stdout.decode(encoding)
        if command == "check":
            assert ("● holds" if encoding == "utf-8" else "+ holds") in text
    data = json.loads(process("check", job, "--json", PYTHONIOENCODING=encoding).stdout.decode(encoding))
    valid(data, "check")


def test_colour_only_where_it_is_wanted(jobs: dict[str, Path]) -> None:
    job = jobs["net-loft"]
    assert "\x1b[" in at_terminal("check", job)
    plain = at_terminal("check", job, NO_COLOR="1")
    assert not re.search(r"\x1b\[[0-9;]*3[0-9]", plain)
    assert "holds" in plain


def test_a_progress_bar_at_a_terminal_only(jobs: dict[str, Path], tmp_path: Path) -> None:
    assert "typesetting" in at_terminal("pack", jobs["net-loft"], "-o", tmp_path / "a.pdf")
    piped = process("pack", jobs["net-loft"], "-o", tmp_path / "b.pdf")
    assert piped.stderr == b""
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_a_reader_that_goes_away_is_no_failure(jobs: dict[str, Path]) -> None:
    command = f'"{sys.executable}" -m wetside.cli check "{jobs["net-loft"]}" --json | head -n 1'
    done = subprocess.run(["bash", "-o", "pipefail", "-c", command], capture_output=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, b"")


HEAVY = (
    "typst",
    "tomlkit",
    "tree_sitter",
    "scipy",
    "CoolProp",
    "rich.progress",
    "rich.markdown",
    "rich.syntax",
    "ezdxf",
)


@pytest.mark.parametrize(
    ("args", "also_not"), [(("check",), ()), (("check", "--json"), ("rich",)), (("schema",), ("numpy", "pydantic"))]
)
def test_a_cold_start_loads_nothing_heavy(
    args: tuple[str, ...], also_not: tuple[str, ...], jobs: dict[str, Path]
) -> None:
    code = (
        "import sys; from wetside.cli.main import run; "
        f"code = run({list(args)!r}); "
        f"print(code, [m for m in {(*HEAVY, *also_not)!r} if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=jobs["net-loft"], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.stderr == "0 []\n"


def test_a_variant_is_a_job(jobs: dict[str, Path], wetside: Wetside) -> None:
    variants = [p for job in jobs.values() for p in job.glob("*.toml") if p.name != "job.toml"]
    assert variants
    for file in variants:
        changed_flow, base_flow = wetside("flow", file, "--json").data, wetside("flow", file.parent, "--json").data
        assert changed_flow["emitters"] != base_flow["emitters"]


def test_a_job_of_rooms_alone(jobs: dict[str, Path], wetside: Wetside, tmp_path: Path) -> None:
    text = (jobs["net-loft"] / "job.toml").read_text(encoding="utf-8")
    head, *tables = re.split(r"(?m)^(?=\[)", text)
    house = r"\[+(job|climate|ground|fabric|construction|storey|room|wall|opening)\]"
    (tmp_path / "job.toml").write_text(head + "".join(t for t in tables if re.match(house, t)), encoding="utf-8")
    for command in ("rooms", "flow", "takeoff", "supports", "check"):
        assert wetside(command, tmp_path).code == exits.DONE
    check = wetside("check", tmp_path, "--json").data
    assert check["summary"]["not_known"] > 0
    assert all(f["missing"] for f in check["findings"] if f["verdict"] == "not known")
    assert all(f["measured"] is None or f["limit"] is None for f in check["findings"] if f["verdict"] == "not known")
    assert wetside("pack", tmp_path, "-o", tmp_path / "a.pdf").code == exits.DONE


def test_rows_of_rooms_multiply_out(wetside: Wetside, job: Path) -> None:
    """Area, U and bridge, difference and what is printed for the ground make the printed loss."""
    ground = 0
    for room in wetside("rooms", job, "--json").data["rooms"]:
        for s in room["surfaces"]:
            difference = room["inside_c"] - s["behind_c"]
            plain = s["area_m2"] * (s["u_w_m2k"] + s["bridge_w_m2k"]) * difference
            assert s["load_w"] == pytest.approx(plain * s["ground_factor"], abs=0.01)
            ground += s["faces"] == "ground"
            assert s["ground_factor"] == pytest.approx(1.45 if s["faces"] == "ground" else 1.0)
    assert ground
    assert "ground × 1.45" in wetside("rooms", job, "--surfaces", columns=120).out


def test_a_rating_is_said_at_its_point(packs: Callable[[Path], Path], jobs: dict[str, Path]) -> None:
    text = " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(packs(jobs["net-loft"])).pages).split())
    assert "W at 75/65/20 °C: as stated" in text
    assert "49.8 K" not in text
