"""Answers and catalogue entries as JSON text."""

from __future__ import annotations

import json
from typing import Any

__all__ = ["json_text"]

# Characters of a string that a terminal would obey, as JSON escapes; JSON itself only escapes those below U+0020.
_ESCAPED = {code: f"\\u{code:04x}" for code in (*range(0x7F, 0xA0), *range(0x202A, 0x202F), *range(0x2066, 0x206A))}


def json_text(thing: Any, encoding: str = "utf-8") -> str:
    """The thing as one JSON object with a line end, in characters that `encoding` can write.

    Not a number and infinity, which JSON does not have, raise ValueError.
    """
    text = json.dumps(thing, ensure_ascii=False, indent=2, allow_nan=False).translate(_ESCAPED)
    try:
        text.encode(encoding)
    except UnicodeEncodeError:  # half a character, or a terminal of few characters
        text = json.dumps(thing, ensure_ascii=True, indent=2, allow_nan=False)
    return text + "\n"
