"""What the verdict page says of a change: what is known of each number, and what it costs."""

from rules.advice.change_evidence import latest_tried, verdict_of
from rules.book import shipped
from tests.support.crew import SQUATS, Crew
from tui.pages.verdict import verdict_parts

BOOK = shipped()
BEFORE = (1.430, 1.433, 1.431, 1.432)


def page(crew: Crew) -> str:
    """Return the page of the latest change as one text."""
    known = verdict_of(crew.state, BOOK, next(latest_tried(crew.state)))
    return " ".join(f"{label}: {text}" for label, text in verdict_parts(crew.state, known, BOOK))


def put_back(worth: float | None = None) -> Crew:
    """A-B-A by hand: 1.400, 1.340, 1.400."""
    crew = Crew()
    crew.good_pass(1.400)
    if worth is not None:
        crew.do("worth", gain=worth)
    crew.do("already turned", adjuster="left rear compression", now="11", sides="both")
    crew.say("ran")
    crew.do("slip", sixty=1.340)
    crew.tell(verdict="same", symptoms=["it-is-good"])
    crew.say("ok")
    crew.do("undo last change")
    crew.tick()
    crew.tell(symptoms=["it-is-good"])
    crew.do("slip", sixty=1.400)
    return crew


def test_each_number_says_what_is_known_of_it() -> None:
    """The scatter is nobody's measure, and less is believed than the slips say."""
    told = page(put_back())
    assert "that of usual cars: 1 repeat of a setting cannot show it" in told
    assert "The slips alone: 0.060 s quicker; 3 passes can be luck or drift" in told
    assert "By time: Back to the setting with it: likelier quicker" in told


def test_a_smallest_effect_is_said_to_be_declared_where_it_was() -> None:
    assert "from 0.010 s, the usual: none was declared." in page(put_back())
    assert "from 0.020 s, declared before it." in page(put_back(worth=0.020))


def judged(verdict: str, sixty: float) -> Crew:
    """A change that the program advised for spin, judged by eye and clock."""
    crew = Crew()
    for time in BEFORE:
        crew.good_pass(time)
    crew.say(["spins-at-hit"])
    crew.do("slip", sixty=1.431)
    crew.tell(**SQUATS)
    crew.make()
    crew.say("ran")
    crew.do("slip", sixty=sixty)
    crew.tell(verdict=verdict, **{"symptoms": ["it-is-good"], **SQUATS})
    return crew


def test_what_eases_its_fault_and_costs_time_is_named_so_on_the_page() -> None:
    told = page(judged("better", 1.500))
    assert "Do: PUT BACK. It eased the fault and it likely costs time" in told


def test_what_cures_its_fault_and_costs_time_is_named_so_on_the_page() -> None:
    told = page(judged("gone", 1.500))
    assert "The fault is gone, and by the clock it likely costs time" in told
    assert "costs time" not in page(judged("gone", 1.390))
