"""The `wetside` command: parse, call, show."""

import gc
import sys
import traceback
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wetside.basis.errors import JobProblem, NoSolution
from wetside.cli import exits, shop
from wetside.cli.shared import job_argument, json_option, opened, tell_json, tell_written
from wetside.cli.teller import say

if TYPE_CHECKING:
    from wetside.sheets.written import MistakesSheet
    from wetside.study.study import Study

CODES = "\b\nExit codes:\n" + "\n".join(f"{code:>4}  {what}" for code, what in exits.MEANING.items())


class Halt(Exception):
    """A command ends with an exit code that is no error."""

    def __init__(self, code: int) -> None:
        self.code = code


def asked_temperature(text: str, study: "Study") -> float:
    """A temperature on the command line, in the unit of the job or with its own."""
    from wetside.basis.quantity import Kind, parse

    try:
        value: float | str = float(text.replace("−", "-"))
    except ValueError:
        value = text
    try:
        return parse(value, Kind.TEMPERATURE, study.design.system)
    except ValueError as bad:
        raise click.BadParameter(str(bad), param_hint="--outside") from None


@click.group(epilog=CODES, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="wetside", message="wetside %(version)s")
def cli() -> None:
    """Takes one house's hot-water heating from survey to first fire.

    JOB is the folder that holds job.toml, or the file of a variant; without it, the folder that you are in.
    """


@cli.command(short_help="Start a job in a new folder.")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--like", metavar="DEMO", help="Start from a demo: net-loft, schoolhouse, or either one -mended.")
@json_option
def new(folder: Path, like: str | None, as_json: bool) -> None:
    """Start a job in a new FOLDER."""
    from wetside.basis.errors import nearest
    from wetside.jobfile.new import demos, new_job
    from wetside.sheets.written import NewSheet, WrittenFile

    if like is not None and like not in demos():
        raise click.BadParameter(f'there is no demo "{like}"; {nearest(like, demos())}', param_hint="--like")
    files = new_job(folder, like)
    sheet = NewSheet(
        folder=str(folder), like=like or "", files=tuple(WrittenFile(file=str(f), title=f.name) for f in files)
    )
    if as_json:
        tell_json(sheet)
    else:
        tell_written(f"New job in {folder}", sheet.files)


@cli.command("open", short_help="Draw the house and its pipes on a local page.")
@click.argument("job", type=click.Path(path_type=Path), required=False)
@click.option("--port", type=click.IntRange(0, 65535), help="Port to serve at; a usual or free one when left out.")
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def open_page(job: Path | None, port: int | None, no_browser: bool) -> None:
    """Show JOB on a page of this machine alone: draw it, see it answer. Ends with Ctrl+C.

    Without JOB the page offers the demos, a new job and recent jobs.
    """
    from wetside.page.server import serve

    serve(job, port, browser=not no_browser, say=tell_now)


def tell_now(text: str) -> None:
    """A line that whoever waits for it gets at once."""
    say(text)
    sys.stdout.flush()


@cli.command(short_help="Judge every rule.")
@job_argument
@click.option("--strict", is_flag=True, help="Exit with 1 when a must-rule breaks or a safety rule is not known.")
@click.option("--brief", is_flag=True, help="Only what breaks, is not known, near or accepted; no cautions.")
@json_option
def check(job: Path, strict: bool, brief: bool, as_json: bool) -> None:
    """Judge every rule: what breaks, what is near its limit, what is not known."""
    from wetside.basis.rules import Verdict
    from wetside.jobfile.found import spots
    from wetside.sheets.check import check_sheet

    with opened(job) as study:
        told = study.findings if as_json else [f for f in study.findings if f.verdict is Verdict.BREAKS]
        sheet = check_sheet(study, spots(told, study, job))
    if as_json:
        tell_json(sheet)
    else:
        from wetside.cli import tables_check, teller

        teller.show(tables_check.check(sheet, brief=brief))
    if strict and (sheet.summary.broken_must or sheet.summary.unknown_safety):
        raise Halt(exits.BROKEN)


@cli.command(short_help="What each room loses, and where the heat goes.")
@job_argument
@click.option("--surfaces", is_flag=True, help="Also every surface of every room.")
@json_option
def rooms(job: Path, surfaces: bool, as_json: bool) -> None:
    """What each room loses on the design day, and where the heat goes."""
    from wetside.sheets.rooms import rooms_sheet

    with opened(job, whole=False) as study:
        sheet = rooms_sheet(study)
    if as_json:
        tell_json(sheet)
    else:
        from wetside.cli import tables_rooms, teller

        teller.show(tables_rooms.rooms(sheet, surfaces=surfaces))


@cli.command(short_help="Water, pressure, temperatures and heat.")
@job_argument
@click.option("--outside", metavar="T", help="Air outside, such as -2 or 28degF; rooms then settle by themselves.")
@click.option("--shut", multiple=True, metavar="NAME", help="Shut an item, an emitter or a run; may be repeated.")
@click.option("--still", multiple=True, metavar="NAME", help="Stop a circulator; may be repeated.")
@json_option
def flow(job: Path, outside: str | None, shut: tuple[str, ...], still: tuple[str, ...], as_json: bool) -> None:
    """Water, pressure, temperatures and heat: on the design day, or in the state that the options say."""
    from wetside.sheets.flow import flow_sheet

    with opened(job) as study:
        outside_c = None if outside is None else asked_temperature(outside, study)
        sheet = flow_sheet(study, outside_c, shut, still)
    if as_json:
        tell_json(sheet)
    else:
        from wetside.cli import tables_flow, teller

        teller.show(tables_flow.flow(sheet))


@cli.command(short_help="Tube, emitters and circulators as they need be.")
@job_argument
@click.option("--write", is_flag=True, help="Write tubes, emitters and settings into the job file.")
@json_option
def size(job: Path, write: bool, as_json: bool) -> None:
    """The tube that every leg needs, emitters that must grow, circulators for the duty, the lowest flow temperature.

    With --write the job file gets the tubes, the larger emitters, and the settings of valves and circulators that go
    with them; its comments stay, and the file before is kept beside it as job.toml.before.
    """
    from wetside.sheets.size import size_sheet

    with opened(job) as study:
        sheet = size_sheet(study)
        if write:
            from wetside.cli.writing import write_sized

            sheet = size_sheet(study, write_sized(job, study))
    if as_json:
        tell_json(sheet)
    else:
        from wetside.cli import tables_balance, teller

        teller.show(tables_balance.size(sheet))


@cli.command(short_help="Settings of valves and circulators.")
@job_argument
@click.option("--write", is_flag=True, help="Write the settings into the job file.")
@json_option
def balance(job: Path, write: bool, as_json: bool) -> None:
    """What to set every valve and circulator to, so that each emitter gets its design flow with the least throttling.

    With --write the job file gets the settings; its comments stay, and the file before is kept beside it.
    """
    from wetside.sheets.balance import balance_sheet

    with opened(job) as study:
        sheet = balance_sheet(study)
        if write:
            from wetside.cli.writing import write_balanced

            sheet = balance_sheet(study, write_balanced(job, study))
    if as_json:
        tell_json(sheet)
    else:
        from wetside.cli import tables_balance, teller

        teller.show(tables_balance.balance(sheet))


for command in (shop.takeoff, shop.supports, shop.cuts, shop.bench, shop.assemble, shop.buy):
    cli.add_command(command)


@cli.command(short_help="Write the drawings as SVG, or also as DXF.")
@job_argument
@click.option("-o", "--out", "folder", required=True, type=click.Path(path_type=Path), help="Folder for the drawings.")
@click.option("--theme", type=click.Choice(["light", "dark", "print"]), default="print", show_default=True)
@click.option("--storey", metavar="NAME", help="Only the plan of this storey.")
@click.option("--dxf", is_flag=True, help="Also plans, pipework in space and bench sheets as DXF, with layers.")
@json_option
def draw(job: Path, folder: Path, theme: str, storey: str | None, dxf: bool, as_json: bool) -> None:
    """Write the drawings as SVG: plans, isometrics, schematic, bench sheets, sticks, support map, charts."""
    from wetside.basis.errors import nearest
    from wetside.sheets.draw.theme import THEMES
    from wetside.sheets.drawings import drawings, storeys
    from wetside.sheets.written import DrawSheet, WrittenFile

    with opened(job) as study:
        if storey is not None and storey not in storeys(study):
            hint = nearest(storey, storeys(study))
            raise click.BadParameter(f'there is no storey "{storey}"; {hint}', param_hint="--storey")
        made = [(d.file, d.title, d.svg) for d in drawings(study, THEMES[theme], storey)]
        if dxf:
            from wetside.sheets.dxf import LACKING, dxf_files, has_dxf

            if not has_dxf():
                raise click.UsageError(LACKING)
            made += [(d.file, f"{d.title}, DXF", d.text) for d in dxf_files(study, storey)]
    folder.mkdir(parents=True, exist_ok=True)
    written: list[WrittenFile] = []
    for name, title, text in made:
        path = folder / name
        path.write_text(text, encoding="utf-8", newline="\n")
        written.append(WrittenFile(file=str(path), title=title))
    sheet = DrawSheet(job=study.design.name, folder=str(folder), theme=theme, files=tuple(written))
    if as_json:
        tell_json(sheet)
    else:
        tell_written(f"Drawings of {sheet.job}", sheet.files)


@cli.command(short_help="Write the job pack as PDF.")
@job_argument
@click.option("-o", "--out", "file", required=True, type=click.Path(path_type=Path), help="The PDF to write.")
@json_option
def pack(job: Path, file: Path, as_json: bool) -> None:
    """Write the job pack: one PDF with every sheet, to print and take to the basement."""
    from wetside.cli.progress import steps
    from wetside.sheets.pack import STEPS, make_pack
    from wetside.sheets.written import PackSheet, WrittenFile

    with opened(job) as study, steps("Pack", STEPS) as step:
        made = make_pack(study, step)
    file.write_bytes(made.pdf)
    sheet = PackSheet(
        job=study.design.name, file=str(file), paper=study.design.paper, bytes=len(made.pdf), sheets=made.sheets
    )
    if as_json:
        tell_json(sheet)
    else:
        tell_written(f"Pack of {sheet.job}", (WrittenFile(file=str(file), title=", ".join(made.sheets)),))


@cli.command(short_help="Print the JSON Schema of a command's JSON.")
@click.argument("name", required=False)
@json_option
def schema(name: str | None, as_json: bool) -> None:
    """Print the JSON Schema of a command's JSON (NAME is the command, "mistakes" or "job").

    Without NAME, list them.
    """
    import json

    from wetside.sheets.jsonschema import names, published

    if name is None:
        say(json.dumps({"schemas": names()}, indent=2) if as_json else "\n".join(names()))
        return
    try:
        say(published(name).rstrip("\n"))
    except ValueError as error:
        raise click.UsageError(str(error)) from None


def fail(sheet: "MistakesSheet", as_json: bool) -> int:
    """Say what went wrong, on the error stream or as JSON, and give the exit code."""
    if as_json:
        tell_json(sheet)
        return sheet.exit
    from wetside.sheets.wording import clean

    for m in sheet.mistakes:
        where = m.file + (f", line {m.line}" if m.line is not None else "")
        thing = m.path or " ".join(x for x in (m.kind, m.name, m.field) if x)
        if m.kind == "file" and thing == "file":
            thing = ""
        parts = [p for p in (where, thing) if p]
        say(clean(": ".join([*parts, m.wrong])) + "." * (not m.wrong.endswith((".", "?"))), err=True)
        if m.remedy:
            say("  " + clean(m.remedy), err=True)
    if len(sheet.mistakes) > 1:
        say(f"{len(sheet.mistakes)} mistakes.", err=True)
    return sheet.exit


def run(args: list[str]) -> int:
    """Run one command line.

    :returns: the exit code; see `wetside.cli.exits`
    """
    as_json = "--json" in args
    try:
        cli.main(args=args, prog_name="wetside", standalone_mode=False)
    except Halt as halt:
        return halt.code
    except click.exceptions.NoArgsIsHelpError as no_args:
        say(no_args.ctx.get_help() if no_args.ctx else "", err=True)
        return exits.COMMAND
    except click.exceptions.Abort:
        say("stopped", err=True)
        return 130
    except BrokenPipeError:
        raise
    except (JobProblem, NoSolution, OSError, click.ClickException) as error:
        return explain(error, as_json)
    except Exception:
        traceback.print_exc()
        return exits.BUG
    return exits.DONE


def explain(error: Exception, as_json: bool) -> int:
    """Turn an error that the person can mend into words and an exit code."""
    from wetside.sheets import written

    if isinstance(error, JobProblem):
        # a mistake of the file as such, at no line: it could not be read at all
        unread = all(m.place.kind == "file" and m.line is None and m.path == "file" for m in error.mistakes)
        return fail(written.mistakes_of(error, exits.FILE if unread else exits.MISTAKES), as_json)
    if isinstance(error, NoSolution):
        return fail(written.no_solution(error, exits.NO_SOLUTION), as_json)
    if isinstance(error, OSError):
        file = str(error.filename or "")
        wrong = (error.strerror or str(error)).lower()
        sheet = written.one_mistake(wrong, remedy_of(error), exits.FILE, file=file)
        return fail(sheet, as_json)
    assert isinstance(error, click.ClickException)
    command = error.ctx.command_path if isinstance(error, click.UsageError) and error.ctx else "wetside"
    remedy = f"`{command} --help` shows what it takes."
    return fail(written.one_mistake(error.format_message(), remedy, exits.COMMAND, kind=""), as_json)


def remedy_of(error: OSError) -> str:
    """What to do about a file that can't be read or written."""
    parent = Path(error.filename or "").parent
    if isinstance(error, FileNotFoundError) and not parent.exists():
        return f"make the folder {parent} first, or give another path"
    if isinstance(error, FileNotFoundError):
        return "check the path"
    if isinstance(error, IsADirectoryError):
        return "give the name of a file in it"
    if isinstance(error, (NotADirectoryError, FileExistsError)):
        return "a file stands where a folder should: give another path"
    if isinstance(error, PermissionError):
        return "give a path that you may write to, or ask who owns it"
    return "give another path, or see whether the disk is full"


def main() -> None:
    """Entry point."""
    # one command is over before its garbage would matter; looking for it costs a tenth of a cold start
    gc.disable()
    try:
        code = run(sys.argv[1:])
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader (`head`, a pager) has gone: not our failure. Keep the interpreter from flushing into nothing.
        import os

        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = exits.DONE
    raise SystemExit(code)
