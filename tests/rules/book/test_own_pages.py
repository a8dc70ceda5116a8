"""A crew's own pages may add to the book; they never take a word from under a safety gate."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from rules.book import Book, BookError, shipped, with_own
from tests.support.sample import sampled

BOOK = shipped()
DANGER = {symptom.id for symptom in BOOK.symptoms.values() if symptom.safety}
STANDING_FIRST = {
    symptom: max(
        (r.order for r in BOOK.rules_for(symptom) if r.do in ("stop", "inspect")), default=0
    )
    for symptom in DANGER
}


def shipped_page(kind: str, page_id: str) -> dict[str, Any]:
    """Return one page of the shipped book as its file has it."""
    folder = Path(__file__).parents[3] / "rules" / "book"
    for path in folder.rglob("*.toml"):
        pages = tomllib.loads(path.read_text("utf-8")).get(kind, [])
        for page in pages if isinstance(pages, list) else [pages]:
            if page["id"] == page_id:
                return dict(page)
    raise AssertionError(page_id)


def read(kind: str, page: dict[str, Any]) -> Book:
    pages: Any = page if kind == "symptom" else [page]
    return with_own({"own.toml": tomli_w.dumps({kind: pages})})


def refused(kind: str, page: dict[str, Any], message: str) -> None:
    with pytest.raises(BookError) as caught:
        read(kind, page)
    assert message in str(caught.value)


def test_two_answers_may_not_swap_their_words() -> None:
    page = shipped_page("prompt", "front-travel")
    first, *others, last = page["choices"]
    page["choices"] = [
        {**first, "label": last["label"]},
        *others,
        {**last, "label": first["label"]},
    ]
    refused("prompt", page, "prompt front-travel: 'at-stop' among its choices wants 'At the stop")


def test_an_answer_may_not_stand_twice_with_other_words() -> None:
    page = shipped_page("prompt", "front-travel")
    page["choices"] = [*page["choices"], {"id": "short-soft", "label": "At the stop"}]
    refused("prompt", page, "'short-soft' among its choices wants")


@pytest.mark.parametrize("prompt", sampled(zip(sorted(BOOK.prompts)), 4))
def test_a_shipped_question_keeps_its_words(prompt: str) -> None:
    page = shipped_page("prompt", prompt)
    refused("prompt", {**page, "question": "And now?"}, f"prompt {prompt}: found question")
    standing = not page.get("standing", False)
    refused("prompt", {**page, "standing": standing}, f"prompt {prompt}: found standing")


@pytest.mark.parametrize("inspection", sampled(zip(sorted(BOOK.inspections)), 4))
def test_a_shipped_list_keeps_its_words(inspection: str) -> None:
    page = shipped_page("inspection", inspection)
    items = [{**item, "label": "All is well"} for item in page["items"]]
    refused("inspection", {**page, "items": items}, "among its items wants")
    refused("inspection", {**page, "title": "A short look"}, "found title 'A short look'")
    lasts = "pass" if page.get("lasts") == "meeting" else "meeting"
    refused("inspection", {**page, "lasts": lasts}, f"found lasts {lasts!r}")


def test_a_question_and_a_list_may_be_added_to() -> None:
    page = shipped_page("prompt", "front-travel")
    more = {"id": "lost", "label": "The ring is gone"}
    book = read("prompt", {**page, "choices": [*page["choices"], more], "hint": "Read it twice."})
    assert [choice.id for choice in book.prompts["front-travel"].choices][-1] == "lost"
    page = shipped_page("inspection", "fluid-leak")
    more = {"id": "rag", "label": "A clean rag under the car stayed clean"}
    assert read("inspection", {**page, "items": [*page["items"], more]}).overridden == {
        "fluid-leak"
    }


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", "Lands softly"),
        ("safety", 99),
        ("never", "Nothing at all."),
        ("never_ticked", "Nothing."),
    ],
)
def test_a_symptom_of_danger_keeps_its_name_and_rank(field: str, value: object) -> None:
    page = {**shipped_page("symptom", "front-drops-hard"), field: value}
    refused("symptom", page, f"symptom front-drops-hard: found {field} {value!r}")


def test_what_is_no_danger_is_not_put_before_it() -> None:
    page = {**shipped_page("symptom", "it-is-good"), "safety": 100}
    refused("symptom", page, "found safety 100; wanted 0, as shipped")


HELD = sorted(
    r.id
    for r in BOOK.rules.values()
    if r.do in ("stop", "inspect", "leave") and r.symptom in DANGER
)


@pytest.mark.parametrize("rule_id", sampled(zip(HELD), 4))
def test_what_stops_or_inspects_danger_is_not_retired(rule_id: str) -> None:
    page = shipped_page("rule", rule_id)
    refused("rule", {**page, "status": "retired"}, "it is not overridden or retired")
    assert read("rule", page).rules[rule_id] == BOOK.rules[rule_id]


def turning(rule_id: str, symptom: str, order: int) -> dict[str, Any]:
    """Return a rule that lets the front rise more, whatever was seen."""
    page = shipped_page("rule", "slow-rise-rebound-softer")
    anything = {"answers": {}}
    page |= {"id": rule_id, "symptom": symptom, "order": order}
    page |= {"when": {"all": []}, "fires": [anything], "silent": [anything]}
    return page


def test_a_stop_is_not_turned_into_a_turn() -> None:
    page = turning("wanders-light-stop", "wanders-at-speed", 10)
    refused("rule", page, "rule wanders-light-stop: says 'stop' for wanders-at-speed")


@pytest.mark.parametrize("symptom", sorted(s for s, last in STANDING_FIRST.items() if last))
def test_an_own_turn_comes_after_what_is_stopped_or_inspected_first(symptom: str) -> None:
    last = STANDING_FIRST[symptom]
    refused("rule", turning("own-turn", symptom, last), f"found order {last}; wanted more than")
    assert "own-turn" in read("rule", turning("own-turn", symptom, last + 1)).rules


def test_a_turn_for_danger_may_be_overridden() -> None:
    page = shipped_page("rule", "shake-slips-launch-less")
    book = read("rule", {**page, "basis": "our own notes"})
    assert book.overridden == {"shake-slips-launch-less"}
    first = {**page, "order": 1}
    refused("rule", first, "after what is stopped or inspected first for tyre-shake")


def test_where_there_is_no_danger_a_rule_may_be_retired() -> None:
    page = {**shipped_page("rule", "bogs-engine-first"), "status": "retired"}
    assert read("rule", page).rules["bogs-engine-first"].status == "retired"
