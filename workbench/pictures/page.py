"""One HTML page that stands alone: no network, prints on A4, legible in grey."""

from xml.sax.saxutils import escape

from workbench.svg import element, words

__all__ = ["escape", "page"]

PIECES = """
figure { margin: 1em 0; break-inside: avoid } figcaption { font-size: .85em; text-align: center }
figure.board { margin: 0; display: inline-block; vertical-align: top; width: min-content }
svg { max-width: 100%; height: auto } figure.board svg { max-width: none }
ol.strip { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .6em .2em }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap }
"""
"""The style of boards, strips and tables wherever they are shown."""
POLICY = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:"
"""What a browser may load for a page: nothing but what stands in it."""
STYLE = """
@page { size: A4; margin: 16mm }
:root { color-scheme: light }
* { box-sizing: border-box }
body { font: 16px/1.5 'DejaVu Sans', Verdana, Arial, sans-serif; color: #1d2730; background: #fff;
  max-width: 50em; margin: 0 auto; padding: 1em }
h1 { font-size: 1.7em; line-height: 1.2 } h2 { font-size: 1.25em; margin-top: 2em }
h1, h2, h3 { break-after: avoid }
pre, code, kbd { font-family: 'DejaVu Sans Mono', Menlo, Consolas, monospace; font-size: .95em }
table { border-collapse: collapse; margin: 1em 0 } caption { text-align: left; padding: .2em 0 }
th, td { text-align: left; vertical-align: top; padding: .15em .8em .15em 0; border-bottom: 1px solid #9aa5ad }
.figure { text-align: right; font-variant-numeric: tabular-nums }
a, button, input { font: inherit; color: inherit }
:focus-visible { outline: 3px solid #1d2730; outline-offset: 2px }
.paper { display: none }
@media print { body { font-size: 10.5pt; padding: 0; max-width: none } .screen { display: none }
  .paper { display: block } tr { break-inside: avoid } }
@media screen and (max-width: 40em) { table:not(.unseen) { display: block; overflow-x: auto }
  figure.wide { overflow-x: auto } figure.wide svg { max-width: none } }
"""
"""On a telephone what is too wide is moved sideways by itself, and the page stands still."""


def page(title: str, body: str, *, styles: str = "", script: str = "") -> str:
    """A whole page; `body` is finished HTML, `styles` and `script` are added to the page's own.

    Raises ValueError if styles or script would end their own element.

    >>> page("Boards < 4", "<p>None.</p>").splitlines()[0]
    '<!DOCTYPE html>'
    """
    for text in (styles, script):
        if "</" in text:
            raise ValueError("styles and scripts of a page must not contain '</'")
    head = [
        '<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        words("title", title),
        element("style", STYLE + PIECES + styles),
    ]
    last = [element("script", script)] if script else []
    inner = "\n".join([element("head", "\n".join(head)), element("body", "\n".join([body, *last]))])
    return f"<!DOCTYPE html>\n{element('html', inner, lang='en')}\n"
