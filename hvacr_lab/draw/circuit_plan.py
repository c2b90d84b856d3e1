"""The rows of a circuit put in their places; see `circuit_layout` for what a row is."""

from __future__ import annotations

from collections.abc import Mapping

from hvacr_lab.bench.description import Bench
from hvacr_lab.draw import circuit_symbols as symbols
from hvacr_lab.draw.circuit_layout import BYPASS_PX, LANE_PX, Draughtsman, Layout, Point, Zones, lanes_high, zones
from hvacr_lab.draw.circuit_symbols import Symbol
from hvacr_lab.draw.circuit_walk import Chain

_LEFT_PX, _TOP_PX = 60.0, 66.0
_COMPRESSOR_PX, _BOX_PX, _BRIDGE_PX, _PORT_PX = 32.0, 28.0, 60.0, 26.0
_SIDE_PX = 34.0
# half the size of each, and half the width of the bridge; how far the side ports of the bridge lie from its middle
_UNDER_TOP_PX = 128.0
# from the top row to the first metering lane
_BELOW_PX = 96.0


def lay_out(bench: Bench, loop: Chain, look: Mapping[str, Symbol], *, heating: bool) -> Layout:
    """Place the loop of a bench.

    Parameters
    ----------
    bench : Bench
    loop : tuple of Piece and Bank, walked in cooling
    look : symbol of each part, valve, drier and glass
    heating : bool, how the reversing valve stands

    Returns
    -------
    Layout
    """
    draughtsman = Draughtsman(bench, look)
    cut = zones(bench, loop)
    bottom_px = _plain(draughtsman, cut) if bench.reversing_valve is None else _reversible(draughtsman, cut, heating)
    layout = draughtsman.layout
    rights = [x for link in layout.links for x, _ in link.points] + [
        x + symbol.width / 2 for symbol, x, _ in layout.symbols
    ]
    layout.width_px = max(rights) + 30.0
    layout.height_px = bottom_px + _BELOW_PX
    return layout


def _rises(*chains: Chain) -> float:
    """Room above a row for the lanes that go round its vessels."""
    return BYPASS_PX * max(lanes_high(chain) - 1 for chain in chains)


def _metering_height(cut: Zones) -> float:
    return LANE_PX * (sum(lanes_high(lane) for lane in cut.metering.lanes) - 1)


def _metering_width(draughtsman: Draughtsman, cut: Zones) -> float:
    return max(draughtsman.width(lane) for lane in cut.metering.lanes)


def _plain(draughtsman: Draughtsman, cut: Zones) -> float:
    """One loop: top row, lanes, bottom row, compressor on the left. Returns the height of the bottom row."""
    top = _TOP_PX + _rises(cut.liquid)
    bottom = max(top + _UNDER_TOP_PX + _metering_height(cut), top + 250.0 + _rises(cut.second_coil))
    lanes_px = _metering_width(draughtsman, cut)
    right = _LEFT_PX + max(draughtsman.width(cut.liquid), draughtsman.width(cut.second_coil) + lanes_px)
    pump = (_LEFT_PX, 0.5 * (top + bottom))
    _compressor(draughtsman, pump)
    draughtsman.place(cut.liquid, _out(pump, top), _down(right, top))
    _metering(draughtsman, cut, (right, top + _UNDER_TOP_PX), (right - lanes_px, bottom))
    draughtsman.place(cut.second_coil, [(right - lanes_px, bottom)], _into(pump, bottom))
    return bottom


def _reversible(draughtsman: Draughtsman, cut: Zones, heating: bool) -> float:
    """Two coils between the reversing valve and the bridge or the lanes; the suction line inside their loop."""
    bench = draughtsman.bench
    last = len(cut.suction) - 1 if len(cut.suction) > 1 else 0
    inner, outer = (cut.suction[:last], cut.suction[last:]) if last else (cut.suction, ())
    top = _TOP_PX + _rises(cut.first_coil, cut.liquid)
    middle = top + 150.0
    suction = middle + 108.0 + _rises(cut.suction)
    pump = (_LEFT_PX, 0.5 * (middle + suction))
    turn = (_LEFT_PX + max(draughtsman.width(cut.discharge), draughtsman.width(outer), 150.0) + _BOX_PX, middle)
    inner_px = draughtsman.width(inner) + 30.0
    _compressor(draughtsman, pump)
    draughtsman.place(cut.discharge, _out(pump, middle), [(turn[0] - _BOX_PX, middle)])
    _four_way(draughtsman, turn, heating)
    bend = turn[0] + _BOX_PX + inner_px
    bottom = max(suction + 138.0, top + _UNDER_TOP_PX + (0.0 if bench.bridge else _metering_height(cut)))
    if bench.bridge:
        _with_bridge(draughtsman, cut, turn, (bend, top, bottom), heating)
    else:
        _without_bridge(draughtsman, cut, turn, (bend, top, bottom))
    seam = (turn[0] - 14.0 if outer else _LEFT_PX, suction)
    pipes = draughtsman.row(outer or inner).tail
    draughtsman.layout.jumps.append((turn[0], suction))
    entry = [(turn[0] + _BOX_PX, middle), (bend, middle), (bend, suction)]
    if outer:
        draughtsman.place(inner, entry, [(turn[0] + 14.0, suction), seam], around=((), pipes))
        draughtsman.place(outer, [seam], _into(pump, suction))
    else:
        draughtsman.place(inner, entry, [(turn[0] + 14.0, suction), *_into(pump, suction)])
    return max(bottom, top + _UNDER_TOP_PX + _metering_height(cut))


def _with_bridge(
    draughtsman: Draughtsman, cut: Zones, turn: Point, edges: tuple[float, float, float], heating: bool
) -> None:
    bend, top, bottom = edges
    row_px = max(draughtsman.width(cut.first_coil), draughtsman.width(cut.second_coil))
    bridge = (max(turn[0] + row_px, bend + 90.0), top + _UNDER_TOP_PX + LANE_PX - _PORT_PX)
    _bridge(draughtsman, bridge, heating)
    x, y = bridge
    lanes_px = _metering_width(draughtsman, cut)
    riser = x + _SIDE_PX + 30.0
    right = max(riser + draughtsman.width(cut.liquid), x + _SIDE_PX + draughtsman.width(cut.feed) + 40.0 + lanes_px)
    draughtsman.place(cut.first_coil, [(turn[0], turn[1] - _BOX_PX), (turn[0], top)], [(x, top), (x, y - _BRIDGE_PX)])
    up = [(x + _SIDE_PX, y - _PORT_PX), (riser, y - _PORT_PX), (riser, top)]
    draughtsman.place(cut.liquid, up, _down(right, top))
    joint = (right - lanes_px, y + _PORT_PX)
    _metering(draughtsman, cut, (right, top + _UNDER_TOP_PX), joint)
    draughtsman.place(cut.feed, [joint], [(x + _SIDE_PX, y + _PORT_PX)])
    draughtsman.place(
        cut.second_coil, [(x, y + _BRIDGE_PX), (x, bottom)], [(turn[0], bottom), (turn[0], turn[1] + _BOX_PX)]
    )


def _without_bridge(draughtsman: Draughtsman, cut: Zones, turn: Point, edges: tuple[float, float, float]) -> None:
    bend, top, bottom = edges
    lanes_px = _metering_width(draughtsman, cut)
    low_px = max(turn[0] + draughtsman.width(cut.second_coil), bend + 60.0)
    right = max(turn[0] + draughtsman.width(cut.liquid), low_px + lanes_px)
    draughtsman.place(cut.liquid, [(turn[0], turn[1] - _BOX_PX), (turn[0], top)], _down(right, top))
    _metering(draughtsman, cut, (right, top + _UNDER_TOP_PX), (right - lanes_px, bottom))
    draughtsman.place(cut.second_coil, [(right - lanes_px, bottom)], [(turn[0], bottom), (turn[0], turn[1] + _BOX_PX)])


def _metering(draughtsman: Draughtsman, cut: Zones, start: Point, end: Point) -> None:
    draughtsman.bank(cut.metering, start, end, LANE_PX, cut.around)


def _out(pump: Point, level: float) -> list[Point]:
    return [(pump[0], pump[1] - _COMPRESSOR_PX), (pump[0], level)]


def _into(pump: Point, level: float) -> list[Point]:
    return [(pump[0], level), (pump[0], pump[1] + _COMPRESSOR_PX)]


def _down(x: float, top: float) -> list[Point]:
    return [(x, top), (x, top + _UNDER_TOP_PX)]


def _compressor(draughtsman: Draughtsman, place: Point) -> None:
    _labelled_beside(draughtsman, place, symbols.COMPRESSOR, (draughtsman.bench.compressor.label,), "start", 40.0, 5.0)


def _four_way(draughtsman: Draughtsman, place: Point, heating: bool) -> None:
    valve = draughtsman.bench.reversing_valve
    lines = (valve.label if valve else "", "heating" if heating else "cooling")
    _labelled_beside(draughtsman, place, symbols.reversing_valve(heating), lines, "start", 12.0, -52.0)


def _bridge(draughtsman: Draughtsman, place: Point, heating: bool) -> None:
    bridge = draughtsman.bench.bridge
    lines = tuple((bridge.label if bridge else "").split(" "))
    _labelled_beside(draughtsman, place, symbols.check_valve_bridge(heating), lines, "start", 14.0, 80.0)


def _labelled_beside(
    draughtsman: Draughtsman, place: Point, shapes: str, lines: tuple[str, ...], anchor: str, right: float, down: float
) -> None:
    draughtsman.layout.symbols.append((Symbol(lines[0], shapes, (), 0.0, 0.0, 0.0), *place))
    for row, line in enumerate(lines):
        spot = (place[0] + right, place[1] + down + row * symbols.LINE_PX)
        draughtsman.layout.labels.append((spot, line, anchor, line in ("heating", "cooling")))
