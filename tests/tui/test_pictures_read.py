"""Every picture can be read in the sun and at night, and says the same without a colour."""

import pytest
from drive import at_the_screen, make_desk
from roads import timed_day
from test_contrast import colours, palette

from tests.support.sample import sampled
from tui.desk import Desk

KEYS = (
    ("f", "3", "plus", "plus"),
    ("f", "3", "plus", "4"),
    ("f", "3", "plus", "5"),
    ("m",),
    ("m", "2"),
    ("v", "2"),
    ("l", "down"),
    ("f", "1", "plus", "6"),
)


def day() -> Desk:
    desk = make_desk()
    timed_day(desk)
    return desk


@pytest.mark.long
@pytest.mark.parametrize("keys", sampled([(keys,) for keys in KEYS], 4))
async def test_all_of_it_is_at_least_seven_to_one(keys: tuple[str, ...]) -> None:
    for theme in ("sunlight", "night"):
        async with at_the_screen(day(), theme=theme) as rig:
            await rig.keys(*keys)
            assert colours(rig) <= palette(rig)


@pytest.mark.long
@pytest.mark.parametrize("keys", sampled([(keys,) for keys in KEYS], 3))
async def test_without_colour_the_same_characters_stand_there(keys: tuple[str, ...]) -> None:
    told = []
    for theme in ("sunlight", "night"):
        async with at_the_screen(day(), theme=theme) as rig:
            await rig.keys(*keys)
            told.append(rig.text)
    assert told[0] == told[1]
