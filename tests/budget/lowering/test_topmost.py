"""Which table lies at the end of the store: the one that is reached from its end most often, of equals the first."""

from budget.lowering.passes.topmost import topmost
from budget.lowering.text import Row

WORD, FOUR, THREE = (
    Row((name,), "space", str(words)) for name, words in (("word", 1), ("four", 4), ("three", 3))
)
ORDERS = {
    "four": Row((), "load", "four+4"),
    "three": Row((), "store", "three+3"),
    "word": Row((), "load", "word+1"),
}


def lying(*reached):
    return topmost([ORDERS[name] for name in reached], [WORD, FOUR, THREE], 4096)


def test_the_table_that_is_reached_most_often_ends_the_store():
    assert lying("four", "three", "three", "word", "word", "word") == [
        WORD,
        FOUR,
        Row((), "at", "4093"),
        THREE,
    ]
    assert lying("four", "three") == [WORD, THREE, Row((), "at", "4092"), FOUR]


def test_nothing_is_moved_where_no_table_is_reached_from_its_end():
    assert lying("word") == [WORD, FOUR, THREE]
    assert topmost([Row((), "load", "four+3")], [WORD, FOUR], 4096) == [WORD, FOUR]
