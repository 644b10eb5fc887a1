"""How the command ends, besides 0: what its exit statuses say (docs/reference/statuses.md)."""

STATUS_WRONG, STATUS_UNUSABLE, STATUS_UNFINISHED, STATUS_INTERRUPTED = 1, 2, 3, 130
