"""How ids become words in a sentence for people."""

from __future__ import annotations

from collections.abc import Iterable

from hvacr_lab.bench.description import Bench


def spoken(bench: Bench, name: str) -> str:
    """What people call an element: a valve by its tag and label, a part by its label, a pipe by its id.

    Parameters
    ----------
    bench : Bench
    name : str, id of a valve, a part or a pipe

    Returns
    -------
    str, as it stands inside a sentence

    Examples
    --------
    >>> from hvacr_lab.bench import load_bench
    >>> spoken(load_bench("demo"), "V3"), spoken(load_bench("demo"), "receiver")
    ('V3 (receiver outlet valve, king valve)', 'receiver')
    """
    if name in bench.valves:
        label = _inside(bench.valves[name].label)
        tag = name if "valve" in f"{name} {label}".lower() else f"valve {name}"
        return tag if label.lower() in ("", name.lower()) else f"{tag} ({label})"
    part = bench.parts().get(name)
    if part is not None:
        return _inside(part.label or name)
    return f"pipe {name}" if any(pipe.id == name for pipe in bench.pipes) else name


def _inside(label: str) -> str:
    """A label inside a sentence: "Receiver" -> "receiver", but "V3" and "TXV valve" stay; no brackets in brackets."""
    plain = label.replace(" (", ", ").replace(")", "")
    return plain[0].lower() + plain[1:] if plain[1:2].islower() else plain


def listed(names: Iterable[str], word: str = "and") -> str:
    """Names as they are said: "a, b and c".

    Parameters
    ----------
    names : iterable of str
    word : str, before the last one

    Returns
    -------
    str

    Examples
    --------
    >>> listed(["A", "B", "C"]), listed(["A", "B"], "or"), listed([])
    ('A, B and C', 'A or B', 'nothing')
    """
    words = list(names)
    if len(words) < 2:
        return words[0] if words else "nothing"
    return f"{', '.join(words[:-1])} {word} {words[-1]}"
