"""Boards, lines of play and pages as pictures: SVG and HTML that refer to nothing outside."""
