"""The pack page by page, to look at before it is printed."""

import json
from importlib.resources import as_file, files
from typing import TYPE_CHECKING, Any, cast

from wetside.basis.record import record
from wetside.sheets.draw.letters import font_folders
from wetside.sheets.pack import pack_data
from wetside.sheets.said import said
from wetside.sheets.typeset import TypesetProblem

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class Begins:
    title: str = said("Title of the sheet.")
    page: int = said("Its first page, from 1.")


@record
class Preview:
    pages: tuple[bytes, ...]
    """Each page as SVG."""
    sheets: tuple[Begins, ...]


def preview(study: "Study") -> Preview:
    """Every page of the pack as it will be printed.

    :raises JobProblem: the job can't be read
    :raises NoSolution: the network has no answer
    :raises TypesetProblem: the template or the fonts are wrong; never caused by a job
    """
    import typst

    inputs = {"data": json.dumps(pack_data(study), ensure_ascii=False)}
    fonts = [str(p) for p in font_folders()]
    with as_file(files("wetside.sheets") / "pack.typ") as path:
        options: dict[str, Any] = {"root": str(path.parent), "sys_inputs": inputs, "font_paths": fonts}
        try:
            made = cast("object", typst.compile(str(path), format="svg", **options))
            told: Any = json.loads(typst.query(str(path), "<contents>", field="value", one=True, **options))
        except typst.TypstError as error:
            raise TypesetProblem(str(error)) from None
    pages = tuple(cast("list[bytes]", made)) if isinstance(made, list) else (cast("bytes", made),)
    return Preview(pages=pages, sheets=tuple(Begins(title=t["title"], page=t["page"]) for t in told))
