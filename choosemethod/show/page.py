"""The page of an answer: what was understood, the verdict, the plan, each step, what is left open, the sources.

The ordinary page is short: one decisive reason, one contrast, and lists cut where they are long, never the cautions.
The full page has every reason and every rejected technique; the trace is added on request.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from choosemethod.advice.answer import Advice, Caution, Nearest, NumberShown, PlanStep, ProductShown
from choosemethod.mixture import STANDARD_PRESSURE
from choosemethod.show.blocks import Block, Flow, FlowProduct, FlowStep, Heading, Pairs, Para, Points, clean, sentence
from choosemethod.show.trace import trace_blocks

__all__ = ["page"]

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
    "lost": "driven off, not kept",
    "by-product": "by-product",
    "shown": "only seen, not collected",
    "recovered": "recovered to be used again",
}
_DEGREE = {"danger": ("DANGER", "danger"), "care": ("CARE", "care"), "note": ("NOTE", "note")}
_REFUSED = {
    "unsafe": ("Do not do this: it is dangerous.", "danger"),
    "not-separable": ("No technique known here separates this.", "verdict"),
    "nothing-to-separate": ("There is nothing to separate.", "verdict"),
    "blocked": ("It cannot be done with what is available or allowed.", "verdict"),
}
_WHY_NOT = {
    "chosen": "It is the technique chosen.",
    "also-serves": "It would serve too, but it is not the first choice.",
    "rejected": "It would not serve.",
    "not-available": "It would serve, but it is not available or not allowed here.",
    "not-proposed": "No rule proposes it for this mixture.",
}


def page(advice: Advice, *, full: bool = False, trace: bool = False) -> list[Block]:
    """The answer as blocks, every text of it cleaned. full: every reason and list whole; trace: the rules that fired."""
    blocks = _Page(advice, full).build()
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
    def __init__(self, advice: Advice, full: bool) -> None:
        self.advice = advice
        self.full = full
        self.out: list[Block] = []
        self.titles = {source.key: source.title for source in advice.sources}
        self.names = {one.technique: one.name for one in (*advice.rejected, *advice.why_not, *advice.techniques, *advice.plan)}

    def build(self) -> list[Block]:
        advice = self.advice
        self.understood()
        self.answer()
        if advice.contrast or advice.why_not:
            self.why_not()
        general, own = self.cautions()
        if general:
            self.out.append(Heading("Before you start"))
            self.out += general
        if len(advice.plan) > 1:
            self.out += [Heading("The plan"), self.flow()]
        for step in advice.plan:
            self.step(step, own[step.number])
        self.results()
        self.alternatives()
        if advice.status != "needs-information":
            self.missing()
        self.sources()
        return self.out

    def more(self, left: int, what: str) -> None:
        """Say that a list goes on."""
        if left > 0:
            self.out.append(Para(f"{left} more {what}: add --full to see all.", mark="faint"))

    def cut(self, items: Sequence[str], most: int = _MOST) -> Sequence[str]:
        return items if self.full else items[:most]

    # ---- what was understood -------------------------------------------------------------------------------------

    def understood(self) -> None:
        advice = self.advice
        self.out.append(Heading("What was understood"))
        rows: list[tuple[str, str]] = []
        if advice.name and [advice.name] != [component.name for component in advice.components]:
            rows.append(("Mixture", advice.name))
        for component in advice.components:
            held, alone = _FORMS.get(component.form, (component.form, component.form))
            said = held.format(component.host) if component.host else alone
            rows.append((component.name, f"{said}, {component.amount}" if component.amount else said))
        if not rows:
            rows.append(("Question", advice.asked))
        if advice.want:
            rows.append(("Wanted", listed(advice.want)))
        if advice.remove:
            rows.append(("To be removed", listed(advice.remove)))
        if advice.aim == "identify":
            rows.append(("Aim", "show what is in it"))
        if abs(advice.pressure - STANDARD_PRESSURE) > 50:
            rows.append(("Pressure", f"{advice.pressure / 1000:.4g} kPa"))
        if advice.without:
            rows.append(("Not available", listed((key.replace("-", " ") for key in advice.without), "or")))
        if advice.level:
            rows.append(("Level", advice.level.replace("-", " ")))
        self.out.append(Pairs(tuple(rows)))
        said = [f"“{written}” was read as {read}." for written, read in advice.corrections]
        said += [sentence(text) for text in advice.understood]
        if advice.note:
            said.append(sentence(advice.note))
        if said:
            self.out.append(Para(" ".join(said)))
        if advice.status != "unknown":
            self.unknown()

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
        elif advice.status == "needs-information":
            self.out.append(Para("Too little is known to decide.", mark="verdict"))
            self.missing_points()
        if advice.plan:
            self.verdict()
        elif advice.techniques and advice.refusal is None:
            best = advice.techniques[0]
            self.out.append(Para(f"{_STRENGTH.get(best.strength, 'Possible')} technique: {best.name}.", mark="verdict"))
            self.reasons(best.reasons)
        for group in advice.left_together:
            self.out.append(Para(f"{listed(group)} stay together: nothing in this plan parts them.", "Note", "care"))
        if not advice.plan:
            self.numbers(advice.numbers)

    def refused(self) -> None:
        refusal = self.advice.refusal
        assert refusal is not None
        said, mark = _REFUSED.get(refusal.kind, ("There is no separation to advise.", "verdict"))
        self.out.append(Para(said, "DANGER" if mark == "danger" else "", mark))
        reasons = [sentence(reason) for reason in refusal.reasons]
        if len(reasons) == 1:
            self.out.append(Para(reasons[0], "Because"))
        elif reasons:
            self.out.append(Points(tuple(reasons)))
        self.out += [Para(sentence(text), "Instead" if refusal.kind != "nothing-to-separate" else "") for text in refusal.advice]

    def verdict(self) -> None:
        plan = self.advice.plan
        ranked = {one.technique: one for one in self.advice.techniques}
        first = ranked.get(plan[0].technique)
        word = _STRENGTH.get(first.strength, "Possible") if first is not None else "Possible"
        if len(plan) == 1:
            self.out.append(Para(f"{word} technique: {plan[0].name}.", mark="verdict"))
            self.reasons(plan[0].reasons)
            self.numbers(plan[0].numbers or self.advice.numbers)
            return
        order = ", then ".join(step.name for step in plan)
        self.out.append(Para(f"{word} plan, in {len(plan)} steps: {order}.", mark="verdict"))
        if plan[0].reasons:
            self.out.append(Para(sentence(plan[0].reasons[0]), f"Why {plan[0].name} first"))

    def reasons(self, reasons: Sequence[str]) -> None:
        shown = [sentence(reason) for reason in self.cut(reasons, 1)]
        self.out += [Para(text, "Because" if place == 0 else "Also because") for place, text in enumerate(shown)]
        self.more(len(reasons) - len(shown), "reasons" if len(reasons) > 2 else "reason")

    def numbers(self, numbers: Sequence[NumberShown]) -> None:
        shown = numbers if self.full else numbers[:_MOST]
        if shown:
            self.out.append(Pairs(tuple((one.name, self.number(one)) for one in shown)))
            self.more(len(numbers) - len(shown), "numbers" if len(numbers) > _MOST + 1 else "number")

    def number(self, one: NumberShown) -> str:
        about = [one.how] if one.how not in ("", "measured") else []
        if self.full:
            about = [one.how, one.note, self.titles.get(one.source, one.source)]
        said = "; ".join(word for word in about if word)
        return f"{one.value} ({said})" if said else one.value

    # ---- why not -------------------------------------------------------------------------------------------------

    def why_not(self) -> None:
        advice = self.advice
        if advice.contrast:
            self.out += [Heading("Why not something else?"), Para(sentence(advice.contrast))]
        for one in advice.why_not:
            self.out.append(Heading(f"Why not {one.name}?"))
            self.nearest(one)

    def nearest(self, one: Nearest) -> None:
        said = _WHY_NOT.get(one.verdict, "")
        self.out.append(Para(f"{said} {sentence(one.reason)}".strip()))
        if one.failed:
            self.out.append(Para("What would have to be different:"))
            self.out.append(Points(tuple(f"wanted: {condition}; found: {value}" for condition, value in one.failed)))
        if one.rule:
            self.out.append(Para(one.rule, "Rule", "faint"))

    # ---- cautions ------------------------------------------------------------------------------------------------

    def cautions(self) -> tuple[list[Block], dict[int, list[Block]]]:
        """Every caution once: those of the mixture and of several steps together, the others by step number."""
        advice = self.advice
        where: dict[str, list[int]] = {}
        worst: dict[str, Caution] = {}
        order = {"danger": 0, "care": 1, "note": 2}
        general: list[str] = []
        for step in advice.plan:
            for caution in step.cautions:
                numbers = where.setdefault(caution.text, [])
                if step.number not in numbers:
                    numbers.append(step.number)
                if caution.text not in worst or order.get(caution.degree, 1) < order.get(worst[caution.text].degree, 1):
                    worst[caution.text] = caution
        general += [text for text, numbers in where.items() if len(numbers) > 1]
        by_technique = {step.technique: step.number for step in reversed(advice.plan)}
        for caution in advice.cautions:
            known = worst.get(caution.text)
            if known is not None:
                if order.get(caution.degree, 1) < order.get(known.degree, 1):
                    worst[caution.text] = caution
                if not caution.technique and caution.text not in general:
                    general.append(caution.text)
                continue
            worst[caution.text] = caution
            number = by_technique.get(caution.technique)
            if number is None:
                general.append(caution.text)
            else:
                where[caution.text] = [number]
        own: dict[int, list[Block]] = {step.number: [] for step in advice.plan}

        def line(text: str, steps: Sequence[int] = ()) -> Para:
            caution = worst[text]
            label, mark = _DEGREE.get(caution.degree, _DEGREE["care"])
            said = sentence(text)
            if steps and len(steps) < len(advice.plan):
                said += f" (steps {listed(map(str, steps))})" if len(steps) > 1 else f" (step {steps[0]})"
            if self.full and caution.rule:
                said += f" [rule {caution.rule}]"
            return Para(said, label, mark)

        def by_degree(texts: Iterable[str]) -> list[str]:
            return sorted(texts, key=lambda text: order.get(worst[text].degree, 1))

        shown = [line(text, where.get(text, ())) for text in by_degree(general)]
        for number, blocks in own.items():
            mine = [text for text, numbers in where.items() if numbers == [number] and text not in general]
            blocks += [line(text) for text in by_degree(mine)]
        return [*shown], own

    # ---- the plan ------------------------------------------------------------------------------------------------

    def flow(self) -> Flow:
        advice = self.advice
        numbers = {step.number for step in advice.plan}
        steps = []
        for step in advice.plan:
            text = f"{step.name}, adding {step.adds}" if step.adds else step.name
            products = []
            for product in step.gives:
                to = product.number if product.number in numbers and product.number > step.number else 0
                fate = "" if to else _FATE.get(product.fate, product.fate)
                products.append(FlowProduct(_product(product), fate, to))
            steps.append(FlowStep(step.number, text, tuple(products)))
        return Flow(" + ".join(advice.plan[0].acts_on) or advice.name, tuple(steps))

    def step(self, step: PlanStep, cautions: list[Block]) -> None:
        several = len(self.advice.plan) > 1
        self.out.append(Heading(f"Step {step.number}: {step.name}" if several else "How to do it"))
        if several:
            self.out.append(Para(" + ".join(step.acts_on), "With"))
            if step.adds:
                self.out.append(Para(step.adds, "Add"))
            if step.reasons and (step.number != self.advice.plan[0].number or self.full):
                self.out.append(Para(_sentences(self.cut(step.reasons, 1)), "Why"))
            self.numbers(step.numbers)
        elif step.adds:
            self.out.append(Para(step.adds, "Add"))
        if self.full and step.principle:
            self.out.append(Para(sentence(step.principle), "Principle"))
        self.out += cautions
        if step.apparatus:
            self.out.append(Para(sentence(_joined(step.apparatus)), "You need"))
        if step.steps:
            self.out.append(Points(tuple(sentence(text) for text in step.steps), numbered=True))
        if step.seen:
            self.out.append(Para(_sentences(self.cut(step.seen, 2 if several else _MOST)), "You will see"))
        limits = self.cut(step.limits, 2 if several else 6)
        if limits:
            self.out.append(Para(_sentences(limits), "Limits"))
        if step.residues:
            self.out.append(Para(_sentences(step.residues), "Left over"))
        if several and step.gives:
            self.out.append(Para(self.gives(step), "Gives"))
        if self.full:
            if step.rules:
                self.out.append(Para(", ".join(step.rules), "Rules", "faint"))
            if step.source:
                self.out.append(Para(self.titles.get(step.source, step.source), "Source", "faint"))

    def gives(self, step: PlanStep) -> str:
        said = []
        for product in step.gives:
            fate = f"on to step {product.number}" if product.number > step.number else _FATE.get(product.fate, product.fate)
            said.append(f"{_product(product)} ({fate})" if fate else _product(product))
        return sentence("; ".join(said))

    # ---- what comes of it ----------------------------------------------------------------------------------------

    def results(self) -> None:
        advice = self.advice
        if advice.retention:
            self.out += [Heading("Retention factors"), Pairs(advice.retention)]
        products = advice.products or (advice.plan[-1].gives if len(advice.plan) == 1 else ())
        if products:
            self.out.append(Heading("What you get"))
            said = []
            for product in products:
                words = [product.state] if product.state else []
                if product.fate != "product" and product.fate in _FATE:
                    words.append(_FATE[product.fate])
                said.append(f"{_product(product)} ({'; '.join(words)})" if words else _product(product))
            self.out.append(Points(tuple(said)))

    def named(self, slugs: Iterable[str]) -> str:
        return ", then ".join(self.names.get(slug, slug.replace("-", " ")) for slug in slugs)

    def alternatives(self) -> None:
        advice = self.advice
        used = {step.technique for step in advice.plan}
        items = [f"{self.named(other.techniques)}: {other.costs}" if other.costs else self.named(other.techniques)
                 for other in advice.alternatives]  # fmt: skip
        begun = {other.techniques[0] for other in advice.alternatives if other.techniques}
        for one in advice.techniques:
            if one.technique not in used | begun and (advice.plan or one is not advice.techniques[0]):
                whole = self.named(one.plan) if len(one.plan) > 1 else one.name
                reason = f": {one.reasons[0]}" if one.reasons else ""
                items.append(f"{whole} ({_STRENGTH.get(one.strength, 'Possible').lower()}){reason}")
        if items:
            self.out.append(Heading("What would also do"))
            shown = self.cut(items, 2)
            self.out.append(Points(tuple(sentence(item) for item in shown)))
            self.more(len(items) - len(shown), "ways" if len(items) > 3 else "way")
        if not advice.rejected:
            return
        if self.full:
            self.out.append(Heading("What would not do"))
            rows = [(one.name, f"{sentence(one.reason)} [rule {one.rule}]" if one.rule else sentence(one.reason))
                    for one in advice.rejected]  # fmt: skip
            self.out.append(Pairs(tuple(rows)))
        elif advice.status == "answered":
            count = len(advice.rejected)
            many = f"{count} techniques are" if count > 1 else "1 technique is"
            self.out.append(Para(f"{many} ruled out: --full says why, --why-not NAME explains any one.", mark="faint"))

    def missing_points(self) -> None:
        self.out += [Para(sentence(one.decides), one.what) for one in self.advice.missing]

    def missing(self) -> None:
        if self.advice.missing:
            self.out.append(Heading("What is not known"))
            self.missing_points()

    def sources(self) -> None:
        sources = self.advice.sources
        if not sources:
            return
        self.out.append(Heading("Sources"))
        titles = [source.title if self.full else _short(source.title) for source in sources]
        shown = self.cut(titles)
        self.out.append(Points(tuple(shown)))
        self.more(len(titles) - len(shown), "sources" if len(titles) > _MOST + 1 else "source")


def _short(title: str, most: int = 76) -> str:
    """The beginning of a long title, up to the end of a part of it."""
    if len(title) <= most:
        return title
    ends = [place for place in range(20, most) if title[place] in ",;(:" and title[place + 1 : place + 2] in (" ", "")]
    ends += [place for place in range(20, most) if title[place : place + 2] == " ("]
    return title[: max(ends)].rstrip(" ,;:(") if ends else title


def _product(product: ProductShown) -> str:
    """What a product is: its name and what is in it."""
    holds = " + ".join(product.components)
    name = product.name.removeprefix("the ")
    if not holds or holds == name:
        return name or holds
    return f"{holds} — {name}" if name else holds
