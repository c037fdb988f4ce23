"""What is wanted: the parts of a question that carry a wish, meant in terms of the mixture's components."""

from __future__ import annotations

from collections.abc import Sequence

from choosemethod.mixture import Component, Mixture, Wish
from choosemethod.reading.forms import Entry
from choosemethod.reading.lattice import lattice
from choosemethod.reading.lexicon import Lexicon, Noun
from choosemethod.reading.roles import Part
from choosemethod.reading.tokens import tokenise
from choosemethod.reading.utterance import Utterance
from choosemethod.table import Name, Table

__all__ = ["Wisher", "asked_parts"]


def asked_parts(words: str, table: Table, lexicon: Lexicon) -> list[Part]:
    """The parts of a wish given beside the question ("dry salt", "the dyes")."""
    found: list[Part] = []
    conditions: list[str] = []
    pieces = lattice(words, tokenise(words, table.formula), table, lexicon)
    numbers = tuple(piece for piece in pieces if piece.kind == "number")
    for place, piece in enumerate(pieces):
        if piece.kind != "name" and "condition" in piece.cues:
            conditions.append(piece.cues["condition"])
        gone = place and pieces[place - 1].has("without", "negation")
        role = "removed" if gone or (place + 1 < len(pieces) and pieces[place + 1].norm == "free") else "wanted"
        part = Part(
            place, piece.text, piece.norm, piece.start, piece.end, role=role, because="asked for", numbers=numbers
        )
        if piece.kind == "name":
            inner = [lexicon.cues(word).get("condition", "") for word in piece.norm.split() if " " in piece.norm]
            told = tuple(word for word in (*conditions, *inner) if word)
            found.append(part._replace(meanings=piece.meanings, found=piece.found, conditions=told))
        elif piece.kind == "class":
            sizes = tuple(value for key, value in piece.cues.items() if key == "piece")
            found.append(part._replace(noun=piece.cues["noun"], conditions=tuple(conditions), sizes=sizes))
        elif piece.kind == "letter":
            found.append(part._replace(given=(f"letter {piece.norm.upper()}",)))
        elif piece.has("pronoun", "every"):
            found.append(part._replace(pronoun=piece.norm, conditions=tuple(conditions)))
    if not found and conditions:
        found.append(
            Part(0, words, words, 0, len(words), role="wanted", because="asked for", conditions=tuple(conditions))
        )
    return found


class Wisher:
    """Works out the wish of an utterance for a mixture. table: with the described substances."""

    def __init__(
        self, said: Utterance, asked: Sequence[str], table: Table, words: Lexicon, entries: Sequence[Entry]
    ) -> None:
        self.said = said
        self.table = table
        self.words = words
        self.asked = [part for text in asked for part in asked_parts(text, table, words)]
        self.asked_text = ", ".join(asked)
        self.entries = entries  # what the question names as there

    def parts_of(self, name: Name) -> tuple[str, ...]:
        if name.kind == "substance":
            return (name.id,)
        whole = self.table.mixture(name.id)
        return tuple(part.substance for part in whole.components) or whole.made_of

    def belongs(self, noun: Noun, component: Component, removed: bool = False) -> bool:
        """Whether a component is of the class of a noun; removed: the noun names what has to go."""
        means = noun.means
        if component.role == "impurity" and not removed:
            return "impurity" in means.get("roles", ())
        substance = self.table.substance(component.substance)
        return (
            any(word in means.get("classes", ()) for word in substance.classes)
            or substance.kind in means.get("kinds", ())
            or substance.phase in means.get("phase", ())
            or ("phase" not in means and component.form in means.get("forms", ()))
        )

    def members(self, key: str, mixture: Mixture, removed: bool = False) -> list[str]:
        noun = self.words.nouns.get(key)
        if noun is None:
            return []
        return list(dict.fromkeys(part.substance for part in mixture.components if self.belongs(noun, part, removed)))

    def resolve(self, part: Part, mixture: Mixture) -> tuple[list[str], str, bool]:
        """Ids a part of the wish means, the condition it asks for, and whether it asks only what is there."""
        vague = "pure" if part.conditions else ""
        form = next((one for one in part.conditions if one != "pure"), vague)  # "pure anhydrous" is anhydrous
        substances = mixture.substances
        if part.given:
            letters = [id for id in substances if any(f"letter {id[-1].upper()}" == given for given in part.given)]
            return [id for id in part.given if id in substances] or letters, form, False
        name = part.name
        if name is not None:
            for other in part.meanings:
                if other.id in substances:
                    return [other.id], form, False
            if name.kind == "mixture":
                parts = self.parts_of(name)
                if name.id != mixture.named or 1 < len(parts) < len(substances):
                    inside = [id for id in parts if id in substances]
                else:
                    inside = [id for id in self.table.mixture(name.id).usual_aim if id in substances]
                if (
                    mixture.named and name.id != mixture.named
                ):  # the curd of clotted milk is its solids, not the water of both
                    aims = self.table.mixture(mixture.named).usual_aim
                    own = [id for id in aims if id in substances and self.called_by(part.norm, id)]
                    inside = own or inside
                    if inside and set(inside) <= set(aims):
                        return inside, form, False  # drinking water out of water with nitrate is its water
                hosts = {one.host for one in self.table.mixture(name.id).components}
                return ([] if hosts.issuperset(inside) and not hosts.issuperset(parts) else inside), form, False
            members = self.members(self.words.cues(name.id.replace("-", " ")).get("noun", ""), mixture)
            members = members or self.members(self.words.cues(part.norm.split()[-1]).get("noun", ""), mixture)
            noun = self.words.nouns.get(self.words.cues(part.norm.split()[-1]).get("noun", ""))
            if noun is not None and noun.aim and len(members) > 1:
                return [], form, True  # "the pigments of leaves"
            called = self.called(part.norm, mixture)
            kinds = [
                id for id in substances if self.table.substance(id).name.endswith((f"-{part.norm}", f" {part.norm}"))
            ]
            if name.id not in substances and len(kinds) == 1:
                called = called or kinds  # the carotene of carrots is beta-carotene
            return called or members or [name.id], form, False
        if part.noun:
            members = self.members(part.noun, mixture) or self.members(part.noun, mixture, part.role == "removed")
            noun = self.words.nouns[part.noun]
            identify = bool(noun.aim) and len(members) != 1
            if identify:
                return [], form, True
            if len(members) > 1 and "liquid" in noun.means.get("forms", ()):
                form = form or "liquid"
            return (members if len(members) < len(substances) or form in ("crystals", "powder") else []), form, False
        if part.pronoun == "both":
            held = [id for id in substances if id not in {one.host for one in mixture.components}]
            return held if len(held) == 2 else list(substances), form, False  # not the liquid that holds the two
        if part.pronoun in ("it", "this", "one") and substances:
            main = [component.substance for component in mixture.components if component.role == "main"]
            usual = list(self.table.mixture(mixture.named).usual_aim) if mixture.named and not main else []
            gone = {one.name.id for one in self.said.parts if one.role == "removed" and one.name is not None}
            left = [id for id in substances if id not in gone] or list(substances)
            return main or [id for id in usual if id in substances] or left[:1], form, False
        return [], form, False

    def wish(self, mixture: Mixture) -> Wish:
        said, substances = self.said, mixture.substances
        terms = self.asked or [part for part in said.parts if part.role in ("wanted", "removed", "purified", "dried")]
        form, aim, purity = said.form, said.aim, None
        want: list[str] = []
        remove: list[str] = []
        dissolved = {part.substance for part in mixture.components if part.form == "dissolved"}
        for part in terms:
            ids, told, identify = self.resolve(part, mixture)
            if part.role == "removed":
                remove += ids
                continue
            if part.because.startswith("out of") and self.dissolved_gases(ids, mixture):
                remove += self.dissolved_gases(ids, mixture)
            elif part.name is not None and part.name.kind == "mixture" and len(ids) > 1:
                more, gone, whole = self.product(part, ids, mixture)
                want += more
                remove += gone
                form = form or whole
            else:
                want += ids
            form = form or told or {"purified": "pure", "dried": "dry"}.get(part.role, "")
            if identify and not self.asked:
                aim = "identify"
            purity = purity or next(
                (n.number for n in part.numbers if n.dimension == "fraction" and 0.5 < n.number <= 1), None
            )
        if self.asked:
            for part in said.parts:
                if part.role == "removed":
                    remove += self.resolve(part, mixture)[0]
        if want and not set(want) & set(substances):
            want = self.stands_for(want, mixture) or want
        if self.asked and not want and not remove and form in ("pure", "clear"):
            remove = self.put_into(mixture)  # "clean gas"
        if form == "degassed":
            gone = [
                part.substance
                for part in mixture.components
                if part.form == "dissolved" and self.gaseous(part.substance)
            ]
            want, remove = ([], gone) if gone else (want, remove)
        want = list(dict.fromkeys(want))
        lesser = {component.substance for component in mixture.components if component.role == "impurity"}
        if want and not self.asked and lesser.issuperset(want):
            want, remove = [], [*remove, *want]
        worded = any(part.role in ("wanted", "removed") for part in self.said.parts)
        if mixture.named and not worded and not lesser & set(want):
            named = [entry.id for entry in self.entries if entry.kind == "substance"]
            parts = self.parts_of(Name("mixture", mixture.named, ""))
            if named and lesser.issuperset(named) and set(parts).issuperset(named) and set(want) <= set(parts):
                want, remove = [], named  # "hydrogen sulfide in natural gas": only what is named has to go
        remove = [id for id in dict.fromkeys(remove) if id not in want or not terms]
        if remove and not want and len(set(substances) - set(remove)) == 1:
            want = [id for id in substances if id not in remove]
        main = [component.substance for component in mixture.components if component.role == "main"]
        wished = any(part.role in ("wanted", "removed") for part in terms)
        if not want and not remove and aim == "separate" and main and not wished:
            want = main
        keeps = sum(part.form == "liquid" for part in mixture.components) == 1 and bool(dissolved)
        if len(substances) > 1 and set(want) >= set(substances) and not keeps:
            want = []
        assumed = False
        if (
            not want
            and not remove
            and aim == "separate"
            and (not wished or all(self.whole(part, mixture) for part in terms))
        ):
            want, aim = self.usual(mixture, aim)
            form = form or self.as_one(want, mixture)
            assumed = not wished
        return Wish(
            tuple(want),
            tuple(remove),
            aim,
            form,
            purity,
            self.asked_text or self.text(terms),
            self.purpose(want, remove, aim),
            assumed,
        )

    def text(self, terms: Sequence[Part]) -> str:
        return "; ".join(dict.fromkeys(part.text for part in terms if part.role in ("wanted", "removed")))

    def purpose(self, want: Sequence[str], remove: Sequence[str], aim: str) -> str:
        """A key of mixture.PURPOSES."""
        if self.said.purpose:
            return self.said.purpose
        if aim == "identify":
            return "identify"
        return "recover one" if len(want) == 1 else "remove" if remove and not want else ""

    def whole(self, part: Part, mixture: Mixture) -> bool:
        """Whether a wish only names the whole mixture again."""
        return part.name is not None and part.name.id == mixture.named

    def gaseous(self, id: str) -> bool:
        return self.table.substance(id).phase == "gas"

    def product(self, part: Part, ids: list[str], mixture: Mixture) -> tuple[list[str], list[str], str]:
        """What to want and remove where a mixture is wanted as one product (plasma, tea)."""
        name = part.name
        assert name is not None
        others = [id for id in mixture.substances if id not in ids]
        put = self.put_into(mixture) if self.asked else []
        if put and not set(put) & set(self.table.mixture(name.id).usual_aim):
            return [], put, ""  # "carbon dioxide in the air of a submarine", breathable air wanted
        last = self.table.name(part.norm.split()[-1])
        if last is not None and last.id in ids and not set(self.parts_of(name)) <= set(mixture.substances):
            return [last.id], [], ""  # drinking water out of sea water
        if others and name.id == mixture.named:
            return [], others, ""
        loose = [one.substance for one in mixture.components if one.form == "suspended"]
        if name.id == mixture.named and loose and len(loose) < len(ids):
            return [], loose, ""
        usual = [id for id in self.table.mixture(mixture.named).usual_aim if id in ids] if mixture.named else []
        own = [id for id in self.table.mixture(name.id).usual_aim if id in ids]
        chosen = usual or own
        return (chosen, [], self.as_one(chosen, mixture)) if chosen else ([], others, "")

    def put_into(self, mixture: Mixture) -> list[str]:
        """What the question names in a named mixture: that has to go where the rest is wanted clean."""
        wholes = {entry.id for entry in self.entries if entry.kind == "mixture"}
        found = [entry.id for entry in self.entries if entry.kind == "substance" and entry.host in wholes]
        return [id for id in found if id in mixture.substances]

    def called_by(self, words: str, ident: str) -> bool:
        """Whether a component's name begins with these words ("curd" of "curd solids")."""
        return self.table.substance(ident).name.startswith(f"{words} ")

    def called(self, words: str, mixture: Mixture) -> list[str]:
        """The component whose words begin or end with these ("gold" of "gold dust")."""
        found = {entry.id for entry in self.entries if entry.kind == "substance" and f" {words} " in f" {entry.words} "}
        return list(found) if len(found) == 1 and found <= set(mixture.substances) else []

    def dissolved_gases(self, ids: Sequence[str], mixture: Mixture) -> list[str]:
        """The dissolved gases among these ids; none if a solid or an undissolved gas is among them."""
        forms = {component.substance: component.form for component in mixture.components}
        found = [id for id in ids if forms.get(id) == "dissolved" and self.gaseous(id)]
        return found if all(id in found or forms.get(id) == "liquid" for id in ids) else []

    def as_one(self, want: list[str], mixture: Mixture) -> str:
        liquids = {component.substance for component in mixture.components if component.form == "liquid"}
        return "liquid" if len(want) > 1 and liquids & set(want) else ""

    def usual(self, mixture: Mixture, aim: str) -> tuple[list[str], str]:
        """What is usually wanted of a named mixture, if nothing was said."""
        if not mixture.named:
            return [], aim
        others = {entry.id for entry in self.entries} - {mixture.named}
        if not others <= set(self.parts_of(Name("mixture", mixture.named, ""))):
            return [], aim
        usual = self.table.mixture(mixture.named).usual_aim
        if usual == ("identify",):
            return [], "identify"
        told = [id for id in usual if id in others]
        return told or [id for id in usual if id in mixture.substances], aim

    def stands_for(self, want: Sequence[str], mixture: Mixture) -> list[str]:
        """The one component a product is made of that is wanted under its own name: the casein of "paneer"."""
        found: list[str] = []
        for id in want:
            if not self.table.has(id):
                return []
            mine = set(self.table.substance(id).classes) & set(self.words.stands_for)
            kin = [other for other in mixture.substances if mine & set(self.table.substance(other).classes)]
            if len(kin) != 1:
                return []
            found += kin
        return found
