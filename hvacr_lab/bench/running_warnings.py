"""What is worth a warning while a bench runs."""

from __future__ import annotations

from collections.abc import Iterator

from hvacr_lab.bench.chain import Chain
from hvacr_lab.bench.march import March
from hvacr_lab.bench.operating_point import AirSide
from hvacr_lab.units import ICE_POINT_K

_SLUGGING_QUALITY = 0.97
# at the compressor; below it liquid does damage (common practice)
_HOTTEST_DISCHARGE_K = ICE_POINT_K + 115.0
# above it the oil of a hermetic compressor suffers (common practice)
_FULL, _EMPTY = 0.98, 0.02
_LEAST_FLASH = 0.005
# quality before the metering device that is worth a word (own value)


def running_warnings(chain: Chain, march: March, air: AirSide, fill: float) -> Iterator[str]:
    """What a careful person says on seeing a bench run like this.

    Parameters
    ----------
    chain : Chain
    march : March
    air : AirSide, of the evaporator
    fill : float [0 ... 1], of the accumulator

    Returns
    -------
    iterator of str, sentences

    Source
    ------
    Common practice; each limit stands above.
    """
    suction = march.suction
    quality = (march.suction_enthalpy - suction.bubble_j_per_kg) / suction.latent_j_per_kg
    if quality < _SLUGGING_QUALITY:
        yield f"Liquid reaches the compressor: {1.0 - max(quality, 0.0):.0%} of the mass it draws in. It can break it."
    inlet = march.high.inlet
    entering = (march.high.liquid.enthalpy_j_per_kg - inlet.bubble_j_per_kg) / inlet.latent_j_per_kg
    if entering > _LEAST_FLASH:
        yield f"Flash gas reaches the metering device: {min(entering, 1.0):.1%} of the mass."
    if chain.receiver is not None and march.high.level > _FULL:
        yield "The receiver is full of liquid: there is too much refrigerant in the system."
    if chain.receiver is not None and march.high.level < _EMPTY:
        yield "The receiver is empty: there is too little refrigerant in the system."
    if chain.accumulator is not None and fill > _FULL:
        yield "The accumulator is full of liquid."
    if air.surface_k < ICE_POINT_K and air.latent_w > 0.0:
        yield "The evaporator gathers frost."
    hot_k = march.high.line.temperature_k
    if hot_k > _HOTTEST_DISCHARGE_K:
        yield f"The discharge gas is hot: {hot_k - ICE_POINT_K:.0f} degrees Celsius."
