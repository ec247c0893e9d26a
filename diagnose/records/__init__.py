"""A case, its journal of events, the store, import and export."""
