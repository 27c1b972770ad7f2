"""Which numbers were heard."""

from hypothesis import given
from hypothesis import strategies as st

from mainwright.workflow.seen import Seen


@given(st.lists(st.integers(0, 40), max_size=120))
def test_it_is_a_set(numbers: list[int]) -> None:
    seen, truth = Seen(), set[int]()
    for number in numbers:
        assert seen.add(number) == (number not in truth)
        truth.add(number)
        assert seen.greatest == max(truth)
    assert [number for number in range(-1, 43) if number in seen] == sorted(truth)
    assert seen._ends == [end for end in seen._ends if end not in truth]
