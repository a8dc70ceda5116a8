"""Every situation, and those that today's program does not answer as a crew chief would."""

from tests.situations.days import DAYS
from tests.situations.front import FRONT
from tests.situations.rear import REAR
from tests.situations.whole import WHOLE

SITUATIONS = [*FRONT, *REAR, *WHOLE, *DAYS]

# Name of the situation: why it does not come out right yet. To be emptied.
KNOWN: dict[str, str] = {}
