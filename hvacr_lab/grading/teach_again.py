"""What to teach again first: the slips, questions and predictions that most of the class stumbled over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from hvacr_lab.grading.records import QuestionResult
from hvacr_lab.grading.report_data import (
    GradedQuestion,
    PredictionFigures,
    QuestionFigures,
    SheetLine,
    SlipFigures,
    TeachAgain,
)

MOST_SHOWN: Final = 6


@dataclass(frozen=True, slots=True)
class Idea:
    """How a slip is taken up with a class.

    Parameters
    ----------
    heading : str, the idea in a few words, often as a question
    did : str, what the students did, to follow "9 of 24"
    ask : str, what to ask the class
    """

    heading: str
    did: str
    ask: str


IDEAS: Final[Mapping[str, Idea]] = {
    "gauge-as-absolute": Idea(
        "Gauge or absolute?",
        "mixed up gauge and absolute pressure",
        "What does the gauge show when its hose lies open on the bench? And what is the pressure around the hose?",
    ),
    "sea-level-barometer": Idea(
        "What does our barometer say?",
        "took the air pressure of sea level",
        "How high is this school? Is the air above us heavier or lighter than at the coast?",
    ),
    "wrong-side": Idea(
        "High side or low side?",
        "used the pressure of the other side",
        "Point along the pipe from the compressor's outlet: where does the pressure drop, and where does it rise?",
    ),
    "dew-for-bubble": Idea(
        "Which end of the glide?",
        "took the dew line where the bubble line belongs",
        "In the liquid line, what comes first when it gets a little warmer: the first bubble or the last drop?",
    ),
    "bubble-for-dew": Idea(
        "Which end of the glide?",
        "took the bubble line where the dew line belongs",
        "At the end of the evaporator, what are we waiting for: the first bubble or the last drop?",
    ),
    "mean-for-end": Idea(
        "Middle or end of the glide?",
        "took the mean of dew and bubble where one end is meant",
        "Where in the coil is the blend half boiled? And where does the thermometer sit?",
    ),
    "sign": Idea(
        "Which one is taken from which?",
        "took the difference the wrong way round",
        "Is the suction pipe warmer or colder than the boiling refrigerant? So which number comes first?",
    ),
    "offset-in-difference": Idea(
        "A difference has no 32 in it",
        "used the 32 when converting a difference",
        "It gets 5 K warmer. How many degrees does the Fahrenheit thermometer climb?",
    ),
    "fahrenheit-for-celsius": Idea(
        "Which scale is that?",
        "read one temperature scale as the other",
        "A pipe at 40: can you hold it? In which scale?",
    ),
    "wrong-point": Idea(
        "Where does the thermometer sit?",
        "took the reading of another place in the circuit",
        "Show on the drawing where each thermometer is clamped. Which one belongs to this question?",
    ),
    "pressure-of-another-point": Idea(
        "Which gauge belongs to this thermometer?",
        "took the pressure of another place",
        "Pressure falls along every pipe. Which gauge sits nearest to this thermometer?",
    ),
    "saturation-not-subtracted": Idea(
        "A temperature, or a difference?",
        "gave the pipe temperature as it stood",
        "How far is the pipe away from what? Say the whole sentence.",
    ),
    "saturation-itself": Idea(
        "A temperature, or a difference?",
        "gave the temperature from the table as it stood",
        "The table says where it boils. How far is the pipe away from that?",
    ),
    "per-kilogram": Idea(
        "For each kilogram, or for each second?",
        "left out the mass flow",
        "Two machines with the same cycle, one with twice the compressor: what differs, and what does not?",
    ),
    "kilo": Idea(
        "Where did the thousand go?",
        "are off by a factor of 1000",
        "Is a household kettle 2 W or 2 kW? How big would your answer be beside it?",
    ),
    "minute-hour": Idea(
        "Per second, per minute or per hour?",
        "mixed up the unit of time",
        "The flow is for one minute. How much is it in one second: more or less?",
    ),
    "ton-kilowatt": Idea(
        "Tons and kilowatts",
        "mixed up tons of refrigeration and kilowatts",
        "One ton is about 3.5 kW. So which of the two numbers must be the bigger one?",
    ),
    "isentropic-for-real": Idea(
        "The real compressor needs more",
        "took the ideal work for the real one",
        "What gets warm at a compressor besides the refrigerant? Who pays for that?",
    ),
    "efficiency-inverted": Idea(
        "Divide or multiply by the efficiency?",
        "multiplied where division is meant, or the reverse",
        "Must the real work be more or less than the ideal one? Check your result against that.",
    ),
    "cop-inverted": Idea(
        "What you get over what you pay",
        "put work over effect",
        "Can a COP for cooling be as small as 0.3? What would that say about the machine?",
    ),
    "heating-for-cooling": Idea(
        "Cold side or warm side?",
        "used the heat of the warm side for the cold side, or the reverse",
        "Heat goes in at two places and out at one. Which of them does the customer want here?",
    ),
    "effect-from-saturated-liquid": Idea(
        "Subcooling counts",
        "left the subcooling out of the refrigeration effect",
        "What does a colder liquid line spare the evaporator?",
    ),
    "flash-gas-left-out": Idea(
        "Some has boiled already",
        "let all the liquid boil in the evaporator",
        "What comes out of the expansion valve: only liquid? Look at the glass behind it.",
    ),
    "fraction-for-percent": Idea(
        "One, or one hundred percent?",
        "gave a fraction where percent was asked",
        "Half of it is vapour: how much is that in percent?",
    ),
    "liquid-share": Idea(
        "Which part is asked for?",
        "gave the share of liquid for the share of vapour",
        "Just behind the expansion device: is there more liquid or more vapour by mass?",
    ),
    "ratio-in-gauge": Idea(
        "A ratio needs absolute pressures",
        "worked out the compression ratio from gauge pressures",
        "The suction gauge shows 0. What would the ratio be? Does that make sense?",
    ),
    "celsius-in-ratio": Idea(
        "A ratio needs kelvin",
        "worked out a ratio from degrees Celsius or Fahrenheit",
        "Is 20 degrees twice as hot as 10? What is it in kelvin?",
    ),
    "sensible-only": Idea(
        "The water takes its share",
        "left out the latent part",
        "Where does the water in the drain pan come from, and what did it cost to get it there?",
    ),
    "total-for-sensible": Idea(
        "Only what the thermometer feels",
        "took the latent part in",
        "Which part of the load does a dry thermometer notice?",
    ),
    "relative-for-humidity-ratio": Idea(
        "Percent of what?",
        "used relative humidity as the humidity ratio",
        "Two rooms at 50 %, one at 10 degC and one at 30 degC: in which is there more water in each kilogram of air?",
    ),
    "dry-for-wet": Idea(
        "Which bulb?",
        "used the dry bulb where the wet bulb belongs",
        "Which thermometer has the wet sock, and what does the sock do?",
    ),
    "wet-for-dry": Idea(
        "Which bulb?",
        "used the wet bulb where the dry bulb belongs",
        "Which thermometer has the wet sock, and what does the sock do?",
    ),
    "dry-air-density": Idea(
        "Air is thinner up here",
        "took the standard density of air",
        "Does a fan move more or fewer kilograms of air here than at the coast?",
    ),
    "cooling-mode-valve": Idea(
        "Which way round does it run?",
        "set the valves for the other mode",
        "Follow the hot gas with a finger: in which coil does it arrive first?",
    ),
    "look-alike-fault": Idea(
        "Which measurement tells them apart?",
        "named the fault that looks almost the same",
        "Which single reading would differ between these two faults? Where do you measure it?",
    ),
    "against-the-flow": Idea(
        "Which way does it flow?",
        "followed the pipe against the flow",
        "Put a finger on the compressor's outlet. Where does the next drop or puff go?",
    ),
    "subcooling-before-condensing": Idea(
        "First all liquid, then colder",
        "put subcooling before condensing",
        "Can a mist of drops and vapour be subcooled? What has to be gone first?",
    ),
    "metering-before-condensing": Idea(
        "First a liquid, then the valve",
        "put the expansion device before the condenser",
        "What would the valve do if only hot vapour reached it?",
    ),
}
# a neighbour's numbers are no idea to teach; the sheets are listed with the suspicions
_NOT_TAUGHT: Final = frozenset({"neighbour"})
_STUCK: Final[Mapping[str, str]] = {
    "unknown": "not recognised",
    "not answered": "not answered",
    "close": "near, but outside the tolerance",
    "partly": "partly right",
    "form": "not in a form that can be marked",
}
_LOW_BY_HAND: Final = "below half of the points"
_ASK_FOR_STEPS: Final = (
    "Work it at the board with somebody's numbers, one step from each student. Stop where two of them differ."
)
_ASK_FOR_REASONS: Final = "What did you see? What would have to be true for the other answer to be right?"
_ASK_ABOUT_TEXTS: Final = "Read two answers aloud, without names. What does the better one say that the other does not?"


def teach_again(
    lines: Sequence[SheetLine],
    questions: Sequence[QuestionFigures],
    slips: Sequence[SlipFigures],
    predictions: Sequence[PredictionFigures],
) -> tuple[TeachAgain, ...]:
    """The ideas that most students stumbled over, most students first.

    One student alone is no reason to stop the class, unless the class is tiny.

    Parameters
    ----------
    lines : sequence of SheetLine
    questions : sequence of QuestionFigures
    slips : sequence of SlipFigures
    predictions : sequence of PredictionFigures

    Returns
    -------
    tuple of TeachAgain
    """
    telling = [line for line in lines if line.tells]
    candidates = [
        *(_from_slip(slip, len(telling)) for slip in slips if slip.slip not in _NOT_TAUGHT),
        *(_from_question(place, question, telling) for place, question in enumerate(questions)),
        *(_from_prediction(prediction) for prediction in predictions),
    ]
    least = 1 if len(telling) < 5 else max(2, round(0.1 * len(telling)))
    worth = [candidate for candidate in candidates if candidate.number >= least]
    return tuple(sorted(worth, key=lambda idea: -idea.number)[:MOST_SHOWN])


def _from_slip(slip: SlipFigures, of: int) -> TeachAgain:
    known = Idea(slip.label, f"made this slip: {slip.label}", _ASK_FOR_STEPS)
    idea = IDEAS.get(slip.slip, known)
    number = len(slip.students)
    sentence = f"{number} of {of} {idea.did} in {question_list(slip.questions)}. {_worth(number, of)}"
    return TeachAgain(idea.heading, number, of, sentence, idea.ask, slip.students)


def question_list(questions: Iterable[GradedQuestion]) -> str:
    """The numbers of some questions in words.

    Parameters
    ----------
    questions : iterable of GradedQuestion

    Returns
    -------
    str

    Examples
    --------
    >>> question_list([GradedQuestion(n, f"q{n}", "", 1.0) for n in (3, 4, 7)])
    'questions 3, 4 and 7'
    """
    numbers = [str(question.number) for question in questions]
    if len(numbers) == 1:
        return f"question {numbers[0]}"
    return f"questions {', '.join(numbers[:-1])} and {numbers[-1]}"


def _worth(number: int, of: int) -> str:
    if 3 * number >= of:
        return "Worth five minutes at the board."
    if 6 * number >= of:
        return "Worth a minute at the start of the next lesson."
    return "A word with those concerned is enough."


def _from_question(place: int, figures: QuestionFigures, telling: Sequence[SheetLine]) -> TeachAgain:
    question = figures.question
    stuck = [(line.name, how) for line in telling if (how := _how_stuck(line.answers[place]))]
    numbers = Counter(how for _, how in stuck)
    parts = [f"{numbers[how]} {how}" for how in (*_STUCK.values(), _LOW_BY_HAND) if numbers[how]]
    names, of = tuple(name for name, _ in stuck), len(telling)
    sentence = (
        f"{len(names)} of {of} did not get there in question {question.number}, and no known slip explains it: "
        f"{', '.join(parts)}. {_worth(len(names), of)}"
    )
    ask = _ASK_ABOUT_TEXTS if numbers[_LOW_BY_HAND] else _ASK_FOR_STEPS
    return TeachAgain(question.title, len(names), of, sentence, ask, names)


def _how_stuck(answer: QuestionResult | None) -> str:
    """In words, why this answer does not count as understood; "" where it does, or where a slip explains it."""
    if answer is None or answer.slip:
        return ""
    if answer.outcome == "by hand" and answer.points is not None and answer.points < 0.5 * answer.max_points:
        return _LOW_BY_HAND
    return _STUCK.get(answer.outcome, "")


def _from_prediction(prediction: PredictionFigures) -> TeachAgain:
    number, of = len(prediction.still_other), prediction.answered_after
    seen = f' (what is seen: "{prediction.seen}")' if prediction.seen else ""
    sentence = (
        f"{number} of {of} still said otherwise after the change was there to be seen{seen}; "
        f"{prediction.predicted - prediction.right_before} of {prediction.predicted} did before. {_worth(number, of)}"
    )
    return TeachAgain(prediction.title, number, of, sentence, _ASK_FOR_REASONS, prediction.still_other)
