"""The kinds of question: a number, a choice, several choices, an order, a prediction.

Each knows what is right for a student's own readings, which wrong answers it recognises, and what to say. The grader
calls ``mark``; in stock nbgrader the test cell calls it itself.
"""

from hvacr_lab.exercises.form import NotPlain
from hvacr_lab.exercises.letters import Order, Several
from hvacr_lab.exercises.marks import Mark, Question, Slip
from hvacr_lab.exercises.numeric import Number
from hvacr_lab.exercises.words import Choice, Prediction

__all__ = ["Choice", "Mark", "NotPlain", "Number", "Order", "Prediction", "Question", "Several", "Slip"]
