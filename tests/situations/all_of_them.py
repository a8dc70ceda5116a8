"""Every situation."""

from tests.situations.around import AROUND
from tests.situations.changed import AFTER_A_CHANGE
from tests.situations.days import DAYS
from tests.situations.front import FRONT
from tests.situations.landings import AFTER_THE_TOP
from tests.situations.later import LATER
from tests.situations.more import MORE
from tests.situations.odd import ODD
from tests.situations.other_cars import OTHER_CARS
from tests.situations.rear import REAR
from tests.situations.whole import WHOLE

SITUATIONS = [
    *AFTER_THE_TOP,
    *FRONT,
    *REAR,
    *WHOLE,
    *DAYS,
    *AFTER_A_CHANGE,
    *MORE,
    *ODD,
    *LATER,
    *AROUND,
    *OTHER_CARS,
]
