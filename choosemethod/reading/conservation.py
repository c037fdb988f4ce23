"""The last stage of reading: every noun, number and negation has a role, or is told as not used or not understood."""

from __future__ import annotations

from choosemethod.mixture import Mention, Mixture, Unused
from choosemethod.reading.utterance import Utterance

__all__ = ["conserved"]

# Roles of parts in the words of choosemethod.mixture.ROLES.
_SHOWN = {
    "source": "host",
    "impurity": "component",
    "purified": "wanted",
    "dried": "wanted",
    "looked for": "wanted",
    "measured": "wanted",
}


def conserved(said: Utterance, mixture: Mixture) -> tuple[tuple[Unused, ...], tuple[Mention, ...]]:
    """What of an utterance played no part in the mixture made of it, and every mention with its role."""
    mentions: list[Mention] = []
    unused: list[Unused] = []
    placed = {part.place for part in said.parts}
    for part in said.parts:
        if part.unknown:
            role = "unknown"
        elif not (part.meanings or part.given or part.noun):
            role = "ordinary"
        else:
            role = _SHOWN.get(part.role, part.role)
        ids = tuple(name.id for name in part.meanings) or part.given or ((f"class:{part.noun}",) if part.noun else ())
        mentions.append(Mention(part.text, part.start, part.end, ids, part.found, role, part.because))
        if role in ("story", "example", "property") and part.meanings and not part.unknown:
            unused.append(Unused(part.text, "substance", part.because))
    for place, piece in enumerate(said.pieces):
        if place in placed or piece.mark:
            continue
        role, because = said.used.get(place, ("", ""))
        if role:
            mentions.append(Mention(piece.text, piece.start, piece.end, (), "", role, because))
    for text in said.limits.vain:
        unused.append(Unused(text, "limit", "it sounds like a limit, and none was found in it"))
    if mixture.components:
        unused += [
            Unused(text, "unknown", "not understood, and away from the list of parts") for text in said.loose if text
        ]
    mentions.sort(key=lambda mention: (mention.start, mention.end))
    return tuple(dict.fromkeys(unused)), tuple(mentions)
