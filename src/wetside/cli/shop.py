"""Commands of the shop side: count, hold, cut, build, buy."""

from pathlib import Path

import click

from wetside.cli.shared import job_argument, json_option, opened, tell_json, tell_written
from wetside.cli.teller import say


@click.command(short_help="Tube, fittings, valves, joints and water.")
@job_argument
@click.option("--csv", "csv_file", metavar="FILE", help="Write it as CSV to FILE, or to the terminal with -.")
@json_option
def takeoff(job: Path, csv_file: str | None, as_json: bool) -> None:
    """Tube, fittings, valves, joints and water, counted."""
    from wetside.sheets.takeoff import takeoff_csv, takeoff_sheet

    if csv_file == "-" and as_json:
        raise click.UsageError("--csv - and --json both print to the terminal; give --csv a file name")
    with opened(job, whole=False) as study:
        sheet = takeoff_sheet(study)
    if csv_file == "-":
        text = takeoff_csv(sheet)
        say(text.replace("\r\n", "\n").rstrip("\n"))
        return
    if csv_file is not None:
        Path(csv_file).write_text(takeoff_csv(sheet), encoding="utf-8-sig", newline="")
    if as_json:
        tell_json(sheet)
    elif csv_file is not None:
        from wetside.sheets.written import WrittenFile

        tell_written(f"Take-off of {sheet.job}", (WrittenFile(file=csv_file, title="take-off"),))
    else:
        from wetside.cli import tables_takeoff, teller

        teller.show(tables_takeoff.takeoff(sheet))


@click.command(short_help="Where to hold the pipework, and the weight on the boiler.")
@job_argument
@json_option
def supports(job: Path, as_json: bool) -> None:
    """Where to hold the pipework, the weight on the boiler's connections, and room for heat."""
    from wetside.sheets.supports import supports_sheet

    with opened(job, whole=False) as study:
        sheet = supports_sheet(study)
    if as_json:
        tell_json(sheet)
    else:
        from wetside.cli import tables_supports, teller

        teller.show(tables_supports.supports(sheet))


@click.command(short_help="Every piece of tube to cut, and the sticks.")
@job_argument
@json_option
def cuts(job: Path, as_json: bool) -> None:
    """Every piece of tube to cut, with what both its ends go into, laid onto sticks; the joint map in the JSON."""
    from wetside.sheets.cuts import cuts_sheet

    with opened(job, whole=False) as study:
        sheet = cuts_sheet(study)
    if as_json:
        tell_json(sheet)
    else:
        from wetside.cli import tables_shop, teller

        teller.show(tables_shop.cuts(sheet))


@click.command(short_help="Each assembly by the boiler, to build on a bench.")
@job_argument
@json_option
def bench(job: Path, as_json: bool) -> None:
    """Each assembly by the boiler: pieces of tube, what is joined on the bench and what in place, in order."""
    from wetside.sheets.bench import bench_sheet

    with opened(job, whole=False) as study:
        sheet = bench_sheet(study)
    if as_json:
        tell_json(sheet)
    else:
        from wetside.cli import tables_bench, teller

        teller.show(tables_bench.bench(sheet))


@click.command(short_help="Make the pipework near a boiler.")
@job_argument
@click.option("--boiler", metavar="NAME", default="", help="Which boiler; the job's first when left out.")
@click.option(
    "--parting",
    type=click.Choice(["tees", "separator", "none"]),
    default="tees",
    show_default=True,
    help="How the boiler's water is parted from the house's.",
)
@click.option(
    "--circuit",
    "circuits",
    multiple=True,
    metavar="NAME",
    default=("heating",),
    show_default=True,
    help="A circuit of the house; may be repeated.",
)
@click.option(
    "--without",
    multiple=True,
    help="Leave this out; may be repeated.",
    type=click.Choice(
        [
            "air separator",
            "dirt separator",
            "isolating valves",
            "pressure gauge",
            "drain cock",
            "fill",
            "vessel",
            "relief valve",
        ]
    ),
)
@click.option("--tube", metavar="TUBE", default="", help="Tube of the boiler's circuit: copper 28, or copper L 1.")
@click.option("--small", metavar="TUBE", default="", help="Tube of its branches: copper 15, or copper L 1/2.")
@click.option("--wall", metavar="LENGTH", help="Free wall beside the boiler; as far as its room goes when left out.")
@click.option("--write", is_flag=True, help="Write runs and places into the job file.")
@json_option
def assemble(
    job: Path,
    boiler: str,
    parting: str,
    circuits: tuple[str, ...],
    without: tuple[str, ...],
    tube: str,
    small: str,
    wall: str | None,
    write: bool,
    as_json: bool,
) -> None:
    """Make the pipework near a boiler from a few choices: ordinary runs, which can be edited.

    With --write the job file gets them, its own runs of the boiler's circuit are changed, and those of the house stay.
    Its comments stay, and the file before is kept beside it as job.toml.before.
    """
    from wetside.cli.writing import write_assembled

    beside = None
    if wall is not None:
        from wetside.basis.quantity import Kind, parse

        with opened(job, whole=False) as study:
            system = study.design.system
        try:
            beside = parse(wall, Kind.LENGTH, system)
        except ValueError as error:
            raise click.BadParameter(str(error), param_hint="--wall") from None
    with opened(job, whole=False) as study:
        sheet = write_assembled(
            job,
            study,
            boiler=boiler,
            parting=parting,
            circuits=circuits,
            without=without,
            tube=tube,
            small=small,
            beside=beside,
            write=write,
        )
    if as_json:
        tell_json(sheet)
    else:
        from wetside.cli import tables_bench, teller

        teller.show(tables_bench.assemble(sheet))


@click.command(short_help="What to buy, with spares.")
@job_argument
@click.option("--csv", "csv_file", metavar="FILE", help="Write it as CSV to FILE.")
@click.option("--xlsx", "xlsx_file", metavar="FILE", help="Write it as a workbook to FILE.")
@json_option
def buy(job: Path, csv_file: str | None, xlsx_file: str | None, as_json: bool) -> None:
    """What to buy, as a counter hand picks it, with spares against another trip; at the end, what goes back."""
    from wetside.sheets.buy import buy_csv, buy_sheet, buy_xlsx
    from wetside.sheets.written import WrittenFile

    with opened(job, whole=False) as study:
        sheet = buy_sheet(study)
    written: list[WrittenFile] = []
    if csv_file is not None:
        Path(csv_file).write_text(buy_csv(sheet), encoding="utf-8-sig", newline="")
        written.append(WrittenFile(file=csv_file, title="buy list"))
    if xlsx_file is not None:
        Path(xlsx_file).write_bytes(buy_xlsx(sheet))
        written.append(WrittenFile(file=xlsx_file, title="buy list"))
    if as_json:
        tell_json(sheet)
    elif written:
        tell_written(f"Buy list of {sheet.job}", tuple(written))
    else:
        from wetside.cli import tables_shop, teller

        teller.show(tables_shop.buy(sheet))
