"""How many inputs were tried at each door in all long searches: in a file, and as the table of docs/promises.md."""

import json
from pathlib import Path

STORED = Path(__file__).with_name("tried.json")
PAGE = Path(__file__).parent.parent.parent / "docs" / "promises.md"
BEGIN, END = "<!-- begin: make fuzz -->", "<!-- end: make fuzz -->"


def add(name: str, inputs: int, seconds: int) -> None:
    """Add what was tried at a door, and write the table anew."""
    stored = json.loads(STORED.read_text("utf-8"))
    before = stored.get(name, {"inputs": 0, "seconds": 0})
    stored[name] = {"inputs": before["inputs"] + inputs, "seconds": before["seconds"] + seconds}
    STORED.write_text(json.dumps(stored, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    text = PAGE.read_text("utf-8")
    before_it, _, rest = text.partition(BEGIN)
    PAGE.write_text(f"{before_it}{BEGIN}\n{table(stored)}{END}{rest.partition(END)[2]}", encoding="utf-8")


def table(stored: dict[str, dict[str, int]]) -> str:
    """The table as Markdown."""
    rows = [
        f"| {name} | {each['inputs']:,} | {each['seconds']:,} |\n" for name, each in sorted(stored.items())
    ]
    inputs, seconds = (sum(each[key] for each in stored.values()) for key in ("inputs", "seconds"))
    total = f"| all | {inputs:,} | {seconds:,} |\n"
    return f"\n| door | inputs tried | seconds |\n| --- | --- | --- |\n{''.join(rows)}{total}\n"
