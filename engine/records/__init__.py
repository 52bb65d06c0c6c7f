"""What is kept in a database.

Visits are append-only lists of events. `Store` writes an event before anything else happens with
it, so that a killed process loses nothing that a person has entered. Beside them stand the cards
of customers and boilers, photos, the kit and the settings.
"""

from engine.records.database import default_url
from engine.records.store import Store, StoredEvent, StoredVisit

__all__ = ["Store", "StoredEvent", "StoredVisit", "default_url"]
