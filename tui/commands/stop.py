"""How a command ends: the exit statuses, and the way out that carries one."""

OK, PROGRAM, USAGE, CAR_FAULTS, ANSWER_FAULTS, LOG_FAULTS, BOOK_FAULTS = range(7)
STATUSES = (
    (OK, "done"),
    (PROGRAM, "an error of the program itself"),
    (USAGE, "the command line is wrong"),
    (CAR_FAULTS, "a car file or a table has faults, or there is no such car"),
    (ANSWER_FAULTS, "the answers do not fit; the steps before the fault are kept"),
    (LOG_FAULTS, "the log or the data folder cannot be used"),
    (BOOK_FAULTS, "a rule page has faults"),
)


class Stop(Exception):  # noqa: N818 - a way out, not an error of the program
    """Leave with a message and a status."""

    def __init__(self, status: int, message: str) -> None:
        super().__init__(message)
        self.status = status
