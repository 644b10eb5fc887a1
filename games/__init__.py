"""The rules: boards, moves, endings, symmetries, house rules, the catalogue."""
