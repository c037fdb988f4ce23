"""The last stage of reading: every noun, number and negation has a role, or is told as not used or not understood."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from choosemethod.mixture import Left, Mention, Mixture, Unused
from choosemethod.reading.roles import Part
from choosemethod.reading.utterance import PARTS, Utterance

__all__ = ["conserved", "left_over"]

# Roles of parts in the words of choosemethod.mixture.ROLES.
_SHOWN = {
    "source": "host",
    "impurity": "component",
    "purified": "wanted",
    "dried": "wanted",
    "looked for": "wanted",
    "measured": "wanted",
}


_FAR = 7  # pieces


def _vain(said: Utterance) -> Iterator[str]:
    """Stretches after "not" or "only" that speak of things or of what may be used, and took part in nothing."""
    for place, piece in enumerate(said.pieces):
        if piece.kind != "cue" or not piece.has("negation", "only") or said.used.get(place, ("",))[0] in _TAKEN:
            continue
        clause = [piece]
        for after in said.pieces[place + 1 : place + _FAR]:
            if after.mark:
                break
            clause.append(after)
        speaks = any(one.has("at_hand", "thing", "limit_key") or one.cues.get("verb") == "use" for one in clause)
        other = any(one.has("property") or one.cues.get("verb") in ("want", "separate", "remove") for one in clause)
        if speaks and not other:
            yield " ".join([one.text for one in clause])


_TELLING = ("add", "react", "hold", "use", "dissolve", "impure")  # verbs that say nothing of what is wanted
_AMOUNTS = ("mass", "volume", "fraction", "length")  # what numbers beside a part can tell of it
_TAKEN = ("option", "property", "limit", "level", "amount")


def left_over(said: Utterance, unused: Sequence[Unused], there: Callable[[Part], bool]) -> Left:
    """What of an utterance is left over. unused: as `conserved` tells it; there: whether what a part names is in the mixture
    or the wish."""
    taken = {place for place, (role, _) in said.used.items() if role in _TAKEN}
    asked = [
        (place, piece) for place, piece in enumerate(said.pieces) if not piece.mark and said.used.get(place, ("",))[0] != "option"
    ]
    naming = {piece.sentence for piece in said.pieces if piece.kind in ("name", "class", "letter", "number", "unknown")}
    words = [  # a sentence that names nothing only sets the scene
        piece.text
        for place, piece in asked
        if piece.kind == "word" and len(piece.text) > 2 and place not in taken and piece.sentence in naming
    ]
    parts = {part.place for part in said.parts if part.role in PARTS and there(part)}
    reagents = {part.place for part in said.parts if part.role == "reagent"}
    told = [
        piece.text
        for place, piece in asked
        if (verb := said.used.get(place, ("", ""))[1].removeprefix("a verb: ")) in _TELLING
        and not piece.has("arose")
        and not (verb == "hold" and parts & {place + 1, place + 2})  # "contains phenol and biphenyl"
        and not (verb == "use" and reagents & {*range(place + 1, place + 4)})  # whether a step uses it counts
    ]
    lost = [part for part in said.parts if part.role in PARTS and not part.given and not there(part)]
    return Left(
        len(asked),
        tuple(words),
        said.loose,
        tuple(told),
        (*[one.text for one in unused if one.kind == "substance"], *[part.text for part in lost if part.meanings]),
        said.limits.vain,
        tuple(part.text for part in lost if part.noun and not part.meanings),
    )


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
    for piece in said.pieces:
        if piece.dimension == "concentration":
            unused.append(Unused(piece.text, "property", "a concentration told: the usual one is reckoned with"))
    for text in (*said.limits.vain, *_vain(said)):
        unused.append(Unused(text, "limit", "it sounds like a limit, and none was found in it"))
    if mixture.components:
        unused += [
            Unused(text, "unknown", "not understood, and away from the list of parts") for text in said.loose if text
        ]
        unused += [
            Unused(number.text, "amount", "a number of which nothing known is told")
            for part in said.parts
            for number in part.numbers
            if (number.dimension or number.number < number.high) and number.dimension not in _AMOUNTS
        ]
        unused += [
            Unused(text, "word", f"an ordinary word beside {part}" if part else "an ordinary word") for text, part in said.aside
        ]
    mentions.sort(key=lambda mention: (mention.start, mention.end))
    return tuple(dict.fromkeys(unused)), tuple(mentions)
