"""Which answer rules: the stricter at once, the looser when an officer has accepted it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from safety.serve.ruling import Answers, Judged, changes, read_answers, ruling, strictest

NONE, HALF, FULL = Judged(0), Judged(1, 10.0, "half", 7200.0), Judged(1, 50.0, "full")
UNKNOWN, STOP = Judged(2), Judged(3)


def air(judged: Judged) -> Answers:
    return {(1, "breathing"): judged}


def test_stricter_rules_at_once_and_is_an_alarm() -> None:
    """Done in half the time a step gave off the same, and the sheet of the plan went on ruling without a mask."""
    for weak, strong in ((NONE, HALF), (HALF, FULL), (HALF, STOP), (NONE, UNKNOWN), (UNKNOWN, STOP)):
        found = ruling(air(weak), [air(strong)])
        assert found.rules == air(strong)
        assert [(one.step, one.topic, one.way) for one in found.stricter] == [(1, "breathing", "stricter")]
        assert found.looser == ()


def test_looser_waits_for_a_person() -> None:
    found = ruling(air(HALF), [air(NONE)])
    assert (found.rules, found.stricter) == (air(HALF), ())
    (offer,) = found.looser
    accepted = ruling(air(HALF), [air(NONE)], [offer.key])
    assert (accepted.rules, accepted.looser) == (air(NONE), ())
    again = ruling(air(HALF), [air(NONE), air(HALF)], [offer.key])
    assert again.rules == air(HALF)
    assert [one.way for one in again.stricter] == ["stricter"]


def test_accepting_one_answer_accepts_no_other() -> None:
    (offer,) = ruling(air(FULL), [air(HALF)]).looser
    assert ruling(air(FULL), [air(NONE)], [offer.key]).rules == air(FULL)


def test_other_gloves_and_a_shorter_time_are_changes_to_be_made() -> None:
    one, other = Judged(1, item="nitrile", lasts=3600.0), Judged(1, item="butyl", lasts=3600.0)
    assert [c.way for c in changes({(0, "hands"): one}, {(0, "hands"): other})] == ["stricter"]
    shorter, alike = Judged(1, item="nitrile", lasts=1800.0), Judged(1, item="nitrile", lasts=3570.0)
    assert [c.way for c in changes({(0, "hands"): one}, {(0, "hands"): shorter})] == ["stricter"]
    assert changes({(0, "hands"): one}, {(0, "hands"): alike}) == ()
    assert [c.way for c in changes({(0, "hands"): shorter}, {(0, "hands"): one})] == ["looser"]


def test_a_time_that_is_a_little_shorter_rules_without_an_alarm() -> None:
    """Each new sheet would have called out with cartridges that last a minute less."""
    told = ruling(
        {(0, "hands"): Judged(1, item="nitrile", lasts=3600.0)},
        [{(0, "hands"): Judged(1, item="nitrile", lasts=s)} for s in (3500.0, 3550.0)],
    )
    assert (told.rules[0, "hands"].lasts, told.stricter, told.looser) == (3500.0, (), ())


def test_what_is_no_longer_told_at_all_is_looser() -> None:
    assert [c.way for c in changes(air(HALF), {})] == ["looser"]
    assert [c.way for c in changes({}, air(HALF))] == ["stricter"]


def test_words_decide_nothing() -> None:
    assert changes(air(Judged(1, 10.0, "half", None, "Half mask", "2.3")), air(Judged(1, 10.0, "half"))) == ()


judged = st.builds(
    Judged,
    st.integers(0, 3),
    st.sampled_from([0.0, 10.0, 50.0]),
    st.sampled_from(["", "a", "b"]),
    st.sampled_from([None, 1800.0, 7200.0]),
)
answers = st.dictionaries(st.tuples(st.integers(-1, 2), st.sampled_from(["breathing", "hands"])), judged)


@given(answers, st.lists(answers, max_size=4))
def test_nothing_becomes_looser_by_itself(first: Answers, later: list[Answers]) -> None:
    found = ruling(first, later)
    for told in (first, *later):
        for at, one in told.items():
            assert found.rules.get(at, NONE).rank >= one.rank
            assert found.rules.get(at, NONE).asks >= one.asks
    assert {(one.step, one.topic) for one in found.stricter} <= set(found.rules)


@given(st.lists(answers, max_size=4))
def test_the_strictest_of_variants_is_as_strict_as_each(several: list[Answers]) -> None:
    held = strictest(several)
    for told in several:
        for at, one in told.items():
            assert held[at].rank >= one.rank
            assert held[at].asks >= one.asks


def test_answers_are_read_as_they_are_told() -> None:
    told = {"step": 1, "topic": "breathing", "rank": 1, "factor": 10.0, "item": "half", "lasts": 7200.0}
    assert read_answers([{**told, "text": "", "ref": ""}]) == air(HALF)
