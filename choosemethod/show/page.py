"""The page of an answer: what was understood, the verdict, the plan, each step, what is left open, the sources.

The ordinary page is short: the answer first, with one decisive reason and one contrast; the worst dangers, whatever step
they belong to; the essential lines of each step, and no list longer than it must be. No danger and no caution is cut but
mere notes. The full page has every line, reason and rejected technique; the trace is added on request.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from choosemethod.advice.answer import Advice, Caution, Nearest, NumberShown, PlanStep, ProductShown, gravity
from choosemethod.facts import how_said
from choosemethod.mixture import STANDARD_PRESSURE
from choosemethod.quantity import show
from choosemethod.show.blocks import Block, Flow, FlowProduct, FlowStep, Heading, Pairs, Para, Points, clean, sentence
from choosemethod.show.trace import trace_blocks

__all__ = ["page"]

_FORETOLD = 2  # sentences of what to expect on the ordinary page
_CARES = 3  # cautions below a danger in one place of the ordinary page
_LONGEST = 45  # lines of 80 columns on the ordinary page of two components, but for dangers, which are never left out
# how the page of two components gets its length: paragraphs, the least missed first, and how many sentences are kept of each
_LEAST_MISSED = (
    ("You will see", 0), ("Limits", 0), ("Why not something else", 2), ("What to expect", 1), ("Left over", 3), ("Take care", 4),
    ("Why not something else", 0), ("Why", 0), ("What to expect", 0), ("Take care", 3), ("You get", 0), ("Left over", 2),
    ("Take care", 2), ("Left over", 1), ("", 0), ("Take care", 1), ("You need", 0),
)  # fmt: skip
_WORST = 3  # dangers that stand before the plan on any page, whatever step they belong to
_WRITE_NAMES = (
    "the usual or systematic name of each substance, such as “sand and common salt” or “propanone and water”; or what "
    "is known of it, such as “liquid A (boiling point 60 °C) and water, which mix”."
)
_WRITE_FACTS = "what is known, with the question, such as “powder A dissolves in water, powder B does not”."
_COUNTED = (
    "caution",
    "line",
    "other plan",
    "other way",
    "source",
    "technique ruled out",
)  # how what is left out is counted
_VERBS = {"i", "are", "ha", "have", "doe", "do", "goe", "go", "give"}  # of one and of several, without their s
_MOST = 4  # numbers, sources and like lists on the ordinary page
_FORMS = {
    "solid": ("solid", "solid"),
    "suspended": ("solid particles in {}", "solid particles in a liquid"),
    "colloidal": ("very fine particles in {}", "very fine particles in a liquid"),
    "emulsified": ("tiny droplets in {}", "tiny droplets in a liquid"),
    "dissolved": ("dissolved in {}", "dissolved"),
    "liquid": ("liquid", "liquid"),
    "gas": ("gas", "gas"),
    "airborne": ("fine particles in {}", "fine particles in a gas"),
    "embedded": ("locked inside {}", "locked inside a solid"),
    "alloyed": ("part of the alloy with {}", "part of an alloy"),
}
_STRENGTH = {"best": "Best", "good": "Good", "fair": "Workable", "possible": "Possible"}
_FATE = {
    "product": "product",
    "continues": "goes on",
    "lost": "not kept",
    "by-product": "by-product",
    "shown": "only seen, not collected",
    "recovered": "recovered to be used again",
    "spent": "used up",
}
_DEGREE = {"danger": "DANGER", "care": "Take care", "note": "Note"}
_REFUSED = {
    "unsafe": ("Do not do this: it is dangerous.", "danger"),
    "not-separable": ("No separation gives the parts back.", "verdict"),
    "nothing-to-separate": ("There is nothing to separate.", "verdict"),
    "blocked": ("It cannot be done with what is available or allowed.", "verdict"),
}
_WHY_NOT = {
    "chosen": "It is the technique chosen.",
    "also-serves": "It would serve too, but it is not the first choice.",
    "rejected": "It would not serve.",
    "not-available": "It would serve if it were available and allowed.",
}


def page(advice: Advice, *, full: bool = False, trace: bool = False) -> list[Block]:
    """The answer as cleaned blocks. full: every reason and list whole; trace: the rules that fired as well."""
    built = _Page(advice, full, full or trace)
    blocks = built.build()
    if advice.called:
        from choosemethod.show.asked import in_the_words_asked

        blocks = in_the_words_asked(blocks, advice.called)
    if advice.level:
        from choosemethod.show.level import in_the_words_of

        blocks = in_the_words_of(blocks, advice.level, built.names)
    if trace:
        blocks += trace_blocks(advice)
    return [_cleaned(block) for block in blocks]


def _cleaned(block: Block) -> Block:
    if isinstance(block, Heading):
        return block._replace(text=clean(block.text))
    if isinstance(block, Para):
        return block._replace(text=clean(block.text), label=clean(block.label))
    if isinstance(block, Points):
        return block._replace(items=tuple(clean(item) for item in block.items))
    if isinstance(block, Pairs):
        return Pairs(tuple((clean(name), clean(said)) for name, said in block.rows))
    steps = []
    for step in block.steps:
        products = tuple(FlowProduct(clean(p.text), clean(p.fate), p.to) for p in step.products)
        steps.append(FlowStep(step.number, clean(step.text), products))
    return Flow(clean(block.start), tuple(steps))


def listed(words: Iterable[str], last: str = "and") -> str:
    """Words as a list in a sentence: "a, b and c"."""
    words = list(words)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}" if words else ""


def _joined(items: Sequence[str]) -> str:
    """Short items on one line; those with commas of their own are parted by semicolons."""
    return ("; " if any("," in item for item in items) else ", ").join(item.rstrip(".") for item in items)


def _sentences(items: Iterable[str]) -> str:
    return " ".join(sentence(item) for item in items)


class _Page:
    def __init__(self, advice: Advice, full: bool, keys: bool) -> None:
        self.advice = advice
        self.full = full
        self.keys = keys  # whether the page names sources by their keys and lists them all
        self.out: list[Block] = []
        self.left_over: set[str] = set()  # what was said of residues in an earlier step
        self.left: dict[str, int] = {}  # what the ordinary page leaves out, and how many of it
        self.names = {one.technique: one.name for one in advice.rejected}
        self.names.update((one.technique, one.name) for one in advice.techniques)
        self.names.update((step.technique, step.name) for step in advice.plan)

    def build(self) -> list[Block]:
        advice = self.advice
        self.understood()
        self.answer()
        if self.full or advice.why_not:
            self.why_not()
        general, own = self.cautions()
        if general:
            self.out.append(Heading("Before you start" if advice.plan else "Dangers of the mixture"))
            self.out += general
        if advice.bench == "teacher" and advice.plan:
            self.out.append(Para("The teacher does this and the class watches.", "At this level", "care"))
        if advice.bench == "nobody":
            self.instead()
        else:
            if len(advice.plan) > 1:
                self.out += [Heading("The plan"), self.flow() if self.full else self.outline()]
            if len(advice.plan) > 1 and not self.full:
                needed = _each_once(line for step in advice.plan for line in self.kept(step, step.apparatus))
                if needed:
                    self.out.append(Para(_joined(needed) + ".", "You need"))
            for step in advice.plan:
                self.step(step, own[step.number])
            self.waste()
        self.results()
        if self.full:
            self.alternatives()
        elif advice.plan:
            self.more(len(advice.alternatives), "other plan")
            self.more(len(advice.rejected), "technique ruled out")
        if advice.status != "needs-information":
            self.missing()
        self.sources()
        if not self.full and len(advice.components) <= 2:
            self.shorten()
        if self.left:
            self.out.append(self.left_out())
        return self.out

    def left_out(self) -> Para:
        """What the ordinary page leaves out, in numbers."""
        said = ", ".join(f"{count} {_many(what, count)}" for what, count in self.left.items())
        return Para(f"{said} (--full).", "Left out here", "faint")

    def shorten(self) -> None:
        """Cut and leave out paragraphs that are the least missed until the page of two components has its length."""
        for label, most in _LEAST_MISSED:
            for place, block in reversed(list(enumerate(self.out))):
                if sum(map(_height, (*self.out, self.left_out()))) - 1 <= _LONGEST:  # no blank line before the first
                    return
                if not isinstance(block, Para) or block.label != label or not self.spared(block):
                    continue
                sentences = re.split(r"(?<=[.!?]) (?=[A-Z])", block.text)
                self.more(max(len(sentences) - most, 0), "caution" if label == "Take care" else "line")
                if most:
                    self.out[place] = block._replace(text=" ".join(sentences[:most]))
                else:
                    del self.out[place]

    def spared(self, block: Para) -> bool:
        """Whether a paragraph may go: a mixture's note, not what was understood; what is got, where the plan tells it."""
        if not block.label:
            return bool(self.advice.note) and block.text == sentence(self.advice.note)
        return block.label != "You get" or len(self.advice.plan) > 1

    def more(self, count: int, what: str) -> None:
        """Note how much of a list is left out."""
        if count > 0:
            what = what if what in _COUNTED else "line"
            self.left[what] = self.left.get(what, 0) + count

    def cut(self, items: Sequence[str], most: int = _MOST) -> Sequence[str]:
        return items if self.full or len(items) == most + 1 else items[:most]  # one more is shorter than saying so

    # ---- what was understood -------------------------------------------------------------------------------------

    def understood(self) -> None:
        advice = self.advice
        self.out.append(Heading("What was understood"))
        names = [component.name for component in advice.components]
        rows: list[tuple[str, str]] = []
        if not names or advice.status == "unknown":
            rows.append(("Question", advice.asked))
        elif advice.name not in ("", listed(names), *names):
            rows.append(("Mixture", advice.name))
        for component in advice.components:
            held, alone = _FORMS.get(component.form, (component.form, component.form))
            said = held.format(component.host) if component.host else alone
            rows.append((component.name, f"{said}, {component.amount}" if component.amount else said))
        wish, said_too = self.wish()
        rows += [(label[:1].upper() + label[1:], said) for label, said in wish.items()]
        self.out.append(Pairs(tuple(rows)))
        sentences = [f"“{written}” was read as “{read}”." for written, read in advice.corrections] + said_too
        told = " ".join(advice.refusal.reasons).lower() if advice.refusal is not None else ""
        if advice.note and sentence(advice.note) not in sentences and advice.note.rstrip(".").lower() not in told:
            sentences.append(sentence(advice.note))
        if sentences:
            self.out.append(Para(" ".join(sentences)))
        if advice.status != "unknown":
            self.unknown()
        self.unused()

    def unused(self) -> None:
        """What of the question played no part, and how else it could be read."""
        for one in self.advice.readings:
            apart = f" {sentence(one.tells_apart)}" if one.tells_apart else ""
            self.out.append(Para(f"{sentence(one.text)}{apart}", "It can also be read as", "care"))
        reported = {written for written, _ in self.advice.unknown}
        unused = [one for one in self.advice.not_used if one.text not in reported]
        if unused:
            said = [f"“{one.text}”" + (f" ({one.because.rstrip('.')})" if one.because else "") for one in unused]
            self.out.append(Para(sentence("; ".join(said)), "Not used", "care"))

    def wish(self) -> tuple[dict[str, str], list[str]]:
        """The wish and the setting by label, with what was understood of them, and the rest of that in sentences.

        What was understood comes as "wanted: salt"; it goes before the plain fields, being nearer to what was said.
        """
        advice = self.advice
        rows: dict[str, str] = {}
        if advice.want:
            rows["wanted"] = listed(advice.want)
        if advice.remove:
            rows["to be removed"] = listed(advice.remove)
        if advice.aim == "identify":
            rows["asked"] = "what is in it"
        if abs(advice.pressure - STANDARD_PRESSURE) > 50:
            rows["pressure"] = f"{advice.pressure / 1000:.4g} kPa"
        if advice.without:
            rows["without"] = ", ".join(key.replace("-", " ") for key in advice.without)
        if advice.level:
            rows["level"] = advice.level.replace("-", " ")
        mended = {f"{written!r} read as {read!r}" for written, read in advice.corrections}
        sentences = []
        for text in advice.understood:
            label, colon, said = text.partition(": ")
            if colon and label.islower() and label.count(" ") <= 2:
                if label not in ("mixture", "components"):
                    rows[label] = said
            elif text not in mended:
                sentences.append(sentence(text))
        return rows, sentences

    def unknown(self) -> None:
        for written, nearest in self.advice.unknown:
            guess = f" Did you mean {listed(nearest, 'or')}?" if nearest else ""
            self.out.append(Para(f"“{written}” is not known here.{guess}", "Not understood", "care"))

    # ---- the verdict ---------------------------------------------------------------------------------------------

    def answer(self) -> None:
        advice = self.advice
        self.out.append(Heading("Answer"))
        if advice.refusal is not None:
            self.refused()
        elif advice.status == "unknown":
            self.out.append(Para("This cannot be answered, and no guess is made.", mark="verdict"))
            self.unknown()
            if not advice.unknown and not advice.missing:
                self.out.append(Para("No substance or mixture was recognised in the question."))
            self.out.append(Para(_WRITE_NAMES, "What to write"))
        elif advice.status == "needs-information":
            said = (
                "The question was not understood well enough to be sure."
                if advice.doubt
                else "Too little is known to decide."
            )
            self.out.append(Para(said, mark="verdict"))
            self.missing_points()
            if advice.doubt:
                self.out.append(Para(sentence("; ".join(advice.doubt)), "Why it is asked"))
            if advice.tentative:
                self.out.append(Para(sentence(advice.tentative), "Perhaps"))
            self.out.append(Para(_WRITE_FACTS, "What to write"))
        if advice.plan:
            self.verdict()
        elif advice.techniques and advice.refusal is None:
            best = advice.techniques[0]
            self.out.append(Para(f"{_STRENGTH.get(best.strength, 'Possible')} technique: {best.name}.", mark="verdict"))
            self.reasons(best.reasons)
        for group in advice.left_together:
            self.out.append(
                Para(f"{listed(group)} stay together: nothing in this plan parts them.", "Take care", "care")
            )
        if advice.plan and not self.full:
            self.gains()
            self.ways()
        if not advice.plan:
            self.numbers(advice.numbers)
            if advice.contrast and not self.full:
                self.out.append(Para(sentence(advice.contrast), "Other ways"))

    def refused(self) -> None:
        refusal = self.advice.refusal
        assert refusal is not None
        if self.advice.option:
            self.out.append(Para(f"Answer {self.advice.option}.", mark="verdict"))
        said, mark = _REFUSED.get(refusal.kind, ("There is no separation to advise.", "verdict"))
        self.out.append(Para(said, "DANGER" if mark == "danger" else "", mark))
        reasons = [sentence(reason) for reason in refusal.reasons]
        if len(reasons) == 1:
            self.out.append(Para(reasons[0], "Because"))
        elif reasons:
            self.out.append(Points(tuple(reasons)))
        label = {"unsafe": "What to do", "blocked": "What would help", "not-separable": "Instead"}.get(refusal.kind, "")
        self.out += [Para(sentence(text), label) for text in refusal.advice]

    def verdict(self) -> None:
        plan = self.advice.plan
        ranked = {one.technique: one for one in self.advice.techniques}
        first = ranked.get(plan[0].technique)
        word = _STRENGTH.get(first.strength, "Possible") if first is not None else "Possible"
        if len(plan) == 1:
            self.out.append(Para(f"{word} technique: {plan[0].name}{self.option(plan)}.", mark="verdict"))
            self.reasons(plan[0].reasons)
            if self.full:
                self.numbers(plan[0].numbers or self.advice.numbers)
            return
        order = ", then ".join(step.name for step in plan)
        self.out.append(Para(f"{word} plan, in {len(plan)} steps: {order}{self.option(plan)}.", mark="verdict"))
        if plan[0].reasons:
            self.out.append(Para(sentence(plan[0].reasons[0]), f"Why {plan[0].name} first"))

    def option(self, plan: Sequence[PlanStep]) -> str:
        """The offered answer that was chosen, or the letter of one that names this plan or begins with it."""
        if self.advice.option:
            return f": answer {self.advice.option}"
        slugs = tuple(step.technique for step in plan)
        offered = self.advice.asked_techniques.offered
        fits = [one for one in offered if one.techniques and one.techniques == slugs]
        fits = fits or [one for one in offered if one.techniques and set(one.techniques) <= set(slugs)]
        fits = fits if len(fits) == 1 else []
        return f": answer {fits[0].letter}" if fits else ""

    def held(self, product: ProductShown) -> Sequence[str]:
        """What is in a product; a reagent that has become what the product is said to be is not told beside it."""
        used = {step.adds for step in self.advice.plan} if product.state.startswith("as ") else set()
        return [name for name in product.components if name not in used] or product.components

    def gains(self) -> None:
        """What is obtained, in one sentence: products in the same state and with the same fate together."""
        told: dict[str, list[str]] = {}
        for one in self.advice.products:
            if one.fate == "shown":
                one = one._replace(state="")
            state = self.product(one._replace(name=" ", components=())).strip()
            told.setdefault(state, []).append(" + ".join(self.held(one)) or one.name)
        if told:
            said = "; ".join(
                "; ".join(names) + (f" ({'each ' if len(names) > 1 else ''}{state[1:]}" if state else "")
                for state, names in told.items()
            )
            self.out.append(Para(f"{said}.", "You get"))
        for name, worked in self.advice.retention:
            self.out.append(Para(f"{name}  ({worked})", "Retention factor"))

    def ways(self) -> None:
        """The runner-up, or the likeliest wrong idea, and other plans in short."""
        advice = self.advice
        if advice.contrast:
            self.out.append(Para(sentence(advice.contrast), "Why not something else"))

    def reasons(self, reasons: Sequence[str]) -> None:
        shown = [sentence(reason) for reason in (reasons if self.full else reasons[:1])]
        self.out += [Para(text, "Because" if place == 0 else "Also because") for place, text in enumerate(shown)]
        self.more(len(reasons) - len(shown), "reason")

    def numbers(self, numbers: Sequence[NumberShown], said: Sequence[str] = ()) -> None:
        """The numbers as a table; on the ordinary page without those the reason above has just said."""
        if not self.full:
            numbers = [one for one in numbers if not any(one.value in reason for reason in said)]
            expected = " ".join(text for step in self.advice.plan for text in self.shown_forecast(step))
            numbers = [one for one in numbers if not _told_in(one, expected)]
        shown = numbers if self.full else numbers[: _MOST // 2 if said else _MOST]
        if shown:
            self.out.append(Pairs(tuple((one.name, self.number(one)) for one in shown)))
            self.more(len(numbers) - len(shown), "number")

    def number(self, one: NumberShown) -> str:
        about = [how_said(one.how)] if one.how not in ("", "measured") else []
        if self.full:
            about = [how_said(one.how), one.note, one.source if one.source not in how_said(one.how) else ""]
        said = "; ".join(word for word in about if word)
        return f"{one.value} ({said})" if said else one.value

    # ---- why not -------------------------------------------------------------------------------------------------

    def why_not(self) -> None:
        advice = self.advice
        if advice.contrast and self.full:
            self.out += [Heading("Why not something else?"), Para(sentence(advice.contrast))]
        for one in advice.why_not:
            self.out.append(Heading(f"Why not {one.name}?"))
            self.nearest(one)

    def nearest(self, one: Nearest) -> None:
        self.out.append(Para(f"{_WHY_NOT.get(one.verdict, '')} {sentence(one.reason)}".strip()))
        failed = [(condition, value) for condition, value in one.failed if condition not in one.reason]
        if failed:
            self.out.append(Para("What would have to be different:"))
            self.out.append(Points(tuple(f"wanted: {condition}; found: {value}" for condition, value in failed)))
        if one.rule:
            self.out.append(Para(one.rule, "Rule", "faint"))

    # ---- cautions ------------------------------------------------------------------------------------------------

    def cautions(self) -> tuple[list[Block], dict[int, list[Block]]]:
        """Every caution once: the worst, those of the mixture and of several steps together, the others by step number."""
        advice = self.advice
        where: dict[str, list[int]] = {}
        worst: dict[str, Caution] = {}
        for step in advice.plan:
            for caution in step.cautions:
                numbers = where.setdefault(caution.text, [])
                if step.number not in numbers:
                    numbers.append(step.number)
                self.worse(worst, caution)
        for short in list(worst.values()):
            longer = next((other for other in worst.values() if _told_with(short, other)), None)
            if longer is not None:
                where[longer.text] = sorted({*where[longer.text], *where.pop(short.text)})
                del worst[short.text]
        by_technique = {step.technique: step.number for step in reversed(advice.plan)}
        general = {text for text, numbers in where.items() if len(numbers) > 1}
        for caution in advice.cautions:
            if any(_told_with(caution, other) for other in worst.values()):
                continue
            self.worse(worst, caution)
            if caution.text not in where:
                number = by_technique.get(caution.technique)
                where[caution.text] = [number] if number is not None else []
            if not where[caution.text] or not caution.technique:
                general.add(caution.text)
        ordered = sorted(worst.values(), key=gravity)
        general.update([one.text for one in ordered if one.degree == "danger"][:_WORST])
        if len(advice.plan) == 1 or advice.bench == "nobody":
            general.update(worst)
        own: dict[int, list[Block]] = {}
        for step in advice.plan:
            mine = [(one, ()) for one in ordered if one.text not in general and where[one.text] == [step.number]]
            own[step.number] = self.caution_blocks(mine)
        return self.caution_blocks([(one, where[one.text]) for one in ordered if one.text in general]), own

    @staticmethod
    def worse(worst: dict[str, Caution], caution: Caution) -> None:
        """Keep the gravest caution of those with one text."""
        if caution.text not in worst or gravity(caution) < gravity(worst[caution.text]):
            worst[caution.text] = caution

    def caution_blocks(self, cautions: Sequence[tuple[Caution, Sequence[int]]]) -> list[Block]:
        """Cautions with the steps each is for, the worst first: every danger by itself, the others together."""
        said: dict[str, list[str]] = {degree: [] for degree in _DEGREE}
        if not self.full:
            cautions = self.gravest(cautions)
        for caution, steps in cautions:
            text = sentence(caution.text)
            if steps and len(steps) < len(self.advice.plan):
                text += f" (steps {listed(map(str, steps))})" if len(steps) > 1 else f" (step {steps[0]})"
            if self.full and caution.rule:
                text += f" [rule {caution.rule}]"
            said[caution.degree if caution.degree in said else "care"].append(text)
        blocks: list[Block] = [Para(text, "DANGER", "danger") for text in said["danger"]]
        for degree in ("care", "note"):
            texts = said[degree]
            if texts and (len(texts) == 1 or not self.full):
                blocks.append(Para(" ".join(texts), _DEGREE[degree], degree))
            elif texts:
                blocks += [Para("", _DEGREE[degree], degree), Points(tuple(texts))]
        return blocks

    def gravest(self, cautions: Sequence[tuple[Caution, Sequence[int]]]) -> list[tuple[Caution, Sequence[int]]]:
        """What the ordinary page gives: every danger, the gravest of the cautions and those always kept, no note."""
        cares = [one for one, _ in cautions if one.degree not in ("danger", "note")]
        kept = {
            one.text for one in [one for one in cares if not one.kept][:_CARES] + [one for one in cares if one.kept]
        }
        self.more(len(cares) - len(kept), "caution")
        self.more(sum(one.degree == "note" for one, _ in cautions), "note")
        return [(one, steps) for one, steps in cautions if one.degree == "danger" or one.text in kept]

    # ---- the plan ------------------------------------------------------------------------------------------------

    def flow(self) -> Flow:
        advice = self.advice
        numbers = {step.number for step in advice.plan}
        steps = []
        for step, following in zip(advice.plan, (*advice.plan[1:], None), strict=True):
            text = f"{step.name}, adding {step.adds}" if step.adds else step.name
            products = []
            for product in step.gives:
                to = product.number if product.number in numbers and product.number > step.number else 0
                fate = "" if to else _FATE.get(product.fate, product.fate)
                products.append(FlowProduct(_product(product), fate, to))
            if not step.gives and following is not None:  # it changes the mixture without parting it
                products.append(FlowProduct(" + ".join(following.acts_on), to=following.number))
            steps.append(FlowStep(step.number, text, tuple(products)))
        return Flow(" + ".join(advice.plan[0].acts_on) or advice.name, tuple(steps))

    def outline(self) -> Points:
        """The plan, one line a step: what is done, and what comes of it."""
        rows = []
        for step in self.advice.plan:
            said = []
            for product in step.gives:
                holds = " + ".join(self.held(product)) or product.name
                if product.number > step.number:
                    onward = f"on to step {product.number}"
                    said.append(f"{holds} ({onward})")
                else:
                    become = f"{product.state}; " if product.state.startswith("as ") else ""
                    said.append(f"{holds} ({become}{_FATE.get(product.fate, product.fate)})")
            done = f"{step.name}, adding {step.adds}" if step.adds else step.name
            following = next((one for one in self.advice.plan if one.number == step.number + 1), None)
            if not said and following is not None:  # it changes the mixture without parting it
                said.append(f"{' + '.join(following.acts_on) or 'all of it'} (on to step {following.number})")
            rows.append(f"{done}: {'; '.join(said)}" if said else done)
        return Points(tuple(rows), numbered=True)

    def kept(self, step: PlanStep, lines: Sequence[str], what: str = "") -> Sequence[str]:
        """The essential ones of some lines of a step; all of them on the full page."""
        if self.full:
            return lines
        shown = [line for line in lines if line not in step.optional]
        if what:
            self.more(len(lines) - len(shown), what)
        return shown

    def step(self, step: PlanStep, cautions: list[Block]) -> None:
        several = len(self.advice.plan) > 1
        title = f"Step {step.number}: {step.name}" if several else "How to do it"
        self.out.append(Heading(title, minor=several and not self.full))
        if several:
            taken = " + ".join(step.acts_on)
            if self.full:
                self.out.append(Para(f"{taken}; add {step.adds}" if step.adds else taken, "With"))
            if step.reasons and (step.number != self.advice.plan[0].number or self.full):
                self.out.append(Para(_sentences(step.reasons if self.full else step.reasons[:1]), "Why"))
            if self.full:
                self.numbers(step.numbers, step.reasons[:1])
        elif step.adds and self.full:
            self.out.append(Para(step.adds, "Add"))
        if self.full and step.principle:
            self.out.append(Para(sentence(step.principle), "Principle"))
        self.out += cautions
        apparatus = self.kept(step, step.apparatus)
        if apparatus and (self.full or not several):
            self.out.append(Para(_joined(apparatus) + ".", "You need"))
        steps = self.kept(step, step.steps, "line")
        if steps:
            self.out.append(Points(tuple(sentence(text) for text in steps), numbered=True))
        seen = self.kept(step, step.seen, "line")
        if seen:
            self.out.append(Para(_sentences(seen), "You will see"))
        self.foretold(step)
        limits = self.kept(step, step.limits, "line")
        if limits:
            self.out.append(Para(_sentences(limits), "Limits"))
        if several and step.gives and self.full:
            self.out.append(Para(self.gives(step), "Gives"))
        if self.full:
            residues = [text for text in step.residues if text not in self.left_over]
            if residues:
                self.left_over.update(residues)
                self.out.append(Para(_sentences(residues), "Left over"))
            if step.rules:
                self.out.append(Para(", ".join(step.rules), "Rules", "faint"))
            if step.source:
                self.out.append(Para(step.source, "Source", "faint"))
        if self.out[-1] == Heading(title, minor=several and not self.full):
            self.out.pop()  # nothing is told of it

    def foretold(self, step: PlanStep) -> None:
        """What to expect of a step; a heading of what follows it goes with it or not at all."""
        if self.full and step.forecast:
            self.out += [Para("", "What to expect"), Points(tuple(sentence(text) for text in step.forecast))]
            return
        shown = self.shown_forecast(step)
        if shown:
            self.out.append(Para(_sentences(shown), "What to expect"))
        self.more(len(step.forecast) - len(shown), "forecast")

    def shown_forecast(self, step: PlanStep) -> Sequence[str]:
        """What of a step's forecast stands on the ordinary page."""
        essential = [line for line in step.forecast if line not in step.optional]
        return essential[: _FORETOLD if len(self.advice.plan) == 1 else 1]

    def waste(self) -> None:
        """Where the residues of all steps go, on the ordinary page."""
        if self.full:
            return
        texts = dict.fromkeys(text for step in self.advice.plan for text in self.kept(step, step.residues))
        told = [text for text in texts if not any(_of_more(text, other) for other in texts)]
        if told:
            self.out.append(Para(_sentences(told), "Left over"))

    def instead(self) -> None:
        """For a level that must not handle something of it: what to take instead, and who may show it."""
        advice = self.advice
        self.out.append(Heading("Not on this bench"))
        for name, instead in advice.instead:
            text = (
                f"{name} is not for this level: take {instead} instead."
                if instead
                else f"{name} is not for this level."
            )
            self.out.append(Para(sentence(text), "Instead", "care"))
        self.out.append(Para("The way above is right; how it is done is left out here. A higher --level shows it."))

    def gives(self, step: PlanStep) -> str:
        said = []
        for product in step.gives:
            fate = (
                f"on to step {product.number}"
                if product.number > step.number
                else _FATE.get(product.fate, product.fate)
            )
            holds = " + ".join(product.components) or product.name
            said.append(f"{holds} ({fate})" if fate else holds)
        return "; ".join(said)

    # ---- what comes of it ----------------------------------------------------------------------------------------

    def results(self) -> None:
        advice = self.advice
        if not self.full and advice.plan:
            return
        if advice.retention:
            self.out += [Heading("Retention factors"), Pairs(advice.retention)]
        products = advice.products or (advice.plan[-1].gives if len(advice.plan) == 1 else ())
        if products:
            self.out.append(Heading("What you get"))
            self.out.append(Points(tuple(self.product(one) for one in products)))

    def product(self, product: ProductShown) -> str:
        """A product with its state and how much of it there can be."""
        words = [product.state] if product.state else []
        if product.fate != "product" and product.fate in _FATE:
            words.append(_FATE[product.fate])
        amounts = [f"{name} {show(amount, dimension)}" for name, amount, dimension in product.amounts]
        if amounts:
            words.append("at most " + ", ".join(amounts))
        return f"{_product(product)} ({'; '.join(words)})" if words else _product(product)

    def told(self, slug: str) -> bool:
        """Whether the contrast has already said all that is said of a technique."""
        return self.advice.contrast.lower().startswith(self.names.get(slug, slug).lower() + " ")

    def named(self, slugs: Iterable[str]) -> str:
        return ", then ".join(self.names.get(slug, slug.replace("-", " ")) for slug in slugs)

    def alternatives(self) -> None:
        advice = self.advice
        used = {step.technique for step in advice.plan}
        items = [
            f"{self.named(other.techniques)}: {other.costs}" if other.costs else self.named(other.techniques)
            for other in advice.alternatives
            if self.full or not (len(other.techniques) == 1 and self.told(other.techniques[0]))
        ]
        begun = {other.techniques[0] for other in advice.alternatives if other.techniques}
        for one in advice.techniques:
            if one.technique not in used | begun and (advice.plan or one is not advice.techniques[0]):
                whole = self.named(one.plan) if len(one.plan) > 1 else one.name
                reason = f": {one.reasons[0]}" if one.reasons else ""
                items.append(f"{whole}{reason}")
        if items:
            self.out.append(Heading("What would also do"))
            shown = self.cut(items, 2)
            self.out.append(Points(tuple(sentence(item[:1].upper() + item[1:]) for item in shown)))
            self.more(len(items) - len(shown), "other way")
        if not advice.rejected:
            return
        if self.full:
            self.out.append(Heading("What would not do"))
            rows = [
                (one.name, f"{sentence(one.reason)} [rule {one.rule}]" if one.rule else sentence(one.reason))
                for one in advice.rejected
            ]
            self.out.append(Pairs(tuple(rows)))
        else:
            self.more(len(advice.rejected), "technique ruled out")

    def missing_points(self) -> None:
        items = [f"{one.what}: {one.decides}" if one.decides else one.what for one in self.advice.missing]
        self.out.append(Points(tuple(sentence(item) for item in items)))

    def missing(self) -> None:
        if self.advice.missing:
            self.out.append(Heading("What is not known"))
            self.missing_points()

    def sources(self) -> None:
        sources = self.advice.sources
        if not sources:
            return
        if not self.full and self.advice.plan:
            self.more(len(sources), "source")
            return
        self.out.append(Heading("Sources"))
        if self.keys:
            self.out.append(Pairs(tuple((source.key, source.title) for source in sources)))
            return
        titles = [_short(source.title) for source in sources]
        shown = self.cut(titles)
        self.out.append(Points(tuple(shown)))
        self.more(len(titles) - len(shown), "source")


def _height(block: Block) -> int:
    """How many lines of 80 columns a block takes."""
    if isinstance(block, Heading):
        return 1 if block.minor else 2
    if isinstance(block, Points):
        return sum(_wrapped(item, 75) for item in block.items)
    if isinstance(block, Pairs):
        width = 76 - max((len(name) for name, _ in block.rows), default=0)
        return sum(_wrapped(said, max(width, 20)) for _, said in block.rows)
    if isinstance(block, Flow):
        return len(block.steps) * 3
    return _wrapped(
        f"  {block.label}: {block.text}" if block.label else f"  {block.text}", 76 if block.label else 78, 80
    )


def _wrapped(text: str, width: int, first: int = 0) -> int:
    """Into how many lines a text is broken between words; the first line may be wider."""
    lines, left = 1, first or width
    for word in text.split(" "):
        if len(word) > left:
            lines, left = lines + 1, width
        left -= len(word) + 1
    return lines


def _each_once(lines: Iterable[str]) -> tuple[str, ...]:
    """Lists of things, without what an earlier one has already named."""
    seen: set[str] = set()
    out = []
    for line in lines:
        things = [thing for thing in line.split(", ") if thing not in seen]
        seen.update(things)
        out.append(", ".join(things))
    return tuple(line for line in out if line)


def _told_with(short: Caution, longer: Caution) -> bool:
    """Whether a caution says of some substances what another one of the same rule says of them and of more."""
    return short.rule == longer.rule != "" and short.text != longer.text and _of_more(short.text, longer.text)


def _of_more(short: str, longer: str) -> bool:
    """Whether two texts say the same after the colon, the second of all that the first names and of more."""
    (one, _, said), (other, _, too) = short.partition(":"), longer.partition(":")
    names = [{word.rstrip("s") for word in re.findall(r"[\w-]+", head.lower())} - _VERBS for head in (one, other)]
    return bool(said) and said == too and names[0] < names[1]


def _told_in(one: NumberShown, text: str) -> bool:
    """Whether a text tells a number, in as many digits or rounded to a whole."""
    value = one.value.split(" ")[0]
    if not re.fullmatch(r"[0-9.]+", value):
        return False
    return any(
        re.search(rf"(?<![0-9.]){re.escape(said)}(?![0-9]|\.[0-9])", text) for said in (value, f"{float(value):.0f}")
    )


def _many(what: str, count: int) -> str:
    """A word for a thing as one or several: technique ruled out, techniques ruled out."""
    first, blank, rest = what.partition(" ruled")
    return f"{first}s{blank}{rest}" if count > 1 else what


def _short(title: str, most: int = 76) -> str:
    """The beginning of a long title, up to the end of a part of it."""
    if len(title) <= most:
        return title
    ends = [
        place for place in range(20, len(title)) if title[place] in ",;(:" and title[place + 1 : place + 2] in (" ", "")
    ]
    ends += [place for place in range(20, len(title)) if title[place : place + 2] == " ("]
    near = [place for place in ends if place < most] or sorted(ends)[:1]
    return title[: max(near)].rstrip(" ,;:(") if near else title


def _product(product: ProductShown) -> str:
    """What a product is: its name and what is in it."""
    holds = " + ".join(product.components)
    name = product.name.removeprefix("the ").removeprefix("a ")
    if not holds or holds == name:
        return name or holds
    return f"{holds} — {name}" if name else holds
