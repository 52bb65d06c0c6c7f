"""Visits kept in a database: an append-only list of events for each.

`Store` writes an event before anything else happens with it, so that a killed process loses
nothing that a person has entered.
"""

from engine.records.store import Store, StoredEvent, StoredVisit, default_url

__all__ = ["Store", "StoredEvent", "StoredVisit", "default_url"]
