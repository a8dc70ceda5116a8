"""A start for dampers nobody has run here: from the maker, from kept force, from the mechanics."""

from rules.car.model import Car
from rules.crew import first_passes
from rules.crew.sheets.dampers.damper_sheet import DAMPERS
from rules.crew.sheets.rounds import filling, open_field
from rules.log.events.meeting import NoteAdded
from tests.outside.test_start_and_crossover import sprung
from tests.rules.crew.sheets.test_dampers import valved
from tests.support.crew import Crew


def asked(crew: Crew) -> str:
    one = open_field(DAMPERS, filling(DAMPERS, crew.state))
    return one.key if one else ""


def default(crew: Crew) -> str:
    one = open_field(DAMPERS, filling(DAMPERS, crew.state))
    assert one is not None
    return f"{one.default} {one.hint}"


def say(crew: Crew, *answers: str) -> None:
    for value in answers:
        crew.do("answer sheet", sheet="dampers", key=asked(crew), value=value)


def test_the_makers_recommendation_is_walked_as_an_order_without_a_verdict() -> None:
    crew = Crew(valved())
    say(crew, "start", "front", "maker", "sheet 4: rebound 6, compression 4", "6", "4")
    say(crew, *(["y"] if asked(crew) == "knowing" else []), "short hit", "3 ft up, any sideways")
    crew.do("finish sheet", sheet="dampers")
    order = crew.state.work_order
    assert order is not None
    assert order.title == "Start of the front dampers, from maker"
    crew.tick()
    assert crew.state.settings["right front compression"] == 4
    assert crew.prompt.id == "symptoms"
    assert "First passes, front dampers, 1 of 3: short hit" in crew.prompt.notice
    assert "Abort point: 3 ft up, any sideways." in crew.prompt.notice
    note = crew.state.notes[-1].text
    assert "1. short hit, off the throttle before the front is high" in note
    assert "2. to the 60-foot" in note
    assert "3. full pass, only after both before it were clean" in note
    assert note.endswith("Abort point agreed with the driver: 3 ft up, any sideways.")


def test_kept_force_proposes_the_count_of_the_new_curves() -> None:
    """12 on the soft pack is 1200 N at high speed: 849 x 2^(n/6) on the firm one gives n = 3."""
    crew = Crew(valved())
    say(crew, "start", "front", "kept force", "C2")
    assert asked(crew) == "start left front rebound"
    assert default(crew).startswith("9 No dyno table of it gives a count: 9 is today's count.")
    say(crew, "9")
    assert default(crew).startswith("3 ")
    assert "the settle: soft" in default(crew)
    assert "count 6" in default(crew)


def test_a_pack_without_a_table_is_no_table_of_the_new_dampers() -> None:
    noted = {"kind": "valving", "axle": "front", "name": "C7", "note": "0.2 x 4"}
    crew = Crew(Car.parse({**valved().model_dump(by_alias=True), "stock": [noted]}))
    say(crew, "start", "front")
    one = open_field(DAMPERS, filling(DAMPERS, crew.state))
    assert one is not None
    why = {choice.id: choice.why_not for choice in one.choices}
    assert why["kept force"] == "no table of theirs is in stock"


def test_the_mechanics_give_a_window_marked_as_computed_and_its_counts() -> None:
    """94 to 169 N at 51 mm/s; the table has 100 N at 0, 200 N at 6, so 0 to 4 lie in it."""
    raw = valved().model_dump(by_alias=True)
    more = sprung().model_dump(by_alias=True)
    crew = Crew(Car.parse({**raw, "masses": more["masses"], "front": more["front"]}))
    say(crew, "start", "front")
    assert "Compression, computed: 0.25 to 0.45 of critical" in default(crew)
    say(crew, "mechanics", "9")
    assert default(crew).startswith("2 Computed: 0 to 4 lie in the window.")


def test_a_start_is_one_count_on_both_sides_and_says_which_counts_are_the_crews_own() -> None:
    crew = Crew(valved())
    crew.do("recount", adjuster="right front compression", found="6")
    say(crew, "start", "front", "kept force", "C2", "8", "3", "short hit", "3 ft")
    says = DAMPERS.result(filling(DAMPERS, crew.state)).says
    assert "Typed by the crew, not computed: rebound." in says
    crew.do("finish sheet", sheet="dampers")
    crew.tick()
    assert crew.state.settings["left front compression"] == 3
    assert crew.state.settings["right front compression"] == 3


def test_without_masses_the_mechanics_say_what_is_missing() -> None:
    crew = Crew(valved())
    say(crew, "start", "front")
    one = open_field(DAMPERS, filling(DAMPERS, crew.state))
    assert one is not None
    why = {choice.id: choice.why_not for choice in one.choices}
    assert why["mechanics"] == "the car file lacks masses.left_front, masses.right_front"


def test_the_plan_of_a_start_that_stands_already_is_kept_as_a_note() -> None:
    crew = Crew(valved())
    say(crew, "start", "rear", "maker", "as it is", "9", "9", "60-foot", "60 ft")
    crew.do("finish sheet", sheet="dampers")
    assert crew.state.work_order is None
    assert "1 of 2: to the 60-foot" in crew.prompt.notice
    crew.tell(symptoms=["it-is-good"], stand="small")
    crew.say("ok")
    assert "2 of 2: full pass, only after both" in crew.prompt.notice
    assert any(isinstance(one.body, NoteAdded) for one in crew.log)


def test_a_pass_that_was_not_clean_is_no_step_of_the_plan() -> None:
    crew = Crew(valved())
    say(crew, "start", "rear", "maker", "as it is", "9", "9", "short hit", "60 ft")
    crew.do("finish sheet", sheet="dampers")
    assert "1 of 3: short hit" in first_passes.next_pass(crew.state, crew.book)
    crew.tell(symptoms=["front-carries"], stand="dangerous")
    again = "1 of 3 again, for the last was not clean: short hit"
    assert again in first_passes.next_pass(crew.state, crew.book)
