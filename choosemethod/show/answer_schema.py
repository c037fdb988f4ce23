"""The JSON Schema of an answer, made from the records the answer consists of; kept beside this file as answer.schema.json.

`python -m choosemethod.show.answer_schema` writes the file anew; a test checks that it is what the records say.
"""

from __future__ import annotations

import json
from pathlib import Path
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from choosemethod.advice.answer import SCHEMA_VERSION, Advice
from choosemethod.facts import HOW
from choosemethod.mixture import FORMS, PURPOSES, ROLES
from choosemethod.rulebook.language import HARMS

__all__ = ["PATH", "answer_schema"]

PATH = Path(__file__).with_name("answer.schema.json")
_PLAIN: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    float: {"type": "number"},
    int: {"type": "integer"},
    bool: {"type": "boolean"},
    NoneType: {"type": "null"},
}
# Words a field may hold, where the list is closed.
_WORDS: dict[tuple[str, str], tuple[str, ...]] = {
    ("Advice", "status"): ("answered", "unknown", "refused", "nothing-to-separate", "needs-information"),
    ("Advice", "bench"): ("", "teacher", "nobody"),
    ("Advice", "purpose"): tuple(PURPOSES),
    ("Caution", "degree"): ("danger", "care", "note"),
    ("Caution", "harm"): ("", *HARMS),
    ("ComponentSeen", "form"): tuple(FORMS),
    ("Mention", "role"): tuple(ROLES),
    ("NumberShown", "how"): tuple(HOW),
    ("TechniqueAdvice", "strength"): ("best", "good", "fair", "possible"),
}
_UNDERSTOOD = (
    "asked", "name", "components", "note", "understood", "corrections", "unknown", "not_used", "readings", "mentions",
    "inferred", "reagents", "scale",
)  # fmt: skip
_WISH = ("want", "remove", "aim", "purpose")


class _Maker:
    def __init__(self) -> None:
        self.records: dict[str, Any] = {}

    def of(self, kind: Any) -> dict[str, Any]:
        """The schema of a type."""
        if kind in _PLAIN:
            return dict(_PLAIN[kind])
        origin, args = get_origin(kind), get_args(kind)
        if origin in (Union, UnionType):
            return {"anyOf": [self.of(arg) for arg in args]}
        if origin is tuple and len(args) == 2 and args[1] is Ellipsis:
            return {"type": "array", "items": self.of(args[0])}
        if origin is tuple:
            return {
                "type": "array", "prefixItems": [self.of(arg) for arg in args], "minItems": len(args), "maxItems": len(args),
            }  # fmt: skip
        name = kind.__name__
        if name not in self.records:
            self.records[name] = {}
            self.records[name] = self.record(kind)
        return {"$ref": f"#/$defs/{name}"}

    def fields(self, kind: Any) -> dict[str, Any]:
        """The schemas of a record's fields."""
        out = {}
        for name, hint in get_type_hints(kind).items():
            out[name] = self.of(hint)
            if (kind.__name__, name) in _WORDS:
                out[name]["enum"] = list(_WORDS[kind.__name__, name])
        return out

    def record(self, kind: Any) -> dict[str, Any]:
        return _object(self.fields(kind), " ".join((kind.__doc__ or "").split()))


def _object(properties: dict[str, Any], description: str = "") -> dict[str, Any]:
    """An object that must hold these properties; further ones may be added within a version."""
    out: dict[str, Any] = {"type": "object", "properties": properties, "required": list(properties)}
    return {"description": description, **out} if description else out


def answer_schema() -> dict[str, Any]:
    """The schema of what `Advice.as_dict` gives."""
    maker = _Maker()
    plain = maker.fields(Advice)
    pressure = plain.pop("pressure")
    mixture, wish = ({key: plain.pop(key) for key in keys} for keys in (_UNDERSTOOD, _WISH))
    setting = {"pressure_Pa": pressure, "without": plain.pop("without"), "level": plain.pop("level")}
    whole = {
        "schema_version": {"const": SCHEMA_VERSION},
        "mixture": _object(mixture, "the mixture as understood"),
        "wish": _object(wish, "what is wanted of it"),
        "setting": _object(setting, "where it is done"),
        **plain,
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Answer of choosemethod",
        **_object(whole, "One answer. Fields are only ever added within a schema version."),
        "$defs": dict(sorted(maker.records.items())),
    }


if __name__ == "__main__":
    PATH.write_text(json.dumps(answer_schema(), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
