"""Callbacks made up by language models that had seen symptoms and checks, no cause and no sign.

Each story with its truth stands above the case that was filled in from it (`cases/`); others said
which causes say what the truth says (`mapped.yaml`). They are kept as they came.
"""
