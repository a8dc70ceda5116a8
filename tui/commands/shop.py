"""The commands around the shop: describing a new car, and the baseline card."""

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from tui.commands.car_names import car_named, plain
from tui.commands.stop import CAR_FAULTS, LOG_FAULTS, OK, USAGE, Stop

if TYPE_CHECKING:
    from profiles.paths import DataFolder
    from rules.paper.page import PrintedPage


def known_car(folder: "DataFolder", car_id: str | None) -> str:
    """Return the id of a car that is kept here.

    Raises:
        Stop: naming the cars there are.
    """
    cars = folder.cars()
    named = None if car_id is None else car_named(car_id, cars)
    if named is None:
        known = ", ".join(cars) or "none yet; add one with: setdown add CAR.toml"
        found = "none" if car_id is None else repr(car_id)
        raise Stop(CAR_FAULTS, f"car: found {found}; wanted one of: {known}")
    return named


def draft_in(folder: "DataFolder") -> str:
    """Return what the half-described car is called, empty where there is none.

    Raises:
        Stop: if its log cannot be read.
    """
    if not folder.draft_log().exists():
        return ""
    from profiles.drafts import draft_name
    from profiles.logbook import Logbook
    from profiles.logfile import LogError

    try:
        with Logbook.open(folder.draft_log(), folder.device_id(), create=False) as log:
            return draft_name(log.state)
    except LogError as error:
        raise Stop(LOG_FAULTS, str(error)) from None


def describe(folder: "DataFolder") -> str | None:
    """Describe a new car, or go on with the one that is half described.

    Return the car's id; None where the crew left, and the draft is kept.

    Raises:
        Stop: if the draft or the car file cannot be written.
    """
    from profiles.drafts import is_finished, take_in
    from profiles.files import CarFileError
    from profiles.logbook import Logbook
    from profiles.logfile import LogError
    from rules.book import shipped
    from tui.desk import Desk
    from tui.screens.new_car import NewCarApp

    try:
        with Logbook.open(folder.draft_log(), folder.device_id()) as log:
            if not is_finished(log.state):
                NewCarApp(Desk(log, shipped())).until_left()
            state = log.state
        return take_in(folder, state) if is_finished(state) else None
    except CarFileError as error:
        raise Stop(CAR_FAULTS, str(error)) from None
    except (LogError, OSError) as error:
        raise Stop(LOG_FAULTS, str(error)) from None


class Wish(NamedTuple):
    """What is to be printed: a sheet of the shop, blank or as filled in; without one the card.

    force: over a file that is there.
    """

    sheet: str = ""
    blank: bool = False
    force: bool = False


def write_card(
    folder: "DataFolder", car_id: str, wish: Wish, md: Path | None, html: Path | None
) -> int:
    """Write the card of the baseline in force, or a sheet, as Markdown, as HTML, or both.

    Raises:
        Stop: if neither file is named, one is there already and is not to be replaced, there is no
            such sheet, the log cannot be read, or a file cannot be written.
    """
    from profiles.exports import ExportError, write_files
    from profiles.logfile import LogError
    from rules.paper.page import as_html, as_markdown

    if md is None and html is None:
        raise Stop(USAGE, "card: found no file; wanted --md FILE, --html FILE, or both")
    if wish.blank and not wish.sheet:
        raise Stop(USAGE, "--blank: found no sheet; wanted --sheet NAME with it")
    try:
        page = _page(folder, car_id, wish)
    except (LogError, ValueError) as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    files = {
        file: write(page).encode()
        for file, write in ((md, as_markdown), (html, as_html))
        if file is not None
    }
    try:
        write_files(files, force=wish.force)
    except ExportError as error:
        raise Stop(LOG_FAULTS, str(error)) from None
    for file in files:
        print(f"Wrote {file}: {page.title}.")
    return OK


def _page(folder: "DataFolder", car_id: str, wish: Wish) -> "PrintedPage":
    from profiles.files import load_car
    from profiles.only_read import read_state
    from rules.crew.sheets.all import MENU
    from rules.log.state import State
    from rules.paper.baseline_card import baseline_card
    from rules.paper.shop_page import shop_page

    sheet = next((one for one in MENU if plain(one.id) == plain(wish.sheet)), None)
    if wish.sheet and sheet is None:
        wanted = ", ".join(one.id for one in MENU)
        raise Stop(USAGE, f"--sheet: found {wish.sheet!r}; wanted one of: {wanted}")
    path = folder.log_file(car_id)
    if path.exists():
        state = read_state(path)
    elif sheet is not None:
        state = State(car=load_car(folder.car_file(car_id)))
    else:
        raise ValueError(f"{car_id}: was never opened, so it has no baseline yet")
    return shop_page(state, sheet, blank=wish.blank) if sheet else baseline_card(state)
