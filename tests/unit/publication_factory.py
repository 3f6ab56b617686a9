"""
A small publication made by hand: two invented dishes, planned and costed on paper.

The soup's money, worked by hand: barley 150 of 500 g at 0.90; onion 110 g of 1 kg at 1.00; salt 3 g of 750 g at 0.60;
optional cheese 40 of 350 g at 2.80: lines 0.27, 0.11, 0.0024, optional 0.32; core 0.3824, 0.0956 a serving for 4.
The toast: 2 slices of a 20-slice loaf at 1.10 = 0.11; 0.055 a serving for 2.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from decimal import Decimal
from fractions import Fraction

from shootplan.model.care import AllergenPart, RecipeCare
from shootplan.model.clock import Range, Window
from shootplan.model.costing import (
    ClaimVerdict,
    EpisodeCost,
    LineCost,
    OptionCost,
    RecipeCost,
    Servings,
)
from shootplan.model.cut import Caption, CaptionKind, Cut, Row, Section
from shootplan.model.day import DayRow, EquipmentPeak, PendingLimit, RowKind, RowPart, RunningTask
from shootplan.model.episode import (
    Claim,
    ClaimScope,
    ClaimWord,
    Correction,
    Episode,
    Kitchen,
    Pace,
    PriceBook,
    PriceRow,
)
from shootplan.model.filled import FilledEpisode, FilledRecipe, FilledStep, FilledText
from shootplan.model.larder import AllergenNote, Certainty
from shootplan.model.money import Cost, Money
from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Assignment,
    LookInTask,
    Occupation,
    PlanInput,
    Resource,
    Schedule,
    SolveResult,
    SolveStatus,
    Worker,
)
from shootplan.model.publication import Publication
from shootplan.model.quantity import Amount
from shootplan.model.recipe import After, Attribute, IngredientLine, LookIn, Recipe, Serves, Shot, Step
from shootplan.model.resolved import Measured, ResolvedEpisode, ResolvedLine, ResolvedRecipe, Use
from shootplan.model.times import AheadWork, EpisodeTimes, RecipeTimes
from shootplan.problems import Finding

GBP = "GBP"
MIN = 60


def gbp(text: str) -> Cost:
    """Return an exact cost in pounds."""
    return Cost(Fraction(text), GBP)


def _price(item: str, pack: Amount, price: str, *, is_staple: bool = False) -> PriceRow:
    return PriceRow(
        item=item,
        pack=(pack,),
        price=Decimal(price),
        currency=GBP,
        shop="corner shop",
        seen=date(2026, 11, 3),
        is_staple=is_staple,
        source="receipt",
    )


def _line(line: IngredientLine, price: PriceRow, household: tuple[Amount, ...] = (), size: str = "") -> ResolvedLine:
    assert line.amount is not None
    measured = Measured(metric=line.amount, metric_shown=line.amount, household_shown=household, household_size=size)
    return ResolvedLine(
        line=line,
        measured=measured,
        price=price,
        as_bought=line.amount,
        pack=price.pack[0],
        is_staple=price.is_staple,
    )


def soup() -> ResolvedRecipe:
    """Return the barley soup: a soak ahead, a simmer with look-ins, optional cheese, a held-back part."""
    g = Amount.of
    barley = IngredientLine(id="barley", item="pearl barley", amount=g(150, "g"), form="rinsed")
    onion = IngredientLine(id="onion", item="onion", amount=g(110, "g"))
    salt = IngredientLine(id="salt", item="fine salt", amount=g(3, "g"))
    cheese = IngredientLine(id="cheese", item="hard cheese", amount=g(40, "g"), form="grated", is_optional=True)
    steps = (
        Step(id="chop", name="Chop the onion", number=1, text="Chop the [onion].", hands=Range(8 * MIN, 10 * MIN),
             after=(), caution="sharp knife: fingertips tucked in", shot=Shot(set_up="overhead", framing="hands")),
        Step(id="simmer", name="Simmer", number=2, text="Add the [barley] and [salt] & simmer.",
             leave=Range(25 * MIN, 30 * MIN), check=LookIn(every_s=20 * MIN, for_s=MIN), until="the barley is tender",
             after=(After(step="Chop the onion", at_most_s=10 * MIN),)),
        Step(id="rest", name="Rest", number=3, text="Leave it.", leave=Window(5 * MIN, 15 * MIN)),
        Step(id="serve", name="Serve the soup", number=4, text="Ladle it out.", hands=Range(2 * MIN, 2 * MIN),
             is_serving=True),
        Step(id="top", name="Grate the cheese", number=5, text="Grate the [cheese] over.", hands=Range(MIN, MIN),
             is_optional=True),
    )  # fmt: skip
    recipe = Recipe(
        id="barley-soup",
        title="Barley & onion soup",
        serves=Serves(4, 6),
        headnote="A *plain* soup.",
        lines=(barley, onion, salt, cheese),
        steps=steps,
        keep="Chill within 2 hours.",
        attributes=(
            Attribute(key="allergens", value="gluten (barley)"),
            Attribute(key="keeps", value="2 days chilled"),
        ),
    )
    lines = (
        replace(_line(barley, _price("pearl barley", g(500, "g"), "0.90"), (g("3/4", "cup"),)), allergens=("gluten",)),
        _line(onion, _price("onion", g(1000, "g"), "1.00"), (g(1, ""),), "medium"),
        _line(salt, _price("fine salt", g(750, "g"), "0.60", is_staple=True), (g("1/2", "tsp"),)),
        replace(_line(cheese, _price("hard cheese", g(350, "g"), "2.80")), allergens=("milk",)),
    )
    held = Measured(metric_shown=g(30, "g"), household_shown=(g(2, "tbsp"),))
    uses = (
        Use(step="chop", line="onion", measured=held, is_held_back=True, share=Fraction(3, 11)),
        Use(step="serve", line="onion", measured=held, from_held_back=True, share=Fraction(3, 11)),
    )
    return ResolvedRecipe(recipe=recipe, lines=lines, uses=uses, measures="US label")


def care() -> tuple[RecipeCare, ...]:
    """Return what must be minded with the soup: gluten in the core, milk by the cheese."""

    def part(name: str, group: str, trigger: str) -> AllergenPart:
        note = AllergenNote(group=group, us_group="", certainty=Certainty.CONTAINS, trigger=trigger, ingredient=trigger)
        return AllergenPart(name=name, notes=(note,))

    soup_care = RecipeCare(
        recipe="barley-soup",
        core=part("", "gluten", "pearl barley"),
        options=(part("hard cheese", "milk", "cheese"),),
    )
    return (soup_care,)


def toast() -> ResolvedRecipe:
    """Return the toast: two minutes of hands."""
    bread = IngredientLine(id="bread", item="bread", amount=Amount.of(2, "slice"))
    step = Step(id="toast", name="Toast", number=1, text="Toast the [bread].", watch=Range(2 * MIN, 3 * MIN), after=())
    recipe = Recipe(id="toast", title="Toast", serves=Serves(2), lines=(bread,), steps=(step,))
    return ResolvedRecipe(recipe=recipe, lines=(_line(bread, _price("bread", Amount.of(20, "slice"), "1.10")),))


def claim(text: str = "under 0.10 per serving", *, allowed: bool = True) -> ClaimVerdict:
    """Return a claim on the soup with its verdict: 0.0956 prints 0.10, which is not under 0.10, so it is refused."""
    return ClaimVerdict(
        claim=Claim(
            word=ClaimWord.UNDER, scope=ClaimScope.RECIPE, limit=Decimal("0.10"), recipe="barley-soup", text=text
        ),
        is_allowed=allowed,
        figure=gbp("0.0956"),
        shown=Money(Decimal("0.10"), GBP),
        reasons=() if allowed else ("printed 0.10 is not under 0.10",),
        wording="about £0.10 a serving",
    )


def costs() -> EpisodeCost:
    """Return the costs worked out above."""
    one, two = soup(), toast()
    amounts = ("0.27", "0.11", "0.0024", "0.32")
    lines = tuple(
        LineCost(line=line, cost=gbp(text), is_optional=line.line.is_optional)
        for line, text in zip(one.lines, amounts, strict=True)
    )
    soup_cost = RecipeCost(
        recipe=one.id,
        hearty=4,
        small=6,
        lines=lines,
        core=gbp("0.3824"),
        with_options=gbp("0.7024"),
        core_per=Servings(per_hearty=gbp("0.0956"), per_small=gbp("0.3824").per(6)),
        with_options_per=Servings(per_hearty=gbp("0.1756"), per_small=gbp("0.7024").per(6)),
        options=(OptionCost(line=one.lines[3], cost=gbp("0.32"), per_serving_with=gbp("0.1756")),),
    )
    toast_cost = RecipeCost(
        recipe=two.id,
        hearty=2,
        small=None,
        lines=(LineCost(line=two.lines[0], cost=gbp("0.11")),),
        core=gbp("0.11"),
        with_options=gbp("0.11"),
        core_per=Servings(per_hearty=gbp("0.055")),
        with_options_per=Servings(per_hearty=gbp("0.055")),
    )
    return EpisodeCost(
        currency=GBP,
        places=2,
        recipes=(soup_cost, toast_cost),
        core=gbp("0.4924"),
        with_options=gbp("0.8124"),
        verdicts=(claim(allowed=False),),
        head_core=gbp("0.1506"),
        head_with_options=gbp("0.2306"),
    )


def times() -> EpisodeTimes:
    """Return the times: soup 11 to 13 active of 41 to 48 elapsed, toast 2 to 3."""
    ahead = AheadWork(
        step="soak", label="Soak the barley", hands=Range(2 * MIN, 2 * MIN), unattended_low_s=36000,
        unattended_high_s=43200,
    )  # fmt: skip
    soup_times = RecipeTimes(
        recipe="barley-soup",
        active=Range(11 * MIN, 13 * MIN),
        elapsed=Range(41 * MIN, 48 * MIN),
        unattended=Range(30 * MIN, 35 * MIN),
        passive_short_s=30 * MIN,
        passive_long_s=35 * MIN,
        ahead=(ahead,),
    )
    toast_times = RecipeTimes(
        recipe="toast",
        active=Range(2 * MIN, 3 * MIN),
        elapsed=Range(2 * MIN, 3 * MIN),
        unattended=Range(0, 0),
        passive_short_s=0,
        passive_long_s=0,
    )
    return EpisodeTimes(
        recipes=(soup_times, toast_times),
        cooks=1,
        active=Range(13 * MIN, 16 * MIN),
        elapsed=Range(41 * MIN, 48 * MIN),
        hands_free_short_s=28 * MIN,
        hands_free_long_s=32 * MIN,
        sum_elapsed=Range(43 * MIN, 51 * MIN),
    )


def plan() -> tuple[PlanInput, SolveResult]:
    """Return the plan: chop 0-10, simmer 10-40 with a look-in at 30, toast 12-15, rest 40-45, serve 45-47."""

    def act(name: str, kind: ActivityKind, low: int, high: int, **more: object) -> Activity:
        recipe, _, step = name.partition("/")
        step = step.partition("#")[0]
        names = {item.id: item.name for item in (*soup().recipe.steps, *toast().recipe.steps)}
        return Activity(
            id=name, kind=kind, short_s=low * MIN, long_s=high * MIN, recipe=recipe, step=step,
            label=f"{recipe}: {names[step]}", **more,  # type: ignore[arg-type]
        )  # fmt: skip

    look_in = LookInTask(every_s=1200, for_s=60)
    cook, ring = ("cook",), (("ring", 1),)
    activities = (
        act("barley-soup/chop#hands", ActivityKind.HANDS, 8, 10, workers=cook),
        act("barley-soup/simmer#leave", ActivityKind.LEAVE, 25, 30, needs=ring, look_in=look_in),
        act("barley-soup/rest#leave", ActivityKind.LEAVE, 5, 5),
        act("barley-soup/serve#hands", ActivityKind.HANDS, 2, 2, workers=cook),
        act("toast/toast#watch", ActivityKind.WATCH, 2, 3, workers=cook),
    )
    pot = Occupation(
        id="barley-soup/pot#1", resource="3 l pan", first="barley-soup/simmer#leave", last="barley-soup/serve#hands",
        after_s=180, label="barley-soup: 3 l pan",
    )  # fmt: skip
    plan_input = PlanInput(
        activities=activities,
        resources=(Resource(id="ring", capacity=4, label="ring"), Resource(id="3 l pan", capacity=1, label="3 l pan")),
        occupations=(pot,),
        workers=(Worker(name="cook"),),
    )
    places = ((0, 10, "cook"), (10, 40, ""), (40, 45, ""), (45, 47, "cook"), (12, 15, "cook"))
    assignments = [
        Assignment(activity=item.id, pieces=((start * MIN, end * MIN),), worker=who)
        for item, (start, end, who) in zip(activities, places, strict=True)
    ]
    assignments[1] = replace(assignments[1], look_ins=((30 * MIN, 31 * MIN, "cook"),))
    schedule = Schedule(assignments=tuple(assignments))
    return plan_input, SolveResult(status=SolveStatus.OPTIMAL, schedule=schedule, bound_s=47 * MIN, engine="list")


def day() -> tuple[DayRow, ...]:
    """Return the day's rows of that plan."""

    def row(clock: int, end: int, name: str, label: str, kind: str, **more: object) -> DayRow:
        recipe, _, step = name.partition("/")
        step = step.partition("#")[0]
        return DayRow(
            clock_s=clock * MIN, end_s=end * MIN, kind=RowKind.STEP, recipe=recipe, step=step,
            label=f"{recipe}: {label}", activities=(name,),
            parts=(RowPart(kind=kind, start_s=clock * MIN, end_s=end * MIN),), **more,  # type: ignore[arg-type]
        )  # fmt: skip

    running = RunningTask(
        activity="barley-soup/simmer#leave", recipe="barley-soup", step="simmer", label="barley-soup: Simmer",
        ends_s=40 * MIN,
    )  # fmt: skip
    limit = PendingLimit(
        rule="barley-soup: Simmer starts within 10 min of Chop the onion", successor="barley-soup/simmer#leave",
        latest_s=20 * MIN, planned_s=10 * MIN,
    )  # fmt: skip
    simmer = row(10, 40, "barley-soup/simmer#leave", "Simmer", "leave", equipment=("ring", "3 l pan"),
                 look_ins=(30 * MIN,), limits=(limit,))  # fmt: skip
    look_in = DayRow(
        clock_s=30 * MIN, end_s=31 * MIN, kind=RowKind.LOOK_IN, recipe="barley-soup", step="simmer",
        label="barley-soup: Simmer", activities=("barley-soup/simmer#leave",), who="cook",
    )  # fmt: skip
    return (
        row(0, 10, "barley-soup/chop#hands", "Chop the onion", "hands", who="cook"),
        simmer,
        row(12, 15, "toast/toast#watch", "Toast", "watch", who="cook", meanwhile=(running,)),
        look_in,
        row(40, 45, "barley-soup/rest#leave", "Rest", "leave"),
        row(45, 47, "barley-soup/serve#hands", "Serve the soup", "hands", who="cook"),
    )


def filled() -> FilledEpisode:
    """Return the texts with the figures in."""
    one, two = soup().recipe, toast().recipe
    plain = {step.id: step.text.replace("[", "").replace("]", "") for step in (*one.steps, *two.steps)}

    def recipe(source: Recipe) -> FilledRecipe:
        return FilledRecipe(
            id=source.id,
            headnote=FilledText(printed=source.headnote),
            keep=FilledText(printed=source.keep),
            steps=tuple(FilledStep(id=step.id, text=FilledText(printed=plain[step.id])) for step in source.steps),
        )

    return FilledEpisode(headnote=FilledText(printed="Soup and toast."), recipes=(recipe(one), recipe(two)))


def cut() -> Cut:
    """
    Return a video of three rows, worked on paper at 130 words a minute, asked to be at least 40 s long.

    Chop: 13 words, 6 s. Simmer: nothing said, 4 s of picture. Toast: 2 words of 0.924 s, a caption of 6 words, 3.2 s,
    4 s of picture, so 3.2 s of caption needs 4 s. Two joins: 6 + 4 + 4 + 1 = 15 s; 25 s short, shared 3 : 2 : 2.
    """

    def row(number: int, step: str, section: str, **more: object) -> Row:
        return Row(id=f"{section}.{step}", section=section, recipe=section, step=step, picture_ms=4000, **more)  # type: ignore[arg-type]

    chop = row(1, "chop", "barley-soup", picture="hands", set_up="overhead", action="Chop the onion", length_ms=6000,
               speaker="voice-over", say="Chop it & keep your fingers <well> out of the way of the knife.", words=13,
               speech_ms=6000, speech_low_ms=5040, speech_high_ms=6960, caution="sharp knife: fingertips tucked in",
               syllables=15, fill_ms=10_714)  # fmt: skip
    simmer = row(2, "simmer", "barley-soup", picture="lid", set_up="hob close", action="Simmer", length_ms=4000,
                 start_ms=6500, wait="25–30 min: time-lapse", fill_ms=7143)  # fmt: skip
    toast_row = row(1, "toast", "toast", picture="Toast", action="Toast", length_ms=4000, start_ms=11_000,
                    speaker="host", say="Two slices.", words=2, speech_ms=924, speech_low_ms=776, speech_high_ms=1072,
                    captions=("toast.toast.1",), caption_ms=3200, fill_ms=7143)  # fmt: skip
    shown = Caption(
        id="toast.toast.1",
        row="toast.toast",
        kind=CaptionKind.INGREDIENT,
        text="2 slices bread £0.11\nand <no> butter",
        in_ms=11_800,
        out_ms=15_000,
        need_ms=3200,
        source="toast bread",
    )
    return Cut(
        sections=(
            Section(id="barley-soup", title="Barley & onion soup", rows=(chop, simmer)),
            Section(id="toast", title="Toast", rows=(toast_row,)),
        ),
        captions=(shown,),
        length_ms=15_000,
        over_ms=-25_000,
        speech_ms=6924,
        speech_low_ms=6508,
        speech_high_ms=7340,
    )


def publication() -> Publication:
    """Return the whole publication; its finding's code is one that exists for certain."""
    plan_input, result = plan()
    episode = Episode(
        title="Soup & toast <tonight>",
        shoot_date=date(2026, 11, 17),
        currency=GBP,
        recipes=(soup().recipe, toast().recipe),
        kitchen=Kitchen(call=time(9, 0), pace=Pace(words_per_minute=130)),
        length_low_s=40,
        length_high_s=60,
        prices=PriceBook(),
        corrections=(Correction(on=date(2026, 11, 20), text="the salt was 6 g, it is 3 g"),),
    )
    finding = Finding(
        code="template-broken",
        message="the soup cools slowly",
        about="barley-soup",
        source="common practice, no source",
    )
    return Publication(
        resolved=ResolvedEpisode(episode=episode, recipes=(soup(), toast())),
        costs=costs(),
        times=times(),
        plan_input=plan_input,
        plan=result,
        filled=filled(),
        cut=cut(),
        findings=(finding,),
        care=care(),
        day=day(),
        peaks=(
            EquipmentPeak(resource="ring", label="ring", peak=1, capacity=4, at_s=600),
            EquipmentPeak(resource="3 l pan", label="3 l pan", peak=1, capacity=1, at_s=600),
        ),
    )
