"""Drills: the transcripts of what an outside program has printed."""

from .conversations import Conversations
from .shapes import FILE, TEXT
from .terms import NotChecked, Numbered, Record, Wrong

DRILL = {
    "verdict": ("no-fault-found", "fault-found", "not-finished", "sampled"),
    "conversation?": TEXT,
    "wrong": int,
    "program": str,
    "files": [FILE],
    "left_out": bool,
    "own_words": bool,
}
ANSWER = {"answer": int, "after": int, "typed": (str, None), "printed": [str], "how": str}


def check_drill(header: Record, records: Numbered) -> tuple[int, list[str]]:
    """What a program has printed."""
    if header["own_words"]:
        raise NotChecked("the program has words of its own; a conversation file can say what they mean")
    talks = Conversations(header)
    for number, record in records:
        talks.replay(number, record)
    count, verdict = f"{len(talks.places):,} answers", header["verdict"]
    if verdict == "fault-found":
        if not talks.faults + talks.shaken:
            raise Wrong(f"no fault is found in {count}")
        return 0, [f"FAULT FOUND. {(talks.faults + talks.shaken)[0]}."]
    if talks.faults:
        raise Wrong(f"there is a fault. {talks.faults[0]}")
    told = [f"NO FAULT in {count}, which were replayed."]
    if header["left_out"]:
        return 3, [*told, "NOT CHECKED: other answers, which were not written down."]
    if verdict == "no-fault-found":
        talks.go_through()
        more = ", and wrong input of every class after each beginning of one" if talks.most_wrong else ""
        return 0, [*told, f"Every line of play without wrong input is among them{more}."]
    return 0, [*told, "They are not all that there are."]
