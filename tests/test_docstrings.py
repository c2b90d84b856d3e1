"""Every public name says what it does, what goes in, what comes out; in the calculation library also its source."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType

import click
import pytest

import hvacr_lab

# the calculation library: each function carries an example that runs, and the source of its formula
LIBRARY = {"units", "property_tables", "exact_properties", "refrigerants", "moist_air", "cycle", "readings"}
SECTIONS = ("Parameters", "Returns", "Raises", "Source", "Examples", "Yields", "Notes")


def _modules() -> Iterator[ModuleType]:
    for info in pkgutil.walk_packages(hvacr_lab.__path__, "hvacr_lab."):
        if not info.name.endswith("__main__"):
            yield importlib.import_module(info.name)


def _public(module: ModuleType) -> Iterator[tuple[str, Callable[..., object]]]:
    for name, thing in vars(module).items():
        if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
            continue
        if isinstance(thing, click.Command):
            continue  # its docstring is the --help text; tests/cli reads that
        if inspect.isfunction(thing):
            yield f"{module.__name__}.{name}", thing
        elif inspect.isclass(thing):
            yield f"{module.__name__}.{name}", thing
            for inner, method in vars(thing).items():
                if inspect.isfunction(method) and not inner.startswith("_"):
                    yield f"{module.__name__}.{name}.{inner}", method


def _everything() -> list[tuple[str, Callable[..., object]]]:
    return [entry for module in _modules() for entry in _public(module)]


def _sections(text: str) -> dict[str, str]:
    parts = re.split(rf"^({'|'.join(SECTIONS)})\n-+$", text, flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def _inputs(function: Callable[..., object]) -> list[str]:
    return [name for name in inspect.signature(function).parameters if name not in {"self", "cls"}]


def _gives_something(function: Callable[..., object]) -> bool:
    return str(inspect.signature(function).return_annotation) not in {"None", "NoReturn", "typing.NoReturn"}


def _in_library(name: str) -> bool:
    return name.split(".")[1] in LIBRARY


ALL = _everything()


@pytest.mark.parametrize(("name", "thing"), ALL, ids=[name for name, _ in ALL])
def test_says_what_it_does(name: str, thing: Callable[..., object]) -> None:
    text = inspect.getdoc(thing) or ""
    first = text.split("\n", 1)[0]
    assert first, f"{name} has no docstring"
    assert first.endswith((".", ":", "?")), f"{name}: the first line is one sentence, got {first!r}"


FUNCTIONS = [(name, thing) for name, thing in ALL if inspect.isfunction(thing)]


@pytest.mark.parametrize(("name", "function"), FUNCTIONS, ids=[name for name, _ in FUNCTIONS])
def test_names_every_parameter_and_the_result(name: str, function: Callable[..., object]) -> None:
    sections = _sections(inspect.getdoc(function) or "")
    is_method = len(name.split(".")) > 3 and "self" in inspect.signature(function).parameters
    if is_method and not _in_library(name):
        return  # methods outside the library: the first line is enough
    described = sections.get("Parameters", "")
    for parameter in _inputs(function):
        assert re.search(rf"\b{parameter}\b", described), f"{name}: parameter {parameter} is not described"
    if _gives_something(function):
        assert "Returns" in sections or "Yields" in sections, f"{name}: no section Returns"


LIBRARY_FUNCTIONS = [(name, thing) for name, thing in FUNCTIONS if _in_library(name)]


@pytest.mark.parametrize(("name", "function"), LIBRARY_FUNCTIONS, ids=[name for name, _ in LIBRARY_FUNCTIONS])
def test_library_shows_source_and_a_running_example(name: str, function: Callable[..., object]) -> None:
    sections = _sections(inspect.getdoc(function) or "")
    assert ">>>" in sections.get("Examples", ""), f"{name}: no example that runs"
    assert sections.get("Source", "").strip(), f"{name}: no source"
    if re.search(r"^\s+raise ", inspect.getsource(function), flags=re.MULTILINE):
        assert "Raises" in sections, f"{name} raises, but does not say so"
