"""What is said of a fault in a file."""

from mainwright.folder.located import located
from mainwright.words.message import Message, Quantity, message


def test_a_message_within_a_message_is_told_in_words() -> None:
    fault = located("job.toml", 1, "lining", "it is missing: {meaning}", meaning=Message("the document, with its edition"))
    assert str(fault) == "job.toml:1: lining: it is missing: the document, with its edition"


def test_counts_choose_their_form_and_quantities_their_unit() -> None:
    text = "{n} {n:run is/runs are} longer than {length}, {what}"
    for count, told in ((1, "1 run is"), (2, "2 runs are")):
        fault = located("a.csv", 3, "", text, n=count, length=Quantity(150.0, "m"), what=message("{n:one/all}", n=count))
        assert str(fault) == f"a.csv:3: {told} longer than 150 m, {'one' if count == 1 else 'all'}"
