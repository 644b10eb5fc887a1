"""Whatever stands in a file, it is read or its mistakes are told: no bytes bring about anything else."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.workbench.running import wordtight
from workbench.new import KINDS, template

SNIPPETS = [
    b"",
    b"\n", b"\0", b"\xff", b"\xef\xbb\xbf", b"\r", b"\t", b" ", b"=", b":", b",", b";", b"/", b"#", b'"', b"'", b'"""',
    b"[", b"]", b"[[", b"{", b"-1", b"0", b"9" * 30, b"9" * 5000, b"1e9", b"nan", b"true", b"_", b"!", b"V", b"M",
    "\u2028".encode(), "\u0663".encode(), "\u00b2".encode(), "\u201c".encode(), b"\x1b[31m", b"picture\n", b"take ",
    b"use table \"my.csv\"\n", b"look ahead ", b"game: ", b"seat: both\n", b"when = []\n", b"[rule]\n", b"[messages]\n",
]  # fmt: skip
"""What is likely to upset a reader."""
NAMES = {
    kind: f"my{Path(KINDS[kind].name).suffix}"
    for kind in ("rules", "table", "house-rules", "machine", "game")
}


@st.composite
def spoilt(draw, text):
    """An example file with a few pieces cut out, doubled, or put in."""
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, len(text)))
        length = draw(st.integers(0, 12))
        put_in = draw(st.sampled_from(SNIPPETS) | st.binary(max_size=4) | st.just(text[at : at + length] * 2))
        text = text[:at] + put_in + text[at + length :]
    return text


def assert_read_or_told(*arguments):
    ran = wordtight(*arguments)
    assert ran.status in (0, 2), ran.err
    if ran.status == 2:
        assert ran.out == ""
        for line in ran.err.removesuffix("\n").split("\n"):
            assert line.isprintable()
            assert 0 < len(line) < 500


@pytest.mark.parametrize("kind", NAMES)
def test_a_spoilt_file_is_read_or_told(kind, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my.csv").write_text(template("table"), encoding="utf-8")

    @settings(suppress_health_check=[HealthCheck.too_slow])
    @given(spoilt(template(kind).encode()))
    def any_spoilt(text):
        (tmp_path / NAMES[kind]).write_bytes(text)
        assert_read_or_told("check", NAMES[kind])

    any_spoilt()


@pytest.mark.parametrize("ending", [".rules", ".csv", ".toml"])
def test_any_bytes_at_all_are_read_or_told(ending, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    @given(st.binary(max_size=60) | st.lists(st.sampled_from(SNIPPETS), max_size=8).map(b"".join))
    def any_bytes(text):
        (tmp_path / f"my{ending}").write_bytes(text)
        assert_read_or_told("check", f"my{ending}", "--json")

    any_bytes()
