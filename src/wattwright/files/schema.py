"""JSON Schemas of the files people write, for editors that help while typing."""

import json
from collections.abc import Mapping
from typing import Final

from wattwright.errors import InputError
from wattwright.files.catalogue_models import CatalogueTables
from wattwright.files.edge import Edge
from wattwright.files.job_models import ClimateTable, JobTables

MODELS: Final[Mapping[str, type[Edge]]] = {"job": JobTables, "catalogue": CatalogueTables}


def schema_text(kind: str) -> str:
    """The JSON Schema of a kind of file, as text.

    Raises:
        InputError: If there is no such kind.
    """
    if kind not in MODELS:
        raise InputError("kind", kind, f"one of {', '.join(MODELS)}")
    schema = MODELS[kind].model_json_schema()
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
    if kind == "job":
        _let_a_preset_fill_the_climate(schema)
    return json.dumps(schema, ensure_ascii=False, indent=2) + "\n"


def _let_a_preset_fill_the_climate(schema: dict[str, object]) -> None:
    """In a file, a preset stands for the keys the model needs."""
    definitions = schema["$defs"]
    if isinstance(definitions, dict):
        climate = definitions[ClimateTable.__name__]
        climate["anyOf"] = [{"required": ["preset"]}, {"required": climate.pop("required")}]
