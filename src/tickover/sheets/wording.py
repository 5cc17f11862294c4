"""What pydantic found wrong, said as a sentence that tells what to write instead."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any, get_args

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from tickover.sheets.places import Loc
from tickover.sheets.schema.type_sheet import TypeSheet

_MUST_BE = {
    "string_type": "must be text in quotes",
    "string_too_short": "must not be empty",
    "float_type": "must be a number",
    "finite_number": "must be a finite number",
    "int_type": "must be a whole number",
    "bool_type": "must be true or false",
    "tuple_type": "must be a list in [ ]",
    "model_type": "must be a table",
    "model_attributes_type": "must be a table",
}


def sentence(error: ErrorDetails) -> str:
    """Say one error of pydantic to a person who edits a sheet."""
    kind, context = error["type"], error.get("ctx", {})
    if kind == "missing":
        return "is missing; write it into this table"
    if kind == "extra_forbidden":
        return _unknown_key(error["loc"])
    if kind == "value_error":
        return str(context["error"])
    if kind == "string_pattern_mismatch":
        return _wrong_form(str(context["pattern"]), error["input"])
    if kind == "literal_error":
        return f"must be {str(context['expected']).replace(chr(39), chr(34))}, not {_shown(error['input'])}"
    if kind in _MUST_BE:
        return f"{_MUST_BE[kind]}, not {_shown(error['input'])}"
    return f"{_decapitalised(error['msg'])}, not {_shown(error['input'])}"


def _wrong_form(pattern: str, given: object) -> str:
    if pattern.startswith("^[a-z0-9]"):
        return f"must be small letters, digits and single hyphens, such as lever-height, not {_shown(given)}"
    return f"must be one short sentence with its only full stop at the end, not {_shown(given)}"


def _unknown_key(loc: Loc) -> str:
    known = _keys_of_table(loc[:-1])
    near = get_close_matches(str(loc[-1]), known, n=1)
    offer = f'did you mean "{near[0]}"?' if near else f"this table has {', '.join(known)}"
    return f"is not a key of this table; {offer}"


def _keys_of_table(loc: Loc) -> list[str]:
    """The keys the schema knows at a place."""
    model: type[BaseModel] = TypeSheet
    for key in loc:
        if isinstance(key, str):
            model = _table_in(model.model_fields[key].annotation) or model
    return list(model.model_fields)


def _table_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := _table_in(part))), None)


def _shown(value: object) -> str:
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= 60 else f'"{value[:57]}..."'
    return str(value).lower() if isinstance(value, bool) else str(value)


def _decapitalised(message: str) -> str:
    return message[:1].lower() + message[1:]
