"""What is wrong with a car file: every fault together, each with its place."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.files import CarFileError, read_car

FIVE = ("left front", "right front", "left rear", "right rear", "left rear")
CORE = 'id = "c"\nname = "C"\nunits = "us"\nrear_suspension = "other"\n'
KNOB = """
[[dampers]]
corner = "left front"
[[dampers.knobs]]
id = "rebound"
controls = "rebound"
clicks = 18
count_from = "full soft"
start = 8
"""
PAIR = KNOB + KNOB.replace("left", "right")


def lever(number: str) -> str:
    return f'[[levers]]\nid = "a"\nkind = "preload"\naxle = "rear"\n{number}\n'


def faults_of(content: str | bytes) -> list[str]:
    data = content.encode() if isinstance(content, str) else content
    with pytest.raises(CarFileError) as caught:
        read_car(data, "car.toml")
    faults = [str(fault) for fault in caught.value.faults]
    assert str(caught.value).splitlines() == ["car.toml:", *(f"  {fault}" for fault in faults)]
    return faults


@pytest.mark.parametrize(
    ("content", "faults"),
    [
        (
            b"id = '\n\xff'",
            ["line 2: found bytes that are not UTF-8; wanted a file saved as UTF-8"],
        ),
        ("id = 1\nname C", ["line 2, column 6: found what is not TOML (expected '=' after a key"]),
        ("id = " + "9" * 5000, ["the file: found a number with thousands of digits"]),
        ("id = " + "[" * 5000, ["the file: found tables or lists nested too deep"]),
        ("id" + ".a" * 5000 + " = 1", ["the file: found tables or lists nested too deep"]),
        ("", ["the file: found none of a car's keys"]),
        ('[project]\nname = "x"', ["the file: found none of a car's keys"]),
    ],
    ids=["bytes", "no toml", "digits", "lists", "tables", "nothing", "another file"],
)
def test_what_is_no_car_file_at_all(content: str | bytes, faults: list[str]) -> None:
    found = faults_of(content)
    assert len(found) == len(faults)
    assert all(f.startswith(wanted) for f, wanted in zip(found, faults, strict=True))


@pytest.mark.parametrize(
    ("content", "faults"),
    [
        pytest.param(
            "front = 3\ndampers = {}\nlevers = 3\nguesses = 'x'\n" + CORE,
            [
                "guesses: found 'x'; wanted a list",
                "front: found 3; wanted a table",
                "dampers: found a table; wanted [[dampers]] tables",
                "levers: found 3; wanted [[levers]] tables",
            ],
            id="other shape",
        ),
        pytest.param(
            "wheelie_bars = false",
            [
                "id: found nothing; wanted text in quotes",
                "name: found nothing; wanted text in quotes",
                "units: found nothing; wanted 'us' or 'metric'",
            ],
            id="missing",
        ),
        pytest.param(
            CORE + PAIR.replace("clicks = 18", "clicks = 500", 1),
            [
                "dampers 1 (left front), knobs 1 (rebound), clicks: "
                "found 500; wanted a whole number from 1 up to 200"
            ],
            id="clicks out of range",
        ),
        pytest.param(
            CORE + PAIR.replace("clicks = 18", "clicks = 12.5", 1),
            [
                "dampers 1 (left front), knobs 1 (rebound), clicks: "
                "found 12.5; wanted a whole number from 1 up to 200"
            ],
            id="clicks not whole",
        ),
        pytest.param(
            CORE + PAIR.replace("start = 8", "start = 19"),
            [
                "left front rebound.start: found 19; wanted 0 to 18 clicks",
                "right front rebound.start: found 19; wanted 0 to 18 clicks",
            ],
            id="start beyond the end",
        ),
        pytest.param(
            CORE + PAIR.replace("start = 8", "start = 8.5"),
            [
                "left front rebound.start: found 8.5; wanted whole clicks",
                "right front rebound.start: found 8.5; wanted whole clicks",
            ],
            id="start not whole",
        ),
        pytest.param(
            CORE + KNOB,
            [
                "left front rebound: found no knob 'rebound' to pair with on the right front; "
                'wanted one, or pair = "none"'
            ],
            id="no pair",
        ),
        pytest.param(
            CORE + "[masses]\ntotal = -3200",
            ["masses.total: found -3200; wanted a number from "],
            id="negative mass",
        ),
        pytest.param(
            CORE + "[geometry]\nwheelbase = 0",
            ["geometry.wheelbase: found 0; wanted a number from "],
            id="zero wheelbase",
        ),
        pytest.param(
            CORE + lever("start = 1") * 2,
            ["levers: found id 'a' 2 times; wanted each id once"],
            id="lever twice",
        ),
        pytest.param(
            CORE + PAIR + KNOB,
            ["dampers: found corner 'left front' 2 times; wanted each corner once"],
            id="corner twice",
        ),
        pytest.param(
            CORE + "".join(f'[[dampers]]\ncorner = "{corner}"\n' for corner in FIVE),
            ["dampers: found 5 entries; wanted at most 4"],
            id="five dampers",
        ),
        pytest.param(
            CORE + "[front]\nspring_rte = 3\nmas = 1\n",
            [
                "front.spring_rte: found an unknown key; wanted a known key, perhaps spring_rate",
                "front.mas: found an unknown key; wanted one of spring_rate, motion_ratio, "
                "damper_angle, spring_motion_ratio, bump_travel, droop_travel, tyre, "
                "tyre_diameter, tyre_rate",
            ],
            id="unknown keys",
        ),
        pytest.param(
            "wheelie_bars = 1\n" + CORE + "[rear]\nmotion_ratio = '0.9'\n" + lever("start = true"),
            [
                "wheelie_bars: found 1; wanted true or false",
                "rear.motion_ratio: found '0.9'; wanted a number above 0.1 up to 1.5",
                "levers 1 (a), start: found true; wanted a number or text in quotes",
            ],
            id="wrong types",
        ),
        pytest.param(
            CORE.replace('"C"', "2031-01-02"),
            ["name: found 2031-01-02; wanted text in quotes"],
            id="a date",
        ),
        pytest.param(
            CORE + lever("start = nan\nlow = inf"),
            [
                "levers 1 (a), low: found inf; wanted a number",
                "levers 1 (a), start: found nan; wanted a number or text in quotes",
            ],
            id="not finite",
        ),
        pytest.param(
            CORE + PAIR.replace("start = 8", f"start = {10**400}", 1),
            [
                "dampers 1 (left front), knobs 1 (rebound), start: "
                "found a number too large to hold; wanted a number from 0"
            ],
            id="too large",
        ),
    ],
)
def test_each_fault_names_place_found_and_wanted(content: str, faults: list[str]) -> None:
    found = faults_of(content)
    assert len(found) == len(faults), found
    assert all(f.startswith(wanted) for f, wanted in zip(found, faults, strict=True)), found


def test_faults_of_one_field_and_of_two_are_told_together(demo_text: str) -> None:
    text = demo_text
    for old, new in (
        ("wheelbase = 108", "wheelbase = 0"),
        ("total = 3200", "total = 3300"),
        ("clicks = 18", "clicks = 18.5"),
        ("start = 9", "start = 19"),
        ("ground_clearance", "ground_clearence"),
    ):
        text = text.replace(old, new, 1)
    wheres = [re.split(r": found", fault)[0] for fault in faults_of(text)]
    assert wheres == [
        "geometry.wheelbase",
        "geometry.ground_clearence",
        "dampers 1 (left front), knobs 1 (rebound), clicks",
        "left front low-speed compression.start",
        "right front low-speed compression.offset",
        "masses.total",
    ]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("clicks = 18", "clicks = -1"),
        ("clicks = 18", "clciks = 18"),
        ("clicks = 18", "clicks = '18'"),
        ('id = "rebound"', 'id = "Re/bound"'),
        ('corner = "left front"', 'corner = "front left"'),
        ('controls = "rebound"', ""),
        ("start = 8", "start = nan"),
    ],
)
def test_the_twin_of_a_faulty_knob_is_not_blamed(old: str, new: str) -> None:
    found = faults_of(CORE + PAIR.replace(old, new, 1))
    assert all(fault.startswith("dampers 1 (") for fault in found), found


def test_a_missing_twin_is_told_beside_a_fault_elsewhere() -> None:
    rear = KNOB.replace("front", "rear").replace("clicks = 18", "clicks = 0")
    found = faults_of(CORE + KNOB + rear)
    assert [fault.partition(": ")[0] for fault in found] == [
        "dampers 2 (left rear), knobs 1 (rebound), clicks",
        "left front rebound",
    ]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("cg_height = 22", "cg_height = -22"),
        ("[geometry]", "geometry = 3\n[geometri]"),
        ('positions = ["holes A, lowest"', 'positions = ["\\u0007"'),
    ],
)
def test_what_follows_from_a_fault_is_not_told(demo_text: str, old: str, new: str) -> None:
    if "geometry = 3" in new:
        demo_text = "geometry = 3\n" + demo_text.replace(old, "[geometri]")
        assert len(faults_of(demo_text)) == 2
        return
    assert len(faults_of(demo_text.replace(old, new))) == 1


def test_without_units_the_other_faults_are_told() -> None:
    text = CORE.replace('units = "us"', 'units = "imperial"') + (
        "[geometry]\nwheelbase = -1\ncg_height = 600\n[masses]\ntotal = 'x'\n[front]\nzz = 1\n"
    )
    found = faults_of(text)
    assert [fault.partition(": ")[0] for fault in found] == [
        "units",
        "masses.total",
        "geometry.wheelbase",
        "front.zz",
    ]
    assert " in or a number from 1 to " in found[2]


@pytest.mark.parametrize(
    "written",
    ["\\u001b[31m", "a\\nb", "a\\tb", "\\u0000", "\\u009b31m", "\\u202eabc", "\\u2028", "\\u007f"],
)
@pytest.mark.parametrize("key", ["name", "tools"])
def test_control_characters_are_refused(key: str, written: str) -> None:
    text = CORE + lever(f'start = 1\ntools = "{written}"')
    if key == "name":
        text = CORE.replace('"C"', f'"{written}"')
    (found,) = faults_of(text)
    assert found.endswith("; wanted text without control characters")
    assert found.isprintable()


@pytest.mark.parametrize("long", ["x" * 10_000, "[" * 10_000, "\\u001b" * 10_000])
def test_long_text_is_shortened_in_the_message(long: str) -> None:
    (found,) = faults_of(CORE.replace('"C"', f'"{long}"'))
    assert len(found) < 250
    (found,) = faults_of(f'"{long}" = 1\n' + CORE)
    assert len(found) < 350
    assert found.isprintable()


@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_no_file_does_worse_than_being_refused(data: bytes) -> None:
    with pytest.raises(CarFileError) as caught:
        read_car(data, "car.toml")
    assert caught.value.faults


_JUNK = st.recursive(
    st.sampled_from(['"x"', "1", "-1.5", "true", "nan", "9" * 30, "2031-01-01", '"\\u001b"']),
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(
            st.sampled_from(["id", "corner", "knobs", "start", "clicks", "positions", "zz"]),
            inner,
            max_size=3,
        ).map(lambda d: "{" + ", ".join(f"{key} = {value}" for key, value in d.items()) + "}")
    ),
    max_leaves=12,
)
_KEYS = ("id", "units", "guesses", "masses", "geometry", "front", "dampers", "levers", "zz")


@given(st.dictionaries(st.sampled_from(_KEYS), _JUNK, min_size=1))
def test_any_toml_is_read_or_refused_with_faults(junk: dict[str, str]) -> None:
    text = "\n".join(f"{key} = {value}" for key, value in junk.items())
    with pytest.raises(CarFileError) as caught:
        read_car(text.encode(), "car.toml")
    assert caught.value.faults
    assert all(line.isprintable() for line in str(caught.value).splitlines())


@pytest.mark.parametrize("number", ["1e308", "1e301", "-1e308", "9223372036854775807"])
@pytest.mark.parametrize("key", ["clicks", "turns", "marks_per_turn", "start", "offset"])
def test_huge_numbers_are_refused(key: str, number: str) -> None:
    knob = PAIR.replace("clicks = 18", "turns = 3")
    assert faults_of(CORE + re.sub(rf"\n{key} = .*", "", knob, count=1) + f"{key} = {number}\n")


WIDE = [f"speed [mm/s], {', '.join(f'{n} [N]' for n in range(1000))}", "50, 10", "90, 20"]
DYNO = "left front rebound.rebound_dyno: "


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (
            WIDE,
            [DYNO + "found 1001 columns, wanted at most 202: a speed, and one for each setting"],
        ),
        (
            ["speed [mm/s], 0 [N], 18 [N]", "50, 10, 20", "", "80, 5, 30"],
            [DYNO + "setting 0, row 4: force falls from 10 N to 5 N"],
        ),
        (["speed [mm/s], 18 [N]"], [DYNO + "found 0 rows, wanted at least two speeds"]),
        (
            ["speed [mm/s], 0 [N], 18 [N]", "50, 1e8, 2e8", "90, 2e8, 2e8"],
            [
                DYNO + "setting 0, row 3: found 2e+08 N, wanted at most 200000 N",
                DYNO + "setting 18, row 2: found 2e+08 N, wanted at most 200000 N",
            ],
        ),
    ],
    ids=["thousand columns", "blank line", "no rows", "forces of no damper"],
)
def test_a_dyno_table_is_told_in_whole_sentences(rows: list[str], said: list[str]) -> None:
    assert faults_of(
        CORE + PAIR.replace("start = 8\n", f"start = 8\nrebound_dyno = {rows}\n", 1)
    ) == (said)


def test_a_row_too_long_is_told_alone_and_no_rows_as_none() -> None:
    rows = [f"speed [mm/s], 0 [N]{' ' * 20_000}", "50, 10", "90, 20"]
    (fault,) = faults_of(CORE + PAIR + f"rebound_dyno = {rows}\n")
    assert "wanted at most 20000 characters" in fault
    (fault,) = faults_of(CORE + PAIR + "rebound_dyno = []\n")
    assert fault.endswith("found 0 entries; wanted at least 1")


def test_capitals_in_a_name_are_no_other_name() -> None:
    """One hand writes Rebound on the left, another rebound on the right: still a pair."""
    typed = CORE + PAIR.replace('id = "rebound"', 'id = "Rebound"', 1)
    knobs = [damper.knobs[0].id for damper in read_car(typed.encode(), "car.toml").dampers]
    assert knobs == ["rebound", "rebound"]
    assert all(
        "clicks" in fault for fault in faults_of(typed.replace("clicks = 18", "clicks = -1", 1))
    )
