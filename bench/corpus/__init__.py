"""Sixty-two short songs of varied style, mixed as a good mixer leaves them, for benches that plant faults.

`SEEN` may be looked at while a judge is made; `UNSEEN`, `FRESH`, `NEW`, `LAST`, `NEXT` and `AFTER` were each
kept for a last look and have had it: the next judge wants new ones. Played by the demo's engine and by the
further players of `band`, `horns`, `parlour` and `stage`; nothing here has a weakness on purpose.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from arsis.demo.songs import DemoSong, perform
from arsis.io.write import write_sound

from .amber_kiosk import AMBER_KIOSK
from .anvil_weather import ANVIL_WEATHER
from .attic_summer import ATTIC_SUMMER
from .basement_tide import BASEMENT_TIDE
from .blue_veranda import BLUE_VERANDA
from .borrowed_coat import BORROWED_COAT
from .brick_garden import BRICK_GARDEN
from .chequer_bus import CHEQUER_BUS
from .chrome_heron import CHROME_HERON
from .copper_thimble import COPPER_THIMBLE
from .corner_shop import CORNER_SHOP
from .elastic_garden import ELASTIC_GARDEN
from .glass_lift import GLASS_LIFT
from .gravel_choir import GRAVEL_CHOIR
from .half_past_tuesday import HALF_PAST_TUESDAY
from .harbour_lights import HARBOUR_LIGHTS
from .hollow_stile import HOLLOW_STILE
from .kite_weather import KITE_WEATHER
from .lamplighter import LAMPLIGHTER
from .letter_home import LETTER_HOME
from .level_crossing import LEVEL_CROSSING
from .lime_shade import LIME_SHADE
from .magnet_sky import MAGNET_SKY
from .mile_marker import MILE_MARKER
from .milk_window import MILK_WINDOW
from .moth_ledger import MOTH_LEDGER
from .nickel_street import NICKEL_STREET
from .nine_buttons import NINE_BUTTONS
from .ninth_floor import NINTH_FLOOR
from .north_field import NORTH_FIELD
from .orange_stairwell import ORANGE_STAIRWELL
from .orchard_gate import ORCHARD_GATE
from .paper_mango import PAPER_MANGO
from .paper_satellite import PAPER_SATELLITE
from .paraffin_waltz import PARAFFIN_WALTZ
from .plastic_orchid import PLASTIC_ORCHID
from .red_siding import RED_SIDING
from .rust_porch import RUST_PORCH
from .salt_lemonade import SALT_LEMONADE
from .salt_road import SALT_ROAD
from .saltflat_moped import SALTFLAT_MOPED
from .second_helping import SECOND_HELPING
from .second_ladder import SECOND_LADDER
from .seven_pigeons import SEVEN_PIGEONS
from .short_fuse import SHORT_FUSE
from .slow_ferry import SLOW_FERRY
from .slow_machine import SLOW_MACHINE
from .sugar_alarm import SUGAR_ALARM
from .tarpaulin_moon import TARPAULIN_MOON
from .tender_arithmetic import TENDER_ARITHMETIC
from .tin_lantern import TIN_LANTERN
from .two_rooms import TWO_ROOMS
from .velcro_season import VELCRO_SEASON
from .velvet_receipt import VELVET_RECEIPT
from .warm_bread import WARM_BREAD
from .wet_turnstiles import WET_TURNSTILES
from .wide_water import WIDE_WATER
from .window_seat import WINDOW_SEAT
from .wire_fox import WIRE_FOX
from .wren import WREN
from .yellow_ferris import YELLOW_FERRIS
from .zinc_umbrella import ZINC_UMBRELLA

_SEEN = (HARBOUR_LIGHTS, GRAVEL_CHOIR, LETTER_HOME, CORNER_SHOP, LEVEL_CROSSING, LAMPLIGHTER)
_UNSEEN = (WREN, SLOW_FERRY, SHORT_FUSE, WARM_BREAD, SALT_ROAD, TWO_ROOMS, WIDE_WATER, KITE_WEATHER)
_FRESH = (
    BRICK_GARDEN,
    GLASS_LIFT,
    LIME_SHADE,
    PAPER_SATELLITE,
    NORTH_FIELD,
    NICKEL_STREET,
    WINDOW_SEAT,
    ORCHARD_GATE,
)
_NEW = (
    SUGAR_ALARM,
    RED_SIDING,
    HOLLOW_STILE,
    TENDER_ARITHMETIC,
    SLOW_MACHINE,
    BORROWED_COAT,
    MILE_MARKER,
    NINTH_FLOOR,
    MAGNET_SKY,
    ATTIC_SUMMER,
)
_LAST = (
    TIN_LANTERN,
    WIRE_FOX,
    SECOND_HELPING,
    BLUE_VERANDA,
    MILK_WINDOW,
    BASEMENT_TIDE,
    CHEQUER_BUS,
    VELVET_RECEIPT,
    PLASTIC_ORCHID,
    PAPER_MANGO,
)
_NEXT = (
    COPPER_THIMBLE,
    SECOND_LADDER,
    HALF_PAST_TUESDAY,
    SEVEN_PIGEONS,
    WET_TURNSTILES,
    ELASTIC_GARDEN,
    SALTFLAT_MOPED,
    YELLOW_FERRIS,
    SALT_LEMONADE,
    ANVIL_WEATHER,
)
_AFTER = (
    NINE_BUTTONS,
    TARPAULIN_MOON,
    AMBER_KIOSK,
    ZINC_UMBRELLA,
    RUST_PORCH,
    PARAFFIN_WALTZ,
    MOTH_LEDGER,
    CHROME_HERON,
    ORANGE_STAIRWELL,
    VELCRO_SEASON,
)
_ALL = (*_SEEN, *_UNSEEN, *_FRESH, *_NEW, *_LAST, *_NEXT, *_AFTER)
SCORES = {score.name: score for score in _ALL}
SEEN = tuple(score.name for score in _SEEN)
UNSEEN = tuple(score.name for score in _UNSEEN)
FRESH = tuple(score.name for score in _FRESH)
NEW = tuple(score.name for score in _NEW)
LAST = tuple(score.name for score in _LAST)
NEXT = tuple(score.name for score in _NEXT)
AFTER = tuple(score.name for score in _AFTER)


def corpus_song(name: str) -> DemoSong:
    """Plays and mixes one of `SCORES`; the same words each time."""
    return perform(SCORES[name])


def write_corpus(folder: Path, names: Sequence[str]) -> dict[str, Path]:
    """The 24-bit mixes ``NAME.wav`` in `folder`, by name; one that is there is taken as it is."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = {name: folder / f"{name}.wav" for name in names}
    for name, path in paths.items():
        if not path.exists():
            song = corpus_song(name)
            with write_sound(path, song.rate_hz, 2, encoding="pcm_s24") as sound:
                sound.write(song.mix)
    return paths
