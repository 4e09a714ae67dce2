"""
Symbols of parts on a wiring drawing, in the style of IEC 60617: a square of 40 by 40 about its middle.

Each is SVG that takes its pen from the group it stands in.
"""

from collections.abc import Mapping

from ampwright.wiring.kinds import GENERATORS, Kind
from ampwright.wiring.outline import Ending

#: Half the side of the square that a symbol is drawn in.
HALF = 20.0

_SOLID = 'fill="#111111"'
_PAPER = 'fill="#ffffff"'


def _letter(letter: str, y: float = 5.0, size: float = 14.0) -> str:
    return f'<text x="0" y="{y:g}" font-size="{size:g}" text-anchor="middle" stroke="none" {_SOLID}>{letter}</text>'


_RING = f'<circle r="14" {_PAPER}/>'
_WAVE = '<path d="M-8 6q4-8 8 0t8 0"/>'
_SWITCH = '<path d="M-20 6H-10M10 6H20M-10 6L9-8"/><circle cx="-10" cy="6" r="2" fill="#ffffff"/>'
_PUSH = '<path d="M-20 8H-10M10 8H20M-10 2H10M0 2V-12M-6-12H6"/>'
_CHANGEOVER = '<path d="M-20 0H-8M-8 0L11-9M12-10H20M12 10H20"/><circle cx="-8" r="2" fill="#ffffff"/>'
_WINDING = "q2.5-9 5 0"


def _winding(x: float, y: float, turns: int) -> str:
    return f'<path d="M{x:g} {y:g}{_WINDING * turns}"/>'


_DIODE = f'<g transform="{{at}}"><path d="M-4-4L4 0L-4 4Z" {_SOLID}/><path d="M4-4.5V4.5"/></g>'
# Four diodes that all point towards the right corner, which is plus.
_BRIDGE = '<path d="M-17 0L0-17L17 0L0 17Z"/>' + "".join(
    _DIODE.format(at=at)
    for at in (
        "translate(-8.5 -8.5) rotate(-45)",
        "translate(8.5 -8.5) rotate(45)",
        "translate(-8.5 8.5) rotate(45)",
        "translate(8.5 8.5) rotate(-45)",
    )
)
_BREAKDOWN = f'<path d="M0-18V18"/><path d="M-8 7H8L0-7Z" {_SOLID}/><path d="M-9-3V-7H9V-11"/>'
_THYRISTOR = (
    '<rect x="-18" y="-16" width="36" height="32" fill="#ffffff"/><path d="M-18 16L18-16"/>'
    '<path d="M-13-8q3-5 6 0t6 0"/><path d="M3 9H13M3 12H6M8.5 12H13"/>'
)
_RELAY = '<path d="M-16-14H16V14H-16Z"/><path d="M-16 14L16-14"/>'
_REGULATOR = (
    '<rect x="-17" y="-13" width="34" height="26" fill="#ffffff"/>'
    + _letter("U", 5, 13)
    + ('<path d="M-13 9L13-9M13-9l-5 .6M13-9l-2.4 4.4"/>')
)
_CELLS = '<path d="M-20 0H-9M9 0H20M-9-6V6M-3-12V12M3-6V6M9-12V12"/>'
_LAMP = f'<circle r="12" {_PAPER}/><path d="M-8.5-8.5L8.5 8.5M8.5-8.5L-8.5 8.5"/>'
_EARTH = '<path d="M0-20V0M-12 0H12M-12 0l-5 9M0 0l-5 9M12 0l-5 9"/>'

_SYMBOLS: Mapping[Kind, str] = {
    **dict.fromkeys(GENERATORS, _RING + _letter("G", 1, 13) + '<path d="M-6 7q3-6 6 0t6 0"/>'),
    Kind.THREE_PHASE_ALTERNATOR: _RING + _letter("G", 1, 12) + _letter("3~", 11, 10),
    Kind.WOUND_FIELD_ALTERNATOR: _RING + _letter("G", 1, 12) + _letter("3~", 11, 10) + _winding(-10, 20, 4),
    Kind.ENERGY_TRANSFER_STATOR: _winding(-12.5, -8, 5) + _winding(-12.5, 2, 5) + _winding(-12.5, 12, 5),
    Kind.DYNAMO: _RING + _letter("G", 2, 13) + '<path d="M-6 6H6M-6 9H-2M2 9H6"/>',
    Kind.RECTIFIER: _BRIDGE,
    Kind.ZENER: _BREAKDOWN,
    Kind.CHARGING_BOX: _THYRISTOR,
    Kind.CONTROL_BOX: _RELAY,
    Kind.DYNAMO_REGULATOR: _REGULATOR,
    Kind.FIELD_REGULATOR: _REGULATOR,
    Kind.LIGHTING_REGULATOR: _REGULATOR,
    Kind.BATTERY: _CELLS,
    Kind.CAPACITOR: '<path d="M-20 0H-4M4 0H20M4-12V12"/><path d="M-4-12H-1V12H-4Z" fill="#ffffff"/>'
    '<path d="M-12-9V-3M-15-6H-9"/>',
    Kind.FUSE: f'<rect x="-14" y="-5.5" width="28" height="11" {_PAPER}/><path d="M-20 0H20"/>',
    Kind.AMMETER: _RING + _letter("A"),
    Kind.IGNITION_SWITCH: _SWITCH,
    Kind.LIGHTING_SWITCH: _CHANGEOVER,
    Kind.STATOR_CONTACTS: _SWITCH,
    Kind.DIP_SWITCH: _CHANGEOVER,
    Kind.STOP_SWITCH: _PUSH,
    Kind.HORN_PUSH: _PUSH,
    Kind.INDICATOR_SWITCH: _CHANGEOVER,
    Kind.FLASHER: '<rect x="-16" y="-10" width="32" height="20" fill="#ffffff"/><path d="M-11 5V-4H-5V5H1V-4H7V5H12"/>',
    Kind.COIL: _winding(-12.5, -2, 5) + '<path d="M-14 2H14M-14 5H14"/>' + _winding(-12.5, 16, 5),
    Kind.POINTS: '<path d="M-20 6H-8M-8 6L8-5M20 6H9V0"/><circle cx="9" cy="-3" r="2.5" fill="#111111"/>',
    Kind.IGNITION_BOX: '<rect x="-16" y="-13" width="32" height="26" fill="#ffffff"/>'
    '<path d="M4-9L-5 2H3L-4 10M-4 10l.5-4.5M-4 10l4.5-1"/>',
    Kind.ENERGY_TRANSFER_COIL: _winding(-12.5, -2, 5) + '<path d="M-14 2H14M-14 5H14"/>' + _winding(-12.5, 16, 5),
    Kind.HEADLAMP: _LAMP,
    Kind.LAMP: _LAMP,
    Kind.HORN: f'<path d="M-4-5H2L12-12V12L2 5H-4Z" {_PAPER}/><path d="M-20-2H-4M-20 2H-4"/>',
    Kind.WARNING_UNIT: _RELAY,
    Kind.ACCESSORY: '<rect x="-15" y="-7" width="30" height="14" fill="#ffffff"/><path d="M-20 0H-15M15 0H20"/>',
    Kind.FRAME: _EARTH,
    Kind.ENGINE: _EARTH,
    Kind.LOOSE_END: '<path d="M-20 0H-6"/><path d="M-8-7H4a7 7 0 0 1 0 14H-8Z" fill="#ffffff"/>',
}

# Stubs come from above and end at 0, 0; their symbol hangs below that, 16 wide.
_ENDINGS: Mapping[Ending, str] = {
    "frame": '<path d="M-8 0H8M-7 0l-4 7M0 0l-4 7M7 0l-4 7"/>',
    "engine": '<path d="M-8 0H8M-7 0l-4 7M0 0l-4 7M7 0l-4 7"/>',
    "insulated": '<path d="M-5 0H5V5a5 5 0 0 1-10 0Z" fill="#ffffff"/>',
    "bare": '<path d="M-6 0L6 10M6 0L-6 10" stroke="#c4161c" stroke-width="3"/>',
}


def symbol_of(kind: Kind) -> str:
    """The symbol of a kind of part."""
    return _SYMBOLS[kind]


def ending_symbol(ending: Ending) -> str:
    """The symbol that a stub ends at."""
    return _ENDINGS[ending]
