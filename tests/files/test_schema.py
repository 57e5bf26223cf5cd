"""The JSON Schemas for editors: current, true to the reader, and published."""

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from wattwright.errors import InputError
from wattwright.files.catalogue_file import demo_folder, shipped_catalogue
from wattwright.files.job_file import new_job_text
from wattwright.files.schema import MODELS, schema_text

PUBLISHED = Path(__file__).resolve().parents[2] / "docs" / "schema"


@pytest.mark.parametrize("kind", sorted(MODELS))
def test_the_published_schema_is_the_current_one(kind: str) -> None:
    published = (PUBLISHED / f"wattwright-{kind}.schema.json").read_text(encoding="utf-8")

    assert published == schema_text(kind), f"run: wattwright job schema --kind {kind} --out …"


def test_what_the_reader_takes_the_schema_takes() -> None:
    texts = [path.read_text(encoding="utf-8") for path in sorted(demo_folder().glob("*.toml"))]
    texts.append(new_job_text("A job", "2026-11-25", "eu"))
    for text in texts:
        # JSON has no dates: an editor hands the schema the date as text.
        content = json.loads(json.dumps(tomllib.loads(text), default=str))
        jsonschema.validate(content, json.loads(schema_text("job")))
    catalogue = tomllib.loads(shipped_catalogue().read_text(encoding="utf-8"))
    jsonschema.validate(catalogue, json.loads(schema_text("catalogue")))


def test_what_the_reader_refuses_the_schema_refuses() -> None:
    content = json.loads(json.dumps(tomllib.loads(new_job_text("A job", "2026-11-25", "eu")), default=str))
    schema = json.loads(schema_text("job"))
    for key, value in (("mass_kg", 7800), ("mass", 78)):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({**content, "rider": {**content["rider"], key: value}}, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**content, "climate": {}}, schema)


def test_an_unknown_kind_is_refused() -> None:
    with pytest.raises(InputError, match="one of job, catalogue"):
        schema_text("ride")
