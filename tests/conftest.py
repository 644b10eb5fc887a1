"""Settings shared by all tests: how many examples the property tests try."""

import os

from hypothesis import settings

# `everyday` always draws the same examples, so that a run can be repeated; `nightly` looks further.
settings.register_profile("everyday", max_examples=25, derandomize=True, deadline=None)
settings.register_profile("nightly", max_examples=1000, deadline=None)
settings.load_profile(os.environ.get("WORDTIGHT_HYPOTHESIS", "everyday"))
