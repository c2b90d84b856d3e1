"""What lessons import: own sheets of readings, question kinds, slips, look-ups, the situations of the bench.

The names load when first used.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hvacr_lab.exercises.comparison import after_predicting
    from hvacr_lab.exercises.form import check_form
    from hvacr_lab.exercises.identity import working_as
    from hvacr_lab.exercises.numbers import draw
    from hvacr_lab.exercises.pictures import glasses_picture
    from hvacr_lab.exercises.practice import check_practice, check_warm_up
    from hvacr_lab.exercises.questions import Choice, Mark, NotPlain, Number, Order, Prediction, Question, Several, Slip
    from hvacr_lab.exercises.sheet import Sheet, Shown, open_sheet
    from hvacr_lab.exercises.steady_refrigerator import refrigerator, state_at

_HOME_OF = {
    "Choice": "questions",
    "Mark": "questions",
    "NotPlain": "questions",
    "Number": "questions",
    "Order": "questions",
    "Prediction": "questions",
    "Question": "questions",
    "Several": "questions",
    "Sheet": "sheet",
    "Shown": "sheet",
    "Slip": "questions",
    "after_predicting": "comparison",
    "check_form": "form",
    "check_practice": "practice",
    "check_warm_up": "practice",
    "draw": "numbers",
    "glasses_picture": "pictures",
    "open_sheet": "sheet",
    "refrigerator": "steady_refrigerator",
    "state_at": "steady_refrigerator",
    "working_as": "identity",
}

__all__ = [
    "Choice",
    "Mark",
    "NotPlain",
    "Number",
    "Order",
    "Prediction",
    "Question",
    "Several",
    "Sheet",
    "Shown",
    "Slip",
    "after_predicting",
    "check_form",
    "check_practice",
    "check_warm_up",
    "draw",
    "glasses_picture",
    "open_sheet",
    "refrigerator",
    "state_at",
    "working_as",
]


def __getattr__(name: str) -> object:
    if name not in _HOME_OF:
        raise AttributeError(f"hvacr_lab.exercises has no {name!r}; it offers {', '.join(__all__)}")
    return getattr(importlib.import_module(f"hvacr_lab.exercises.{_HOME_OF[name]}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
