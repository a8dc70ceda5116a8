"""Situations that do not come out right yet, each with the reason in one line. To be emptied."""

DANGER_IS_FORGOTTEN = "the gate sees this pass only: a danger of the settings is forgotten"
NOT_ASKED_BACK = "a way back to a setting that showed danger is ordered without asking"
LIMITER_BEFORE_LAUNCH = "the shorter limiter comes before the launch on a stand above its limit"
HEAT_IS_TREATED_LAST = "the earliest fault in the pass is treated, not the heat that makes it"
OWN_TURN_IS_NOT_SUSPECTED = "the crew's own last turn is no candidate for the new fault"
NO_MARGIN = "a job is held against the minutes left without a margin"
DEAD_END = "a measure after danger has no way on where less lift is right anyway"
OWN_TURN_TAKES_ITS_PLACE = "an own turn on one side stays open, or takes the advised one's place"

KNOWN: dict[str, str] = {
    "no O-ring fitted, a small hard landing": DEAD_END,
    "bars were met, nobody chalked them or saw the stand": DEAD_END,
    "carried, nobody saw how high or how far, rebound shut": DEAD_END,
    "harsh with travel left, knob at full soft": "the ladder is the symptom's, not the rule's way",
    "no knobs, a big stand": LIMITER_BEFORE_LAUNCH,
    "past the bars, launch softer; still dangerous, and worse": LIMITER_BEFORE_LAUNCH,
    "hard landing that says nothing of itself": "answers that quarrel end in a car left as it is",
    "seven minutes, knobs reached on stands": NO_MARGIN,
    "seven minutes and nothing but knobs on stands": NO_MARGIN,
    "sinks slowly, bleed open, near the stop, ride height to set": "travel is not asked first",
    "never wrinkles, squats, and the front is shut": "where the front rebound stands is not seen",
    "spins, only the lane was another": "lane and air are harmless to every symptom",
    "lets go as the rear falls back, droop used up": "rear travel is not asked when it fell back",
    "weaker when hot, and bounces": HEAT_IS_TREATED_LAST,
    "weaker when hot, and carries": HEAT_IS_TREATED_LAST,
    "weaker when hot, and squats": HEAT_IS_TREATED_LAST,
    "past the bars, launch softer; it bogs": DANGER_IS_FORGOTTEN,
    "past the bars, launch softer, gone; next pass bogs": DANGER_IS_FORGOTTEN,
    "past the bars, launch softer; lazy and nose down": DANGER_IS_FORGOTTEN,
    "past the bars; rain, then the track comes back": DANGER_IS_FORGOTTEN,
    "past the bars; other lane, lazy": DANGER_IS_FORGOTTEN,
    "past the bars last meeting, bogs at this one": DANGER_IS_FORGOTTEN,
    "undo of the softer launch": NOT_ASKED_BACK,
    "put back to the baseline after a big stand": NOT_ASKED_BACK,
    "put back while the landing list is open": "a put-back is ordered while a list is open",
    "one side never moved, found after its pass": "the completed change has had no pass",
    "an own turn on one side, taken back: the advised change waits": OWN_TURN_TAKES_ITS_PLACE,
    "an own turn on one side, settled by putting it back": OWN_TURN_TAKES_ITS_PLACE,
    "landing gone, and now the nose stays high": "gone ends the pass: what else is not asked",
    "landing worse, harsh now": "a put-back passes by the gate of a landing at the stop",
    "lazy again after half a step, the stand not known now": "the same way again asks no stand",
    "own softer rear rebound, then it spins": OWN_TURN_IS_NOT_SUSPECTED,
    "own pressure up by two, then it spins": OWN_TURN_IS_NOT_SUSPECTED,
    "own softer rebound, then a big stand": OWN_TURN_IS_NOT_SUSPECTED,
    "past the bars; then the crew puts the launch back itself": OWN_TURN_IS_NOT_SUSPECTED,
    "own launch up, then it carries": OWN_TURN_IS_NOT_SUSPECTED,
    "own firmer front rebound, then it spins and stays down": OWN_TURN_IS_NOT_SUSPECTED,
}
