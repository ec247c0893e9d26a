"""Callbacks made up by people who had seen the symptoms and checks, and no cause or sign.

Each story with its truth stands above the case that was filled in from it (`cases/`); others said
which causes say what the truth says (`mapped.yaml`). They are kept as they came.
"""
