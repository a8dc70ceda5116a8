"""A turn in words: which knob, which side, how far, which way."""

from collections.abc import Iterable, Mapping

from rules.car.adjusters import Adjuster, Turn
from rules.wording import capital

KEEPS = " to keep the {} force"


def turn_title(turns: tuple[Turn, ...], fitted: Mapping[str, Adjuster]) -> str:
    """Name a change: Front rebound, both sides: 2 clicks firmer."""
    ones = [fitted[turn.adjuster] for turn in turns]
    first = ones[0]
    if first.part == "valving" and len(ones) > 1:
        return valving_title(turns, fitted)
    if first.part == "knob":
        same_name = first.name
        name = same_name if same_name.startswith(first.axle) else f"{first.axle} {same_name}"
        side = "both sides" if len(ones) > 1 else f"{first.place.split()[0]} side only"
        name = f"{name}, {side}"
    else:
        name = first.name
    distance = turns[0].after - turns[0].before
    if first.positions:
        # A hand that puts a part in goes by the part's name, and by no number of positions.
        to = f"{first.show(turns[0].before)} to {first.show(turns[0].after)}"
        way = first.direction_word(distance * first.up(True) > 0)
        return f"{capital(name)}: {to}, {way}"
    way = first.direction_word(distance * first.up(True) > 0)
    return f"{capital(name)}: {first.show_steps(distance / first.step)} {way}"


def valving_title(turns: tuple[Turn, ...], fitted: Mapping[str, Adjuster]) -> str:
    """Name a change of valving: Front valving: stack 2 to stack 3, rebound 8 to 11."""
    lever, turn = fitted[turns[0].adjuster], turns[0]
    title = f"{lever.label}: {lever.show(turn.before)} to {lever.show(turn.after)}"
    counts = counts_words(turns[1:], fitted)
    title = f"{title}, {counts}" if counts else title
    return capital(title)


def counts_words(turns: Iterable[Turn], fitted: Mapping[str, Adjuster]) -> str:
    """Say from which count to which each knob goes; sides that do the same are said once."""
    said: dict[str, list[Adjuster]] = {}
    for turn in turns:
        one = fitted[turn.adjuster]
        way = f"{one.name} {one.show(turn.before)} to {one.show(turn.after)}"
        said.setdefault(way, []).append(one)
    return ", ".join(
        way if len(ones) > 1 or ones[0].partner is None else f"{ones[0].place.split()[0]} {way}"
        for way, ones in said.items()
    )


def own_title(turns: tuple[Turn, ...], fitted: Mapping[str, Adjuster]) -> str:
    """Name a change that the crew made without the tool."""
    return f"Own change: {turn_title(turns, fitted)}"
