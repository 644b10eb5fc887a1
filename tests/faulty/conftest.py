"""The programs of this folder are played, not imported: they wait for input."""

collect_ignore_glob = ["*.py"]
