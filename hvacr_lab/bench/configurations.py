"""Which configuration a line-up is, and what follows from it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.sections import Network, bits_of, network_of
from hvacr_lab.errors import UnknownName


def is_line_up_of(bench: Bench, valves: Mapping[str, float], reversing: str | None = None) -> str | None:
    """The configuration that these valve positions are.

    Parameters
    ----------
    bench : Bench
    valves : opening of each valve; partly open counts as open
    reversing : "cooling", "heating"; None: the reversing valve is not looked at

    Returns
    -------
    str, id of the first configuration that fits, or None
    """
    network = network_of(bench)
    bits = bits_of(network, valves, reversing)
    return next(_fitting(network, bits, looks_at_reversing=reversing is not None), None)


def _fitting(network: Network, bits: int, *, looks_at_reversing: bool) -> Iterator[str]:
    counts = network.heating_bit * 2 - 1 if looks_at_reversing else network.heating_bit - 1
    return (name for name in network.bench.configurations if not (bits_wanted(network, name) ^ bits) & counts)


def bits_wanted(network: Network, configuration: str) -> int:
    """Switches of a configuration.

    Parameters
    ----------
    network : Network
    configuration : str, id

    Returns
    -------
    int

    Raises
    ------
    UnknownName : no such configuration
    """
    known = network.bench.configurations
    if configuration not in known:
        raise UnknownName("configuration", configuration, known)
    return bits_of(network, known[configuration].valves, known[configuration].reversing)


def charge_of(network: Network, bits: int) -> float | None:
    """Most refrigerant that can be in the circuit, as far as the line-up tells.

    Parameters
    ----------
    network : Network
    bits : int

    Returns
    -------
    float [kg], of the configurations that this line-up is, else of all; None where the bench file gives no charge
    """
    known = network.bench.configurations
    names = tuple(_fitting(network, bits, looks_at_reversing=False)) or tuple(known)
    return max((charge for name in names if (charge := known[name].charge_kg) is not None), default=None)
