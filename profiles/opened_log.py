"""The log of a car for a window: to answer, or to be looked at where it cannot be written."""

import sqlite3

from profiles.log_refusals import HeldElsewhereError
from profiles.logbook import Logbook
from profiles.logfile import LogError, open_log
from profiles.only_looking import held_by, kept_from, to_read
from profiles.open_windows import Window
from profiles.paths import DataFolder, DataFolderError
from profiles.writing_place import WritingPlace


def open_or_look(folder: DataFolder, car_id: str, me: Window) -> Logbook:
    """Open the log of a car for the window `me`; its state says why it can only be looked at.

    Raises:
        LogError: if it can be neither written nor read.
        DataFolderError: if this cannot be the id of a car.
    """
    path = folder.log_file(car_id)
    place = WritingPlace(path.parent, me)

    def again() -> tuple[sqlite3.Connection, str]:
        device = folder.device_id()
        return open_log(path, create=False), device

    try:
        return Logbook.open(path, folder.device_id(), place=place)
    except HeldElsewhereError as error:
        looking, told = held_by(error.holder), error.holder
    except (LogError, DataFolderError) as error:
        kept, told = kept_from(error), None
        if kept is None or not path.is_file():
            raise
        looking = kept
    return Logbook.looked_at(path, to_read(path), looking, again, place, told)
