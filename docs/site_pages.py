"""What `mkdocs` is told besides: pages that lie outside docs/ belong to the site, too.

In the repository every document can be read where it lies, and its links lead on from there; the site has all of them
in one folder, and so links from one part to the other are written anew.
"""

import posixpath
import re
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

ROOT = Path(__file__).resolve().parent.parent
PAGES = {
    "index.md": "README.md",
    "developers.md": "DEVELOPERS.md",
    "changelog.md": "CHANGELOG.md",
    "examples.md": "examples/README.md",
    "benchmarks.md": "benchmarks/README.md",
}
"""The name of each in the site, and in the repository."""
LINK = re.compile(r"\]\((?![a-z]+:|#)([^)#\s]+)(#[^)]*)?\)")


def on_files(files: Files, config: MkDocsConfig) -> Files:
    for page, source in PAGES.items():
        text = (ROOT / source).read_text(encoding="utf-8")
        files.append(File.generated(config, page, content=text))
    return files


def on_page_markdown(markdown: str, page: Page, **_: object) -> str:
    here = PAGES.get(page.file.src_uri, f"docs/{page.file.src_uri}")

    def anew(link: re.Match[str]) -> str:
        target = posixpath.normpath(posixpath.join(posixpath.dirname(here), link[1]))
        return f"]({in_site(target, page.file.src_uri)}{link[2] or ''})"

    return LINK.sub(anew, markdown)


def in_site(target: str, page: str) -> str:
    """The link from a page of the site to a file of the repository."""
    by_source = {source: name for name, source in PAGES.items()}
    name = by_source.get(target, target.removeprefix("docs/"))
    return posixpath.relpath(name, posixpath.dirname(page) or ".")
