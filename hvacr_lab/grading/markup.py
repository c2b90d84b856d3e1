"""HTML that cannot be broken by what is put into it: text is escaped, only ``Html`` passes as it is.

So an answer, a name or a file can never become markup, and whoever writes a page cannot forget it.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Sequence
from typing import Final

_WIDE: Final = 5  # columns; from here on a table may need scrolling, and scrolling has to work by keyboard
_EMPTY_ELEMENTS: Final = frozenset({"br", "hr", "img", "meta"})
# control characters, marks that turn the direction of writing, halves of surrogate pairs: nothing a reader can see
_UNSEEN: Final = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)


class Html(str):
    """Finished HTML; any other text is escaped before it goes into a page."""

    __slots__ = ()


def readable(text: object) -> str:
    """The text with everything that cannot be seen, or cannot be written to a file, replaced by a visible mark.

    Parameters
    ----------
    text : object, taken as text

    Returns
    -------
    str

    Examples
    --------
    >>> readable("8.3\\x00 K")
    '8.3� K'
    """
    return _UNSEEN.sub("\ufffd", str(text).replace("\r\n", "\n"))


def table_cell(text: object) -> str:
    """A cell of a CSV table: readable, on one line, and never run as a formula by a spreadsheet.

    Parameters
    ----------
    text : object, taken as text; part of it may come from a student's notebook

    Returns
    -------
    str

    Examples
    --------
    >>> table_cell("=1+1"), table_cell("-2.5")
    ("'=1+1", '-2.5')
    """
    shown = readable(text).replace("\n", " ")
    is_number = shown.replace(".", "", 1).lstrip("-").isdigit()
    return f"'{shown}" if shown[:1] in ("=", "+", "-", "@", "\t", "\r") and not is_number else shown


def escaped(part: object) -> Html:
    """Html as it is, anything else as text.

    Parameters
    ----------
    part : object

    Returns
    -------
    Html

    Examples
    --------
    >>> print(escaped("<b>8.3</b>"), escaped(Html("<b>8.3</b>")))
    &lt;b&gt;8.3&lt;/b&gt; <b>8.3</b>
    """
    return part if isinstance(part, Html) else Html(html.escape(readable(part)))


def joined(parts: Iterable[object], between: str = "") -> Html:
    """The parts one after the other, each escaped unless it is Html.

    Parameters
    ----------
    parts : iterable of Html or text
    between : str, text between two parts

    Returns
    -------
    Html
    """
    return Html(html.escape(between).join(escaped(part) for part in parts))


def element(tag: str, /, *inside: object, **attributes: str) -> Html:
    """One element; ``class_`` stands for class, ``aria_label`` for aria-label.

    Parameters
    ----------
    tag : str, its name
    inside : Html or text
    attributes : str; text, escaped here

    Returns
    -------
    Html

    Examples
    --------
    >>> print(element("p", "superheat < 0 K", class_="quiet"))
    <p class="quiet">superheat &lt; 0 K</p>
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{html.escape(readable(value))}"' for key, value in attributes.items()
    )
    start = f"<{tag}{written}>"
    return Html(start if tag in _EMPTY_ELEMENTS else f"{start}{joined(inside)}</{tag}>")


def table(
    caption: str,
    head: Sequence[object],
    rows: Iterable[Sequence[object]],
    *,
    numbers: Iterable[int] = (),
    row_head: int = 0,
    class_: str = "",
) -> Html:
    """A table with caption, column heads and one head in each row; it scrolls in its own box where it is too wide.

    Parameters
    ----------
    caption : str
    head : sequence of Html or text, names of the columns
    rows : iterable of rows; Html or text in each cell
    numbers : iterable of int, columns set flush right
    row_head : int, the column that names the row
    class_ : str, class of the table

    Returns
    -------
    Html
    """
    right = frozenset(numbers)

    def cell(place: int, inside: object) -> Html:
        kind = {"class_": "number"} if place in right else {}
        scope = {"scope": "row"} if place == row_head else {}
        return element("th" if place == row_head else "td", inside, **scope, **kind)

    heads = (
        element("th", name, scope="col", **({"class_": "number"} if place in right else {}))
        for place, name in enumerate(head)
    )
    body = (element("tr", *(cell(place, inside) for place, inside in enumerate(row))) for row in rows)
    whole = element(
        "table",
        element("caption", caption),
        element("thead", element("tr", *heads)),
        element("tbody", joined(body, "\n")),
        **({"class_": class_} if class_ else {}),
    )
    reached = {"role": "region", "tabindex": "0", "aria_label": caption} if len(head) >= _WIDE else {}
    return element("div", whole, class_="scroll", **reached)


def facts(rows: Iterable[tuple[str, object]]) -> Html:
    """A list of names and what belongs to them, as a description list.

    Parameters
    ----------
    rows : iterable of (name, Html or text)

    Returns
    -------
    Html
    """
    pairs = (joined((element("dt", name), element("dd", what))) for name, what in rows)
    return element("dl", *pairs, class_="facts")


def bullets(items: Iterable[object]) -> Html:
    """An unordered list.

    Parameters
    ----------
    items : iterable of Html or text

    Returns
    -------
    Html
    """
    return element("ul", *(element("li", item) for item in items))
