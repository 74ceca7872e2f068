"""The JSON Schema and the guide are what the models say."""

import importlib.util
import json
import tomllib
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

from wetside.jobfile.field import Table
from wetside.jobfile.new import demos
from wetside.jobfile.publish import job_schema, published, schema_text
from wetside.jobfile.schema import EMITTERS, TABLES

ROOT = Path(__file__).parents[2]
VALIDATOR = jsonschema.Draft202012Validator(json.loads(schema_text()))


def plain(text: str):
    """TOML as an editor's checker sees it: dates are text."""
    return json.loads(json.dumps(tomllib.loads(text), default=str))


def test_the_published_schema_is_current():
    assert published() == schema_text(), "run tools/make_job_schema.py"


def test_the_schema_is_sound():
    jsonschema.Draft202012Validator.check_schema(job_schema())


@pytest.mark.parametrize("name", demos())
def test_demos_fit_the_schema(name):
    text = (files("wetside.jobfile") / "demos" / name / "job.toml").read_text(encoding="utf-8")
    assert list(VALIDATOR.iter_errors(plain(text))) == []


def test_the_example_with_every_field_fits(everything, starter):
    assert list(VALIDATOR.iter_errors(plain(everything))) == []
    assert list(VALIDATOR.iter_errors(plain(starter))) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("[climate]", "[climte]"),
        ("level = 0\n", ""),
        ("inside = 21", "insid = 21"),
        ("inside = 21", "inside = true"),
        ('wall = "south"', 'wall = "suoth"'),
        ('kind = "panel radiator"', 'kind = "panel"'),
        ("rectangle = [0, 0, 4, 3.6]", "rectangle = [0, 0, 4]"),
        ("format = 1", "format = 2"),
        ("[[storey]]", "[storey]"),
    ],
)
def test_the_schema_refuses_what_reading_refuses(starter, old, new):
    assert old in starter
    assert list(VALIDATOR.iter_errors(plain(starter.replace(old, new, 1))))


def models() -> list[type[Table]]:
    return [k.model for k in TABLES.values()] + list(EMITTERS.values())


@pytest.mark.parametrize("model", models(), ids=lambda m: m.__name__)
def test_every_field_is_described_and_every_needed_one_has_an_example(model):
    assert model.__doc__
    for name, info in model.model_fields.items():
        assert info.description and info.description.endswith("."), name
        assert bool(info.examples) or not info.is_required(), name


def test_the_guide_is_current():
    spec = importlib.util.spec_from_file_location("make_job_docs", ROOT / "tools" / "make_job_docs.py")
    assert spec is not None and spec.loader is not None
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    text = (ROOT / "docs" / "job-file.md").read_text(encoding="utf-8")
    assert tool.page(text) == text, "run tools/make_job_docs.py"


def test_the_guide_names_every_table_and_field():
    text = (ROOT / "docs" / "job-file.md").read_text(encoding="utf-8")
    for name, kind in TABLES.items():
        assert (f"`[[{name}]]`" if kind.many else f"`[{name}]`") in text
        for model in EMITTERS.values() if name == "emitter" else [kind.model]:
            assert all(f"| `{field}` |" in text for field in model.model_fields)


def test_toml_in_the_guide_is_toml():
    text = (ROOT / "docs" / "job-file.md").read_text(encoding="utf-8")
    blocks = [b.split("```")[0] for b in text.split("```toml\n")[1:]]
    assert len(blocks) == 3
    for block in blocks[1:]:
        tomllib.loads(block)


def test_the_variant_in_the_guide_opens(job):
    from wetside import open_job

    text = (ROOT / "docs" / "job-file.md").read_text(encoding="utf-8")
    variant = next(b.split("```")[0] for b in text.split("```toml\n")[1:] if b.startswith("base"))
    job()
    study = open_job(job(variant, "new-radiator.toml") / "new-radiator.toml")
    assert [r.name for r in study.design.house.rooms] == ["Living room", "Kitchen", "Store"]
    assert [o.name for o in study.design.house.openings] == ["W1"]
