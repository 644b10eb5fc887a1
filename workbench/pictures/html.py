"""The few pieces of HTML that pages are made of."""

from collections.abc import Collection, Iterable, Sequence

from workbench.svg import element, words


def paragraph(text: str, *, class_: str | None = None) -> str:
    """A paragraph of plain text.

    >>> paragraph("3 < 4")
    '<p>3 &lt; 4</p>'
    """
    return words("p", text, class_=class_)


def section(title: str, parts: Iterable[str]) -> str:
    """A part of a page under its own heading."""
    return element("section", [words("h2", title), *parts])


def headed_table(
    titles: Sequence[str],
    rows: Iterable[Sequence[object]],
    *,
    caption: str = "",
    figures: Collection[int] = (),
) -> str:
    """A table whose columns have headings; what the columns numbered in `figures` hold is set to the right."""
    kinds = [FIGURE if column in figures else None for column in range(len(titles))]
    cells = [words("th", title, scope="col", class_=kind) for title, kind in zip(titles, kinds, strict=True)]
    head = element("thead", element("tr", cells))
    body = [
        element("tr", [words("td", str(cell), class_=kind) for cell, kind in zip(row, kinds, strict=True)])
        for row in rows
    ]
    return element("table", [words("caption", caption) if caption else "", head, element("tbody", body)])


FIGURE = "figure"
"""The class of cells that hold figures, as `workbench.pictures.page` styles them."""
