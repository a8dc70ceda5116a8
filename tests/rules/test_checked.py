"""A part is read, refused and written as a plain model of the library that says the same."""

import json
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Annotated, Any, Literal, Self

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    TypeAdapter,
    ValidationError,
    model_validator,
)

from rules import checked
from rules.checked import as_model, reader_of
from rules.part import FilePart, FirstThatFits, Within, said
from tests.support.sample import examples


def small(raw: object) -> object:
    return raw.lower() if isinstance(raw, str) else raw


class Coil(FilePart):
    """One kind of what holds the car up."""

    kind: Literal["coil"]
    rate: float = said("Of one.", key="rate_in_file", gt=0, le=10)


class Leaf(FilePart):
    """The other kind."""

    kind: Literal["leaf"] = "leaf"
    leaves: int = said(default=1, ge=1, le=4, strict=True)


class Axle(FilePart):
    """A part with parts in it."""

    takes_inf = False

    id: Annotated[str, Within(small, pattern=r"^[a-z]+$", max_length=3)]
    load: float | None = None
    share: Annotated[float, Within(ge=0, le=1)] = 0.5
    names: Annotated[tuple[str, ...], Within(min_length=1, max_length=2)] = ("a",)
    spring: Annotated[Coil | Leaf, FirstThatFits()] | None = None
    fitted: Leaf = said("As it came.", default=Leaf())
    more: tuple[Leaf, ...] = said(default=(), max_length=2)
    notes: dict[str, str] = said(default_factory=dict)
    minutes: int = 5

    @classmethod
    def before_read(cls, raw: object) -> object:
        return {"minutes": 9, **raw} if isinstance(raw, dict) and "load" in raw else raw

    def check(self) -> None:
        if self.load is None and self.share == 1:
            raise ValueError("a share of nothing")


class _Plain(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class PlainCoil(_Plain):
    kind: Literal["coil"]
    rate: float = Field(alias="rate_in_file", gt=0, le=10)


class PlainLeaf(_Plain):
    kind: Literal["leaf"] = "leaf"
    leaves: int = Field(default=1, ge=1, le=4, strict=True)


class PlainAxle(_Plain):
    model_config = ConfigDict(allow_inf_nan=False)

    id: Annotated[str, StringConstraints(pattern=r"^[a-z]+$", max_length=3), BeforeValidator(small)]
    load: float | None = None
    share: Annotated[float, Field(ge=0, le=1)] = 0.5
    names: Annotated[tuple[str, ...], Field(min_length=1, max_length=2)] = ("a",)
    spring: Annotated[PlainCoil | PlainLeaf, Field(union_mode="left_to_right")] | None = None
    fitted: PlainLeaf = PlainLeaf()
    more: tuple[PlainLeaf, ...] = Field(default=(), max_length=2)
    notes: dict[str, str] = Field(default_factory=dict)
    minutes: int = 5

    @model_validator(mode="before")
    @classmethod
    def before_read(cls, raw: object) -> object:
        return Axle.before_read(raw)

    @model_validator(mode="after")
    def check(self) -> Self:
        if self.load is None and self.share == 1:
            raise ValueError("a share of nothing")
        return self


NUMBERS = st.sampled_from([0, 1, 2, 5, 0.5, -1, 11, float("inf"), float("nan"), True, "2", None])
TEXTS = st.sampled_from(["a", "AB", "abcd", "a b", "", 3, None])
LEAVES = st.fixed_dictionaries({}, optional={"kind": st.just("leaf"), "leaves": NUMBERS})
COILS = st.fixed_dictionaries({"kind": st.just("coil")}, optional={"rate_in_file": NUMBERS})
SPRINGS = LEAVES | COILS | st.sampled_from([None, "coil", {"kind": "bar"}, {"rate": 2}])
GOOD = st.fixed_dictionaries(
    {"id": st.sampled_from(["a", "AB", "abc"])},
    optional={
        "load": st.sampled_from([None, 1, 2.5]),
        "share": st.sampled_from([0, 0.25, 1]),
        "names": st.sampled_from([("a",), ("a", "b")]),
        "spring": st.sampled_from([None, {"leaves": 2}, {"kind": "coil", "rate_in_file": 2}]),
        "fitted": st.sampled_from([{}, {"leaves": 4}]),
        "more": st.lists(st.just({"leaves": 3}), max_size=2),
        "notes": st.just({"a": "b"}),
        "minutes": st.just(7),
    },
)
ANY = st.fixed_dictionaries(
    {},
    optional={
        "id": TEXTS,
        "load": NUMBERS,
        "share": NUMBERS,
        "names": st.lists(TEXTS, max_size=3) | TEXTS,
        "spring": SPRINGS,
        "fitted": SPRINGS,
        "more": st.lists(SPRINGS, max_size=3),
        "notes": st.dictionaries(st.sampled_from(["a", "b"]), TEXTS, max_size=1),
        "minutes": NUMBERS,
        "nobody": NUMBERS,
    },
)
JUNK = st.sampled_from([None, "a", 3, [], [{"id": "a"}]])
Fault = tuple[tuple[str | int, ...], str, str]


def read(reader: Callable[[], Any]) -> tuple[Any, list[Fault]]:
    """Return what is read, or its faults: where they are, of which kind, in which words."""
    try:
        return reader(), []
    except ValidationError as fault:
        # What was made of a model is named after it, in the places of a union too.
        found = json.loads(json.dumps([(e["loc"], e["type"], e["msg"]) for e in fault.errors()]))
        return None, json.loads(json.dumps(found).replace("Plain", ""))


@given(raw=GOOD | ANY | JUNK, strict=st.booleans(), extra=st.sampled_from([None, "ignore"]))
@example(raw={"id": "a", "share": 1}, strict=False, extra=None)
@examples(150, 1500)
def test_a_part_is_read_and_refused_as_a_plain_model(raw: Any, strict: bool, extra: Any) -> None:
    plain, refused = read(
        lambda: TypeAdapter(PlainAxle).validate_python(raw, strict=strict, extra=extra)
    )
    part, faults = read(lambda: Axle.model_validate(raw, strict=strict, extra=extra))
    assert faults == refused
    if part is None:
        return
    for by_alias in (True, False):
        written = part.model_dump(by_alias=by_alias)
        assert written == plain.model_dump(by_alias=by_alias)
        assert part.model_dump_json(by_alias=by_alias) == plain.model_dump_json(by_alias=by_alias)
    as_it_lies = json.loads(part.model_dump_json(by_alias=True))
    assert Axle.model_validate(as_it_lies) == Axle.model_validate(part.model_dump(by_alias=True))
    assert Axle.model_validate(as_it_lies) == part
    assert part.model_dump(exclude_defaults=True) == plain.model_dump(exclude_defaults=True)


def test_a_fault_of_a_kind_among_several_names_the_kind() -> None:
    with pytest.raises(ValidationError) as raised:
        Axle.model_validate({"id": "a", "spring": {"kind": "bar"}})
    places = {fault["loc"][:2] for fault in raised.value.errors()}
    assert places == {("spring", "Coil"), ("spring", "Leaf")}


def test_of_several_kinds_the_first_that_fits_is_taken_and_not_the_nearest() -> None:
    class Weighed(FilePart):
        load: float

    class Named(FilePart):
        load: str

    class Holder(FilePart):
        held_up: Annotated[Weighed | Named, FirstThatFits()]

    assert Holder.model_validate({"held_up": {"load": "1"}}).held_up == Weighed(load=1.0)


def test_a_part_that_was_read_is_taken_as_it_is() -> None:
    leaf = Leaf(leaves=3)
    assert Axle.model_validate({"id": "a", "fitted": leaf}).fitted is leaf
    # One that was made by its name is not checked, there as here.
    odd = Leaf(leaves=99)
    assert Leaf.model_validate(odd) is odd


def test_the_schema_of_a_file_is_the_plain_model_s() -> None:
    """But for descriptions, defaults that are parts, and a pattern for what is changed before."""

    def told(kind: Any) -> Any:
        reader = kind if isinstance(kind, TypeAdapter) else TypeAdapter(kind)
        return bare(json.loads(json.dumps(reader.json_schema()).replace("Plain", "")))

    def bare(schema: Any) -> Any:
        if isinstance(schema, list):
            return [bare(one) for one in schema]
        if not isinstance(schema, dict):
            return schema
        left_out = {"description", "pattern"} | ({"default"} if "$ref" in schema else set())
        return {key: bare(one) for key, one in schema.items() if key not in left_out}

    assert told(reader_of(Axle)) == told(PlainAxle)
    assert told(reader_of(Coil)) == told(PlainCoil)


def test_a_model_that_writes_a_part_holds_what_the_part_holds() -> None:
    axle = Axle(id="a", more=(Leaf(),))
    assert as_model(axle).__dict__ == axle.held()


def test_parts_are_read_the_same_by_many_threads_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    for built in ("_MODELS", "_READERS"):
        monkeypatch.setattr(checked, built, {})
    raw = {"id": "a", "spring": {"leaves": 2}, "more": [{}]}
    with ThreadPoolExecutor(8) as threads:
        found = list(threads.map(Axle.model_validate, [raw] * 32))
        written = set(threads.map(lambda one: one.model_dump_json(), found))
    assert all(one == found[0] for one in found)
    assert len(written) == 1
