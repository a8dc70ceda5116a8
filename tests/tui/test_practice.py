"""A practice day at the screen: passes are run, answers are stored, and the truth comes last."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from drive import BOOK, Rig, counted_ids, make_desk, screen_text

from profiles.exports import as_json, csv_files
from profiles.paths import DataFolder, DataFolderError, data_folder
from profiles.practice import drawn_from, practice_car
from profiles.tables import TableFileError, read_table
from rules.asked import Topic
from rules.car.adjusters import starts
from rules.crew.sheets.all import MENU
from rules.launch.cloud.on_paper import Params
from rules.log.events.car import Recounted
from rules.log.events.passes import Answered, Measured
from rules.log.merge import state_of
from rules.log.said import SYMPTOMS, WHAT_ELSE
from rules.paper.baseline_card import baseline_card
from rules.paper.event_sheet import event_sheet
from rules.paper.page import as_html, as_markdown
from rules.paper.shop_page import shop_page
from rules.practice.all_knowing import road
from rules.practice.hidden_car import MOST_CHANGES, HiddenCar
from rules.practice.words import SIMULATED
from tests.support.practice import SEED, practice_truth
from tui.app import SetdownApp
from tui.pages.day_paper import day_paper
from tui.papers import PAPERS, Papers
from tui.practising import GOOD_DAY, Practising


def the_day(tmp_path: Path) -> Practising:
    """Open the practice day at a fresh desk, or at the log that stands there."""
    folder = data_folder(tmp_path, demo=True)
    desk = make_desk(tmp_path / "log.sqlite3", practice_car(folder, SEED))
    return Practising(desk, drawn_from(), practice_truth)


async def test_a_pass_is_run_seen_and_answered(tmp_path: Path) -> None:
    """Nothing is asked of a pass before it ran; what is answered for the crew is in the log."""
    day = the_day(tmp_path)
    app = SetdownApp(day.desk, settle_s=0.0, practising=day)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        rig = Rig(day.desk, app, pilot)
        assert SIMULATED in rig.text
        await rig.keys("escape")
        assert "Not run yet" in rig.message
        await rig.keys("space")
        assert day.desk.state.runs == ()
        await rig.keys("1", "enter")
        assert "Not run yet" in rig.message
        assert day.desk.state.runs == ()
        await rig.keys("f5", "enter")
        assert SIMULATED in rig.text
        assert "60-foot" in rig.text
        assert day.desk.state.runs == ()
        await rig.keys("enter")
        assert "SIMULATED car" in rig.text
        rig.events()
        await rig.keys("space")
        faults = tuple(day.run().outcome.faults)
        stored = rig.events()
        assert isinstance(stored[1], Answered)
        assert stored[1].value == faults
        assert {body.what for body in stored if isinstance(body, Measured)} == {
            "front ring",
            "lift",
        }
        while day.desk.prompt.topic not in (Topic.WORKING_OUT, Topic.ADVICE):
            if day.desk.prompt.kind == "tick":
                await rig.keys("space")
                assert "This one is yours" in rig.message
                await rig.all_ok()
            else:
                await rig.keys("space")
        await rig.worked()
        assert day.desk.prompt.topic == Topic.ADVICE
        await rig.keys("space")
        assert "This one is yours" in rig.message
        await rig.keys("f6")
        assert SIMULATED in rig.text
        assert "WHAT WAS WRONG" in rig.text


async def test_a_killed_day_goes_on_where_it_was(tmp_path: Path) -> None:
    """The pass that was answered is the pass that is shown again, reading by reading."""
    day = the_day(tmp_path)
    day.was_run()
    day.desk.answer("symptoms", day.answer() or ())
    before = day.run()
    day.desk.log.close()
    again = the_day(tmp_path)
    assert again.desk.state.open_run is not None
    assert again.run().outcome.columns == before.outcome.columns
    assert again.waiting() == 1
    app = SetdownApp(again.desk, settle_s=0.0, practising=again)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert SIMULATED in screen_text(app)


def test_a_turn_before_the_pass_is_run_is_run_with_it(tmp_path: Path) -> None:
    day = the_day(tmp_path)
    first = day.run()
    day.was_run()
    assert day.waiting() is None
    by = day.desk.state.settings["left front rebound"] + 6.0
    day.desk.log.append(
        [Recounted(adjuster=f"{side} front rebound", found=by) for side in ("left", "right")],
        now=day.desk.clock(),
        ids=counted_ids(500),
    )
    assert day.waiting() == 1
    assert day.run().outcome.columns != first.outcome.columns


def test_the_day_is_over_after_two_good_passes(tmp_path: Path) -> None:
    day = the_day(tmp_path)
    assert not day.is_over
    assert any("No pass was run yet." in line for line in day.truth())


class SteadyCar(HiddenCar):
    """A car whose passes do not scatter."""

    def on_pass(self, settings: Mapping[str, float], number: int) -> Params:
        return self.at(settings)


@pytest.mark.long
async def test_a_day_that_is_over_when_it_is_opened_again_is_told(tmp_path: Path) -> None:
    """Two passes without a fault, at the settings that a crew who knows all would find."""
    drawn = practice_truth()
    car = SteadyCar(drawn.seed, drawn.starts, drawn.truth, drawn.may_have_bars)
    day = replace(the_day(tmp_path), draw=lambda: car)
    good = road(drawn_from(), car.at, car.starts, MOST_CHANGES)[-1].turn
    assert good is not None
    turned = [
        Recounted(adjuster=one, found=to)
        for one, to in good.settings.items()
        if day.desk.state.settings[one] != to
    ]
    day.desk.log.append(turned, now=day.desk.clock(), ids=counted_ids(500))
    for _ in range(GOOD_DAY):
        assert not day.may_be_over
        for topic in (SYMPTOMS, WHAT_ELSE, Topic.ADVICE):
            assert day.desk.prompt.topic == topic
            day.desk.answer(day.desk.prompt.id, day.answer() or "ok")
    assert day.is_over
    day.desk.log.close()
    again = replace(the_day(tmp_path), draw=lambda: car)
    app = SetdownApp(again.desk, settle_s=0.0, practising=again)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        rig = Rig(again.desk, app, pilot)
        await rig.worked()
        assert f"Passes run: {GOOD_DAY}, the last {GOOD_DAY} without a fault." in rig.text


def test_a_practice_car_never_meets_real_data(tmp_path: Path) -> None:
    """Its file and log lie in the demonstration's half; the real half takes no such car."""
    car = practice_car(data_folder(tmp_path, demo=True), SEED)
    assert car.invented
    assert "SIMULATED" in car.name
    assert starts(car) == practice_truth().starts
    with pytest.raises(DataFolderError, match="never meets real data"):
        DataFolder(tmp_path).log_file(car.id)


def test_what_is_exported_of_it_says_so_and_is_not_taken_in(tmp_path: Path) -> None:
    """Every row of its tables is marked, the JSON names it, and no import takes its passes."""
    day = the_day(tmp_path)
    day.desk.answer("symptoms", day.answer() or ())
    events = list(day.desk.log.events())
    for name, data in csv_files(state_of(events), BOOK).items():
        head, *rows = data.decode("utf-8-sig").splitlines()
        assert head.startswith("simulated,")
        assert all(row.startswith("yes,") for row in rows)
        (tmp_path / name).write_bytes(data)
    with pytest.raises(TableFileError, match="passes of a practice day"):
        read_table(tmp_path / "passes.csv")
    assert b'"car": "simulated-6"' in as_json(events, BOOK)
    assert "SIMULATED" in repr(baseline_card(day.desk.state))


def played_day(tmp_path: Path) -> Practising:
    """Return a practice day with a pass on it, its log in the demonstration's half."""
    folder = data_folder(tmp_path, demo=True)
    car = practice_car(folder, SEED)
    desk = make_desk(folder.log_file(car.id), car)
    day = Practising(desk, drawn_from(), practice_truth)
    desk.answer("symptoms", day.answer() or ())
    to = tmp_path / "written"
    to.mkdir()
    desk.papers = lambda: Papers(folder, car.id, desk.log, BOOK, desk.clock, to)
    return day


@pytest.mark.parametrize("what", PAPERS)
def test_what_is_printed_or_exported_from_the_screen_says_simulated(
    tmp_path: Path, what: str
) -> None:
    """Each file says it, in its name and in itself; a table in the column that no import takes."""
    desk = played_day(tmp_path).desk
    assert desk.papers is not None
    files = desk.papers().ready(what)()
    assert files
    for path in files:
        assert path.name.startswith(f"setdown-simulated-{SEED}-")
        head = "simulated," if path.suffix == ".csv" else "SIMULATED car"
        assert head in path.read_text(encoding="utf-8-sig")


def test_every_printed_page_says_simulated(tmp_path: Path) -> None:
    """The event sheet, the card, the day, and each sheet of the shop."""
    state = played_day(tmp_path).desk.state
    pages = [event_sheet(state, BOOK), baseline_card(state)]
    pages += [shop_page(state, sheet, blank=True) for sheet in MENU]
    for page in pages:
        assert "SIMULATED car" in as_markdown(page)
        assert "SIMULATED car" in as_html(page)
    assert "SIMULATED car" in "\n".join(day_paper(state, BOOK))
